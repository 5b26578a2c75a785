"""The ledger: every act of a person is one row, and the rows give the shop's state again.

How it works: on each connection temporary triggers note every row that changes, before and after, in whichever table of
the state. An act that ends puts these notes into its ledger row, in the same transaction. Replay writes the notes into an
empty database; undo writes the earlier half back. Nothing can be written past it: a change outside an act is refused.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass

from ..domain.errors import Conflict, NotFound
from ..wording import ledger as wording
from ..wording.message import of_dict

# Tables that are no part of the state: the ledger itself, secrets, files, caches.
OUTSIDE = {
    "ledger",
    "touched",
    "pin",
    "pin_try",
    "session",
    "drawing",
    "photo_file",
    "sqlite_sequence",
}

# A change of one record counts as a change of another: whose piece it is, and how it is held, belongs to the
# piece.
WRITES_TOO = {"assignment": ("piece",), "part_also_on": ("part",), "holding": ("piece",)}
# A change of one record leans on another: a mark on a piece leans on its sheet as it stood. The start of a sheet is not
# undone under its marks, nor a mark once its sheet is closed; two marks on one sheet do not hold each other.
LEANS_ON = {
    "piece": ("sheet",),
    "assignment": ("part",),
    "sheet": ("blank",),
    "step": ("sign",),
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
# The same where the column is not called as the table it names: a tray leans on the one that it stands in, lest an undo makes two
# of them stand in each other.
LEANS_BY = {"tray": (("stands_in", "tray"),)}

RENAMED_SETTINGS = {"gauge": "thermometer", "gauge_every_min": "thermometer_every_min"}  # in form 4

# Readings of how warm it is move the ends of cures. They stand in nobody's way: a glue-up is undone although the bench grew
# colder since. Nor are they undone themselves: a wrong one is struck out, and all cures are worked out anew.
READINGS = ("noted how warm it is", "struck out a reading")


@dataclass(frozen=True)
class Entry:
    """One row of the ledger. `changes` is a list of {"t": table, "b": row before or None, "a": row after or None}."""

    act: int
    at: str
    person: int
    by_name: str
    tablet: str
    what: str
    key: str
    form: int
    events: list
    changes: list
    answer: dict
    undoes: int | None


def state_tables(db: sqlite3.Connection) -> list[str]:
    """Names of the tables that the ledger accounts for."""
    rows = db.execute("SELECT name FROM main.sqlite_master WHERE type = 'table' ORDER BY name")
    return [row[0] for row in rows if row[0] not in OUTSIDE]


def keys_of(db: sqlite3.Connection, table: str) -> list[str]:
    """The columns of a table's primary key."""
    rows = db.execute(f"PRAGMA main.table_info({table})").fetchall()
    return [row["name"] for row in sorted(rows, key=lambda row: row["pk"]) if row["pk"]]


