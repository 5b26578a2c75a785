"""How the pieces of a nest are held: worked out from safety factors, the shop's losses and costs; overruled by people.

Working it out is slow (tabs are placed), so it is done outside any transaction: `read_inputs` reads, `hold_layout` works,
a command writes. Must not know any rule of holding itself: those are in `domain/holding`.
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
from ..domain.errors import Conflict, Refused
from ..domain.holding import hold_down_choice
from ..domain.holding.holding import HOLD_DOWNS, hold, safety_factors
from ..domain.holding.loss_statistics import Chance, Kind, Tally, band_of, chance
from ..domain.holding.tabs import Tab, Tabs, place_tabs, slug_tabs
from ..domain.outlines import Outline, Point
from ..domain.routing import recut_cost
from ..domain.routing import sheets as rules
from ..domain.routing.cutting_order import cutting_order
from ..domain.routing.nests import Placed, net_area, solid
from ..domain.routing.running_time import estimate_minutes, runs_of
from ..store import holding as store
from ..store import outlines as outline_store
from ..store import pieces, recuts, sheets, stock
from ..store.db import Connection
from ..store.holding import Held, Run
from ..wording import holding as wording
from ..wording.message import Message
from .cache import Cache
from .cutting_setup import CuttingSetup, cutting_setup_of, cutting_setup_on
from .unit_of_work import Answer, Caller, Shop, Transaction, command, shop_day

CHOICES = Cache(most=30)  # by sheet, in memory
SET_UP_SHARE = 0.5  # of a set-up that one recut bears, since recuts wait for company: from memory
BY_VACUUM = frozenset({"full", "skin"})
AS_ADVISED = "advised"  # what a form sends to go back to the advice


@dataclass(frozen=True)
class Inputs:
    """What is read before anything is worked out.

    How the stock is cut, what was lost so far, each piece's due date (ISO; None: no sign waits) and the hold-downs that
    have lost the pieces before it, both by piece.
    """

    cutting_setup: CuttingSetup
    tallies: Mapping[Kind, Tally]
    due: Mapping[int, str | None]
    lost_by: Mapping[int, frozenset[str]]
    today: date


@dataclass(frozen=True)
class PlacedPiece:
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
    """All that was worked out for one piece: the advice, each hold-down's safety factor and chance of loss, its tabs.

    `tabs` are those that the piece would have; `tabs_by` those of the piece and of its holes' slugs, by hold-down.
    """

    placed: PlacedPiece
    cutting_setup: CuttingSetup
    advice: hold_down_choice.Advice
    verdict: str
    safety_factors: Mapping[str, float]
    chances: Mapping[str, Chance]
    tabs: Tabs
    tabs_by: Mapping[str, tuple[Tab, ...]]

    @property
    def why(self) -> Message:
        """The reason of the advice, with its figures."""
        if self.placed.piece.attempt > 1 and self.advice.not_by == BY_VACUUM:
            has_tabs = self.advice.best.hold_down == "tabs"
            return wording.recut_gets_tabs() if has_tabs else wording.recut_gets_tape()
        return self.advice.why

    def held(self, hold_down: str | None = None) -> Held:
        """What is kept of the choice: the hold-down that a person chose, or the one advised."""
        chosen = hold_down or self.advice.best.hold_down
        estimate = self.chances[chosen]
        return Held(
            piece=self.placed.piece.id,
            hold_down=chosen,
            advised=self.advice.best.hold_down,
            verdict=self.verdict,
            safety_factor=self.safety_factors[chosen],
            chance=estimate.mean,
            chance_low=estimate.low,
            chance_high=estimate.high,
            pump=self.cutting_setup.shop_settings.pump,
            tabs=tuple((tab.ring, tab.at_mm) for tab in self.tabs_by.get(chosen, ())),
            why=self.why,
        )


@dataclass(frozen=True)
class HeldLayout:
    """How all pieces of one nest are held, ready to be written."""

    held: tuple[Held, ...]
    run: Run

    def write(self, db: Connection, nest: int, sheet: int) -> None:
        """Keep it for a nest."""
        _write(db, nest, sheet, self.held)
        store.write_run(db, nest, sheet, self.run)


def _write(db: Connection, nest: int, sheet: int, held: Sequence[Held]) -> None:
    store.write(db, nest, sheet, held, {piece.piece: len(piece.tabs) for piece in held})


# Reading. -------------------------------------------------------------------------------------------------------------


def read_inputs(
    db: Connection,
    material: stock.Stock,
    some: Sequence[life.Piece],
    today: date,
    cutting_setup: CuttingSetup | None = None,
) -> Inputs:
    """Read what these pieces' hold-down depends on: cut as their stock is now, or with another set-up."""
    ids = [piece.id for piece in some]
    return Inputs(
        cutting_setup or cutting_setup_of(db, material),
        store.tallies(db),
        recuts.due_of(db, ids),
        recuts.lost_by(db, ids),
        today,
    )


