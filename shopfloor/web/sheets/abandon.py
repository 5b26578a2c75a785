"""A sheet that is not finished: which pieces are good, which are spoiled, which the router never touched.

Owns the page on which that is tapped; nothing is saved before its one button. Belongs to the Sheets pages.
"""

from __future__ import annotations

from flask import Blueprint, Response, request, url_for

from ...actions import sheets as actions
from ...domain import pieces as life
from ...domain.routing import sheets as rules
from ...store import sheets as store
from ...store import stock
from ...store.db import Connection
from ...wording import sheets as wording
from ..page import current_actor, do, done, fragment, show, snapshot
from ..pictures.sheet_pictures import picture_of
from .sheet_page import SHEET_BOX

ROUND = {"untouched": "good", "good": "spoiled", "spoiled": "untouched"}
DRAWN = {"untouched": "nested", "good": "ready", "spoiled": "damaged"}

pages = Blueprint("abandon", __name__)


@pages.get("/sheets/<code>/abandon")
def abandon(code: str) -> Response:
    """The picture to tap."""
    current_actor().must_hold(("operator",))
    with snapshot() as db:
        view = _page(db, code, {}, has_sound=False)
        title = wording.not_finished_title(store.sheet_by_code(db, code).number)
        return show("sheets/abandon.html", view, title=title, here="Sheets")


@pages.post("/sheets/<code>/abandon/turn/<piece>")
def turn(code: str, piece: str) -> Response:
    """A tap: untouched, good, spoiled in turn. What was tapped so far comes and goes with the form."""
    current_actor().must_hold(("operator",))
    chosen = _chosen()
    chosen[piece] = ROUND[chosen.get(piece, "untouched")]
    with snapshot() as db:
        return fragment("sheets/_abandon.html", _page(db, code, chosen, has_sound=True))


@pages.post("/sheets/<code>/abandon")
def give_up(code: str) -> Response:
    """Leave the sheet unfinished with what was tapped."""
    chosen = _chosen()
    answer = do(
        actions.abandon, code, good=_those(chosen, "good"), spoiled=_those(chosen, "spoiled")
    )
    return done(answer, url_for("sheets.sheets"))


def _chosen() -> dict[str, str]:
    return {
        code: word for word in ("good", "spoiled") for code in request.form.get(word, "").split()
    }


def _those(chosen: dict[str, str], word: str) -> list[str]:
    return [code for code, chosen_word in chosen.items() if chosen_word == word]


def _page(
    db: Connection, code: str, chosen: dict[str, str], *, has_sound: bool
) -> dict[str, object]:
    """The sheet with what was tapped so far. `good` and `spoiled` are codes with spaces between, `counts` how many."""
    sheet = store.sheet_by_code(db, code)
    rules.may_be_abandoned(sheet)
    row, material = store.row(db, sheet.id), stock.stock(db, sheet.stock)
    on_it = store.on_sheet(db, row.id)
    still_open = [piece.code for piece in on_it if piece.is_here and piece.state == "nested"]
    chosen = {piece: word for piece, word in chosen.items() if piece in still_open}
    states = {piece: DRAWN[chosen.get(piece, "untouched")] for piece in still_open}
    tap = url_for("abandon.turn", code=code, piece="CODE")
    has_begun = row.state in life.CUTTABLE
    counts = {word: len(_those(chosen, word)) for word in ("good", "spoiled")}
    counts["untouched"] = len(still_open) - sum(word in counts for word in chosen.values())
    attrs = {piece: {"hx-post": tap.replace("CODE", piece)} for piece in still_open}
    return {
        "row": row,
        "stock": material,
        "picture": picture_of(db, row, on_it, material.colour, SHEET_BOX, states=states),
        "attrs": attrs if has_begun else {},
        "good": " ".join(_those(chosen, "good")),
        "spoiled": " ".join(_those(chosen, "spoiled")),
        "counts": counts,
        "has_sound": has_sound,
    }
