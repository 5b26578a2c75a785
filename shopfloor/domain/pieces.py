"""The life of a piece: what may happen to it in each state, and what follows.

A piece waits, is nested on a sheet, is cut, is trimmed of its tabs and so is ready, and is fixed to its sign. On the way it
may be lost or damaged; then a recut for its part is queued at once, held with tabs. Pure: each rule takes what is known and
returns what happens, as events in the past tense, or raises Conflict.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..wording import pieces as wording
from ..wording.message import Message
from .codes import show
from .errors import Conflict

MARKS = ("cut", "trimmed", "lost", "damaged", "found", "came off")
IN_HAND = ("cut", "ready", "fixed")  # off the table and not gone
GONE = ("lost", "damaged")
CUTTABLE = (
    "cutting",
    "off the table",
)  # states of a sheet on which pieces have come, or are coming, off
PROGRESS = {
    "withdrawn": -2,
    "lost": -1,
    "damaged": -1,
    "waiting": 0,
    "nested": 1,
    "cut": 2,
    "ready": 3,
    "fixed": 4,
}

# Causes of a loss; the likely one is taken, and one tap changes it.
HOSE, SHIFTED, DROPPED, CHIPPED, SCRATCHED = (
    "went down the hose",
    "came free and shifted",
    "dropped at the bench",
    "chipped on the router",
    "scratched",
)
AT_THE_ROUTER = {
    "lost": (HOSE, SHIFTED, "nobody knows"),
    "damaged": (CHIPPED, SHIFTED, SCRATCHED, "cut wrong"),
}
NOT_HELD = (
    HOSE,
    SHIFTED,
    CHIPPED,
    "nobody knows",
)  # causes at the router that better holding would have prevented
AT_THE_BENCH = {"lost": (DROPPED, "nobody knows"), "damaged": (SCRATCHED, DROPPED)}
ON_THE_SIGN = {
    "lost": (DROPPED, "nobody knows"),
    "damaged": (SCRATCHED, "crazed by cement", "glued crooked", DROPPED),
}


@dataclass(frozen=True)
class Piece:
    """One physical cut. `part` is the part that it is for now (None: a spare); `sheet_state` is None without a sheet."""

    id: int
    code: str
    state: str
    attempt: int
    tabs: int
    was: str | None
    cause: str | None
    outline: int
    stock: int
    sheet: int | None = None
    sheet_state: str | None = None
    part: int | None = None
    last_part: int | None = None
    sign_state: str | None = None
    perimeter_mm: float = 0.0


@dataclass(frozen=True)
class PieceCut:
    """Came off the table good. `state` is 'cut' where tabs are to be trimmed, else 'ready'."""

    piece: int
    state: str


@dataclass(frozen=True)
class TabsTrimmed:
    """Its tabs are off, and it is ready."""

    piece: int


@dataclass(frozen=True)
class PieceLost:
    """The piece is gone. `was` is its state before."""

    piece: int
    was: str
    cause: str


@dataclass(frozen=True)
class PieceDamaged:
    """The piece is spoiled. `was` is its state before."""

    piece: int
    was: str
    cause: str


@dataclass(frozen=True)
class CauseChanged:
    """Another cause of its loss was given."""

    piece: int
    cause: str


@dataclass(frozen=True)
class AssignmentEnded:
    """A piece is no longer for its part."""

    piece: int
    why: str


@dataclass(frozen=True)
class PieceAssigned:
    """A piece is for a part from now on."""

    piece: int
    part: int


@dataclass(frozen=True)
class RecutQueued:
    """A recut for a part waits for a sheet, held with tabs."""

    code: str
    part: int
    outline: int
    stock: int
    attempt: int
    tabs: int


@dataclass(frozen=True)
class PieceFound:
    """The piece is back. `state` is what it is now."""

    piece: int
    state: str


@dataclass(frozen=True)
class PieceWithdrawn:
    """The piece is no longer needed and will not be cut."""

    piece: int


@dataclass(frozen=True)
class PieceUncut:
    """Its sheet was given up or nested again before the piece was cut: the same piece waits again."""

    piece: int


@dataclass(frozen=True)
class PieceFixed:
    """The piece is joined to its sign."""

    piece: int


@dataclass(frozen=True)
class PieceCameOff:
    """The piece came off its sign and is in hand again."""

    piece: int


Event = (
    PieceCut
    | TabsTrimmed
    | PieceLost
    | PieceDamaged
    | CauseChanged
    | AssignmentEnded
    | PieceAssigned
    | RecutQueued
    | PieceFound
    | PieceWithdrawn
    | PieceUncut
    | PieceFixed
    | PieceCameOff
)


def called(code: str, number: int | None, name: str, sign: str) -> Message:
    """Return what people call a piece by its part's number and name and its sign ('J-1042 A'); by its code without a part."""
    if number is None:
        return wording.spare(code)
    if name in ("", f"no. {number}"):
        return wording.numbered_part_of_sign(number, sign)
    return wording.part_of_sign(name, sign)


