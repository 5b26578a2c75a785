"""Families: outlines of one stock that may replace one another.

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


def sort_into(outlines: Iterable[Outline], references: Sequence[Outline], turns: str) -> Sorted:
    """Sort each outline into the family of the nearest reference within 0.1 mm; one that fits none starts a family.

    An outline that starts a family becomes its reference, also for those after it.
    """
    families = Families(references, turns)
    return Sorted(tuple(families.place_all(outlines)), families.references)


def grouped(outlines: Sequence[Outline], turns: str) -> list[Group]:
    """Return the families among the outlines, in the order of their first members."""
    families = sort_into(outlines, [], turns)
    members: list[list[int]] = [[] for _ in families.references]
    for place, match in enumerate(families.matches):
        members[match.family].append(place)
    return [
        Group(reference, tuple(places))
        for reference, places in zip(families.references, members, strict=True)
    ]


class Families:
    """The families of one stock, looked up by size so that many of them stay quick."""

    def __init__(self, references: Iterable[Outline], turns: str) -> None:
        self._turns = turns
        self._shapes: list[Shape] = []
        self._cells: dict[tuple[int, int, int], list[int]] = defaultdict(list)
        self._seen: dict[tuple[tuple[int, ...], bytes], Match] = {}
        for shape in _measured(references):
            self._start(shape)

    @property
    def references(self) -> tuple[Outline, ...]:
        """The first outline of each family, in the order of the families."""
        return tuple(shape.outline for shape in self._shapes)

    def place_all(self, outlines: Iterable[Outline]) -> list[Match]:
        """Return the family of each outline, one after the other; start one where it fits none."""
        return [self._place(shape) for shape in _measured(outlines)]

    def _place(self, shape: Shape) -> Match:
        if shape.key not in self._seen:  # a letter seen before is known without any geometry
            self._seen[shape.key] = self._nearest(shape) or self._start(shape)
        return self._seen[shape.key]

    def _start(self, shape: Shape) -> Match:
        place = len(self._shapes)
        self._shapes.append(shape)
        self._cells[shape.holes, _radius_cell(shape.radius), _area_cell(shape.area)].append(place)
        return Match(place, 0.0)

    def _nearest(self, shape: Shape) -> Match | None:
        fitting: list[tuple[int, Pose]] = []
        for place in self._near(shape):
            pose = congruent.pose_onto(shape, self._shapes[place], self._turns)
            if pose is not None:
                fitting.append((place, pose))
        if len(fitting) > 1:
            fitting.sort(key=lambda fit: congruent.distance(shape, self._shapes[fit[0]], fit[1]))
        return Match(fitting[0][0], fitting[0][1][0]) if fitting else None

    def _near(self, shape: Shape) -> list[int]:
        """Return the references whose size allows it, in the order of the families."""
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
    measured = list(outlines)
    for begin in range(0, len(measured), AT_ONCE):
        yield from congruent.shapes_of(measured[begin : begin + AT_ONCE])


def _radius_cell(radius: float) -> int:
    return math.floor(radius / RADIUS_MM)


def _area_cell(area: float) -> int:
    return math.floor(AREA_STEPS * math.log(max(area, 1.0)))
