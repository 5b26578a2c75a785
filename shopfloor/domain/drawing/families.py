"""Families: outlines of one stock that may stand in for one another.

Owns which family an outline joins: the nearest reference within 0.1 mm, turned as the stock allows, never mirrored.
Whether two outlines are congruent is decided in `congruent`. Must not know about stock, pieces or the store. Lengths
are millimetres, angles degrees counter-clockwise.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..outlines import Outline
from . import congruent
from .congruent import Pose, Shape

RADIUS_MM = 0.5  # step of the radius by which references are looked up
AREA_STEPS = 10  # and steps of the area: so many for each 2.7-fold
AT_ONCE = 256  # outlines are measured in such lots


@dataclass(frozen=True)
class Match:
    """The family that an outline belongs to: the place of its reference, and the turn that lays it onto that."""

    family: int
    turn: float


@dataclass(frozen=True)
class Sorted:
    """One match for each outline, and all references: those that were given, then those that were started."""

    matches: tuple[Match, ...]
    references: tuple[Outline, ...]


@dataclass(frozen=True)
class Group:
    """One family among some outlines: its reference, which is the first of them, and the places of all of them."""

    reference: Outline
    members: tuple[int, ...]


def turn_onto(outline: Outline, reference: Outline, turns: str) -> float | None:
    """The turn in degrees (0 ≤ turn < 360) that lays `outline` onto `reference`, or None when they are not congruent.

    Congruent: after the turn and a shift no point of either boundary is further than 0.1 mm from the other. A mirrored
    outline is another shape. `turns` is what the stock allows: 'any', '180' (half a turn) or 'none'.
    """
    pose = congruent.pose_onto(
        *congruent.shapes_of([outline, reference]), congruent.checked_turns(turns)
    )
    return None if pose is None else pose[0]


def sort_into(outlines: Iterable[Outline], references: Sequence[Outline], turns: str) -> Sorted:
    """Each outline into the family of the nearest reference within 0.1 mm; what fits none starts a family.

    An outline that starts a family becomes its reference, also for those after it.
    """
    families = Families(references, turns)
    return Sorted(tuple(families.place_all(outlines)), families.references)


def grouped(outlines: Sequence[Outline], turns: str) -> list[Group]:
    """The families among the outlines, in the order in which each is first met."""
    found = sort_into(outlines, [], turns)
    members: list[list[int]] = [[] for _ in found.references]
    for place, match in enumerate(found.matches):
        members[match.family].append(place)
    return [
        Group(reference, tuple(some))
        for reference, some in zip(found.references, members, strict=True)
    ]


class Families:
    """The families of one stock, looked up by size so that many of them stay quick."""

    def __init__(self, references: Iterable[Outline], turns: str):
        self._turns = congruent.checked_turns(turns)
        self._shapes: list[Shape] = []
        self._cells: dict[tuple[int, int, int], list[int]] = defaultdict(list)
        self._seen: dict[tuple, Match] = {}
        for shape in _measured(references):
            self._start(shape)

    @property
    def references(self) -> tuple[Outline, ...]:
        """One outline a family, in the order in which the families were started."""
        return tuple(shape.outline for shape in self._shapes)

    def place(self, outline: Outline) -> Match:
        """The family of this outline; starts one where it fits none."""
        return self.place_all([outline])[0]

    def place_all(self, outlines: Iterable[Outline]) -> list[Match]:
        """The family of each outline in turn; one after the other, only quicker."""
        return [self._place(shape) for shape in _measured(outlines)]

    def _place(self, shape: Shape) -> Match:
        if (
            shape.key not in self._seen
        ):  # the same letter again and again: known without any geometry
            self._seen[shape.key] = self._nearest(shape) or self._start(shape)
        return self._seen[shape.key]

    def _start(self, shape: Shape) -> Match:
        place = len(self._shapes)
        self._shapes.append(shape)
        self._cells[shape.holes, _radius_cell(shape.radius), _area_cell(shape.area)].append(place)
        return Match(place, 0.0)

    def _nearest(self, shape: Shape) -> Match | None:
        found: list[tuple[int, Pose]] = []
        for place in self._near(shape):
            pose = congruent.pose_onto(shape, self._shapes[place], self._turns)
            if pose is not None:
                found.append((place, pose))
        if len(found) > 1:
            found.sort(key=lambda one: congruent.distance(shape, self._shapes[one[0]], one[1]))
        return Match(found[0][0], found[0][1][0]) if found else None

    def _near(self, shape: Shape) -> list[int]:
        """The references that may be congruent by their size, in the order in which they were started."""
        radius, area = congruent.may_differ_by(shape)
        return sorted(
            place
            for r in range(
                _radius_cell(shape.radius - radius), _radius_cell(shape.radius + radius) + 1
            )
            for a in range(_area_cell(shape.area - area), _area_cell(shape.area + area) + 1)
            for place in self._cells.get((shape.holes, r, a), ())
        )


def _measured(outlines: Iterable[Outline]) -> Iterable[Shape]:
    some = list(outlines)
    for begin in range(0, len(some), AT_ONCE):
        yield from congruent.shapes_of(some[begin : begin + AT_ONCE])


def _radius_cell(radius: float) -> int:
    return math.floor(radius / RADIUS_MM)


def _area_cell(area: float) -> int:
    return math.floor(AREA_STEPS * math.log(max(area, 1.0)))
