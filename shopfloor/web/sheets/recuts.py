"""Recuts: what must be cut once more, by stock, and what stands still until then.

Owns the page; nesting is begun through nests.py, marks are made on the sheet's and the piece's own pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, request, url_for

from ...actions import recuts as planning
from ...actions import swaps
from ...domain.bench.steps import Sign
from ...domain.outlines import Outline
from ...domain.pieces import IN_HAND
from ...domain.recuts.recut_planning import RunAdvice, nth, stopped_step
from ...domain.recuts.swaps import Move, late_said
from ...store import bench
from ...store import outlines as outline_store
from ...store import recuts as store
from ...store.db import Connection
from ...store.recuts import Recut
from ..page import (
    current_actor,
    current_shop,
    do,
    done,
    fragment,
    local_now,
    show,
    snapshot,
    unchanged,
    version,
    whole,
)
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from . import nests

THUMBNAIL = (104, 72)

pages = Blueprint("recuts", __name__)


@dataclass(frozen=True)
class Row:
    """One recut. `stops` says what it holds up, None where nothing; `blocks`: that may not wait, as a sign on hold may;
    `attempt` is 'second attempt'."""

    recut: Recut
    picture: SignPicture
    attempt: str
    stops: str | None
    blocks: bool
    is_late: bool


@dataclass(frozen=True)
class Group:
    """The waiting recuts of one stock; `codes` are what the button nests; `advice` whether now or later;
    `with_sheet` is the code and the number of the planned sheet that they may go with."""

    stock: int
    called: str
    colour: str
    rows: tuple[Row, ...]
    codes: str
    count: int
    advice: RunAdvice
    with_sheet: tuple[str, str] | None


@dataclass(frozen=True)
class MoveShown:
    """One move of a swap: a piece, where it is for now, and the part that it would be for. Each in words; `is_in_hand`."""

    code: str
    name: str
    now: str
    then: str
    is_in_hand: bool


@dataclass(frozen=True)
class SwapShown:
    """An exchange of pieces that makes fewer signs late, or less so. `token` is what the button sends."""

    moves: tuple[MoveShown, ...]
    before: str
    after: str
    is_proven: bool
    token: str


@dataclass(frozen=True)
class RecutsPage:
    """The queue, and what is on a sheet already."""

    seen: str
    swap: SwapShown | None
    groups: tuple[Group, ...]
    nested: tuple[Row, ...]
    can_act: bool
    can_swap: bool


@pages.get("/recuts")
def recuts():
    """The queue by stock, the oldest due date first."""
    with snapshot() as db:
        return show("sheets/recuts/recuts.html", _page(db), title="Recuts", here="Recuts")


@pages.get("/recuts/now")
def now():
    """The queue again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/recuts/_recuts.html", _page(db))


@pages.post("/recuts/nest/<int:stock_id>")
def nest(stock_id: int):
    """Nests the recuts that the button showed on the offcut that wastes least, else on a new sheet; or with a planned
    sheet's pieces, all anew."""
    codes, pool = request.form.get("codes", "").split(), request.form.get("with", "").split()
    return nests.begin(
        stock_id, codes=codes, pool=pool, on_offcuts=True, after=url_for("recuts.recuts")
    )


@pages.post("/recuts/swap")
def swap():
    """Makes the exchange that was shown; on to the new labels."""
    moves = [
        (whole(piece) or 0, whole(part) or None)
        for piece, _, part in (
            move.partition(":") for move in request.form.get("moves", "").split()
        )
    ]
    answer = do(swaps.swap, moves)
    return done(answer, url_for("labels.choose", kind="act", which=answer.act))


def _page(db: Connection) -> RecutsPage:
    waiting, nested = store.waiting(db), store.nested(db)
    outlines = outline_store.by_ids(db, {recut.outline for recut in (*waiting, *nested)})
    signs = {
        id: bench.sign_of(db, id) for id in {recut.sign for recut in (*waiting, *nested)} - {None}
    }
    rows = [
        _row(recut, outlines[recut.outline], signs.get(recut.sign)) for recut in (*waiting, *nested)
    ]
    split = len(waiting)
    by, today = current_actor(), local_now().date()
    return RecutsPage(
        version(db),
        _swap(db, today),
        _groups(db, rows[:split], today),
        tuple(rows[split:]),
        by.holds("operator"),
        by.holds("operator") or by.holds("assembler"),
    )


def _swap(db: Connection, today: date) -> SwapShown | None:
    found = swaps.proposal(db, today)
    if found is None:
        return None
    plan = found.plan
    moves = tuple(_move(found, move) for move in plan.moves if move.to_part is not None)
    before = late_said(plan.late_before, plan.lateness_before)
    after = late_said(plan.late_after, plan.lateness_after)
    return SwapShown(moves, before, after, plan.is_proven, found.token)


def _move(found: swaps.Proposal, move: Move) -> MoveShown:
    piece, then = found.pieces[move.piece], found.parts[move.to_part]
    now = f"for {piece.job} {piece.sign_mark}" if piece.part is not None else "a spare"
    return MoveShown(
        piece.code,
        piece.part_name or then.part_name,
        now,
        f"{then.job} {then.sign_mark}",
        piece.state in IN_HAND,
    )


def _groups(db: Connection, rows: Sequence[Row], today: date) -> tuple[Group, ...]:
    """By stock; the stocks stand in the order of their first recut, which is the order of due dates."""
    by_stock: dict[int, list[Row]] = {}
    for row in rows:
        by_stock.setdefault(row.recut.stock, []).append(row)
    return tuple(
        Group(
            id,
            some[0].recut.stock_called,
            some[0].recut.colour,
            tuple(some),
            " ".join(r.recut.code for r in some),
            len(some),
            *planning.advice(db, [(r.recut, r.blocks) for r in some], today),
        )
        for id, some in by_stock.items()
    )


def _row(recut: Recut, outline: Outline, sign: Sign | None) -> Row:
    part = PicturePart(
        recut.code,
        recut.number or 1,
        recut.name or "a spare",
        outline,
        recut.colour,
        "nested" if recut.sheet else "waiting",
    )
    picture = sign_picture(
        f"recut-{recut.code}",
        [part],
        outline.width_mm,
        outline.height_mm,
        title=part.name,
        box=THUMBNAIL,
        width_text="",
    )
    is_late = bool(recut.due and recut.due < local_now().date().isoformat())
    stops = _stops(recut, sign)
    return Row(
        recut,
        picture,
        nth(recut.attempt),
        stops,
        stops is not None and sign.state == "open",
        is_late,
    )


def _stops(recut: Recut, sign: Sign | None) -> str | None:
    if sign is None or sign.state not in ("open", "on hold"):
        return None
    step = stopped_step(recut.part, sign, current_shop().clock())
    if step is None:
        return None
    title = step.title[0].lower() + step.title[1:]
    return f"stops: {title} of {recut.job} {recut.sign_mark}, {recut.customer}"
