"""Where numbers go: on the middle of a piece, within it, on free ground beside it with a line to it, or along a line.

Owns the search for a free place, so that no number covers another, nor a piece that it does not name. Lengths are mm
of the scene, y up; sizes of type are points on the surface.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain

import numpy as np
import shapely
from shapely import Polygon, affinity

from ..domain.outlines import Outline, Point
from .scene import FIGURE_HEIGHT, LINE, POINT, Bounds, Number, Surface

BOLD_FIGURE = 0.696  # width of a bold figure in shares of the em, from the font's own tables
SIZES = (13.0, 11.0, 9.5, 8.0, 7.0)  # points of a number within its piece, the largest that fits
LEAST_SIZE = SIZES[-1]
# of the smaller figures under a number, where they can be read
TAIL_SHARE, LEAST_TAIL_PT = 0.62, 5.5
ZONE_PT = 7.0
ON_SCREEN_PX = (10.0, 22.0)  # the smallest and the largest number on a screen
CELL = 0.35  # mm on paper: how finely free ground is looked for
FARTHEST = 13.0  # mm on paper that a number is from its piece at most
ZONE_ROOM = 3.2  # mm on paper that the number of a vacuum zone takes


@dataclass(frozen=True)
class Numbered:
    """A piece that needs a number: `shape` is what is seen of it, `inset` how far inside its line marks reach."""

    text: str
    tail: str
    shape: Polygon
    inset: float


def on_piece(text: str, outline: Outline, unit_mm: float) -> Number:
    """A number on a screen, where its piece is roomiest and as large as there is room; a small one reaches over the edge."""
    x, y, room = _roomiest(outline)
    least, most = ON_SCREEN_PX
    size = min(most, max(least, 1.5 * room / unit_mm / max(1.0, 0.62 * len(text))))
    return Number(text, x, y, size * unit_mm)


@lru_cache(maxsize=4096)
def _roomiest(outline: Outline) -> tuple[float, float, float]:
    """The middle and the radius (mm) of the largest circle inside an outline."""
    tolerance = max(outline.width_mm, outline.height_mm) / 50
    circle = shapely.maximum_inscribed_circle(outline.polygon, tolerance=tolerance)
    x, y = circle.coords[0]
    return float(x), float(y), float(circle.length)


class Ground:
    """Which cells of an area of a scene are taken."""

    def __init__(self, area: Bounds, surface: Surface) -> None:
        left, bottom, right, top = area
        self.surface = surface
        self._cell = CELL * surface.unit_mm
        self._left, self._bottom = left, bottom
        rows, columns = (int(side / self._cell) + 1 for side in (top - bottom, right - left))
        self._taken = np.zeros((max(rows, 1), max(columns, 1)), dtype=bool)

    def take_shape(self, shape: Polygon) -> None:
        """Take what the shape covers; its holes stay free."""
        rows, columns = self._cells(shape.bounds)
        x = self._left + (np.arange(columns.start, columns.stop) + 0.5) * self._cell
        y = self._bottom + (np.arange(rows.start, rows.stop) + 0.5) * self._cell
        shapely.prepare(shape)
        self._taken[rows, columns] |= shapely.contains_xy(shape, *np.meshgrid(x, y))

    def take(self, box: Bounds) -> None:
        """Take a rectangle."""
        self._taken[self._cells(box)] = True

    def take_line(self, start: Point, end: Point) -> None:
        """Take the cells along a line."""
        for share in np.linspace(0, 1, int(math.dist(start, end) / self._cell) + 2):
            x, y = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            self.take((x, y, x, y))

    def nearest(
        self, x: float, y: float, size: tuple[float, float], within: float
    ) -> Bounds | None:
        """Return the free rectangle of this size whose middle is nearest to a point, at most `within` mm off.

        All places of the neighbourhood are tried at once, by sums over the cells to the left and below.
        """
        columns, rows = (math.ceil(side / self._cell) for side in size)
        across, up = within + size[0] / 2, within + size[1] / 2
        near = self._cells((x - across, y - up, x + across, y + up))
        sums = np.pad(self._taken[near].astype(np.int32), ((1, 0), (1, 0))).cumsum(0).cumsum(1)
        if sums.shape[0] <= rows or sums.shape[1] <= columns:
            return None
        taken = sums[rows:, columns:] - sums[:-rows, columns:]
        taken = taken - sums[rows:, :-columns] + sums[:-rows, :-columns]
        left = self._left + (near[1].start + np.arange(taken.shape[1])) * self._cell
        bottom = self._bottom + (near[0].start + np.arange(taken.shape[0])) * self._cell
        off = np.hypot(left[None, :] + size[0] / 2 - x, bottom[:, None] + size[1] / 2 - y)
        off[taken > 0] = np.inf
        row, column = np.unravel_index(off.argmin(), off.shape)
        if off[row, column] > within:
            return None
        corner = float(left[column]), float(bottom[row])
        return *corner, corner[0] + size[0], corner[1] + size[1]

    def _cells(self, box: Bounds) -> tuple[slice, slice]:
        left, bottom, right, top = box
        spans = (
            (bottom - self._bottom, top - self._bottom, self._taken.shape[0]),
            (left - self._left, right - self._left, self._taken.shape[1]),
        )
        rows, columns = (
            slice(
                *(
                    min(max(int(at / self._cell) + past, 0), most)
                    for past, at in ((0, low), (1, high))
                )
            )
            for low, high, most in spans
        )
        return rows, columns


def placed(
    pieces: Sequence[Numbered], ground: Ground, least_pt: float = LEAST_SIZE
) -> list[Number]:
    """Place a number for each piece, in their order, of at least `least_pt` points where there is room: one of SIZES.

    Takes the ground that pieces and numbers cover.
    """
    found: dict[int, Number] = {}
    small = []
    for at, piece in enumerate(pieces):
        ground.take_shape(piece.shape.buffer(0.45 * ground.surface.unit_mm))
        number = _within(piece, ground.surface, least_pt)
        if number:
            found[at] = number
        else:
            small.append(at)
    for at in sorted(small, key=lambda at: -pieces[at].shape.area):
        found[at] = _beside(pieces[at], ground, least_pt)
    return [found[at] for at in range(len(pieces))]


def _within(piece: Numbered, surface: Surface, least_pt: float) -> Number | None:
    """The largest number that fits inside the piece."""
    room = piece.shape.buffer(-piece.inset)
    left, bottom, right, top = _box(0, 0, piece.text, "", least_pt, surface)
    if room.area < (right - left) * (top - bottom):
        return None
    middles = _middles(room, (right - left) / (top - bottom), 0.2 * surface.unit_mm)
    for pt in (pt for pt in SIZES if pt >= least_pt):
        for tail in (piece.tail, "") if pt * TAIL_SHARE >= LEAST_TAIL_PT else ("",):
            for x, y in middles:
                box = _box(x, y, piece.text, tail, pt, surface)
                if room.contains(shapely.box(*box)):
                    return _number(piece.text, pt, box, surface, tail=tail)
    return None


def _middles(room: Polygon, shape: float, tolerance: float) -> list[Point]:
    """Where a box fits well: the middle of the largest circle, and of the largest ellipse that is `shape` times as wide as high."""
    found = []
    for squeeze in (1.0, shape):
        squeezed = affinity.scale(room, 1 / squeeze, 1.0, origin=(0, 0))
        x, y = shapely.maximum_inscribed_circle(squeezed, tolerance).coords[0]
        found.append((x * squeeze, y))
    return found


def _beside(piece: Numbered, ground: Ground, least_pt: float) -> Number:
    """A number on the nearest free ground with a line to its piece, of `least_pt` points or smaller.

    On the piece itself where nothing is free.
    """
    surface, unit = ground.surface, ground.surface.unit_mm
    inner = piece.shape.buffer(-0.25 * unit)
    inner = piece.shape if inner.is_empty else inner
    x, y = shapely.maximum_inscribed_circle(piece.shape, 0.1 * unit).coords[0]
    box = _box(x, y, piece.text, "", LEAST_SIZE, surface)
    pt = LEAST_SIZE
    for pt in (pt for pt in SIZES if pt <= least_pt):
        left, bottom, right, top = _box(x, y, piece.text, "", pt, surface)
        free = ground.nearest(x, y, (right - left, top - bottom), FARTHEST * unit)
        if free:
            leader = _leader(free, inner, 0.1 * unit)
            ground.take(free)
            ground.take_line(*leader)
            return _number(piece.text, pt, free, surface, leader=leader)
    ground.take(box)
    return _number(piece.text, pt, box, surface, is_tag=True)


def zone_numbers(corners: Sequence[tuple[int, Point]], ground: Ground) -> list[Number]:
    """Place each zone's number on free ground near its lower left corner, as the surface is read; none without room."""
    size = ZONE_ROOM * ground.surface.unit_mm
    up = -size if ground.surface.is_turned else size
    found = []
    for zone, (x, y) in corners:
        box = ground.nearest(x + size, y + up, (size, size), 2 * size)
        if box:
            ground.take(box)
            found.append(_number(str(zone), ZONE_PT, box, ground.surface))
    return found


