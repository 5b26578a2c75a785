"""`shopfloor check`, `backup`, `restore`, and what every verb has in common."""

from __future__ import annotations

import dataclasses
import re
import socket
import sqlite3
import subprocess
import sys

import pytest

from shopfloor import cli
from shopfloor.domain.settings import Settings
from shopfloor.store.db import Database

# No source outside: these are the project's own.
VERBS = (
    "demo",
    "serve",
    "intake",
    "revise",
    "mark",
    "show",
    "labels",
    "setup-sheet",
    "file",
    "paper",
    "check",
    "backup",
    "restore",
    "settings",
    "measure",
)


def test_check_replays_the_ledger(run, codes):
    run("mark", codes[0], "--as", "lost")
    said = run("check")
    assert said.status == 0 and said.out.endswith(
        "actions replayed. The ledger matches the database.\n"
    )


@pytest.mark.parametrize(
    "meddling",
    [
        "UPDATE piece SET state = 'fixed' WHERE id = 1",
        "DELETE FROM step_part WHERE rowid = 1 OR step = 1",
        "UPDATE placement SET x_mm = x_mm + 0.001 WHERE piece = 1",
        "INSERT INTO setting VALUES ('shop_name', 'Mine')",
    ],
)
def test_check_finds_what_was_changed_past_the_ledger(run, job, shop_file, meddling):
    with sqlite3.connect(shop_file) as db:
        assert db.execute(meddling).rowcount > 0
    db.close()
    said = run("check")
    assert said.status == 1
    assert "do not match" in said.err and "does not match the database" in said.out


def test_the_ledger_cannot_be_changed_or_cut(job, shop_file):
    db = sqlite3.connect(shop_file)
    db.execute("PRAGMA recursive_triggers = ON")  # else REPLACE gets past any trigger
    again = "REPLACE INTO ledger SELECT * FROM ledger"
    for meddling in ("UPDATE ledger SET by_name = 'Nobody'", "DELETE FROM ledger", again):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            db.execute(meddling)
    db.close()


def test_a_backup_brings_the_shop_back(run, codes, tmp_path):
    copy = tmp_path / "copy.db"
    assert run("backup", copy).status == 0
    assert sorted(path.name for path in tmp_path.iterdir() if path.name.startswith("copy")) == [
        "copy.db"
    ], "one file"
    before = run("show", "J-1001", "--json").json
    run("mark", codes[0], "--as", "lost")
    said = run("restore", copy)
    assert said.status == 0
    assert run("show", "J-1001", "--json").json == before
    assert run("check").status == 0
    kept = tmp_path / "shop.db.before-restore"
    assert str(kept) in said.out and kept.exists(), "what was there is not thrown away"


def test_a_backup_is_taken_while_the_shop_works(run, codes, shop_file, tmp_path):
    open_shop = Database(shop_file)
    try:
        with open_shop.snapshot():
            assert run("backup", tmp_path / "copy.db").status == 0
    finally:
        open_shop.close()


def test_a_backup_is_not_put_over_another_file(refused, job, tmp_path):
    (tmp_path / "copy.db").write_text("mine")
    assert "already" in refused("backup", tmp_path / "copy.db")
    assert "nowhere" in refused("backup", tmp_path / "nowhere" / "copy.db")
    assert (tmp_path / "copy.db").read_text() == "mine"


def test_nothing_is_put_back_while_a_server_has_the_shop_open(
    run, refused, job, shop_file, tmp_path
):
    run("backup", tmp_path / "copy.db")
    server = Database(shop_file)
    try:
        server.read().execute("SELECT count(*) FROM piece").fetchone()
        assert "is in use. Stop the server first" in refused("restore", tmp_path / "copy.db")
    finally:
        server.close()
    assert run("restore", tmp_path / "copy.db").status == 0


@pytest.mark.parametrize("text", [b"", b"my holiday letters " * 300, None])
def test_what_is_no_backup_is_not_put_back(refused, job, tmp_path, text):
    if text is not None:
        (tmp_path / "copy.db").write_bytes(text)
    refused("restore", tmp_path / "copy.db")


def test_a_damaged_backup_is_not_put_back(run, refused, job, tmp_path):
    run("backup", tmp_path / "copy.db")
    whole = (tmp_path / "copy.db").read_bytes()
    (tmp_path / "copy.db").write_bytes(whole[: len(whole) // 2])
    refused("restore", tmp_path / "copy.db")


# What every verb has in common. ---------------------------------------------------------------------------------------


def test_there_are_the_verbs_of_the_design_and_no_others(capsys):
    with pytest.raises(SystemExit) as stop:
        cli.main(["--help"])
    shown = capsys.readouterr().out
    assert stop.value.code == 0
    listed = re.findall(r"^ {4}([\w-]+)", shown, re.MULTILINE)
    assert sorted(listed) == sorted(VERBS)


@pytest.mark.parametrize("verb", VERBS)
def test_each_verb_has_its_help(capsys, verb):
    with pytest.raises(SystemExit) as stop:
        cli.main([verb, "--help"])
    shown = capsys.readouterr().out
    assert stop.value.code == 0
    assert shown.startswith(f"usage: shopfloor {verb}") and "." in shown


@pytest.mark.parametrize(
    "words", [[], ["paint"], ["show"], ["mark", "40729153"], ["intake", "a.svg", "--db", "x.db"]]
)
def test_what_cannot_be_understood_exits_2(words, capsys):
    with pytest.raises(SystemExit) as stop:
        cli.main(words)
    assert stop.value.code == 2 and "usage:" in capsys.readouterr().err


@pytest.mark.parametrize(
    "verb", ["mark 40729153 --as cut", "show", "labels J-1 -o x.pdf", "check", "backup copy.db"]
)
def test_only_intake_and_serve_begin_a_new_shop(refused, shop_file, verb):
    refused(*verb.split())
    assert not shop_file.exists()


def test_a_port_that_is_taken_is_said_in_one_line(refused, job):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert f"Cannot serve at 127.0.0.1:{port}" in refused("serve", "--port", port)


def test_serving_over_tls_wants_its_files(refused, job, tmp_path):
    assert "--cert" in refused("serve", "--tls")
    nowhere = tmp_path / "nowhere.pem"
    assert "--cert" in refused("serve", "--tls", "--cert", nowhere, "--key", nowhere, "--port", "0")


def test_a_refusal_is_one_line_and_no_traceback_in_a_process_of_its_own(job, shop_file):
    said = subprocess.run(
        [sys.executable, "-m", "shopfloor.cli", "show", "J-9", "--db", str(shop_file)],
        check=False,
        capture_output=True,
        text=True,
    )
    assert (said.returncode, said.stdout) == (2, "")
    assert said.stderr.count("\n") == 1 and "Traceback" not in said.stderr


def test_settings_lists_each_with_its_value_in_force_and_what_it_may_be(run, job, shop_file):
    with sqlite3.connect(shop_file) as db:
        db.execute("INSERT INTO setting VALUES ('tool_mm', '3.175')")
    db.close()
    rows = {row["name"]: row for row in run("settings", "--json").json["settings"]}
    assert set(rows) == {field.name for field in dataclasses.fields(Settings)}
    assert (rows["tool_mm"]["value"], rows["tool_mm"]["default"]) == (3.175, 6.35)
    assert (rows["tool_mm"]["least"], rows["tool_mm"]["most"], rows["tool_mm"]["unit"]) == (
        0.5,
        25,
        "mm",
    )
    assert "tool_mm = 3.175  (Cutter diameter; default 6.35)" in run("settings").out