def inputs_on(
    db: Connection, sheet: rules.Sheet, placed: Sequence[PlacedPiece], today: date
) -> Inputs:
    """Read the same for the pieces of a sheet, which is cut as it was nested for."""
    material = stock.stock(db, sheet.stock)
    some = [piece.piece for piece in placed]
    return read_inputs(db, material, some, today, cutting_setup_on(db, sheet, material))


def placed_pieces(db: Connection, sheet: rules.Sheet) -> list[PlacedPiece]:
    """Return the pieces that are still on a sheet, at their places."""
    if sheet.nest is None:
        return []
    here = {piece.id: piece for piece in pieces.of_sheet(db, sheet.id)}
    outlines = outline_store.by_ids(db, {piece.outline for piece in here.values()})
    return [
        PlacedPiece(here[int(put.key)], outlines[here[int(put.key)].outline], put)
        for put in sheets.made_nest(db, sheet.nest).placed
        if int(put.key) in here
    ]


# Working it out. ------------------------------------------------------------------------------------------------------


def hold_layout(
    inputs: Inputs, placed: Sequence[PlacedPiece], overruled: Mapping[int, str] | None = None
) -> HeldLayout:
    """Return how the pieces of one nest are best held; those in `overruled` (by piece) as a person chose, if they still can be."""
    setup, chosen, held = inputs.cutting_setup, overruled or {}, []
    for choice in choices(inputs, placed):
        name = chosen.get(choice.placed.piece.id)
        held.append(choice.held(name if name in choice.safety_factors else None))
    run = Run(
        setup.cutter_id,
        setup.cutter.diameter_mm,
        setup.shop_settings.pump,
        setup.vacuum_inhg,
        path_minutes(setup, placed, {piece.piece: piece for piece in held}),
    )
    return HeldLayout(tuple(held), run)


def choices(inputs: Inputs, placed: Sequence[PlacedPiece]) -> list[Choice]:
    """Return the choice for each piece of one nest, in their order. Slow: about 5 ms a piece."""
    setup = inputs.cutting_setup
    tree = STRtree([solid(piece.on_sheet) for piece in placed])
    taken: list[Point] = []
    made = []
    for at, piece in enumerate(placed):
        tabs = _tabs_beside(setup, piece.on_sheet, _neighbours(tree, at, setup), taken)
        choice = _choice(inputs, piece, tabs)
        if choice.advice.best.hold_down == "tabs":
            taken += [(tab.x_mm, tab.y_mm) for tab in tabs.tabs]
        made.append(choice)
    return made


def choices_on(inputs: Inputs, placed: Sequence[PlacedPiece], sheet: rules.Sheet) -> list[Choice]:
    """Return the same for a sheet, kept in memory: a page asks again each time that anything in the shop has changed."""
    key = (
        sheet.id,
        sheet.nest,
        inputs.cutting_setup,
        frozenset(inputs.tallies.items()),
        tuple((piece.piece.id, piece.piece.attempt) for piece in placed),
        frozenset(inputs.due.items()),
        frozenset(inputs.lost_by.items()),
        inputs.today,
    )
    return CHOICES.get(key, lambda: choices(inputs, placed))


