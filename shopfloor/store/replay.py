"""Proves the ledger: replays it into an empty database and compares every row of the state."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import islice

from ..wording import database as wording
from ..wording.message import Message
from . import ledger, migrate


def differences(db: sqlite3.Connection, most: int = 20) -> list[Message]:
    """Return one sentence for each row of the state that the ledger does not give; none when all is well.

    A replay reads only the ledger: it never nests, parses, draws a random number or reads a clock.
    """
    fresh = replayed(db)
    try:
        lines = (line for table in ledger.state_tables(db) for line in _compare(table, db, fresh))
        return list(islice(lines, most))
    finally:
        fresh.close()


def replayed(db: sqlite3.Connection) -> sqlite3.Connection:
    """Return a database in memory with the state that the ledger of `db` gives."""
    fresh = sqlite3.connect(":memory:", isolation_level=None)
    fresh.row_factory = sqlite3.Row
    migrate.to_present(fresh)
    fresh.execute("PRAGMA foreign_keys = OFF")
    fresh.execute("BEGIN")
    for row in db.execute("SELECT * FROM ledger ORDER BY act"):
        for change in ledger.upgraded(db, ledger.entry_of(row)):
            if change["a"] is not None:
                ledger.upsert(fresh, change["t"], change["a"])
            elif change["b"] is not None:
                ledger.delete(fresh, change["t"], change["b"])
    fresh.execute("COMMIT")
    return fresh


def _compare(table: str, db: sqlite3.Connection, fresh: sqlite3.Connection) -> Iterator[Message]:
    keys = ledger.keys_of(db, table)
    order = ", ".join(keys)
    here = {
        tuple(row[key] for key in keys): tuple(row)
        for row in db.execute(f"SELECT * FROM {table} ORDER BY {order}")
    }
    there = {
        tuple(row[key] for key in keys): tuple(row)
        for row in fresh.execute(f"SELECT * FROM {table} ORDER BY {order}")
    }
    for key in sorted(here.keys() | there.keys(), key=str):
        if here.get(key) != there.get(key):
            yield wording.row_differs(table, ",".join(map(str, key)))
