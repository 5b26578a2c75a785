"""What the shop learns of its holding: when a loss counts, and how the advice for the next sheet changes; through the acts.

No source outside the project: the rules are its own. The chances are worked out a second time in the tests, as the mean of
a Beta posterior, Beta(a + lost, b + kept).
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from holding_for_tests import (
    LARGE,
    LETTER,
    MIXED,
    SMALL,
    SQUARES,
    chance_of,
    cut,
    found,
    kept,
    last_entry,
    named,
    nest_again,
    of_sheet,
    piece,
    take_in,
    ways,
)

from shopfloor.actions import hold_down_advice, nests
from shopfloor.actions import holding as acts
from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain import pieces as life
from shopfloor.domain.holding.loss_statistics import (
    PRIOR_LOSSES,
    PRIOR_PIECES,
    Kind,
    Tally,
    prior_mean,
)
from shopfloor.store import holding as store
from shopfloor.store import replay
from shopfloor.wording.formatting import fine_percent


@pytest.fixture
def mixed(cutting):
    """A planned sheet with a dot, small squares, letters and a large square."""
    return take_in(cutting, MIXED)


@pytest.fixture
def squares(cutting):
    """A planned sheet with twenty squares of 40 mm."""
    return take_in(cutting, SQUARES)


def renewal(shop, code: str):
    """What would be advised otherwise today for a planned sheet, or None."""
    return hold_down_advice.renewal(shop.read(), of_sheet(shop, code), shop.clock().date())


# After a bad sheet. ---------------------------------------------------------------------------------------------------


def test_with_no_data_and_after_a_good_sheet_the_advice_stays(squares, cutting, shop, operator):
    second = take_in(cutting, SQUARES)
    assert set(ways(shop, squares).values()) == {"skin"} and renewal(shop, second) is None
    cut(shop, operator, squares)
    assert renewal(shop, second) is None
    assert "nothing changes" in acts.renew(Caller(shop, operator), second).sentence


def test_after_a_bad_sheet_the_next_one_is_advised_otherwise_and_says_why(
    squares, cutting, shop, operator
):
    """The chance by hand: the prior's weight in pieces, then 14 of 20 lost; the bands beside it have seen nothing."""
    second = take_in(cutting, SQUARES)
    safety_factor = next(iter(kept(shop, second).values())).safety_factor
    cut(shop, operator, squares, lost=cutting.codes(squares)[:14])
    said = renewal(shop, second)
    before = prior_mean(safety_factor)
    weight = max(PRIOR_PIECES, PRIOR_LOSSES / before)
    after = (weight * before + 14) / (weight + 20)
    assert str(said.why) == (
        f"Tabs instead of an onion skin. On sheet {of_sheet(shop, squares).number}, with an onion skin: "
        "14 of 20 lost or chipped (1,000 to 2,500 mm²). "
        f"We now expect {fine_percent(after)}, not {fine_percent(before)}."
    )
    assert len(said.pieces) == 20 and set(ways(shop, second).values()) == {"skin"}, (
        "nothing changes until somebody takes it over"
    )


def test_renew_takes_it_over_and_nests_made_afterwards_have_it_at_once(
    squares, cutting, shop, operator
):
    second = take_in(cutting, SQUARES)
    cut(shop, operator, squares, lost=cutting.codes(squares)[:14])
    answer = acts.renew(Caller(shop, operator, "renew"), second)
    assert answer.data == {"changed": 20} and answer.sentence == (
        f"Worked out again: 20 pieces on sheet {of_sheet(shop, second).number} are now held another way."
    )
    entry = last_entry(shop)
    assert (entry.what, entry.answer["codes"]) == ("renewed the advice", [second])
    assert set(ways(shop, second).values()) == {"tabs"} and renewal(shop, second) is None
    assert all(piece(shop, code).tabs >= 2 for code in cutting.codes(second))
    assert acts.renew(Caller(shop, operator, "renew"), second).act == answer.act
    third = take_in(cutting, SQUARES)
    assert set(ways(shop, third).values()) == {"tabs"} and renewal(shop, third) is None
    assert replay.differences(shop.read()) == []
    undo(Caller(shop, operator), answer.act)
    assert set(ways(shop, second).values()) == {"skin"} and renewal(shop, second) is not None


