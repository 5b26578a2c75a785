"""What people do with sheets: nest pieces on them, start, finish, tap pieces, mark the rest, close, abandon."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..domain.routing import nests
from ..domain.routing import sheets as rules
from ..store import pieces, settings, sheets, stock
from .pieces import begin_sheet, set_mark
from .unit_of_work import Answer, Transaction, command

OPERATOR = "operator"


@command("started a sheet", OPERATOR)
def start(transaction: Transaction, code: str) -> Answer:
    """The router begins: the blank is used from now on."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_start(sheet)
    blank = stock.blank(transaction.db, sheet.blank)
    begin_sheet(transaction, sheet)
    bought = (
        "" if blank.is_bought else " Its blank was still to be bought: it counts as bought now."
    )
    return Answer(f"Sheet {sheet.number} is being cut.{bought}", (code,))


@command("took a sheet off the table", OPERATOR)
def finish(transaction: Transaction, code: str) -> Answer:
    """The router is done: the pieces come off."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_finish(sheet)
    _finish(transaction, sheet)
    return Answer(
        f"Sheet {sheet.number} is off the table: tap once what is lost, twice what is damaged.",
        (code,),
    )


def _finish(transaction: Transaction, sheet: rules.Sheet) -> None:
    sheets.set_state(transaction.db, sheet.id, "off the table", finished_at=transaction.at)
    transaction.record(rules.SheetFinished(sheet.number))


@command("tapped a piece", OPERATOR)
def tap(transaction: Transaction, sheet_code: str, code: str, shown: str) -> Answer:
    """A tap on a piece of the sheet's picture: it goes round good, lost, damaged. `shown` is the state that it was drawn in.

    Raises Conflict where the sheet takes no marks, or where the piece has become something else since it was drawn; if
    another tablet said the same, the answer is a friendly one.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_marked(sheet)
    piece = pieces.by_code(transaction.db, code)
    if piece.sheet != sheet.id:
        raise Conflict(
            f"{show(code)} is no longer on sheet {sheet.number}: look at the picture again."
        )
    wanted = rules.after_tap(shown)
    if rules.has_moved_on(piece, shown) and not rules.is_as_wanted(piece, wanted):
        raise Conflict(rules.tap_is_stale(piece))
    return set_mark(transaction, piece, wanted, tapped=True)


