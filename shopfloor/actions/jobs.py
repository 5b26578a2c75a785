"""Intake: a drawing becomes a job with its signs, parts, pieces and steps; then its pieces are nested."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from ..domain import families
from ..domain.colours import colour_word
from ..domain.drawing import Drawing, Finding
from ..domain.errors import Conflict, Refused
from ..domain.outlines import Outline
from ..domain.people import By
from ..domain.signs import JobTakenIn, Order, checked, mark_of, name_of
from ..domain.stacking import ProposedPart, ProposedSign, propose
from ..drawings import reading
from ..store import bench, jobs, ledger, pieces, stock
from . import nests
from .desk import Act, Answer, Desk, act, stamp

DEFAULT_SHEET = {"thickness_mm": 6.0, "length_mm": 2440.0, "width_mm": 1220.0}  # design, section 7


@dataclass(frozen=True)
class Colour:
    """A colour of a drawing: how many parts bear it, and the stock that the shop chose for it before."""

    colour: str
    word: str
    parts: int
    stock: stock.Stock | None


@dataclass(frozen=True)
class Proposal:
    """What a drawing would become, to be looked at before it is confirmed. `sha256`: of several drawings, all of them."""

    sha256: str
    file: str
    signs: tuple[ProposedSign, ...]
    warnings: tuple[Finding, ...]
    colours: tuple[Colour, ...]


@dataclass(frozen=True)
class Sorted:
    """The drawing's outlines, each with its family: a known reference's id, or the place of another one in `new`.

    `newest` is the highest outline id at the time of sorting: another intake since then makes it out of date.
    """

    families: dict[tuple[int, Outline], tuple[str, int | Outline]]
    newest: int


@dataclass(frozen=True)
class ReadDrawing:
    """A drawing's file and what was read in it."""

    sha256: str
    name: str
    file: bytes
    drawing: Drawing


def read_drawing(data: bytes, filename: str) -> ReadDrawing:
    """Reads a drawing in a worker process. Raises Refused with what is wrong; nothing is kept."""
    name = PurePath(filename.replace("\\", "/")).name[:120] or "drawing.svg"
    drawing = reading.read(data, name)
    if not drawing.outlines:
        raise Refused("There is no outline in this drawing: draw the parts as filled or closed outlines.")
    return ReadDrawing(hashlib.sha256(data).hexdigest(), name, data, drawing)


def keep_drawing(desk: Desk, read: ReadDrawing) -> str:
    """Keeps a drawing that was read; gives its SHA-256."""
    with desk.database.write() as db:
        kept = (read.sha256, read.name, read.file, read.drawing.as_dict(), stamp(desk.clock()))
        jobs.keep_drawing(db, *kept)
    return read.sha256


def kept_proposal(desk: Desk, sha256: str, joins: tuple[tuple[int, ...], ...] = ()) -> Proposal:
    """What a kept drawing would become. Raises NotFound where it is not kept."""
    name, read = jobs.drawing_reading(desk.read(), sha256)
    return proposal(desk, [ReadDrawing(sha256, name, b"", Drawing.of_dict(read))], joins)


def proposal(desk: Desk, reads: Sequence[ReadDrawing], joins: tuple[tuple[int, ...], ...] = ()) -> Proposal:
    """What drawings would become as one job. `joins` (places of signs, from 0) goes with a single drawing."""
    signs = tuple(sign for read in reads for sign in propose(read.drawing.outlines, joins))
    counts: dict[str, int] = {}
    for sign in signs:
        for part in sign.parts:
            counts[part.colour] = counts.get(part.colour, 0) + 1
    db = desk.read()
    return Proposal(
        " ".join(read.sha256 for read in reads),
        ", ".join(read.name for read in reads),
        signs,
        tuple(warning for read in reads for warning in read.drawing.warnings),
        tuple(Colour(c, colour_word(c), n, stock.stock_for_colour(db, c)) for c, n in counts.items()),
    )


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
    sorted_ = _sort(desk, proposed, order)
    return _take_in(desk, by, proposed, order, sorted_, key=key)


def _sort(desk: Desk, proposed: Proposal, order: Order) -> Sorted:
    """Finds each outline's family; slow for large drawings, so it is done before the transaction."""
    with desk.database.snapshot() as db:
        newest = jobs.newest_outline(db)
        by_stock: dict[int, list[Outline]] = {}
        for sign in proposed.signs:
            for part in sign.parts:
                if part.colour in order.stocks:
                    by_stock.setdefault(order.stocks[part.colour], []).append(part.outline.at_origin())
        known = {id: (stock.stock(db, id).turns, jobs.references(db, id)) for id in by_stock}
    found = {}
    for id, outlines in by_stock.items():
        turns, references = known[id]
        for outline, family in _families(list(dict.fromkeys(outlines)), references, turns):
            found[id, outline] = family
    return Sorted(found, newest)