def usual_tabs(perimeter_mm: float, every_mm: float, fewest: int) -> int:
    """How many tabs hold a piece: about one for each `every_mm` of outline, at least `fewest` (common practice)."""
    return max(fewest, math.floor(perimeter_mm / every_mm + 0.5))  # a half counts up


def cut(piece: Piece) -> list[Event]:
    """The piece came off the table good."""
    if piece.state in IN_HAND:
        return []
    if piece.state == "nested":
        return [PieceCut(piece.id, "cut" if piece.tabs else "ready")]
    raise _refusal(piece, wording.cannot_mark("cut"))


def trimmed(piece: Piece) -> list[Event]:
    """Its tabs were trimmed off."""
    if piece.state in ("ready", "fixed"):
        return []
    if piece.state == "cut":
        return [TabsTrimmed(piece.id)]
    raise _refusal(piece, wording.cannot_mark("trimmed"))


def gone(
    piece: Piece,
    mark: str,
    cause: str | None,
    new_code: Callable[[], str],
    attempt: int,
    tabs: int,
) -> list[Event]:
    """The piece is 'lost' or 'damaged': a recut for its part is queued with tabs on, in the same act.

    `new_code` is called for the recut's code only where one is needed; `attempt` and `tabs` are the recut's. A piece that is gone
    already gets no second recut; the other mark corrects the first.
    """
    happened = PieceLost if mark == "lost" else PieceDamaged
    if piece.state in GONE:
        if piece.state == mark:
            return [] if cause in (None, piece.cause) else [CauseChanged(piece.id, cause)]
        was = _state_before(piece)
        return [happened(piece.id, was, cause or causes_of(mark, was)[0])]
    if piece.state not in ("nested", "cut", "ready", "fixed"):
        raise _refusal(piece, wording.cannot_mark(mark))
    if piece.sign_state in ("packed", "handed over"):
        raise Conflict(wording.sign_is_closed(piece.code, piece.sign_state))
    events: list[Event] = [
        happened(piece.id, piece.state, cause or causes_of(mark, piece.state)[0])
    ]
    if piece.part is not None:
        events.append(AssignmentEnded(piece.id, mark))
        events.append(
            RecutQueued(new_code(), piece.part, piece.outline, piece.stock, attempt, tabs)
        )
    return events


def _state_before(piece: Piece) -> str:
    """Return the state that a lost or damaged piece had before."""
    if piece.was is None:
        raise ValueError(f"piece {piece.id} is gone, and its state before is not kept")
    return piece.was


def causes_of(mark: str, was: str | None) -> tuple[str, ...]:
    """Return what may have happened to a piece marked 'lost' or 'damaged', by its state before; the likeliest first: at the table the hose or
    the cutter, at the bench a fall or a scratch."""
    where = (
        AT_THE_ROUTER
        if was in ("nested", "cut")
        else ON_THE_SIGN
        if was == "fixed"
        else AT_THE_BENCH
    )
    return where.get(mark, ())


