"""Whether one outline can be laid on another: turned and moved, never mirrored.

Owns the measures by which outlines are told apart quickly, and the test that decides. Must not know about families,
stock or pieces. Lengths are millimetres, angles degrees counter-clockwise, points of the plane complex numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import chain

import numpy as np
import shapely

from .errors import Refused
from .outlines import PLACES, Outline

TOLERANCE_MM = 0.1  # no point of one boundary is further from the other
SHIFT_MM = 0.3  # the centroids of two congruent outlines are not further apart than this
LONGER, LONGER_MM = 0.05, 0.4  # a ragged boundary is longer than a smooth one beside it, by this share and so much
WIDER = 1.5  # areas differ by at most the tolerance times the perimeter, and half as much again for corners
SWAY = 0.05  # a ragged stretch draws the harmonics towards it by this much at the most
ROUND_CORNERS = 8  # a corner of the band has so many segments a quarter: it is 0.0005 mm too narrow at the most

HARMONICS, FINE_HARMONICS = 8, 64  # turns by which a shape may repeat itself: letters, then cogs and sunbursts
LEAST_HARMONIC = 2e-3  # below this share a shape is as good as round
SAMPLES = ((0.5 - 0.15**0.5, 5 / 18), (0.5, 8 / 18), (0.5 + 0.15**0.5, 5 / 18))  # Gauss and Legendre, three a side
SNAP_DEGREES = 0.5  # drawn turns are mostly whole or half degrees: those are tried first

NEARLY_MM = 1.0  # a first guess this good is worth bettering
FEW_POINTS = 16  # a first look takes every sixteenth point
LONG_MM = 3.0  # the middle of a side this long is looked at too, beside its ends
STEPS = 8  # of bettering; three do, but where the fit is nearly 0.1 mm off
SLACK = 1.2  # a step's forecast is that good: it takes feet on curves for feet on their tangents

Pose = tuple[float, complex]  # a turn about the centroid in degrees, and a shift after it


class Shape:
    """An outline round its centroid, with all that is worth keeping between comparisons."""

    def __init__(self, outline: Outline, starts: np.ndarray, ends: np.ndarray, key: tuple):
        self.outline, self.starts, self.ends = outline, starts, ends
        self.key = key  # equal for outlines that differ by a shift only
        self.holes = len(outline.rings) - 1
        self.area = self.perimeter = self.radius = self.spread = 0.0
        self.harmonics = np.zeros(0, dtype=complex)

    @cached_property
    def boundary(self) -> shapely.MultiLineString:
        """The rings; prepared."""
        boundary = self._lines(self.starts)
        shapely.prepare(boundary)
        return boundary

    @cached_property
    def band(self) -> shapely.Geometry:
        """All that is within the tolerance of the boundary; prepared."""
        band = shapely.buffer(self.boundary, TOLERANCE_MM, quad_segs=ROUND_CORNERS)
        shapely.prepare(band)
        return band

    def turned(self, pose: Pose) -> shapely.MultiLineString:
        """The boundary turned and moved."""
        angle, shift = pose
        return self._lines(self.starts * _unit(angle) + shift)

    def turned_back(self, pose: Pose) -> shapely.MultiLineString:
        """The boundary as it was before it was turned and moved so."""
        angle, shift = pose
        return self._lines((self.starts - shift) * _unit(-angle))

    def _lines(self, points: np.ndarray) -> shapely.MultiLineString:
        pairs = points.view(float).reshape(-1, 2)
        return shapely.multilinestrings(shapely.linearrings(pairs, indices=self._ring_of_point))

    @cached_property
    def _ring_of_point(self) -> np.ndarray:
        return np.repeat(np.arange(self.holes + 1), [len(ring) for ring in self.outline.rings])

    @cached_property
    def points(self) -> np.ndarray:
        """The corners, and the middles of the long sides."""
        sides = self.ends - self.starts
        is_long = np.abs(sides) > LONG_MM
        return np.concatenate([self.starts, (self.starts + sides / 2)[is_long]])

    @cached_property
    def normals(self) -> np.ndarray:
        """For each of `points` the direction square to its side, of length 1."""
        sides = self.ends - self.starts
        length = np.abs(sides)
        normals = 1j * sides / np.maximum(length, 1e-12)
        return np.concatenate([normals, normals[length > LONG_MM]])

    @cached_property
    def repeats(self) -> int:
        """The least number of repeats that shows well how the shape is turned, 0 for what is round."""
        for harmonics in (lambda: self.harmonics, lambda: self._fine_harmonics):
            strength = np.abs(harmonics())
            if strength.max() >= LEAST_HARMONIC:
                return 1 + int(np.argmax(strength >= strength.max() / 2))
        return 0

    def harmonic(self, repeats: int) -> complex:
        """How strongly, and towards where, the boundary repeats itself so many times a turn."""
        return complex((self.harmonics if repeats <= HARMONICS else self._fine_harmonics)[repeats - 1])

    @cached_property
    def _fine_harmonics(self) -> np.ndarray:
        return _harmonics(self.starts, self.ends, np.zeros(1, dtype=int), FINE_HARMONICS)[0][0]


def shapes_of(outlines: Sequence[Outline]) -> list[Shape]:
    """The outlines measured, all in one go."""
    if not outlines:
        return []
    rings = [ring for outline in outlines for ring in outline.rings]
    numbers = np.fromiter(chain.from_iterable(chain.from_iterable(rings)), float)
    starts = numbers.view(complex)
    sizes = np.array([len(ring) for ring in rings])
    counts = np.array([sum(map(len, outline.rings)) for outline in outlines])
    first, firsts = np.cumsum(counts) - counts, np.cumsum(sizes) - sizes
    following = np.arange(1, len(starts) + 1)
    following[firsts + sizes - 1] = firsts

    starts = starts - np.repeat(_corners(starts, first), counts)
    whole = np.rint(starts.view(float).reshape(-1, 2) * 10**PLACES).astype(np.int64)
    starts = starts - np.repeat(_centroids(starts, starts[following], first), counts)
    shapes = []
    for outline, begin, count in zip(outlines, first.tolist(), counts.tolist(), strict=True):
        part = slice(begin, begin + count)
        key = (tuple(map(len, outline.rings)), whole[part].tobytes())
        shapes.append(Shape(outline, starts[part], starts[following[part]], key))
    _measure(shapes, starts, starts[following], first)
    return shapes


def _measure(shapes: list[Shape], starts: np.ndarray, ends: np.ndarray, first: np.ndarray) -> None:
    areas = np.add.reduceat((starts.conj() * ends).imag, first) / 2
    perimeters = np.add.reduceat(np.abs(ends - starts), first)
    radii = np.maximum.reduceat(np.abs(starts), first)
    harmonics, spreads = _harmonics(starts, ends, first, HARMONICS)
    for place, shape in enumerate(shapes):
        shape.area, shape.perimeter = float(areas[place]), float(perimeters[place])
        shape.radius, shape.spread = float(radii[place]), float(spreads[place])
        shape.harmonics = harmonics[place]


def _corners(points: np.ndarray, first: np.ndarray) -> np.ndarray:
    """The lower left corner of each outline's box."""
    return np.minimum.reduceat(points.real, first) + 1j * np.minimum.reduceat(points.imag, first)


