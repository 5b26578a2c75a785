"""The ledger: every act of a person is one row, and from the rows the shop's state can be rebuilt.

How it works: temporary triggers on the writing connection record every row of the state that changes, before and after
(`install_triggers`). An act that ends puts these changes into its ledger row, in the same transaction (`append`). A
replay writes them into an empty database; undo writes the rows from before back (`write_back`). Nothing can bypass it:
a change outside an act is refused.

Undo is refused where a later act depends on the undone one: the table `touched` keeps which records each act wrote or
depends on.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from sqlite3 import Connection, Row
from typing import Any, TypedDict

from ..domain.errors import Conflict, NotFound
from ..domain.people import Actor
from ..wording import ledger as wording
from ..wording.message import of_dict
from .sql import read_column, scalar, scalar_or_none

# Tables that are not part of the state: the ledger itself, secrets, files, caches.
NOT_STATE = {
    "ledger",
    "touched",
    "pin",
    "pin_try",
    "session",
    "drawing",
    "photo_file",
    "sqlite_sequence",
}

# A change of one record counts as a change of another: which part a piece is for and how it is held belong to the piece.
ALSO_WRITES = {"assignment": ("piece",), "part_also_on": ("part",), "holding": ("piece",)}
# A change of one record depends on another: a mark on a piece depends on the state of its sheet. So the start of a sheet
# is not undone while its marks stay, nor a mark once its sheet is closed; two marks on one sheet are independent.
DEPENDS_ON = {
    "piece": ("sheet",),
    "assignment": ("part",),
    "sheet": ("blank",),
    "step": ("sign",),
    "early_opening": ("step",),
    "step_part": ("step", "part"),
    "glue_up_piece": ("piece",),
    "placement": ("piece",),
    "part": ("sign",),
    "sign": ("job",),
    "holding": ("sheet",),
    "nest_run": ("sheet",),
    "machine_file": ("sheet",),
    "blank_thickness": ("blank",),
    "stock_cutting": ("stock",),
    "lying": ("piece", "tray"),
    "measured_place": ("step", "part"),
    "gluing": ("step",),
    "cement_batch": ("cement",),
    "stock_expansion": ("stock",),
    "site": ("sign",),
    "fixing_plan": ("sign",),
    "checked": ("step",),
    "photo": ("sign",),
    "handing_over": ("sign",),
}
# The same where the column is not named after the table: a tray depends on the one that it stands in, so that no
# undo makes two of them stand in each other.
DEPENDS_BY_COLUMN = {"tray": (("stands_in", "tray"),)}

RENAMED_SETTINGS = {"gauge": "thermometer", "gauge_every_min": "thermometer_every_min"}  # in form 4

# Readings of the temperature move the ends of cures. They never prevent an undo: a glue-up can be undone although the
# bench got colder since. Nor are they undone themselves: a wrong one is struck out, and all cures are calculated again.
READINGS = ("noted how warm it is", "struck out a reading")


Record = dict[str, Any]  # a row of any table, by column


class Change(TypedDict):
    """A row that an act changed: its table, and the row before (None: it is new) and after (None: it was deleted)."""

    t: str
    b: Record | None
    a: Record | None


@dataclass(frozen=True)
class Entry:
    """One row of the ledger. `what` is the act's word, `form` the migration that was newest then."""

    act: int
    at: str
    person: int
    by_name: str
    tablet: str
    what: str
    key: str
    form: int
    events: list[dict[str, Any]]
    changes: list[Change]
    answer: dict[str, Any]
    undoes: int | None


def state_tables(db: Connection) -> list[str]:
    """Return the names of the tables that the ledger accounts for."""
    names = read_column(
        db, "SELECT name FROM main.sqlite_master WHERE type = 'table' ORDER BY name"
    )
    return [name for name in names if name not in NOT_STATE]


def keys_of(db: Connection, table: str) -> list[str]:
    """Return the columns of a table's primary key."""
    rows = db.execute(f"PRAGMA main.table_info({table})").fetchall()
    return [row["name"] for row in sorted(rows, key=lambda row: row["pk"]) if row["pk"]]


