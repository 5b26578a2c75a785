"""A sign as a scene: its parts bottom first, their numbers, and the ticks of those that are glued.

Owns where numbers and ticks have room. Lengths are mm on the sign, y up from its lower left corner; sizes of type are
points on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon

from ..domain.bench.records import RecordedPart
from ..domain.outlines import Outline
from .numbers import on_piece
from .scene import (
    FIGURE_HEIGHT,
    HEAVY,
    POINT,
    Bounds,
    Number,
    Scene,
    Shape,
    sheet_of_paper,
    simple,
)
from .ticks import ticks_of

FIGURE = 0.636  # width of a figure in shares of the em, from the font's own tables
INSIDE_PT, BESIDE_PT = (8.0, 7.0, 6.0, 5.0), (6.0, 5.0)
# mm on paper: round a number, from a corner, from a part, to neighbours
CLEAR, CORNER, GAP, REACH = 0.5, 0.8, 0.2, 8.0

Places = npt.NDArray[np.float64]


def on_screen(
    shapes: Sequence[Shape],
    size_mm: tuple[float, float],
    unit_mm: float,
    numbered: Sequence[tuple[int, Outline]] = (),
) -> Scene:
    """The sign for a screen whose pixel shows `unit_mm`. Shapes come bottom first; numbers go on their outlines."""
    return Scene(
        *size_mm,
        tuple(shapes),
        numbers=tuple(on_piece(str(number), outline, unit_mm) for number, outline in numbered),
        ticks=tuple(ticks_of(shapes, unit_mm)),
    )


def on_paper(
    parts: Sequence[RecordedPart], size_mm: tuple[float, float], unit_mm: float, room: Bounds
) -> Scene:
    """The sign for paper at a scale of 1 : `unit_mm`; numbers within `room`. Not every number has a place."""
    ordered = sorted(parts, key=lambda part: (part.level, -part.outline.area_mm2, part.number))
    shapes = tuple(
        Shape(
            str(part.id),
            part.number,
            part.name,
            part.outline,
            weight="" if part.level else HEAVY,
            level=part.level,
        )
        for part in ordered
    )
    return Scene(*size_mm, shapes, numbers=tuple(_numbers(shapes, unit_mm, room)))


# Numbers on paper. ------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Ground:
    """What is round a part: `others` no number may touch, itself among them; of `under`, on which it lies, no number may
    cross the edge; `taken` are the boxes of numbers that have their place."""

    others: npt.NDArray[np.object_]
    under: npt.NDArray[np.object_]
    taken: Places
    room: Bounds

    def is_clear(self, box: Bounds) -> bool:
        """Whether no number is there."""
        left, bottom, right, top = self.taken.T
        meets = (left < box[2]) & (right > box[0]) & (bottom < box[3]) & (top > box[1])
        return not bool(meets.any())

    def is_free(self, box: Bounds) -> bool:
        """Whether a number beside the part may be there."""
        left, bottom, right, top = self.room
        if (
            box[0] < left
            or box[1] < bottom
            or box[2] > right
            or box[3] > top
            or not self.is_clear(box)
        ):
            return False
        shape = shapely.box(*box)
        is_over = (
            shapely.intersects(self.others, shape).any()
            or not shapely.contains(self.under, shape).all()
        )
        return not is_over


def _numbers(shapes: Sequence[Shape], unit_mm: float, room: Bounds) -> list[Number]:
    """The numbers that have a place: within the part where it shows, else right beside it on what it lies on; never on
    another part, nor on another number."""
    tolerance = sheet_of_paper(unit_mm).tolerance * unit_mm
    areas = [simple(shape.outline, tolerance).polygon for shape in shapes]
    tree, array = shapely.STRtree(areas), np.array(areas)
    taken: Places = np.empty((0, 4))
    found = []
    for at, (shape, area) in enumerate(zip(shapes, areas, strict=True)):
        left, bottom, right, top = area.bounds
        reach = REACH * unit_mm
        near = tree.query(shapely.box(left - reach, bottom - reach, right + reach, top + reach))
        over = array[near[near > at]]
        free = shapely.difference(area, shapely.union_all(over)) if len(over) else area
        is_under = shapely.contains_properly(array[near], area)
        ground = _Ground(array[near[~is_under]], array[near[is_under]], taken, room)
        number = next(_places(str(shape.number), free, area, ground, unit_mm), None)
        if number:
            found.append(number)
            taken = np.vstack([taken, number.box])
    return found


def _places(
    text: str, free: Polygon, area: Polygon, ground: _Ground, unit_mm: float
) -> Iterator[Number]:
    """The places for a number, the best first. `free` is what shows of the part."""
    for pt in INSIDE_PT:
        for box in _within(free, _size(text, pt, unit_mm), unit_mm):
            if free.contains(shapely.box(*box)) and ground.is_clear(box):
                yield _number(text, pt, box, unit_mm)
    for pt in BESIDE_PT:
        for box in _beside(area, _size(text, pt, unit_mm), unit_mm):
            if ground.is_free(box):
                yield _number(text, pt, box, unit_mm)


def _number(text: str, pt: float, box: Bounds, unit_mm: float) -> Number:
    left, bottom, right, top = box
    return Number(
        text, (left + right) / 2, (bottom + top) / 2, pt * POINT * unit_mm, box=box, is_bold=False
    )


def _size(text: str, pt: float, unit_mm: float) -> tuple[float, float]:
    em = pt * POINT
    return (len(text) * FIGURE * em + CLEAR) * unit_mm, (FIGURE_HEIGHT * em + CLEAR) * unit_mm


def _within(free: Polygon, size: tuple[float, float], unit_mm: float) -> Iterator[Bounds]:
    """In its lower left corner where it is large, in another corner, else about its middle."""
    if free.is_empty:
        return
    wide, high = size
    inset = CORNER * unit_mm
    left, bottom, right, top = free.bounds
    lefts, bottoms = (left + inset, right - wide - inset), (bottom + inset, top - high - inset)
    for y in bottoms:
        for x in lefts:
            yield x, y, x + wide, y + high
    for point in (free.representative_point(), free.centroid):
        yield point.x - wide / 2, point.y - high / 2, point.x + wide / 2, point.y + high / 2


def _beside(area: Polygon, size: tuple[float, float], unit_mm: float) -> Iterator[Bounds]:
    """Under it, over it, at its right, at its left."""
    wide, high = size
    gap = GAP * unit_mm
    left, bottom, right, top = area.bounds
    x, y = (left + right - wide) / 2, (bottom + top - high) / 2
    corners = ((x, bottom - high - gap), (x, top + gap), (right + gap, y), (left - wide - gap, y))
    for begin, foot in corners:
        yield begin, foot, begin + wide, foot + high
