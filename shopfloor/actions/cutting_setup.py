"""What a stock is cut with: cutter, speeds, pump and prices, as the shop has set them. Reads only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..domain.holding.holding import HoldingRules, shop_vacuum_inhg
from ..domain.holding.tabs import TabRules
from ..domain.recuts.thickness import flag
from ..domain.routing.cutters import USUAL, Cutter
from ..domain.routing.feeds import Feeds, feeds
from ..domain.routing.nests import NestRules
from ..domain.routing.sheets import Sheet
from ..domain.settings import Settings
from ..store import cutters as store
from ..store import holding, settings
from ..store.db import Connection
from ..store.stock import Stock
from ..wording import routing as wording
from ..wording.message import Message


@dataclass(frozen=True)
class CuttingSetup:
    """What a stock is cut with. `cutter_id` is None for the usual cutter; `source` is where speed and chip load come from.

    `thickness_mm` is as measured with a caliper on the blank, else as bought.
    """

    shop_settings: Settings
    material: Stock
    thickness_mm: float
    cutter: Cutter
    cutter_id: int | None
    cutting_energy: float
    source: str | Message
    feeds: Feeds
    vacuum_inhg: float

    @property
    def gap_mm(self) -> float:
        """The least distance between two pieces: the cutter has to pass between them."""
        return round(self.cutter.diameter_mm + self.shop_settings.gap_over_tool_mm, 3)

    def nest_rules(self, *, is_for_recuts: bool) -> NestRules:
        """Return what a nest of this stock must keep to.

        Recuts are held by tabs, so they lie at least two cutter widths apart: a tab needs waste between two cuts.
        """
        apart = self.cutter.diameter_mm if is_for_recuts else 0.0
        return NestRules(
            round(self.gap_mm + apart, 3),
            self.shop_settings.margin_mm,
            self.material.turns,
            self.shop_settings.nest_seconds,
        )

    @property
    def rules(self) -> HoldingRules:
        """What hold-down depends on."""
        shop_settings = self.shop_settings
        return HoldingRules(
            tool_mm=self.cutter.diameter_mm,
            onion_skin_mm=shop_settings.skin_mm,
            vacuum_inhg=self.vacuum_inhg,
            friction=shop_settings.friction,
            cutting_energy=self.cutting_energy,
            chip_mm=self.feeds.chip_mm,
            helix_deg=self.cutter.helix_deg,
            onion_skin_chip_share=shop_settings.skin_share,
            tab_n=self.tab_rules.shear_n,
            full_depth_mm=max(self.feeds.passes),
        )

    @property
    def tab_rules(self) -> TabRules:
        """Where tabs go and how many."""
        shop_settings = self.shop_settings
        return TabRules(
            length_mm=shop_settings.tab_length_mm,
            thickness_mm=shop_settings.tab_thickness_mm,
            every_mm=shop_settings.tab_every_mm,
            fewest=shop_settings.fewest_tabs,
            longest_free_mm=shop_settings.tab_free_mm,
            tool_mm=self.cutter.diameter_mm,
        )


def cutting_setup_of(
    db: Connection,
    material: Stock,
    *,
    cutter: Cutter | None = None,
    thickness_mm: float | None = None,
) -> CuttingSetup:
    """Return what this stock is cut with now, or with another cutter or thickness where given."""
    shop_settings, own = settings.load(db), store.stock_cutting(db, material.id)
    cutter = cutter or _cutter(db, shop_settings, own)
    figures = own or shop_settings
    thick = thickness_mm or material.thickness_mm
    return CuttingSetup(
        shop_settings,
        material,
        thick,
        cutter,
        cutter.id or None,
        figures.cutting_energy,
        own.source if own else wording.from_the_settings(),
        feeds(
            cutter,
            thick,
            rev_per_min=figures.rev_per_min,
            chip_mm=figures.chip_mm,
            cutting_energy=figures.cutting_energy,
            spindle_w=shop_settings.spindle_w,
            skin_mm=shop_settings.skin_mm,
            skin_share=shop_settings.skin_share,
        ),
        shop_vacuum_inhg(shop_settings),
    )


def _cutter(db: Connection, shop_settings: Settings, own: store.StockCutting | None) -> Cutter:
    id = (own.cutter if own else None) or shop_settings.cutter
    return store.cutter(db, id) if id else usual_cutter(shop_settings)


def cutting_setup_on(db: Connection, sheet: Sheet, material: Stock) -> CuttingSetup:
    """Return what a sheet is cut with: the cutter that it was nested for, and its own blank as thick as measured."""
    run = holding.run_of(db, sheet.nest)
    cutter = None
    if run:
        then = replace(settings.load(db), tool_mm=run.cutter_mm)
        cutter = store.cutter(db, run.cutter) if run.cutter else usual_cutter(then)
    return cutting_setup_of(
        db, material, cutter=cutter, thickness_mm=store.measured_mm(db, sheet.blank)
    )


def usual_cutter(shop_settings: Settings) -> Cutter:
    """Return the cutter of a shop that keeps no list: the usual one with the diameter of the settings."""
    reach = max(USUAL.reach_mm, USUAL.reach_mm * shop_settings.tool_mm / USUAL.diameter_mm)
    return replace(USUAL, diameter_mm=shop_settings.tool_mm, reach_mm=round(reach, 1))


def flag_for(
    db: Connection, blank: int, pieces: Sequence[int], cutting_setup: CuttingSetup
) -> Message | None:
    """Return a warning where pieces (ids) cut from a sheet or offcut may visibly differ from their neighbours, else None.

    Neighbours are the pieces of the same stock and level of the same sign that are in hand.
    """
    beside = store.blanks_beside(db, list(pieces))
    lots = [
        lot
        for other, count in beside.items()
        for lot in [store.lot_of(db, other, cutting_setup.material)] * count
    ]
    return flag(
        store.lot_of(db, blank, cutting_setup.material),
        lots,
        cutting_setup.shop_settings.eye_forgives_mm,
    )
