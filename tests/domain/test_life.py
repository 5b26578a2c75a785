"""The life of a piece, rule by rule, without a database ."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shopfloor.domain import pieces as life
from shopfloor.domain.errors import Conflict

NESTED = life.Piece(
    id=1,
    code="40729153",
    state="nested",
    attempt=1,
    tabs=0,
    was=None,
    cause=None,
    outline=7,
    stock=3,
    sheet=5,
    sheet_state="cutting",
    part=11,
    last_part=11,
    sign_state="open",
    perimeter_mm=480.0,
)
RECUT = replace(
    NESTED, id=2, code="46215006", attempt=2, tabs=3, sheet=None, sheet_state=None, state="waiting"
)


def lose(piece, mark="lost", cause=None):
    return life.gone(piece, mark, cause, lambda: "46215006", 2, 3)


def test_without_tabs_cut_leads_straight_to_ready():
    assert life.cut(NESTED) == [life.PieceCut(1, "ready")]
    assert life.cut(replace(NESTED, tabs=2)) == [life.PieceCut(1, "cut")]
    assert life.trimmed(replace(NESTED, state="cut", tabs=2)) == [life.TabsTrimmed(1)]


@pytest.mark.parametrize("state", ["nested", "cut", "ready", "fixed"])
@pytest.mark.parametrize("mark", ["lost", "damaged"])
def test_a_piece_that_is_gone_queues_the_next_one_for_its_part_with_tabs_on(state, mark):
    happened, ended, recut = lose(replace(NESTED, state=state), mark)
    assert (happened.piece, happened.was) == (1, state)
    assert ended == life.AssignmentEnded(1, mark)
    assert recut == life.RecutQueued("46215006", 11, 7, 3, 2, 3)


def test_tabs_are_one_each_150_mm_and_two_at_the_least():
    lengths = (20, 300, 374, 375, 376, 1500)
    assert [life.usual_tabs(mm, 150, 2) for mm in lengths] == [2, 2, 2, 3, 3, 10]


def test_the_cause_is_the_likely_one_until_somebody_says_otherwise():
    assert lose(NESTED)[0].cause == life.HOSE
    assert lose(replace(NESTED, state="ready"))[0].cause == life.DROPPED
    assert lose(NESTED, cause="the gull took it")[0].cause == "the gull took it"


def test_gone_twice_makes_no_second_recut():
    lost = replace(NESTED, state="lost", was="nested", part=None, cause=life.HOSE)
    assert lose(lost) == []
    assert lose(lost, "damaged") == [life.PieceDamaged(1, "nested", life.CHIPPED)]


@pytest.mark.parametrize("state", ["waiting", "withdrawn"])
def test_what_was_never_cut_cannot_be_lost(state):
    with pytest.raises(Conflict, match="4072 9153"):
        lose(replace(NESTED, state=state, sheet=None))


def test_a_spare_that_is_lost_is_not_cut_again():
    assert [
        type(event) for event in lose(replace(NESTED, state="ready", part=None, last_part=None))
    ] == [life.PieceLost]


def test_a_piece_of_a_packed_sign_is_not_lost_before_the_sign_is_reopened():
    with pytest.raises(Conflict, match="reopen"):
        lose(replace(NESTED, state="fixed", sign_state="packed"))


LOST = replace(NESTED, state="lost", was="nested", part=None, cause=life.HOSE)


def test_found_again_at_the_table_it_counts_as_cut():
    assert life.found(LOST, [])[0] == life.PieceFound(1, "ready")
    assert life.found(replace(LOST, tabs=2), [])[0] == life.PieceFound(1, "cut")
    assert life.found(replace(LOST, was="ready"), [])[0] == life.PieceFound(1, "ready")


def test_a_found_piece_takes_its_place_back_and_the_waiting_recut_is_withdrawn():
    assert life.found(LOST, [RECUT])[1:] == [
        life.AssignmentEnded(2, "4072 9153 was found"),
        life.PieceWithdrawn(2),
        life.PieceAssigned(1, 11),
    ]


def test_a_recut_on_a_started_sheet_is_not_withdrawn_but_becomes_a_spare_once_cut():
    begun = replace(RECUT, state="nested", sheet=9, sheet_state="cutting")
    assert life.PieceWithdrawn(2) not in life.found(LOST, [begun])
    planned = replace(begun, sheet_state="planned")
    assert life.PieceWithdrawn(2) in life.found(LOST, [planned])


def test_the_part_keeps_the_piece_that_is_further_along_and_on_a_tie_the_earlier_attempt():
    fixed = replace(RECUT, state="fixed")
    assert life.found(LOST, [fixed]) == [life.PieceFound(1, "ready")]
    tie = replace(RECUT, state="ready")
    assert life.PieceAssigned(1, 11) in life.found(LOST, [tie])
    later = replace(LOST, attempt=3)
    assert life.found(later, [tie]) == [life.PieceFound(1, "ready")]


def test_a_damaged_piece_is_not_found_except_where_the_mark_was_a_slip_of_the_finger():
    damaged = replace(LOST, state="damaged")
    with pytest.raises(Conflict, match="damaged, not lost"):
        life.found(damaged, [])
    assert life.found(damaged, [], may_be_damaged=True)[0] == life.PieceFound(1, "ready")


def test_found_when_its_sign_is_gone_it_is_a_spare():
    assert life.found(replace(LOST, sign_state="cancelled"), []) == [life.PieceFound(1, "ready")]


def test_only_a_ready_piece_is_fixed_and_only_a_fixed_one_comes_off():
    assert life.fixed(replace(NESTED, state="ready")) == [life.PieceFixed(1)]
    assert life.came_off(replace(NESTED, state="fixed")) == [life.PieceCameOff(1)]
    for state in ("nested", "cut", "lost", "withdrawn"):
        with pytest.raises(Conflict):
            life.fixed(replace(NESTED, state=state))
        with pytest.raises(Conflict):
            life.came_off(replace(NESTED, state=state))


def test_cancelling_withdraws_what_is_not_cut_and_spares_what_is():
    assert life.PieceWithdrawn(2) in life.no_longer_needed(RECUT)
    assert life.no_longer_needed(replace(NESTED, state="ready")) == [
        life.AssignmentEnded(1, "the sign was cancelled")
    ]
    assert life.PieceWithdrawn(1) not in life.no_longer_needed(
        NESTED
    )  # the router is on it already


@pytest.mark.parametrize("state", [*life.PROGRESS])
def test_every_mark_offered_is_one_that_the_rules_take(state):
    piece = replace(NESTED, state=state, was="nested", tabs=2)
    takes = {
        "cut": life.cut,
        "trimmed": life.trimmed,
        "came off": life.came_off,
        "found": lambda p: life.found(p, []),
        "lost": lambda p: lose(p, "lost"),
        "damaged": lambda p: lose(p, "damaged"),
    }
    for mark in life.allowed_marks(piece):
        assert takes[mark](piece)
