"""The findings of preflight: what is reported, once, where it is in the drawing, and in which units."""

from __future__ import annotations

import math

import pytest
from shapely import Point, Polygon, box
from shop_for_tests import grows_at_most

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.preflight import Sheet, look
from shopfloor.domain.drawing.stacking import ProposedPart, ProposedSign, propose
from shopfloor.domain.outlines import Outline
from shopfloor.domain.settings import Settings

SETTINGS = Settings()
NAVY, CREAM = "#1a2b3c", "#f4efe0"
SHEETS = {NAVY: Sheet("navy 6", 6, 2440, 1220), CREAM: Sheet("cream 6", 6, 2440, 1220)}


def sign(
    *parts: ProposedPart, name: str | None = "gate", left: float = 0, bottom: float = 0
) -> ProposedSign:
    """A sign of these parts, its corner at (left, bottom) of the drawing."""
    width = max(part.outline.bounds[2] for part in parts)
    height = max(part.outline.bounds[3] for part in parts)
    levels = 1 + max(part.level for part in parts)
    return ProposedSign(name, width, height, levels, parts, left_mm=left, bottom_mm=bottom)


def part(number: int, area: Polygon, name: str | None = None, **columns) -> ProposedPart:
    columns = {
        "colour": CREAM if columns.get("on") else NAVY,
        "level": 1 if columns.get("on") else 0,
        "on": None,
    } | columns
    return ProposedPart(
        number, name, outline=Outline.of_polygon(area), line=0, baseline_mm=0, **columns
    )


def board(width: float = 1000, height: float = 600) -> ProposedPart:
    return part(1, box(0, 0, width, height), "board")


def found(kind: str, *signs: ProposedSign, sheets=SHEETS, settings=SETTINGS):
    return [one for one in look(signs, sheets, settings) if one.kind == kind]


def block(x: float, y: float, side: float = 100) -> Polygon:
    return box(x, y, x + side, y + side)


def test_a_plain_sign_gives_no_finding():
    letters = part(2, block(50, 50), "A", on=1), part(3, block(200, 50), "B", on=1)
    assert look([sign(board(), *letters)], SHEETS, SETTINGS) == ()


def test_a_narrow_stroke_is_told_in_millimetres_and_drawn_where_it_lies():
    (one,) = found(
        "narrow", sign(board(), part(2, box(50, 50, 53, 150), "I", on=1), left=20, bottom=400)
    )
    assert (
        "'I' (no. 2) is about 3 mm wide in 1 place, 300 mm² in all, narrower than the 6.35 mm cutter"
        in one.sentence
    )
    assert Polygon(one.line).equals(box(70, 450, 73, 550))
    assert box(70, 450, 73, 550).contains(Point(one.at))


def test_inner_corners_are_told_once_for_all_letters_alike():
    letter = box(0, 0, 60, 100).difference(box(20, 30, 60, 100))
    places = [(40.05 + 100.03 * column, 50 + 150 * row) for row in range(2) for column in range(6)]
    alike = [  # each place rounded to 0.1 mm, as drawing programs do
        part(
            number,
            Polygon([(round(x + a, 1), round(y + b, 1)) for a, b in letter.exterior.coords]),
            "L",
            on=1,
        )
        for number, (x, y) in enumerate(places, start=2)
    ]
    (one,) = found("corner", sign(board(), *alike))
    assert one.sentence.startswith(
        "'L' (no. 2) (and 11 like it) has 1 inside corner that the 6.35 mm cutter cannot"
    )
    assert f"{3.175**2 * (1 - math.pi / 4):.1f} mm²" in one.sentence
    assert math.dist(one.at, (60, 80)) < 2


def test_a_hole_smaller_than_the_cutter_is_told_as_one_that_it_cannot_enter():
    (one,) = found(
        "corner", sign(part(1, block(0, 0, 300).difference(box(100, 100, 102, 140)), "board"))
    )
    assert (
        "has 1 hole that the 6.35 mm cutter cannot enter: 80 mm² of material stays there"
        in one.sentence
    )


def test_parts_are_named_with_their_sign_where_there_are_several():
    thin = part(2, box(50, 50, 53, 150), None, on=1)
    (one,) = found("narrow", sign(board(), thin), sign(board(), thin, name="quay", left=2000))
    assert one.sentence.startswith("Part 2 of sign 'gate' (and 1 like it) is about 3 mm wide")


@pytest.mark.parametrize(
    ("gap", "is_found"), [(0.3, True), (0.49, True), (0.5, False), (0.7, False)]
)
def test_neighbours_nearer_than_half_a_millimetre_are_reported(gap, is_found):
    findings = found(
        "near",
        sign(board(), part(2, block(50, 50), "A", on=1), part(3, block(150 + gap, 50), "B", on=1)),
    )
    assert bool(findings) is is_found
    if is_found:
        assert findings[0].sentence.startswith(
            f"'A' (no. 2) and 'B' (no. 3) are {gap:g} mm apart, less than 0.5 mm"
        )
        assert math.dist(*findings[0].line) == pytest.approx(gap, abs=0.002)


