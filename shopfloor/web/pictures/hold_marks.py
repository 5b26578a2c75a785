"""How pieces are held, drawn over the picture of a sheet as on a workshop drawing.

Owns the path data of these marks. A tab is a short bar across the cut at its place; a skin a second line inside the outline; tape
two strips under the piece; what is held by the vacuum alone in a full pass bears no mark. Must not know about pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely import Polygon, box

from ...domain.outlines import Outline
from .paths import UNIT, path, simple

INSET_PX = 2.6  # of a skin's second line
TAB_PX = 8.0  # the shortest bar that is seen from two metres
NUMBER_PX = (10.0, 22.0)  # the smallest and the largest number
STRIP_SHARE, STRIPS_AT = (
    0.16,
    (0.3, 0.7),
)  # of the piece's shorter side: a strip of tape, and where the two lie


@dataclass(frozen=True)
class HeldPiece:
    """A piece on a sheet and how it is held: `way` is 'full', 'skin', 'tabs' or 'tape'; `tabs` are (x, y, angle) on the sheet."""

    outline: Outline
    way: str
    tabs: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Over:
    """What is drawn over the pieces of a sheet: how they are held, with tabs of `tab_mm`, and numbers on outlines."""

    held: tuple[HeldPiece, ...] = ()
    tab_mm: float = 0.0
    numbers: tuple[tuple[int, Outline], ...] = ()


@dataclass(frozen=True)
class DrawnMark:
    """A mark ready to be written as SVG: `kind` is 'tab', 'skin' or 'tape'."""

    kind: str
    d: str


@dataclass(frozen=True)
class DrawnNumber:
    """A number on its piece: its middle and its height in drawing units."""

    text: str
    x: int
    y: int
    size: int


def drawn_numbers(over: Over, scale: float, height_mm: float) -> tuple[DrawnNumber, ...]:
    """The numbers, each where its piece is roomiest, as large as there is room, within limits: small ones stand over the edge."""
    return tuple(
        _number(str(number), outline, scale, height_mm) for number, outline in over.numbers
    )


def _number(text: str, outline: Outline, scale: float, height_mm: float) -> DrawnNumber:
    x, y, room = _roomiest(outline)
    least, most = NUMBER_PX
    size = min(most, max(least, 1.5 * room * scale / UNIT / max(1.0, 0.62 * len(text))))
    return DrawnNumber(text, round(x * scale), round((height_mm - y) * scale), round(size * UNIT))


@lru_cache(maxsize=4096)
def _roomiest(outline: Outline) -> tuple[float, float, float]:
    """The middle and the radius (mm) of the largest circle inside an outline."""
    circle = shapely.maximum_inscribed_circle(
        outline.polygon, tolerance=max(outline.width_mm, outline.height_mm) / 50
    )
    (x, y), _ = circle.coords
    return x, y, circle.length


def drawn_marks(over: Over, scale: float, height_mm: float) -> tuple[DrawnMark, ...]:
    """The marks of all pieces. `scale` in drawing units a mm; y is turned over about `height_mm`."""
    return tuple(mark for one in over.held for mark in _marks(one, scale, height_mm, over.tab_mm))


def _marks(one: HeldPiece, scale: float, height_mm: float, tab_mm: float) -> Iterator[DrawnMark]:
    if one.way in ("skin", "tape") and (line := _inside(one.outline, scale, height_mm)):
        yield DrawnMark("skin", line)
    if one.way == "tape":
        yield DrawnMark("tape", _strips(one.outline, scale, height_mm))
    for x, y, angle in one.tabs:
        yield DrawnMark(
            "tab", _bar(x, y, angle, max(tab_mm * scale, TAB_PX * UNIT), scale, height_mm)
        )


@lru_cache(maxsize=4096)
def _inside(outline: Outline, scale: float, height_mm: float) -> str:
    """The second line inside an outline; '' where the piece is too thin for one."""
    inset = INSET_PX * UNIT / scale
    areas = shapely.get_parts(simple(outline, inset / 8).polygon.buffer(-inset, quad_segs=4))
    return _paths([area for area in areas if area.area > inset * inset], scale, height_mm)


@lru_cache(maxsize=4096)
def _strips(outline: Outline, scale: float, height_mm: float) -> str:
    """Two strips along the piece's longer side, as far as it lies on them; on paper they lie the same way."""
    left, bottom, right, top = outline.bounds
    shape = simple(outline, UNIT / scale).polygon
    wide, high = right - left, top - bottom
    if wide >= high:
        middles = [bottom + at * high for at in STRIPS_AT]
        strips = [
            box(left, y - high * STRIP_SHARE / 2, right, y + high * STRIP_SHARE / 2)
            for y in middles
        ]
    else:
        middles = [left + at * wide for at in STRIPS_AT]
        strips = [
            box(x - wide * STRIP_SHARE / 2, bottom, x + wide * STRIP_SHARE / 2, top)
            for x in middles
        ]
    parts = [
        part
        for strip in strips
        for part in shapely.get_parts(shape.intersection(strip))
        if isinstance(part, Polygon)
    ]
    return _paths([part for part in parts if part.area > 0], scale, height_mm)


def _paths(areas: Sequence[Polygon], scale: float, height_mm: float) -> str:
    """Several areas as one path: each begins at its own place, and not where the one before ended. Its own m stays, since
    the pairs of numbers after an M are places, after an m steps (SVG 2, 9.3.3)."""
    return "".join("M0 0" + path(Outline.of_polygon(area), scale, height_mm) for area in areas)


def _bar(x: float, y: float, angle: float, length: float, scale: float, height_mm: float) -> str:
    turn = math.radians(angle)
    dx, dy = math.cos(turn) * length / 2, -math.sin(turn) * length / 2
    middle = x * scale, (height_mm - y) * scale
    return f"M{round(middle[0] - dx)} {round(middle[1] - dy)}l{round(2 * dx)} {round(2 * dy)}"
