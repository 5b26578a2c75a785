"""Support: which outlines carry another one, which bridge, which are let in, and the level of each.

Must not know about signs, names or reading. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

import numpy as np
import numpy.typing as npt
import shapely
from shapely import STRtree

from . import inlays
from .inlays import Areas, Boxes, Places
from .reading_order import EPSILON

LEAST_OVERLAP = 0.1  # of the upper outline's area: with less, two outlines are neighbours
SAME_SIZE = 1e-3  # areas this close, by share, are one size: then the upper must cover the lower
WHOLE = 0.9  # by this share: a face cut to the size of its backing
BRIDGED = 0.5  # of the upper one's area on several side by side: they carry it, even if smaller
TRIES = 8  # then a drawing that contradicts itself is read without inlays
AT_ONCE = 500  # outlines whose neighbours are sought together: all of them might fill the memory

Sizes = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Rest:
    """What an outline rests on, by index: `on` carries most of it, `also_on` the rest; it is let into `inlay_in`.

    `level` is 0 at the bottom, else one above its highest carrier. An inlay has the level of its host, which is in
    `also_on`; it lies `on` what its host lies on (None in a bottom part).
    """

    level: int = 0
    on: int | None = None
    also_on: tuple[int, ...] = ()
    inlay_in: int | None = None

    @property
    def needs(self) -> tuple[int, ...]:
        """All outlines that it rests on or is let into."""
        return self.also_on if self.on is None else (self.on, *self.also_on)


def rests(areas: Areas) -> list[Rest]:
    """Return what each of the areas (valid, in drawing order) rests on.

    An outline carries a later, smaller one that overlaps what is visible of it by at least a tenth of the smaller
    one's area. Through a hole, the outline below carries it, not the holed one. Several smaller ones side by side
    (none on another) carry it together where at least half of it lies on them.
    """
    shapely.prepare(areas)
    hosts = inlays.hosts(areas)
    for _ in range(TRIES):
        carried = _carried(areas, hosts)
        try:
            return _with_levels(carried, hosts)
        except CycleError as cycle:  # an outline lies on an inlay and under its host: no inlay
            hosts = [None if plug in cycle.args[1] else host for plug, host in enumerate(hosts)]
    hosts = [None] * len(areas)
    return _with_levels(_carried(areas, hosts), hosts)


def _with_levels(carried: list[list[int]], hosts: list[int | None]) -> list[Rest]:
    needs = {upper: [*under, *_if_any(hosts[upper])] for upper, under in enumerate(carried)}
    rests_of = [Rest()] * len(carried)
    for upper in TopologicalSorter(needs).static_order():  # carriers come first
        host, under = hosts[upper], carried[upper]
        level = 1 + max((rests_of[below].level for below in under), default=-1)
        also_on = (*sorted(under[1:]), *_if_any(host))
        rests_of[upper] = Rest(
            level if host is None else rests_of[host].level,
            under[0] if under else None,
            also_on,
            host,
        )
    return rests_of


def _carried(areas: Areas, hosts: list[int | None]) -> list[list[int]]:
    """Return the carriers of each area, the one that carries most of it first, without hosts of inlays."""
    sizes: Sizes = shapely.area(areas)
    carriers: list[list[int]] = [[] for _ in areas]
    for upper, below in _below(areas, sizes, hosts):
        carriers[upper] = _bridged(areas, sizes, upper, below, carriers)
        if not carriers[upper]:
            carriers[upper] = _most_first(_shown(areas, sizes, upper, below))
    for plug, host in _inlays_upwards(hosts):
        shares = {
            below: areas[below].intersection(areas[plug]).area / sizes[plug]
            for below in carriers[host]
        }
        carriers[plug] = _most_first(shares) or carriers[host][:1]
    return carriers


def _below(areas: Areas, sizes: Sizes, hosts: list[int | None]) -> Iterator[tuple[int, Places]]:
    """Yield each area that is no inlay, with what may lie under it, from the top down."""
    earliest = np.arange(len(areas))
    host_of = np.array([-1 if host is None else host for host in hosts], dtype=int)
    # an inlay lies as deep as its host, whichever is drawn first
    for plug, host in _inlays_upwards(hosts):
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


def _shared_box(upper: Boxes, lower: Boxes) -> Sizes:
    sides = np.minimum(upper[:, 2:], lower[:, 2:]) - np.maximum(upper[:, :2], lower[:, :2])
    areas: Sizes = sides.clip(min=0).prod(axis=1)
    return areas


def _bridged(
    areas: Areas, sizes: Sizes, upper: int, below: Places, carriers: list[list[int]]
) -> list[int]:
    """Return the carriers of an area on several side by side, some no larger than itself; else none."""
    if len(below) < 2 or not np.any(sizes[below] <= sizes[upper] * (1 + SAME_SIZE)):
        return []
    shown = _shown(areas, sizes, upper, below, may_be_smaller=True)
    carrying = _most_first(shown)
    stacked = {under for carrier in carrying for under in carriers[carrier]}
    beside = [shown[carrier] for carrier in carrying if carrier not in stacked]
    return carrying if len(beside) > 1 and sum(beside) >= BRIDGED - EPSILON else []


def _shown(
    areas: Areas, sizes: Sizes, upper: int, below: Places, may_be_smaller: bool = False
) -> dict[int, float]:
    """Return the share of an area that lies on each of those below; each hides what is under it."""
    shares: dict[int, float] = {}
    left, size = areas[upper], sizes[upper]
    for lower in below.tolist():
        under, is_larger = areas[lower], may_be_smaller or sizes[lower] > size * (1 + SAME_SIZE)
        is_smaller = sizes[lower] < size * (1 - SAME_SIZE) and not may_be_smaller
        if is_smaller or not under.intersects(left):
            continue
        is_wholly_on_it = under.covers(left)
        share = (left if is_wholly_on_it else left.intersection(under)).area / size
        if share <= EPSILON or not (is_larger or share >= WHOLE):
            continue
        shares[lower] = share
        if is_wholly_on_it:
            break
        left = left.difference(under)
        if left.area < (LEAST_OVERLAP - EPSILON) * size:
            break
    return shares


def _most_first(shares: dict[int, float]) -> list[int]:
    """Return those that carry at least a tenth, the largest share first, of equal ones the uppermost."""
    carrying = [carrier for carrier, share in shares.items() if share >= LEAST_OVERLAP - EPSILON]
    most = max(shares.values(), default=0) - EPSILON
    first = [carrier for carrier in carrying if shares[carrier] >= most][:1]
    return first + [carrier for carrier in carrying if carrier not in first]


def _inlays_upwards(hosts: list[int | None]) -> Iterator[tuple[int, int]]:
    """Yield each inlay with its host; where the host is an inlay itself, its own pair comes first."""
    pairs = {plug: [host] for plug, host in enumerate(hosts) if host is not None}
    return (
        (plug, pairs[plug][0]) for plug in TopologicalSorter(pairs).static_order() if plug in pairs
    )


def _if_any(index: int | None) -> tuple[int, ...]:
    return () if index is None else (index,)
