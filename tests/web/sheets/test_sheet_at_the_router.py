"""What a sheet's pages say at the router: an old file, another pump, a measured blank, tabs to trim, a nest that was undone.

No source outside the project: the words of its pages.
"""

from __future__ import annotations

import pytest
from holding_for_tests import LARGE, LETTER, MIXED, SMALL, kept, named, of_sheet, piece, take_in
from shop_for_tests import words

from shopfloor.actions import cutters, hold_down_advice, holding, nests, settings, setup_sheets
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller, shop_day, undo
from shopfloor.store import ledger, stock
from shopfloor.wording import safety


@pytest.fixture
def mixed(cutting):
    """The code of a planned sheet with a dot, three small squares, letters and a board."""
    return take_in(cutting, MIXED)


def fetched(client, sheet: str) -> None:
    """The operator fetches the file for the machine."""
    assert client.post(f"/sheets/{sheet}/file/dxf").status_code == 200


def test_the_large_button_starts_no_sheet_while_the_machine_has_an_old_file(
    mixed, cutting, shop, owner, as_owner
):
    fetched(as_owner, mixed)
    assert "Fetch the new file" not in words(as_owner.get(f"/sheets/{mixed}"))
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, LARGE), "skin")
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, LETTER)[:1], "full")
    page = words(as_owner.get(f"/sheets/{mixed}"))
    assert "Fetch the new file first" in page and "Start anyway" in page
    assert "The machine has an old file" in words(as_owner.get("/sheets"))
    assert "The file at the machine is an old one" in words(
        as_owner.get(f"/sheets/{mixed}/holding")
    )
    fetched(as_owner, mixed)
    assert "old" not in words(as_owner.get("/sheets")).split("Last closed")[0].lower().replace(
        "hold", ""
    )


def test_two_files_of_one_nest_that_differ_have_different_names(mixed, cutting, shop, owner):
    first, first_bytes, _ = setup_sheets.file_for(shop.read(), mixed, "svg")
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, LETTER)[:1], "full")
    second, second_bytes, _ = setup_sheets.file_for(shop.read(), mixed, "svg")
    assert first != second and first_bytes != second_bytes
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, LETTER)[:1], "advised")
    again, again_bytes, _ = setup_sheets.file_for(shop.read(), mixed, "svg")
    assert (again, again_bytes) == (first, first_bytes)


def test_another_pump_is_named_and_worked_out_again(mixed, shop, owner, as_owner):
    settings.change_settings(Caller(shop, owner), {"pump": "rotary vane", "gauge_inhg": "22"})
    page = words(as_owner.get(f"/sheets/{mixed}"))
    assert (
        "The rotary vane now pulls 22.0 inHg at the sheet. This was worked out for a blower at 8.0 inHg."
        in page
    )
    as_owner.post(f"/sheets/{mixed}/holding/renew")
    db = shop.read()
    assert hold_down_advice.renewal(db, of_sheet(shop, mixed), shop_day(db, shop.clock())) is None
    assert {held.pump for held in kept(shop, mixed).values()} == {"rotary vane"}


def test_a_blank_that_was_measured_is_cut_as_thick_as_it_is(mixed, shop, owner):
    blank = stock.blank(shop.read(), of_sheet(shop, mixed).blank)
    assert setup_sheets.setup_sheet_of(shop.read(), mixed).feeds.passes == (6.0,)
    cutters.measure_blank(Caller(shop, owner), blank.code, "5.6")
    thin = setup_sheets.setup_sheet_of(shop.read(), mixed)
    assert (thin.thickness_mm, thin.feeds.passes) == (5.6, (5.6,))
    assert thin.feeds.skin_passes == pytest.approx((5.2, 0.4))
    assert "This sheet measured 5.6 mm; the passes are set for that." in map(str, thin.cautions)
    cutters.measure_blank(Caller(shop, owner), blank.code, "6.5")
    assert setup_sheets.setup_sheet_of(shop.read(), mixed).feeds.passes == pytest.approx(
        (3.25, 3.25)
    ), "not in one pass"


