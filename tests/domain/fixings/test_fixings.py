"""Fixing holes: their places and sizes, against shapely and closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, affinity
from shop_for_tests import box, grows_at_most

from shopfloor.domain.fixings.expansion import Site
from shopfloor.domain.fixings.fixings import (
    CLEARANCE_MM,
    EDGE_HOLES,
    Base,
    Fixing,
    drawn,
    hole_for,
    movement_mm,
    planned,
    slot_line,
    washer_for,
    what_changed,
)
from shopfloor.domain.fixings.screw_places import Cover, FixingPlan
from shopfloor.domain.outlines import Outline
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import text

HARBOUR = Site(-10.0, 50.0)
PLAN = FixingPlan(4.0, 25.0, 3, 2, "masonry", 10.0)
BOARD = Base("board", box(0, 0, 1200, 600), 70.0)


def of(shape: Polygon) -> Outline:
    return Outline.of_polygon(shape)


def disc(x: float, y: float, wide: float, corners: int = 16) -> Polygon:
    return Point(x, y).buffer(wide / 2, quad_segs=corners // 4)


def with_holes(*holes: Polygon, size=(1200, 600)) -> Base:
    board = Polygon([(0, 0), (size[0], 0), size, (0, size[1])])
    for hole in holes:
        board = board.difference(hole)
    return Base("board", of(board), 70.0)


# Sizes. ---------------------------------------------------------------------------------------------------------------


def test_a_hole_moves_by_its_distance_times_the_difference_times_the_warmth():
    """550 mm × (70 − 10) millionths × 31 K (from 21 °C down to −10 °C, more than the 29 K up) = 1.023 mm."""
    assert movement_mm(550, 70, 10, HARBOUR) == pytest.approx(1.023)
    assert movement_mm(550, 10, 70, HARBOUR) == pytest.approx(1.023)
    assert movement_mm(550, 70, 10, Site(0.0, 60.0)) == pytest.approx(550 * 60e-6 * 39)


@pytest.mark.parametrize(
    ("movement", "hole", "slot"),
    [(0, 4.5, 0), (1.0, 6.5, 0), (2.0, 8.5, 0), (2.01, 4.5, 4.1), (3.0, 4.5, 6.0), (1.02, 6.6, 0)],
)
def test_little_movement_makes_a_larger_hole_and_much_a_slot(movement, hole, slot):
    assert hole_for(4.0, movement) == (pytest.approx(hole), pytest.approx(slot))


@given(st.floats(2, 12), st.floats(0, 20))
def test_every_hole_lets_its_screw_move_both_ways(screw, movement):
    """The screw's circle at either end of its way lies within the hole, half the clearance round it: shapely's distances."""
    hole, slot = hole_for(screw, movement)
    middle = LineString([(-slot / 2, 0), (slot / 2, 0)]) if slot else Point(0, 0)
    for way in (-movement, movement):
        rim = middle.distance(Point(way, 0)) + screw / 2
        assert rim <= hole / 2 - (CLEARANCE_MM / 2 if slot or movement else 0) + 1e-6


# Places. --------------------------------------------------------------------------------------------------------------


def test_a_plain_board_has_its_holes_spread_over_it_and_the_fixed_point_nearest_to_its_middle():
    """Inset 25 mm: x 25, 600, 1175; y 575 and 25. From the fixed point no. 2 (600, 575) no. 1 is 575 mm away:
    575 × 60 millionths × 31 K = 1.0695 mm, so 4.5 + 2.139 = 6.639, taken up to 6.7."""
    fixings = planned(PLAN, [BOARD], [], HARBOUR).fixings
    assert [(fixing.number, fixing.x_mm, fixing.y_mm) for fixing in fixings] == [
        (1, 25, 575),
        (2, 600, 575),
        (3, 1175, 575),
        (4, 25, 25),
        (5, 600, 25),
        (6, 1175, 25),
    ]
    assert [fixing.is_fixed_point for fixing in fixings] == [
        False,
        True,
        False,
        False,
        False,
        False,
    ]
    assert (fixings[1].hole_mm, fixings[1].slot_mm, fixings[0].hole_mm, fixings[0].slot_mm) == (
        4.5,
        0,
        6.7,
        0,
    )
    assert fixings[0].wall_mm == 4.0


def test_slots_of_a_long_board_point_to_the_fixed_point():
    """3,000 mm: 1,450 × 60 millionths × 31 K = 2.697 mm each way, more than 2: slots of 5.4 mm over their width of 5.5."""
    long = Base("board", box(0, 0, 3000, 300), 70.0)
    fixings = planned(FixingPlan(5.0, 50.0, 3, 1, "masonry", 10.0), [long], [], HARBOUR).fixings
    assert [(fixing.hole_mm, fixing.slot_mm, fixing.turn_deg) for fixing in fixings] == [
        (5.5, 5.4, 0),
        (5.5, 0, 0),
        (5.5, 5.4, 180),
    ]
    corners = planned(FixingPlan(5.0, 50.0, 2, 2, "masonry", 10.0), [long], [], HARBOUR).fixings
    fixed, across = Point(corners[0].x_mm, corners[0].y_mm), corners[3]
    assert corners[0].is_fixed_point
    near, far = sorted(fixed.distance(Point(end)) for end in slot_line(across).coords)
    middle = fixed.distance(Point(across.x_mm, across.y_mm))
    assert (middle - near, far - middle) == (pytest.approx(across.slot_mm / 2),) * 2, (
        "a slot lies along the way it moves"
    )


def test_each_section_has_its_own_columns_and_fixed_point_and_the_numbers_run_on():
    sections = [Base(name, box(x, 0, 600, 600), 70.0) for name, x in (("left", 0), ("right", 603))]
    fixings = planned(PLAN, sections, [], HARBOUR).fixings
    assert [fixing.number for fixing in fixings] == list(range(1, 13))
    assert [fixing.number for fixing in fixings if fixing.is_fixed_point] == [2, 8]


def test_a_screw_is_moved_aside_from_under_a_letter_where_it_can():
    letter = Cover("B", box(580, 560, 40, 30))
    layout = planned(PLAN, [BOARD], [letter], HARBOUR)
    second = layout.fixings[1]
    assert (
        layout.covered == ()
        and letter.outline.polygon.distance(Point(second.x_mm, second.y_mm)) >= 4.0
    )
    assert BOARD.outline.polygon.boundary.distance(Point(second.x_mm, second.y_mm)) >= 25 - 1e-6


@pytest.mark.parametrize(
    ("hole", "washer"), [(4.5, 0), (6.0, 0), (6.1, 8.2), (8.0, 12.0), (8.1, 12.2)]
)
def test_a_washer_covers_its_hole_wherever_the_screw_stands_in_it(hole, washer):
    """A 4 mm screw's head of 8 mm (twice the screw: from memory). At the side of its hole the screw is (hole − 4) / 2 off its
    middle: shapely says whether the disc about it still holds the whole hole."""
    fixing = Fixing(1, 0, 0, hole, 0, 0, False, 4.0)
    assert washer_for(fixing) == pytest.approx(washer)
    aside, rim = Point((hole - 4.0) / 2, 0), Point(0, 0).buffer(hole / 2, quad_segs=32).exterior
    assert rim.hausdorff_distance(aside) <= (washer or 8.0) / 2 + 1e-6
    assert washer_for(replace(fixing, slot_mm=5.0)) == 0.0, (
        "a slot carries the head on its long sides"
    )


def test_a_head_or_washer_that_reaches_a_part_is_told_apart_from_a_hole_under_one():
    """The panel begins 4 mm beside hole 1: its 4 mm screw's head reaches 4 mm, its washer (hole 6.7: 9.4 mm) 4.7 mm."""
    lone = FixingPlan(4.0, 25.0, 3, 2, "masonry", 10.0)
    beside = Cover("panel", box(29.5, 400, 100, 190))
    layout = planned(lone, [BOARD], [beside], HARBOUR)
    assert washer_for(layout.fixings[0]) == pytest.approx(9.4)
    assert (layout.covered, layout.touched) == ((), ((1, "panel"),))
    clear = planned(lone, [BOARD], [Cover("panel", box(30, 400, 100, 190))], HARBOUR)
    assert (clear.covered, clear.touched) == ((), ())


