"""Where the tabs stand that hold a piece, and the slugs in its holes, until the sheet is off the table.

Owns the places of tabs on an outline. Must not decide whether a piece gets tabs (that is weighed elsewhere), nor draw them,
nor know about sheets. Millimetres, newtons, MPa (N/mm²), degrees; y up, in the piece's own frame. Whether a tab is enough is
judged at the table: the machine's manual and trained people say what is safe to cut.

How a tab's place is found:

- *Corner*: chords of 1 mm before and after a vertex meet at more than 30°. A flattened curve has many small turns; along a
  chord they add up, and none of them alone is a corner. A tab's ends keep `corner_mm` away.
- *Gently curved*: the two halves of the tab turn by at most half a radian against one another, as on an arc whose radius is
  the tab's length; and each third of it by a third of a radian, so that no tighter bend hides in it.
- *Leads to waste*: one cutter's width outside there is material that the cutter leaves standing. In a narrow slot between
  two strokes there is none, and where a neighbour is too near its own cut takes the tab away.

How places are chosen: two that have the centre of area between them, of all pairs the best; three and more as even rings,
each place moved to the nearest where a tab may stand, of all rings the best that has the centre well inside.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from ..outlines import PLACES, Outline, Point, Ring
from ..pieces import TabRule

CHORD_MM = 0.05  # curves arrive as chords that stray this far
CORNER_MM, CORNER = (
    1.0,
    math.radians(30),
)  # chords so long that meet at more than this make a corner
MOST_TURN = 1.0  # radians over the tab's length: an arc whose radius is the tab's length
NEAR = 0.25  # of the smaller side of the box: so near to the centre of area the line between two tabs passes
HULL = math.radians(
    170
)  # seen from the centre of area, tabs lie no further apart: it is well inside their hull
FAR = 0.8  # of the larger side of the box: two tabs so far from one another let nothing turn
MORE = 4  # so many tabs beyond the number wanted are tried, where so many find no good places
MOST_PLACES = 400  # are tried in pairs; a small piece, where room is scarce, is looked at in so many places at least
FINEST_MM = 0.2  # but no closer than this
LEAST_SLUG_MM2 = 1.0  # less is dust
WASTE_MM = 0.2  # how exactly a tab must meet the waste: less than a tab's thickness

LENGTH, CENTRE, STRAIGHT, CLEAR = (
    0.5,
    2.0,
    0.5,
    0.1,
)  # what counts how much when places are weighed, beside even spacing


@dataclass(frozen=True, kw_only=True)
class TabRules:
    """What tabs are like, in mm.

    `length_mm`, `thickness_mm`, `every_mm` (about one each so much of the outer ring) and `fewest` (never less than two):
    common practice (design, section 8). `longest_free_mm` is the longest way along the outer ring from the middle of one tab
    to that of the next: twice `every_mm`, a choice. `corner_mm` lies between a tab's end and a corner: about the cutter's
    radius, for in an inner corner the cutter comes no nearer; from memory. `apart_mm` lies between the middles of two tabs,
    a neighbour's too: twice the tab's length; from memory. `shear_mpa` is what acrylic stands in a tab: about half of its
    shear strength, for the cutter leaves notches; both from memory, the shop measures its own. `safety`: the least margin.
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
        """What one tab stands, in N: length × thickness × shear strength (mean shear stress, textbook)."""
        return self.length_mm * self.thickness_mm * self.shear_mpa

    def least(self, perimeter_mm: float, force_n: float) -> int:
        """How many tabs an outer ring of this length cannot do without, against a cutting force of so many N."""
        by_way, by_force = perimeter_mm / self.longest_free_mm, self.safety * force_n / self.shear_n
        return max(2, self.fewest, math.ceil(by_way), math.ceil(by_force))

    def count(self, perimeter_mm: float, force_n: float) -> int:
        """How many it should have: about one each `every_mm`, and never less than it needs."""
        return max(
            self.least(perimeter_mm, force_n),
            TabRule(self.every_mm, self.fewest).tabs_for(perimeter_mm),
        )


@dataclass(frozen=True)
class Tab:
    """One tab: the ring it is on (0 the outer), the distance along that ring from its first point to the tab's middle, where
    that is in the piece's frame (mm), and the outline's direction there (0 to 360 degrees, counter-clockwise from x)."""

    ring: int
    at_mm: float
    x_mm: float
    y_mm: float
    angle_deg: float


@dataclass(frozen=True)
class Tabs:
    """A piece's tabs, those of the outer ring first; none, and a sentence, where there is no room.

    `margin` is the shear that the tabs of the outer ring stand over the cutting force; `loose_slugs` are the rings of holes
    whose slug will rattle, for no tab finds room there.
    """

    tabs: tuple[Tab, ...]
    why_none: str | None
    margin: float
    loose_slugs: tuple[int, ...] = ()