def came_free(piece: Piece) -> bool | None:
    """Return whether the piece moved while it was cut; None before it has an outcome.

    A piece that was lost at the router and found again did come free, so a find says nothing new. What went wrong at the
    bench, and what was cut wrong or given up with its sheet, is no fault of its hold-down.
    """
    if piece.state in GONE:
        return piece.was in ("nested", "cut") and piece.cause in NOT_HELD
    return False if piece.state in IN_HAND else None


def found(piece: Piece, others: Sequence[Piece], *, may_be_damaged: bool = False) -> list[Event]:
    """A lost piece is back, in its state before the loss; what was only nested counts as cut.

    `others` are the live and waiting pieces of its part. The part keeps the piece that is furthest along, on a tie the
    earlier attempt. Others not yet on a started sheet are withdrawn; those that are become spares once cut.
    `may_be_damaged`: on the sheet's picture a mistaken 'damaged' is taken back the same way.
    """
    if piece.state not in GONE:
        return []
    if piece.state == "damaged" and not may_be_damaged:
        raise Conflict(wording.damaged_not_lost(piece.code))
    state = _state_before(piece)
    if state == "nested":
        state = "cut" if piece.tabs else "ready"
    if state == "fixed":
        state = "ready"  # it is no longer on its sign and must be joined again
    events: list[Event] = [PieceFound(piece.id, state)]
    if piece.last_part is None or piece.sign_state not in ("open", "on hold"):
        return events
    if any(
        (PROGRESS[other.state], -other.attempt) > (PROGRESS[state], -piece.attempt)
        for other in others
    ):
        return events
    for other in others:
        events.append(AssignmentEnded(other.id, f"{show(piece.code)} was found"))
        if is_not_begun(other):
            events.append(PieceWithdrawn(other.id))
    return [*events, PieceAssigned(piece.id, piece.last_part)]


def is_not_begun(piece: Piece) -> bool:
    """Return whether the piece waits, or is nested on a sheet that has not been started."""
    return piece.state == "waiting" or (
        piece.state == "nested" and piece.sheet_state not in CUTTABLE
    )


def fixed(piece: Piece) -> list[Event]:
    """The piece was joined to its sign."""
    if piece.state == "fixed":
        return []
    if piece.state == "ready":
        return [PieceFixed(piece.id)]
    raise _refusal(piece, wording.only_ready_is_mounted())


def came_off(piece: Piece) -> list[Event]:
    """The piece came off its sign; off a cancelled one it is a spare."""
    if piece.state == "fixed":
        is_spare = piece.sign_state == "cancelled" and piece.part is not None
        return [
            PieceCameOff(piece.id),
            *([AssignmentEnded(piece.id, "the sign was cancelled")] if is_spare else []),
        ]
    raise _refusal(piece, wording.cannot_mark("came off"))


def no_longer_needed(piece: Piece, why: str = "the sign was cancelled") -> list[Event]:
    """Its part is no longer wanted: what is not cut is withdrawn, what is cut becomes a spare."""
    events: list[Event] = [AssignmentEnded(piece.id, why)]
    if is_not_begun(piece):
        events.append(PieceWithdrawn(piece.id))
    elif piece.state == "fixed":
        events.append(PieceCameOff(piece.id))
    return events


def allowed_marks(piece: Piece) -> list[str]:
    """Return the marks that a person may set on the piece now, the likeliest first."""
    if piece.state == "nested" and piece.sheet_state not in CUTTABLE:
        return []
    by_state = {
        "nested": ["cut", "lost", "damaged"],
        "cut": ["trimmed", "lost", "damaged"],
        "ready": ["lost", "damaged"],
        "fixed": ["came off", "damaged", "lost"],
        "lost": ["found"],
    }
    return by_state.get(piece.state, [])


def _refusal(piece: Piece, why: Message) -> Conflict:
    return Conflict(wording.state_then(piece.code, piece.state, why))
