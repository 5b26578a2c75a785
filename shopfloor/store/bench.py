"""Steps and glue-ups in the database. Must not decide anything: what may be done is in `domain.bench.steps`."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from ..domain.bench import steps as rules
from ..domain.bench.steps import Part, PlannedStep, Reopened, Sign, Step
from ..domain.errors import NotFound
from ..wording import bench as wording
from ..wording.message import Message
from .sql import (
    LISTED,
    insert,
    listed,
    read_all,
    read_groups,
    read_one_or_none,
    scalar,
    scalar_or_none,
    update,
)

LIVE = "sign.state IN ('open', 'on hold', 'packed')"


@dataclass(frozen=True)
class GlueUp:
    """One session with one batch of cement. Times as stored; `name` is the cement's, `by_name` who glued."""

    id: int
    cement: int
    name: str
    batch: str
    temperature_c: float
    humidity_percent: float
    at: str
    cured_at: str
    by_name: str
    fixture_at: str | None
    handling_at: str | None
    overruled: str


# Reading ------------------------------------------------------------------------------------------------------------


def benches(db: sqlite3.Connection) -> list[Sign]:
    """Return every sign that is open, on hold or packed, by due date, with its steps and parts."""
    return _signs(db, LIVE)


def sign_of(db: sqlite3.Connection, sign: int) -> Sign:
    """Return one sign with its steps and parts, whatever its state. Raises NotFound."""
    signs = _signs(db, "sign.id = ?", sign)
    if not signs:
        raise NotFound(wording.no_such_sign())
    return signs[0]


def sign_of_step(db: sqlite3.Connection, step: int) -> Sign:
    """Return the sign that a step belongs to. Raises NotFound."""
    sign = scalar_or_none(db, int, "SELECT sign FROM step WHERE id = ?", (step,))
    if sign is None:
        raise NotFound(wording.no_such_step())
    return sign_of(db, sign)


def steps_of(db: sqlite3.Connection, sign: int) -> tuple[Step, ...]:
    """Return the steps of one sign in their order."""
    return tuple(_steps(db, "sign.id = ?", sign)[sign])


def tasks_of(db: sqlite3.Connection, steps: Sequence[int]) -> list[Message]:
    """Return what some steps are called in a sentence, in the order of their recipe; without the cures."""
    sql = f"""SELECT kind, level, title FROM step WHERE id IN {LISTED} AND kind != 'cure' ORDER BY number"""
    return read_all(db, wording.task, sql, (listed(steps),))


def _signs(db: sqlite3.Connection, where: str, *values: object) -> list[Sign]:
    steps, parts = _steps(db, where, *values), _parts(db, where, *values)
    rows = db.execute(
        f"""SELECT sign.id, sign.code, sign.mark, sign.name, job.number AS job, job.customer, job.due, sign.state
            FROM sign JOIN job ON job.id = sign.job WHERE {where} ORDER BY job.due, sign.id""",
        values,
    ).fetchall()
    return [
        Sign(**dict(row), steps=tuple(steps[row["id"]]), parts=parts[row["id"]]) for row in rows
    ]


