"""Jobs, signs and parts, and the drawings that they came from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..domain.errors import NotFound
from ..wording import drawings as drawing_wording
from ..wording import jobs as wording
from ..wording import pieces as piece_wording
from ..wording.message import Message
from .db import Connection, Row
from .sql import insert, read_all, read_column, read_one, scalar_or_none, update


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
    """One finished thing, with its job's number, customer and due date. Lengths mm.

    `why_in_state` is the reason that was given when it was held, cancelled or reopened; '' where none was.
    """

    id: int
    code: str
    job: int
    mark: str
    name: str
    width_mm: float
    height_mm: float
    levels: int
    state: str
    why_in_state: str
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
    """Where a piece goes."""

    part: int
    number: int
    name: str
    level: int
    line: int
    sign: Sign

    @property
    def words(self) -> Message:
        """ "level 1, no. 7, 'A'\""""
        if self.name == f"no. {self.number}":
            return piece_wording.place(self.level, self.number)
        return piece_wording.named_place(self.level, self.number, self.name)


def next_number(db: Connection, table: str, prefix: str, first: int) -> str:
    """Return the number of a new job or sheet; numbers of undone ones are not given out again."""
    last = scalar_or_none(db, int, "SELECT seq FROM sqlite_sequence WHERE name = ?", (table,))
    return f"{prefix}-{first + (last or 0)}"


def add_job(db: Connection, customer: str, title: str, due: str, drawing: str, at: str) -> int:
    """Add an open job and return its id."""
    number = next_number(db, "job", "J", 1001)
    return insert(
        db,
        "job",
        number=number,
        customer=customer,
        title=title,
        due=due,
        state="open",
        drawing=drawing,
        taken_in_at=at,
    )


def add_sign(
    db: Connection,
    code: str,
    job: int,
    mark: str,
    name: str,
    size_mm: tuple[float, float],
    levels: int,
) -> int:
    """Add an open sign and return its id; its code must be claimed."""
    width_mm, height_mm = size_mm
    return insert(
        db,
        "sign",
        code=code,
        job=job,
        mark=mark,
        name=name,
        width_mm=round(width_mm, 3),
        height_mm=round(height_mm, 3),
        levels=levels,
        state="open",
    )


def add_part(db: Connection, **columns: object) -> int:
    """Add a part of a sign and return its id."""
    return insert(db, "part", **columns)


def cut_as(db: Connection, part: int) -> tuple[int, int]:
    """Return (outline, stock) of one part: what its piece is cut as."""
    row = db.execute("SELECT outline, stock FROM part WHERE id = ?", (part,)).fetchone()
    return row["outline"], row["stock"]


def open_jobs_by(db: Connection, drawing: str) -> list[str]:
    """Return the numbers of the open jobs made from a drawing, by its SHA-256."""
    return read_column(
        db, "SELECT number FROM job WHERE state = 'open' AND drawing = ? ORDER BY id", (drawing,)
    )


def set_also_on(db: Connection, part: int, under: Sequence[int]) -> None:
    """Set the parts that a part needs under or round it besides the one that it lies on most."""
    db.execute("DELETE FROM part_also_on WHERE part = ?", (part,))
    db.executemany(
        "INSERT INTO part_also_on (part, under) VALUES (?, ?)", [(part, other) for other in under]
    )


def job_by_number(db: Connection, number: str) -> Job:
    """Return one job by its number, with or without 'J-'. Raises NotFound."""
    asked = number.strip().upper().removeprefix("J-")
    return read_one(
        db,
        Job,
        wording.no_such_job(number.strip()),
        "SELECT * FROM job WHERE number = ?",
        (f"J-{asked}",),
    )


def job(db: Connection, id: int) -> Job:
    """Return one job. Raises NotFound."""
    return read_one(db, Job, wording.job_not_found(), "SELECT * FROM job WHERE id = ?", (id,))


_SIGN = """SELECT s.*, j.number AS job_number, j.customer, j.title, j.due FROM sign s JOIN job j ON j.id = s.job """


def sign(db: Connection, id: int) -> Sign:
    """Return one sign. Raises NotFound."""
    return _one_sign(db, "WHERE s.id = ?", id)


def sign_by_code(db: Connection, code: str) -> Sign:
    """Return the sign with this code. Raises NotFound."""
    return _one_sign(db, "WHERE s.code = ?", code)


def sign_by_name(db: Connection, job_number: str, mark: str) -> Sign:
    """Return the sign called 'J-1042 A'. Raises NotFound."""
    return _one_sign(db, "WHERE j.number = ? AND s.mark = ?", job_number, mark)


