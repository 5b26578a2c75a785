"""The courses of baselines that feet give away: neighbours whose feet lie on one line, or touch one circle.

Owns the course of a baseline, its fit and the chains of letters that stand on one. Must not know which chain is right: tops
and margins make chains as feet do; `baselines` chooses. Lengths are millimetres, angles radians, y points up.

A letter round a circle is turned to the tangent at the middle of its advance width, so the line of every foot of it touches
the baseline's circle: up · centre + rho = offset, with rho the radius, less than nought where the letters stand inside. That
is linear in the centre and rho (closed form: the distance of a tangent from the centre is the radius).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..outlines import Point
from .baseline_contacts import Letters

Array = np.ndarray

NEAR_MM, NEAR = (
    0.3,
    0.005,
)  # a foot stands on a course within this, or this share of the letters' height
LOOSE = 0.03  # of the height: as long as two or three feet only tell the course
SIDEWAYS = 0.22  # of the height: how far a foot's middle may be from where it touches the circle (the bearings differ)
BEARINGS = 0.04  # of the height: how far it usually is
MOST_TURN = math.radians(80)  # from one letter to a near one
MOST_TILT = math.radians(
    4.5
)  # of the chord between two feet against the mean of their directions: on a circle it has none
STRAIGHTER = math.radians(0.2)  # below this turn two feet tell no circle
CLEARLY, CLEARLY_MM = (
    3,
    0.03,
)  # a circle is believed where feet are so many times, and so much, further off a straight line
LEAST_RADIUS, MOST_RADIUS = 0.7, 3000  # in heights of the letters


@dataclass(frozen=True)
class BaselineCurve:
    """Where a baseline runs. Straight: `angle` and `offset` (up · x = offset). Arc: `centre` and `rho`, not nought: the
    radius, less than nought where letters stand inside the circle. `begin` is the polar angle, seen from the centre, that
    lengths along an arc are measured from."""

    angle: float = 0.0
    offset: float = 0.0
    centre: Point = (0.0, 0.0)
    rho: float = 0.0
    begin: float = math.pi / 2

    @property
    def is_arc(self) -> bool:
        """Whether it runs round a circle."""
        return self.rho != 0

    def directions(self, point: Point) -> tuple[Array, Array]:
        """(along, up): the directions of the baseline, and away from it, under a point."""
        if self.is_arc:
            x, y = point[0] - self.centre[0], point[1] - self.centre[1]
            away = math.copysign(math.hypot(x, y), self.rho) or 1.0
            up = np.array([x / away, y / away])
            return np.array([up[1], -up[0]]), up
        c, s = math.cos(self.angle), math.sin(self.angle)
        return np.array([c, s]), np.array([-s, c])

    def place_of(self, point: Point) -> Point:
        """(along, above) of a point: the length along the baseline, and the distance over it, mm."""
        if self.is_arc:
            x, y = point[0] - self.centre[0], point[1] - self.centre[1]
            turn = math.remainder(math.atan2(y, x) - self.begin, 2 * math.pi)
            return -self.rho * turn, math.copysign(math.hypot(x, y), self.rho) - self.rho
        along, up = self.directions(point)
        return float(along @ point), float(up @ point) - self.offset

    def point_at(self, along: float, above: float = 0.0) -> Point:
        """The point at a length along the baseline and a distance over it, mm."""
        if self.is_arc:
            turn, away = self.begin - along / self.rho, abs(self.rho + above)
            return self.centre[0] + away * math.cos(turn), self.centre[1] + away * math.sin(turn)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return along * c - (self.offset + above) * s, along * s + (self.offset + above) * c

    def raised(self, by: float) -> BaselineCurve:
        """The course so far over this one, mm."""
        return (
            replace(self, rho=self.rho + by)
            if self.is_arc
            else replace(self, offset=self.offset + by)
        )

    def misses(self, letters: Letters, some: Array) -> tuple[Array, Array]:
        """Of some feet, how far each is off the course, and how far the letter's middle from where it touches it; mm."""
        feet = letters.feet
        if self.is_arc:
            away = np.asarray(self.centre) - feet.under[some]
            off = (feet.up[some] * away).sum(axis=1) + self.rho
            is_wrong_way = (feet.up[some] * away).sum(axis=1) * self.rho > 0
            return np.where(is_wrong_way, np.inf, np.abs(off)), np.abs(
                (feet.along[some] * away).sum(axis=1)
            )
        along, up = self.directions((0.0, 0.0))
        ends = np.abs(np.stack([feet.start[some] @ up, feet.end[some] @ up]) - self.offset).max(
            axis=0
        )
        return np.where(feet.along[some] @ along > 0, ends, np.inf), np.zeros(len(some))


