"""The page of one sheet: its nest, what can be done with it now, what was done last.

Must not answer requests: sheets.py does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import request, url_for

from ...actions import sheets as actions
from ...domain import pieces as life
from ...domain.routing.sheets import LIVE
from ...store import cutters, holding, ledger, stock
from ...store import sheets as store
from ...store.db import Connection
from ...store.sheets import HeldUp, OnSheet, SheetRow
from ...store.stock import Blank
from ...wording import sheets as wording
from ...wording.message import Message, of_dict
from ..page import Notice, current_actor, holds, local_now, version
from ..pictures.sheet_pictures import TINY_TIMES, drawn_on, picture_of, times_larger
from ..pictures.svg import SheetPicture
from .holding import HoldDownSummary, hold_down_summary

SHEET_BOX = (1180, 374)
SMALLER_BOX = (1180, 270)  # under a warning, so that all of it is in sight
CAUTION_PX = 52  # height of the caution beside Start
TAPPABLE = ("nested", "cut", "ready", "lost", "damaged")


@dataclass(frozen=True)
class Gone:
    """A lost or damaged piece of the sheet, and the causes to choose from."""

    piece: OnSheet
    name: Message
    causes: tuple[str, ...]


@dataclass(frozen=True)
class Marks:
    """What a tap on a piece changes on the page besides the piece; `open_codes` are those that the large button marks cut.

    `seen` is the version that the page shows, None where it keeps the one it has. `notice` is the line under the picture:
    what was just done here, else what this person did last on the sheet; `last` is that act, for Undo, and `last_gone`
    the piece that it made lost or damaged. `has_sound` only after an act. `is_settling`: the buttons have just changed,
    so they wait a moment until taps meant for the old ones are over.
    """

    seen: str | None
    row: SheetRow
    held_up: HeldUp | None
    is_late: bool
    open_codes: str
    gone: tuple[Gone, ...]
    rest: Message
    notice: Notice | None
    has_sound: bool
    is_settling: bool
    last: int | None
    last_gone: Gone | None
    asked_large: str | None
    is_large: bool
    offers_large: bool


def page_of(db: Connection, code: str, notice: Notice | None = None) -> dict[str, Any]:
    """Return the page of the sheet with a code; `notice` is what was just done on it. Raises NotFound.

    `attrs` makes its pieces buttons; `to_trim` are (piece, its name) of a closed sheet whose tabs are still on.
    """
    row = store.row(db, store.sheet_by_code(db, code).id)
    material = stock.stock(db, row.stock)
    on_it = store.on_sheet(db, row.id)
    can_act = holds("operator")
    takes_taps = can_act and row.state in life.CUTTABLE
    blanks = _other_blanks(db, row) if can_act and row.state == "planned" else ()
    summary = hold_down_summary(db, row) if row.state in LIVE else None
    marks = _marks(db, row, notice, version(), takes_taps=takes_taps)
    return {
        "marks": marks,
        "row": row,
        "stock": material,
        "picture": _picture(
            db,
            row,
            on_it,
            material.colour,
            {} if takes_taps else _hrefs(on_it),
            summary,
            is_large=marks.is_large,
        ),
        "attrs": _taps(code, on_it) if takes_taps else {},
        "to_trim": _to_trim(on_it) if row.state == "closed" else [],
        "not_here": sum(not piece.is_here for piece in on_it),
        "blanks": blanks,
        "measured": {blank.id: mm for blank in blanks if (mm := cutters.measured_mm(db, blank.id))},
        "offcut": store.offcut_of(db, row.id) if row.state == "closed" else None,
        "holds": summary,
    }


def tapped(db: Connection, code: str, piece_code: str, notice: Notice) -> dict[str, Any] | None:
    """Return what a tap changed: the piece, as it is drawn and with what makes it a button, and what goes with it;
    None where the page must be shown whole: its sheet is not off the table."""
    row = store.row(db, store.sheet_by_code(db, code).id)
    piece = store.piece_on_sheet(db, row.id, piece_code)
    if row.state != "off the table" or piece is None:
        return None
    marks = _marks(db, row, notice, _seen(notice.act), takes_taps=True)
    return {
        "marks": marks,
        "row": row,
        "part": drawn_on(db, row, piece, SHEET_BOX, is_large=marks.is_large),
        "attrs": _taps(code, [piece]).get(piece_code, {}),
    }


def _seen(act: int | None) -> str | None:
    """Return the version that the page shows after an act of its own.

    None where something else happened since the version that it sent: its next refresh must bring that.
    """
    if act is None or request.form.get("seen") != version(act - 1):
        return None
    now = version()
    return now if now == version(act) else None


def _marks(
    db: Connection, row: SheetRow, notice: Notice | None, seen: str | None, *, takes_taps: bool
) -> Marks:
    held = store.held_up_by(db, row.id)
    gone = _gone(db, row)
    last = _last(db, row)
    times = times_larger(db, row, SHEET_BOX)
    asked = request.args.get("large")
    # large from the start where pieces are too small for fingers
    is_large = asked == "1" or (asked is None and takes_taps and times > TINY_TIMES)
    return Marks(
        seen=seen,
        row=row,
        held_up=held,
        is_late=held is not None and held.first_due < local_now().date().isoformat(),
        open_codes=" ".join(store.open_codes(db, row.id)),
        gone=gone,
        rest=rest_words(row),
        notice=notice or (last.notice if last else None),
        has_sound=notice is not None,
        is_settling=request.endpoint in ("sheets.start", "sheets.finish") or "did" in request.args,
        last=last.notice.act if last else None,
        last_gone=next((piece for piece in gone if last and piece.piece.code == last.code), None),
        asked_large=asked,
        is_large=is_large,
        offers_large=is_large or times > 1,
    )


def _picture(
    db: Connection,
    row: SheetRow,
    on_it: list[OnSheet],
    colour: str,
    hrefs: dict[str, str],
    summary: HoldDownSummary | None,
    *,
    is_large: bool,
) -> SheetPicture:
    """Draw the sheet with its hold-down until it is off the table; then the picture is for marks."""
    held = holding.of_nest(db, row.nest) if row.state in ("planned", "cutting") else None
    has_warning = summary and (summary.renewal or (summary.file and summary.file.is_stale))
    width, height = SMALLER_BOX if has_warning else SHEET_BOX
    if row.state == "planned" and holds("operator"):
        height -= CAUTION_PX
    box = (width, height)
    return picture_of(db, row, on_it, colour, box, is_large=is_large, hrefs=hrefs, held=held)


def rest_words(row: SheetRow) -> Message:
    """Return the text of the large button: '3 lost, 1 damaged: mark the other 48 cut'."""
    if not row.open_pieces:
        return wording.close_the_sheet()
    if row.open_pieces == row.pieces:
        return wording.all_good(row.pieces)
    return wording.mark_the_rest(row.lost, row.damaged, row.open_pieces)


def _gone(db: Connection, row: SheetRow) -> tuple[Gone, ...]:
    return tuple(
        Gone(piece, store.describe(piece), life.causes_of(piece.state, piece.was))
        for piece in store.gone_from(db, row.id)
    )


@dataclass(frozen=True)
class _Last:
    """What a person did last on a sheet; `code` is the first that it was about."""

    notice: Notice
    code: str | None


def _last(db: Connection, row: SheetRow) -> _Last | None:
    number = store.last_act(db, row.id, current_actor().person)
    if number is None:
        return None
    answer = ledger.entry(db, number).answer
    return _Last(Notice(of_dict(answer), number), next(iter(answer["codes"]), None))


def _to_trim(on_it: list[OnSheet]) -> list[tuple[OnSheet, Message]]:
    return [
        (piece, store.describe(piece)) for piece in on_it if piece.is_here and piece.state == "cut"
    ]


def _hrefs(on_it: list[OnSheet]) -> dict[str, str]:
    page = url_for("pieces.piece", code="CODE")
    return {piece.code: page.replace("CODE", piece.code) for piece in on_it}


def _taps(code: str, on_it: list[OnSheet]) -> dict[str, dict[str, str]]:
    tap = url_for("sheets.tap", code=code, piece="CODE", large=request.args.get("large"))
    return {
        piece.code: {
            "hx-post": tap.replace("CODE", piece.code),
            "hx-vals": f'{{"shown":"{piece.state}"}}',
        }
        for piece in on_it
        if piece.is_here and piece.state in TAPPABLE
    }


def _other_blanks(db: Connection, row: SheetRow) -> tuple[Blank, ...]:
    length_mm, width_mm = actions.least_blank(
        db, store.sheet(db, row.id), stock.blank(db, row.blank)
    )
    free = [
        blank
        for is_offcut in (True, False)
        for blank in stock.free_blanks(db, row.stock, is_offcut=is_offcut)
    ]
    return tuple(
        blank for blank in free if blank.length_mm >= length_mm and blank.width_mm >= width_mm
    )
