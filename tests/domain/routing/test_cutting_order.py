"""The order of cutting, on random sheets. Distances and containment are shapely's own, the plain order is a few lines."""

import math
import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shop_for_tests import grows_at_most

from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.cutting_order import (
    CLEAR_MM,
    Run,
    cutting_order,
    size_class,
)


def travel_mm(order, pieces):
    """The travel above the sheet from (0, 0) on: a closed cut ends where it began."""
    outlines = {key: outline for key, outline, _ in pieces}
    starts = [(0, 0), *(outlines[run.key].rings[run.ring][0] for run in order)]
    return sum(math.dist(here, there) for here, there in pairwise(starts))


WAYS = ("full", "skin", "tabs", "tape")


def plate(x, y, width, height, *holes):
    """A rectangle with rectangular holes (x, y, width, height), all on the sheet."""
    rings = [[(a, b), (a, b + h), (a + w, b + h), (a + w, b)] for a, b, w, h in holes]
    return Outline.of_polygon(Polygon(box(x, y, x + width, y + height).exterior, rings))


def sheet(count, seed, ways=("full",)):
    """Pieces of many sizes in a shaken grid of 70 mm; some are frames with a small piece in their hole."""
    chance = random.Random(seed)
    side = math.isqrt(count) + 1
    pieces = []
    for number in range(count):
        x, y = (
            70 * (number % side) + chance.uniform(0, 5),
            70 * (number // side) + chance.uniform(0, 5),
        )
        width, height = chance.uniform(8, 60), chance.uniform(8, 60)
        if min(width, height) > 40:
            pieces.append(
                (
                    f"frame {number}",
                    plate(x, y, width, height, (x + 4, y + 4, width - 8, height - 8)),
                )
            )
            pieces.append((f"in {number}", plate(x + 14, y + 14, 12, 12, (x + 17, y + 17, 3, 3))))
        else:
            pieces.append((f"plate {number}", plate(x, y, width, height)))
    chance.shuffle(pieces)
    return [(key, outline, chance.choice(ways)) for key, outline in pieces]


def alike(count, seed=1, way="full"):
    """Pieces of one size class, 9 mm apart."""
    side = math.isqrt(count - 1) + 1
    numbers = list(range(count))
    random.Random(seed).shuffle(numbers)
    return [(f"{n}", plate(49 * (n % side), 49 * (n // side), 40, 40), way) for n in numbers]


def freed_beside_free(keys, pieces, clear=CLEAR_MM):
    """How many come free within `clear` of one that is free already, by shapely's distances."""
    of = {key: (outline.polygon, way) for key, outline, way in pieces}
    free, count = [], 0
    for key in keys:
        polygon, way = of[key]
        count += any(polygon.distance(other) <= clear for other in free)
        if way in ("full", "skin"):
            free.append(polygon)
    return count


def nearest_first(pieces, start=(0, 0)):
    """The plain order: always the nearest by start point."""
    left, at, keys = list(pieces), start, []
    while left:
        one = min(left, key=lambda piece: math.dist(piece[1].rings[0][0], at))
        left.remove(one)
        keys.append(one[0])
        at = one[1].rings[0][0]
    return keys


def pieces_of(order):
    """The keys in the order in which their pieces are cut out."""
    return [run.key for run in order if run.ring == 0]


@settings(max_examples=40)
@given(st.integers(0, 60), st.integers(0, 10_000))
def test_every_ring_of_every_piece_is_cut_once_holes_first_and_without_a_break(count, seed):
    pieces = sheet(count, seed, WAYS)
    order = cutting_order(pieces)
    outlines = {key: outline for key, outline, _ in pieces}
    rings = [(key, ring) for key, outline in outlines.items() for ring in range(len(outline.rings))]
    assert sorted((run.key, run.ring) for run in order) == sorted(rings)
    begun = None
    for run in order:
        assert begun in (None, run.key), "one piece is finished before the next is begun"
        begun = run.key if run.ring else None
    assert begun is None and all(len(outlines[one.key].rings) > 1 for one in order if one.ring)


@settings(max_examples=40)
@given(st.integers(1, 60), st.integers(0, 10_000))
def test_what_lies_in_a_hole_is_cut_before_that_hole(count, seed):
    pieces = sheet(count, seed, WAYS)
    order = cutting_order(pieces)
    place = {run: number for number, run in enumerate(order)}
    within = 0
    for key, outline, _ in pieces:
        for number, ring in enumerate(outline.rings[1:], start=1):
            for other, inner, _ in pieces:
                if Polygon(ring).contains(inner.polygon):
                    within += 1
                    assert place[Run(other, 0)] < place[Run(key, number)]
    assert within == sum(key.startswith("in") for key, _, _ in pieces)


def test_three_within_one_another_come_from_the_inside_out():
    """The thin frames have less area than the heavy middle, and wait for it all the same."""
    pieces = [
        ("outer", plate(0, 0, 200, 200, (2, 2, 196, 196)), "full"),
        ("inner", plate(50, 50, 40, 40), "full"),
        ("middle", plate(20, 20, 100, 100, (40, 40, 60, 60)), "full"),
        ("far off", plate(400, 0, 30, 30), "full"),
    ]
    for shift in range(4):
        order = pieces_of(cutting_order(pieces[shift:] + pieces[:shift]))
        assert order == ["far off", "inner", "middle", "outer"]


@settings(max_examples=40)
@given(st.integers(1, 60), st.integers(0, 10_000))
def test_small_comes_before_large_by_size_class(count, seed):
    """A frame that waits for what lies in it counts with that, if it is the larger: here it never is."""
    pieces = sheet(count, seed, WAYS)
    areas = {key: outline.polygon.area for key, outline, _ in pieces}
    order = pieces_of(cutting_order(pieces))
    classes = [math.floor(math.log(areas[key]) / math.log(4)) for key in order]
    assert classes == sorted(classes)
    assert all(areas[one] < 4 * areas[two] for one, two in pairwise(order))


@pytest.mark.parametrize(
    ("area", "expected"), [(0.5, 0), (3.9, 0), (4.1, 1), (63, 2), (65, 3), (1023, 4), (1025, 5)]
)
def test_a_size_class_goes_up_to_four_times_the_area(area, expected):
    assert size_class(area) == expected


@settings(max_examples=30)
@given(st.integers(0, 50), st.integers(0, 10_000))
def test_the_next_piece_is_never_beside_a_free_one_where_another_is_to_be_had(count, seed):
    """Checked step by step: the choice is compared with all that could have been chosen."""
    pieces = sheet(count, seed, WAYS)
    of = {key: (outline.polygon, way) for key, outline, way in pieces}
    keys = pieces_of(cutting_order(pieces))
    free = []
    for place, key in enumerate(keys):
        polygon, way = of[key]
        same = [
            other
            for other in keys[place:]
            if size_class(of[other][0].area) == size_class(polygon.area)
        ]
        ready = [
            other
            for other in same
            if not any(
                Polygon(of[other][0].exterior).contains(of[late][0])
                for late in keys[place:]
                if late != other
            )
        ]
        clear = [
            other for other in ready if all(of[other][0].distance(one) > CLEAR_MM for one in free)
        ]
        assert key in (clear or ready)
        if clear and free:
            assert all(polygon.distance(one) > CLEAR_MM for one in free)
        if way in ("full", "skin"):
            free.append(polygon)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("count", [25, 64, 150])
def test_fewer_pieces_come_free_beside_a_free_one_than_with_the_nearest_first(count, seed):
    """In a grid of nine millimetres every piece touches eight others' surroundings: at most one in four can be clear of all
    (closed form), and the order comes near it; the nearest first leaves nearly none."""
    pieces = alike(count, seed)
    ours, plain = (
        freed_beside_free(keys, pieces)
        for keys in (pieces_of(cutting_order(pieces)), nearest_first(pieces))
    )
    assert plain >= 0.95 * (count - 1)
    assert count - math.ceil(math.sqrt(count) / 2 + 0.5) ** 2 <= ours <= 0.88 * count


def test_nothing_is_cut_next_to_the_piece_just_freed_while_another_is_left():
    pieces = alike(64)
    of = {key: outline.polygon for key, outline, _ in pieces}
    keys = pieces_of(cutting_order(pieces))
    beside = [
        place
        for place, (one, two) in enumerate(pairwise(keys))
        if of[one].distance(of[two]) <= CLEAR_MM
    ]
    assert all(place >= 64 - 8 for place in beside), (
        "only among the last few, where nothing else is left"
    )


def test_what_tabs_or_tape_hold_is_not_free_and_needs_no_distance():
    """So the way is that of the nearest first."""
    for way in ("tabs", "tape"):
        pieces = alike(49, way=way)
        assert pieces_of(cutting_order(pieces)) == nearest_first(pieces)
    assert pieces_of(cutting_order(alike(49))) != nearest_first(alike(49))


@pytest.mark.parametrize("seed", range(4))
def test_keeping_away_costs_at_most_twice_the_way(seed):
    pieces = alike(100, seed)
    plain = [Run(key, 0) for key in nearest_first(pieces)]
    assert (
        travel_mm(plain, pieces)
        <= travel_mm(cutting_order(pieces), pieces)
        <= 2 * travel_mm(plain, pieces)
    )


def test_the_holes_of_a_piece_are_cut_one_after_the_other_and_not_to_and_fro():
    """A row of nine holes, listed in any order: from the left to the right, and back to the outline's first point."""
    row = [(10 * n + 5, 5, 3, 3) for n in range(9)]
    for seed in range(3):
        pieces = [("grille", plate(0, 0, 100, 15, *random.Random(seed).sample(row, 9)), "full")]
        order = cutting_order(pieces)
        begun = [pieces[0][1].rings[run.ring][0] for run in order]
        lefts = [x for x, _ in begun[:-1]]
        assert lefts == sorted(lefts)
        way = math.dist((0, 0), begun[0]) + 80 + math.dist(begun[-2], begun[-1])
        assert travel_mm(order, pieces) == pytest.approx(way)


@settings(max_examples=20)
@given(st.integers(0, 40), st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_the_order_does_not_hang_on_how_the_pieces_are_listed(count, seed, dice):
    pieces = sheet(count, seed, WAYS)
    shuffled = dice.sample(pieces, len(pieces))
    assert cutting_order(shuffled) == cutting_order(pieces)


def test_ten_times_the_pieces_take_about_ten_times_as_long():
    """A sheet has a thousand pieces at the most; half as much again is left to the machine."""
    sheets = {count: sheet(count, 3, WAYS) for count in (150, 1500)}
    assert grows_at_most(15, lambda count: cutting_order(sheets[count]), 150, 1500)


def test_ten_times_the_holes_take_about_ten_times_as_long():
    holes = {count: [(6 * n + 1, 5, 3, 3) for n in range(count)] for count in (150, 1500)}
    grilles = {
        count: [("grille", plate(0, 0, 6 * count, 20, *holes[count]), "full")] for count in holes
    }
    assert grows_at_most(15, lambda count: cutting_order(grilles[count]), 150, 1500)
