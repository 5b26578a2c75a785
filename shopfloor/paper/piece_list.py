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
ROW, PT = 4.5, 8.5
COLUMN = 124.0  # mm that one column needs at least
GAP = 6.0
# Column and share of the width.
CELLS = (
    ("number", 0.08),
    ("code", 0.175),
    ("piece", 0.265),
    ("sign", 0.17),
    ("held", 0.12),
    ("safety", 0.1),
    ("tabs", 0.09),
)
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
    tabs = str(len(piece.tabs)) if piece.tabs else "–"
    code = formatting.code(piece.code)
    return (
        str(piece.order),
        code,
        text(piece.name),
        text(piece.sign),
        text(hold_down(piece.way)),
        safety,
        tabs,
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
    _draw_cells(pdf, box, [text(wording.column(name)) for name, _ in CELLS], 6.8)
    pdf.set_draw_color(0)
    pdf.set_line_width(0.35)
    pdf.line(box.x, box.y + ROW, box.right, box.y + ROW)
    for row in rows:
        box = box.below(ROW)
        if len(row) == 1:
            pdf.set_fill_color(225)
            pdf.rect(box.x, box.y + 0.2, box.w, ROW - 0.3, style=RenderStyle.F)
            pdf.set_fill_color(0)
            line(pdf, box.inside(0.8, 0.8), row[0], PT, is_bold=True)
        else:
            _draw_cells(pdf, box, row, PT)
        pdf.set_line_width(0.1)
        pdf.line(box.x, box.y + ROW, box.right, box.y + ROW)


def _draw_cells(pdf: FPDF, box: Box, texts: Sequence[str], pt: float) -> None:
    for at, (cell, (_, share)) in enumerate(zip(texts, CELLS, strict=True)):
        line(
            pdf,
            Box(box.x + 0.8, box.y + 0.8, box.w * share - 1.6, ROW),
            cell,
            pt,
            is_bold=at < 2 and pt == PT,
        )
        box = box._replace(x=box.x + box.w * share)
