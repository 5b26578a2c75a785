"""Overlays on a picture of a sign: where parts were, arrows to where they moved, flags on findings.

Owns the path data of these traces. `pictures` draws the parts themselves; must not know about pages.

    traces = [Trace("was", outline), Trace("arrow", points=((x, y), (x, y))), Trace("found", points=finding.line)]
    picture = sign_picture(…, traces=traces, flags=[Flag("3", finding.at)])
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...domain.outlines import Outline, Point
from .paths import UNIT, path

KINDS = ("was", "gone", "new", "arrow", "found")
FLAG_PX = 13.0  # radius of a flag


@dataclass(frozen=True)
class Trace:
    """A line over a sign, in the picture's mm: an outline, or the points of an open line. `kind` is one of KINDS: 'was'
    where a part was before, 'gone' a removed one (crossed), 'new' an added one, 'arrow' where one moved, 'found' the
    place of a finding."""

    kind: str
    outline: Outline | None = None
    points: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Flag:
    """A numbered flag at a place of the picture (mm); its finding has the same number. Without a text: a dot."""

    text: str
    at: Point


@dataclass(frozen=True)
class DrawnTrace:
    """A trace as path data."""

    kind: str
    d: str


@dataclass(frozen=True)
class DrawnFlag:
    """A flag in drawing units: its centre, and the place that it points at."""

    text: str
    x: int
    y: int
    at_x: int
    at_y: int


def drawn_trace(trace: Trace, scale: float, height_mm: float) -> DrawnTrace:
    """Return a trace as path data; `scale` is drawing units a mm."""
    d = (
        path(trace.outline, scale, height_mm)
        if trace.outline is not None
        else _line(trace.points, scale, height_mm)
    )
    if trace.kind == "gone" and trace.outline is not None:
        left, bottom, right, top = trace.outline.bounds
        d += _line(((left, top), (right, bottom)), scale, height_mm) + _line(
            ((left, bottom), (right, top)), scale, height_mm
        )
    return DrawnTrace(trace.kind, d)


def drawn_flags(
    flags: Sequence[Flag], scale: float, width_mm: float, height_mm: float
) -> tuple[DrawnFlag, ...]:
    """Return the flags, each beside its place and inside the picture, further off where it would cover another."""
    drawn: list[DrawnFlag] = []
    radius = FLAG_PX * UNIT
    for flag in flags:
        x = round(min(max(flag.at[0], 0), width_mm) * scale)
        y = round((height_mm - min(max(flag.at[1], 0), height_mm)) * scale)
        spot = (
            (x, y)
            if not flag.text
            else _free_spot(x, y, drawn, radius, round(width_mm * scale), round(height_mm * scale))
        )
        drawn.append(DrawnFlag(flag.text, *spot, x, y))
    return tuple(drawn)


def _free_spot(
    x: int, y: int, taken: Sequence[DrawnFlag], radius: float, wide: int, high: int
) -> tuple[int, int]:
    """Return the nearest spot round a place, some way off it, that no flag has taken."""
    for far in (1.7, 3.4, 5.1, 6.8):
        for step in range(8):
            turn = math.radians(-45 + 45 * step)
            spot = (
                round(x + far * radius * math.cos(turn)),
                round(y + far * radius * math.sin(turn)),
            )
            is_inside = radius <= spot[0] <= wide - radius and radius <= spot[1] <= high - radius
            if is_inside and all(
                math.dist(spot, (flag.x, flag.y)) > 2.1 * radius for flag in taken if flag.text
            ):
                return spot
    return x, y


def _line(points: Sequence[Point], scale: float, height_mm: float) -> str:
    spots = [(round(x * scale), round((height_mm - y) * scale)) for x, y in points]
    return "M" + "L".join(f"{x} {y}" for x, y in spots) if spots else ""
