"""How the pieces of a nest are held: worked out from the holding margin, the shop's losses and the costs; overruled by people.

Working it out is slow (tabs are placed), so it holds no transaction: `known` reads, `hold_layout` works, an act writes. Must not
know any rule of holding itself: those are in `domain/holding`, `losses`, `ways`, `tabs`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..domain.holding import hold_down_choice
from ..domain.holding.holding import WAYS, hold, margins
from ..domain.holding.loss_statistics import Chance, Kind, Tally, band_of, chance
from ..domain.holding.tabs import Tab, Tabs, place_tabs, slug_tabs
from ..domain.outlines import Outline
from ..domain.routing import recut_cost
from ..domain.routing import sheets as rules
from ..domain.routing.cutting_order import cutting_order
from ..domain.routing.nests import Placed, net_area, solid
from ..domain.routing.running_time import SheetRun, estimate_minutes, runs_of
from ..store import holding as store
from ..store import outlines as outline_store
from ..store import pieces, recuts, sheets, stock
from ..store.db import Connection
from ..store.holding import Held, Run
from .cache import Cache
from .cutting_setup import CuttingSetup, means_of, means_on
from .pieces import called
from .unit_of_work import Answer, Caller, Transaction, command, shop_day

FOUND = Cache(most=30)  # sheets, in memory
SET_UP_SHARE = 0.5  # of a set-up that one recut bears, since recuts wait for company: from memory
NOT_BY_VACUUM = frozenset({"full", "skin"})
HELD_BY_TABS = "Tabs: a recut is held by tabs, so that it is not lost the same way."
HELD_BY_TAPE = "Tape: a recut is held by more than the vacuum, and there is no room for tabs on it."


@dataclass(frozen=True)
class Known:
    """What is known beforehand: the means, what was lost so far, each piece's due date (ISO; None: no sign waits) and the ways
    that have lost its forerunners, by piece."""

    cutting_setup: CuttingSetup
    tallies: Mapping[Kind, Tally]
    due: Mapping[int, str | None]
    lost_by: Mapping[int, frozenset[str]]
    today: date


@dataclass(frozen=True)
class Lying:
    """A piece at its place in a nest. `outline` is in its own frame, `on_sheet` at its place."""

    piece: life.Piece
    outline: Outline
    put: Placed

    @cached_property
    def on_sheet(self) -> Outline:
        """The outline in sheet coordinates."""
        return self.outline.placed(self.put.x, self.put.y, self.put.turn)


@dataclass(frozen=True)
class Choice:
    """All that was found for one piece: the advice with its figures, the margin of each way, the tabs that it would have.

    `slugs` are the tabs of its holes' slugs alone, by the way in which the piece itself is held.
    """

    lying: Lying
    advice: hold_down_choice.Advice
    margins: Mapping[str, float]
    verdict: str
    tabs: Tabs
    slugs: Mapping[str, tuple[Tab, ...]]
    chances: Mapping[str, Chance]
    cutting_setup: CuttingSetup

    @property
    def why(self) -> str:
        """The reason of the advice, in words with the figures."""
        if self.lying.piece.attempt > 1 and self.advice.not_by == NOT_BY_VACUUM:
            return HELD_BY_TABS if self.advice.best.way == "tabs" else HELD_BY_TAPE
        return self.advice.why

    def held(self, pump: str, way: str | None = None) -> Held:
        """What is kept of it; held by another `way` than advised where a person chose one."""
        chosen = way or self.advice.best.way
        chance = self.chances[chosen]
        tabs = tuple((tab.ring, tab.at_mm) for tab in self.slugs.get(chosen, ()))
        return Held(
            self.lying.piece.id,
            chosen,
            self.advice.best.way,
            self.verdict,
            self.margins[chosen],
            chance.mean,
            chance.low,
            chance.high,
            pump,
            tabs,
            self.why,
        )


def known(
    db: Connection,
    material: stock.Stock,
    some: Sequence[life.Piece],
    today: date,
    cutting_setup: CuttingSetup | None = None,
) -> Known:
    """Reads what is to be known of these pieces, that are cut as their stock is now, or with other `means`."""
    ids = [piece.id for piece in some]
    return Known(
        cutting_setup or means_of(db, material),
        store.tallies(db),
        recuts.due_of(db, ids),
        recuts.lost_by(db, ids),
        today,
    )


# Working it out. ------------------------------------------------------------------------------------------------------


def choices(known: Known, lying: Sequence[Lying]) -> list[Choice]:
    """What is found for each piece of one layout, in their order. Slow: about 5 ms a piece."""
    tree = STRtree([solid(one.on_sheet) for one in lying])
    taken: list[tuple[float, float]] = []
    found = []
    for at, one in enumerate(lying):
        placed = _tabs_beside(known.cutting_setup, one, _near(tree, at, known.cutting_setup), taken)
        choice = _choice(known, one, placed)
        if choice.advice.best.way == "tabs":
            taken += [(tab.x_mm, tab.y_mm) for tab in placed.tabs]
        found.append(choice)
    return found


def choices_on(known: Known, lying: Sequence[Lying], sheet: rules.Sheet) -> list[Choice]:
    """The same for a sheet, kept: a page asks again each time that anything in the shop has changed."""
    some = tuple((one.piece.id, one.piece.attempt) for one in lying)
    of_pieces = (some, frozenset(known.due.items()), frozenset(known.lost_by.items()))
    key = (
        sheet.id,
        sheet.nest,
        known.cutting_setup,
        frozenset(known.tallies.items()),
        of_pieces,
        known.today,
    )
    return FOUND.get(key, lambda: choices(known, lying))


def _near(tree: STRtree, at: int, cutting_setup: CuttingSetup) -> BaseGeometry | None:
    """The neighbours that a tab must not lean on: no waste is left between them."""
    reach = cutting_setup.gap_mm + cutting_setup.cutter.diameter_mm
    near = [
        other
        for other in tree.query(tree.geometries[at], predicate="dwithin", distance=reach)
        if other != at
    ]
    return shapely.union_all(tree.geometries[near]) if near else None


def _tabs_beside(
    cutting_setup: CuttingSetup,
    one: Lying,
    beside: BaseGeometry | None,
    taken: Sequence[tuple[float, float]],
) -> Tabs:
    outline = one.on_sheet
    held = hold(
        net_area(outline), cutting_setup.thickness_mm, cutting_setup.rules, outline.perimeter_mm
    )
    left, bottom, right, top = outline.bounds
    reach = cutting_setup.tab_rules.apart_mm
    here = [
        (x, y)
        for x, y in taken
        if left - reach < x < right + reach and bottom - reach < y < top + reach
    ]
    return place_tabs(
        outline,
        cutting_setup.tab_rules,
        held.force_full_n,
        taken=here,
        beside=beside,
        slug_holds=_slug_holds(cutting_setup, "full"),
    )


def _slug_holds(cutting_setup: CuttingSetup, way: str) -> Callable[[float], bool]:
    """Whether a slug of an area (mm²) stays without a tab: small ones go up the hose, large ones are held by the vacuum."""

    def holds(area_mm2: float) -> bool:
        found = hold(area_mm2, cutting_setup.thickness_mm, cutting_setup.rules)
        return (
            area_mm2 < cutting_setup.shop_settings.slug_from_mm2
            or (found.margin_skin if way == "skin" else found.margin_full) >= 1
        )

    return holds


def _slugs(cutting_setup: CuttingSetup, one: Lying, placed: Tabs) -> dict[str, tuple[Tab, ...]]:
    """The tabs of each way of holding the piece. Tape holds the slugs too."""
    if len(one.outline.rings) == 1:
        return {"tabs": placed.tabs}
    by_vacuum = {
        way: slug_tabs(
            one.on_sheet, cutting_setup.tab_rules, slug_holds=_slug_holds(cutting_setup, way)
        )[0]
        for way in ("full", "skin")
    }
    return {"tabs": placed.tabs, **by_vacuum}


def _choice(known: Known, one: Lying, placed: Tabs) -> Choice:
    cutting_setup, outline = known.cutting_setup, one.outline
    area, perimeter, thick = net_area(outline), outline.perimeter_mm, cutting_setup.thickness_mm
    outer = sum(tab.ring == 0 for tab in placed.tabs)
    found = margins(area, perimeter, thick, cutting_setup.rules, outer)
    slugs = _slugs(cutting_setup, one, placed)
    minutes = hold_down_choice.work_minutes(
        _extra_pass_min(cutting_setup, perimeter), len(placed.tabs), cutting_setup.prices
    )
    for way in ("full", "skin"):
        minutes[way] += len(slugs.get(way, ())) * cutting_setup.prices.trim_min_per_tab
    piece = hold_down_choice.PieceToHold(
        area_mm2=area, pump=cutting_setup.shop_settings.pump, margins=found, minutes=minutes
    )
    advice = hold_down_choice.advise(
        piece, known.tallies, _stakes(known, one), cutting_setup.prices, _not_by(known, one.piece)
    )
    return Choice(
        one,
        advice,
        found,
        hold(area, thick, cutting_setup.rules, perimeter).verdict,
        placed,
        slugs,
        _chances(known, area, found),
        cutting_setup,
    )


def _chances(known: Known, area_mm2: float, found: Mapping[str, float]) -> dict[str, Chance]:
    """The chance of loss in each way that can be had, those that lost the piece before among them."""
    band, pump = band_of(area_mm2), known.cutting_setup.shop_settings.pump
    return {
        way: chance(margin, Kind(band, way, pump), known.tallies) for way, margin in found.items()
    }


def _not_by(known: Known, piece: life.Piece) -> frozenset[str]:
    """The ways that a recut is not held by: those that lost the pieces before it, and the vacuum alone."""
    if piece.attempt == 1:
        return frozenset()
    return known.lost_by.get(piece.id, NOT_BY_VACUUM)


def _extra_pass_min(cutting_setup: CuttingSetup, perimeter_mm: float) -> float:
    """What a skin pass takes longer than a full one, in minutes."""
    made = cutting_setup.feeds
    slow = (
        len(made.skin_passes) - 1
    ) * perimeter_mm / made.feed_mm_min + perimeter_mm / made.skin_feed_mm_min
    return max(0.0, slow - len(made.passes) * perimeter_mm / made.feed_mm_min)


def _stakes(known: Known, one: Lying) -> hold_down_choice.Stakes:
    """What hangs on the piece: its recut, its sheet, the days that its sign would be late."""
    cutting_setup, outline = known.cutting_setup, one.outline
    to_cut = [
        recut_cost.PieceToCut(cutting_setup.material.id, net_area(outline), outline.perimeter_mm)
    ]
    share = recut_cost.sheets_used(
        to_cut, cutting_setup.material.length_mm, cutting_setup.material.width_mm, None
    )
    due = known.due.get(one.piece.id)
    days = (date.fromisoformat(due) - known.today).days if due else None
    late = (
        0.0
        if days is None
        else hold_down_choice.late_days(
            0, days, cutting_setup.shop_settings.bench_days, cutting_setup.shop_settings.recut_days
        )
    )
    return hold_down_choice.Stakes(
        recut_min=recut_cost.minutes(
            to_cut, cutting_setup.thickness_mm, cutting_setup.cutter.diameter_mm
        ),
        material=share * cutting_setup.material.cost,
        set_up_share=SET_UP_SHARE,
        late_days=late,
    )


def order_of(lying: Sequence[Lying], way_of: Mapping[int, str]) -> dict[int, int]:
    """When each piece is freed, from 1, by piece."""
    order = cutting_order(
        [(str(one.piece.id), one.on_sheet, way_of[one.piece.id]) for one in lying]
    )
    freed = [int(run.key) for run in order if run.ring == 0]
    return {piece: nth for nth, piece in enumerate(freed, start=1)}


def path_minutes(
    cutting_setup: CuttingSetup, lying: Sequence[Lying], held: Mapping[int, Held]
) -> float:
    """Minutes on the router by path, feed and acceleration."""
    order = order_of(lying, {id: one.way for id, one in held.items()})
    in_order = sorted(lying, key=lambda one: order[one.piece.id])
    rings = tuple(
        ring
        for one in in_order
        for ring in runs_of(
            one.on_sheet,
            held[one.piece.id].way,
            cutting_setup.cutter.diameter_mm,
            len(held[one.piece.id].tabs),
        )
    )
    return estimate_minutes(
        SheetRun(rings=rings, tab_mm=cutting_setup.shop_settings.tab_thickness_mm),
        cutting_setup.feeds,
        cutting_setup.motion,
    )


@dataclass(frozen=True)
class Holds:
    """How all pieces of one layout are held, ready to be written."""

    held: tuple[Held, ...]
    cutter: int | None
    cutter_mm: float
    pump: str
    vacuum_inhg: float
    path_min: float

    def write(self, db: Connection, nest: int, sheet: int) -> None:
        """Keeps it for a layout."""
        store.write(db, nest, sheet, self.held, {one.piece: len(one.tabs) for one in self.held})
        run = Run(
            nest, sheet, self.cutter, self.cutter_mm, self.pump, self.vacuum_inhg, self.path_min
        )
        store.write_run(db, run)


def hold_layout(
    known: Known, lying: Sequence[Lying], overruled: Mapping[int, str] | None = None
) -> Holds:
    """How the pieces of one layout are best held; those in `overruled` (by piece) as a person chose."""
    found, cutting_setup = choices(known, lying), known.cutting_setup
    chosen = overruled or {}
    held = tuple(
        one.held(
            cutting_setup.shop_settings.pump,
            chosen.get(one.lying.piece.id)
            if chosen.get(one.lying.piece.id) in one.margins
            else None,
        )
        for one in found
    )
    minutes = path_minutes(cutting_setup, lying, {one.piece: one for one in held})
    return Holds(
        held,
        cutting_setup.cutter_id,
        cutting_setup.cutter.diameter_mm,
        cutting_setup.shop_settings.pump,
        cutting_setup.vacuum_inhg,
        minutes,
    )


# What people do. ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class HoldingOverruled:
    """A person holds a piece in another way than advised (`advised`), or goes back to the advice."""

    piece: int
    advised: str
    way: str


@dataclass(frozen=True)
class AdviceRenewed:
    """How the pieces of a sheet are held was worked out anew; `changed` of them are held in another way now."""

    sheet: str
    changed: int


def known_on(db: Connection, sheet: rules.Sheet, lying: Sequence[Lying], today: date) -> Known:
    """The same for the pieces of a sheet, which is cut as it was nested for."""
    material = stock.stock(db, sheet.stock)
    return known(db, material, [one.piece for one in lying], today, means_on(db, sheet, material))


def lying_on(db: Connection, sheet: rules.Sheet) -> list[Lying]:
    """The pieces that are still on a sheet, at their places."""
    here = {piece.id: piece for piece in pieces.of_sheet(db, sheet.id)}
    made = sheets.made_nest(db, sheet.nest)
    outlines = outline_store.by_ids(db, {piece.outline for piece in here.values()})
    return [
        Lying(here[int(put.key)], outlines[here[int(put.key)].outline], put)
        for put in made.placed
        if int(put.key) in here
    ]


def renew(caller: Caller, code: str) -> Answer:
    """Works out anew how a planned sheet's pieces are held; what a person overruled stays. Raises Conflict once it is started."""
    with caller.shop.database.snapshot() as db:
        sheet = sheets.sheet_by_code(db, code)
        rules.may_be_held_otherwise(sheet)
        lying = lying_on(db, sheet)
        before = known_on(db, sheet, lying, shop_day(db, caller.shop.clock()))
        overruled = {
            id: one.way for id, one in store.of_nest(db, sheet.nest).items() if one.is_overruled
        }
    return _renewed(caller, sheet, hold_layout(before, lying, overruled))


