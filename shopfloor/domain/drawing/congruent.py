"""Whether one outline can be laid on another: turned and moved, never mirrored.

Owns the measures that tell outlines apart quickly, and the test that decides. Must not know about families,
stock or pieces. Lengths are millimetres, angles degrees counter-clockwise, points of the plane complex numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

import numpy as np
import numpy.typing as npt
import shapely

from ..outlines import PLACES, Outline

TOLERANCE_MM = 0.1  # no point of one boundary is further than this from the other
SHIFT_MM = 0.3  # the centroids of two congruent outlines are at most this far apart
LONGER, LONGER_MM = 0.05, 0.4  # a ragged boundary is at most this share, plus this, longer
WIDER = 1.2  # areas differ by at most the tolerance times the perimeter, and a fifth for corners
SWAY_MM = 0.15  # harmonics of a boundary this far off differ more; the most measured was 0.06
ROUND_CORNERS = 8  # segments a quarter in the corners of the band: at most 0.0005 mm too narrow

HARMONICS, FINE_HARMONICS = 8, 64  # repeats a turn: of letters, then of cogs and sunbursts
LEAST_HARMONIC, LEAST_FINE = 2e-3, 1e-4  # weaker ones are noise: the shape counts as round
FEELS = 4 + np.arange(1, HARMONICS + 1)  # how strongly each harmonic reacts to the boundary's place
# Gauss and Legendre's rule with three points
SAMPLES = ((0.5 - 0.15**0.5, 5 / 18), (0.5, 8 / 18), (0.5 + 0.15**0.5, 5 / 18))
SNAP_DEGREES = 0.5  # drawn turns are mostly whole or half degrees: those are tried first

NEARLY_MM = 1.0  # a first guess this close is worth refining
FEW = 16  # a first check takes every sixteenth point
LONG_MM = 3.0  # of a side this long the middle is checked too
STEPS, ROUNDS = 8, 30  # of refining: searches for nearest points, and moves for the same points
SLACK = 1.5  # a step's estimate is this good: it takes curves for their tangents
CLOSE = 0.9  # this far below the tolerance, or this near the bound, is good enough
LEAST_WAY_MM = 1e-6

Floats = npt.NDArray[np.float64]
Points = npt.NDArray[np.complex128]
Places = npt.NDArray[np.intp]
Pose = tuple[float, complex]  # a turn about the centroid in degrees, then a shift


@dataclass(eq=False)
class Shape:
    """An outline round its centroid, with everything worth keeping between comparisons.

    `starts` and `ends` of its sides; `key` is equal for outlines that differ only by a shift; `radius` is that of the
    furthest point, `spread` the root of the mean r²; for `harmonics` see `harmonic`.
    """

    outline: Outline
    key: tuple[tuple[int, ...], bytes]
    starts: Points
    ends: Points
    area: float
    perimeter: float
    radius: float
    spread: float
    harmonics: Points

    @property
    def holes(self) -> int:
        """The number of holes."""
        return len(self.outline.rings) - 1

    @cached_property
    def boundary(self) -> shapely.MultiLineString:
        """The rings, prepared."""
        boundary = self._lines(self.starts)
        shapely.prepare(boundary)
        return boundary

    @cached_property
    def band(self) -> shapely.Geometry:
        """The area within the tolerance of the boundary, prepared."""
        band = shapely.buffer(self.boundary, TOLERANCE_MM, quad_segs=ROUND_CORNERS)
        shapely.prepare(band)
        return band

    def turned(self, pose: Pose) -> shapely.MultiLineString:
        """Return the boundary turned and moved."""
        angle, shift = pose
        return self._lines(self.starts * _unit(angle) + shift)

    def turned_back(self, pose: Pose) -> shapely.MultiLineString:
        """Return the boundary as it was before this turn and shift."""
        angle, shift = pose
        return self._lines((self.starts - shift) * _unit(-angle))

    def _lines(self, points: Points) -> shapely.MultiLineString:
        pairs = points.view(float).reshape(-1, 2)
        return shapely.multilinestrings(shapely.linearrings(pairs, indices=self._ring_of_point))

    @cached_property
    def _ring_of_point(self) -> Places:
        return np.repeat(np.arange(self.holes + 1), [len(ring) for ring in self.outline.rings])

    @cached_property
    def points(self) -> Points:
        """The corners, and the middles of the long sides."""
        sides = self.ends - self.starts
        is_long = np.abs(sides) > LONG_MM
        return np.concatenate([self.starts, (self.starts + sides / 2)[is_long]])

    @cached_property
    def normals(self) -> Points:
        """For each of `points` the unit normal of its side."""
        sides = self.ends - self.starts
        length = np.abs(sides)
        normals = 1j * sides / np.maximum(length, 1e-12)
        of_points: Points = np.concatenate([normals, normals[length > LONG_MM]])
        return of_points

    @cached_property
    def repeats(self) -> int:
        """The least number of repeats that shows how the shape is turned, 0 for a round one."""
        for name, least in (("harmonics", LEAST_HARMONIC), ("fine_harmonics", LEAST_FINE)):
            strength = np.abs(getattr(self, name))
            if strength.max() >= least:
                return 1 + int(np.argmax(strength >= strength.max() / 2))
        return 0

    def harmonic(self, repeats: int) -> complex:
        """Return how strongly, and in which direction, the boundary repeats itself this many times a turn."""
        return complex(
            (self.harmonics if repeats <= HARMONICS else self.fine_harmonics)[repeats - 1]
        )

    @cached_property
    def fine_harmonics(self) -> Points:
        """The `harmonics`, and finer ones after them."""
        ((harmonics,), _) = _harmonics(
            self.starts, self.ends, np.zeros(1, dtype=int), FINE_HARMONICS
        )
        return np.asarray(harmonics)


def shapes_of(outlines: Sequence[Outline]) -> list[Shape]:
    """Return the outlines measured, all in one go."""
    if not outlines:
        return []
    starts, following, first = _corners_of(outlines)
    counts = np.diff(first, append=len(starts))
    starts = starts - np.repeat(_lower_left(starts, first), counts)
    thousandths = np.rint(starts.view(float) * 10**PLACES).astype(np.int64).reshape(-1, 2)
    starts = starts - np.repeat(_centroids(starts, starts[following], first), counts)
    ends = starts[following]
    areas = np.add.reduceat((starts.conj() * ends).imag, first) / 2
    perimeters = np.add.reduceat(np.abs(ends - starts), first)
    radii = np.maximum.reduceat(np.abs(starts), first)
    harmonics, spreads = _harmonics(starts, ends, first, HARMONICS)
    measured = zip(
        areas.tolist(),
        perimeters.tolist(),
        radii.tolist(),
        spreads.tolist(),
        harmonics,
        strict=True,
    )
    shapes = []
    for outline, begin, count, measures in zip(
        outlines, first.tolist(), counts.tolist(), measured, strict=True
    ):
        part = slice(begin, begin + count)
        key = (tuple(map(len, outline.rings)), thousandths[part].tobytes())
        shapes.append(Shape(outline, key, starts[part], ends[part], *measures))
    return shapes


def _corners_of(outlines: Sequence[Outline]) -> tuple[Points, Places, Places]:
    """Return all corners; for each the place of the next in its ring; for each outline the place of its first."""
    rings = [ring for outline in outlines for ring in outline.rings]
    corners = np.fromiter(chain.from_iterable(chain.from_iterable(rings)), float).view(complex)
    sizes = np.array([len(ring) for ring in rings])
    ring_ends = np.cumsum(sizes)
    following = np.arange(1, len(corners) + 1)
    following[ring_ends - 1] = ring_ends - sizes
    first_rings = np.cumsum([0, *(len(outline.rings) for outline in outlines[:-1])])
    return corners, following, (ring_ends - sizes)[first_rings]


def _lower_left(points: Points, first: Places) -> Points:
    """Return the lower left corner of each outline's box."""
    left, bottom = (np.minimum.reduceat(side, first) for side in (points.real, points.imag))
    corners: Points = left + 1j * bottom
    return corners


