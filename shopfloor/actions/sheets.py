"""What people do with sheets: start, take off the table, tap pieces, mark the rest, close, leave unfinished, swap a blank."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.errors import Conflict, Refused
from ..domain.routing import nests
from ..domain.routing import sheets as rules
from ..store import pieces, settings, sheets, stock
from ..store.db import Connection
from ..wording import sheets as wording
from ..wording.message import Message, joined
from .pieces import begin_sheet, set_mark, write_events
from .unit_of_work import Answer, Transaction, command

OPERATOR = "operator"


@command("started a sheet", OPERATOR)
def start(transaction: Transaction, code: str) -> Answer:
    """Start the router: the blank is used from now on."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_start(sheet)
    blank = stock.blank(transaction.db, sheet.blank)
    begin_sheet(transaction, sheet)
    words = wording.started if blank.is_bought else wording.started_before_received
    return Answer(words(sheet.number), (code,))


@command("took a sheet off the table", OPERATOR)
def finish(transaction: Transaction, code: str) -> Answer:
    """Take a sheet off the table: its pieces can be marked."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_finish(sheet)
    _finish(transaction, sheet)
    return Answer(wording.off_the_table(sheet.number), (code,))


def _finish(transaction: Transaction, sheet: rules.Sheet) -> None:
    sheets.set_state(transaction.db, sheet.id, "off the table", finished_at=transaction.at)


@command("tapped a piece", OPERATOR)
def tap(transaction: Transaction, sheet_code: str, code: str, shown: str) -> Answer:
    """Mark a piece by a tap on the sheet's picture: good, lost, damaged in turn. `shown` is the state it was drawn in.

    Raises Conflict where the sheet cannot be marked, or where the piece has changed since it was drawn, unless another
    tablet set the same mark.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_marked(sheet)
    piece = pieces.by_code(transaction.db, code)
    if piece.sheet != sheet.id:
        raise Conflict(wording.no_longer_on(code, sheet.number))
    wanted = rules.after_tap(shown)
    if piece.state != shown and not rules.is_as_wanted(piece, wanted):
        raise Conflict(wording.marked_by_somebody_else(piece.code, piece.state))
    return set_mark(transaction, piece, wanted, tapped=True)


@command("marked the rest cut", OPERATOR)
def mark_rest_cut(transaction: Transaction, sheet_code: str, codes: Sequence[str]) -> Answer:
    """Mark the pieces of `codes`, those that the button showed, cut; close the sheet if nothing is open then.

    Pieces that were changed by somebody else are left as they are and named in the answer.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_marked(sheet)
    here = {piece.code: piece for piece in pieces.of_sheet(transaction.db, sheet.id)}
    left = tuple(code for code in codes if code not in here or here[code].state != "nested")
    cut = [code for code in codes if code not in left]
    for code in cut:
        set_mark(transaction, here[code], "cut")
    if sheet.state == "cutting":
        _finish(transaction, sheet)
    is_closed = not rules.open_pieces(pieces.of_sheet(transaction.db, sheet.id))
    offcut = _close(transaction, sheet) if is_closed else None
    message = joined(
        [
            wording.rest_marked(len(cut)),
            wording.left_as_they_are(left) if left else None,
            _closed(sheet, offcut) if is_closed else None,
        ]
    )
    data = {"left": list(left), "is_closed": is_closed, "offcut": offcut}
    return Answer(message, (sheet_code, *cut), data)


@command("closed a sheet", OPERATOR)
def close(transaction: Transaction, code: str) -> Answer:
    """Close a sheet whose pieces all have an outcome; what is left of the blank goes to Stock as an offcut."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_close(sheet, pieces.of_sheet(transaction.db, sheet.id))
    offcut = _close(transaction, sheet)
    return Answer(_closed(sheet, offcut), (code,), {"offcut": offcut})


def _closed(sheet: rules.Sheet, offcut: str | None) -> Message:
    if offcut is None:
        return wording.closed(sheet.number)
    return wording.closed_with_offcut(sheet.number, offcut)


