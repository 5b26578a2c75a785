"""Where the tabs are that hold a piece, and the slugs in its holes, until the sheet is off the table.

Owns the places of tabs on an outline. Must not decide whether a piece gets tabs (hold_down_choice.py does), nor draw them,
nor know about sheets. Millimetres, newtons, MPa (N/mm²), degrees; y up, in the piece's own frame. Whether a tab is enough is
judged at the table: the machine's manual and trained people say what is safe to cut.

Where a tab may be:

- *Away from corners*: chords of 1 mm before and after a corner meet at more than 30°. A flattened curve has many small
  turns; along a chord they add up, and none of them alone is a corner. A tab's ends keep `corner_mm` away.
- *On a gentle curve*: the two halves of the tab turn by at most half a radian against one another, as on an arc whose
  radius is the tab's length; and each third of it by a third of a radian, so that no tighter bend hides in it.
- *Leading to waste*: one cutter's width outside there is material that the cutter leaves standing. In a narrow slot between
  two strokes there is none, and where a neighbour is too near, its own cut takes the tab away.

How places are chosen: two that have the centre of area between them, of all pairs the best; three and more as even rings,
each place moved to the nearest where a tab may be, of all rings the best that has the centre well inside.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from ...wording import holding as wording
from ...wording.message import Message
from ..outlines import PLACES, Outline, Point, Ring
from ..pieces import usual_tabs

Floats = npt.NDArray[np.floating[Any]]
Points = npt.NDArray[np.complex128]  # points of the plane as complex numbers
Indices = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

CHORD_MM = 0.05  # curves arrive as chords that stray this far
CORNER_MM, CORNER = (
    1.0,
    math.radians(30),
)  # chords so long that meet at more than this make a corner
MOST_TURN = 1.0  # radians over the tab's length: an arc whose radius is the tab's length
NEAR = 0.25  # of the smaller side of the box: how near to the centre of area the line between two tabs passes
HULL = math.radians(
    170
)  # seen from the centre of area, tabs are no further apart: it is well inside their hull
FAR = 0.8  # of the larger side of the box: two tabs so far from one another let nothing turn
MORE = 4  # so many tabs beyond the number wanted are tried, where so many find no good places
MOST_PLACES = 400  # tried in pairs; a small piece, where room is scarce, is searched in so many places at least
FINEST_MM = 0.2  # but no closer than this
LEAST_SLUG_MM2 = 1.0  # less is dust
WASTE_MM = 0.2  # how exactly a tab must meet the waste: less than a tab's thickness

# How much what counts when places are weighed, beside even spacing: a choice, tried on letters.
LENGTH, CENTRE, STRAIGHT, CLEAR = 0.5, 2.0, 0.5, 0.1


@dataclass(frozen=True, kw_only=True)
class TabRules:
    """What tabs are like, in mm.

    `length_mm`, `thickness_mm`, `every_mm` (about one each so much of the outer ring) and `fewest` (never less than two):
    common practice. `longest_free_mm` is the longest way along the outer ring from the middle of one tab to that of the
    next: twice `every_mm`, a choice. `corner_mm` is kept between a tab's end and a corner: about the cutter's radius, since
    in an inner corner the cutter comes no nearer; from memory. `apart_mm` is kept between the middles of two tabs, a
    neighbour's too: twice the tab's length; from memory. `shear_mpa` is what acrylic bears in a tab: about half of its
    shear strength, since the cutter leaves notches; both from memory, the shop measures its own. `safety` is the lowest
    safety factor: a choice.
    """

    length_mm: float = 6.0
    thickness_mm: float = 0.8
    every_mm: float = 150.0
    fewest: int = 2
    longest_free_mm: float = 300.0
    corner_mm: float = 3.0
    tool_mm: float = 6.35
    apart_mm: float = 12.0
    shear_mpa: float = 30.0
    safety: float = 2.0

    @property
    def shear_n(self) -> float:
        """What one tab bears, in N: length × thickness × shear strength."""
        return self.length_mm * self.thickness_mm * self.shear_mpa

    def least(self, perimeter_mm: float, force_n: float) -> int:
        """The fewest tabs for an outer ring of this length, against a cutting force of so many N."""
        by_length = perimeter_mm / self.longest_free_mm
        by_force = self.safety * force_n / self.shear_n
        return max(2, self.fewest, math.ceil(by_length), math.ceil(by_force))

    def count(self, perimeter_mm: float, force_n: float) -> int:
        """The usual number: about one each `every_mm`, and never fewer than the least."""
        usual = usual_tabs(perimeter_mm, self.every_mm, self.fewest)
        return max(self.least(perimeter_mm, force_n), usual)


@dataclass(frozen=True)
class Tab:
    """One tab: the ring it is on (0 the outer), the distance along that ring from its first point to the tab's middle,
    where that is in the piece's frame (mm), and the outline's direction there (0 to 360 degrees, counter-clockwise from
    x)."""

    ring: int
    at_mm: float
    x_mm: float
    y_mm: float
    angle_deg: float


@dataclass(frozen=True)
class Tabs:
    """A piece's tabs, those of the outer ring first; none, and the reason, where there is no room.

    `safety_factor` is the shear that the tabs of the outer ring bear over the cutting force.
    """

    tabs: tuple[Tab, ...]
    why_none: Message | None
    safety_factor: float


def place_tabs(
    outline: Outline,
    rules: TabRules,
    force_n: float,
    *,
    taken: Sequence[Point] = (),
    beside: BaseGeometry | None = None,
    slug_holds: Callable[[float], bool] = lambda area_mm2: False,
) -> Tabs:
    """The tabs of a piece against a cutting force of `force_n` (N); the same outline always gets the same.

    As many as `TabRules.count` says; where so many find no good places some more or fewer, but never below `least`.
    `taken` are the middles of the neighbours' tabs and `beside` the neighbours themselves, both in the piece's frame.
    `slug_holds` says whether a slug of an area (mm²) stays without a tab. Where the outer ring has no room there are no
    tabs at all: tape under the piece holds its slugs too.
    """
    room = _Room(_Line(outline.rings[0]), rules, taken)
    room.is_free &= _meets_waste(room.feet, Polygon(outline.rings[0]), beside, rules)
    least, wanted = (ask(room.line.length, force_n) for ask in (rules.least, rules.count))
    for count in (*range(wanted, wanted + MORE + 1), *range(wanted - 1, least - 1, -1)):
        chosen = _pair(room, outline) if count == 2 else _ring_of(room, outline, count)
        if chosen is not None:
            tabs = tuple(room.tab(0, index) for index in chosen)
            slugs = slug_tabs(outline, rules, taken=taken, slug_holds=slug_holds)
            safety_factor = count * rules.shear_n / force_n if force_n > 0 else math.inf
            return Tabs(tabs + slugs, None, safety_factor)
    return Tabs((), _reason(room, least), 0.0)


def slug_tabs(
    outline: Outline,
    rules: TabRules,
    *,
    taken: Sequence[Point] = (),
    slug_holds: Callable[[float], bool] = lambda area_mm2: False,
) -> tuple[Tab, ...]:
    """One tab for each slug that would rattle, where one finds room.

    A slug is what the cutter leaves in a hole: the hole less one cutter's width all round.
    """
    tabs = [
        _slug_tab(number, ring, slug, rules, taken)
        for number, ring in enumerate(outline.rings[1:], start=1)
        for slug in shapely.get_parts(shapely.buffer(Polygon(ring), -rules.tool_mm)).tolist()
        if slug.area > LEAST_SLUG_MM2 and not slug_holds(slug.area)
    ]
    return tuple(tab for tab in tabs if tab)


def tab_segments(outline: Outline, ring: int, at_mm: float, length_mm: float) -> tuple[Point, ...]:
    """The stretch that a tab of this length covers round `at_mm` along a ring, as a polyline in the piece's frame."""
    line = _Line(outline.rings[ring])
    first, last = at_mm - length_mm / 2, at_mm + length_mm / 2
    turns = np.array([-1, 0, 1])[:, None] * line.length
    vertices = np.sort((line.at[:-1] + turns).ravel())
    between = vertices[(vertices > first) & (vertices < last)]
    points = line.point(np.concatenate([[first], between, [last]]))
    return tuple((round(p.real, PLACES), round(p.imag, PLACES)) for p in points.tolist())


