"""What a round cutter makes of an outline: where the part is thinner than it, and what it leaves in corners and holes.

Owns the two questions that opening an area by the cutter's radius answers. The cutter runs outside the part, in the waste:

- *thin*: the part without its opening, where no disc of the cutter's size finds room inside the part;
- *unreached*: the waste without its opening, which is the part's closing without the part. That material stays.

Must not know about signs or words. Millimetres and square millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

CHORD_MM = 0.05  # curves arrive as chords that stray this far: a hole of the cutter's own size is no finding
# A square inner corner leaves r² (1 - π/4), so 1 mm² is what a cutter of 4.3 mm leaves; the rest then reaches 0.9 mm out of
# the corner. Less is a few strokes of a file, and every letter would be told.
LEAST_MM2 = 1.0
CORNER = 2.0  # 1 / sin(60° / 2): an outer corner of 60 degrees or more is no thin stroke, sharper tips are
SEGMENTS = 32  # of a quarter circle: r² (1 - π/4) comes out right to half a percent
FEW_SEGMENTS = 8


@dataclass(frozen=True)
class Spots:
    """Places of one kind in an outline, the largest first. `area_mm2` of all together; `width_mm` of the largest, at its
    widest."""

    places: tuple[Polygon, ...]
    area_mm2: float
    width_mm: float


def thin(polygon: Polygon, radius: float) -> Spots | None:
    """Where the part is thinner than a cutter of this radius, or None: the part without its opening.

    Strokes and sharp tips. The opening rounds every outer corner too; places that hold nothing further than 2 r from where
    the cutter's middle finds room (corners of 60° and more) are left out.
    """
    room = shapely.buffer(polygon, CHORD_MM - radius, quad_segs=FEW_SEGMENTS)
    strokes = _large(polygon.difference(shapely.buffer(room, CORNER * radius, quad_segs=FEW_SEGMENTS)))
    if not strokes:
        return None
    rest = polygon.difference(shapely.buffer(room, radius - CHORD_MM, quad_segs=SEGMENTS))
    places = [one for one in _large(rest) if any(one.intersects(stroke) for stroke in strokes)]
    return Spots(tuple(places), sum(one.area for one in places), width(strokes[0]))


def closed_holes(polygon: Polygon, radius: float) -> Spots | None:
    """The holes that a cutter of this radius does not enter at all, or None. They stay filled."""
    closed = sorted(_holes(polygon, radius)[1], key=lambda one: -one.area)
    return Spots(tuple(closed), sum(one.area for one in closed), width(closed[0])) if closed else None


def unreached(polygon: Polygon, radius: float) -> Spots | None:
    """What a cutter of this radius leaves in inner corners and slots, open holes included, or None.

    The closing of the part without the part, where a place holds more than 1 mm²: r² (1 - π/4) in a square corner.
    """
    open_holes = [one.exterior for one in _holes(polygon, radius)[0]]
    part = Polygon(polygon.exterior, open_holes)
    if not open_holes and part.convex_hull.area - part.area < LEAST_MM2:
        return None
    surely = radius - CHORD_MM
    places = _large(_rest(part, surely))
    if not places:
        return None
    # corners grow with the square of the radius; slots do not, and one of the cutter's own width is none
    area = min(sum(one.area for one in places) * (radius / surely) ** 2, sum(p.area for p in _large(_rest(part, radius))))
    return Spots(tuple(places), area, width(places[0]))


def sound(polygon: Polygon) -> list[Polygon]:
    """The same area as valid polygons: rounding may have let a ring touch itself."""
    areas = [polygon] if polygon.is_valid else shapely.get_parts(shapely.buffer(polygon, 0)).tolist()
    return [one for one in areas if not one.is_empty]


def width(polygon: Polygon) -> float:
    """The diameter of the largest disc inside."""
    return 2 * shapely.maximum_inscribed_circle(polygon, tolerance=CHORD_MM / 2).length


def _rest(polygon: Polygon, radius: float) -> BaseGeometry:
    grown = shapely.buffer(polygon, radius, quad_segs=SEGMENTS)
    return shapely.buffer(grown, -radius, quad_segs=SEGMENTS).difference(polygon)


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
