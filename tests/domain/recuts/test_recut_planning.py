"""Recut planning: cut now or wait for the next sheet, and the blank to cut from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.recuts.recut_planning import (
    NextRun,
    Queued,
    Tried,
    least_waste,
    now_or_wait,
)
from shopfloor.domain.settings import Settings

COSTS = Settings(set_up_min=15, hour_cost=50, late_day_cost=15)  # a set-up is 12.50


def test_late_days_that_cost_more_than_a_set_up_are_cut_now():
    advice = now_or_wait([Queued(1, 0, True), Queued(2, -4, True)], COSTS, NextRun(3, "S-214"))
    assert (advice.is_now, advice.now_money, advice.wait_money) == (
        True,
        12.5,
        90,
    )  # 2 signs × 3 days × 15
    assert (advice.days_saved, advice.signs) == (6, (1, 2))
    assert str(advice.message) == (
        "Cut now: a set-up costs 12.50; waiting for S-214 would make 2 signs 6 days late in all, which costs 90.00."
    )


def test_a_set_up_that_costs_more_than_the_late_days_waits():
    dear = Settings(set_up_min=60, hour_cost=54.25, late_day_cost=15)
    advice = now_or_wait([Queued(1, 2, True)], dear, NextRun(3, "S-214"))
    assert (advice.is_now, advice.now_money, advice.wait_money) == (False, 54.25, 15)
    assert str(advice.message) == (
        "Wait for S-214: a set-up costs 54.25; waiting makes 1 sign 1 day late, which costs only 15.00."
    )


def test_where_both_ways_cost_the_same_it_is_cut_now():
    assert now_or_wait(
        [Queued(1, 0, True)], Settings(set_up_min=15, hour_cost=60, late_day_cost=15), NextRun(1)
    ).is_now
    free = now_or_wait(
        [Queued(1, 9, True)],
        Settings(set_up_min=0, hour_cost=60, late_day_cost=15),
        NextRun(1, "S-214"),
    )
    assert (
        str(free.message)
        == "Cut now: a set-up costs 0.00, and waiting for S-214 makes no sign late."
    )


def test_a_sign_counts_once_and_with_its_least_slack():
    advice = now_or_wait(
        [Queued(1, 9, True), Queued(1, 1, True), Queued(1, 2, True)], COSTS, NextRun(3)
    )
    assert (advice.days_saved, advice.wait_money) == (2, 30)


@pytest.mark.parametrize(
    "one",
    [
        Queued(1, 3, True),
        Queued(1, 0, False),
        Queued(1, None, True),
        Queued(None, None, False),
    ],
    ids=["slack for the wait", "blocks nothing", "no due date", "a spare"],
)
def test_what_makes_no_sign_late_waits(one):
    advice = now_or_wait([one], COSTS, NextRun(3, "S-214"))
    assert (advice.is_now, advice.wait_money, advice.signs) == (False, 0, ())
    assert str(advice.message) == (
        "Wait for S-214: a set-up costs 12.50, and waiting makes no sign late."
    )


def test_with_no_sheet_planned_a_sign_without_much_slack_is_cut_now():
    advice = now_or_wait([Queued(1, 1, True), Queued(2, 8, True)], COSTS, NextRun(None))
    assert (advice.is_now, advice.signs) == (True, (1,))
    assert str(advice.message) == (
        "Cut now: no other sheet of this material is planned, and 1 sign has less than 3 days to spare after cutting and bench work."
    )


def test_with_no_sheet_planned_signs_with_slack_may_wait_for_company():
    advice = now_or_wait([Queued(1, 4.5, True), Queued(2, 8, True)], COSTS, NextRun(None))
    assert not advice.is_now and advice.wait_money == advice.now_money, (
        "the set-up is due either way"
    )
    assert str(advice.message) == (
        "Can wait up to 4.5 days for more pieces: no other sheet of this material is planned, and no sign will be late."
    )
    assert not now_or_wait([Queued(1, 3, True)], COSTS, NextRun(None)).is_now
    assert str(now_or_wait([Queued(1, None, True)], COSTS, NextRun(None)).message).startswith(
        "Can wait for more pieces: "
    )


def test_an_empty_queue_is_refused():
    with pytest.raises(Refused, match="No recuts of this material are waiting"):
        now_or_wait([], COSTS, NextRun(1))


QUEUES = st.lists(
    st.builds(Queued, st.none() | st.integers(1, 5), st.none() | st.floats(-9, 9), st.booleans()),
    min_size=1,
)


@given(QUEUES, st.floats(0, 9), st.floats(0, 9))
def test_a_longer_wait_never_costs_less_and_never_turns_now_into_wait(queue, wait, longer):
    short, long = sorted((wait, wait + longer))
    first, second = (now_or_wait(queue, COSTS, NextRun(days)) for days in (short, long))
    assert first.wait_money <= second.wait_money
    assert first.is_now <= second.is_now
    assert first.is_now == (first.wait_money >= first.now_money)


# Of what. ------------------------------------------------------------------------------------------------------------


def test_the_blank_with_the_least_waste_is_taken():
    tried = [
        Tried("full sheet", 3_000_000, 10_000, 2_700_000),
        Tried("4072 1111", 90_000, 10_000, 0),
        Tried("4072 2222", 60_000, 10_000, 0),
    ]
    choice = least_waste(tried)
    assert choice.key == "4072 2222"
    assert str(choice.message) == "Cut from 4072 2222: 500 cm² wasted. The others waste more."


def test_a_full_sheet_is_taken_where_every_offcut_wastes_more():
    tried = [
        Tried("full sheet", 3_000_000, 10_000, 2_950_000),
        Tried("4072 2222", 60_000, 10_000, 0),
    ]
    assert least_waste(tried).key == "full sheet"


def test_on_equal_waste_the_smallest_blank_is_taken():
    tried = [
        Tried("full sheet", 3_000_000, 10_000, 2_940_000),
        Tried("4072 2222", 60_020, 10_000, 0),
    ]
    choice = least_waste(tried)  # 500 cm² each, to a whole cm²
    assert (
        str(choice.message)
        == "Cut from 4072 2222: 500 cm² wasted. Others waste as little, but none is smaller."
    )


def test_thickness_comes_before_waste():
    tried = [
        Tried("4072 1111", 20_000, 10_000, 0, is_flagged=True),
        Tried("4072 2222", 60_000, 10_000, 0),
    ]
    assert str(least_waste(tried).message) == (
        "Cut from 4072 2222: 500 cm² wasted. 4072 1111 would waste only 100 cm², but its "
        "thickness may differ enough to see."
    )
    only = least_waste(tried[:1])
    assert (
        str(only.message)
        == "Cut from 4072 1111: 100 cm² wasted. Its thickness may differ enough to see."
    )


def test_where_no_blank_was_tried_it_is_refused():
    with pytest.raises(Refused, match="Add a sheet in Stock"):
        least_waste([])