def nothing_holds(area_mm2: float) -> bool:
    """The vacuum holds no slug, however large: what is taken where nothing is known."""
    return False


def place_tabs(
    outline: Outline,
    rules: TabRules,
    force_n: float,
    *,
    taken: Sequence[Point] = (),
    beside: BaseGeometry | None = None,
    slug_holds: Callable[[float], bool] = nothing_holds,
) -> Tabs:
    """The tabs of a piece against a cutting force of `force_n` (N); the same outline always gets the same.

    As many as `TabRules.count` says; where so many find no good places some more or fewer, but never below `least`.
    `taken` are the middles of the neighbours' tabs and `beside` the neighbours themselves, both in the piece's frame.
    `slug_holds` says whether a slug of an area (mm²) stays without a tab. Where the outer ring has no room there are none at
    all: tape under the piece holds its slugs too.
    """
    room = _Room(_Line(outline.rings[0]), rules, taken)
    room.keep(_meets_waste(room.feet, Polygon(outline.rings[0]), beside, rules))
    least, wanted = (ask(room.line.length, force_n) for ask in (rules.least, rules.count))
    for count in (*range(wanted, wanted + MORE + 1), *range(wanted - 1, least - 1, -1)):
        chosen = _pair(room, outline) if count == 2 else _ring_of(room, outline, count)
        if chosen is not None:
            tabs = tuple(room.tab(0, index) for index in chosen)
            slugs, loose = slug_tabs(outline, rules, taken=taken, slug_holds=slug_holds)
            margin = count * rules.shear_n / force_n if force_n > 0 else math.inf
            return Tabs(tabs + slugs, None, margin, loose)
    return Tabs((), f"{_reason(room, least)}: hold it with tape.", 0.0)


def slug_tabs(
    outline: Outline,
    rules: TabRules,
    *,
    taken: Sequence[Point] = (),
    slug_holds: Callable[[float], bool] = nothing_holds,
) -> tuple[tuple[Tab, ...], tuple[int, ...]]:
    """One tab for each slug that would rattle, and the rings of the holes where one finds no room.

    A slug is what the cutter leaves in a hole: the hole less one cutter's width all round.
    """
    tabs: list[Tab] = []
    loose = []
    for number, ring in enumerate(outline.rings[1:], start=1):
        solid = shapely.get_parts(shapely.buffer(Polygon(ring), -rules.tool_mm)).tolist()
        slugs = [one for one in solid if one.area > LEAST_SLUG_MM2 and not slug_holds(one.area)]
        found = [_slug_tab(number, ring, slug, rules, taken) for slug in slugs]
        tabs += [tab for tab in found if tab]
        if None in found:
            loose.append(number)
    return tuple(tabs), tuple(loose)


def tab_segments(outline: Outline, tab: Tab, length_mm: float) -> tuple[Point, ...]:
    """The piece of the ring that a tab of this length covers, as a polyline in the piece's frame, for drawings and files."""
    line = _Line(outline.rings[tab.ring])
    first, last = tab.at_mm - length_mm / 2, tab.at_mm + length_mm / 2
    turns = np.array([-1, 0, 1])[:, None] * line.length
    vertices = np.sort((line.at[:-1] + turns).ravel())
    between = vertices[(vertices > first) & (vertices < last)]
    points = line.point(np.concatenate([[first], between, [last]]))
    return tuple((round(p.real, PLACES), round(p.imag, PLACES)) for p in points.tolist())


def placed(tab: Tab, x: float, y: float, turn: float) -> tuple[float, float, float]:
    """(x, y, angle) of a tab on the sheet where its piece lies turned by `turn` degrees and moved by (x, y), as
    `Outline.placed` does it."""
    ((px, py),) = Outline((((tab.x_mm, tab.y_mm),),)).placed(x, y, turn).rings[0]
    return px, py, round((tab.angle_deg + turn) % 360, PLACES)


