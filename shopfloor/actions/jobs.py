"""Intake: a drawing becomes a job with its signs, parts, pieces and steps; then its pieces are nested."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from ..domain.errors import Conflict, Refused
from ..domain.people import By
from ..domain.signs import JobTakenIn, Order, checked, mark_of, name_of
from ..domain.stacking import ProposedPart, ProposedSign
from ..store import bench, jobs, ledger, pieces, stock
from . import nests
from .desk import Act, Answer, Desk, act
from .drawings import Proposal, ReadDrawing, keep_drawing
from .outlines import KeptOutlines, Sorted, sort_outlines, sorted_too

DEFAULT_SHEET = {"thickness_mm": 6.0, "length_mm": 2440.0, "width_mm": 1220.0}  # design, section 7


def intake(
    desk: Desk,
    by: By,
    proposed: Proposal,
    order: Order,
    *,
    reads: Sequence[ReadDrawing] = (),
    seconds: float | None = None,
    progress: Callable[[float], None] | None = None,
    key: str | None = None,
) -> Answer:
    """Takes a job in and nests its pieces, one act for the job and one for each stock.

    A stock's pieces go on the smallest free offcut that holds them all, else on full sheets.
    `reads`: drawings that are not kept yet are kept once the order is found good. `seconds` a stock, left out the shop's own.

    Pieces for which there is no room on any sheet are named in the answer's data `left_out`; the rest goes on.
    """
    checked(order, proposed.signs)
    for read in reads:
        keep_drawing(desk, read)
    told = take_in(desk, by, proposed, order, key=key)
    left_out: list[str] = []
    stocks = told.data["stocks"]
    for done, stock_id in enumerate(stocks):
        told_of = nests.share_of(progress, done, len(stocks))
        try:
            nest_key = f"{key}/{stock_id}" if key else None
            codes = told.data["pieces"][str(stock_id)]
            nested = nests.plan(
                desk, by, stock_id, codes=codes, seconds=seconds, on_offcuts=True, progress=told_of, key=nest_key
            )
            left_out += nested.data["left_out"]
        except (Refused, Conflict) as refusal:
            left_out.append(refusal.sentence)
    sentence = " ".join([told.sentence, *left_out])
    return replace(told, sentence=sentence, data={**told.data, "left_out": left_out})


def take_in(desk: Desk, by: By, proposed: Proposal, order: Order, *, key: str | None = None) -> Answer:
    """The job without its nests: signs, parts, pieces that wait, steps. Raises Refused for what is wrong in the order."""
    by.must_hold(("operator",))
    first = ledger.by_key(desk.read(), key) if key else None
    if first is not None:
        return Answer.kept(first.answer)
    order = checked(order, proposed.signs)
    sorted_ = sort_outlines(desk, proposed.signs, order.stocks)
    return _take_in(desk, by, proposed, order, sorted_, key=key)


@act("took a job in", "operator")
def _take_in(act: Act, proposed: Proposal, order: Order, sorted_: Sorted) -> Answer:
    new_stocks = missing_stocks(act, proposed, order.stocks)
    order = replace(order, stocks={**order.stocks, **{colour: s.id for colour, s in new_stocks.items()}})
    outlines = KeptOutlines(act, sorted_too(sorted_, proposed.signs, new_stocks))
    for colour, id in order.stocks.items():
        stock.remember_colour(act.db, colour, id)
    job = jobs.job(act.db, jobs.add_job(act.db, order.customer, order.title, order.due, proposed.sha256, act.at))
    codes: dict[str, list[str]] = {}
    signs = [sign for _ in range(order.quantity) for sign in proposed.signs]
    sign_codes = [_add_sign(act, job, place, sign, order, outlines, codes, len(proposed.signs))
                  for place, sign in enumerate(signs)]  # fmt: skip
    count = sum(map(len, codes.values()))
    act.tell(JobTakenIn(job.number, order.customer, len(signs), count))
    warnings = [
        f"The colour {colour} had no stock: {s.called}, {s.length_mm:g} × {s.width_mm:g} mm, was taken for it."
        for colour, s in new_stocks.items()
    ]
    sentence = f"{job.number} is taken in: {_count(len(signs), 'sign')}, {_count(count, 'piece')}."
    data = {"job": job.number, "signs": sign_codes, "stocks": [int(id) for id in codes], "pieces": codes,
            "warnings": warnings}  # fmt: skip
    return Answer(" ".join([sentence, *warnings]), tuple(sign_codes), data)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def missing_stocks(act: Act, proposed: Proposal, stocks: dict[str, int]) -> dict[str, stock.Stock]:
    """A new stock of the default size for each colour that has none."""
    taken = {s.code for s in stock.all_stocks(act.db)}
    made = {}
    for colour in proposed.colours:
        if colour.colour in stocks:
            stock.stock(act.db, stocks[colour.colour])  # raises NotFound
            continue
        stem = f"{colour.word.replace(' ', '-')}-6"
        code = next(c for c in [stem, *(f"{stem}-{n}" for n in range(2, 1000))] if c not in taken)
        taken.add(code)
        id = stock.add_stock(act.db, code=code, name=colour.word, colour=colour.colour, **DEFAULT_SHEET)
        made[colour.colour] = stock.stock(act.db, id)
    return made


def _add_sign(act: Act, job, place: int, sign: ProposedSign, order: Order, outlines: KeptOutlines, codes, of: int) -> str:
    name = name_of(sign, order.title, of == 1)
    code, parts = add_sign(act, job.id, mark_of(place), name, sign, order.stocks, outlines)
    for part in jobs.parts_of(act.db, jobs.sign_by_code(act.db, code).id):
        piece_code = act.new_code("piece")
        piece = pieces.add(act.db, piece_code, part.outline, part.stock, attempt=1, tabs=0)
        pieces.assign(act.db, piece, part.id, act.at)
        codes.setdefault(str(part.stock), []).append(piece_code)
    return code


def add_sign(act: Act, job: int, mark: str, name: str, sign: ProposedSign, stocks, outlines: KeptOutlines):
    """A sign with its parts and steps, without pieces yet. Gives its code and the parts' ids by their numbers."""
    code = act.new_code("sign")
    sign_id = jobs.add_sign(act.db, code, job, mark, name, sign.width_mm, sign.height_mm, sign.levels)
    ids: dict[int, int] = {}
    for part in sign.parts:
        ids[part.number] = jobs.add_part(
            act.db, sign=sign_id, number=part.number, **part_columns(part, stocks, outlines, ids)
        )
    for part in sign.parts:
        jobs.set_also_on(act.db, ids[part.number], [ids[number] for number in part.also_on])
    bench.add_recipe(act.db, sign_id)
    return code, ids


def part_columns(part: ProposedPart, stocks: dict[str, int], outlines: KeptOutlines, ids: dict[int, int]) -> dict:
    """What is kept of a part besides its number. `ids` are those of the parts that it may lie on, by number."""
    left, bottom, _, _ = part.outline.bounds
    stock_id = stocks[part.colour]
    return {
        "name": (part.name or f"no. {part.number}")[:60], "level": part.level, "line": part.line + 1,
        "lies_on": ids.get(part.on), "colour": part.colour, "stock": stock_id,
        "outline": outlines.id_of(stock_id, part.outline.at_origin()), "x_mm": round(left, 3), "y_mm": round(bottom, 3),
        "baseline_mm": round(part.baseline_mm, 3),
    }  # fmt: skip
