"""Where the pieces' numbers stand on the drawing of a nest: in the piece, or beside it with a line to it.

Owns the search for a free spot, so that no number stands on another, nor on a piece that it does not name. Must not draw
anything but numbers. All lengths are mm on the page, y down; sizes of type are points.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import Polygon
from shapely.geometry import box as rectangle

from .nest_drawing import ACRYLIC, FINE, PAPER, DrawnPiece
from .words import FIGURE_HEIGHT, LINE, POINT, Box, set_type

BOLD_FIGURE = 0.696  # width of a bold figure in shares of the em, from the font's own tables
SIZES = (13.0, 11.0, 9.5, 8.0, 7.0)  # points of a number within its piece, the largest that fits
ZONE_PT = 7.0  # of a zone's number
CODE_SHARE, LEAST_CODE_PT = (
    0.62,
    5.5,
)  # the code's last four figures under the number, where they can be read
CELL = 0.35  # mm: how finely free ground is looked for
FARTHEST = 13.0  # mm that a number stands from its piece at the most
INSETS = {
    "skin": 1.0,
    "tabs": 1.0,
}  # mm within the outline that the sign of the way of holding takes
LEAST_INSET = 0.45
GREY = 110  # of the zones' numbers, so that they are not taken for a piece's


@dataclass(frozen=True)
class Number:
    """A number at its place. `tail` is the code's last four figures or ''; `leader` the line to its piece, if there is one.
    `is_tag`: there was no free spot, so it covers what is under it."""

    said: str
    tail: str
    pt: float
    box: Box
    leader: tuple[float, float, float, float] | None = None
    is_tag: bool = False


class Ground:
    """Which cells of an area of the page are taken."""

    def __init__(self, area: Box):
        self._area = area
        self._taken = np.zeros((int(area.h / CELL) + 1, int(area.w / CELL) + 1), dtype=bool)

    def take_shape(self, shape: Polygon) -> None:
        """Takes what the shape covers, its holes left free."""
        left, top, right, bottom = shape.bounds
        rows, columns = self._cells(Box(left, top, right - left, bottom - top))
        x = self._area.x + (np.arange(columns.start, columns.stop) + 0.5) * CELL
        y = self._area.y + (np.arange(rows.start, rows.stop) + 0.5) * CELL
        shapely.prepare(shape)
        self._taken[rows, columns] |= shapely.contains_xy(shape, *np.meshgrid(x, y))

    def take(self, box: Box) -> None:
        """Takes a rectangle."""
        self._taken[self._cells(box)] = True

    def take_line(self, line: tuple[float, float, float, float]) -> None:
        """Takes the cells along a line."""
        start, end = np.array(line[:2]), np.array(line[2:])
        for share in np.linspace(0, 1, int(np.hypot(*(end - start)) / CELL) + 2):
            self.take(Box(*(start + share * (end - start)), 0, 0))

    def nearest(self, x: float, y: float, size: tuple[float, float], within: float) -> Box | None:
        """The free rectangle of this size whose middle is nearest to a point, at most `within` mm off, or None.

        All spots of the neighbourhood are looked at together, by sums over the cells to the left and above.
        """
        columns, rows = (math.ceil(side / CELL) for side in size)
        reach = Box(
            x - within - size[0] / 2,
            y - within - size[1] / 2,
            2 * within + size[0],
            2 * within + size[1],
        )
        near = self._cells(reach)
        sums = np.pad(self._taken[near].astype(np.int32), ((1, 0), (1, 0))).cumsum(0).cumsum(1)
        if sums.shape[0] <= rows or sums.shape[1] <= columns:
            return None
        taken = (
            sums[rows:, columns:]
            - sums[:-rows, columns:]
            - sums[rows:, :-columns]
            + sums[:-rows, :-columns]
        )
        left = self._area.x + (near[1].start + np.arange(taken.shape[1])) * CELL
        top = self._area.y + (near[0].start + np.arange(taken.shape[0])) * CELL
        off = np.hypot(left[None, :] + size[0] / 2 - x, top[:, None] + size[1] / 2 - y)
        off[taken > 0] = np.inf
        row, column = np.unravel_index(off.argmin(), off.shape)
        return (
            Box(float(left[column]), float(top[row]), *size) if off[row, column] <= within else None
        )

    def _cells(self, box: Box) -> tuple[slice, slice]:
        ends = (
            (box.y - self._area.y, box.bottom - self._area.y),
            (box.x - self._area.x, box.right - self._area.x),
        )
        rows, columns = (
            slice(*(min(max(int(at / CELL) + past, 0), most) for past, at in enumerate(span)))
            for span, most in zip(ends, self._taken.shape, strict=True)
        )
        return rows, columns


def numbers_of(
    pieces: Sequence[DrawnPiece],
    said: Sequence[tuple[str, str]],
    ground: Ground,
    least_pt: float = SIZES[-1],
) -> list[Number]:
    """A number for each piece, in their order, of at least `least_pt` points where there is room: one of SIZES. `said` is
    (number, last four figures). Takes the ground that pieces and numbers cover."""
    found: dict[int, Number] = {}
    small = []
    for at, piece in enumerate(pieces):
        ground.take_shape(piece.shape.buffer(0.45))
        number = _within(piece, *said[at], least_pt)
        if number:
            found[at] = number
        else:
            small.append(at)
    for at in sorted(small, key=lambda at: -pieces[at].shape.area):
        found[at] = _beside(pieces[at], said[at][0], ground, least_pt)
    return [found[at] for at in range(len(pieces))]


def _within(piece: DrawnPiece, order: str, tail: str, least_pt: float) -> Number | None:
    """The largest number that fits the piece's own ground."""
    room = piece.shape.buffer(-INSETS.get(piece.way, LEAST_INSET))
    if room.area < _size(order, "", least_pt).area:
        return None
    circle = shapely.maximum_inscribed_circle(room, 0.3)
    x, y = circle.coords[0]
    for pt in (pt for pt in SIZES if pt >= least_pt):
        for tried in (tail, "") if pt * CODE_SHARE >= LEAST_CODE_PT else ("",):
            box = _centred(x, y, order, tried, pt)
            if room.contains(rectangle(box.x, box.y, box.right, box.bottom)):
                return Number(order, tried, pt, box)
    return None


