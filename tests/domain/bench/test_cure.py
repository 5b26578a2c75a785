"""The cure's rule of thumb against figures worked out by hand, and its limits against a maker's manual."""

from datetime import UTC, datetime, timedelta

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.bench.cements import Cement, broken_limits, checked_batch
from shopfloor.domain.bench.climate import celsius, checked_humidity
from shopfloor.domain.bench.cure import Reading, stages
from shopfloor.domain.bench.gluing import checked_glued_at
from shopfloor.domain.errors import Refused

SOLVENT = Cement(1, "Solvent cement")
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def cured_at(glued_at: datetime, temperature_c: float, cement: Cement) -> datetime:
    """The end of a cure at one temperature."""
    end = stages([Reading(glued_at, temperature_c)], glued_at, cement).full
    assert end is not None
    return end


@pytest.mark.parametrize(
    ("celsius", "hours"),
    # 24 h at 23 °C; the rate halves for 10 °C colder (rule of thumb), never faster when warmer
    [(23, 24.0), (18, 33.9411254969542812), (16, 38.9881150250993), (30, 24.0), (38, 24.0)],
)
def test_a_cure_takes_as_long_as_the_rule_of_thumb_says(celsius, hours):
    exact = NOON + timedelta(hours=hours)
    assert exact <= cured_at(NOON, celsius, SOLVENT) < exact + timedelta(minutes=1)


def test_ten_degrees_colder_takes_twice_as_long():
    slow = Cement(2, "Slow", cure_hours=6, reference_c=30, coldest_c=15, warmest_c=40)
    assert cured_at(NOON, 20, slow) == NOON + timedelta(hours=12)


@pytest.mark.parametrize("celsius", [13, 15.9, 38.1])
def test_outside_its_limits_a_cement_is_not_used(celsius):
    (broken,) = broken_limits(SOLVENT, celsius, None, None, NOON.date())
    assert str(broken).endswith("first.")


@pytest.mark.parametrize("celsius", [float("nan"), float("inf")])
def test_what_is_no_temperature_is_refused(celsius):
    with pytest.raises(Refused, match="such as 21"):
        broken_limits(SOLVENT, celsius, None, None, NOON.date())


def test_the_limits_are_those_of_a_makers_manual_rounded_inwards_and_out():
    # Acrylite, cementing manual: work between 60 and 100 °F; pint does the conversion
    degrees = pint.get_application_registry().Quantity
    assert SOLVENT.coldest_c == pytest.approx(degrees(60, "degF").to("degC").magnitude, abs=0.5)
    assert SOLVENT.warmest_c == pytest.approx(degrees(100, "degF").to("degC").magnitude, abs=0.5)


@given(st.floats(16, 38), st.floats(16, 38))
def test_colder_never_cures_sooner(one, other):
    cold, warm = sorted((one, other))
    ends = cured_at(NOON, cold, SOLVENT), cured_at(NOON, warm, SOLVENT)
    assert ends[0] >= ends[1] >= NOON + timedelta(hours=24)


@given(st.floats(16, 38), st.integers(0, 86_400_000))
def test_the_end_of_a_cure_is_a_whole_minute_and_never_early(celsius, milliseconds):
    glued = NOON + timedelta(milliseconds=milliseconds)
    end = cured_at(glued, celsius, SOLVENT)
    # the rule of thumb, written here: twice as long for each 10 °C below the reference, never shorter above it
    exact = glued + timedelta(hours=24 * 2 ** (max(0.0, 23 - celsius) / 10))
    assert (end.second, end.microsecond) == (0, 0)
    assert exact <= end < exact + timedelta(minutes=1)


@pytest.mark.parametrize("percent", [-1, 100.5, float("nan")])
def test_humidity_is_a_share_of_a_hundred(percent):
    with pytest.raises(Refused, match="0 to 100"):
        checked_humidity(percent)
    assert checked_humidity(0) == 0 and checked_humidity(100) == 100


def test_a_batch_is_tidied_and_must_say_something():
    assert checked_batch("  7 B \n") == "7 B"
    for wrong in ("", "   ", "x" * 41):
        with pytest.raises(Refused):
            checked_batch(wrong)


def test_a_glue_up_is_written_down_within_a_day():
    assert checked_glued_at(NOON - timedelta(hours=24), NOON) == NOON - timedelta(hours=24)
    assert (
        checked_glued_at(NOON + timedelta(seconds=30), NOON) == NOON
    )  # a tablet's clock that is a little ahead
    for wrong in (timedelta(hours=-24, seconds=-1), timedelta(minutes=3)):
        with pytest.raises(Refused):
            checked_glued_at(NOON + wrong, NOON)


@pytest.mark.parametrize(
    ("typed", "degrees"),
    # 70 °F = 21.111 °C, 32 °F = 0 °C: (F - 32) / 1.8, the definition of the degree Fahrenheit (NIST SP 811, B.8)
    [
        ("21", 21),
        ("21,5", 21.5),
        (" 21.5 °C", 21.5),
        ("70 F", 21.111),
        ("70°f", 21.111),
        ("32F", 0),
        ("-4", -4),
    ],
)
def test_a_temperature_is_typed_in_celsius_or_fahrenheit(typed, degrees):
    assert celsius(typed) == degrees


@pytest.mark.parametrize("typed", ["", "warm", "70 K", "F", "nan", "900", "900 F"])
def test_what_is_no_temperature_is_refused_in_a_sentence(typed):
    with pytest.raises(Refused, match="Type the temperature at the bench"):
        celsius(typed)