def rounded(radius: float) -> Base:
    board = Polygon([(0, 0), (1200, 0), (1200, 600), (0, 600)])
    return Base("board", of(board.buffer(-radius).buffer(radius, quad_segs=64)), 70.0)


@pytest.mark.parametrize("radius", [40.0, 120.0])
def test_rounded_corners_move_whole_columns_and_rows_in_by_no_more_than_they_must(radius):
    """A hole at (d, d) is (r − d)√2 from the middle of a corner's round, so r − that from the edge: at least 25 mm from
    d = r − (r − 25)/√2 on, taken up to the next whole millimetre. At (d, 25) it needs d = r."""
    layout = planned(PLAN, [rounded(radius)], [], HARBOUR)
    both = math.ceil(radius - (radius - 25) / math.sqrt(2))
    across, up, lines = (
        (both, both, "rows and columns") if 2 * both < radius + 25 else (radius, 25, "columns")
    )
    places = {(x, y) for x in (across, 600, 1200 - across) for y in (up, 600 - up)}
    assert {(fixing.x_mm, fixing.y_mm) for fixing in layout.fixings} == places
    [moved] = layout.moved
    assert str(moved).startswith(
        f"The outer {lines} are {across:.1f} mm from the edges, not 25.0 mm: moved in"
    )
    assert planned(PLAN, [BOARD], [], HARBOUR).moved == ()