@command("renewed the advice", "operator")
def _renewed(transaction: Transaction, sheet: rules.Sheet, holds: Holds) -> Answer:
    was = _unmoved(transaction, sheet, holds.held)
    holds.write(transaction.db, sheet.nest, sheet.id)
    changed = sum(one.piece not in was or was[one.piece].way != one.way for one in holds.held)
    transaction.record(AdviceRenewed(sheet.number, changed))
    told = "1 piece is" if changed == 1 else f"{changed or 'no'} pieces are"
    return Answer(
        f"Worked out anew: {told} held in another way on sheet {sheet.number}.",
        (sheet.code,),
        {"changed": changed},
    )


def overrule(caller: Caller, code: str, some: Iterable[str], way: str) -> Answer:
    """Holds pieces of a planned sheet (`some`: their codes) in the way that a person chose; 'advised' goes back to the advice.

    Raises Refused for an unknown way or one that a piece cannot have, Conflict once the sheet is started.
    """
    if way not in (*WAYS, "advised"):
        raise Refused(f"Choose one of these ways of holding: {', '.join(WAYS)}.")
    with caller.shop.database.snapshot() as db:
        sheet = sheets.sheet_by_code(db, code)
        rules.may_be_held_otherwise(sheet)
        lying = lying_on(db, sheet)
        before = known_on(db, sheet, lying, shop_day(db, caller.shop.clock()))
        now = store.of_nest(db, sheet.nest)
        wanted = set(some)
        chosen = [one for one in lying if one.piece.code in wanted]
    if not chosen:
        raise Conflict(
            f"None of these pieces is on sheet {sheet.number} any more: look at the picture again."
        )
    if not {one.piece.id for one in lying} <= now.keys():
        raise Conflict(
            f"How the pieces of {sheet.number} are held is not worked out yet: press “Work it out” first."
        )
    found = {one.lying.piece.id: one for one in choices_on(before, lying, sheet)}
    held = {id: now[id] for id in found}
    for one in chosen:
        choice = found[one.piece.id]
        if way != "advised" and way not in choice.margins:
            raise Refused(
                f"{show(one.piece.code)} cannot be held by {way}: {choice.tabs.why_none or 'choose another way.'}"
            )
        if way != "advised" and choice.margins[way] < choice.margins[choice.advice.best.way]:
            caller.actor.must_hold(
                ("owner",), "Only an owner may hold a piece in a weaker way than advised."
            )
        held[one.piece.id] = choice.held(
            before.cutting_setup.shop_settings.pump, None if way == "advised" else way
        )
    minutes = path_minutes(before.cutting_setup, lying, held)
    changes = [held[one.piece.id] for one in chosen]
    return _overruled(caller, sheet, changes, [one.piece for one in chosen], minutes, way)


