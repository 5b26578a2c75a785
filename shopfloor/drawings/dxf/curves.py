"""One DXF entity in, its curves as points in millimetres out.

Owns the flattening: chords of the exact curve, none further from it than 0.05 mm, measured in millimetres after all
transforms. Must not decide what is joined, closed or cut.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from ezdxf.math import Matrix44, Vec3, bulge_center

from ...domain.errors import Refused
from ...domain.outlines import Point
from ..arcs import EllipticalArc
from ..joining import Chain
from ..limits import MAX_POINTS
from .splines import spline_points

Entity = Any  # ezdxf's entities have the attributes of their kind
Spend = Callable[[int], None]

FURTHEST_MM = 1e11  # further out, a double is coarser than 0.00001 mm
FULL_CIRCLE = math.tau - 1e-9
STRAIGHT_BULGE = 1e-9


class InvalidEntity(ValueError):
    """An entity has a value that makes no curve."""


@dataclass(frozen=True)
class Polyline(Chain):
    """A chain; `bow` where it is one single arc."""

    bow: EllipticalArc | None = None


@dataclass(frozen=True)
class Pen:
    """Draws in an entity's own coordinates and keeps points in mm. `spend(n)` is called before n points are kept."""

    matrix: Matrix44
    spend: Spend

    def place(self, point: Vec3) -> Point:
        """A point in mm, its height left out. Raises InvalidEntity far out, and for what is no number."""
        x, y, _ = self.matrix.transform(point)
        if not (abs(x) < FURTHEST_MM and abs(y) < FURTHEST_MM):  # so written, it catches NaN too
            raise InvalidEntity(f"{x:g}, {y:g}")
        return x, y

    def bow(self, centre: Vec3, u: Vec3, v: Vec3, start: float, sweep: float) -> Polyline:
        """The arc centre + u cos t + v sin t; closed where it goes all the way round."""
        (ux, uy, _), (vx, vy, _) = map(self.matrix.transform_direction, (u, v))
        return drawn(
            EllipticalArc(self.place(centre), (ux, uy), (vx, vy), start, sweep), self.spend
        )


def drawn(bow: EllipticalArc, spend: Spend = lambda number: None) -> Polyline:
    """The track of an arc."""
    points = bow.points(MAX_POINTS)
    spend(len(points))
    is_closed = abs(bow.sweep) >= FULL_CIRCLE
    return Polyline(points[:-1] if is_closed else points, is_closed, bow=bow)


def tracks_of(entity: Entity, matrix: Matrix44, spend: Spend) -> list[Polyline]:
    """The curves of an entity. `matrix` leads from the space that it is drawn in to mm. Raises Refused, InvalidEntity."""
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


def _arc(entity: Entity, matrix: Matrix44, spend: Spend) -> Iterator[Polyline]:
    """An arc, or a circle: one that goes all the way round."""
    center, radius = entity.dxf.center, entity.dxf.radius
    start, end = 0.0, 0.0
    if entity.dxftype() == "ARC":
        start, end = entity.dxf.start_angle, entity.dxf.end_angle
    sweep = math.radians((end - start) % 360) or math.tau
    yield Pen(_plane(entity, matrix), spend).bow(
        center, Vec3(radius, 0), Vec3(0, radius), math.radians(start % 360), sweep
    )


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
    "CIRCLE": _arc,
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
    """The arc of a bulge b over a chord: its angle is 4 atan b."""
    x, y = bulge_center(one, other, bulge)
    centre = Vec3(x, y, one.z)
    arm = one - centre
    return pen.bow(centre, arm, Vec3(-arm.y, arm.x), 0.0, 4 * math.atan(bulge))