def _families(outlines: list[Outline], references: list[tuple[int, Outline]], turns: str):
    sorted_ = families.sort_into(outlines, [outline for _, outline in references], turns)
    for outline, match in zip(outlines, sorted_.matches, strict=True):
        if match.family < len(references):
            yield outline, ("known", references[match.family][0])
        else:
            yield outline, ("new", sorted_.references[match.family])


@act("took a job in", "operator")
def _take_in(act: Act, proposed: Proposal, order: Order, sorted_: Sorted) -> Answer:
    if jobs.newest_outline(act.db) != sorted_.newest:
        raise Conflict("Another drawing was taken in at this very moment: confirm once more.")
    new_stocks = _missing_stocks(act, proposed, order)
    order = replace(order, stocks={**order.stocks, **{colour: s.id for colour, s in new_stocks.items()}})
    if new_stocks:
        sorted_ = replace(sorted_, families={**sorted_.families, **_sort_new(proposed, new_stocks)})
    for colour, id in order.stocks.items():
        stock.remember_colour(act.db, colour, id)
    job = jobs.job(act.db, jobs.add_job(act.db, order.customer, order.title, order.due, proposed.sha256, act.at))
    outlines = _Outlines(act, sorted_)
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


def _missing_stocks(act: Act, proposed: Proposal, order: Order) -> dict[str, stock.Stock]:
    """A new stock of the default size for each colour that has none."""
    taken = {s.code for s in stock.all_stocks(act.db)}
    made = {}
    for colour in proposed.colours:
        if colour.colour in order.stocks:
            stock.stock(act.db, order.stocks[colour.colour])  # raises NotFound
            continue
        stem = f"{colour.word.replace(' ', '-')}-6"
        code = next(c for c in [stem, *(f"{stem}-{n}" for n in range(2, 1000))] if c not in taken)
        taken.add(code)
        id = stock.add_stock(act.db, code=code, name=colour.word, colour=colour.colour, **DEFAULT_SHEET)
        made[colour.colour] = stock.stock(act.db, id)
    return made


def _sort_new(proposed: Proposal, new_stocks: dict[str, stock.Stock]) -> dict:
    found = {}
    for colour, material in new_stocks.items():
        of_colour = [part.outline.at_origin() for sign in proposed.signs for part in sign.parts if part.colour == colour]
        for outline, family in _families(list(dict.fromkeys(of_colour)), [], material.turns):
            found[material.id, outline] = family
    return found


class _Outlines:
    """Keeps each outline of an intake once."""

    def __init__(self, act: Act, sorted_: Sorted):
        self._act, self._sorted = act, sorted_
        self._ids: dict[tuple[int, Outline], int] = {}
        self._family: dict[int, int] = {}

    def id_of(self, stock_id: int, outline: Outline) -> int:
        """The id of an outline in the piece's local frame, kept now if it was not."""
        spot = (stock_id, outline)
        if spot not in self._ids:
            self._ids[spot] = jobs.same_outline(self._act.db, stock_id, outline) or self._add(spot)
        return self._ids[spot]

    def _add(self, spot: tuple[int, Outline]) -> int:
        stock_id, outline = spot
        where, family = self._sorted.families[spot]
        if where == "new":
            family = None if family == outline else self.id_of(stock_id, family)
        return jobs.add_outline(self._act.db, stock_id, outline, family)


def _add_sign(act: Act, job, place: int, sign: ProposedSign, order: Order, outlines: _Outlines, codes, of: int) -> str:
    code = act.new_code("sign")
    name = name_of(sign, order.title, of == 1)
    size = (sign.width_mm, sign.height_mm, sign.levels)
    sign_id = jobs.add_sign(act.db, code, job.id, mark_of(place), name, *size)
    ids: dict[int, int] = {}
    for part in sign.parts:
        stock_id = order.stocks[part.colour]
        outline_id = outlines.id_of(stock_id, part.outline.at_origin())
        ids[part.number] = _add_part(act, sign_id, part, stock_id, outline_id, ids)
        piece_code = act.new_code("piece")
        piece = pieces.add(act.db, piece_code, outline_id, stock_id, attempt=1, tabs=0)
        pieces.assign(act.db, piece, ids[part.number], act.at)
        codes.setdefault(str(stock_id), []).append(piece_code)
    bench.add_recipe(act.db, sign_id)
    return code


def _add_part(act: Act, sign_id: int, part: ProposedPart, stock_id: int, outline_id: int, ids: dict[int, int]) -> int:
    left, bottom, _, _ = part.outline.bounds
    return jobs.add_part(
        act.db, sign=sign_id, number=part.number, name=(part.name or f"no. {part.number}")[:60], level=part.level,
        line=part.line + 1, lies_on=ids.get(part.on), colour=part.colour, stock=stock_id, outline=outline_id,
        x_mm=round(left, 3), y_mm=round(bottom, 3), baseline_mm=round(part.baseline_mm, 3),
    )  # fmt: skip
