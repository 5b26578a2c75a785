"""Brings a database to the present form, one migration after another.

A migration is one script in `migrations/` that holds its own BEGIN IMMEDIATE … COMMIT and sets user_version. One
that has landed is never edited: a change is a further migration.
"""

from __future__ import annotations

import sqlite3
from importlib import resources

from ..domain.errors import Refused

APPLICATION_ID = 1397246790


def scripts() -> list[tuple[int, str]]:
    """(number, SQL) of each migration, in order."""
    folder = resources.files("shopfloor.store") / "migrations"
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".sql"))
    return [(int(name[:4]), (folder / name).read_text("utf-8")) for name in names]


def present_form() -> int:
    """The number of the newest migration."""
    return scripts()[-1][0]


def to_present(db: sqlite3.Connection) -> None:
    """Runs the migrations that `db` lacks. Refused where it is another program's file, or newer than this one."""
    application = db.execute("PRAGMA application_id").fetchone()[0]
    form = db.execute("PRAGMA user_version").fetchone()[0]
    has_tables = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] > 0
    if has_tables and application != APPLICATION_ID:
        raise Refused("This file is not a shopfloor database: name another file.")
    if form > present_form():
        raise Refused(
            "This database was written by a newer shopfloor: install that version and try again."
        )
    for number, script in scripts():
        if number > form:
            db.executescript(script)
