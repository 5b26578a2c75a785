"""What the shop learns of its holding: when a loss counts, and how the advice for the next sheet changes; through the acts.

No source outside the project, but where one is named: the rules are the issue's. The chances are worked out a second
time in the tests, as the mean of a Beta posterior (textbook: Beta(a + lost, b + kept)).
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
    nest_anew,
    of_sheet,
    piece,
    take_in,
    ways,
)

from shopfloor.actions import hold_down_advice, nests
from shopfloor.actions import holding as acts
from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import undo
from shopfloor.domain import pieces as life
from shopfloor.domain.holding.loss_statistics import (
    PRIOR_LOSSES,
    PRIOR_PIECES,
    Kind,
    Tally,
    prior_mean,
)
from shopfloor.domain.holding.hold_down_choice import percent
from shopfloor.store import holding as store
from shopfloor.store import replay


@pytest.fixture
def mixed(cutting):
    """A planned sheet with a dot, small squares, letters and a large square."""
    return take_in(cutting, MIXED)


@pytest.fixture
def squares(cutting):
    """A planned sheet with twenty squares of 40 mm."""
    return take_in(cutting, SQUARES)


def renewal(desk, code: str):
    """What would be advised otherwise today for a planned sheet, or None."""
    return hold_down_advice.renewal(desk.read(), of_sheet(desk, code), desk.clock().date())


# After a bad sheet. ---------------------------------------------------------------------------------------------------


def test_with_no_data_and_after_a_good_sheet_the_advice_stays(squares, cutting, desk, operator):
    second = take_in(cutting, SQUARES)
    assert set(ways(desk, squares).values()) == {"skin"} and renewal(desk, second) is None
    cut(desk, operator, squares)
    assert renewal(desk, second) is None
    assert "no pieces are held in another way" in acts.renew(desk, operator, second).sentence


def test_after_a_bad_sheet_the_next_one_is_advised_otherwise_and_says_why(
    squares, cutting, desk, operator
):
    """The chance by hand: the prior's weight in pieces, then 14 of 20 lost; the bands beside it have seen nothing."""
    second = take_in(cutting, SQUARES)
    margin = next(iter(kept(desk, second).values())).margin
    cut(desk, operator, squares, lost=cutting.codes(squares)[:14])
    said = renewal(desk, second)
    before = prior_mean(margin)
    weight = max(PRIOR_PIECES, PRIOR_LOSSES / before)
    after = (weight * before + 14) / (weight + 20)
    assert said.why == (
        f"Tabs instead of a skin pass: on sheet {of_sheet(desk, squares).number}, 14 of 20 pieces of 1,000 to 2,500 mm² "
        f"were lost or chipped with a skin pass, and the chance is now put at {percent(after)} instead of {percent(before)}."
    )
    assert len(said.pieces) == 20 and set(ways(desk, second).values()) == {"skin"}, (
        "it changes nothing by itself"
    )


def test_renew_takes_it_over_and_nests_made_afterwards_have_it_at_once(
    squares, cutting, desk, operator
):
    second = take_in(cutting, SQUARES)
    cut(desk, operator, squares, lost=cutting.codes(squares)[:14])
    told = acts.renew(desk, operator, second, key="renew")
    assert told.data == {"changed": 20} and told.sentence.startswith(
        "Worked out anew: 20 pieces are held in another way"
    )
    assert last_entry(desk).events == [
        {"event": "AdviceRenewed", "sheet": of_sheet(desk, second).number, "changed": 20}
    ]
    assert set(ways(desk, second).values()) == {"tabs"} and renewal(desk, second) is None
    assert all(piece(desk, code).tabs >= 2 for code in cutting.codes(second))
    assert acts.renew(desk, operator, second, key="renew").act == told.act
    third = take_in(cutting, SQUARES)
    assert set(ways(desk, third).values()) == {"tabs"} and renewal(desk, third) is None
    assert replay.differences(desk.read()) == []
    undo(desk, operator, told.act)
    assert set(ways(desk, second).values()) == {"skin"} and renewal(desk, second) is not None