def test_rows_stay_where_they_were_planned_where_a_panel_leaves_them_no_room_further_in():
    """A panel 35 mm from every edge: rows at 25 mm keep 10 mm from it; moved in to 30 mm they would keep 5. The columns go to
    where the round ends, 40 mm, and one more since it is drawn as chords within it."""
    panel = Cover("panel", box(35, 35, 1130, 530))
    layout = planned(PLAN, [rounded(40.0)], [panel], HARBOUR)
    assert {fixing.y_mm for fixing in layout.fixings} == {25, 575} and {
        fixing.x_mm for fixing in layout.fixings
    } == {41, 600, 1159}
    assert (layout.covered, layout.touched) == ((), ())


def test_an_outline_that_takes_no_straight_rows_says_so():
    angle = Polygon([(0, 0), (900, 0), (900, 200), (200, 200), (200, 900), (0, 900)])
    layout = planned(
        FixingPlan(4.0, 25.0, 2, 2, "masonry", 10.0), [Base("angle", of(angle), 70.0)], [], HARBOUR
    )
    [note] = layout.moved
    assert str(note).startswith("No room for straight rows") and len(layout.fixings) == 4


def test_a_new_site_says_what_it_changes():
    """2,100 mm long, 1,025 mm to the fixed point: × 60 millionths × 31 K = 1.91 mm each way, a hole; × 41 K = 2.52: a slot."""
    long, plan = (
        Base("board", box(0, 0, 2100, 300), 70.0),
        FixingPlan(4.0, 25.0, 3, 1, "masonry", 10.0),
    )
    usual, colder = (planned(plan, [long], [], Site(least, 50.0)) for least in (-10.0, -20.0))
    assert (
        str(what_changed(usual, colder)) == "2 holes are now slots. Print a new drilling template."
    )
    assert (
        str(what_changed(colder, usual))
        == "2 holes now have another size. Print a new drilling template."
    )
    assert what_changed(usual, usual) is None


def test_a_screw_that_must_lie_under_a_letter_says_so():
    panel = Cover("panel", box(10, 10, 1180, 580))
    layout = planned(PLAN, [BOARD], [panel], HARBOUR)
    assert layout.covered == tuple((number, "panel") for number in range(1, 7))
    assert (
        planned(PLAN, [BOARD], [Cover("dot", panel.outline, is_let_in=True)], HARBOUR).covered == ()
    )


shapes = st.one_of(
    st.builds(
        lambda w, h: Polygon([(0, 0), (w, 0), (w, h), (0, h)]),
        st.floats(150, 3000),
        st.floats(150, 1200),
    ),
    st.builds(
        lambda w, h: affinity.scale(Point(0, 0).buffer(1, quad_segs=24), w, h),
        *[st.floats(99, 1500)] * 2,
    ),
    st.builds(
        lambda w: Polygon([(0, 0), (w, 0), (w, w / 3), (w / 3, w / 3), (w / 3, w), (0, w)]),
        st.floats(400, 1500),
    ),
    st.builds(
        lambda w: Point(0, 0).buffer(w, quad_segs=24).difference(Point(0, 0).buffer(w / 3)),
        st.floats(200, 900),
    ),
)
letters = st.lists(
    st.tuples(st.floats(0, 2800), st.floats(0, 1100), st.floats(10, 400), st.floats(10, 300)),
    max_size=6,
)


