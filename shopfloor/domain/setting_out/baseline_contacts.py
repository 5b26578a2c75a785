"""What each letter can rest on, taken alone: straight edges at the rim of its outline; and which letters are neighbours.

Owns a letter's hull, its contacts and its neighbours; all of it turns with the letter. Must not know about rows of
letters: most contacts found here are sides and tops. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from ..outlines import Outline

STRAIGHT_MM = 0.003  # outlines are rounded: points this far off a chord are on a straight edge
CORNER = np.radians(
    28
)  # the least turn of a corner; a curve flattened to 0.05 mm turns by less at a point
WITHIN = 0.06  # a corner turns within this share of the letter's size (a rounded corner is one too)
CONTACT = 0.06  # least length of a contact between two corners, by the size
LONG = 0.15  # and of one that runs into a curve (B, D, P)
BROAD = 0.3  # and of one between two curves (a panel with rounded corners)
DIP = 0.06  # a bowl (a, b, d, u) may dip below the contact beside it by this share of the height
FILLED = (
    0.98  # a box filled to this share is a rectangle: level, it can rest on its lower edge only
)
LEVEL = np.radians(0.3)  # an edge within this of level is level: a short one is rounded to 0.001 mm
LIKE = 0.38  # letters of one row are alike to this ratio of their sizes (x beside W)
REACH = 1.25  # the next letter is within this many sizes: a gap between words
MOST_NEAR = 10  # neighbours of a letter that are considered

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Contacts:
    """The contacts of all letters, one an entry, ordered by letter. The letter is on the left of the direction `along`.

    `up` is the direction away from the contact, `offset` the contact's line: up · x = offset. `under` is the point of
    that line under the middle of the letter's box (turned with the contact), `height` the height of that box. `can_lead`
    is False for the upright sides of a rectangle: panels one above the other are no row of letters.
    """

    letter: Indices
    along: Array
    up: Array
    offset: Array
    start: Array
    end: Array
    length: Array
    under: Array
    height: Array
    can_lead: Flags

    def angles(self) -> Array:
        """The direction of each, radians counter-clockwise from the x axis."""
        return np.arctan2(self.along[:, 1], self.along[:, 0])

    def of_letters(self, letters: Collection[int]) -> Indices:
        """The indices of all contacts of these letters."""
        wanted = np.asarray(sorted(letters), dtype=int)
        first = np.searchsorted(self.letter, wanted)
        last = np.searchsorted(self.letter, wanted, side="right")
        spans = [np.arange(start, end) for start, end in zip(first, last, strict=True)]
        indices: Indices = np.concatenate([np.empty(0, dtype=int), *spans])
        return indices


@dataclass(frozen=True)
class Letters:
    """The outlines of one level, measured: corners of their hulls, boxes, sizes (largest width) and contacts.

    `near` has for each letter those of like size in reach, the nearest first, with the clear distance; `around` all that
    are no further off than a word gap of the larger one, whatever their size.
    """

    hulls: tuple[Array, ...]
    boxes: Array
    sizes: Array
    contacts: Contacts
    near: tuple[tuple[tuple[int, float], ...], ...]
    around: tuple[tuple[int, ...], ...]


def letters_of(outlines: Sequence[Outline]) -> Letters:
    """Measure each outline alone, and find which are near one another."""
    rings = [np.asarray(outline.rings[0], dtype=float) for outline in outlines]
    owners = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    corners = np.concatenate([_from_its_rightmost(ring) for ring in rings])
    round_rings = shapely.linearrings(corners, indices=owners)
    edged = [
        shapely.get_coordinates(ring)[:-1] for ring in shapely.simplify(round_rings, STRAIGHT_MM)
    ]
    spans = shapely.convex_hull(round_rings)
    hulls = tuple(
        _counter_clockwise(shapely.get_coordinates(hull)[:-1])
        for hull in shapely.simplify(spans, STRAIGHT_MM)
    )
    sizes = np.array([_size(hull) for hull in hulls])
    edges = [
        _contacts_of(ring, hull, size)
        for ring, hull, size in zip(edged, hulls, sizes.tolist(), strict=True)
    ]
    near, around = _neighbours(spans, sizes)
    is_rectangle = np.array([_is_level_rectangle(ring) for ring in edged])
    contacts = _gathered(edges, hulls, is_rectangle)
    boxes = np.array([outline.bounds for outline in outlines])
    return Letters(hulls, boxes, sizes, contacts, near, around)


def _from_its_rightmost(ring: Array) -> Array:
    """The ring starting at a corner, so that no straight edge is broken where the drawing happens to begin."""
    return np.roll(ring, -int(np.lexsort((ring[:, 1], ring[:, 0]))[-1]), axis=0)


def _counter_clockwise(ring: Array) -> Array:
    after = np.roll(ring, -1, axis=0)
    area = (ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]).sum()
    return ring if area >= 0 else ring[::-1]


def _size(hull: Array) -> float:
    """The largest distance between two points."""
    return float(np.sqrt(((hull[:, None, :] - hull[None, :, :]) ** 2).sum(axis=2).max()))


# The contacts of one letter. ---------------------------------------------------------------------------------------------


def _contacts_of(ring: Array, hull: Array, size: float) -> Array:
    """Start and end of each contact, one a row of four: edges of the hull between two corners, and straight edges of the
    outline that nothing dips far below and that are not part of a longer contact."""
    if len(hull) < 3:
        return np.empty((0, 4))
    edges = _edges(ring, size, is_bridging=False)
    kept = list(_edges(hull, size, is_bridging=True))
    for edge in edges[_are_low(edges, hull)]:
        if not any(_is_on(edge, other) for other in kept):
            kept.append(edge)
    return np.array(kept).reshape(-1, 4)


def _edges(ring: Array, size: float, is_bridging: bool) -> Array:
    """The straight edges of a closed line that are long enough and end in corners; in an outline, one end may be a curve."""
    after = np.roll(ring, -1, axis=0)
    step = after - ring
    length = np.hypot(step[:, 0], step[:, 1])
    angle = np.arctan2(step[:, 1], step[:, 0])
    turn = (angle - np.roll(angle, 1) + np.pi) % (2 * np.pi) - np.pi  # at the start of each edge
    before, behind = _turning(turn, length, WITHIN * size)
    is_corner_before, is_corner_behind = before >= CORNER, behind >= CORNER
    is_contact = is_corner_before & is_corner_behind & (length >= CONTACT * size)
    if not is_bridging:
        is_cornered = (is_corner_before | is_corner_behind) & (length >= LONG * size)
        is_contact |= (np.minimum(before, behind) >= 0) & (is_cornered | (length >= BROAD * size))
    edges: Array = np.hstack([ring, after])[is_contact]
    return edges


def _turning(turn: Array, length: Array, distance: float) -> tuple[Array, Array]:
    """By how much the line turns before each edge and behind it, within a short distance."""
    count = len(turn)
    turned = np.concatenate([[0], np.cumsum(np.tile(turn, 3))])  # the turns before the n-th corner
    walked = np.concatenate([[0], np.cumsum(np.tile(length, 3))])  # the distance to the n-th corner
    start = np.arange(count, 2 * count)
    first = np.searchsorted(walked, walked[start] - distance)
    last = np.searchsorted(walked, walked[start + 1] + distance, side="right") - 1
    last = np.minimum(last, 3 * count - 1)
    return turned[start + 1] - turned[first], turned[last + 1] - turned[start + 1]


def _are_low(edges: Array, hull: Array) -> Flags:
    """Which edges have the letter on their left side, except for a bowl that dips."""
    step = edges[:, 2:] - edges[:, :2]
    up = np.column_stack([-step[:, 1], step[:, 0]]) / np.hypot(step[:, 0], step[:, 1])[:, None]
    reach = hull @ up.T
    lowest, highest = reach.min(axis=0), reach.max(axis=0)
    is_low: Flags = (up * edges[:, :2]).sum(axis=1) - lowest <= DIP * (highest - lowest)
    return is_low


def _is_on(edge: Array, other: Array) -> bool:
    """Whether an edge is part of the line of another."""
    step = other[2:] - other[:2]
    up = np.array([-step[1], step[0]]) / np.hypot(*step)
    return bool(np.all(np.abs((edge.reshape(2, 2) - other[:2]) @ up) <= 2 * STRAIGHT_MM))


def _is_level_rectangle(ring: Array) -> bool:
    width, height = np.ptp(ring, axis=0)
    x, y = ring[:, 0], ring[:, 1]
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    return bool(area >= FILLED * width * height)


def _gathered(edges: list[Array], hulls: Sequence[Array], is_rectangle: Flags) -> Contacts:
    """The contacts of all letters in one table."""
    letter = np.repeat(np.arange(len(edges)), [len(own) for own in edges])
    ends = np.concatenate([*edges, np.empty((0, 4))])
    start, end = ends[:, :2], ends[:, 2:]
    length = np.hypot(*(end - start).T)
    along = (end - start) / length[:, None]
    up = np.column_stack([-along[:, 1], along[:, 0]])
    offset = (up * (start + end) / 2).sum(axis=1)
    middle, height = np.empty(len(letter)), np.empty(len(letter))
    for contact, owner in enumerate(letter.tolist()):
        across = hulls[owner] @ along[contact]
        middle[contact] = (across.min() + across.max()) / 2
        height[contact] = np.ptp(hulls[owner] @ up[contact])
    under = up * offset[:, None] + along * middle[:, None]
    can_lead = ~is_rectangle[letter] | (np.abs(along[:, 1]) <= np.sin(LEVEL))
    return Contacts(letter, along, up, offset, start, end, length, under, height, can_lead)


# Neighbours. -------------------------------------------------------------------------------------------------------------

Near = tuple[tuple[tuple[int, float], ...], ...]
Around = tuple[tuple[int, ...], ...]


def _neighbours(spans: npt.NDArray[np.object_], sizes: Array) -> tuple[Near, Around]:
    """For each letter the nearest of like size with their clear distance, and all letters round it."""
    first, second = shapely.STRtree(spans).query(spans, predicate="dwithin", distance=REACH * sizes)
    ratio = sizes[second] / sizes[first]
    is_pair = (first != second) & (ratio <= 1 / LIKE)
    first, second, ratio = first[is_pair], second[is_pair], ratio[is_pair]
    distance = shapely.distance(spans[first], spans[second])
    near: list[list[tuple[int, float]]] = [[] for _ in sizes]
    around: list[list[int]] = [[] for _ in sizes]
    order = np.lexsort((second, distance, first))
    for letter, other, alike, gap in zip(
        *(column[order].tolist() for column in (first, second, ratio, distance)), strict=True
    ):
        around[letter].append(other)
        around[other].append(letter)
        if alike >= LIKE and len(near[letter]) < MOST_NEAR:
            near[letter].append((other, gap))
    return tuple(map(tuple, near)), tuple(map(tuple, around))
