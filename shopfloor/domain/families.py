"""Families: outlines of one stock that may stand in for one another.

Owns the question whether two outlines are congruent, turned and moved but never mirrored, and which family an
outline joins. Must not know about stock, pieces or the store. Lengths are millimetres, angles degrees
counter-clockwise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from .errors import Refused
from .outlines import Outline

TOLERANCE_MM = 0.1  # no point of one boundary is further from the other
NEARLY_MM = 1.0  # a first guess this good is worth bettering
BUCKET_MM = 0.5  # step of the radius by which references are looked up; wider than the radius may differ
FEW_TURNS, MANY_TURNS = 8, 64  # turns by which a shape may repeat itself: letters, then cogs and sunbursts
LEAST_HARMONIC = 2e-3  # below this share a shape is as good as round
FEW_POINTS = 16  # a first look takes every sixteenth point
LONG_MM = 3.0  # the middle of a side this long is looked at too, beside its ends
SNAP_DEGREES = 0.5  # drawn turns are mostly whole or half degrees: those are tried first
SAMPLE_POINTS = np.array([0.5 - 0.15**0.5, 0.5, 0.5 + 0.15**0.5])  # Gauss and Legendre, three points a segment
SAMPLE_WEIGHTS = np.array([5, 8, 5]) / 18


@dataclass(frozen=True)
class Match:
    """The family that an outline belongs to: the place of its reference, and the turn that lays it onto that."""

    family: int
    turn: float


@dataclass(frozen=True)
class Sorted:
    """One match for each outline, and all references: those that were given, then those that were started."""

    matches: tuple[Match, ...]
    references: tuple[Outline, ...]


def turn_onto(outline: Outline, reference: Outline, turns: str) -> float | None:
    """The turn in degrees (0 ≤ turn < 360) that lays `outline` onto `reference`, or None when they are not congruent.

    Congruent: after the turn and a shift no point of either boundary is further than 0.1 mm from the other. A mirrored
    outline is another shape. `turns` is what the stock allows: 'any', '180' (half a turn) or 'none'.
    """
    return _turn_onto(_Shape(outline), _Shape(reference), _checked(turns))


def sort_into(outlines: Iterable[Outline], references: Sequence[Outline], turns: str) -> Sorted:
    """Each outline into the family of the nearest reference within 0.1 mm; what fits none starts a family.

    An outline that starts a family becomes its reference, also for those after it.
    """
    families = Families(references, turns)
    matches = tuple(families.place(outline) for outline in outlines)
    return Sorted(matches, families.references)


class Families:
    """The families of one stock, looked up by size so that many of them stay quick."""

    def __init__(self, references: Iterable[Outline], turns: str):
        self._turns = _checked(turns)
        self._shapes: list[_Shape] = []
        self._buckets: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._seen: dict[Outline, Match] = {}
        for reference in references:
            self._start(_Shape(reference))

    @property
    def references(self) -> tuple[Outline, ...]:
        """One outline a family, in the order in which the families were started."""
        return tuple(shape.outline for shape in self._shapes)

    def place(self, outline: Outline) -> Match:
        """The family of this outline; starts one where it fits none."""
        local = outline.at_origin()  # the same letter again and again: known without any geometry
        if local not in self._seen:
            shape = _Shape(outline)
            self._seen[local] = self._nearest(shape) or self._start(shape)
        return self._seen[local]

    def _start(self, shape: _Shape) -> Match:
        place = len(self._shapes)
        self._shapes.append(shape)
        self._buckets[shape.bucket].append(place)
        return Match(place, 0.0)

    def _nearest(self, shape: _Shape) -> Match | None:
        holes, radius = shape.bucket
        near = sorted(place for step in (-1, 0, 1) for place in self._buckets.get((holes, radius + step), ()))
        turned = [(place, _turn_onto(shape, self._shapes[place], self._turns)) for place in near]
        found = [Match(place, turn) for place, turn in turned if turn is not None]
        if len(found) < 2:
            return found[0] if found else None
        return min(found, key=lambda match: _distance(shape, self._shapes[match.family], match.turn))


class _Shape:
    """An outline round its centroid, with all that is worth keeping between comparisons."""

    def __init__(self, outline: Outline):
        self.outline = outline
        centre = outline.polygon.centroid
        rings = [np.array([complex(x, y) for x, y in ring]) - complex(centre.x, centre.y) for ring in outline.rings]
        self.starts = np.concatenate(rings)
        self.ends = np.concatenate([np.roll(ring, -1) for ring in rings])
        sides = self.ends - self.starts
        is_long = np.abs(sides) > LONG_MM
        self.points = np.concatenate([self.starts, (self.starts + sides / 2)[is_long]])
        self.directions = np.concatenate([sides, sides[is_long]])
        self.area = outline.area_mm2
        self.perimeter = float(np.abs(sides).sum())
        self.holes = len(rings) - 1
        self.radius = float(np.abs(self.starts).max())

    @property
    def bucket(self) -> tuple[int, int]:
        return self.holes, int(self.radius // BUCKET_MM)

    @cached_property
    def boundary(self) -> shapely.MultiLineString:
        split = np.cumsum([len(ring) for ring in self.outline.rings])[:-1]
        lines = [np.column_stack([ring.real, ring.imag]) for ring in np.split(self.starts, split)]
        boundary = shapely.multilinestrings([shapely.linearrings(line) for line in lines])
        shapely.prepare(boundary)
        return boundary

    @cached_property
    def samples(self) -> tuple[np.ndarray, np.ndarray]:
        """Angles of points along the boundary, and the weight of each: its share of the integral of r²."""
        sides = (self.ends - self.starts)[:, None]
        points = (self.starts[:, None] + sides * SAMPLE_POINTS).ravel()
        weights = (np.abs(sides) * SAMPLE_WEIGHTS).ravel() * np.abs(points) ** 2
        return np.angle(points), weights / weights.sum()

    def harmonic(self, repeats: int) -> complex:
        """How strongly, and towards where, the boundary repeats itself so many times a turn.

        The integral of r² e^(i repeats angle) along the boundary. A turn of the shape by t turns it by repeats × t;
        being an integral, it hardly feels where a curve was cut into segments.
        """
        angles, weights = self.samples
        return complex(np.exp(1j * repeats * angles) @ weights)

    @cached_property
    def repeats(self) -> int:
        """The least number of repeats that shows well how the shape is turned, 0 for what is round."""
        for most in (FEW_TURNS, MANY_TURNS):
            strength = np.abs([self.harmonic(one) for one in range(1, most + 1)])
            if strength.max() >= LEAST_HARMONIC:
                return 1 + int(np.argmax(strength >= strength.max() / 2))
        return 0


def _checked(turns: str) -> str:
    if turns not in ("any", "180", "none"):
        raise Refused(f"A stock may turn by “any”, “180” or “none”: choose one of these, not “{turns}”.")
    return turns


def _turn_onto(shape: _Shape, reference: _Shape, turns: str) -> float | None:
    if not _may_be_congruent(shape, reference):
        return None
    for angle in _candidate_turns(shape, reference, turns):
        turn = _fitted(shape, reference, angle, is_free=turns == "any")
        if turn is not None:
            return turn
    return None


def _may_be_congruent(shape: _Shape, reference: _Shape) -> bool:
    """Quick and generous: false only where no turn can lay one onto the other."""
    edge = max(shape.perimeter, reference.perimeter)
    return (
        shape.holes == reference.holes
        and abs(shape.radius - reference.radius) <= 4 * TOLERANCE_MM
        and abs(shape.area - reference.area) <= 1.5 * TOLERANCE_MM * edge
        and abs(shape.perimeter - reference.perimeter) <= 0.05 * edge + 4 * TOLERANCE_MM
    )


def _candidate_turns(shape: _Shape, reference: _Shape, turns: str) -> list[float]:
    if turns != "any":
        return [0.0, 180.0] if turns == "180" else [0.0]
    repeats = reference.repeats
    if not repeats:
        return [0.0]
    ahead = np.degrees(np.angle(reference.harmonic(repeats) / (shape.harmonic(repeats) or 1))) / repeats
    around = [(ahead + 360.0 * one / repeats) % 360.0 for one in range(repeats)]
    around = [0.0 if 360.0 - turn < SNAP_DEGREES / 10 else turn for turn in around]
    return sorted(around)


def _fitted(shape: _Shape, reference: _Shape, angle: float, is_free: bool) -> float | None:
    """The turn near `angle` that fits within the tolerance, or None."""
    if not _fits(shape, reference, angle, 0j, NEARLY_MM, every=FEW_POINTS):
        return None
    snapped = round(angle / SNAP_DEGREES) * SNAP_DEGREES % 360.0
    if abs(snapped - angle) < SNAP_DEGREES / 10 and _fits(shape, reference, snapped, 0j):
        return snapped
    if _fits(shape, reference, angle, 0j):
        return angle % 360.0
    if not _fits(shape, reference, angle, 0j, NEARLY_MM):
        return None
    shift = 0j
    for _ in range(3):
        angle, shift = _bettered(shape, reference, angle, shift, is_free)
        if _fits(shape, reference, angle, shift):
            return angle % 360.0
    return None


def _fits(
    shape: _Shape, reference: _Shape, angle: float, shift: complex, within: float = TOLERANCE_MM, every: int = 1
) -> bool:
    turn = np.exp(1j * np.radians(angle))
    there, back = shape.points[::every] * turn + shift, (reference.points[::every] - shift) / turn
    return all(
        shapely.dwithin(boundary, shapely.points(points.real, points.imag), within).all()
        for boundary, points in ((reference.boundary, there), (shape.boundary, back))
    )


def _distance(shape: _Shape, reference: _Shape, angle: float) -> float:
    turned = shape.points * np.exp(1j * np.radians(angle))
    return float(shapely.distance(reference.boundary, shapely.points(turned.real, turned.imag)).max())


def _bettered(shape: _Shape, reference: _Shape, angle: float, shift: complex, is_free: bool) -> tuple[float, complex]:
    """A better turn (where the stock is free to turn) and shift: least squares of the distances square to the edge."""
    turned = shape.points * np.exp(1j * np.radians(angle))
    found = shapely.points((turned + shift).real, (turned + shift).imag)
    feet = shapely.shortest_line(found, reference.boundary)
    ends = shapely.get_coordinates(feet).reshape(-1, 2, 2)
    off = ends[:, 1] @ [1, 1j] - (turned + shift)
    normal = 1j * shape.directions / np.maximum(np.abs(shape.directions), 1e-12) * np.exp(1j * np.radians(angle))
    along_turn = (normal.conj() * 1j * turned).real if is_free else np.zeros(len(off))
    columns = np.column_stack([normal.real, normal.imag, along_turn])
    dx, dy, swing = np.linalg.lstsq(columns, (normal.conj() * off).real, rcond=None)[0]
    return angle + float(np.degrees(swing)), shift + complex(dx, dy)
