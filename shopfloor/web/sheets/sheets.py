"""Sheets: which one is next on the router, and one sheet from its plan to its last mark.

Owns the list and the sheet's own page; a tap on a piece answers with what it changed. Nesting is in nests.py, leaving a sheet
unfinished in abandon.py. Must not decide what a tap means: domain/routing/sheets.py does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from flask import Blueprint, Response, request, url_for

from ...actions import pieces as piece_actions
from ...actions import setup_sheets
from ...actions import sheets as actions
from ...actions.unit_of_work import Answer, undo
from ...domain.codes import show as show_code
from ...domain.errors import Conflict
from ...store import codes as code_store
from ...store import pieces as piece_store
from ...store import sheets as store
from ...store import stock
from ...store.db import Connection
from ...store.sheets import HeldUp, SheetRow, Waiting
from ...store.stock import Stock
from ...wording import sheets as wording
from ...wording.message import as_message, joined
from ..page import (
    Notice,
    do,
    done,
    fragment,
    go,
    local_now,
    refreshed,
    show,
    snapshot,
    wants_fragment,
)
from ..pictures.sheet_pictures import picture_of
from ..pictures.svg import SheetPicture
from .sheet_page import page_of, tapped

NEXT_BOX, SMALL_BOX = (1212, 300), (220, 110)

pages = Blueprint("sheets", __name__)


# The list. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Card:
    """A live sheet in the list. `task` is what to do with it next: 'mark', 'close', 'finish' or 'start'."""

    row: SheetRow
    stock: Stock
    picture: SheetPicture
    held_up: HeldUp | None
    is_late: bool
    task: str
    has_old_file: bool


@dataclass(frozen=True)
class Pool:
    """A stock with waiting pieces, or with several planned sheets that could be nested again together."""

    stock: Stock
    pieces: int
    recuts: int
    first_due: str | None
    planned: int
    is_late: bool


@pages.get("/sheets")
def sheets() -> Response:
    """The live sheets, the next thing to do first; the waiting pieces; the sheets closed last."""
    with snapshot() as db:
        return show("sheets/sheets.html", _list(db), title=wording.sheets_title(), here="Sheets")


@pages.get("/sheets/now")
def now() -> Response:
    """The list again, where something changed."""
    return refreshed("sheets/_sheets.html", _list)


def _list(db: Connection) -> dict[str, object]:
    """The page's data; `next` is the sheet to work on now."""
    stocks = {material.id: material for material in stock.all_stocks(db)}
    held, today = store.held_up(db), local_now().date().isoformat()
    rows = store.live_rows(db)
    cards = [
        card_of(db, row, stocks[row.stock], held.get(row.id), SMALL_BOX if at else NEXT_BOX, today)
        for at, row in enumerate(rows)
    ]
    pools = _pools(db, rows, stocks, today)
    return {
        "next": cards[0] if cards else None,
        "late": [card for card in cards[1:] if card.is_late],
        "others": [card for card in cards[1:] if not card.is_late],
        "waiting": [pool for pool in pools if pool.pieces],
        "poolable": [pool for pool in pools if pool.planned > 1],
        "closed": [(row, stocks[row.stock]) for row in store.recent_rows(db)],
    }


def card_of(
    db: Connection,
    row: SheetRow,
    material: Stock,
    held: HeldUp | None,
    box: tuple[int, int],
    today: str,
) -> Card:
    """Return a sheet with its picture, as large as `box` (pixels)."""
    picture = picture_of(db, row, store.on_sheet(db, row.id), material.colour, box)
    is_late = held is not None and held.first_due < today
    return Card(
        row,
        material,
        picture,
        held,
        is_late,
        _task(row),
        row.state == "planned" and setup_sheets.has_old_file(db, row),
    )


def _task(row: SheetRow) -> str:
    if row.state == "off the table":
        return "mark" if row.open_pieces else "close"
    return {"cutting": "finish", "planned": "start"}.get(row.state, "look")


def _pools(
    db: Connection, rows: list[SheetRow], stocks: dict[int, Stock], today: str
) -> tuple[Pool, ...]:
    waiting: dict[int, list[Waiting]] = {}
    for group in store.waiting(db):
        waiting.setdefault(group.stock, []).append(group)
    planned = Counter(row.stock for row in rows if row.state == "planned")
    wanted = waiting.keys() | {id for id, count in planned.items() if count > 1}
    pools = []
    for id in wanted:
        groups = waiting.get(id, [])
        first_due = min((group.due for group in groups if group.due), default=None)
        pools.append(
            Pool(
                stocks[id],
                sum(group.pieces for group in groups),
                sum(group.recuts for group in groups),
                first_due,
                planned[id],
                first_due is not None and first_due < today,
            )
        )
    return tuple(sorted(pools, key=lambda pool: (pool.first_due or "9", pool.stock.id)))