def _centroids(starts: np.ndarray, ends: np.ndarray, first: np.ndarray) -> np.ndarray:
    cross = (starts.conj() * ends).imag
    twice = np.add.reduceat(cross, first)
    return np.add.reduceat((starts + ends) * cross, first) / np.where(twice, 3 * twice, 1)


def _harmonics(starts: np.ndarray, ends: np.ndarray, first: np.ndarray, most: int) -> tuple[np.ndarray, np.ndarray]:
    """For each outline how it repeats itself 1, 2, … `most` times a turn; and the root of its mean r².

    Each the integral of r² e^(i repeats angle) along the boundary, as a share of the integral of r². A turn of the shape
    by t turns it by repeats × t; being an integral, it hardly feels where a curve was cut into segments.
    """
    sides = ends - starts
    length = np.abs(sides)
    sums, whole = np.zeros((most, len(first)), dtype=complex), np.zeros(len(first))
    for along, share in SAMPLES:
        points = starts + sides * along
        radius = np.abs(points)
        unit = points / np.maximum(radius, 1e-12)
        term = length * share * radius**2
        whole += np.add.reduceat(term, first)
        for repeats in range(most):
            term = term * unit
            sums[repeats] += np.add.reduceat(term, first)
    spread = np.sqrt(whole / np.maximum(np.add.reduceat(length, first), 1e-12))
    return (sums / np.maximum(whole, 1e-12)).T, spread


def checked_turns(turns: str) -> str:
    """What a stock allows: 'any', '180' or 'none'. Raises Refused for all else."""
    if turns not in ("any", "180", "none"):
        raise Refused(f"A stock may turn by “any”, “180” or “none”: choose one of these, not “{turns}”.")
    return turns


def pose_onto(shape: Shape, reference: Shape, turns: str) -> Pose | None:
    """How `shape` must be turned and moved, centroid on centroid first, to lie on `reference`; None where it cannot."""
    if not may_be_congruent(shape, reference):
        return None
    for angle in _candidate_turns(shape, reference, turns):
        pose = _fitted(shape, reference, angle, is_free=turns == "any")
        if pose is not None:
            return pose
    return None


def distance(shape: Shape, reference: Shape, pose: Pose) -> float:
    """How far a corner of either is from the boundary of the other, at the most, in mm."""
    return float(shapely.hausdorff_distance(shape.turned(pose), reference.boundary))