def _size(order: str, tail: str, pt: float) -> Polygon:
    box = _centred(0, 0, order, tail, pt)
    return rectangle(box.x, box.y, box.right, box.bottom)


def _centred(x: float, y: float, order: str, tail: str, pt: float) -> Box:
    em = pt * POINT
    wide = max(len(order) * BOLD_FIGURE, len(tail) * BOLD_FIGURE * CODE_SHARE) * em
    high = FIGURE_HEIGHT * em + (LINE * CODE_SHARE * em if tail else 0)
    return Box(x - wide / 2 - 0.2, y - high / 2 - 0.2, wide + 0.4, high + 0.4)


def _beside(piece: DrawnPiece, order: str, ground: Ground, least_pt: float) -> Number:
    """A number on the nearest free ground with a line to its piece, of `least_pt` points or, where there is no room for it,
    smaller; on the piece itself where nothing is free."""
    shape = piece.shape.buffer(-0.25)
    shape = piece.shape if shape.is_empty else shape
    x, y = shapely.maximum_inscribed_circle(piece.shape, 0.2).coords[0]
    for pt in (pt for pt in SIZES if pt <= least_pt):
        size = _centred(0, 0, order, "", pt)
        box = ground.nearest(x, y, (size.w, size.h), FARTHEST)
        if box:
            leader = _leader(box, shape)
            ground.take(box)
            ground.take_line(leader)
            return Number(order, "", pt, box, leader)
    box = Box(x + size.x, y + size.y, size.w, size.h)
    ground.take(box)
    return Number(order, "", pt, box, None, True)


def _leader(box: Box, shape: Polygon) -> tuple[float, float, float, float]:
    corners = rectangle(box.x + 0.1, box.y + 0.1, box.right - 0.1, box.bottom - 0.1)
    (x1, y1), (x2, y2) = shapely.shortest_line(corners, shape).coords
    return x1, y1, x2, y2


def draw_number(pdf: FPDF, number: Number) -> None:
    """The number in bold, the code's figures under it, the line to its piece ending in a dot."""
    pdf.set_draw_color(0)
    pdf.set_line_width(FINE)
    if number.leader:
        pdf.line(*number.leader)
        pdf.set_fill_color(0)
        pdf.circle(*number.leader[2:], 0.3, style=RenderStyle.F)
    if number.leader or number.is_tag:
        pdf.set_fill_color(PAPER if number.leader else ACRYLIC)
        pdf.rect(*number.box, style=RenderStyle.DF if number.is_tag else RenderStyle.F)
    pdf.set_fill_color(0)
    for said, pt, baseline in _lines(number):
        set_type(pdf, pt, is_bold=True)
        pdf.text(number.box.x + (number.box.w - pdf.get_string_width(said)) / 2, baseline, said)


def _lines(number: Number) -> Iterator[tuple[str, float, float]]:
    top = number.box.y + 0.2
    yield number.said, number.pt, top + FIGURE_HEIGHT * number.pt * POINT
    if number.tail:
        yield number.tail, number.pt * CODE_SHARE, number.box.bottom - 0.2


def draw_zone_numbers(
    pdf: FPDF, corners: Sequence[tuple[str, float, float]], ground: Ground
) -> None:
    """Each zone's number in grey on free ground near its lower left corner; none where there is no room."""
    size = 3.2
    for said, x, y in corners:
        box = ground.nearest(x + size, y - size, (size, size), 2 * size)
        if box:
            ground.take(box)
            set_type(pdf, ZONE_PT)
            pdf.set_text_color(GREY)
            left, down = (
                (size - pdf.get_string_width(said)) / 2,
                (size + FIGURE_HEIGHT * pdf.font_size) / 2,
            )
            pdf.text(box.x + left, box.y + down, said)
    pdf.set_text_color(0)
