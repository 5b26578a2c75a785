"""Outlines and their families. Each outline of a stock is kept once, in the piece's own frame."""

from __future__ import annotations

import json
from collections.abc import Iterable
from sqlite3 import Connection

from ..domain.outlines import Outline
from .sql import LISTED, listed, read_groups, read_pairs, scalar, scalar_or_none, update


def by_ids(db: Connection, ids: Iterable[int]) -> dict[int, Outline]:
    """Return outlines by id, in the piece's local frame."""
    rings = read_pairs(
        db, f"SELECT id, rings FROM outline WHERE id IN {LISTED}", (listed(sorted(set(ids))),)
    )
    return {id: Outline.of_lists(json.loads(lists)) for id, lists in rings.items()}


def references(db: Connection, stock: int) -> list[tuple[int, Outline]]:
    """Return the id and the reference outline of each family of a stock."""
    rows = db.execute(
        "SELECT id, rings FROM outline WHERE stock = ? AND family = id ORDER BY id", (stock,)
    )
    return [(id, Outline.of_lists(json.loads(rings))) for id, rings in rows]


def same_outline(db: Connection, stock: int, outline: Outline) -> int | None:
    """Return the id of an outline of this stock that is stored already, point for point."""
    rings = json.dumps(outline.as_lists(), separators=(",", ":"))
    return scalar_or_none(
        db,
        int,
        "SELECT id FROM outline WHERE stock = ? AND area_mm2 = ? AND rings = ?",
        (stock, round(outline.area_mm2, 3), rings),
    )


def newest_outline(db: Connection) -> int:
    """Return the highest outline id: while it is the same, nobody has taken in a drawing."""
    return scalar(db, int, "SELECT coalesce(max(id), 0) FROM outline")


def next_outline(db: Connection) -> int:
    """Return the id that the next outline gets: a family's first outline refers to itself."""
    last = scalar_or_none(db, int, "SELECT seq FROM sqlite_sequence WHERE name = 'outline'")
    return (last or 0) + 1


def add_outline(db: Connection, stock: int, outline: Outline, family: int | None) -> int:
    """Store an outline; `family` is the reference that it is congruent to, None: it starts a family."""
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


def families_of(db: Connection, stock: int) -> list[list[int]]:
    """Return the families of a stock that have more than one outline: the ids of their outlines, the reference first."""
    families = read_groups(
        db,
        "SELECT family, id FROM outline WHERE stock = ? ORDER BY family, id != family, id",
        (stock,),
    )
    return [ids for ids in families.values() if len(ids) > 1]


def set_family(db: Connection, outline: int, family: int) -> None:
    """Move the outline to another family, given by the id of its reference."""
    update(db, "outline", outline, family=family)
