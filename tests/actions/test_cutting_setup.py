"""What a stock is cut with: its own cutter, speed and energy against the shop's, the pump, and what a nest makes of it."""

from __future__ import annotations

import pytest
import shapely
from shop_for_tests import CREAM

from shopfloor.actions import cutters as cutter_acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import setup_sheets
from shopfloor.actions import stock as stock_acts
from shopfloor.actions.cutting_setup import cutting_setup_of
from shopfloor.actions.holding import placed_pieces
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.errors import Conflict, NotFound
from shopfloor.domain.holding.holding import hold, lift_n, resistance_n
from shopfloor.store import cutters, holding, replay, sheets, stock

SHEET = dict(
    finish="gloss",
    kind="cast",
    thickness_mm="6",
    length_mm="2440",
    width_mm="1220",
    turns="any",
    cost="90",
)
SMALL = {
    "name": "small letters",
    "diameter_mm": "3",
    "flutes": "1",
    "edge": "up-cut",
    "is_polished": "on",
    "reach_mm": "12",
}
OWN = {"rev_per_min": "20000", "chip_mm": "0.05", "cutting_energy": "0.2", "source": "own trials"}


class Stocks:
    """A shop with a blue and a cream stock, both cast, 6 mm."""

    def __init__(self, shop, by):
        self.shop, self.by = shop, by
        for name, colour in (("blue", "#33658a"), ("cream", CREAM)):
            stock_acts.add_stock(Caller(shop, by), dict(SHEET, name=name, colour=colour))

    def cutting_setup(self, code: str = "cream-6"):
        db = self.shop.read()
        return cutting_setup_of(db, stock.stock_by_code(db, code))

    def cutter(self, **other) -> int:
        return cutter_acts.add_cutter(Caller(self.shop, self.by), SMALL | other).data["cutter"]

    def cut_with(self, cutter: int = 0, **other) -> None:
        """The cream is cut in a way of its own."""
        cutter_acts.change_stock_cutting(
            Caller(self.shop, self.by), "cream-6", OWN | other | {"cutter": str(cutter)}
        )

    def set(self, **values) -> None:
        setting_acts.change_settings(
            Caller(self.shop, self.by), {name: str(value) for name, value in values.items()}
        )


@pytest.fixture
def stocks(shop, owner):
    return Stocks(shop, owner)


# Cutter, speed, energy. -----------------------------------------------------------------------------------------------


def test_without_a_list_a_stock_is_cut_as_the_settings_say(stocks):
    """2 flutes × 0.1 mm × 18,000 rev/min = 3,600 mm/min (f = n z f_z); the gap is tool + 2 mm (common practice)."""
    usual = stocks.cutting_setup()
    assert (usual.cutter_id, usual.cutter.diameter_mm, usual.gap_mm) == (None, 6.35, 8.35)
    assert (usual.feeds.feed_mm_min, usual.feeds.passes) == (3600, (6.0,))
    assert (usual.vacuum_inhg, str(usual.source)) == (8, "the shop's settings")


def test_a_stock_s_own_figures_are_its_own_and_the_other_stocks_keep_the_shop_s(stocks):
    """1 flute × 0.05 mm × 20,000 rev/min = 1,000 mm/min; 0.2 J/mm³ × 3 mm deep × 3 mm wide × 1,000/60 mm/s = 30 W."""
    blue = stocks.cutting_setup("blue-6")
    id = stocks.cutter()
    stocks.cut_with(id)
    own = stocks.cutting_setup()
    assert (own.cutter_id, own.cutter.name, own.gap_mm) == (id, "small letters", 5.0)
    assert (own.feeds.feed_mm_min, own.feeds.passes) == (1000, (3.0, 3.0)), (
        "a pass is one diameter deep at the most"
    )
    assert own.feeds.power_w == pytest.approx(30)
    assert (own.cutting_energy, own.rules.cutting_energy, own.source) == (0.2, 0.2, "own trials")
    assert (
        own.rules.tool_mm,
        own.rules.chip_mm,
        own.rules.full_depth_mm,
        own.tab_rules.tool_mm,
    ) == (3, 0.05, 3, 3)
    assert stocks.cutting_setup("blue-6") == blue


def test_a_stock_without_a_cutter_of_its_own_has_the_shop_s_with_its_own_speed(stocks):
    id = stocks.cutter(name="the shop's", diameter_mm="4", flutes="2")
    stocks.set(cutter=id)
    stocks.cut_with()
    assert {stocks.cutting_setup(code).cutter_id for code in ("cream-6", "blue-6")} == {id}
    assert (
        stocks.cutting_setup().feeds.feed_mm_min == 2000
        and stocks.cutting_setup("blue-6").feeds.feed_mm_min == 3600
    )
    other = stocks.cutter()
    stocks.cut_with(other)
    assert (stocks.cutting_setup().cutter_id, stocks.cutting_setup("blue-6").cutter_id) == (
        other,
        id,
    ), "its own goes first"


def test_cut_as_usual_again_it_has_the_shop_s_figures_again(stocks):
    before = stocks.cutting_setup()
    stocks.cut_with(stocks.cutter())
    cutter_acts.cut_as_usual(Caller(stocks.shop, stocks.by), "cream-6")
    assert stocks.cutting_setup() == before
    assert replay.differences(stocks.shop.read()) == []


