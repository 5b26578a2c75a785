"""Nesting: waiting pieces are laid on sheets. Reads, releases, solves in a worker process, then checks that nothing
changed, and saves. Nothing slow happens inside the transaction."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from .. import nesting
from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..domain.recuts import recut_planning
from ..domain.routing import nests
from ..domain.routing import sheets as rules
from ..store import holding as holding_store
from ..store import outlines as outline_store
from ..store import pieces, sheets, stock
from ..store.db import Connection
from ..store.stock import Blank, Stock
from ..wording import sheets as wording
from ..wording.message import Message, as_dict, joined
from . import holding
from .cutting_setup import CuttingSetup, flag_for
from .sheets import put_back
from .unit_of_work import Answer, Caller, Shop, Transaction, command, earlier_answer, shop_day

Progress = Callable[[float], None] | None
LeftOut = Sequence[tuple[str, Message]]  # the key of a piece that is on no sheet, and why
SMALLEST_TRIED = 2  # offcuts, beside the largest


@dataclass(frozen=True)
class Work:
    """What is to be nested: read before, checked again when the nest is saved."""

    stock: Stock
    pieces: tuple[life.Piece, ...]
    items: tuple[nests.Item, ...]
    pooled: tuple[rules.Sheet, ...]
    rules: nests.NestRules
    offcuts: tuple[Blank, ...]
    known: holding.Inputs
    overruled: dict[int, str]
    flagged: frozenset[int] = frozenset()  # blanks whose thickness may be seen to differ


@dataclass(frozen=True)
class Layout:
    """A solved nest, the free offcut that it is for (None: a full sheet), and the hold-down of its pieces."""

    made: nests.NestedSheet
    offcut: Blank | None
    holds: holding.HeldLayout | None = None
    why: Message | None = None  # this offcut was taken


def plan(
    caller: Caller,
    stock_id: int,
    *,
    codes: Iterable[str] | None = None,
    pool: Sequence[str] = (),
    seconds: float | None = None,
    on_offcuts: bool = False,
    progress: Progress = None,
) -> Answer:
    """Nest waiting pieces of a stock: those of `codes`, or all; with the pieces of the planned sheets `pool` (codes).

    `on_offcuts`: on the offcut that wastes least and holds them all, else on full sheets. `seconds` limits the whole
    time; left out, the shop's setting does. The answer's data: `sheets` (codes), `left_out` (kept messages). Raises
    Refused where nothing waits, Conflict where something changed during nesting.
    """
    caller.actor.must_hold(("operator",))
    if first := earlier_answer(caller):
        return first
    work = gather(caller.shop, stock_id, codes, pool, seconds, on_offcuts)
    layouts, left_out = solve(work, progress)
    if not layouts:
        raise Refused(joined(reason for _, reason in left_out))
    return save(caller, work, held(work, layouts), left_out)


def gather(
    shop: Shop,
    stock_id: int,
    codes: Iterable[str] | None,
    pool: Sequence[str],
    seconds: float | None,
    on_offcuts: bool,
) -> Work:
    """Read what must be nested. Raises Refused where nothing waits, Conflict where a pooled sheet is started."""
    with shop.database.snapshot() as db:
        material = stock.stock(db, stock_id)
        pooled = tuple(sheets.sheet_by_code(db, code) for code in pool)
        for sheet in pooled:
            if sheet.state != "planned" or sheet.stock != stock_id:
                raise Conflict(wording.leave_it_out(sheet.number))
        some = [piece for sheet in pooled for piece in pieces.of_sheet(db, sheet.id)]
        some += _waiting(db, stock_id, codes)
        if not some:
            raise Refused(wording.nothing_waits(material.called))
        known = holding.read_inputs(db, material, some, shop_day(db, shop.clock()))
        usual = known.cutting_setup.nest_rules(
            is_for_recuts=all(piece.attempt > 1 for piece in some)
        )
        offcuts = _offcuts(db, stock_id, pooled) if on_offcuts else ()
        return Work(
            material,
            tuple(some),
            _items(db, some),
            pooled,
            replace(usual, seconds=seconds) if seconds else usual,
            offcuts,
            known,
            _overruled(db, pooled),
            _flagged(db, some, offcuts, known.cutting_setup),
        )


def _flagged(
    db: Connection,
    some: Sequence[life.Piece],
    offcuts: Sequence[Blank],
    cutting_setup: CuttingSetup,
) -> frozenset[int]:
    """Return the offcuts whose thickness may be seen to differ from the rest of a sign."""
    recuts = [piece.id for piece in some if piece.attempt > 1]
    return frozenset(
        blank.id for blank in offcuts if recuts and flag_for(db, blank.id, recuts, cutting_setup)
    )


def _overruled(db: Connection, pooled: Sequence[rules.Sheet]) -> dict[int, str]:
    """Return the hold-downs that a person chose for pieces of the pooled sheets: they are kept."""
    return {
        piece: held.hold_down
        for sheet in pooled
        for piece, held in holding_store.of_nest(db, sheet.nest).items()
        if held.is_overruled
    }


def _offcuts(db: Connection, stock_id: int, pooled: Sequence[rules.Sheet]) -> tuple[Blank, ...]:
    """Return the offcuts that are free or booked by the pooled sheets, the smallest first."""
    theirs = [blank for sheet in pooled if (blank := stock.blank(db, sheet.blank)).is_offcut]
    usable = [*stock.free_blanks(db, stock_id, is_offcut=True), *theirs]
    return tuple(sorted(usable, key=lambda blank: (blank.length_mm * blank.width_mm, blank.id)))


def _waiting(db: Connection, stock_id: int, codes: Iterable[str] | None) -> list[life.Piece]:
    waiting = pieces.waiting(db, stock_id)
    if codes is None:
        return waiting
    wanted = set(codes)
    return [piece for piece in waiting if piece.code in wanted]


def _items(db: Connection, some: Sequence[life.Piece]) -> tuple[nests.Item, ...]:
    outlines = outline_store.by_ids(db, {piece.outline for piece in some})
    names = pieces.names(db, [piece.id for piece in some])
    return tuple(
        nests.Item(
            str(piece.id),
            outlines[piece.outline],
            _plain(str(names.get(piece.id, show(piece.code)))),
        )
        for piece in some
    )


def _plain(name: str) -> str:
    """Return A for 'A': the messages of a nest put the whole name in quotes."""
    return re.sub(r"^'(.*)' of (J-\d+ \w+)$", r"\1 of \2", name)


def solve(work: Work, progress: Progress = None) -> tuple[list[Layout], LeftOut]:
    """Lay the work out; slow, outside any transaction. Return the layouts and what fits nowhere.

    Of the offcuts that hold all, the one that wastes least is taken, those of a doubtful thickness last; else full sheets.
    """
    tried = _offcuts_to_try(work)
    runs = len(tried) + 1  # they share the time
    rules_of_each = replace(work.rules, seconds=work.rules.seconds / runs)
    on_offcuts: list[tuple[Blank, nests.NestedSheet]] = []
    for done, offcut in enumerate(tried):
        size, part = (offcut.length_mm, offcut.width_mm), share_of(progress, done, runs)
        made = nesting.nest(work.items, *size, rules_of_each, most_sheets=1, progress=part)
        if len(made.sheets) == 1 and not made.left_out:
            on_offcuts.append((offcut, made.sheets[0]))
    if on_offcuts:
        return [_least_waste(work, on_offcuts)], ()
    size, part = (work.stock.length_mm, work.stock.width_mm), share_of(progress, runs - 1, runs)
    full = nesting.nest(work.items, *size, rules_of_each, progress=part)
    return [Layout(sheet, None) for sheet in full.sheets], full.left_out


def _least_waste(work: Work, on_offcuts: Sequence[tuple[Blank, nests.NestedSheet]]) -> Layout:
    """Return the layout on the offcut that wastes least."""
    net = sum(nests.net_area(item.outline) for item in work.items)
    from_mm = work.known.cutting_setup.shop_settings.offcut_from_mm

    def tried(offcut: Blank, made: nests.NestedSheet) -> recut_planning.Tried:
        length, width = offcut.length_mm, offcut.width_mm
        kept = nests.offcut_size(made, length, width, from_mm) or (0.0, 0.0)
        is_flagged = offcut.id in work.flagged
        return recut_planning.Tried(
            show(offcut.code), length * width, net, kept[0] * kept[1], is_flagged
        )

    choice = recut_planning.least_waste([tried(offcut, made) for offcut, made in on_offcuts])
    offcut, made = next(
        (offcut, made) for offcut, made in on_offcuts if show(offcut.code) == choice.key
    )
    return Layout(made, offcut, why=choice.message)


def held(work: Work, layouts: Sequence[Layout]) -> list[Layout]:
    """Return the layouts with the hold-down of their pieces; slow, outside any transaction."""
    outlines = {item.key: item.outline for item in work.items}
    by_id = {str(piece.id): piece for piece in work.pieces}
    return [
        replace(
            layout,
            holds=holding.hold_layout(
                work.known,
                [
                    holding.PlacedPiece(by_id[put.key], outlines[put.key], put)
                    for put in layout.made.placed
                ],
                work.overruled,
            ),
        )
        for layout in layouts
    ]


def share_of(progress: Progress, done: int, of: int) -> Progress:
    """Return a progress for one of several runs that reports the share of the whole."""
    return (lambda share: progress((done + share) / of)) if progress else None


def _offcuts_to_try(work: Work) -> list[Blank]:
    """Return the smallest offcuts that could hold all, and the largest, of which most may be kept.

    Each is large enough in area and each piece alone fits on it. Those of a doubtful thickness come last.
    """
    area = sum(item.outline.area_mm2 for item in work.items)

    def can_hold(blank: Blank) -> bool:
        room = (blank.length_mm, blank.width_mm, work.rules)
        return blank.length_mm * blank.width_mm > area and all(
            nests.fitting_turns(item.outline, *room) for item in work.items
        )

    fitting = sorted(
        (blank for blank in work.offcuts if can_hold(blank)),
        key=lambda blank: blank.id in work.flagged,
    )
    return [*fitting[:SMALLEST_TRIED], *fitting[SMALLEST_TRIED:][-1:]]


@command("nested pieces", "operator")
def save(
    transaction: Transaction, work: Work, layouts: Sequence[Layout], left_out: LeftOut
) -> Answer:
    """Save solved layouts. Raises Conflict where a piece, a sheet or an offcut is no longer as it was read."""
    db = transaction.db
    _check_unmoved(transaction, work)
    for sheet in work.pooled:
        put_back(transaction, pieces.of_sheet(db, sheet.id))
        stock.release_blank(db, sheet.blank)
    by_key = {item.key: item for item in work.items}
    unused = [sheet.id for sheet in work.pooled]
    made = []
    for layout in layouts:
        blank = _book(transaction, work, layout)
        sheet_id = _reused(transaction, unused, blank) or _added(transaction, work, blank)
        _write_nest(transaction, sheet_id, layout, by_key, work.rules)
        made.append(sheets.sheet(db, sheet_id))
    for sheet_id in unused:
        sheets.set_state(db, sheet_id, "abandoned", closed_at=transaction.at)
    codes = tuple(sheet.code for sheet in made)
    message = joined(
        [
            wording.nested(
                sum(len(layout.made.placed) for layout in layouts),
                tuple(sheet.number for sheet in made),
            ),
            *(layout.why for layout in layouts),
            *(reason for _, reason in left_out),
        ]
    )
    data = {"sheets": list(codes), "left_out": [as_dict(reason) for _, reason in left_out]}
    return Answer(message, codes, data)


def _check_unmoved(transaction: Transaction, work: Work) -> None:
    now_pooled = tuple(sheets.sheet(transaction.db, sheet.id) for sheet in work.pooled)
    now = [pieces.by_code(transaction.db, piece.code) for piece in work.pieces]
    if now_pooled != work.pooled or any(
        (then.state, then.sheet, then.part) != (piece.state, piece.sheet, piece.part)
        for then, piece in zip(work.pieces, now, strict=True)
    ):
        raise Conflict(wording.changed_while_nesting())


def _book(transaction: Transaction, work: Work, layout: Layout) -> int:
    if layout.offcut is not None:
        if stock.blank(transaction.db, layout.offcut.id).state != "free":
            raise Conflict(wording.offcut_taken(layout.offcut.code))
        stock.set_blank(transaction.db, layout.offcut.id, "booked")
        return layout.offcut.id
    size = (work.stock.length_mm, work.stock.width_mm)
    for blank in stock.free_blanks(transaction.db, work.stock.id, is_offcut=False):
        if (blank.length_mm, blank.width_mm) == size:
            stock.set_blank(transaction.db, blank.id, "booked")
            return blank.id
    code = transaction.new_code("blank")
    return stock.add_blank(
        transaction.db, code, work.stock.id, *size, is_offcut=False, is_bought=False, state="booked"
    )


def _reused(transaction: Transaction, unused: list[int], blank: int) -> int | None:
    """Take the first unused pooled sheet for a new layout."""
    if not unused:
        return None
    sheet = unused.pop(0)
    sheets.set_blank(transaction.db, sheet, blank)
    return sheet


def _added(transaction: Transaction, work: Work, blank: int) -> int:
    return sheets.add_sheet(transaction.db, transaction.new_code("sheet"), work.stock.id, blank)


def _write_nest(
    transaction: Transaction,
    sheet_id: int,
    layout: Layout,
    by_key: dict[str, nests.Item],
    nest_rules: nests.NestRules,
) -> None:
    made = layout.made
    order = nests.walking_order(made, [by_key[put.key] for put in made.placed])
    walk = {int(key): turn for turn, key in enumerate(order, start=1)}
    nest = sheets.add_nest(
        transaction.db,
        sheet_id,
        made,
        walk,
        nest_rules.gap_mm,
        nest_rules.margin_mm,
        transaction.at,
    )
    if layout.holds is not None:
        layout.holds.write(transaction.db, nest, sheet_id)
