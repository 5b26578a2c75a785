"""The rows of letters that stand level beside one another.

Owns which letters are such a row, and the height that they stand on. Must not know about slanting and round lines: it leaves
out what stands elsewhere. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..drawing.reading_order import Line, reading_lines
from .baseline_contacts import LEVEL, Letters
from .baseline_fit import BaselineCurve, nearness
from .letter_rows import DESCENT, DIPS, RISES, Row

DOWNISH = math.radians(
    45
)  # a foot within this of the level may be what a letter stands on in a slanting line
LEVEL_SHARE = 0.6  # of the letters of a row that have feet: so many are level where the row is
ALIGNED = (
    0.025  # of the height: what descends is as high as another letter of its row, overshoot and all
)
BESIDE_SHARE = 0.5  # of the letters of a row: the nearest letter of more is in the row


@dataclass(frozen=True, eq=False)
class LevelRow:
    """A row that is level: as it was read, and without those that do not seem to be of it."""

    read: tuple[int, ...]
    kept: Row


def _boxes(letters: Letters, some: Iterable[int]) -> list[tuple[float, float, float, float]]:
    return [tuple(letters.boxes[one].tolist()) for one in some]


def read_level(letters: Letters, some: Collection[int]) -> list[Line]:
    """Some letters in level lines."""
    order = sorted(some)
    lines = reading_lines(_boxes(letters, order))
    return [Line(tuple(order[one] for one in line.members), line.baseline) for line in lines]


def level_rows(letters: Letters, free: Collection[int], least: int) -> list[LevelRow]:
    """The level rows of so many letters at the least."""
    found = []
    for line in read_level(letters, free):
        kept = _level_row(letters, line, least)
        if kept:
            found.append(LevelRow(line.members, kept))
    return found


def _level_row(letters: Letters, line: Line, least: int) -> Row | None:
    """The row of a line whose letters stand level beside one another; None where they do not, or where it is one letter."""
    members, feet = line.members, letters.feet
    if len(members) < 2:
        return None
    high = _highest(letters, members)
    some = feet.of_letters(members)
    angles = feet.angles()[some]
    is_level = np.abs(angles) <= LEVEL
    over = feet.offset[some] - line.baseline
    is_low = (over >= -DESCENT * high) & (over <= DIPS * high)
    may_stand = set(
        feet.letter[some[np.where(is_level, is_low, np.abs(angles) <= DOWNISH)]].tolist()
    )
    level = some[is_level & is_low]
    standing = set(feet.letter[level].tolist())
    if len(standing) == len(may_stand) <= 1:
        standing = _without_marks(letters.boxes, members, line.baseline, high)
        is_row = np.ptp(letters.boxes[sorted(standing), 1]) <= DIPS * high
    else:
        is_row = len(standing) >= LEVEL_SHARE * len(may_stand) and _agree(feet.offset[level], high)
    if (
        not is_row
        or len(standing) < least
        or not _are_beside_one_another(letters, standing, set(members))
    ):
        return None
    return _kept(letters, line, standing)


def _highest(letters: Letters, members: Sequence[int]) -> float:
    box = letters.boxes[list(members)]
    return float((box[:, 3] - box[:, 1]).max())


def _without_marks(
    box: np.ndarray, members: Sequence[int], baseline: float, high: float
) -> set[int]:
    """The letters of a row but for dots, hyphens and apostrophes."""
    return {
        one
        for one in members
        if box[one, 3] - box[one, 1] >= high / 2 or box[one, 1] <= baseline + DIPS * high
    }


def _agree(offsets: np.ndarray, high: float) -> bool:
    """Whether more than half of some feet have another at their height."""
    ordered = np.sort(offsets)
    near = np.diff(ordered) <= nearness(high)
    return 2 * int((np.r_[near, False] | np.r_[False, near]).sum()) > len(ordered)


def _are_beside_one_another(letters: Letters, standing: Collection[int], row: set[int]) -> bool:
    nearest = [letters.near[one][0][0] for one in standing if letters.near[one]]
    return not nearest or sum(one in row for one in nearest) > BESIDE_SHARE * len(nearest)


def _kept(letters: Letters, line: Line, standing: set[int]) -> Row:
    """The row without the letters that stand elsewhere: those of a curved line that crosses its height."""
    course, foot_of = level_course(letters, line.members, line.baseline)
    box = letters.boxes
    tops = np.sort(box[list(standing), 3])
    high = tops[-1] - course.offset

    def is_of_it(one: int) -> bool:
        bottom, top = box[one, 1] - course.offset, box[one, 3] - course.offset
        is_beside = not letters.around[one] or not standing.isdisjoint(letters.around[one])
        if one in standing or -DIPS * high <= bottom <= RISES * high:
            return True
        if (
            top - bottom < high / 2 or not letters.near[one]
        ):  # a dot, a comma; a letter that stands far from all others
            return is_beside
        is_aligned = (
            bottom >= -DESCENT * high and np.abs(tops - box[one, 3]).min() <= ALIGNED * high
        )
        return bool(is_aligned and any(other in standing for other, _ in letters.near[one]))

    return Row(course, tuple(one for one in line.members if is_of_it(one)), foot_of)


def level_course(
    letters: Letters, members: Sequence[int], baseline: float
) -> tuple[BaselineCurve, dict[int, int]]:
    """The level line that most feet near a baseline stand on, with the feet; the baseline itself where there are none."""
    feet = letters.feet
    high = _highest(letters, members)
    some = feet.of_letters(members)
    over = feet.offset[some] - baseline
    some = some[
        (np.abs(feet.angles()[some]) <= LEVEL) & (over >= -2 * RISES * high) & (over <= DIPS * high)
    ]
    if not len(some):
        return BaselineCurve(offset=baseline), {}
    heights = (feet.start[some, 1] + feet.end[some, 1]) / 2
    ordered = np.sort(heights)
    agree = np.searchsorted(ordered, ordered + nearness(high), side="right") - np.arange(
        len(ordered)
    )
    first = int(agree.argmax())
    offset = float(np.median(ordered[first : first + agree[first]]))
    stand = some[np.abs(heights - offset) <= nearness(high)]
    return BaselineCurve(offset=offset), {int(feet.letter[foot]): int(foot) for foot in stand}
