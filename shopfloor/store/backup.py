"""Copies of the database: a backup while the shop works, and putting one back."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from ..domain.errors import Conflict, Refused
from .migrate import APPLICATION_ID


def backup(db: sqlite3.Connection, destination: Path) -> None:
    """Writes a whole copy to `destination`, also while others write. Raises Refused where there is a file already."""
    if destination.exists():
        raise Refused(f"There is a file {destination} already: name a new one.")
    if not destination.parent.is_dir():
        raise Refused(f"There is no folder {destination.parent}: make it first.")
    copy = sqlite3.connect(destination)
    try:
        db.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
    finally:
        copy.close()


def restore(source: Path, destination: Path) -> Path | None:
    """Puts a backup in the database's place; the old one is kept beside it, and its path is the answer.

    Raises Refused where `source` is no whole shopfloor database, Conflict where a server still has the database open.
    """
    _check(source)
    kept = None
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
        raise Refused(f"There is no file {source}: name a backup that exists.")
    db = sqlite3.connect(f"file:{source}?mode=ro", uri=True)
    try:
        is_ours = db.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        is_whole = is_ours and db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    except sqlite3.DatabaseError:
        is_ours = is_whole = False
    finally:
        db.close()
    if not is_ours:
        raise Refused(f"{source} is not a backup of a shopfloor database: name another file.")
    if not is_whole:
        raise Refused(f"The backup {source} is damaged: take an older one.")


def _check_unused(path: Path) -> None:
    """Nobody else may have the database open: SQLite gives the exclusive lock only then."""
    db = sqlite3.connect(path, timeout=0.5, isolation_level=None)
    try:
        db.execute("PRAGMA locking_mode = EXCLUSIVE")
        db.execute("BEGIN EXCLUSIVE")
        db.execute("COMMIT")
        db.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError:
        raise Conflict(f"{path} is in use: stop the server first.") from None
    except sqlite3.DatabaseError:
        pass  # what is there is broken: that is why one restores
    finally:
        db.close()
