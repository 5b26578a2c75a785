"""The curves that baselines may follow: neighbours whose contacts lie on one line, or touch one circle.

Owns the curve of a baseline, its fit and the chains of letters that rest on one. Must not know which chain is right: tops
and margins make chains as baselines do; `angled_rows` chooses. Lengths are millimetres, angles radians, y points up.

A letter round a circle is turned to the tangent at the middle of its advance width, so the line of each of its contacts
touches the baseline's circle: up · centre + rho = offset, with rho the radius, negative where the letters are inside. That
is linear in the centre and rho (closed form: the distance of a tangent from the centre is the radius).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..outlines import Point
from .baseline_contacts import Array, Flags, Indices, Letters

NEAR_MM, NEAR = (
    0.3,
    0.005,
)  # a contact is on a curve within this, or this share of the letters' height
LOOSE = 0.03  # of the height: the same while only two or three contacts tell the curve
SIDEWAYS = 0.22  # of the height: how far a contact's middle may be from where it touches the circle (bearings differ)
BEARINGS = 0.04  # of the height: how far it usually is
ROUNDING = 0.0007  # mm by which the ends of a contact are off: outlines are rounded to 0.001 mm
MOST_TURN = math.radians(80)  # from one letter to a near one
MOST_TILT = math.radians(
    4.5
)  # of the chord between two contacts to their mean direction: 0 on a circle
STRAIGHTER = math.radians(0.2)  # below this turn two contacts tell no circle
# A circle is chosen where contacts are off the straight line by more than three times as much and this.
CLEARLY, CLEARLY_MM = 3, 0.03
LEAST_RADIUS, MOST_RADIUS = 0.7, 3000  # in heights of the letters


@dataclass(frozen=True)
class BaselineCurve:
    """Where a baseline runs. Straight: `angle` and `offset` (up · x = offset). Arc: `centre` and `rho`, not 0: the radius,
    negative where letters are inside the circle. `begin` is the polar angle, seen from the centre, where lengths along an
    arc begin."""

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
        """(along, above) of a point: the length along the baseline, and the distance above it, mm."""
        if self.is_arc:
            x, y = point[0] - self.centre[0], point[1] - self.centre[1]
            turn = math.remainder(math.atan2(y, x) - self.begin, 2 * math.pi)
            return -self.rho * turn, math.copysign(math.hypot(x, y), self.rho) - self.rho
        along, up = self.directions(point)
        return float(along @ point), float(up @ point) - self.offset

    def point_at(self, along: float, above: float = 0.0) -> Point:
        """The point at a length along the baseline and a distance above it, mm."""
        if self.is_arc:
            turn, away = self.begin - along / self.rho, abs(self.rho + above)
            return self.centre[0] + away * math.cos(turn), self.centre[1] + away * math.sin(turn)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return along * c - (self.offset + above) * s, along * s + (self.offset + above) * c

    def raised(self, by: float) -> BaselineCurve:
        """The curve at a distance above this one, mm."""
        if self.is_arc:
            return replace(self, rho=self.rho + by)
        return replace(self, offset=self.offset + by)

    def misses(self, letters: Letters, indices: Indices) -> tuple[Array, Array]:
        """How far each of these contacts is off the curve, and its letter's middle from where it touches the curve; mm."""
        contacts = letters.contacts
        if self.is_arc:
            away = np.asarray(self.centre) - contacts.under[indices]
            inward = (contacts.up[indices] * away).sum(axis=1)
            sideways = np.abs((contacts.along[indices] * away).sum(axis=1))
            is_backward = inward * self.rho > 0
            return np.where(is_backward, np.inf, np.abs(inward + self.rho)), sideways
        along, up = self.directions((0.0, 0.0))
        ends = np.stack([contacts.start[indices] @ up, contacts.end[indices] @ up])
        off = np.abs(ends - self.offset).max(axis=0)
        is_forward = contacts.along[indices] @ along > 0
        return np.where(is_forward, off, np.inf), np.zeros(len(indices))


def nearness(height: float) -> float:
    """How far off its curve a contact may be, mm, for letters of this height."""
    return max(NEAR_MM, NEAR * height)