def test_renewing_leaves_what_a_person_chose(squares, cutting, desk, owner):
    second = take_in(cutting, SQUARES)
    one = cutting.codes(second)[0]
    acts.overrule(desk, owner, second, [one], "full")
    cut(desk, owner, squares, lost=cutting.codes(squares)[:14])
    assert len(renewal(desk, second).pieces) == 19
    acts.renew(desk, owner, second)
    assert Counter(ways(desk, second).values()) == {"tabs": 19, "full": 1}
    assert (kept(desk, second)[one].advised, kept(desk, second)[one].way) == ("tabs", "full")


def test_of_several_sheets_the_bad_one_is_named(squares, cutting, desk, operator):
    bad, good, last = (
        take_in(cutting, SQUARES),
        take_in(cutting, SQUARES),
        take_in(cutting, SQUARES),
    )
    cut(desk, operator, squares)
    cut(desk, operator, bad, lost=cutting.codes(bad)[:12])
    cut(desk, operator, good)
    assert f"on sheet {of_sheet(desk, bad).number}, 12 of 20 pieces" in renewal(desk, last).why


def test_the_chance_rises_by_steps_as_pieces_are_lost_and_nowhere_leaps(
    squares, cutting, desk, operator
):
    """A posterior mean moves by 1 / (weight + cut) a loss at the most: no cliff between no data and some."""
    second = take_in(cutting, SQUARES)
    watched = cutting.codes(second)[0]
    cut(desk, operator, take_in(cutting, SQUARES))
    sheet_actions.start(desk, operator, squares)
    seen = [chance_of(found(desk, second)[watched], "skin")]
    for code in cutting.codes(squares):
        piece_actions.mark(desk, operator, [code], "lost", life.HOSE)
        seen.append(chance_of(found(desk, second)[watched], "skin"))
    assert all(0 < after - before < 1 / (20 + PRIOR_PIECES) for before, after in pairwise(seen))


# What counts as a loss of the holding. --------------------------------------------------------------------------------


def counted(desk) -> Counter:
    """(cut, lost) over all kinds."""
    tallies = store.tallies(desk.read()).values()
    return Counter(cut=sum(one.cut for one in tallies), lost=sum(one.lost for one in tallies))


def is_free(desk, sheet: str, code: str) -> bool:
    return bool(kept(desk, sheet)[code].came_free)


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


def test_at_the_router_the_cause_decides_whether_it_came_free(squares, cutting, desk, operator):
    sheet_actions.start(desk, operator, squares)
    lost = 0
    for cut_so_far, (code, (mark, cause, counts)) in enumerate(
        zip(cutting.codes(squares), AT_THE_ROUTER), start=1
    ):
        piece_actions.mark(desk, operator, [code], mark, cause)
        lost += counts
        assert is_free(desk, squares, code) is counts, (mark, cause)
        assert counted(desk) == Counter(cut=cut_so_far, lost=lost)


def test_what_is_lost_at_the_bench_stayed_on_the_router(mixed, cutting, desk, operator):
    cut(desk, operator, mixed)
    for code, cause in zip(
        named(cutting, mixed, LETTER),
        ("dropped at the bench", "nobody knows", life.HOSE),
        strict=True,
    ):
        piece_actions.mark(desk, operator, [code], "lost", cause)
        assert not is_free(desk, mixed, code) and counted(desk) == Counter(cut=len(MIXED), lost=0)


def test_what_is_spoiled_with_its_abandoned_sheet_did_not_come_free(mixed, cutting, desk, operator):
    sheet_actions.start(desk, operator, mixed)
    sheet_actions.abandon(desk, operator, mixed, (), cutting.codes(mixed)[:3])
    assert counted(desk) == Counter(cut=3, lost=0)


def test_a_mark_taken_back_on_the_picture_takes_the_loss_back(mixed, cutting, desk, operator):
    sheet_actions.start(desk, operator, mixed)
    code = named(cutting, mixed, LETTER)[0]
    expected = {"nested": 1, "lost": 1, "damaged": 0}
    for shown, lost in expected.items():
        sheet_actions.tap(desk, operator, mixed, code, shown)
        assert (is_free(desk, mixed, code), counted(desk)) == (
            bool(lost),
            Counter(cut=1, lost=lost),
        ), shown
    assert piece(desk, code).state == "ready" and replay.differences(desk.read()) == []


