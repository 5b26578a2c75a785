"""A sheet on the router: planned, cutting, off the table, closed or abandoned, and what may be done in each state.

Pure. Must not know how a nest is made (nesting.py) or how it is checked (nests.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from ...wording import sheets as wording
from ...wording.message import Message
from ..errors import Conflict
from ..pieces import IN_HAND, Piece

LIVE = ("planned", "cutting", "off the table")


@dataclass(frozen=True)
class Sheet:
    """One run on the router, as the rules need it. `nest` is its present layout."""

    id: int
    number: str
    code: str
    stock: int
    blank: int
    state: str
    nest: int


def may_start(sheet: Sheet) -> None:
    """Raise Conflict unless the sheet is planned."""
    if sheet.state != "planned":
        raise Conflict(wording.cannot_start_again(_status(sheet)))


def may_finish(sheet: Sheet) -> None:
    """Raise Conflict unless the sheet is being cut."""
    if sheet.state == "planned":
        raise Conflict(wording.start_it_first(_status(sheet)))
    if sheet.state != "cutting":
        raise Conflict(wording.already(sheet.number, sheet.state))


def may_be_marked(sheet: Sheet) -> None:
    """Raise Conflict unless pieces can be marked on the sheet's picture: from the start until it is closed."""
    if sheet.state == "planned":
        raise Conflict(wording.start_it_first(_status(sheet)))
    if sheet.state not in ("cutting", "off the table"):
        raise Conflict(wording.mark_on_piece_page(_status(sheet)))


def may_close(sheet: Sheet, pieces: list[Piece]) -> None:
    """Raise Conflict unless the sheet is off the table and each of its pieces has an outcome."""
    if sheet.state != "off the table":
        raise Conflict(wording.close_when_off_the_table(_status(sheet)))
    unmarked = open_pieces(pieces)
    if unmarked:
        raise Conflict(wording.no_outcome_yet(len(unmarked), sheet.number))


def may_be_abandoned(sheet: Sheet) -> None:
    """Raise Conflict unless the sheet is live."""
    if sheet.state not in LIVE:
        raise Conflict(wording.already(sheet.number, sheet.state))


def may_take_blank(sheet: Sheet) -> None:
    """Raise Conflict once the sheet is started: until then its blank may be swapped."""
    if sheet.state != "planned":
        raise Conflict(wording.swap_before_start(_status(sheet)))


def may_be_held_otherwise(sheet: Sheet) -> None:
    """Raise Conflict once the sheet is started: its hold-down is a record from then on."""
    if sheet.state != "planned":
        raise Conflict(wording.choose_hold_down_before_start(_status(sheet)))


def open_pieces(pieces: list[Piece]) -> list[Piece]:
    """Return the pieces without an outcome."""
    return [piece for piece in pieces if piece.state == "nested"]


def after_tap(shown: str) -> str:
    """Return the mark that a tap sets ('lost', 'damaged' or 'good') on a piece drawn in the state `shown`.

    Taps go round: good, lost, damaged, good.
    """
    return {"lost": "damaged", "damaged": "good"}.get(shown, "lost")


def is_as_wanted(piece: Piece, mark: str) -> bool:
    """True where somebody else set the same mark already."""
    return piece.state == mark or (mark == "good" and piece.state in IN_HAND)


def _status(sheet: Sheet) -> Message:
    return wording.status(sheet.number, sheet.state)