def install_triggers(db: Connection) -> None:
    """Set the triggers that record every change of the state on this connection."""
    db.execute(
        "CREATE TEMP TABLE IF NOT EXISTS pending_change"
        " (n INTEGER PRIMARY KEY, tbl TEXT, before TEXT, after TEXT)"
    )
    db.execute("CREATE TEMP TABLE IF NOT EXISTS open_act (is_open INTEGER)")
    for table in state_tables(db):
        columns = [row["name"] for row in db.execute(f"PRAGMA main.table_info({table})")]
        for verb, before, after in (
            ("INSERT", None, "new"),
            ("UPDATE", "old", "new"),
            ("DELETE", "old", None),
        ):
            db.execute(f"""
                CREATE TEMP TRIGGER IF NOT EXISTS pending_{table}_{verb} AFTER {verb} ON main.{table} BEGIN
                  SELECT RAISE(ABORT, 'the state changes only inside an act')
                    WHERE NOT EXISTS (SELECT 1 FROM open_act);
                  INSERT INTO pending_change (tbl, before, after)
                    VALUES ('{table}', {_as_json(before, columns)}, {_as_json(after, columns)});
                END""")


def _as_json(row: str | None, columns: Sequence[str]) -> str:
    """Return the SQL for a row of a trigger ('old' or 'new') as JSON."""
    if row is None:
        return "NULL"
    return "json_object(" + ", ".join(f"'{column}', {row}.{column}" for column in columns) + ")"


def begin(db: Connection) -> None:
    """Open an act on this connection (inside a transaction)."""
    db.execute("DELETE FROM pending_change")
    db.execute("INSERT INTO open_act VALUES (1)")


def pending_changes(db: Connection) -> list[Change]:
    """Return what has changed since `begin`, each record once, in the order in which they were first changed."""
    merged: dict[tuple[str, str], Change] = {}
    for row in db.execute("SELECT tbl, before, after FROM pending_change ORDER BY n"):
        before = json.loads(row["before"]) if row["before"] else None
        after = json.loads(row["after"]) if row["after"] else None
        record = (row["tbl"], record_key(db, row["tbl"], json.loads(row["after"] or row["before"])))
        if record in merged:
            merged[record]["a"] = after
        else:
            merged[record] = {"t": row["tbl"], "b": before, "a": after}
    return [change for change in merged.values() if change["b"] != change["a"]]


_KEYS: dict[str, list[str]] = {}


def record_key(db: Connection, table: str, row: Mapping[str, Any]) -> str:
    """Return a record's primary key as text, for `touched`."""
    if table not in _KEYS:
        _KEYS[table] = keys_of(db, table)
    return ",".join(str(row[key]) for key in _KEYS[table])


def append(
    db: Connection,
    *,
    at: str,
    by: Actor,
    what: str,
    key: str,
    events: Sequence[Mapping[str, Any]],
    answer: Mapping[str, Any],
    undoes: int | None = None,
) -> int:
    """End the act: write its row with all changes since `begin`. Return the act's number."""
    changes = pending_changes(db)
    act = scalar(db, int, "SELECT coalesce(max(act), 0) + 1 FROM ledger")
    form = scalar(db, int, "PRAGMA user_version")
    db.execute(
        "INSERT INTO ledger VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            act,
            at,
            by.person,
            by.name,
            by.tablet,
            what,
            key,
            form,
            _json(events),
            _json(changes),
            _json({**answer, "act": act}),
            undoes,
        ),
    )
    touched = sorted(_touched_records(db, changes).items())
    rows = [(*record, act, is_written) for record, is_written in touched]
    db.executemany("INSERT INTO touched VALUES (?, ?, ?, ?)", rows)
    db.execute("DELETE FROM open_act")
    return act