def _neighbours(tree: STRtree, at: int, setup: CuttingSetup) -> BaseGeometry | None:
    """Return the neighbours that a tab must not lean on: no waste is left between them."""
    reach = setup.gap_mm + setup.cutter.diameter_mm
    near = tree.query(tree.geometries[at], predicate="dwithin", distance=reach)
    others = [number for number in near if number != at]
    return shapely.union_all(tree.geometries[others]) if others else None


def _tabs_beside(
    setup: CuttingSetup, outline: Outline, beside: BaseGeometry | None, taken: Sequence[Point]
) -> Tabs:
    held = hold(net_area(outline), setup.thickness_mm, setup.rules)
    left, bottom, right, top = outline.bounds
    reach = setup.tab_rules.apart_mm
    near = [
        (x, y)
        for x, y in taken
        if left - reach < x < right + reach and bottom - reach < y < top + reach
    ]
    return place_tabs(
        outline,
        setup.tab_rules,
        held.force_full_n,
        taken=near,
        beside=beside,
        slug_holds=_slug_holds(setup, "full"),
    )


def _slug_holds(setup: CuttingSetup, hold_down: str) -> Callable[[float], bool]:
    """Return whether a slug of an area (mm²) stays without a tab: small ones go up the hose, large ones are held by the vacuum."""

    def holds(area_mm2: float) -> bool:
        held = hold(area_mm2, setup.thickness_mm, setup.rules)
        factor = held.safety_factor_skin if hold_down == "skin" else held.safety_factor_full
        return area_mm2 < setup.shop_settings.slug_from_mm2 or factor >= 1

    return holds


def _tabs_by(setup: CuttingSetup, outline: Outline, tabs: Tabs) -> dict[str, tuple[Tab, ...]]:
    """Return the tabs of the piece and of its slugs by hold-down. Tape holds the slugs too."""
    by_hold_down = {"tabs": tabs.tabs}
    if len(outline.rings) > 1:
        for name in ("full", "skin"):
            by_hold_down[name] = slug_tabs(
                outline, setup.tab_rules, slug_holds=_slug_holds(setup, name)
            )
    return by_hold_down


def _choice(inputs: Inputs, placed: PlacedPiece, tabs: Tabs) -> Choice:
    setup, outline = inputs.cutting_setup, placed.outline
    area, shop_settings = net_area(outline), setup.shop_settings
    outer = sum(tab.ring == 0 for tab in tabs.tabs)
    factors = safety_factors(area, setup.thickness_mm, setup.rules, outer)
    tabs_by = _tabs_by(setup, placed.on_sheet, tabs)
    minutes = hold_down_choice.work_minutes(
        _extra_pass_min(setup, outline.perimeter_mm), len(tabs.tabs), shop_settings
    )
    for name in BY_VACUUM:
        minutes[name] += len(tabs_by.get(name, ())) * shop_settings.trim_min
    to_hold = hold_down_choice.PieceToHold(
        area_mm2=area, pump=shop_settings.pump, safety_factors=factors, minutes=minutes
    )
    not_by = _not_by(inputs, placed.piece)
    return Choice(
        placed,
        setup,
        hold_down_choice.advise(
            to_hold, inputs.tallies, _stakes(inputs, placed), shop_settings, not_by
        ),
        hold(area, setup.thickness_mm, setup.rules).verdict,
        factors,
        {
            name: chance(factor, Kind(band_of(area), name, shop_settings.pump), inputs.tallies)
            for name, factor in factors.items()
        },
        tabs,
        tabs_by,
    )


def _not_by(inputs: Inputs, piece: life.Piece) -> frozenset[str]:
    """Return what a recut is not held by: the hold-downs that lost the pieces before it, and the vacuum alone."""
    return frozenset() if piece.attempt == 1 else inputs.lost_by.get(piece.id, BY_VACUUM)


