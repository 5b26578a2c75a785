"""One SVG element in, its subpaths as points in millimetres out.

Owns the flattening: no chord lies further than 0.05 mm from its curve, measured in millimetres after all
transforms. Must not decide what is filled or cut.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from svgelements import Arc, Close, CubicBezier, Line, Move, Path, QuadraticBezier

from .lengths import NUMBER, Unreadable, entries, length, numbers
from .walk import Shape, diagonal

CHORD_MM = 0.049  # the last thousandth is left to rounding
FURTHEST_MM = 1_000_000.0
MAX_POINTS_OF_A_CURVE = 100_000

_PATH_DATA = re.compile(rf"\s*(?:[Mm](?:[MmZzLlHhVvCcSsQqTtAa\s,]|{NUMBER})*+)?")

Point = tuple[float, float]


@dataclass(frozen=True)
class Track:
    """One subpath: points in mm, the first not repeated at the end. `is_closed` by its own command."""

    points: list[Point]
    is_closed: bool


class Pen:
    """Draws in an element's own units and keeps points in mm."""

    def __init__(self, matrix: tuple[float, float, float, float, float, float]) -> None:
        self._matrix = matrix
        self._points: list[Point] = []
        self.tracks: list[Track] = []

    def place(self, x: float, y: float) -> Point:
        """A point of the element in mm. Raises Unreadable beyond a kilometre, and for what is no number."""
        a, b, c, d, e, f = self._matrix
        px, py = a * x + c * y + e, b * x + d * y + f
        if not (abs(px) < FURTHEST_MM and abs(py) < FURTHEST_MM):  # so written, it catches NaN too
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
            math.hypot(u[0] - 2 * v[0] + w[0], u[1] - 2 * v[1] + w[1]) for u, v, w in zip(p, p[1:], p[2:], strict=False)
        )
        degree = len(p) - 1
        steps = max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8 * CHORD_MM))))
        at = _cubic if degree == 3 else _quadratic
        self._points += [at(p, step / steps) for step in range(1, steps)]
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
        count = abs(sweep) * math.sqrt(_longer_half_axis(mu, mv) / (8 * CHORD_MM))
        if not count < MAX_POINTS_OF_A_CURVE:
            raise Unreadable(f"{u[0]:g}, {u[1]:g}")
        quarters = max(math.ceil(abs(sweep) / (math.pi / 2) - 1e-9), 1)  # so that a circle keeps its full width
        steps = quarters * max(math.ceil(count / quarters), 2)
        for step in range(1, steps + 1):
            t = start + sweep * step / steps
            cos, sin = math.cos(t), math.sin(t)
            self._points.append((c[0] + mu[0] * cos + mv[0] * sin, c[1] + mu[1] * cos + mv[1] * sin))

    def end_exactly(self, x: float, y: float) -> None:
        """Puts the last point where the drawing says that it is, free of the arc's rounding."""
        self._points[-1] = self.place(x, y)

    def close(self) -> None:
        """Closes the subpath; the next one starts where this one did."""
        first = self._points[:1]
        self._end(is_closed=True)
        self._points = first

    def finish(self) -> list[Track]:
        """All subpaths with more than one point."""
        self._end(is_closed=False)
        return self.tracks

    def _end(self, is_closed: bool) -> None:
        if len(self._points) > 1:
            points = self._points
            if math.dist(points[0], points[-1]) < 1e-9:
                points, is_closed = points[:-1], True
            self.tracks.append(Track(points, is_closed))
        self._points = []


def tracks_of(shape: Shape, to_mm) -> list[Track]:
    """The subpaths of an element in mm. `to_mm` is the matrix from px of the page. Raises Unreadable."""
    pen = Pen(entries(shape.matrix * to_mm))
    node, (wide, high) = shape.node, shape.viewport

    def size(name: str, whole: float) -> float:
        text = node.get(name, "").strip()
        return length(text, whole) if text and text != "auto" else 0.0

    if shape.tag == "path":
        _draw_path(pen, node.get("d", ""))
    elif shape.tag == "rect":
        _draw_rect(pen, shape, size)
    elif shape.tag in ("circle", "ellipse"):
        rx, ry = _radii(shape, size)
        cx, cy = size("cx", wide), size("cy", high)
        if rx > 0 and ry > 0:
            pen.move(cx + rx, cy)
            pen.arc((cx, cy), (rx, 0.0), (0.0, ry), 0.0, math.tau)
            pen.close()
    elif shape.tag in ("polygon", "polyline"):
        _draw_points(pen, node.get("points", ""), shape.tag == "polygon")
    return pen.finish()


