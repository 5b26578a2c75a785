"""Slanting and round rows of letters that have no foot to stand on, or one among them all: O, C, S, 0, 6, 8.

Owns the line or circle through the lowest points of neighbours, and the line on the foot of the only one that has one. Must
not know about rows that several feet tell. How far letters dip below the line that flat ones would stand on nobody can tell
where all are round. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np

from .angled_text import assemble
from .baseline_contacts import LEVEL, Letters
from .baseline_fit import MOST_RADIUS, BaselineCurve, Chain
from .letter_rows import ASKEW, DESCENT, DIPS, RISES, Row, laid

FEWEST = 3  # lowest points: two tell no line, any two have one
ROUNDS = 6  # the letters are turned to the course anew so many times
MOST = 0.6  # of the letters stand on the foot of one, where it is the baseline's
ALIKE = 0.025  # of the height: so far their lowest points are off it
INSIDE = 0.2  # of the radius: so far below the centre is the middle of letters inside the circle; not that of a ring
BROAD = 0.4  # of the size: what stands level on so long an edge is a panel
STEEP = math.radians(60)  # discs so steeply one above the other are read level


def round_rows(letters: Letters, free: Collection[int]) -> list[Row]:
    """The rows of free letters that stand beside one another on a line or round a circle, as one foot or their lowest points
    tell. What has a broad level edge to stand on stays out: panels, one above the other."""
    feet = letters.feet
    is_panel = (np.abs(feet.angles()) <= LEVEL) & (
        feet.length >= BROAD * letters.sizes[feet.letter]
    )
    level = set(feet.letter[is_panel].tolist())
    left, found = set(free) - level, []
    for start in sorted(left):
        if start not in left:
            continue
        together, waiting = {start}, [start]
        while waiting:
            new = {other for other, _ in letters.near[waiting.pop()] if other in left} - together
            together |= new
            waiting += sorted(new)
        left -= together
        some = sorted(together)
        row = _on_one_foot(letters, some) or _on_lowest_points(letters, some)
        if row:
            found.append(_on_all_feet(letters, row))
    return found


def _on_one_foot(letters: Letters, some: list[int]) -> Row | None:
    """The row on the line of the longest foot that all letters stand on, or dip below as round ones do."""
    feet = letters.feet
    upright = [foot for foot in feet.of_letters(some).tolist() if feet.along[foot, 0] > 0]
    for foot in sorted(upright, key=lambda one: (-feet.length[one], one)) if len(some) > 1 else ():
        course = BaselineCurve(float(feet.angles()[foot]), float(feet.offset[foot]))
        if _stand_or_descend(letters, course, some) and _are_in_a_row(letters, course, some):
            return Row(course, tuple(some), {int(feet.letter[foot]): foot})
    return None


def _stand_or_descend(letters: Letters, course: BaselineCurve, some: list[int]) -> bool:
    """Whether most letters stand on a course or dip below it as round ones do, and the others descend: they are as high as
    one of those."""
    boxes = np.array([laid(letters, course, one).box for one in some])
    bottoms, tops = boxes[:, 1], boxes[:, 3]
    height = tops.max()
    stands = (bottoms >= -DIPS * height) & (bottoms <= RISES * height)
    if stands.sum() < MOST * len(some):
        return False
    aligned = np.abs(tops[:, None] - tops[stands][None, :]).min(axis=1) <= DIPS * height
    return bool(np.all(stands | (aligned & (bottoms < 0) & (bottoms >= -DESCENT * height))))


def _on_lowest_points(letters: Letters, some: list[int]) -> Row | None:
    """The row on the straightest course that the lowest points of some letters are on."""
    if len(some) < FEWEST:
        return None
    middles = np.array([letters.hulls[one].mean(axis=0) for one in some])
    for fit in (_line_through, _circle_through):
        course = fit(middles)
        for _ in range(ROUNDS):
            if course is not None:
                course = fit(np.array([_lowest(letters, course, one) for one in some]))
        if course is None or (abs(course.angle) > STEEP and not len(letters.feet.of_letters(some))):
            continue
        boxes = [laid(letters, course, one).box for one in some]
        height = float(np.median([top - bottom for _, bottom, _, top in boxes]))
        if np.ptp([bottom for _, bottom, _, _ in boxes]) <= ALIKE * height and _are_in_a_row(
            letters, course, some
        ):
            return Row(course, tuple(some), {})
    return None


def _on_all_feet(letters: Letters, row: Row) -> Row:
    """The row on the feet that are no further over its lowest points than round letters dip; as it is where none is."""
    feet, course = letters.feet, row.course
    some = feet.of_letters(row.members)
    if not len(some):
        return row
    height = float(np.median(feet.height[some]))
    spots = np.array([course.place_of(tuple(under)) for under in feet.under[some]])[:, 1]
    along = np.array([course.directions(tuple(under))[0] for under in feet.under[some]])
    is_along = (feet.along[some] * along).sum(axis=1) >= math.cos(ASKEW)
    fits = some[is_along & (spots >= -RISES * height) & (spots <= DIPS * height)]
    if not len(fits):
        return row
    foot_of = {int(feet.letter[foot]): int(foot) for foot in fits[np.argsort(feet.length[fits])]}
    raised = course.raised(float(np.median(spots[np.isin(some, fits)])))
    if len(foot_of) > 1:
        whole = assemble(letters, Chain(raised, foot_of), set(row.members))
        if whole and set(whole.members) == set(row.members):
            return whole
    return Row(raised, row.members, foot_of) if course.is_arc else row


def _are_in_a_row(letters: Letters, course: BaselineCurve, some: list[int]) -> bool:
    """Whether the letters stand beside one another, none over another."""
    boxes = sorted(laid(letters, course, one).flat_box for one in some)
    lapping = [one[2] - after[0] for one, after in zip(boxes, boxes[1:], strict=False)]
    return max(lapping) <= DIPS * max(box[3] for box in boxes)


def _lowest(letters: Letters, course: BaselineCurve, one: int) -> np.ndarray:
    put, hull = laid(letters, course, one), letters.hulls[one]
    return hull[(hull @ np.array([-math.sin(put.turn), math.cos(put.turn)])).argmin()]


def _line_through(points: np.ndarray) -> BaselineCurve:
    """The straight line nearest to some points (total least squares), read from the left, or upwards."""
    middle = points.mean(axis=0)
    x, y = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    if x < -1e-9 or (abs(x) <= 1e-9 and y < 0):
        x, y = -x, -y
    return BaselineCurve(math.atan2(y, x), float(-y * middle[0] + x * middle[1]))


def _circle_through(points: np.ndarray) -> BaselineCurve | None:
    """The circle nearest to some points (least squares of x² + y² = 2 c · x + k, which is linear), letters upright."""
    middle = points.mean(axis=0)
    near = points - middle
    rows = np.column_stack([2 * near, np.ones(len(near))])
    x, y, k = np.linalg.lstsq(rows, (near**2).sum(axis=1), rcond=None)[0].tolist()
    radius = math.sqrt(max(0.0, k + x * x + y * y))
    if not 0 < radius <= MOST_RADIUS * max(1.0, float(np.ptp(near))):
        return None
    away = math.atan2(-y, -x)
    rho = -radius if y > INSIDE * radius else radius
    return BaselineCurve(centre=(x + float(middle[0]), y + float(middle[1])), rho=rho, begin=away)
