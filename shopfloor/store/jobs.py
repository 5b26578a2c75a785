"""Jobs, signs and parts, and the drawings that they came from."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from ..domain.errors import NotFound


@dataclass(frozen=True)
class Job:
    """One customer's order."""

    id: int
    number: str
    customer: str
    title: str
    due: str
    state: str
    drawing: str
    taken_in_at: str


@dataclass(frozen=True)
class Sign:
    """One finished thing, with its job's number, customer and due date. Lengths mm."""

    id: int
    code: str
    job: int
    mark: str
    name: str
    width_mm: float
    height_mm: float
    levels: int
    state: str
    job_number: str
    customer: str
    title: str
    due: str

    @property
    def called(self) -> str:
        """'J-1042 A'"""
        return f"{self.job_number} {self.mark}"


@dataclass(frozen=True)
class Part:
    """One outline at its place on a sign, with the state of its live piece (None: it has none)."""

    id: int
    sign: int
    number: int
    name: str
    level: int
    line: int
    lies_on: int | None
    colour: str
    stock: int
    outline: int
    x_mm: float
    y_mm: float
    baseline_mm: float
    gone_at: str | None
    width_mm: float
    height_mm: float
    area_mm2: float
    family: int
    piece: int | None
    code: str | None
    state: str | None
    attempt: int | None
    sheet: str | None


@dataclass(frozen=True)
class Place:
    """Where a piece goes, in words."""

    part: int
    number: int
    name: str
    level: int
    line: int
    sign: Sign

    @property
    def words(self) -> str:
        """ "level 1, no. 7, 'A'\""""
        named = "" if self.name == f"no. {self.number}" else f", '{self.name}'"
        return f"level {self.level}, no. {self.number}{named}"


def next_number(db: sqlite3.Connection, table: str, prefix: str, first: int) -> str:
    """The number that people call a new job or sheet by; those of undone ones are not given out again."""
    row = db.execute("SELECT seq FROM sqlite_sequence WHERE name = ?", (table,)).fetchone()
    return f"{prefix}-{first + (row['seq'] if row else 0)}"


def add_job(db, customer: str, title: str, due: str, drawing: str, at: str) -> int:
    """A new open job."""
    number = next_number(db, "job", "J", 1001)
    return db.execute(
        """INSERT INTO job (number, customer, title, due, state, drawing, taken_in_at)
           VALUES (?, ?, ?, ?, 'open', ?, ?)""",
        (number, customer, title, due, drawing, at),
    ).lastrowid


def add_sign(
    db, code: str, job: int, mark: str, name: str, width_mm: float, height_mm: float, levels: int
) -> int:
    """A new open sign; its code must be claimed."""
    return db.execute(
        """INSERT INTO sign (code, job, mark, name, width_mm, height_mm, levels, state)
           VALUES (?, ?, ?, ?, ?, ?, ?, 'open')""",
        (code, job, mark, name, round(width_mm, 3), round(height_mm, 3), levels),
    ).lastrowid


def add_part(db, **columns) -> int:
    """A new part of a sign."""
    names = ", ".join(columns)
    marks = ", ".join("?" for _ in columns)
    return db.execute(
        f"INSERT INTO part ({names}) VALUES ({marks})", list(columns.values())
    ).lastrowid


def part_row(db: sqlite3.Connection, part: int) -> sqlite3.Row:
    """The row of one part."""
    return db.execute("SELECT * FROM part WHERE id = ?", (part,)).fetchone()


def open_jobs_by(db: sqlite3.Connection, drawing: str) -> list[str]:
    """The numbers of the open jobs that are made by a drawing, by its SHA-256."""
    rows = db.execute(
        "SELECT number FROM job WHERE state = 'open' AND drawing = ? ORDER BY id", (drawing,)
    )
    return [row["number"] for row in rows]


def set_also_on(db: sqlite3.Connection, part: int, under: Sequence[int]) -> None:
    """The parts that a part needs under or round it besides the one that it lies on most."""
    db.execute("DELETE FROM part_also_on WHERE part = ?", (part,))
    db.executemany(
        "INSERT INTO part_also_on (part, under) VALUES (?, ?)", [(part, other) for other in under]
    )


def job_by_number(db: sqlite3.Connection, number: str) -> Job:
    """One job by its number, with or without 'J-'. Raises NotFound."""
    asked = number.strip().upper().removeprefix("J-")
    row = db.execute("SELECT * FROM job WHERE number = ?", (f"J-{asked}",)).fetchone()
    if row is None:
        raise NotFound(f"There is no job {number.strip()}: look it up in Jobs.")
    return Job(**dict(row))


