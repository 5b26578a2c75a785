"""What people do with sheets: nest pieces on them, start, finish, tap pieces, mark the rest, close, abandon."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain.routing import nests, sheets as rules
from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..store import pieces, settings, sheets, stock
from .unit_of_work import Act, Answer, act
from .pieces import begin_sheet, set_mark

OPERATOR = "operator"


@act("started a sheet", OPERATOR)
def start(act: Act, code: str) -> Answer:
    """The router begins: the blank is used from now on."""
    sheet = sheets.sheet_by_code(act.db, code)
    rules.may_start(sheet)
    blank = stock.blank(act.db, sheet.blank)
    begin_sheet(act, sheet)
    bought = (
        "" if blank.is_bought else " Its blank was still to be bought: it counts as bought now."
    )
    return Answer(f"Sheet {sheet.number} is being cut.{bought}", (code,))


@act("took a sheet off the table", OPERATOR)
def finish(act: Act, code: str) -> Answer:
    """The router is done: the pieces come off."""
    sheet = sheets.sheet_by_code(act.db, code)
    rules.may_finish(sheet)
    _finish(act, sheet)
    return Answer(
        f"Sheet {sheet.number} is off the table: tap once what is lost, twice what is damaged.",
        (code,),
    )


def _finish(act: Act, sheet: rules.Sheet) -> None:
    sheets.set_state(act.db, sheet.id, "off the table", finished_at=act.at)
    act.tell(rules.SheetFinished(sheet.number))


@act("tapped a piece", OPERATOR)
def tap(act: Act, sheet_code: str, code: str, shown: str) -> Answer:
    """A tap on a piece of the sheet's picture: it goes round good, lost, damaged. `shown` is the state that it was drawn in.

    Raises Conflict where the sheet takes no marks, or where the piece has become something else since it was drawn; if
    another tablet said the same, the answer is a friendly one.
    """
    sheet = sheets.sheet_by_code(act.db, sheet_code)
    rules.may_be_marked(sheet)
    piece = pieces.by_code(act.db, code)
    if piece.sheet != sheet.id:
        raise Conflict(
            f"{show(code)} is no longer on sheet {sheet.number}: look at the picture again."
        )
    wanted = rules.after_tap(shown)
    if rules.has_moved_on(piece, shown) and not rules.is_as_wanted(piece, wanted):
        raise Conflict(rules.tap_is_stale(piece))
    return set_mark(act, piece, wanted, tapped=True)


@act("marked the rest cut", OPERATOR)
def mark_rest_cut(act: Act, sheet_code: str, codes: Sequence[str]) -> Answer:
    """Marks the pieces of `codes`, those that the button showed, cut; then closes the sheet if nothing is open.

    Pieces changed meanwhile are left as they are and named in the answer.
    """
    sheet = sheets.sheet_by_code(act.db, sheet_code)
    rules.may_be_marked(sheet)
    here = {piece.code: piece for piece in pieces.of_sheet(act.db, sheet.id)}
    left = [code for code in codes if code not in here or here[code].state != "nested"]
    cut = [code for code in codes if code not in left]
    for code in cut:
        set_mark(act, here[code], "cut")
    if sheet.state == "cutting":
        _finish(act, sheet)
    sentence = f"{len(cut)} marked cut."
    if left:
        sentence += f" Changed meanwhile and left as they are: {', '.join(map(show, left))}."
    data = {"left": left, "is_closed": False, "offcut": None}
    if not rules.open_pieces(pieces.of_sheet(act.db, sheet.id)):
        data.update(is_closed=True, offcut=_close(act, sheets.sheet(act.db, sheet.id)))
        sentence += f" Sheet {sheet.number} is closed{_offcut_said(data['offcut'])}."
    return Answer(sentence, (sheet_code, *cut), data)


@act("closed a sheet", OPERATOR)
def close(act: Act, code: str) -> Answer:
    """Each piece has its outcome: what is left of the blank goes to Stock as an offcut."""
    sheet = sheets.sheet_by_code(act.db, code)
    rules.may_close(sheet, pieces.of_sheet(act.db, sheet.id))
    offcut = _close(act, sheet)
    return Answer(
        f"Sheet {sheet.number} is closed{_offcut_said(offcut)}.", (code,), {"offcut": offcut}
    )


def _offcut_said(offcut: str | None) -> str:
    return f"; its offcut is {show(offcut)} in Stock" if offcut else ""


def _close(act: Act, sheet: rules.Sheet) -> str | None:
    blank = stock.blank(act.db, sheet.blank)
    made, shop = sheets.made_nest(act.db, sheet.nest), settings.load(act.db)
    size = nests.offcut_size(made, blank.length_mm, blank.width_mm, shop.offcut_from_mm)
    offcut = None
    if size:
        offcut = act.new_code("blank")
        stock.add_blank(act.db, offcut, sheet.stock, *size, is_offcut=True, cut_from=sheet.id)
    sheets.set_state(act.db, sheet.id, "closed", closed_at=act.at)
    act.tell(rules.SheetClosed(sheet.number, offcut))
    return offcut


@act("abandoned a sheet", OPERATOR)
def abandon(
    act: Act, sheet_code: str, good: Sequence[str] = (), spoiled: Sequence[str] = ()
) -> Answer:
    """Gives a sheet up: `good` codes are marked cut, `spoiled` damaged, the untouched wait again as the same pieces.

    A blank that nothing was cut from goes back into the rack. Raises Refused where a piece is named twice or is not open.
    """
    sheet = sheets.sheet_by_code(act.db, sheet_code)
    rules.may_be_abandoned(sheet)
    if set(good) & set(spoiled):
        raise Refused("A piece cannot be good and spoiled: tap it again.")
    here = {piece.code: piece for piece in pieces.of_sheet(act.db, sheet.id)}
    if not set(good) | set(spoiled) <= {code for code in here if here[code].state == "nested"}:
        raise Conflict("Some of these pieces were marked meanwhile: look at the picture again.")
    has_outcome = any(piece.state != "nested" for piece in here.values())
    for code in good:
        set_mark(act, here[code], "cut")
    for code in spoiled:
        set_mark(act, here[code], "damaged", "its sheet was abandoned")
    untouched = [
        piece
        for piece in here.values()
        if piece.state == "nested" and piece.code not in {*good, *spoiled}
    ]
    put_back(act, untouched)
    if not (good or spoiled or has_outcome):
        stock.set_blank(act.db, sheet.blank, "booked")
        stock.release_blank(act.db, sheet.blank)
    sheets.set_state(act.db, sheet.id, "abandoned", closed_at=act.at)
    act.tell(rules.SheetAbandoned(sheet.number, len(good), len(spoiled), len(untouched)))
    sentence = f"Sheet {sheet.number} is abandoned: {len(good)} good, {len(spoiled)} spoiled, {len(untouched)} wait again."
    return Answer(sentence, (sheet_code,))


def put_back(act: Act, some: Sequence[life.Piece]) -> None:
    """Pieces that were not cut wait again; one that nobody needs any more is withdrawn instead."""
    for piece in some:
        event = (
            life.PieceUncut(piece.id) if piece.part is not None else life.PieceWithdrawn(piece.id)
        )
        pieces.write(act.db, [event], act.at)
        act.tell(event)


@act("swapped a blank", OPERATOR)
def swap_blank(act: Act, sheet_code: str, blank_code: str) -> Answer:
    """Another free blank of the same stock for a planned sheet, large enough for its nest."""
    sheet = sheets.sheet_by_code(act.db, sheet_code)
    rules.may_take_blank(sheet)
    old, new = stock.blank(act.db, sheet.blank), stock.blank_by_code(act.db, blank_code)
    if new.stock != sheet.stock or new.state != "free":
        raise Conflict(
            f"The blank {show(blank_code)} is not a free one of this stock: choose another."
        )
    length_mm, width_mm = least_blank(act.db, sheet, old)
    if new.length_mm < length_mm or new.width_mm < width_mm:
        raise Conflict(
            f"The blank {show(blank_code)} is smaller than the nest needs: choose another."
        )
    stock.release_blank(act.db, old.id)
    stock.set_blank(act.db, new.id, "booked")
    sheets.set_blank(act.db, sheet.id, new.id)
    return Answer(f"Sheet {sheet.number} is cut from {show(blank_code)}.", (sheet_code, blank_code))


def least_blank(db, sheet: rules.Sheet, blank: stock.Blank) -> tuple[float, float]:
    """(length, width) in mm that another blank for this sheet must have at the least."""
    row = sheets.row(db, sheet.id)
    made = sheets.made_nest(db, sheet.nest)
    return nests.least_blank(made, blank.length_mm, blank.width_mm, row.gap_mm, row.margin_mm)
