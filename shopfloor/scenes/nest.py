"""A nest as a scene: the pieces on their sheet, how each is held, their numbers, zones and dimensions.

Owns how the ways of holding and the verdicts are drawn, on a screen and on paper alike. Lengths are mm on the sheet, y up
from its lower left corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import shapely
from shapely import Polygon

from ..domain.holding.holding import NEEDS_MORE, WITH_ONION_SKIN
from ..domain.outlines import Outline, Point
from ..domain.routing.setup_sheets import SetupSheet, TabOnSheet
from ..wording import paper as wording
from . import numbers
from .numbers import Ground, Numbered
from .scene import (
    HEAVIER,
    HEAVY,
    Bounds,
    DimensionLine,
    HoldMark,
    Line,
    Number,
    OnionSkin,
    Scene,
    Shape,
    Surface,
    Tab,
    Tape,
    screen,
    sheet_of_paper,
    simple,
)
from .ticks import ticks_of

# the looser the vacuum holds a piece, the heavier its line
WEIGHTS = {WITH_ONION_SKIN: HEAVY, NEEDS_MORE: HEAVIER}
# of the piece's shorter side: how wide a strip of tape is, where the two lie
STRIP_SHARE, STRIPS_AT = 0.16, (0.3, 0.7)
# ways of holding whose marks reach into the piece; a number interrupts the hatch of tape
MARKED = {"skin", "tabs"}
# of a piece that its second line leaves on paper, else it would be a blot
LEAST_INSIDE = {"skin": 0.12, "tape": 0.4}
INSETS = (0.45, 1.0)  # mm on paper within the outline that its line takes, and a mark
# mm on paper that numbers keep from the edge, and from pieces without one
EDGE_ROOM, PLAIN_ROOM = 0.6, 0.45


@dataclass(frozen=True)
class NestedPiece:
    """A piece on the sheet. `hold_down` is 'full', 'skin', 'tabs', 'tape' or '' where that is not shown.

    `number` is what it is called on the drawing, `tail` is smaller and under it.
    """

    shape: Shape
    hold_down: str = ""
    tabs: tuple[TabOnSheet, ...] = ()
    number: str = ""
    tail: str = ""


@dataclass(frozen=True)
class Nest:
    """A sheet with its pieces. `used_mm` is measured along the sheet's 'length' or 'width'; the table has `zone_grid` zones along
    and across, which cover `zones_mm`."""

    length_mm: float
    width_mm: float
    along: str
    used_mm: float
    pieces: tuple[NestedPiece, ...]
    tab_length_mm: float = 0.0
    margin_mm: float = 0.0
    zone_grid: tuple[int, int] = (1, 1)
    zones_mm: tuple[float, float] = (0.0, 0.0)
    dimensions: tuple[DimensionLine, ...] = ()

    @property
    def bounds(self) -> Bounds:
        """The whole sheet."""
        return 0.0, 0.0, self.length_mm, self.width_mm

    @property
    def used_line(self) -> Line:
        """Where the sheet is sawn."""
        if self.along == "length":
            return Line("used", (self.used_mm, 0.0), (self.used_mm, self.width_mm))
        return Line("used", (0.0, self.used_mm), (self.length_mm, self.used_mm))


def of_setup_sheet(sheet: SetupSheet) -> Nest:
    """The nest of a setup sheet, its pieces numbered in cutting order over the last figures of their codes."""
    used, length, width = sheet.used_mm, sheet.length_mm, sheet.width_mm
    axis = "x" if sheet.along == "length" else "y"
    return Nest(
        length,
        width,
        sheet.along,
        used,
        tuple(
            NestedPiece(
                Shape(
                    piece.code,
                    piece.order,
                    piece.name,
                    piece.outline,
                    weight=weight_of(piece.verdict),
                ),
                piece.way,
                piece.tabs,
                str(piece.order),
                piece.code[-4:],
            )
            for piece in sheet.pieces
        ),
        sheet.tab_length_mm,
        sheet.margin_mm,
        sheet.zone_grid,
        sheet.zones_mm,
        (
            DimensionLine("used", axis, 0.0, used, wording.used(used)),
            DimensionLine("whole", "x", 0.0, length, wording.length(length)),
            DimensionLine("whole", "y", 0.0, width, wording.length(width)),
        ),
    )


def on_screen(nest: Nest, unit_mm: float) -> Scene:
    """The nest for a screen whose pixel shows `unit_mm`: each number is on its piece."""
    surface, shapes = screen(unit_mm), [piece.shape for piece in nest.pieces]
    numbered = [
        numbers.on_piece(piece.number, piece.shape.outline, unit_mm)
        for piece in nest.pieces
        if piece.number
    ]
    scene = _scene(nest, surface, shapes, nest.pieces, numbered)
    return replace(scene, ticks=tuple(ticks_of(shapes, unit_mm)))


def on_paper(
    nest: Nest,
    unit_mm: float,
    *,
    is_turned: bool = False,
    area: Bounds | None = None,
    is_named: Callable[[NestedPiece], bool] = lambda piece: True,
    least_pt: float = numbers.LEAST_SIZE,
) -> Scene:
    """The nest, or an area of it, for paper at a scale of 1 : `unit_mm`.

    Pieces that are not named are drawn plain: another drawing has their marks and numbers. Numbers are of at least
    `least_pt` points where there is room.
    """
    surface = sheet_of_paper(unit_mm, is_turned=is_turned)
    left, bottom, right, top = area = area or nest.bounds
    room, edge = EDGE_ROOM * unit_mm, shapely.box(*area)
    ground = Ground((left + room, bottom + room, right - room, top - room), surface)
    for line in (nest.used_line, *_margin(nest)):
        ground.take_line(line.start, line.end)
    shapes, named, numbered = [], [], []
    for piece in nest.pieces:
        outline = simple(piece.shape.outline, surface.tolerance * unit_mm).polygon
        if not outline.intersects(edge):
            continue
        if is_named(piece):
            named.append(piece)
            inset = INSETS[piece.hold_down in MARKED] * unit_mm
            numbered.append(Numbered(piece.number, piece.tail, _seen(outline, edge), inset))
            shapes.append(piece.shape)
        else:
            shapes.append(replace(piece.shape, is_plain=True))
            ground.take_shape(outline.buffer(PLAIN_ROOM * unit_mm))
    shapes.sort(
        key=lambda shape: -shape.outline.area_mm2
    )  # a piece in the hole of another lies on it
    scene = _scene(nest, surface, shapes, named, numbers.placed(numbered, ground, least_pt))
    corners = _zone_corners(nest, is_turned=is_turned)
    return replace(scene, zone_numbers=tuple(numbers.zone_numbers(corners, ground)))


def _scene(
    nest: Nest,
    surface: Surface,
    shapes: Sequence[Shape],
    named: Sequence[NestedPiece],
    placed: Sequence[Number],
) -> Scene:
    return Scene(
        nest.length_mm,
        nest.width_mm,
        tuple(shapes),
        holds=tuple(
            mark for piece in named for mark in hold_marks(piece, nest.tab_length_mm, surface)
        ),
        numbers=tuple(placed),
        lines=(*_zone_lines(nest), *_margin(nest), nest.used_line),
        dimensions=nest.dimensions,
    )


def _seen(shape: Polygon, edge: Polygon) -> Polygon:
    """The largest area of a piece that lies within the edge."""
    if edge.contains(shape):
        return shape
    return max(shapely.get_parts(shape.intersection(edge)), key=lambda part: float(part.area))


# How a piece is held. ---------------------------------------------------------------------------


def weight_of(verdict: str) -> str:
    """How heavy the line of a piece is, by what the vacuum alone does to it."""
    return WEIGHTS.get(verdict, "")


def hold_marks(piece: NestedPiece, tab_mm: float, surface: Surface) -> Iterator[HoldMark]:
    """The marks of how a piece is held: none where the vacuum holds it in a full pass.

    What lies on tape is freed by a skin pass too, so it has both marks.
    """
    outline, way = piece.shape.outline, piece.hold_down
    if way in LEAST_INSIDE and (areas := onion_skin(outline, way, surface)):
        yield OnionSkin(areas)
    if way == "tape":
        yield Tape(tape(outline, surface))
    length = max(tab_mm, surface.least_tab * surface.unit_mm)
    side = min(outline.width_mm, outline.height_mm)
    for tab in piece.tabs:
        yield Tab(tab.x_mm, tab.y_mm, tab.angle_deg, length, side)


@lru_cache(maxsize=4096)
def onion_skin(outline: Outline, way: str, surface: Surface) -> tuple[Outline, ...]:
    """The second line inside an outline. Where that is too thin: on paper outside a 'skin' piece, elsewhere none."""
    unit, least = surface.unit_mm, LEAST_INSIDE[way] if surface.outset else 0.0
    for inset in surface.insets:
        shape = simple(outline, inset * unit / 8).polygon
        areas = _areas(shape.buffer(-inset * unit, quad_segs=4), (inset * unit) ** 2)
        if areas and sum(area.area_mm2 for area in areas) >= least * shape.area:
            return areas
    if not surface.outset or way == "tape":
        return ()
    shape = simple(outline, surface.tolerance * unit).polygon
    return _areas(shape.buffer(surface.outset * unit, join_style="mitre"), 0.0)


@lru_cache(maxsize=4096)
def tape(outline: Outline, surface: Surface) -> tuple[Outline, ...]:
    """Two strips along the piece's longer side, clipped to the piece."""
    left, bottom, right, top = outline.bounds
    shape = simple(outline, surface.tolerance * surface.unit_mm * 2.5).polygon
    wide, high = right - left, top - bottom
    half = min(STRIP_SHARE * min(wide, high), surface.widest_tape * surface.unit_mm) / 2
    if wide >= high:
        middles = [bottom + share * high for share in STRIPS_AT]
        strips = [shapely.box(left, y - half, right, y + half) for y in middles]
    else:
        middles = [left + share * wide for share in STRIPS_AT]
        strips = [shapely.box(x - half, bottom, x + half, top) for x in middles]
    return tuple(area for strip in strips for area in _areas(shape.intersection(strip), 0.0))


