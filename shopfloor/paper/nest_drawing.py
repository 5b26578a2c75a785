"""The nest of a sheet drawn to scale, as a workshop drawing: in lines only, so that a copy in black says the same.

Owns the scale, and how the ways of holding and the verdicts are drawn. Must not place the pieces' numbers (nest_numbers.py).
On the sheet lengths are mm, y up; on the page mm, y down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import MultiLineString, Polygon
from shapely.geometry import box as rectangle

from ..domain import lengths
from ..domain.holding.holding import HOLDS, NEEDS_MORE, WITH_A_SKIN
from ..domain.routing.setup_sheets import SetupSheet
from .words import FIGURE_HEIGHT, Box, line, set_type

FINE, THIN = 0.13, 0.18  # widths of lines, mm: what a laser printer draws evenly (common practice)
WEIGHTS = {HOLDS: THIN, WITH_A_SKIN: 0.36, NEEDS_MORE: 0.7}
SMALL, LEAST_WEIGHT = (
    7.0,
    0.55,
)  # a piece of fewer mm on paper has lighter lines, else it would be all line
ACRYLIC, PAPER, FAINT = 240, 255, 150  # greys: a piece, what is no piece, what is only looked for
SHOWN = 0.03  # mm on paper: no corner nearer to its chord than this is printed
DIMENSION = 4.6  # mm of paper that one row of dimensions takes
DIMENSION_PT = 7.5
LEAST_TAB, TAB_ACROSS = 0.7, 1.8  # mm on paper


@dataclass(frozen=True)
class View:
    """Where the sheet lies on the page: `scale` mm of it are 1 mm of paper, (left, bottom) is its lower left corner.

    `is_turned`: it lies a quarter to the left, its length up the page and its width from right to left.
    """

    scale: float
    left: float
    bottom: float
    is_turned: bool = False

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place of the sheet on the page."""
        across, up = (-y, x) if self.is_turned else (x, y)
        return self.left + across / self.scale, self.bottom - up / self.scale

    def points(self, points: np.ndarray) -> np.ndarray:
        """Points of the sheet on the page."""
        return np.column_stack(self.at(points[:, 0], points[:, 1]))

    def box(self, left: float, bottom: float, right: float, top: float) -> Box:
        """A rectangle of the sheet on the page."""
        (x1, y1), (x2, y2) = self.at(left, bottom), self.at(right, top)
        return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))

    @property
    def said(self) -> str:
        """'1 : 9.4'"""
        return f"1 : {self.scale:g}"


@dataclass(frozen=True)
class DrawnPiece:
    """A piece as it is drawn. `shape` in mm on the page; `tabs` are (x, y, degrees counter-clockwise), `tab_mm` their length
    on the page. `is_sample`: of the legend, with lines of full weight however small it is."""

    shape: Polygon
    way: str
    verdict: str
    tabs: tuple[tuple[float, float, float], ...] = ()
    tab_mm: float = 0.0
    is_sample: bool = False


def view_of(setup_sheet: SetupSheet, box: Box) -> View:
    """The largest whole tenth of a scale, at most full size, at which the sheet and its dimensions fit the box; centred."""
    left, below = _rooms(setup_sheet)
    least = max(setup_sheet.length_mm / (box.w - left), setup_sheet.width_mm / (box.h - below))
    scale = stated(least)
    spare_x = box.w - left - setup_sheet.length_mm / scale
    spare_y = box.h - below - setup_sheet.width_mm / scale
    return View(scale, box.x + left + spare_x / 2, box.bottom - below - spare_y / 2)


def stated(least: float) -> float:
    """The scale that is printed where at least `least` mm of the sheet go to 1 mm of paper: a tenth, at most full size."""
    return max(1.0, math.ceil(least * 10 - 1e-9) / 10)


def _rooms(setup_sheet: SetupSheet) -> tuple[float, float]:
    """mm of paper left of the sheet and below it that its dimensions take."""
    is_along = setup_sheet.along == "length"
    return DIMENSION * (1 if is_along else 2), DIMENSION * (2 if is_along else 1)


