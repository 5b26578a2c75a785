"""Typed values out of SQL."""

from __future__ import annotations

import pytest

from shopfloor.store.sql import insert, scalar, scalar_or_none


def test_a_value_has_the_type_that_was_asked_for(shop):
    db = shop.read()
    assert scalar(db, int, "SELECT ? + 1", (4,)) == 5
    assert scalar(db, str, "SELECT :word", {"word": "cut"}) == "cut"
    with pytest.raises(TypeError, match="no int"):
        scalar(db, int, "SELECT max(act) FROM ledger WHERE act < 0")
    with pytest.raises(LookupError):
        scalar(db, int, "SELECT act FROM ledger WHERE act < 0")


def test_a_value_that_may_be_missing_is_none(shop):
    db = shop.read()
    assert scalar_or_none(db, int, "SELECT act FROM ledger WHERE act < 0") is None
    assert scalar_or_none(db, int, "SELECT max(act) FROM ledger WHERE act < 0") is None
    assert scalar_or_none(db, int, "SELECT act FROM ledger") == 1


def test_an_inserted_row_gives_its_id(tmp_path):
    import sqlite3

    db = sqlite3.connect(tmp_path / "other.db")
    db.execute("CREATE TABLE thing (id INTEGER PRIMARY KEY, name TEXT)")
    ids = [insert(db, "INSERT INTO thing (name) VALUES (?)", (name,)) for name in ("a", "b")]
    assert ids == [1, 2]
    db.close()
