"""What Office alone asks of the ledger. The ledger's own list is in ledger.py."""

from __future__ import annotations

import sqlite3

from .sql import LISTED, listed, read_column, read_pairs


def signs_called(db: sqlite3.Connection, codes: list[str]) -> dict[str, str]:
    """Return what people call the signs among some codes: {'40729153': 'J-1004 A'}."""
    return read_pairs(
        db,
        f"SELECT s.code, j.number || ' ' || s.mark FROM sign s JOIN job j ON j.id = s.job WHERE s.code IN {LISTED}",
        (listed(codes),),
    )


def acts_with_changes(db: sqlite3.Connection, acts: list[int]) -> set[int]:
    """Return those of some acts that changed the shop's state."""
    sql = f"SELECT act FROM ledger WHERE act IN {LISTED} AND changes != '[]'"
    return set(read_column(db, sql, (listed(acts),)))