@settings(max_examples=80)
@given(
    shapes,
    st.floats(2, 8),
    st.floats(15, 60),
    st.integers(1, 5),
    st.integers(1, 4),
    st.floats(0, 30),
    letters,
)
def test_no_hole_is_nearer_to_an_edge_than_planned_and_each_has_its_room(
    shape, screw, edge, columns, rows, wall, over
):
    base = Base("board", of(shape), 70.0)
    covers = [Cover("B", box(*place)) for place in over]
    layout = planned(FixingPlan(screw, edge, columns, rows, "wall", wall), [base], covers, HARBOUR)
    assert bool(layout.refusal) != bool(layout.fixings)
    polygon, fixed = (
        base.outline.polygon,
        next((fixing for fixing in layout.fixings if fixing.is_fixed_point), None),
    )
    assert sum(fixing.is_fixed_point for fixing in layout.fixings) == (1 if layout.fixings else 0)
    for fixing in layout.fixings:
        place = Point(fixing.x_mm, fixing.y_mm)
        assert polygon.contains(place) and polygon.boundary.distance(place) >= edge - 2e-3
        assert polygon.boundary.distance(_line(fixing)) >= EDGE_HOLES * fixing.hole_mm - 2e-3
        moves = (
            math.hypot(fixing.x_mm - fixed.x_mm, fixing.y_mm - fixed.y_mm) * (70 - wall) * 1e-6 * 31
        )
        assert fixing.hole_mm + fixing.slot_mm >= screw + CLEARANCE_MM + 2 * moves - 1e-3
        assert any(cover.outline.polygon.intersects(place) for cover in covers) == (
            fixing.number in dict(layout.covered)
        )
        head = max(screw, washer_for(fixing) / 2)
        is_met = any(cover.outline.polygon.distance(_line(fixing)) <= head for cover in covers)
        assert is_met == (fixing.number in dict(layout.covered + layout.touched))


def _line(fixing):
    dx, dy = (f(math.radians(fixing.turn_deg)) * fixing.slot_mm / 2 for f in (math.cos, math.sin))
    return LineString([(fixing.x_mm - dx, fixing.y_mm - dy), (fixing.x_mm + dx, fixing.y_mm + dy)])


# What is refused. -----------------------------------------------------------------------------------------------------


def test_holes_too_near_to_an_edge_are_refused_with_the_distance_that_would_do():
    layout = planned(FixingPlan(4.0, 8.0, 3, 2, "masonry", 10.0), [BOARD], [], HARBOUR)
    refusal = str(layout.refusal)
    assert layout.fixings == () and "needs 2 hole diameters: type" in refusal
    needed = float(refusal.split("type ")[1].split(" mm", maxsplit=1)[0])
    assert planned(FixingPlan(4.0, needed, 3, 2, "masonry", 10.0), [BOARD], [], HARBOUR).fixings
    inches = text(layout.refusal, Reader(units="in"))
    needed = 25.4 * float(inches.split("type ")[1].split(" in")[0])
    assert planned(FixingPlan(4.0, needed, 3, 2, "masonry", 10.0), [BOARD], [], HARBOUR).fixings


def test_a_slot_keeps_its_distance_to_its_ends():
    """2,976 mm × 60 millionths × 31 K = 5.54 mm each way: the slot's end is 5.55 mm nearer to the edge than its middle, so
    12 mm leave it less than 2 × 5.5; 11 + 5.55 mm are asked for, taken up to 16.6."""
    long = Base("board", box(0, 0, 3000, 300), 70.0)
    layout = planned(FixingPlan(5.0, 12.0, 2, 1, "masonry", 10.0), [long], [], HARBOUR)
    assert layout.fixings == () and "type 16.6 mm or more" in str(layout.refusal)
    assert planned(FixingPlan(5.0, 16.6, 2, 1, "masonry", 10.0), [long], [], HARBOUR).fixings


