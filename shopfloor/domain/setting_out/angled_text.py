"""The rows of letters on slanting lines and round circles.

Owns the choice between the chains that `letter_courses` finds (tops and margins make chains as feet do), and which letter,
dot or comma is of which row: a row is laid out straight, and `lines.reading_lines` reads it as it reads level ones. Must not
know about the level rows that were found before. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from ..drawing.reading_order import reading_lines
from .baseline_contacts import LEVEL, Letters
from .baseline_fit import (
    LOOSE,
    BaselineCurve,
    Chain,
    arc_through,
    chains,
    courses_through,
    nearness,
    straight_through,
)
from .letter_rows import DESCENT, DIPS, RISES, TALLEST, Laid, Row, laid

FAR = 0.12  # of the height: how far off a foot may be where two or three feet tell the course, if they all agree in the end
BESIDE_LEAST = 0.4  # of the letters of a slanting row: the nearest of so many is in it (else it is a margin of level rows)
DIPPING = 0.4  # what a letter that dips by design counts, measured by one with a foot
BACKWARD = 0.6  # what a line counts that reads downwards, or all round the inside of a circle
STRAY, STRAY_MM = (
    3,
    0.03,
)  # a foot is a stray so many times, and so much, further off than the middle one of all
GAP = 0.8  # of the height: a gap between words is not much wider
ON_ITS_HEAD = 0.3  # how far down the mean direction away from the feet points
LEVEL_RISE_MM = 0.1  # a line that rises by less over its length is level


def slanting_rows(letters: Letters, free: Collection[int]) -> list[Row]:
    """The lines among free letters that are not level, or that a level reading did not show; the surest first."""
    left, found = set(free), []
    rows = _assembled(letters, chains(letters, free), left)
    waiting = [_rank(at, *one) for at, one in enumerate(rows)]
    heapq.heapify(waiting)
    while waiting:
        row = rows[heapq.heappop(waiting)[-1]][1]
        if left.issuperset(row.members):
            found.append(row)
            left -= set(row.members)
        else:
            foot_of = {one: foot for one, foot in row.foot_of.items() if one in left}
            for one in _assembled(letters, [Chain(row.course, foot_of)], left):
                heapq.heappush(waiting, _rank(len(rows), *one))
                rows.append(one)
    return found


def _rank(at: int, sureness: float, row: Row) -> tuple[float, list[int], int]:
    """For a heap: the surest row first; as sure ones by their letters, whatever chain they came of."""
    return -sureness, sorted(row.members), at


def _assembled(
    letters: Letters, some: list[Chain], free: Collection[int]
) -> list[tuple[float, Row]]:
    """The rows that chains of feet make, each with how sure it is; no row twice."""
    found: list[tuple[float, Row]] = []
    seen: dict[int, set[int]] = {}
    for chain in sorted(some, key=lambda one: -len(one.foot_of)):
        feet = list(chain.foot_of.values())
        if len(feet) < 2 or any(
            len(found[row][1].foot_of) > len(feet) for row in _rows_with(feet, seen)
        ):
            continue
        row = assemble(letters, chain, free)
        sureness = _sureness(letters, row) if row and _is_sure(letters, row) else 0
        if sureness:
            for foot in row.foot_of.values():
                seen.setdefault(foot, set()).add(len(found))
            found.append((sureness, row))
    return found


def _rows_with(feet: Sequence[int], seen: dict[int, set[int]]) -> set[int]:
    """The rows that all these feet are in."""
    return set.intersection(*(seen.get(foot, set()) for foot in feet))


def assemble(letters: Letters, chain: Chain, free: Collection[int]) -> Row | None:
    """The row of a chain: all that stands with it, its course fitted anew as long as feet join."""
    course, foot_of = _from_the_middle(letters, chain.course, chain.foot_of), chain.foot_of
    row = None
    for _ in range(6):
        members, raised = _read_along(letters, course, foot_of, free)
        standing = _feet_on(letters, course.raised(raised), members, {} if raised else foot_of)
        if len(standing) < 2:
            return row
        some = np.array(sorted(standing.values()))
        height = float(np.median(letters.feet.height[some]))
        fitting = courses_through(letters, some, nearness(height)) or courses_through(
            letters, some, LOOSE * height
        )
        if not fitting:
            return row
        course = _from_the_middle(letters, _without_strays(letters, fitting[0], some), standing)
        row = _trimmed(letters, Row(course, members, standing))
        if standing == foot_of:
            return row
        foot_of = standing
    return row


def _without_strays(letters: Letters, course: BaselineCurve, some: np.ndarray) -> BaselineCurve:
    """The course fitted anew without the feet that are much further off it than most: a bowl's edge near the foot."""
    off, _ = course.misses(letters, some)
    kept = some[off <= STRAY * float(np.median(off)) + STRAY_MM]
    if len(kept) == len(some) or len(kept) < (3 if course.is_arc else 2):
        return course
    return (
        (arc_through(letters, kept) or course) if course.is_arc else straight_through(letters, kept)
    )