class _Line:
    """A ring by the distance along it. Points are complex numbers."""

    def __init__(self, ring: Ring):
        corners = np.array(ring) @ np.array([1, 1j])
        self.closed = np.append(corners, corners[0])
        self.at = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(self.closed)))])
        self.length = float(self.at[-1])

    def point(self, at: np.ndarray) -> np.ndarray:
        """Where the ring is after so many mm; it goes round."""
        return np.interp(at % self.length, self.at, self.closed)

    def turn(self, at: np.ndarray, reach: float) -> np.ndarray:
        """By how many radians the chords before and after these places, each reaching so far, differ."""
        here = self.point(at)
        before, after = here - self.point(at - reach), self.point(at + reach) - here
        return np.abs(np.angle(after * before.conj()))

    def apart(self, at: np.ndarray, others: np.ndarray) -> np.ndarray:
        """How far along the ring it is from each place to the nearest of the others (sorted); infinite if there are none."""
        if not len(others):
            return np.full(len(at), math.inf)
        ring = np.concatenate([[others[-1] - self.length], others, [others[0] + self.length]])
        after = np.searchsorted(ring, at)
        return np.minimum(
            ring[np.minimum(after, len(ring) - 1)] - at, at - ring[np.maximum(after - 1, 0)]
        )


class _Room:
    """Places along one ring, and where among them a tab may stand."""

    def __init__(self, line: _Line, rules: TabRules, taken: Sequence[Point]):
        self.line, self.rules = line, rules
        step = min(max(FINEST_MM, line.length / MOST_PLACES), max(0.25, rules.length_mm / 8), 1.0)
        count = 4 * math.ceil(
            line.length / step / 4
        )  # in fours: the middles of a square's sides are among them
        self.at = np.arange(count) * (line.length / count)
        self.points = line.point(self.at)
        self.turn = line.turn(self.at, rules.length_mm / 2)
        self.is_straight = self._straight()
        self.is_free = self.is_straight & self._away_from(taken)

    def _straight(self) -> np.ndarray:
        """A turn at a distance is greatest at a vertex: looking there and nowhere else finds every corner and bend."""
        half, third = self.rules.length_mm / 2, self.rules.length_mm / 3
        vertices = self.line.at[:-1]
        corners = vertices[self.line.turn(vertices, CORNER_MM) > CORNER]
        bends = vertices[self.line.turn(vertices, third) > MOST_TURN / 3 + 2 * CHORD_MM / third]
        return (
            (self.turn <= MOST_TURN / 2)
            & (self.line.apart(self.at, corners) >= half + self.rules.corner_mm)
            & (self.line.apart(self.at, bends) >= half)
        )

    def _away_from(self, taken: Sequence[Point]) -> np.ndarray:
        if not len(taken):
            return np.ones(len(self.at), dtype=bool)
        others = shapely.multipoints(np.asarray(taken, dtype=float))
        return ~_within(others, self.points, self.rules.apart_mm)

    @cached_property
    def along(self) -> np.ndarray:
        """The outline's direction at each place, of length 1: that of the line between the tab's ends."""
        half = self.rules.length_mm / 2
        chord = self.line.point(self.at + half) - self.line.point(self.at - half)
        return chord / np.maximum(np.abs(chord), 1e-9)

    @property
    def feet(self) -> np.ndarray:
        """For each place the point one cutter's width out in the waste, which lies to the right of every ring."""
        return self.points - 1j * self.along * self.rules.tool_mm

    def keep(self, mask: np.ndarray) -> None:
        """Gives up the places outside the mask."""
        self.is_free &= mask

    @cached_property
    def free(self) -> np.ndarray:
        """The numbers of the places where a tab may stand."""
        return np.flatnonzero(self.is_free)

    @cached_property
    def cost(self) -> np.ndarray:
        """How little each place is liked: bent, or close to where a tab may not stand."""
        clear = self.line.apart(self.at, self.at[~self.is_free])
        return STRAIGHT * self.turn**2 + CLEAR * self.rules.length_mm / (
            self.rules.length_mm + clear
        )

    def tab(self, ring: int, index: int) -> Tab:
        """The tab at one of the places."""
        point = self.points[index]
        angle = math.degrees(np.angle(self.along[index])) % 360
        return Tab(
            ring,
            *(round(float(v), PLACES) for v in (self.at[index], point.real, point.imag, angle)),
        )


def _within(geometry: BaseGeometry, points: np.ndarray, distance: float) -> np.ndarray:
    shapely.prepare(geometry)
    return shapely.dwithin(geometry, shapely.points(points.real, points.imag), distance)


def _meets_waste(
    feet: np.ndarray, piece: Polygon, beside: BaseGeometry | None, rules: TabRules
) -> np.ndarray:
    """Where the foot of a tab is cut away by no pass, neither round the piece itself nor round a neighbour."""
    reach = rules.tool_mm - WASTE_MM
    stands = ~_within(piece, feet, reach)
    return stands if beside is None or beside.is_empty else stands & ~_within(beside, feet, reach)


