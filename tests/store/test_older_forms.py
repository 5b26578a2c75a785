"""Databases that an earlier shopfloor wrote open in this one, and their ledgers still give their state.

`form_1.sql` was written by the last version whose database had form 1: a job of four pieces, one letter lost and found, its recut
withdrawn, a dot lost and queued again. `form_2.sql` by the last one of form 2: a sign whose three letters were glued, and one of them
damaged at the bench while the others cure.
"""

from __future__ import annotations

import random
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from shop_for_tests import on_shelves

from shopfloor import nesting
from shopfloor.actions import bench, climate, nests, pieces, sheets
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import Shop, moment, undo
from shopfloor.store import bench as bench_store
from shopfloor.store import cements, holding, ledger, migrate, people, replay
from shopfloor.store import pieces as piece_store
from shopfloor.store import sheets as sheet_store
from shopfloor.store.db import Database

HERE = Path(__file__).parent


def opened(folder: Path, form: int) -> Shop:
    """A shop that was kept in an older form, opened by this version."""
    path = folder / "old.db"
    db = sqlite3.connect(path)
    db.executescript((HERE / f"form_{form}.sql").read_text())
    db.execute(f"PRAGMA application_id = {migrate.APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {form}")
    db.close()
    return Shop(Database(path), dice=random.Random(7).randrange)


@pytest.fixture
def old(tmp_path, monkeypatch):
    """A shop of the first form."""
    monkeypatch.setattr(nesting, "nest", on_shelves)
    return opened(tmp_path, 1)


@pytest.fixture
def second(tmp_path, monkeypatch):
    """A shop of the second form, at the bench."""
    monkeypatch.setattr(nesting, "nest", on_shelves)
    return opened(tmp_path, 2)


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
    assert all(
        holding.of_nest(old.read(), nest) == {} and holding.run_of(old.read(), nest) is None
        for nest in nests_made
    )


@pytest.mark.parametrize("form", [1, 2])
def test_nothing_refers_to_what_is_not_there_after_the_tables_were_made_anew(tmp_path, form):
    db = opened(tmp_path, form).read()
    assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    assert db.execute("PRAGMA foreign_keys").fetchone()[0] == 1
    assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    kept, highest = (
        db.execute(sql).fetchone()[0]
        for sql in (
            "SELECT seq FROM sqlite_sequence WHERE name = 'step'",
            "SELECT max(id) FROM step",
        )
    )
    assert kept >= highest  # an id of a step that was taken back is not given again


def test_a_database_of_the_second_form_opens_and_its_ledger_gives_its_state(second):
    assert replay.differences(second.read()) == []
    assert {entry["form"] for entry in second.read().execute("SELECT form FROM ledger")} == {2}
    assert cements.cements(second.read())[0].kind == "solvent"


def test_a_glue_up_of_the_second_form_cures_on_by_what_is_read_now(second):
    by = people.by_named(second.read(), None, "test")
    glued = second.read().execute("SELECT at, cured_at FROM glue_up").fetchone()
    second.clock = lambda: moment(glued["at"]) + timedelta(hours=1)
    climate.note_climate(second, by, 10.0)  # under the cement's coldest: it stands still
    assert (
        second.read().execute("SELECT cured_at FROM glue_up").fetchone()["cured_at"]
        > glued["cured_at"]
    )
    assert replay.differences(second.read()) == []


def test_a_letter_that_was_damaged_in_the_second_form_is_glued_alone(second):
    by = people.by_named(second.read(), None, "test")
    second.clock = lambda: datetime(2026, 11, 5, 8, tzinfo=UTC)
    waiting = [
        row["code"]
        for row in second.read().execute("SELECT code FROM piece WHERE state = 'waiting'")
    ]
    nesting_result = nests.plan(second, by, 2, codes=waiting)
    sheet = nesting_result.data["sheets"][0]
    sheets.start(second, by, sheet)
    sheets.finish(second, by, sheet)
    sheets.mark_rest_cut(second, by, sheet, waiting)
    pieces.mark(second, by, waiting, "trimmed")
    laying, gluing = bench_store.steps_of(second.read(), 1)[:2]
    bench.set_out_rest(second, by, laying.id, laying.parts)
    told = gluing_acts.glue_up(second, by, [gluing.id], 1, "A-2", 23.0, 45.0)
    assert told.sentence.startswith("J-1001 A is glued")
    joined = [
        row["piece"]
        for row in second.read().execute("SELECT piece FROM glue_up_piece WHERE glue_up = 2")
    ]
    assert joined == [piece_store.by_code(second.read(), waiting[0]).id]
    assert replay.differences(second.read()) == []


def test_what_was_glued_in_the_second_form_is_undone_in_this_one(second):
    by = people.by_named(second.read(), None, "test")
    for _ in range(2):
        newest = second.read().execute(
            "SELECT max(act) FROM ledger WHERE undoes IS NULL AND act NOT IN (SELECT undoes FROM ledger WHERE undoes IS NOT NULL)"
        )
        undo(second, by, newest.fetchone()[0])
    assert second.read().execute("SELECT count(*) FROM glue_up").fetchone()[0] == 0
    assert replay.differences(second.read()) == []
