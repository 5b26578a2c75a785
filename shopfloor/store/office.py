"""Cements, as the shop keeps them. The ledger's own list is in ledger.py."""

from __future__ import annotations

import sqlite3

from ..domain.cure import Cement
from ..domain.errors import NotFound, Refused


def cements(db: sqlite3.Connection) -> list[Cement]:
    """All cements by name."""
    return [Cement(**dict(row)) for row in db.execute("SELECT * FROM cement ORDER BY name")]


def cement(db: sqlite3.Connection, id: int) -> Cement:
    """One cement. Raises NotFound."""
    row = db.execute("SELECT * FROM cement WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound("There is no such cement: choose one of the list.")
    return Cement(**dict(row))


def add_cement(
    db: sqlite3.Connection, name: str, cure_hours: float, reference_c: float, coldest_c: float, warmest_c: float
) -> int:
    """A new cement. Raises Refused where the name is taken."""
    if db.execute("SELECT 1 FROM cement WHERE name = ?", (name,)).fetchone():
        raise Refused(f"There is a cement “{name}” already: choose another name.")
    return db.execute(
        "INSERT INTO cement (name, cure_hours, reference_c, coldest_c, warmest_c) VALUES (?, ?, ?, ?, ?)",
        (name, cure_hours, reference_c, coldest_c, warmest_c),
    ).lastrowid


def acts_with_changes(db: sqlite3.Connection, acts: list[int]) -> set[int]:
    """Those of some acts that changed anything of the state."""
    marks = ", ".join("?" for _ in acts)
    return {row["act"] for row in db.execute(f"SELECT act FROM ledger WHERE act IN ({marks}) AND changes != '[]'", acts)}
