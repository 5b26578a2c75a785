"""Rows and typed values out of SQL, and rows into it."""

from __future__ import annotations

import sqlite3

import pytest

from shopfloor.domain.errors import NotFound
from shopfloor.store.sql import (
    LISTED,
    insert,
    listed,
    read_all,
    read_column,
    read_groups,
    read_one,
    read_one_or_none,
    read_pairs,
    scalar,
    scalar_or_none,
    update,
)
from shopfloor.wording.sheets import no_such_sheet


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


@pytest.fixture
def things():
    db = sqlite3.connect(":memory:")
    db.row_factory = sqlite3.Row
    db.execute("CREATE TABLE thing (id INTEGER PRIMARY KEY, name TEXT, kind TEXT)")
    for name, kind in (("a", "tray"), ("b", "bag"), ("c", "tray")):
        insert(db, "thing", name=name, kind=kind)
    yield db
    db.close()


def test_an_inserted_row_gives_its_id_and_is_updated_by_it(things):
    assert insert(things, "thing", name="d", kind="rack") == 4
    update(things, "thing", 4, name="e", kind=None)
    assert tuple(things.execute("SELECT * FROM thing WHERE id = 4").fetchone()) == (4, "e", None)
    assert read_column(things, "SELECT name FROM thing ORDER BY id") == ["a", "b", "c", "e"]


def test_rows_become_what_is_made_of_them(things):
    sql = "SELECT * FROM thing WHERE name > ? ORDER BY id"
    assert [row["id"] for row in read_all(things, dict, sql, ("a",))] == [2, 3]
    assert read_one_or_none(things, dict, sql, ("b",)) == {"id": 3, "name": "c", "kind": "tray"}
    assert read_one_or_none(things, dict, sql, ("c",)) is None
    with pytest.raises(NotFound, match="Sheet not found"):
        read_one(things, dict, no_such_sheet(), sql, ("c",))


def test_many_values_are_looked_for_at_once(things):
    sql = f"SELECT kind, name FROM thing WHERE id IN {LISTED} ORDER BY id"
    assert read_groups(things, sql, (listed([1, 3]),)) == {"tray": ["a", "c"]}
    assert read_pairs(things, sql, (listed(range(5000)),)) == {"tray": "c", "bag": "b"}
    assert read_pairs(things, sql, (listed([]),)) == {}
    plan = things.execute("EXPLAIN QUERY PLAN " + sql, (listed([1]),)).fetchall()
    assert any("SEARCH thing USING INTEGER PRIMARY KEY" in row["detail"] for row in plan)


def test_of_several_columns_the_first_is_read(things):
    pairs = "SELECT name, id FROM thing ORDER BY id"
    assert read_column(things, pairs) == ["a", "b", "c"]
    assert scalar(things, str, pairs) == "a"
    assert scalar_or_none(things, str, pairs) == "a"
    assert scalar_or_none(things, str, "SELECT NULL, name FROM thing") is None
