"""What lies on what: which outlines carry another one, which bridge, which are let in, and how high each sits.

Owns that rule. Must not know about signs, names or reading. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

import numpy as np
import shapely
from shapely import STRtree

from . import inlays
from .reading_order import EPSILON

LEAST_OVERLAP = 0.1  # of the upper outline's area: with less than this, two outlines are neighbours
SAME_SIZE = (
    1e-3  # areas nearer than this share are one size: then the upper one must cover the lower,
)
WHOLE = 0.9  # by this share: a face cut to the size of its backing
BRIDGED = 0.5  # of the upper one's area: so much lies on several side by side that they carry it, also if smaller
TRIES = 8  # drawings that contradict themselves are read without inlays after so many
AT_ONCE = 500  # outlines whose neighbours are sought together: all of them might fill the memory


@dataclass(frozen=True)
class Rest:
    """What an outline rests on, by index: `on` carries most of it, `also_on` the rest; it is let into `inlay_in`.

    `level` is 0 at the bottom; else one above the highest of what carries it. An inlay has the level of its host, which
    stands in `also_on`; it lies `on` what its host lies on (None in a bottom part).
    """

    level: int = 0
    on: int | None = None
    also_on: tuple[int, ...] = ()
    inlay_in: int | None = None

    @property
    def needs(self) -> tuple[int, ...]:
        """All that it rests on or is let into."""
        return self.also_on if self.on is None else (self.on, *self.also_on)


def rests(areas: np.ndarray) -> list[Rest]:
    """What each of the areas (valid, in the order of drawing) rests on.

    One carries what is drawn later, is smaller, and overlaps it by at least a tenth of the smaller one's area, of what
    shows under it. What shows through a hole counts, the holed one does not. Smaller ones carry it together with others
    beside them (none on another) where at least half of it lies on these.
    """
    shapely.prepare(areas)
    hosts = inlays.hosts(areas)
    for _ in range(TRIES):
        carried = _carried(areas, hosts)
        try:
            return _with_levels(carried, hosts)
        except (
            CycleError
        ) as cycle:  # something lies on an inlay and under its host: then it is not let in
            hosts = [None if one in cycle.args[1] else host for one, host in enumerate(hosts)]
    hosts = [None] * len(areas)
    return _with_levels(_carried(areas, hosts), hosts)


def _with_levels(carried: list[list[int]], hosts: list[int | None]) -> list[Rest]:
    needs = {one: [*under, *_if_any(hosts[one])] for one, under in enumerate(carried)}
    found = [Rest()] * len(carried)
    for one in TopologicalSorter(needs).static_order():  # what it rests on comes first
        host, under = hosts[one], carried[one]
        level = 1 + max((found[below].level for below in under), default=-1)
        also_on = (*sorted(under[1:]), *_if_any(host))
        found[one] = Rest(
            level if host is None else found[host].level, under[0] if under else None, also_on, host
        )
    return found


def _carried(areas: np.ndarray, hosts: list[int | None]) -> list[list[int]]:
    """For each area those that carry it, the one that carries most of it first; hosts of inlays are not among them."""
    sizes = shapely.area(areas)
    found: list[list[int]] = [[] for _ in areas]
    for upper, below in _below(areas, sizes, hosts):
        found[upper] = _bridged(areas, sizes, upper, below, found)
        if not found[upper]:
            found[upper] = _most_first(_shown(areas, sizes, upper, below))
    for plug, host in _inlays_upwards(hosts):
        shares = {
            one: areas[one].intersection(areas[plug]).area / sizes[plug] for one in found[host]
        }
        found[plug] = _most_first(shares) or found[host][:1]
    return found


def _below(
    areas: np.ndarray, sizes: np.ndarray, hosts: list[int | None]
) -> Iterator[tuple[int, np.ndarray]]:
    """Each area that is not let in, with what may lie under it, from the top down."""
    earliest, host_of = (
        np.arange(len(areas)),
        np.array([-1 if host is None else host for host in hosts], dtype=int),
    )
    for plug, host in _inlays_upwards(
        hosts
    ):  # what is let in lies there with its host, whichever is drawn first
        earliest[plug] = min(earliest[plug], earliest[host])
    tree, boxes = STRtree(areas), shapely.bounds(areas)
    for start in range(0, len(areas), AT_ONCE):
        upper, lower = tree.query(areas[start : start + AT_ONCE])
        upper += start
        is_under = (
            (earliest[lower] < upper)
            & (lower != upper)
            & (host_of[upper] < 0)
            & (host_of[lower] != upper)
        )
        upper, lower = upper[is_under], lower[is_under]
        # a smaller one matters only where it carries a tenth, as one of several
        least = (
            np.where(sizes[lower] < sizes[upper] * (1 - SAME_SIZE), LEAST_OVERLAP, 0) * sizes[upper]
        )
        may_carry = (
            np.minimum(sizes[lower], _shared_box(boxes[upper], boxes[lower]))
            >= least - EPSILON * sizes[upper]
        )
        upper, lower = upper[may_carry & (sizes[upper] > 0)], lower[may_carry & (sizes[upper] > 0)]
        downwards = np.lexsort((-lower, -earliest[lower], upper))
        begin = np.flatnonzero(np.diff(upper[downwards], prepend=-1))
        yield from zip(
            upper[downwards][begin].tolist(), np.split(lower[downwards], begin[1:]), strict=False
        )


def _shared_box(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    sides = np.minimum(one[:, 2:], other[:, 2:]) - np.maximum(one[:, :2], other[:, :2])
    return sides.clip(min=0).prod(axis=1)


def _bridged(
    areas: np.ndarray, sizes: np.ndarray, upper: int, below: np.ndarray, found: list[list[int]]
) -> list[int]:
    """What carries it where it lies on several side by side, some no larger than itself; else nothing."""
    if len(below) < 2 or not np.any(sizes[below] <= sizes[upper] * (1 + SAME_SIZE)):
        return []
    shown = _shown(areas, sizes, upper, below, may_be_smaller=True)
    carrying = _most_first(shown)
    stacked = {under for one in carrying for under in found[one]}
    beside = [shown[one] for one in carrying if one not in stacked]
    return carrying if len(beside) > 1 and sum(beside) >= BRIDGED - EPSILON else []


def _shown(
    areas, sizes, upper: int, below: np.ndarray, may_be_smaller: bool = False
) -> dict[int, float]:
    """The share of an area that lies on each of those below: each hides what is under it."""
    shares: dict[int, float] = {}
    left, size = areas[upper], sizes[upper]
    for one in below.tolist():
        under, is_larger = areas[one], may_be_smaller or sizes[one] > size * (1 + SAME_SIZE)
        if (sizes[one] < size * (1 - SAME_SIZE) and not may_be_smaller) or not under.intersects(
            left
        ):
            continue
        is_wholly_on_it = under.covers(left)
        share = (left if is_wholly_on_it else left.intersection(under)).area / size
        if share <= EPSILON or not (is_larger or share >= WHOLE):
            continue
        shares[one] = share
        if is_wholly_on_it:
            break
        left = left.difference(under)
        if left.area < (LEAST_OVERLAP - EPSILON) * size:
            break
    return shares


def _most_first(shares: dict[int, float]) -> list[int]:
    """Those that carry a tenth at least; the one with the largest share first, of equal ones the uppermost."""
    carrying = [one for one, share in shares.items() if share >= LEAST_OVERLAP - EPSILON]
    most = max(shares.values(), default=0) - EPSILON
    first = [one for one in carrying if shares[one] >= most][:1]
    return first + [one for one in carrying if one not in first]


def _inlays_upwards(hosts: list[int | None]) -> Iterator[tuple[int, int]]:
    """Each inlay with its host; where a host is an inlay itself, its own pair comes first."""
    pairs = {plug: [host] for plug, host in enumerate(hosts) if host is not None}
    return (
        (plug, pairs[plug][0]) for plug in TopologicalSorter(pairs).static_order() if plug in pairs
    )


def _if_any(one: int | None) -> tuple[int, ...]:
    return () if one is None else (one,)
