"""What the store gives for what it was asked, one function after the other, at its bounds."""

from __future__ import annotations

import pytest

from shopfloor.actions import trays as tray_acts
from shopfloor.domain.errors import NotFound, Refused
from shopfloor.domain.holding.loss_statistics import BANDS_MM2, Kind, Tally, band_of
from shopfloor.domain.outlines import Outline
from shopfloor.store import (
    bench,
    codes,
    cutters,
    holding,
    jobs,
    ledger,
    outlines,
    people,
    placement,
    stock,
    swaps,
    trays,
)
from shopfloor.store.sql import insert


def test_a_code_is_claimed_once(tables):
    assert codes.claim(tables, "40729153", "piece") is True
    assert codes.claim(tables, "40729153", "sheet") is False
    assert codes.kind_of(tables, "40729153") == "piece"
    with pytest.raises(NotFound):
        codes.kind_of(tables, "10000000")


def test_outlines_are_numbered_from_one_in_the_order_of_their_coming(tables):
    for number, width in enumerate((40.0, 50.0), start=1):
        shape = Outline((((0.0, 0.0), (width, 0.0), (width, 30.0)),))
        assert outlines.next_outline(tables) == number
        assert outlines.add_outline(tables, 1, shape, None) == number
        assert outlines.newest_outline(tables) == number


def test_only_an_owner_on_duty_is_the_owner(tables):
    people.add(tables, "Ada", ("operator",))
    people.add(tables, "Bo", ("owner",))
    people.change(tables, 2, "Bo", ("owner",), is_active=False)
    with pytest.raises(NotFound):
        people.owner(tables)
    people.add(tables, "Cy", ("owner",))
    assert people.owner(tables).name == "Cy"
    assert people.by_named(tables, None, "tablet 1").name == "Cy"


def test_a_name_that_nobody_has_is_repeated_up_to_forty_letters(tables):
    people.add(tables, "Ada", ("operator",))
    with pytest.raises(Refused) as refused:
        people.by_named(tables, "x" * 41, "tablet 1")
    assert f"“{'x' * 40}”" in str(refused.value)


def test_roles_are_read_in_their_order(tables):
    people.add(tables, "Ada", ("assembler", "operator"))
    assert people.one(tables, 1).duties == "operator, assembler"


def test_a_stock_is_found_by_its_code_and_those_there_are_are_named(cutting):
    cutting.take_in(3)
    db = cutting.shop.read()
    first = stock.all_stocks(db)[0]
    assert stock.stock_by_code(db, f" {first.code} ") == first
    with pytest.raises(NotFound, match=first.code):
        stock.stock_by_code(db, "tartan-6")


def test_a_part_that_is_not_there_is_nowhere(tables):
    with pytest.raises(NotFound):
        jobs.place_of(tables, 1)


def test_the_name_of_a_retired_cutter_is_known(tables):
    cutter = cutters.add_cutter(
        tables,
        name="6 mm",
        diameter_mm=6.0,
        flutes=2,
        edge="straight",
        is_polished=0,
        helix_deg=0.0,
        reach_mm=22.0,
    )
    assert not cutters.is_retired_name(tables, "6 mm")
    cutters.retire_cutter(tables, cutter)
    assert cutters.is_retired_name(tables, "6 mm") and cutters.cutters(tables) == []


def test_minutes_by_the_clock(tables):
    time = holding.SheetTime(40.0, "2026-11-25T14:00:00+00:00", "2026-11-25T15:15:30+00:00", "", "")
    assert time.real_min == 75.5


@pytest.mark.parametrize("band", range(len(BANDS_MM2)))
def test_a_piece_is_counted_in_the_band_of_its_size(tables, band):
    """Each band is counted from its lower bound on, as the rules sort a piece that is to be cut."""
    area = BANDS_MM2[band - 1] if band else 0.5
    tables.execute("INSERT INTO outline VALUES (1, 1, '[]', ?, 10, 10, 10, 1)", (area,))
    insert(tables, "sheet", number="S-201", code="1", stock=1, blank=1, state="closed", nest=1)
    insert(tables, "piece", code="2", outline=1, stock=1, state="cut", attempt=1, tabs=0, sheet=1)
    tables.execute(
        """INSERT INTO holding (nest, sheet, piece, way, advised, verdict, margin, chance, chance_low, chance_high, pump, tabs, why)
           VALUES (1, 1, 1, 'tabs', 'tabs', 'holds', 2, 0.1, 0, 0.2, 'blower', '[]', 'Tabs.')"""
    )
    assert holding.tallies(tables) == {Kind(band, "tabs", "blower"): Tally(1, 0)}
    assert band_of(area) == band


def test_planned_sheets_are_counted_from_one(cutting):
    cutting.take_in(3, "2026-12-01")
    cutting.take_in(4, "2026-11-27")
    order = swaps.planned_in_order(cutting.shop.read())
    assert sorted(order.values()) == list(range(1, len(cutting.rows()) + 1))


def test_parts_lie_at_their_places_and_are_not_turned(cutting):
    cutting.take_in(3)
    db = cutting.shop.read()
    parts = jobs.parts_of(db, 1)
    boxes = [place.outline.bounds for place in placement.placed(db, parts)]
    assert boxes == [
        (part.x_mm, part.y_mm, part.x_mm + part.width_mm, part.y_mm + part.height_mm)
        for part in parts
    ]


def test_a_retired_tray_stands_in_no_other_and_is_not_in_use(tables):
    shelf, bag = trays.add(tables, "1", "shelf", ""), trays.add(tables, "2", "bag", "")
    trays.set_stands_in(tables, bag, shelf)
    trays.retire(tables, bag)
    assert [tray.id for tray in trays.in_use(tables)] == [shelf]
    kept = trays.all_trays(tables)[bag]
    assert kept.is_retired and kept.stands_in is None


def test_what_the_last_acts_are(shop, owner, operator, assembler):
    acts = [row["act"] for row in ledger.recent(shop.read())]
    assert acts == list(range(ledger.newest(shop.read()), 0, -1))
    assert [row["act"] for row in ledger.recent(shop.read(), 1, before=acts[0])] == [acts[1]]


def test_the_steps_of_a_sign_are_numbered_from_one(cutting):
    cutting.take_in(3)
    steps = bench.steps_of(cutting.shop.read(), 1)
    assert steps and [step.number for step in steps] == list(range(1, len(steps) + 1))


def test_what_is_put_into_a_shelf_does_not_change_the_shelf(tray_bench):
    shelf, bag = tray_bench.made("shelf"), tray_bench.made("bag")
    tray_bench.do(tray_acts.move_tray, bag, shelf)
    db = tray_bench.shop.read()
    on_shelf, on_bag = (
        [row["what"] for row in ledger.acts_on(db, "tray", trays.by_code(db, code).id)]
        for code in (shelf, bag)
    )
    assert (len(on_shelf), len(on_bag)) == (1, 2)
