"""Recuts lie far enough apart for their tabs: between two cuts there is waste for a tab to hold on to."""

from __future__ import annotations

from holding_for_tests import SQUARES, kept, of_sheet, take_in

from shopfloor.actions import nests, pieces, sheets
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import sheets as store


def test_recuts_lie_two_cutters_apart_and_more_so_that_each_gets_its_tabs(cutting, shop, operator):
    """Two cuts of 6.35 mm and the 2 mm over: 14.7 mm; a sheet of first attempts keeps to 8.35 mm. The gaps are common practice."""
    first = take_in(cutting, SQUARES)
    sheets.start(Caller(shop, operator), first)
    recuts = pieces.mark(Caller(shop, operator), cutting.codes(first)[:8], "lost").data["recuts"]
    stock = of_sheet(shop, first).stock
    again = nests.plan(Caller(shop, operator), stock, codes=recuts).data["sheets"][0]
    gaps = [store.row(shop.read(), of_sheet(shop, code).id).gap_mm for code in (first, again)]
    assert gaps == [8.35, 14.7]
    held = kept(shop, again)
    assert {one.hold_down for one in held.values()} == {"tabs"} and all(
        len(one.tabs) >= 2 for one in held.values()
    )