def test_renewing_leaves_what_a_person_chose(squares, cutting, shop, owner):
    second = take_in(cutting, SQUARES)
    one = cutting.codes(second)[0]
    acts.overrule(Caller(shop, owner), second, [one], "full")
    cut(shop, owner, squares, lost=cutting.codes(squares)[:14])
    assert len(renewal(shop, second).pieces) == 19
    acts.renew(Caller(shop, owner), second)
    assert Counter(ways(shop, second).values()) == {"tabs": 19, "full": 1}
    assert (kept(shop, second)[one].advised, kept(shop, second)[one].hold_down) == ("tabs", "full")


def test_of_several_sheets_the_bad_one_is_named(squares, cutting, shop, operator):
    bad, good, last = (
        take_in(cutting, SQUARES),
        take_in(cutting, SQUARES),
        take_in(cutting, SQUARES),
    )
    cut(shop, operator, squares)
    cut(shop, operator, bad, lost=cutting.codes(bad)[:12])
    cut(shop, operator, good)
    assert f"On sheet {of_sheet(shop, bad).number}, with an onion skin: 12 of 20 lost" in str(
        renewal(shop, last).why
    )


def test_the_chance_rises_by_steps_as_pieces_are_lost_and_nowhere_leaps(
    squares, cutting, shop, operator
):
    """A posterior mean moves by 1 / (weight + cut) a loss at the most: no cliff between no data and some."""
    second = take_in(cutting, SQUARES)
    watched = cutting.codes(second)[0]
    cut(shop, operator, take_in(cutting, SQUARES))
    sheet_actions.start(Caller(shop, operator), squares)
    seen = [chance_of(found(shop, second)[watched], "skin")]
    for code in cutting.codes(squares):
        piece_actions.mark(Caller(shop, operator), [code], "lost", life.HOSE)
        seen.append(chance_of(found(shop, second)[watched], "skin"))
    assert all(0 < after - before < 1 / (20 + PRIOR_PIECES) for before, after in pairwise(seen))


# What counts as a loss of the holding. --------------------------------------------------------------------------------


def counted(shop) -> Counter:
    """(cut, lost) over all kinds."""
    tallies = store.tallies(shop.read()).values()
    return Counter(cut=sum(one.cut for one in tallies), lost=sum(one.lost for one in tallies))


def is_free(shop, sheet: str, code: str) -> bool:
    return bool(kept(shop, sheet)[code].moved)


AT_THE_ROUTER = [
    ("lost", None, True),
    ("lost", life.HOSE, True),
    ("lost", life.SHIFTED, True),
    ("lost", "nobody knows", True),
    ("damaged", None, True),
    ("damaged", life.CHIPPED, True),
    ("damaged", life.SHIFTED, True),
    ("damaged", life.SCRATCHED, False),
    ("damaged", "cut wrong", False),
]


def test_at_the_router_the_cause_decides_whether_it_moved(squares, cutting, shop, operator):
    sheet_actions.start(Caller(shop, operator), squares)
    lost = 0
    for cut_so_far, (code, (mark, cause, counts)) in enumerate(
        zip(cutting.codes(squares), AT_THE_ROUTER, strict=False), start=1
    ):
        piece_actions.mark(Caller(shop, operator), [code], mark, cause)
        lost += counts
        assert is_free(shop, squares, code) is counts, (mark, cause)
        assert counted(shop) == Counter(cut=cut_so_far, lost=lost)


def test_what_is_lost_at_the_bench_stayed_on_the_router(mixed, cutting, shop, operator):
    cut(shop, operator, mixed)
    for code, cause in zip(
        named(cutting, mixed, LETTER),
        ("dropped at the bench", "nobody knows", life.HOSE),
        strict=True,
    ):
        piece_actions.mark(Caller(shop, operator), [code], "lost", cause)
        assert not is_free(shop, mixed, code) and counted(shop) == Counter(cut=len(MIXED), lost=0)


def test_what_is_spoiled_with_its_abandoned_sheet_did_not_move(mixed, cutting, shop, operator):
    sheet_actions.start(Caller(shop, operator), mixed)
    sheet_actions.abandon(Caller(shop, operator), mixed, (), cutting.codes(mixed)[:3])
    assert counted(shop) == Counter(cut=3, lost=0)