def _number(
    text: str,
    pt: float,
    box: Bounds,
    surface: Surface,
    *,
    tail: str = "",
    leader: tuple[Point, Point] | None = None,
    is_tag: bool = False,
) -> Number:
    left, bottom, right, top = box
    size = pt * POINT * surface.unit_mm
    return Number(text, (left + right) / 2, (bottom + top) / 2, size, tail, box, leader, is_tag)


def _box(x: float, y: float, text: str, tail: str, pt: float, surface: Surface) -> Bounds:
    """The ground that a number takes about its middle. It is upright as the surface is read."""
    em, clear = pt * POINT * surface.unit_mm, 0.4 * surface.unit_mm
    wide = max(len(text) * BOLD_FIGURE, len(tail) * BOLD_FIGURE * TAIL_SHARE) * em + clear
    high = FIGURE_HEIGHT * em + (LINE * TAIL_SHARE * em if tail else 0) + clear
    if surface.is_turned:
        wide, high = high, wide
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def _leader(box: Bounds, shape: Polygon, inside: float) -> tuple[Point, Point]:
    left, bottom, right, top = box
    corners = shapely.box(left + inside, bottom + inside, right - inside, top - inside)
    (x1, y1), (x2, y2) = shapely.shortest_line(corners, shape).coords
    return (x1, y1), (x2, y2)


# Along a line. ----------------------------------------------------------------------------------


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places as near to the wanted ones as can be (least squares), each at least `pitch` after the one before.

    `wanted` is in order. It is the regression of wanted - n × pitch on an order that does not fall, found by pooling
    neighbours that are out of order (Ayer and others, 1955): as quick as the list is long.
    """
    blocks: list[tuple[float, int]] = []  # (mean, how many)
    for n, place in enumerate(wanted):
        mean, count = place - n * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (mean * count + before * many) / (count + many), count + many
        blocks.append((mean, count))
    level = chain.from_iterable([mean] * count for mean, count in blocks)
    return [mean + n * pitch for n, mean in enumerate(level)]