def _centroids(starts: Points, ends: Points, first: Places) -> Points:
    cross = (starts.conj() * ends).imag
    twice = np.add.reduceat(cross, first)
    moments: Points = np.add.reduceat((starts + ends) * cross, first)
    return moments / np.where(twice, 3 * twice, 1)


def _harmonics(starts: Points, ends: Points, first: Places, most: int) -> tuple[Points, Floats]:
    """Return for each outline how it repeats itself 1, 2, … `most` times a turn, and the root of its mean r².

    Each is the integral of r² e^(i repeats angle) along the boundary, as a share of the integral of r². Turning the
    shape by t turns it by repeats × t. It hardly depends on how a curve was cut into segments.
    """
    starts, sides, first = _in_pieces(starts, ends, first, most)
    length = np.abs(sides)
    sums: Points = np.zeros((most, len(first)), dtype=np.complex128)
    whole = np.zeros(len(first))
    for along, share in SAMPLES:
        points = starts + sides * along
        radius = np.abs(points)
        unit = points / np.maximum(radius, 1e-12)
        weight = length * share * radius**2
        whole += np.add.reduceat(weight, first)
        term = weight.astype(complex)
        for repeats in range(most):
            term = term * unit
            sums[repeats] += np.add.reduceat(term, first)
    spread = np.sqrt(whole / np.maximum(np.add.reduceat(length, first), 1e-12))
    harmonics: Points = np.divide(sums, np.maximum(whole, 1e-12)).T
    return harmonics, spread


