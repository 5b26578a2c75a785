"""The shop's cements and their batches. Must not decide what a cement may be used for: that is in `domain.cure`."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict
from datetime import date

from ..domain.bench.cements import Batch
from ..domain.bench.cure import Cement
from ..domain.errors import NotFound, Refused

# Reading ------------------------------------------------------------------------------------------------------------


def cements(db: sqlite3.Connection) -> list[Cement]:
    """All cements by name, the retired ones too."""
    return [_cement(row) for row in db.execute("SELECT * FROM cement ORDER BY name")]


def in_use(db: sqlite3.Connection) -> list[Cement]:
    """The cements to choose from, by name."""
    return [
        _cement(row)
        for row in db.execute("SELECT * FROM cement WHERE NOT is_retired ORDER BY name")
    ]


def cement(db: sqlite3.Connection, id: int) -> Cement:
    """One cement. Raises NotFound."""
    row = db.execute("SELECT * FROM cement WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound("There is no such cement: choose one of the list.")
    return _cement(row)


def _cement(row: sqlite3.Row) -> Cement:
    return Cement(**{**dict(row), "is_retired": bool(row["is_retired"])})


def batches(db: sqlite3.Connection, cement: int) -> list[Batch]:
    """The batches of a cement: those that are not used up first, by their last day."""
    rows = db.execute(
        "SELECT * FROM cement_batch WHERE cement = ? ORDER BY is_used_up, coalesce(expires, '9999'), id",
        (cement,),
    )
    return [_batch(row) for row in rows]


def batch(db: sqlite3.Connection, id: int) -> Batch:
    """One batch. Raises NotFound."""
    row = db.execute("SELECT * FROM cement_batch WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise NotFound("There is no such batch: choose one of the cement's list.")
    return _batch(row)


def batch_called(db: sqlite3.Connection, cement: int, batch: str) -> Batch | None:
    """The batch of a cement by what its tin says; None where the shop keeps none of that name."""
    row = db.execute(
        "SELECT * FROM cement_batch WHERE cement = ? AND batch = ?", (cement, batch)
    ).fetchone()
    return _batch(row) if row else None


def _batch(row: sqlite3.Row) -> Batch:
    expires = date.fromisoformat(row["expires"]) if row["expires"] else None
    return Batch(row["id"], row["cement"], row["batch"], expires, bool(row["is_used_up"]))


# Writing (inside an act) --------------------------------------------------------------------------------------------


def add(db: sqlite3.Connection, cement: Cement) -> int:
    """A new cement, whatever its `id` says. Gives its id. Raises Refused where the name is taken."""
    _must_be_free(db, cement.name, 0)
    row = _row(cement)
    marks = ", ".join(f":{name}" for name in row)
    return db.execute(f"INSERT INTO cement ({', '.join(row)}) VALUES ({marks})", row).lastrowid


def write(db: sqlite3.Connection, cement: Cement) -> None:
    """Keeps a cement as it is now. Raises Refused where the name is another one's."""
    _must_be_free(db, cement.name, cement.id)
    row = _row(cement)
    settings = ", ".join(f"{name} = :{name}" for name in row)
    db.execute(f"UPDATE cement SET {settings} WHERE id = :id", {**row, "id": cement.id})


def _row(cement: Cement) -> dict:
    row = asdict(cement)
    del row["id"]
    return {**row, "is_retired": int(cement.is_retired)}


def _must_be_free(db: sqlite3.Connection, name: str, own: int) -> None:
    if db.execute("SELECT 1 FROM cement WHERE name = ? AND id != ?", (name, own)).fetchone():
        raise Refused(f"There is a cement “{name}” already: choose another name.")


def add_batch(db: sqlite3.Connection, cement: int, batch: str, expires: date | None) -> int:
    """A batch that the shop has now. Gives its id. Raises Refused where it is there already."""
    if batch_called(db, cement, batch):
        raise Refused(f"Batch {batch} stands in the list already: nothing was added.")
    return db.execute(
        "INSERT INTO cement_batch (cement, batch, expires) VALUES (?, ?, ?)",
        (cement, batch, expires.isoformat() if expires else None),
    ).lastrowid


def set_used_up(db: sqlite3.Connection, batch: int, is_used_up: bool) -> None:
    """Nothing is left of a batch, or there is some left after all."""
    db.execute("UPDATE cement_batch SET is_used_up = ? WHERE id = ?", (int(is_used_up), batch))
