"""A pen that draws lines, curves and arcs in an element's own units and keeps points in millimetres.

Owns the flattening: no chord lies further than 0.05 mm from its curve, measured in millimetres after all transforms.
Must not know about elements or path data.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from svgelements import Arc

from ...domain.outlines import Point
from ..arcs import EllipticalArc
from ..joining import Chain
from ..limits import CHORD_MM, WIDEST_MM
from .lengths import Unreadable

MAX_POINTS_OF_A_CURVE = 100_000


class Pen:
    """Draws in an element's own units and keeps points in mm. Its methods have the names that fontTools calls."""

    def __init__(self, matrix: tuple[float, float, float, float, float, float]) -> None:
        self._matrix = matrix
        self._at: Point = (0.0, 0.0)
        self._points: list[Point] = []
        self._tracks: list[Chain] = []

    def moveTo(self, to: Point) -> None:
        """Starts a subpath."""
        self._end(is_closed=False)
        self.lineTo(to)

    def lineTo(self, to: Point) -> None:
        """A straight line."""
        self._points.append(self._placed(to))
        self._at = to

    def curveTo(self, *control: Point) -> None:
        """A quadratic or cubic Bézier from the last point, by its further control points.

        Chords over equal steps h of the parameter err by at most h²/8 · max|B''|, the usual bound of linear
        interpolation; |B''| of a Bézier of degree n is at most n (n - 1) times its largest second difference.
        """
        p = [self._points[-1], *map(self._placed, control)]
        bend = max(
            math.hypot(u[0] - 2 * v[0] + w[0], u[1] - 2 * v[1] + w[1])
            for u, v, w in zip(p, p[1:], p[2:], strict=False)
        )
        degree = len(control)
        steps = max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8 * CHORD_MM))))
        self._points += [(x, y) for x, y in (_weights(degree, steps) @ p).tolist()]
        self._points.append(p[-1])
        self._at = control[-1]

    qCurveTo = curveTo  # of one control point: path data has no others

    def arcTo(
        self, rx: float, ry: float, turn: float, is_large: bool, is_clockwise: bool, to: Point
    ) -> None:
        """An arc of path data, by its centre as svgelements works it out."""
        if self._at == to:
            return
        if rx and ry:  # SVG 2, section 9.5.1: without a radius it is a straight line
            try:
                arc = Arc(self._at, abs(rx), abs(ry), turn, is_large, is_clockwise, to)
                c, u, v = arc.center, arc.prx - arc.center, arc.pry - arc.center
                self.arc(
                    (c.x, c.y), (u.x, u.y), (v.x, v.y), float(arc.get_start_t()), float(arc.sweep)
                )
            except AttributeError as error:  # no centre: its numbers are beyond reason
                raise Unreadable(f"A {rx} {ry}") from error
            self._points.pop()  # the end is exactly where the drawing says
        self.lineTo(to)

    def arc(self, centre: Point, u: Point, v: Point, start: float, sweep: float) -> None:
        """The arc centre + u cos t + v sin t over the parameter's `sweep` in radians, its start left out."""
        a, b, c, d, _, _ = self._matrix
        mu, mv = ((a * x + c * y, b * x + d * y) for x, y in (u, v))
        arc = EllipticalArc(self._placed(centre), mu, mv, start, sweep)
        try:
            self._points += arc.points(MAX_POINTS_OF_A_CURVE)[1:]
        except ValueError:
            raise Unreadable(f"{u[0]:g}, {u[1]:g}") from None

    def closePath(self) -> None:
        """Closes the subpath; the next one starts where this one did."""
        first = self._points[:1]
        self._end(is_closed=True)
        self._points = first

    def endPath(self) -> None:
        """An open subpath ends; the next one ends it anyway."""

    def finish(self) -> list[Chain]:
        """All subpaths with more than one point, closed by their own command or by their points."""
        self._end(is_closed=False)
        return self._tracks

    def _placed(self, point: Point) -> Point:
        """A point of the element in mm. Raises Unreadable beyond a kilometre, and for what is no number."""
        a, b, c, d, e, f = self._matrix
        x, y = point
        px, py = a * x + c * y + e, b * x + d * y + f
        if not (abs(px) < WIDEST_MM and abs(py) < WIDEST_MM):  # so written, it catches NaN too
            raise Unreadable(f"{x:g}, {y:g}")
        return px, py

    def _end(self, is_closed: bool) -> None:
        if len(self._points) > 1:
            points = self._points
            if math.dist(points[0], points[-1]) < 1e-9:
                points, is_closed = points[:-1], True
            self._tracks.append(Chain(points, is_closed))
        self._points = []


@lru_cache(maxsize=256)
def _weights(degree: int, steps: int) -> np.ndarray:
    """The weights of the control points at each step between the ends: Bernstein's polynomials."""
    t = np.arange(1, steps) / steps
    rows = [math.comb(degree, k) * t**k * (1 - t) ** (degree - k) for k in range(degree + 1)]
    return np.array(rows).T
