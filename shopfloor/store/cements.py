"""The shop's cements and their batches. Must not decide what a cement may be used for: that is in `domain.bench.cements`."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict
from datetime import date
from typing import Any

from ..domain.bench.cements import Batch, Cement
from ..domain.errors import Refused
from ..wording import cements as wording
from .sql import insert, read_all, read_one, read_one_or_none, update

# Reading ------------------------------------------------------------------------------------------------------------


def cements(db: sqlite3.Connection) -> list[Cement]:
    """Return all cements by name, the retired ones too."""
    return read_all(db, _cement, "SELECT * FROM cement ORDER BY name")


def in_use(db: sqlite3.Connection) -> list[Cement]:
    """Return the cements to choose from, by name."""
    return read_all(db, _cement, "SELECT * FROM cement WHERE NOT is_retired ORDER BY name")


def cement(db: sqlite3.Connection, id: int) -> Cement:
    """Return one cement. Raises NotFound."""
    return read_one(
        db, _cement, wording.no_such_cement(), "SELECT * FROM cement WHERE id = ?", (id,)
    )


def _cement(is_retired: int, **columns: Any) -> Cement:
    return Cement(**columns, is_retired=bool(is_retired))


def batches(db: sqlite3.Connection, cement: int) -> list[Batch]:
    """Return the batches of a cement: those that are not used up first, by their last day."""
    return read_all(
        db,
        _batch,
        "SELECT * FROM cement_batch WHERE cement = ? ORDER BY is_used_up, coalesce(expires, '9999'), id",
        (cement,),
    )


def batch(db: sqlite3.Connection, id: int) -> Batch:
    """Return one batch. Raises NotFound."""
    return read_one(
        db, _batch, wording.no_such_batch(), "SELECT * FROM cement_batch WHERE id = ?", (id,)
    )


def batch_called(db: sqlite3.Connection, cement: int, batch: str) -> Batch | None:
    """Return the batch of a cement by what its tin says; None where the shop has none of that name."""
    return read_one_or_none(
        db, _batch, "SELECT * FROM cement_batch WHERE cement = ? AND batch = ?", (cement, batch)
    )


def _batch(expires: str | None, is_used_up: int, **columns: Any) -> Batch:
    last = date.fromisoformat(expires) if expires else None
    return Batch(**columns, expires=last, is_used_up=bool(is_used_up))


# Writing (inside a command) -----------------------------------------------------------------------------------------


def add(db: sqlite3.Connection, cement: Cement) -> int:
    """Add a cement, whatever its `id` says, and return its id. Raises Refused where the name is taken."""
    _must_be_free(db, cement.name, 0)
    return insert(db, "cement", **_row(cement))


def write(db: sqlite3.Connection, cement: Cement) -> None:
    """Keep a cement as it is now. Raises Refused where the name is another one's."""
    _must_be_free(db, cement.name, cement.id)
    update(db, "cement", cement.id, **_row(cement))


def _row(cement: Cement) -> dict[str, Any]:
    row = asdict(cement)
    del row["id"]
    return {**row, "is_retired": int(cement.is_retired)}


def _must_be_free(db: sqlite3.Connection, name: str, own: int) -> None:
    if db.execute("SELECT 1 FROM cement WHERE name = ? AND id != ?", (name, own)).fetchone():
        raise Refused(wording.name_taken(name))


def add_batch(db: sqlite3.Connection, cement: int, batch: str, expires: date | None) -> int:
    """Add a batch that the shop has now and return its id. Raises Refused where it is listed already."""
    if batch_called(db, cement, batch):
        raise Refused(wording.batch_already_listed(batch))
    return insert(
        db,
        "cement_batch",
        cement=cement,
        batch=batch,
        expires=expires.isoformat() if expires else None,
    )


def set_used_up(db: sqlite3.Connection, batch: int, is_used_up: bool) -> None:
    """Keep that a batch is used up, or that some of it is left after all."""
    update(db, "cement_batch", batch, is_used_up=int(is_used_up))