def _trimmed(letters: Letters, row: Row) -> Row:
    """The row without the letters of another that goes on where it ends: behind its last foot a letter that neither
    stands, dips nor descends as this row's do; and round a circle what stands on its head."""
    put = {one: laid(letters, row.course, one, row.foot_of.get(one)) for one in row.members}
    height = float(np.median(letters.feet.height[list(row.foot_of.values())]))
    tops = np.array([put[one].box[3] for one in row.foot_of])

    def is_of_it(one: int) -> bool:
        _, bottom, _, top = put[one].box
        is_descending = (
            -DESCENT * height <= bottom < 0 and np.abs(tops - top).min() <= DIPS * height
        )
        is_small = top - bottom < height / 2  # a dot, a comma, a hyphen
        return bool(-DIPS * height <= bottom <= 2 * RISES * height or is_descending or is_small)

    order = _upright_part(row, put, float(tops.max()))
    feet = [at for at, one in enumerate(order) if one in row.foot_of]
    if not feet:
        return row
    first, last = feet[0], feet[-1]
    while first > 0 and is_of_it(order[first - 1]):
        first -= 1
    while last < len(order) - 1 and is_of_it(order[last + 1]):
        last += 1
    members = tuple(order[first : last + 1])
    return Row(
        row.course, members, {one: foot for one, foot in row.foot_of.items() if one in set(members)}
    )


def _upright_part(row: Row, put: dict[int, Laid], height: float) -> list[int]:
    """The letters in order, without those on their heads: inside a circle, or parted from the others by more than a word's
    gap on both sides (those are the line inside the lower half, by their tops)."""
    order = sorted(row.members, key=lambda one: put[one].flat_box[0])
    if not row.course.is_arc:
        return order
    edges = [put[one].flat_box for one in order]
    begins = [
        0,
        *(at for at in range(1, len(order)) if edges[at][0] - edges[at - 1][2] > GAP * height),
        len(order),
    ]
    parts = [order[a:b] for a, b in zip(begins, begins[1:], strict=False)]
    upright = [np.mean([math.cos(put[one].turn) for one in part]) for part in parts]
    if max(upright) <= ON_ITS_HEAD or (min(upright) >= -ON_ITS_HEAD and row.course.rho > 0):
        return order
    return [
        one for part, way in zip(parts, upright, strict=True) for one in part if way > -ON_ITS_HEAD
    ]


def _from_the_middle(
    letters: Letters, course: BaselineCurve, foot_of: dict[int, int]
) -> BaselineCurve:
    """The course with lengths along it measured from its middle; a straight one that hardly rises is level."""
    feet, some = letters.feet, list(foot_of.values())
    if course.is_arc:
        away = feet.up[some] * math.copysign(1, course.rho)
        polar = np.sort(np.arctan2(away[:, 1], away[:, 0]))
        gaps = np.diff([*polar, polar[0] + 2 * math.pi])
        widest = int(gaps.argmax())  # a line that goes nearly all round has its ends there
        return replace(course, begin=float(polar[widest] + gaps[widest] / 2 + math.pi))
    ends = np.concatenate([feet.start[some], feet.end[some]])
    if (
        abs(math.sin(course.angle)) * np.ptp(ends[:, 0]) <= LEVEL_RISE_MM
        and abs(course.angle) < LEVEL
    ):
        return BaselineCurve(offset=float(np.median(ends[:, 1])))
    return course


