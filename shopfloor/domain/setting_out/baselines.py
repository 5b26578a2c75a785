"""The baselines of the letters on one level of a sign: level ones, slanting ones, and those round a circle.

Owns what a baseline is, and `find_baselines`, which finds them from the outlines alone, no text being known: `row_search`
finds the rows, `letter_positions` measures the letters on them. Must not know about parts, pages or datums. Lengths are
millimetres, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..outlines import Outline, Point
from .baseline_contacts import Letters, letters_of
from .baseline_fit import BaselineCurve
from .letter_positions import LetterPosition, letter_positions
from .letter_rows import LetterRow
from .row_search import find_rows


@dataclass(frozen=True)
class Baseline:
    """The baseline of one row of letters.

    `shape` is 'straight' or 'arc'. `origin` is where lengths along it begin: below the left edge of the first letter.
    `angle_deg` is its direction there, counter-clockwise. An arc has its `centre` and `radius_mm`; `is_bulging_up` where the
    letters are outside the circle. `height_mm` is the commonest height above the baseline of the tall letters that rest on
    it: that of capitals where there are any (where two heights are as common, the lower: ascenders rise above capitals), of
    ascenders in a row of small letters, of x where no letter rises. `members` are in reading order.
    """

    shape: str
    origin: Point
    angle_deg: float
    centre: Point | None
    radius_mm: float
    is_bulging_up: bool
    height_mm: float
    members: tuple[LetterPosition, ...]

    def point_at(self, along_mm: float, above_mm: float = 0.0) -> Point:
        """The point at a length along the baseline from the origin and a distance above it, mm."""
        curve, start = self._curve()
        return curve.point_at(start + along_mm, above_mm)

    def place_of(self, point: Point) -> tuple[float, float]:
        """(along, above) of a point, mm. Round a circle the length is that nearest to the middle of the row."""
        curve, start = self._curve()
        along, above = curve.place_of(point)
        if curve.is_arc:
            middle, circumference = self.members[-1].right_mm / 2, 2 * math.pi * self.radius_mm
            return middle + math.remainder(along - start - middle, circumference), above
        return along - start, above

    def _curve(self) -> tuple[BaselineCurve, float]:
        """The curve, and the length along it at the origin."""
        if self.centre is None:
            curve = BaselineCurve(math.radians(self.angle_deg))
            along, up = curve.directions(self.origin)
            return replace(curve, offset=float(up @ self.origin)), float(along @ self.origin)
        begin = math.atan2(self.origin[1] - self.centre[1], self.origin[0] - self.centre[0])
        rho = self.radius_mm if self.is_bulging_up else -self.radius_mm
        return BaselineCurve(centre=self.centre, rho=rho, begin=begin), 0.0


def find_baselines(outlines: Sequence[Outline]) -> list[Baseline]:
    """The baselines of one level, from top to bottom; every outline is a member of exactly one.

    The flat edges of its letters tell where a baseline runs (closed form: see `baseline_fit`). Where all letters are round,
    or points, nobody can tell how far they dip: the baseline then runs through their lowest points. In a short word that
    slants or runs round a circle, two flat letters may be too few to tell. What is no letter has a baseline of its own.
    """
    if not outlines:
        return []
    letters = letters_of(outlines)

    def from_the_top(row: LetterRow) -> tuple[float, float]:
        boxes = letters.boxes[list(row.members)]
        return -boxes[:, 3].max(), boxes[:, 0].min()

    return [_baseline(letters, row) for row in sorted(find_rows(letters), key=from_the_top)]


def _baseline(letters: Letters, row: LetterRow) -> Baseline:
    start, height, positions = letter_positions(letters, row)
    curve = row.curve
    origin = curve.point_at(start)
    along, _ = curve.directions(origin)
    angle = math.degrees(math.atan2(along[1], along[0]))
    centre = curve.centre if curve.is_arc else None
    shape = "arc" if curve.is_arc else "straight"
    return Baseline(shape, origin, angle, centre, abs(curve.rho), curve.rho > 0, height, positions)
