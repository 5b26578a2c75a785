"""What is inside: from rings to areas, by fill rule or by nesting.

Owns the two fill rules and the rule for strokes. Works on shapely polygons in mm; must not know about SVG.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LinearRing, Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry
from shapely.ops import polygonize

GRID_MM = 0.001  # outlines are kept to this
SMALLEST_MM2 = 0.01

Ring = Sequence[tuple[float, float]]


def filled(rings: Sequence[Ring], rule: str) -> list[Polygon]:
    """The separate areas that the rings enclose, by the rule 'nonzero' or 'evenodd' (SVG 2, section 13.4.2).

    Rings may cross themselves and each other. Areas come back on the 0.001 mm grid, however small.
    """
    rings = [ring for ring in rings if len(ring) > 2]
    if not rings:
        return []
    apart = _apart(rings)
    found = [
        on_grid(area) for area in (_by_depth(apart, rule) if apart else [_by_winding(rings, rule)])
    ]
    return [area for areas in found for area in areas]


def plain(ring: Ring) -> Polygon | None:
    """The area of a ring that neither crosses nor touches itself, else None."""
    area = shapely.polygons(np.array(ring)) if len(ring) > 2 else None
    return area if area is not None and area.is_valid else None


def on_grid(area: BaseGeometry) -> list[Polygon]:
    """The polygons of an area, snapped to the grid and valid there; holes that are specks are dropped."""
    snapped = shapely.remove_repeated_points(shapely.set_precision(area, GRID_MM, mode="pointwise"))
    if not (
        snapped.is_valid and isinstance(snapped, Polygon)
    ):  # pointwise is quick, but knows only points
        snapped = shapely.set_precision(area, GRID_MM)
    polygons = [part for part in shapely.get_parts(snapped).tolist() if isinstance(part, Polygon)]
    return [_without_specks(part) for part in polygons if part.area > 0]


def nested(areas: Sequence[Polygon], colours: Sequence[str]) -> list[tuple[int, Polygon]]:
    """Stroked outlines to parts: (place in `areas`, area with its holes taken out).

    An outline is a hole when what directly contains it has its colour and is no hole itself.
    """
    solid = [Polygon(area.exterior) for area in areas]
    around = _direct_containers(solid)
    is_hole = [False] * len(solid)
    holes: dict[int, list[Polygon]] = {}
    for one in sorted(range(len(solid)), key=lambda place: -solid[place].area):
        outer = around[one]
        if outer is not None and colours[outer] == colours[one] and not is_hole[outer]:
            is_hole[one] = True
            holes.setdefault(outer, []).append(solid[one])
    found = []
    for one, area in enumerate(areas):
        if not is_hole[one]:
            cut = area.difference(shapely.union_all(holes[one])) if one in holes else area
            found += [(one, part) for part in on_grid(cut)]
    return found


def _direct_containers(solid: list[Polygon]) -> list[int | None]:
    around: list[int | None] = [None] * len(solid)
    if not solid:
        return around
    outer, inner = STRtree(solid).query(
        solid, predicate="contains"
    )  # asked this way round, it is much quicker
    sizes = [area.area for area in solid]
    for i, o in zip(inner.tolist(), outer.tolist(), strict=True):
        is_larger = sizes[o] > sizes[i] * (1 + 1e-9)  # an equal outline contains nothing but itself
        if is_larger and (around[i] is None or sizes[o] < sizes[around[i]]):
            around[i] = o
    return around


def _apart(rings: Sequence[Ring]) -> list[Polygon] | None:
    """The rings as plain areas where no ring meets itself or another one: nearly all drawings; else None."""
    areas = [plain(ring) for ring in rings]
    if any(area is None for area in areas):
        return None
    if len(areas) > 1:
        edges = shapely.get_exterior_ring(areas)
        one, other = STRtree(edges).query(edges, predicate="intersects")
        if (one != other).any():
            return None
    return areas


def _by_depth(areas: list[Polygon], rule: str) -> list[Polygon]:
    """What the rule calls inside, of rings that lie apart: each adds one turn to what it holds."""
    if len(areas) == 1:
        return areas
    edges = shapely.get_exterior_ring(areas)
    signs = np.where(shapely.is_ccw(edges), 1, -1)
    inner, outer = STRtree(areas).query(
        shapely.get_point(edges, 0), predicate="within"
    )  # rings apart: one point does
    before = np.zeros(len(areas), dtype=int)
    np.add.at(before, inner, signs[outer])
    turns = before + signs
    is_inside, was_inside = (
        (turns % 2, before % 2) if rule == "evenodd" else (turns != 0, before != 0)
    )
    kept = edges[is_inside != was_inside]
    found = shapely.get_parts(shapely.build_area(shapely.multilinestrings(kept))).tolist()
    place_of = {tuple(at): place for place, ring in enumerate(kept) for at in ring.coords}
    return sorted(found, key=lambda area: place_of[area.exterior.coords[0]])


def faces_of(rings: Sequence[Ring]) -> list[tuple[Polygon, int]]:
    """The faces into which the rings cut the plane, each with how often they turn round it, counter-clockwise up."""
    lines = shapely.union_all([LinearRing(ring) for ring in rings])
    faces = list(polygonize(shapely.get_parts(lines).tolist()))
    if not faces:
        return []
    turns = _windings([face.representative_point() for face in faces], rings)
    return list(zip(faces, map(int, turns), strict=True))


def _by_winding(rings: Sequence[Ring], rule: str) -> BaseGeometry:
    """Keeps the faces that the rule calls inside."""
    inside = [
        face for face, turns in faces_of(rings) if (turns % 2 if rule == "evenodd" else turns)
    ]
    return shapely.union_all(inside) if inside else Polygon()


def _windings(points: list[Point], rings: Sequence[Ring]) -> np.ndarray:
    """How often the rings turn round each point, counter-clockwise counted up."""
    turns = np.zeros(len(points), dtype=int)
    tree = STRtree(points)
    at = shapely.get_coordinates(points)
    for ring in rings:
        corners = np.asarray(ring)
        near = tree.query(shapely.box(*corners.min(axis=0), *corners.max(axis=0)))
        for place in near:
            turns[place] += _turns_round(corners, *at[place])
    return turns


def _turns_round(corners: np.ndarray, x: float, y: float) -> int:
    """Crossings of the ray from (x, y) to the right: up counts one, down counts minus one."""
    x0, y0 = corners[:, 0], corners[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
    up = (y0 <= y) & (y1 > y) & (side > 0)
    down = (y0 > y) & (y1 <= y) & (side < 0)
    return int(up.sum()) - int(down.sum())


def _without_specks(area: Polygon) -> Polygon:
    holes = [hole for hole in area.interiors if Polygon(hole).area >= SMALLEST_MM2]
    return area if len(holes) == len(area.interiors) else Polygon(area.exterior, holes)
