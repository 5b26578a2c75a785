"""Sheets: which one is next on the router, and one sheet from its plan to its last mark.

Owns the list and the sheet's own page; each tap answers with the sheet alone. Nesting is in nests.py, giving a sheet
up in abandon.py. Must not decide what a tap means: that is domain/routing/sheets.py.
"""

from __future__ import annotations

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
from ..page import (
    Notice,
    current_actor,
    do,
    done,
    fragment,
    go,
    local_now,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures.pictures import SheetPicture
from ..pictures.sheet_pictures import picture_of
from .sheet_page import page_of

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
    """A stock of which pieces wait, or several planned sheets could be nested anew together."""

    stock: Stock
    waiting: Waiting
    planned: int
    is_late: bool


@dataclass(frozen=True)
class SheetList:
    """The page's data; `next` is the sheet to see to now."""

    seen: str
    next: Card | None
    late: tuple[Card, ...]
    others: tuple[Card, ...]
    waiting: tuple[Pool, ...]
    poolable: tuple[Pool, ...]
    closed: tuple[tuple[SheetRow, Stock], ...]
    can_act: bool


@pages.get("/sheets")
def sheets():
    """The live sheets, the next thing to do first; what waits for a sheet; those closed last."""
    with snapshot() as db:
        return show("sheets/sheets.html", _list(db), title="Sheets", here="Sheets")


@pages.get("/sheets/now")
def now():
    """The list again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/_sheets.html", _list(db))


def _list(db: Connection) -> SheetList:
    stocks = {material.id: material for material in stock.all_stocks(db)}
    held, today = store.held_up(db), local_now().date().isoformat()
    rows = store.live_rows(db)
    cards = [
        card_of(db, row, stocks[row.stock], held.get(row.id), SMALL_BOX if at else NEXT_BOX, today)
        for at, row in enumerate(rows)
    ]
    closed = tuple((row, stocks[row.stock]) for row in store.recent_rows(db))
    pools = _pools(db, rows, stocks, today)
    return SheetList(
        version(db),
        cards[0] if cards else None,
        tuple(card for card in cards[1:] if card.is_late),
        tuple(card for card in cards[1:] if not card.is_late),
        tuple(pool for pool in pools if pool.waiting.pieces),
        tuple(pool for pool in pools if pool.planned > 1),
        closed,
        current_actor().holds("operator"),
    )


def card_of(
    db: Connection, row: SheetRow, material: Stock, held: HeldUp | None, box, today: str
) -> Card:
    """A sheet with its picture, as large as `box` (pixels)."""
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
    waiting = store.waiting(db)
    planned: dict[int, int] = {}
    for row in rows:
        if row.state == "planned":
            planned[row.stock] = planned.get(row.stock, 0) + 1
    wanted = waiting.keys() | {id for id, count in planned.items() if count > 1}
    pools = []
    for id in wanted:
        its = waiting.get(id, Waiting(0, 0, None))
        pools.append(
            Pool(stocks[id], its, planned.get(id, 0), bool(its.first_due and its.first_due < today))
        )
    return tuple(sorted(pools, key=lambda pool: (pool.waiting.first_due or "9", pool.stock.id)))


# One sheet. -----------------------------------------------------------------------------------------------------------


@pages.get("/sheets/<code>")
def sheet(code: str):
    """One sheet: its nest, and what can be done with it now."""
    with snapshot() as db:
        if code_store.is_retired(db, code):  # its planning was undone, perhaps from this very page
            return go(url_for("sheets.sheets"))
        view = page_of(db, code)
        return show("sheets/sheet.html", view, title=view.row.number, here="Sheets")


@pages.get("/sheets/<code>/now")
def sheet_now(code: str):
    """The sheet again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/_sheet.html", page_of(db, code))


# What is done on it. --------------------------------------------------------------------------------------------------


def _acted(code: str, work: Callable[[], Answer]) -> Response:
    """Does it, and answers with the sheet as it is now; a refusal stands in the same line, and changes nothing."""
    status = 200
    try:
        answer = work()
        notice = Notice(answer.message, answer.act)
    except Conflict as refusal:
        if not wants_fragment():
            raise
        notice, status = Notice(refusal.message, None, is_refusal=True), 409
    if not wants_fragment():
        return done(answer, url_for("sheets.sheet", code=code))
    with snapshot() as db:
        response = fragment("sheets/_sheet.html", page_of(db, code, notice))
    response.status_code = status
    return response


@pages.post("/sheets/<code>/start")
def start(code: str):
    """The router begins."""
    return _acted(code, lambda: do(actions.start, code))


@pages.post("/sheets/<code>/finish")
def finish(code: str):
    """It comes off the table."""
    return _acted(code, lambda: do(actions.finish, code))


@pages.post("/sheets/<code>/tap/<piece>")
def tap(code: str, piece: str):
    """A tap on a piece of the picture, which goes round good, lost, damaged."""
    return _acted(
        code,
        lambda: _with_recut(do(actions.tap, code, piece, request.form.get("shown", "")), piece),
    )


def _with_recut(answer: Answer, code: str) -> Answer:
    """Says which piece is cut in place of a damaged one, where the answer does not."""
    with snapshot() as db:
        piece = piece_store.by_code(db, code)
        recut = (
            piece_store.recut_of(db, piece)
            if piece.state == "damaged" and piece.last_part
            else None
        )
    if recut is None or "recut" in answer.sentence:
        return answer
    return replace(
        answer, message=f"{answer.sentence.removesuffix('.')}; its recut is {show_code(recut)}."
    )


@pages.post("/sheets/<code>/rest")
def rest(code: str):
    """Marks the pieces that the button showed cut, and closes the sheet when each has an outcome."""
    codes = request.form.get("codes", "").split()
    return _acted(code, lambda: _closed_once(code, lambda: do(actions.mark_rest_cut, code, codes)))


def _closed_once(code: str, work: Callable[[], Answer]) -> Answer:
    """Does it; where another tablet has closed the sheet meanwhile, that is said kindly: it is what was wanted."""
    try:
        return work()
    except Conflict:
        with snapshot() as db:
            found = store.sheet_by_code(db, code)
        if found.state != "closed":
            raise
        return Answer(f"Sheet {found.number} is closed already.")


@pages.post("/sheets/<code>/close")
def close(code: str):
    """Each piece has its outcome."""
    return _acted(code, lambda: _closed_once(code, lambda: do(actions.close, code)))


@pages.post("/sheets/<code>/trimmed")
def trimmed(code: str):
    """The tabs of pieces that the button named are off."""
    return _acted(
        code, lambda: do(piece_actions.mark, request.form.get("codes", "").split(), "trimmed")
    )


@pages.post("/sheets/<code>/cause/<piece>")
def cause(code: str, piece: str):
    """Another cause of a loss."""
    return _acted(
        code, lambda: do(piece_actions.change_cause, piece, request.form.get("cause", ""))
    )


@pages.post("/sheets/<code>/blank")
def swap_blank(code: str):
    """Another blank for a planned sheet."""
    return _acted(code, lambda: do(actions.swap_blank, code, request.form.get("blank", "")))


@pages.post("/sheets/<code>/undo")
def undo_last(code: str):
    """Takes back what this person did last here."""
    return _acted(code, lambda: do(undo, request.form.get("act", 0, type=int)))
