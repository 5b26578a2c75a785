"""The ledger: append-only, replayable, and what undo may and may not do."""

from __future__ import annotations

import sqlite3

import pytest

from shopfloor.actions import pieces, sheets
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import codes, ledger, migrate, replay
from shopfloor.store import pieces as piece_store
from shopfloor.store.db import Database


@pytest.fixture
def letter(shop, owner, small_job):
    """The code of a letter on a sheet that is being cut, and the sheet's code."""
    db = shop.read()
    row = db.execute(
        """SELECT p.code, s.code AS sheet FROM piece p JOIN sheet s ON s.id = p.sheet
           JOIN assignment a ON a.piece = p.id JOIN part pt ON pt.id = a.part WHERE pt.level = 1 ORDER BY p.id"""
    ).fetchone()
    return row["code"], row["sheet"]


def state_of(shop, code):
    return piece_store.by_code(shop.read(), code).state


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE ledger SET what = 'nothing'",
        "DELETE FROM ledger",
        "REPLACE INTO ledger SELECT act, at, person, by_name, tablet, 'x', key, form, events, changes, answer, undoes FROM ledger",
    ],
)
def test_the_ledger_takes_no_change_and_no_cut(shop, small_job, sql):
    with pytest.raises(Conflict), shop.database.write() as db:
        db.execute(sql)


def test_the_state_cannot_be_changed_past_the_ledger(shop, small_job):
    with pytest.raises(Conflict), shop.database.write() as db:
        db.execute("UPDATE piece SET state = 'ready'")


def test_a_database_changed_from_outside_does_not_pass_the_check(shop, small_job):
    assert replay.differences(shop.read()) == []
    outside = sqlite3.connect(shop.database.path)
    outside.execute("UPDATE piece SET state = 'fixed' WHERE id = 2")
    outside.execute("DELETE FROM step_part WHERE rowid = 1")
    outside.commit()
    outside.close()
    found = replay.differences(shop.read())
    assert len(found) == 2 and any(str(line).startswith("piece 2:") for line in found)


def test_replay_reads_nothing_but_the_ledger(shop, small_job):
    fresh = replay.replayed(shop.read())
    assert fresh.execute("SELECT count(*) FROM piece").fetchone()[0] > 0
    assert fresh.execute("SELECT count(*) FROM ledger").fetchone()[0] == 0


def test_a_second_copy_of_a_request_gets_the_first_answer(shop, owner, letter):
    first = pieces.mark(Caller(shop, owner, "one tap"), [letter[0]], "lost")
    acts = ledger.newest(shop.read())
    assert pieces.mark(Caller(shop, owner, "one tap"), [letter[0]], "lost") == first
    assert ledger.newest(shop.read()) == acts


def test_a_retry_of_an_undone_act_gets_its_first_answer_and_changes_nothing(shop, owner, letter):
    first = pieces.mark(Caller(shop, owner, "one tap"), [letter[0]], "lost")
    undo(Caller(shop, owner), first.act)
    assert (
        pieces.mark(Caller(shop, owner, "one tap"), [letter[0]], "lost").sentence == first.sentence
    )
    assert state_of(shop, letter[0]) == "nested"


def test_a_key_used_for_one_thing_does_not_answer_another(shop, owner, letter):
    pieces.mark(Caller(shop, owner, "one tap"), [letter[0]], "lost")
    with pytest.raises(Conflict):
        sheets.finish(Caller(shop, owner, "one tap"), letter[1])


def test_lost_twice_makes_one_recut_and_a_friendly_answer(shop, owner, letter):
    first = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    again = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    recut = first.data["recuts"][0]
    assert again.sentence == f"Already lost. Its recut is {recut[:4]} {recut[4:]}."
    assert again.data["recuts"] == []