def _touched_records(db: Connection, changes: Sequence[Change]) -> dict[tuple[str, str], int]:
    """Return the records (table, key) that the changes wrote (1) or only depend on (0)."""
    touched: dict[tuple[str, str], int] = {}
    for change in changes:
        table = change["t"]
        for row in (change["b"], change["a"]):
            if row is None:
                continue
            for other in DEPENDS_ON.get(table, ()):
                touched.setdefault((other, str(row[other])), 0)
            for column, other in DEPENDS_BY_COLUMN.get(table, ()):
                touched.setdefault((other, str(row[column])), 0)
            for other in ALSO_WRITES.get(table, ()):
                touched[other, str(row[other])] = 1
            touched[table, record_key(db, table, row)] = 1
    return touched


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def by_key(db: Connection, key: str) -> Entry | None:
    """Return the act with this idempotency key."""
    row = db.execute("SELECT * FROM ledger WHERE key = ?", (key,)).fetchone()
    return entry_of(row) if row else None


def entry(db: Connection, act: int) -> Entry:
    """Return one act. Raises NotFound."""
    row = db.execute("SELECT * FROM ledger WHERE act = ?", (act,)).fetchone()
    if row is None:
        raise NotFound(wording.no_such_act(act))
    return entry_of(row)


def newest(db: Connection) -> int:
    """Return the number of the last act; 0 for an empty ledger."""
    return scalar(db, int, "SELECT coalesce(max(act), 0) FROM ledger")


def recent(db: Connection, most: int = 50, before: int | None = None) -> list[Row]:
    """Return the last acts, newest first, with `undone_by` (an act's number or None)."""
    return db.execute(
        """SELECT l.act, l.at, l.person, l.by_name, l.tablet, l.what, l.answer, l.undoes, u.act AS undone_by
           FROM ledger l LEFT JOIN ledger u ON u.undoes = l.act
           WHERE l.act < ? ORDER BY l.act DESC LIMIT ?""",
        (sys.maxsize if before is None else before, most),
    ).fetchall()


def acts_on(db: Connection, table: str, record: str | int) -> list[Row]:
    """Return the acts that changed one record, oldest first."""
    return db.execute(
        """SELECT l.act, l.at, l.person, l.by_name, l.tablet, l.what, l.answer, l.undoes, u.act AS undone_by
           FROM touched t JOIN ledger l ON l.act = t.act LEFT JOIN ledger u ON u.undoes = l.act
           WHERE t.tbl = ? AND t.record = ? AND t.is_written ORDER BY l.act""",
        (table, str(record)),
    ).fetchall()


def write_back(db: Connection, act: int) -> Entry:
    """Write the rows of `act` as they were before it; the codes that it made are retired, not freed.

    Raises Conflict where a later act changed what this one changed or depends on, or depends on what this one changed;
    where it is undone already; and where nothing can be written back.
    """
    undone = entry(db, act)
    if undone.undoes is not None:
        raise Conflict(wording.cannot_undo_an_undo())
    if undone.what in READINGS:
        raise Conflict(wording.cannot_undo_a_reading())
    if act == 1 or not undone.changes:
        raise Conflict(wording.nothing_to_undo())
    if db.execute("SELECT 1 FROM ledger WHERE undoes = ?", (act,)).fetchone():
        raise Conflict(wording.already_undone())
    later = _later_act(db, undone)
    if later:
        since = of_dict(json.loads(later["answer"]))
        raise Conflict(wording.something_was_done_since(later["by_name"], since))
    db.execute("PRAGMA defer_foreign_keys = ON")
    for change in reversed(upgraded(db, undone)):
        table, before, after = change["t"], change["b"], change["a"]
        if before is not None:
            upsert(db, table, before)
        elif after is not None and table == "code":
            upsert(db, table, {**after, "is_retired": True})
        elif after is not None:
            delete(db, table, after)
    return undone


def _later_act(db: Connection, undone: Entry) -> Row | None:
    """Return the newest act that prevents an undo; acts that are themselves undone, and their undoing, do not."""
    later = (
        db.execute(
            """SELECT l.act, l.answer, l.by_name FROM touched o JOIN ledger l ON l.act = o.act
               WHERE o.tbl = ? AND o.record = ? AND o.act > ? AND (o.is_written OR ?) AND l.undoes IS NULL AND l.what NOT IN (?, ?)
               AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act) ORDER BY o.act DESC LIMIT 1""",
            (*record, undone.act, is_written, *READINGS),
        ).fetchone()
        for record, is_written in _touched_records(db, upgraded(db, undone)).items()
    )
    return max((row for row in later if row), key=lambda row: row["act"], default=None)


