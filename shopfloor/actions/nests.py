"""Nesting: pieces that wait are laid on sheets. Reads, lets go, solves in a worker process, then checks that nothing moved,
and saves. Nothing slow happens inside the transaction."""

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
from ..store import ledger, pieces, sheets, stock
from ..store import outlines as outline_store
from . import holding, thickness
from .cutting_setup import CuttingSetup
from .sheets import put_back
from .unit_of_work import Answer, Caller, Shop, Transaction, command, shop_day

Progress = Callable[[float], None] | None
MOST_OFFCUTS_TRIED = 3


@dataclass(frozen=True)
class Work:
    """What is to be nested: read before, checked again when the nest is saved."""

    stock: stock.Stock
    pieces: tuple[life.Piece, ...]
    items: tuple[nests.Item, ...]
    pooled: tuple[rules.Sheet, ...]
    rules: nests.NestRules
    offcuts: tuple[stock.Blank, ...]
    known: holding.Inputs
    overruled: dict[int, str]
    flagged: frozenset[int] = frozenset()  # blanks whose thickness may be seen to differ


@dataclass(frozen=True)
class Layout:
    """A solved nest, the free offcut that it is for (None: a full sheet), and how its pieces are held."""

    made: nests.NestedSheet
    offcut: stock.Blank | None
    holds: holding.HeldLayout | None = None
    why: str = ""  # this blank was taken


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
    """Nests waiting pieces of a stock: those of `codes`, or all; with the pieces of the planned sheets `pool` (codes).

    `on_offcuts`: the smallest offcut that holds them all is taken, else full sheets. `seconds` is the time limit of all, left
    out the shop's own.
    The answer's data: `sheets` (codes), `left_out` (sentences). Raises Refused where nothing waits, Conflict where
    something moved meanwhile.
    """
    caller.actor.must_hold(("operator",))
    first = ledger.by_key(caller.shop.read(), caller.key) if caller.key else None
    if first is not None:
        return Answer.of_ledger(first.answer)
    work = gather(caller.shop, stock_id, codes, pool, seconds, on_offcuts)
    layouts, left_out = solve(work, progress)
    if not layouts:
        raise Refused(" ".join(sentence for _, sentence in left_out))
    return save(caller, work, held(work, layouts), left_out)


def gather(
    shop: Shop, stock_id: int, codes, pool: Sequence[str], seconds: float | None, on_offcuts: bool
) -> Work:
    """Reads what is to be nested. Raises Refused where nothing is, Conflict where a pooled sheet is started."""
    with shop.database.snapshot() as db:
        material = stock.stock(db, stock_id)
        pooled = tuple(sheets.sheet_by_code(db, code) for code in pool)
        for sheet in pooled:
            if sheet.state != "planned" or sheet.stock != stock_id:
                raise Conflict(
                    f"Sheet {sheet.number} is not a planned one of this stock: leave it out."
                )
        some = [piece for sheet in pooled for piece in pieces.of_sheet(db, sheet.id)]
        some += _waiting(db, stock_id, codes)
        if not some:
            raise Refused(f"Nothing of {material.called} waits for a sheet.")
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
    db, some: Sequence[life.Piece], offcuts: Sequence[stock.Blank], cutting_setup: CuttingSetup
) -> frozenset[int]:
    """The offcuts whose thickness may be seen to differ beside what their signs have already."""
    ids = [piece.id for piece in some if piece.attempt > 1]
    return frozenset(
        blank.id
        for blank in offcuts
        if ids and thickness.flag_for(db, blank.id, ids, cutting_setup)
    )


def _overruled(db, pooled: Sequence[rules.Sheet]) -> dict[int, str]:
    """The ways that a person chose for pieces of the pooled sheets: they stay."""
    return {
        id: one.hold_down
        for sheet in pooled
        for id, one in holding_store.of_nest(db, sheet.nest).items()
        if one.is_overruled
    }


