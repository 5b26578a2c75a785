"""Recuts: what must be cut again, by stock, and what waits for it.

Owns the page; nesting is started through nests.py, marks are made on the sheet's and the piece's own pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, Response, request, url_for

from ...actions import recuts as planning
from ...actions import swaps
from ...domain.bench.steps import Sign
from ...domain.outlines import Outline
from ...domain.pieces import IN_HAND
from ...domain.recuts.recut_planning import RunAdvice, stopped_step
from ...scenes.scene import Shape
from ...store import bench
from ...store import outlines as outline_store
from ...store import recuts as store
from ...store.db import Connection
from ...store.recuts import Recut
from ...wording import recuts as recut_wording
from ...wording import sheets as wording
from ...wording.message import Message
from ..page import (
    current_shop,
    do,
    done,
    local_now,
    refreshed,
    show,
    snapshot,
    whole,
)
from ..pictures.svg import SignPicture, sign_picture
from . import nests

THUMBNAIL = (104, 72)

pages = Blueprint("recuts", __name__)


@dataclass(frozen=True)
class Row:
    """One recut. `sheet_state` is that of its sheet, where it is on one; `needed_for` is the step that waits for it, None where none does; `blocks`: its sign is open, and not on hold;
    `count` is 'Recut 1'."""

    recut: Recut
    picture: SignPicture
    count: Message
    sheet_state: Message | None
    needed_for: Message | None
    blocks: bool
    is_late: bool


@dataclass(frozen=True)
class Group:
    """The waiting recuts of one stock; `codes` are what the button nests; `advice` is whether now or later;
    `with_sheet` is the code and number of a planned sheet that they may go with."""

    stock: int
    rows: tuple[Row, ...]
    codes: str
    advice: RunAdvice
    with_sheet: tuple[str, str] | None


@pages.get("/recuts")
def recuts() -> Response:
    """The queue by stock, the oldest due date first."""
    with snapshot() as db:
        title = wording.recuts_title()
        return show("sheets/recuts/recuts.html", _page(db), title=title, here="Recuts")


@pages.get("/recuts/now")
def now() -> Response:
    """The queue again, where something changed."""
    return refreshed("sheets/recuts/_recuts.html", _page)


@pages.post("/recuts/nest/<int:stock_id>")
def nest(stock_id: int) -> Response:
    """Nest the recuts that the button showed, on the offcut that wastes least, else on a new sheet; or together with the
    pieces of a planned sheet."""
    codes, pool = request.form.get("codes", "").split(), request.form.get("with", "").split()
    return nests.begin(
        stock_id, codes=codes, pool=pool, on_offcuts=True, after=url_for("recuts.recuts")
    )


@pages.post("/recuts/swap")
def swap() -> Response:
    """Make the swap that was shown, then go on to the new labels."""
    moves = [
        (whole(piece) or 0, whole(part) or None)
        for piece, _, part in (
            move.partition(":") for move in request.form.get("moves", "").split()
        )
    ]
    answer = do(swaps.swap, moves)
    return done(answer, url_for("labels.choose", kind="act", which=answer.act))


def _page(db: Connection) -> dict[str, object]:
    """The queue, and what is on a sheet already."""
    waiting, nested = store.queue(db), store.nested(db)
    outlines = outline_store.by_ids(db, {recut.outline for recut in (*waiting, *nested)})
    signs = {
        recut.sign: bench.sign_of(db, recut.sign)
        for recut in (*waiting, *nested)
        if recut.sign is not None
    }
    rows = [
        _row(recut, outlines[recut.outline], signs[recut.sign] if recut.sign is not None else None)
        for recut in (*waiting, *nested)
    ]
    split = len(waiting)
    today = local_now().date()
    return {
        "swap": _swap(db, today),
        "groups": _groups(db, rows[:split], today),
        "nested": rows[split:],
    }


def _swap(db: Connection, today: date) -> dict[str, object] | None:
    """Return a swap of pieces that makes fewer signs late, or less late. `token` is what the button sends."""
    proposal = swaps.proposal(db, today)
    if proposal is None:
        return None
    plan = proposal.plan
    moves = tuple(
        _move(proposal, move.piece, move.to_part) for move in plan.moves if move.to_part is not None
    )
    return {
        "moves": moves,
        "before": _late(plan.late_before, plan.lateness_before),
        "after": _late(plan.late_after, plan.lateness_after),
        "token": proposal.token,
    }


def _late(signs: Sequence[int], days: float) -> Message:
    if not signs:
        return recut_wording.no_sign_late()
    return recut_wording.late_signs(len(signs), recut_wording.days(round(days, 1)))


def _move(proposal: swaps.Proposal, piece_id: int, to_part: int) -> dict[str, object]:
    piece, then = proposal.pieces[piece_id], proposal.parts[to_part]
    return {
        "code": piece.code,
        "name": piece.name or then.name or "",
        "now": wording.is_spare()
        if piece.part is None
        else wording.for_sign(str(piece.job), str(piece.sign_mark)),
        "then": f"{then.job} {then.sign_mark}",
        "is_in_hand": piece.state in IN_HAND,
    }


def _groups(db: Connection, rows: Sequence[Row], today: date) -> tuple[Group, ...]:
    """Group by stock, in the order of the first recut, which is the order of due dates."""
    by_stock: dict[int, list[Row]] = {}
    for row in rows:
        by_stock.setdefault(row.recut.stock, []).append(row)
    return tuple(
        Group(
            id,
            tuple(some),
            " ".join(row.recut.code for row in some),
            *planning.advice(db, [(row.recut, row.blocks) for row in some], today),
        )
        for id, some in by_stock.items()
    )


def _row(recut: Recut, outline: Outline, sign: Sign | None) -> Row:
    part = Shape(
        recut.code,
        recut.number or 1,
        recut.name or str(wording.is_spare()),
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
    needed_for = _needed_for(recut, sign)
    blocks = needed_for is not None and sign is not None and sign.state == "open"
    return Row(
        recut,
        picture,
        wording.recut_number(recut.attempt - 1),
        wording.state(recut.sheet_state) if recut.sheet_state else None,
        needed_for,
        blocks,
        is_late,
    )


def _needed_for(recut: Recut, sign: Sign | None) -> Message | None:
    if sign is None or recut.part is None or sign.state not in ("open", "on hold"):
        return None
    step = stopped_step(recut.part, sign, current_shop().clock())
    if step is None:
        return None
    return wording.needed_for(
        step.called, str(recut.job), str(recut.sign_mark), str(recut.customer)
    )
