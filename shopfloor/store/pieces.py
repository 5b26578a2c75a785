"""Pieces and their assignments: how they are read, and how what happened to them is written."""

from __future__ import annotations

import sqlite3

from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import NotFound
from . import trays

_SELECT = """
SELECT p.id, p.code, p.state, p.attempt, p.tabs, p.was, p.cause, p.outline, p.stock, p.sheet, o.perimeter_mm,
       sh.state AS sheet_state, a.part, coalesce(a.part, (
         SELECT CASE WHEN pt.gone_at IS NULL THEN pt.id END FROM assignment b JOIN part pt ON pt.id = b.part
         WHERE b.piece = p.id ORDER BY b.id DESC LIMIT 1)) AS last_part,
       (SELECT s.state FROM sign s JOIN part pt ON pt.sign = s.id WHERE pt.id = coalesce(a.part, (
         SELECT part FROM assignment WHERE piece = p.id ORDER BY id DESC LIMIT 1))) AS sign_state
FROM piece p JOIN outline o ON o.id = p.outline
LEFT JOIN sheet sh ON sh.id = p.sheet
LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
"""


def by_code(db: sqlite3.Connection, code: str) -> life.Piece:
    """One piece. Raises NotFound."""
    row = db.execute(_SELECT + "WHERE p.code = ?", (code,)).fetchone()
    if row is None:
        raise NotFound(f"No piece bears the code {show(code)}: scan it once more.")
    return life.Piece(**dict(row))


def of_sheet(db: sqlite3.Connection, sheet: int) -> list[life.Piece]:
    """The pieces of one sheet."""
    return many(db, "WHERE p.sheet = ? ORDER BY p.id", sheet)


def of_sign(db: sqlite3.Connection, sign: int) -> list[life.Piece]:
    """The live pieces of one sign."""
    return many(db, "JOIN part pt ON pt.id = a.part WHERE pt.sign = ? ORDER BY pt.number", sign)


def of_part(db: sqlite3.Connection, part: int) -> list[life.Piece]:
    """The live piece of one part, as a list of one or none."""
    return many(db, "WHERE a.part = ?", part)


def waiting(db: sqlite3.Connection, stock: int) -> list[life.Piece]:
    """The pieces of one stock that wait for a sheet."""
    return many(db, "WHERE p.stock = ? AND p.state = 'waiting' ORDER BY p.id", stock)


def many(db: sqlite3.Connection, where: str, *values) -> list[life.Piece]:
    """The pieces that a condition picks: p is the piece, sh its sheet, a its live assignment, o its outline."""
    return [life.Piece(**dict(row)) for row in db.execute(_SELECT + where, values)]


def names(db: sqlite3.Connection, ids: list[int]) -> dict[int, str]:
    """What people call pieces: "'A' of J-1042 A" by id; spares are left out."""
    found = {}
    for start in range(0, len(ids), 500):
        some = ids[start : start + 500]
        marks = ", ".join("?" for _ in some)
        rows = db.execute(
            f"""SELECT a.piece, pt.name, s.mark, j.number FROM assignment a JOIN part pt ON pt.id = a.part
                JOIN sign s ON s.id = pt.sign JOIN job j ON j.id = s.job
                WHERE a.ended_at IS NULL AND a.piece IN ({marks})""",
            some,
        )
        found.update(
            (row["piece"], f"'{row['name']}' of {row['number']} {row['mark']}") for row in rows
        )
    return found


def next_attempt(db: sqlite3.Connection, part: int | None) -> int:
    """The attempt of the next piece for a part: one more than were spoiled so far, and than the one in hand."""
    spoiled = db.execute(
        """SELECT count(DISTINCT p.id) FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND p.state != 'withdrawn'""",
        (part,),
    ).fetchone()[0]
    return spoiled + 1


