"""To how many places a figure is kept: thousandths of a millimetre, of a degree and of a minute; chances to 0.00001."""

from __future__ import annotations

import json
import sqlite3

from shopfloor.domain.fixings.screw_places import FixingPlan
from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.nests import NestedSheet, Placed
from shopfloor.store import (
    bench,
    climate,
    fixings,
    holding,
    jobs,
    outlines,
    revisions,
    sheets,
    stock,
)
from shopfloor.wording.message import plain


def columns(db: sqlite3.Connection, sql: str) -> list[float | None]:
    """The columns of the only row."""
    (row,) = db.execute(sql)
    return list(row)


def test_a_sign_is_kept_to_the_thousandth(tables):
    sign = jobs.add_sign(tables, "40729153", 1, "A", "", (812.34567, 300.65432), 2)
    size = "SELECT width_mm, height_mm, levels FROM sign"
    assert columns(tables, size) == [812.346, 300.654, 2]
    revisions.set_size(tables, sign, 900.76543, 250.23456, 3)
    assert columns(tables, size) == [900.765, 250.235, 3]


def test_an_offcut_is_kept_to_the_thousandth(tables):
    stock.add_blank(tables, "40729153", 1, 612.34567, 298.76543, is_offcut=True)
    assert columns(tables, "SELECT length_mm, width_mm FROM blank") == [612.346, 298.765]


def test_the_figures_of_an_outline_are_kept_to_the_thousandth_and_found_by_them(tables):
    cut = Outline((((0.0, 0.0), (40.123, 0.0), (30.1234, 20.5678)),))
    kept = outlines.add_outline(tables, 1, cut, None)
    assert columns(tables, "SELECT area_mm2, perimeter_mm FROM outline") == [412.621, 99.468]
    assert outlines.same_outline(tables, 1, cut) == kept


def test_a_layout_is_kept_to_the_thousandth_and_a_turn_to_the_millionth(tables):
    put = Placed("7", 12.34567, 76.54321, 33.12345678)
    made = NestedSheet((put,), "length", 456.78915, 0.654321, 0.5432167)
    sheets.add_nest(tables, 1, made, {7: 1}, 6.0, 10.0, "2026-11-25T14:12:00Z")
    assert columns(tables, "SELECT x_mm, y_mm, turn FROM placement") == [12.346, 76.543, 33.123457]
    nest = "SELECT used_mm, yield_share, other_yield_share FROM nest"
    assert columns(tables, nest) == [456.789, 0.6543, 0.5432]


def test_a_reading_at_the_bench_is_kept_to_the_thousandth(tables):
    climate.add(tables, "2026-11-25T14:12:00Z", 21.34567, 45.65432, "typed", 1)
    kept = "SELECT temperature_c, humidity_percent FROM climate"
    assert columns(tables, kept) == [21.346, 45.654]


def test_the_air_at_a_glue_up_is_kept_to_the_thousandth(tables):
    at = "2026-11-25T14:12:00Z"
    bench.add_glue_up(
        tables,
        temperature_c=21.34567,
        humidity_percent=45.65432,
        cement=1,
        batch="A-2",
        at=at,
        cured_at=at,
        person=1,
    )
    kept = "SELECT temperature_c, humidity_percent FROM glue_up"
    assert columns(tables, kept) == [21.346, 45.654]


def test_what_a_wall_and_a_stock_do_in_the_heat_is_kept_to_the_millionth(tables):
    fixings.set_site(tables, 1, -12.34567891, 61.98765432)
    assert fixings.site_of(tables, 1) == (-12.345679, 61.987654)
    fixings.set_expansion(tables, fixings.StockExpansion(1, 70.12345678, "data sheet"))
    assert fixings.expansion_of(tables, 1).per_k == 70.123457
    fixings.set_plan(tables, 1, FixingPlan(4.12345678, 25.87654321, 3, 2, "brick", 6.12345678))
    assert fixings.plan_of(tables, 1) == FixingPlan(4.123457, 25.876543, 3, 2, "brick", 6.123457)


def test_how_a_piece_is_held_is_kept_in_few_places():
    held = holding.Held(
        piece=1,
        hold_down="tabs",
        advised="tabs",
        verdict="holds",
        safety_factor=2.345678,
        chance=0.01234567,
        chance_low=0.00234567,
        chance_high=0.09876543,
        pump="blower",
        tabs=((0, 12.34567),),
        why=plain("Tabs."),
    )
    row = held.as_row()
    assert row["margin"] == 2.3457
    chances = row["chance"], row["chance_low"], row["chance_high"]
    assert chances == (0.01235, 0.00235, 0.09877)
    assert json.loads(row["tabs"]) == [[0, 12.346]]


def test_what_a_nest_was_worked_out_for_is_kept_to_the_thousandth(tables):
    holding.write_run(tables, 1, 1, holding.Run(None, 6.0, "blower", 8.34567, 43.65432))
    assert holding.run_of(tables, 1) == holding.Run(None, 6.0, "blower", 8.346, 43.654)
