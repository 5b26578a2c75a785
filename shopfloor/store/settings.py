"""The shop's settings as they are kept: one row a setting that was changed; the others have their defaults."""

from __future__ import annotations

import sqlite3

from ..domain.settings import KINDS, Settings


def load(db: sqlite3.Connection, address: str | None = None) -> Settings:
    """The settings in force. `address` stands for the address on labels where the shop has set none."""
    kept = {
        row["name"]: KINDS[row["name"]](row["value"])
        for row in db.execute("SELECT name, value FROM setting")
    }
    if address and "address" not in kept:
        kept["address"] = address
    return Settings(**kept)


def write(db: sqlite3.Connection, name: str, value: str | float | int) -> None:
    """Keeps one setting."""
    db.execute(
        "INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, str(value)),
    )