def _steps(db: sqlite3.Connection, where: str, *values: object) -> dict[int, list[Step]]:
    of_signs = f"JOIN step ON step.id = x.step JOIN sign ON sign.id = step.sign WHERE {where}"
    of_step = f"SELECT x.step, x.part FROM step_part x {of_signs}"
    after = read_groups(
        db, f"SELECT x.step, x.after FROM step_after x {of_signs} ORDER BY x.after", values
    )
    parts = read_groups(db, f"{of_step} ORDER BY x.part", values)
    ticks = read_groups(db, f"{of_step} AND x.done_at IS NOT NULL", values)
    steps: dict[int, list[Step]] = defaultdict(list)
    for row in db.execute(
        f"""SELECT step.*, person.name AS by_name FROM step JOIN sign ON sign.id = step.sign
            LEFT JOIN person ON person.id = step.done_by WHERE {where} ORDER BY step.number, step.id""",
        values,
    ):
        id = row["id"]
        steps[row["sign"]].append(
            Step(
                id=id,
                number=row["number"],
                kind=row["kind"],
                title=row["title"],
                level=row["level"],
                after=tuple(after.get(id, ())),
                parts=tuple(parts.get(id, ())),
                ticks=frozenset(ticks.get(id, ())),
                done_at=_moment(row["done_at"]),
                shut_until=_moment(row["shut_until"]),
                opened_why=row["opened_why"],
                done_by=row["by_name"],
            )
        )
    return steps


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _parts(db: sqlite3.Connection, where: str, *values: object) -> dict[int, dict[int, Part]]:
    parts: dict[int, dict[int, Part]] = defaultdict(dict)
    for row in db.execute(
        f"""SELECT part.sign, part.id, part.number, part.name, part.level, part.lies_on,
              (SELECT group_concat(x.under) FROM part_also_on x WHERE x.part = part.id) AS also_on, p.code, p.state,
              (SELECT g.state FROM assignment b JOIN piece g ON g.id = b.piece WHERE b.part = part.id
                 AND b.ended_at IS NOT NULL AND g.state IN ('lost', 'damaged') ORDER BY b.id DESC LIMIT 1) AS gone,
              sheet.number AS sheet, sheet.state AS sheet_state
            FROM part JOIN sign ON sign.id = part.sign
            LEFT JOIN assignment a ON a.part = part.id AND a.ended_at IS NULL
            LEFT JOIN piece p ON p.id = a.piece LEFT JOIN sheet ON sheet.id = p.sheet
            WHERE {where} AND part.gone_at IS NULL ORDER BY part.number""",
        values,
    ):
        columns = dict(row)
        sign, also = columns.pop("sign"), columns.pop("also_on")
        under = tuple(
            part for part in (row["lies_on"], *map(int, also.split(",") if also else ())) if part
        )
        parts[sign][row["id"]] = Part(**columns, under=under)
    return parts


_GLUE_UP = """
SELECT g.id, g.cement, c.name, g.batch, g.temperature_c, g.humidity_percent, g.at, g.cured_at, p.name AS by_name,
  g.fixture_at, g.handling_at, g.overruled
FROM glue_up g JOIN cement c ON c.id = g.cement JOIN person p ON p.id = g.person
"""


def last_glue_up(db: sqlite3.Connection, parts: tuple[int, ...] | None = None) -> GlueUp | None:
    """Return the newest glue-up of the shop, or of some parts' live pieces: the next one is likely done alike."""
    of_parts = f"""WHERE g.id IN (SELECT x.glue_up FROM glue_up_piece x JOIN assignment a ON a.piece = x.piece
                   AND a.ended_at IS NULL WHERE a.part IN {LISTED})"""
    where, values = (of_parts, (listed(parts),)) if parts is not None else ("", ())
    return read_one_or_none(db, GlueUp, f"{_GLUE_UP} {where} ORDER BY g.id DESC LIMIT 1", values)


def glue_ups_of(db: sqlite3.Connection, sign: int) -> list[GlueUp]:
    """Return the glue-ups of a sign, the oldest first."""
    return read_all(
        db,
        GlueUp,
        _GLUE_UP
        + """WHERE g.id IN (SELECT x.glue_up FROM glue_up_piece x JOIN assignment a ON a.piece = x.piece
                      JOIN part ON part.id = a.part WHERE part.sign = ?) ORDER BY g.at, g.id""",
        (sign,),
    )


def last_cures(db: sqlite3.Connection, parts: tuple[int, ...]) -> str | None:
    """Return when the last joint of these parts' live pieces is cured, as stored: one glued again does not end it earlier."""
    return scalar_or_none(
        db,
        str,
        f"""SELECT max(g.cured_at) FROM glue_up g JOIN glue_up_piece x ON x.glue_up = g.id
            JOIN piece p ON p.id = x.piece AND p.state = 'fixed'
            JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL WHERE a.part IN {LISTED}""",
        (listed(parts),),
    )


def spare_of(db: sqlite3.Connection, part: int) -> int | None:
    """Return a piece that was for this part, is for none now and can still be used; the furthest along."""
    return scalar_or_none(
        db,
        int,
        """SELECT p.id FROM piece p JOIN assignment a ON a.id = (SELECT max(id) FROM assignment WHERE piece = p.id)
           WHERE a.part = ? AND a.ended_at IS NOT NULL AND p.state IN ('nested', 'cut', 'ready')
           ORDER BY p.state = 'ready' DESC, p.state = 'cut' DESC, p.id LIMIT 1""",
        (part,),
    )