def drawn_pieces(setup_sheet: SetupSheet, view: View) -> list[DrawnPiece]:
    """The pieces on the page, with no more corners than the print shows, in the ticket's order."""
    shapes = shapely.simplify(
        [piece.outline.polygon for piece in setup_sheet.pieces], SHOWN * view.scale
    )
    shapes = shapely.transform(shapes, view.points)
    tab_mm = max(setup_sheet.tab_length_mm / view.scale, LEAST_TAB)
    turn = 90 if view.is_turned else 0
    return [
        DrawnPiece(
            shape if shape.is_valid else shape.convex_hull,
            piece.way,
            piece.verdict,
            tuple((*view.at(tab.x_mm, tab.y_mm), tab.angle_deg + turn) for tab in piece.tabs),
            tab_mm,
        )
        for piece, shape in zip(setup_sheet.pieces, shapes, strict=True)
    ]


def draw_blank(pdf: FPDF, setup_sheet: SetupSheet, view: View) -> None:
    """The sheet's edge, its margin dashed, and the table's zones faintly under it."""
    _draw_zones(pdf, setup_sheet, view)
    margin = setup_sheet.margin_mm
    pdf.set_draw_color(0)
    pdf.set_line_width(FINE)
    pdf.set_dash_pattern(2.0, 1.2)
    pdf.rect(
        *view.box(margin, margin, setup_sheet.length_mm - margin, setup_sheet.width_mm - margin)
    )
    pdf.set_dash_pattern()
    pdf.set_line_width(0.5)
    pdf.rect(*view.box(0, 0, setup_sheet.length_mm, setup_sheet.width_mm))


def margin_lines(setup_sheet: SetupSheet, view: View) -> list[tuple[float, float, float, float]]:
    """The four sides of the margin on the page."""
    left, right = setup_sheet.margin_mm, setup_sheet.length_mm - setup_sheet.margin_mm
    bottom, top = setup_sheet.margin_mm, setup_sheet.width_mm - setup_sheet.margin_mm
    corners = [(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)]
    return [(*view.at(*one), *view.at(*other)) for one, other in pairwise(corners)]


def _draw_zones(pdf: FPDF, setup_sheet: SetupSheet, view: View) -> None:
    pdf.set_draw_color(FAINT)
    pdf.set_line_width(FINE)
    pdf.set_dash_pattern(0.4, 0.8)
    for step, count, most, is_x in zone_steps(setup_sheet):
        for mm in (step * n for n in range(1, count)):
            if mm < most - 1:
                ends = (
                    ((mm, 0), (mm, setup_sheet.width_mm))
                    if is_x
                    else ((0, mm), (setup_sheet.length_mm, mm))
                )
                pdf.line(*view.at(*ends[0]), *view.at(*ends[1]))
    pdf.set_dash_pattern()