def straight_through(letters: Letters, indices: Indices) -> BaselineCurve:
    """The straight line nearest to both ends of these contacts (total least squares)."""
    contacts = letters.contacts
    ends = np.concatenate([contacts.start[indices], contacts.end[indices]])
    middle = ends.mean(axis=0)
    along = np.linalg.svd(ends - middle, full_matrices=False)[2][0]
    along = along if contacts.along[indices].sum(axis=0) @ along > 0 else -along
    return BaselineCurve(
        math.atan2(along[1], along[0]), float(-along[1] * middle[0] + along[0] * middle[1])
    )


def arc_through(letters: Letters, indices: Indices) -> BaselineCurve | None:
    """The circle that these contacts touch (weighted least squares): the direction of a short contact counts less than that
    of a long one, and that each letter's middle is where it touches counts a little. None where it is no circle for letters."""
    contacts = letters.contacts
    up, along, under = contacts.up[indices], contacts.along[indices], contacts.under[indices]
    height, near = float(np.median(contacts.height[indices])), under.mean(axis=0)
    rho = 10 * height
    for _ in range(2):
        weight = 1 / (0.01 + ROUNDING * abs(rho) / contacts.length[indices])
        slight = np.full(len(indices), 1 / (BEARINGS * height))
        touching = np.column_stack([up, np.ones(len(indices))])
        centred = np.column_stack([along, np.zeros(len(indices))])
        rows = np.concatenate([touching, centred])
        aims = np.concatenate(
            [(up * (under - near)).sum(axis=1), (along * (under - near)).sum(axis=1)]
        )
        weights = np.concatenate([weight, slight])
        x, y, rho = np.linalg.lstsq(rows * weights[:, None], aims * weights, rcond=None)[0].tolist()
    if not LEAST_RADIUS * height <= abs(rho) <= MOST_RADIUS * height:
        return None
    return BaselineCurve(centre=(x + float(near[0]), y + float(near[1])), rho=rho)


def curves_through(letters: Letters, indices: Indices, tolerance: float) -> list[BaselineCurve]:
    """The straight line and the circle on which these contacts lie, if they do; the likelier one first."""
    curves = []
    line = straight_through(letters, indices)
    off_line = float(line.misses(letters, indices)[0].max())
    if off_line <= tolerance:
        curves.append(line)
    angles = letters.contacts.angles()[indices]
    if np.abs(np.angle(np.exp(1j * (angles - angles[0])))).max() > STRAIGHTER:
        arc = arc_through(letters, indices)
        if arc and _are_on(letters, indices, arc, tolerance).all():
            off_arc = float(arc.misses(letters, indices)[0].max())
            is_clearly_arc = off_line > CLEARLY * off_arc + CLEARLY_MM
            curves.insert(0 if is_clearly_arc else len(curves), arc)
    return curves


def _are_on(letters: Letters, indices: Indices, curve: BaselineCurve, tolerance: float) -> Flags:
    off, sideways = curve.misses(letters, indices)
    blur = ROUNDING * abs(curve.rho) / letters.contacts.length[indices]
    is_on: Flags = (off <= tolerance + blur) & (
        sideways <= SIDEWAYS * letters.contacts.height[indices]
    )
    return is_on


# Chains. -----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Chain:
    """Letters that rest on one curve, each with its contact there."""

    curve: BaselineCurve
    contact_of: dict[int, int]


def find_chains(letters: Letters, free: Collection[int]) -> list[Chain]:
    """All chains of free letters, of at least two letters; a letter may be in several, on different contacts."""
    chains_with: dict[int, set[int]] = {}  # by contact
    chains: list[Chain] = []
    for first, second in _links(letters, sorted(free)):
        if chains_with.get(first, set()) & chains_with.get(second, set()):
            continue  # both are in one chain already
        contact_of = _grown(letters, [first, second], free)
        if contact_of:
            for contact in contact_of.values():
                chains_with.setdefault(contact, set()).add(len(chains))
            chains += [Chain(curve, contact_of) for curve in _possible(letters, contact_of)]
    return chains


def _possible(letters: Letters, contact_of: dict[int, int]) -> list[BaselineCurve]:
    """The curves that these contacts may be on: the likeliest, or both while few contacts tell it."""
    indices = np.array(sorted(contact_of.values()))
    height = float(np.median(letters.contacts.height[indices]))
    curves = curves_through(letters, indices, nearness(height))
    return curves if len(indices) < 4 else curves[:1]


