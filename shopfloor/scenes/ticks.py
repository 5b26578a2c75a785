"""Where the ticks of glued parts go: where most of the part shows, and not on a figure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import shapely
from shapely import Polygon

from .scene import Shape, Tick, simple

TICK_PX = (12.0, 30.0)  # smallest and largest tick
ROOM_PX = 9.0  # a part with less room than this (radius) is ticked at its foot, so that its letter stays legible
# the same for a part on which others lie: a tick between two figures makes both illegible
BOARD_ROOM_PX = 15.0


def ticks_of(shapes: Sequence[Shape], unit_mm: float) -> Iterator[Tick]:
    """For each glued part where its tick goes: where most of it shows."""
    if not any(shape.state == "fixed" for shape in shapes):
        return
    areas = [simple(shape.outline, unit_mm).polygon for shape in shapes]
    for at, shape in enumerate(shapes):
        if shape.state == "fixed":
            above = tuple(area for area in areas[at + 1 :] if area.intersects(areas[at]))
            yield Tick(shape.key, *_roomiest(areas[at], above, unit_mm))


@lru_cache(maxsize=4096)
def _roomiest(
    area: Polygon, above: tuple[Polygon, ...], unit_mm: float
) -> tuple[float, float, float]:
    """The middle of the largest circle that what lies above leaves free, and the size of a tick in it (mm)."""
    smallest, largest = (size * unit_mm for size in TICK_PX)
    free = area.difference(shapely.union_all(above)) if above else area
    circle = shapely.maximum_inscribed_circle(area if free.is_empty else free, tolerance=unit_mm)
    if circle.length < (BOARD_ROOM_PX if above else ROOM_PX) * unit_mm:
        left, bottom, right, _ = area.bounds
        return (left + right) / 2, bottom, smallest
    x, y = circle.coords[0]
    return float(x), float(y), min(circle.length * 1.3, largest)
