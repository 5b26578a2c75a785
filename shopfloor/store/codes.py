"""Codes that were given out, of pieces and all other things. None is ever given out twice."""

from __future__ import annotations

from sqlite3 import Connection

from ..domain.errors import NotFound
from ..wording import pieces as wording
from .sql import scalar_or_none


def claim(db: Connection, code: str, kind: str) -> bool:
    """Take a code for a thing of `kind`. Return False where it is in use or retired."""
    if db.execute("SELECT 1 FROM code WHERE code = ?", (code,)).fetchone():
        return False
    db.execute("INSERT INTO code (code, kind) VALUES (?, ?)", (code, kind))
    return True


def kind_of(db: Connection, code: str) -> str:
    """Return 'piece', 'sheet', 'sign', 'blank' or 'tray'. Raises NotFound for a code that is unknown or retired."""
    row = db.execute("SELECT kind, is_retired FROM code WHERE code = ?", (code,)).fetchone()
    if row is None:
        raise NotFound(wording.no_label_with_code(code))
    if row["is_retired"]:
        raise NotFound(wording.label_withdrawn(code))
    kind: str = row["kind"]
    return kind


def is_retired(db: Connection, code: str) -> bool:
    """Return whether a code was taken back when the act that made it was undone."""
    return bool(scalar_or_none(db, int, "SELECT is_retired FROM code WHERE code = ?", (code,)))
