"""Where the parts of a level lie, and what was measured there. Must not decide whether a letter is in its place."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from ..domain.bench.records import RecordedPlace
from ..domain.setting_out.setting_out import PlacedPart
from . import jobs, outlines
from .sql import read_all


def placed(db: sqlite3.Connection, parts: Sequence[jobs.Part]) -> list[PlacedPart]:
    """Parts of a sign with their outlines where they lie on it, mm."""
    shapes = outlines.by_ids(db, [part.outline for part in parts])
    return [
        PlacedPart(
            part.id,
            part.number,
            part.name,
            part.level,
            shapes[part.outline].placed(part.x_mm, part.y_mm, 0),
        )
        for part in parts
    ]


def measured_at(db: sqlite3.Connection, step: int) -> dict[int, RecordedPlace]:
    """The measurements of a setting-out step that still count, by part: the newest of the piece that lies there now.

    A part that was taken up, or set out again by eye, has been moved since; an error counts until the part is set out.
    """
    measured = read_all(
        db,
        RecordedPlace,
        """SELECT m.part, m.across_mm, m.up_mm, m.allowed_mm FROM measured_place m
           JOIN step_part sp ON sp.step = m.step AND sp.part = m.part
           JOIN assignment a ON a.part = m.part AND a.piece = m.piece AND a.ended_at IS NULL
           WHERE m.step = ? AND m.id = (SELECT max(id) FROM measured_place WHERE step = m.step AND part = m.part)
             AND CASE WHEN sp.done_at IS NULL
                      THEN max(abs(coalesce(m.across_mm, 0)), abs(coalesce(m.up_mm, 0))) > m.allowed_mm
                      ELSE m.at >= sp.done_at END""",
        (step,),
    )
    return {place.part: place for place in measured}


def add_measured(
    db: sqlite3.Connection, step: int, place: RecordedPlace, piece: int, at: str, person: int
) -> None:
    """Keep what was measured; `at` as stored."""
    db.execute(
        """INSERT INTO measured_place (step, part, piece, across_mm, up_mm, allowed_mm, at, person)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
        (step, place.part, piece, place.across_mm, place.up_mm, place.allowed_mm, at, person),
    )