def _extra_pass_min(setup: CuttingSetup, perimeter_mm: float) -> float:
    """Return how much longer cutting with an onion skin takes than a full pass, in minutes."""
    feeds = setup.feeds
    passes = len(feeds.skin_passes) - 1 - len(feeds.passes)
    longer = passes * perimeter_mm / feeds.feed_mm_min + perimeter_mm / feeds.skin_feed_mm_min
    return max(0.0, longer)


def _stakes(inputs: Inputs, placed: PlacedPiece) -> hold_down_choice.Stakes:
    """Return what a loss would cost: the recut, its share of a sheet, the days that the sign would be late."""
    setup, outline, material = inputs.cutting_setup, placed.outline, inputs.cutting_setup.material
    recut = [recut_cost.PieceToCut(material.id, net_area(outline), outline.perimeter_mm)]
    share = recut_cost.sheets_used(recut, material.length_mm, material.width_mm, None)
    due, late = inputs.due.get(placed.piece.id), 0.0
    if due:
        days = (date.fromisoformat(due) - inputs.today).days
        ready, cut_again = setup.shop_settings.bench_days, setup.shop_settings.recut_days
        late = hold_down_choice.late_days(days, ready, cut_again)
    return hold_down_choice.Stakes(
        recut_min=recut_cost.minutes(recut, setup.thickness_mm, setup.cutter.diameter_mm),
        material=share * material.cost,
        set_up_share=SET_UP_SHARE,
        late_days=late,
    )


def order_of(placed: Sequence[PlacedPiece], hold_downs: Mapping[int, str]) -> dict[int, int]:
    """Return when each piece is freed, from 1, by piece; `hold_downs` by piece."""
    order = cutting_order(
        [(str(piece.piece.id), piece.on_sheet, hold_downs[piece.piece.id]) for piece in placed]
    )
    freed = [int(run.key) for run in order if run.ring == 0]
    return {piece: number for number, piece in enumerate(freed, start=1)}


def path_minutes(
    setup: CuttingSetup, placed: Sequence[PlacedPiece], held: Mapping[int, Held]
) -> float:
    """Return the minutes on the router by path, feed and acceleration; `held` by piece."""
    order = order_of(placed, {id: piece.hold_down for id, piece in held.items()})
    rings = tuple(
        ring
        for piece in sorted(placed, key=lambda piece: order[piece.piece.id])
        for ring in runs_of(
            piece.on_sheet,
            held[piece.piece.id].hold_down,
            setup.cutter.diameter_mm,
            len(held[piece.piece.id].tabs),
        )
    )
    return estimate_minutes(rings, setup.feeds, setup.shop_settings)


# What people do. ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PlannedSheet:
    """A sheet that is not started, its nest, its pieces, how they are held so far, and what that depends on."""

    sheet: rules.Sheet
    nest: int
    placed: list[PlacedPiece]
    held: dict[int, Held]
    inputs: Inputs


def _planned(shop: Shop, code: str) -> PlannedSheet:
    """Read a sheet whose hold-down is to change. Raises Conflict once it is started."""
    with shop.database.snapshot() as db:
        sheet = sheets.sheet_by_code(db, code)
        rules.may_be_held_otherwise(sheet)
        placed = placed_pieces(db, sheet)
        inputs = inputs_on(db, sheet, placed, shop_day(db, shop.clock()))
        return PlannedSheet(sheet, sheet.nest, placed, store.of_nest(db, sheet.nest), inputs)


def renew(caller: Caller, code: str) -> Answer:
    """Work out again how a planned sheet's pieces are held; what a person overruled stays. Raises Conflict once started."""
    planned = _planned(caller.shop, code)
    overruled = {id: held.hold_down for id, held in planned.held.items() if held.is_overruled}
    return _renewed(caller, planned, hold_layout(planned.inputs, planned.placed, overruled))


