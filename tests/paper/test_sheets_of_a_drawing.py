"""How a drawing lies on sheets, by brute force with shapely: what is printed, what is left out, what overlaps."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shopfloor.paper.tiles import EDGE, OVERLAP, laid_out
from shopfloor.scenes.full_size import Drawing, Stroke, circle, slot

SIZES = {"a4": [210.0, 297.0], "letter": [8.5 * 25.4, 11 * 25.4]}  # ISO 216; 8.5 × 11 in


def drawing_of(*lines, size=(0.0, 0.0, 900.0, 700.0)) -> Drawing:
    return Drawing("a drawing", tuple(Stroke(line) for line in lines), (), size)


places = st.tuples(st.floats(0, 900), st.floats(0, 700))
drawings = st.lists(st.tuples(places, places), min_size=1, max_size=4).map(
    lambda lines: drawing_of(*lines)
)


@settings(max_examples=30)
@given(drawings, st.sampled_from(["a4", "letter"]))
def test_each_line_is_printed_and_a_sheet_is_left_out_only_where_there_is_none(drawing, paper):
    layout = laid_out(drawing, paper)
    assert sorted(layout.page) == pytest.approx(SIZES[paper])
    ink = shapely.MultiLineString([stroke.points for stroke in drawing.strokes])
    windows = {spot: shapely.box(*layout.window_of(*spot)) for spot in _all(layout)}
    assert shapely.union_all([windows[spot] for spot in layout.kept]).buffer(1e-6).covers(ink)
    bearing = {spot for spot, window in windows.items() if window.intersects(ink)}
    assert bearing <= set(layout.kept)
    if _hang_together(bearing):
        assert bearing == set(layout.kept)


@settings(max_examples=25)
@given(drawings, st.sampled_from(["a4", "letter"]))
def test_the_sheets_can_be_joined_side_by_side_to_one(drawing, paper):
    assert _hang_together(set(laid_out(drawing, paper).kept))


def _all(layout):
    return [(row, column) for row in range(layout.rows) for column in range(layout.columns)]


def _hang_together(spots: set) -> bool:
    """Whether sheets hang together by their sides: the areas of unit squares, which touch at corners only, are one."""
    return (
        shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in spots]).geom_type
        == "Polygon"
    )


def test_neighbouring_windows_overlap_by_ten_millimetres_and_stay_off_the_white_edge():
    layout = laid_out(drawing_of(((0, 0), (900, 700)), ((0, 700), (900, 0))), "a4")
    for row, column in layout.kept:
        left, bottom, right, top = layout.window_of(row, column)
        assert layout.window_of(row, column + 1)[0] == pytest.approx(right - OVERLAP)
        assert layout.window_of(row + 1, column)[3] == pytest.approx(bottom + OVERLAP)
    assert (
        right - left + 2 * EDGE == pytest.approx(layout.page[0])
        and top - bottom < layout.page[1] - 2 * EDGE
    )


def test_paper_is_turned_so_that_fewer_sheets_are_needed():
    """A strip of 2 m × 100 mm: 297 mm on its side shows 281 mm, 271 of them new; upright 194 and 184."""
    flat = laid_out(drawing_of(((0, 50), (2000, 50)), size=(0, 0, 2000, 100)), "a4")
    assert (
        flat.page == (297.0, 210.0) and len(flat.kept) == 8
    )  # 10 + 8 × 271 = 2178 ≥ 2000 > 10 + 7 × 271
    upright = laid_out(drawing_of(((50, 0), (50, 2000)), size=(0, 0, 100, 2000)), "a4")
    assert upright.page == (210.0, 297.0)


def test_a_cross_stands_on_all_sheets_round_it_at_one_place():
    crossing = (
        ((0, 0), (900, 700)),
        ((0, 700), (900, 0)),
        ((0, 0), (0, 700)),
        ((0, 350), (900, 350)),
    )
    layout = laid_out(drawing_of(*crossing), "a4")
    spots: dict[str, set] = {}
    for spot in layout.kept:
        for cross in layout.crosses_of(*spot):
            left, bottom, right, top = layout.window_of(*spot)
            assert left < cross.x < right and bottom < cross.y < top
            spots.setdefault(cross.name, set()).add((round(cross.x, 6), round(cross.y, 6)))
    assert len(spots) > 3 and all(len(some) == 1 for some in spots.values())


def test_a_circle_is_round_to_a_tenth_of_a_percent_and_a_slot_has_the_area_of_its_formula():
    """πd²/4 and πw²/4 + w·l."""
    ring = shapely.Polygon(circle((7, 9), 20).points)
    assert (
        max(
            abs(shapely.Point(7, 9).distance(shapely.Point(point)) - 20)
            for point in ring.exterior.coords
        )
        < 1e-9
    )
    assert ring.area == pytest.approx(3.141592653589793 * 400, rel=0.002)
    hole = shapely.Polygon(slot((7, 9), 6, 10, 35).points)
    assert hole.area == pytest.approx(3.141592653589793 * 9 + 60, rel=0.001)
    assert (hole.centroid.x, hole.centroid.y) == pytest.approx((7, 9))
    a, b, c = shapely.get_coordinates(hole.minimum_rotated_rectangle)[:3]
    assert sorted(map(math.hypot, *zip(b - a, c - b, strict=True))) == pytest.approx(
        [6, 16], abs=0.02
    )
