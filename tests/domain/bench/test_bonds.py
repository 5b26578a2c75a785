"""Areas of joints against closed forms and shapely, and the cement that they need."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point
from shop_for_tests import box, grows_at_most

from shopfloor.domain.bench.bonds import Joint, bond_areas, cement_ml
from shopfloor.domain.outlines import Outline


def area(outline, *under, thickness=6.0):
    return bond_areas([Joint(1, outline, under, thickness)])[1]


def ring(outer, inner, x=0.0, y=0.0):
    """A ring of shapely's circles with 256 sides: within 0.02 % of the true area (its regular polygon's closed form)."""
    return Outline.of_polygon(
        Point(x, y).buffer(outer, 64).difference(Point(x, y).buffer(inner, 64))
    )


def test_what_lies_wholly_on_a_board_is_joined_with_its_whole_face():
    assert area(box(10, 10, 90, 40), box(0, 0, 600, 300)) == 3600


def test_a_letter_with_a_hole_is_joined_without_the_hole():
    assert area(ring(50, 30, 100, 100), box(0, 0, 600, 300)) == pytest.approx(
        math.pi * (50**2 - 30**2), rel=5e-4
    )


def test_a_part_that_bridges_two_panels_is_joined_to_both_and_not_over_the_gap():
    left, right = box(0, 0, 100, 80), box(120, 0, 100, 80)
    assert area(box(40, 10, 140, 50), left, right) == pytest.approx(
        (60 + 60) * 50
    )  # 140 wide, 20 of it over the gap


def test_panels_that_overlap_are_not_counted_twice():
    assert area(box(10, 10, 100, 50), box(0, 0, 80, 80), box(50, 0, 80, 80)) == pytest.approx(5000)


def test_what_reaches_over_the_edge_is_joined_only_where_it_is_carried():
    assert area(box(-30, 0, 100, 50), box(0, 0, 600, 300)) == pytest.approx(70 * 50)


def board_with_hole(x, y, wide, high):
    return Outline.of_polygon(box(0, 0, 600, 300).polygon.difference(box(x, y, wide, high).polygon))


@pytest.mark.parametrize("smaller", [0.0, 0.2, -0.1])
def test_an_inlay_is_joined_along_its_edge(smaller):
    """Closed form: the edge of a rectangle, 2 (w + h), times the thickness. Drawn to size, 0.2 mm smaller, 0.1 mm larger."""
    inlay = box(100 + smaller, 100 + smaller, 80 - 2 * smaller, 40 - 2 * smaller)
    areas = area(inlay, board_with_hole(100, 100, 80, 40), thickness=5.0)
    assert areas == pytest.approx(2 * (inlay.width_mm + inlay.height_mm) * 5.0, rel=1e-3)


def test_an_inlay_with_a_board_under_it_is_joined_with_its_face():
    assert (
        area(box(100, 100, 80, 40), board_with_hole(100, 100, 80, 40), box(0, 0, 600, 300)) == 3200
    )


def test_what_touches_with_one_side_is_joined_along_that_side():
    assert area(box(100, 0, 80, 40), box(0, 0, 100, 40), thickness=3.0) == pytest.approx(
        40 * 3.0, rel=0.03
    )


def test_what_lies_on_nothing_has_no_joint():
    assert area(box(0, 0, 10, 10)) == 0 and area(box(0, 0, 10, 10), box(100, 100, 10, 10)) == 0


coordinates = st.integers(0, 300)


@given(
    x=coordinates,
    y=coordinates,
    panels=st.lists(st.tuples(coordinates, coordinates), min_size=1, max_size=4),
)
def test_a_circle_on_panels_is_joined_where_one_of_them_covers_it(x, y, panels):
    """Against points: a grid of half millimetre steps, each counted where it lies in the circle and in some panel."""
    under = tuple(box(left, bottom, 120, 90) for left, bottom in panels)
    areas = area(Outline.of_polygon(Point(x, y).buffer(20, 32)), *under, thickness=0.0)
    steps = [step + 0.25 for step in range(-20, 20)]
    inside = [(x + dx, y + dy) for dx in steps for dy in steps if math.hypot(dx, dy) <= 20]
    counted = sum(
        any(a <= px <= a + 120 and b <= py <= b + 90 for a, b in panels) for px, py in inside
    )
    assert areas == pytest.approx(
        counted, abs=60
    )  # 2 x the radius in squares of 1 mm2 at the edges


def test_cement_is_area_times_need_with_what_is_lost():
    # 0.36 m2 at 50 ml a m2 and 30 % lost: 23.4 ml
    assert cement_ml(360_000, 50, 0.3) == pytest.approx(23.4)
    assert cement_ml(360_000, 0, 0.3) is None


def test_ten_times_the_letters_take_ten_times_as_long():
    def work(count):
        board = box(0, 0, 5000, 5000)
        bond_areas(
            [
                Joint(n, ring(20, 10, 50 + 45 * (n % 100), 50 + 45 * (n // 100)), (board,), 3.0)
                for n in range(count)
            ]
        )

    assert grows_at_most(20, work, 50, 500)
