"""The hold-down of a piece: what each costs, which is cheapest, and whether the reason says so. By hand, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.errors import Refused
from shopfloor.domain.holding.hold_down_choice import (
    PieceToHold,
    Stakes,
    advise,
    changed,
    late_days,
    loss_money,
    work_minutes,
)
from shopfloor.domain.holding.holding import HOLD_DOWNS
from shopfloor.domain.holding.loss_statistics import Kind, Tally, prior_mean
from shopfloor.domain.settings import Settings
from shopfloor.wording.formatting import fine_percent

PRICES = Settings(hour_cost=60, late_day_cost=25, set_up_min=10, trim_min=0.75, tape_min=2.5)
STAKES = Stakes(
    recut_min=2, material=0.5, set_up_share=0.4, late_days=0
)  # at 60 an hour a loss costs 3 + 2 + 4 + 0.5
MARGINS = {"full": 0.6, "skin": 2.0, "tabs": 6.0, "tape": 1.5}
PIECE = PieceToHold(
    area_mm2=700, pump="blower", safety_factors=MARGINS, minutes=work_minutes(0.3, 2, PRICES)
)

safety_factors = st.floats(0, 30)
pieces = st.builds(
    PieceToHold,
    area_mm2=st.floats(50, 50_000),
    pump=st.just("blower"),
    safety_factors=st.fixed_dictionaries(
        {"full": safety_factors, "skin": safety_factors},
        optional={"tabs": safety_factors, "tape": safety_factors},
    ),
    minutes=st.fixed_dictionaries({way: st.floats(0, 10) for way in HOLD_DOWNS}),
)
stakes = st.builds(
    Stakes,
    recut_min=st.floats(0, 60),
    material=st.floats(0, 50),
    set_up_share=st.floats(0, 1),
    late_days=st.floats(0, 10),
)
kinds = st.builds(Kind, st.integers(0, 5), st.sampled_from(HOLD_DOWNS), st.just("blower"))
ledgers = st.dictionaries(
    kinds, st.integers(0, 40).flatmap(lambda n: st.builds(Tally, st.just(n), st.integers(0, n)))
)


# What it costs. -------------------------------------------------------------------------------------------------------


def test_a_loss_costs_the_trouble_the_recut_its_share_of_a_set_up_the_sheet_and_the_days_late():
    """By hand, at 60 an hour: 3 + 2 + 0.4 × 10 minutes, 0.5 of sheet, 1.5 days at 25."""
    assert loss_money(STAKES, PRICES) == pytest.approx(9.5)
    assert loss_money(replace(STAKES, late_days=1.5), PRICES) == pytest.approx(9.5 + 37.5)


def test_the_work_of_each_way_is_counted_beyond_a_full_pass():
    assert work_minutes(0.3, 4, PRICES) == {
        "full": 0,
        "skin": 0.3,
        "tabs": 3,
        "tape": pytest.approx(2.8),
    }


@pytest.mark.parametrize(
    ("ready_days", "recut_days", "late"),
    [(2, 1, 0), (4, 1, 0), (4.5, 1, 0.5), (6, 1, 1), (6, 0, 0)],
)
def test_only_the_days_that_the_loss_itself_makes_late_are_counted(ready_days, recut_days, late):
    """The sign is due in five days."""
    assert late_days(5, ready_days, recut_days) == pytest.approx(late)


# The choice. ----------------------------------------------------------------------------------------------------------


def test_the_options_are_the_sums_by_hand_cheapest_first():
    """With the chances of the safety factors alone: work + chance × 9.5, at 1 a minute."""
    advice = advise(PIECE, {}, STAKES, PRICES)
    by_hand = {way: PIECE.minutes[way] + prior_mean(MARGINS[way]) * 9.5 for way in HOLD_DOWNS}
    assert {one.hold_down: one.total for one in advice.options} == pytest.approx(by_hand)
    assert [one.hold_down for one in advice.options] == sorted(HOLD_DOWNS, key=by_hand.get)
    assert advice.best.hold_down == "skin"
    assert (advice.band, advice.pump) == (2, "blower")


@given(pieces, ledgers, stakes)
def test_the_best_is_the_cheapest_of_all_that_can_be_had(piece, ledger, hangs_on_it):
    advice = advise(piece, ledger, hangs_on_it, PRICES)
    assert {one.hold_down for one in advice.options} == set(piece.safety_factors)
    assert all(advice.best.total <= one.total for one in advice.options)
    assert all(
        one.total == pytest.approx(one.work_money + one.chance.mean * one.loss_money)
        for one in advice.options
    )


@given(pieces, ledgers, stakes, st.floats(0, 100))
def test_the_dearer_a_late_day_the_dearer_each_way_and_the_safer_the_choice(
    piece, ledger, hangs_on_it, more
):
    late = replace(hangs_on_it, late_days=hangs_on_it.late_days + 1)
    before, after = (
        advise(piece, ledger, late, replace(PRICES, late_day_cost=PRICES.late_day_cost + by))
        for by in (0, more)
    )
    totals = {one.hold_down: one.total for one in before.options}
    assert all(one.total >= totals[one.hold_down] for one in after.options)
    assert after.best.chance.mean <= before.best.chance.mean + 1e-12


@given(pieces, ledgers, stakes, st.integers(1, 30))
def test_losses_with_one_way_never_make_it_the_choice(piece, ledger, hangs_on_it, losses):
    before = advise(piece, ledger, hangs_on_it, PRICES)
    for way in piece.safety_factors:
        kind = Kind(before.band, way, "blower")
        known = ledger.get(kind, Tally(0, 0))
        worse = {**ledger, kind: Tally(known.cut + losses, known.lost + losses)}
        after = advise(piece, worse, hangs_on_it, PRICES).best
        assert before.best.hold_down in {after.hold_down, way}


def test_a_way_called_hopeless_is_advised_once_it_has_been_overruled_for_some_pieces_that_stayed():
    hopeless = replace(PIECE, safety_factors={"skin": 0.2, "tabs": 6})
    bests = [
        advise(hopeless, {Kind(2, "skin", "blower"): Tally(cut, 0)}, STAKES, PRICES).best.hold_down
        for cut in (0, 20)
    ]
    assert bests == ["tabs", "skin"]


def test_a_way_that_cannot_be_had_is_left_out():
    no_tabs = replace(PIECE, safety_factors={way: MARGINS[way] for way in ("full", "skin", "tape")})
    assert {one.hold_down for one in advise(no_tabs, {}, STAKES, PRICES).options} == {
        "full",
        "skin",
        "tape",
    }


def test_a_piece_that_nothing_holds_is_refused():
    with pytest.raises(Refused, match="No hold-down works for this piece"):
        advise(replace(PIECE, safety_factors={}), {}, STAKES, PRICES)


# Recuts. --------------------------------------------------------------------------------------------------------------


@given(pieces, ledgers, stakes, st.sets(st.sampled_from(HOLD_DOWNS), min_size=1))
def test_a_recut_is_never_held_the_way_that_lost_it_while_there_is_another(
    piece, ledger, hangs_on_it, lost_by
):
    best = advise(piece, ledger, hangs_on_it, PRICES, frozenset(lost_by)).best.hold_down
    left = set(piece.safety_factors) - lost_by
    safe = set(piece.safety_factors) & {"tabs", "tape"}
    assert best in (left & safe or safe or left or set(piece.safety_factors))
    for way in ("tabs", "tape"):
        if way in left:
            assert best == way
            break


@pytest.mark.parametrize(
    ("lost_by", "best"),
    [
        ({"full"}, "tabs"),
        ({"skin"}, "tabs"),
        ({"tabs"}, "tape"),
        ({"tabs", "tape"}, "tabs"),
        (set(HOLD_DOWNS), "tabs"),
    ],
)
def test_a_recut_is_held_by_tabs_else_by_tape_and_not_left_to_the_vacuum_where_both_have_lost_it(
    lost_by, best
):
    assert advise(PIECE, {}, STAKES, PRICES, frozenset(lost_by)).best.hold_down == best


@pytest.mark.parametrize("lost_by", [{"tabs", "tape"}, set(HOLD_DOWNS)])
def test_where_tabs_and_tape_have_lost_it_somebody_is_to_be_asked(lost_by):
    assert "Ask an experienced operator" in str(
        advise(PIECE, {}, STAKES, PRICES, frozenset(lost_by)).why
    )


# The words. -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.31, "31 %"),
        (0.0996, "10 %"),
        (0.024, "2.4 %"),
        (0.0035, "0.35 %"),
        (0.06149, "6.1 %"),  # rounded once: 6.15 first would give 6.2
        (0.02551, "2.6 %"),
        (0.00099, "0.1 %"),
        (0.00024, "0.02 %"),
        (0.00003, "0 %"),
        (0.97, "97 %"),
        (0.08, "8 %"),
    ],
)
def test_a_share_is_told_in_two_figures(share, words):
    assert fine_percent(share) == words


def said(
    safety_factors: dict[str, float], ledger=None, hangs_on_it=STAKES, not_by=frozenset()
) -> str:
    return str(
        advise(
            replace(PIECE, safety_factors=safety_factors), ledger or {}, hangs_on_it, PRICES, not_by
        ).why
    )


def test_more_work_for_fewer_losses_is_told_with_both_prices():
    assert said({"full": 0.6, "tabs": 6}) == (
        "Tabs: 0.77 % of pieces like this are lost, 32 % with a full pass. "
        "Worth it: trimming costs 1.50, a lost piece 9.50."
    )


def test_more_losses_for_less_work_is_told_with_both_prices():
    assert said({"skin": 2, "tabs": 6}) == (
        "Onion skin: 4.4 % of pieces like this are lost, 0.77 % with tabs. "
        "Not worth more: trimming costs 1.50 instead of 0.30, a lost piece 9.50."
    )
    assert said({"full": 2, "tabs": 6}).endswith(
        "Not worth more: trimming costs 1.50, a lost piece 9.50."
    )


def test_what_is_better_and_no_more_work_is_told_so():
    assert said({"tabs": 6, "tape": 1.5}) == (
        "Tabs: 0.77 % of pieces like this are lost, 7.3 % with tape. No extra work."
    )


def test_the_only_way_is_told_so():
    assert (
        said({"tape": 1.5})
        == "Tape: nothing else is possible for this piece. 7.3 % of pieces like this are lost."
    )


def test_a_recut_is_told_what_lost_the_piece():
    assert said(MARGINS, not_by=frozenset({"skin"})) == (
        "Tabs: this piece was lost or chipped with an onion skin, so its recut gets more than vacuum. "
        "0.77 % of pieces like this are lost."
    )


def test_what_the_ledger_changed_is_told_with_the_interval():
    ledger = {Kind(2, "skin", "blower"): Tally(12, 5)}
    first, second = said({"skin": 1.5, "tabs": 6}, ledger).split(" Lost or chipped ")
    assert first.startswith("Tabs: 0.77 % of pieces like this are lost, 35 % with an onion skin.")
    assert second == (
        "with an onion skin so far: 5 of 12. "
        "We now expect 35 % (14 to 60 %); its safety factor alone says 7.3 %."
    )


def test_what_the_neighbouring_bands_changed_is_told_so():
    assert "Going by slightly smaller or larger pieces with an onion skin, we now expect" in said(
        {"skin": 1.5, "tabs": 6}, {Kind(3, "skin", "blower"): Tally(12, 8)}
    )


def test_nothing_is_said_of_the_ledger_where_it_bears_the_margin_out():
    assert "now expect" not in said(
        {"skin": 1.5, "tabs": 6}, {Kind(2, "skin", "blower"): Tally(40, 3)}
    )


def test_nothing_is_said_of_results_that_move_a_large_chance_by_a_little():
    """At 0.6 a third of the pieces is expected to be lost: 17 of 40 is more, and less than half as much again."""
    assert "now expect" not in said({"tape": 0.6}, {Kind(2, "tape", "blower"): Tally(40, 17)})
    assert "now expect" in said({"tape": 0.6}, {Kind(2, "tape", "blower"): Tally(40, 30)})


# After a bad sheet. ---------------------------------------------------------------------------------------------------


def on_a_sheet(outcomes: dict[Kind, Tally], piece: PieceToHold = PIECE) -> str | None:
    before, after = (advise(piece, ledger, STAKES, PRICES) for ledger in ({}, outcomes))
    reason = changed(before, after, "S-207", outcomes)
    return reason and str(reason)


def test_a_bad_sheet_changes_the_advice_and_the_reason_names_it():
    """By hand: (3 × 0.0437 + 6 + 10 × 7/20) / (3 + 9 + 10) = 0.438, ten pieces being lent by the band above."""
    outcomes = {Kind(2, "skin", "blower"): Tally(9, 6), Kind(3, "skin", "blower"): Tally(20, 7)}
    outcomes[Kind(2, "tape", "blower")] = Tally(3, 3)
    assert on_a_sheet(outcomes) == (
        "Tabs instead of an onion skin. On sheet S-207, with an onion skin: "
        "6 of 9 lost or chipped (500 to 1,000 mm²). We now expect 44 %, not 4.4 %."
    )


def test_a_good_sheet_may_change_it_too():
    """By hand: 3 × 0.322 / 23 = 0.042."""
    dear = replace(PIECE, safety_factors={"full": 0.6, "tabs": 6})
    assert on_a_sheet({Kind(2, "full", "blower"): Tally(20, 0)}, dear) == (
        "Full pass instead of tabs. On sheet S-207, with a full pass: "
        "0 of 20 lost or chipped (500 to 1,000 mm²). We now expect 4.2 %, not 32 %."
    )


def test_the_neighbouring_bands_are_named_where_only_they_were_cut():
    reason = on_a_sheet({Kind(3, "skin", "blower"): Tally(30, 30)})
    assert "with an onion skin: 30 of 30 lost or chipped (1,000 to 2,500 mm²)" in reason


@pytest.mark.parametrize(
    "outcomes",
    [
        {Kind(2, "skin", "blower"): Tally(9, 0)},
        {Kind(2, "skin", "rotary vane"): Tally(9, 9)},
        {Kind(5, "skin", "blower"): Tally(9, 9)},
        {},
    ],
)
def test_a_sheet_that_changes_nothing_gives_no_reason(outcomes):
    assert on_a_sheet(outcomes) is None


def test_a_sheet_is_not_blamed_for_what_others_changed():
    outcomes = {Kind(2, "skin", "blower"): Tally(9, 6)}
    before, after = (advise(PIECE, ledger, STAKES, PRICES) for ledger in ({}, outcomes))
    assert before.best.hold_down != after.best.hold_down
    assert changed(before, after, "S-207", {Kind(0, "tape", "blower"): Tally(4, 4)}) is None