def test_undo_brings_the_state_back_and_retires_the_code(shop, owner, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    recut = lost.data["recuts"][0]
    undo(Caller(shop, owner), lost.act)
    assert state_of(shop, letter[0]) == "nested"
    with pytest.raises(NotFound, match="is void"):
        codes.kind_of(shop.read(), recut)
    assert replay.differences(shop.read()) == []


def test_a_retired_code_is_never_given_out_again(shop, owner, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    recut = lost.data["recuts"][0]
    undo(Caller(shop, owner), lost.act)
    rolls = iter([int(recut[:7]), int(recut[:7]), 1234567])
    shop.dice = lambda below: next(rolls)
    assert (
        pieces.mark(Caller(shop, owner), [letter[0]], "lost")
        .data["recuts"][0]
        .startswith("1234567")
    )


def test_undo_is_refused_with_the_reason_when_a_later_act_touched_the_piece(shop, owner, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    pieces.mark(Caller(shop, owner), [letter[0]], "found")
    with pytest.raises(Conflict, match=r"Owner has done something since.*is back"):
        undo(Caller(shop, owner), lost.act)


def test_a_start_is_not_undone_under_the_marks_that_lean_on_it(shop, owner, letter):
    sheet = (
        shop.read().execute("SELECT id FROM sheet WHERE code = ?", (letter[1],)).fetchone()["id"]
    )
    started = ledger.acts_on(shop.read(), "sheet", sheet)[-1]["act"]
    pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    with pytest.raises(Conflict, match="has done something since"):
        undo(Caller(shop, owner), started)


def test_marks_on_one_sheet_do_not_hold_each_other(shop, owner, letter):
    here = [
        p.code
        for p in piece_store.of_sheet(
            shop.read(), piece_store.by_code(shop.read(), letter[0]).sheet
        )
    ]
    first = pieces.mark(Caller(shop, owner), [here[0]], "lost")
    pieces.mark(Caller(shop, owner), [here[1]], "damaged")
    undo(Caller(shop, owner), first.act)
    assert [state_of(shop, code) for code in here[:2]] == ["nested", "damaged"]


def test_what_was_undone_in_between_does_not_hold_an_undo(shop, owner, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    found = pieces.mark(Caller(shop, owner), [letter[0]], "found")
    undo(Caller(shop, owner), found.act)
    undo(Caller(shop, owner), lost.act)
    assert state_of(shop, letter[0]) == "nested"


def test_an_undo_is_not_undone_and_nothing_is_undone_twice(shop, owner, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    back = undo(Caller(shop, owner), lost.act)
    for act in (back.act, lost.act):
        with pytest.raises(Conflict):
            undo(Caller(shop, owner), act)


def test_only_an_owner_undoes_what_another_did(shop, owner, operator, letter):
    lost = pieces.mark(Caller(shop, owner), [letter[0]], "lost")
    with pytest.raises(NotAllowed):
        undo(Caller(shop, operator), lost.act)


def test_the_opening_of_the_shop_is_not_undone(shop, owner):
    with pytest.raises(Conflict):
        undo(Caller(shop, owner), 1)


def test_the_file_says_what_it_is(shop):
    """Bytes 60, 68, 18 and 19 of the file: SQLite's own description of its header."""
    shop.read().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    head = shop.database.path.read_bytes()[:100]
    assert int.from_bytes(head[60:64]) == migrate.present_form()
    assert int.from_bytes(head[68:72]) == migrate.APPLICATION_ID
    assert head[18:20] == b"\x02\x02"


def test_a_file_of_another_program_is_refused_and_left_alone(tmp_path):
    other = tmp_path / "other.db"
    db = sqlite3.connect(other)
    db.execute("CREATE TABLE mine (x)")
    db.commit()
    db.close()
    for path in (other, tmp_path / "letter.txt"):
        if not path.exists():
            path.write_text("Dear harbour master, " * 100)
        with pytest.raises(Refused):
            Database(path)
    assert (tmp_path / "letter.txt").read_text().startswith("Dear")


def test_a_newer_database_is_refused(tmp_path):
    Database(tmp_path / "shop.db").close()
    db = sqlite3.connect(tmp_path / "shop.db")
    db.execute("PRAGMA user_version = 99")
    db.close()
    with pytest.raises(Refused, match="newer"):
        Database(tmp_path / "shop.db")