def nearness(height: float) -> float:
    """How far off its course a foot may be, mm, where letters are so high."""
    return max(NEAR_MM, NEAR * height)


def straight_through(letters: Letters, some: Array) -> BaselineCurve:
    """The straight line nearest to both ends of some feet (total least squares)."""
    feet = letters.feet
    ends = np.concatenate([feet.start[some], feet.end[some]])
    middle = ends.mean(axis=0)
    along = np.linalg.svd(ends - middle, full_matrices=False)[2][0]
    along = along if feet.along[some].sum(axis=0) @ along > 0 else -along
    return BaselineCurve(
        math.atan2(along[1], along[0]), float(-along[1] * middle[0] + along[0] * middle[1])
    )


def arc_through(letters: Letters, some: Array) -> BaselineCurve | None:
    """The circle that some feet touch (weighted least squares): a short foot's direction says less than a long one's, and
    that each letter's middle stands where it touches counts a little. None where it is no circle for letters."""
    feet = letters.feet
    up, along, under = feet.up[some], feet.along[some], feet.under[some]
    height, near = float(np.median(feet.height[some])), under.mean(axis=0)
    rho = 10 * height
    for _ in range(2):
        weight = 1 / (0.01 + 0.0007 * abs(rho) / feet.length[some])
        slight = np.full(len(some), 1 / (BEARINGS * height))
        rows = np.concatenate(
            [
                np.column_stack([up, np.ones(len(some))]),
                np.column_stack([along, np.zeros(len(some))]),
            ]
        )
        aims = np.concatenate(
            [(up * (under - near)).sum(axis=1), (along * (under - near)).sum(axis=1)]
        )
        weights = np.concatenate([weight, slight])
        x, y, rho = np.linalg.lstsq(rows * weights[:, None], aims * weights, rcond=None)[0].tolist()
    if not LEAST_RADIUS * height <= abs(rho) <= MOST_RADIUS * height:
        return None
    return BaselineCurve(centre=(x + float(near[0]), y + float(near[1])), rho=rho)


def courses_through(letters: Letters, some: Array, tolerance: float) -> list[BaselineCurve]:
    """The straight line and the circle that some feet stand on, as far as they do; the likelier one first."""
    found = []
    line = straight_through(letters, some)
    off_line = float(line.misses(letters, some)[0].max())
    if off_line <= tolerance:
        found.append(line)
    angles = letters.feet.angles()[some]
    if np.abs(np.angle(np.exp(1j * (angles - angles[0])))).max() > STRAIGHTER:
        arc = arc_through(letters, some)
        if arc and _stand_on(letters, some, arc, tolerance).all():
            off_arc = float(arc.misses(letters, some)[0].max())
            found.insert(len(found) if off_line <= CLEARLY * off_arc + CLEARLY_MM else 0, arc)
    return found


def _stand_on(letters: Letters, some: Array, course: BaselineCurve, tolerance: float) -> Array:
    off, sideways = course.misses(letters, some)
    blur = (
        0.0007 * abs(course.rho) / letters.feet.length[some]
    )  # the ends of a foot are rounded to 0.001 mm
    return (off <= tolerance + blur) & (sideways <= SIDEWAYS * letters.feet.height[some])


# Chains. -----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Chain:
    """Letters that stand on one course: of each the foot that it stands on."""

    course: BaselineCurve
    foot_of: dict[int, int]


def chains(letters: Letters, free: Collection[int]) -> list[Chain]:
    """All chains of free letters, of two letters at the least; a letter may be in several, on this foot or that."""
    begun_from: dict[int, set[int]] = {}
    found: list[Chain] = []
    for one, other in _links(letters, sorted(free)):
        if begun_from.get(one, set()) & begun_from.get(other, set()):
            continue  # both are in one chain already
        foot_of = _grown(letters, [one, other], free)
        if foot_of:
            for foot in foot_of.values():
                begun_from.setdefault(foot, set()).add(len(found))
            found += [Chain(course, foot_of) for course in _possible(letters, foot_of)]
    return found


