"""The list of a sheet's pieces: grouped by how they are held, each group in cutting order, in columns side by side.

Owns the rows and their columns. Must not know on which page it is. Lengths are mm on the page, y down.
"""

from __future__ import annotations

from collections.abc import Sequence

from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain.routing.setup_sheets import PieceOnSheet
from ..wording import formatting
from ..wording import paper as wording
from ..wording.holding import hold_down
from ..wording.message import text
from .words import Box, line

Row = tuple[str, ...]
ROW, PT, HEAD_PT = 4.5, 8.5, 6.8
COLUMN = 124.0  # mm that one column needs at least
GAP = 6.0
# Column and share of the width.
CELLS = {
    "number": 0.08,
    "code": 0.175,
    "piece": 0.265,
    "sign": 0.17,
    "held": 0.12,
    "safety": 0.1,
    "tabs": 0.09,
}
BOLD = ("number", "code")
HAND_WORK_FIRST = ("tape", "tabs", "skin", "full")
MOST_SAFETY = 99


def rows_of(pieces: Sequence[PieceOnSheet]) -> list[Row]:
    """A row for each piece, in cutting order; its hold-down safety factor with two figures."""
    return [_row(piece) for piece in sorted(pieces, key=lambda piece: piece.order)]


def _row(piece: PieceOnSheet) -> Row:
    factor = piece.margin
    safety = (
        f"{factor:#.2g}".rstrip(".")
        if factor < MOST_SAFETY + 0.5
        else text(wording.safety_over(MOST_SAFETY))
    )
    return (
        str(piece.order),
        formatting.code(piece.code),
        text(piece.name),
        text(piece.sign),
        text(hold_down(piece.way)),
        safety,
        str(len(piece.tabs) or "–"),
    )


def grouped(pieces: Sequence[PieceOnSheet]) -> list[Row]:
    """All rows; a row of one text begins a group. What is prepared by hand comes first, each group in cutting order."""
    rows: list[Row] = []
    for way in HAND_WORK_FIRST:
        held = rows_of([piece for piece in pieces if piece.way == way])
        if held:
            rows += [(text(wording.group(way, len(held))),), *held]
    return rows


def height(count: int, width: float) -> float:
    """mm that a list of so many rows takes at this width, its captions and a little air included."""
    return (-(-count // _columns(width)) + 1) * ROW + 3


def draw(pdf: FPDF, box: Box, rows: Sequence[Row]) -> list[Row]:
    """Draw as many rows as the box holds, column by column, and return the others."""
    count = _columns(box.w)
    per_column = max(0, min(int(box.h / ROW) - 1, -(-len(rows) // count) + 1))
    wide = (box.w - (count - 1) * GAP) / count
    rest = list(rows)
    for n in range(count):
        taken = rest[:per_column]
        if taken and len(taken[-1]) == 1:
            taken.pop()  # a group's heading is not left alone at the foot
        rest = rest[len(taken) :]
        if taken:
            _draw_column(pdf, Box(box.x + n * (wide + GAP), box.y, wide, box.h), taken)
    return rest


def _columns(width: float) -> int:
    return max(1, int((width + GAP) / (COLUMN + GAP)))


def _draw_column(pdf: FPDF, box: Box, rows: Sequence[Row]) -> None:
    captions = tuple(text(wording.column(name)) for name in CELLS)
    pdf.set_draw_color(0)
    for number, row in enumerate((captions, *rows)):
        strip = box.below(number * ROW)._replace(h=ROW)
        if len(row) == 1:
            pdf.set_fill_color(225)
            pdf.rect(*strip.inside(0, 0.15), style=RenderStyle.F)
            pdf.set_fill_color(0)
        cells = strip.columns(*CELLS.values()) if len(row) > 1 else [strip]
        for at, (words, cell) in enumerate(zip(row, cells, strict=True)):
            is_bold = number > 0 and at < len(BOLD)
            line(pdf, cell.inside(0.8, 0.75), words, PT if number else HEAD_PT, is_bold=is_bold)
        pdf.set_line_width(0.1 if number else 0.35)
        pdf.line(box.x, strip.bottom, box.right, strip.bottom)
