"""Pieces that may be swapped: those of each family of which a recut of an open sign is on its way."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from .pieces import FOR_PART, JOIN_PART, ForPart
from .sql import LISTED, listed, read_all, read_column, read_groups

_OPEN = "sg.state IN ('open', 'on hold')"
_FAMILIES = f"""
SELECT DISTINCT o.family FROM piece p JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
JOIN outline o ON o.id = p.outline JOIN part pt ON pt.id = a.part JOIN sign sg ON sg.id = pt.sign
WHERE p.attempt > 1 AND p.state IN ('waiting', 'nested') AND {_OPEN}
"""


@dataclass(frozen=True, kw_only=True)
class Movable(ForPart):
    """A piece that may be moved, and where it is for now."""

    piece: int
    code: str
    state: str
    attempt: int
    family: int
    sheet: int | None
    sheet_state: str | None


@dataclass(frozen=True)
class Lacking:
    """A sign, its due date (ISO; None: on hold, so it can wait), and the sheets of the pieces that it lacks.

    Movable pieces are left out of `lacks`; None stands for a piece that waits for a sheet.
    """

    sign: int
    due: str | None
    lacks: tuple[int | None, ...]


def movable(db: sqlite3.Connection) -> list[Movable]:
    """Return all pieces of the families of which a recut is on its way: of parts not joined yet, and spares in hand."""
    return read_all(
        db,
        Movable,
        f"""SELECT p.id AS piece, p.code, p.state, p.attempt, o.family, p.sheet, sh.state AS sheet_state, {FOR_PART}
            FROM outline o JOIN piece p ON p.outline = o.id LEFT JOIN sheet sh ON sh.id = p.sheet
            LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
            {JOIN_PART}
            WHERE o.family IN ({_FAMILIES}) AND ((a.id IS NOT NULL AND {_OPEN} AND p.state IN ('waiting', 'nested', 'cut', 'ready'))
              OR (a.id IS NULL AND p.state IN ('cut', 'ready'))) ORDER BY p.id""",
    )


def lacking(db: sqlite3.Connection, signs: list[int], but: list[int]) -> list[Lacking]:
    """Return what each of these signs lacks, without the pieces `but`."""
    lacks = read_groups(
        db,
        f"""SELECT pt.sign, p.sheet FROM part pt JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL
            JOIN piece p ON p.id = a.piece WHERE pt.sign IN {LISTED} AND p.state IN ('waiting', 'nested')
            AND p.id NOT IN {LISTED}""",
        (listed(signs), listed(but)),
    )
    rows = db.execute(
        f"""SELECT sg.id, CASE sg.state WHEN 'open' THEN j.due END AS due FROM sign sg JOIN job j ON j.id = sg.job
            WHERE sg.id IN {LISTED} ORDER BY sg.id""",
        (listed(signs),),
    )
    return [Lacking(sign, due, tuple(lacks.get(sign, ()))) for sign, due in rows]


def planned_in_order(db: sqlite3.Connection) -> dict[int, int]:
    """Return the place of each planned sheet in the queue, from 1: by the first due date of its pieces."""
    sheets = read_column(
        db,
        """SELECT s.id FROM sheet s LEFT JOIN piece p ON p.sheet = s.id
           LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL LEFT JOIN part pt ON pt.id = a.part
           LEFT JOIN sign sg ON sg.id = pt.sign LEFT JOIN job j ON j.id = sg.job
           WHERE s.state = 'planned' GROUP BY s.id ORDER BY min(j.due) IS NULL, min(j.due), s.id""",
    )
    return {sheet: place for place, sheet in enumerate(sheets, start=1)}
