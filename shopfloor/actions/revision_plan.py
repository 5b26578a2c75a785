"""A new drawing for a job under way, worked out but not yet carried out: which part became which, which piece goes to
which part, and what that costs. Changes nothing; `revisions` carries a plan out.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

from ..domain import pieces as life
from ..domain.drawing.signs import name_of
from ..domain.drawing.stacking import ProposedPart, ProposedSign
from ..domain.errors import Conflict
from ..domain.outlines import Outline
from ..domain.recuts import revisions as rules
from ..domain.recuts.revisions import Change, PlacedPart
from ..domain.routing import recut_cost
from ..store import jobs, pieces, settings, stock
from ..store import revisions as store
from ..store.db import Connection
from ..store.revisions import StandingPart
from ..wording import revisions as wording
from .drawings import DEFAULT_SHEET, Proposal
from .outlines import Sorted, sort_outlines
from .unit_of_work import Shop

SignGroup = tuple[list[jobs.Sign], list[StandingPart]]  # copies of one sign, with their parts
WHY = "the drawing changed"
OPEN = ("open", "on hold")
NEW_STOCK = "a new stock"  # a colour's stock in the costs, as long as it has none


@dataclass(frozen=True)
class SignPlan:
    """The changes of one sign and its copies. `signs` are ids of the job's signs (none: a new one), `new` the sign as
    drawn now (None: removed). Numbers in `changes` are of `old` and of `new.parts`."""

    signs: tuple[int, ...]
    marks: tuple[str, ...]
    name: str
    old: tuple[StandingPart, ...]
    new: ProposedSign | None
    changes: tuple[Change, ...]

    @property
    def drawn(self) -> ProposedSign:
        """The sign as drawn now. Raises ValueError where it is removed."""
        if self.new is None:
            raise ValueError(f"{self.name} is not in the new drawing")
        return self.new

    def part(self, number: int | None) -> ProposedPart:
        """Return a part of the new drawing by its number."""
        return self.drawn.parts[known(number) - 1]


def known(number: int | None) -> int:
    """Return the number of a part in a change that must have it. Raises ValueError where it has none."""
    if number is None:
        raise ValueError("a new part has no old number, a removed one no new number")
    return number


@dataclass(frozen=True)
class Plan:
    """A revision that is worked out and not yet carried out. `left_alone` are marks of signs that are packed, handed over
    or cancelled: a new drawing does not touch them."""

    job: jobs.Job
    proposed: Proposal
    stocks: dict[str, int]
    sorted_: Sorted
    signs: tuple[SignPlan, ...]
    left_alone: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether the new drawing changes nothing."""
        return all(change.kind == rules.SAME for sign in self.signs for change in sign.changes)


@dataclass(frozen=True)
class Choices:
    """`uses_spares`: spares in stock may go to new parts. `comes_off_whole`: glued pieces that must come off can be used
    again; else they are spoiled, and cut again where still wanted."""

    uses_spares: bool = True
    comes_off_whole: bool = False


DEFAULT_CHOICES = Choices()


@dataclass(frozen=True)
class Supply:
    """Which pieces go to the new parts. `wanted` has one entry for each new part of each copy: (sign's place in the plan,
    copy, number in the new drawing); `serving` by place in `wanted`; `spares` are ids of pieces that were in stock before.

    `better`: a part that stays, and whose own piece is not cut yet, gets a cut one that is left over: (own, better).
    """

    wanted: tuple[tuple[int, int, int], ...]
    serving: dict[int, life.Piece]
    freed: dict[int, life.Piece]
    spares: frozenset[int]
    better: tuple[tuple[life.Piece, life.Piece], ...] = ()

    @property
    def used(self) -> set[int]:
        """The ids of the pieces that are for another part than before."""
        return {piece.id for piece in self.serving.values()} | {
            better.id for _, better in self.better
        }


def plan(
    shop: Shop,
    number: str,
    proposed: Proposal,
    stocks: Mapping[str, int],
) -> Plan:
    """Compare a job with a new drawing. `stocks` is the stock of each colour; a colour without gets a new one, and its
    parts are new. Raises NotFound, and Conflict where none of the job's signs is open."""
    sorted_ = sort_outlines(shop, proposed.signs, stocks)
    with shop.database.snapshot() as db:
        job = jobs.job_by_number(db, number)
        signs = jobs.signs_of_job(db, job.id)
        groups = _copies(
            [(sign, store.standing(db, sign.id)) for sign in signs if sign.state in OPEN]
        )
    if not groups:
        raise Conflict(wording.no_sign_open(job.number))
    news = [_wanted(sign, stocks, sorted_) for sign in proposed.signs]
    olds = [_placed(parts) for _, parts in groups]
    names = ([group[0].name for group, _ in groups], [sign.name or "" for sign in proposed.signs])
    plans = [
        _sign_plan(
            ([], []) if old is None else groups[old],
            [] if old is None else olds[old],
            None if new is None else proposed.signs[new],
            [] if new is None else news[new],
        )
        for old, new in rules.pair_signs(olds, news, names)
    ]
    alone = tuple(sign.mark for sign in signs if sign.state not in OPEN)
    return Plan(job, proposed, dict(stocks), sorted_, tuple(plans), alone)


