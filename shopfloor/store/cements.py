"""The shop's cements and their batches. Must not decide what a cement may be used for: that is in `domain.bench.cements`."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict
from datetime import date
from typing import Any

from ..domain.bench.cements import Batch, Cement
from ..domain.errors import NotFound, Refused
from ..wording import cements as wording
from .sql import insert

# Reading ------------------------------------------------------------------------------------------------------------


def cements(db: sqlite3.Connection) -> list[Cement]:
    """Return all cements by name, the retired ones too."""
    return [_cement(row) for row in db.execute("SELECT * FROM cement ORDER BY name")]


def in_use(db: sqlite3.Connection) -> list[Cement]:
    """Return the cements to choose from, by name."""
    return [
        _cement(row)
        for row in db.execute("SELECT * FROM cement WHERE NOT is_retired ORDER BY name")
    ]


def cement(db: sqlite3.Connection, id: int) -> Cement:
    """Return one cement. Raises NotFound."""
    row = db.execute("SELECT * FROM cement WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound(wording.no_such_cement())
    return _cement(row)


def _cement(row: sqlite3.Row) -> Cement:
    return Cement(**{**dict(row), "is_retired": bool(row["is_retired"])})


def batches(db: sqlite3.Connection, cement: int) -> list[Batch]:
    """Return the batches of a cement: those that are not used up first, by their last day."""
    rows = db.execute(
        "SELECT * FROM cement_batch WHERE cement = ? ORDER BY is_used_up, coalesce(expires, '9999'), id",
        (cement,),
    )
    return [_batch(row) for row in rows]


def batch(db: sqlite3.Connection, id: int) -> Batch:
    """Return one batch. Raises NotFound."""
    row = db.execute("SELECT * FROM cement_batch WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound(wording.no_such_batch())
    return _batch(row)


def batch_called(db: sqlite3.Connection, cement: int, batch: str) -> Batch | None:
    """Return the batch of a cement by what its tin says; None where the shop has none of that name."""
    row = db.execute(
        "SELECT * FROM cement_batch WHERE cement = ? AND batch = ?", (cement, batch)
    ).fetchone()
    return _batch(row) if row else None


def _batch(row: sqlite3.Row) -> Batch:
    expires = date.fromisoformat(row["expires"]) if row["expires"] else None
    return Batch(row["id"], row["cement"], row["batch"], expires, bool(row["is_used_up"]))


# Writing (inside a command) -----------------------------------------------------------------------------------------


def add(db: sqlite3.Connection, cement: Cement) -> int:
    """Add a cement, whatever its `id` says. Gives its id. Raises Refused where the name is taken."""
    _must_be_free(db, cement.name, 0)
    row = _row(cement)
    marks = ", ".join(f":{name}" for name in row)
    return insert(db, f"INSERT INTO cement ({', '.join(row)}) VALUES ({marks})", row)


def write(db: sqlite3.Connection, cement: Cement) -> None:
    """Keep a cement as it is now. Raises Refused where the name is another one's."""
    _must_be_free(db, cement.name, cement.id)
    row = _row(cement)
    settings = ", ".join(f"{name} = :{name}" for name in row)
    db.execute(f"UPDATE cement SET {settings} WHERE id = :id", {**row, "id": cement.id})


def _row(cement: Cement) -> dict[str, Any]:
    row = asdict(cement)
    del row["id"]
    return {**row, "is_retired": int(cement.is_retired)}


def _must_be_free(db: sqlite3.Connection, name: str, own: int) -> None:
    if db.execute("SELECT 1 FROM cement WHERE name = ? AND id != ?", (name, own)).fetchone():
        raise Refused(wording.name_taken(name))


def add_batch(db: sqlite3.Connection, cement: int, batch: str, expires: date | None) -> int:
    """Add a batch that the shop has now. Gives its id. Raises Refused where it is there already."""
    if batch_called(db, cement, batch):
        raise Refused(wording.batch_already_listed(batch))
    return insert(
        db,
        "INSERT INTO cement_batch (cement, batch, expires) VALUES (?, ?, ?)",
        (cement, batch, expires.isoformat() if expires else None),
    )


def set_used_up(db: sqlite3.Connection, batch: int, is_used_up: bool) -> None:
    """Keep that a batch is used up, or that some of it is left after all."""
    db.execute("UPDATE cement_batch SET is_used_up = ? WHERE id = ?", (int(is_used_up), batch))