def job(db: sqlite3.Connection, id: int) -> Job:
    """One job. Raises NotFound."""
    row = db.execute("SELECT * FROM job WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound("There is no such job: look it up in Jobs.")
    return Job(**dict(row))


_SIGN = """SELECT s.*, j.number AS job_number, j.customer, j.title, j.due FROM sign s JOIN job j ON j.id = s.job """


def sign(db: sqlite3.Connection, id: int) -> Sign:
    """One sign. Raises NotFound."""
    return _one_sign(db, "WHERE s.id = ?", id)


def sign_by_code(db: sqlite3.Connection, code: str) -> Sign:
    """The sign that bears a code. Raises NotFound."""
    return _one_sign(db, "WHERE s.code = ?", code)


def sign_by_name(db: sqlite3.Connection, job_number: str, mark: str) -> Sign:
    """The sign called 'J-1042 A'. Raises NotFound."""
    return _one_sign(db, "WHERE j.number = ? AND s.mark = ?", job_number, mark)


def _one_sign(db, where: str, *values) -> Sign:
    row = db.execute(_SIGN + where, values).fetchone()
    if row is None:
        raise NotFound("There is no such sign: look it up on the Floor or in Jobs.")
    return Sign(**dict(row))


def signs_of_job(db: sqlite3.Connection, job: int) -> list[Sign]:
    """The signs of one job, A first."""
    return [
        Sign(**dict(row)) for row in db.execute(_SIGN + "WHERE s.job = ? ORDER BY s.id", (job,))
    ]


def live_signs(db: sqlite3.Connection) -> list[Sign]:
    """Signs that are open, on hold or packed, by due date. Quick however many are closed."""
    rows = db.execute(_SIGN + "WHERE s.state IN ('open', 'on hold', 'packed') ORDER BY j.due, s.id")
    return [Sign(**dict(row)) for row in rows]


def set_sign_state(db: sqlite3.Connection, sign: int, state: str) -> None:
    """A sign's state; its job closes when each of its signs is handed over or cancelled, and opens with any other."""
    db.execute("UPDATE sign SET state = ? WHERE id = ?", (state, sign))
    db.execute(
        """UPDATE job SET state = CASE WHEN EXISTS (SELECT 1 FROM sign WHERE job = job.id
             AND state NOT IN ('handed over', 'cancelled')) THEN 'open' ELSE 'closed' END
           WHERE id = (SELECT job FROM sign WHERE id = ?)""",
        (sign,),
    )


_PART = """
SELECT pt.*, o.width_mm, o.height_mm, o.area_mm2, o.family, p.id AS piece, p.code, p.state, p.attempt,
       sh.number AS sheet
FROM part pt JOIN outline o ON o.id = pt.outline
LEFT JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL
LEFT JOIN piece p ON p.id = a.piece
LEFT JOIN sheet sh ON sh.id = p.sheet
"""


def parts_of(db: sqlite3.Connection, sign: int) -> list[Part]:
    """The parts of one sign in their order, with their live pieces; not those that a new drawing took off it."""
    rows = db.execute(
        _PART + "WHERE pt.sign = ? AND pt.gone_at IS NULL ORDER BY pt.number", (sign,)
    )
    return [Part(**dict(row)) for row in rows]


def place_of(db: sqlite3.Connection, part: int) -> Place:
    """Where a part is. Raises NotFound."""
    row = db.execute(
        "SELECT id, number, name, level, line, sign FROM part WHERE id = ?", (part,)
    ).fetchone()
    if row is None:
        raise NotFound("There is no such part: look the sign up in Jobs.")
    return Place(
        row["id"], row["number"], row["name"], row["level"], row["line"], sign(db, row["sign"])
    )


# For the Jobs pages -------------------------------------------------------------------------------------------------

_JOB_ROWS = """
SELECT j.*, count(pt.id) AS parts, coalesce(sum(p.state IN ('cut', 'ready', 'fixed')), 0) AS in_hand,
       coalesce(sum(p.state = 'waiting'), 0) AS waiting, count(DISTINCT s.id) AS signs
FROM job j JOIN sign s ON s.job = j.id LEFT JOIN part pt ON pt.sign = s.id AND pt.gone_at IS NULL AND s.state != 'cancelled'
LEFT JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL LEFT JOIN piece p ON p.id = a.piece
"""


@dataclass(frozen=True)
class JobRow:
    """A job for a list: how many signs and parts it has, how many of these are in hand, how many wait for a sheet."""

    job: Job
    signs: int
    parts: int
    in_hand: int
    waiting: int


def _job_row(row: sqlite3.Row) -> JobRow:
    columns = dict(row)
    counts = {name: columns.pop(name) for name in ("signs", "parts", "in_hand", "waiting")}
    return JobRow(Job(**columns), **counts)


def open_jobs(db: sqlite3.Connection) -> list[JobRow]:
    """The open jobs by due date. Quick however many are closed."""
    rows = db.execute(_JOB_ROWS + "WHERE j.state = 'open' GROUP BY j.id ORDER BY j.due, j.id")
    return [_job_row(row) for row in rows]


def job_row(db: sqlite3.Connection, job: int) -> JobRow:
    """One job with its counts."""
    return _job_row(db.execute(_JOB_ROWS + "WHERE j.id = ? GROUP BY j.id", (job,)).fetchone())


def closed_jobs(db: sqlite3.Connection, asked: str = "", most: int = 30) -> list[Job]:
    """The newest closed jobs whose number or customer holds the words asked for."""
    escaped = asked.strip().replace("\\", r"\\").replace("%", r"\%").replace("_", r"\_")
    rows = db.execute(
        r"""SELECT * FROM job WHERE state = 'closed' AND (number LIKE ?1 ESCAPE '\' OR customer LIKE ?1 ESCAPE '\')
            ORDER BY id DESC LIMIT ?2""",
        (f"%{escaped}%", most),
    )
    return [Job(**dict(row)) for row in rows]


def customers(db: sqlite3.Connection, most: int = 40) -> list[str]:
    """The customers of the last few hundred jobs, the newest first: what is likely typed again."""
    rows = db.execute(
        """SELECT customer FROM (SELECT id, customer FROM job ORDER BY id DESC LIMIT 300)
           GROUP BY customer ORDER BY max(id) DESC LIMIT ?""",
        (most,),
    )
    return [row["customer"] for row in rows]


def change_job(db: sqlite3.Connection, job: int, customer: str, title: str, due: str) -> None:
    """What the job is called and when it is due."""
    db.execute(
        "UPDATE job SET customer = ?, title = ?, due = ? WHERE id = ?", (customer, title, due, job)
    )


def acts_on_job(db: sqlite3.Connection, job: int, most: int = 30) -> list[sqlite3.Row]:
    """The last acts that touched a job, its signs, their steps or, while they were for it, its pieces; newest first."""
    return db.execute(
        """SELECT l.act, l.at, l.by_name, l.tablet, l.what, l.answer, u.act AS undone_by
           FROM ledger l LEFT JOIN ledger u ON u.undoes = l.act
           WHERE l.act IN (
             SELECT act FROM touched WHERE tbl = 'job' AND record = CAST(?1 AS TEXT)
             UNION SELECT t.act FROM sign s JOIN touched t ON t.tbl = 'sign' AND t.record = CAST(s.id AS TEXT)
               WHERE s.job = ?1
             UNION SELECT t.act FROM sign s JOIN step x ON x.sign = s.id
               JOIN touched t ON t.tbl = 'step' AND t.record = CAST(x.id AS TEXT) WHERE s.job = ?1
             UNION SELECT t.act FROM sign s JOIN part pt ON pt.sign = s.id JOIN assignment a ON a.part = pt.id
               JOIN touched t ON t.tbl = 'piece' AND t.record = CAST(a.piece AS TEXT) JOIN ledger m ON m.act = t.act
               WHERE s.job = ?1 AND m.at >= a.begun_at AND (a.ended_at IS NULL OR m.at <= a.ended_at))
           ORDER BY l.act DESC LIMIT ?2""",
        (job, most),
    ).fetchall()


# Drawings: kept outside the ledger, which holds their SHA-256 -------------------------------------------------------


def keep_drawing(
    db: sqlite3.Connection, sha256: str, name: str, file: bytes, reading: dict, at: str
) -> None:
    """Keeps a drawing's file and what was read in it."""
    db.execute(
        """INSERT INTO drawing VALUES (?, ?, ?, ?, ?)
           ON CONFLICT (sha256) DO UPDATE SET name = excluded.name, reading = excluded.reading""",
        (sha256, name, file, json.dumps(reading, separators=(",", ":")), at),
    )


def drawing_reading(db: sqlite3.Connection, sha256: str) -> tuple[str, dict]:
    """(file name, what was read). Raises NotFound."""
    row = db.execute("SELECT name, reading FROM drawing WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise NotFound("That drawing is no longer here: upload it again.")
    return row["name"], json.loads(row["reading"])


def drawing_file(db: sqlite3.Connection, sha256: str) -> bytes:
    """The file of a kept drawing. Raises NotFound."""
    row = db.execute("SELECT file FROM drawing WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise NotFound("That drawing is no longer here: upload it again.")
    return row["file"]