def test_neighbours_that_touch_are_told_at_a_point():
    (one,) = found(
        "near", sign(board(), part(2, block(50, 50), "A", on=1), part(3, block(150, 50), "B", on=1))
    )
    assert "touch each other" in one.sentence
    assert (one.at[0], one.line) == (150, ())


def test_an_inlay_is_no_neighbour_of_what_it_fills_and_overhangs_nothing():
    frame = part(2, block(50, 50).difference(block(70, 70, 60)), "frame", on=1)
    inlay = part(3, block(70, 70, 60), "eye", on=1, also_on=(2,), inlay_in=2)
    assert look([sign(board(), frame, inlay)], SHEETS, SETTINGS) == tuple(
        found("corner", sign(board(), frame, inlay))
    )
    alone = part(3, block(70, 70, 60), "eye", on=1)
    assert len(found("near", sign(board(), frame, alone))) == 1


def test_parts_of_two_levels_and_of_two_signs_are_no_neighbours():
    lower, upper = (
        part(2, block(50, 50), "A", on=1),
        part(3, block(50.2, 50.2, 99.6), "B", on=2, level=2),
    )
    assert found("near", sign(board(), lower, upper), sign(board(), name="quay", left=1000.2)) == []


def test_a_row_of_pairs_alike_is_told_once():
    pairs = [part(2 + step, block(50 + 100.2 * step, 50), "A", on=1) for step in range(5)]
    (one,) = found("near", sign(board(), *pairs))
    assert one.sentence.startswith(
        "'A' (no. 2) and 'A' (no. 3) (and 3 pairs like them) are 0.2 mm apart"
    )


def test_an_overhang_is_told_as_a_share_of_the_part():
    (one,) = found("overhang", sign(board(), part(2, block(975, 50), "A", on=1), left=10))
    assert "'A' (no. 2) overhangs what is under it by 75 % of its area, 7500 mm²" in one.sentence
    assert Polygon(one.line).equals(box(1010, 50, 1085, 150))


def test_a_part_that_bridges_two_panels_overhangs_the_gap_only():
    left, right = board(500), part(2, box(520, 0, 1000, 600), "second board")
    (one,) = found("overhang", sign(left, right, part(3, block(460, 50), "A", on=1, also_on=(2,))))
    assert "20 % of its area, 2000 mm²" in one.sentence
    close = part(2, box(500.05, 0, 1000, 600), "second board")
    assert found("overhang", sign(left, close, part(3, block(460, 50), "A", on=1))) == [], (
        "a joint carries"
    )


def test_a_face_on_two_carriers_of_the_level_below_lies_on_both():
    one, other = (
        part(2, box(50, 50, 150, 150), "A", on=1),
        part(3, box(150, 50, 250, 150), "B", on=1),
    )
    assert (
        found(
            "overhang",
            sign(board(), one, other, part(4, box(60, 60, 240, 140), "C", on=2, level=2)),
        )
        == []
    )


@pytest.mark.parametrize(
    ("turns", "size", "fits"),
    [
        ("any", (2416, 1196), True),
        ("any", (2417, 100), True),  # from corner to corner
        ("any", (2700, 100), False),
        ("180", (1000, 1300), False),
        ("none", (1000, 1300), False),
        ("any", (1000, 1300), True),
    ],
)
def test_a_part_larger_than_the_sheet_less_its_margin_is_reported(turns, size, fits):
    sheets = {NAVY: Sheet("navy 6", 6, 2440, 1220, turns)}
    findings = found("too large", sign(board(*size), left=5), sheets=sheets)
    assert (findings == []) is fits
    if not fits:
        assert f"measures {size[0]} × {size[1]} mm. " in findings[0].sentence
        assert Polygon(findings[0].line).equals(box(5, 0, 5 + size[0], size[1]))


def test_a_colour_without_a_sheet_is_not_measured_against_one():
    assert look([sign(board(9000))], {}, SETTINGS) == ()


def test_small_parts_that_will_not_hold_are_told_once_for_their_stock():
    dots = [part(2 + step, block(50 + 40 * step, 50, 10 + step), "i", on=1) for step in range(12)]
    (one,) = found("will not hold", sign(board(), *dots))
    assert one.sentence.startswith("12 parts of cream 6 will not hold")
    assert "(smallest: 'i' (no. 2), 100 mm²)" in one.sentence
    assert Polygon(one.line).equals(box(50, 50, 60, 60))
    (one,) = found("will not hold", sign(board(), *dots), settings=Settings(gauge_inhg=24.0))
    assert one.sentence.startswith("5 parts of cream 6"), "10² to 14² mm²; 15² holds with a skin"