def _copies(signs: Sequence[tuple[jobs.Sign, list[StandingPart]]]) -> list[SignGroup]:
    """Return the signs in groups that have the same parts at the same places."""
    groups: dict[Hashable, SignGroup] = {}
    for sign, parts in signs:
        look = (
            sign.name,
            *((p.number, p.outline_id, p.x_mm, p.y_mm, p.level, p.under) for p in parts),
        )
        groups.setdefault(look, ([], parts))[0].append(sign)
    return list(groups.values())


def _placed(parts: Sequence[StandingPart]) -> list[PlacedPart]:
    return [
        PlacedPart(
            p.number, p.name, (p.stock, p.family), p.level, p.under, p.outline.moved(p.x_mm, p.y_mm)
        )
        for p in parts
    ]


def _wanted(sign: ProposedSign, stocks: Mapping[str, int], sorted_: Sorted) -> list[PlacedPart]:
    wanted = []
    for part in sign.parts:
        alike: Hashable = ("no stock yet", part.colour, part.outline.at_origin())
        if part.colour in stocks:
            family = sorted_.families[stocks[part.colour], part.outline.at_origin()]
            alike = (stocks[part.colour], family)
        under = tuple(number for number in (part.on, *part.also_on) if number is not None)
        wanted.append(
            PlacedPart(part.number, part.name or "", alike, part.level, under, part.outline)
        )
    return wanted


def _sign_plan(
    group: SignGroup,
    placed: Sequence[PlacedPart],
    new: ProposedSign | None,
    wanted: Sequence[PlacedPart],
) -> SignPlan:
    signs, parts = group
    changes = rules.match_parts(placed, wanted)
    # stored with a new sign, so it stays as it is in any language
    name = signs[0].name if signs or new is None else name_of(new, "a new sign", False)
    ids, marks = tuple(sign.id for sign in signs), tuple(sign.mark for sign in signs)
    return SignPlan(ids, marks, name, tuple(parts), new, changes)


def supply(db: Connection, plan: Plan, choices: Choices) -> Supply:
    """Return which pieces go to the new parts, as the shop is in this transaction."""
    freed: dict[int, life.Piece] = {}
    pool: list[tuple[Hashable, life.Piece]] = []
    uncut: list[tuple[Hashable, life.Piece]] = []
    for sign_plan in plan.signs:
        family = {part.number: (part.stock, part.family) for part in sign_plan.old}
        for piece, change in pieces_of(db, sign_plan):
            alike = family[known(change.old)]
            if change.kind != rules.GONE:
                uncut += [(alike, piece)] if life.is_not_begun(piece) else []
                continue
            freed[piece.id] = piece
            if piece.state == "fixed" and choices.comes_off_whole:
                pool.append((alike, replace(piece, state="ready")))
            elif piece.state != "fixed":
                pool.append((alike, piece))
    in_stock = (
        [((piece.stock, family), piece) for family, piece in pieces.spares(db)]
        if choices.uses_spares
        else []
    )
    wanted = [
        (place, copy, known(change.new))
        for place, sign_plan in enumerate(plan.signs)
        for copy in range(copies_of(plan, sign_plan))
        for change in sign_plan.changes
        if change.kind == rules.NEW
    ]
    kinds = [_alike(plan, place, number) for place, _, number in wanted]
    serving = rules.served(kinds, [*pool, *in_stock])
    used = {piece.id for piece in serving.values()}
    left = [
        (alike, piece)
        for alike, piece in [*pool, *in_stock]
        if piece.id not in used and not life.is_not_begun(piece)
    ]
    replacing = rules.served([alike for alike, _ in uncut], left)
    better = tuple((uncut[place][1], piece) for place, piece in replacing.items())
    return Supply(
        tuple(wanted), serving, freed, frozenset(piece.id for _, piece in in_stock), better
    )


def copies_of(plan: Plan, sign_plan: SignPlan) -> int:
    """Return how many signs one entry of the plan makes: the copies in the job, or one new sign."""
    if sign_plan.signs or sign_plan.new is None:
        return len(sign_plan.signs)
    return 1


def _alike(plan: Plan, place: int, number: int) -> Hashable:
    part = plan.signs[place].part(number)
    if part.colour not in plan.stocks:
        return ("no stock yet", part.colour)
    stock_id = plan.stocks[part.colour]
    return stock_id, plan.sorted_.families[stock_id, part.outline.at_origin()]