def placed(tab: Tab, x: float, y: float, turn: float) -> tuple[float, float, float]:
    """(x, y, angle) of a tab on the sheet, its piece turned by `turn` degrees and moved by (x, y) as by `Outline.placed`."""
    ((px, py),) = Outline((((tab.x_mm, tab.y_mm),),)).placed(x, y, turn).rings[0]
    return px, py, round((tab.angle_deg + turn) % 360, PLACES)


class _Line:
    """A ring by the distance along it."""

    def __init__(self, ring: Ring):
        corners = np.array(ring) @ np.array([1, 1j])
        self.closed: Points = np.append(corners, corners[0])
        self.at: Floats = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(self.closed)))])
        self.length = float(self.at[-1])

    def point(self, at: Floats) -> Points:
        """Where the ring is after so many mm; it goes round."""
        points: Points = np.interp(at % self.length, self.at, self.closed)
        return points

    def turn(self, at: Floats, reach: float) -> Floats:
        """By how many radians the chords before and after these places, each reaching so far, differ."""
        here = self.point(at)
        before, after = here - self.point(at - reach), self.point(at + reach) - here
        turns: Floats = np.abs(np.angle(after * before.conj()))
        return turns

    def apart(self, at: Floats, others: Floats) -> Floats:
        """How far along the ring it is from each place to the nearest of the others (sorted); infinite if there are none."""
        if not len(others):
            return np.full(len(at), math.inf)
        return np.abs(_nearest_round(at, others, self.length) - at)


