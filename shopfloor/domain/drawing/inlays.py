"""Which outline is let into a hole of another one, flush with it.

Owns what counts as filling a hole. Must not know levels or signs. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import Polygon, STRtree

OVERSIZE = 0.15  # mm that an inlay may be larger than its hole, on each side: both were drawn from one curve
CLEARANCE = 0.5  # mm that it may be smaller, on each side: room for glue and for the tool's error
MITRE = (
    5.0  # corners are as sharp as they were drawn, down to about 23 degrees (shapely's mitre limit)
)
ROUNDING = 0.002  # mm: outlines are kept to the thousandth
HIDING = 0.9  # of its area: with its middle and so much of it under one outline between the two, it is not in the hole


def hosts(areas: np.ndarray) -> list[int | None]:
    """For each area, in the order of drawing, the one that it is let into, or None.

    It fills a hole of its host: nowhere more than 0.15 mm larger, nowhere more than 0.5 mm smaller. Each hole takes
    one, the first drawn. Nothing between the two in the order of drawing may hide the hole. Where several holes fit,
    it goes into the one drawn last before it, else the first one after it.
    """
    found: list[int | None] = [None] * len(areas)
    tree, is_taken = None, set()
    for plug, holes in _fitting(areas):
        tree = tree or STRtree(areas)
        near = tree.query(middle := areas[plug].point_on_surface())
        near = near[shapely.contains_xy(areas[near], middle.x, middle.y)]
        for host, hole in sorted(holes, key=lambda one: (one[0] > plug, abs(one[0] - plug))):
            if (host, hole) not in is_taken and not _is_hidden(areas, near, plug, host):
                is_taken.add((host, hole))
                found[plug] = host
                break
    return found


def _fitting(areas: np.ndarray) -> Iterator[tuple[int, list[tuple[int, int]]]]:
    """Each area that fills a hole, with all holes that it fills: (area, hole), both places in the order given."""
    holes, owners = _holes(areas)
    if not len(holes):
        return
    plugs = shapely.polygons(shapely.get_exterior_ring(areas))
    sizes, sizes_of_holes = shapely.area(plugs), shapely.area(holes)
    plug, hole = _of_like_boxes(shapely.bounds(plugs), shapely.bounds(holes))
    smaller = sizes_of_holes[hole] - sizes[plug]
    is_like = smaller <= CLEARANCE * shapely.length(holes)[hole]
    is_like &= -smaller <= OVERSIZE * shapely.length(plugs)[plug]
    is_smaller = (
        sizes[plug] < sizes[owners[hole]]
    )  # by what its outer ring holds: so no two are let into each other
    fitting: dict[int, list[tuple[int, int]]] = {}
    for one, other in zip(
        plug[is_like & is_smaller].tolist(), hole[is_like & is_smaller].tolist(), strict=True
    ):
        if _fills(plugs[one], holes[other]):
            fitting.setdefault(one, []).append((int(owners[other]), other))
    yield from sorted(fitting.items())


def _holes(areas: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """All holes as areas, and whose they are."""
    rings, owners = shapely.get_rings(areas, return_index=True)
    is_hole = np.concatenate([[False], owners[1:] == owners[:-1]])[
        : len(rings)
    ]  # the outer ring comes first
    return shapely.polygons(rings[is_hole]), owners[is_hole]


def _of_like_boxes(plugs: np.ndarray, holes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The pairs whose boxes agree on all sides but for what sharp corners may differ."""
    slack = MITRE * CLEARANCE
    corners = STRtree(shapely.points(holes[:, :2]))
    plug, hole = corners.query(shapely.box(*(plugs[:, :2] - slack).T, *(plugs[:, :2] + slack).T))
    is_like = np.abs(plugs[plug] - holes[hole]).max(axis=1, initial=0) <= slack
    return plug[is_like], hole[is_like]


def _fills(plug: Polygon, hole: Polygon) -> bool:
    grown = {"join_style": "mitre", "mitre_limit": MITRE}
    is_small_enough = hole.buffer(OVERSIZE + ROUNDING, **grown).covers(plug)
    return bool(is_small_enough and plug.buffer(CLEARANCE + ROUNDING, **grown).covers(hole))


def _is_hidden(areas: np.ndarray, near: np.ndarray, plug: int, host: int) -> bool:
    between = near[(near > min(plug, host)) & (near < max(plug, host))]
    hidden = shapely.area(shapely.intersection(areas[between], areas[plug]))
    return bool(np.any(hidden >= HIDING * areas[plug].area))
