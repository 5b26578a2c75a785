"""Where a round cutter does not fit an outline: strokes thinner than the cutter, corners and holes it cannot reach.

Both are found by opening an area by the cutter's radius. The cutter runs outside the part:

- *thin*: the part less its opening, where no disc of the cutter's size fits inside the part;
- *unreached*: the waste less its opening, which is the part's closing less the part. That material stays.

Must not know about signs or words. Millimetres and square millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

CHORD_MM = 0.05  # curves arrive as chords, off by up to this: a hole of the cutter's own size is no finding
# A square inner corner leaves r² (1 - π/4), so 1 mm² is what a cutter of 4.3 mm leaves, reaching 0.9 mm out of the
# corner. Less takes a few strokes of a file, and would be reported for every letter.
LEAST_MM2 = 1.0
CORNER = 3.864  # 1 / sin(30° / 2): outer corners of 30 degrees or more (A, V, a star) are no thin strokes, sharper tips are
SEGMENTS = 32  # of a quarter circle: gives r² (1 - π/4) to half a percent
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
    """Return where the part is thinner than a cutter of this radius, or None: the part less its opening.

    Strokes and sharp tips. The opening rounds every outer corner too; places within about 4 r of where the cutter's
    middle fits (corners of 30° and more) are left out.
    """
    room = shapely.buffer(polygon, CHORD_MM - radius, quad_segs=FEW_SEGMENTS)
    strokes = _large(
        polygon.difference(shapely.buffer(room, CORNER * radius, quad_segs=FEW_SEGMENTS))
    )
    if not strokes:
        return None
    surely, exactly = (
        _touching(strokes, _thin(polygon, at_radius)) for at_radius in (radius - CHORD_MM, radius)
    )
    return Spots(tuple(surely or strokes), _area(surely, exactly, radius), width(strokes[0]))


def closed_holes(polygon: Polygon, radius: float) -> Spots | None:
    """Return the holes that a cutter of this radius does not enter at all, or None. They stay filled."""
    closed = sorted(_holes(polygon, radius)[1], key=lambda hole: -hole.area)
    if not closed:
        return None
    return Spots(tuple(closed), sum(hole.area for hole in closed), width(closed[0]))


def unreached(polygon: Polygon, radius: float) -> Spots | None:
    """Return what a cutter of this radius leaves in inner corners and slots, open holes included, or None.

    The closing of the part less the part, where a place is over 1 mm²: r² (1 - π/4) in a square corner.
    """
    open_holes = [hole.exterior for hole in _holes(polygon, radius)[0]]
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
    """Return the diameter of the largest disc inside."""
    radius: float = shapely.maximum_inscribed_circle(polygon, tolerance=CHORD_MM / 2).length
    return 2 * radius


def _area(surely: Sequence[Polygon], exactly: Sequence[Polygon], radius: float) -> float:
    """Return the area, at the whole radius, of places that were found with a radius less by the chords.

    Corners grow with the square of the radius. Strokes and slots do not, and those of the cutter's own width appear at
    the whole radius only: the lesser of both is right for each.
    """
    grown = (radius / (radius - CHORD_MM)) ** 2 * sum(float(place.area) for place in surely)
    return min(grown, sum(float(place.area) for place in exactly))


def _thin(polygon: Polygon, radius: float) -> BaseGeometry:
    room = shapely.buffer(polygon, -radius, quad_segs=SEGMENTS)
    return polygon.difference(shapely.buffer(room, radius, quad_segs=SEGMENTS))


def _touching(strokes: Sequence[Polygon], area: BaseGeometry) -> list[Polygon]:
    return [place for place in _large(area) if any(place.intersects(stroke) for stroke in strokes)]


def _rest(polygon: Polygon, radius: float) -> BaseGeometry:
    grown = shapely.buffer(polygon, radius, quad_segs=SEGMENTS)
    closing = shapely.buffer(grown, -radius, quad_segs=SEGMENTS)
    # most outlines end here: the difference itself takes longest
    if closing.area - polygon.area < LEAST_MM2 / 2:
        return Polygon()
    return closing.difference(polygon)


def _holes(polygon: Polygon, radius: float) -> tuple[list[Polygon], list[Polygon]]:
    """Return the holes that the cutter enters, and those that it does not."""
    split: tuple[list[Polygon], list[Polygon]] = ([], [])
    for ring in polygon.interiors:
        hole = Polygon(ring)
        split[hole.buffer(CHORD_MM - radius).is_empty].append(hole)
    return split


def _large(area: BaseGeometry) -> list[Polygon]:
    """Return the pieces over 1 mm² that are no slivers along a curve's chords, the largest first."""
    pieces = [piece for piece in shapely.get_parts(area).tolist() if piece.area > LEAST_MM2]
    thick = [piece for piece in pieces if not piece.buffer(-CHORD_MM).is_empty]
    return sorted(thick, key=lambda piece: -piece.area)
