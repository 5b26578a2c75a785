"""The shop's settings as they are kept: one row a setting that was changed; the others have their defaults."""

from __future__ import annotations

import sqlite3
from typing import Any

from ..domain.settings import FIELDS, Settings


def load(db: sqlite3.Connection, address: str | None = None) -> Settings:
    """Return the shop's settings. `address` is used on labels where the shop has set none."""
    kept = changed(db)
    if address and "address" not in kept:
        kept["address"] = address
    return Settings(**kept)


def changed(db: sqlite3.Connection) -> dict[str, Any]:
    """Return the settings that the shop has changed, by name."""
    rows = db.execute("SELECT name, value FROM setting")
    return {row["name"]: FIELDS[row["name"]].kind(row["value"]) for row in rows}


def write(db: sqlite3.Connection, name: str, value: str | float | int) -> None:
    """Keep one setting."""
    db.execute(
        "INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, str(value)),
    )


def forget(db: sqlite3.Connection, name: str) -> None:
    """Go back to the default of one setting."""
    db.execute("DELETE FROM setting WHERE name = ?", (name,))
