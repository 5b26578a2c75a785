"""How a piece is held, as the table keeps it: the reason as a message, the sentence of older rows, the words of its columns."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

from holding_for_tests import MIXED, kept, take_in

from shopfloor.store.holding import Held
from shopfloor.wording import holding as wording

HERE = Path(__file__).parent


def test_a_row_gives_back_what_was_kept(cutting, shop):
    sheet = take_in(cutting, MIXED)
    held = list(kept(shop, sheet).values())
    assert len(held) == len(MIXED) and {piece.hold_down for piece in held} == {
        "skin",
        "tabs",
        "tape",
    }
    assert [Held.of_row(piece.as_row()) for piece in held] == held


def test_the_reason_is_kept_as_a_name_and_values(cutting, shop):
    sheet = take_in(cutting, MIXED)
    held = kept(shop, sheet)
    rows = shop.read().execute("SELECT why FROM holding").fetchall()
    assert rows and all(set(json.loads(row["why"])) == {"message", "values"} for row in rows)
    assert all(" of pieces like this are lost" in str(piece.why) for piece in held.values())


def test_an_older_row_keeps_its_sentence():
    """As form 2 wrote it."""
    db = sqlite3.connect(":memory:")
    db.row_factory = sqlite3.Row
    db.executescript((HERE / "form_2.sql").read_text())
    rows = [dict(row) for row in db.execute("SELECT * FROM holding")]
    assert rows
    for row in rows:
        held = Held.of_row(row)
        assert str(held.why) == row["why"] and row["why"].endswith(".")
        assert (held.hold_down, held.safety_factor) == (row["way"], row["margin"])


def test_a_sentence_that_is_written_again_stays_that_sentence():
    row = {
        "piece": 1,
        "way": "tabs",
        "advised": "tabs",
        "verdict": "holds",
        "margin": 2.0,
        "chance": 0.1,
        "chance_low": 0.0,
        "chance_high": 0.2,
        "pump": "blower",
        "tabs": "[[0,12.5]]",
        "why": "Tabs: there is no other way for this piece.",
        "came_free": 1,
    }
    held = Held.of_row(row)
    assert held.moved and held.tabs == ((0, 12.5),) and not held.is_overruled
    again = Held.of_row({**held.as_row(), "piece": 1})
    assert str(again.why) == row["why"]
    assert Held.of_row(
        {**row, "why": json.dumps({"message": "holding.recut_gets_tabs", "values": {}})}
    ).why == (wording.recut_gets_tabs())
