"""What Office alone asks of the ledger. The ledger's own list is in ledger.py."""

from __future__ import annotations

import sqlite3


def acts_with_changes(db: sqlite3.Connection, acts: list[int]) -> set[int]:
    """Those of some acts that changed anything of the state."""
    marks = ", ".join("?" for _ in acts)
    return {row["act"] for row in db.execute(f"SELECT act FROM ledger WHERE act IN ({marks}) AND changes != '[]'", acts)}
