"""Sheets: which one is next on the router, and one sheet from its plan to its last mark.

Owns the list and the sheet's own page; each tap answers with the sheet alone. Nesting is in nests.py, giving a sheet
up in abandon.py. Must not decide what a tap means: that is domain/sheets.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from flask import Blueprint, Response, request, url_for

from ..actions import pieces as piece_actions
from ..actions import sheets as actions
from ..actions.desk import Answer, undo
from ..domain import pieces as life
from ..domain.codes import show as show_code
from ..domain.errors import Conflict
from ..domain.sheets import LIVE
from ..store import holding, ledger, stock
from ..store import pieces as piece_store
from ..store import sheets as store
from ..store.sheets import HeldUp, OnSheet, SheetRow, Waiting
from ..store.stock import Blank, Stock
from ..store.db import Connection
from .frame import Said, current_by, do, done, fragment, local_now, show, snapshot, unchanged, version, wants_fragment
from .holding import Holds, holds_of
from .pictures import SheetPicture
from .sheet_pictures import picture_of, times_larger

NEXT_BOX, SMALL_BOX, SHEET_BOX = (1212, 300), (220, 110), (1180, 374)
TINY_TIMES = 3  # from pieces of a third of a finger down, a sheet that takes taps is drawn larger from the start
TAPPABLE = ("nested", "cut", "ready", "lost", "damaged")

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
    cards = [card_of(db, row, stocks[row.stock], held.get(row.id), SMALL_BOX if at else NEXT_BOX, today)
             for at, row in enumerate(rows)]  # fmt: skip
    closed = tuple((row, stocks[row.stock]) for row in store.recent_rows(db))
    pools = _pools(db, rows, stocks, today)
    return SheetList(
        version(db), cards[0] if cards else None,
        tuple(card for card in cards[1:] if card.is_late), tuple(card for card in cards[1:] if not card.is_late),
        tuple(pool for pool in pools if pool.waiting.pieces), tuple(pool for pool in pools if pool.planned > 1),
        closed, current_by().holds("operator"),
    )  # fmt: skip


def card_of(db: Connection, row: SheetRow, material: Stock, held: HeldUp | None, box, today: str) -> Card:
    """A sheet with its picture, as large as `box` (pixels)."""
    picture = picture_of(db, row, store.on_sheet(db, row.id), material.colour, box)
    is_late = held is not None and held.first_due < today
    return Card(row, material, picture, held, is_late, _task(row))


def _task(row: SheetRow) -> str:
    if row.state == "off the table":
        return "mark" if row.open_pieces else "close"
    return {"cutting": "finish", "planned": "start"}.get(row.state, "look")


def _pools(db: Connection, rows: list[SheetRow], stocks: dict[int, Stock], today: str) -> tuple[Pool, ...]:
    waiting = store.waiting(db)
    planned: dict[int, int] = {}
    for row in rows:
        if row.state == "planned":
            planned[row.stock] = planned.get(row.stock, 0) + 1
    wanted = waiting.keys() | {id for id, count in planned.items() if count > 1}
    pools = []
    for id in wanted:
        its = waiting.get(id, Waiting(0, 0, None))
        pools.append(Pool(stocks[id], its, planned.get(id, 0), bool(its.first_due and its.first_due < today)))
    return tuple(sorted(pools, key=lambda pool: (pool.waiting.first_due or "9", pool.stock.id)))


# One sheet. -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Gone:
    """A lost or damaged piece of the sheet, and the causes to choose from."""

    code: str
    name: str
    state: str
    cause: str
    causes: tuple[str, ...]


@dataclass(frozen=True)
class SheetPage:
    """One sheet. `attrs` makes its pieces buttons; `open_codes` are those that the large button marks cut.

    `told` is the sentence under the picture: what was just done here, else what this person did last on the sheet;
    `last` is that act, for Undo, and `last_gone` the piece that it made lost or damaged. `has_sound` after an act only.
    `is_settling`: the buttons have just changed their places' meaning, so they wait a moment for idle taps to end.
    """

    seen: str
    row: SheetRow
    stock: Stock
    held_up: HeldUp | None
    is_late: bool
    picture: SheetPicture
    attrs: dict[str, dict[str, str]]
    open_codes: str
    gone: tuple[Gone, ...]
    rest: str
    told: Said | None
    has_sound: bool
    is_settling: bool
    to_trim: int
    last: int | None
    last_gone: Gone | None
    not_here: int
    blanks: tuple[Blank, ...]
    offcut: str | None
    can_act: bool
    asked_large: str | None
    is_large: bool
    offers_large: bool
    holds: Holds | None


@pages.get("/sheets/<code>")
def sheet(code: str):
    """One sheet: its nest, and what can be done with it now."""
    with snapshot() as db:
        it = _page(db, code)
        return show("sheets/sheet.html", it, title=it.row.number, here="Sheets")


@pages.get("/sheets/<code>/now")
def sheet_now(code: str):
    """The sheet again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/_sheet.html", _page(db, code))


