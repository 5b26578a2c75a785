"""Recuts: pieces that are cut once more, after the first was lost or damaged. Reads only; marks are made elsewhere."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

# Written as in the partial index, so that SQLite may use it.
_IS_RECUT = "(p.attempt > 1 OR p.tabs > 0)"


@dataclass(frozen=True)
class Recut:
    """A recut that waits or is nested, with what befell the piece before it. A spare has no `part`, nor what follows.

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
    part: int | None
    number: int | None
    name: str | None
    sign: int | None
    sign_mark: str | None
    sign_name: str | None
    job: str | None
    customer: str | None
    due: str | None
    gone: str | None
    cause: str | None
    sheet: str | None
    sheet_code: str | None
    sheet_state: str | None

    @property
    def stock_called(self) -> str:
        """'cream, 6 mm'"""
        return f"{self.stock_name}, {self.thickness_mm:g} mm"


_SELECT = """
SELECT p.id AS piece, p.code, p.attempt, p.tabs, p.outline, p.stock, st.name AS stock_name, st.thickness_mm, st.colour,
       pt.id AS part, pt.number, pt.name, sg.id AS sign, sg.mark AS sign_mark, sg.name AS sign_name, j.number AS job,
       j.customer, j.due, g.state AS gone, g.cause, sh.number AS sheet, sh.code AS sheet_code, sh.state AS sheet_state
FROM {pieces} JOIN stock st ON st.id = p.stock
LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
LEFT JOIN part pt ON pt.id = a.part LEFT JOIN sign sg ON sg.id = pt.sign LEFT JOIN job j ON j.id = sg.job
LEFT JOIN piece g ON g.id = (
  SELECT b.piece FROM assignment b JOIN piece q ON q.id = b.piece
  WHERE b.part = a.part AND b.piece != p.id AND q.state IN ('lost', 'damaged') ORDER BY b.id DESC LIMIT 1)
"""
_WAITING = _SELECT.format(pieces="piece p LEFT JOIN sheet sh ON sh.id = p.sheet")
_NESTED = _SELECT.format(pieces="sheet sh CROSS JOIN piece p ON p.sheet = sh.id")  # from the few live sheets on


def waiting(db: sqlite3.Connection) -> list[Recut]:
    """The queue: recuts that wait for a sheet, the oldest due date first."""
    rows = db.execute(
        _WAITING + f"WHERE p.state = 'waiting' AND {_IS_RECUT} ORDER BY j.due IS NULL, j.due, sg.id, pt.number, p.id"
    )
    return [Recut(**dict(row)) for row in rows]


def nested(db: sqlite3.Connection) -> list[Recut]:
    """Recuts that have their place on a live sheet and are not cut yet."""
    rows = db.execute(
        _NESTED + f"""WHERE p.state = 'nested' AND {_IS_RECUT} AND sh.state IN ('planned', 'cutting', 'off the table')
                     ORDER BY j.due IS NULL, j.due, sh.id, sg.id, pt.number, p.id"""
    )
    return [Recut(**dict(row)) for row in rows]