def _in_pieces(
    starts: Points, ends: Points, first: Places, most: int
) -> tuple[Points, Points, Places]:
    """Cut long sides into pieces, each seen from the centroid under an angle small enough for three samples."""
    sides = ends - starts
    radii = np.maximum.reduceat(np.abs(starts), first)
    longest = np.repeat(np.maximum(radii, 1e-12) / most, np.diff(first, append=len(starts)))
    pieces = np.ceil(np.abs(sides) / longest).astype(int).clip(min=1)
    begun = np.cumsum(pieces) - pieces
    which = np.arange(pieces.sum()) - np.repeat(begun, pieces)
    sides = np.repeat(sides / pieces, pieces)
    return np.repeat(starts, pieces) + sides * which, sides, begun[first]


def pose_onto(shape: Shape, reference: Shape, turns: str) -> Pose | None:
    """Return how to turn and move `shape`, centroid on centroid first, onto `reference`; None where they differ."""
    if not may_be_congruent(shape, reference):
        return None
    for angle in _candidate_turns(shape, reference, turns):
        pose = _fitted(shape, reference, angle, is_free=turns == "any")
        if pose is not None:
            return pose
    return None


def distance(shape: Shape, reference: Shape, pose: Pose) -> float:
    """Return the greatest distance, in mm, of a corner of either from the boundary of the other."""
    return float(shapely.hausdorff_distance(shape.turned(pose), reference.boundary))


def may_differ_by(shape: Shape) -> tuple[float, float]:
    """Return by how many mm the radius, and by how many mm² the area, of a congruent outline may differ."""
    longest = (shape.perimeter + LONGER_MM) / (1 - LONGER)
    return TOLERANCE_MM + SHIFT_MM, WIDER * TOLERANCE_MM * longest


def may_be_congruent(shape: Shape, reference: Shape) -> bool:
    """A quick, generous test: false only where no turn can lay one onto the other."""
    edge = max(shape.perimeter, reference.perimeter)
    if (
        shape.holes != reference.holes
        or abs(shape.radius - reference.radius) > TOLERANCE_MM + SHIFT_MM
        or abs(shape.area - reference.area) > WIDER * TOLERANCE_MM * edge
        or abs(shape.perimeter - reference.perimeter) > LONGER * edge + LONGER_MM
    ):
        return False
    off = np.abs(np.abs(shape.harmonics) - np.abs(reference.harmonics))
    # a boundary off by s changes r² e^(i k angle) by (2 + k) r s at the most, and the integral of r² by 2 r s
    return bool((off * max(reference.spread, TOLERANCE_MM) <= FEELS * SWAY_MM).all())


def _candidate_turns(shape: Shape, reference: Shape, turns: str) -> list[float]:
    if turns != "any":
        return [0.0, 180.0] if turns == "180" else [0.0]
    repeats = reference.repeats
    if not repeats:
        return [0.0]
    ahead = (
        np.degrees(np.angle(reference.harmonic(repeats) / (shape.harmonic(repeats) or 1))) / repeats
    )
    around = [(ahead + 360.0 * turn / repeats) % 360.0 for turn in range(repeats)]
    return sorted(0.0 if 360.0 - turn < SNAP_DEGREES / 10 else float(turn) for turn in around)


def _fitted(shape: Shape, reference: Shape, angle: float, is_free: bool) -> Pose | None:
    """Return the turn near `angle` and the shift that fit within the tolerance, or None."""
    few = _as_points(shape.points[::FEW] * _unit(angle))
    if not shapely.dwithin(reference.boundary, few, NEARLY_MM).all():
        return None
    snapped = round(angle / SNAP_DEGREES) * SNAP_DEGREES % 360.0
    if abs(snapped - angle) < SNAP_DEGREES / 10 and _fits(shape, reference, (snapped, 0j)):
        return snapped, 0j
    if _fits(shape, reference, (angle, 0j)):
        return angle % 360.0, 0j
    return _refined(shape, reference, (angle, 0j), is_free)


