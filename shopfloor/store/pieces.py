"""Pieces, their assignments and where they lie: reads them, and writes their events."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from sqlite3 import Connection
from typing import Any

from ..domain import pieces as life
from ..wording import pieces as wording
from ..wording.message import Message
from .sql import (
    LISTED,
    insert,
    listed,
    read_all,
    read_one,
    read_pairs,
    scalar,
    scalar_or_none,
    update,
)

# The part that a piece `p` is for by its assignment `a`, in a query that makes a `ForPart`.
FOR_PART = """pt.id AS part, pt.number, pt.name, pt.level, sg.id AS sign, sg.mark AS sign_mark, sg.name AS sign_name,
       j.number AS job"""
JOIN_PART = "LEFT JOIN part pt ON pt.id = a.part LEFT JOIN sign sg ON sg.id = pt.sign LEFT JOIN job j ON j.id = sg.job"


@dataclass(frozen=True, kw_only=True)
class ForPart:
    """The part that a piece is for, its sign and its job's number; all None for a spare."""

    part: int | None
    number: int | None
    name: str | None
    level: int | None
    sign: int | None
    sign_mark: str | None
    sign_name: str | None
    job: str | None


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


def by_code(db: Connection, code: str) -> life.Piece:
    """Return one piece. Raises NotFound."""
    return read_one(
        db, life.Piece, wording.no_piece_with_code(code), _SELECT + "WHERE p.code = ?", (code,)
    )


def of_sheet(db: Connection, sheet: int) -> list[life.Piece]:
    """Return the pieces of one sheet."""
    return many(db, "WHERE p.sheet = ? ORDER BY p.id", sheet)


def of_sign(db: Connection, sign: int) -> list[life.Piece]:
    """Return the live pieces of one sign."""
    return many(db, "JOIN part pt ON pt.id = a.part WHERE pt.sign = ? ORDER BY pt.number", sign)


def of_part(db: Connection, part: int) -> list[life.Piece]:
    """Return the live piece of one part, as a list of one or none."""
    return many(db, "WHERE a.part = ?", part)


def waiting(db: Connection, stock: int) -> list[life.Piece]:
    """Return the pieces of one stock that wait for a sheet."""
    return many(db, "WHERE p.stock = ? AND p.state = 'waiting' ORDER BY p.id", stock)


def waiting_of_job(db: Connection, job: int) -> list[life.Piece]:
    """Return the pieces of one job that wait for a sheet."""
    of_job = "JOIN part pt ON pt.id = a.part JOIN sign s ON s.id = pt.sign WHERE s.job = ?"
    return many(db, of_job + " AND p.state = 'waiting' ORDER BY p.id", job)


def many(db: Connection, where: str, *values: object) -> list[life.Piece]:
    """Return the pieces that a condition selects: p is the piece, sh its sheet, a its live assignment, o its outline."""
    return read_all(db, life.Piece, _SELECT + where, values)


def called(db: Connection, piece: life.Piece) -> Message:
    """Return what people call a piece by the part that it is or was for: "'A' of J-1042 A", or "Spare 4072 9153"."""
    row = db.execute(
        """SELECT pt.number, pt.name, j.number || ' ' || s.mark AS sign FROM part pt JOIN sign s ON s.id = pt.sign
           JOIN job j ON j.id = s.job WHERE pt.id = ?""",
        (piece.last_part,),
    ).fetchone()
    return life.called(piece.code, *(row or (None, "", "")))


def names(db: Connection, ids: Sequence[int]) -> dict[int, Message]:
    """Return what people call pieces, by id: "'A' of J-1042 A". Spares are left out."""
    rows = db.execute(
        f"""SELECT a.piece, pt.name, j.number || ' ' || s.mark FROM assignment a JOIN part pt ON pt.id = a.part
            JOIN sign s ON s.id = pt.sign JOIN job j ON j.id = s.job
            WHERE a.ended_at IS NULL AND a.piece IN {LISTED}""",
        (listed(ids),),
    )
    return {piece: wording.part_of_sign(name, sign) for piece, name, sign in rows}


def spares(db: Connection, stock: int | None = None) -> list[tuple[int, life.Piece]]:
    """Return the usable pieces that are for no part: (family, piece). With `stock` only those of that stock."""
    usable = f"""(p.state IN ('cut', 'ready') OR (p.state = 'nested' AND sh.state IN {life.CUTTABLE}))
                 AND a.part IS NULL AND (?1 IS NULL OR p.stock = ?1)"""
    unused = many(db, f"WHERE {usable} ORDER BY p.id", stock)
    families = read_pairs(
        db,
        f"""SELECT p.id, o.family FROM piece p JOIN outline o ON o.id = p.outline LEFT JOIN sheet sh ON sh.id = p.sheet
            LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL WHERE {usable}""",
        (stock,),
    )
    return [(families[piece.id], piece) for piece in unused]


def was_for(db: Connection, piece: int) -> str:
    """Return the sign that a spare was cut for, 'J-1042 A'; '' where it never was for one."""
    sign = scalar_or_none(
        db,
        str,
        """SELECT j.number || ' ' || s.mark AS sign FROM assignment a JOIN part pt ON pt.id = a.part
           JOIN sign s ON s.id = pt.sign JOIN job j ON j.id = s.job WHERE a.piece = ? ORDER BY a.id DESC LIMIT 1""",
        (piece,),
    )
    return sign or ""