def _possible(letters: Letters, foot_of: dict[int, int]) -> list[BaselineCurve]:
    """The courses that some feet may stand on: the likeliest, or both while few tell it."""
    some = np.array(sorted(foot_of.values()))
    height = float(np.median(letters.feet.height[some]))
    courses = courses_through(letters, some, nearness(height))
    return courses if len(some) < 4 else courses[:1]


def _links(letters: Letters, free: Sequence[int]) -> list[tuple[int, int]]:
    """Pairs of feet of neighbours that may be on one course, read from left to right; the nearest neighbours first."""
    is_free = set(free)
    pairs = sorted(
        (gap, a, b)
        for a in free
        for b, gap in letters.near[a]
        if b in is_free and (a < b or not _is_near(letters, b, a))
    )
    if not pairs:
        return []
    feet, (_, ones, others) = letters.feet, (np.array(each) for each in zip(*pairs, strict=True))
    first, last = (
        np.searchsorted(feet.letter, [ones, others]),
        np.searchsorted(feet.letter, [ones, others], side="right"),
    )
    counts = last - first
    total = counts[0] * counts[1]
    pair = np.repeat(np.arange(len(total)), total)
    within = np.arange(total.sum()) - np.repeat(np.cumsum(total) - total, total)
    i = first[0][pair] + within // counts[1][pair].clip(min=1)
    j = first[1][pair] + within % counts[1][pair].clip(min=1)
    chord, both = feet.under[j] - feet.under[i], feet.along[i] + feet.along[j]
    is_back = (chord * both).sum(axis=1) < 0
    i, j, chord = (
        np.where(is_back, j, i),
        np.where(is_back, i, j),
        np.where(is_back[:, None], -chord, chord),
    )
    turn = _angle_between(feet.along[i], feet.along[j])
    tilt = _angle_between(both, chord)
    is_upright = both[:, 0] > -0.05 * np.hypot(
        *both.T
    )  # letters are read from below, or from the right
    is_link = (
        feet.can_lead[i]
        & feet.can_lead[j]
        & (np.abs(turn) <= MOST_TURN)
        & (np.abs(tilt) <= MOST_TILT)
        & is_upright
    )
    return list(zip(i[is_link].tolist(), j[is_link].tolist(), strict=True))


def _is_near(letters: Letters, one: int, other: int) -> bool:
    return any(near == other for near, _ in letters.near[one])


def _angle_between(one: Array, other: Array) -> Array:
    """The turn from one direction to another, radians counter-clockwise."""
    return np.arctan2(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], (one * other).sum(axis=1))


def _grown(letters: Letters, begun: list[int], free: Collection[int]) -> dict[int, int]:
    """The letters and feet of the chain from two feet on: the neighbours that stand on its course join, the best first
    while few tell it."""
    feet = letters.feet
    foot_of = {int(feet.letter[foot]): foot for foot in begun}
    best: dict[int, int] = {}
    while True:
        some = np.array(sorted(foot_of.values()))
        height = float(np.median(feet.height[some]))
        tolerance = LOOSE * height if len(some) < 4 else nearness(height)
        courses = courses_through(letters, some, tolerance)
        if not courses:
            return best
        best = dict(foot_of)
        asked = {
            near
            for letter in foot_of
            for near, _ in letters.near[letter]
            if near in free and near not in foot_of
        }
        joining = _joining(letters, feet.of_letters(asked), courses, tolerance)
        if not joining:
            return best
        foot_of |= dict(joining[:1] if len(some) < 6 else joining)


def _joining(
    letters: Letters, some: Array, courses: list[BaselineCurve], tolerance: float
) -> list[tuple[int, int]]:
    """(letter, foot) of those that stand on one of the courses, the best first; of each letter its best foot."""
    if not len(some):
        return []
    misses = np.full(len(some), np.inf)
    for course in courses:
        off, sideways = course.misses(letters, some)
        fits = _stand_on(letters, some, course, tolerance)
        misses = np.minimum(misses, np.where(fits, off + 0.05 * sideways, np.inf))
    found: dict[int, int] = {}
    for at in np.argsort(misses, kind="stable").tolist():
        if not np.isfinite(misses[at]):
            break
        found.setdefault(int(letters.feet.letter[some[at]]), int(some[at]))
    return list(found.items())