def test_a_sign_of_40_m_is_suspected_to_be_in_another_unit():
    (one,) = found("scale", sign(board(40_000, 8_000)))
    assert one.sentence == (
        "Sign 'gate' of 40000 × 8000 mm is too large for one sign. Check the drawing's units. "
        "If millimetres were taken for centimetres, the right size is 4000 × 800 mm."
    )


def test_letters_of_4_mm_and_a_sign_of_12_mm_are_suspected():
    letters = [
        part(2 + step, box(10 + 6 * step, 10, 13 + 6 * step, 14), "A", on=1) for step in range(10)
    ]
    (one,) = found("scale", sign(board(100, 60), *letters))
    assert "has letters of 4 mm; 10 of 10 parts are that small" in one.sentence
    (one,) = found("scale", sign(board(12, 8)))
    assert one.sentence.endswith(
        "If inches were taken for millimetres, the right size is 304.8 × 203.2 mm."
    )


def test_one_comma_among_letters_is_no_question_of_scale():
    comma = part(2, box(10, 10, 13, 14), ",", on=1)
    letters = part(3, block(50, 50), "A", on=1), part(4, block(200, 50), "B", on=1)
    assert found("scale", sign(board(), comma, *letters)) == []


def test_signs_as_the_stacking_proposes_them_are_looked_at_in_drawing_coordinates():
    drawn = [
        DrawnOutline(Outline.of_polygon(box(100, 200, 1100, 800)), NAVY, "board", None, 0),
        DrawnOutline(Outline.of_polygon(box(1050, 300, 1150, 400)), CREAM, "A", None, 1),
    ]
    (one,) = found("overhang", *propose(drawn))
    assert Polygon(one.line).equals(box(1100, 300, 1150, 400))


def crowd(count: int) -> ProposedSign:
    """A board with `count` round-cornered letters of sixty points, forty different ones."""
    across = math.ceil(math.sqrt(count))
    turns = [2 * math.pi * step / 60 for step in range(60)]
    letters = []
    for place in range(count):
        lobes, depth = 2 + place % 5, 0.1 + 0.05 * (place % 8)
        x, y = 60.123 + 110.01 * (place % across), 60.456 + 110.01 * (place // across)
        sizes = [30 * (1 + depth * math.sin(lobes * turn)) for turn in turns]
        ring = [
            (x + size * math.cos(turn), y + size * math.sin(turn))
            for size, turn in zip(sizes, turns, strict=True)
        ]
        letters.append(part(2 + place, Polygon(ring), "A", on=1))
    return sign(board(110.01 * across + 20, 110.01 * across + 20), *letters)


def test_ten_times_the_parts_take_about_ten_times_as_long():
    crowds = {count: [crowd(count)] for count in (300, 3_000)}
    assert grows_at_most(20, lambda count: look(crowds[count], SHEETS, SETTINGS), 300, 3_000)


def test_shapes_past_what_a_page_can_wait_for_are_counted_and_said():
    """A drawing of 400 rough shapes of 600 points each, all different: 150,000 points are looked at, the rest is named."""

    def rough(place: int) -> Polygon:
        turns = [2 * math.pi * n / 600 for n in range(600)]
        far = [30 + math.sin(turn * (3 + place % 7)) + 0.01 * place for turn in turns]
        x, y = 100 * (place % 20) + 60, 100 * (place // 20) + 60
        return Polygon(
            [
                (x + r * math.cos(turn), y + r * math.sin(turn))
                for r, turn in zip(far, turns, strict=True)
            ]
        )

    many = found(
        "corner", sign(board(2200, 2200), *(part(place + 2, rough(place)) for place in range(400)))
    )
    assert (
        "151 more shapes were not checked" in many[-1].sentence
    )  # the board's 4 points and 249 shapes come before


def test_two_letters_drawn_over_each_other_on_one_level_are_reported():
    """60 × 15 mm of two blocks of 60 mm: 900 mm², by hand."""
    over = sign(
        board(),
        part(2, block(100, 100, 60), "O", on=1, level=1),
        part(3, block(145, 100, 60), "R", on=1, level=1),
    )
    (finding,) = found("overlap", over)
    assert "'O' (no. 2) and 'R' (no. 3)" in finding.sentence and "900 mm²" in finding.sentence
    assert not found("near", over), "once is enough"
    apart = sign(
        board(),
        part(2, block(100, 100, 60), "O", on=1, level=1),
        part(3, block(165, 100, 60), "R", on=1, level=1),
    )
    assert not found("overlap", apart)


def test_half_of_a_letter_over_the_edge_of_its_panel_hangs_over_the_board_by_a_thickness():
    """The letter lies on the panel and over the bare board beside it: half of it lies on nothing."""
    panel = part(2, box(100, 100, 300, 300), "panel", on=1, level=1)
    (finding,) = found(
        "overhang", sign(board(), panel, part(3, block(250, 150), "R", on=2, also_on=(1,), level=2))
    )
    assert "by 50 % of its area" in finding.sentence