# One sheet. -----------------------------------------------------------------------------------------------------------


@pages.get("/sheets/<code>")
def sheet(code: str) -> Response:
    """One sheet: its nest, and what can be done with it now."""
    with snapshot() as db:
        if code_store.is_retired(db, code):  # its planning was undone, perhaps from this very page
            return go(url_for("sheets.sheets"))
        view = page_of(db, code)
        return show("sheets/sheet.html", view, title=view["row"].number, here="Sheets")


@pages.get("/sheets/<code>/now")
def sheet_now(code: str) -> Response:
    """The sheet again, where something changed."""
    return refreshed("sheets/_sheet.html", lambda db: page_of(db, code))


# What is done on it. --------------------------------------------------------------------------------------------------


def _acted(code: str, work: Callable[[], Answer], tapped_piece: str | None = None) -> Response:
    """Do the work and answer with the sheet as it is now, after a tap with what it changed.

    A refusal is shown in the same line and changes nothing.
    """
    status = 200
    try:
        answer = work()
        notice = Notice(answer.message, answer.act)
    except Conflict as refusal:
        if not wants_fragment():
            raise
        notice, status = Notice(as_message(refusal.message), is_refusal=True), 409
    if not wants_fragment():
        return done(answer, url_for("sheets.sheet", code=code))
    with snapshot() as db:
        part = tapped(db, code, tapped_piece, notice) if tapped_piece and status == 200 else None
        if part:
            response = fragment("sheets/_tapped.html", part)
            response.headers["HX-Reswap"] = "none"  # each part of it names its place
        else:
            response = fragment("sheets/_sheet.html", page_of(db, code, notice))
    response.status_code = status
    return response


@pages.post("/sheets/<code>/start")
def start(code: str) -> Response:
    """Start the router."""
    return _acted(code, lambda: do(actions.start, code))


@pages.post("/sheets/<code>/finish")
def finish(code: str) -> Response:
    """Take the sheet off the table."""
    return _acted(code, lambda: do(actions.finish, code))


@pages.post("/sheets/<code>/tap/<piece>")
def tap(code: str, piece: str) -> Response:
    """A tap on a piece of the picture: good, lost, damaged in turn. Without htmx, and where refused, all is shown again."""
    return _acted(
        code,
        lambda: _with_recut(do(actions.tap, code, piece, request.form.get("shown", "")), piece),
        piece,
    )


def _with_recut(answer: Answer, code: str) -> Answer:
    """Add which piece is cut in place of a damaged one, where the answer does not name it."""
    if answer.data.get("piece", {}).get("state") != "damaged":
        return answer
    with snapshot() as db:
        piece = piece_store.by_code(db, code)
        recut = piece_store.recut_of(db, piece) if piece.last_part else None
    if recut is None or show_code(recut) in answer.sentence:
        return answer
    return replace(answer, message=joined([answer.message, wording.its_recut(recut)]))


@pages.post("/sheets/<code>/rest")
def rest(code: str) -> Response:
    """Mark the pieces that the button showed cut, and close the sheet when each has an outcome."""
    codes = request.form.get("codes", "").split()
    return _acted(code, lambda: _closed_once(code, lambda: do(actions.mark_rest_cut, code, codes)))


def _closed_once(code: str, work: Callable[[], Answer]) -> Answer:
    """Do the work; where another tablet has just closed the sheet, say so kindly: it is what was wanted."""
    try:
        return work()
    except Conflict:
        with snapshot() as db:
            sheet = store.sheet_by_code(db, code)
        if sheet.state != "closed":
            raise
        return Answer(wording.closed_already(sheet.number))


@pages.post("/sheets/<code>/close")
def close(code: str) -> Response:
    """Close the sheet: each piece has its outcome."""
    return _acted(code, lambda: _closed_once(code, lambda: do(actions.close, code)))


@pages.post("/sheets/<code>/trimmed")
def trimmed(code: str) -> Response:
    """Mark the tabs of the pieces that the button named trimmed."""
    return _acted(
        code, lambda: do(piece_actions.mark, request.form.get("codes", "").split(), "trimmed")
    )


@pages.post("/sheets/<code>/cause/<piece>")
def cause(code: str, piece: str) -> Response:
    """Set another cause of a loss."""
    return _acted(
        code, lambda: do(piece_actions.change_cause, piece, request.form.get("cause", ""))
    )


@pages.post("/sheets/<code>/blank")
def swap_blank(code: str) -> Response:
    """Take another blank for a planned sheet."""
    return _acted(code, lambda: do(actions.swap_blank, code, request.form.get("blank", "")))


@pages.post("/sheets/<code>/undo")
def undo_last(code: str) -> Response:
    """Undo what this person did last here."""
    return _acted(code, lambda: do(undo, request.form.get("act", 0, type=int)))
