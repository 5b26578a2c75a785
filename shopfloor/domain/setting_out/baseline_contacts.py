"""What letters can stand on, each for itself: straight edges at the rim of its outline; and which letters are neighbours.

Owns a letter's hull, its feet and its neighbours; all of it turns with the letter. Must not know about lines of letters:
most of the feet found here are sides and tops. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from ..outlines import Outline

STRAIGHT_MM = 0.003  # points that far off the chord of their neighbours lie on a straight edge: outlines are rounded
CORNER = np.radians(
    28
)  # a foot ends where the outline turns by so much; a curve flattened to 0.05 mm turns by less
WITHIN = 0.06  # on so short a way, measured by the letter's size (so that a rounded corner is one)
FOOT = 0.06  # a foot between two corners is at least that long, measured by the size
LONG = 0.15  # and one that runs into a curve (B, D, P) at least that long
BROAD = 0.3  # and one between two curves (a panel with rounded corners)
DIP = 0.06  # a bowl (a, b, d, u) may dip below the foot beside it by so much of the height
FILLED = (
    0.98  # a box that is filled so far is a rectangle: level, it can stand on its lower edge only
)
LEVEL = np.radians(
    0.3
)  # an edge within this of the level is level: a short one that is rounded to 0.001 mm
LIKE = 0.38  # letters of one line are alike to this ratio of their sizes (x beside W)
REACH = 1.25  # and the next one stands within so many sizes: a word's gap
MOST_NEAR = 10  # neighbours of a letter that are looked at

Array = np.ndarray


@dataclass(frozen=True)
class Feet:
    """All feet of all letters, one an entry, by letter. The letter stands on the left of the direction `along`.

    `up` is the direction away from the foot, `offset` the foot's line: up · x = offset. `under` is the point of that line
    under the middle of the letter's box (turned with the foot), `height` the height of that box. `can_lead` is False of the
    upright sides of a rectangle: panels that lie one above the other make no line of letters.
    """

    letter: Array
    along: Array
    up: Array
    offset: Array
    start: Array
    end: Array
    length: Array
    under: Array
    height: Array
    can_lead: Array

    def angles(self) -> Array:
        """The direction of each, radians counter-clockwise from the x axis."""
        return np.arctan2(self.along[:, 1], self.along[:, 0])

    def of_letters(self, letters: Sequence[int]) -> Array:
        """The places of all feet of some letters."""
        wanted = np.asarray(sorted(letters), dtype=int)
        begin, end = (
            np.searchsorted(self.letter, wanted),
            np.searchsorted(self.letter, wanted, side="right"),
        )
        spans = [np.arange(a, b) for a, b in zip(begin, end, strict=True)]
        return np.concatenate([np.empty(0, dtype=int), *spans])


@dataclass(frozen=True)
class Letters:
    """The outlines of one level, ready to be looked at: the corners of their hulls, boxes, sizes (largest width) and feet.

    `near` holds of each letter those of like size in reach, the nearest first, with the clear distance; `around` all
    that is no further off than a word's gap of the larger, whatever its size.
    """

    hulls: tuple[Array, ...]
    boxes: Array
    sizes: Array
    feet: Feet
    near: tuple[tuple[tuple[int, float], ...], ...]
    around: tuple[tuple[int, ...], ...]


def letters_of(outlines: Sequence[Outline]) -> Letters:
    """What is known of each outline by itself, and which stand near one another."""
    rings = [np.asarray(outline.rings[0], dtype=float) for outline in outlines]
    rounds = shapely.linearrings(
        np.concatenate([_from_its_rightmost(ring) for ring in rings]), indices=_numbers(rings)
    )
    edged = [shapely.get_coordinates(one)[:-1] for one in shapely.simplify(rounds, STRAIGHT_MM)]
    spans = shapely.convex_hull(rounds)
    hulls = tuple(
        _counter_clockwise(shapely.get_coordinates(one)[:-1])
        for one in shapely.simplify(spans, STRAIGHT_MM)
    )
    sizes = np.array([_size(hull) for hull in hulls])
    found = [_feet_of(*one) for one in zip(edged, hulls, sizes.tolist(), strict=True)]
    near, around = _neighbours(spans, sizes)
    is_rectangle = np.array([_is_level_rectangle(ring) for ring in edged])
    feet = _gathered(found, hulls, is_rectangle)
    return Letters(
        hulls, np.array([outline.bounds for outline in outlines]), sizes, feet, near, around
    )


def _from_its_rightmost(ring: Array) -> Array:
    """The ring from a corner on, so that no straight edge is broken where the drawing happens to begin."""
    return np.roll(ring, -int(np.lexsort((ring[:, 1], ring[:, 0]))[-1]), axis=0)


def _numbers(rings: list[Array]) -> Array:
    return np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])


def _counter_clockwise(ring: Array) -> Array:
    after = np.roll(ring, -1, axis=0)
    area = (ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]).sum()
    return ring if area >= 0 else ring[::-1]


def _size(hull: Array) -> float:
    """The largest distance between two points."""
    return float(np.sqrt(((hull[:, None, :] - hull[None, :, :]) ** 2).sum(axis=2).max()))


# The feet of one letter. -------------------------------------------------------------------------------------------------


def _feet_of(ring: Array, hull: Array, size: float) -> Array:
    """Start and end of each foot, one a row of four: edges of the hull between two corners, and straight edges of the
    outline that nothing dips far below and that are not part of a longer foot."""
    if len(hull) < 3:
        return np.empty((0, 4))
    bridges = _edges(hull, size, is_bridging=True)
    edges = _edges(ring, size, is_bridging=False)
    kept = list(bridges)
    for edge in edges[_are_low(edges, hull)]:
        if not any(_is_on(edge, other) for other in kept):
            kept.append(edge)
    found = np.array(kept).reshape(-1, 4)
    return found


def _edges(ring: Array, size: float, is_bridging: bool) -> Array:
    """The straight edges of a closed line that are long enough and end in corners; of an outline, one end may be a curve."""
    after = np.roll(ring, -1, axis=0)
    step = after - ring
    length = np.hypot(step[:, 0], step[:, 1])
    angle = np.arctan2(step[:, 1], step[:, 0])
    turn = (angle - np.roll(angle, 1) + np.pi) % (2 * np.pi) - np.pi  # at the start of each edge
    before, behind = _turning(turn, length, WITHIN * size)
    is_corner_before, is_corner_behind = before >= CORNER, behind >= CORNER
    is_foot = is_corner_before & is_corner_behind & (length >= FOOT * size)
    if not is_bridging:
        is_cornered = (is_corner_before | is_corner_behind) & (length >= LONG * size)
        is_foot |= (np.minimum(before, behind) >= 0) & (is_cornered | (length >= BROAD * size))
    return np.hstack([ring, after])[is_foot]


def _turning(turn: Array, length: Array, way: float) -> tuple[Array, Array]:
    """By how much the line turns just before each edge and just behind it, within a short way."""
    count = len(turn)
    turned = np.concatenate([[0], np.cumsum(np.tile(turn, 3))])  # of the corners before the n-th
    gone = np.concatenate([[0], np.cumsum(np.tile(length, 3))])  # the way to the n-th corner
    begin = np.arange(count, 2 * count)
    first = np.searchsorted(gone, gone[begin] - way)
    last = np.searchsorted(gone, gone[begin + 1] + way, side="right") - 1
    last = np.minimum(last, 3 * count - 1)
    return turned[begin + 1] - turned[first], turned[last + 1] - turned[begin + 1]


def _are_low(edges: Array, hull: Array) -> Array:
    """Of which edges the letter lies on their left side, but for a bowl that dips."""
    step = edges[:, 2:] - edges[:, :2]
    up = np.column_stack([-step[:, 1], step[:, 0]]) / np.hypot(step[:, 0], step[:, 1])[:, None]
    reach = hull @ up.T
    lowest, highest = reach.min(axis=0), reach.max(axis=0)
    return (up * edges[:, :2]).sum(axis=1) - lowest <= DIP * (highest - lowest)


def _is_on(edge: Array, other: Array) -> bool:
    """Whether an edge is a part of the line of another."""
    step = other[2:] - other[:2]
    up = np.array([-step[1], step[0]]) / np.hypot(*step)
    return bool(np.all(np.abs((edge.reshape(2, 2) - other[:2]) @ up) <= 2 * STRAIGHT_MM))


def _is_level_rectangle(ring: Array) -> bool:
    width, height = np.ptp(ring, axis=0)
    x, y = ring[:, 0], ring[:, 1]
    return abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 >= FILLED * width * height


def _gathered(found: list[Array], hulls: Sequence[Array], is_rectangle: Array) -> Feet:
    """The feet of all letters in one table."""
    letter = np.repeat(np.arange(len(found)), [len(one) for one in found])
    both = np.concatenate([*found, np.empty((0, 4))])
    start, end = both[:, :2], both[:, 2:]
    length = np.hypot(*(end - start).T)
    along = (end - start) / length[:, None]
    up = np.column_stack([-along[:, 1], along[:, 0]])
    offset = (up * (start + end) / 2).sum(axis=1)
    middle, height = np.empty(len(letter)), np.empty(len(letter))
    for foot, one in enumerate(letter.tolist()):
        across = hulls[one] @ along[foot]
        middle[foot] = (across.min() + across.max()) / 2
        height[foot] = np.ptp(hulls[one] @ up[foot])
    under = up * offset[:, None] + along * middle[:, None]
    can_lead = ~is_rectangle[letter] | (np.abs(along[:, 1]) <= np.sin(LEVEL))
    return Feet(letter, along, up, offset, start, end, length, under, height, can_lead)


# Neighbours. -------------------------------------------------------------------------------------------------------------


def _neighbours(spans: Array, sizes: Array) -> tuple[tuple, tuple]:
    """Of each letter the nearest of like size with their clear distance, and all that stand round it."""
    one, other = shapely.STRtree(spans).query(spans, predicate="dwithin", distance=REACH * sizes)
    ratio = sizes[other] / sizes[one]
    is_other = (one != other) & (ratio <= 1 / LIKE)
    one, other, ratio = one[is_other], other[is_other], ratio[is_other]
    away = shapely.distance(spans[one], spans[other])
    near: list[list[tuple[int, float]]] = [[] for _ in sizes]
    around: list[list[int]] = [[] for _ in sizes]
    order = np.lexsort((other, away, one))
    for a, b, alike, gap in zip(
        *(each[order].tolist() for each in (one, other, ratio, away)), strict=True
    ):
        around[a].append(b)
        around[b].append(a)
        if alike >= LIKE and len(near[a]) < MOST_NEAR:
            near[a].append((b, gap))
    return tuple(map(tuple, near)), tuple(map(tuple, around))
