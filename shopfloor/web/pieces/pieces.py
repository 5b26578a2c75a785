"""The page of one piece, where the QR on its label leads: what it is, where it goes, its marks, its history.

Owns how that page is asked for and answered. What stands on it besides the history is in `piece_cards`.
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
from ...wording.message import of_dict, text
from ..page import (
    Notice,
    can_undo,
    current_actor,
    do,
    done,
    fragment,
    go,
    notice_of,
    reader,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures import piece_cards
from ..pictures.piece_cards import Card

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
    """One act in a piece's history. `sentence` is what the person was told."""

    act: int
    at: str
    by_name: str
    sentence: str
    is_undone: bool


@dataclass(frozen=True)
class PiecePage:
    """One piece and its history, the newest act first; `undo` is the act that can be undone from here, or None."""

    card: Card
    history: list[Past]
    undo: int | None
    notice: Notice | None
    seen: str


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
        return show("pieces/piece.html", view, title=f"Piece {codes.show(code)}", here="Scan")


@pages.get("/p/<code>/now")
def piece_now(code: str) -> Response | tuple[str, int]:
    """The piece again, after Undo or where somebody else marked it."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("pieces/_piece.html", _page(db, codes.parse(code)))


@pages.post("/p/<code>/mark")
def mark(code: str) -> Response:
    """Sets a mark; it answers in place."""
    code = codes.parse(code)
    return _answer(code, do(acts.mark, [code], request.form.get("mark", "")))


@pages.post("/p/<code>/cause")
def cause(code: str) -> Response:
    """Another cause of a loss."""
    code, said = codes.parse(code), " ".join(request.form.get("cause", "").split())
    if not said:
        raise Refused("Choose what happened to it, or write it in.")
    return _answer(code, do(acts.change_cause, code, said))


def _answer(code: str, answer: Answer) -> Response:
    if not wants_fragment():
        return done(answer, url_for("pieces.piece", code=code))
    with snapshot() as db:
        return fragment("pieces/_piece.html", _page(db, code, notice_of(db, answer)))


def _page(db: Connection, code: str, notice: Notice | None = None) -> PiecePage:
    rows = ledger.acts_on(db, "piece", pieces.by_code(db, code).id)
    history = [_past(row) for row in reversed(rows) if row["undoes"] is None]
    card = piece_cards.card(db, code, LARGE, PLACE)
    return PiecePage(card, history, _undoable(db, rows, current_actor()), notice, version(db))


def _past(row: Row) -> Past:
    sentence = text(of_dict(json.loads(row["answer"])), reader())
    if row["what"] in PLANNING:
        sentence = sentence.partition(". ")[0].rstrip(".") + "."  # the rest is about the whole job
    return Past(row["act"], row["at"], row["by_name"], sentence, row["undone_by"] is not None)


def _undoable(db: Connection, rows: list[Row], by: Actor) -> int | None:
    """The last act on the piece that stands, if this person may undo it here."""
    standing = [row for row in rows if row["undoes"] is None and row["undone_by"] is None]
    if not standing or standing[-1]["what"] in PLANNING:
        return None
    last = ledger.entry(db, standing[-1]["act"])
    may = last.person == by.person or by.holds("owner")
    return last.act if may and can_undo(last) and _is_about_one_piece(last) else None


def _is_about_one_piece(act: ledger.Entry) -> bool:
    """False for a glue-up, or a button that marked a whole sheet: these are not undone from one piece's page."""
    changed = {change["t"] for change in act.changes}
    pieces_changed = sum(change["t"] == "piece" for change in act.changes)
    return pieces_changed <= 2 and not changed & {
        "glue_up",
        "sign",
        "nest",
    }  # itself, and its recut
