"""What stands on full-size paper: names, figures, marks round an arc, fixings, words that stay on their page.

Figures are held against fractions of the standard library, places round an arc against the closed form of a circle.
"""

from __future__ import annotations

import math
import re
import statistics
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from itertools import accumulate, pairwise

import pytest
import shapely
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from letters_for_tests import BOLD, SERIF, moved, on_arc, word
from paper.printed_full_size import (
    board_of,
    four_fixings,
    joined,
    lines_of,
    long_sign,
    of_weight,
    opened,
    parts_of,
    said_on,
    sign_of,
    texts_of,
)
from shop_for_tests import box, grows_at_most

from shopfloor.domain.errors import Refused
from shopfloor.domain.setting_out.setting_out import PlacedPart
from shopfloor.paper.full_size import planned, print_full_size
from shopfloor.paper.words import FONTS
from shopfloor.scenes.numbers import spread

ALL = [
    (what, paper)
    for what in ("strip", "template", "drilling")
    for paper in ("long", "a4", "letter")
]
POINT = 25.4 / 72


def rows_of_letters(count: int):
    """A board with so many boxes for letters, forty a line."""
    letters = [
        PlacedPart(
            n + 2,
            n + 2,
            chr(65 + n % 26),
            1,
            box(20 + 46 * (n % 40), 20 + 80 * (n // 40), 30 + n % 7, 60),
        )
        for n in range(count)
    ]
    return sign_of(letters, (1900.0, 80.0 * -(-count // 40) + 40))


def crowded(**more):
    """Letters of 4 mm, a long name and one that no font has."""
    letters = [PlacedPart(n + 2, n + 2, "l", 1, box(20 + 3.5 * n, 20, 2, 6)) for n in range(120)]
    odd = [
        "a very long name that somebody gave a logo in the drawing, and longer still, to its end",
        "\u4e9e\n\u0600",
    ]
    letters += [
        PlacedPart(200 + n, 200 + n, name, 1, box(30 + 60 * n, 60, 40, 30))
        for n, name in enumerate(odd)
    ]
    return sign_of(letters, (470, 120), fixings=four_fixings(470, 120), **more)


def round_word(radius: float, up: bool):
    """A word round a circle whose middle is (400, 300)."""
    return moved(on_arc("LIGHTHOUSE", SERIF, 42, radius, up), 400, 300)


# Names and figures. ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["long", "a4", "letter"])
def test_every_letter_is_named_on_its_strip_with_its_number(paper):
    sign = long_sign()
    said = said_on(opened(print_full_size(sign, "strip", paper)))
    for part in sign.parts[1:]:
        assert f"{part.name} no. {part.number}" in said


@pytest.mark.parametrize("paper", ["long", "a4"])
def test_a_name_that_is_too_long_is_shortened_and_its_figure_is_not(paper):
    assert "centre 50 a very long name" in said_on(
        opened(print_full_size(crowded(), "strip", paper))
    )


def figures_on(document, kind: str) -> list[str]:
    found = [re.search(rf"{kind} (.+)$", text.said) for page in document for text in texts_of(page)]
    return [match[1] for match in found if match and re.fullmatch(r"-?[\d ./]+", match[1])]


@pytest.mark.parametrize(("fraction", "units"), [(16, "in"), (32, "in"), (2, "mm")])
def test_figures_are_the_exact_places_rounded_once(fraction, units):
    """To 1/16 or 1/32 of an inch of 25.4 mm, or to the half millimetre, from the letter's own box."""
    sign = long_sign(units=units, inch_fraction=fraction if units == "in" else 16)
    document = opened(print_full_size(sign, "strip", "long"))
    unit = Fraction(127, 5) if units == "in" else 1
    for kind, side in (("left", 0), ("right", 2)):
        found = [
            sum(Fraction(word) for word in said.split()) for said in figures_on(document, kind)
        ]
        wanted = [
            Fraction(
                math.floor(Fraction(part.outline.bounds[side]) / unit * fraction + Fraction(1, 2)),
                fraction,
            )
            for part in sign.parts[1:]
        ]
        assert sorted(found) == sorted(wanted)


def test_round_letters_are_said_to_dip_by_design_and_flat_ones_are_not():
    sign = sign_of(parts_of(moved(word("HOE", BOLD, 100), 30, 60)), (500, 300))
    said = [
        text.said
        for page in opened(print_full_size(sign, "strip", "long"))
        for text in texts_of(page)
    ]
    named = {
        found[1]: found[2] for one in said if (found := re.match(r"([HOE]) no\. \d+(.*)", one))
    }
    assert named["H"] == named["E"] == ""
    dips = float(re.fullmatch(r", dips (\S+) mm", named["O"])[1])
    assert dips == pytest.approx(
        word("O", BOLD, 100).drawn[0].below_mm, abs=0.06
    )  # the font's overshoot, to a tenth


@pytest.mark.parametrize("datum", ["left edge", "centre line"])
@pytest.mark.parametrize("paper", ["long", "a4"])
def test_a_strip_says_where_its_zero_is_and_how_high_its_baseline_at_its_left_end_and_on_each_sheet(
    paper, datum
):
    document = opened(print_full_size(long_sign(datum=datum), "strip", paper))
    pages = [[text.said for text in texts_of(page)] for page in list(document)[paper == "a4" :]]
    for said in pages:
        assert (
            f"Figures from the {datum} of the sign; baseline 190 mm above the lower edge"
            in " ".join(said)
        )
    assert {f"figures from the {datum} of the sign", "baseline 190 mm above the lower edge"} <= set(
        pages[0]
    )
    assert sum(f"0 = {datum} of the sign" in said for said in pages) == 1


def test_the_strip_of_a_curve_names_the_letter_from_whose_foot_figures_run():
    one = round_word(260.0, True)
    said = said_on(opened(print_full_size(sign_of(parts_of(one), (900, 1100)), "strip", "long")))
    assert "0 = foot of “L” (no. 2)" in said and "figures run along the line" in said
    foot = r"Figures from the foot of “L” \(no. 2\), along the line; that foot is (\S+ mm) above the lower edge"
    high = re.search(foot, said)[1]
    assert f"{high} over lower edge" in said
    assert float(high.split()[0]) == pytest.approx(
        300 + 260 * math.cos(angle_of_first(one, 260)), abs=0.5
    )


def angle_of_first(one, radius: float) -> float:
    """From the top of a circle to the foot of its first letter: the word is centred on the top."""
    return (one.drawn[-1].right_mm - one.drawn[0].left_mm) / 2 / radius


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_straight_strip_is_one_row_of_sheets_however_long_its_figures(paper):
    one = moved(word("HOGS", BOLD, 150), 2600, 60)
    sign = sign_of(parts_of(one, 1001), (3600, 300), units="in", inch_fraction=32)
    sheets = list(opened(print_full_size(sign, "strip", paper)))[1:]
    assert all("row 1," in said_on([page]) for page in sheets)
    said = " ".join(text.said for page in sheets for text in texts_of(page))
    assert re.search(r"centre 1\d\d \d+/\d+ O no\. 1002, dips \S+ in", said), (
        "nothing of it is cut off"
    )


@given(st.lists(st.floats(0, 60), min_size=1, max_size=9).map(sorted), st.floats(0.5, 9))
def test_figures_are_spread_no_farther_than_they_must(wanted, pitch):
    """Against the min-max formula of isotonic regression (Robertson, Wright and Dykstra, 1988), by brute force."""
    level = [place - n * pitch for n, place in enumerate(wanted)]
    count = len(level)
    best = [
        max(min(statistics.fmean(level[j : k + 1]) for k in range(n, count)) for j in range(n + 1))
        + n * pitch
        for n in range(count)
    ]
    found = spread(wanted, pitch)
    assert found == pytest.approx(best, abs=1e-9)
    assert all(other - one >= pitch - 1e-9 for one, other in pairwise(found))


@pytest.mark.parametrize("make", [lambda: rows_of_letters(40), crowded])
def test_the_figures_of_a_strip_do_not_lie_on_each_other(make):
    for page in opened(print_full_size(make(), "strip", "long")):
        upright = sorted(
            text.box for text in texts_of(page) if re.match(r"(left|right|centre) -?\d", text.said)
        )
        assert len(upright) > 5
        assert all(other[0] >= one[2] - 0.2 for one, other in pairwise(upright))
        boxes = [shapely.box(*text.box).buffer(-0.1) for text in texts_of(page)]
        for one, other in shapely.STRtree(boxes).query(boxes, predicate="intersects").T:
            assert one == other, (texts_of(page)[one], texts_of(page)[other])


def heights_of(page) -> list[float]:
    """How high the figures of a strip are, mm: of a text that is set upright to its line, how wide its box is."""
    return [
        text.box[2] - text.box[0] for text in texts_of(page) if re.fullmatch(r"left \d+", text.said)
    ]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_figures_are_three_and_a_half_millimetres_high_where_there_is_room(units):
    """A figure 3.5 mm high: with its “f” and “l”, which are a little higher, its text is (the font's own tables)."""
    tables = TTFont(FONTS / "DejaVuSans.ttf")
    glyphs, names = tables["glyf"], tables.getBestCmap()
    share = max(glyphs[names[ord(c)]].yMax for c in "left") / glyphs[names[ord("1")]].yMax
    page = opened(print_full_size(long_sign(units=units), "strip", "long"))[0]
    assert all(3.5 <= high <= 3.5 * share + 0.15 for high in heights_of(page)) and heights_of(page)
    small = opened(print_full_size(crowded(), "strip", "long"))[1]
    assert all(1.7 < high < 2.2 for high in heights_of(small)) and heights_of(small)


# Round an arc. --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("radius", "up"), [(260.0, True), (260.0, False), (700.0, True)])
def test_the_strip_of_a_curve_is_its_band_with_marks_at_their_arc_lengths(radius, up):
    """Each mark points at the circle's middle and begins on it, radially under the edge: angle = length / radius."""
    one = round_word(radius, up)
    sign = sign_of(parts_of(one), (900, 1100))
    (page,) = opened(print_full_size(sign, "strip", "long"))
    lines = lines_of(page)
    rim = next(line for line in of_weight(lines, 0.5) if len(line.points) > 9).points
    middle, found = middle_of(rim[0], rim[len(rim) // 2], rim[-1])
    assert found == pytest.approx(radius, abs=0.2)
    marks = [line.points for line in of_weight(lines, 0.35) if len(line.points) == 2]
    side = 1 if up else -1
    for (x, y), (x2, y2) in marks:
        begin, end, long = (
            math.dist((x, y), middle),
            math.dist((x2, y2), middle),
            math.dist((x, y), (x2, y2)),
        )
        assert begin == pytest.approx(radius, abs=0.15) and end - begin == pytest.approx(
            -side * long, abs=0.02
        )
    angles = [math.atan2(side * (y - middle[1]), x - middle[0]) for (x, y), _ in marks]
    lengths = sorted((max(angles) - angle) * radius for angle in angles)
    edges = [
        (area.left_mm - one.drawn[0].left_mm, area.right_mm - one.drawn[0].left_mm)
        for area in one.drawn
    ]
    wanted = sorted(at for left, right in edges for at in (left, (left + right) / 2, right))
    assert lengths == pytest.approx(
        wanted, abs=0.2
    )  # as near as the baseline is found from the outlines alone


def middle_of(a, b, c) -> tuple[tuple[float, float], float]:
    """The middle and the radius of the circle through three points (closed form)."""
    (ax, ay), (bx, by), (cx, cy) = a, b, c
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    squares = [x * x + y * y for x, y in (a, b, c)]
    x = (squares[0] * (by - cy) + squares[1] * (cy - ay) + squares[2] * (ay - by)) / d
    y = (squares[0] * (cx - bx) + squares[1] * (ax - cx) + squares[2] * (bx - ax)) / d
    return (x, y), math.dist((x, y), a)


# Drilling. ------------------------------------------------------------------------------------------------------------


def test_the_drilling_template_has_each_hole_at_its_place_and_of_its_shape():
    fixings = four_fixings(900, 300)
    sign = sign_of(parts_of(moved(word("QUAY", BOLD, 80), 200, 100)), (900, 300), fixings=fixings)
    (page,) = opened(print_full_size(sign, "drilling", "long"))
    lines = lines_of(page)
    corners = [line.points[1] for line in of_weight(lines, 0.5) if len(line.points) == 3]
    x0, y0 = min(x for x, _ in corners), min(y for _, y in corners)
    for fixing in fixings:
        at = (x0 + fixing.x_mm, y0 + fixing.y_mm)
        crossing = [
            line
            for line in of_weight(lines, 0.13)
            if len(line.points) == 2 and _is_middle(line, at)
        ]
        assert len(crossing) == 2, "a cross"
        holes = [
            line
            for line in of_weight(lines, 0.25)
            if len(line.points) > 20 and _is_middle(line, at)
        ]
        assert len(holes) == 1
        turn = math.radians(
            fixing.turn_deg
        )  # the box of a slot: its straight part turned, and its width round it
        assert holes[0].wide == pytest.approx(
            fixing.hole_mm + fixing.slot_mm * abs(math.cos(turn)), abs=0.05
        )
        assert holes[0].high == pytest.approx(
            fixing.hole_mm + fixing.slot_mm * abs(math.sin(turn)), abs=0.05
        )
    said = said_on([page])
    assert "1: 25 from the left, 31 up" in said and "slot 5.3 × 9.5 mm" in said
    assert said.count("fixed point") >= 1 and "2: 450 from the left, 150 up" in said


def _is_middle(line, at) -> bool:
    middle = (line.left + line.wide / 2, line.bottom + line.high / 2)
    return math.dist(middle, at) < 0.1


@pytest.mark.parametrize("paper", ["long", "a4"])
def test_the_drilling_template_has_a_level_line_and_tells_to_be_careful(paper):
    sign = sign_of(
        parts_of(moved(word("QUAY", BOLD, 80), 200, 100)),
        (900, 300),
        fixings=four_fixings(900, 300),
    )
    document = opened(print_full_size(sign, "drilling", paper))
    said = said_on(document)
    for words in (
        "hidden cables and pipes",
        "eye protection",
        "trained",
        "two people",
        "data sheet",
        "This line is level",
    ):
        assert words in said
    if paper == "long":
        assert any(
            line.high < 0.001 and abs(line.wide - 900) < 0.1
            for line in of_weight(lines_of(document[0]), 0.5)
        )
    else:
        assert all("hidden cables" in said_on([page]) for page in document), "on every sheet"


def test_no_drilling_template_without_fixings():
    with pytest.raises(Refused, match="No fixings are planned for J-1001 A"):
        print_full_size(long_sign(), "drilling", "a4")


# On their page. -------------------------------------------------------------------------------------------------------


@cache
def signs_with_trouble():
    arcs = [
        sign_of(parts_of(round_word(radius, up)), (900, 900), fixings=four_fixings(900, 900))
        for radius, up in ((150.0, True), (160.0, False))
    ]
    return [crowded(), crowded(units="in", inch_fraction=32, datum="centre line"), *arcs]


@pytest.mark.parametrize(
    ("what", "paper"), [(what, paper) for what, paper in ALL if paper != "letter"]
)
def test_no_text_leaves_its_page_nor_the_white_edge_that_printers_need(what, paper):
    for sign in signs_with_trouble():
        for page in opened(print_full_size(sign, what, paper)):
            wide, high = (side * POINT for side in page.get_size())
            for text in texts_of(page):
                left, bottom, right, top = text.box
                assert left > 6 and bottom > 6 and right < wide - 6 and top < high - 6, text


@pytest.mark.parametrize(
    ("what", "paper"), [("strip", "a4"), ("template", "letter"), ("drilling", "a4")]
)
def test_the_words_of_a_drawing_stand_on_a_sheet_each(what, paper):
    """None is lost at a join: all that the long page says is said on the sheets too."""
    sign = sign_of(
        parts_of(moved(word("QUAY ROAD", BOLD, 60), 40, 100)),
        (700, 330),
        fixings=four_fixings(700, 330),
    )
    whole = {
        text.said for page in opened(print_full_size(sign, what, "long")) for text in texts_of(page)
    }
    wanted = {
        said
        for said in whole
        if re.match(r"\d+ [A-Z]$|centre \d|left|right|0 =|\d: |hole|slot|This line", said)
    }
    assert wanted and wanted <= {
        text.said for page in opened(print_full_size(sign, what, paper)) for text in texts_of(page)
    }


def test_the_same_sign_gives_the_same_bytes():
    for what, paper in (("strip", "a4"), ("template", "long"), ("drilling", "letter")):
        sign = sign_of(
            parts_of(moved(word("QUAY", BOLD, 80), 200, 100)),
            (600, 300),
            fixings=four_fixings(600, 300),
        )
        assert print_full_size(sign, what, paper) == print_full_size(replace(sign), what, paper)
    day = date(2027, 3, 9)
    assert print_full_size(sign, "strip", "a4", printed_on=day) == print_full_size(
        sign, "strip", "a4", printed_on=day
    )
    assert b"D:2000" in print_full_size(sign, "strip", "long"), "no day of its own"


# Large ones. ----------------------------------------------------------------------------------------------------------


def test_what_is_longer_than_a_pdf_page_can_be_is_divided_and_says_so():
    """A page is at most 14,400 points long, 5.08 m (ISO 32000-1, annex C; from memory)."""
    sign = board_of(box(300, 100, 9000, 400))
    document = opened(print_full_size(sign, "template", "long"))
    assert all(side <= 14_400 for page in document for side in page.get_size())
    assert "5.08 m" in said_on([document[0]])
    moves, off = joined(list(document)[1:])
    assert len(moves) == 2 and off < 0.1
    plan = planned(sign, "template", "long")
    assert plan.sheets == 2 and plan.has_cover and max(plan.page) <= 5080


def test_more_sheets_than_anybody_joins_are_refused_with_what_to_do():
    panels = [
        PlacedPart(n, n, "panel", 1, box(200 * (n % 100), 200 * (n // 100), 190, 190))
        for n in range(2, 2400)
    ]
    sign = replace(long_sign(), parts=tuple(panels), rows=(), width_mm=20_000.0, height_mm=4_800.0)
    with pytest.raises(Refused, match="sheets: choose one level, or one long page"):
        planned(sign, "template", "a4")


@pytest.mark.parametrize("what", ["strip", "template"])
def test_ten_times_the_letters_take_ten_times_as_long_at_most(what):
    signs = {count: rows_of_letters(count) for count in (50, 500)}
    assert grows_at_most(14, lambda count: print_full_size(signs[count], what, "a4"), 50, 500)


def test_each_of_five_hundred_letters_is_named_on_the_strips():
    signs = {500: rows_of_letters(500)}
    said = said_on(opened(print_full_size(signs[500], "strip", "long")))
    assert {int(number) for number in re.findall(r"no\. (\d+)", said)} == set(range(2, 502))


def test_one_line_of_five_hundred_letters_grows_with_its_letters():
    lines = {}
    for count in (50, 500):
        lefts = accumulate([20.0] + [18.0 + n % 5 for n in range(count - 1)])
        letters = [
            PlacedPart(n, n, "I", 1, box(left, 20, 12, 60)) for n, left in enumerate(lefts, 2)
        ]
        lines[count] = sign_of(letters, (11_000.0, 120.0))
    assert grows_at_most(14, lambda count: print_full_size(lines[count], "strip", "a4"), 50, 500)
