"""The shape of a sign for its pictures: its size and where each outline lies. Only a new drawing changes it.

Must not know the progress of the pieces: that is in `bench`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..domain.errors import NotFound
from ..domain.outlines import Outline
from ..wording import jobs as wording
from . import outlines as outline_store
from .db import Connection
from .sql import scalar_or_none


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


def last_act_on(db: Connection, sign: int) -> int:
    """Return the last act that wrote a sign, its parts or its steps. While it is the same, so is the shape."""
    sql = "SELECT max(act) FROM touched WHERE tbl = 'sign' AND record = CAST(? AS TEXT)"
    return scalar_or_none(db, int, sql, (sign,)) or 0


def shape(db: Connection, sign: int) -> SignShape:
    """Return the shape of one sign. Raises NotFound."""
    size = db.execute("SELECT width_mm, height_mm FROM sign WHERE id = ?", (sign,)).fetchone()
    if size is None:
        raise NotFound(wording.sign_not_found())
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