def _offcuts(db, stock_id: int, pooled: Sequence[rules.Sheet]) -> tuple[stock.Blank, ...]:
    """The offcuts that are free or booked by the pooled sheets, the smallest first."""
    theirs = [blank for sheet in pooled if (blank := stock.blank(db, sheet.blank)).is_offcut]
    found = [*stock.free_blanks(db, stock_id, is_offcut=True), *theirs]
    return tuple(sorted(found, key=lambda blank: (blank.length_mm * blank.width_mm, blank.id)))


def _waiting(db, stock_id: int, codes) -> list[life.Piece]:
    waiting = pieces.waiting(db, stock_id)
    if codes is None:
        return waiting
    wanted = set(codes)
    return [piece for piece in waiting if piece.code in wanted]


def _items(db, some: Sequence[life.Piece]) -> tuple[nests.Item, ...]:
    outlines = outline_store.by_ids(db, {piece.outline for piece in some})
    names = pieces.names(db, [piece.id for piece in some])
    return tuple(
        nests.Item(str(p.id), outlines[p.outline], _plain(str(names.get(p.id, show(p.code)))))
        for p in some
    )


def _plain(name: str) -> str:
    """A for 'A': the sentences of a nest put the whole name into marks."""
    return re.sub(r"^'(.*)' of (J-\d+ \w+)$", r"\1 of \2", name)


def solve(
    work: Work, progress: Progress = None
) -> tuple[list[Layout], tuple[tuple[str, str], ...]]:
    """Lays the work out; slow, holds no transaction. Gives the layouts and (key, sentence) of what fits nowhere.

    Of the offcuts that hold all, the one that wastes least is taken, those of a doubtful thickness last; else full sheets.
    """
    tried = _offcuts_to_try(work)
    runs = len(tried) + 1  # they share the time
    rules_of_each = replace(work.rules, seconds=work.rules.seconds / runs)
    found = []
    for done, offcut in enumerate(tried):
        size, told = (offcut.length_mm, offcut.width_mm), share_of(progress, done, runs)
        made = nesting.nest(work.items, *size, rules_of_each, most_sheets=1, progress=told)
        if len(made.sheets) == 1 and not made.left_out:
            found.append(Layout(made.sheets[0], offcut))
    if found:
        return [_least_waste(work, found)], ()
    size, told = (work.stock.length_mm, work.stock.width_mm), share_of(progress, runs - 1, runs)
    full = nesting.nest(work.items, *size, rules_of_each, progress=told)
    return [Layout(sheet, None) for sheet in full.sheets], full.left_out


def _least_waste(work: Work, found: Sequence[Layout]) -> Layout:
    """The layout on the offcut that wastes least."""
    net = sum(nests.net_area(item.outline) for item in work.items)
    from_mm = work.known.cutting_setup.shop_settings.offcut_from_mm

    def tried(layout: Layout) -> recut_planning.Tried:
        long, wide = layout.offcut.length_mm, layout.offcut.width_mm
        kept = nests.offcut_size(layout.made, long, wide, from_mm) or (0.0, 0.0)
        return recut_planning.Tried(
            show(layout.offcut.code),
            long * wide,
            net,
            kept[0] * kept[1],
            layout.offcut.id in work.flagged,
        )

    choice = recut_planning.least_waste([tried(layout) for layout in found])
    best = next(layout for layout in found if show(layout.offcut.code) == choice.key)
    return replace(best, why=choice.sentence)


def held(work: Work, layouts: Sequence[Layout]) -> list[Layout]:
    """The layouts with how their pieces are held; slow, holds no transaction."""
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
    """The progress of one of several runs, told as that of the whole."""
    return (lambda share: progress((done + share) / of)) if progress else None


def _offcuts_to_try(work: Work) -> list[stock.Blank]:
    """The smallest offcuts that could hold all, and the largest, of which most may be kept: large enough in area, and each piece
    fits by itself. Those of a doubtful thickness come after the others."""
    area = sum(item.outline.area_mm2 for item in work.items)

    def can_hold(blank: stock.Blank) -> bool:
        room = (blank.length_mm, blank.width_mm, work.rules)
        return blank.length_mm * blank.width_mm > area and all(
            nests.fitting_turns(item.outline, *room) for item in work.items
        )

    fitting = sorted(
        (blank for blank in work.offcuts if can_hold(blank)),
        key=lambda blank: blank.id in work.flagged,
    )
    return [*fitting[: MOST_OFFCUTS_TRIED - 1], *fitting[MOST_OFFCUTS_TRIED - 1 :][-1:]]


