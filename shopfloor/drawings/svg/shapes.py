"""One SVG element in, its subpaths as points in millimetres out.

Owns the basic shapes: what their attributes mean. Path data is read in `paths`, flattening is the `pen`'s. Must not
decide what is filled or cut.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from svgelements import Matrix

from ...domain.outlines import Point
from ..joining import Chain
from .lengths import Unreadable, entries, length, numbers
from .paths import draw_path
from .pen import Pen
from .walk import Shape, diagonal

Size = Callable[[str, float], float]  # an attribute's length, against the length that 100 % are


def tracks_of(shape: Shape, to_mm: Matrix) -> list[Chain]:
    """The subpaths of an element in mm. `to_mm` is the matrix from px of the page. Raises Unreadable."""
    pen = Pen(entries(shape.matrix * to_mm))
    node, (wide, high) = shape.node, shape.viewport

    def size(name: str, whole: float) -> float:
        text = node.get(name, "").strip()
        return length(text, whole) if text and text != "auto" else 0.0

    if shape.tag == "path":
        draw_path(pen, node.get("d", ""))
    elif shape.tag == "rect":
        _draw_rect(pen, shape, size)
    elif shape.tag in ("circle", "ellipse"):
        rx, ry = _radii(shape, size)
        cx, cy = size("cx", wide), size("cy", high)
        if rx > 0 and ry > 0:
            pen.moveTo((cx + rx, cy))
            pen.arc((cx, cy), (rx, 0.0), (0.0, ry), 0.0, math.tau)
            pen.closePath()
    elif shape.tag == "line":
        _draw_polygon(
            pen, [(size("x1", wide), size("y1", high)), (size("x2", wide), size("y2", high))], False
        )
    elif shape.tag in ("polygon", "polyline"):
        _draw_points(pen, node.get("points", ""), shape.tag == "polygon")
    return pen.finish()


def _radii(shape: Shape, size: Size) -> tuple[float, float]:
    wide, high = shape.viewport
    if shape.tag == "circle":
        radius = _positive(size("r", diagonal(shape.viewport)))
        return radius, radius
    rx, ry = _positive(size("rx", wide)), _positive(size("ry", high))
    has_rx, has_ry = (
        shape.node.get(name, "auto").strip() not in ("", "auto") for name in ("rx", "ry")
    )
    return rx if has_rx else ry, ry if has_ry else rx


def _draw_rect(pen: Pen, shape: Shape, size: Size) -> None:
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
    pen.moveTo((x + w, y + ry))
    quarter = math.pi / 2
    corners = (
        (x + w - rx, y + h - ry),
        (x + rx, y + h - ry),
        (x + rx, y + ry),
        (x + w - rx, y + ry),
    )
    for number, (cx, cy) in enumerate(corners):
        start = number * quarter
        pen.lineTo((cx + rx * round(math.cos(start)), cy + ry * round(math.sin(start))))
        pen.arc((cx, cy), (rx, 0.0), (0.0, ry), start, quarter)
    pen.closePath()


def _draw_points(pen: Pen, text: str, is_closed: bool) -> None:
    values = numbers(text)
    if len(values) % 2:
        raise Unreadable(text[-40:])
    _draw_polygon(pen, list(zip(values[::2], values[1::2], strict=True)), is_closed)


def _draw_polygon(pen: Pen, points: list[Point], is_closed: bool) -> None:
    if points:
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        if is_closed:
            pen.closePath()


def _positive(value: float) -> float:
    if value < 0:
        raise Unreadable(f"{value:g}")
    return value
