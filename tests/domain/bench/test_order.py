"""In which order a level is glued: the arm never crosses wet glue, checked by brute force with shapely's boxes."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, box
from shop_for_tests import grows_at_most

from shopfloor.domain.bench import gluing
from shopfloor.domain.bench.gluing import Placed

FAR = 1e7  # mm: the arm reaches in from beyond every sign
TURNS = {
    "lower edge": 0,
    "left edge": 90,
    "upper edge": 180,
    "right edge": 270,
}  # brings that edge to the drawing's foot

sides = st.integers(3, 400)
boxes = st.builds(
    lambda x, y, w, h: (float(x), float(y), float(x + w), float(y + h)),
    st.integers(0, 2000),
    st.integers(0, 800),
    sides,
    sides,
)
levels = st.lists(boxes, min_size=1, max_size=14)


def placed(boxes):
    return [Placed(index + 1, one) for index, one in enumerate(boxes)]


def crosses(part, glued, edge) -> bool:
    """The rule in words, with rectangles: the arm's own breadth, and half a hand's on each side of it."""
    own, other = (
        affinity.rotate(box(*one.box), TURNS[edge], origin=(0, 0)).bounds for one in (part, glued)
    )
    other_high = other[3] - other[1]
    arm = box(own[0], -FAR, own[2], own[1])
    hand = box(own[0] - 40, -FAR, own[2] + 40, own[1])
    all_but_its_foot = box(
        other[0], other[1], other[2], other[1] + other_high * 0.1
    )  # a tenth of it, the nearest
    nearer_half = box(other[0], other[1], other[2], other[1] + other_high * 0.5)
    return _holds_whole_depth(arm, all_but_its_foot) or _holds_whole_depth(hand, nearer_half)


def _holds_whole_depth(corridor, strip) -> bool:
    """Whether the corridor covers the strip over its whole depth, somewhere along its length, and goes on beyond it."""
    return strip.bounds[3] < corridor.bounds[3] - 1e-9 and corridor.intersection(strip).area > 1e-6


def edge_of(part, parts, near) -> str:
    """The edge from which a part is set."""
    if near not in gluing.BOTH:
        return near
    one, other = gluing.BOTH[near]
    low, high = (1, 3) if one == "lower edge" else (0, 2)
    middle = (min(p.box[low] for p in parts) + max(p.box[high] for p in parts)) / 2
    return other if (part.box[low] + part.box[high]) / 2 >= middle else one


def crossed(order, parts, near):
    by_id = {part.part: part for part in parts}
    return [
        (later, earlier)
        for earlier, later in itertools.combinations(order, 2)
        if crosses(by_id[later], by_id[earlier], edge_of(by_id[later], parts, near))
    ]


@pytest.mark.parametrize("near", gluing.NEAR)
@settings(max_examples=40)
@given(boxes=levels)
def test_no_arm_ever_crosses_what_is_glued_whatever_interlocks(near, boxes):
    parts = placed(boxes)
    order = gluing.order(parts, near)
    assert sorted(order) == [part.part for part in parts]
    assert crossed(order, parts, near) == []
    assert gluing.reaches_over(order, parts, near) == []


@pytest.mark.parametrize("near", gluing.NEAR)
@settings(max_examples=40)
@given(boxes=levels, data=st.data())
def test_what_is_reached_over_in_any_order_is_found(near, boxes, data):
    parts = placed(boxes)
    order = data.draw(st.permutations([part.part for part in parts]))
    assert sorted(gluing.reaches_over(order, parts, near)) == sorted(crossed(order, parts, near))


def letters(*widths, y=0.0, first=1, gap=10.0, high=100.0):
    row, x = [], 0.0
    for index, wide in enumerate(widths):
        row.append(Placed(first + index, (x, y, x + wide, y + high)))
        x += wide + gap
    return row


def test_a_single_line_is_glued_as_it_is_read():
    assert gluing.order(letters(60, 50, 70)) == (1, 2, 3)


def test_far_lines_come_first_each_from_the_left():
    parts = letters(60, 50, 70, y=0, first=1) + letters(60, 50, 70, y=150, first=4)
    assert gluing.order(parts) == (4, 5, 6, 1, 2, 3)


def test_who_stands_at_the_upper_edge_begins_with_the_lower_line_at_his_left_hand():
    parts = letters(60, 50, 70, y=0, first=1) + letters(60, 50, 70, y=150, first=4)
    assert gluing.order(parts, "upper edge") == (3, 2, 1, 6, 5, 4)


def test_from_both_edges_each_half_goes_outward_from_the_middle():
    lines = [
        letters(60, 50, y=150.0 * row, first=1 + 2 * row) for row in range(4)
    ]  # 1 2 lowest … 7 8 highest
    order = gluing.order([part for line in lines for part in line], "both long edges")
    assert [part for part in order if part <= 4] == [
        3,
        4,
        1,
        2,
    ]  # from the lower edge: far line first
    assert [part for part in order if part > 4] == [
        6,
        5,
        8,
        7,
    ]  # from the upper edge, read from there


def test_a_round_letter_that_dips_under_the_line_keeps_its_turn():
    flat, dips = (0.0, 0.0, 60.0, 100.0), (65.0, -2.0, 135.0, 102.0)
    assert gluing.order(
        [Placed(1, dips), Placed(2, (140.0, 0.0, 200.0, 100.0)), Placed(3, flat)]
    ) == (3, 1, 2)


def test_a_descender_keeps_its_turn_beside_its_neighbour():
    # 'gab': the g reaches 30 mm under the line, its middle is above it
    word = [Placed(1, (0, -30, 50, 60)), Placed(2, (55, 0, 100, 60)), Placed(3, (105, 0, 150, 100))]
    assert gluing.order(word) == (1, 2, 3)


def test_a_rule_under_a_line_of_letters_comes_after_them_although_it_stands_further_left():
    rule = Placed(9, (-100.0, -30.0, 400.0, -20.0))
    assert gluing.order([rule, *letters(60, 50, 70)]) == (1, 2, 3, 9)


def test_a_part_further_than_half_a_hand_to_the_side_is_in_nobodys_way():
    far, near_it = Placed(1, (0, 200, 50, 300)), Placed(2, (90, 0, 140, 100))  # 40 mm between them
    assert gluing.reaches_over([2, 1], [far, near_it]) == []
    closer = Placed(2, (89, 0, 139, 100))
    assert gluing.reaches_over([2, 1], [far, closer]) == [(1, 2)]


def test_hooks_that_hold_each_other_still_have_an_order():
    hooks = [
        Placed(1, (0, 0, 100, 200)),
        Placed(2, (50, 50, 150, 250)),
        Placed(3, (20, 100, 120, 300)),
    ]
    assert gluing.order(hooks) == (3, 2, 1)


def test_nothing_to_glue_has_an_empty_order():
    assert (
        gluing.order([]) == ()
        and gluing.order([], "both long edges") == ()
        and gluing.reaches_over([], []) == []
    )


def test_ten_times_the_letters_take_no_more_than_their_square():
    def work(count):
        corners = [(30.0 * (n % 50), 50.0 * (n // 50)) for n in range(count)]
        gluing.order([Placed(n, (x, y, x + 25, y + 40)) for n, (x, y) in enumerate(corners)])

    assert grows_at_most(60, work, 50, 500)


# Groups and pace ------------------------------------------------------------------------------------------------------


@given(
    count=st.integers(0, 60),
    pace=st.floats(0.05, 20),
    open_min=st.floats(0.5, 60),
)
def test_each_group_fits_the_open_time_or_is_one_part_and_no_fewer_would_do(count, pace, open_min):
    order = tuple(range(count))
    groups = gluing.groups(order, pace, open_min)
    assert sum(groups, ()) == order
    for group in groups:
        assert pace * len(group) <= open_min + 1e-6 or len(group) == 1
    room = max(1, math.floor(open_min / pace + 1e-9))
    assert len(groups) == math.ceil(count / room)
    assert not groups or max(map(len, groups)) - min(map(len, groups)) <= 1


def test_groups_of_a_word_by_hand():
    # 11 parts at half a minute in five minutes: ten fit, so two groups of five and six rather than ten and one
    assert [len(group) for group in gluing.groups(range(11), 0.5, 5)] == [5, 6]
    assert gluing.groups((7, 8, 9), 0.5, 0) == ((7, 8, 9),)
    assert gluing.groups((7, 8, 9), 8, 5) == ((7,), (8,), (9,))


def test_a_part_that_takes_longer_than_the_open_time_is_warned_of():
    assert (
        gluing.too_slow(0.5, 5) is None
        and gluing.too_slow(8, 0) is None
        and gluing.too_slow(5, 5) is None
    )
    assert (
        str(gluing.too_slow(8, 5))
        == "One part takes about 8 min here, and the cement stays open 5 min. Use a slower cement."
    )


def test_the_pace_is_drawn_towards_the_usual_one_as_by_twenty_parts():
    assert gluing.pace(0, 0, 0.5) == 0.5
    assert gluing.pace(20, 20, 0.5) == pytest.approx(
        (20 * 0.5 + 20) / 40
    )  # 0.75, half way from 0.5 to 1.0
    assert gluing.pace(2000, 2000, 0.5) == pytest.approx(1.0, abs=0.01)


def test_who_had_lunch_is_left_out_of_the_pace_and_counted():
    sessions = [
        gluing.Session(4, 10, 5),
        gluing.Session(15, 10, 5),
        gluing.Session(15.1, 10, 5),
        gluing.Session(121, 9, 0),
        gluing.Session(0, 4, 5),
        gluing.Session(119, 40, 0),
    ]
    found = gluing.measured_pace(sessions, 0.5)
    assert (found.sessions, found.parts, found.left_out) == (3, 60, 3)
    assert found.minutes_a_part == pytest.approx((10 + 4 + 15 + 119) / 80)
    assert gluing.measured_pace([], 0.4) == gluing.Pace(0.4, 0, 0, 0)
