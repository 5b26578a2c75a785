"""The shop's list of cutters, how each stock is cut, and how thick a blank is by the caliper."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import Any

from ..domain.errors import NotFound
from ..domain.recuts.thickness import Lot
from ..domain.routing.cutters import Cutter
from ..wording import cutting as wording
from .sql import (
    LISTED,
    insert,
    listed,
    read_all,
    read_column,
    read_one,
    read_one_or_none,
    read_pairs,
    update,
)
from .stock import Stock

_CUTTER = (
    "SELECT id, name, diameter_mm, flutes, edge, is_polished, helix_deg, reach_mm FROM cutter "
)


@dataclass(frozen=True)
class StockCutting:
    """How a stock is cut, where the shop said so. `cutter` None: the usual one; `source`: where the figures come from."""

    stock: int
    cutter: int | None
    rev_per_min: float
    chip_mm: float
    cutting_energy: float
    source: str


def cutters(db: sqlite3.Connection) -> list[Cutter]:
    """Return the cutters that are in use, the thinnest first."""
    return read_all(db, _cutter, _CUTTER + "WHERE NOT is_retired ORDER BY diameter_mm, flutes, id")


def cutter(db: sqlite3.Connection, id: int) -> Cutter:
    """Return one cutter, retired or not. Raises NotFound."""
    return read_one(db, _cutter, wording.no_such_cutter(), _CUTTER + "WHERE id = ?", (id,))


def must_be_in_use(db: sqlite3.Connection, id: int) -> Cutter:
    """Return a cutter that may be chosen. Raises NotFound for one that is retired."""
    if id not in {one.id for one in cutters(db)}:
        raise NotFound(wording.off_the_list())
    return cutter(db, id)


def _cutter(is_polished: int, **columns: Any) -> Cutter:
    return Cutter(**columns, is_polished=bool(is_polished))


def add_cutter(db: sqlite3.Connection, **columns: Any) -> int:
    """Add a cutter and return its id."""
    return insert(db, "cutter", **columns)


def is_retired_name(db: sqlite3.Connection, name: str) -> bool:
    """Return whether a retired cutter has this name."""
    return (
        db.execute("SELECT 1 FROM cutter WHERE name = ? AND is_retired", (name,)).fetchone()
        is not None
    )


def retire_cutter(db: sqlite3.Connection, id: int) -> None:
    """Stop offering a cutter; what was cut with it keeps its name."""
    update(db, "cutter", id, is_retired=True)


def stocks_cut_with(db: sqlite3.Connection, cutter: int) -> list[str]:
    """Return the codes of the stocks that name this cutter."""
    return read_column(
        db,
        "SELECT s.code FROM stock_cutting c JOIN stock s ON s.id = c.stock WHERE c.cutter = ? ORDER BY s.code",
        (cutter,),
    )


def stock_cutting(db: sqlite3.Connection, stock: int) -> StockCutting | None:
    """Return how a stock is cut; None where it is cut in the usual way."""
    return read_one_or_none(
        db, StockCutting, "SELECT * FROM stock_cutting WHERE stock = ?", (stock,)
    )


def set_stock_cutting(db: sqlite3.Connection, cutting: StockCutting) -> None:
    """Set how a stock is cut."""
    db.execute(
        """INSERT INTO stock_cutting VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (stock) DO UPDATE SET cutter = excluded.cutter,
           rev_per_min = excluded.rev_per_min, chip_mm = excluded.chip_mm, cutting_energy = excluded.cutting_energy,
           source = excluded.source""",
        (
            cutting.stock,
            cutting.cutter,
            cutting.rev_per_min,
            cutting.chip_mm,
            cutting.cutting_energy,
            cutting.source,
        ),
    )


def drop_stock_cutting(db: sqlite3.Connection, stock: int) -> None:
    """Cut a stock in the usual way again."""
    db.execute("DELETE FROM stock_cutting WHERE stock = ?", (stock,))


# Thickness. -----------------------------------------------------------------------------------------------------------


def measured_mm(db: sqlite3.Connection, blank: int) -> float | None:
    """Return a blank's measured thickness, its own or that of the sheet it was cut from; None where nobody measured."""
    return _measured(db, _line_of(db, blank))


def set_measured(db: sqlite3.Connection, blank: int, mm: float) -> None:
    """Keep a blank's thickness as measured with a caliper."""
    db.execute(
        "INSERT INTO blank_thickness VALUES (?, ?) ON CONFLICT (blank) DO UPDATE SET measured_mm = excluded.measured_mm",
        (blank, mm),
    )


def lot_of(db: sqlite3.Connection, blank: int, material: Stock) -> Lot:
    """Return what is known of a blank's thickness. Its root is the full sheet that it first came from."""
    line = _line_of(db, blank)
    return Lot(material.kind, material.thickness_mm, _measured(db, line), line[-1])


def _line_of(db: sqlite3.Connection, blank: int) -> list[int]:
    """Return the blank, the one that it was cut from, and so on."""
    return read_column(
        db,
        """WITH RECURSIVE line (blank, nth) AS (
             SELECT ?, 0 UNION ALL
             SELECT s.blank, nth + 1 FROM line JOIN blank b ON b.id = line.blank JOIN sheet s ON s.id = b.cut_from)
           SELECT blank FROM line ORDER BY nth""",
        (blank,),
    )


def _measured(db: sqlite3.Connection, line: list[int]) -> float | None:
    sql = f"SELECT blank, measured_mm FROM blank_thickness WHERE blank IN {LISTED}"
    measured: dict[int, float] = read_pairs(db, sql, (listed(line),))
    return next((measured[blank] for blank in line if blank in measured), None)


def blanks_beside(db: sqlite3.Connection, pieces: list[int]) -> dict[int, int]:
    """Return the blanks that neighbours of these pieces were cut from (same sign, level and stock, in hand), with how many each."""
    return read_pairs(
        db,
        f"""SELECT sh.blank, count(DISTINCT q.id) AS pieces
            FROM piece p JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL JOIN part pt ON pt.id = a.part
            JOIN part other ON other.sign = pt.sign AND other.id != pt.id AND other.level = pt.level
            JOIN assignment b ON b.part = other.id AND b.ended_at IS NULL
            JOIN piece q ON q.id = b.piece AND q.stock = p.stock AND q.state IN ('cut', 'ready', 'fixed')
            JOIN sheet sh ON sh.id = q.sheet
            WHERE p.id IN {LISTED} GROUP BY sh.blank""",
        (listed(pieces),),
    )
