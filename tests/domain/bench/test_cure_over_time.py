"""A cure over changing temperatures: against the integral's closed form, and against Simpson's rule written here."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shop_for_tests import grows_at_most

from shopfloor.domain.bench.cements import Cement, broken_limits
from shopfloor.domain.bench.cure import Reading, Stages, pieces_of_time, reached, stages
from shopfloor.domain.errors import Refused

CEMENT = Cement(
    1, "Solvent cement", fixture_min=5, handling_hours=2, driest_percent=30, dampest_percent=70
)
HARDY = Cement(
    2, "Hardy", cure_hours=5, coldest_c=13
)  # so that the ramp from 13 to 23 °C counts from its start
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
NEVER = math.inf
HOUR = timedelta(hours=1)


def after(hours: float) -> datetime:
    return NOON + hours * HOUR


def readings(*pairs: tuple[float, float]) -> list[Reading]:
    """(hours after noon, °C)"""
    return [Reading(after(hours), celsius) for hours, celsius in pairs]


def hours_at_reference(known, since, until, cement: Cement) -> float:
    """How many hours at the cement's reference the time from `since` to `until` is worth."""
    in_utc = sorted(
        (Reading(one.at.astimezone(UTC), one.temperature_c) for one in known),
        key=lambda one: one.at,
    )
    begin, end = since.astimezone(UTC), until.astimezone(UTC)
    pieces = pieces_of_time(in_utc, begin, end, cement.coldest_c, cement.reference_c)
    return math.fsum(piece.worth() for piece in pieces)


# Closed forms. --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "hours"), [(23, 24.0), (18, 33.9411254969543), (16, 38.9881150250993), (30, 24.0)]
)
def test_at_one_temperature_the_integral_gives_the_rule_of_thumb(celsius, hours):
    # 24 h at 23 °C; the rate halves for 10 °C colder (rule of thumb), never faster when warmer
    end = reached(readings((0, celsius)), NOON, 24.0, CEMENT)
    assert after(hours) <= end < after(hours) + timedelta(minutes=1)
    assert hours_at_reference(readings((0, celsius)), NOON, after(hours), CEMENT) == pytest.approx(
        24.0, rel=1e-9
    )


def test_a_ramp_of_ten_degrees_in_ten_hours_is_worth_its_closed_form():
    # integral of 2 ** ((t - 10) / 10) from 0 to 10 = 10 / ln 2 * (1 - 1/2)
    ramp = readings((0, 13), (10, 23))
    assert hours_at_reference(ramp, NOON, after(10), HARDY) == pytest.approx(
        5 / math.log(2), rel=1e-12
    )
    # solved for its upper end: 10 / ln 2 * (2 ** ((t - 10) / 10) - 1/2) = 5
    exact = 10 + 10 * math.log2(0.5 + 0.5 * math.log(2))
    assert after(exact) <= reached(ramp, NOON, 5, HARDY) < after(exact) + timedelta(minutes=1)


@pytest.mark.parametrize("turned", [False, True], ids=["warming", "cooling"])
def test_a_ramp_over_both_kinks_counts_nothing_below_the_coldest_and_no_faster_above_the_reference(
    turned,
):
    # 7 hours below 13 °C, the ten hours of the ramp above, and 10 hours over 23 °C at the full rate
    ramp = readings((0, 33), (27, 6)) if turned else readings((0, 6), (27, 33))
    assert hours_at_reference(ramp, NOON, after(27), HARDY) == pytest.approx(
        10 + 5 / math.log(2), rel=1e-12
    )


def test_a_cure_stands_still_below_the_coldest_and_goes_on_when_it_grows_warm():
    cold = readings((0, 23), (4, 23), (4, 10))
    assert reached(cold, NOON, 24, CEMENT) is None
    assert reached([*cold, *readings((50, 10), (50, 23))], NOON, 24, CEMENT) == after(70)


