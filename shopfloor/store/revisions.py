"""A changed drawing in the database: parts renewed, removed and added, and steps fitted to them.

Must not decide what becomes of a part or a piece: that is in `domain.recuts.revisions`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..domain.bench.steps import PlannedStep, Step
from ..domain.outlines import Outline
from . import bench
from .db import Connection
from .sql import read_column, read_groups, read_pairs, scalar, scalar_or_none, update

KnownSteps = Mapping[tuple[str, int | None], Step]  # by kind and level


@dataclass(frozen=True)
class StandingPart:
    """A part that is on a sign now. `under` are the numbers of the parts that it lies on, the main one first; `outline` is
    in the piece's own frame, `outline_id` its id."""

    id: int
    number: int
    name: str
    colour: str
    stock: int
    family: int
    level: int
    under: tuple[int, ...]
    outline_id: int
    outline: Outline
    x_mm: float
    y_mm: float


def standing(db: Connection, sign: int) -> list[StandingPart]:
    """Return the parts of a sign that no drawing has removed, by number."""
    also = read_groups(
        db,
        """SELECT x.part, u.number FROM part_also_on x JOIN part pt ON pt.id = x.part JOIN part u ON u.id = x.under
           WHERE pt.sign = ? ORDER BY u.number""",
        (sign,),
    )
    rows = db.execute(
        """SELECT pt.*, o.family, o.rings, u.number AS main FROM part pt JOIN outline o ON o.id = pt.outline
           LEFT JOIN part u ON u.id = pt.lies_on WHERE pt.sign = ? AND pt.gone_at IS NULL ORDER BY pt.number""",
        (sign,),
    )
    return [
        StandingPart(
            row["id"],
            row["number"],
            row["name"],
            row["colour"],
            row["stock"],
            row["family"],
            row["level"],
            (*([row["main"]] if row["main"] else []), *also.get(row["id"], ())),
            row["outline"],
            Outline.of_lists(json.loads(row["rings"])),
            row["x_mm"],
            row["y_mm"],
        )
        for row in rows
    ]


def stocks_of(db: Connection, job: int) -> dict[str, int]:
    """Return the stock that each colour of a job is cut from."""
    return read_pairs(
        db,
        """SELECT DISTINCT pt.colour, pt.stock FROM part pt JOIN sign s ON s.id = pt.sign
           WHERE s.job = ? AND pt.gone_at IS NULL""",
        (job,),
    )


def highest_number(db: Connection, sign: int) -> int:
    """Return the highest number that a part of a sign ever had."""
    return scalar(db, int, "SELECT coalesce(max(number), 0) FROM part WHERE sign = ?", (sign,))


def planned_sheets(db: Connection, job: int) -> dict[int, list[str]]:
    """Return the codes of the planned sheets with pieces of a job, by stock."""
    return read_groups(
        db,
        """SELECT DISTINCT sh.stock, sh.code FROM sheet sh JOIN piece p ON p.sheet = sh.id
           JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL JOIN part pt ON pt.id = a.part
           JOIN sign s ON s.id = pt.sign WHERE s.job = ? AND sh.state = 'planned' ORDER BY sh.id""",
        (job,),
    )


def mean_yield(db: Connection, stock: int | None) -> float | None:
    """Return the mean yield of a stock's present nests; None where it has none."""
    return scalar_or_none(
        db,
        float,
        """SELECT avg(n.yield_share) FROM sheet sh JOIN nest n ON n.id = sh.nest
           WHERE sh.stock = ? AND sh.state != 'abandoned'""",
        (stock,),
    )


# Writing (inside an act) --------------------------------------------------------------------------------------------


def set_drawing(db: Connection, job: int, sha256: str) -> None:
    """Set the drawing that a job is made from; it may be the same file, read in another way."""
    update(db, "job", job, drawing=sha256)


def set_size(db: Connection, sign: int, width_mm: float, height_mm: float, levels: int) -> None:
    """Set a sign's size and levels."""
    update(
        db,
        "sign",
        sign,
        width_mm=round(width_mm, 3),
        height_mm=round(height_mm, 3),
        levels=levels,
    )


