"""The page of one piece, where the QR on its label leads: what it is, where it goes, its marks, its history.

Owns how that page is asked for and answered. What it shows besides the history is in `piece_cards`.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import pieces as acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.errors import Refused
from ...domain.people import Actor
from ...store import codes as code_store
from ...store import ledger, pieces
from ...store.db import Connection, Row
from ...wording import pieces as wording
from ...wording.message import Message, first_sentence, of_dict
from ..page import (
    answered,
    can_undo,
    current_actor,
    do,
    go,
    refreshed,
    show,
    snapshot,
)
from ..pictures import piece_cards

LARGE, PLACE = (640, 300), (480, 190)  # room for the outline and for the sign that it goes to, px
OTHERS = {
    "sheet": "sheets.sheet",
    "sign": "bench.sign",
    "blank": "stock.blank",
    "tray": "trays.tray",
}
PLANNING = ("took a job in", "nested pieces")  # not undone from the page of a single piece

pages = Blueprint("pieces", __name__)


@dataclass(frozen=True)
class Past:
    """One act in a piece's history. `message` is what the person read then."""

    row: Row
    message: Message


@pages.get("/P/<code>")
@pages.get("/p/<code>")
def piece(code: str) -> Response:
    """One piece; a code of another thing goes to that thing's own page."""
    code = codes.parse(code)
    with snapshot() as db:
        kind = code_store.kind_of(db, code)
        if kind in OTHERS:
            return go(url_for(OTHERS[kind], code=code))
        view = _page(db, code)
        return show("pieces/piece.html", view, title=wording.page_of(code), here="Scan")


@pages.get("/p/<code>/now")
def piece_now(code: str) -> Response:
    """The piece again, after Undo or where somebody else marked it."""
    return refreshed("pieces/_piece.html", lambda db: _page(db, codes.parse(code)))


@pages.post("/p/<code>/mark")
def mark(code: str) -> Response:
    """Set a mark; the answer replaces the piece in place."""
    code = codes.parse(code)
    return _answer(code, do(acts.mark, [code], request.form.get("mark", "")))


@pages.post("/p/<code>/cause")
def cause(code: str) -> Response:
    """Give another cause of a loss."""
    code, cause = codes.parse(code), " ".join(request.form.get("cause", "").split())
    if not cause:
        raise Refused(wording.no_cause())
    return _answer(code, do(acts.change_cause, code, cause))


def _answer(code: str, answer: Answer) -> Response:
    to = url_for("pieces.piece", code=code)
    return answered(answer, to, "pieces/_piece.html", lambda db: _page(db, code))


def _page(db: Connection, code: str) -> dict[str, object]:
    """Return one piece and its history, the newest act first; `undo` is the act that can be undone from here, or None."""
    rows = ledger.acts_on(db, "piece", pieces.by_code(db, code).id)
    history = [_past(row) for row in reversed(rows) if row["undoes"] is None]
    card = piece_cards.card(db, code, LARGE, PLACE)
    return {"card": card, "history": history, "undo": _undoable(db, rows, current_actor())}


def _past(row: Row) -> Past:
    message = of_dict(json.loads(row["answer"]))
    if row["what"] in PLANNING:
        message = first_sentence(message)  # the rest is about the whole job
    return Past(row, message)


def _undoable(db: Connection, rows: list[Row], by: Actor) -> int | None:
    """Return the last act on the piece that is not undone, if this person may undo it here."""
    in_force = [row for row in rows if row["undoes"] is None and row["undone_by"] is None]
    if not in_force or in_force[-1]["what"] in PLANNING:
        return None
    last = ledger.entry(db, in_force[-1]["act"])
    may = last.person == by.person or by.holds("owner")
    return last.act if may and can_undo(last) and _is_about_one_piece(last) else None


def _is_about_one_piece(act: ledger.Entry) -> bool:
    """Return False for a glue-up, or a button that marked a whole sheet: these are not undone from one piece's page."""
    changed = {change["t"] for change in act.changes}
    pieces_changed = sum(change["t"] == "piece" for change in act.changes)
    return pieces_changed <= 2 and not changed & {
        "glue_up",
        "sign",
        "nest",
    }  # itself, and its recut
