"""Check lists, ticks, photos and handing over in the database. Decides nothing: the rules are in `domain.bench.finishing`."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from ..domain.bench.finishing import KINDS, USUAL
from ..domain.errors import NotFound
from ..wording import finishing as wording
from .sql import insert, read_all, read_one, read_one_or_none, scalar_or_none


@dataclass(frozen=True)
class CheckList:
    """The list for a kind of step; `is_usual` is False where the shop wrote its own."""

    kind: str
    items: tuple[str, ...]
    is_usual: bool


@dataclass(frozen=True)
class Tick:
    """An item that was ticked, in its wording at the time. `at` as stored."""

    item: str
    at: str
    by_name: str


@dataclass(frozen=True)
class Photo:
    """A photo of a sign. `wide_px`, `high_px` are 0 where its file is missing (a database rebuilt from its ledger)."""

    id: int
    sign: int
    sha256: str
    note: str
    at: str
    person: int
    by_name: str
    wide_px: int
    high_px: int

    @property
    def is_here(self) -> bool:
        """True if its file can be shown."""
        return self.wide_px > 0


@dataclass(frozen=True)
class HandingOver:
    """Who received a sign, when (as stored), and who of the shop handed it over."""

    to_name: str
    at: str
    by_name: str


# Check lists. ---------------------------------------------------------------------------------------------------------


def check_list(db: sqlite3.Connection, kind: str) -> CheckList:
    """Return the list for a kind of step: the shop's own, else the usual one; empty for a kind that has none."""
    row = db.execute("SELECT items FROM check_list WHERE kind = ?", (kind,)).fetchone()
    if row:
        return CheckList(kind, tuple(json.loads(row["items"])), False)
    return CheckList(kind, USUAL.get(kind, ()), True)


def check_lists(db: sqlite3.Connection) -> list[CheckList]:
    """Return the list of each kind of step that has one."""
    return [check_list(db, kind) for kind in KINDS]


def set_check_list(db: sqlite3.Connection, kind: str, items: tuple[str, ...] | None) -> None:
    """Write the shop's own list; None goes back to the usual one."""
    if items is None:
        db.execute("DELETE FROM check_list WHERE kind = ?", (kind,))
        return
    db.execute(
        "INSERT INTO check_list VALUES (?, ?) ON CONFLICT (kind) DO UPDATE SET items = excluded.items",
        (kind, json.dumps(items, ensure_ascii=False)),
    )


# Ticks. ---------------------------------------------------------------------------------------------------------------


def ticks_of(db: sqlite3.Connection, step: int) -> list[Tick]:
    """Return the ticks of a step, oldest first."""
    return read_all(
        db,
        Tick,
        """SELECT c.item, c.at, p.name AS by_name FROM checked c JOIN person p ON p.id = c.person
           WHERE c.step = ? ORDER BY c.at, c.item""",
        (step,),
    )


def tick(db: sqlite3.Connection, step: int, item: str, at: str, person: int) -> None:
    """Tick an item, unless it is ticked already."""
    db.execute(
        "INSERT INTO checked VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", (step, item, at, person)
    )


def untick(db: sqlite3.Connection, step: int, item: str) -> None:
    """Take a tick back."""
    db.execute("DELETE FROM checked WHERE step = ? AND item = ?", (step, item))


def untick_all(db: sqlite3.Connection, steps: Iterable[int]) -> None:
    """Clear the ticks of steps that must be redone; the ledger keeps them."""
    db.executemany("DELETE FROM checked WHERE step = ?", [(step,) for step in steps])


# Photos. --------------------------------------------------------------------------------------------------------------

_PHOTO = """
SELECT ph.id, ph.sign, ph.sha256, ph.note, ph.at, ph.person, p.name AS by_name,
  coalesce(f.wide_px, 0) AS wide_px, coalesce(f.high_px, 0) AS high_px
FROM photo ph JOIN person p ON p.id = ph.person LEFT JOIN photo_file f ON f.sha256 = ph.sha256
"""


def photos_of(db: sqlite3.Connection, sign: int) -> list[Photo]:
    """Return the photos of a sign, oldest first."""
    return read_all(db, Photo, _PHOTO + "WHERE ph.sign = ? ORDER BY ph.id", (sign,))


def photo(db: sqlite3.Connection, id: int) -> Photo:
    """Return one photo. Raises NotFound."""
    return read_one(db, Photo, wording.photo_no_longer_there(), _PHOTO + "WHERE ph.id = ?", (id,))


def add_photo(
    db: sqlite3.Connection, sign: int, sha256: str, note: str, at: str, person: int
) -> int:
    """Add a photo to a sign. Returns its id."""
    return insert(db, "photo", sign=sign, sha256=sha256, note=note, at=at, person=person)


def take_off_photo(db: sqlite3.Connection, id: int) -> None:
    """Remove a photo from its sign; its file stays, so that this can be undone."""
    db.execute("DELETE FROM photo WHERE id = ?", (id,))


def keep_photo_file(
    db: sqlite3.Connection, sha256: str, file: bytes, wide_px: int, high_px: int, at: str
) -> None:
    """Keep a photo's file, once."""
    db.execute(
        "INSERT INTO photo_file VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
        (sha256, file, wide_px, high_px, at),
    )


def photo_file(db: sqlite3.Connection, sha256: str) -> bytes:
    """Return the file of a photo that is with a sign. Raises NotFound."""
    sql = "SELECT file FROM photo_file WHERE sha256 = ?1 AND EXISTS (SELECT 1 FROM photo WHERE sha256 = ?1)"
    file = scalar_or_none(db, bytes, sql, (sha256,))
    if file is None:
        raise NotFound(wording.photo_file_missing())
    return file


# Handing over. --------------------------------------------------------------------------------------------------------


def handing_over_of(db: sqlite3.Connection, sign: int) -> HandingOver | None:
    """Return who received a sign last, None if nobody has. A sign that was reopened since still names them."""
    return read_one_or_none(
        db,
        HandingOver,
        """SELECT h.to_name, h.at, p.name AS by_name FROM handing_over h JOIN person p ON p.id = h.person
           WHERE h.sign = ?""",
        (sign,),
    )


def hand_over(db: sqlite3.Connection, sign: int, to_name: str, at: str, person: int) -> None:
    """Keep who received a sign, in place of who received it before it was reopened."""
    db.execute(
        """INSERT INTO handing_over VALUES (?, ?, ?, ?) ON CONFLICT (sign)
           DO UPDATE SET to_name = excluded.to_name, at = excluded.at, person = excluded.person""",
        (sign, to_name, at, person),
    )
