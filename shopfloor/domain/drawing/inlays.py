"""Inlays: outlines let into a hole of another one, flush with it.

Owns what counts as filling a hole. Must not know levels or signs. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon, STRtree

OVERSIZE = 0.15  # mm that an inlay may be larger than its hole, on each side: both were drawn from one curve
CLEARANCE = 0.5  # mm that it may be smaller, on each side: room for glue and for the tool's error
MITRE = 5.0  # corners stay sharp down to about 23 degrees (shapely's mitre limit)
ROUNDING = 0.002  # mm: outlines are kept to the thousandth
HIDING = (
    0.9  # of its area: an outline between the two that covers its middle and this much hides it
)

Areas = npt.NDArray[np.object_]
Places = npt.NDArray[np.intp]
Boxes = npt.NDArray[np.float64]


def hosts(areas: Areas) -> list[int | None]:
    """Return for each area, in drawing order, the one that it is let into, or None.

    An inlay fills a hole of its host: nowhere more than 0.15 mm larger, nowhere more than 0.5 mm smaller. Each hole
    takes one inlay, the first drawn. Nothing between the two in drawing order may hide the hole. Where several holes
    fit, it goes into the one drawn last before it, else the first one after it.
    """
    host_of: list[int | None] = [None] * len(areas)
    tree, is_taken = None, set()
    for plug, holes in _fitting(areas):
        tree = tree or STRtree(areas)
        near = tree.query(middle := areas[plug].point_on_surface())
        near = near[shapely.contains_xy(areas[near], middle.x, middle.y)]
        for host, hole in sorted(holes, key=lambda fit: (fit[0] > plug, abs(fit[0] - plug))):
            if (host, hole) not in is_taken and not _is_hidden(areas, near, plug, host):
                is_taken.add((host, hole))
                host_of[plug] = host
                break
    return host_of


def _fitting(areas: Areas) -> Iterator[tuple[int, list[tuple[int, int]]]]:
    """Yield each area that fills a hole, with all holes that it fills: (area, hole), both by place."""
    holes, owners = _holes(areas)
    if not len(holes):
        return
    plugs = shapely.polygons(shapely.get_exterior_ring(areas))
    sizes, sizes_of_holes = shapely.area(plugs), shapely.area(holes)
    plug, hole = _of_like_boxes(shapely.bounds(plugs), shapely.bounds(holes))
    smaller = sizes_of_holes[hole] - sizes[plug]
    is_like = smaller <= CLEARANCE * shapely.length(holes)[hole]
    is_like &= -smaller <= OVERSIZE * shapely.length(plugs)[plug]
    # by the area in the outer ring, so that no two are let into each other
    is_smaller = sizes[plug] < sizes[owners[hole]]
    fitting: dict[int, list[tuple[int, int]]] = {}
    plug, hole = plug[is_like & is_smaller], hole[is_like & is_smaller]
    for inlay, filled in zip(plug.tolist(), hole.tolist(), strict=True):
        if _fills(plugs[inlay], holes[filled]):
            fitting.setdefault(inlay, []).append((int(owners[filled]), filled))
    yield from sorted(fitting.items())


def _holes(areas: Areas) -> tuple[Areas, Places]:
    """Return all holes as areas, and for each the place of its owner."""
    rings, owners = shapely.get_rings(areas, return_index=True)
    # the outer ring comes first
    is_hole = np.concatenate([[False], owners[1:] == owners[:-1]])[: len(rings)]
    return shapely.polygons(rings[is_hole]), owners[is_hole]


def _of_like_boxes(plugs: Boxes, holes: Boxes) -> tuple[Places, Places]:
    """Return the pairs whose boxes agree on all sides, sharp corners allowed for."""
    slack = MITRE * CLEARANCE
    corners = STRtree(shapely.points(holes[:, :2]))
    plug, hole = corners.query(shapely.box(*(plugs[:, :2] - slack).T, *(plugs[:, :2] + slack).T))
    is_like = np.abs(plugs[plug] - holes[hole]).max(axis=1, initial=0) <= slack
    return plug[is_like], hole[is_like]


def _fills(plug: Polygon, hole: Polygon) -> bool:
    grown = {"join_style": "mitre", "mitre_limit": MITRE}
    is_small_enough = hole.buffer(OVERSIZE + ROUNDING, **grown).covers(plug)
    return bool(is_small_enough and plug.buffer(CLEARANCE + ROUNDING, **grown).covers(hole))


def _is_hidden(areas: Areas, near: Places, plug: int, host: int) -> bool:
    between = near[(near > min(plug, host)) & (near < max(plug, host))]
    hidden = shapely.area(shapely.intersection(areas[between], areas[plug]))
    return bool(np.any(hidden >= HIDING * areas[plug].area))
