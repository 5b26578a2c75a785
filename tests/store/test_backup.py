"""A copy of the database, and a copy put back in its place."""

from __future__ import annotations

import sqlite3

import pytest

from shopfloor.domain.errors import Conflict, Refused
from shopfloor.store import people, replay
from shopfloor.store.backup import backup, restore
from shopfloor.store.db import Database


@pytest.fixture
def copy(shop, tmp_path):
    """A backup of the shop."""
    path = tmp_path / "copy.db"
    backup(shop.read(), path)
    return path


def test_a_backup_is_one_file_with_all_that_was_there(copy, tmp_path):
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy.db"]
    database = Database(copy)
    assert people.owner(database.read()).name == "Owner"
    assert replay.differences(database.read()) == []
    database.close()


def test_a_backup_needs_a_folder_and_a_name_that_is_free(shop, copy, tmp_path):
    with pytest.raises(Refused, match="already"):
        backup(shop.read(), copy)
    with pytest.raises(Refused, match="nowhere"):
        backup(shop.read(), tmp_path / "nowhere" / "copy.db")


def test_a_backup_is_put_where_there_is_no_database(copy, tmp_path):
    assert restore(copy, tmp_path / "new.db") is None
    assert (tmp_path / "new.db").read_bytes() == copy.read_bytes()
    assert sorted(path.name for path in tmp_path.glob("new*")) == ["new.db"]


def test_the_database_that_was_there_is_kept_beside_it(copy, tmp_path):
    (tmp_path / "old.db").write_bytes(copy.read_bytes())
    kept = restore(copy, tmp_path / "old.db")
    assert kept == tmp_path / "old.db.before-restore" and kept.exists()
    assert (tmp_path / "old.db").read_bytes() == copy.read_bytes()


def test_a_broken_database_is_a_reason_to_restore(copy, tmp_path):
    (tmp_path / "old.db").write_text("half a database " * 100)
    kept = restore(copy, tmp_path / "old.db")
    assert kept is not None and kept.read_text().startswith("half")
    assert (tmp_path / "old.db").read_bytes() == copy.read_bytes()


def test_a_database_that_is_open_is_not_replaced(shop, copy):
    before = shop.read().execute("SELECT count(*) FROM ledger").fetchone()[0]
    with pytest.raises(Conflict, match="in use"):
        restore(copy, shop.database.path)
    assert shop.read().execute("SELECT count(*) FROM ledger").fetchone()[0] == before


def test_what_is_no_whole_backup_is_refused_for_what_it_is(copy, tmp_path):
    letter, other, half, spoilt = (
        tmp_path / name for name in ("letter.txt", "other.db", "half.db", "spoilt.db")
    )
    letter.write_text("Dear harbour master, " * 100)
    db = sqlite3.connect(other)
    db.execute("CREATE TABLE mine (x)")
    db.close()
    whole = copy.read_bytes()
    half.write_bytes(whole[: len(whole) // 2])
    spoilt.write_bytes(whole)
    db = sqlite3.connect(spoilt, isolation_level=None)
    db.execute("PRAGMA writable_schema = ON")
    db.execute("DELETE FROM sqlite_master WHERE name = 'piece_waiting'")  # its page is left over
    db.close()
    for source, why in (
        (tmp_path / "nowhere.db", "nowhere"),
        (letter, "is not"),
        (other, "is not"),
        (half, "half"),
        (spoilt, "is damaged"),
    ):
        with pytest.raises(Refused, match=why):
            restore(source, tmp_path / "new.db")
    assert not (tmp_path / "new.db").exists()
