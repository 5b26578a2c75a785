"""Intake: a drawing becomes a job with its signs, parts, pieces and steps; then its pieces are nested."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from ..domain import pieces as life
from ..domain.drawing.signs import JobTakenIn, Order, checked, copies_of, made, mark_of, name_of
from ..domain.drawing.stacking import ProposedPart, ProposedSign
from ..domain.errors import Conflict, Refused
from ..domain.recuts.revisions import served
from ..store import bench, jobs, ledger, pieces, revisions, stock
from ..store import outlines as outline_store
from ..wording.message import joined
from . import nests
from .cache import Cache
from .drawings import DEFAULT_SHEET, Proposal, ReadDrawing, keep_drawing
from .outlines import KeptOutlines, Sorted, sort_outlines, sorted_too
from .unit_of_work import Answer, Caller, Shop, Transaction, command

SORTED = Cache(
    most=8
)  # the families of a drawing's parts, each time that the page asks which spares fit


def intake(
    caller: Caller,
    proposed: Proposal,
    order: Order,
    *,
    reads: Sequence[ReadDrawing] = (),
    seconds: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Answer:
    """Takes a job in and nests its pieces, one act for the job and one for each stock.

    A stock's pieces go on the smallest free offcut that holds them all, else on full sheets.
    `reads`: drawings that are not kept yet are kept once the order is found good. `seconds` a stock, left out the
    shop's own.

    Pieces for which there is no room on any sheet are named in the answer's data `left_out`; the rest goes on.
    """
    checked(order, proposed.signs)
    for read in reads:
        keep_drawing(caller.shop, read)
    told = take_in(caller, proposed, order)
    left_out: list[str] = []
    stocks = told.data["stocks"]
    for done, stock_id in enumerate(stocks):
        told_of = nests.share_of(progress, done, len(stocks))
        try:
            nest_key = f"{caller.key}/{stock_id}" if caller.key else None
            codes = told.data["pieces"][str(stock_id)]
            nested = nests.plan(
                replace(caller, key=nest_key),
                stock_id,
                codes=codes,
                seconds=seconds,
                on_offcuts=True,
                progress=told_of,
            )
            left_out += nested.data["left_out"]
        except (Refused, Conflict) as refusal:
            left_out.append(refusal.sentence)
    message = joined([told.message, *left_out])
    return replace(told, message=message, data={**told.data, "left_out": left_out})


def take_in(caller: Caller, proposed: Proposal, order: Order) -> Answer:
    """The job without its nests: signs, parts, pieces that wait, steps. Raises Refused for what the order lacks."""
    caller.actor.must_hold(("operator",))
    first = ledger.by_key(caller.shop.read(), caller.key) if caller.key else None
    if first is not None:
        return Answer.of_ledger(first.answer)
    order = checked(order, proposed.signs)
    sorted_ = sort_outlines(caller.shop, proposed.signs, order.stocks)
    return _take_in(caller, proposed, order, sorted_)


@command("took a job in", "operator")
def _take_in(transaction: Transaction, proposed: Proposal, order: Order, sorted_: Sorted) -> Answer:
    new_stocks = missing_stocks(transaction, proposed, order.stocks)
    order = replace(
        order, stocks={**order.stocks, **{colour: s.id for colour, s in new_stocks.items()}}
    )
    outlines = KeptOutlines(transaction, sorted_too(sorted_, proposed.signs, new_stocks))
    for colour, id in order.stocks.items():
        stock.remember_colour(transaction.db, colour, id)
    job = jobs.job(
        transaction.db,
        jobs.add_job(
            transaction.db, order.customer, order.title, order.due, proposed.sha256, transaction.at
        ),
    )
    signs, is_only = made(order, proposed.signs), len(proposed.signs) == 1
    sign_codes = [
        add_sign(
            transaction,
            job.id,
            mark_of(place),
            name_of(sign, order.title, is_only),
            sign,
            order.stocks,
            outlines,
        )[0]
        for place, sign in enumerate(signs)
    ]
    parts = [
        part
        for code in sign_codes
        for part in jobs.parts_of(transaction.db, jobs.sign_by_code(transaction.db, code).id)
    ]
    relabel = _use_spares(transaction, parts) if order.uses_spares else {}
    codes = _new_pieces(transaction, [part for part in parts if part.id not in relabel])
    transaction.record(JobTakenIn(job.number, order.customer, len(signs), len(parts)))
    warnings = [
        f"A new stock was made for the colour {colour}: {s.called}, {s.length_mm:g} × {s.width_mm:g} mm."
        for colour, s in new_stocks.items()
    ]
    sentence = (
        f"{job.number} is taken in: {_count(len(signs), 'sign')}, {_count(len(parts), 'piece')}."
    )
    if relabel:
        sentence += (
            f" {_count(len(relabel), 'spare')} in stock will be used: print new labels for them."
        )
    data = {
        "job": job.number,
        "signs": sign_codes,
        "stocks": [int(id) for id in codes],
        "pieces": codes,
        "warnings": warnings,
        "relabel": list(relabel.values()),
    }
    return Answer(" ".join([sentence, *warnings]), tuple(sign_codes), data)


def fitting_spares(shop: Shop, proposed: Proposal, order: Order) -> int:
    """How many spares in stock the signs of an order would use, whether it asks for them or not."""
    with shop.database.snapshot() as db:
        spares, newest = revisions.spares(db), outline_store.newest_outline(db)
    of_stock = {piece.stock for _, piece in spares}
    stocks = {colour: id for colour, id in order.stocks.items() if id in of_stock}
    if not stocks:
        return 0
    key = (proposed.same, tuple(sorted(stocks.items())), newest)
    known = SORTED.get(key, lambda: sort_outlines(shop, proposed.signs, stocks)).families
    wanted: Counter[int] = Counter()
    for sign in proposed.signs:
        for part in sign.parts:
            where, id = known.get((stocks.get(part.colour), part.outline.at_origin()), ("", 0))
            if where == "known":
                wanted[id] += copies_of(order, sign)
    return (wanted & Counter(family for family, _ in spares)).total()


def _use_spares(transaction: Transaction, parts: Sequence[jobs.Part]) -> dict[int, str]:
    """Gives spares to the parts that they fit; the codes of the pieces by part."""
    serving = served([part.family for part in parts], revisions.spares(transaction.db))
    given = [life.PieceAssigned(piece.id, parts[place].id) for place, piece in serving.items()]
    pieces.write(transaction.db, given, transaction.at)
    for event in given:
        transaction.record(event)
    return {parts[place].id: piece.code for place, piece in serving.items()}


def _new_pieces(transaction: Transaction, parts: Sequence[jobs.Part]) -> dict[str, list[str]]:
    """A piece that waits for a sheet for each part; their codes by stock (as text)."""
    codes: dict[str, list[str]] = {}
    for part in parts:
        code = transaction.new_code("piece")
        pieces.assign(
            transaction.db,
            pieces.add(transaction.db, code, part.outline, part.stock, attempt=1, tabs=0),
            part.id,
            transaction.at,
        )
        codes.setdefault(str(part.stock), []).append(code)
    return codes


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def missing_stocks(
    transaction: Transaction, proposed: Proposal, stocks: dict[str, int]
) -> dict[str, stock.Stock]:
    """A new stock of the default size for each colour that has none."""
    taken = {s.code for s in stock.all_stocks(transaction.db)}
    made = {}
    for colour in proposed.colours:
        if colour.colour in stocks:
            stock.stock(transaction.db, stocks[colour.colour])  # raises NotFound
            continue
        stem = f"{colour.word.replace(' ', '-')}-6"
        code = next(c for c in [stem, *(f"{stem}-{n}" for n in range(2, 1000))] if c not in taken)
        taken.add(code)
        id = stock.add_stock(
            transaction.db, code=code, name=colour.word, colour=colour.colour, **DEFAULT_SHEET
        )
        made[colour.colour] = stock.stock(transaction.db, id)
    return made


def add_sign(
    transaction: Transaction,
    job: int,
    mark: str,
    name: str,
    sign: ProposedSign,
    stocks,
    outlines: KeptOutlines,
):
    """A sign with its parts and steps, without pieces yet. Gives its code and the parts' ids by their numbers."""
    code = transaction.new_code("sign")
    sign_id = jobs.add_sign(
        transaction.db, code, job, mark, name, sign.width_mm, sign.height_mm, sign.levels
    )
    ids: dict[int, int] = {}
    for part in sign.parts:
        ids[part.number] = jobs.add_part(
            transaction.db,
            sign=sign_id,
            number=part.number,
            **part_columns(part, stocks, outlines, ids),
        )
    for part in sign.parts:
        jobs.set_also_on(transaction.db, ids[part.number], [ids[number] for number in part.also_on])
    bench.add_recipe(transaction.db, sign_id)
    return code, ids


def part_columns(
    part: ProposedPart, stocks: dict[str, int], outlines: KeptOutlines, ids: dict[int, int]
) -> dict:
    """What is kept of a part besides its number. `ids` are those of the parts that it may lie on, by number."""
    left, bottom, _, _ = part.outline.bounds
    stock_id = stocks[part.colour]
    return {
        "name": (part.name or f"no. {part.number}")[:60],
        "level": part.level,
        "line": part.line + 1,
        "lies_on": ids.get(part.on),
        "colour": part.colour,
        "stock": stock_id,
        "outline": outlines.id_of(stock_id, part.outline.at_origin()),
        "x_mm": round(left, 3),
        "y_mm": round(bottom, 3),
        "baseline_mm": round(part.baseline_mm, 3),
    }
