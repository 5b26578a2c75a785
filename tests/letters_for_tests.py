"""Words drawn from the fonts of the repository, with what the fonts' own tables say about where each letter stands.

Any test imports it by its name. Owns placed outlines of a word on a level line, turned, and round a circle. fontTools reads
the fonts: contours, advance widths (hmtx) and bounds (glyf) are theirs, so that what is found can be held against them.
Lengths are millimetres, y points up.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from fontTools.pens.basePen import decomposeQuadraticSegment
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from shapely import Polygon

import shopfloor.paper
from shopfloor.domain.outlines import Outline, Point

FONTS = Path(shopfloor.paper.__file__).parent / "fonts"
SANS, BOLD, SERIF = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif-Bold"
CHORD_MM = 0.05  # as drawings are flattened

Rings = list[list[complex]]


@dataclass(frozen=True)
class Drawn:
    """One area of a letter, placed. A dot of an i is an area of its own.

    `left_mm` and `right_mm` are its edges along the baseline from the word's pen (round a circle: arc length, radially under
    the edge), `below_mm` how far the font lets it dip under the baseline (negative: over it), `above_mm` how high it rises;
    `turn_deg` is the letter's turn, `foot` the point of the baseline under the middle of its advance width.
    """

    sign: str
    outline: Outline
    left_mm: float
    right_mm: float
    below_mm: float
    above_mm: float
    turn_deg: float
    foot: Point

    def above(self, point: Point) -> float:
        """How far a point lies over the letter's own baseline."""
        turn = math.radians(self.turn_deg)
        return -(point[0] - self.foot[0]) * math.sin(turn) + (point[1] - self.foot[1]) * math.cos(
            turn
        )


@dataclass(frozen=True)
class Word:
    """Areas of a word in reading order. `centre` and `radius_mm` are those of the baseline's circle, where there is one."""

    drawn: tuple[Drawn, ...]
    cap_mm: float
    centre: Point | None = None
    radius_mm: float = 0.0

    @property
    def outlines(self) -> list[Outline]:
        """What a drawing would hold: the placed outlines."""
        return [one.outline for one in self.drawn]


@cache
def font(name: str) -> TTFont:
    """A font of the repository."""
    return TTFont(FONTS / f"{name}.ttf")


def cap_units(name: str) -> int:
    """The height of a flat capital, in the font's units."""
    return font(name)["glyf"]["H"].yMax


def word(text: str, name: str, cap_mm: float) -> Word:
    """A word on the level line through (0, 0), its pen beginning there."""
    return _set(text, name, cap_mm, lambda middle: (complex(middle), 0.0))


def on_arc(text: str, name: str, cap_mm: float, radius_mm: float, up: bool = True) -> Word:
    """A word round (0, 0), its middle on top of the circle with the letters outside (`up`), or at its foot, letters inside.

    Each letter is turned to the tangent at the middle of its advance width.
    """
    half = _advance(text, name, cap_mm) / 2
    side = 1 if up else -1

    def at(middle: float) -> tuple[complex, float]:
        turn = -side * (middle - half) / radius_mm
        return side * radius_mm * cmath.exp(1j * (math.pi / 2 + turn)), turn

    return replace(_set(text, name, cap_mm, at, radius_mm), centre=(0.0, 0.0), radius_mm=radius_mm)


def turned(one: Word, degrees: float) -> Word:
    """The word turned counter-clockwise about (0, 0)."""
    spin = cmath.exp(1j * math.radians(degrees))
    return _carried(one, lambda point: point * spin, degrees)


def moved(one: Word, dx: float, dy: float) -> Word:
    """The word shifted by (dx, dy) mm."""
    return _carried(one, lambda point: point + complex(dx, dy), 0.0)


def _carried(one: Word, carry: Callable[[complex], complex], degrees: float) -> Word:
    def place(point: Point) -> Point:
        there = carry(complex(*point))
        return there.real, there.imag

    drawn = []
    for area in one.drawn:
        rings = tuple(
            tuple(_rounded(place(point)) for point in ring) for ring in area.outline.rings
        )
        drawn.append(
            replace(
                area,
                outline=Outline(rings),
                foot=place(area.foot),
                turn_deg=area.turn_deg + degrees,
            )
        )
    return replace(one, drawn=tuple(drawn), centre=one.centre and place(one.centre))


