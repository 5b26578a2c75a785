"""Temperature readings at the bench, and the cures under way that follow them. Must not calculate: see `domain.bench.cure`."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from ..domain.bench.cements import Cement
from ..domain.bench.cure import Reading
from ..wording import climate as wording
from .cements import cement
from .sql import (
    LISTED,
    insert,
    listed,
    read_all,
    read_one,
    read_one_or_none,
    scalar_or_none,
    update,
)


@dataclass(frozen=True)
class Noted:
    """One reading at the bench. `source` is 'typed' or 'gauge' (the thermometer); `humidity_percent` is None where it was not read."""

    id: int
    at: datetime
    temperature_c: float
    humidity_percent: float | None
    source: str
    by_name: str


@dataclass(frozen=True)
class Curing:
    """A glue-up under way. `counts_from_c`: its own temperature, where an owner allowed it below the cement's minimum.

    `fixture_at`, `handling_at` and `cured_at` are as stored.
    """

    id: int
    cement: Cement
    at: datetime
    temperature_c: float
    counts_from_c: float | None
    fixture_at: str | None
    handling_at: str | None
    cured_at: str


@dataclass(frozen=True)
class ShutStep:
    """A step that a cure keeps shut. `until` as stored, `should_be` what its glue-ups give now; `sign` is 'J-1003 A'."""

    step: int
    sign: str
    code: str
    level: int | None
    until: str
    should_be: str


# Reading ------------------------------------------------------------------------------------------------------------

_NOTED = """SELECT c.id, c.at, c.temperature_c, c.humidity_percent, c.source, p.name AS by_name
            FROM climate c JOIN person p ON p.id = c.person """


def noted(db: sqlite3.Connection, since: str) -> list[Noted]:
    """Return the readings from a moment (as stored) on, the oldest first."""
    return read_all(db, _noted, _NOTED + "WHERE c.at >= ? ORDER BY c.at, c.id", (since,))


def newest(db: sqlite3.Connection) -> Noted | None:
    """Return the last reading; None where there is none."""
    return read_one_or_none(db, _noted, _NOTED + "ORDER BY c.at DESC, c.id DESC LIMIT 1")


def reading(db: sqlite3.Connection, id: int) -> Noted:
    """Return one reading. Raises NotFound."""
    return read_one(db, _noted, wording.already_struck_out(), _NOTED + "WHERE c.id = ?", (id,))


def _noted(at: str, **columns: Any) -> Noted:
    return Noted(**columns, at=datetime.fromisoformat(at))


def readings(db: sqlite3.Connection, since: str) -> list[Reading]:
    """Return the readings after a moment (as stored) as a cure takes them, the oldest first."""
    rows = db.execute(
        "SELECT at, temperature_c FROM climate WHERE at > ? ORDER BY at, id", (since,)
    )
    return [Reading(datetime.fromisoformat(at), temperature_c) for at, temperature_c in rows]


def thermometer_read_at(db: sqlite3.Connection) -> datetime | None:
    """Return when the thermometer was last read."""
    # the index is named: without statistics of the table SQLite would sort all of it
    sql = "SELECT at FROM climate INDEXED BY climate_at WHERE source = 'gauge' ORDER BY at DESC LIMIT 1"
    at = scalar_or_none(db, str, sql)
    return datetime.fromisoformat(at) if at else None


def under_way(db: sqlite3.Connection, now: str) -> list[Curing]:
    """Return the glue-ups that are not cured at a moment (as stored), the oldest first."""
    rows = db.execute("SELECT * FROM glue_up WHERE cured_at > ? ORDER BY at, id", (now,)).fetchall()
    known = {id: cement(db, id) for id in {row["cement"] for row in rows}}
    return [_curing(row, known[row["cement"]]) for row in rows]


def _curing(row: sqlite3.Row, cement: Cement) -> Curing:
    return Curing(
        id=row["id"],
        cement=cement,
        at=datetime.fromisoformat(row["at"]),
        temperature_c=row["temperature_c"],
        counts_from_c=row["temperature_c"] if row["overruled"] else None,
        fixture_at=row["fixture_at"],
        handling_at=row["handling_at"],
        cured_at=row["cured_at"],
    )


def shut_by(db: sqlite3.Connection, glue_ups: Sequence[int], now: str) -> list[ShutStep]:
    """Return the steps that some glue-ups keep shut at a moment (as stored), with the last cure of all joints of their parts.

    Left out: what an owner opened early, and what has ended.
    """
    rows = db.execute(
        f"""SELECT st.id AS step, j.number || ' ' || s.mark AS sign, s.code, st.level, st.shut_until AS until,
              (SELECT max(g.cured_at) FROM step_part o JOIN assignment b ON b.part = o.part AND b.ended_at IS NULL
                 JOIN piece q ON q.id = b.piece AND q.state = 'fixed' JOIN glue_up_piece y ON y.piece = q.id
                 JOIN glue_up g ON g.id = y.glue_up WHERE o.step = st.id) AS should_be
            FROM step st JOIN sign s ON s.id = st.sign JOIN job j ON j.id = s.job
            WHERE st.kind IN ('glue', 'cure') AND st.done_at IS NULL AND st.shut_until > ? AND st.id IN (
              SELECT sp.step FROM glue_up_piece x JOIN assignment a ON a.piece = x.piece AND a.ended_at IS NULL
              JOIN step_part sp ON sp.part = a.part WHERE x.glue_up IN {LISTED})
            ORDER BY s.id, st.number""",
        (now, listed(glue_ups)),
    ).fetchall()
    return [ShutStep(**dict(row)) for row in rows if row["should_be"]]


# Writing (inside a command) --------------------------------------------------------------------------------------------


def add(
    db: sqlite3.Connection,
    at: str,
    temperature_c: float,
    humidity: float | None,
    source: str,
    person: int,
) -> int:
    """Add a reading (°C, %) and return its id."""
    kept = None if humidity is None else round(humidity, 3)
    return insert(
        db,
        "climate",
        at=at,
        temperature_c=round(temperature_c, 3),
        humidity_percent=kept,
        source=source,
        person=person,
    )


def remove(db: sqlite3.Connection, id: int) -> None:
    """Remove a wrong reading."""
    db.execute("DELETE FROM climate WHERE id = ?", (id,))


def set_ends(
    db: sqlite3.Connection,
    glue_up: int,
    fixture_at: str | None,
    handling_at: str | None,
    cured_at: str,
) -> None:
    """Keep when the stages of a glue-up are reached, as stored."""
    update(
        db, "glue_up", glue_up, fixture_at=fixture_at, handling_at=handling_at, cured_at=cured_at
    )


def shut_until(db: sqlite3.Connection, step: int, until: str) -> None:
    """Keep a step shut until another moment (as stored)."""
    update(db, "step", step, shut_until=until)
