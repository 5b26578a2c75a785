"""Reads what the record of a sign is made of, beside its steps, checks and photos. Puts nothing into words."""

from __future__ import annotations

import sqlite3
from datetime import datetime

from ..domain.bench.records import (
    Fixings,
    OpenedEarly,
    RecordedGluing,
    RecordedPiece,
    RecordedPlace,
)
from ..wording import bench as bench_wording
from .sql import read_all, read_one_or_none


def pieces_of(db: sqlite3.Connection, sign: int) -> list[RecordedPiece]:
    """Return the live pieces of a sign, and those lost or damaged while they were for it, by the number of their part."""
    rows = db.execute(
        """SELECT a.part, p.code, p.state, coalesce(p.cause, '') AS cause, a.ended_at IS NULL AS is_live,
             coalesce(sh.number, '') AS sheet, st.name, st.thickness_mm
           FROM assignment a JOIN piece p ON p.id = a.piece JOIN part pt ON pt.id = a.part JOIN stock st ON st.id = p.stock
           LEFT JOIN sheet sh ON sh.id = p.sheet
           WHERE pt.sign = ? AND pt.gone_at IS NULL AND (a.ended_at IS NULL OR p.state IN ('lost', 'damaged')
             AND a.id = (SELECT max(id) FROM assignment WHERE piece = p.id))
           ORDER BY pt.number, a.id""",
        (sign,),
    )
    return [
        RecordedPiece(
            row["part"],
            row["code"],
            row["state"],
            row["cause"],
            bool(row["is_live"]),
            row["sheet"],
            row["name"],
            row["thickness_mm"],
        )
        for row in rows
    ]


def gluings_of(db: sqlite3.Connection, sign: int) -> list[RecordedGluing]:
    """Return the glue-ups of a sign, oldest first. Times are UTC."""
    rows = db.execute(
        """SELECT g.at, g.cured_at, c.name AS cement, g.batch, g.temperature_c, g.humidity_percent, g.overruled,
             count(DISTINCT x.piece) AS pieces, p.name AS by_name
           FROM part JOIN assignment a ON a.part = part.id JOIN glue_up_piece x ON x.piece = a.piece
           JOIN glue_up g ON g.id = x.glue_up JOIN cement c ON c.id = g.cement JOIN person p ON p.id = g.person
           WHERE part.sign = ? GROUP BY g.id ORDER BY g.at, g.id""",
        (sign,),
    )
    return [
        RecordedGluing(
            **{**dict(row), "at": _moment(row["at"]), "cured_at": _moment(row["cured_at"])}
        )
        for row in rows
    ]


def opened_early(db: sqlite3.Connection, sign: int) -> list[OpenedEarly]:
    """Return the cures of a sign that were opened before their end, also where the level was glued again since. Times
    are UTC."""
    rows = db.execute(
        """SELECT s.kind, s.level, s.title, o.at, o.shut_until AS until, o.why AS reason, p.name AS by_name
           FROM step s JOIN early_opening o ON o.step = s.id JOIN person p ON p.id = o.person
           WHERE s.sign = ? ORDER BY o.id""",
        (sign,),
    )
    return [
        OpenedEarly(
            bench_wording.step(row["kind"], row["level"], row["title"]),
            _moment(row["at"]),
            _moment(row["until"]),
            row["reason"],
            row["by_name"],
        )
        for row in rows
    ]


def places_of(db: sqlite3.Connection, sign: int) -> list[RecordedPlace]:
    """Return the newest measured place of each part's live piece, by the number of the part."""
    return read_all(
        db,
        RecordedPlace,
        """SELECT m.part, m.across_mm, m.up_mm, m.allowed_mm FROM step s JOIN measured_place m ON m.step = s.id
           JOIN part ON part.id = m.part JOIN assignment a ON a.part = m.part AND a.ended_at IS NULL
           WHERE s.sign = ? AND part.gone_at IS NULL AND (m.piece IS NULL OR m.piece = a.piece)
             AND m.id = (SELECT max(id) FROM measured_place n WHERE n.step = m.step AND n.part = m.part)
           ORDER BY part.number, m.id""",
        (sign,),
    )


def fixings_of(db: sqlite3.Connection, sign: int) -> Fixings | None:
    """Return how a sign is fixed to its wall, None if nobody planned it."""
    return read_one_or_none(
        db,
        Fixings,
        "SELECT columns, rows, screw_mm, edge_mm, wall FROM fixing_plan WHERE sign = ?",
        (sign,),
    )


def people_of(db: sqlite3.Connection, sign: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return who worked on a sign: (where, names), where being 'router' or 'bench'."""
    return (("router", _names(db, _ROUTER, sign)), ("bench", _names(db, _BENCH, sign)))


_ROUTER = """
SELECT DISTINCT sh.started_by AS person FROM part JOIN assignment a ON a.part = part.id JOIN piece p ON p.id = a.piece
JOIN sheet sh ON sh.id = p.sheet WHERE part.sign = :sign AND a.ended_at IS NULL
"""
_BENCH = """
SELECT done_by AS person FROM step WHERE sign = :sign
UNION SELECT sp.done_by FROM step_part sp JOIN step s ON s.id = sp.step WHERE s.sign = :sign
UNION SELECT c.person FROM checked c JOIN step s ON s.id = c.step WHERE s.sign = :sign
UNION SELECT m.person FROM measured_place m JOIN step s ON s.id = m.step WHERE s.sign = :sign
UNION SELECT g.person FROM part JOIN assignment a ON a.part = part.id JOIN glue_up_piece x ON x.piece = a.piece
  JOIN glue_up g ON g.id = x.glue_up WHERE part.sign = :sign
UNION SELECT person FROM handing_over WHERE sign = :sign
"""


def _names(db: sqlite3.Connection, people: str, sign: int) -> tuple[str, ...]:
    rows = db.execute(
        f"SELECT name FROM person WHERE id IN ({people}) ORDER BY name", {"sign": sign}
    )
    return tuple(row["name"] for row in rows)


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
