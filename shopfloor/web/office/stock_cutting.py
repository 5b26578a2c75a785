"""How a stock is cut, on its page of Stock: cutter, speeds, feeds and passes; and the caliper's reading of a blank.

Owns what that part of the page shows and the forms of it. Must not compute a speed itself (domain/routing/feeds.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import cutters as actions
from ...actions.cutting_setup import CuttingSetup, means_of
from ...domain import codes
from ...domain.recuts.thickness import tolerance_mm
from ...domain.routing.feeds import Feeds
from ...store import cutters as store
from ...store import stock as stock_store
from ...store.db import Connection
from ...store.stock import Stock
from ...wording import fields as wording
from ..forms import Choice
from ..page import do, done, snapshot
from .settings_form import cutter_choices

FIELDS = ("cutter", "rev_per_min", "chip_mm", "cutting_energy", "source")
SECTION_PX, SLOT_PX, SLOT_GAP_PX = (
    120,
    84,
    190,
)  # the sheet's thickness, a slot's width, from one slot to the next
MARGIN_PX = 60  # of the section left and right of the slots
LEAST_PASS_PX = 18  # a pass that is drawn lower has no words in it

pages = Blueprint("stock_cutting", __name__)


@dataclass(frozen=True)
class Slot:
    """The slot of one way of cutting in the section: where it begins, and each pass with its floor and the middle of its
    words, in pixels from the top."""

    x: int
    words: str
    passes: tuple[tuple[float, float, str], ...]


@dataclass(frozen=True)
class Section:
    """The sheet cut across, to scale in its thickness alone."""

    wide_px: int
    high_px: int
    slot_px: int
    slots: tuple[Slot, ...]


@dataclass(frozen=True)
class StockCut:
    """How a stock is cut. `source` says where the figures come from; `is_own` where they are this stock's own.

    `figures` are (words, figure) as shown; `load` the share of the spindle's power, in percent, that the deepest pass
    takes; `thinnest` to `thickest` is what a sheet may measure when it is bought.
    """

    feeds: Feeds
    source: str
    is_own: bool
    figures: tuple[tuple[str, str], ...]
    load: int
    section: Section
    cutters: list[Choice]
    values: dict[str, str]
    thinnest: str
    thickest: str


def stock_cut(db: Connection, known: Stock) -> StockCut:
    """How a stock is cut now: its own way, or the shop's usual one."""
    cutting_setup, own = means_of(db, known), store.stock_cutting(db, known.id)
    run, either_way = cutting_setup.feeds, tolerance_mm(known.kind, known.thickness_mm)
    return StockCut(
        run,
        cutting_setup.source,
        own is not None,
        _shown(cutting_setup),
        round(100 * run.power_w / run.spindle_w),
        _section(run, known.thickness_mm),
        cutter_choices(store.cutters(db), (own and own.cutter) or 0, wording.shop_cutter()),
        _values(cutting_setup, own),
        f"{known.thickness_mm - either_way:.2f}",
        f"{known.thickness_mm + either_way:.2f}",
    )


def _shown(cutting_setup: CuttingSetup) -> tuple[tuple[str, str], ...]:
    run = cutting_setup.feeds
    return (
        ("Cutter", f"{cutting_setup.cutter.name}: {cutting_setup.cutter.called}"),
        ("Speed", f"{run.rev_per_min:,.0f} rev/min"),
        ("Chip load", f"{run.chip_mm:g} mm a tooth{'' if run.proven else ', to start with'}"),
        ("Cutting energy", f"{cutting_setup.cutting_energy:g} J/mm³"),
        ("Feed", f"{run.feed_mm_min:,.0f} mm/min"),
        ("Skin pass", f"{run.skin_feed_mm_min:,.0f} mm/min"),
        ("Plunge", f"{run.plunge_mm_min:,.0f} mm/min"),
    )


def _values(cutting_setup: CuttingSetup, own: store.StockCutting | None) -> dict[str, str]:
    """What the form begins with: what is in force now."""
    run = cutting_setup.feeds
    figures = {
        "rev_per_min": run.rev_per_min,
        "chip_mm": run.chip_mm,
        "cutting_energy": cutting_setup.cutting_energy,
    }
    return {name: f"{value:.10g}" for name, value in figures.items()} | {
        "source": own.source if own else ""
    }


def _section(run: Feeds, thickness_mm: float) -> Section:
    """The slot of a plain cut, and beside it that of one with a skin; a sheet too thin for a skin has the first alone."""
    ways = [(_words(run.passes), run.passes)]
    if run.skin_passes != run.passes:
        ways.append((f"{_words(run.skin_passes)}, the last a skin", run.skin_passes))
    slots = tuple(
        Slot(MARGIN_PX + nth * SLOT_GAP_PX, words, _floors(depths, thickness_mm))
        for nth, (words, depths) in enumerate(ways)
    )
    return Section(slots[-1].x + SLOT_PX + MARGIN_PX, SECTION_PX, SLOT_PX, slots)


def _words(depths: tuple[float, ...]) -> str:
    return "1 pass" if len(depths) == 1 else f"{len(depths)} passes"


def _floors(depths: tuple[float, ...], thickness_mm: float) -> tuple[tuple[float, float, str], ...]:
    """Of each pass its floor, the middle of it, and its depth in words; '' where they have no room."""
    scale, at, floors = SECTION_PX / thickness_mm, 0.0, []
    for nth, depth in enumerate(depths, start=1):
        has_room = depth * scale >= LEAST_PASS_PX or nth == len(
            depths
        )  # the last has room beside it
        middle, at = at + depth / 2, at + depth
        floors.append(
            (round(at * scale, 1), round(middle * scale, 1), f"{depth:.3g}" if has_room else "")
        )
    return tuple(floors)


@pages.post("/stock/<code>/cutting")
def change(code: str) -> Response:
    """An owner has a stock cut in a way of its own."""
    values = {name: request.form.get(name, "") for name in FIELDS}
    return done(do(actions.change_stock_cutting, code, values), _back(code))


@pages.post("/stock/<code>/cutting/usual")
def as_usual(code: str) -> Response:
    """An owner has it cut as usual again."""
    return done(do(actions.cut_as_usual, code), _back(code))


def _back(code: str) -> str:
    return url_for("stock.material", code=code)


@pages.post("/stock/blank/<code>/measured")
def measured(code: str) -> Response:
    """The caliper read a blank's thickness."""
    code = codes.parse(code)
    answer = do(actions.measure_blank, code, request.form.get("measured_mm", ""))
    with snapshot() as db:
        return done(
            answer, _back(stock_store.stock(db, stock_store.blank_by_code(db, code).stock).code)
        )
