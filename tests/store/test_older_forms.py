"""Databases that an earlier shopfloor wrote open in this one, and their ledgers still give their state.

`form_1.sql` was written by the last version whose database had form 1: a job of four pieces, one letter lost and found, its recut
withdrawn, a dot lost and queued again. `form_2.sql` by the last one of form 2: a sign whose three letters were glued, and one of them
damaged at the bench while the others cure. `form_3.sql` by the last one of form 3: a sign of two letters, one lost and one cut, in a shop
that had changed its thermometer (then called gauge), the onion skin and two settings that are offered no more. `form_4.sql` by the last
one of form 4: one sign with a cure opened early, glued again, and a second opening undone; one glued in part and opened early, held, its
cancelling undone, resumed, another hold undone, held again and cancelled; one that lost the level that was opened early to a new drawing.
"""

from __future__ import annotations

import json
import random
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from shop_for_tests import on_shelves

from shopfloor import nesting
from shopfloor.actions import bench, climate, nests, pieces, sheets, signs
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions.unit_of_work import Caller, Shop, moment, stamp, undo
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.domain.settings import FIELDS, Settings
from shopfloor.store import bench as bench_store
from shopfloor.store import cements, holding, ledger, migrate, people, replay
from shopfloor.store import jobs as job_store
from shopfloor.store import pieces as piece_store
from shopfloor.store import records as record_store
from shopfloor.store import settings as setting_store
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
    told = nests.plan(Caller(old, by), 2, codes=[waiting[0].code])
    sheet = sheet_store.sheet_by_code(old.read(), told.data["sheets"][0])
    assert set(holding.of_nest(old.read(), sheet.nest)) == {waiting[0].id}
    sheets.start(Caller(old, by), sheet.code)
    assert replay.differences(old.read()) == []
    assert ledger.entry(old.read(), ledger.newest(old.read())).form == migrate.present_form()


def test_what_was_done_in_the_first_form_is_undone_in_this_one(old):
    by = people.by_named(old.read(), None, "test")
    newest = ledger.newest(old.read())
    undo(Caller(old, by), newest)
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
    climate.note_climate(Caller(second, by), 10.0)  # under the cement's coldest: it stands still
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
    nesting_result = nests.plan(Caller(second, by), 2, codes=waiting)
    sheet = nesting_result.data["sheets"][0]
    sheets.start(Caller(second, by), sheet)
    sheets.finish(Caller(second, by), sheet)
    sheets.mark_rest_cut(Caller(second, by), sheet, waiting)
    pieces.mark(Caller(second, by), waiting, "trimmed")
    laying, gluing = bench_store.steps_of(second.read(), 1)[:2]
    bench.set_out_rest(Caller(second, by), laying.id, laying.parts)
    told = gluing_acts.glue_up(Caller(second, by), [gluing.id], 1, "A-2", 23.0, 45.0)
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
        undo(Caller(second, by), newest.fetchone()[0])
    assert second.read().execute("SELECT count(*) FROM glue_up").fetchone()[0] == 0
    assert replay.differences(second.read()) == []


@pytest.fixture
def third(tmp_path, monkeypatch):
    """A shop of the third form, with settings of its own."""
    monkeypatch.setattr(nesting, "nest", on_shelves)
    return opened(tmp_path, 3)


def test_a_database_of_the_third_form_opens_and_its_ledger_gives_its_state(third):
    assert replay.differences(third.read()) == []
    assert {row["form"] for row in third.read().execute("SELECT form FROM ledger")} == {3}


def test_settings_keep_the_values_in_force_under_their_new_names(third):
    in_force = setting_store.load(third.read())
    assert (in_force.thermometer, in_force.thermometer_every_min) == ("/var/other.json", 15.0)
    assert (in_force.leakage_share, in_force.skin_share) == (0.1, 0.6), (
        "offered no more, still in force"
    )
    assert (in_force.skin_mm, in_force.friction) == (0.5, 0.4)


def test_a_change_of_a_setting_of_the_third_form_is_undone_under_its_new_name(third):
    owner = people.by_named(third.read(), None, "test")
    undo(Caller(third, owner), 3)
    assert setting_store.load(third.read()).thermometer == "/var/thermometer.json"
    with pytest.raises(Conflict, match="Already undone"):
        undo(Caller(third, owner), 3)
    assert replay.differences(third.read()) == []


def test_an_old_change_is_not_undone_under_a_newer_one_of_the_renamed_setting(third):
    owner = people.by_named(third.read(), None, "test")
    setting_acts.change_settings(Caller(third, owner), {"thermometer": "/var/third.json"})
    with pytest.raises(Conflict, match="Undo that first"):
        undo(Caller(third, owner), 3)


def test_a_sentence_of_the_third_form_is_read_as_it_was_written(third):
    owner = people.by_named(third.read(), None, "test")
    first = pieces.mark(Caller(third, owner, "a loss"), ["88925933"], "lost")
    assert (
        first.sentence
        == json.loads(
            third.read().execute("SELECT answer FROM ledger WHERE act = 9").fetchone()["answer"]
        )["sentence"]
    ), "a retry gets the first answer, word for word"


