"""What a round cutter makes of an outline: where the part is thinner than it, and what it leaves in corners and holes.

Owns the two questions that opening an area by the cutter's radius answers. The cutter runs outside the part:

- *thin*: the part without its opening, where no disc of the cutter's size finds room inside the part;
- *unreached*: the waste without its opening, which is the part's closing without the part. That material stays.

Must not know about signs or words. Millimetres and square millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

CHORD_MM = 0.05  # curves arrive as chords that stray this far: a hole of the cutter's own size is no finding
# A square inner corner leaves r² (1 - π/4), so 1 mm² is what a cutter of 4.3 mm leaves; the rest then reaches 0.9 mm
# out of the corner. Less is a few strokes of a file, and every letter would be told.
LEAST_MM2 = 1.0
CORNER = 3.864  # 1 / sin(30° / 2): an outer corner of 30 degrees or more (A, V, a star) is no thin stroke, sharper tips are
SEGMENTS = 32  # of a quarter circle: r² (1 - π/4) comes out right to half a percent
FEW_SEGMENTS = 8


@dataclass(frozen=True)
class Spots:
    """Places of one kind in an outline, the largest first.

    `area_mm2` of all together; `width_mm` of the largest, at its widest.
    """

    places: tuple[Polygon, ...]
    area_mm2: float
    width_mm: float


def thin(polygon: Polygon, radius: float) -> Spots | None:
    """Where the part is thinner than a cutter of this radius, or None: the part without its opening.

    Strokes and sharp tips. The opening rounds every outer corner too; places that hold nothing further than 4 r from
    where the cutter's middle finds room (corners of 30° and more) are left out.
    """
    room = shapely.buffer(polygon, CHORD_MM - radius, quad_segs=FEW_SEGMENTS)
    strokes = _large(
        polygon.difference(shapely.buffer(room, CORNER * radius, quad_segs=FEW_SEGMENTS))
    )
    if not strokes:
        return None
    surely, exactly = (
        _holding(strokes, _thin(polygon, one)) for one in (radius - CHORD_MM, radius)
    )
    return Spots(tuple(surely or strokes), _area(surely, exactly, radius), width(strokes[0]))


def closed_holes(polygon: Polygon, radius: float) -> Spots | None:
    """The holes that a cutter of this radius does not enter at all, or None. They stay filled."""
    closed = sorted(_holes(polygon, radius)[1], key=lambda one: -one.area)
    return (
        Spots(tuple(closed), sum(one.area for one in closed), width(closed[0])) if closed else None
    )


def unreached(polygon: Polygon, radius: float) -> Spots | None:
    """What a cutter of this radius leaves in inner corners and slots, open holes included, or None.

    The closing of the part without the part, where a place holds more than 1 mm²: r² (1 - π/4) in a square corner.
    """
    open_holes = [one.exterior for one in _holes(polygon, radius)[0]]
    part = Polygon(polygon.exterior, open_holes)
    if not open_holes and part.convex_hull.area - part.area < LEAST_MM2:
        return None
    places = _large(_rest(part, radius - CHORD_MM))
    if not places:
        return None
    return Spots(
        tuple(places), _area(places, _large(_rest(part, radius)), radius), width(places[0])
    )


def width(polygon: Polygon) -> float:
    """The diameter of the largest disc inside."""
    return 2 * shapely.maximum_inscribed_circle(polygon, tolerance=CHORD_MM / 2).length


def _area(surely: Sequence[Polygon], exactly: Sequence[Polygon], radius: float) -> float:
    """The area for the whole radius of places that were found with one less by the chords.

    What is left in corners grows with the square of the radius. Strokes and slots do not, and those of the cutter's own
    width are there for the whole radius only: the lesser of both is right for each.
    """
    grown = sum(one.area for one in surely) * (radius / (radius - CHORD_MM)) ** 2
    return min(grown, sum(one.area for one in exactly))


def _thin(polygon: Polygon, radius: float) -> BaseGeometry:
    room = shapely.buffer(polygon, -radius, quad_segs=SEGMENTS)
    return polygon.difference(shapely.buffer(room, radius, quad_segs=SEGMENTS))


def _holding(strokes: Sequence[Polygon], area: BaseGeometry) -> list[Polygon]:
    return [one for one in _large(area) if any(one.intersects(stroke) for stroke in strokes)]


def _rest(polygon: Polygon, radius: float) -> BaseGeometry:
    grown = shapely.buffer(polygon, radius, quad_segs=SEGMENTS)
    closing = shapely.buffer(grown, -radius, quad_segs=SEGMENTS)
    if (
        closing.area - polygon.area < LEAST_MM2 / 2
    ):  # most outlines: the difference itself takes longest
        return Polygon()
    return closing.difference(polygon)


def _holes(polygon: Polygon, radius: float) -> tuple[list[Polygon], list[Polygon]]:
    """Those that the cutter enters, and those that it does not."""
    split: tuple[list[Polygon], list[Polygon]] = ([], [])
    for ring in polygon.interiors:
        hole = Polygon(ring)
        split[hole.buffer(CHORD_MM - radius).is_empty].append(hole)
    return split


def _large(area: BaseGeometry) -> list[Polygon]:
    """Its pieces from 1 mm² on that are no sliver along a curve's chords, the largest first."""
    pieces = [one for one in shapely.get_parts(area).tolist() if one.area > LEAST_MM2]
    thick = [one for one in pieces if not one.buffer(-CHORD_MM).is_empty]
    return sorted(thick, key=lambda one: -one.area)