def _one_sign(db: Connection, where: str, *values: object) -> Sign:
    return read_one(db, Sign, wording.sign_not_found(), _SIGN + where, values)


def signs_of_job(db: Connection, job: int) -> list[Sign]:
    """Return the signs of one job, A first."""
    return read_all(db, Sign, _SIGN + "WHERE s.job = ? ORDER BY s.id", (job,))


def set_sign_state(db: Connection, sign: int, state: str, why: str = "") -> None:
    """Set a sign's state and the reason that was given for it. Its job is closed while each of its signs is handed over or
    cancelled, else open."""
    update(db, "sign", sign, state=state, why_in_state=why)
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


def parts_of(db: Connection, sign: int) -> list[Part]:
    """Return the parts of one sign in order, with their live pieces; not those that a new drawing removed."""
    return read_all(
        db, Part, _PART + "WHERE pt.sign = ? AND pt.gone_at IS NULL ORDER BY pt.number", (sign,)
    )


def place_of(db: Connection, part: int) -> Place:
    """Return where a part is. Raises NotFound."""
    row = db.execute(
        "SELECT id, number, name, level, line, sign FROM part WHERE id = ?", (part,)
    ).fetchone()
    if row is None:
        raise NotFound(wording.part_not_found())
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


def _job_row(row: Row) -> JobRow:
    columns = dict(row)
    counts = {name: columns.pop(name) for name in ("signs", "parts", "in_hand", "waiting")}
    return JobRow(Job(**columns), **counts)


def open_jobs(db: Connection) -> list[JobRow]:
    """Return the open jobs by due date. Quick however many are closed."""
    rows = db.execute(_JOB_ROWS + "WHERE j.state = 'open' GROUP BY j.id ORDER BY j.due, j.id")
    return [_job_row(row) for row in rows]


def job_row(db: Connection, job: int) -> JobRow:
    """Return one job with its counts."""
    return _job_row(db.execute(_JOB_ROWS + "WHERE j.id = ? GROUP BY j.id", (job,)).fetchone())


def closed_jobs(db: Connection, asked: str = "") -> list[Job]:
    """Return the newest closed jobs whose number or customer contains the text."""
    escaped = asked.strip().replace("\\", r"\\").replace("%", r"\%").replace("_", r"\_")
    return read_all(
        db,
        Job,
        r"""SELECT * FROM job WHERE state = 'closed' AND (number LIKE ?1 ESCAPE '\' OR customer LIKE ?1 ESCAPE '\')
            ORDER BY id DESC LIMIT 30""",
        (f"%{escaped}%",),
    )


def customers(db: Connection) -> list[str]:
    """Return the customers of the last few hundred jobs, the newest first: likely to be typed again."""
    return read_column(
        db,
        """SELECT customer FROM (SELECT id, customer FROM job ORDER BY id DESC LIMIT 300)
           GROUP BY customer ORDER BY max(id) DESC LIMIT 40""",
    )


def change_job(db: Connection, job: int, customer: str, title: str, due: str) -> None:
    """Set a job's customer, title and due date."""
    update(db, "job", job, customer=customer, title=title, due=due)


def acts_on_job(db: Connection, job: int) -> list[Row]:
    """Return the last acts on a job, its signs, their steps or, while they were for it, its pieces; newest first."""
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
           ORDER BY l.act DESC LIMIT 30""",
        (job,),
    ).fetchall()


# Drawings: kept outside the ledger, which has their SHA-256 ----------------------------------------------------------


def keep_drawing(
    db: Connection, sha256: str, name: str, file: bytes, reading: Mapping[str, Any], at: str
) -> None:
    """Keep a drawing's file and what was read in it."""
    db.execute(
        """INSERT INTO drawing VALUES (?, ?, ?, ?, ?)
           ON CONFLICT (sha256) DO UPDATE SET name = excluded.name, reading = excluded.reading""",
        (sha256, name, file, json.dumps(reading, separators=(",", ":")), at),
    )


def drawing_reading(db: Connection, sha256: str) -> tuple[str, dict[str, Any]]:
    """Return a drawing's file name and what was read in it. Raises NotFound."""
    row = db.execute("SELECT name, reading FROM drawing WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise NotFound(drawing_wording.drawing_gone())
    return row["name"], json.loads(row["reading"])


def drawing_file(db: Connection, sha256: str) -> bytes:
    """Return the file of a kept drawing. Raises NotFound."""
    file = scalar_or_none(db, bytes, "SELECT file FROM drawing WHERE sha256 = ?", (sha256,))
    if file is None:
        raise NotFound(drawing_wording.drawing_gone())
    return file