def recut_of(db: sqlite3.Connection, piece: life.Piece) -> str | None:
    """The code of the piece that took a lost one's place."""
    row = db.execute(
        """SELECT p.code FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND a.ended_at IS NULL AND p.id != ?""",
        (piece.last_part, piece.id),
    ).fetchone()
    return row["code"] if row else None


def lost_of_part(db: sqlite3.Connection, part: int) -> str | None:
    """The code of the piece of a part that was lost last."""
    row = db.execute(
        """SELECT p.code FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND p.state = 'lost' ORDER BY a.id DESC LIMIT 1""",
        (part,),
    ).fetchone()
    return row["code"] if row else None


def add(
    db: sqlite3.Connection, code: str, outline: int, stock: int, attempt: int, tabs: int
) -> int:
    """A new piece that waits for a sheet. Its code must be claimed."""
    return db.execute(
        "INSERT INTO piece (code, outline, stock, state, attempt, tabs) VALUES (?, ?, ?, 'waiting', ?, ?)",
        (code, outline, stock, attempt, tabs),
    ).lastrowid


def assign(db: sqlite3.Connection, piece: int, part: int, at: str) -> None:
    """From now on the piece is for this part."""
    db.execute("INSERT INTO assignment (piece, part, begun_at) VALUES (?, ?, ?)", (piece, part, at))


def write(db: sqlite3.Connection, events: list, at: str) -> None:
    """Writes what happened, in order. `at` is the act's moment."""
    for event in events:
        _WRITERS[type(event)](db, event, at)


def _set(db, piece: int, state: str, **other) -> None:
    columns = {"state": state, **other}
    names = ", ".join(f"{name} = ?" for name in columns)
    db.execute(f"UPDATE piece SET {names} WHERE id = ?", (*columns.values(), piece))


def _gone(db, event, at) -> None:
    state = "lost" if isinstance(event, life.PieceLost) else "damaged"
    _set(db, event.piece, state, was=event.was, cause=event.cause)
    trays.forget(db, event.piece)


def _withdrawn(db, event, at) -> None:
    _set(db, event.piece, "withdrawn", sheet=None)
    trays.forget(db, event.piece)


def _fixed(db, event, at) -> None:
    _set(db, event.piece, "fixed")
    trays.forget(db, event.piece)


def _cause(db, event, at) -> None:
    db.execute("UPDATE piece SET cause = ? WHERE id = ?", (event.cause, event.piece))


def _ended(db, event, at) -> None:
    db.execute(
        "UPDATE assignment SET ended_at = ?, why_ended = ? WHERE piece = ? AND ended_at IS NULL",
        (at, event.why, event.piece),
    )
    trays.unpick(db, event.piece)


def _recut(db, event, at) -> None:
    piece = add(db, event.code, event.outline, event.stock, event.attempt, event.tabs)
    assign(db, piece, event.part, at)


def _uncut(db, event, at) -> None:
    """It waits again. How a first attempt is held is asked anew when it is nested; a recut is held by tabs, come what may."""
    db.execute(
        "UPDATE piece SET state = 'waiting', sheet = NULL, tabs = CASE WHEN attempt > 1 THEN tabs ELSE 0 END WHERE id = ?",
        (event.piece,),
    )


_WRITERS = {
    life.PieceCut: lambda db, e, at: _set(db, e.piece, e.state),
    life.TabsTrimmed: lambda db, e, at: _set(db, e.piece, "ready"),
    life.PieceLost: _gone,
    life.PieceDamaged: _gone,
    life.CauseChanged: _cause,
    life.AssignmentEnded: _ended,
    life.PieceAssigned: lambda db, e, at: assign(db, e.piece, e.part, at),
    life.RecutQueued: _recut,
    life.PieceFound: lambda db, e, at: _set(db, e.piece, e.state, was=None, cause=None),
    life.PieceWithdrawn: _withdrawn,
    life.PieceUncut: _uncut,
    life.PieceFixed: _fixed,
    life.PieceCameOff: lambda db, e, at: _set(db, e.piece, "ready"),
}