def _nearest_round(at: Floats, others: Floats | Indices, length: float) -> Floats:
    """For each place on a ring the nearest of the others (sorted); below 0, or over the length, where that is beyond the
    ring's beginning."""
    ring = np.concatenate([[others[-1] - length], others, [others[0] + length]])
    nearest: Floats = ring[np.searchsorted((ring[:-1] + ring[1:]) / 2, at)]
    return nearest


class _Room:
    """Places along one ring, and where among them a tab may be."""

    def __init__(self, line: _Line, rules: TabRules, taken: Sequence[Point]):
        self.line, self.rules = line, rules
        step = min(max(FINEST_MM, line.length / MOST_PLACES), max(0.25, rules.length_mm / 8), 1.0)
        # in fours: the middles of a square's sides are among them
        count = 4 * math.ceil(line.length / step / 4)
        self.at: Floats = np.arange(count) * (line.length / count)
        self.points = line.point(self.at)
        self.turn = line.turn(self.at, rules.length_mm / 2)
        self.is_straight = self._straight()
        self.is_free = self.is_straight.copy()
        if len(taken):
            others = shapely.multipoints(np.asarray(taken, dtype=float))
            self.is_free &= ~_within(others, self.points, rules.apart_mm)

    def _straight(self) -> Mask:
        """A turn at a distance is greatest at a vertex, so searching the vertices alone finds every corner and bend."""
        half, third = self.rules.length_mm / 2, self.rules.length_mm / 3
        vertices = self.line.at[:-1]
        corners = vertices[self.line.turn(vertices, CORNER_MM) > CORNER]
        bends = vertices[self.line.turn(vertices, third) > MOST_TURN / 3 + 2 * CHORD_MM / third]
        straight: Mask = (
            (self.turn <= MOST_TURN / 2)
            & (self.line.apart(self.at, corners) >= half + self.rules.corner_mm)
            & (self.line.apart(self.at, bends) >= half)
        )
        return straight

    @cached_property
    def along(self) -> Points:
        """The outline's direction at each place, of length 1: that of the line between the tab's ends."""
        half = self.rules.length_mm / 2
        chord = self.line.point(self.at + half) - self.line.point(self.at - half)
        directions: Points = chord / np.maximum(np.abs(chord), 1e-9)
        return directions

    @property
    def feet(self) -> Points:
        """For each place the point one cutter's width out in the waste, which lies to the right of every ring."""
        feet: Points = self.points - 1j * self.along * self.rules.tool_mm
        return feet

    @cached_property
    def free(self) -> Indices:
        """The numbers of the places where a tab may be."""
        return np.flatnonzero(self.is_free)

    @cached_property
    def cost(self) -> Floats:
        """How bad each place is: bent, or close to where no tab may be."""
        clear = self.line.apart(self.at, self.at[~self.is_free])
        crowding = self.rules.length_mm / (self.rules.length_mm + clear)
        cost: Floats = STRAIGHT * self.turn**2 + CLEAR * crowding
        return cost

    def tab(self, ring: int, index: int) -> Tab:
        """The tab at one of the places."""
        point = self.points[index]
        angle = math.degrees(np.angle(self.along[index])) % 360
        return Tab(
            ring,
            *(round(float(v), PLACES) for v in (self.at[index], point.real, point.imag, angle)),
        )


def _within(geometry: BaseGeometry, points: Points, distance: float) -> Mask:
    shapely.prepare(geometry)
    near: Mask = shapely.dwithin(geometry, shapely.points(points.real, points.imag), distance)
    return near