def _radii(shape: Shape, size) -> tuple[float, float]:
    wide, high = shape.viewport
    if shape.tag == "circle":
        return (_positive(size("r", diagonal(shape.viewport))),) * 2
    rx, ry = _positive(size("rx", wide)), _positive(size("ry", high))
    has_rx, has_ry = (shape.node.get(name, "auto").strip() not in ("", "auto") for name in ("rx", "ry"))
    return rx if has_rx else ry, ry if has_ry else rx


def _draw_rect(pen: Pen, shape: Shape, size) -> None:
    wide, high = shape.viewport
    x, y = size("x", wide), size("y", high)
    w, h = _positive(size("width", wide)), _positive(size("height", high))
    if w == 0 or h == 0:
        return
    rx, ry = _radii(shape, size)
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx == 0 or ry == 0:
        _draw_polygon(pen, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)], True)
        return
    pen.move(x + w, y + ry)
    quarter = math.pi / 2
    corners = ((x + w - rx, y + h - ry), (x + rx, y + h - ry), (x + rx, y + ry), (x + w - rx, y + ry))
    for number, (cx, cy) in enumerate(corners):
        start = number * quarter
        pen.line(cx + rx * round(math.cos(start)), cy + ry * round(math.sin(start)))
        pen.arc((cx, cy), (rx, 0.0), (0.0, ry), start, quarter)
    pen.close()


def _draw_points(pen: Pen, text: str, is_closed: bool) -> None:
    values = numbers(text)
    if len(values) % 2:
        raise Unreadable(text[-40:])
    _draw_polygon(pen, list(zip(values[::2], values[1::2], strict=True)), is_closed)


def _draw_polygon(pen: Pen, points: list[Point], is_closed: bool) -> None:
    if points:
        pen.move(*points[0])
        for point in points[1:]:
            pen.line(*point)
        if is_closed:
            pen.close()


def _draw_path(pen: Pen, data: str) -> None:
    if data.strip() == "none":
        return
    if _PATH_DATA.fullmatch(data) is None:  # the library would stop without a word
        raise Unreadable(_first_bad(data))
    try:
        segments = list(Path(data))
    except Exception as error:  # the library raises whatever its arithmetic meets
        raise Unreadable(data[:40]) from error
    for segment in segments:
        _draw_segment(pen, segment)


def _draw_segment(pen: Pen, segment) -> None:
    if isinstance(segment, Close):
        pen.close()
        return
    end = segment.end
    if isinstance(segment, Move):
        pen.move(end.x, end.y)
    elif isinstance(segment, Line):
        pen.line(end.x, end.y)
    elif isinstance(segment, QuadraticBezier):
        pen.bezier((segment.control.x, segment.control.y), (end.x, end.y))
    elif isinstance(segment, CubicBezier):
        one, two = segment.control1, segment.control2
        pen.bezier((one.x, one.y), (two.x, two.y), (end.x, end.y))
    elif isinstance(segment, Arc):
        _draw_arc(pen, segment)


def _draw_arc(pen: Pen, arc: Arc) -> None:
    start, end = arc.start, arc.end
    if start.x == end.x and start.y == end.y:
        return
    if not (arc.rx and arc.ry):  # SVG 2, section 9.5.1: without a radius it is a straight line
        pen.line(end.x, end.y)
        return
    try:
        c, u, v = arc.center, arc.prx - arc.center, arc.pry - arc.center
        pen.arc((c.x, c.y), (u.x, u.y), (v.x, v.y), float(arc.get_start_t()), float(arc.sweep))
    except (ArithmeticError, TypeError, AttributeError) as error:
        raise Unreadable(f"A {arc.rx} {arc.ry}") from error
    pen.end_exactly(end.x, end.y)


def _positive(value: float) -> float:
    if value < 0:
        raise Unreadable(f"{value:g}")
    return value


def _first_bad(data: str) -> str:
    match = _PATH_DATA.match(data)
    at = match.end() if match else 0
    return data[max(at - 5, 0) : at + 20]


def _longer_half_axis(u: Point, v: Point) -> float:
    """The larger singular value of the matrix with the columns u and v."""
    total = u[0] ** 2 + u[1] ** 2 + v[0] ** 2 + v[1] ** 2
    twist = 2 * (u[0] * v[1] - u[1] * v[0])
    return math.sqrt((total + math.sqrt(max(total * total - twist * twist, 0.0))) / 2)


def _quadratic(p: list[Point], t: float) -> Point:
    s = 1 - t
    a, b, c = s * s, 2 * s * t, t * t
    return a * p[0][0] + b * p[1][0] + c * p[2][0], a * p[0][1] + b * p[1][1] + c * p[2][1]


def _cubic(p: list[Point], t: float) -> Point:
    s = 1 - t
    a, b, c, d = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
    return (
        a * p[0][0] + b * p[1][0] + c * p[2][0] + d * p[3][0],
        a * p[0][1] + b * p[1][1] + c * p[2][1] + d * p[3][1],
    )
