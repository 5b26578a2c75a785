"""Lengths as people read them, held against exact fractions."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.lengths import as_inches, as_mm, show

lengths = st.floats(min_value=-1e5, max_value=1e5, allow_nan=False)


def read_back(text: str) -> Fraction:
    """The exact value of what is shown: '-4 3/16' is -67/16."""
    sign = -1 if text.startswith("-") else 1
    return sign * sum(Fraction(word) for word in text.lstrip("-").split())


@pytest.mark.parametrize("sixteenths", range(0, 33))
def test_every_sixteenth_is_shown_as_itself(sixteenths):
    # n/16 in = 0.0625 n in, and an inch is 25.4 mm by definition
    assert read_back(as_inches(25.4 * 0.0625 * sixteenths)) == Fraction(sixteenths, 16)


@pytest.mark.parametrize(
    ("mm", "inches"),
    [
        (0, "0"),
        (0.7, "0"),
        (-0.7, "0"),
        (106.3625, "4 3/16"),
        (12.7, "1/2"),
        (-12.7, "-1/2"),
        (-106.3625, "-4 3/16"),
        (25.4 * 15.99 / 16, "1"),
        (25.4 * 47.7 / 16, "3"),
        (1219.2, "48"),
    ],
)
def test_inches_are_in_lowest_terms_and_carry_to_the_whole_inch(mm, inches):
    assert as_inches(mm) == inches


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (0, "0"),
        (-0.1, "0"),
        (12.5, "12.5"),
        (12.24, "12"),
        (12.25, "12.5"),
        (12.74, "12.5"),
        (12.75, "13"),
        (-3.3, "-3.5"),
    ],
)
def test_millimetres_are_shown_to_the_half(mm, shown):
    assert as_mm(mm) == shown


def test_rounding_is_done_once_from_the_exact_value():
    # 12.2499 is nearer to 12; rounded first to 12.25 it would become 12.5
    assert as_mm(12.2499) == "12"
    # a little less than half a sixteenth: rounded first to 1/32 in it would climb to 1/16
    assert as_inches(Fraction(127, 5) * Fraction(63, 2048)) == "0"


@given(lengths)
def test_millimetres_are_never_off_by_more_than_a_quarter(mm):
    assert abs(read_back(as_mm(mm)) - Fraction(mm)) <= Fraction(1, 4)
    assert (read_back(as_mm(mm)) * 2).denominator == 1


@given(lengths, st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inches_are_never_off_by_more_than_half_a_step(mm, denominator):
    error = abs(read_back(as_inches(mm, denominator)) - Fraction(mm) / Fraction(254, 10))
    assert error <= Fraction(1, 2 * denominator)


@given(lengths)
def test_inches_are_written_as_on_a_rule(mm):
    written = re.fullmatch(r"-?(\d+|(?:(\d+) )?(\d+)/(2|4|8|16))", as_inches(mm))
    assert written
    if written[4]:
        assert int(written[3]) % 2 == 1 and int(written[3]) < int(written[4])
        assert written[2] != "0"


@given(lengths)
def test_a_length_and_its_negative_look_alike(mm):
    assert as_inches(-mm).lstrip("-") == as_inches(mm).lstrip("-")
    assert as_mm(-mm).lstrip("-") == as_mm(mm).lstrip("-")


def test_a_length_is_shown_with_its_unit():
    assert show(106.3625, "in") == "4 3/16 in"
    assert show(106.3625, "mm") == "106.5 mm"


def test_an_unknown_unit_is_no_unit():
    with pytest.raises(ValueError, match="in mm or in, not in 'ell'"):
        show(1.0, "ell")


@pytest.mark.parametrize("nothing", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_shown_as_one(nothing):
    with pytest.raises((ValueError, OverflowError)):
        as_mm(nothing)
