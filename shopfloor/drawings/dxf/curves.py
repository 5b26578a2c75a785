"""One DXF entity in, its curves as points in millimetres out.

Owns the flattening: chords of the exact curve, none further from it than 0.05 mm, measured in millimetres after all
transforms. Must not decide what is joined, closed or cut.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from ezdxf.math import Matrix44, Vec3

from ...domain.errors import Refused
from ..limits import MAX_POINTS, chord_of_arc_mm
from .splines import spline_points

Entity = Any  # ezdxf's entities have the attributes of their kind
Spend = Callable[[int], None]

FURTHEST_MM = 1e11  # further out, a double is coarser than 0.00001 mm
FULL_CIRCLE = math.tau - 1e-9
STRAIGHT_BULGE = 1e-9

Point = tuple[float, float]


class InvalidEntity(ValueError):
    """An entity has a value that makes no curve."""


@dataclass(frozen=True)
class EllipticalArc:
    """An arc of an ellipse in mm: centre + u cos t + v sin t, from t = start over `sweep` radians."""

    centre: Point
    u: Point
    v: Point
    start: float
    sweep: float

    def at(self, t: float) -> Point:
        """The point at the parameter t."""
        cos, sin = math.cos(t), math.sin(t)
        return (
            self.centre[0] + self.u[0] * cos + self.v[0] * sin,
            self.centre[1] + self.u[1] * cos + self.v[1] * sin,
        )

    def params(self) -> list[float]:
        """Parameters of the points, both ends included.

        The sagitta of a step s on a circle is r (1 - cos(s/2)) ≤ r s²/8; an affine image of the circle stretches it
        by no more than its longer half axis. The leftmost, rightmost, lowest and highest points are among them, so
        that sizes are exact.
        """
        longer = max(_longer_half_axis(self.u, self.v), 1e-12)
        finest = math.sqrt(8 * chord_of_arc_mm(longer) / longer)
        if not abs(self.sweep) / finest < MAX_POINTS:
            raise InvalidEntity("radius")
        stops = [self.start, *self._extremes(), self.start + self.sweep]
        found = [self.start]
        for one, other in itertools.pairwise(stops):
            steps = max(math.ceil(abs(other - one) / finest), 2 if abs(other - one) > 0.5 else 1)
            found += [one + (other - one) * step / steps for step in range(1, steps)] + [other]
        return found

    def _extremes(self) -> list[float]:
        """Where the tangent is upright or level, strictly inside the arc, in the arc's order."""
        low, high = sorted((self.start, self.start + self.sweep))
        found = []
        for first in (math.atan2(self.v[0], self.u[0]), math.atan2(self.v[1], self.u[1])):
            number = math.ceil((low - first) / math.pi)
            while first + number * math.pi < high - 1e-9:
                if first + number * math.pi > low + 1e-9:
                    found.append(first + number * math.pi)
                number += 1
        return sorted(found, reverse=self.sweep < 0)


@dataclass(frozen=True)
class Polyline:
    """Points in mm in a row; a closed track does not repeat its first point. `bow` where it is one single arc."""

    points: list[Point]
    is_closed: bool
    bow: EllipticalArc | None = None


class Pen:
    """Draws in an entity's own coordinates and keeps points in mm. `spend(n)` is told of n points before they are."""

    def __init__(self, matrix: Matrix44, spend: Spend) -> None:
        m = list(matrix)
        self._matrix = matrix
        self._x, self._y = (m[0], m[4], m[8], m[12]), (m[1], m[5], m[9], m[13])
        self.spend = spend

    def place(self, point: Vec3) -> Point:
        """A point in mm, its height left out. Raises Broken far out, and for what is no number."""
        a, b, c, d = self._x
        e, f, g, h = self._y
        x, y, z = point.x, point.y, point.z
        px, py = a * x + b * y + c * z + d, e * x + f * y + g * z + h
        if not (abs(px) < FURTHEST_MM and abs(py) < FURTHEST_MM):  # so written, it catches NaN too
            raise InvalidEntity(f"{x:g}, {y:g}")
        return px, py

    def direction(self, vector: Vec3) -> Point:
        """A vector in mm."""
        a, b, c, _ = self._x
        e, f, g, _ = self._y
        return (
            a * vector.x + b * vector.y + c * vector.z,
            e * vector.x + f * vector.y + g * vector.z,
        )

    def bow(self, centre: Vec3, u: Vec3, v: Vec3, start: float, sweep: float) -> Polyline:
        """The arc centre + u cos t + v sin t; closed where it goes all the way round."""
        bow = EllipticalArc(self.place(centre), self.direction(u), self.direction(v), start, sweep)
        if not all(map(math.isfinite, (*bow.u, *bow.v, start, sweep))):
            raise InvalidEntity("arc")
        return drawn(bow, self.spend)


def drawn(bow: EllipticalArc, spend: Spend) -> Polyline:
    """The track of an arc."""
    params = bow.params()
    spend(len(params))
    is_closed = abs(bow.sweep) >= FULL_CIRCLE
    return Polyline([bow.at(t) for t in (params[:-1] if is_closed else params)], is_closed, bow)


