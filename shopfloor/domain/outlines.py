"""An outline: the closed curve that the router follows, with its holes.

The one shape that all layers use. Lengths are millimetres, areas square millimetres, y points up.
Must not know about files, pieces or pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon
from shapely.geometry.polygon import orient

Point = tuple[float, float]
Ring = tuple[Point, ...]

PLACES = 3  # rings are rounded to a thousandth of a millimetre, so that a stored outline reads back equal


@dataclass(frozen=True)
class Outline:
    """One area with its holes.

    `rings[0]` is the outer ring, counter-clockwise; the others are holes, clockwise. A ring does not repeat
    its first point. Units: mm, y up.
    """

    rings: tuple[Ring, ...]

    @classmethod
    def of_polygon(cls, polygon: Polygon) -> Outline:
        """Return the outline of a shapely polygon, rounded to 0.001 mm and oriented."""
        turned = orient(polygon, 1.0)
        rings = (turned.exterior, *turned.interiors)
        return cls(tuple(_rounded_all(shapely.get_coordinates(ring)[:-1]) for ring in rings))

    @classmethod
    def of_lists(cls, rings: Sequence[Sequence[Sequence[float]]]) -> Outline:
        """Return the outline that `as_lists` turned into lists (JSON)."""
        return cls(tuple(tuple((x, y) for x, y in ring) for ring in rings))

    def as_lists(self) -> list[list[list[float]]]:
        """Return the rings as plain lists, for JSON."""
        return [[[x, y] for x, y in ring] for ring in self.rings]

    @cached_property
    def _hash(self) -> int:
        return hash(self.rings)

    def __hash__(self) -> int:
        return self._hash  # cached: an outline of hundreds of points is looked up often

    @cached_property
    def polygon(self) -> Polygon:
        """The same area as a shapely polygon."""
        return Polygon(self.rings[0], self.rings[1:])

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) in mm."""
        xs = [x for x, _ in self.rings[0]]
        ys = [y for _, y in self.rings[0]]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def width_mm(self) -> float:
        """Width of the bounding box."""
        return round(self.bounds[2] - self.bounds[0], PLACES)

    @property
    def height_mm(self) -> float:
        """Height of the bounding box."""
        return round(self.bounds[3] - self.bounds[1], PLACES)

    @property
    def area_mm2(self) -> float:
        """Net area, without holes."""
        return float(self.polygon.area)

    @property
    def perimeter_mm(self) -> float:
        """Length of the cut: the outer ring and every hole."""
        return float(self.polygon.length)

    def moved(self, dx: float, dy: float) -> Outline:
        """Return the outline shifted by (dx, dy) mm."""
        return Outline(tuple(_rounded((x + dx, y + dy) for x, y in ring) for ring in self.rings))

    def turned(self, degrees: float) -> Outline:
        """Return the outline turned counter-clockwise about the origin (0, 0)."""
        if degrees % 360 == 0:
            return self
        turn = math.radians(degrees)
        c, s = round(math.cos(turn), 15), round(math.sin(turn), 15)  # quarter turns are exact
        return Outline(
            tuple(_rounded((x * c - y * s, x * s + y * c) for x, y in ring) for ring in self.rings)
        )

    def at_origin(self) -> Outline:
        """Return the outline with its bounding box's lower left corner at (0, 0): the local frame of a piece."""
        left, bottom, _, _ = self.bounds
        return self.moved(-left, -bottom)

    def placed(self, x: float, y: float, turn: float) -> Outline:
        """Return the outline turned about the local origin by `turn` degrees counter-clockwise, then moved by (x, y) mm."""
        return self.turned(turn).moved(x, y)


def _rounded(points: Iterable[Point]) -> Ring:
    return tuple((round(float(x), PLACES) + 0.0, round(float(y), PLACES) + 0.0) for x, y in points)


def _rounded_all(points: npt.NDArray[np.float64]) -> Ring:
    """Round a whole array, much faster; the last bit of a half may come out differently."""
    rounded = np.round(points, PLACES) + 0.0  # + 0.0: no minus zero
    return tuple((x, y) for x, y in rounded.tolist())
