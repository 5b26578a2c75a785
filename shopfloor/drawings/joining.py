"""Which ends of open chains belong together.

Owns the joining itself, near linear in the number of ends. Must not say anything: `mending` does. Lengths are mm.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree

from ..domain.errors import Refused
from ..domain.outlines import Point
from ..wording import reading as wording

SAME_PLACES = 4  # ends alike to a ten-thousandth of a mm are the same point, written twice
LARGEST_SHARE = 0.1  # a row's own ends meet only over a gap of at most this share of its length
MOST_PAIRS = 4_000_000


@dataclass(frozen=True)
class Chain:
    """Points in mm in a row; a closed chain does not repeat its first point.

    `of` says which chains of a list that was joined it is made of, in the order of drawing.
    """

    points: list[Point]
    is_closed: bool
    of: tuple[int, ...] = ()

    @property
    def length(self) -> float:
        """Length in mm, along the closing side too."""
        ring = [*self.points, self.points[0]] if self.is_closed and self.points else self.points
        return sum(map(math.dist, ring, ring[1:]))


def joined_ends(
    chains: Sequence[list[Point]], merged_mm: float, bridged_mm: float
) -> tuple[list[Chain], list[tuple[int, Point, Point]]]:
    """Rows of open chains, and the gaps that were bridged: (place of a chain, its end, the other end).

    Ends up to `merged_mm` apart become one point, up to `bridged_mm` a straight line joins them. What can be part of
    a ring goes before what ends somewhere in the open; nearer ends go before others. Raises Refused where more ends
    crowd together than can be kept apart.
    """
    ends = _Ends(chains)
    ends.join_twins()
    pairs = ends.near(bridged_mm)
    alive = ends.on_rings(pairs)
    pairs.sort(
        key=lambda pair: (not (pair[1] in alive and pair[2] in alive), pair[0] > merged_mm, *pair)
    )
    gaps = []
    for distance, one, other in pairs:
        if ends.can_join(one, other, distance):
            ends.join(one, other)
            if distance > merged_mm:
                gaps.append((one // 2, ends.at[one], ends.at[other]))
    return ends.rows(merged_mm), gaps


class _Ends:
    """End 2 n is where chain n starts, end 2 n + 1 where it stops."""

    def __init__(self, chains: Sequence[list[Point]]) -> None:
        self.chains = chains
        self.at: list[Point] = [point for chain in chains for point in (chain[0], chain[-1])]
        self.partner: dict[int, int] = {}
        self.far = [
            end ^ 1 for end in range(len(self.at))
        ]  # the other end of the row so far; right for free ends
        self.length = [
            length for chain in chains for length in [sum(map(math.dist, chain, chain[1:]))] * 2
        ]

    def can_join(self, one: int, other: int, distance: float) -> bool:
        """Whether both ends are free, and a row that would close on itself is long enough for that."""
        if one in self.partner or other in self.partner:
            return False
        return self.far[one] != other or distance <= LARGEST_SHARE * self.length[one]

    def join(self, one: int, other: int) -> None:
        """Makes two free ends meet."""
        self.partner[one], self.partner[other] = other, one
        left, right = self.far[one], self.far[other]
        if left != other:
            total = self.length[one] + self.length[other]
            self.far[left], self.far[right] = right, left
            self.length[left] = self.length[right] = total

    def join_twins(self) -> None:
        """Joins ends where exactly two lie on one point: most of a drawing, at no cost."""
        spots: dict[Point, list[int]] = {}
        for end, (x, y) in enumerate(self.at):
            spots.setdefault((round(x, SAME_PLACES), round(y, SAME_PLACES)), []).append(end)
        for twins in spots.values():
            if len(twins) != 2:
                continue
            one, other = twins
            if self.can_join(one, other, math.dist(self.at[one], self.at[other])):
                self.join(one, other)

    def near(self, reach_mm: float) -> list[tuple[float, int, int]]:
        """(distance, end, end) of all free ends within reach of each other, the lower number first."""
        free = [end for end in range(len(self.at)) if end not in self.partner]
        if len(free) < 2:
            return []
        spots = np.array([self.at[end] for end in free])
        _refuse_a_crowd(spots, reach_mm)
        points = shapely.points(spots)
        one, other = STRtree(points).query(points, predicate="dwithin", distance=reach_mm)
        found = []
        for i, j in zip(one[one < other].tolist(), other[one < other].tolist(), strict=True):
            distance = math.dist(self.at[free[i]], self.at[free[j]])
            if self.can_join(free[i], free[j], distance):
                found.append((distance, free[i], free[j]))
        return found

    def on_rings(self, pairs: list[tuple[float, int, int]]) -> set[int]:
        """Free ends of rows that may close to a ring: rows with an end that meets nothing fall away, one by one."""
        beside: dict[int, set[int]] = {}
        for _, one, other in pairs:
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
        alive = set(beside)
        waiting = deque(end for end in beside if self.far[end] not in beside)
        while waiting:
            end = waiting.popleft()
            for gone in (end, self.far[end]):
                if gone in alive:
                    alive.discard(gone)
                    for near in beside[gone]:
                        beside[near].discard(gone)
                        if not beside[near] and near in alive:
                            waiting.append(near)
        return alive

    def rows(self, merged_mm: float) -> list[Chain]:
        """The rows that the joins make, in the order of their first chain."""
        found: list[Chain] = []
        done: set[int] = set()
        for number in range(len(self.chains)):
            if number not in done:
                back, is_closed = self._walk(2 * number + 1)
                walk, _ = self._walk(2 * number if is_closed else back[-1] ^ 1)
                done.update(end // 2 for end in walk)
                points = self._points(walk, is_closed, merged_mm)
                found.append(Chain(points, is_closed, tuple(sorted(end // 2 for end in walk))))
        return found

    def _walk(self, start: int) -> tuple[list[int], bool]:
        """The ends at which the row's chains are entered, one after another, and whether it closes."""
        walk, end = [start], start ^ 1
        while end in self.partner:
            end = self.partner[end]
            if end == start:
                return walk, True
            walk.append(end)
            end ^= 1
        return walk, False

    def _points(self, walk: list[int], is_closed: bool, merged_mm: float) -> list[Point]:
        points: list[Point] = []
        for entered in walk:
            chain = self.chains[entered // 2][:: -1 if entered % 2 else 1]
            if points and math.dist(points[-1], chain[0]) <= merged_mm:
                points[-1] = middle(points[-1], chain[0])
                chain = chain[1:]
            points += chain
        if is_closed and len(points) > 2 and math.dist(points[0], points[-1]) <= merged_mm:
            points[0] = middle(points[0], points.pop())
        return points


def middle(one: Point, other: Point) -> Point:
    """The point half-way."""
    return one if one == other else ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)


def _refuse_a_crowd(spots: np.ndarray, reach_mm: float) -> None:
    """Counts in squares of the reach how many pairs there can be, before any pair is made."""
    _, counts = np.unique(np.floor(spots / reach_mm), axis=0, return_counts=True)
    if int((counts.astype(float) ** 2).sum()) > MOST_PAIRS:
        x, y = spots[0]
        raise Refused(wording.crowd_of_ends(float(f"{reach_mm:.2g}"), float(x), float(y)))
