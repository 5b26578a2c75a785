"""A piece that was dropped, scratched, crazed or glued crooked, told on the bench's own page.

Owns what is asked about it there; how it is sent is in `bench`. The mark itself, its recut and what reopens are in the actions.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...domain import pieces as life
from ...domain.bench import bench as wording
from ...domain.bench.steps import Sign
from ...store import pieces
from ...store.db import Connection
from ...wording import pieces as pieces_wording

LIVE_AT_THE_BENCH = ("cut", "ready", "fixed")
WORDS = {"lost": "Lost", "damaged": "Spoiled"}


@dataclass(frozen=True)
class Mishap:
    """One thing that may have happened: the mark that it sets, its cause ('' for none), and the words on its button."""

    mark: str
    cause: str
    words: str


@dataclass(frozen=True)
class Spoilt:
    """What is asked. `code` is None while the part is still to be chosen, of `choices` (id, words); without `mishaps` there is
    nothing to tell of it, and `stands` says why."""

    code: str | None
    called: str
    stands: str
    mishaps: tuple[Mishap, ...]
    choices: tuple[tuple[int, str], ...] = ()


def spoilt(db: Connection, sign: Sign, part: int) -> Spoilt:
    """What may be told of a part's piece; for a part that the sign does not have, which one is asked first."""
    chosen = sign.parts.get(part)
    if chosen is None:
        here = [one for one in sign.parts.values() if one.state in LIVE_AT_THE_BENCH]
        return Spoilt(None, "", "", (), tuple((one.id, wording.called(one)) for one in here))
    if chosen.code is None or chosen.state not in LIVE_AT_THE_BENCH:
        return Spoilt(
            chosen.code, wording.called(chosen), wording.missing_sentences([chosen])[0], ()
        )
    piece = pieces.by_code(db, chosen.code)
    mishaps = [
        Mishap(mark, cause, f"{WORDS[mark]}: {cause}")
        for mark in ("damaged", "lost")
        for cause in life.causes_of(mark, piece.state)
    ]
    if piece.state == "fixed":
        mishaps.insert(0, Mishap("came off", "", "It came off whole"))
    return Spoilt(
        piece.code,
        wording.called(chosen),
        str(pieces_wording.standing(piece.state)),
        tuple(mishaps),
    )