@pytest.mark.parametrize(
    ("plan", "base", "says"),
    [
        (
            PLAN,
            Base("strip", box(0, 0, 900, 40), 70.0),
            "strip has no room for a hole 25.0 mm from its edges",
        ),
        (
            PLAN,
            Base("sheet", box(0, 0, 900, 400), None),
            "No expansion is entered for the material of sheet",
        ),
        (
            FixingPlan(6.0, 25.0, 9, 2, "masonry", 10.0),
            Base("sheet", box(0, 0, 150, 400), 70.0),
            "Plan fewer holes",
        ),
    ],
)
def test_what_has_no_room_is_refused(plan, base, says):
    layout = planned(plan, [base], [], HARBOUR)
    assert layout.fixings == () and says in str(layout.refusal)


# Holes that the drawing has. ------------------------------------------------------------------------------------------


def test_round_holes_of_a_screws_size_are_fixings_and_other_holes_are_not():
    """4πA/P²: a square 0.785, a 16-gon 0.987 (π/n ÷ tan π/n); 2 to 30 mm."""
    square = Polygon([(300, 300), (306, 300), (306, 306), (300, 306)])
    others = square, disc(800, 300, 1.5), disc(900, 300, 40)
    base = with_holes(disc(20, 580, 8), disc(600, 300, 8), disc(1180, 20, 8), *others)
    layout = drawn([base], [], HARBOUR)
    assert [
        (fixing.number, round(fixing.x_mm), round(fixing.y_mm), fixing.is_fixed_point)
        for fixing in layout.fixings
    ] == [(1, 20, 580, False), (2, 600, 300, True), (3, 1180, 20, False)]
    assert layout.is_drawn and layout.warnings == ()
    assert [fixing.hole_mm for fixing in layout.fixings] == [pytest.approx(8, abs=2e-3)] * 3


def test_the_screw_of_drawn_holes_is_the_thickest_that_all_leave_room_for():
    """Hole 1 is √(580² + 280²) = 644.0 mm from the fixed point: 644 × 60 millionths × 31 K = 1.198 mm each way, so of 8 mm
    there remain 8 − 0.5 − 2.396 = 5.1: a screw of 5 mm."""
    layout = drawn([with_holes(disc(20, 580, 8), disc(600, 300, 8))], [], HARBOUR)
    assert {fixing.wall_mm for fixing in layout.fixings} == {5.0}


def test_drawn_holes_that_are_too_small_are_told_one_by_one():
    layout = drawn(
        [with_holes(disc(20, 580, 4.5), disc(600, 300, 4.5), disc(620, 300, 4.5))], [], HARBOUR
    )
    warning = str(*layout.warnings)
    assert warning.startswith("Hole 1 of 4.5 mm is too small: the sign moves 1.20 mm each way")
    assert warning.endswith("For a screw of 3 mm, make the hole 5.9 mm.")
    assert {fixing.wall_mm for fixing in layout.fixings} == {3.0}


def test_a_hole_with_an_inlay_in_it_is_no_fixing_and_one_under_a_letter_says_so():
    base = with_holes(disc(100, 300, 20), disc(600, 300, 8))
    inlay = Cover("dot", of(disc(100, 300, 20)), is_let_in=True)
    layout = drawn([base], [inlay, Cover("O", box(590, 250, 60, 100))], HARBOUR)
    assert [(round(fixing.x_mm), fixing.number) for fixing in layout.fixings] == [(600, 1)]
    assert layout.covered == ((1, "O"),)


def test_a_base_without_a_figure_shows_its_holes_and_says_what_is_missing():
    base = with_holes(disc(100, 300, 8), disc(600, 300, 8))
    layout = drawn([Base("board", base.outline, None)], [], HARBOUR)
    assert len(layout.fixings) == 2
    assert "No expansion is entered for the material of board" in str(layout.warnings[0])
    assert drawn([BOARD], [], HARBOUR).fixings == ()


def test_five_thousand_letters_over_a_board_take_no_longer_each_than_five_hundred():
    def work(count):
        covers = [
            Cover("I", box(4 + 20 * (n % 60), 4 + 6 * (n // 60), 15, 4)) for n in range(count)
        ]
        planned(PLAN, [BOARD], covers, HARBOUR)

    assert grows_at_most(30, work, 500, 5000)
