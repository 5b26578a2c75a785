"""How warm it was at the bench, and the cures under way that it moves. Must not reckon: that is in `domain.cure`."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from ..domain.bench.cure import Cement, Reading
from ..domain.errors import NotFound
from .cements import cement


@dataclass(frozen=True)
class Noted:
    """One reading at the bench. `source` is 'typed' or 'gauge'; `humidity_percent` is None where it was not read."""

    id: int
    at: datetime
    temperature_c: float
    humidity_percent: float | None
    source: str
    by_name: str


@dataclass(frozen=True)
class Curing:
    """A glue-up under way. `counts_from_c`: where an owner let it be glued colder than its cement's coldest.

    `fixture_at`, `handling_at` and `cured_at` are as stored, to be compared with what they would be by now.
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
    """A step that a cure holds shut. `until` as stored, `should_be` what its glue-ups say now; `sign` is 'J-1003 A'."""

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
    """The readings from a moment (as stored) on, the oldest first."""
    return [
        _noted(row) for row in db.execute(_NOTED + "WHERE c.at >= ? ORDER BY c.at, c.id", (since,))
    ]


def newest(db: sqlite3.Connection) -> Noted | None:
    """The last reading; None where nobody has noted any."""
    row = db.execute(_NOTED + "ORDER BY c.at DESC, c.id DESC LIMIT 1").fetchone()
    return _noted(row) if row else None


def one(db: sqlite3.Connection, id: int) -> Noted:
    """One reading. Raises NotFound."""
    row = db.execute(_NOTED + "WHERE c.id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound("That reading is struck out already: nothing to do.")
    return _noted(row)


def _noted(row: sqlite3.Row) -> Noted:
    return Noted(**{**dict(row), "at": datetime.fromisoformat(row["at"])})


def readings(db: sqlite3.Connection, since: str) -> list[Reading]:
    """The same as the cure reckons with them: those after a moment (as stored), the oldest first."""
    rows = db.execute(
        "SELECT at, temperature_c FROM climate WHERE at > ? ORDER BY at, id", (since,)
    )
    return [Reading(datetime.fromisoformat(row["at"]), row["temperature_c"]) for row in rows]


def gauge_read_at(db: sqlite3.Connection) -> datetime | None:
    """When the gauge was last read."""
    # told which index: without figures of the table SQLite would sort all of it
    row = db.execute(
        "SELECT at FROM climate INDEXED BY climate_at WHERE source = 'gauge' ORDER BY at DESC LIMIT 1"
    ).fetchone()
    return datetime.fromisoformat(row["at"]) if row else None


def under_way(db: sqlite3.Connection, now: str) -> list[Curing]:
    """The glue-ups that are not cured at a moment (as stored), the oldest first."""
    rows = db.execute("SELECT * FROM glue_up WHERE cured_at > ? ORDER BY at, id", (now,)).fetchall()
    known = {id: cement(db, id) for id in {row["cement"] for row in rows}}
    return [_curing(row, known[row["cement"]]) for row in rows]


def _curing(row: sqlite3.Row, cement: Cement) -> Curing:
    counts_from = row["temperature_c"] if row["overruled"] else None
    stored = (row["fixture_at"], row["handling_at"], row["cured_at"])
    return Curing(
        row["id"],
        cement,
        datetime.fromisoformat(row["at"]),
        row["temperature_c"],
        counts_from,
        *stored,
    )


def shut_by(db: sqlite3.Connection, glue_ups: Sequence[int], now: str) -> list[ShutStep]:
    """The steps that some glue-ups hold shut at a moment (as stored), with the last cure of all joints of their parts.

    Left out: what an owner opened early, and what has ended.
    """
    marks = ", ".join("?" for _ in glue_ups)
    rows = db.execute(
        f"""SELECT st.id AS step, j.number || ' ' || s.mark AS sign, s.code, st.level, st.shut_until AS until,
              (SELECT max(g.cured_at) FROM step_part o JOIN assignment b ON b.part = o.part AND b.ended_at IS NULL
                 JOIN piece q ON q.id = b.piece AND q.state = 'fixed' JOIN glue_up_piece y ON y.piece = q.id
                 JOIN glue_up g ON g.id = y.glue_up WHERE o.step = st.id) AS should_be
            FROM step st JOIN sign s ON s.id = st.sign JOIN job j ON j.id = s.job
            WHERE st.kind IN ('glue', 'cure') AND st.done_at IS NULL AND st.shut_until > ? AND st.id IN (
              SELECT sp.step FROM glue_up_piece x JOIN assignment a ON a.piece = x.piece AND a.ended_at IS NULL
              JOIN step_part sp ON sp.part = a.part WHERE x.glue_up IN ({marks}))
            ORDER BY s.id, st.number""",
        (now, *glue_ups),
    ).fetchall()
    return [ShutStep(**dict(row)) for row in rows if row["should_be"]]


# Writing (inside an act) --------------------------------------------------------------------------------------------


def add(
    db: sqlite3.Connection,
    at: str,
    temperature_c: float,
    humidity: float | None,
    source: str,
    person: int,
) -> int:
    """A reading (°C, %). Gives its id."""
    kept = None if humidity is None else round(humidity, 3)
    return db.execute(
        "INSERT INTO climate (at, temperature_c, humidity_percent, source, person) VALUES (?, ?, ?, ?, ?)",
        (at, round(temperature_c, 3), kept, source, person),
    ).lastrowid


def take_out(db: sqlite3.Connection, id: int) -> None:
    """A wrong reading goes."""
    db.execute("DELETE FROM climate WHERE id = ?", (id,))


def set_ends(
    db: sqlite3.Connection,
    glue_up: int,
    fixture_at: str | None,
    handling_at: str | None,
    cured_at: str,
) -> None:
    """When the stages of a glue-up are reached, as stored."""
    db.execute(
        "UPDATE glue_up SET fixture_at = ?, handling_at = ?, cured_at = ? WHERE id = ?",
        (fixture_at, handling_at, cured_at, glue_up),
    )


def shut_until(db: sqlite3.Connection, step: int, until: str) -> None:
    """A step stays shut until another moment (as stored)."""
    db.execute("UPDATE step SET shut_until = ? WHERE id = ?", (until, step))
