"""Scenes as PDF: in lines and greys only, so that a copy in black says the same.

Owns the scale at which a scene lies on the page, and the weight and dash of its lines. Must not know what the scene shows.
On the scene lengths are mm, y up; on the page mm, y down.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import MultiLineString, Polygon

from ..domain.outlines import Outline, Point
from ..scenes.numbers import TAIL_SHARE
from ..scenes.scene import (
    FIGURE_HEIGHT,
    HEAVIER,
    HEAVY,
    POINT,
    Bounds,
    DimensionLine,
    Number,
    OnionSkin,
    Scene,
    Shape,
    Tab,
    Tape,
    sheet_of_paper,
    simple,
)
from ..wording.formatting import Reader
from ..wording.message import text
from .words import Box, centred, set_type

FINE, THIN = 0.13, 0.18  # widths of lines, mm: what a laser printer draws evenly (common practice)
WEIGHTS = {"": THIN, HEAVY: 0.36, HEAVIER: 0.7}
# a shape of fewer mm on paper has lighter lines, else it would be all line
SMALL, LEAST_SHARE = 7.0, 0.55
# greys of the levels by turns, so that a part differs from what it lies on
TONES, PAPER = (238, 255), 255
FAINT, GREY = 150, 110  # greys of what is only looked for, and of zones' numbers
LINES = {  # kind: (grey, width in mm, (dash, gap))
    "zone": (FAINT, FINE, (0.4, 0.8)),
    "margin": (0, FINE, (2.0, 1.2)),
    "used": (0, 0.35, (4.0, 1.0)),
}
EDGE = 0.5  # width of the sheet's edge, mm
TAB_ACROSS = 1.8  # mm on paper
DIMENSION = 4.6  # mm of paper that one row of dimensions takes
DIMENSION_PT = 7.5


@dataclass(frozen=True)
class View:
    """Where a scene lies on the page: `scale` mm of it are 1 mm of paper, (left, bottom) is its lower left corner.

    `is_turned`: it lies a quarter to the left, its width from right to left and its length up the page.
    """

    scale: float
    left: float
    bottom: float
    is_turned: bool = False

    def at(self, x: float, y: float) -> Point:
        """A place of the scene on the page."""
        across, up = (-y, x) if self.is_turned else (x, y)
        return self.left + across / self.scale, self.bottom - up / self.scale

    def box(self, bounds: Bounds) -> Box:
        """A rectangle of the scene on the page."""
        (x1, y1), (x2, y2) = self.at(*bounds[:2]), self.at(*bounds[2:])
        return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))

    def on_page(self, outlines: Sequence[Outline]) -> list[Polygon]:
        """Outlines on the page, with no more corners than the print shows."""
        tolerance = sheet_of_paper(self.scale).tolerance * self.scale
        polygons = [simple(outline, tolerance).polygon for outline in outlines]
        shapes = shapely.transform(polygons, self.at, interleaved=False) if polygons else []
        return [shape if shape.is_valid else shape.convex_hull for shape in shapes]

    def bounds(self, box: Box) -> Bounds:
        """What a box of the page is of a scene that is not turned."""
        left, right = ((x - self.left) * self.scale for x in (box.x, box.right))
        bottom, top = ((self.bottom - y) * self.scale for y in (box.bottom, box.y))
        return left, bottom, right, top

    @property
    def as_ratio(self) -> str:
        """'1 : 9.4'"""
        return f"1 : {self.scale:g}"


def stated(least: float) -> float:
    """The scale that is printed where at least `least` mm go to 1 mm of paper: a whole tenth, at most full size."""
    return max(1.0, math.ceil(least * 10 - 1e-9) / 10)


def fitted_view(width_mm: float, height_mm: float, box: Box) -> View:
    """The largest whole tenth of a scale, at most full size, at which a thing fits the box; at its top, in the middle."""
    scale = stated(max(width_mm / box.w, height_mm / box.h))
    return View(scale, box.x + (box.w - width_mm / scale) / 2, box.y + height_mm / scale)


def points_of_type(number: Number, view: View) -> float:
    """The size of a number on the page."""
    return round(number.size / view.scale / POINT, 4)


def draw_scene(pdf: FPDF, scene: Scene, view: View, area: Box | None = None) -> None:
    """Draw a scene without its dimensions; nothing outside the `area` but numbers."""
    if area is None:
        _draw_shapes(pdf, scene, view)
    else:
        with pdf.rect_clip(*area.inside(-0.25, -0.25)):
            _draw_lines(pdf, scene, view, ("zone", "margin"))
            pdf.set_line_width(EDGE)
            pdf.rect(*view.box((0, 0, scene.width_mm, scene.height_mm)))
            _draw_shapes(pdf, scene, view)
            _draw_lines(pdf, scene, view, ("used",))
    pdf.set_text_color(GREY)
    for number in scene.zone_numbers:
        centred(pdf, view.box(number.box), number.text, points_of_type(number, view))
    pdf.set_text_color(0)
    for number in scene.numbers:
        _draw_number(pdf, number, view)


def _draw_lines(pdf: FPDF, scene: Scene, view: View, kinds: Sequence[str]) -> None:
    for mark in (mark for mark in scene.lines if mark.kind in kinds):
        grey, width, (dash, gap) = LINES[mark.kind]
        pdf.set_draw_color(grey)
        pdf.set_line_width(width)
        pdf.set_dash_pattern(dash, gap)
        pdf.line(*view.at(*mark.start), *view.at(*mark.end))
    pdf.set_dash_pattern()
    pdf.set_draw_color(0)


# Shapes and how they are held. ------------------------------------------------------------------


def _draw_shapes(pdf: FPDF, scene: Scene, view: View, *, is_sample: bool = False) -> None:
    pdf.set_draw_color(0)
    on_page = view.on_page([shape.outline for shape in scene.shapes])
    for shape, polygon in zip(scene.shapes, on_page, strict=True):
        _draw_shape(pdf, shape, polygon, is_sample=is_sample)
    pdf.set_fill_color(0)
    pdf.set_line_width(FINE)
    for mark in scene.holds:
        match mark:
            case OnionSkin(areas):
                for area in view.on_page(areas):
                    for ring in (area.exterior, *area.interiors):
                        pdf.polygon(ring.coords[:-1])
            case Tape(areas):
                for area in view.on_page(areas):
                    _draw_tape(pdf, area)
            case Tab():
                _draw_tab(pdf, mark, view, 1.0 if is_sample else _share(mark.of_mm / view.scale))


def draw_sample(pdf: FPDF, scene: Scene, view: View) -> None:
    """Draw shapes of a legend: with lines of full weight, however small they are."""
    _draw_shapes(pdf, scene, view, is_sample=True)


def _draw_shape(pdf: FPDF, shape: Shape, polygon: Polygon, *, is_sample: bool) -> None:
    """Its outline; filled unless it is plain. Through a hole one sees the level below, and paper through the lowest."""
    left, top, right, bottom = polygon.bounds
    share = 1.0 if is_sample else _share(min(right - left, bottom - top))
    pdf.set_line_width(FINE if shape.is_plain else max(THIN, WEIGHTS[shape.weight] * share))
    tone, below = TONES[shape.level % 2], TONES[(shape.level - 1) % 2] if shape.level else PAPER
    fill(pdf, polygon, tone, below, RenderStyle.D if shape.is_plain else RenderStyle.DF)


def fill(
    pdf: FPDF, polygon: Polygon, tone: int, below: int, style: RenderStyle = RenderStyle.F
) -> None:
    """Draw an area in a grey, and its holes over it in the grey below: far quicker than one compound path."""
    for number, ring in enumerate((polygon.exterior, *polygon.interiors)):
        pdf.set_fill_color(below if number else tone)
        pdf.polygon(ring.coords[:-1], style=style)


def _share(side: float) -> float:
    """How heavy the lines of a shape are whose shorter side takes so many mm of paper."""
    return min(1.0, max(LEAST_SHARE, side / SMALL))


def _draw_tape(pdf: FPDF, area: Polygon) -> None:
    pdf.polygon(area.exterior.coords[:-1])
    hatches = shapely.intersection(MultiLineString(list(_hatches(area.bounds))), area)
    for part in shapely.get_parts(hatches):
        if part.geom_type == "LineString" and not part.is_empty:
            pdf.line(*part.coords[0], *part.coords[-1])


def _hatches(bounds: Bounds) -> Iterator[tuple[Point, Point]]:
    """Slanting lines over a strip."""
    left, top, right, bottom = bounds
    wide, high = right - left, bottom - top
    step = max(0.5, min(wide, high) / 3)
    for n in range(1, int((wide + high) / step) + 2):
        yield (left + n * step - high, top), (left + n * step, bottom)


def _draw_tab(pdf: FPDF, tab: Tab, view: View, share: float) -> None:
    """A bar across the outline, as long as the tab is along it."""
    turn = math.radians(tab.angle_deg)
    dx, dy = math.cos(turn) * tab.length / 2, math.sin(turn) * tab.length / 2
    (x1, y1), (x2, y2) = view.at(tab.x - dx, tab.y - dy), view.at(tab.x + dx, tab.y + dy)
    out = TAB_ACROSS * share / 2 / math.dist((x1, y1), (x2, y2))
    ox, oy = (y1 - y2) * out, (x2 - x1) * out
    corners = [(x1 + ox, y1 + oy), (x2 + ox, y2 + oy), (x2 - ox, y2 - oy), (x1 - ox, y1 - oy)]
    pdf.polygon(corners, style=RenderStyle.F)


# Numbers. ---------------------------------------------------------------------------------------


def _draw_number(pdf: FPDF, number: Number, view: View) -> None:
    """The number, its tail under it, the line to its piece ending in a dot. No hatch runs through it."""
    box = view.box(number.box)
    pdf.set_draw_color(0)
    pdf.set_line_width(FINE)
    if number.leader:
        start, end = (view.at(*place) for place in number.leader)
        pdf.line(*start, *end)
        pdf.set_fill_color(0)
        pdf.circle(*end, 0.3, style=RenderStyle.F)
    if number.is_bold:
        pdf.set_fill_color(PAPER if number.leader else TONES[0])
        pdf.rect(*box, style=RenderStyle.DF if number.is_tag else RenderStyle.F)
        pdf.set_fill_color(0)
    pt = points_of_type(number, view)
    if not number.tail:
        centred(pdf, box, number.text, pt, is_bold=number.is_bold)
        return
    tail_pt, share = pt * TAIL_SHARE, FIGURE_HEIGHT * POINT
    head = box._replace(y=box.y + 0.2, h=pt * share)
    centred(pdf, head, number.text, pt, is_bold=number.is_bold)
    centred(
        pdf,
        box.inside(0, 0.2).below(box.h - 0.4 - tail_pt * share),
        number.tail,
        tail_pt,
        is_bold=True,
    )


# Dimensions. ------------------------------------------------------------------------------------


def draw_dimensions(pdf: FPDF, scene: Scene, view: View, reader: Reader) -> None:
    """Draw the dimension lines below and beside a scene that is not turned."""
    corner = (view.left, view.bottom)
    for axis in ("x", "y"):
        with pdf.rotation(90 if axis == "y" else 0, *corner):
            # turned by a quarter, the sheet's left edge is the page's foot: what was left of it is above
            mine = [dimension for dimension in scene.dimensions if dimension.axis == axis]
            _draw_rows(pdf, corner, mine, view.scale, reader, out=-1 if axis == "y" else 1)


def rows_of_dimensions(scene_dimensions: Sequence[DimensionLine], axis: str) -> float:
    """mm of paper that the dimensions along an axis take."""
    return DIMENSION * sum(dimension.axis == axis for dimension in scene_dimensions)


def _draw_rows(
    pdf: FPDF,
    corner: Point,
    dimensions: Sequence[DimensionLine],
    scale: float,
    reader: Reader,
    *,
    out: int,
) -> None:
    """Dimension lines from a corner to the right, one row each, away from the sheet."""
    x, y = corner
    pdf.set_line_width(FINE)
    for row, dimension in enumerate(dimensions, 1):
        start, end = x + dimension.start / scale, x + dimension.end / scale
        at = y + out * (DIMENSION * row - 1.6)
        pdf.line(start, at, end, at)
        for tick in (start, end):
            pdf.line(tick, y + out * 0.8, tick, at + out * 0.8)
            pdf.line(tick - 0.7, at + 0.7, tick + 0.7, at - 0.7)
        _draw_on_line(pdf, Box(start, at, end - start, 0), text(dimension.text, reader))


def _draw_on_line(pdf: FPDF, span: Box, figures: str) -> None:
    """The figures on the middle of a dimension line that is broken for them; past its end where the line is too short."""
    set_type(pdf, DIMENSION_PT)
    wide, high = pdf.get_string_width(figures) + 1.6, FIGURE_HEIGHT * pdf.font_size + 0.6
    left = span.x + (span.w - wide) / 2 if wide < span.w - 2 else span.right + 1.2
    ground = Box(left, span.y - high / 2, wide, high)
    pdf.set_fill_color(PAPER)
    pdf.rect(*ground, style=RenderStyle.F)
    pdf.set_fill_color(0)
    centred(pdf, ground, figures, DIMENSION_PT)