@command("marked the rest cut", OPERATOR)
def mark_rest_cut(transaction: Transaction, sheet_code: str, codes: Sequence[str]) -> Answer:
    """Marks the pieces of `codes`, those that the button showed, cut; then closes the sheet if nothing is open.

    Pieces changed meanwhile are left as they are and named in the answer.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_marked(sheet)
    here = {piece.code: piece for piece in pieces.of_sheet(transaction.db, sheet.id)}
    left = [code for code in codes if code not in here or here[code].state != "nested"]
    cut = [code for code in codes if code not in left]
    for code in cut:
        set_mark(transaction, here[code], "cut")
    if sheet.state == "cutting":
        _finish(transaction, sheet)
    sentence = f"{len(cut)} marked cut."
    if left:
        sentence += f" Changed meanwhile and left as they are: {', '.join(map(show, left))}."
    data = {"left": left, "is_closed": False, "offcut": None}
    if not rules.open_pieces(pieces.of_sheet(transaction.db, sheet.id)):
        data.update(
            is_closed=True, offcut=_close(transaction, sheets.sheet(transaction.db, sheet.id))
        )
        sentence += f" Sheet {sheet.number} is closed{_offcut_said(data['offcut'])}."
    return Answer(sentence, (sheet_code, *cut), data)


@command("closed a sheet", OPERATOR)
def close(transaction: Transaction, code: str) -> Answer:
    """Each piece has its outcome: what is left of the blank goes to Stock as an offcut."""
    sheet = sheets.sheet_by_code(transaction.db, code)
    rules.may_close(sheet, pieces.of_sheet(transaction.db, sheet.id))
    offcut = _close(transaction, sheet)
    return Answer(
        f"Sheet {sheet.number} is closed{_offcut_said(offcut)}.", (code,), {"offcut": offcut}
    )


def _offcut_said(offcut: str | None) -> str:
    return f"; its offcut is {show(offcut)} in Stock" if offcut else ""


def _close(transaction: Transaction, sheet: rules.Sheet) -> str | None:
    blank = stock.blank(transaction.db, sheet.blank)
    made, shop_settings = (
        sheets.made_nest(transaction.db, sheet.nest),
        settings.load(transaction.db),
    )
    size = nests.offcut_size(made, blank.length_mm, blank.width_mm, shop_settings.offcut_from_mm)
    offcut = None
    if size:
        offcut = transaction.new_code("blank")
        stock.add_blank(
            transaction.db, offcut, sheet.stock, *size, is_offcut=True, cut_from=sheet.id
        )
    sheets.set_state(transaction.db, sheet.id, "closed", closed_at=transaction.at)
    transaction.record(rules.SheetClosed(sheet.number, offcut))
    return offcut


@command("abandoned a sheet", OPERATOR)
def abandon(
    transaction: Transaction, sheet_code: str, good: Sequence[str] = (), spoiled: Sequence[str] = ()
) -> Answer:
    """Gives a sheet up: `good` codes are marked cut, `spoiled` damaged, the untouched wait again as the same pieces.

    A blank that nothing was cut from goes back into the rack. Raises Refused where a piece is named twice or is not open.
    """
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_be_abandoned(sheet)
    if set(good) & set(spoiled):
        raise Refused("A piece cannot be good and spoiled: tap it again.")
    here = {piece.code: piece for piece in pieces.of_sheet(transaction.db, sheet.id)}
    if not set(good) | set(spoiled) <= {code for code in here if here[code].state == "nested"}:
        raise Conflict("Some of these pieces were marked meanwhile: look at the picture again.")
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
    transaction.record(rules.SheetAbandoned(sheet.number, len(good), len(spoiled), len(untouched)))
    sentence = f"Sheet {sheet.number} is abandoned: {len(good)} good, {len(spoiled)} spoiled, {len(untouched)} wait again."
    return Answer(sentence, (sheet_code,))


def put_back(transaction: Transaction, some: Sequence[life.Piece]) -> None:
    """Pieces that were not cut wait again; one that nobody needs any more is withdrawn instead."""
    for piece in some:
        event = (
            life.PieceUncut(piece.id) if piece.part is not None else life.PieceWithdrawn(piece.id)
        )
        pieces.write(transaction.db, [event], transaction.at)
        transaction.record(event)


@command("swapped a blank", OPERATOR)
def swap_blank(transaction: Transaction, sheet_code: str, blank_code: str) -> Answer:
    """Another free blank of the same stock for a planned sheet, large enough for its nest."""
    sheet = sheets.sheet_by_code(transaction.db, sheet_code)
    rules.may_take_blank(sheet)
    old, new = (
        stock.blank(transaction.db, sheet.blank),
        stock.blank_by_code(transaction.db, blank_code),
    )
    if new.stock != sheet.stock or new.state != "free":
        raise Conflict(
            f"The blank {show(blank_code)} is not a free one of this stock: choose another."
        )
    length_mm, width_mm = least_blank(transaction.db, sheet, old)
    if new.length_mm < length_mm or new.width_mm < width_mm:
        raise Conflict(
            f"The blank {show(blank_code)} is smaller than the nest needs: choose another."
        )
    stock.release_blank(transaction.db, old.id)
    stock.set_blank(transaction.db, new.id, "booked")
    sheets.set_blank(transaction.db, sheet.id, new.id)
    return Answer(f"Sheet {sheet.number} is cut from {show(blank_code)}.", (sheet_code, blank_code))


def least_blank(db, sheet: rules.Sheet, blank: stock.Blank) -> tuple[float, float]:
    """(length, width) in mm that another blank for this sheet must have at the least."""
    row = sheets.row(db, sheet.id)
    made = sheets.made_nest(db, sheet.nest)
    return nests.least_blank(made, blank.length_mm, blank.width_mm, row.gap_mm, row.margin_mm)
