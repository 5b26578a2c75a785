"""Copies of the database: a backup while the shop works, and putting one back."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from ..domain.errors import Conflict, Refused
from ..wording import database as wording
from .migrate import APPLICATION_ID
from .sql import scalar


def backup(db: sqlite3.Connection, destination: Path) -> None:
    """Write a whole copy to `destination`, even while others write. Raises Refused where there is a file already."""
    if destination.exists():
        raise Refused(wording.file_exists(str(destination)))
    if not destination.parent.is_dir():
        raise Refused(wording.no_folder(str(destination.parent)))
    copy = sqlite3.connect(destination)
    try:
        db.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
    finally:
        copy.close()


def restore(source: Path, destination: Path) -> Path | None:
    """Put a backup in the database's place. The old one is kept beside it, and its path is returned.

    Raises Refused where `source` is no whole shopfloor database, Conflict where a server still has the database open.
    """
    _check(source)
    kept: Path | None = None
    if destination.exists():
        _check_unused(destination)
        kept = destination.with_name(destination.name + ".before-restore")
        os.replace(destination, kept)
    fresh = destination.with_name(destination.name + ".coming")
    fresh.write_bytes(source.read_bytes())
    os.replace(fresh, destination)
    return kept


def _check(source: Path) -> None:
    if not source.is_file():
        raise Refused(wording.no_backup(str(source)))
    db = sqlite3.connect(f"file:{source}?mode=ro", uri=True)
    try:
        is_ours = scalar(db, int, "PRAGMA application_id") == APPLICATION_ID
        is_whole = is_ours and scalar(db, str, "PRAGMA integrity_check") == "ok"
    except sqlite3.DatabaseError:
        is_ours = is_whole = False
    finally:
        db.close()
    if not is_ours:
        raise Refused(wording.not_a_backup(str(source)))
    if not is_whole:
        raise Refused(wording.damaged_backup(str(source)))


def _check_unused(path: Path) -> None:
    """Raise Conflict where anybody else has the database open: then SQLite does not give the exclusive lock."""
    db = sqlite3.connect(path, timeout=0.5, isolation_level=None)
    try:
        db.execute("PRAGMA locking_mode = EXCLUSIVE")
        db.execute("BEGIN EXCLUSIVE")
        db.execute("COMMIT")
        db.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError:
        raise Conflict(wording.database_in_use(str(path))) from None
    except sqlite3.DatabaseError:
        pass  # the old database is broken: a reason to restore
    finally:
        db.close()
