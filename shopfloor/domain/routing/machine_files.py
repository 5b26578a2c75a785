"""What a file for the machine's own software holds: a nest at full size, each kind of line on a layer of its own.

Owns the layers, their greys, the order of the lines and the file's name. Must not write a file: `drawings.writing` does.
Millimetres, sheet coordinates: x along the blank's length, y across, from its lower left corner. The lines are the
pieces' outlines: the machine's own software offsets them by half a cutter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import LineString

from ..holding.holding import HOLD_DOWNS
from ..outlines import PLACES, Outline, Point, Ring

SHEET_EDGE, MARGIN, INSIDE, TABS, CODES = "sheet-edge", "margin", "inside", "tabs", "codes"
OUTSIDE = {way: f"outside-{way}" for way in HOLD_DOWNS}  # outer rings, by how the piece is held

# One layer for each thing that the operator treats alike. The names of the layers never change; the
# greys only differ so that a reader of SVG can sort the lines.
LAYERS = {
    SHEET_EDGE: "#a0a0a0",
    MARGIN: "#8e8e8e",
    INSIDE: "#303030",
    OUTSIDE["full"]: "#3c3c3c",
    OUTSIDE["skin"]: "#484848",
    OUTSIDE["tabs"]: "#545454",
    OUTSIDE["tape"]: "#606060",
    TABS: "#6c6c6c",
    CODES: "#7c7c7c",
}
TAB_MARK_MM = 1.0  # width of the strip that shows a tab
CODE_MM, CODE_SHARE = (
    8.0,
    0.15,
)  # height of a code: at most 8 mm, and 15 % of the piece's longer side


@dataclass(frozen=True)
class Nested:
    """A piece at its place on the sheet. `tabs` are the stretches of its outline that are left uncut; `way` is its
    hold-down ('full', 'skin', 'tabs' or 'tape'), `order` when it is freed."""

    code: str
    name: str
    outline: Outline
    tabs: tuple[tuple[Point, ...], ...]
    way: str
    order: int


@dataclass(frozen=True)
class MachineSheet:
    """One nest on its blank. `title` is 'S-207 nest 2'."""

    title: str
    length_mm: float
    width_mm: float
    margin_mm: float
    pieces: tuple[Nested, ...]


@dataclass(frozen=True)
class Line:
    """One closed line on one layer. `title` says whose it is; the sheet's own have none."""

    layer: str
    points: Ring
    title: str = ""


@dataclass(frozen=True)
class Mark:
    """A piece's code as text, its middle at a point on the piece, on the layer CODES."""

    text: str
    at: Point
    height_mm: float


def lines_of(sheet: MachineSheet) -> Iterator[Line]:
    """Yield all lines: the sheet's edge, its margin, then the pieces in cutting order, each with holes, outer ring, tabs.

    All are closed, since readers of drawings take an open line for a mistake. A tab is a narrow strip along its
    stretch of the outline. A margin that leaves no room is left out. To 0.001 mm.
    """
    yield Line(SHEET_EDGE, _frame(sheet, 0.0))
    if 0 < 2 * sheet.margin_mm < min(sheet.length_mm, sheet.width_mm):
        yield Line(MARGIN, _frame(sheet, sheet.margin_mm))
    for piece in in_order(sheet):
        title = one_line(f"{piece.code} {piece.name}")
        for ring in piece.outline.rings[1:]:
            yield Line(INSIDE, _rounded(ring), title)
        yield Line(OUTSIDE[piece.way], _rounded(piece.outline.rings[0]), title)
        for tab in piece.tabs:
            yield Line(TABS, _strip(tab), title)


def marks_of(sheet: MachineSheet) -> Iterator[Mark]:
    """Yield the codes, each on the piece itself, never in a hole."""
    for piece in in_order(sheet):
        at = shapely.get_coordinates(piece.outline.polygon.representative_point())[0].tolist()
        longer = max(piece.outline.width_mm, piece.outline.height_mm)
        height = round(min(CODE_MM, CODE_SHARE * longer), PLACES)
        yield Mark(one_line(piece.code), (round(at[0], PLACES), round(at[1], PLACES)), height)


def in_order(sheet: MachineSheet) -> list[Nested]:
    """Return the pieces in the order in which they are freed."""
    return sorted(sheet.pieces, key=lambda piece: piece.order)


def file_name(sheet: str, nest_number: int, kind: str, mark: str = "") -> str:
    """Return a name like 'S-207-nest-2-3f2a.dxf': only letters, figures and hyphens, which any machine's software reads.

    `mark` tells this layout with its hold-down from an older one."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", sheet).strip("-") or "sheet"
    return f"{plain}-nest-{nest_number}{'-' if mark else ''}{mark}.{kind}"


def one_line(text: str) -> str:
    """Return the text on one line, without control characters or halves of characters."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _frame(sheet: MachineSheet, inside_mm: float) -> Ring:
    left, right, top = inside_mm, sheet.length_mm - inside_mm, sheet.width_mm - inside_mm
    return _rounded(((left, left), (right, left), (right, top), (left, top)))


def _strip(stretch: tuple[Point, ...]) -> Ring:
    strip = LineString(stretch).buffer(TAB_MARK_MM / 2, cap_style="flat", join_style="mitre")
    return _rounded(shapely.get_coordinates(strip.exterior)[:-1].tolist())


def _rounded(points: Ring) -> Ring:
    return tuple((round(x, PLACES), round(y, PLACES)) for x, y in points)