def upgraded(db: Connection, entry: Entry) -> list[Change]:
    """Return the changes of an act in today's form; `db` has its ledger.

    Forms 2 and 3 only added tables, and columns with a default. Form 4 renamed two settings. Form 5 made columns of the
    reasons that were only in the events.
    """
    changes = entry.changes
    if entry.form < 4:
        changes = [
            _with_new_names(change) if change["t"] == "setting" else change for change in changes
        ]
    if entry.form < 5:
        changes = [
            _with_reason(db, entry.act, change) if change["t"] == "sign" else change
            for change in changes
        ]
        changes += _early_openings(db, entry)
    return changes


def _with_new_names(change: Change) -> Change:
    """Return a change of a setting of forms 1 to 3 under the setting's name of form 4."""
    return {"t": "setting", "b": _renamed(change["b"]), "a": _renamed(change["a"])}


def _renamed(row: Record | None) -> Record | None:
    return row and {**row, "name": RENAMED_SETTINGS.get(row["name"], row["name"])}


def _with_reason(db: Connection, act: int, change: Change) -> Change:
    """Return a change of a sign of forms 1 to 4 with the reason for its state before and after the act."""
    before, after = change["b"], change["a"]
    return {
        "t": "sign",
        "b": before and {**before, "why_in_state": _reason_after(db, act - 1, before["id"])},
        "a": after and {**after, "why_in_state": _reason_after(db, act, after["id"])},
    }


def _reason_after(db: Connection, act: int, sign: int) -> str:
    """Return the newest reason for a sign's state that was in force after an act of forms 1 to 4."""
    reason = scalar_or_none(
        db,
        str,
        """SELECT e.value ->> 'reason' FROM touched t JOIN ledger l ON l.act = t.act, json_each(l.events) e
           WHERE t.tbl = 'sign' AND t.record = CAST(?1 AS TEXT) AND t.is_written AND t.act <= ?2
             AND e.value ->> 'event' = 'SignChanged'
             AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act AND u.act <= ?2) ORDER BY l.act DESC LIMIT 1""",
        (sign, act),
    )
    return reason or ""


def _early_openings(db: Connection, kept: Entry) -> list[Change]:
    """Return the row of `early_opening` that an act of forms 1 to 4 would have written or, as an undo, deleted."""
    opened = kept if kept.undoes is None else entry(db, kept.undoes)
    rows = [
        {
            "id": opened.act,
            "step": event["step"],
            "at": opened.at,
            "shut_until": event["shut_until"],
            "why": event["reason"],
            "person": opened.person,
        }
        for event in opened.events
        if event["event"] == "CureOpened"
    ]
    if kept.undoes is None:
        return [{"t": "early_opening", "b": None, "a": row} for row in rows]
    return [{"t": "early_opening", "b": row, "a": None} for row in rows]


def upsert(db: Connection, table: str, row: Record) -> None:
    """Write one row, new or over the old one."""
    keys = keys_of(db, table)
    columns = list(row)
    marks = ", ".join("?" for _ in columns)
    rest = ", ".join(f"{column} = excluded.{column}" for column in columns if column not in keys)
    else_do = f"DO UPDATE SET {rest}" if rest else "DO NOTHING"
    db.execute(
        f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks}) ON CONFLICT ({', '.join(keys)}) {else_do}",
        list(row.values()),
    )


def delete(db: Connection, table: str, row: Record) -> None:
    """Delete one row."""
    keys = keys_of(db, table)
    db.execute(
        f"DELETE FROM {table} WHERE " + " AND ".join(f"{key} = ?" for key in keys),
        [row[key] for key in keys],
    )


def entry_of(row: Row) -> Entry:
    """Return a row of the ledger as an Entry."""
    loaded = {name: json.loads(row[name]) for name in ("events", "changes", "answer")}
    return Entry(**{**dict(row), **loaded})