def tracks_of(entity: Entity, matrix: Matrix44, spend: Spend) -> list[Polyline]:
    """The curves of an entity. `matrix` leads from the space that it is drawn in to mm. Raises Refused, Broken."""
    try:
        return list(CURVES[entity.dxftype()](entity, matrix, spend))
    except (Refused, MemoryError):
        raise
    except Exception as error:  # the library raises whatever its arithmetic meets
        raise InvalidEntity(str(error)) from error


def _line(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    pen = Pen(matrix, spend)
    spend(2)
    yield Polyline([pen.place(entity.dxf.start), pen.place(entity.dxf.end)], False)


def _circle(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    pen, radius = Pen(_plane(entity, matrix), spend), entity.dxf.radius
    yield pen.bow(entity.dxf.center, Vec3(radius, 0), Vec3(0, radius), 0.0, math.tau)


def _arc(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    pen, radius = Pen(_plane(entity, matrix), spend), entity.dxf.radius
    start = math.radians(entity.dxf.start_angle % 360)
    sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360) or math.tau
    yield pen.bow(entity.dxf.center, Vec3(radius, 0), Vec3(0, radius), start, sweep)


def _ellipse(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    """Its centre and axes are in world coordinates; the normal says to which side the shorter axis points."""
    major, normal = Vec3(entity.dxf.major_axis), Vec3(entity.dxf.extrusion).normalize()
    start = entity.dxf.start_param % math.tau
    sweep = (entity.dxf.end_param - entity.dxf.start_param) % math.tau
    if sweep < 1e-9:
        sweep = math.tau
    yield Pen(matrix, spend).bow(
        entity.dxf.center, major, normal.cross(major) * entity.dxf.ratio, start, sweep
    )


def _spline(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    pen = Pen(matrix, spend)
    knots, weights = list(entity.knots), list(entity.weights)
    control, degree = [Vec3(point) for point in entity.control_points], entity.dxf.degree
    if not control:  # fit points alone
        curve = entity.construction_tool()
        control, knots, weights, degree = (
            curve.control_points,
            list(curve.knots()),
            [],
            curve.degree,
        )
    points = spline_points([pen.place(point) for point in control], degree, knots, weights, spend)
    is_closed = bool(entity.dxf.flags & 1)
    if is_closed and math.dist(points[0], points[-1]) < 1e-6:
        points.pop()
    yield Polyline(points, is_closed)


def _lwpolyline(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    height = entity.dxf.get("elevation", 0.0)
    corners = [(Vec3(x, y, height), bulge) for x, y, bulge in entity.get_points("xyb")]
    yield from _bulged(corners, entity.closed, Pen(_plane(entity, matrix), spend))


def _polyline(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    """Flat or in space. The control points of a spline frame (flag 16) are no part of what is seen."""
    seen = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.flags & 16]
    if entity.is_2d_polyline:
        height = Vec3(entity.dxf.get("elevation", Vec3())).z
        corners = [
            (Vec3(one.location.x, one.location.y, height), one.get("bulge", 0.0)) for one in seen
        ]
        yield from _bulged(corners, entity.is_closed, Pen(_plane(entity, matrix), spend))
    else:
        yield from _bulged(
            [(one.location, 0.0) for one in seen], entity.is_closed, Pen(matrix, spend)
        )


CURVES = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
}


def _plane(entity: Entity, matrix: Matrix44) -> Matrix44:
    """From an entity's own plane, which its extrusion names, to mm: (0, 0, -1) is a mirrored drawing."""
    own = entity.ocs()
    return own.matrix @ matrix if own.transform else matrix


def _bulged(corners: list[tuple[Vec3, float]], is_closed: bool, pen: Pen) -> Iterator[Polyline]:
    """Corners, each with the bulge of the side that leaves it: the tangent of a quarter of the arc's angle."""
    if not corners:
        return
    pen.spend(len(corners))
    ends = [*corners[1:], corners[0]] if is_closed else corners[1:]
    points = [pen.place(corners[0][0])]
    for (one, bulge), (other, _) in zip(corners, ends, strict=False):
        if abs(bulge) > STRAIGHT_BULGE and one != other:
            points += _side(one, other, bulge, pen).points[1:-1]
        points.append(pen.place(other))
    if is_closed and len(points) > 1:
        points.pop()
    yield Polyline(points, is_closed)


def _side(one: Vec3, other: Vec3, bulge: float, pen: Pen) -> Polyline:
    """The arc of a bulge b over the chord c: its angle is 4 atan b, its centre c (1 - b²) / 4b to the chord's left."""
    chord = other - one
    middle = one + chord * 0.5
    centre = middle + Vec3(-chord.y, chord.x) * ((1 - bulge * bulge) / (4 * bulge))
    radius = chord.magnitude * (1 + bulge * bulge) / (4 * abs(bulge))
    start = math.atan2(one.y - centre.y, one.x - centre.x)
    return pen.bow(centre, Vec3(radius, 0), Vec3(0, radius), start, 4 * math.atan(bulge))


def _longer_half_axis(u: Point, v: Point) -> float:
    """The larger singular value of the matrix with the columns u and v."""
    total = u[0] ** 2 + u[1] ** 2 + v[0] ** 2 + v[1] ** 2
    twist = 2 * (u[0] * v[1] - u[1] * v[0])
    return math.sqrt((total + math.sqrt(max(total * total - twist * twist, 0.0))) / 2)