def test_an_up_cut_lifts_the_piece_and_a_straight_one_does_not(stocks):
    """A safety_factor is (friction × vacuum's force - friction × lift) / cutting force: the words of `Hold`."""
    safety_factors = {}
    for edge in ("straight", "up-cut", "down-cut"):
        stocks.cut_with(stocks.cutter(name=edge, edge=edge))
        rules = stocks.cutting_setup().rules
        held = hold(2500, 6, rules)
        safety_factors[edge] = held.safety_factor_full
        pressed = resistance_n(2500, rules.vacuum_inhg, rules.friction)
        lifted = lift_n(held.force_full_n, rules.helix_deg)
        assert held.safety_factor_full == pytest.approx(
            (pressed - rules.friction * lifted) / held.force_full_n
        )
        assert {
            "straight": lifted == 0,
            "up-cut": lifted > 0,
            "down-cut": lifted <= 0,
        }[edge]
    assert safety_factors["up-cut"] < safety_factors["straight"] <= safety_factors["down-cut"]


# Retired cutters. -----------------------------------------------------------------------------------------------------


def test_a_cutter_in_use_is_not_retired_and_a_retired_one_is_not_chosen(stocks):
    id = stocks.cutter()
    stocks.cut_with(id)
    with pytest.raises(Conflict, match="in use for cream-6"):
        cutter_acts.retire_cutter(Caller(stocks.shop, stocks.by), id)
    cutter_acts.cut_as_usual(Caller(stocks.shop, stocks.by), "cream-6")
    retired = cutter_acts.retire_cutter(Caller(stocks.shop, stocks.by), id)
    with pytest.raises(NotFound, match="off the list"):
        stocks.cut_with(id)
    with pytest.raises(NotFound, match="off the list"):
        stocks.set(cutter=id)
    assert cutters.cutter(stocks.shop.read(), id).name == "small letters", (
        "what was cut with it keeps its name"
    )
    assert stocks.cutting_setup().cutter_id is None
    undo(Caller(stocks.shop, stocks.by), retired.act)
    stocks.cut_with(id)
    assert stocks.cutting_setup().cutter_id == id


# The pump. ------------------------------------------------------------------------------------------------------------


def test_a_gauge_s_reading_goes_before_pump_altitude_and_leaks(stocks):
    stocks.set(pump="rotary vane", altitude_m=1500, leakage_share=0.2, gauge_inhg=6.5)
    assert (stocks.cutting_setup().vacuum_inhg, stocks.cutting_setup().rules.vacuum_inhg) == (
        6.5,
        6.5,
    )
    stocks.set(gauge_inhg=0)
    assert stocks.cutting_setup().vacuum_inhg > 6.5, "0: it was not read"


@pytest.mark.parametrize(("feet", "air"), [(0, 29.92), (2000, 27.82), (5000, 24.90)])
def test_high_up_a_pump_gives_less_in_proportion_to_the_air(stocks, feet, air):
    """The air by ISO 2533 and the US Standard Atmosphere 1976; in proportion, as a vacuum handbook has it."""
    stocks.set(altitude_m=round(feet * 0.3048, 1))
    for pump, rated in (("blower", 8), ("rotary vane", 24)):
        stocks.set(pump=pump, leakage_share=0)
        assert stocks.cutting_setup().vacuum_inhg == pytest.approx(rated * air / 29.92, rel=0.001)
        whole = stocks.cutting_setup().vacuum_inhg
        stocks.set(leakage_share=0.25)
        assert stocks.cutting_setup().vacuum_inhg == pytest.approx(0.75 * whole)


# What a nest makes of it. ---------------------------------------------------------------------------------------------


def gaps(shop, code: str) -> list[float]:
    """From each piece of a sheet to the nearest other, mm."""
    placed = [
        one.on_sheet.polygon
        for one in placed_pieces(shop.read(), sheets.sheet_by_code(shop.read(), code))
    ]
    return [
        min(shapely.distance(one, other) for other in placed if other is not one) for one in placed
    ]


def test_a_stock_with_a_thin_cutter_is_nested_closer_than_the_others(stocks, cutting, shop):
    stocks.cut_with(stocks.cutter())
    wide = cutting.take_in(30)
    cream = cutting.sheet_of(CREAM)
    db = shop.read()
    by_code = {code: sheets.row(db, sheets.sheet_by_code(db, code).id) for code in wide}
    assert {code == cream: row.gap_mm for code, row in by_code.items()} == {True: 5.0, False: 8.35}
    assert min(gaps(shop, cream)) == pytest.approx(5.0)
    run = holding.run_of(db, by_code[cream].nest)
    assert (run.cutter, run.cutter_mm, run.pump, run.vacuum_inhg) == (1, 3, "blower", 8)
    setup_sheet = setup_sheets.setup_sheet_of(db, cream)
    assert (setup_sheet.cutter.name, setup_sheet.feeds.feed_mm_min) == ("small letters", 1000)


def test_a_nest_keeps_what_it_was_made_for_and_its_setup_sheet_says_when_the_cutter_is_another(
    stocks, cutting, shop
):
    stocks.cut_with(stocks.cutter())
    cutting.take_in(8)
    cream = cutting.sheet_of(CREAM)
    assert not [
        caution
        for caution in setup_sheets.setup_sheet_of(shop.read(), cream).cautions
        if "nest the sheet again" in str(caution)
    ]
    cutter_acts.cut_as_usual(Caller(shop, stocks.by), "cream-6")
    stocks.set(pump="rotary vane")
    cautions = " ".join(map(str, setup_sheets.setup_sheet_of(shop.read(), cream).cautions))
    assert "nest the sheet again" in cautions
    assert (
        "Fit 3 mm, 1 flute, up-cut, polished: this sheet is nested for it. To use 6.35 "
        "mm, 2 flutes" in cautions
    )
    assert setup_sheets.setup_sheet_of(shop.read(), cream).cutter.diameter_mm == 3, (
        "the setup sheet is that of the nest"
    )
    assert "worked out for a blower; the pump is now a rotary vane." in cautions
    assert holding.run_of(shop.read(), sheets.sheet_by_code(shop.read(), cream).nest).cutter_mm == 3
