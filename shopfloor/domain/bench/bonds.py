"""How large the joint of a part is, and how much cement a session needs. Lengths are mm, areas mm²."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon

from ..drawing.inlays import CLEARANCE, OVERSIZE
from ..outlines import Outline

MM2_PER_M2 = 1_000_000.0


@dataclass(frozen=True)
class Joint:
    """A part and what it needs under or round it, all at their places on the sign; `thickness_mm` is that of its stock."""

    part: int
    outline: Outline
    under: tuple[Outline, ...]
    thickness_mm: float


def bond_areas(joints: Sequence[Joint]) -> dict[int, float]:
    """Return the area of each part's joint in mm², by part.

    What lies on others is joined where it covers them. What is let into a hole, with nothing under it, is joined along its
    edge: the length that touches, times the thickness.
    """
    grounds: dict[tuple[Outline, ...], Polygon] = {}  # the letters of a panel all lie on the same
    areas = {}
    for joint in joints:
        if joint.under not in grounds:
            ground = grounds[joint.under] = shapely.union_all(
                [outline.polygon for outline in joint.under]
            )
            shapely.prepare(ground)
        areas[joint.part] = _area(joint, grounds[joint.under])
    return areas


def _area(joint: Joint, ground: Polygon) -> float:
    outline = joint.outline.polygon
    if ground.contains(outline):
        return float(outline.area)
    covered = float(outline.intersection(ground).area)
    # more than what a plug may be drawn larger than its hole
    if covered > OVERSIZE * outline.length:
        return covered
    if ground.is_empty:
        return 0.0
    # an inlay may be so much smaller than its hole
    edge = outline.boundary.intersection(ground.boundary.buffer(CLEARANCE))
    return float(edge.length) * joint.thickness_mm


def cement_ml(area_mm2: float, ml_per_m2: float, spare_share: float) -> float | None:
    """Return the cement that joints of `area_mm2` need, in ml, with what is lost; None where its need is not known (0)."""
    if ml_per_m2 <= 0:
        return None
    return area_mm2 / MM2_PER_M2 * ml_per_m2 * (1 + spare_share)
