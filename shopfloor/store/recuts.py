"""Recuts: pieces that are cut again after the first was lost or damaged. Reads only; marks are made elsewhere."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from .pieces import FOR_PART, JOIN_PART, ForPart
from .sql import LISTED, listed, read_all, read_groups, read_pairs

_IS_RECUT = "p.attempt > 1"  # tabs alone do not show it: a first attempt may have tabs too


@dataclass(frozen=True, kw_only=True)
class Recut(ForPart):
    """A recut that waits or is nested, and how the piece before it was lost.

    `sheet` and `sheet_code` are None while it waits.
    """

    piece: int
    code: str
    attempt: int
    tabs: int
    outline: int
    stock: int
    stock_name: str
    thickness_mm: float
    colour: str
    customer: str | None
    due: str | None
    gone: str | None
    cause: str | None
    sheet: str | None
    sheet_code: str | None
    sheet_state: str | None
    held_by: str | None

    @property
    def stock_called(self) -> str:
        """'cream, 6 mm'"""
        return f"{self.stock_name}, {self.thickness_mm:g} mm"


_SELECT = f"""
SELECT p.id AS piece, p.code, p.attempt, p.tabs, p.outline, p.stock, st.name AS stock_name, st.thickness_mm, st.colour,
       {FOR_PART}, j.customer, j.due, g.state AS gone, g.cause, sh.number AS sheet, sh.code AS sheet_code, sh.state AS sheet_state,
       (SELECT h.way FROM holding h WHERE h.piece = p.id AND h.nest = sh.nest) AS held_by
FROM {{pieces}} JOIN stock st ON st.id = p.stock
LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
{JOIN_PART}
LEFT JOIN piece g ON g.id = (
  SELECT b.piece FROM assignment b JOIN piece q ON q.id = b.piece
  WHERE b.part = a.part AND b.piece != p.id AND q.state IN ('lost', 'damaged') ORDER BY b.id DESC LIMIT 1)
"""
_WAITING = _SELECT.format(pieces="piece p LEFT JOIN sheet sh ON sh.id = p.sheet")
_NESTED = _SELECT.format(
    pieces="sheet sh CROSS JOIN piece p ON p.sheet = sh.id"
)  # from the few live sheets on


def queue(db: sqlite3.Connection) -> list[Recut]:
    """Return the queue: recuts that wait for a sheet, the oldest due date first."""
    return read_all(
        db,
        Recut,
        _WAITING
        + f"WHERE p.state = 'waiting' AND {_IS_RECUT} ORDER BY j.due IS NULL, j.due, sg.id, pt.number, p.id",
    )


def nested(db: sqlite3.Connection) -> list[Recut]:
    """Return the recuts that are on a live sheet and not cut yet."""
    return read_all(
        db,
        Recut,
        _NESTED
        + f"""WHERE p.state = 'nested' AND {_IS_RECUT} AND sh.state IN ('planned', 'cutting', 'off the table')
                     ORDER BY j.due IS NULL, j.due, sh.id, sg.id, pt.number, p.id""",
    )


def due_of(db: sqlite3.Connection, pieces: list[int]) -> dict[int, str | None]:
    """Return the due date (ISO) of the job that each piece is for; None for a spare."""
    return read_pairs(
        db,
        f"""SELECT p.id, j.due FROM piece p LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
            {JOIN_PART}
            WHERE p.id IN {LISTED}""",
        (listed(pieces),),
    )


def lost_by(db: sqlite3.Connection, pieces: list[int]) -> dict[int, frozenset[str]]:
    """Return the hold-downs that failed for the pieces before each of these, for the same part; none: left out."""
    failed = read_groups(
        db,
        f"""SELECT p.id, h.way FROM piece p JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
            JOIN assignment b ON b.part = a.part AND b.piece != p.id JOIN holding h ON h.piece = b.piece AND h.came_free
            WHERE p.id IN {LISTED}""",
        (listed(pieces),),
    )
    return {piece: frozenset(hold_downs) for piece, hold_downs in failed.items()}
