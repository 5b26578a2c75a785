"""What is said and done after losses that are awkward: two bad sheets, a late mark, tape that failed, a find, an overruled recut."""

from __future__ import annotations

from holding_for_tests import DOT, LETTER, MIXED, SQUARES, cut, kept, named, piece, take_in

from shopfloor.actions import hold_down_advice, holding, nests, pieces, sheets
from shopfloor.actions.unit_of_work import shop_day
from shopfloor.store import sheets as store


def renewal(desk, code: str):
    """Why a planned sheet would be held in another way today."""
    db = desk.read()
    return hold_down_advice.renewal(db, store.sheet_by_code(db, code), shop_day(db, desk.clock()))


def recut_on_a_sheet(desk, by, code: str) -> tuple[str, str]:
    """Loses a piece at the router; gives its recut's code and that of the sheet on which it is nested."""
    recut = pieces.mark(desk, by, [code], "lost").data["recuts"][0]
    return recut, nests.plan(desk, by, piece(desk, recut).stock, codes=[recut]).data["sheets"][0]


def test_of_two_bad_sheets_that_each_would_do_the_worst_is_named(cutting, desk, operator):
    first, second, planned = (take_in(cutting, SQUARES) for _ in range(3))
    cut(desk, operator, first, lost=cutting.codes(first)[:14])
    cut(desk, operator, second, lost=cutting.codes(second)[:12])
    number = store.sheet_by_code(desk.read(), first).number
    assert f"on sheet {number}, 14 of 20" in renewal(desk, planned).why


def test_marks_that_are_set_after_the_next_nest_count(cutting, desk, operator):
    bad = take_in(cutting, SQUARES)
    sheets.start(desk, operator, bad)
    sheets.finish(desk, operator, bad)
    planned = take_in(cutting, SQUARES)
    codes = cutting.codes(bad)
    for code in codes[:14]:
        sheets.tap(desk, operator, bad, code, "nested")
    sheets.mark_rest_cut(desk, operator, bad, codes[14:])
    number = store.sheet_by_code(desk.read(), bad).number
    assert f"on sheet {number}, 14 of 20" in renewal(desk, planned).why


def test_a_piece_that_tape_has_lost_and_that_takes_no_tabs_is_taped_again_and_not_left_to_the_vacuum(
    cutting, desk, operator
):
    first = take_in(cutting, MIXED)
    sheets.start(desk, operator, first)
    recut, sheet = recut_on_a_sheet(desk, operator, named(cutting, first, DOT)[0])
    held = kept(desk, sheet)[recut]
    assert held.way == "tape" and "ask somebody with experience" in held.why


def test_what_was_found_and_then_spoiled_at_the_bench_did_come_free(cutting, desk, operator):
    sheet = take_in(cutting, MIXED)
    sheets.start(desk, operator, sheet)
    letter = named(cutting, sheet, LETTER)[0]
    for mark in ("lost", "found", "damaged"):
        pieces.mark(desk, operator, [letter], mark)
        assert kept(desk, sheet)[letter].came_free


def test_an_overruled_recut_keeps_the_chance_of_the_way_that_was_chosen(cutting, desk, owner):
    first = take_in(cutting, MIXED)
    sheets.start(desk, owner, first)
    recut, sheet = recut_on_a_sheet(desk, owner, named(cutting, first, LETTER)[0])
    advised = kept(desk, sheet)[recut]
    holding.overrule(desk, owner, sheet, [recut], "skin")
    chosen = kept(desk, sheet)[recut]
    assert (advised.way, chosen.way) == ("tabs", "skin")
    assert chosen.chance > 5 * advised.chance, "and not the chance of the tabs that were advised"
