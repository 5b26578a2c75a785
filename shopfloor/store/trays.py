"""Trays and what lies in them, in the database. A piece is put into one by `pieces`; what may lie where is in `domain.bench.trays`."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ..domain.bench.trays import Tray
from ..domain.pieces import called
from ..wording import trays as wording
from ..wording.message import Message
from .sql import LISTED, insert, listed, read_all, read_one, scalar_or_none, update


@dataclass(frozen=True)
class Lying:
    """A piece and where it lies. `tray` None: on the bench itself; `picked_for` is the sign that it lies ready for; `part` to
    `sign_called` are of the part that it is for now (None and '' for a spare)."""

    piece: int
    code: str
    state: str
    outline: int
    colour: str
    tray: int | None
    picked_for: int | None
    part: int | None
    number: int | None
    name: str
    level: int | None
    sign: int | None
    sign_code: str | None
    sign_called: str

    @property
    def called(self) -> Message:
        """ "'A' of J-1004 A", 'No. 3 of J-1004 A', or 'Spare 4072 9153'."""
        return called(self.code, self.number, self.name, self.sign_called)


_LYING = """
SELECT l.piece, p.code, p.state, p.outline, st.colour, l.tray, l.picked_for, pt.id AS part, pt.number,
       coalesce(pt.name, '') AS name, pt.level, s.id AS sign, s.code AS sign_code,
       coalesce(j.number || ' ' || s.mark, '') AS sign_called
FROM lying l JOIN piece p ON p.id = l.piece JOIN stock st ON st.id = p.stock
LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL LEFT JOIN part pt ON pt.id = a.part
LEFT JOIN sign s ON s.id = pt.sign LEFT JOIN job j ON j.id = s.job
"""
_INSIDE = """WITH RECURSIVE inside (id) AS (SELECT ?1 UNION SELECT t.id FROM tray t JOIN inside i ON t.stands_in = i.id) """


# Reading --------------------------------------------------------------------------------------------------------------


def all_trays(db: sqlite3.Connection) -> dict[int, Tray]:
    """Return every tray by its id, retired ones too: a piece's history may name them."""
    trays = read_all(db, _tray, "SELECT * FROM tray ORDER BY kind, length(name), name, id")
    return {tray.id: tray for tray in trays}


def in_use(db: sqlite3.Connection) -> list[Tray]:
    """Return the trays that are not retired, by kind and name."""
    return [tray for tray in all_trays(db).values() if not tray.is_retired]


def by_code(db: sqlite3.Connection, code: str) -> Tray:
    """Return the tray with this code. Raises NotFound."""
    return read_one(
        db, _tray, wording.no_such_tray(code), "SELECT * FROM tray WHERE code = ?", (code,)
    )


def _tray(is_retired: int, **columns: Any) -> Tray:
    return Tray(**columns, is_retired=bool(is_retired))


def lying_in(db: sqlite3.Connection, tray: int) -> list[Lying]:
    """Return the pieces in a tray and in all that stands in it, sign by sign."""
    return read_all(
        db,
        Lying,
        _INSIDE
        + _LYING
        + "WHERE l.tray IN (SELECT id FROM inside) ORDER BY s.id IS NULL, s.id, pt.number, p.id",
        (tray,),
    )


def lying_for(db: sqlite3.Connection, sign: int) -> dict[int, Lying]:
    """Return where the live pieces of a sign lie, by part; pieces that nobody put anywhere are left out."""
    of_sign = """WHERE l.piece IN (SELECT b.piece FROM part q JOIN assignment b ON b.part = q.id AND b.ended_at IS NULL
                                   WHERE q.sign = ?)"""
    lying = read_all(db, Lying, _LYING + of_sign, (sign,))
    return {piece.part: piece for piece in lying if piece.part is not None}


def lying(db: sqlite3.Connection, pieces: Sequence[int]) -> dict[int, Lying]:
    """Return where some pieces lie, by piece; one that lies nowhere is left out."""
    lying = read_all(db, Lying, _LYING + f"WHERE l.piece IN {LISTED}", (listed(pieces),))
    return {piece.piece: piece for piece in lying}


def counts(db: sqlite3.Connection) -> dict[int, dict[str, int]]:
    """Return how many pieces lie in each tray itself, by the sign that they are for ('J-1004 A'; '' for spares)."""
    counted: dict[int, dict[str, int]] = defaultdict(dict)
    for row in db.execute(
        """SELECT l.tray, coalesce(j.number || ' ' || s.mark, '') AS called, count(*) AS pieces FROM lying l
           LEFT JOIN assignment a ON a.piece = l.piece AND a.ended_at IS NULL LEFT JOIN part pt ON pt.id = a.part
           LEFT JOIN sign s ON s.id = pt.sign LEFT JOIN job j ON j.id = s.job
           WHERE l.tray IS NOT NULL GROUP BY l.tray, s.id ORDER BY l.tray, s.id"""
    ):
        counted[row["tray"]][row["called"]] = row["pieces"]
    return counted


def usual_tray(db: sqlite3.Connection, sign: int) -> int | None:
    """Return the tray in which most pieces of a sign lie; None where none of them lies in one."""
    return scalar_or_none(
        db,
        int,
        """SELECT l.tray FROM part pt JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL
           JOIN lying l ON l.piece = a.piece WHERE pt.sign = ? AND l.tray IS NOT NULL
           GROUP BY l.tray ORDER BY count(*) DESC, l.tray LIMIT 1""",
        (sign,),
    )


# Writing --------------------------------------------------------------------------------------------------------------


def add(db: sqlite3.Connection, code: str, kind: str, name: str) -> int:
    """Add a tray that is in no other and return its id; its code must be claimed."""
    return insert(db, "tray", code=code, kind=kind, name=name)


def set_stands_in(db: sqlite3.Connection, tray: int, into: int | None) -> None:
    """Put a tray into another one, or (None) on its own."""
    update(db, "tray", tray, stands_in=into)


def retire(db: sqlite3.Connection, tray: int) -> None:
    """Retire a tray and take it out of the one that it is in."""
    update(db, "tray", tray, is_retired=True, stands_in=None)
