"""Sheets, their nests and the placements on them."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from ..domain.routing.nests import NestedSheet, Placed
from ..domain.routing.sheets import Sheet
from ..wording import sheets as wording
from ..wording.message import Message
from .jobs import next_number
from .pieces import FOR_PART, JOIN_PART, ForPart
from .sql import (
    insert,
    read_all,
    read_column,
    read_one,
    read_one_or_none,
    scalar,
    scalar_or_none,
    update,
)

_SHEET = "SELECT id, number, code, stock, blank, state, nest FROM sheet "


@dataclass(frozen=True, kw_only=True)
class OnSheet(ForPart):
    """A piece at its place in a nest, with what pictures and labels need."""

    piece: int
    code: str
    state: str
    attempt: int
    tabs: int
    was: str | None
    cause: str | None
    is_here: int
    outline: int
    x_mm: float
    y_mm: float
    turn: float
    walk: int
    is_spare: int


@dataclass(frozen=True)
class SheetRow:
    """A sheet for a list: what it is, how full, and what is on it. Lengths mm."""

    id: int
    number: str
    code: str
    state: str
    stock: int
    colour: str
    blank: int
    blank_code: str
    length_mm: float
    width_mm: float
    is_offcut: int
    is_bought: int
    nest: int
    nest_number: int
    along: str
    used_mm: float
    yield_share: float
    other_yield_share: float | None
    gap_mm: float
    margin_mm: float
    started_at: str | None
    started_by: str | None
    finished_at: str | None
    closed_at: str | None
    pieces: int
    open_pieces: int
    lost: int
    damaged: int
    signs: int
    first_due: str | None


def sheet(db: sqlite3.Connection, id: int) -> Sheet:
    """Return one sheet. Raises NotFound."""
    return _one(db, "WHERE id = ?", id)


def sheet_by_code(db: sqlite3.Connection, code: str) -> Sheet:
    """Return the sheet with a code. Raises NotFound."""
    return _one(db, "WHERE code = ?", code)


def sheet_by_number(db: sqlite3.Connection, number: str) -> Sheet:
    """Return the sheet called 'S-207'. Raises NotFound."""
    return _one(db, "WHERE number = ?", "S-" + number.strip().upper().removeprefix("S-"))


def _one(db: sqlite3.Connection, where: str, value: int | str) -> Sheet:
    return read_one(db, Sheet, wording.no_such_sheet(), _SHEET + where, (value,))


_ROWS = """
SELECT s.id, s.number, s.code, s.state, s.stock, st.colour, s.blank, b.code AS blank_code, b.length_mm, b.width_mm, b.is_offcut,
       b.is_bought, s.nest, n.number AS nest_number, n.along, n.used_mm, n.yield_share, n.other_yield_share, n.gap_mm,
       n.margin_mm, s.started_at, p.name AS started_by, s.finished_at, s.closed_at,
       count(pc.id) AS pieces, coalesce(sum(pc.state = 'nested'), 0) AS open_pieces,
       coalesce(sum(pc.state = 'lost'), 0) AS lost, coalesce(sum(pc.state = 'damaged'), 0) AS damaged,
       count(DISTINCT sg.id) AS signs, min(j.due) AS first_due
FROM sheet s JOIN stock st ON st.id = s.stock JOIN blank b ON b.id = s.blank JOIN nest n ON n.id = s.nest
LEFT JOIN person p ON p.id = s.started_by
LEFT JOIN piece pc ON pc.sheet = s.id
LEFT JOIN assignment a ON a.piece = pc.id AND a.ended_at IS NULL
LEFT JOIN part pt ON pt.id = a.part LEFT JOIN sign sg ON sg.id = pt.sign LEFT JOIN job j ON j.id = sg.job
"""


def live_rows(db: sqlite3.Connection) -> list[SheetRow]:
    """Return the sheets that are planned, cutting or off the table: those under way first, then by due date."""
    return read_all(
        db,
        SheetRow,
        _ROWS
        + """WHERE s.state IN ('planned', 'cutting', 'off the table') GROUP BY s.id
                   ORDER BY CASE s.state WHEN 'off the table' THEN 0 WHEN 'cutting' THEN 1 ELSE 2 END,
                   min(j.due) IS NULL, min(j.due), s.id""",
    )


def recent_rows(db: sqlite3.Connection) -> list[SheetRow]:
    """Return the closed sheets with the highest numbers, the last closed first. Quick however many there are."""
    return read_all(
        db,
        SheetRow,
        _ROWS
        + """WHERE s.id IN (SELECT id FROM sheet WHERE state = 'closed' ORDER BY id DESC LIMIT 12)
                   GROUP BY s.id ORDER BY s.closed_at DESC""",
    )


def row(db: sqlite3.Connection, id: int) -> SheetRow:
    """Return one sheet as a row. Raises NotFound."""
    return read_one(
        db, SheetRow, wording.no_such_sheet(), _ROWS + "WHERE s.id = ? GROUP BY s.id", (id,)
    )


def rows_of_job(db: sqlite3.Connection, job: int) -> list[SheetRow]:
    """Return the sheets that a job's pieces are on."""
    return read_all(
        db,
        SheetRow,
        _ROWS
        + """WHERE s.id IN (SELECT pc.sheet FROM piece pc JOIN assignment a ON a.piece = pc.id
                   JOIN part pt ON pt.id = a.part JOIN sign sg ON sg.id = pt.sign WHERE sg.job = ?)
                   GROUP BY s.id ORDER BY s.id""",
        (job,),
    )


