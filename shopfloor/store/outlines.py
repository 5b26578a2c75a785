"""Outlines and their families. Each outline of a stock is kept once, in the piece's own frame."""

from __future__ import annotations

import json
import sqlite3

from ..domain.outlines import Outline


def by_ids(db: sqlite3.Connection, ids) -> dict[int, Outline]:
    """Outlines by id, in the piece's local frame."""
    wanted = sorted(set(ids))
    found = {}
    for start in range(0, len(wanted), 500):
        some = wanted[start : start + 500]
        marks = ", ".join("?" for _ in some)
        for row in db.execute(f"SELECT id, rings FROM outline WHERE id IN ({marks})", some):
            found[row["id"]] = Outline.of_lists(json.loads(row["rings"]))
    return found


def references(db: sqlite3.Connection, stock: int) -> list[tuple[int, Outline]]:
    """The reference outline of each family of a stock."""
    rows = db.execute(
        "SELECT id, rings FROM outline WHERE stock = ? AND family = id ORDER BY id", (stock,)
    )
    return [(row["id"], Outline.of_lists(json.loads(row["rings"]))) for row in rows]


def same_outline(db: sqlite3.Connection, stock: int, outline: Outline) -> int | None:
    """The id of an outline of this stock that is kept already, point for point."""
    rings = json.dumps(outline.as_lists(), separators=(",", ":"))
    row = db.execute(
        "SELECT id FROM outline WHERE stock = ? AND area_mm2 = ? AND rings = ?",
        (stock, round(outline.area_mm2, 3), rings),
    ).fetchone()
    return row["id"] if row else None


def newest_outline(db: sqlite3.Connection) -> int:
    """The highest outline id: unchanged means that nobody took in a drawing meanwhile."""
    return db.execute("SELECT coalesce(max(id), 0) FROM outline").fetchone()[0]


def next_outline(db: sqlite3.Connection) -> int:
    """The id that the next outline gets: a family's first outline refers to itself."""
    row = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'outline'").fetchone()
    return (row["seq"] if row else 0) + 1


def add_outline(db: sqlite3.Connection, stock: int, outline: Outline, family: int | None) -> int:
    """Keeps an outline; `family` is the reference that it is congruent to, None: it starts a family."""
    id = next_outline(db)
    rings = json.dumps(outline.as_lists(), separators=(",", ":"))
    db.execute(
        "INSERT INTO outline VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            id,
            stock,
            rings,
            round(outline.area_mm2, 3),
            round(outline.perimeter_mm, 3),
            outline.width_mm,
            outline.height_mm,
            family or id,
        ),
    )
    return id


def families_of(db: sqlite3.Connection, stock: int) -> list[list[int]]:
    """The families of a stock that have more than one outline: their outlines' ids, the reference first."""
    found: dict[int, list[int]] = {}
    for row in db.execute(
        "SELECT id, family FROM outline WHERE stock = ? ORDER BY family, id != family, id", (stock,)
    ):
        found.setdefault(row["family"], []).append(row["id"])
    return [ids for ids in found.values() if len(ids) > 1]


def set_family(db: sqlite3.Connection, outline: int, family: int) -> None:
    """The outline belongs to another family, given by the id of its reference."""
    db.execute("UPDATE outline SET family = ? WHERE id = ?", (family, outline))