def install_triggers(db: sqlite3.Connection) -> None:
    """Sets the triggers that note every change of the state on this connection."""
    db.execute(
        "CREATE TEMP TABLE IF NOT EXISTS noted (n INTEGER PRIMARY KEY, t TEXT, b TEXT, a TEXT)"
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
                CREATE TEMP TRIGGER IF NOT EXISTS note_{table}_{verb} AFTER {verb} ON main.{table} BEGIN
                  SELECT RAISE(ABORT, 'the state changes only inside an act')
                    WHERE NOT EXISTS (SELECT 1 FROM open_act);
                  INSERT INTO noted (t, b, a) VALUES ('{table}', {_image(before, columns)}, {_image(after, columns)});
                END""")


def _image(row: str | None, columns: list[str]) -> str:
    if row is None:
        return "NULL"
    return "json_object(" + ", ".join(f"'{column}', {row}.{column}" for column in columns) + ")"


def begin(db: sqlite3.Connection) -> None:
    """Opens an act on this connection (inside a transaction)."""
    db.execute("DELETE FROM noted")
    db.execute("INSERT INTO open_act VALUES (1)")


def pending_changes(db: sqlite3.Connection) -> list[dict]:
    """What has changed since `begin`, each record once, in the order of first touch."""
    merged: dict[tuple, dict] = {}
    for row in db.execute("SELECT t, b, a FROM noted ORDER BY n"):
        before = json.loads(row["b"]) if row["b"] else None
        after = json.loads(row["a"]) if row["a"] else None
        spot = (row["t"], record_name(db, row["t"], after or before))
        if spot in merged:
            merged[spot]["a"] = after
        else:
            merged[spot] = {"t": row["t"], "b": before, "a": after}
    return [change for change in merged.values() if change["b"] != change["a"]]


_KEYS: dict[str, list[str]] = {}


def record_name(db: sqlite3.Connection, table: str, row: dict) -> str:
    """A record's primary key as text, for `touched`."""
    if table not in _KEYS:
        _KEYS[table] = keys_of(db, table)
    return ",".join(str(row[key]) for key in _KEYS[table])


def append(db, *, at, person, by_name, tablet, what, key, events, answer, undoes=None) -> int:
    """Ends the act: writes its row with all that was noted since `begin`. Gives the act's number."""
    changes = pending_changes(db)
    act = db.execute("SELECT coalesce(max(act), 0) + 1 FROM ledger").fetchone()[0]
    form = db.execute("PRAGMA user_version").fetchone()[0]
    db.execute(
        "INSERT INTO ledger VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            act,
            at,
            person,
            by_name,
            tablet,
            what,
            key,
            form,
            _json(events),
            _json(changes),
            _json({**answer, "act": act}),
            undoes,
        ),
    )
    rows = [(*spot, act, is_written) for spot, is_written in sorted(_spots(db, changes).items())]
    db.executemany("INSERT INTO touched VALUES (?, ?, ?, ?)", rows)
    db.execute("DELETE FROM open_act")
    return act


def _spots(db: sqlite3.Connection, changes: list[dict]) -> dict[tuple[str, str], int]:
    """(table, record) that the changes wrote (1) or only lean on (0)."""
    spots: dict[tuple[str, str], int] = {}
    for change in changes:
        table = change["t"]
        for row in (change["b"], change["a"]):
            if row is None:
                continue
            for other in LEANS_ON.get(table, ()):
                spots.setdefault((other, str(row[other])), 0)
            for column, other in LEANS_BY.get(table, ()):
                spots.setdefault((other, str(row[column])), 0)
            for other in WRITES_TOO.get(table, ()):
                spots[other, str(row[other])] = 1
            spots[table, record_name(db, table, row)] = 1
    return spots


def _json(value) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def by_key(db: sqlite3.Connection, key: str) -> Entry | None:
    """The act that bears this idempotency key."""
    row = db.execute("SELECT * FROM ledger WHERE key = ?", (key,)).fetchone()
    return entry_of(row) if row else None


def entry(db: sqlite3.Connection, act: int) -> Entry:
    """One act. Raises NotFound."""
    row = db.execute("SELECT * FROM ledger WHERE act = ?", (act,)).fetchone()
    if row is None:
        raise NotFound(wording.no_such_act(act))
    return entry_of(row)


def newest(db: sqlite3.Connection) -> int:
    """The number of the last act; 0 for an empty ledger."""
    return db.execute("SELECT coalesce(max(act), 0) FROM ledger").fetchone()[0]


def recent(db: sqlite3.Connection, most: int = 50, before: int | None = None) -> list[sqlite3.Row]:
    """The last acts, newest first, with `undone_by` (an act's number or None)."""
    return db.execute(
        """SELECT l.act, l.at, l.person, l.by_name, l.tablet, l.what, l.events, l.answer, l.undoes, u.act AS undone_by
           FROM ledger l LEFT JOIN ledger u ON u.undoes = l.act
           WHERE l.act < ? ORDER BY l.act DESC LIMIT ?""",
        (before if before is not None else 1 << 62, most),
    ).fetchall()


