"""How the pieces of a nest are held, what came of it, and which file went to the machine.

The table `holding` keeps the words of its first form: column `way` is the hold-down, `margin` the safety factor,
`came_free` whether the piece moved.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from ..domain.holding.loss_statistics import BANDS_MM2, Kind, Tally
from ..wording.message import Message, as_dict, of_dict, plain
from .sql import read_all, read_one_or_none

MOST_REMEMBERED = 5000  # the latest pieces, from which the chances are learned: a shop changes


@dataclass(frozen=True)
class Held:
    """How one piece of a nest is held.

    `tabs` are (ring, mm along it) in the piece's own frame; `chance` of loss, with its 95 % interval, as it was
    forecast when the nest was made. `moved`: it did not stay in place while it was cut.
    """

    piece: int
    hold_down: str
    advised: str
    verdict: str
    safety_factor: float
    chance: float
    chance_low: float
    chance_high: float
    pump: str
    tabs: tuple[tuple[int, float], ...]
    why: Message
    moved: bool = False

    @property
    def is_overruled(self) -> bool:
        """A person chose another hold-down than the one advised."""
        return self.hold_down != self.advised

    def as_row(self) -> dict[str, Any]:
        """The columns of table `holding`, but for its keys `nest` and `sheet`."""
        tabs = [[ring, round(mm, 3)] for ring, mm in self.tabs]
        return {
            "piece": self.piece,
            "way": self.hold_down,
            "advised": self.advised,
            "verdict": self.verdict,
            "margin": round(self.safety_factor, 4),
            "chance": round(self.chance, 5),
            "chance_low": round(self.chance_low, 5),
            "chance_high": round(self.chance_high, 5),
            "pump": self.pump,
            "tabs": json.dumps(tabs, separators=(",", ":")),
            "why": json.dumps(as_dict(self.why), separators=(",", ":"), ensure_ascii=False),
            "came_free": int(self.moved),
        }

    @classmethod
    def of_row(cls, row: Mapping[str, Any]) -> Held:
        """What `as_row` gave; in older rows `why` is a sentence."""
        why = row["why"]
        return cls(
            piece=row["piece"],
            hold_down=row["way"],
            advised=row["advised"],
            verdict=row["verdict"],
            safety_factor=row["margin"],
            chance=row["chance"],
            chance_low=row["chance_low"],
            chance_high=row["chance_high"],
            pump=row["pump"],
            tabs=tuple((ring, mm) for ring, mm in json.loads(row["tabs"])),
            why=of_dict(json.loads(why)) if why.startswith("{") else plain(why),
            moved=bool(row["came_free"]),
        )


@dataclass(frozen=True)
class Run:
    """What a nest was worked out for. `cutter` None: the usual one; `path_min` is not corrected by the shop's records."""

    cutter: int | None
    cutter_mm: float
    pump: str
    vacuum_inhg: float
    path_min: float


@dataclass(frozen=True)
class SentFile:
    """A file that went to the machine, and the layout that it holds."""

    nest: int
    nest_number: int
    name: str
    sha256: str
    layout: str
    at: str
    by_name: str


def of_nest(db: sqlite3.Connection, nest: int | None) -> dict[int, Held]:
    """Return how the pieces of a nest are held, by piece; empty for one from before this was kept."""
    rows = db.execute("SELECT * FROM holding WHERE nest = ?", (nest,))
    return {row["piece"]: Held.of_row(dict(row)) for row in rows}


def of_piece(db: sqlite3.Connection, nest: int, piece: int) -> Held | None:
    """Return how one piece of a nest is held; None where that was not kept."""
    sql = "SELECT * FROM holding WHERE nest = ? AND piece = ?"
    row = db.execute(sql, (nest, piece)).fetchone()
    return Held.of_row(dict(row)) if row else None


def write(
    db: sqlite3.Connection, nest: int, sheet: int, held: Iterable[Held], tabs: Mapping[int, int]
) -> None:
    """Keep how pieces of a nest are held, over what was kept before. `tabs`: how many are to be trimmed, by piece.

    Whether a piece moved stays as it is: that is not known when its hold-down is chosen.
    """
    for piece in held:
        db.execute(
            """INSERT INTO holding (nest, sheet, piece, way, advised, verdict, margin, chance, chance_low, chance_high,
                 pump, tabs, why, came_free)
               VALUES (:nest, :sheet, :piece, :way, :advised, :verdict, :margin, :chance, :chance_low, :chance_high,
                 :pump, :tabs, :why, :came_free)
               ON CONFLICT (nest, piece) DO UPDATE SET
                 way = excluded.way, advised = excluded.advised, verdict = excluded.verdict, margin = excluded.margin,
                 chance = excluded.chance, chance_low = excluded.chance_low, chance_high = excluded.chance_high,
                 pump = excluded.pump, tabs = excluded.tabs, why = excluded.why""",
            {"nest": nest, "sheet": sheet, **piece.as_row()},
        )
        db.execute(
            "UPDATE piece SET tabs = ?1 WHERE id = ?2 AND tabs != ?1",
            (tabs[piece.piece], piece.piece),
        )


def write_run(db: sqlite3.Connection, nest: int, sheet: int, run: Run) -> None:
    """Keep what a nest was worked out for."""
    db.execute(
        """INSERT INTO nest_run VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (nest) DO UPDATE SET cutter = excluded.cutter,
           cutter_mm = excluded.cutter_mm, pump = excluded.pump, vacuum_inhg = excluded.vacuum_inhg,
           path_min = excluded.path_min""",
        (
            nest,
            sheet,
            run.cutter,
            run.cutter_mm,
            run.pump,
            round(run.vacuum_inhg, 3),
            round(run.path_min, 3),
        ),
    )


