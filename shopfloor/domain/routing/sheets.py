"""A sheet on the router: planned, cutting, off the table, closed or abandoned, and what may happen in each.

Pure. Must not know how a nest is made (that is nesting.py) or how it is checked (that is nests.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from ..codes import show
from ..errors import Conflict
from ..pieces import IN_HAND, Piece

LIVE = ("planned", "cutting", "off the table")


@dataclass(frozen=True)
class Sheet:
    """One run on the router, as the rules need it."""

    id: int
    number: str
    code: str
    stock: int
    blank: int
    state: str
    nest: int | None


@dataclass(frozen=True)
class SheetPlanned:
    """Pieces were nested on a blank."""

    sheet: str
    nest: int
    pieces: int
    along: str
    used_mm: float


@dataclass(frozen=True)
class SheetStarted:
    """The router began."""

    sheet: str


@dataclass(frozen=True)
class SheetFinished:
    """It is off the table."""

    sheet: str


@dataclass(frozen=True)
class SheetClosed:
    """Each of its pieces has an outcome. `offcut` is the code of what is left and kept, or None."""

    sheet: str
    offcut: str | None


@dataclass(frozen=True)
class SheetAbandoned:
    """It was given up: counts of what was good, spoiled, untouched."""

    sheet: str
    good: int
    spoiled: int
    untouched: int


def may_start(sheet: Sheet) -> None:
    """Raises Conflict unless it is planned."""
    if sheet.state != "planned":
        raise Conflict(f"Sheet {sheet.number} is {_now(sheet)}: it cannot be started again.")


def may_finish(sheet: Sheet) -> None:
    """Raises Conflict unless it is cutting."""
    if sheet.state == "planned":
        raise Conflict(f"Sheet {sheet.number} is not started: press Start first.")
    if sheet.state != "cutting":
        raise Conflict(f"Sheet {sheet.number} is {_now(sheet)} already.")


def may_be_marked(sheet: Sheet) -> None:
    """Raises Conflict unless its picture takes marks: from the start until it is closed."""
    if sheet.state == "planned":
        raise Conflict(f"Sheet {sheet.number} is not started: press Start first.")
    if sheet.state not in ("cutting", "off the table"):
        raise Conflict(f"Sheet {sheet.number} is {_now(sheet)}: mark the piece on its own page.")


def may_close(sheet: Sheet, pieces: list[Piece]) -> None:
    """Raises Conflict unless it is off the table and each of its pieces has an outcome."""
    if sheet.state != "off the table":
        raise Conflict(
            f"Sheet {sheet.number} is {_now(sheet)}: it is closed when it is off the table."
        )
    left = open_pieces(pieces)
    if left:
        raise Conflict(
            f"{_pieces(len(left))} of sheet {sheet.number} have no outcome yet: mark them first."
        )


def may_be_abandoned(sheet: Sheet) -> None:
    """Raises Conflict unless it is live."""
    if sheet.state not in LIVE:
        raise Conflict(f"Sheet {sheet.number} is {_now(sheet)} already.")


def may_take_blank(sheet: Sheet) -> None:
    """Raises Conflict once it is started: until then its blank may be swapped."""
    if sheet.state != "planned":
        raise Conflict(
            f"Sheet {sheet.number} is {_now(sheet)}: its blank can only be swapped before the start."
        )


def may_be_held_otherwise(sheet: Sheet) -> None:
    """Raises Conflict once it is started: how its pieces are held is a record from then on."""
    if sheet.state != "planned":
        raise Conflict(
            f"Sheet {sheet.number} is {_now(sheet)}: how its pieces are held is chosen before the start."
        )


def open_pieces(pieces: list[Piece]) -> list[Piece]:
    """Those without an outcome."""
    return [piece for piece in pieces if piece.state == "nested"]


def after_tap(shown: str) -> str:
    """A tap on a piece goes round: good, lost, damaged, good. `shown` is the state that the picture showed.

    Gives the mark to set: 'lost', 'damaged' or 'good'.
    """
    return {"lost": "damaged", "damaged": "good"}.get(shown, "lost")


def has_moved_on(piece: Piece, shown: str) -> bool:
    """True where the piece is not as the picture showed it: somebody else was quicker, the tap is left aside."""
    return piece.state != shown


def is_as_wanted(piece: Piece, mark: str) -> bool:
    """True where somebody else set the same mark already."""
    return piece.state == mark or (mark == "good" and piece.state in IN_HAND)


def tap_is_stale(piece: Piece) -> str:
    """What to say then."""
    return f"{show(piece.code)} was marked {piece.state} meanwhile: look at the picture again."


def _now(sheet: Sheet) -> str:
    return "being cut" if sheet.state == "cutting" else sheet.state


def _pieces(count: int) -> str:
    return "1 piece" if count == 1 else f"{count} pieces"