def test_where_an_owner_let_it_be_glued_colder_it_counts_down_to_there():
    assert reached(readings((0, 13)), NOON, 24, CEMENT) is None
    assert reached(readings((0, 13)), NOON, 24, CEMENT, counts_from_c=13) == after(
        48
    )  # ten degrees colder: twice as long
    assert (
        reached(readings((0, 13), (1, 13), (1, 12.9)), NOON, 24, CEMENT, counts_from_c=13) is None
    )
    assert reached(readings((0, 16)), NOON, 24, CEMENT, counts_from_c=20) == reached(
        readings((0, 16)), NOON, 24, CEMENT
    )


def test_what_was_read_before_it_was_glued_tells_only_how_warm_it_was_then():
    assert reached(readings((-10, 13), (10, 33)), NOON, 5, HARDY) == after(
        5
    )  # 23 °C at noon, warmer from then on


def test_before_the_first_reading_it_was_as_warm_as_then():
    assert hours_at_reference(
        readings((4, 23), (20, 23)), NOON, after(10), CEMENT
    ) == pytest.approx(10)


def test_just_below_the_coldest_nothing_counts_and_at_it_all_does():
    assert hours_at_reference(readings((0, 15.9), (20, 15.9)), NOON, after(10), CEMENT) == 0
    assert hours_at_reference(readings((0, 16)), NOON, after(10), CEMENT) == pytest.approx(
        10 * 2**-0.7
    )


def test_each_stage_is_reached_at_its_own_hours_and_what_is_not_given_is_not_known():
    at_reference = readings((0, 23))
    assert stages(at_reference, NOON, CEMENT) == Stages(
        NOON + timedelta(minutes=5), after(2), after(24)
    )
    assert stages(at_reference, NOON, Cement(3, "Plain")) == Stages(None, None, after(24))
    assert stages(readings((0, 10)), NOON, CEMENT) == Stages(None, None, None)


def test_without_any_temperature_nothing_is_said():
    with pytest.raises(Refused, match="Enter the temperature"):
        reached([], NOON, 24, CEMENT)


def test_a_night_on_which_the_clocks_change_is_as_long_as_it_is():
    lisbon = ZoneInfo(
        "Europe/Lisbon"
    )  # on 25 Oct 2026 the clocks there went back at 02:00 (tz database)
    glued = datetime(2026, 10, 24, 18, 0, tzinfo=lisbon)
    known = [Reading(glued, 23), Reading(datetime(2026, 10, 25, 9, 0, tzinfo=lisbon), 23)]
    assert reached(known, glued, 24, CEMENT) == glued.astimezone(UTC) + 24 * HOUR
    assert hours_at_reference(known, glued, known[1].at, CEMENT) == pytest.approx(
        16
    )  # 15 on the dial


# Against Simpson's rule. ----------------------------------------------------------------------------------------------


def simpson(
    known: list[tuple[float, float]], until: float, cement: Cement, steps: int = 4000
) -> float:
    """The same integral with numbers alone: the temperature read off between the readings, the rate by its words."""
    at, celsius = zip(*known, strict=True)
    total = 0.0
    for begin, end in pairwise(sorted({*(hours for hours in at if hours < until), 0.0, until})):
        x = np.linspace(begin, end, steps + 1)
        warm = np.interp(x, at, celsius)
        rate = np.where(
            warm < cement.coldest_c, 0.0, np.minimum(1.0, 2 ** ((warm - cement.reference_c) / 10))
        )
        total += (
            (x[1] - x[0])
            / 3
            * (rate[0] + 4 * rate[1:-1:2].sum() + 2 * rate[2:-1:2].sum() + rate[-1])
        )
    return total


@st.composite
def warmth(draw, coldest=5.0, warmest=40.0):
    """Readings from noon on: (hours, °C), no two at one moment."""
    gaps = draw(st.lists(st.integers(10, 900), min_size=0, max_size=6))
    hours = [sum(gaps[:count]) / 60 for count in range(len(gaps) + 1)]
    celsius = st.floats(coldest, warmest, allow_nan=False).map(lambda value: round(value, 3))
    return [(at, draw(celsius)) for at in hours]