def _fits(shape: Shape, reference: Shape, pose: Pose) -> bool:
    """Whether both boundaries lie within the tolerance of each other."""
    return bool(
        shapely.covers(reference.band, shape.turned(pose))
        and shapely.covers(shape.band, reference.turned_back(pose))
    )


def _refined(shape: Shape, reference: Shape, pose: Pose, is_free: bool) -> Pose | None:
    """Return the pose near this one with the smallest greatest distance, if that is within the tolerance."""
    # a few points first: where these are too far, all are
    if _least_move(*_ways(shape, reference, pose, is_free, FEW // 2)) is None:
        return None
    best, move, least, share = pose, np.zeros(3), np.inf, 1.0
    for _ in range(STEPS):
        rows, far = _ways(shape, reference, pose, is_free)
        if far.max() < least:
            next_move = _least_move(rows, far)
            if next_move is None:
                return None
            best, move, least = pose, next_move, float(far.max())
        else:
            share /= 2  # too far: from the best pose again, in smaller steps
        pose = _moved(best, move * share)
        if _fits(shape, reference, pose):
            return pose
    return None


def _moved(pose: Pose, move: Floats) -> Pose:
    dx, dy, swing = move.tolist()
    return (pose[0] + math.degrees(swing)) % 360.0, pose[1] + complex(dx, dy)


def _ways(
    shape: Shape, reference: Shape, pose: Pose, is_free: bool, every: int = 1
) -> tuple[Floats, Floats]:
    """Return how the distances depend on a small move, and the distances: from each boundary's points to the other.

    A move (dx, dy, swing in radians) shortens the distance of a row by its product with that row, to first order.
    """
    turn, shift = _unit(pose[0]), pose[1]
    there, back = shape.points[::every] * turn + shift, reference.points[::every]
    moved = np.concatenate([there, _feet(shape, (back - shift) / turn) * turn + shift])
    off = np.concatenate([_feet(reference, there), back]) - moved
    far = np.abs(off)
    # the shortest way to a boundary is normal to it; where the distance is nil, take the normal of the point's own side
    normals = np.concatenate([shape.normals[::every] * turn, reference.normals[::every]])
    to = np.where(far > LEAST_WAY_MM, off / np.maximum(far, LEAST_WAY_MM), normals)
    swing = (to.conj() * 1j * (moved - shift)).real if is_free else np.zeros(len(far))
    return np.column_stack([to.real, to.imag, swing]), far


def _least_move(rows: Floats, far: Floats) -> Floats | None:
    """Return the small move with the smallest greatest distance, or None where none comes near the tolerance.

    Lawson's algorithm: repeated least squares, each weight multiplied by the distance that is left. The weighted mean
    of squares is a lower bound of the greatest distance.
    """
    if far.max() > NEARLY_MM:
        return None
    weights = np.full(len(far), 1 / len(far))
    best, least, bound = np.zeros(3), np.inf, 0.0
    for _ in range(ROUNDS):
        weighted = rows * weights[:, None]
        move = np.linalg.lstsq(weighted.T @ rows, weighted.T @ far, rcond=1e-12)[0]
        left = np.abs(far - rows @ move)
        bound = max(bound, float(np.sqrt(weights @ left**2)))
        if bound > SLACK * TOLERANCE_MM:
            return None
        if left.max() < least:
            best, least = move, float(left.max())
        if least < max(CLOSE * TOLERANCE_MM, bound / CLOSE):
            break
        weights = weights * left / (weights @ left)
    return best


def _feet(shape: Shape, points: Points) -> Points:
    """Return for each point the nearest one of the shape's boundary."""
    ways = shapely.shortest_line(_as_points(points), shape.boundary)
    coordinates: Floats = shapely.get_coordinates(ways)
    return coordinates.view(complex)[1::2, 0]


def _as_points(points: Points) -> npt.NDArray[np.object_]:
    geometries: npt.NDArray[np.object_] = shapely.points(points.view(float).reshape(-1, 2))
    return geometries


def _unit(angle: float) -> complex:
    return complex(np.exp(1j * np.radians(angle)))
