"""Brings a database to the present form, one migration after another.

A migration is one script in `migrations/` that has its own BEGIN IMMEDIATE … COMMIT and sets user_version. One that
has been released is never edited: a change is another migration.
"""

from __future__ import annotations

import sqlite3
from importlib import resources

from ..domain.errors import Refused
from ..wording import database as wording
from .sql import scalar

APPLICATION_ID = 1397246790


def scripts() -> list[tuple[int, str]]:
    """Return (number, SQL) of each migration, in order."""
    folder = resources.files("shopfloor.store") / "migrations"
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".sql"))
    return [(int(name[:4]), (folder / name).read_text("utf-8")) for name in names]


def present_form() -> int:
    """Return the number of the newest migration."""
    return scripts()[-1][0]


def to_present(db: sqlite3.Connection) -> None:
    """Run the migrations that `db` lacks. Raises Refused where it is another program's file, or newer than this one."""
    application = scalar(db, int, "PRAGMA application_id")
    form = scalar(db, int, "PRAGMA user_version")
    has_tables = scalar(db, int, "SELECT count(*) FROM sqlite_master") > 0
    if has_tables and application != APPLICATION_ID:
        raise Refused(wording.this_is_not_a_database())
    if form > present_form():
        raise Refused(wording.newer_database())
    for number, script in scripts():
        if number > form:
            db.executescript(script)