def test_a_piece_found_later_did_come_free(mixed, cutting, desk, operator):
    sheet_actions.start(desk, operator, mixed)
    code = named(cutting, mixed, LETTER)[0]
    piece_actions.mark(desk, operator, [code], "lost")
    piece_actions.mark(desk, operator, [code], "found")
    assert piece(desk, code).state == "ready" and is_free(desk, mixed, code)
    assert counted(desk) == Counter(cut=1, lost=1)


def test_another_cause_changes_whether_it_counts_and_changes_it_back(
    mixed, cutting, desk, operator
):
    sheet_actions.start(desk, operator, mixed)
    code = named(cutting, mixed, LETTER)[0]
    piece_actions.mark(desk, operator, [code], "damaged", life.CHIPPED)
    for cause, counts in (("cut wrong", False), (life.SHIFTED, True)):
        told = piece_actions.change_cause(desk, operator, code, cause)
        assert is_free(desk, mixed, code) is counts
    undo(desk, operator, told.act)
    assert not is_free(desk, mixed, code)


def test_tallies_and_predictions_agree_with_a_count_by_hand(mixed, squares, cutting, desk, owner):
    """By hand: the bands as losses.py states them, 49 mm² and 225 mm² and so on; each piece by the way that it was held."""
    acts.overrule(desk, owner, squares, cutting.codes(squares)[:5], "full")
    gone = [named(cutting, mixed, SMALL)[0], *named(cutting, mixed, LETTER)[:2]]
    cut(desk, owner, mixed, lost=gone)
    cut(desk, owner, squares, lost=cutting.codes(squares)[:4], cause=life.SHIFTED)
    large = ways(desk, mixed)[named(cutting, mixed, LARGE)[0]]
    assert store.tallies(desk.read()) == {
        Kind(0, "tape", "blower"): Tally(1, 0),  # 49 mm²
        Kind(1, "tabs", "blower"): Tally(3, 1),  # 225
        Kind(3, "skin", "blower"): Tally(3 + 15, 2),  # 1,800 and 1,600
        Kind(3, "full", "blower"): Tally(5, 4),  # 1,600
        Kind(5, large, "blower"): Tally(1, 0),  # 22,500
    }
    lost = {*gone, *cutting.codes(squares)[:4]}
    both = {**kept(desk, mixed), **kept(desk, squares)}
    by_hand = sorted((held.chance, code in lost) for code, held in both.items())
    assert sorted(store.predictions(desk.read())) == by_hand and len(by_hand) == 28
    sheet = of_sheet(desk, squares).id
    only, without = (
        store.tallies(desk.read(), only=sheet),
        store.tallies(desk.read(), without=[sheet]),
    )
    assert only == {Kind(3, "skin", "blower"): Tally(15, 0), Kind(3, "full", "blower"): Tally(5, 4)}
    assert without[Kind(3, "skin", "blower")] == Tally(3, 2)


def test_only_the_nest_in_force_counts(mixed, cutting, desk, operator):
    """Nested three times, given up once untouched: each piece has four holdings and one outcome."""
    nest_anew(desk, operator, mixed)
    nest_anew(desk, operator, mixed)
    sheet_actions.start(desk, operator, mixed)
    sheet_actions.abandon(desk, operator, mixed)
    stock = of_sheet(desk, mixed).stock
    again = nests.plan(desk, operator, stock).data["sheets"][0]
    all_kept = cutting.count(
        "SELECT count(*) FROM holding h JOIN sheet s ON s.id = h.sheet WHERE s.stock = ?", stock
    )
    assert all_kept == 4 * len(MIXED)
    assert counted(desk) == Counter(cut=0, lost=0), "nothing has an outcome yet"
    cut(desk, operator, again, lost=named(cutting, again, SMALL)[:1])
    assert counted(desk) == Counter(cut=len(MIXED), lost=1) and len(
        store.predictions(desk.read())
    ) == len(MIXED)