def _page(db: Connection, code: str, said: Said | None = None) -> SheetPage:
    row = store.row(db, store.sheet_by_code(db, code).id)
    material = stock.stock(db, row.stock)
    on_it = store.on_sheet(db, row.id)
    held = store.held_up(db).get(row.id)
    gone = _gone(db, row, on_it)
    last, told = _last(db, row)
    can_act = current_by().holds("operator")
    takes_taps = can_act and row.state in life.CUTTABLE
    times = times_larger(db, row, on_it, SHEET_BOX)
    asked = request.args.get("large")
    is_large = asked == "1" or (asked is None and takes_taps and times > TINY_TIMES)
    return SheetPage(
        seen=version(db),
        row=row,
        stock=material,
        held_up=held,
        is_late=held is not None and held.first_due < local_now().date().isoformat(),
        picture=picture_of(db, row, on_it, material.colour, SHEET_BOX, is_large=is_large,
                           hrefs={} if takes_taps else _hrefs(on_it),
                           held=holding.of_nest(db, row.nest) if row.state == "planned" else None),
        attrs=_taps(code, on_it, asked) if takes_taps else {},
        open_codes=" ".join(piece.code for piece in on_it if piece.is_here and piece.state == "nested"),
        gone=gone,
        rest=rest_words(row),
        told=said or told,
        has_sound=said is not None,
        is_settling=request.endpoint in ("sheets.start", "sheets.finish") or "did" in request.args,
        to_trim=sum(piece.is_here and piece.state == "cut" for piece in on_it) if row.state == "closed" else 0,
        last=last,
        last_gone=next((piece for piece in gone if told and piece.code == told.back), None),
        not_here=sum(not piece.is_here for piece in on_it),
        blanks=_other_blanks(db, row) if can_act and row.state == "planned" else (),
        offcut=store.offcut_of(db, row.id) if row.state == "closed" else None,
        can_act=can_act,
        asked_large=asked,
        is_large=is_large,
        offers_large=is_large or times > 1,
        holds=holds_of(db, row) if row.state in LIVE else None,
    )  # fmt: skip


def rest_words(row: SheetRow) -> str:
    """What the large button says: '3 lost, 1 damaged: mark the other 48 cut'."""
    if not row.open_pieces:
        return "Close the sheet"
    gone = ", ".join(f"{count} {word}" for count, word in ((row.lost, "lost"), (row.damaged, "damaged")) if count)
    if gone:
        return f"{gone}: mark the other {row.open_pieces} cut"
    if row.open_pieces < row.pieces:
        return f"Mark the other {row.open_pieces} cut"
    return f"All {row.pieces} are good: mark them cut" if row.pieces > 1 else "It is good: mark it cut"


def _gone(db: Connection, row: SheetRow, on_it: list[OnSheet]) -> tuple[Gone, ...]:
    names = {piece.code: store.describe(piece) for piece in on_it}
    return tuple(
        Gone(piece.code, names.get(piece.code, show_code(piece.code)), piece.state, piece.cause,
             life.causes_of(piece.state, piece.was))
        for piece in piece_store.of_sheet(db, row.id) if piece.state in life.GONE
    )  # fmt: skip


def _last(db: Connection, row: SheetRow) -> tuple[int | None, Said | None]:
    """What this person did last here; `back` of the sentence holds the first code that it was about."""
    number = store.last_act(db, row.id, current_by().person)
    if number is None:
        return None, None
    answer = ledger.entry(db, number).answer
    return number, Said(answer["sentence"], number, next(iter(answer["codes"]), None))


def _hrefs(on_it: list[OnSheet]) -> dict[str, str]:
    way = url_for("pieces.piece", code="CODE")
    return {piece.code: way.replace("CODE", piece.code) for piece in on_it}


def _taps(code: str, on_it: list[OnSheet], asked_large: str | None) -> dict[str, dict[str, str]]:
    way = url_for("sheets.tap", code=code, piece="CODE", large=asked_large)
    return {
        piece.code: {"hx-post": way.replace("CODE", piece.code), "hx-vals": f'{{"shown":"{piece.state}"}}'}
        for piece in on_it if piece.is_here and piece.state in TAPPABLE
    }  # fmt: skip


def _other_blanks(db: Connection, row: SheetRow) -> tuple[Blank, ...]:
    length_mm, width_mm = actions.least_blank(db, store.sheet(db, row.id), stock.blank(db, row.blank))
    free = [blank for is_offcut in (True, False) for blank in stock.free_blanks(db, row.stock, is_offcut=is_offcut)]
    return tuple(b for b in free if b.length_mm >= length_mm and b.width_mm >= width_mm)


# What is done on it. --------------------------------------------------------------------------------------------------


def _acted(code: str, work: Callable[[], Answer]) -> Response:
    """Does it, and answers with the sheet as it is now; a refusal stands in the same line, and changes nothing."""
    status = 200
    try:
        answer = work()
        said = Said(answer.sentence, answer.act)
    except Conflict as refusal:
        if not wants_fragment():
            raise
        said, status = Said(refusal.sentence, None, is_refusal=True), 409
    if not wants_fragment():
        return done(answer, url_for("sheets.sheet", code=code))
    with snapshot() as db:
        response = fragment("sheets/_sheet.html", _page(db, code, said))
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
    return _acted(code, lambda: _with_recut(do(actions.tap, code, piece, request.form.get("shown", "")), piece))


def _with_recut(answer: Answer, code: str) -> Answer:
    """Says which piece is cut in place of a damaged one, where the answer does not."""
    with snapshot() as db:
        piece = piece_store.by_code(db, code)
        recut = piece_store.recut_of(db, piece) if piece.state == "damaged" and piece.last_part else None
    if recut is None or "recut" in answer.sentence:
        return answer
    return replace(answer, sentence=f"{answer.sentence.removesuffix('.')}; its recut is {show_code(recut)}.")


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


@pages.post("/sheets/<code>/cause/<piece>")
def cause(code: str, piece: str):
    """Another cause of a loss."""
    return _acted(code, lambda: do(piece_actions.change_cause, piece, request.form.get("cause", "")))


@pages.post("/sheets/<code>/blank")
def swap_blank(code: str):
    """Another blank for a planned sheet."""
    return _acted(code, lambda: do(actions.swap_blank, code, request.form.get("blank", "")))


@pages.post("/sheets/<code>/undo")
def undo_last(code: str):
    """Takes back what this person did last here."""
    return _acted(code, lambda: do(undo, request.form.get("act", 0, type=int)))
