"""The shop's own glue-ups, for its pace, and how thick the parts of a sign are. Reads only."""

from __future__ import annotations

import sqlite3
from datetime import datetime

from ..domain.bench.gluing import Session
from .sql import read_pairs

MINUTE_S = 60.0


def sessions(db: sqlite3.Connection) -> list[Session]:
    """Return every glue-up for which somebody pressed Begin, the oldest first."""
    rows = db.execute(
        """SELECT g.began_at, g.at, c.open_min, (SELECT count(*) FROM glue_up_piece x WHERE x.glue_up = g.id) AS parts
           FROM glue_up g JOIN cement c ON c.id = g.cement WHERE g.began_at IS NOT NULL ORDER BY g.id"""
    )
    return [Session(_minutes(began, at), parts, open_min) for began, at, open_min, parts in rows]


def _minutes(began_at: str, at: str) -> float:
    return (
        datetime.fromisoformat(at) - datetime.fromisoformat(began_at)
    ).total_seconds() / MINUTE_S


def thicknesses(db: sqlite3.Connection, sign: int) -> dict[int, float]:
    """Return the nominal thickness in mm of each part's stock, by part."""
    return read_pairs(
        db,
        """SELECT part.id, stock.thickness_mm FROM part JOIN stock ON stock.id = part.stock
           WHERE part.sign = ? AND part.gone_at IS NULL""",
        (sign,),
    )