@settings(max_examples=60)
@given(warmth(), st.floats(0.1, 120))
def test_the_closed_form_agrees_with_simpsons_rule(known, until):
    ours = hours_at_reference(readings(*known), NOON, after(until), CEMENT)
    step = until / 4000  # Simpson's rule loses up to a step where the rate jumps at the coldest
    assert ours == pytest.approx(simpson(known, until, CEMENT), abs=3 * step * len(known) + 1e-6)


@given(warmth(), st.floats(0.05, 60))
def test_a_stage_is_reached_when_its_hours_are_full_and_not_a_minute_before(known, hours):
    end = reached(readings(*known), NOON, hours, CEMENT)
    if end is None:
        assert known[-1][1] < CEMENT.coldest_c
        return
    assert (end.second, end.microsecond) == (0, 0)
    assert hours_at_reference(readings(*known), NOON, end, CEMENT) >= hours - 1e-8
    assert (
        hours_at_reference(readings(*known), NOON, end - timedelta(minutes=1), CEMENT)
        < hours + 1e-8
    )
    assert end - NOON >= hours * HOUR - timedelta(microseconds=1), (
        "never faster than the data sheet"
    )


@given(warmth(), st.floats(0, 60), st.floats(0, 60))
def test_what_two_stretches_are_worth_adds_up(known, one, other):
    known, middle = readings(*known), after(one)
    whole = hours_at_reference(known, NOON, middle + other * HOUR, CEMENT)
    first = hours_at_reference(known, NOON, middle, CEMENT)
    second = hours_at_reference(known, middle, middle + other * HOUR, CEMENT)
    assert whole == pytest.approx(first + second, abs=1e-8)


def or_never(end: datetime | None) -> float:
    return NEVER if end is None else end.timestamp()


@given(warmth(), st.floats(0, 10))
def test_colder_all_the_time_is_never_cured_sooner(known, colder):
    warm = reached(readings(*known), NOON, 24, CEMENT)
    cold = reached(readings(*((at, celsius - colder) for at, celsius in known)), NOON, 24, CEMENT)
    assert or_never(cold) >= or_never(warm)


@given(warmth(), st.floats(0.01, 48), st.floats(-20, 20))
def test_a_later_reading_that_is_warmer_never_puts_the_end_off_nor_a_colder_one_brings_it_nearer(
    known, later, change
):
    before = or_never(reached(readings(*known), NOON, 24, CEMENT))
    one_more = (known[-1][0] + later, known[-1][1] + change)
    after_it = or_never(reached(readings(*known, one_more), NOON, 24, CEMENT))
    assert after_it <= before if change >= 0 else after_it >= before


def test_ten_times_the_readings_take_about_ten_times_as_long():
    steady = Cement(4, "Slow", cure_hours=100_000, coldest_c=0)

    def work(count: int) -> None:
        reached(readings(*((at / 6, 10 + at % 9) for at in range(count))), NOON, 100_000, steady)

    assert grows_at_most(16, work, 600, 6000)


# Limits. --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "percent", "expires", "words"),
    [
        (21, 50, None, []),
        (16, 30, date(2026, 11, 25), []),  # at a limit, and on the last day
        (15.9, 50, None, ["Warm the bench"]),
        (38.1, None, None, ["Let the bench cool"]),
        (21, 71, None, ["Wait for drier air"]),
        (21, 29, None, ["Wait for damper air"]),
        (12, 80, date(2026, 11, 24), ["Warm the bench", "Wait for drier air", "Use another batch"]),
    ],
)
def test_each_limit_that_is_broken_is_one_message_that_says_what_to_do(
    celsius, percent, expires, words
):
    broken = broken_limits(CEMENT, celsius, percent, expires, date(2026, 11, 25))
    assert len(broken) == len(words)
    for sentence, word in zip(map(str, broken), words, strict=True):
        assert word in sentence and sentence.endswith(".") and sentence.count(". ") == 1


@pytest.mark.parametrize("celsius", [math.nan, math.inf, -60, 99])
def test_what_no_bench_has_is_refused(celsius):
    with pytest.raises(Refused, match="such as 21"):
        broken_limits(CEMENT, celsius, 50, None, date(2026, 11, 25))
