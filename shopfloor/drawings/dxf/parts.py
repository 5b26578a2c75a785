"""Closed outlines to the parts of a drawing: areas with their holes, in order, with colour, name and sign.

Owns what is dropped as a double or a speck, and the order from the bottom up. Lengths are millimetres.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon, STRtree

from ...domain.drawing.drawing import DrawnOutline
from ...domain.errors import Refused
from ...domain.outlines import Outline
from ...wording import mended
from ...wording import reading as wording
from ..areas import nested
from ..findings import Findings
from ..mending import areas_of, is_speck, say_double
from ..names import name_of, sign_of
from .layers import told_apart
from .rings import Ring

SAME_BOX_MM = 0.02  # sizes of curves are exact, so doubles have one box however they are drawn
SAME_LINE_MM = 0.1  # twice what a chord may lie off its curve

Area = tuple[Ring, Polygon]


def parts_of(rings: Sequence[Ring], findings: Findings) -> tuple[DrawnOutline, ...]:
    """All parts, the largest at the bottom. Raises Refused where there is none, or an outline is too tangled."""
    areas = _without_doubles([area for ring in rings for area in _areas(ring, findings)], findings)
    found = nested([polygon for _, polygon in areas], [ring.layer for ring, _ in areas])
    _say_odd_holes(areas, {place for place, _ in found}, findings)
    parts = [
        (areas[place][0], polygon) for place, polygon in found if not is_speck(polygon, findings)
    ]
    if not parts:
        raise Refused(wording.no_closed_outline_dxf())
    parts.sort(key=lambda part: (-round(part[1].area, 3), part[0].order))
    in_file_order = sorted(
        parts, key=lambda part: part[0].order
    )  # the first layer of a colour keeps it
    colours = told_apart([(ring.layer, ring.colour) for ring, _ in in_file_order], findings)
    held = Counter(holder for ring, _ in parts for holder in ring.holders)
    return tuple(
        DrawnOutline(
            Outline.of_polygon(polygon),
            colours[ring.layer, ring.colour],
            name_of(ring.holders, held),
            sign_of(ring.holders),
            order,
            ring.layer,
        )
        for order, (ring, polygon) in enumerate(parts)
    )


def _areas(ring: Ring, findings: Findings) -> list[Area]:
    polygons = areas_of([ring.points], "nonzero", ring.spoken, findings)
    if not polygons:
        findings.add("empty", mended.encloses_nothing(ring.spoken), ring.points[0])
    return [(ring, polygon) for polygon in polygons if not is_speck(polygon, findings)]


def _without_doubles(areas: list[Area], findings: Findings) -> list[Area]:
    """Of outlines of one layer that lie on each other, however they are drawn, the first stays."""
    if not areas:
        return []
    boxes = shapely.bounds([polygon for _, polygon in areas])
    corners = shapely.points(boxes[:, :2])
    ones, others = STRtree(corners).query(corners, predicate="dwithin", distance=SAME_BOX_MM)
    is_pair = (ones < others) & (np.abs(boxes[ones] - boxes[others]).max(axis=1) <= SAME_BOX_MM)
    stays_for: dict[int, int] = {}
    for one, other in sorted(zip(ones[is_pair].tolist(), others[is_pair].tolist(), strict=True)):
        if one not in stays_for and other not in stays_for and _are_same(areas[one], areas[other]):
            stays_for[other] = one
    for one, more in Counter(stays_for.values()).items():
        ring, polygon = areas[one]
        say_double(ring.spoken, more + 1, polygon.exterior.coords[0], findings)
    return [area for place, area in enumerate(areas) if place not in stays_for]


def _are_same(one: Area, other: Area) -> bool:
    if one[0].layer != other[0].layer:
        return False
    apart: float = shapely.hausdorff_distance(one[1].exterior, other[1].exterior)
    return apart <= SAME_LINE_MM


def _say_odd_holes(areas: Sequence[Area], parts: set[int], findings: Findings) -> None:
    """A hole in another colour than all parts of its layer may be meant as a part."""
    colours = {(areas[place][0].layer, areas[place][0].colour) for place in parts}
    for place, (ring, polygon) in enumerate(areas):
        if place not in parts and (ring.layer, ring.colour) not in colours:
            findings.add(
                "hole",
                mended.odd_hole(ring.spoken),
                polygon.exterior.coords[0],
                polygon.exterior.coords,
            )