def _areas(shape: shapely.Geometry, least_mm2: float) -> tuple[Outline, ...]:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return tuple(Outline.of_polygon(part) for part in parts if part.area > least_mm2)


# The sheet and the table under it. --------------------------------------------------------------


def _margin(nest: Nest) -> tuple[Line, ...]:
    """The four sides of the margin; none where the sheet has none."""
    inset, right, top = (
        nest.margin_mm,
        nest.length_mm - nest.margin_mm,
        nest.width_mm - nest.margin_mm,
    )
    if not inset:
        return ()
    corners: list[Point] = [(inset, inset), (right, inset), (right, top), (inset, top)]
    ends = [*corners[1:], corners[0]]
    return tuple(Line("margin", start, end) for start, end in zip(corners, ends, strict=True))


def _zone_steps(nest: Nest) -> tuple[tuple[float, int], tuple[float, int]]:
    """For x, then y: how large a zone is in mm, and how many there are."""
    (across, up), (wide, high) = nest.zone_grid, nest.zones_mm
    return (wide / max(across, 1), across), (high / max(up, 1), up)


def _zone_lines(nest: Nest) -> Iterator[Line]:
    """The borders of zones under the sheet."""
    (wide, across), (high, up) = _zone_steps(nest)
    for x in (wide * n for n in range(1, across)):
        if x < nest.length_mm - 1:
            yield Line("zone", (x, 0.0), (x, nest.width_mm))
    for y in (high * n for n in range(1, up)):
        if y < nest.width_mm - 1:
            yield Line("zone", (0.0, y), (nest.length_mm, y))


def _zone_corners(nest: Nest, *, is_turned: bool) -> list[tuple[int, Point]]:
    """Each zone under the sheet with its corner at the lower left as the surface is read; none where there is one zone."""
    (wide, across), (high, up) = _zone_steps(nest)
    if across * up <= 1:
        return []
    zones = ((n + 1, n % across * wide, n // across * high) for n in range(across * up))
    return [
        (zone, (x, min(y + high, nest.width_mm) if is_turned else y))
        for zone, x, y in zones
        if x < nest.length_mm - 1 and y < nest.width_mm - 1
    ]