def _meets_waste(
    feet: Points, piece: Polygon, beside: BaseGeometry | None, rules: TabRules
) -> Mask:
    """Where the foot of a tab is cut away by no pass, neither round the piece itself nor round a neighbour."""
    reach = rules.tool_mm - WASTE_MM
    is_left = ~_within(piece, feet, reach)
    return is_left if beside is None or beside.is_empty else is_left & ~_within(beside, feet, reach)


def _pair(room: _Room, outline: Outline) -> Indices | None:
    """The best two places: far from one another along the ring, the line between them near the centre of area."""
    rules, length = room.rules, room.line.length
    free = room.free[:: max(1, math.ceil(len(room.free) / MOST_PLACES))]
    first, second = (free[numbers] for numbers in np.triu_indices(len(free), 1))
    gap = room.at[second] - room.at[first]
    shorter, longer = np.minimum(gap, length - gap), np.maximum(gap, length - gap)
    off = _off_line(room.points[first], room.points[second], _centre(outline))
    small, large = sorted((outline.width_mm, outline.height_mm))
    good = (
        (shorter >= max(length / 4, rules.apart_mm))
        & (longer <= rules.longest_free_mm)
        & (off <= NEAR * small)
    )
    if not good.any():
        return None
    first, second, shorter, off = first[good], second[good], shorter[good], off[good]
    across = np.abs(room.points[first] - room.points[second])
    short = np.maximum(0, 1 - across / (FAR * large))  # across a stem the piece could turn
    cost = (
        (2 * shorter / length - 1) ** 2
        + CENTRE * (off / small) ** 2
        + LENGTH * short
        + room.cost[first]
        + room.cost[second]
    )
    best = int(np.argmin(cost.round(6)))
    return np.array([first[best], second[best]])


def _ring_of(room: _Room, outline: Outline, count: int) -> Indices | None:
    """The best of all even rings of so many places, each moved to the nearest one where a tab may be."""
    if len(room.free) < count:
        return None
    places = len(room.at)
    starts = np.arange(math.ceil(places / count))[:, None]
    even = np.rint(starts + np.arange(count) * (places / count)) % places
    rings: Indices = np.sort(_nearest_round(even, room.free, places) % places, axis=1).astype(int)
    gaps = np.diff(room.at[rings], axis=1, append=room.at[rings[:, :1]] + room.line.length)
    good = (gaps.min(axis=1) >= room.rules.apart_mm) & (
        gaps.max(axis=1) <= room.rules.longest_free_mm
    )
    good &= _widest_view(room.points[rings] - _centre(outline)) <= HULL
    if not good.any():
        return None
    uneven = ((gaps * count / room.line.length - 1) ** 2).mean(axis=1)
    cost = np.where(good, uneven + room.cost[rings].mean(axis=1), math.inf)
    best: Indices = rings[int(np.argmin(cost.round(6)))]
    return best


def _widest_view(directions: Points) -> Floats:
    """The widest angle between neighbours as seen from a centre, a row each. Under 180° the centre is inside their hull."""
    angles = np.sort(np.angle(directions), axis=1)
    widest: Floats = np.diff(angles, axis=1, append=angles[:, :1] + 2 * math.pi).max(axis=1)
    return widest


def _off_line(start: Points, end: Points, point: complex) -> Floats:
    """How far a point is from each of these stretches."""
    line = end - start
    share = (((point - start) * line.conj()).real / np.maximum(np.abs(line) ** 2, 1e-9)).clip(0, 1)
    distance: Floats = np.abs(start + share * line - point)
    return distance


def _centre(outline: Outline) -> complex:
    centre = outline.polygon.centroid
    return complex(centre.x, centre.y)


def _slug_tab(
    number: int, ring: Ring, slug: Polygon, rules: TabRules, taken: Sequence[Point]
) -> Tab | None:
    """The best place on a hole's ring that leads to this slug, or None."""
    room = _Room(_Line(ring), rules, taken)
    room.is_free &= _within(slug, room.feet, WASTE_MM)
    if not len(room.free):
        return None
    return room.tab(number, int(room.free[np.argmin(room.cost[room.free].round(6))]))


def _reason(room: _Room, least: int) -> Message:
    """Why so many tabs found no room."""
    if not room.is_straight.any():
        return wording.no_straight_stretch(room.rules.length_mm)
    free = room.at[room.free]
    if not len(free):
        return wording.tabs_meet_no_waste()
    gaps = np.diff(free, append=free[0] + room.line.length)
    if gaps.max() > room.rules.longest_free_mm:
        return wording.long_stretch_without_tab(float(gaps.max()))
    return wording.no_room_round_the_centre(least)