def renew_part(db: Connection, part: int, **columns: object) -> None:
    """Set other values for a part that stays."""
    update(db, "part", part, **columns)


def take_off(db: Connection, part: int, at: str) -> None:
    """Remove a part from its sign and from its steps."""
    db.execute("UPDATE part SET gone_at = ? WHERE id = ?", (at, part))
    db.execute("DELETE FROM part_also_on WHERE part = ?1 OR under = ?1", (part,))
    db.execute("DELETE FROM step_part WHERE part = ?", (part,))


def fit_steps(db: Connection, sign: int) -> None:
    """Fit the usual steps of a sign to its parts: levels that are new or gone, parts that were added. Steps that an owner
    added stay where they are."""
    planned = bench.planned_steps(db, sign)
    have = {
        (step.kind, step.level): step for step in bench.steps_of(db, sign) if step.kind != "other"
    }
    wanted = {(step.kind, step.level) for step in planned}
    for key, known in have.items():
        if key not in wanted:
            _drop_step(db, known.id)
    ids: list[int] = []
    for place, step in enumerate(planned):
        kept = have.get((step.kind, step.level))
        if kept is not None:
            _set_parts(db, kept.id, step.parts)
            ids.append(kept.id)
        else:
            ids.append(_new_step(db, sign, planned, place, ids, have))
    _wait_for_cures(db, planned, ids, have)


def look_again(db: Connection, sign: int) -> None:
    """Reopen cleaning and inspection of a sign that something was taken off."""
    db.execute(
        "UPDATE step SET done_at = NULL, done_by = NULL WHERE sign = ? AND kind IN ('clean', 'polish', 'inspect')",
        (sign,),
    )


def _new_step(
    db: Connection,
    sign: int,
    planned: Sequence[PlannedStep],
    place: int,
    ids: Sequence[int],
    have: KnownSteps,
) -> int:
    """Add a step of a new level, before the first kept step that follows it in the recipe."""
    step = planned[place]
    later = next(
        have[other.kind, other.level]
        for other in planned[place:]
        if (other.kind, other.level) in have
    )
    number = scalar(db, int, "SELECT number FROM step WHERE id = ?", (later.id,))
    db.execute("UPDATE step SET number = number + 1 WHERE sign = ? AND number >= ?", (sign, number))
    after = [ids[other] for other in step.after]
    return bench.add_step(db, sign, number, step, after)


def _wait_for_cures(
    db: Connection, planned: Sequence[PlannedStep], ids: Sequence[int], have: KnownSteps
) -> None:
    """Let the steps after the levels wait for the cures of new levels too."""
    for place, step in enumerate(planned):
        if (step.kind, step.level) not in have:
            continue
        for other in step.after:
            if (planned[other].kind, planned[other].level) not in have:
                db.execute(
                    "INSERT OR IGNORE INTO step_after (step, after) VALUES (?, ?)",
                    (ids[place], ids[other]),
                )


def _drop_step(db: Connection, step: int) -> None:
    """Remove a step; the steps that waited for it now wait for those before it."""
    before = read_column(db, "SELECT after FROM step_after WHERE step = ?", (step,))
    held = read_column(db, "SELECT step FROM step_after WHERE after = ?", (step,))
    db.execute("DELETE FROM step_after WHERE step = ?1 OR after = ?1", (step,))
    pairs = [(later, earlier) for later in held for earlier in before]
    db.executemany("INSERT OR IGNORE INTO step_after (step, after) VALUES (?, ?)", pairs)
    for table in ("step_part", "checked", "gluing", "measured_place"):
        db.execute(f"DELETE FROM {table} WHERE step = ?", (step,))
    db.execute("DELETE FROM step WHERE id = ?", (step,))


def _set_parts(db: Connection, step: int, parts: tuple[int, ...]) -> None:
    has = set(read_column(db, "SELECT part FROM step_part WHERE step = ?", (step,)))
    db.executemany(
        "DELETE FROM step_part WHERE step = ? AND part = ?",
        [(step, part) for part in has - set(parts)],
    )
    db.executemany(
        "INSERT INTO step_part (step, part) VALUES (?, ?)",
        [(step, part) for part in parts if part not in has],
    )