def test_the_tabs_of_a_closed_sheet_are_trimmed_from_its_own_page(
    mixed, cutting, shop, operator, as_operator
):
    sheet_actions.start(Caller(shop, operator), mixed)
    sheet_actions.finish(Caller(shop, operator), mixed)
    sheet_actions.mark_rest_cut(Caller(shop, operator), mixed, cutting.codes(mixed))
    tabbed = named(cutting, mixed, SMALL)
    page = as_operator.get(f"/sheets/{mixed}")
    assert "Tabs to trim: 3 pieces" in words(page) and "Tabs trimmed: all 3" in words(page)
    assert str(safety.caution()) in words(page), "a blade is in hand"
    as_operator.post(f"/sheets/{mixed}/trimmed", data={"codes": tabbed[0]})
    assert [piece(shop, code).state for code in tabbed] == ["ready", "cut", "cut"]
    assert "Tabs to trim: 2 pieces" in words(as_operator.get(f"/sheets/{mixed}"))
    as_operator.post(f"/sheets/{mixed}/trimmed", data={"codes": " ".join(tabbed[1:])})
    assert {piece(shop, code).state for code in tabbed} == {"ready"}
    assert "Tabs to trim" not in words(as_operator.get(f"/sheets/{mixed}"))


@pytest.mark.parametrize("page", ["/sheets", "/sheets/{}", "/sheets/{}/setup-sheet"])
def test_the_caution_is_beside_start_and_on_the_setup_sheet(mixed, as_operator, page):
    shown = words(as_operator.get(page.format(mixed)))
    assert shown.count(str(safety.caution())) == 1


def test_who_cannot_start_a_sheet_reads_no_caution_beside_start(mixed, as_assembler):
    for page in ("/sheets", f"/sheets/{mixed}"):
        assert str(safety.caution()) not in words(as_assembler.get(page))


def test_the_page_of_a_sheet_whose_nest_was_undone_leads_to_the_list(
    mixed, shop, operator, as_operator, cutting
):
    waiting = nests.plan(Caller(shop, operator), of_sheet(shop, mixed).stock, pool=[mixed]).data[
        "sheets"
    ][0]
    assert waiting == mixed
    planned = next(
        act
        for act in range(ledger.newest(shop.read()), 0, -1)
        if ledger.entry(shop.read(), act).what == "nested pieces"
    )
    undo(Caller(shop, operator), planned)
    first = next(
        act
        for act in range(planned - 1, 0, -1)
        if any(
            change["t"] == "sheet" and change["b"] is None and change["a"]["code"] == mixed
            for change in ledger.entry(shop.read(), act).changes
        )
    )
    undo(Caller(shop, operator), first)
    answer = as_operator.get(f"/sheets/{mixed}")
    assert answer.status_code in (302, 303) and answer.location.endswith("/sheets")


def test_the_pieces_own_page_says_how_it_is_held_and_that_a_person_chose_it(
    mixed, cutting, shop, operator, as_operator
):
    letter = named(cutting, mixed, LETTER)[0]
    assert "with an onion skin" in words(as_operator.get(f"/p/{letter}"))
    holding.overrule(Caller(shop, operator), mixed, [letter], "tape")
    page = words(as_operator.get(f"/p/{letter}"))
    assert "with tape" in page and "Now held with tape: " in page, "its history tells it too"


def test_a_sheet_that_was_nested_for_another_cutter_says_so_where_start_is(
    mixed, shop, owner, as_owner
):
    small = {
        "name": "small letters",
        "diameter_mm": "3",
        "flutes": "2",
        "edge": "straight",
        "reach_mm": "12",
    }
    cutter = cutters.add_cutter(Caller(shop, owner), small).data["cutter"]
    assert "nest the sheet again" not in words(as_owner.get(f"/sheets/{mixed}"))
    own = {
        "cutter": str(cutter),
        "rev_per_min": "18000",
        "chip_mm": "0.05",
        "cutting_energy": "0.12",
        "source": "trials",
    }
    cutters.change_stock_cutting(Caller(shop, owner), "cream-6", own)
    page = as_owner.get(f"/sheets/{mixed}")
    assert (
        "Fit 6.35 mm, 2 flutes, straight, polished: this sheet is nested for it. To use "
        "3 mm, 2 flutes" in words(page)
    )
    assert f'href="/sheets/pool/{of_sheet(shop, mixed).stock}">Nest again' in page.text