def _close(transaction: Transaction, sheet: rules.Sheet) -> str | None:
    """Close the sheet and return the code of its offcut, or None where nothing worth keeping is left."""
    db = transaction.db
    blank, made = stock.blank(db, sheet.blank), sheets.made_nest(db, sheet.nest)
    from_mm = settings.load(db).offcut_from_mm
    size = nests.offcut_size(made, blank.length_mm, blank.width_mm, from_mm)
    offcut = None
    if size:
        offcut = transaction.new_code("blank")
        stock.add_blank(db, offcut, sheet.stock, *size, is_offcut=True, cut_from=sheet.id)
    sheets.set_state(db, sheet.id, "closed", closed_at=transaction.at)
    return offcut


@command("abandoned a sheet", OPERATOR)
def abandon(
    transaction: Transaction, sheet_code: str, good: Sequence[str] = (), spoiled: Sequence[str] = ()
) -> Answer:
    """Leave a sheet unfinished: `good` codes are marked cut, `spoiled` damaged, the untouched wait again as the same pieces.

    A blank that nothing was cut from is free again. Raises Refused where a piece is named twice, Conflict where one was
    marked already.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_abandoned(sheet)
    if set(good) & set(spoiled):
        raise Refused(wording.good_and_spoiled())
    here = {piece.code: piece for piece in pieces.of_sheet(transaction.db, sheet.id)}
    if not set(good) | set(spoiled) <= {code for code in here if here[code].state == "nested"}:
        raise Conflict(wording.some_marked_by_somebody_else())
    has_outcome = any(piece.state != "nested" for piece in here.values())
    for code in good:
        set_mark(transaction, here[code], "cut")
    for code in spoiled:
        set_mark(transaction, here[code], "damaged", "its sheet was abandoned")
    untouched = [
        piece
        for piece in here.values()
        if piece.state == "nested" and piece.code not in {*good, *spoiled}
    ]
    put_back(transaction, untouched)
    if not (good or spoiled or has_outcome):
        stock.set_blank(transaction.db, sheet.blank, "booked")
        stock.release_blank(transaction.db, sheet.blank)
    sheets.set_state(transaction.db, sheet.id, "abandoned", closed_at=transaction.at)
    message = wording.not_finished(sheet.number, len(good), len(spoiled), len(untouched))
    return Answer(message, (sheet_code,))


def put_back(transaction: Transaction, uncut: Sequence[life.Piece]) -> None:
    """Let pieces that were not cut wait again; withdraw those that are no longer needed."""
    for piece in uncut:
        event = (
            life.PieceUncut(piece.id) if piece.part is not None else life.PieceWithdrawn(piece.id)
        )
        write_events(transaction, [event])


@command("swapped a blank", OPERATOR)
def swap_blank(transaction: Transaction, sheet_code: str, blank_code: str) -> Answer:
    """Cut a planned sheet from another free blank of the same stock that is large enough for its nest."""
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_take_blank(sheet)
    old = stock.blank(transaction.db, sheet.blank)
    new = stock.blank_by_code(transaction.db, blank_code)
    if new.stock != sheet.stock or new.state != "free":
        raise Conflict(wording.not_free(blank_code))
    length_mm, width_mm = least_blank(transaction.db, sheet, old)
    if new.length_mm < length_mm or new.width_mm < width_mm:
        raise Conflict(wording.too_small(blank_code))
    stock.release_blank(transaction.db, old.id)
    stock.set_blank(transaction.db, new.id, "booked")
    sheets.set_blank(transaction.db, sheet.id, new.id)
    message = wording.will_be_cut_from(sheet.number, blank_code)
    return Answer(message, (sheet_code, blank_code))


def least_blank(db: Connection, sheet: rules.Sheet, blank: stock.Blank) -> tuple[float, float]:
    """Return the (length, width) in mm that another blank for this sheet must have at least."""
    row = sheets.row(db, sheet.id)
    made = sheets.made_nest(db, sheet.nest)
    return nests.least_blank(made, blank.length_mm, blank.width_mm, row.gap_mm, row.margin_mm)
