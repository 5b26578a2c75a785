"""The sign on its record: each part to scale, its number in it or right beside it, where there is room for one.

Owns the scale and the places of the numbers. Must not know what else stands on the page. On the sign lengths are mm, y up;
on the page mm, y down.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import Polygon
from shapely.geometry import box as rectangle

from ..domain.bench.records import RecordedPart
from .pdf import FINE, THIN, View, stated

SHOWN = 0.03
from .words import FIGURE_HEIGHT, POINT, Box, set_type

TONES = (238, 255)  # greys of the levels by turns, so that a part is told from what it lies on
INSIDE_PT, BESIDE_PT = (8.0, 7.0, 6.0, 5.0), (6.0, 5.0)
CLEAR = 0.5  # mm round a number


@dataclass(frozen=True)
class Number:
    """A part's number: where its box stands, and its size."""

    said: str
    pt: float
    box: Box


def view_of(width_mm: float, height_mm: float, box: Box) -> View:
    """The largest whole tenth of a scale, at most full size, at which the sign fits the box; at its top, in the middle."""
    scale = stated(max(width_mm / box.w, height_mm / box.h))
    return View(scale, box.x + (box.w - width_mm / scale) / 2, box.y + height_mm / scale)


def draw_sign(pdf: FPDF, parts: Sequence[RecordedPart], view: View, room: Box) -> int:
    """Draws the parts from the lowest level up, and the numbers within `room`. Gives how many numbers found no place."""
    ordered = sorted(parts, key=lambda part: (part.level, -part.outline.polygon.area, part.number))
    shapes = _on_page(ordered, view)
    pdf.set_draw_color(0)
    for part, shape in zip(ordered, shapes, strict=True):
        _draw_part(pdf, shape, part.level)
    pdf.set_fill_color(0)
    placed = numbers(pdf, ordered, shapes, room)
    for number in placed:
        set_type(pdf, number.pt)
        pdf.text(number.box.x + CLEAR / 2, number.box.bottom - CLEAR / 2, number.said)
    return len(parts) - len(placed)


def _on_page(parts: Sequence[RecordedPart], view: View) -> list[Polygon]:
    shapes = shapely.simplify([part.outline.polygon for part in parts], SHOWN * view.scale)
    shapes = shapely.transform(shapes, view.points)
    return [shape if shape.is_valid else shape.convex_hull for shape in shapes]


def _draw_part(pdf: FPDF, shape: Polygon, level: int) -> None:
    pdf.set_line_width(THIN if level else 2 * THIN)
    for number, ring in enumerate((shape.exterior, *shape.interiors)):
        # through a hole one sees the level below, and paper through the lowest
        pdf.set_fill_color(
            TONES[level % 2] if not number else TONES[(level - 1) % 2] if level else 255
        )
        pdf.polygon(ring.coords[:-1], style=RenderStyle.DF)
        pdf.set_line_width(FINE if number else THIN)


def numbers(
    pdf: FPDF, parts: Sequence[RecordedPart], shapes: Sequence[Polygon], room: Box
) -> list[Number]:
    """The numbers that have a place: within the part where it shows, else right beside it on what it lies on; never on
    another part, nor on another number."""
    tree, array = shapely.STRtree(shapes), np.array(shapes)
    taken = np.empty((0, 4))
    found = []
    for at, part in enumerate(parts):
        near = tree.query(rectangle(*_reach(shapes[at])))
        over = array[near[near > at]]
        free = shapely.difference(shapes[at], shapely.union_all(over)) if len(over) else shapes[at]
        is_under = shapely.contains_properly(array[near], shapes[at])
        ground = _Ground(array[near[~is_under]], array[near[is_under]], taken, room)
        number = next(_spots(pdf, str(part.number), free, shapes[at], ground), None)
        if number:
            found.append(number)
            taken = np.vstack(
                [taken, (number.box.x, number.box.y, number.box.right, number.box.bottom)]
            )
    return found


def _reach(shape: Polygon) -> tuple[float, float, float, float]:
    left, top, right, bottom = shape.bounds
    return left - 8, top - 8, right + 8, bottom + 8


@dataclass(frozen=True)
class _Ground:
    """What stands round a part: itself and the parts that no number may touch, those it lies on, whose edges no number may
    cross, and the numbers that are placed."""

    others: np.ndarray
    under: np.ndarray
    taken: np.ndarray
    room: Box

    def is_clear(self, box: Box) -> bool:
        """True where no number stands."""
        left, top, right, bottom = self.taken.T
        return not bool(
            ((left < box.right) & (right > box.x) & (top < box.bottom) & (bottom > box.y)).any()
        )

    def is_free(self, box: Box) -> bool:
        """True where a number beside the part may stand."""
        room = self.room
        is_inside = (
            box.x >= room.x
            and box.y >= room.y
            and box.right <= room.right
            and box.bottom <= room.bottom
        )
        shape = rectangle(box.x, box.y, box.right, box.bottom)
        is_over = (
            shapely.intersects(self.others, shape).any()
            or not shapely.contains(self.under, shape).all()
        )
        return is_inside and self.is_clear(box) and not is_over


def _spots(
    pdf: FPDF, said: str, free: Polygon, shape: Polygon, ground: _Ground
) -> Iterator[Number]:
    """The places for a number, the best first. `free` is what shows of the part."""
    for pt in INSIDE_PT:
        for box in _within(free, _size(pdf, said, pt)):
            if free.contains(rectangle(box.x, box.y, box.right, box.bottom)) and ground.is_clear(
                box
            ):
                yield Number(said, pt, box)
    for pt in BESIDE_PT:
        yield from (
            Number(said, pt, box)
            for box in _beside(shape, _size(pdf, said, pt))
            if ground.is_free(box)
        )


def _size(pdf: FPDF, said: str, pt: float) -> tuple[float, float]:
    set_type(pdf, pt)
    return pdf.get_string_width(said) + CLEAR, FIGURE_HEIGHT * pt * POINT + CLEAR


def _within(free: Polygon, size: tuple[float, float]) -> Iterator[Box]:
    """In its lower left corner where it is large, else about its middle."""
    if free.is_empty:
        return
    wide, high = size
    left, top, right, bottom = free.bounds
    yield Box(left + 0.8, bottom - high - 0.8, wide, high)
    for x, y in (
        (right - wide - 0.8, bottom - high - 0.8),
        (left + 0.8, top + 0.8),
        (right - wide - 0.8, top + 0.8),
    ):
        yield Box(x, y, wide, high)
    for point in (free.representative_point(), free.centroid):
        yield Box(point.x - wide / 2, point.y - high / 2, wide, high)


def _beside(shape: Polygon, size: tuple[float, float]) -> Iterator[Box]:
    """Under it, over it, at its right, at its left."""
    wide, high = size
    left, top, right, bottom = shape.bounds
    x, y = (left + right - wide) / 2, (top + bottom - high) / 2
    yield Box(x, bottom + 0.2, wide, high)
    yield Box(x, top - high - 0.2, wide, high)
    yield Box(right + 0.2, y, wide, high)
    yield Box(left - wide - 0.2, y, wide, high)
