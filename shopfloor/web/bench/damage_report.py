"""What happened to a piece (dropped, scratched, crazed, glued crooked), asked on the bench's own page.

How it is sent is in `bench`. The mark itself, its recut and what reopens are in the actions.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...domain import pieces as life
from ...domain.bench.steps import Sign
from ...domain.bench.waiting import whereabouts
from ...store import pieces
from ...store.db import Connection
from ...wording import bench as wording
from ...wording import pieces as pieces_wording
from ...wording.message import Message, joined

LIVE_AT_THE_BENCH = ("cut", "ready", "fixed")


@dataclass(frozen=True)
class Mishap:
    """One thing that may have happened: the mark that it sets, its cause ('' for none), and the words on its button."""

    mark: str
    cause: str
    words: Message


@dataclass(frozen=True)
class Spoilt:
    """What is asked about a part's piece. `code` is None where it has none; without `mishaps` nothing can be reported, and
    `standing` says why. `called` is None while the part is still to be chosen, of `choices` (id, name)."""

    code: str | None
    called: Message | None
    standing: Message | None
    mishaps: tuple[Mishap, ...]
    choices: tuple[tuple[int, Message], ...] = ()


def spoilt(db: Connection, sign: Sign, part: int) -> Spoilt:
    """Return what may be reported of a part's piece; for a part that the sign does not have, ask which one first."""
    chosen = sign.parts.get(part)
    if chosen is None:
        here = [part for part in sign.parts.values() if part.state in LIVE_AT_THE_BENCH]
        return Spoilt(None, None, None, (), tuple((part.id, part.called) for part in here))
    if chosen.code is None or chosen.state not in LIVE_AT_THE_BENCH:
        return Spoilt(chosen.code, chosen.called, joined(whereabouts([chosen])), ())
    piece = pieces.by_code(db, chosen.code)
    mishaps = [
        Mishap(mark, cause, pieces_wording.standing_because(mark, pieces_wording.cause(cause)))
        for mark in ("damaged", "lost")
        for cause in life.causes_of(mark, piece.state)
    ]
    if piece.state == "fixed":
        mishaps.insert(0, Mishap("came off", "", wording.came_off_whole()))
    standing = wording.what_happened(pieces_wording.standing(piece.state))
    return Spoilt(piece.code, chosen.called, standing, tuple(mishaps))
