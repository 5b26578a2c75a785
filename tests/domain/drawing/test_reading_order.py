"""Boxes in the order in which one reads; many in little time. Words with their commas are in test_stacking.py."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shop_for_tests import grows_at_most

from shopfloor.domain.drawing.reading_order import Line, reading_lines


def grid(lines, across, height=10):
    return [
        (12 * x, 20 * -y, 12 * x + 8, 20 * -y + height) for y in range(lines) for x in range(across)
    ]


def test_no_boxes_make_no_lines():
    assert reading_lines([]) == []


def test_one_box_is_a_line_on_its_own_bottom():
    assert reading_lines([(3, 4, 10, 20)]) == [Line((0,), 4)]


def test_a_grid_is_read_line_by_line_however_it_is_shuffled():
    boxes = grid(7, 9)
    shuffled = list(range(63))
    random.Random(5).shuffle(shuffled)
    lines = reading_lines([boxes[one] for one in shuffled])
    found = [[shuffled[one] for one in line.members] for line in lines]
    assert found == [list(range(9 * y, 9 * y + 9)) for y in range(7)]
    assert [line.baseline for line in lines] == [-20 * y for y in range(7)]


@pytest.mark.parametrize(("low", "lines"), [(4.6, 1), (4.4, 2)])
def test_letters_of_one_line_are_nearly_half_as_high_as_each_other_at_least(low, lines):
    # the low one stands too far off to be a comma of the high one
    assert len(reading_lines([(0, 0, 5, 10), (100, 0, 105, low)])) == lines
    assert len(reading_lines([(0, 0, 5, 10), (100, 0, 105, low)], letter_ratio=0)) == 1


@pytest.mark.parametrize(("rise", "lines"), [(4.9, 1), (5.1, 2)])
def test_letters_of_one_line_overlap_by_half_their_height(rise, lines):
    assert len(reading_lines([(0, 0, 5, 10), (8, rise, 13, rise + 10)])) == lines


sides = st.integers(0, 60)
boxes = st.lists(
    st.tuples(sides, sides, st.integers(1, 30), st.integers(1, 30)).map(
        lambda one: (one[0], one[1], one[0] + one[2], one[1] + one[3])
    ),
    max_size=25,
    unique=True,
)


@given(boxes, st.sampled_from([0, 0.45]))
def test_each_box_is_read_once_and_lines_go_down(some, ratio):
    lines = reading_lines(some, ratio)
    assert sorted(one for line in lines for one in line.members) == list(range(len(some)))
    for line in lines:
        assert [some[one][0] for one in line.members] == sorted(
            some[one][0] for one in line.members
        )


@given(boxes, st.integers(-900, 900), st.integers(-900, 900), st.sampled_from([0.25, 2, 64]))
def test_moving_and_scaling_leave_the_lines_as_they_are(some, x, y, scale):
    moved = [tuple(scale * side for side in (a + x, b + y, c + x, d + y)) for a, b, c, d in some]
    assert [line.members for line in reading_lines(moved)] == [
        line.members for line in reading_lines(some)
    ]


@given(boxes)
def test_a_far_away_line_changes_nothing(some):
    # read together with boxes of all heights standing far above, as many as make other windows of neighbours
    far = [(20 * n, 10_000, 20 * n + 10, 10_000 + 2**n) for n in range(6)]
    alone = [line.members for line in reading_lines(some)]
    together = [line.members for line in reading_lines([*some, *far])]
    assert [members for members in together if members and members[0] < len(some)] == alone


# In one row all are level with all: the pairs grow with the square.
@pytest.mark.parametrize(("layout", "limit"), [("grid", 25), ("row", 120), ("stairs", 25)])
def test_time_grows_with_the_number_of_boxes_up_to_ten_thousand(layout, limit):
    height = random.Random(2).random
    boxes_of = {
        "grid": [
            (left, bottom, right, top + height()) for left, bottom, right, top in grid(100, 100)
        ],
        "row": [(10 * n, 0, 10 * n + 8, 10 + height()) for n in range(10_000)],
        "stairs": [(10 * n, -12 * n, 10 * n + 8, 10 - 12 * n) for n in range(10_000)],
    }

    def read(count: int) -> None:
        whole = {"grid": count // 100, "row": 1, "stairs": count}[layout]
        assert len(reading_lines(boxes_of[layout][:count])) == whole

    assert grows_at_most(limit, read, 1000, 10_000)