def acts_on(db: sqlite3.Connection, table: str, record: str | int) -> list[sqlite3.Row]:
    """The acts that changed one record, oldest first."""
    return db.execute(
        """SELECT l.act, l.at, l.person, l.by_name, l.tablet, l.what, l.events, l.answer, l.undoes, u.act AS undone_by
           FROM touched t JOIN ledger l ON l.act = t.act LEFT JOIN ledger u ON u.undoes = l.act
           WHERE t.tbl = ? AND t.record = ? AND t.is_written ORDER BY l.act""",
        (table, str(record)),
    ).fetchall()


def write_back(db: sqlite3.Connection, act: int) -> Entry:
    """Writes the rows of `act` as they were before it; the codes that it made are retired, not freed.

    Raises Conflict where a later act changed what this one changed or leans on, or leans on what this one changed; where it
    is undone already; and where there is nothing that could be written back.
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
    for change in reversed(upgraded(undone)):
        if change["t"] == "code" and change["b"] is None:
            upsert(db, "code", {**change["a"], "is_retired": 1})
        elif change["b"] is None:
            delete(db, change["t"], change["a"])
        else:
            upsert(db, change["t"], change["b"])
    return undone


def _later_act(db: sqlite3.Connection, undone: Entry) -> sqlite3.Row | None:
    """The newest act that stands in the way of an undo; acts that are themselves undone, and their undoing, do not."""
    found = (
        db.execute(
            """SELECT l.act, l.answer, l.by_name FROM touched o JOIN ledger l ON l.act = o.act
               WHERE o.tbl = ? AND o.record = ? AND o.act > ? AND (o.is_written OR ?) AND l.undoes IS NULL AND l.what NOT IN (?, ?)
               AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act) ORDER BY o.act DESC LIMIT 1""",
            (*spot, undone.act, is_written, *READINGS),
        ).fetchone()
        for spot, is_written in _spots(db, upgraded(undone)).items()
    )
    return max((row for row in found if row), key=lambda row: row["act"], default=None)


def upgraded(entry: Entry) -> list[dict]:
    """The changes of an act in today's form.

    Forms 2 and 3 only added tables, and columns with a default. Form 4 renamed two settings.
    """
    if entry.form >= 4:
        return entry.changes
    return [
        _with_new_names(change) if change["t"] == "setting" else change for change in entry.changes
    ]


def _with_new_names(change: dict) -> dict:
    """A change of a setting of forms 1 to 3 under the setting's name of form 4."""
    halves = {
        half: row and {**row, "name": RENAMED_SETTINGS.get(row["name"], row["name"])}
        for half, row in change.items()
        if half != "t"
    }
    return {"t": "setting", **halves}


def upsert(db: sqlite3.Connection, table: str, row: dict) -> None:
    """Writes one row, new or over the old one."""
    keys = keys_of(db, table)
    columns = list(row)
    marks = ", ".join("?" for _ in columns)
    rest = ", ".join(f"{column} = excluded.{column}" for column in columns if column not in keys)
    over = f"DO UPDATE SET {rest}" if rest else "DO NOTHING"
    db.execute(
        f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks}) ON CONFLICT ({', '.join(keys)}) {over}",
        list(row.values()),
    )


def delete(db: sqlite3.Connection, table: str, row: dict) -> None:
    """Takes one row out."""
    keys = keys_of(db, table)
    db.execute(
        f"DELETE FROM {table} WHERE " + " AND ".join(f"{key} = ?" for key in keys),
        [row[key] for key in keys],
    )


def entry_of(row: sqlite3.Row) -> Entry:
    """The ledger's row as an Entry."""
    loaded = {name: json.loads(row[name]) for name in ("events", "changes", "answer")}
    return Entry(**{**dict(row), **loaded})