@command("nested pieces", "operator")
def save(transaction: Transaction, work: Work, layouts: Sequence[Layout], left_out) -> Answer:
    """Writes solved layouts. Raises Conflict where a piece, a sheet or an offcut is no longer as it was read."""
    _check_unmoved(transaction, work)
    for sheet in work.pooled:
        put_back(transaction, pieces.of_sheet(transaction.db, sheet.id))
        stock.release_blank(transaction.db, sheet.blank)
    by_key = {item.key: item for item in work.items}
    unused = list(work.pooled)
    made = []
    for layout in layouts:
        blank = _book(transaction, work, layout)
        sheet = _reuse(transaction, unused, blank) or _new_sheet(transaction, work, blank)
        _write_nest(transaction, sheet, layout, by_key, work.rules)
        made.append(sheet)
    for sheet in unused:
        sheets.set_state(transaction.db, sheet.id, "abandoned", closed_at=transaction.at)
    numbers = ", ".join(sheet.number for sheet in made)
    count = sum(len(layout.made.placed) for layout in layouts)
    word = "piece is" if count == 1 else "pieces are"
    reasons = [layout.why.replace("Take", "It is cut from", 1) for layout in layouts if layout.why]
    sentence = " ".join(
        [f"{count} {word} nested on {numbers}.", *reasons, *(said for _, said in left_out)]
    )
    data = {"sheets": [sheet.code for sheet in made], "left_out": [said for _, said in left_out]}
    return Answer(sentence, tuple(data["sheets"]), data)


def _check_unmoved(transaction: Transaction, work: Work) -> None:
    now_pooled = tuple(sheets.sheet(transaction.db, sheet.id) for sheet in work.pooled)
    now = [pieces.by_code(transaction.db, piece.code) for piece in work.pieces]
    if now_pooled != work.pooled or any(
        (then.state, then.sheet, then.part) != (piece.state, piece.sheet, piece.part)
        for then, piece in zip(work.pieces, now, strict=True)
    ):
        raise Conflict("Some of these pieces changed while they were nested: nest them again.")


def _book(transaction: Transaction, work: Work, layout: Layout) -> int:
    if layout.offcut is not None:
        if stock.blank(transaction.db, layout.offcut.id).state != "free":
            raise Conflict(
                f"The offcut {show(layout.offcut.code)} was taken meanwhile: nest them again."
            )
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


def _reuse(transaction: Transaction, unused: list[rules.Sheet], blank: int) -> rules.Sheet | None:
    if not unused:
        return None
    sheet = replace(unused.pop(0), blank=blank)
    sheets.set_blank(transaction.db, sheet.id, blank)
    return sheet


def _new_sheet(transaction: Transaction, work: Work, blank: int) -> rules.Sheet:
    return sheets.sheet(
        transaction.db,
        sheets.add_sheet(transaction.db, transaction.new_code("sheet"), work.stock.id, blank),
    )


def _write_nest(
    transaction: Transaction, sheet: rules.Sheet, layout: Layout, by_key: dict, nest_rules
) -> None:
    made = layout.made
    order = nests.walking_order(made, [by_key[put.key] for put in made.placed])
    walk = {int(key): turn for turn, key in enumerate(order, start=1)}
    number = sheets.add_nest(
        transaction.db,
        sheet.id,
        made,
        walk,
        nest_rules.gap_mm,
        nest_rules.margin_mm,
        transaction.at,
    )
    if layout.holds is not None:
        layout.holds.write(transaction.db, sheets.sheet(transaction.db, sheet.id).nest, sheet.id)
    transaction.record(
        rules.SheetPlanned(
            sheet.number, number, len(made.placed), made.along, round(made.used_mm, 1)
        )
    )