def next_attempt(db: Connection, part: int | None) -> int:
    """Return the attempt of the next piece for a part: one more than there were so far."""
    spoiled = scalar(
        db,
        int,
        """SELECT count(DISTINCT p.id) FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND p.state != 'withdrawn'""",
        (part,),
    )
    return spoiled + 1


def recut_of(db: Connection, piece: life.Piece) -> str | None:
    """Return the code of the piece that replaces a lost one."""
    return scalar_or_none(
        db,
        str,
        """SELECT p.code FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND a.ended_at IS NULL AND p.id != ?""",
        (piece.last_part, piece.id),
    )


def lost_of_part(db: Connection, part: int) -> str | None:
    """Return the code of the piece of a part that was lost last."""
    return scalar_or_none(
        db,
        str,
        """SELECT p.code FROM assignment a JOIN piece p ON p.id = a.piece
           WHERE a.part = ? AND p.state = 'lost' ORDER BY a.id DESC LIMIT 1""",
        (part,),
    )


def add(db: Connection, code: str, outline: int, stock: int, attempt: int, tabs: int) -> int:
    """Add a piece that waits for a sheet. Its code must be claimed."""
    return insert(
        db,
        "piece",
        code=code,
        outline=outline,
        stock=stock,
        state="waiting",
        attempt=attempt,
        tabs=tabs,
    )


def assign(db: Connection, piece: int, part: int, at: str) -> None:
    """Assign the piece to this part from now on."""
    insert(db, "assignment", piece=piece, part=part, begun_at=at)


def lay(db: Connection, piece: int, tray: int | None, picked_for: int | None, at: str) -> None:
    """Put a piece into a tray or (None) on the bench itself, ready for the sign `picked_for` if one is given."""
    db.execute(
        """INSERT INTO lying (piece, tray, picked_for, at) VALUES (?, ?, ?, ?)
           ON CONFLICT (piece) DO UPDATE SET tray = excluded.tray, picked_for = excluded.picked_for, at = excluded.at""",
        (piece, tray, picked_for, at),
    )


def forget(db: Connection, piece: int) -> None:
    """Forget where a piece lies: nobody knows any more, or it is glued or gone."""
    db.execute("DELETE FROM lying WHERE piece = ?", (piece,))


def unpick(db: Connection, piece: int) -> None:
    """Make a piece ready for no sign: it stays in its tray; where one on the bench was put is not known."""
    db.execute("DELETE FROM lying WHERE piece = ? AND tray IS NULL", (piece,))
    db.execute(
        "UPDATE lying SET picked_for = NULL WHERE piece = ? AND picked_for IS NOT NULL", (piece,)
    )


def write(db: Connection, events: Sequence[life.Event], at: str) -> None:
    """Write what happened, in order. `at` is the moment of the act."""
    for event in events:
        _WRITERS[type(event)](db, event, at)


def _set(db: Connection, piece: int, state: str, **other: object) -> None:
    update(db, "piece", piece, state=state, **other)


def _gone(db: Connection, event: life.PieceLost | life.PieceDamaged, at: str) -> None:
    state = "lost" if isinstance(event, life.PieceLost) else "damaged"
    _set(db, event.piece, state, was=event.was, cause=event.cause)
    forget(db, event.piece)


def _withdrawn(db: Connection, event: life.PieceWithdrawn, at: str) -> None:
    _set(db, event.piece, "withdrawn", sheet=None)
    forget(db, event.piece)


def _fixed(db: Connection, event: life.PieceFixed, at: str) -> None:
    _set(db, event.piece, "fixed")
    forget(db, event.piece)


def _cause(db: Connection, event: life.CauseChanged, at: str) -> None:
    update(db, "piece", event.piece, cause=event.cause)


def _ended(db: Connection, event: life.AssignmentEnded, at: str) -> None:
    db.execute(
        "UPDATE assignment SET ended_at = ?, why_ended = ? WHERE piece = ? AND ended_at IS NULL",
        (at, event.why, event.piece),
    )
    unpick(db, event.piece)


def _recut(db: Connection, event: life.RecutQueued, at: str) -> None:
    piece = add(db, event.code, event.outline, event.stock, event.attempt, event.tabs)
    assign(db, piece, event.part, at)


def _uncut(db: Connection, event: life.PieceUncut, at: str) -> None:
    """The piece waits again. A first attempt gets its hold-down when it is nested again; a recut always keeps its tabs."""
    db.execute(
        "UPDATE piece SET state = 'waiting', sheet = NULL, tabs = CASE WHEN attempt > 1 THEN tabs ELSE 0 END WHERE id = ?",
        (event.piece,),
    )


_WRITERS: dict[type, Callable[[Connection, Any, str], None]] = {
    life.PieceCut: lambda db, event, at: _set(db, event.piece, event.state),
    life.TabsTrimmed: lambda db, event, at: _set(db, event.piece, "ready"),
    life.PieceLost: _gone,
    life.PieceDamaged: _gone,
    life.CauseChanged: _cause,
    life.AssignmentEnded: _ended,
    life.PieceAssigned: lambda db, event, at: assign(db, event.piece, event.part, at),
    life.RecutQueued: _recut,
    life.PieceFound: lambda db, event, at: _set(db, event.piece, event.state, was=None, cause=None),
    life.PieceWithdrawn: _withdrawn,
    life.PieceUncut: _uncut,
    life.PieceFixed: _fixed,
    life.PieceCameOff: lambda db, event, at: _set(db, event.piece, "ready"),
}
