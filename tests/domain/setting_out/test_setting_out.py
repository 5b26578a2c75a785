"""Running dimensions against signs that were worked out by hand, and the rounding of checks.md, "Dimensions".

An inch is 25.4 mm by definition; n/16 in is 0.0625 n in.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon
from shop_for_tests import box, grows_at_most

from shopfloor.domain.errors import NotFound, Refused
from shopfloor.domain.lengths import as_inches, as_mm
from shopfloor.domain.outlines import Outline
from shopfloor.domain.setting_out import setting_out
from shopfloor.domain.setting_out.setting_out import PlacedPart, rows
from shopfloor.domain.settings import Settings

LEFT, CENTRE = setting_out.DATUMS

# A door sign of 600 × 200 mm with five letters, 80 mm high, on a baseline 60 mm up: (left edge, width), mm.
DOOR = [(52.3, 61.4), (135.2, 48.0), (203.9, 72.6), (297.0, 20.0), (339.1, 66.2)]


def door(foot=60.0, high=80.0) -> list[PlacedPart]:
    return [
        PlacedPart(n, n + 1, "ABCDE"[n], 1, box(x, foot, wide, high))
        for n, (x, wide) in enumerate(DOOR)
    ]


def shown(row, written) -> list[tuple[str, ...]]:
    return [
        tuple(written(mm) for mm in (letter.left_mm, letter.centre_mm, letter.right_mm))
        for letter in row.letters
    ]


def test_a_door_sign_from_its_left_edge_in_millimetres():
    (row,) = rows(door(), 600, LEFT)
    assert (row.baseline_mm, row.datum_mm, row.level) == (60, 0, 1)
    # right = left + width, centre = left + width / 2, by hand; then each rounded once to half a millimetre:
    # 52.3 83.0 113.7 | 135.2 159.2 183.2 | 203.9 240.2 276.5 | 297.0 307.0 317.0 | 339.1 372.2 405.3
    assert shown(row, as_mm) == [
        ("52.5", "83", "113.5"),
        ("135", "159", "183"),
        ("204", "240", "276.5"),
        ("297", "307", "317"),
        ("339", "372", "405.5"),
    ]


def test_the_same_sign_from_its_centre_line_in_millimetres():
    (row,) = rows(door(), 600, CENTRE)
    assert row.datum_mm == 300
    # the figures above less 300: -247.7 -217.0 -186.3 | -164.8 -140.8 -116.8 | -96.1 -59.8 -23.5 | -3 7 17 | 39.1 72.2 105.3
    assert shown(row, as_mm) == [
        ("-247.5", "-217", "-186.5"),
        ("-165", "-141", "-117"),
        ("-96", "-60", "-23.5"),
        ("-3", "7", "17"),
        ("39", "72", "105.5"),
    ]


def test_the_same_sign_in_sixteenths_of_an_inch():
    (row,) = rows(door(), 600, LEFT)
    # 52.3/25.4 = 2.0591 in = 32.9 sixteenths → 33/16 = 2 1/16; 83.0 → 52.28 → 52/16 = 3 1/4; 113.7 → 71.62 → 72/16 = 4 1/2
    # 135.2 → 85.17 → 85/16 = 5 5/16; 159.2 → 100.28 → 100/16 = 6 1/4; 183.2 → 115.40 → 115/16 = 7 3/16
    # 203.9 → 128.44 → 8; 240.2 → 151.31 → 151/16 = 9 7/16; 276.5 → 174.17 → 174/16 = 10 7/8
    # 297 → 187.09 → 187/16 = 11 11/16; 307 → 193.39 → 193/16 = 12 1/16; 317 → 199.69 → 200/16 = 12 1/2
    # 339.1 → 213.61 → 214/16 = 13 3/8; 372.2 → 234.46 → 234/16 = 14 5/8; 405.3 → 255.31 → 255/16 = 15 15/16
    assert shown(row, as_inches) == [
        ("2 1/16", "3 1/4", "4 1/2"),
        ("5 5/16", "6 1/4", "7 3/16"),
        ("8", "9 7/16", "10 7/8"),
        ("11 11/16", "12 1/16", "12 1/2"),
        ("13 3/8", "14 5/8", "15 15/16"),
    ]


def test_the_same_sign_from_its_centre_line_in_thirty_seconds():
    (row,) = rows(door(), 600, CENTRE)
    # -247.7/25.4 × 32 = -312.06 → -312/32 = -9 3/4; -217 → -273.4 → -273/32 = -8 17/32; -186.3 → -234.7 → -235/32 = -7 11/32
    # -164.8 → -207.62 → -208/32 = -6 1/2; -140.8 → -177.39 → -177/32 = -5 17/32; -116.8 → -147.15 → -147/32 = -4 19/32
    # -96.1 → -121.07 → -121/32 = -3 25/32; -59.8 → -75.34 → -75/32 = -2 11/32; -23.5 → -29.61 → -30/32 = -15/16
    # -3 → -3.78 → -4/32 = -1/8; 7 → 8.82 → 9/32; 17 → 21.42 → 21/32
    # 39.1 → 49.26 → 49/32 = 1 17/32; 72.2 → 90.96 → 91/32 = 2 27/32; 105.3 → 132.66 → 133/32 = 4 5/32
    assert shown(row, lambda mm: as_inches(mm, 32)) == [
        ("-9 3/4", "-8 17/32", "-7 11/32"),
        ("-6 1/2", "-5 17/32", "-4 19/32"),
        ("-3 25/32", "-2 11/32", "-15/16"),
        ("-1/8", "9/32", "21/32"),
        ("1 17/32", "2 27/32", "4 5/32"),
    ]


def test_the_gap_to_the_neighbour_is_the_clear_distance_from_its_own_exact_value():
    (row,) = rows(door(), 600, LEFT)
    # 135.2 - 113.7 = 21.5; 203.9 - 183.2 = 20.7; 297 - 276.5 = 20.5; 339.1 - 317 = 22.1; the last has none
    assert [letter.gap_mm and round(letter.gap_mm, 6) for letter in row.letters] == [
        21.5,
        20.7,
        20.5,
        22.1,
        None,
    ]
    # the rounded edges, 204 and 183, would make the second 21; 20.7 rounds to 20.5
    assert as_mm(row.letters[1].gap_mm) == "20.5"


def test_the_gap_is_what_the_running_figures_say_also_where_letters_reach_over_each_other():
    # two right-angled triangles, 40 × 40, hypotenuses parallel: from 0 to 40, and from 10 to 50
    first = Outline((((0, 50), (40, 50), (0, 90)),))
    second = Outline((((50, 50), (50, 90), (10, 90)),))
    (row,) = rows([PlacedPart(1, 1, "A", 1, first), PlacedPart(2, 2, "V", 1, second)], 100, LEFT)
    assert row.letters[0].gap_mm == 10 - 40


def test_each_line_is_a_row_of_its_own_from_the_top_down():
    lower = [PlacedPart(10 + n, 9 + n, "x", 1, box(20 + 90 * n, 20, 60, 80)) for n in range(3)]
    found = rows([*lower, *door(foot=300)], 600, LEFT)
    assert [row.baseline_mm for row in found] == [300, 20]
    assert [letter.part for letter in found[1].letters] == [10, 11, 12]


def test_a_row_knows_its_letters_and_what_a_rule_must_show():
    found = rows(door(), 600, CENTRE)
    row = setting_out.row_of(found, 4)
    across, up = row.wanted(row.letter(4))
    assert (round(across, 6), up) == (
        339.1,
        60,
    )  # from the sign's left edge, whatever the datum of the figures
    with pytest.raises(NotFound):
        row.letter(99)
    with pytest.raises(NotFound):
        setting_out.row_of(found, 99)


def test_a_datum_is_one_of_two():
    assert setting_out.checked_datum("centre line") == CENTRE
    with pytest.raises(Refused, match="left edge or the centre line"):
        setting_out.checked_datum("right edge")


# Rounding. ------------------------------------------------------------------------------------------------------------

sixteenth = Fraction(254, 160)  # mm


def read_back(text: str) -> Fraction:
    sign = -1 if text.startswith("-") else 1
    return sign * sum(Fraction(word) for word in text.lstrip("-").split())


def ten_letters(step_mm: float, width_mm: float) -> list[PlacedPart]:
    return [
        PlacedPart(n, n, "x", 1, box(round(n * step_mm, 3), 50, width_mm, 60)) for n in range(10)
    ]


def test_running_dimensions_do_not_add_up_errors_where_a_chain_does():
    # each step is 31.49 sixteenths of an inch: shown as 31/16, so a chain loses 0.49/16 a step
    step = float(31 * sixteenth + sixteenth * Fraction(49, 100))
    (row,) = rows(ten_letters(step, 30.0), 600, LEFT)
    chain = sum((read_back(as_inches(step)) for _ in range(9)), Fraction(0))
    exact = Fraction(row.letters[9].left_mm) / Fraction(254, 10)
    assert abs(read_back(as_inches(row.letters[9].left_mm)) - exact) <= Fraction(1, 32)
    assert abs(chain - exact) > Fraction(8, 32)  # nine steps err by up to 9/32: by 9 × 0.49/16 here


@given(st.lists(st.floats(1, 120), min_size=2, max_size=12), st.sampled_from(setting_out.DATUMS))
def test_any_two_figures_of_a_row_differ_from_the_exact_distance_by_two_thirty_seconds_at_most(
    widths, datum
):
    left, parts = 10.0, []
    for n, wide in enumerate(widths):
        parts.append(PlacedPart(n, n, "x", 1, box(round(left, 3), 40, round(wide, 3), 70)))
        left += wide + 7.3
    (row,) = rows(parts, 1500, datum)
    lengths = [
        mm for letter in row.letters for mm in (letter.left_mm, letter.centre_mm, letter.right_mm)
    ]
    for length, other in itertools.pairwise(lengths):
        exact = (Fraction(other) - Fraction(length)) / Fraction(254, 10)
        assert abs(read_back(as_inches(other)) - read_back(as_inches(length)) - exact) <= Fraction(
            2, 32
        )


def test_a_figure_is_rounded_once_from_the_exact_value():
    # edges 10.24 and 20.24 are shown as 10 and 20; the centre, 15.24, as 15. By way of 15.25 it would become 15.5
    pair = [
        PlacedPart(1, 1, "x", 1, box(10.24, 50, 10.0, 40)),
        PlacedPart(2, 2, "y", 1, box(40, 50, 9, 40)),
    ]
    (row,) = rows(pair, 100, LEFT)
    assert shown(row, as_mm)[0] == ("10", "15", "20")
    assert row.letters[0].centre_mm == pytest.approx(15.24, abs=1e-9)


# Letters that stand otherwise, and lines that are not level. -----------------------------------------------------------


def test_the_tolerance_follows_the_height_of_the_line():
    (row,) = rows(door(high=120), 600, LEFT, Settings())
    assert {letter.allowed_mm for letter in row.letters} == {1.2}
    assert {letter.height_mm for letter in row.letters} == {120}


def stood(kind: str, below: float):
    return setting_out.Letter(1, 1, "O", 0, 20, 40, None, below, kind, 82, 0.8)


def test_a_letter_says_why_its_foot_is_not_on_the_line():
    assert (
        str(setting_out.foot_note(stood("round", 0.9)))
        == "0.9 mm below the line by design: leave it"
    )
    assert setting_out.foot_note(stood("flat", 0.0)) is None
    assert str(setting_out.foot_note(stood("descends", 21.5))) == "goes 21.5 mm below the line"
    assert str(setting_out.foot_note(stood("floats", -40.0))) == "foot 40.0 mm above the line"


def turned(parts: list[PlacedPart], degrees: float) -> list[PlacedPart]:
    return [replace(part, outline=part.outline.turned(degrees).moved(200, 100)) for part in parts]


def test_on_a_climbing_line_figures_run_along_it_from_the_foot_of_the_first_letter():
    (row,) = rows(turned(door(), 12), 900, CENTRE)
    assert not row.is_level and row.datum_mm == 0
    # the level sign's own figures, from the first letter's edge: 52.3 mm less each
    wanted = [(0, 61.4), (82.9, 130.9), (151.6, 224.2), (244.7, 264.7), (286.8, 353.0)]
    assert [(letter.left_mm, letter.right_mm) for letter in row.letters] == [
        pytest.approx(pair, abs=0.02) for pair in wanted
    ]
    heading = str(setting_out.heading(row))
    assert "80 mm high" in heading and "at 12° to" in heading
    x = 200 + 52.3 * math.cos(math.radians(12)) - 60 * math.sin(math.radians(12))
    y = 100 + 52.3 * math.sin(math.radians(12)) + 60 * math.cos(math.radians(12))
    begin = str(setting_out.figures_begin(row))
    assert f"{as_mm(x)} mm from the sign's left edge and {as_mm(y)} mm above" in begin


def on_arc(radius: float, count: int, apart_deg: float) -> list[PlacedPart]:
    """Letters of 40 × 60 mm that stand on a circle about (500, 100), read from left to right."""
    parts = []
    for n in range(count):
        turn = apart_deg * ((count - 1) / 2 - n)  # degrees counter-clockwise from upright
        shape = box(-20, radius, 40, 60).turned(turn).moved(500, 100)
        parts.append(PlacedPart(n, n + 1, "HIKLMNTEXZ"[n], 1, shape))
    return parts


def test_on_an_arc_figures_run_along_the_arc():
    (row,) = rows(on_arc(400, 7, 9.0), 1000, LEFT)
    assert row.baseline.shape == "arc" and not row.is_level
    assert row.baseline.radius_mm == pytest.approx(
        400, abs=1.0
    )  # of a flat foot only the middle touches the circle
    steps = [b.centre_mm - a.centre_mm for a, b in itertools.pairwise(row.letters)]
    assert (
        steps == [pytest.approx(400 * math.radians(9), abs=0.2)] * 6
    )  # arc length = radius × angle
    assert "on an arc curving up" in str(setting_out.heading(row))
    assert str(setting_out.figures_begin(row)).startswith("Figures run along the arc")
    across, _ = setting_out.measured_from(row, row.letters[0], LEFT)
    assert str(across).startswith("Left edge, along the arc")


def test_where_a_rule_is_laid_is_said_for_each_datum():
    (row,) = rows(door(), 600, CENTRE)
    first, last = row.letters[0], row.letters[-1]
    for letter, datum, across in (
        (first, LEFT, "Left edge from the sign's left edge"),
        (first, CENTRE, "Left edge, left of the centre line"),
        (last, CENTRE, "Left edge, right of the centre line"),
    ):
        assert str(setting_out.measured_from(row, letter, datum)[0]) == across


# Ten times the letters. -----------------------------------------------------------------------------------------------


def many(count: int) -> list[PlacedPart]:
    ring = [
        (0.5 + 0.5 * math.cos(math.tau * k / 40), 0.5 + 0.5 * math.sin(math.tau * k / 40))
        for k in range(40)
    ]
    parts = []
    for n in range(count):
        x, y = 30 + 70 * (n % 25), 40 + 90 * (n // 25)
        round_one = Polygon([(x + 45 * a, y - 0.6 + 61.2 * b) for a, b in ring])
        shape = box(x, y, 45, 60) if n % 3 else Outline.of_polygon(round_one)
        parts.append(PlacedPart(n, n, "x", 1, shape))
    return parts


def test_a_sign_of_five_hundred_letters_takes_about_ten_times_one_of_fifty():
    def fresh(count: int):
        setting_out._lines.cache_clear()
        return rows(many(count), 1800, LEFT)

    assert sum(len(row.letters) for row in fresh(500)) == 500
    assert grows_at_most(20, fresh, 50, 500)