def _pair(room: _Room, outline: Outline) -> np.ndarray | None:
    """The best two places: far from one another along the ring, the line between them near the centre of area."""
    rules, length = room.rules, room.line.length
    free = room.free[:: max(1, math.ceil(len(room.free) / MOST_PLACES))]
    one, other = np.triu_indices(len(free), 1)
    one, other = free[one], free[other]
    gap = room.at[other] - room.at[one]
    shorter, longer = np.minimum(gap, length - gap), np.maximum(gap, length - gap)
    good = (shorter >= max(length / 4, rules.apart_mm)) & (longer <= rules.longest_free_mm)
    one, other, shorter = one[good], other[good], shorter[good]
    small, large = sorted((outline.width_mm, outline.height_mm))
    off = _off_line(room.points[one], room.points[other], _centre(outline))
    good = off <= NEAR * small
    if not good.any():
        return None
    one, other, shorter, off = one[good], other[good], shorter[good], off[good]
    short = np.maximum(
        0, 1 - np.abs(room.points[one] - room.points[other]) / (FAR * large)
    )  # across a stem it could turn
    cost = (
        (2 * shorter / length - 1) ** 2
        + CENTRE * (off / small) ** 2
        + LENGTH * short
        + room.cost[one]
        + room.cost[other]
    )
    best = int(np.argmin(cost.round(6)))
    return np.array([one[best], other[best]])


def _ring_of(room: _Room, outline: Outline, count: int) -> np.ndarray | None:
    """The best of all even rings of so many places, each moved to the nearest one where a tab may stand."""
    if len(room.free) < count:
        return None
    places = len(room.at)
    starts = np.arange(math.ceil(places / count))[:, None]
    even = np.rint(starts + np.arange(count) * (places / count)).astype(int) % places
    rings = np.sort(_nearest(room)[even], axis=1)
    gaps = np.diff(room.at[rings], axis=1, append=room.at[rings[:, :1]] + room.line.length)
    good = (gaps.min(axis=1) >= room.rules.apart_mm) & (
        gaps.max(axis=1) <= room.rules.longest_free_mm
    )
    good &= _widest_view(room.points[rings] - _centre(outline)) <= HULL
    if not good.any():
        return None
    uneven = ((gaps * count / room.line.length - 1) ** 2).mean(axis=1)
    cost = np.where(good, uneven + room.cost[rings].mean(axis=1), math.inf)
    return rings[int(np.argmin(cost.round(6)))]


def _nearest(room: _Room) -> np.ndarray:
    """For every place the number of the nearest one where a tab may stand."""
    free, places = room.free, len(room.at)
    ring = np.concatenate([[free[-1] - places], free, [free[0] + places]])
    everywhere = np.arange(places)
    after = np.searchsorted(ring, everywhere).clip(1)
    nearer = np.where(
        ring[after] - everywhere < everywhere - ring[after - 1], ring[after], ring[after - 1]
    )
    return nearer % places


def _widest_view(directions: np.ndarray) -> np.ndarray:
    """The widest angle between neighbours as seen from a centre, a row each. Under 180° the centre is inside their hull."""
    angles = np.sort(np.angle(directions), axis=1)
    return np.diff(angles, axis=1, append=angles[:, :1] + 2 * math.pi).max(axis=1)


def _off_line(start: np.ndarray, end: np.ndarray, point: complex) -> np.ndarray:
    """How far a point is from each of these stretches."""
    way = end - start
    share = (((point - start) * way.conj()).real / np.maximum(np.abs(way) ** 2, 1e-9)).clip(0, 1)
    return np.abs(start + share * way - point)


def _centre(outline: Outline) -> complex:
    centre = outline.polygon.centroid
    return complex(centre.x, centre.y)


def _slug_tab(
    number: int, ring: Ring, slug: Polygon, rules: TabRules, taken: Sequence[Point]
) -> Tab | None:
    """The best place on a hole's ring that leads to this slug, or None."""
    room = _Room(_Line(ring), rules, taken)
    room.keep(_within(slug, room.feet, WASTE_MM))
    if not len(room.free):
        return None
    return room.tab(number, int(room.free[np.argmin(room.cost[room.free].round(6))]))


def _reason(room: _Room, least: int) -> str:
    """Why so many tabs found no room, as the first half of a sentence."""
    if not room.is_straight.any():
        return f"No stretch is straight enough for a {room.rules.length_mm:g} mm tab"
    free = room.at[room.free]
    if not len(free):
        return "Tabs would lead into a neighbour's cut or into a slot"
    gaps = np.diff(free, append=free[0] + room.line.length)
    if gaps.max() > room.rules.longest_free_mm:
        return f"A stretch of {gaps.max():.0f} mm has no room for a tab"
    return f"There is no room for {least} tabs round its centre"
