"""A pen that draws lines, curves and arcs in an element's own units and keeps points in millimetres.

Owns the flattening: no chord lies further than 0.05 mm from its curve, measured in millimetres after all transforms.
Must not know about elements or path data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from ..limits import CHORD_MM, WIDEST_MM, chord_of_arc_mm
from .lengths import Unreadable

MAX_POINTS_OF_A_CURVE = 100_000

Point = tuple[float, float]


@dataclass(frozen=True)
class Polyline:
    """One subpath: points in mm, the first not repeated at the end. `is_closed` by its own command."""

    points: list[Point]
    is_closed: bool


class Pen:
    """Draws in an element's own units and keeps points in mm."""

    def __init__(self, matrix: tuple[float, float, float, float, float, float]) -> None:
        self._matrix = matrix
        self._points: list[Point] = []
        self.tracks: list[Polyline] = []

    def place(self, x: float, y: float) -> Point:
        """A point of the element in mm. Raises Unreadable beyond a kilometre, and for what is no number."""
        a, b, c, d, e, f = self._matrix
        px, py = a * x + c * y + e, b * x + d * y + f
        if not (abs(px) < WIDEST_MM and abs(py) < WIDEST_MM):  # so written, it catches NaN too
            raise Unreadable(f"{x:g}, {y:g}")
        return px, py

    def move(self, x: float, y: float) -> None:
        """Starts a subpath."""
        self._end(is_closed=False)
        self._points = [self.place(x, y)]

    def line(self, x: float, y: float) -> None:
        """A straight line to (x, y)."""
        self._points.append(self.place(x, y))

    def bezier(self, *control: Point) -> None:
        """A quadratic or cubic Bézier from the last point, by its further control points.

        Chords over equal steps h of the parameter err by at most h²/8 · max|B''|, the usual bound of linear
        interpolation; |B''| of a Bézier of degree n is at most n (n - 1) times its largest second difference.
        """
        p = [self._points[-1], *(self.place(x, y) for x, y in control)]
        bend = max(
            math.hypot(u[0] - 2 * v[0] + w[0], u[1] - 2 * v[1] + w[1])
            for u, v, w in zip(p, p[1:], p[2:], strict=False)
        )
        degree = len(p) - 1
        steps = max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8 * CHORD_MM))))
        if degree == 3:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = p
            self._points += [
                (a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3)
                for a, b, c, d in _cubic(steps)
            ]
        else:
            (x0, y0), (x1, y1), (x2, y2) = p
            self._points += [
                (a * x0 + b * x1 + c * x2, a * y0 + b * y1 + c * y2)
                for a, b, c in _quadratic(steps)
            ]
        self._points.append(p[-1])

    def arc(self, centre: Point, u: Point, v: Point, start: float, sweep: float) -> None:
        """The arc centre + u cos t + v sin t over the parameter's `sweep` in radians, its start left out.

        The sagitta of a step s on a circle is r (1 - cos(s/2)) ≤ r s²/8; an affine image of the circle stretches
        it by no more than its longer half axis.
        """
        c = self.place(*centre)
        a, b, cc, d, _, _ = self._matrix
        mu = a * u[0] + cc * u[1], b * u[0] + d * u[1]
        mv = a * v[0] + cc * v[1], b * v[0] + d * v[1]
        longer = _longer_half_axis(mu, mv)
        count = abs(sweep) * math.sqrt(longer / (8 * chord_of_arc_mm(longer)))
        if not count < MAX_POINTS_OF_A_CURVE:
            raise Unreadable(f"{u[0]:g}, {u[1]:g}")
        quarters = max(
            math.ceil(abs(sweep) / (math.pi / 2) - 1e-9), 1
        )  # so that a circle keeps its full width
        steps = quarters * max(math.ceil(count / quarters), 2)
        for step in range(1, steps + 1):
            t = start + sweep * step / steps
            cos, sin = math.cos(t), math.sin(t)
            self._points.append(
                (c[0] + mu[0] * cos + mv[0] * sin, c[1] + mu[1] * cos + mv[1] * sin)
            )

    def end_exactly(self, x: float, y: float) -> None:
        """Puts the last point where the drawing says that it is, free of the arc's rounding."""
        self._points[-1] = self.place(x, y)

    def close(self) -> None:
        """Closes the subpath; the next one starts where this one did."""
        first = self._points[:1]
        self._end(is_closed=True)
        self._points = first

    def finish(self) -> list[Polyline]:
        """All subpaths with more than one point."""
        self._end(is_closed=False)
        return self.tracks

    def _end(self, is_closed: bool) -> None:
        if len(self._points) > 1:
            points = self._points
            if math.dist(points[0], points[-1]) < 1e-9:
                points, is_closed = points[:-1], True
            self.tracks.append(Polyline(points, is_closed))
        self._points = []


def _longer_half_axis(u: Point, v: Point) -> float:
    """The larger singular value of the matrix with the columns u and v."""
    total = u[0] ** 2 + u[1] ** 2 + v[0] ** 2 + v[1] ** 2
    twist = 2 * (u[0] * v[1] - u[1] * v[0])
    return math.sqrt((total + math.sqrt(max(total * total - twist * twist, 0.0))) / 2)


@lru_cache(maxsize=256)
def _quadratic(steps: int) -> list[tuple[float, float, float]]:
    """The weights of the control points at each step between the ends."""
    shares = [step / steps for step in range(1, steps)]
    return [((1 - t) ** 2, 2 * (1 - t) * t, t * t) for t in shares]


@lru_cache(maxsize=256)
def _cubic(steps: int) -> list[tuple[float, float, float, float]]:
    shares = [step / steps for step in range(1, steps)]
    return [((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3) for t in shares]
