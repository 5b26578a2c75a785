"""A drawing at full size before it lies on any page: its lines and words, in millimetres of the sign.

Must not know paper, nor what is drawn. Lengths are mm, y up, angles degrees counter-clockwise; sizes of type are points.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon

from ..domain.outlines import Outline, Point

# widths of lines, mm: what a laser printer draws evenly (common practice)
FINE, PLAIN, HEAVY = 0.13, 0.25, 0.5
CHAIN = (6.0, 1.5)  # dash and gap of lines that are only looked for: baselines, middles
GREY = 110  # of 255: what lies beneath
ROUND_STEPS = 72  # corners of a circle: within 0.1 % of its radius


@dataclass(frozen=True)
class Stroke:
    """One line through `points`; closed where it comes back to its first. `dash` is (dash, gap), `grey` 0 to 255."""

    points: Sequence[Point]
    weight: float = PLAIN
    is_closed: bool = False
    dash: tuple[float, float] | None = None
    grey: int = 0


@dataclass(frozen=True)
class Words:
    """One line of text. `at` is a point at half the height of its figures; `share` says where along the text that point
    is: 0 at its beginning, 0.5 in its middle, 1 at its end. It is shortened to `room` mm."""

    at: Point
    text: str
    pt: float = 7.0
    turn: float = 0.0
    share: float = 0.5
    is_bold: bool = False
    room: float = 120.0


@dataclass(frozen=True)
class Drawing:
    """What is printed at full size. `extent` (left, bottom, right, top) holds all of it.

    `heading` says what is measured, `caution` and `notes` how it is used. `reminder` and `mark` are on each of its sheets;
    the mark is another one where the plan is another one.
    """

    title: str
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    extent: tuple[float, float, float, float]
    heading: str = ""
    caution: str = ""
    notes: tuple[str, ...] = ()
    reminder: str = ""
    mark: str = ""


def outline_strokes(outline: Outline, weight: float, grey: int = 0) -> Iterator[Stroke]:
    """The rings of an outline."""
    return (Stroke(ring, weight, is_closed=True, grey=grey) for ring in outline.rings)


def clipped(
    shape: Polygon, box: tuple[float, float, float, float], weight: float
) -> Iterator[Stroke]:
    """The outline of a polygon clipped to a box (left, bottom, right, top)."""
    for line in shapely.get_parts(shapely.line_merge(shapely.clip_by_rect(shape.boundary, *box))):
        if line.geom_type == "LineString" and not line.is_empty:
            yield Stroke(tuple(line.coords), weight)


def circle(centre: Point, radius: float, weight: float = PLAIN) -> Stroke:
    """A circle."""
    return slot(centre, 2 * radius, 0.0, 0.0, weight)


def slot(centre: Point, width: float, longer: float, turn: float, weight: float = PLAIN) -> Stroke:
    """A slot with round ends: `longer` is how far its length exceeds its width; a circle where that is 0."""
    along = math.radians(turn)
    ends = (longer / 2, -longer / 2)
    points = []
    for end, begin in zip(ends, (-90, 90), strict=True):
        x, y = centre[0] + end * math.cos(along), centre[1] + end * math.sin(along)
        for step in range(ROUND_STEPS // 2 + 1):
            angle = along + math.radians(begin + step * 360 / ROUND_STEPS)
            points.append((x + width / 2 * math.cos(angle), y + width / 2 * math.sin(angle)))
    return Stroke(tuple(points), weight, is_closed=True)


def extent_of(strokes: Sequence[Stroke], margin: float) -> tuple[float, float, float, float]:
    """The box round all strokes, `margin` mm wider on each side."""
    xs = [x for stroke in strokes for x, _ in stroke.points]
    ys = [y for stroke in strokes for _, y in stroke.points]
    return min(xs) - margin, min(ys) - margin, max(xs) + margin, max(ys) + margin
