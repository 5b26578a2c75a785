"""How a stock is cut, on its page of Stock: cutter, speeds, feeds and passes; and the caliper's reading of a blank.

Owns what that part of the page shows and the forms of it. Must not compute a speed itself (domain/routing/feeds.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import cutters as actions
from ...actions.cutting_setup import CuttingSetup, cutting_setup_of
from ...domain import codes
from ...domain.recuts.thickness import tolerance_mm
from ...domain.routing.feeds import Feeds
from ...store import cutters as store
from ...store import stock as stock_store
from ...store.db import Connection
from ...store.stock import Stock
from ...wording import cutting as wording
from ...wording import fields as field_wording
from ...wording.message import Message
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
    words: Message
    passes: tuple[tuple[float, float, str], ...]


def stock_cut(db: Connection, known: Stock) -> dict[str, object]:
    """How a stock is cut now: its own way, or the shop's usual one.

    `figures` are (words, figure) as shown; `load` the share of the spindle's power, in percent, that the deepest pass
    takes; `typed` is what the form begins with; `thinnest` to `thickest` what a sheet may measure when it is bought.
    """
    cutting_setup, own = cutting_setup_of(db, known), store.stock_cutting(db, known.id)
    run, either_way = cutting_setup.feeds, tolerance_mm(known.kind, known.thickness_mm)
    cutter = (own and own.cutter) or 0
    return {
        "feeds": run,
        "source": cutting_setup.source,
        "is_own": own is not None,
        "figures": _shown(cutting_setup),
        "load": round(100 * run.power_w / run.spindle_w),
        "section": _section(run, known.thickness_mm),
        "cutters": cutter_choices(store.cutters(db), cutter, field_wording.shop_cutter()),
        "typed": _typed(cutting_setup, own),
        "thinnest": f"{known.thickness_mm - either_way:.2f}",
        "thickest": f"{known.thickness_mm + either_way:.2f}",
    }


def _shown(setup: CuttingSetup) -> tuple[tuple[Message, Message], ...]:
    run, cutter = setup.feeds, setup.cutter
    return (
        (wording.cutter(), wording.cutter_named(cutter.name, cutter.called)),
        (wording.spindle_speed(), wording.rev_per_min(round(run.rev_per_min))),
        (wording.chip_load(), wording.mm_a_tooth(run.chip_mm, run.proven)),
        (wording.cutting_energy(), wording.energy(setup.cutting_energy)),
        (wording.feed(), wording.mm_a_minute(round(run.feed_mm_min))),
        (wording.onion_skin_pass(), wording.mm_a_minute(round(run.skin_feed_mm_min))),
        (wording.plunge(), wording.mm_a_minute(round(run.plunge_mm_min))),
    )


def _typed(cutting_setup: CuttingSetup, own: store.StockCutting | None) -> dict[str, str]:
    """What the form begins with: what is in force now."""
    run = cutting_setup.feeds
    return {
        "rev_per_min": f"{run.rev_per_min:.10g}",
        "chip_mm": f"{run.chip_mm:.10g}",
        "cutting_energy": f"{cutting_setup.cutting_energy:.10g}",
        "source": own.source if own else "",
    }


def _section(run: Feeds, thickness_mm: float) -> dict[str, object]:
    """The sheet cut across, to scale in its thickness alone: the slot of a plain cut, and beside it that of one with
    a skin; a sheet too thin for a skin has the first alone."""
    cuts = [(wording.passes(len(run.passes)), run.passes)]
    if run.skin_passes != run.passes:
        cuts.append((wording.passes_with_onion_skin(len(run.skin_passes)), run.skin_passes))
    slots = tuple(
        Slot(MARGIN_PX + nth * SLOT_GAP_PX, words, _floors(depths, thickness_mm))
        for nth, (words, depths) in enumerate(cuts)
    )
    wide_px = slots[-1].x + SLOT_PX + MARGIN_PX
    return {"wide_px": wide_px, "high_px": SECTION_PX, "slot_px": SLOT_PX, "slots": slots}


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
