"""From drawn outlines to signs, levels and numbered parts.

Owns which outlines make one sign and how its parts are numbered. `support` finds which part lies on which,
`reading_order` the order of reading. Must not know about files, stock or what becomes of a sign later. Lengths are millimetres, y
points up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree

from ...wording import drawings as wording
from ...wording.message import Message
from .. import many_outlines
from ..errors import Refused
from ..outlines import PLACES, Outline
from .drawing import DrawnOutline
from .reading_order import reading_lines
from .support import Rest, rests

LOOSE = 0.25  # of the smallest board that carries a part: anything smaller and off every board may be misplaced


@dataclass(frozen=True)
class ProposedPart:
    """A part at its place. `outline` and `baseline_mm` count from the sign's lower left corner.

    `on` is the number of the part that it lies on most; `also_on` are the others that it needs under or round it (the
    second panel that it bridges, the part whose pocket it fills, which is `inlay_in`). `line` counts from 0 within its
    level, top to bottom; inlays come after the lines of what they are let into.
    """

    number: int
    name: str | None
    colour: str
    level: int
    on: int | None
    outline: Outline
    line: int
    baseline_mm: float
    also_on: tuple[int, ...] = ()
    inlay_in: int | None = None


@dataclass(frozen=True)
class ProposedSign:
    """A sign as the drawing suggests it; its parts in the order of their numbers, from 1.

    `places` says which signs of the drawing it is made of (from 0, counted without joins and with nothing left out).
    `left_mm`, `bottom_mm` are its lower left corner in drawing coordinates. `is_loose`: a part off every board of a
    drawing that has boards: its own sign, or misplaced?
    """

    name: str | None
    width_mm: float
    height_mm: float
    levels: int
    parts: tuple[ProposedPart, ...]
    places: tuple[int, ...] = ()
    left_mm: float = 0.0
    bottom_mm: float = 0.0
    is_loose: bool = False


def propose(
    outlines: Sequence[DrawnOutline],
    joins: Iterable[Iterable[int]] = (),
    left_out: Iterable[int] = (),
) -> tuple[ProposedSign, ...]:
    """Return the signs in a drawing, in reading order: one for each bottom outline with all that is stacked on or let into it.

    Bottom outlines that share a group make one sign, and so do those that one part bridges. `joins` and `left_out` hold
    places (from 0) of signs in the proposal without either: each of `joins` becomes one sign, what is left out drops.
    A sign is loose where it is a single outline that nobody grouped or joined, smaller than a quarter of the smallest
    board that carries a part, or within the box of another sign (in a hole of it, or drawn before what covers it).
    Raises Refused where a join, or what is left out, names a sign that is not there.
    """
    layout = _Layout(sorted(outlines, key=lambda outline: outline.order))
    unordered = layout.members()
    signs = [unordered[place] for place in layout.in_reading_order(unordered)]
    groups = _groups(len(signs), joins)
    dropped = _places_among(len(signs), left_out, wording.no_sign_to_leave_out)
    kept = [tuple(place for place in group if place not in dropped) for group in groups]
    kept = [places for places in kept if places]
    together = [[index for place in places for index in signs[place]] for places in kept]
    order = layout.in_reading_order(together) if len(groups) < len(signs) else range(len(kept))
    least = LOOSE * layout.smallest_board(index for members in together for index in members)
    inside = layout.inside_another(together)
    return tuple(
        layout.sign(together[place], kept[place], least, place in inside) for place in order
    )


def _places_among(
    signs: int, places: Iterable[int], refusal: Callable[[int, int], Message]
) -> set[int]:
    chosen = set(places)
    for place in sorted(chosen):
        if not 0 <= place < signs:
            raise Refused(refusal(place + 1, signs))
    return chosen


def _groups(signs: int, joins: Iterable[Iterable[int]]) -> list[list[int]]:
    """Return the places of the signs, joined ones together."""
    home = list(range(signs))
    for together in joins:
        homes = {home[place] for place in _places_among(signs, together, wording.no_sign_to_join)}
        home = [min(homes) if first in homes else first for first in home]
    groups: dict[int, list[int]] = defaultdict(list)
    for place, first in enumerate(home):
        groups[first].append(place)
    return list(groups.values())


class _Layout:
    """The outlines of a drawing in drawing order, with what each rests on. Members of a sign are indices of outlines."""

    def __init__(self, drawn: Sequence[DrawnOutline]) -> None:
        self.drawn = drawn
        self._outlines = [outline.outline for outline in drawn]
        areas = many_outlines.polygons(self._outlines)
        self._boxes = shapely.bounds(areas).reshape(-1, 4)
        broken = ~shapely.is_valid(areas)
        # rounding to the thousandth may let a ring touch itself, and shapely overlays only valid areas
        areas[broken] = shapely.buffer(areas[broken], 0)
        self._sizes = shapely.area(areas)
        self.rests: list[Rest] = rests(areas)

    def is_bottom(self, index: int) -> bool:
        """Whether an outline lies on nothing and is let into nothing."""
        return self.rests[index].on is None and self.rests[index].inlay_in is None

    def members(self) -> list[list[int]]:
        """Return the outlines of each sign: those that rest on each other, or whose bottom ones share a group."""
        home = list(range(len(self.drawn)))

        def root(index: int) -> int:
            while home[index] != index:
                home[index] = index = home[home[index]]
            return index

        first_of_group: dict[str, int] = {}
        for index, rest in enumerate(self.rests):
            group = self.drawn[index].group if self.is_bottom(index) else None
            for other in [
                *rest.needs,
                *([first_of_group.setdefault(group, index)] if group else []),
            ]:
                home[root(index)] = root(other)
        signs: dict[int, list[int]] = defaultdict(list)
        for index in range(len(self.drawn)):
            signs[root(index)].append(index)
        return list(signs.values())

    def in_reading_order(self, signs: list[list[int]]) -> list[int]:
        """Return the places of the signs in their list, line by line from the top, each from left to right."""
        lines = reading_lines([self._box(members) for members in signs], letter_ratio=0)
        return [place for line in lines for place in line.members]

    def smallest_board(self, members: Iterable[int]) -> float:
        """Return the area of the smallest bottom outline that carries another one; 0 where there is none."""
        carrying = {
            below for index in members for below in self.rests[index].needs if self.is_bottom(below)
        }
        return min((float(self._sizes[index]) for index in carrying), default=0.0)

    def inside_another(self, signs: list[list[int]]) -> set[int]:
        """Return the places of the signs whose box lies within the box of another one."""
        boxes = np.array([self._box(members) for members in signs]).reshape(-1, 4)
        around = STRtree(shapely.box(*boxes.T))
        inner, outer = around.query(shapely.box(*boxes.T), predicate="within")
        return set(inner[(inner != outer) & (boxes[inner] != boxes[outer]).any(axis=1)].tolist())

    def _is_loose(
        self, members: list[int], places: tuple[int, ...], least: float, is_inside: bool
    ) -> bool:
        is_alone = len(members) == len(places) == 1 and not self.drawn[members[0]].group
        return is_alone and (is_inside or bool(self._sizes[members[0]] < least))

    def sign(
        self, members: list[int], places: tuple[int, ...], least: float, is_inside: bool
    ) -> ProposedSign:
        """Return the sign of these outlines, its parts numbered level by level. One under `least` mm², or inside another
        sign, may be loose."""
        left, bottom, right, top = self._box(members)
        order = [place for some in self._by_level(members) for place in self._numbered(some)]
        numbers = {index: number for number, (index, *_) in enumerate(order, start=1)}
        moved = many_outlines.moved(
            [self._outlines[index] for index, *_ in order], [(-left, -bottom)] * len(order)
        )
        parts = tuple(
            self._part(index, numbers, outline, line, round(baseline - bottom, PLACES))
            for (index, line, baseline), outline in zip(order, moved, strict=True)
        )
        return ProposedSign(
            self._name([index for index, *_ in order]),
            round(right - left, PLACES),
            round(top - bottom, PLACES),
            1 + max(part.level for part in parts),
            parts,
            places,
            round(left, PLACES),
            round(bottom, PLACES),
            self._is_loose(members, places, least, is_inside),
        )

    def _by_level(self, members: list[int]) -> list[list[list[int]]]:
        """Return the outlines of each level: those that lie there, then the inlays in them, then the inlays in these."""
        levels: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
        for index in members:
            levels[self.rests[index].level][self._depth(index)].append(index)
        return [[some for _, some in sorted(levels[level].items())] for level in sorted(levels)]

    def _depth(self, index: int) -> int:
        host = self.rests[index].inlay_in
        return 0 if host is None else 1 + self._depth(host)

    def _numbered(self, groups: list[list[int]]) -> list[tuple[int, int, float]]:
        """Return (outline, line, baseline) in reading order; line numbers run on through the groups."""
        lines = [
            (line, group)
            for group in groups
            for line in reading_lines([tuple(self._boxes[index].tolist()) for index in group])
        ]
        return [
            (group[member], number, line.baseline)
            for number, (line, group) in enumerate(lines)
            for member in line.members
        ]

    def _part(
        self, index: int, numbers: dict[int, int], outline: Outline, line: int, baseline: float
    ) -> ProposedPart:
        drawn, rest = self.drawn[index], self.rests[index]
        also_on = tuple(sorted(numbers[other] for other in rest.also_on))
        return ProposedPart(
            numbers[index],
            drawn.name,
            drawn.colour,
            rest.level,
            None if rest.on is None else numbers.get(rest.on),
            outline,
            line,
            baseline,
            also_on,
            None if rest.inlay_in is None else numbers.get(rest.inlay_in),
        )

    def _name(self, numbered: list[int]) -> str | None:
        bottoms = [self.drawn[index] for index in numbered if self.is_bottom(index)]
        groups = (outline.group for outline in bottoms if outline.group)
        names = (outline.name for outline in bottoms if outline.name)
        return next(groups, None) or next(names, None)

    def _box(self, members: list[int]) -> tuple[float, float, float, float]:
        box = self._boxes[members]
        return (*box[:, :2].min(axis=0).tolist(), *box[:, 2:].max(axis=0).tolist())
