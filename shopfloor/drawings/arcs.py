"""Arcs of circles and ellipses as points in millimetres, whatever file they come from.

Owns their flattening: no chord lies further than 0.05 mm from its arc. The libraries' own ways leave out the outermost points,
by which sizes are exact, or take a cubic for a quarter, which strays by 0.05 mm from a radius of 185 mm on.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from ..domain.outlines import Point
from .limits import chord_of_arc_mm


@dataclass(frozen=True)
class EllipticalArc:
    """An arc of an ellipse in mm: centre + u cos t + v sin t, from t = start over `sweep` radians."""

    centre: Point
    u: Point
    v: Point
    start: float
    sweep: float

    def points(self, most: float) -> list[Point]:
        """The arc's points, both ends included. Raises ValueError where they would be more than `most`, or no numbers.

        The sagitta of a step s on a circle is r (1 - cos(s/2)) ≤ r s²/8; an affine image of the circle stretches it
        by no more than its longer half axis. The leftmost, rightmost, lowest and highest points are among them.
        """
        longer = max(self._longer_half_axis(), 1e-12)
        finest = math.sqrt(8 * chord_of_arc_mm(longer) / longer)
        if not abs(self.sweep) / finest < most:  # so written, it catches NaN too
            raise ValueError("too large an arc")
        stops = [self.start, *self._extremes(), self.start + self.sweep]
        params = [self.start]
        for one, other in itertools.pairwise(stops):
            steps = max(math.ceil(abs(other - one) / finest), 2 if abs(other - one) > 0.5 else 1)
            params += [one + (other - one) * step / steps for step in range(1, steps)] + [other]
        return [self._at(t) for t in params]

    def _at(self, t: float) -> Point:
        cos, sin = math.cos(t), math.sin(t)
        return (
            self.centre[0] + self.u[0] * cos + self.v[0] * sin,
            self.centre[1] + self.u[1] * cos + self.v[1] * sin,
        )

    def _extremes(self) -> list[float]:
        """Where the tangent is upright or level, strictly inside the arc, in the arc's order."""
        low, high = sorted((self.start, self.start + self.sweep))
        found = []
        for first in (math.atan2(self.v[0], self.u[0]), math.atan2(self.v[1], self.u[1])):
            number = math.ceil((low + 1e-9 - first) / math.pi)
            while first + number * math.pi < high - 1e-9:
                found.append(first + number * math.pi)
                number += 1
        return sorted(found, reverse=self.sweep < 0)

    def _longer_half_axis(self) -> float:
        """The larger singular value of the matrix with the columns u and v."""
        (a, b), (c, d) = self.u, self.v
        return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2