@command("chose a way of holding", "operator")
def _overruled(
    transaction: Transaction,
    sheet: rules.Sheet,
    held: Sequence[Held],
    some: Sequence[life.Piece],
    minutes: float,
    way: str,
):
    _unmoved(transaction, sheet, held)
    store.write(
        transaction.db, sheet.nest, sheet.id, held, {one.piece: len(one.tabs) for one in held}
    )
    run = store.run_of(transaction.db, sheet.nest)
    if run:
        store.write_run(transaction.db, replace(run, path_min=minutes))
    for one in held:
        transaction.record(HoldingOverruled(one.piece, one.advised, one.way))
    what = (
        called(transaction.db, some[0])
        if len(some) == 1
        else f"{len(some)} pieces of sheet {sheet.number}"
    )
    how = "as advised" if way == "advised" else f"by {hold_down_choice.WITH[way]}"
    return Answer(f"{what} {'is' if len(some) == 1 else 'are'} held {how}.", (sheet.code,))


def _unmoved(transaction: Transaction, sheet: rules.Sheet, held: Sequence[Held]) -> dict[int, Held]:
    """How the sheet's pieces are held so far. Raises Conflict where the sheet was started or nested anew meanwhile."""
    now = sheets.sheet(transaction.db, sheet.id)
    rules.may_be_held_otherwise(now)
    here = {piece.id for piece in pieces.of_sheet(transaction.db, sheet.id)}
    if now.nest != sheet.nest or not {one.piece for one in held} <= here:
        raise Conflict(f"Sheet {sheet.number} changed meanwhile: look at it again.")
    return store.of_nest(transaction.db, sheet.nest)
