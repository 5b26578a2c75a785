"""What a sign looks like, read once for its pictures: its size and where each outline lies. None of it ever changes.

Must not know how far the pieces are: that is in `bench`.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from ..domain.errors import NotFound
from ..domain.outlines import Outline
from . import outlines as outline_store


@dataclass(frozen=True)
class PartShape:
    """A part's outline at its place on the sign (mm, y up, origin at the sign's lower left corner)."""

    part: int
    level: int
    line: int
    colour: str
    outline: Outline


@dataclass(frozen=True)
class SignShape:
    """A sign's size in mm and its parts, the bottom ones first."""

    width_mm: float
    height_mm: float
    parts: tuple[PartShape, ...]


def last_act_on(db: sqlite3.Connection, sign: int) -> int:
    """The last act that wrote a sign, or what leans on it: its parts, its steps. While it is the same, so is the shape."""
    row = db.execute(
        "SELECT max(act) FROM touched WHERE tbl = 'sign' AND record = CAST(? AS TEXT)", (sign,)
    ).fetchone()
    return row[0] or 0


def shape(db: sqlite3.Connection, sign: int) -> SignShape:
    """The shape of one sign. Raises NotFound."""
    size = db.execute("SELECT width_mm, height_mm FROM sign WHERE id = ?", (sign,)).fetchone()
    if size is None:
        raise NotFound("There is no such sign: look it up on the Floor or in Jobs.")
    rows = db.execute(
        """SELECT id, level, line, colour, outline, x_mm, y_mm FROM part
           WHERE sign = ? AND gone_at IS NULL ORDER BY level, number""",
        (sign,),
    ).fetchall()
    outlines = outline_store.by_ids(db, [row["outline"] for row in rows])
    parts = tuple(
        PartShape(
            row["id"],
            row["level"],
            row["line"],
            row["colour"],
            outlines[row["outline"]].moved(row["x_mm"], row["y_mm"]),
        )
        for row in rows
    )
    return SignShape(size["width_mm"], size["height_mm"], parts)