def _links(letters: Letters, free: Sequence[int]) -> list[tuple[int, int]]:
    """Pairs of contacts of neighbours that may be on one curve, read from left to right; the nearest neighbours first."""
    is_free = set(free)
    pairs = sorted(
        (gap, letter, near)
        for letter in free
        for near, gap in letters.near[letter]
        if near in is_free
        # a pair of two that are near each other once
        and (letter < near or all(back != letter for back, _ in letters.near[near]))
    )
    if not pairs:
        return []
    contacts = letters.contacts
    i, j = _pairs_of_contacts(contacts.letter, np.array([pair[1:] for pair in pairs]).T)
    chord, both = contacts.under[j] - contacts.under[i], contacts.along[i] + contacts.along[j]
    is_back = (chord * both).sum(axis=1) < 0
    i, j = np.where(is_back, j, i), np.where(is_back, i, j)
    chord = np.where(is_back[:, None], -chord, chord)
    turn = _angle_between(contacts.along[i], contacts.along[j])
    tilt = _angle_between(both, chord)
    # letters are read from below, or from the right
    is_upright = both[:, 0] > -0.05 * np.hypot(*both.T)
    is_link = (
        contacts.can_lead[i]
        & contacts.can_lead[j]
        & (np.abs(turn) <= MOST_TURN)
        & (np.abs(tilt) <= MOST_TILT)
        & is_upright
    )
    return list(zip(i[is_link].tolist(), j[is_link].tolist(), strict=True))


def _pairs_of_contacts(letter_of: Indices, pairs: Indices) -> tuple[Indices, Indices]:
    """Each contact of the first letter with each of the second, for every pair of letters."""
    first = np.searchsorted(letter_of, pairs)
    counts = np.searchsorted(letter_of, pairs, side="right") - first
    total = counts[0] * counts[1]
    pair = np.repeat(np.arange(len(total)), total)
    within = np.arange(total.sum()) - np.repeat(np.cumsum(total) - total, total)
    i = first[0][pair] + within // counts[1][pair].clip(min=1)
    j = first[1][pair] + within % counts[1][pair].clip(min=1)
    return i, j


def _angle_between(first: Array, second: Array) -> Array:
    """The turn from one direction to another, radians counter-clockwise."""
    cross = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    angle: Array = np.arctan2(cross, (first * second).sum(axis=1))
    return angle


def _grown(letters: Letters, begun: list[int], free: Collection[int]) -> dict[int, int]:
    """The chain that starts with two contacts, as letter to contact: neighbours on its curve join, only the best one at a
    time while few contacts tell the curve."""
    contacts = letters.contacts
    contact_of = {int(contacts.letter[contact]): contact for contact in begun}
    best: dict[int, int] = {}
    while True:
        indices = np.array(sorted(contact_of.values()))
        height = float(np.median(contacts.height[indices]))
        tolerance = LOOSE * height if len(indices) < 4 else nearness(height)
        curves = curves_through(letters, indices, tolerance)
        if not curves:
            return best
        best = dict(contact_of)
        candidates = {
            near
            for letter in contact_of
            for near, _ in letters.near[letter]
            if near in free and near not in contact_of
        }
        joining = _joining(letters, contacts.of_letters(candidates), curves, tolerance)
        if not joining:
            return best
        contact_of |= dict(joining[:1] if len(indices) < 6 else joining)


def _joining(
    letters: Letters, indices: Indices, curves: list[BaselineCurve], tolerance: float
) -> list[tuple[int, int]]:
    """(letter, contact) of those contacts that are on one of the curves, the best first; for each letter its best contact."""
    if not len(indices):
        return []
    misses = np.full(len(indices), np.inf)
    for curve in curves:
        off, sideways = curve.misses(letters, indices)
        fits = _are_on(letters, indices, curve, tolerance)
        misses = np.minimum(misses, np.where(fits, off + 0.05 * sideways, np.inf))
    best: dict[int, int] = {}
    for at in np.argsort(misses, kind="stable").tolist():
        if not np.isfinite(misses[at]):
            break
        best.setdefault(int(letters.contacts.letter[indices[at]]), int(indices[at]))
    return list(best.items())
