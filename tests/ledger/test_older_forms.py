"""Databases that an earlier shopfloor wrote open in this one, and their ledgers still give their state.

`form_1.sql` was written by the last version whose database had form 1: a job of four pieces, one letter lost and found, its recut
withdrawn, a dot lost and queued again.
"""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest
from shop_for_tests import on_shelves

from shopfloor import nesting
from shopfloor.actions import nests, sheets
from shopfloor.actions.desk import Desk, undo
from shopfloor.store import holding, ledger, migrate, people, replay
from shopfloor.store import pieces as piece_store
from shopfloor.store import sheets as sheet_store
from shopfloor.store.db import Database

DUMP = Path(__file__).parent / "form_1.sql"


@pytest.fixture
def old(tmp_path, monkeypatch):
    """A shop that was kept by the first version, opened by this one."""
    path = tmp_path / "old.db"
    db = sqlite3.connect(path)
    db.executescript(DUMP.read_text())
    db.execute(f"PRAGMA application_id = {migrate.APPLICATION_ID}")
    db.execute("PRAGMA user_version = 1")
    db.close()
    monkeypatch.setattr(nesting, "nest", on_shelves)
    return Desk(Database(path), dice=random.Random(7).randrange)


def test_a_database_of_the_first_form_opens_and_its_ledger_gives_its_state(old):
    assert old.read().execute("PRAGMA user_version").fetchone()[0] == migrate.present_form()
    assert replay.differences(old.read()) == []
    assert {entry["form"] for entry in old.read().execute("SELECT form FROM ledger")} == {1}


def test_work_goes_on_in_it(old):
    by = people.by_named(old.read(), None, "test")
    waiting = piece_store.waiting(old.read(), 2)
    assert [piece.attempt for piece in waiting] == [2]
    told = nests.plan(old, by, 2, codes=[waiting[0].code])
    sheet = sheet_store.sheet_by_code(old.read(), told.data["sheets"][0])
    assert set(holding.of_nest(old.read(), sheet.nest)) == {waiting[0].id}
    sheets.start(old, by, sheet.code)
    assert replay.differences(old.read()) == []
    assert ledger.entry(old.read(), ledger.newest(old.read())).form == migrate.present_form()


def test_what_was_done_in_the_first_form_is_undone_in_this_one(old):
    by = people.by_named(old.read(), None, "test")
    newest = ledger.newest(old.read())
    undo(old, by, newest)
    assert replay.differences(old.read()) == []


def test_a_sheet_nested_before_holding_was_kept_has_none(old):
    nests_made = [row["id"] for row in old.read().execute("SELECT id FROM nest")]
    assert nests_made
    assert all(holding.of_nest(old.read(), nest) == {} and holding.run_of(old.read(), nest) is None for nest in nests_made)
