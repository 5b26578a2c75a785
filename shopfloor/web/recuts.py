"""Recuts: what must be cut once more, by stock, and what stands still until then.

Owns the page; nesting is begun through nests.py, marks are made on the sheet's and the piece's own pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, request, url_for

from ..domain.outlines import Outline
from ..domain.recuts import nth, stopped_step
from ..domain.steps import Sign
from ..store import outlines as outline_store
from ..store import bench
from ..store import recuts as store
from ..store.recuts import Recut
from ..store.db import Connection
from . import nests
from .frame import current_by, current_desk, fragment, local_now, show, snapshot, unchanged, version
from .pictures import PicturePart, SignPicture, sign_picture

THUMBNAIL = (104, 72)

pages = Blueprint("recuts", __name__)


@dataclass(frozen=True)
class Row:
    """One recut. `stops` says what it holds up, None where nothing; `attempt` is 'second attempt'."""

    recut: Recut
    picture: SignPicture
    attempt: str
    stops: str | None
    is_late: bool


@dataclass(frozen=True)
class Group:
    """The waiting recuts of one stock; `codes` are what the button nests."""

    stock: int
    called: str
    colour: str
    rows: tuple[Row, ...]
    codes: str
    count: int


@dataclass(frozen=True)
class RecutsPage:
    """The queue, and what is on a sheet already."""

    seen: str
    groups: tuple[Group, ...]
    nested: tuple[Row, ...]
    can_act: bool


@pages.get("/recuts")
def recuts():
    """The queue by stock, the oldest due date first."""
    with snapshot() as db:
        return show("recuts/recuts.html", _page(db), title="Recuts", here="Recuts")


@pages.get("/recuts/now")
def now():
    """The queue again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("recuts/_recuts.html", _page(db))


@pages.post("/recuts/nest/<int:stock_id>")
def nest(stock_id: int):
    """Nests the recuts that the button showed on the smallest offcut that holds them, else on a new sheet."""
    codes = request.form.get("codes", "").split()
    return nests.begin(stock_id, codes=codes, on_offcuts=True, after=url_for("recuts.recuts"))


def _page(db: Connection) -> RecutsPage:
    waiting, nested = store.waiting(db), store.nested(db)
    outlines = outline_store.by_ids(db, {recut.outline for recut in (*waiting, *nested)})
    signs = {id: bench.sign_of(db, id) for id in {recut.sign for recut in (*waiting, *nested)} - {None}}
    rows = [_row(recut, outlines[recut.outline], signs.get(recut.sign)) for recut in (*waiting, *nested)]
    split = len(waiting)
    return RecutsPage(version(db), _groups(rows[:split]), tuple(rows[split:]), current_by().holds("operator"))


def _groups(rows: Sequence[Row]) -> tuple[Group, ...]:
    """By stock; the stocks stand in the order of their first recut, which is the order of due dates."""
    by_stock: dict[int, list[Row]] = {}
    for row in rows:
        by_stock.setdefault(row.recut.stock, []).append(row)
    return tuple(
        Group(id, some[0].recut.stock_called, some[0].recut.colour, tuple(some), " ".join(r.recut.code for r in some),
              len(some))
        for id, some in by_stock.items()
    )  # fmt: skip


def _row(recut: Recut, outline: Outline, sign: Sign | None) -> Row:
    part = PicturePart(recut.code, recut.number or 1, recut.name or "a spare", outline, recut.colour,
                       "nested" if recut.sheet else "waiting")  # fmt: skip
    picture = sign_picture(f"recut-{recut.code}", [part], outline.width_mm, outline.height_mm, title=part.name,
                           box=THUMBNAIL, width_text="")  # fmt: skip
    is_late = bool(recut.due and recut.due < local_now().date().isoformat())
    return Row(recut, picture, nth(recut.attempt), _stops(recut, sign), is_late)


def _stops(recut: Recut, sign: Sign | None) -> str | None:
    if sign is None or sign.state not in ("open", "on hold"):
        return None
    step = stopped_step(recut.part, sign, current_desk().clock())
    if step is None:
        return None
    title = step.title[0].lower() + step.title[1:]
    return f"stops: {title} of {recut.job} {recut.sign_mark}, {recut.customer}"
