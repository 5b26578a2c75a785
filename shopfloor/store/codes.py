"""The one namespace of codes. A code that was ever given out is never given out again."""

from __future__ import annotations

import sqlite3

from ..domain.codes import show
from ..domain.errors import NotFound


def claim(db: sqlite3.Connection, code: str, kind: str) -> bool:
    """Takes a code for a thing of `kind`; False where it is in use or retired."""
    if db.execute("SELECT 1 FROM code WHERE code = ?", (code,)).fetchone():
        return False
    db.execute("INSERT INTO code (code, kind) VALUES (?, ?)", (code, kind))
    return True


def kind_of(db: sqlite3.Connection, code: str) -> str:
    """'piece', 'sheet', 'sign' or 'blank'. Raises NotFound for a code nobody has or that was retired."""
    row = db.execute("SELECT kind, is_retired FROM code WHERE code = ?", (code,)).fetchone()
    if row is None:
        raise NotFound(f"No label bears the code {show(code)}: scan it once more.")
    if row["is_retired"]:
        raise NotFound(
            f"The label {show(code)} was withdrawn when its act was undone: take it off the piece."
        )
    return row["kind"]


def is_retired(db: sqlite3.Connection, code: str) -> bool:
    """Whether a code was taken back when the act that made it was undone."""
    row = db.execute("SELECT is_retired FROM code WHERE code = ?", (code,)).fetchone()
    return bool(row and row["is_retired"])