def _read_along(
    letters: Letters, course: BaselineCurve, foot_of: dict[int, int], free: Collection[int]
) -> tuple[tuple[int, ...], float]:
    """The letters in reading order that are of one line with those on the course, and how far over it they stand."""
    height = float(np.median(letters.feet.height[list(foot_of.values())]))
    boxes = {one: laid(letters, course, one, foot).flat_box for one, foot in foot_of.items()}
    waiting, seen = sorted(foot_of), set(foot_of)
    while waiting:
        for one in letters.around[waiting.pop()]:
            if one in free and one not in seen:
                seen.add(one)
                box = laid(letters, course, one).flat_box
                if box[1] >= -1.5 * DESCENT * height and box[3] <= 1.5 * TALLEST * height:
                    boxes[one] = box
                    waiting.append(one)
    order = sorted(boxes)
    lines = reading_lines([boxes[one] for one in order])
    line = max(lines, key=lambda one: sum(order[member] in foot_of for member in one.members))
    is_near = abs(line.baseline) <= DIPS * height
    return tuple(order[member] for member in line.members), 0.0 if is_near else line.baseline


def _feet_on(
    letters: Letters, course: BaselineCurve, members: Sequence[int], known: dict[int, int]
) -> dict[int, int]:
    """Of each member the foot that stands on the course, where one does. While few feet tell the course, it is not known
    well further on: others join where all together stand on one course."""
    feet = letters.feet
    some = feet.of_letters(members)
    if not len(some):
        return {}
    height = float(np.median(feet.height[some]))
    off, sideways = course.misses(letters, some)
    off = off - 0.0007 * abs(course.rho) / feet.length[some]
    reach = FAR * height if len(known) < 4 else nearness(height)
    fits = (off <= reach) & (sideways <= 0.25 * feet.height[some])
    order = [at for at in np.lexsort((-feet.length[some], np.round(off, 2))).tolist() if fits[at]]
    candidates = [(int(feet.letter[some[at]]), int(some[at])) for at in order]
    if len(known) >= 4:
        return dict(reversed(candidates))
    found = {one: foot for one, foot in known.items() if one in members}
    for one, foot in candidates:
        both = np.array([*found.values(), foot])
        if one not in found and (len(both) < 2 or courses_through(letters, both, nearness(height))):
            found[one] = foot
    return found


def _is_sure(letters: Letters, row: Row) -> bool:
    """Whether feet tell the row: three and more, or two of letters that cannot stand level. It must not be upside down."""
    feet, some = letters.feet, list(row.foot_of.values())
    if feet.up[some].sum(axis=0)[1] < -0.05 * len(some):
        return False
    if len(row.foot_of) > 2 or row.course == BaselineCurve(offset=row.course.offset):
        return True
    all_feet = feet.of_letters(list(row.foot_of))
    return not bool((np.abs(feet.angles()[all_feet]) <= LEVEL).any())


def _sureness(letters: Letters, row: Row) -> float:
    """The letters that stand on a row, or dip as round ones do; more where those beside one another are in it."""
    feet, some, count = letters.feet, list(row.foot_of.values()), 0.0
    height = float(np.median(feet.height[some]))
    for one in row.members:
        bottom = laid(letters, row.course, one).box[1]
        count += 1 if one in row.foot_of else DIPPING * (-DIPS * height <= bottom <= RISES * height)
    members = set(row.members)
    nearest = [letters.near[one][0][0] for one in row.members if letters.near[one]]
    beside = sum(one in members for one in nearest) / max(1, len(nearest))
    x, y = feet.up[some].mean(axis=0)
    is_backward = (abs(y) < 0.05 and x > 0.5) or (row.course.rho < 0 and math.hypot(x, y) < 0.1)
    if beside < BESIDE_LEAST and row.course.angle != 0:
        return 0.0
    return round(count * (0.3 + beside) * (BACKWARD if is_backward else 1), 6)