_ON_SHEET = f"""
SELECT p.id AS piece, p.code, p.state, p.attempt, p.tabs, p.was, p.cause, coalesce(p.sheet = s.id, 0) AS is_here,
       p.outline, pl.x_mm, pl.y_mm, pl.turn, pl.walk, {FOR_PART},
       coalesce(a.ended_at IS NOT NULL AND p.state IN ('nested', 'cut', 'ready'), 0) AS is_spare
FROM sheet s JOIN placement pl ON pl.nest = s.nest JOIN piece p ON p.id = pl.piece
LEFT JOIN assignment a ON a.id = (SELECT max(id) FROM assignment WHERE piece = p.id) {JOIN_PART}
WHERE s.id = ? """


def on_sheet(db: sqlite3.Connection, sheet: int) -> list[OnSheet]:
    """Return the pieces of the sheet's present nest in walking order. `is_here` is 0 for one that has left the sheet."""
    return read_all(db, OnSheet, _ON_SHEET + "ORDER BY pl.walk", (sheet,))


def piece_on_sheet(db: sqlite3.Connection, sheet: int, code: str) -> OnSheet | None:
    """Return one piece of the sheet's present nest, or None."""
    return read_one_or_none(db, OnSheet, _ON_SHEET + "AND p.code = ?", (sheet, code))


def open_codes(db: sqlite3.Connection, sheet: int) -> list[str]:
    """Return the codes of the sheet's pieces without an outcome, in walking order."""
    return read_column(
        db,
        """SELECT p.code FROM sheet s JOIN placement pl ON pl.nest = s.nest JOIN piece p ON p.id = pl.piece
           WHERE s.id = ? AND p.sheet = s.id AND p.state = 'nested' ORDER BY pl.walk""",
        (sheet,),
    )


def gone_from(db: sqlite3.Connection, sheet: int) -> list[OnSheet]:
    """Return the lost and damaged pieces of the sheet, by their age."""
    gone = "AND p.sheet = s.id AND p.state IN ('lost', 'damaged') ORDER BY p.id"
    return read_all(db, OnSheet, _ON_SHEET + gone, (sheet,))


def add_sheet(db: sqlite3.Connection, code: str, stock: int, blank: int) -> int:
    """Add a planned sheet; its code must be claimed."""
    return insert(
        db,
        "sheet",
        number=next_number(db, "sheet", "S", 201),
        code=code,
        stock=stock,
        blank=blank,
        state="planned",
    )


def add_nest(
    db: sqlite3.Connection,
    sheet: int,
    made: NestedSheet,
    walk: dict[int, int],
    gap_mm: float,
    margin_mm: float,
    at: str,
) -> int:
    """Add a new layout of the sheet, in force from now on, and return its id; the old ones are kept.

    Keys of `made` are piece ids.
    """
    sql = "SELECT coalesce(max(number), 0) + 1 FROM nest WHERE sheet = ?"
    other = made.other_yield_share
    nest = insert(
        db,
        "nest",
        sheet=sheet,
        number=scalar(db, int, sql, (sheet,)),
        along=made.along,
        used_mm=round(made.used_mm, 3),
        yield_share=round(made.yield_share, 4),
        other_yield_share=None if other is None else round(other, 4),
        gap_mm=gap_mm,
        margin_mm=margin_mm,
        made_at=at,
    )
    for put in made.placed:
        piece = int(put.key)
        db.execute(
            "INSERT INTO placement VALUES (?, ?, ?, ?, ?, ?)",
            (nest, piece, round(put.x, 3), round(put.y, 3), round(put.turn, 6), walk[piece]),
        )
        update(db, "piece", piece, state="nested", sheet=sheet)
    update(db, "sheet", sheet, nest=nest)
    return nest