def pieces_of(db: Connection, sign_plan: SignPlan) -> list[tuple[life.Piece, Change]]:
    """Return the live pieces of a sign and its copies, each with the change of its part."""
    by_number = {change.old: change for change in sign_plan.changes if change.old is not None}
    with_changes = []
    for sign in sign_plan.signs:
        number = {part.id: part.number for part in jobs.parts_of(db, sign)}
        with_changes += [
            (piece, by_number[number[known(piece.part)]]) for piece in pieces.of_sign(db, sign)
        ]
    return with_changes


def must_come_off(piece: life.Piece, change: Change) -> bool:
    """Return whether a piece is glued at a place that it cannot keep."""
    return piece.state == "fixed" and not change.stays_joined


# What it costs -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Costs:
    """What a plan costs, over all copies. Parts: `same`, `moved`, `new`, `gone`. Pieces: `used` again, `from_stock` of
    these were spares; `to_cut`; `withdrawn` will not be cut; `spare` are left over; `glued` must come off.

    `area_mm2` net of the pieces to cut, `sheets` the share of full sheets that they take by the stock's name, `money`
    that share's cost in the shop's money, `minutes` at the router with handling.
    """

    same: int
    moved: int
    new: int
    gone: int
    used: int
    from_stock: int
    to_cut: int
    withdrawn: int
    spare: int
    glued: int
    area_mm2: float
    sheets: dict[str, float]
    money: float
    minutes: float


def costs(db: Connection, plan: Plan, choices: Choices) -> Costs:
    """Return what a plan would cost as the shop is now."""
    given = supply(db, plan, choices)
    kinds = {kind: count(plan, kind) for kind in (rules.SAME, rules.MOVED, rules.NEW, rules.GONE)}
    left = [piece for piece in given.freed.values() if piece.id not in given.used]
    glued = [
        change
        for sign in plan.signs
        for piece, change in pieces_of(db, sign)
        if must_come_off(piece, change)
    ]
    spoiled_but_wanted = (
        [] if choices.comes_off_whole else [change for change in glued if change.new is not None]
    )
    to_cut = [
        _outline_of(plan, spot)
        for place, spot in enumerate(given.wanted)
        if place not in given.serving
    ]
    to_cut += [_standing_outline(plan, change) for change in spoiled_but_wanted]
    spoiled = 0 if choices.comes_off_whole else sum(piece.state == "fixed" for piece in left)
    not_begun = sum(life.is_not_begun(piece) for piece in left)
    withdrawn = not_begun + len(given.better)
    sheets, money, minutes = _effort(db, to_cut)
    return Costs(
        **kinds,
        used=len(given.used),
        from_stock=len(given.used & given.spares),
        to_cut=len(to_cut),
        withdrawn=withdrawn,
        spare=len(left) - not_begun - spoiled,
        glued=len(glued),
        area_mm2=sum(outline.area_mm2 for _, outline in to_cut),
        sheets=sheets,
        money=money,
        minutes=minutes,
    )


def count(plan: Plan, kind: str) -> int:
    """Return how many parts, over all copies, are 'same', 'moved', 'new' or 'gone'."""
    return sum(
        copies_of(plan, sign) * sum(change.kind == kind for change in sign.changes)
        for sign in plan.signs
    )


def _outline_of(plan: Plan, spot: tuple[int, int, int]) -> tuple[int | None, Outline]:
    place, _, number = spot
    part = plan.signs[place].part(number)
    return plan.stocks.get(part.colour), part.outline


def _standing_outline(plan: Plan, change: Change) -> tuple[int | None, Outline]:
    for sign in plan.signs:
        if change in sign.changes and sign.new is not None:
            part = sign.part(change.new)
            return plan.stocks.get(part.colour), part.outline
    raise KeyError(change)


def _effort(
    db: Connection, to_cut: Sequence[tuple[int | None, Outline]]
) -> tuple[dict[str, float], float, float]:
    """Return the share of sheets by stock, their cost, and minutes. A colour without a stock counts as the default sheet."""
    shop_settings = settings.load(db)
    by_stock: dict[int | None, list[recut_cost.PieceToCut]] = {}
    for id, outline in to_cut:
        piece = recut_cost.PieceToCut(id or 0, outline.area_mm2, outline.perimeter_mm)
        by_stock.setdefault(id, []).append(piece)
    sheets, money, minutes = {}, 0.0, 0.0
    for id, to_cut_of in by_stock.items():
        thickness, length, width = DEFAULT_SHEET.values()
        name, cost = NEW_STOCK, 0.0
        if id is not None:
            of_colour = stock.stock(db, id)
            name, cost, thickness = of_colour.called, of_colour.cost, of_colour.thickness_mm
            length, width = of_colour.length_mm, of_colour.width_mm
        share = recut_cost.sheets_used(to_cut_of, length, width, store.mean_yield(db, id))
        sheets[name] = share
        money += share * cost
        minutes += recut_cost.minutes(to_cut_of, thickness, shop_settings.tool_mm)
    return sheets, money, minutes
