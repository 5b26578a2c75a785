"""Where a sign joins unlike materials: by group the joint that moves most, and the gaps between the sections of a board.

Owns the walk over a sign's parts. What follows from a movement stands in expansion.py. Lengths mm on the sign, y up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree

from ..outlines import Outline
from .expansion import (
    GLUED_AT_C,
    SECTIONS_MM,
    Advice,
    Movement,
    Site,
    advice,
    at_least,
    moved_mm,
    small_length,
)


@dataclass(frozen=True)
class LaidPart:
    """A part at its place. `per_k` is its stock's expansion in millionths a kelvin, None where nobody entered it; `joined_c`
    how warm it was when it was glued; `under` are the ids of what it lies on or is let into."""

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
    """All joints of one stock over another on one level. `part` names the one that moves most. `advice` is None where a
    figure is missing; `missing` names the stocks that lack it."""

    upper: str
    lower: str
    level: int
    is_let_in: bool
    count: int
    part: str
    advice: Advice | None
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Unlike:
    """A sign's joints. `alike` counts those of equal expansion, which need nothing."""

    groups: tuple[Group, ...]
    alike: int


@dataclass(frozen=True)
class Joint:
    """Two neighbouring sections of a board: the gap that is drawn between them, and the one that their growth needs."""

    first: str
    second: str
    drawn_mm: float
    needed_mm: float

    @property
    def is_wide_enough(self) -> bool:
        """Whether the drawn gap takes the growth."""
        return self.drawn_mm >= self.needed_mm


def unlike(parts: Sequence[LaidPart], site: Site, tape_mm: float, units: str = "mm") -> Unlike:
    """The joints of a sign by (stock over stock, level), the largest movement first; those without a figure before them."""
    by_id = {part.id: part for part in parts}
    pairs: dict[tuple, list[tuple[LaidPart, LaidPart]]] = defaultdict(list)
    alike = 0
    for part in parts:
        for under in (by_id[id] for id in part.under if id in by_id):
            if part.stock == under.stock or (part.per_k is not None and part.per_k == under.per_k):
                alike += 1
            else:
                pairs[part.stock, under.stock, part.level, part.level == under.level].append(
                    (part, under)
                )
    groups = [_group(key, some, site, tape_mm, units) for key, some in pairs.items()]
    groups.sort(
        key=lambda group: (
            -group.advice.movement.most_mm if group.advice else -np.inf,
            group.level,
            group.upper,
        )
    )
    return Unlike(tuple(groups), alike)


def _group(
    key: tuple, pairs: list[tuple[LaidPart, LaidPart]], site: Site, tape_mm: float, units: str
) -> Group:
    upper, lower, level, is_let_in = key
    missing = tuple(part.stock for part in pairs[0] if part.per_k is None)
    if missing:
        return Group(upper, lower, level, is_let_in, len(pairs), pairs[0][0].name, None, missing)
    moves = [
        (
            Movement(
                bond_mm(part.outline, under.outline), part.per_k - under.per_k, part.joined_c, site
            ),
            part.name,
        )
        for part, under in pairs
    ]
    most, name = max(moves, key=lambda move: move[0].most_mm)
    told = advice(most, tape_mm, is_let_in=is_let_in, units=units)
    return Group(upper, lower, level, is_let_in, len(pairs), name, told, ())


def bond_mm(upper: Outline, lower: Outline) -> float:
    """The longest extent of a bond: the greatest distance between two points of where the upper part lies on the lower one;
    of a part that is let in, or overlaps nothing, the greatest distance within itself."""
    shared = upper.polygon.intersection(lower.polygon)
    return longest_mm(shared if shared.area > 0 else upper.polygon)


def longest_mm(shape: shapely.Geometry) -> float:
    """The greatest distance between two points of a shape: between two corners of its convex hull."""
    corners = shapely.get_coordinates(shapely.convex_hull(shape))
    return float(np.sqrt(((corners[:, None, :] - corners[None, :, :]) ** 2).sum(axis=2).max()))


# Sections of a board. -------------------------------------------------------------------------------------------------


def joints(parts: Sequence[LaidPart], site: Site, wall_per_k: float) -> tuple[Joint, ...]:
    """The neighbours among the bottom parts that stand on the wall themselves, the tightest gap first.

    Each is held to the wall in its middle and grows from there, so half of each grows into the gap between them.
    """
    bases = [
        part for part in parts if part.level == 0 and not part.under and part.per_k is not None
    ]
    shapes = [part.outline.polygon for part in bases]
    if len(bases) < 2:
        return ()
    found = STRtree(shapes).query(shapes, predicate="dwithin", distance=SECTIONS_MM)
    pairs = [(bases[one], bases[other]) for one, other in zip(*found.tolist()) if one < other]
    made = [_joint(one, other, site, wall_per_k) for one, other in pairs]
    return tuple(sorted(made, key=lambda joint: joint.drawn_mm - joint.needed_mm))


def _joint(one: LaidPart, other: LaidPart, site: Site, wall_per_k: float) -> Joint:
    axis = _axis(one.outline, other.outline)
    growth = sum(
        moved_mm(
            _extent(part.outline, axis) / 2,
            max(0.0, part.per_k - wall_per_k),
            site.warmest_c - GLUED_AT_C,
        )
        for part in (one, other)
    )
    return Joint(one.name, other.name, one.outline.polygon.distance(other.outline.polygon), growth)


def _axis(one: Outline, other: Outline) -> int:
    """0 where two outlines stand side by side, 1 where one stands over the other: where their boxes are further apart."""

    def apart(axis: int) -> float:
        return max(one.bounds[axis], other.bounds[axis]) - min(
            one.bounds[axis + 2], other.bounds[axis + 2]
        )

    return 0 if apart(0) >= apart(1) else 1


def _extent(outline: Outline, axis: int) -> float:
    return outline.bounds[axis + 2] - outline.bounds[axis]


def said_of(joint: Joint, units: str) -> str:
    """A joint between two sections in one sentence."""
    names, gap = f"{joint.first} and {joint.second}", at_least(joint.needed_mm, units)
    if joint.is_wide_enough:
        return f"{names}: the gap of {small_length(joint.drawn_mm, units)} takes their growth, which needs {gap}."
    drawn = small_length(joint.drawn_mm, units) if joint.drawn_mm > 0 else "none"
    return f"{names}: leave a gap of {gap} for their growth at the warmest; {drawn} is drawn."