def shortest_cure(db: sqlite3.Connection) -> float:
    """Return the hours of the quickest cement of the shop; the usual 24 where none is known."""
    return scalar(db, float, "SELECT coalesce(min(cure_hours), 24.0) FROM cement")


def to_trim(db: sqlite3.Connection) -> dict[int, int]:
    """Count the live pieces of each job (by id) that are cut with their tabs still on; jobs without any are left out."""
    return dict(
        db.execute(
            """SELECT sign.job, count(*) FROM piece p JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
               JOIN part ON part.id = a.part JOIN sign ON sign.id = part.sign WHERE p.state = 'cut' GROUP BY sign.job"""
        ).fetchall()
    )


# Writing (inside a command) --------------------------------------------------------------------------------------------


def add_recipe(db: sqlite3.Connection, sign: int) -> None:
    """Write the usual steps of a sign from its parts."""
    ids: list[int] = []
    for number, planned in enumerate(planned_steps(db, sign), start=1):
        after = [ids[place] for place in planned.after]
        ids.append(add_step(db, sign, number, planned, after))


def planned_steps(db: sqlite3.Connection, sign: int) -> tuple[PlannedStep, ...]:
    """Return the usual steps for a sign's parts as they are now."""
    by_level: dict[int, list[int]] = defaultdict(list)
    let_in: list[int] = []
    for row in db.execute(
        """SELECT id, level, EXISTS (SELECT 1 FROM part_also_on WHERE part = part.id) AS is_held FROM part
           WHERE sign = ? AND gone_at IS NULL ORDER BY number""",
        (sign,),
    ):
        by_level[row["level"]].append(row["id"])
        if row["level"] == 0 and row["is_held"]:
            let_in.append(row["id"])
    return rules.recipe(by_level, let_in)


def add_step(
    db: sqlite3.Connection, sign: int, number: int, planned: PlannedStep, after: Sequence[int]
) -> int:
    """Write a step as planned and return its id; `after` are the ids of the steps that it waits for."""
    step = insert(
        db,
        "step",
        sign=sign,
        number=number,
        kind=planned.kind,
        title=planned.title,
        level=planned.level,
    )
    db.executemany(
        "INSERT INTO step_part (step, part) VALUES (?, ?)", [(step, part) for part in planned.parts]
    )
    db.executemany(
        "INSERT INTO step_after (step, after) VALUES (?, ?)", [(step, other) for other in after]
    )
    return step


def put_before(
    db: sqlite3.Connection,
    step: int,
    number: int,
    held: tuple[Step, ...],
    instead_of: int | None,
) -> None:
    """Make the steps `held` wait for `step` instead of for `instead_of`; all from `number` on move down by one."""
    db.execute(
        """UPDATE step SET number = number + 1 WHERE number >= ? AND id != ?
           AND sign = (SELECT sign FROM step WHERE id = ?)""",
        (number, step, step),
    )
    for other in held:
        db.execute("DELETE FROM step_after WHERE step = ? AND after IS ?", (other.id, instead_of))
        db.execute("INSERT INTO step_after (step, after) VALUES (?, ?)", (other.id, step))


def set_tick(
    db: sqlite3.Connection, step: int, part: int, at: str | None, person: int | None
) -> None:
    """Keep that a part is in position (or, with None, that it is not)."""
    db.execute(
        "UPDATE step_part SET done_at = ?, done_by = ? WHERE step = ? AND part = ?",
        (at, person, step, part),
    )


def set_done(db: sqlite3.Connection, step: int, at: str | None, person: int | None) -> None:
    """Keep that a step is done (or, with None, must be done again)."""
    update(db, "step", step, done_at=at, done_by=person)


def shut_cure(db: sqlite3.Connection, step: int, until: str | None) -> None:
    """Begin a cure; on a gluing, the cure of what is glued so far (None: the step is no longer shut)."""
    update(db, "step", step, shut_until=until, opened_why=None, done_at=None, done_by=None)


