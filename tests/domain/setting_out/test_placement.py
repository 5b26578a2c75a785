"""How far a letter may be off, the verdict on what was measured, and lengths as a person types them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.lengths import as_inches, as_mm, figure, fine, half_step, parse
from shopfloor.domain.setting_out import placement
from shopfloor.domain.setting_out.placement import allowed_mm, verdict
from shopfloor.domain.settings import Settings
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import text


@pytest.mark.parametrize(
    ("height", "allowed"),
    # a hundredth of the height, between 0.5 and 2 mm (the shop's settings; from memory)
    [(10, 0.5), (50, 0.5), (51, 0.51), (80, 0.8), (120, 1.2), (200, 2.0), (201, 2.0), (900, 2.0)],
)
def test_a_letter_may_be_off_by_a_hundredth_of_its_height_within_bounds(height, allowed):
    assert allowed_mm(height, Settings()) == allowed


def test_the_shop_sets_its_own_tolerance_but_none_finer_than_its_figures():
    shop = Settings(place_share=0.02, place_least_mm=0.1, place_most_mm=5.0)
    # figures to half a millimetre may lie 0.25 mm off
    assert [allowed_mm(height, shop) for height in (1, 20, 1000)] == [0.25, 0.4, 5.0]
    # sixteenths: half of one; half a 32nd is less: 0.397 mm
    assert allowed_mm(10, Settings(units="in")) == pytest.approx(25.4 / 32)
    assert allowed_mm(10, Settings(units="in", inch_fraction=32)) == 0.5


@given(st.floats(0, 3000), st.sampled_from([("mm", 16), ("in", 16), ("in", 32)]), st.floats(1, 400))
def test_what_is_set_to_the_figure_on_the_screen_is_never_found_wrong(wanted, rule, height):
    units, denominator = rule
    shop = Settings(units=units, inch_fraction=denominator, place_least_mm=0.1)
    measured = parse(figure(wanted, units, denominator), units)
    assert placement.is_right(allowed_mm(height, shop), placement.error(measured, wanted))


@pytest.mark.parametrize(
    ("across", "up", "words"),
    [
        (1.5, None, "1.5 mm too far right: move it left."),
        (-1.5, None, "1.5 mm too far left: move it right."),
        (None, 2.0, "2.0 mm too high: move it down."),
        (None, -2.0, "2.0 mm too low: move it up."),
        (1.5, -2.0, "1.5 mm too far right: move it left. 2.0 mm too low: move it up."),
        (0.3, 2.0, "2.0 mm too high: move it down."),
        (0.3, None, "OK: 0.3 mm off, 1.0 mm allowed."),
        (-0.3, 0.6, "OK: 0.6 mm off, 1.0 mm allowed."),
        (1.0, None, "OK: 1.0 mm off, 1.0 mm allowed."),
        (0.02, 0.0, "OK: no difference on the rule."),
    ],
)
def test_the_verdict_says_how_far_off_and_which_way_to_move(across, up, words):
    assert str(verdict(across, up, 1.0)) == words


def test_in_inches_an_error_is_told_in_sixty_fourths():
    # 1.5 mm = 3.78/64 in; 1.0 mm = 2.52/64, nearest 3/64
    inches = Reader(units="in")
    assert text(verdict(1.5, None, 1.0), inches) == "1/16 in too far right: move it left."
    assert text(verdict(0.4, None, 1.0), inches) == "OK: 1/64 in off, 3/64 in allowed."


def test_on_a_line_that_is_not_level_nobody_is_sent_left_or_up():
    too_far = verdict(1.5, None, 1.0, is_level=False)
    assert str(too_far) == "1.5 mm too far along the line: move it back."
    assert str(verdict(-1.5, 1.2, 1.0, is_level=False)) == (
        "1.5 mm not far enough along the line: move it on. 1.2 mm too far above its line: move it down to it."
    )


def test_a_row_tells_the_same_in_short():
    assert str(placement.measured_ok(0.3, None)) == "measured: 0.3 mm right"
    assert str(placement.measured_ok(-0.3, -0.2)) == "measured: 0.3 mm left and 0.2 mm low"
    assert str(placement.measured_ok(0.0, 0.04)) == "measured: nothing off"


def test_nothing_measured_is_refused():
    with pytest.raises(Refused, match="one of the two distances"):
        verdict(None, None, 1.0)


def test_an_error_of_the_computer_is_none_of_the_letter():
    assert 100.9 - 100.1 > 0.8  # in doubles (IEEE 754); on paper it is 0.8
    assert placement.is_right(0.8, placement.error(100.9, 100.1))


@pytest.mark.parametrize(
    ("text", "wanted", "mm"),
    [
        ("120.5", -120, -120.5),
        ("-120.5", -120, -120.5),
        ("−120.5", -120, -120.5),
        ("120.5", 120, 120.5),
        ("+0.2", -0.3, 0.2),
    ],
)
def test_from_a_centre_line_a_distance_without_a_sign_is_on_the_letters_own_side(text, wanted, mm):
    assert placement.from_datum(text, "mm", wanted) == mm


# Lengths as they are typed. -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "units", "mm"),
    # an inch is 25.4 mm by definition: 3/16 = 4.7625
    [
        ("106.5", "mm", 106.5),
        ("106,5", "mm", 106.5),
        (" 12 mm ", "mm", 12),
        (".5", "mm", 0.5),
        ("-7", "mm", -7),
        ("−7", "mm", -7),
        ("0", "mm", 0),
        ("4 3/16", "in", 106.3625),
        ("4-3/16", "in", 106.3625),
        ('4 3/16"', "in", 106.3625),
        ("4.1875", "in", 106.3625),
        ("4,1875", "in", 106.3625),
        ("3/4", "in", 19.05),
        ("19/16", "in", 30.1625),
        ("-4 3/16", "in", -106.3625),
        ("5", "in", 127),
        ("5 in", "mm", 127),
        ("127 mm", "in", 127),
        ("12.25 IN", "mm", 311.15),
    ],
)
def test_a_length_is_read_as_people_type_it(text, units, mm):
    assert parse(text, units) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "units", "words"),
    [
        ("", "mm", "Type it like 106.5 or 106,5"),
        ("abc", "mm", "Type it like"),
        ("4 3/16", "mm", "Type it like 106.5"),
        ("1.2.3", "mm", "Type it like"),
        ("5 ft", "in", "Type it like 4 3/16, 3/4 or 4.1875"),
        ("4 3/0", "in", "Type it like"),
        ("4 19/16", "in", "Type it like"),
        ("4 3/61", "in", "Type it like"),
        ("4 3", "in", "Type it like"),
        ("1,200", "mm", "could be 1200 or 1.200"),
        ("100001", "mm", "more than 100 m"),
        ("1e5", "mm", "Type it like"),
        ("nan", "mm", "Type it like"),
        ("--4", "mm", "Type it like"),
    ],
)
def test_what_is_no_length_is_refused_with_an_example(text, units, words):
    with pytest.raises(Refused) as refused:
        parse(text, units)
    assert words in refused.value.sentence


@given(st.floats(-9e4, 9e4), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inches_as_they_are_shown_are_read_back(mm, denominator):
    text = as_inches(mm, denominator)
    read = parse(text, "in")
    assert as_inches(read, denominator) == text
    assert abs(Fraction(read) - Fraction(mm)) <= Fraction(254, 10) / (2 * denominator) + Fraction(
        1, 10**9
    )


@given(st.floats(-9e4, 9e4), st.sampled_from(["{}", "{} mm", " {}"]), st.booleans())
def test_millimetres_as_they_are_shown_are_read_back(mm, form, is_comma):
    text = as_mm(mm)
    typed = form.format(text.replace(".", ",") if is_comma else text)
    assert parse(typed, "mm") == float(text)


@given(st.text(max_size=25), st.sampled_from(["mm", "in"]))
def test_whatever_is_typed_is_a_length_or_refused(text, units):
    try:
        assert abs(parse(text, units)) <= 100_000
    except Refused as refused:
        assert refused.sentence.endswith(".")


def test_figures_with_and_without_their_unit():
    assert (figure(106.3625, "in"), figure(106.3625, "mm")) == ("4 3/16", "106.5")
    assert figure(25.4 / 32, "in", 32) == "1/32"
    assert (fine(-0.31, "mm"), fine(0.9, "in")) == ("0.3 mm", "1/32 in")  # 0.9 mm = 2.27/64 in
    assert half_step("in", 32) == pytest.approx(25.4 / 64) and half_step("mm") == 0.25


def test_what_no_rule_reads_on_the_sign_is_refused():
    placement.must_be_near(2250, 1800, None)
    with pytest.raises(Refused, match="off the sign"):
        placement.must_be_near(2250, 7600, None)  # 7600 mm on a sign of 1800 × 450