def zone_corners(setup_sheet: SetupSheet, view: View) -> list[tuple[str, float, float]]:
    """Each zone under the sheet with that place on the page at which its lower left corner is as the page is read; none
    where the table is one zone."""
    (wide, across, most_x, _), (high, up, most_y, _) = zone_steps(setup_sheet)
    if across * up <= 1:
        return []
    zones = ((n + 1, n % across * wide, n // across * high) for n in range(across * up))
    boxes = [
        (str(zone), view.box(x, y, min(x + wide, most_x), min(y + high, most_y)))
        for zone, x, y in zones
        if x < most_x - 1 and y < most_y - 1
    ]
    return [(said, box.x, box.bottom) for said, box in boxes]


def zone_steps(setup_sheet: SetupSheet) -> list[tuple[float, int, float, bool]]:
    """For x, then y: how large a zone is in mm, how many there are, how far the sheet reaches, and whether it is x."""
    (across, up), (wide, high) = setup_sheet.zone_grid, setup_sheet.zones_mm
    return [
        (wide / max(across, 1), across, setup_sheet.length_mm, True),
        (high / max(up, 1), up, setup_sheet.width_mm, False),
    ]


def draw_used_line(pdf: FPDF, setup_sheet: SetupSheet, view: View) -> None:
    """The line to which the sheet is used, in long dashes."""
    pdf.set_draw_color(0)
    pdf.set_line_width(0.35)
    pdf.set_dash_pattern(4.0, 1.0)
    pdf.line(*used_line(setup_sheet, view))
    pdf.set_dash_pattern()


# One piece. -----------------------------------------------------------------------------------------------------------


def draw_piece(pdf: FPDF, piece: DrawnPiece, spared: Box | None = None) -> None:
    """Its outline by the verdict's weight, and the sign of how it is held; nothing is hatched within `spared`."""
    pdf.set_draw_color(0)
    weight = weight_of(piece)
    pdf.set_line_width(weight)
    for number, ring in enumerate((piece.shape.exterior, *piece.shape.interiors)):
        pdf.set_fill_color(
            PAPER if number else ACRYLIC
        )  # holes go over the piece: far quicker than one compound path
        pdf.polygon(ring.coords[:-1], style=RenderStyle.DF)
    pdf.set_fill_color(0)
    pdf.set_line_width(FINE)
    if piece.way == "skin":
        for ring in shapely.get_parts(second_contour(piece.shape, weight)):
            pdf.polygon(ring.coords[:-1])
    if piece.way == "tape":
        _draw_tape(pdf, piece.shape, spared)
    for x, y, angle in piece.tabs:
        _draw_tab(pdf, (x, y), angle, piece.tab_mm, TAB_ACROSS * _share(piece))


def draw_plain(pdf: FPDF, shape: Polygon) -> None:
    """A piece of which another page says more: its outline alone, fine and not filled as those are that bear their marks."""
    pdf.set_draw_color(0)
    pdf.set_line_width(FINE)
    for ring in (shape.exterior, *shape.interiors):
        pdf.polygon(ring.coords[:-1])


def weight_of(piece: DrawnPiece) -> float:
    """The width of the outline in mm: the heavier, the less the vacuum alone holds the piece."""
    return max(THIN, WEIGHTS.get(piece.verdict, THIN) * _share(piece))


def _share(piece: DrawnPiece) -> float:
    if piece.is_sample:
        return 1.0
    left, top, right, bottom = piece.shape.bounds
    return min(1.0, max(LEAST_WEIGHT, min(right - left, bottom - top) / SMALL))


def second_contour(shape: Polygon, weight: float) -> MultiLineString:
    """The contour drawn inside a piece that keeps a skin; outside it where the piece is too thin to show one."""
    for gap in (0.55, 0.4):
        inner = shape.buffer(-gap - weight / 2)
        if inner.area > 0.12 * shape.area:
            break
    else:
        inner = shape.buffer(0.4 + weight / 2, join_style="mitre")
    inner = inner.simplify(SHOWN)
    parts = [part for part in shapely.get_parts(inner) if part.area > 0.05]
    return MultiLineString([ring for part in parts for ring in (part.exterior, *part.interiors)])


def _draw_tape(pdf: FPDF, shape: Polygon, spared: Box | None) -> None:
    """Two strips along the longer side of the piece, hatched."""
    lines = shapely.intersection(MultiLineString(_tape_lines(shape.bounds)), shape)
    if spared:
        lines = shapely.difference(
            lines, rectangle(spared.x, spared.y, spared.right, spared.bottom)
        )
    for part in shapely.get_parts(lines):
        if part.geom_type == "LineString" and not part.is_empty:
            pdf.line(*part.coords[0], *part.coords[-1])


def _tape_lines(
    bounds: tuple[float, float, float, float],
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    left, top, right, bottom = bounds
    is_wide = right - left >= bottom - top
    (start, end), (near, far) = (
        ((left, right), (top, bottom)) if is_wide else ((top, bottom), (left, right))
    )
    wide = min(0.22 * (far - near), 3.0)
    lines = []
    for middle in (near + 0.25 * (far - near), near + 0.75 * (far - near)):
        one, other = middle - wide / 2, middle + wide / 2
        lines += [((start, one), (end, one)), ((start, other), (end, other))]
        step = max(0.5, wide / 3)
        count = int((end - start + wide) / step) + 1
        lines += [
            ((start - wide + n * step, one), (start + n * step, other)) for n in range(1, count)
        ]
    return lines if is_wide else [((b, a), (d, c)) for (a, b), (c, d) in lines]


def _draw_tab(
    pdf: FPDF, middle: tuple[float, float], angle: float, length: float, across: float
) -> None:
    """A bar across the outline, as long as the tab is along it."""
    x, y = middle
    c, s = math.cos(math.radians(angle)), -math.sin(math.radians(angle))
    half, out = length / 2, across / 2
    corners = [(-half, -out), (half, -out), (half, out), (-half, out)]
    pdf.set_fill_color(0)
    pdf.polygon([(x + u * c - v * s, y + u * s + v * c) for u, v in corners], style=RenderStyle.F)


# Dimensions. ----------------------------------------------------------------------------------------------------------


def draw_dimensions(pdf: FPDF, setup_sheet: SetupSheet, view: View, units: str) -> None:
    """Dimensions of the used length and of the sheet, which is not turned. `units` 'mm' or 'in'."""
    is_along = setup_sheet.along == "length"
    used = f"used {lengths.show(setup_sheet.used_mm, units)}"
    whole = lengths.show(setup_sheet.length_mm, units), lengths.show(setup_sheet.width_mm, units)
    pdf.set_draw_color(0)
    below = (
        [(setup_sheet.used_mm, used), (setup_sheet.length_mm, whole[0])]
        if is_along
        else [(setup_sheet.length_mm, whole[0])]
    )
    beside = (
        [(setup_sheet.width_mm, whole[1])]
        if is_along
        else [(setup_sheet.used_mm, used), (setup_sheet.width_mm, whole[1])]
    )
    _draw_row(pdf, (view.left, view.bottom), [(mm / view.scale, said) for mm, said in below])
    with pdf.rotation(90, view.left, view.bottom):
        # turned by a quarter, the sheet's left edge is the page's foot: what was left of it is above
        _draw_row(
            pdf,
            (view.left, view.bottom),
            [(mm / view.scale, said) for mm, said in beside],
            is_above=True,
        )


def used_line(setup_sheet: SetupSheet, view: View) -> tuple[float, float, float, float]:
    """From where to where the line of the used length runs on the page."""
    used = setup_sheet.used_mm
    if setup_sheet.along == "length":
        return *view.at(used, 0), *view.at(used, setup_sheet.width_mm)
    return *view.at(0, used), *view.at(setup_sheet.length_mm, used)


def _draw_row(
    pdf: FPDF,
    corner: tuple[float, float],
    spans: Sequence[tuple[float, str]],
    *,
    is_above: bool = False,
) -> None:
    """Dimension lines from a corner to the right, one row each, away from the sheet."""
    x, y = corner
    out = -1 if is_above else 1
    pdf.set_line_width(FINE)
    for row, (length, said) in enumerate(spans, 1):
        at = y + out * (DIMENSION * row - 1.6)
        pdf.line(x, at, x + length, at)
        for end in (x, x + length):
            pdf.line(end, y + out * 0.8, end, at + out * 0.8)
            pdf.line(end - 0.7, at + 0.7, end + 0.7, at - 0.7)
        _draw_on_line(pdf, Box(x, at, length, 0), said)


def _draw_on_line(pdf: FPDF, span: Box, said: str) -> None:
    """The figure on the middle of a dimension line that is broken for it; past its end where the line is too short."""
    set_type(pdf, DIMENSION_PT)
    wide, high = pdf.get_string_width(said) + 1.6, FIGURE_HEIGHT * pdf.font_size
    left = span.x + (span.w - wide) / 2 if wide < span.w - 2 else span.right + 1.2
    pdf.set_fill_color(PAPER)
    pdf.rect(left, span.y - high / 2 - 0.3, wide, high + 0.6, style=RenderStyle.F)
    pdf.set_fill_color(0)
    top = span.y + high / 2 - 0.80 * pdf.font_size  # the figures' middle on the line
    line(pdf, Box(left + 0.8, top, wide, 4), said, DIMENSION_PT)
