"""What is advised after awkward losses: two bad sheets, a late mark, tape that failed, a find, an overruled recut."""

from __future__ import annotations

from holding_for_tests import DOT, LETTER, MIXED, SQUARES, cut, kept, named, piece, take_in

from shopfloor.actions import hold_down_advice, holding, nests, pieces, sheets
from shopfloor.actions.unit_of_work import Caller, shop_day
from shopfloor.store import sheets as store


def renewal(shop, code: str):
    """Why a planned sheet would be held another way today."""
    db = shop.read()
    return hold_down_advice.renewal(db, store.sheet_by_code(db, code), shop_day(db, shop.clock()))


def recut_on_a_sheet(shop, by, code: str) -> tuple[str, str]:
    """Loses a piece at the router; gives its recut's code and that of the sheet on which it is nested."""
    recut = pieces.mark(Caller(shop, by), [code], "lost").data["recuts"][0]
    return recut, nests.plan(Caller(shop, by), piece(shop, recut).stock, codes=[recut]).data[
        "sheets"
    ][0]


def test_of_two_bad_sheets_that_each_would_do_the_worst_is_named(cutting, shop, operator):
    first, second, planned = (take_in(cutting, SQUARES) for _ in range(3))
    cut(shop, operator, first, lost=cutting.codes(first)[:14])
    cut(shop, operator, second, lost=cutting.codes(second)[:12])
    number = store.sheet_by_code(shop.read(), first).number
    assert f"On sheet {number}, with an onion skin: 14 of 20 lost" in str(
        renewal(shop, planned).why
    )


def test_marks_that_are_set_after_the_next_nest_count(cutting, shop, operator):
    bad = take_in(cutting, SQUARES)
    sheets.start(Caller(shop, operator), bad)
    sheets.finish(Caller(shop, operator), bad)
    planned = take_in(cutting, SQUARES)
    codes = cutting.codes(bad)
    for code in codes[:14]:
        sheets.tap(Caller(shop, operator), bad, code, "nested")
    sheets.mark_rest_cut(Caller(shop, operator), bad, codes[14:])
    number = store.sheet_by_code(shop.read(), bad).number
    assert f"On sheet {number}, with an onion skin: 14 of 20 lost" in str(
        renewal(shop, planned).why
    )


def test_a_piece_that_tape_has_lost_and_that_takes_no_tabs_is_taped_again_and_not_left_to_the_vacuum(
    cutting, shop, operator
):
    first = take_in(cutting, MIXED)
    sheets.start(Caller(shop, operator), first)
    recut, sheet = recut_on_a_sheet(shop, operator, named(cutting, first, DOT)[0])
    held = kept(shop, sheet)[recut]
    assert held.hold_down == "tape" and "Ask an experienced operator" in str(held.why)


def test_what_was_found_and_then_spoiled_at_the_bench_did_move(cutting, shop, operator):
    sheet = take_in(cutting, MIXED)
    sheets.start(Caller(shop, operator), sheet)
    letter = named(cutting, sheet, LETTER)[0]
    for mark in ("lost", "found", "damaged"):
        pieces.mark(Caller(shop, operator), [letter], mark)
        assert kept(shop, sheet)[letter].moved


def test_an_overruled_recut_keeps_the_chance_of_the_way_that_was_chosen(cutting, shop, owner):
    first = take_in(cutting, MIXED)
    sheets.start(Caller(shop, owner), first)
    recut, sheet = recut_on_a_sheet(shop, owner, named(cutting, first, LETTER)[0])
    advised = kept(shop, sheet)[recut]
    holding.overrule(Caller(shop, owner), sheet, [recut], "skin")
    chosen = kept(shop, sheet)[recut]
    assert (advised.hold_down, chosen.hold_down) == ("tabs", "skin")
    assert chosen.chance > 5 * advised.chance, "and not the chance of the tabs that were advised"
