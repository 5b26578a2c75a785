"""Tables for the tests of one function of the store, which need no shop and no command."""

from __future__ import annotations

import sqlite3

import pytest

from shopfloor.store import migrate


@pytest.fixture
def tables():
    """The tables of a shop with nothing in them, outside any command; a row may refer to one that is not there."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    db.row_factory = sqlite3.Row
    migrate.to_present(db)
    db.execute("PRAGMA foreign_keys = OFF")
    yield db
    db.close()