def _rounded(point: Point) -> Point:
    return round(point[0], 3) + 0.0, round(point[1], 3) + 0.0


def _advance(text: str, name: str, cap_mm: float) -> float:
    names, widths = font(name).getBestCmap(), font(name)["hmtx"]
    return sum(widths[names[ord(sign)]][0] for sign in text) * cap_mm / cap_units(name)


def _set(
    text: str,
    name: str,
    cap_mm: float,
    at: Callable[[float], tuple[complex, float]],
    radius_mm: float = 0.0,
) -> Word:
    """Draws a text; `at` gives the baseline's point and turn (radians) under the middle of an advance width."""
    drawn, pen = [], 0.0
    for sign in text:
        advance = _advance(sign, name, cap_mm)
        middle = pen + advance / 2
        foot, turn = at(middle)
        for rings in areas(sign, name, cap_mm):
            outer = rings[0]
            spun = [
                [foot + (point - advance / 2) * cmath.exp(1j * turn) for point in ring]
                for ring in rings
            ]
            polygon = Polygon(
                *(
                    [(p.real, p.imag) for p in spun[0]],
                    [[(p.real, p.imag) for p in r] for r in spun[1:]],
                )
            )
            edges = (_along(end - advance / 2, radius_mm) for end in (_least(outer), _most(outer)))
            left, right = (middle + edge for edge in edges)
            lowest, highest = min(p.imag for p in outer), max(p.imag for p in outer)
            outline, degrees = Outline.of_polygon(polygon), math.degrees(turn)
            drawn.append(
                Drawn(sign, outline, left, right, -lowest, highest, degrees, (foot.real, foot.imag))
            )
        pen += advance
    return Word(tuple(drawn), cap_mm)


def _least(ring: list[complex]) -> float:
    return min(point.real for point in ring)


def _most(ring: list[complex]) -> float:
    return max(point.real for point in ring)


def _along(offset: float, radius_mm: float) -> float:
    """The length along the circle to what lies so far along its tangent, radially (closed form)."""
    return radius_mm * math.atan(offset / radius_mm) if radius_mm else offset


@cache
def areas(sign: str, name: str, cap_mm: float) -> list[Rings]:
    """The areas of a letter, the largest first, each its outer ring and its holes; its pen at (0, 0). Millimetres."""
    scale = cap_mm / cap_units(name)
    rings = [
        [point for curve in one for point in cut(curve, scale)] for one in contours(name, sign)
    ]
    found: list[tuple[Polygon, Rings]] = []
    for ring in sorted(rings, key=lambda one: -Polygon([(p.real, p.imag) for p in one]).area):
        polygon = Polygon([(p.real, p.imag) for p in ring])
        around = [own for outer, own in found if outer.contains(polygon.representative_point())]
        if around:
            around[0].append(ring)
        else:
            found.append((polygon, [ring]))
    return [own for _, own in found]


@cache
def contours(name: str, sign: str):
    """Each contour of a sign as curves: (start, control, end), a straight line with its middle as control."""
    glyphs, pen = font(name).getGlyphSet(), DecomposingRecordingPen(font(name).getGlyphSet())
    glyphs[font(name).getBestCmap()[ord(sign)]].draw(pen)
    found = []
    for operator, points in pen.value:
        if operator == "moveTo":
            found.append([])
            at = begun = points[0]
        elif operator == "lineTo" or (operator == "closePath" and at != begun):
            at, before = (points or [begun])[0], at
            found[-1].append((before, ((before[0] + at[0]) / 2, (before[1] + at[1]) / 2), at))
        elif operator == "qCurveTo":
            for control, end in decomposeQuadraticSegment(points):
                found[-1].append((at, control, end))
                at = end
    return [
        one for one in found if one
    ]  # some glyphs hold points that are only there to anchor accents


def cut(curve, scale: float, tolerance: float = CHORD_MM) -> list[complex]:
    """Points along a curve, its end left out, so many that no chord is further off than the tolerance (mm)."""
    a, b, c = (complex(*point) * scale for point in curve)
    pieces = max(1, math.ceil(math.sqrt(abs(a - 2 * b + c) / 4 / tolerance)))
    along = [n / pieces for n in range(pieces)]
    return [(1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c for t in along]
