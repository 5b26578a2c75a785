"""The Scan page: a mark is picked once, then code after code is scanned; each answers at once with what it did.

Owns what happens to a scanned code. What a piece is and where it goes is in `piece_cards`, the marks are in the actions.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, make_response, request, url_for

from ...actions import pieces as acts
from ...actions.unit_of_work import Answer
from ...actions.unit_of_work import undo as undo_act
from ...domain import codes
from ...domain import pieces as life
from ...domain.errors import NotFound, Refused, ShopError
from ...store import codes as code_store
from ...store.db import Connection
from ...wording import pages as page_wording
from ...wording import pieces as wording
from ...wording.message import Message, joined
from ..errors import STATUS
from ..page import (
    current_caller,
    do,
    done,
    form_number,
    fragment,
    show,
    snapshot,
    wants_fragment,
)
from ..pictures import piece_cards
from ..pictures.piece_cards import Card
from ..scanned_things import must_be_piece, thing

THUMB, PLACE = (190, 130), (380, 130)  # room for the outline and for the sign, px
LOOK = "look"
TILES = (LOOK, "cut", "trimmed", "lost", "damaged", "found")

pages = Blueprint("scan", __name__)


@dataclass(frozen=True)
class Scanned:
    """The answer to one scan. `card` is None where the code is no piece's; `act` is what Undo names, or None.

    `link` is (path, label) to the page of what is no piece.
    """

    message: Message
    is_refusal: bool = False
    is_undone: bool = False
    card: Card | None = None
    act: int | None = None
    link: tuple[str, Message] | None = None
    mark: str = LOOK


@pages.get("/scan")
def scan() -> Response:
    """The field, with the mark that `?mark=` chose; `?code=` looks a piece up at once."""
    mark = checked_mark(request.args.get("mark", LOOK))
    answer = None
    if request.args.get("code"):
        with snapshot() as db:
            answer = looked_up(db, codes.parse(request.args["code"]))
    return _page(mark, answer)


def _page(mark: str, answer: Scanned | None, status: int = 200) -> Response:
    """The marks to choose from as (mark, label), the one chosen, and the answer where one came without htmx."""
    tiles = [(tile, wording.mark(tile)) for tile in TILES]
    view = {"tiles": tiles, "mark": mark, "label": wording.mark(mark), "answer": answer}
    title = page_wording.page_name("scan")
    return show("pieces/scan/scan.html", view, title=title, here="Scan", status=status)


@pages.post("/scan")
def enter() -> Response:
    """Take one scanned code. A refusal is shown among the answers too, so that a quick hand does not miss it."""
    mark, text = checked_mark(request.form.get("mark", LOOK)), request.form.get("code", "")
    try:
        if not wants_fragment():
            return _plainly(mark, text)
        return fragment("pieces/scan/_answer.html", _scanned(mark, codes.parse(text)))
    except ShopError as refusal:
        refused = Scanned(refusal.message, is_refusal=True, mark=mark)
        status = STATUS.get(type(refusal), 422)
        if not wants_fragment():
            return _page(mark, refused, status)
        return make_response(fragment("pieces/scan/_answer.html", refused), status)


def checked_mark(mark: str) -> str:
    """Return the mark if it is one. Raises Refused."""
    if mark != LOOK and mark not in life.MARKS:
        raise Refused(wording.choose_mark_first())
    return mark


def _plainly(mark: str, text: str) -> Response:
    code = codes.parse(text)
    if mark == LOOK:
        return done(Answer(joined([])), url_for("scan.scan", mark=mark, code=code))
    return done(do(acts.mark, [code], mark), url_for("scan.scan", mark=mark, code=code))


def _scanned(mark: str, code: str) -> Scanned:
    if mark == LOOK:
        with snapshot() as db:
            return looked_up(db, code)
    try:
        answer = do(acts.mark, [code], mark)
    except NotFound:
        with snapshot() as db:
            must_be_piece(db, code)  # refuses with what it is instead
        raise
    with snapshot() as db:
        return _marked(db, code, answer, mark)


def _marked(db: Connection, code: str, answer: Answer, mark: str) -> Scanned:
    """The answer in words: the pictures come after, so that it need not wait for them."""
    card = piece_cards.card(db, code, None, None)
    return Scanned(
        answer.message, card=card, act=answer.act if answer.data["changed"] else None, mark=mark
    )


@pages.get("/scan/pictures/<code>")
def pictures(code: str) -> Response:
    """The pictures of one answer: the piece, and where it goes."""
    with snapshot() as db:
        return fragment(
            "pieces/scan/_pictures.html",
            piece_cards.card(db, codes.parse(code), THUMB, PLACE, has_sizes=False),
        )


def looked_up(db: Connection, code: str) -> Scanned:
    """Look a code up. Raises NotFound."""
    kind = code_store.kind_of(db, code)
    if kind != "piece":
        name, path = thing(db, kind, code)
        return Scanned(wording.code_is(code, name), link=(path, wording.go_to(name)))
    card = piece_cards.card(db, code, THUMB, PLACE, has_sizes=False)
    return Scanned(wording.piece_is(card.called, card.state), card=card)


@pages.post("/scan/undo")
def undo() -> Response:
    """Undo the act of one answer; the answer comes back struck through."""
    code, number = codes.parse(request.form.get("code", "")), form_number("act")
    answer = undo_act(current_caller(), number)
    if not wants_fragment():
        return done(answer, url_for("scan.scan"))
    with snapshot() as db:
        card = piece_cards.card(db, code, THUMB, PLACE, has_sizes=False)
        return fragment(
            "pieces/scan/_answer.html", Scanned(answer.message, is_undone=True, card=card)
        )
