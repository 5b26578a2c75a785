"""Where a sign joins dissimilar materials: in each group the joint that moves most; and gaps between sections of a board.

Owns the walk over a sign's parts; expansion.py says what follows from a movement. Lengths mm on the sign, y up.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree

from ...wording import fixings as wording
from ...wording.message import Message
from ..outlines import Outline
from .expansion import GLUED_AT_C, SECTIONS_MM, Advice, Movement, Site, advice, moved_mm


@dataclass(frozen=True)
class LaidPart:
    """A part at its place. `per_k` is its stock's expansion in millionths per kelvin, None where it is not entered;
    `joined_c` the temperature at which it was glued; `under` are the ids of what it lies on or is let into."""

    id: int
    name: str
    level: int
    outline: Outline
    stock: str
    per_k: float | None
    joined_c: float
    under: tuple[int, ...]


@dataclass(frozen=True)
class Group:
    """All joints of one stock on another on one level. `part` names the one that moves most. `advice` is None where an
    expansion is missing; `missing` names the stocks that lack it."""

    upper: str
    lower: str
    level: int
    is_let_in: bool
    count: int
    part: str
    advice: Advice | None
    missing: tuple[str, ...]


@dataclass(frozen=True)
class MixedJoints:
    """A sign's joints. `alike` counts those of equal expansion, which need nothing."""

    groups: tuple[Group, ...]
    alike: int


@dataclass(frozen=True)
class Joint:
    """Two neighbouring sections of a board: the gap drawn between them, and the gap that their expansion needs."""

    first: str
    second: str
    drawn_mm: float
    needed_mm: float

    @property
    def is_wide_enough(self) -> bool:
        """Whether the drawn gap takes the growth."""
        return self.drawn_mm >= self.needed_mm


_Key = tuple[str, str, int, bool]  # upper stock, lower stock, level, whether it is let in


def mixed_joints(parts: Sequence[LaidPart], site: Site, tape_mm: float) -> MixedJoints:
    """The joints of a sign by (stock on stock, level): first those that lack an expansion, then the largest movement."""
    by_id = {part.id: part for part in parts}
    pairs: dict[_Key, list[tuple[LaidPart, LaidPart]]] = defaultdict(list)
    alike = 0
    for part in parts:
        for under in (by_id[id] for id in part.under if id in by_id):
            if part.stock == under.stock or (part.per_k is not None and part.per_k == under.per_k):
                alike += 1
            else:
                key = part.stock, under.stock, part.level, part.level == under.level
                pairs[key].append((part, under))
    groups = [_group(key, joined, site, tape_mm) for key, joined in pairs.items()]
    groups.sort(
        key=lambda group: (
            -group.advice.movement.most_mm if group.advice else -math.inf,
            group.level,
            group.upper,
        )
    )
    return MixedJoints(tuple(groups), alike)


def _group(key: _Key, pairs: list[tuple[LaidPart, LaidPart]], site: Site, tape_mm: float) -> Group:
    upper, lower, level, is_let_in = key
    missing = tuple(part.stock for part in pairs[0] if part.per_k is None)
    movements = [
        (
            Movement(
                bond_mm(part.outline, under.outline),
                part.per_k - under.per_k,
                part.joined_c,
                site,
            ),
            part.name,
        )
        for part, under in pairs
        if part.per_k is not None and under.per_k is not None
    ]
    if missing or not movements:
        return Group(upper, lower, level, is_let_in, len(pairs), pairs[0][0].name, None, missing)
    largest, name = max(movements, key=lambda movement: movement[0].most_mm)
    joined_by = advice(largest, tape_mm, is_let_in=is_let_in)
    return Group(upper, lower, level, is_let_in, len(pairs), name, joined_by, ())


def bond_mm(upper: Outline, lower: Outline) -> float:
    """The longest extent of a bond: the greatest distance between two points of the area where the upper part lies on the
    lower one; of a part that is let in, or overlaps nothing, the greatest distance within the part itself."""
    shared = upper.polygon.intersection(lower.polygon)
    return longest_mm(shared if shared.area > 0 else upper.polygon)


def longest_mm(shape: shapely.Geometry) -> float:
    """The greatest distance between two points of a shape: between two corners of its convex hull."""
    corners = shapely.get_coordinates(shapely.convex_hull(shape))
    return float(np.sqrt(((corners[:, None, :] - corners[None, :, :]) ** 2).sum(axis=2).max()))


# Sections of a board. -------------------------------------------------------------------------------------------------


def joints(parts: Sequence[LaidPart], site: Site, wall_per_k: float) -> tuple[Joint, ...]:
    """The gaps between neighbouring bottom parts that are screwed to the wall themselves, the tightest first.

    Each part is held to the wall in its middle and grows from there, so half of its growth goes into the gap.
    """
    bases = [
        part for part in parts if part.level == 0 and not part.under and part.per_k is not None
    ]
    shapes = [part.outline.polygon for part in bases]
    if len(bases) < 2:
        return ()
    indices = STRtree(shapes).query(shapes, predicate="dwithin", distance=SECTIONS_MM)
    gaps = [
        _joint(bases[first], bases[second], site, wall_per_k)
        for first, second in zip(*indices.tolist(), strict=True)
        if first < second
    ]
    return tuple(sorted(gaps, key=lambda joint: joint.drawn_mm - joint.needed_mm))


def _joint(first: LaidPart, second: LaidPart, site: Site, wall_per_k: float) -> Joint:
    boxes = np.array([first.outline.bounds, second.outline.bounds])
    # side by side, or one above the other: whichever way their boxes are further apart
    axis = int((boxes[:, :2].max(axis=0) - boxes[:, 2:].min(axis=0)).argmax())
    sides = (boxes[:, axis + 2] - boxes[:, axis]).tolist()
    growth = sum(
        moved_mm(side / 2, max(0.0, (part.per_k or 0.0) - wall_per_k), site.warmest_c - GLUED_AT_C)
        for part, side in zip((first, second), sides, strict=True)
    )
    drawn = first.outline.polygon.distance(second.outline.polygon)
    return Joint(first.name, second.name, drawn, growth)


def too_tight(joint: Joint) -> Message:
    """What to do about a gap that is drawn too narrow."""
    return wording.gap_too_tight(joint.first, joint.second, joint.needed_mm, joint.drawn_mm)
