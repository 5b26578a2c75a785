"""Jobs to be cut: a board with letters on it, nested by the plain layout, so that no test waits for the solver."""

from __future__ import annotations

import pytest

from shopfloor import nesting
from shopfloor.actions import jobs
from shopfloor.domain.drawing import DrawnOutline, Drawing
from shopfloor.domain.nests import Nesting, why_left_out
from shopfloor.domain.outlines import Outline
from shopfloor.domain.shelves import shelved_sheets
from shopfloor.domain.signs import Order
from shopfloor.store import sheets, stock

BLUE, CREAM = "#33658a", "#f2e8cf"


def box(x: float, y: float, width: float, height: float) -> Outline:
    return Outline((((x, y), (x + width, y), (x + width, y + height), (x, y + height)),))


def board_with(letters: int) -> Drawing:
    """One board, the letters on it in rows of twenty."""
    rows = -(-letters // 20)
    drawn = [DrawnOutline(box(0, 0, 1200, 80 * rows + 40), BLUE, "board", None, 0)]
    for at in range(letters):
        place = box(20 + 58 * (at % 20), 20 + 80 * (at // 20), 30 + at % 7, 60)
        drawn.append(DrawnOutline(place, CREAM, chr(65 + at % 26), None, at + 1))
    return Drawing(tuple(drawn), 1200, 80 * rows + 40, ())


def on_shelves(items, length_mm, width_mm, rules=None, *, most_sheets=None, progress=None) -> Nesting:
    left_out = {item.key: why for item in items if (why := why_left_out(item, length_mm, width_mm, rules))}
    fitting = [item for item in items if item.key not in left_out]
    return Nesting(tuple(shelved_sheets(fitting, length_mm, width_mm, rules, most_sheets)), tuple(left_out.items()))


class Cutting:
    """A shop with work for the router. `take_in` gives the codes of the sheets that a job's pieces are on."""

    def __init__(self, desk, by):
        self.desk, self.by = desk, by

    def take_in(self, letters=60, due="2026-11-26", customer="Rye & Salt Bakery", *, nest=True, drawing=None):
        read = jobs.ReadDrawing(f"{letters:064d}", "board.svg", b"<svg/>", drawing or board_with(letters))
        proposed = jobs.proposal(self.desk, [read])
        stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
        before = {row.code for row in self.rows()}
        act = jobs.intake if nest else jobs.take_in
        if not nest:
            jobs.keep_drawing(self.desk, read)
        act(self.desk, self.by, proposed, Order(customer, "Fascia", due, stocks=stocks), **self._reads(nest, read))
        return [row.code for row in self.rows() if row.code not in before]

    def _reads(self, nest, read) -> dict:
        return {"reads": [read]} if nest else {}

    def rows(self):
        return sheets.live_rows(self.desk.read())

    def sheet_of(self, colour: str) -> str:
        """The code of the newest live sheet of a colour."""
        return max((r for r in self.rows() if self.stock(r.stock).colour == colour), key=lambda row: row.id).code

    def stock(self, id: int):
        return stock.stock(self.desk.read(), id)

    def on(self, code: str):
        db = self.desk.read()
        return sheets.on_sheet(db, sheets.sheet_by_code(db, code).id)

    def codes(self, code: str) -> list[str]:
        return [piece.code for piece in self.on(code)]

    def states(self, code: str) -> dict[str, str]:
        return {piece.code: piece.state for piece in self.on(code)}

    def count(self, sql: str, *values) -> int:
        return self.desk.read().execute(sql, values).fetchone()[0]

    @property
    def acts(self) -> int:
        return self.count("SELECT count(*) FROM ledger")


@pytest.fixture
def cutting(desk, operator, monkeypatch):
    monkeypatch.setattr(nesting, "nest", on_shelves)
    return Cutting(desk, operator)
