"""What a file for the machine's own software holds: a nest at full size, each kind of line on a layer of its own.

Owns the layers, their colours, the order of the lines and the file's name. Must not write a file: `drawings.writing` does.
Millimetres, sheet coordinates: x along the blank's length, y across, from its lower left corner. The lines are those of the
drawing: the offset to the side by half a cutter is given to them by the machine's own software.
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

# One layer for each thing that the operator treats alike, with the colour of its lines.
LAYERS = {
    SHEET_EDGE: "#8c8c8c",
    MARGIN: "#c4b08a",
    INSIDE: "#1f5fa8",
    OUTSIDE["full"]: "#a02c2c",
    OUTSIDE["skin"]: "#b8660e",
    OUTSIDE["tabs"]: "#6a3d9a",
    OUTSIDE["tape"]: "#23756b",
    TABS: "#c2186b",
    CODES: "#4d4d4d",
}
TAB_MARK_MM = 1.0  # width of the strip that shows a tab
CODE_MM, CODE_SHARE = (
    8.0,
    0.15,
)  # height of a code: at most so many mm, and so much of the piece's longer side


@dataclass(frozen=True)
class Nested:
    """A piece at its place on the sheet. `tabs` are the stretches of its outline that stay standing, each from end
    to end with length; `way` is how it is held ('full', 'skin', 'tabs' or 'tape'), `order` when it is freed."""

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
    """All lines: the sheet's edge, its margin, then the pieces in cutting order, of each its holes, outer ring and tabs.

    All are closed: an open one is taken for a mistake by what reads drawings, this project's readers among them. A tab is
    drawn as a narrow strip whose middle is its stretch of the outline. No margin where it leaves no room. To 0.001 mm.
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
    """The codes, each on the piece itself, never in a hole."""
    for piece in in_order(sheet):
        at = shapely.get_coordinates(piece.outline.polygon.representative_point())[0].tolist()
        longer = max(piece.outline.width_mm, piece.outline.height_mm)
        height = round(min(CODE_MM, CODE_SHARE * longer), PLACES)
        yield Mark(one_line(piece.code), (round(at[0], PLACES), round(at[1], PLACES)), height)


def in_order(sheet: MachineSheet) -> list[Nested]:
    """The pieces in the order in which they are freed."""
    return sorted(sheet.pieces, key=lambda piece: piece.order)


def file_name(sheet: str, nest_number: int, kind: str, mark: str = "") -> str:
    """'S-207-nest-2-3f2a.dxf': letters, figures and hyphens alone, since a machine's software may take no others. `mark` tells
    this layout, as it is held, from an older one."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", sheet).strip("-") or "sheet"
    return f"{plain}-nest-{nest_number}{'-' if mark else ''}{mark}.{kind}"


def one_line(text: str) -> str:
    """Text without what no file may hold: line ends, control characters, halves of characters."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _frame(sheet: MachineSheet, inside_mm: float) -> Ring:
    left, right, top = inside_mm, sheet.length_mm - inside_mm, sheet.width_mm - inside_mm
    return _rounded(((left, left), (right, left), (right, top), (left, top)))


def _strip(stretch: tuple[Point, ...]) -> Ring:
    strip = LineString(stretch).buffer(TAB_MARK_MM / 2, cap_style="flat", join_style="mitre")
    return _rounded(shapely.get_coordinates(strip.exterior)[:-1].tolist())


def _rounded(points: Ring) -> Ring:
    return tuple((round(x, PLACES), round(y, PLACES)) for x, y in points)