def run_of(db: sqlite3.Connection, nest: int | None) -> Run | None:
    """Return what a nest was worked out for; None for one from before this was kept."""
    return read_one_or_none(
        db,
        Run,
        "SELECT cutter, cutter_mm, pump, vacuum_inhg, path_min FROM nest_run WHERE nest = ?",
        (nest,),
    )


# What came of it. -----------------------------------------------------------------------------------------------------


def set_moved(db: sqlite3.Connection, piece: int, *, moved: bool) -> None:
    """Keep whether a piece moved, in the nest that it was cut from."""
    db.execute(
        """UPDATE holding SET came_free = ?1 WHERE piece = ?2 AND came_free != ?1
           AND nest = (SELECT s.nest FROM piece p JOIN sheet s ON s.id = p.sheet WHERE p.id = ?2)""",
        (int(moved), piece),
    )


_OUTCOMES = """
FROM (SELECT * FROM holding ORDER BY nest DESC LIMIT {most}) h
JOIN piece p ON p.id = h.piece JOIN sheet s ON s.id = h.sheet JOIN outline o ON o.id = p.outline
WHERE (h.came_free OR (p.sheet = h.sheet AND s.nest = h.nest AND p.state IN ('cut', 'ready', 'fixed', 'lost', 'damaged')))
"""


def tallies(
    db: sqlite3.Connection, *, without: Sequence[int] = (), only: int | None = None
) -> dict[Kind, Tally]:
    """How many pieces of each kind came off the table, and how many of them moved; of the latest pieces.

    A piece counts once it has an outcome. `without` leaves out the pieces of these sheets, `only` counts no other's.
    """
    bounds = " ".join(
        f"WHEN o.area_mm2 < {bound} THEN {band}" for band, bound in enumerate(BANDS_MM2[:-1])
    )
    band = f"CASE {bounds} ELSE {len(BANDS_MM2) - 1} END AS band"
    rows = db.execute(
        f"SELECT {band}, h.way, h.pump, count(*) AS cut, sum(h.came_free) AS lost "
        + _OUTCOMES.format(most=MOST_REMEMBERED)
        + """AND h.sheet NOT IN (SELECT value FROM json_each(?1)) AND h.sheet = coalesce(?2, h.sheet) GROUP BY 1, 2, 3""",
        (json.dumps(list(without)), only),
    )
    return {Kind(*kind): Tally(cut, lost) for *kind, cut, lost in rows}


def predictions(db: sqlite3.Connection) -> list[tuple[float, bool]]:
    """(the chance that was forecast for a piece, whether it moved), of the latest pieces that have an outcome."""
    rows = db.execute(
        "SELECT h.chance, h.came_free "
        + _OUTCOMES.format(most=MOST_REMEMBERED)
        + "ORDER BY h.nest, h.piece"
    )
    return [(chance, bool(came_free)) for chance, came_free in rows]


def sheets_since(db: sqlite3.Connection, nest: int | None) -> list[tuple[int, str]]:
    """Return (id, number) of five sheets whose pieces got their outcomes after a nest was made; those that lost most first."""
    rows = db.execute(
        """SELECT s.id, s.number FROM sheet s JOIN holding h ON h.nest = s.nest
           WHERE s.state = 'off the table' OR s.closed_at >= (SELECT made_at FROM nest WHERE id = ?)
           GROUP BY s.id ORDER BY sum(h.came_free) DESC, s.id DESC LIMIT 5""",
        (nest,),
    )
    return [(id, number) for id, number in rows]


class SheetTime(NamedTuple):
    """How long a sheet was on the router: minutes by its path alone, and when it started and finished (UTC)."""

    path_min: float
    started_at: str
    finished_at: str
    code: str
    number: str

    @property
    def real_min(self) -> float:
        """The minutes by the clock."""
        started, finished = map(datetime.fromisoformat, (self.started_at, self.finished_at))
        return (finished - started).total_seconds() / 60


def times(db: sqlite3.Connection) -> list[SheetTime]:
    """Return the sheets that came off the table last, the last first."""
    return read_all(
        db,
        SheetTime,
        """SELECT r.path_min, s.started_at, s.finished_at, s.code, s.number FROM sheet s JOIN nest_run r ON r.nest = s.nest
           WHERE s.finished_at IS NOT NULL AND s.started_at IS NOT NULL AND s.state IN ('off the table', 'closed')
           AND r.path_min > 0 ORDER BY s.finished_at DESC, s.id DESC LIMIT 200""",
    )


# Files for the machine. -----------------------------------------------------------------------------------------------


def add_file(
    db: sqlite3.Connection,
    nest: int,
    sheet: int,
    name: str,
    sha256: str,
    layout: str,
    *,
    at: str,
    person: int,
) -> None:
    """Keep that a file went to the machine."""
    db.execute(
        "INSERT INTO machine_file (nest, sheet, name, sha256, layout, at, person) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (nest, sheet, name, sha256, layout, at, person),
    )


def last_file(db: sqlite3.Connection, sheet: int) -> SentFile | None:
    """Return the file that went to the machine last for a sheet; None where none did."""
    return read_one_or_none(
        db,
        SentFile,
        """SELECT f.nest, n.number AS nest_number, f.name, f.sha256, f.layout, f.at, p.name AS by_name FROM machine_file f
           JOIN nest n ON n.id = f.nest JOIN person p ON p.id = f.person WHERE f.sheet = ? ORDER BY f.id DESC LIMIT 1""",
        (sheet,),
    )
