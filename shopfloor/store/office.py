"""What Office alone asks of the ledger. The ledger's own list is in ledger.py."""

from __future__ import annotations

import sqlite3


def signs_called(db: sqlite3.Connection, codes: list[str]) -> dict[str, str]:
    """What people call the signs among some codes: {'40729153': 'J-1004 A'}."""
    marks = ", ".join("?" for _ in codes)
    rows = db.execute(
        f"SELECT s.code, j.number || ' ' || s.mark FROM sign s JOIN job j ON j.id = s.job WHERE s.code IN ({marks})",
        codes,
    )
    return dict(rows.fetchall())


def acts_with_changes(db: sqlite3.Connection, acts: list[int]) -> set[int]:
    """Those of some acts that changed anything of the state."""
    marks = ", ".join("?" for _ in acts)
    return {
        row["act"]
        for row in db.execute(
            f"SELECT act FROM ledger WHERE act IN ({marks}) AND changes != '[]'", acts
        )
    }
