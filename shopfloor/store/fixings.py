"""Stored: a stock's own expansion, a sign's site and its plan of fixings, what its parts lie on."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from ..domain.fixings.screw_places import FixingPlan
from .sql import read_groups, read_one_or_none, read_pairs


@dataclass(frozen=True)
class StockExpansion:
    """A stock's expansion in millionths per kelvin, and where the figure comes from."""

    stock: int
    per_k: float
    source: str


@dataclass(frozen=True)
class Lying:
    """What a part of a sign lies on or is let into (ids), its stock's kind, and its expansion where one is entered."""

    under: tuple[int, ...]
    kind: str
    per_k: float | None


def expansion_of(db: sqlite3.Connection, stock: int) -> StockExpansion | None:
    """Return the figure that is entered for a stock; None without one."""
    return read_one_or_none(
        db, StockExpansion, "SELECT * FROM stock_expansion WHERE stock = ?", (stock,)
    )


def set_expansion(db: sqlite3.Connection, expansion: StockExpansion) -> None:
    """Enter or replace the expansion of a stock."""
    db.execute(
        """INSERT INTO stock_expansion (stock, per_k, source) VALUES (?, ?, ?)
           ON CONFLICT (stock) DO UPDATE SET per_k = excluded.per_k, source = excluded.source""",
        (expansion.stock, round(expansion.per_k, 6), expansion.source),
    )


def drop_expansion(db: sqlite3.Connection, stock: int) -> None:
    """Delete a stock's own figure: the usual one of its kind applies again."""
    db.execute("DELETE FROM stock_expansion WHERE stock = ?", (stock,))


def site_of(db: sqlite3.Connection, sign: int) -> tuple[float, float] | None:
    """Return (coldest, warmest) in °C where a sign hangs; None where it is the shop's usual site."""
    row = db.execute("SELECT coldest_c, warmest_c FROM site WHERE sign = ?", (sign,)).fetchone()
    return (row["coldest_c"], row["warmest_c"]) if row else None


def set_site(db: sqlite3.Connection, sign: int, coldest_c: float, warmest_c: float) -> None:
    """Set how cold and warm it gets where the sign hangs."""
    db.execute(
        """INSERT INTO site (sign, coldest_c, warmest_c) VALUES (?, ?, ?)
           ON CONFLICT (sign) DO UPDATE SET coldest_c = excluded.coldest_c, warmest_c = excluded.warmest_c""",
        (sign, round(coldest_c, 6), round(warmest_c, 6)),
    )


def drop_site(db: sqlite3.Connection, sign: int) -> None:
    """Delete a sign's own site: the shop's usual one applies again."""
    db.execute("DELETE FROM site WHERE sign = ?", (sign,))


def plan_of(db: sqlite3.Connection, sign: int) -> FixingPlan | None:
    """Return how a sign is screwed to its wall; None without a plan."""
    return read_one_or_none(
        db,
        FixingPlan,
        "SELECT screw_mm, edge_mm, columns, rows, wall, wall_per_k FROM fixing_plan WHERE sign = ?",
        (sign,),
    )


def set_plan(db: sqlite3.Connection, sign: int, plan: FixingPlan) -> None:
    """Set or replace a sign's plan of fixings."""
    db.execute(
        """INSERT INTO fixing_plan (sign, screw_mm, edge_mm, columns, rows, wall, wall_per_k) VALUES (?, ?, ?, ?, ?, ?, ?)
           ON CONFLICT (sign) DO UPDATE SET screw_mm = excluded.screw_mm, edge_mm = excluded.edge_mm,
           columns = excluded.columns, rows = excluded.rows, wall = excluded.wall, wall_per_k = excluded.wall_per_k""",
        (
            sign,
            round(plan.screw_mm, 6),
            round(plan.edge_mm, 6),
            plan.columns,
            plan.rows,
            plan.wall,
            round(plan.wall_per_k, 6),
        ),
    )


def drop_plan(db: sqlite3.Connection, sign: int) -> None:
    """Delete a sign's plan of fixings."""
    db.execute("DELETE FROM fixing_plan WHERE sign = ?", (sign,))


def lying_of(db: sqlite3.Connection, sign: int) -> dict[int, Lying]:
    """Return what each part of a sign lies on, and its material, by the part's id."""
    also = read_groups(
        db,
        """SELECT x.part, x.under FROM part_also_on x JOIN part ON part.id = x.part
           WHERE part.sign = ? AND part.gone_at IS NULL ORDER BY x.under""",
        (sign,),
    )
    rows = db.execute(
        """SELECT part.id, part.lies_on, stock.kind, x.per_k FROM part JOIN stock ON stock.id = part.stock
           LEFT JOIN stock_expansion x ON x.stock = part.stock WHERE part.sign = ? AND part.gone_at IS NULL""",
        (sign,),
    )
    return {
        row["id"]: Lying(
            (*([row["lies_on"]] if row["lies_on"] else []), *also.get(row["id"], ())),
            row["kind"],
            row["per_k"],
        )
        for row in rows
    }


def glued_at(db: sqlite3.Connection, sign: int) -> dict[int, float]:
    """Return the temperature in °C at which the live piece of each part was last glued, by the part's id."""
    return read_pairs(
        db,
        """SELECT part.id, g.temperature_c FROM part JOIN assignment a ON a.part = part.id AND a.ended_at IS NULL
           JOIN piece p ON p.id = a.piece AND p.state = 'fixed' JOIN glue_up_piece x ON x.piece = p.id
           JOIN glue_up g ON g.id = x.glue_up WHERE part.sign = ? ORDER BY g.at, g.id""",
        (sign,),
    )