def may_differ_by(shape: Shape) -> tuple[float, float]:
    """By how many mm the radius, and by how many mm² the area of a congruent outline may be off, at the most."""
    longest = (shape.perimeter + LONGER_MM) / (1 - LONGER)
    return TOLERANCE_MM + SHIFT_MM, WIDER * TOLERANCE_MM * longest


def may_be_congruent(shape: Shape, reference: Shape) -> bool:
    """Quick and generous: false only where no turn can lay one onto the other."""
    edge = max(shape.perimeter, reference.perimeter)
    if (
        shape.holes != reference.holes
        or abs(shape.radius - reference.radius) > TOLERANCE_MM + SHIFT_MM
        or abs(shape.area - reference.area) > WIDER * TOLERANCE_MM * edge
        or abs(shape.perimeter - reference.perimeter) > LONGER * edge + LONGER_MM
    ):
        return False
    off = np.abs(np.abs(shape.harmonics) - np.abs(reference.harmonics))
    sway = SWAY + HARMONIC_FEELS * (TOLERANCE_MM + SHIFT_MM) / max(reference.spread, TOLERANCE_MM)
    return bool((off <= sway).all())


# A shift s of the boundary changes r² e^(i k angle) by (2 + k) r s at the most, and the integral of r² by 2 r s.
HARMONIC_FEELS = np.arange(1, HARMONICS + 1) + 4


def _candidate_turns(shape: Shape, reference: Shape, turns: str) -> list[float]:
    if turns != "any":
        return [0.0, 180.0] if turns == "180" else [0.0]
    repeats = reference.repeats
    if not repeats:
        return [0.0]
    ahead = np.degrees(np.angle(reference.harmonic(repeats) / (shape.harmonic(repeats) or 1))) / repeats
    around = [(ahead + 360.0 * one / repeats) % 360.0 for one in range(repeats)]
    return sorted(0.0 if 360.0 - turn < SNAP_DEGREES / 10 else float(turn) for turn in around)


def _fitted(shape: Shape, reference: Shape, angle: float, is_free: bool) -> Pose | None:
    """The turn near `angle`, and the shift, that fit within the tolerance, or None."""
    snapped = round(angle / SNAP_DEGREES) * SNAP_DEGREES % 360.0
    if abs(snapped - angle) < SNAP_DEGREES / 10 and _fits(shape, reference, (snapped, 0j)):
        return snapped, 0j
    if _fits(shape, reference, (angle, 0j)):
        return angle % 360.0, 0j
    few = shapely.points((shape.points[::FEW_POINTS] * _unit(angle)).view(float).reshape(-1, 2))
    if not shapely.dwithin(reference.boundary, few, NEARLY_MM).all():
        return None
    return _bettered(shape, reference, angle, is_free)


def _fits(shape: Shape, reference: Shape, pose: Pose) -> bool:
    """Whether no point of either boundary is further than the tolerance from the other."""
    return bool(
        shapely.covers(reference.band, shape.turned(pose)) and shapely.covers(shape.band, reference.turned_back(pose))
    )


def _bettered(shape: Shape, reference: Shape, angle: float, is_free: bool) -> Pose | None:
    """The pose near `angle` with the least greatest distance, if that is within the tolerance.

    Lawson's way from least squares to the least greatest distance: the points that are far off weigh more with each
    step. The weighted mean of a step is a bound that no pose can go below.
    """
    shift, weights = 0j, np.ones(len(shape.points))
    for _ in range(STEPS):
        turned = shape.points * _unit(angle)
        off = _ways_to(reference, turned + shift)
        far = np.abs(off)
        if far.max() > NEARLY_MM:
            return None
        weights = weights * (far + TOLERANCE_MM / 100)
        weights /= weights.sum()
        # the way to the boundary is square to it; where there is no way left, the side's own normal
        ways = np.where(far > 1e-6, off / np.maximum(far, 1e-12), shape.normals * _unit(angle))
        swing = (ways.conj() * 1j * turned).real if is_free else np.zeros(len(far))
        columns, root = np.column_stack([ways.real, ways.imag, swing]), np.sqrt(weights)
        step = np.linalg.lstsq(columns * root[:, None], far * root, rcond=None)[0]
        if np.linalg.norm((columns @ step - far) * root) > SLACK * TOLERANCE_MM:
            return None
        angle, shift = angle + float(np.degrees(step[2])), shift + complex(step[0], step[1])
        if _fits(shape, reference, (angle, shift)):
            return angle % 360.0, shift
    return None


def _ways_to(reference: Shape, points: np.ndarray) -> np.ndarray:
    """From each point the shortest way to the reference's boundary."""
    found = shapely.points(points.view(float).reshape(-1, 2))
    ends = shapely.get_coordinates(shapely.shortest_line(found, reference.boundary)).view(complex).reshape(-1, 2)
    return ends[:, 1] - ends[:, 0]


def _unit(angle: float) -> complex:
    return complex(np.exp(1j * np.radians(angle)))
