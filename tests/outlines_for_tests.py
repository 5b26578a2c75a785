"""A second opinion on how far two outlines lie apart: by shapely's distances alone, in any pose, found by trying.

And outlines with a little noise, or seen from behind. `turn_onto` asks the project; the rest must not use its tests of congruence.
"""

import cmath
import itertools
import math
import random

import shapely
from shapely import Polygon, affinity

from shopfloor.domain.drawing.families import sort_into
from shopfloor.domain.outlines import Outline

ALONG = [tuple(sign * (axis == n) for n in range(3)) for axis in range(3) for sign in (-1, 1)]
ACROSS = list(itertools.product((-1, 1), repeat=3))
WAYS = [*ALONG, *ACROSS]  # of a turn and a shift in x and in y: one alone, and all three together


class Laid:
    """Two boundaries, centroid on centroid, and how far they are apart in any pose, looked at in points 2 mm apart."""

    def __init__(self, one: Outline, reference: Outline):
        middle = [
            affinity.translate(p, -p.centroid.x, -p.centroid.y)
            for p in (one.polygon, reference.polygon)
        ]
        self.lines = [polygon.boundary for polygon in middle]
        self.points = [
            shapely.get_coordinates(shapely.segmentize(line, 2)) @ [1, 1j] for line in self.lines
        ]
        shapely.prepare(self.lines)

    def apart(self, turn: float, x: float, y: float) -> float:
        """The greatest distance from a point of one to the other, after a turn (degrees) and a shift (mm)."""
        unit, shift = cmath.rect(1, math.radians(turn)), complex(x, y)
        there, back = self.points[0] * unit + shift, (self.points[1] - shift) / unit
        return max(
            shapely.distance(self.lines[1], shapely.points(there.real, there.imag)).max(),
            shapely.distance(self.lines[0], shapely.points(back.real, back.imag)).max(),
        )

    def least(self, turns) -> float:
        """At the best of these turns, or one nearly as good, bettered by small turns and shifts while that helps."""
        tried = sorted((self.apart(turn, 0, 0), (turn, 0, 0)) for turn in turns)
        good = [one for one in tried if one[0] < tried[0][0] + 0.7][
            :8
        ]  # a shape may nearly repeat itself
        return min(self._bettered(*one) for one in good)

    def _bettered(self, least: float, pose: tuple) -> float:
        step = 0.4
        while (
            step > 0.003 and 0.05 < least < 3
        ):  # clearly near, or clearly far: no need to know it better
            tries = [
                tuple(value + step * part for value, part in zip(pose, way, strict=True))
                for way in WAYS
            ]
            found = min((self.apart(*one), one) for one in tries)
            if found[0] < least:
                least, pose = found
            else:
                step /= 2
        return least


def least_distance(one: Outline, reference: Outline, turns) -> float:
    """How far apart the two are at the least, in mm, near one of these turns."""
    return Laid(one, reference).least(turns)


def shaken(one: Outline, by: float, seed: int) -> Outline:
    """Each corner moved by exactly `by` mm, each its own way."""
    chance = random.Random(seed)
    rings = []
    for ring in one.rings:
        ways = [chance.uniform(0, 2 * math.pi) for _ in ring]
        rings.append(
            [
                (x + by * math.cos(w), y + by * math.sin(w))
                for (x, y), w in zip(ring, ways, strict=True)
            ]
        )
    return Outline.of_polygon(Polygon(rings[0], rings[1:]))


def mirrored(outline: Outline) -> Outline:
    """The outline seen from behind (x becomes -x)."""
    return Outline.of_polygon(affinity.scale(outline.polygon, xfact=-1, origin=(0, 0)))


def turn_onto(outline: Outline, reference: Outline, turns: str) -> float | None:
    """The turn by which the project lays an outline onto another; None where it takes them for two shapes."""
    (match,) = sort_into([outline], [reference], turns).matches
    return None if match.family else match.turn
