"""The baselines of the letters on one level of a sign: level ones, slanting ones, and those round a circle.

Owns what is known of a line of letters once it is found: where each letter stands on it, and which dip below it by design.
Must not know about parts, pages or datums. `letter_feet`, `letter_courses` and `letter_lines` find the lines from the
outlines alone, no text being known. Lengths are millimetres, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..outlines import Outline, Point
from .baseline_contacts import Letters, letters_of
from .baseline_fit import BaselineCurve
from .letter_lines import rows_of
from .letter_rows import DIPS, Laid, Row, laid

FLAT_MM, FLAT = (
    0.1,
    0.005,
)  # a letter stands flat whose lowest point is that near to the baseline; share of the height
FLOATS = 0.08  # of the height: what begins so far over the baseline stands on nothing
TALL = 0.8  # of the tallest letter that stands: so tall are capitals and ascenders, not the small letters
SAME_HEIGHT = 0.012  # of the height: letters of one height agree to this; ascenders rise further


@dataclass(frozen=True)
class Standing:
    """One letter on its baseline.

    `index` is its place in the sequence that was given. `left_mm`, `centre_mm` and `right_mm` are where the edges and the
    middle of its box, in the letter's own turned frame, come down on the baseline, measured along it from `Baseline.origin`
    (round a circle: arc length, radially under them). `turn_deg` is the direction of the baseline under it,
    counter-clockwise: of its own foot where it has one. `below_mm` is how far its lowest point lies under the baseline
    (negative: over it), in that frame. `kind` is 'flat', 'round' (it dips by design, or its lowest point is all that told
    the baseline), 'descends' or 'floats' (a hyphen, a dot, an apostrophe).
    """

    index: int
    left_mm: float
    centre_mm: float
    right_mm: float
    turn_deg: float
    below_mm: float
    kind: str


@dataclass(frozen=True)
class Baseline:
    """One line of letters.

    `shape` is 'straight' or 'arc'. `origin` is where lengths along it begin: under the left edge of the first letter.
    `angle_deg` is its direction there, counter-clockwise. An arc has its `centre` and `radius_mm`; `is_bulging_up` where the
    letters stand on the outside of the circle. `height_mm` is the commonest height over the baseline of the tall letters
    that stand on it: that of capitals where there are any (where two heights are as common, the lower: ascenders rise over
    capitals), of ascenders in a line of small letters, of x where no letter rises. `members` are in reading order.
    """

    shape: str
    origin: Point
    angle_deg: float
    centre: Point | None
    radius_mm: float
    is_bulging_up: bool
    height_mm: float
    members: tuple[Standing, ...]

    def point_at(self, along_mm: float, above_mm: float = 0.0) -> Point:
        """The point at a length along the baseline from the origin and a distance over it, mm."""
        course, begun = self._course()
        return course.point_at(begun + along_mm, above_mm)

    def place_of(self, point: Point) -> tuple[float, float]:
        """(along, above) of a point, mm. Round a circle the length is that nearest to the middle of the line."""
        course, begun = self._course()
        along, above = course.place_of(point)
        if course.is_arc:
            middle, round_ = self.members[-1].right_mm / 2, 2 * math.pi * self.radius_mm
            return middle + math.remainder(along - begun - middle, round_), above
        return along - begun, above

    def _course(self) -> tuple[BaselineCurve, float]:
        """The course, and the length along it at the origin."""
        if self.centre is None:
            course = BaselineCurve(math.radians(self.angle_deg))
            along, up = course.directions(self.origin)
            return replace(course, offset=float(up @ self.origin)), float(along @ self.origin)
        begin = math.atan2(self.origin[1] - self.centre[1], self.origin[0] - self.centre[0])
        rho = self.radius_mm if self.is_bulging_up else -self.radius_mm
        return BaselineCurve(centre=self.centre, rho=rho, begin=begin), 0.0


def baselines(outlines: Sequence[Outline]) -> list[Baseline]:
    """The lines of letters of one level, from top to bottom; every outline is a member of exactly one.

    A line's course is told by the flat feet of its letters (closed form: see `letter_courses`). Where all are round, or
    points, nobody can tell how far they dip: the baseline then runs through their lowest points. Two flat letters in a short
    word that slants or runs round a circle may be too few to tell its course. What is no letter is a line of its own.
    """
    if not outlines:
        return []
    letters = letters_of(outlines)
    rows = rows_of(letters)
    rows.sort(
        key=lambda row: (
            -letters.boxes[list(row.members), 3].max(),
            letters.boxes[list(row.members), 0].min(),
        )
    )
    return [_finished(letters, row) for row in rows]


def _finished(letters: Letters, row: Row) -> Baseline:
    """The line as it is handed out: lengths measured from its first letter's left edge."""
    put = _put(letters, row)
    spans = {one: _span(row.course, put[one]) for one in row.members}
    if row.course.is_arc:
        spans = _cut_open(spans, 2 * math.pi * abs(row.course.rho))
    order = sorted(row.members, key=lambda one: (spans[one][0], -put[one].box[3], one))
    begun = spans[order[0]][0]
    height = _height(put, row)
    members = tuple(
        Standing(
            one,
            *(_rounded(edge - begun) for edge in spans[one]),
            _rounded(math.degrees(put[one].turn)),
            _rounded(-put[one].box[1]),
            _kind(-put[one].box[1], height, not row.foot_of),
        )
        for one in order
    )
    origin = row.course.point_at(begun)
    along, _ = row.course.directions(origin)
    angle = math.degrees(math.atan2(along[1], along[0]))
    centre = row.course.centre if row.course.is_arc else None
    shape = "arc" if row.course.is_arc else "straight"
    return Baseline(
        shape, origin, angle, centre, abs(row.course.rho), row.course.rho > 0, height, members
    )


