"""Stock: sheet materials, the blanks in the rack, and which stock a colour of a drawing is cut from."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import Any

from ..domain.errors import NotFound
from ..wording import stock as wording
from .sql import insert, read_all, read_groups, read_one, read_one_or_none, update


@dataclass(frozen=True)
class Stock:
    """One sheet material. Lengths mm, `cost` of one full sheet."""

    id: int
    code: str
    name: str
    colour: str
    finish: str
    kind: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    turns: str
    cost: float

    @property
    def called(self) -> str:
        """'cream, 6 mm'"""
        return f"{self.name}, {self.thickness_mm:g} mm"


@dataclass(frozen=True)
class Blank:
    """One physical full sheet or offcut."""

    id: int
    code: str
    stock: int
    length_mm: float
    width_mm: float
    is_offcut: int
    is_bought: int
    state: str
    cut_from: int | None


def all_stocks(db: sqlite3.Connection) -> list[Stock]:
    """Return every stock, by name and thickness."""
    return read_all(db, Stock, "SELECT * FROM stock ORDER BY name, thickness_mm")


def stock(db: sqlite3.Connection, id: int) -> Stock:
    """Return one stock. Raises NotFound."""
    return read_one(db, Stock, wording.no_such_stock(), "SELECT * FROM stock WHERE id = ?", (id,))


def stock_by_code(db: sqlite3.Connection, code: str) -> Stock:
    """Return the stock with a shop's own code such as 'cream-6'. Raises NotFound, naming those there are."""
    row = db.execute("SELECT * FROM stock WHERE code = ?", (code.strip(),)).fetchone()
    if row is None:
        known = ", ".join(stock.code for stock in all_stocks(db))
        raise NotFound(wording.no_stock_of_code(code.strip(), known))
    return Stock(**dict(row))


def stock_for_colour(db: sqlite3.Connection, colour: str) -> Stock | None:
    """Return the stock that the shop last chose for a colour, else one of exactly that colour."""
    return read_one_or_none(
        db,
        Stock,
        """SELECT s.* FROM stock s LEFT JOIN colour c ON c.stock = s.id AND c.colour = ?1
           WHERE c.colour = ?1 OR s.colour = ?1 ORDER BY c.colour IS NULL, s.id LIMIT 1""",
        (colour,),
    )


def add_stock(db: sqlite3.Connection, **columns: Any) -> int:
    """Add a stock and return its id."""
    return insert(db, "stock", **columns)


def change_stock(db: sqlite3.Connection, id: int, **columns: Any) -> None:
    """Set some of a stock's columns."""
    update(db, "stock", id, **columns)


def remember_colour(db: sqlite3.Connection, colour: str, stock: int) -> None:
    """Keep which stock a colour of a drawing is cut from."""
    db.execute(
        "INSERT INTO colour (colour, stock) VALUES (?, ?) ON CONFLICT (colour) DO UPDATE SET stock = excluded.stock",
        (colour, stock),
    )


def blank(db: sqlite3.Connection, id: int) -> Blank:
    """Return one blank. Raises NotFound."""
    return read_one(db, Blank, wording.no_such_sheet(), "SELECT * FROM blank WHERE id = ?", (id,))


def blank_by_code(db: sqlite3.Connection, code: str) -> Blank:
    """Return the blank with this label. Raises NotFound."""
    return read_one(
        db, Blank, wording.no_such_sheet(), "SELECT * FROM blank WHERE code = ?", (code,)
    )


def free_blanks(db: sqlite3.Connection, stock: int, *, is_offcut: bool) -> list[Blank]:
    """Return the free full sheets or offcuts of a stock, the smallest first."""
    return read_all(
        db,
        Blank,
        """SELECT * FROM blank WHERE stock = ? AND state = 'free' AND is_offcut = ?
           ORDER BY length_mm * width_mm, id""",
        (stock, int(is_offcut)),
    )


def blanks_in_rack(db: sqlite3.Connection) -> list[Blank]:
    """Return all blanks that are free or booked, by stock, offcuts last, the largest first."""
    return read_all(
        db,
        Blank,
        """SELECT * FROM blank WHERE state IN ('free', 'booked')
           ORDER BY stock, is_offcut, length_mm * width_mm DESC, id""",
    )


def add_blank(
    db: sqlite3.Connection,
    code: str,
    stock: int,
    length_mm: float,
    width_mm: float,
    *,
    is_offcut: bool,
    is_bought: bool = True,
    state: str = "free",
    cut_from: int | None = None,
) -> int:
    """Add a blank and return its id; its code must be claimed."""
    return insert(
        db,
        "blank",
        code=code,
        stock=stock,
        length_mm=round(length_mm, 3),
        width_mm=round(width_mm, 3),
        is_offcut=int(is_offcut),
        is_bought=int(is_bought),
        state=state,
        cut_from=cut_from,
    )


def set_blank(db: sqlite3.Connection, id: int, state: str) -> None:
    """Set a blank's state: free, booked, used or gone. A used one has been bought."""
    db.execute(
        "UPDATE blank SET state = ?, is_bought = max(is_bought, ?) WHERE id = ?",
        (state, state == "used", id),
    )


def release_blank(db: sqlite3.Connection, id: int) -> None:
    """Free a booked blank; one that was never bought is no longer needed."""
    db.execute(
        "UPDATE blank SET state = CASE is_bought WHEN 1 THEN 'free' ELSE 'gone' END WHERE id = ?",
        (id,),
    )


# For the Stock pages ------------------------------------------------------------------------------------------------


def remembered_colours(db: sqlite3.Connection) -> dict[int, list[str]]:
    """Return the colours of drawings that are cut from each stock, by stock."""
    return read_groups(db, "SELECT stock, colour FROM colour ORDER BY colour")


def forget_colour(db: sqlite3.Connection, colour: str) -> None:
    """Forget which stock a colour is cut from."""
    db.execute("DELETE FROM colour WHERE colour = ?", (colour,))


def set_bought(db: sqlite3.Connection, id: int) -> None:
    """Keep that a blank that a sheet was planned on has come in."""
    update(db, "blank", id, is_bought=True)


def booked_for(db: sqlite3.Connection) -> dict[int, sqlite3.Row]:
    """Return the sheet (`number`, `code`, `state`) that each booked blank is for, by blank."""
    rows = db.execute(
        """SELECT s.blank, s.number, s.code, s.state FROM sheet s JOIN blank b ON b.id = s.blank
           WHERE b.state = 'booked' AND s.state IN ('planned', 'cutting', 'off the table')"""
    )
    return {row["blank"]: row for row in rows}