def test_a_setting_that_is_offered_no_more_is_listed_and_can_go_back(third):
    owner = people.by_named(third.read(), None, "test")
    changed = list(setting_store.changed(third.read()))
    assert {name for name in changed if not FIELDS[name].is_offered} == {
        "leakage_share",
        "skin_share",
        "thermometer_every_min",
    }
    setting_acts.use_default(Caller(third, owner), "leakage_share")
    assert setting_store.load(third.read()).leakage_share == Settings().leakage_share
    assert replay.differences(third.read()) == []
    with pytest.raises(Refused, match="There is no setting"):
        setting_acts.use_default(Caller(third, owner), "friction")


@pytest.fixture
def fourth(tmp_path):
    """A shop of the fourth form, with reasons that only the events of its ledger have."""
    return opened(tmp_path, 4)


def openings(shop: Shop, sign: int) -> list[tuple[str, str, str, str, str]]:
    """The cures of a sign that were opened early, as its record has them."""
    return [
        (str(one.title), stamp(one.at), stamp(one.until), one.reason, one.by_name)
        for one in record_store.opened_early(shop.read(), sign)
    ]


def reason(shop: Shop, sign: int) -> tuple[str, str]:
    """A sign's state and the reason for it."""
    found = job_store.sign(shop.read(), sign)
    return found.state, found.why_in_state


def test_a_database_of_the_fourth_form_opens_and_its_ledger_gives_its_state(fourth):
    assert {row["form"] for row in fourth.read().execute("SELECT form FROM ledger")} == {4}
    assert fourth.read().execute("PRAGMA foreign_key_check").fetchall() == []
    assert replay.differences(fourth.read()) == []


def test_reasons_of_the_fourth_form_are_read_as_they_were_then(fourth):
    """What is expected here is what the last version of form 4 read from the same file."""
    assert [reason(fourth, sign) for sign in (1, 2, 3)] == [
        ("open", ""),
        ("cancelled", "the shop closes"),
        ("on hold", "a new text comes"),
    ]
    ends = ("2026-11-25T12:23:00.000Z", "2026-11-25T12:47:00.000Z")
    assert openings(fourth, 1) == [
        ("Cure level 1", "2026-11-24T08:51:00.000Z", ends[0], "held by a clamp", "Owner")
    ]
    assert openings(fourth, 2) == [
        ("Glue level 1", "2026-11-24T09:15:00.000Z", ends[1], "one letter only", "Owner")
    ]
    assert openings(fourth, 3) == [], "its level is gone"


def test_undoing_acts_of_the_fourth_form_gives_each_earlier_reason_back(fourth):
    owner = people.by_named(fourth.read(), None, "test")
    seen = []
    for act in (30, 29, 26, 23):  # cancelled, held, resumed, held
        undo(Caller(fourth, owner), act)
        seen.append(reason(fourth, 2))
        assert replay.differences(fourth.read()) == []
    assert seen == [
        ("on hold", "the wall is wet"),
        ("open", ""),
        ("on hold", "no red acrylic"),
        ("open", ""),
    ]


def test_a_change_of_the_fourth_form_is_lifted_with_the_reasons_of_its_time(fourth):
    """Act 24 cancelled the sign on hold, act 25 undid that."""
    lifted = [
        change
        for act in (24, 25)
        for change in ledger.upgraded(fourth.read(), ledger.entry(fourth.read(), act))
        if change["t"] == "sign"
    ]
    held, cancelled = "no red acrylic", "the customer called"
    assert [(change["b"]["why_in_state"], change["a"]["why_in_state"]) for change in lifted] == [
        (held, cancelled),
        (cancelled, held),
    ]


def test_undoing_a_new_drawing_of_the_fourth_form_brings_the_opened_level_back(fourth):
    owner = people.by_named(fourth.read(), None, "test")
    undo(Caller(fourth, owner), 44)
    assert reason(fourth, 3) == ("on hold", "a new text comes")
    assert [why for *_, why, _ in openings(fourth, 3)] == ["hung tonight"]
    assert replay.differences(fourth.read()) == []


def test_an_early_opening_of_the_fourth_form_is_undone_with_its_reason(fourth):
    owner = people.by_named(fourth.read(), None, "test")
    for act in (44, 43, 42):
        undo(Caller(fourth, owner), act)
    assert reason(fourth, 3) == ("open", "")
    assert openings(fourth, 3) == []
    assert replay.differences(fourth.read()) == []


def test_new_reasons_are_kept_beside_those_of_the_fourth_form(fourth):
    owner = people.by_named(fourth.read(), None, "test")
    fourth.clock = lambda: datetime(2026, 11, 24, 11, tzinfo=UTC)
    reopened = signs.reopen(Caller(fourth, owner), 2, "they pay after all")
    assert reason(fourth, 2) == ("open", "they pay after all")
    cure = next(step for step in bench_store.steps_of(fourth.read(), 1) if step.kind == "cure")
    again = gluing_acts.open_early(Caller(fourth, owner), cure.id, "the clamp holds")
    assert [why for *_, why, _ in openings(fourth, 1)] == ["held by a clamp", "the clamp holds"]
    assert replay.differences(fourth.read()) == []
    for answer in (again, reopened):
        undo(Caller(fourth, owner), answer.act)
    assert [why for *_, why, _ in openings(fourth, 1)] == ["held by a clamp"]
    assert reason(fourth, 2) == ("cancelled", "the shop closes")
    assert replay.differences(fourth.read()) == []