def test_a_mark_taken_back_on_the_picture_takes_the_loss_back(mixed, cutting, shop, operator):
    sheet_actions.start(Caller(shop, operator), mixed)
    code = named(cutting, mixed, LETTER)[0]
    expected = {"nested": 1, "lost": 1, "damaged": 0}
    for shown, lost in expected.items():
        sheet_actions.tap(Caller(shop, operator), mixed, code, shown)
        assert (is_free(shop, mixed, code), counted(shop)) == (
            bool(lost),
            Counter(cut=1, lost=lost),
        ), shown
    assert piece(shop, code).state == "ready" and replay.differences(shop.read()) == []


def test_a_piece_found_later_did_move(mixed, cutting, shop, operator):
    sheet_actions.start(Caller(shop, operator), mixed)
    code = named(cutting, mixed, LETTER)[0]
    piece_actions.mark(Caller(shop, operator), [code], "lost")
    piece_actions.mark(Caller(shop, operator), [code], "found")
    assert piece(shop, code).state == "ready" and is_free(shop, mixed, code)
    assert counted(shop) == Counter(cut=1, lost=1)


def test_another_cause_changes_whether_it_counts_and_changes_it_back(
    mixed, cutting, shop, operator
):
    sheet_actions.start(Caller(shop, operator), mixed)
    code = named(cutting, mixed, LETTER)[0]
    piece_actions.mark(Caller(shop, operator), [code], "damaged", life.CHIPPED)
    for cause, counts in (("cut wrong", False), (life.SHIFTED, True)):
        answer = piece_actions.change_cause(Caller(shop, operator), code, cause)
        assert is_free(shop, mixed, code) is counts
    undo(Caller(shop, operator), answer.act)
    assert not is_free(shop, mixed, code)


def test_tallies_and_predictions_agree_with_a_count_by_hand(mixed, squares, cutting, shop, owner):
    """By hand: the bands as loss_statistics.py states them, 49 mm² and 225 mm² and so on; each piece by the way that it was held."""
    acts.overrule(Caller(shop, owner), squares, cutting.codes(squares)[:5], "full")
    gone = [named(cutting, mixed, SMALL)[0], *named(cutting, mixed, LETTER)[:2]]
    cut(shop, owner, mixed, lost=gone)
    cut(shop, owner, squares, lost=cutting.codes(squares)[:4], cause=life.SHIFTED)
    large = ways(shop, mixed)[named(cutting, mixed, LARGE)[0]]
    assert store.tallies(shop.read()) == {
        Kind(0, "tape", "blower"): Tally(1, 0),  # 49 mm²
        Kind(1, "tabs", "blower"): Tally(3, 1),  # 225
        Kind(3, "skin", "blower"): Tally(3 + 15, 2),  # 1,800 and 1,600
        Kind(3, "full", "blower"): Tally(5, 4),  # 1,600
        Kind(5, large, "blower"): Tally(1, 0),  # 22,500
    }
    lost = {*gone, *cutting.codes(squares)[:4]}
    both = {**kept(shop, mixed), **kept(shop, squares)}
    by_hand = sorted((held.chance, code in lost) for code, held in both.items())
    assert sorted(store.predictions(shop.read())) == by_hand and len(by_hand) == 28
    sheet = of_sheet(shop, squares).id
    only, without = (
        store.tallies(shop.read(), only=sheet),
        store.tallies(shop.read(), without=[sheet]),
    )
    assert only == {Kind(3, "skin", "blower"): Tally(15, 0), Kind(3, "full", "blower"): Tally(5, 4)}
    assert without[Kind(3, "skin", "blower")] == Tally(3, 2)


def test_only_the_nest_in_force_counts(mixed, cutting, shop, operator):
    """Nested three times, given up once untouched: each piece has four holdings and one outcome."""
    nest_again(shop, operator, mixed)
    nest_again(shop, operator, mixed)
    sheet_actions.start(Caller(shop, operator), mixed)
    sheet_actions.abandon(Caller(shop, operator), mixed)
    stock = of_sheet(shop, mixed).stock
    again = nests.plan(Caller(shop, operator), stock).data["sheets"][0]
    all_kept = cutting.count(
        "SELECT count(*) FROM holding h JOIN sheet s ON s.id = h.sheet WHERE s.stock = ?", stock
    )
    assert all_kept == 4 * len(MIXED)
    assert counted(shop) == Counter(cut=0, lost=0), "nothing has an outcome yet"
    cut(shop, operator, again, lost=named(cutting, again, SMALL)[:1])
    assert counted(shop) == Counter(cut=len(MIXED), lost=1) and len(
        store.predictions(shop.read())
    ) == len(MIXED)