def add_early_opening(
    db: sqlite3.Connection, step: int, shut_until: str, why: str, at: str, person: int
) -> None:
    """Keep, also for when the cure starts again, that an owner went on before its end `shut_until`."""
    insert(db, "early_opening", step=step, at=at, shut_until=shut_until, why=why, person=person)


def open_cure(db: sqlite3.Connection, step: int, reason: str, at: str, person: int) -> None:
    """Keep that an owner goes on before the cure's end."""
    update(db, "step", step, opened_why=reason, done_at=at, done_by=person)


def reopen_for(db: sqlite3.Connection, part: int) -> Reopened:
    """Reopen what depends on a part whose piece is gone or came off, nothing else, and return what that is."""
    sign = scalar(db, int, "SELECT sign FROM part WHERE id = ?", (part,))
    # no need to read a whole sign that nobody has begun
    if not _is_begun(db, sign):
        return Reopened((), ())
    before = sign_of(db, sign)
    reopened = rules.reopened_by(part, before)
    for step, ticked in reopened.ticks:
        set_tick(db, step, ticked, None, None)
    for step in reopened.steps:
        shut_cure(db, step, None)
        db.execute("DELETE FROM checked WHERE step = ?", (step,))
    _hold_what_still_cures(db, sign, before, reopened)
    return reopened


def _hold_what_still_cures(
    db: sqlite3.Connection, sign: int, before: Sign, reopened: Reopened
) -> None:
    """Keep the sign still while other parts of a level that is glued again cure."""
    opened_early = {
        after for step in before.steps if step.opened_why for after in (step.id, *step.after)
    }
    for step in before.steps:
        if step.kind == "glue" and step.id in set(reopened.steps) - opened_early:
            update(db, "step", step.id, shut_until=last_cures(db, step.parts))


def _is_begun(db: sqlite3.Connection, sign: int) -> bool:
    is_begun = scalar(
        db,
        int,
        """SELECT EXISTS (SELECT 1 FROM step WHERE sign = ?1 AND (done_at IS NOT NULL OR shut_until IS NOT NULL))
           OR EXISTS (SELECT 1 FROM step st JOIN step_part sp ON sp.step = st.id
                      WHERE st.sign = ?1 AND sp.done_at IS NOT NULL)""",
        (sign,),
    )
    return bool(is_begun)


def add_glue_up(
    db: sqlite3.Connection,
    *,
    temperature_c: float,
    humidity_percent: float,
    **columns: str | int | None,
) -> int:
    """Write a glue-up (the columns of its table by name, times as stored) and return its id."""
    return insert(
        db,
        "glue_up",
        **columns,
        temperature_c=round(temperature_c, 3),
        humidity_percent=round(humidity_percent, 3),
    )


def begin_gluing(db: sqlite3.Connection, step: int, cement: int, at: str, person: int) -> None:
    """Start a cement's open time, also where it ran already."""
    db.execute(
        """INSERT INTO gluing VALUES (?, ?, ?, ?) ON CONFLICT (step) DO UPDATE
           SET cement = excluded.cement, began_at = excluded.began_at, person = excluded.person""",
        (step, cement, at, person),
    )


def end_gluing(db: sqlite3.Connection, steps: list[int]) -> str | None:
    """End the session over these gluings. Return when the first began, as stored; None where nobody pressed Begin."""
    begun = [gluing_since(db, step) for step in steps]
    db.executemany("DELETE FROM gluing WHERE step = ?", [(step,) for step in steps])
    return min((began for _, began in filter(None, begun)), default=None)


def gluing_since(db: sqlite3.Connection, step: int) -> tuple[int, str] | None:
    """Return (cement, when it began as stored) of the session under way over a gluing; None where none is."""
    row = db.execute("SELECT cement, began_at FROM gluing WHERE step = ?", (step,)).fetchone()
    return (row["cement"], row["began_at"]) if row else None


def add_to_glue_up(db: sqlite3.Connection, glue_up: int, pieces: list[int]) -> None:
    """Keep the pieces that were joined in a glue-up."""
    db.executemany(
        "INSERT INTO glue_up_piece VALUES (?, ?)", [(glue_up, piece) for piece in pieces]
    )