@command("renewed the advice", "operator")
def _renewed(transaction: Transaction, planned: PlannedSheet, layout: HeldLayout) -> Answer:
    sheet = planned.sheet
    before = _still_planned(transaction, planned, layout.held)
    layout.write(transaction.db, planned.nest, sheet.id)
    changed = sum(
        piece.piece not in before or before[piece.piece].hold_down != piece.hold_down
        for piece in layout.held
    )
    return Answer(
        wording.advice_updated(changed, sheet.number), (sheet.code,), {"changed": changed}
    )


def overrule(caller: Caller, code: str, some: Iterable[str], hold_down: str) -> Answer:
    """Hold pieces of a planned sheet (`some`: their codes) as a person chose; 'advised' goes back to the advice.

    Raises Refused for an unknown hold-down or one that a piece cannot have, Conflict once the sheet is started.
    """
    if hold_down not in (*HOLD_DOWNS, AS_ADVISED):
        raise Refused(wording.choose_a_hold_down([wording.hold_down(name) for name in HOLD_DOWNS]))
    planned = _planned(caller.shop, code)
    wanted = set(some)
    chosen = [piece.piece for piece in planned.placed if piece.piece.code in wanted]
    if not chosen:
        raise Conflict(wording.not_on_sheet(planned.sheet.number))
    if not {piece.piece.id for piece in planned.placed} <= planned.held.keys():
        raise Conflict(wording.work_it_out_first(planned.sheet.number))
    by_piece = {
        choice.placed.piece.id: choice
        for choice in choices_on(planned.inputs, planned.placed, planned.sheet)
    }
    held = {id: planned.held[id] for id in by_piece}
    for piece in chosen:
        choice = by_piece[piece.id]
        if hold_down != AS_ADVISED:
            _check_choice(caller, choice, hold_down)
        held[piece.id] = choice.held(None if hold_down == AS_ADVISED else hold_down)
    minutes = path_minutes(planned.inputs.cutting_setup, planned.placed, held)
    return _overruled(
        caller, planned, chosen, [held[piece.id] for piece in chosen], minutes, hold_down
    )


def _check_choice(caller: Caller, choice: Choice, hold_down: str) -> None:
    """Raise Refused where the piece cannot have this hold-down, NotAllowed where it is weaker and only an owner may."""
    factors = choice.safety_factors
    if hold_down not in factors:
        name = wording.with_hold_down(hold_down)
        reason = choice.tabs.why_none or wording.choose_another()
        raise Refused(wording.not_possible(choice.placed.piece.code, name, reason))
    if factors[hold_down] < factors[choice.advice.best.hold_down]:
        caller.actor.must_hold(("owner",), wording.weaker_is_for_the_owner())


@command("chose a way of holding", "operator")
def _overruled(
    transaction: Transaction,
    planned: PlannedSheet,
    some: Sequence[life.Piece],
    held: Sequence[Held],
    minutes: float,
    hold_down: str,
) -> Answer:
    sheet, db = planned.sheet, transaction.db
    _still_planned(transaction, planned, held)
    _write(db, planned.nest, sheet.id, held)
    run = store.run_of(db, planned.nest)
    if run:
        store.write_run(db, planned.nest, sheet.id, replace(run, path_min=minutes))
    is_one = len(some) == 1
    what = (
        pieces.called(db, some[0]) if is_one else wording.pieces_of_sheet(len(some), sheet.number)
    )
    if hold_down == AS_ADVISED:
        return Answer(wording.held_as_advised(what), (sheet.code,))
    return Answer(wording.now_held(what, wording.with_hold_down(hold_down)), (sheet.code,))


def _still_planned(
    transaction: Transaction, planned: PlannedSheet, held: Sequence[Held]
) -> dict[int, Held]:
    """Return how the sheet's pieces are held so far. Raises Conflict where it has been started or nested again since."""
    now = sheets.sheet(transaction.db, planned.sheet.id)
    rules.may_be_held_otherwise(now)
    here = {piece.id for piece in pieces.of_sheet(transaction.db, now.id)}
    if now.nest != planned.nest or not {piece.piece for piece in held} <= here:
        raise Conflict(wording.sheet_changed(now.number))
    return store.of_nest(transaction.db, planned.nest)