def _put(letters: Letters, row: Row) -> dict[int, Laid]:
    """Each letter laid out along the course. A dot over a letter is turned with it."""
    put = {one: laid(letters, row.course, one, row.foot_of.get(one)) for one in row.members}
    if not row.course.is_arc:
        return put
    for one in [each for each in put if each not in row.foot_of]:
        left, bottom, right, _ = put[one].flat_box
        under = [
            other
            for other in letters.around[one]
            if other in row.foot_of
            and put[other].flat_box[0] <= (left + right) / 2 <= put[other].flat_box[2]
            and put[other].box[3] <= bottom + FLOATS * put[other].box[3]
        ]
        if under:
            put[one] = laid(letters, row.course, one, row.foot_of[under[0]])
    return put


def _rounded(figure: float) -> float:
    return round(figure, 6) + 0.0  # + 0.0: no minus nought


def _span(course: BaselineCurve, put: Laid) -> tuple[float, float, float]:
    """Where left edge, middle and right edge of a letter come down on the course."""
    left, _, right, _ = put.box
    if not course.is_arc:
        return put.along + left, put.along + (left + right) / 2, put.along + right
    radius = abs(course.rho)
    left, middle, right = (
        put.along + radius * math.atan(edge / radius) for edge in (left, (left + right) / 2, right)
    )
    return left, middle, right


def _cut_open(
    spans: dict[int, tuple[float, float, float]], round_: float
) -> dict[int, tuple[float, float, float]]:
    """Lengths round a circle from behind its widest gap on: a ring of letters has to begin somewhere."""
    order = sorted(spans, key=lambda one: spans[one][1])
    gaps = [spans[after][0] - spans[one][2] for one, after in zip(order, order[1:], strict=False)]
    gaps.append(spans[order[0]][0] + round_ - spans[order[-1]][2])
    widest = gaps.index(max(gaps))
    early = set(order[: widest + 1]) if widest < len(order) - 1 else set()
    return {
        one: tuple(edge + round_ * (one in early) for edge in span) for one, span in spans.items()
    }


def _height(put: dict[int, Laid], row: Row) -> float:
    """The commonest height of the tall letters that stand; round ones are taken to rise as far over it as they dip."""
    boxes = {one: each.box for one, each in put.items()}
    tallest = max(box[3] for box in boxes.values())
    standing = {
        one: box for one, box in boxes.items() if -DIPS * tallest <= box[1] <= FLAT * tallest
    } or boxes
    tops = {one: box[3] + min(0.0, box[1]) for one, box in standing.items()}
    if max(tops.values()) <= 0:  # all hang under it: no line of letters
        return _rounded(max(box[3] - box[1] for box in boxes.values()))
    tall = [one for one in tops if tops[one] >= TALL * max(tops.values())]
    flat = [one for one in tall if standing[one][1] >= -max(FLAT_MM, FLAT * tallest)]
    heights = np.sort([tops[one] for one in flat or tall])
    near = np.searchsorted(heights, heights + SAME_HEIGHT * tallest, side="right") - np.arange(
        len(heights)
    )
    first = int(near.argmax())
    return _rounded(float(np.median(heights[first : first + near[first]])))


def _kind(below: float, height: float, is_footless: bool) -> str:
    flat = max(FLAT_MM, FLAT * height)
    if below < -FLOATS * height:
        return "floats"
    if below > max(flat, 1.5 * DIPS * height):
        return "descends"
    return "round" if below > flat or is_footless else "flat"
