"""Jobs: a drawing becomes one with its signs, parts, pieces and steps, and its pieces are nested; an owner changes its order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from ..domain import pieces as life
from ..domain.drawing.signs import Order, checked, copies_of, made, mark_of, name_of
from ..domain.drawing.stacking import ProposedPart, ProposedSign
from ..domain.errors import Conflict, Refused
from ..domain.recuts.revisions import served
from ..store import bench, jobs, pieces, stock
from ..store import outlines as outline_store
from ..wording import jobs as wording
from ..wording.message import Message, as_dict, as_message, joined, of_kept
from . import nests
from .cache import Cache
from .drawings import DEFAULT_SHEET, Proposal, ReadDrawing, keep_drawing
from .outlines import KeptOutlines, Sorted, sort_outlines, sorted_too
from .pieces import write_events
from .unit_of_work import Answer, Caller, Shop, Transaction, command, earlier_answer, shop_day

SORTED = Cache(most=8)  # families of a drawing's parts: the page asks often which spares fit


def intake(
    caller: Caller,
    proposed: Proposal,
    order: Order,
    *,
    reads: Sequence[ReadDrawing] = (),
    seconds: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Answer:
    """Take a job in and nest its pieces: one act for the job and one for each stock.

    A stock's pieces go on the smallest free offcut that holds them all, else on full sheets. `reads`: new drawings,
    kept once the order is checked. `seconds` for each stock; None for the shop's own.

    Pieces that fit no sheet are named in the answer's data `left_out`, messages as `as_dict` gives them.
    """
    checked(order, proposed.signs)
    for read in reads:
        keep_drawing(caller.shop, read)
    answer = take_in(caller, proposed, order)
    codes: dict[str, list[str]] = answer.data["pieces"]
    left_out = nest_each(
        caller,
        [(id, codes[str(id)], []) for id in answer.data["stocks"]],
        seconds=seconds,
        progress=progress,
    )
    message = joined([answer.message, *map(of_kept, left_out)])
    return replace(answer, message=message, data={**answer.data, "left_out": left_out})


def nest_each(
    caller: Caller,
    stocks: Sequence[tuple[int, Sequence[str], Sequence[str]]],
    *,
    seconds: float | None,
    progress: Callable[[float], None] | None,
) -> list[dict[str, Any]]:
    """Nest the pieces of each stock: (stock, codes of pieces, codes of planned sheets to nest again).

    Returns what was left out and why; a stock that cannot be nested does not stop the others.
    """
    left_out: list[Message] = []
    for done, (id, codes, pool) in enumerate(stocks):
        try:
            nested = nests.plan(
                replace(caller, key=f"{caller.key}/{id}" if caller.key else None),
                id,
                codes=codes,
                pool=pool,
                seconds=seconds,
                on_offcuts=True,
                progress=nests.share_of(progress, done, len(stocks)),
            )
            left_out += map(of_kept, nested.data["left_out"])
        except (Refused, Conflict) as refusal:
            left_out.append(as_message(refusal.message))
    return [as_dict(message) for message in left_out]


def take_in(caller: Caller, proposed: Proposal, order: Order) -> Answer:
    """Take a job in without nesting it: signs, parts, waiting pieces, steps. Raises Refused where the order is wrong."""
    caller.actor.must_hold(("operator",))
    if first := earlier_answer(caller):
        return first
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
    sign_codes = _add_signs(transaction, job.id, proposed, order, outlines)
    parts = [
        part
        for code in sign_codes
        for part in jobs.parts_of(transaction.db, jobs.sign_by_code(transaction.db, code).id)
    ]
    relabel = _use_spares(transaction, parts) if order.uses_spares else {}
    codes = _new_pieces(transaction, [part for part in parts if part.id not in relabel])
    warnings = [
        wording.stock_made(colour, new.called, f"{new.length_mm:g}", f"{new.width_mm:g}")
        for colour, new in new_stocks.items()
    ]
    message = joined(
        [
            wording.taken_in(
                job.number, wording.signs(len(sign_codes)), wording.pieces(len(parts))
            ),
            wording.spares_will_be_used(len(relabel)) if relabel else None,
            *warnings,
        ]
    )
    data = {
        "job": job.number,
        "signs": sign_codes,
        "stocks": [int(id) for id in codes],
        "pieces": codes,
        "warnings": [as_dict(warning) for warning in warnings],
        "relabel": list(relabel.values()),
    }
    return Answer(message, tuple(sign_codes), data)


def _add_signs(
    transaction: Transaction, job: int, proposed: Proposal, order: Order, outlines: KeptOutlines
) -> list[str]:
    """Add the signs of an order with their parts and steps; return their codes."""
    is_only = len(proposed.signs) == 1
    codes = []
    for place, sign in enumerate(made(order, proposed.signs)):
        name = name_of(sign, order.title, is_only)
        code, _ = add_sign(transaction, job, mark_of(place), name, sign, order.stocks, outlines)
        codes.append(code)
    return codes


def fitting_spares(shop: Shop, proposed: Proposal, order: Order) -> int:
    """Return how many spares in stock the signs of an order could use, whether it asks for them or not."""
    with shop.database.snapshot() as db:
        in_stock, newest = pieces.spares(db), outline_store.newest_outline(db)
    of_stock = {piece.stock for _, piece in in_stock}
    stocks = {colour: id for colour, id in order.stocks.items() if id in of_stock}
    if not stocks:
        return 0
    key = (proposed.same, tuple(sorted(stocks.items())), newest)
    known = SORTED.get(key, lambda: sort_outlines(shop, proposed.signs, stocks)).families
    wanted: Counter[int] = Counter()
    for sign in proposed.signs:
        for part in sign.parts:
            if part.colour not in stocks:
                continue
            family = known[stocks[part.colour], part.outline.at_origin()]
            if isinstance(family, int):  # else a shape that the shop has never cut
                wanted[family] += copies_of(order, sign)
    return (wanted & Counter(family for family, _ in in_stock)).total()


def _use_spares(transaction: Transaction, parts: Sequence[jobs.Part]) -> dict[int, str]:
    """Give spares to the parts that they fit; return the codes of the pieces by part."""
    serving = served([part.family for part in parts], pieces.spares(transaction.db))
    given = [life.PieceAssigned(piece.id, parts[place].id) for place, piece in serving.items()]
    write_events(transaction, given)
    return {parts[place].id: piece.code for place, piece in serving.items()}


def _new_pieces(transaction: Transaction, parts: Sequence[jobs.Part]) -> dict[str, list[str]]:
    """Add a piece that waits for a sheet for each part; return their codes by stock (as text)."""
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


def missing_stocks(
    transaction: Transaction, proposed: Proposal, stocks: Mapping[str, int]
) -> dict[str, stock.Stock]:
    """Add a stock of the default size for each colour that has none; return them by colour."""
    taken = {old.code for old in stock.all_stocks(transaction.db)}
    added = {}
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
        added[colour.colour] = stock.stock(transaction.db, id)
    return added


def add_sign(
    transaction: Transaction,
    job: int,
    mark: str,
    name: str,
    sign: ProposedSign,
    stocks: Mapping[str, int],
    outlines: KeptOutlines,
) -> tuple[str, dict[int, int]]:
    """Add a sign with its parts and steps, without pieces. Return its code and the parts' ids by number."""
    code = transaction.new_code("sign")
    size_mm = sign.width_mm, sign.height_mm
    sign_id = jobs.add_sign(transaction.db, code, job, mark, name, size_mm, sign.levels)
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
    part: ProposedPart,
    stocks: Mapping[str, int],
    outlines: KeptOutlines,
    ids: Mapping[int, int],
) -> dict[str, Any]:
    """Return the columns of a part besides its number. `ids` are those of the parts below, by number."""
    left, bottom, _, _ = part.outline.bounds
    stock_id = stocks[part.colour]
    return {
        "name": (part.name or f"no. {part.number}")[:60],
        "level": part.level,
        "line": part.line + 1,
        "lies_on": None if part.on is None else ids.get(part.on),
        "colour": part.colour,
        "stock": stock_id,
        "outline": outlines.id_of(stock_id, part.outline.at_origin()),
        "x_mm": round(left, 3),
        "y_mm": round(bottom, 3),
        "baseline_mm": round(part.baseline_mm, 3),
    }


@command("changed a job", "owner")
def change_job(
    transaction: Transaction, job_number: str, customer: str, title: str, due: str
) -> Answer:
    """Change a job's customer, title and due date (ISO). Raises Refused where one is wrong, NotFound."""
    job = jobs.job_by_number(transaction.db, job_number)
    order = checked(Order(customer, title, due), ())
    new = (order.customer, order.title, order.due)
    if new == (job.customer, job.title, job.due):
        return Answer(wording.unchanged(job.number))
    jobs.change_job(transaction.db, job.id, *new)
    due_on = date.fromisoformat(order.due)
    changed = wording.changed(job.number, order.customer, order.title, due_on, due_on.year)
    is_past = due_on < shop_day(transaction.db, transaction.now)
    message = joined([changed, wording.day_is_past() if is_past else None])
    return Answer(message, data={"job": job.number})
