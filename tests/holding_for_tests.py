"""Sheets of plain shapes for the tests of how pieces are held, and what the shop has kept of them.

Imported by its name, as shop_for_tests is. Must not estimate anything itself.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shop_for_tests import BLUE, CREAM, box

from shopfloor.actions import hold_down_advice, nests
from shopfloor.actions import holding as actions
from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.outlines import Outline
from shopfloor.store import holding, ledger, pieces, sheets

# On the usual blower the dots take no tab and get tape, the small squares get tabs, the rest an onion skin.
DOT, SMALL, LETTER, LARGE = (7, 7), (15, 15), (30, 60), (150, 150)
MIXED = [DOT, SMALL, SMALL, SMALL, LETTER, LETTER, LETTER, LARGE]
SQUARES = [(40, 40)] * 20  # held with an onion skin, and soon with tabs where those are lost


def drawing_of(sizes: Sequence[tuple[float, float]], board=(1200.0, 700.0)) -> Drawing:
    """A board, and on it rectangles of these sizes (mm), each named by its size: '15 x 15'."""
    drawn = [DrawnOutline(box(0, 0, *board), BLUE, "board", None, 0)]
    x, y, high = 20.0, 20.0, 0.0
    for order, (wide, tall) in enumerate(sizes, start=1):
        if x + wide > board[0] - 20:
            x, y, high = 20.0, y + high + 15, 0.0
        drawn.append(
            DrawnOutline(box(x, y, wide, tall), CREAM, f"{wide:g} x {tall:g}", None, order)
        )
        x, high = x + wide + 15, max(high, tall)
    return Drawing(tuple(drawn), *board, ())


def disc(radius: float) -> Outline:
    """A round one, so many mm in radius, its box at 0, 0."""
    return Outline.of_polygon(shapely.Point(radius, radius).buffer(radius, quad_segs=32))


def take_in(cutting, sizes, due="2026-11-26") -> str:
    """Takes a board with these rectangles in; the code of the planned sheet that they lie on."""
    cutting.take_in(len(cutting.rows()), due, drawing=drawing_of(sizes))
    return cutting.sheet_of(CREAM)


def kept(shop, sheet: str) -> dict[str, holding.Held]:
    """How the pieces of a sheet's nest in force are held, by their codes."""
    row = of_sheet(shop, sheet)
    codes = {piece.piece: piece.code for piece in sheets.on_sheet(shop.read(), row.id)}
    return {codes[id]: held for id, held in holding.of_nest(shop.read(), row.nest).items()}


def of_sheet(shop, code: str):
    """A sheet as it is now."""
    return sheets.sheet_by_code(shop.read(), code)


def found(shop, code: str) -> dict[str, actions.Choice]:
    """What is found for each piece of a sheet today, by its code."""
    choices = hold_down_advice.choices_today(shop.read(), of_sheet(shop, code), shop.clock().date())
    return {choice.placed.piece.code: choice for choice in choices}


def chance_of(choice: actions.Choice, way: str) -> float:
    """The chance of loss that was worked out for one hold-down of a piece."""
    return next(option.chance.mean for option in choice.advice.options if option.hold_down == way)


def last_entry(shop):
    """The newest row of the ledger."""
    return ledger.entry(shop.read(), ledger.newest(shop.read()))


def nest_again(shop, by, *codes: str) -> list[str]:
    """Nests planned sheets of one stock again, together; the codes of the sheets that came of it."""
    return nests.plan(Caller(shop, by), of_sheet(shop, codes[0]).stock, codes=(), pool=codes).data[
        "sheets"
    ]


def named(cutting, sheet: str, size: tuple[float, float]) -> list[str]:
    """The codes of the rectangles of one size on a sheet."""
    return [piece.code for piece in cutting.on(sheet) if piece.name == f"{size[0]:g} x {size[1]:g}"]


def ways(shop, sheet: str) -> dict[str, str]:
    """The hold-down of each piece of a sheet, by its code."""
    return {code: held.hold_down for code, held in kept(shop, sheet).items()}


def piece(shop, code: str):
    """A piece as it is now."""
    return pieces.by_code(shop.read(), code)


def cut(
    shop, by, sheet: str, lost: Sequence[str] = (), cause: str | None = None, *, minutes=60
) -> None:
    """Cuts a sheet for so long: `lost` go at the router, the rest is good; the sheet is closed."""
    shop.clock.forward(hours=1)
    sheet_actions.start(Caller(shop, by), sheet)
    shop.clock.forward(minutes=minutes)
    sheet_actions.finish(Caller(shop, by), sheet)
    if lost:
        piece_actions.mark(Caller(shop, by), lost, "lost", cause)
    rest = [
        one.code
        for one in pieces.of_sheet(shop.read(), of_sheet(shop, sheet).id)
        if one.state == "nested"
    ]
    sheet_actions.mark_rest_cut(Caller(shop, by), sheet, rest)