def made_nest(db: sqlite3.Connection, nest: int) -> NestedSheet:
    """Return a layout as the nesting gave it. Keys are piece ids."""
    row = db.execute("SELECT * FROM nest WHERE id = ?", (nest,)).fetchone()
    places = db.execute("SELECT * FROM placement WHERE nest = ? ORDER BY walk", (nest,)).fetchall()
    return NestedSheet(
        tuple(Placed(str(p["piece"]), p["x_mm"], p["y_mm"], p["turn"]) for p in places),
        row["along"],
        row["used_mm"],
        row["yield_share"],
        row["other_yield_share"],
    )


def set_state(db: sqlite3.Connection, sheet: int, state: str, **columns: str | int | None) -> None:
    """Set a sheet's state, with the columns that go with it."""
    update(db, "sheet", sheet, state=state, **columns)


def set_blank(db: sqlite3.Connection, sheet: int, blank: int) -> None:
    """Cut the sheet from another blank."""
    update(db, "sheet", sheet, blank=blank)


def describe(piece: OnSheet) -> Message:
    """'A' of J-1042 A, or the code of a spare."""
    if piece.name is None:
        return wording.spare(piece.code)
    return wording.piece_of(str(piece.name), str(piece.job), str(piece.sign_mark))


# For the Sheets page ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class HeldUp:
    """How many signs wait for what is not cut yet of a sheet, and their first due date (ISO)."""

    signs: int
    first_due: str


@dataclass(frozen=True)
class Waiting:
    """How many pieces of one stock wait for a sheet, how many are recuts; of one job, or (`job` to `due` None) spares."""

    stock: int
    job: str | None
    customer: str | None
    due: str | None
    pieces: int
    recuts: int


_HELD_UP = """SELECT p.sheet, count(DISTINCT sg.id) AS signs, min(j.due) AS first_due
           FROM sheet s CROSS JOIN piece p ON p.sheet = s.id AND p.state = 'nested'
           JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
           JOIN part pt ON pt.id = a.part JOIN sign sg ON sg.id = pt.sign JOIN job j ON j.id = sg.job
           WHERE s.state IN ('planned', 'cutting', 'off the table') """


def held_up(db: sqlite3.Connection) -> dict[int, HeldUp]:
    """Return what waits for each live sheet, by sheet."""
    rows = db.execute(_HELD_UP + "GROUP BY p.sheet")
    return {row["sheet"]: HeldUp(row["signs"], row["first_due"]) for row in rows}


def held_up_by(db: sqlite3.Connection, sheet: int) -> HeldUp | None:
    """Return what waits for one live sheet, or None."""
    row = db.execute(_HELD_UP + "AND s.id = ? GROUP BY p.sheet", (sheet,)).fetchone()
    return HeldUp(row["signs"], row["first_due"]) if row else None


def waiting(db: sqlite3.Connection) -> list[Waiting]:
    """Return the pieces that wait for a sheet, by stock and job, the first due date first."""
    return read_all(
        db,
        Waiting,
        """SELECT p.stock, j.number AS job, j.customer, j.due, count(*) AS pieces, sum(p.attempt > 1) AS recuts
           FROM piece p LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
           LEFT JOIN part pt ON pt.id = a.part LEFT JOIN sign sg ON sg.id = pt.sign LEFT JOIN job j ON j.id = sg.job
           WHERE p.state = 'waiting' GROUP BY p.stock, j.id ORDER BY j.due IS NULL, j.due, j.id""",
    )


def offcut_of(db: sqlite3.Connection, sheet: int) -> str | None:
    """Return the code of the offcut that a sheet left, or None."""
    return scalar_or_none(
        db, str, "SELECT code FROM blank WHERE cut_from = ? ORDER BY id DESC LIMIT 1", (sheet,)
    )


def last_act(db: sqlite3.Connection, sheet: int, person: int) -> int | None:
    """Return what a person did last on this sheet or a piece of it and has not undone, but not its planning."""
    return scalar_or_none(
        db,
        int,
        """WITH here (act) AS MATERIALIZED (
             SELECT act FROM touched WHERE tbl = 'sheet' AND record = CAST(?1 AS TEXT) AND is_written
             UNION SELECT t.act FROM piece p CROSS JOIN touched t ON t.tbl = 'piece' AND t.record = CAST(p.id AS TEXT)
             WHERE p.sheet = ?1 AND t.is_written)
           SELECT max(l.act) FROM here JOIN ledger l ON l.act = here.act
           WHERE l.person = ?2 AND l.what NOT IN ('nested pieces', 'took a job in') AND l.undoes IS NULL
           AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act)""",
        (sheet, person),
    )
