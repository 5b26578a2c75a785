"""Reading order: boxes of letters (or of signs) sorted into lines, commas and accents with their letters.

Owns the lines and their baselines. Must not know what the boxes are, nor which lies on which. Lengths are millimetres,
y points up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import STRtree

EPSILON = 1e-6  # slack in comparing shares, so that shifting a drawing changes nothing

LETTER_RATIO = 0.45  # letters of one line are at least this share of each other's height (x beside d, no comma)
SAME_LINE = 0.5  # and overlap in height by this share of the lower one
TALL = 0.6  # the letters of two lines are at most this share of the height of a badge beside both
REACH = 0.75  # how far a comma or hyphen may be from its letter, in heights of the letter
DOT_GAP = 0.33  # how high above its letter a dot or accent may be, in heights of the letter
DOT_HEIGHT = 0.36  # how high such a dot or accent may be, in heights of the letter
BASELINE_BAND = 0.03  # of the line's height: round letters dip at most this far below flat ones
DESCENT = 0.35  # of the line's height: g, p, q and y reach at most this far below the baseline
FEW = 0.2  # of a line's letters: where this many are higher, the rest descend or dip

Box = tuple[float, float, float, float]  # left, bottom, right, top
Boxes = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Line:
    """One line: its boxes from left to right, and the height of its baseline."""

    members: tuple[int, ...]
    baseline: float


def reading_lines(boxes: Sequence[Box], letter_ratio: float = LETTER_RATIO) -> list[Line]:
    """Return the boxes in reading order: lines from top to bottom, each from left to right.

    Commas, hyphens, dots and accents stay with the line of their letter. A box beside two lines that overlaps both (a
    badge) is a line of its own. `letter_ratio` 0 lets low and high boxes share a line.
    """
    box = np.asarray(boxes, dtype=float).reshape(-1, 4)
    rows = _rows(box, letter_ratio)
    small = _small_ones(box, rows)
    marks_of: dict[int, list[int]] = defaultdict(list)
    for mark, home in small.items():
        marks_of[home] += rows[mark]
    lines = []
    for index, row in enumerate(rows):
        if index not in small:
            across = sorted(
                [*row, *marks_of[index]],
                key=lambda member: (box[member, 0], -box[member, 3], member),
            )
            lines.append(
                (box[row, 3].max(), box[row, 0].min(), Line(tuple(across), _baseline(box[row])))
            )
    return [line for _, _, line in sorted(lines, key=lambda line: (-line[0], line[1]))]


class _Heights:
    """The boxes by height, so that few are compared to find those level with a given one."""

    def __init__(self, box: Boxes, letter_ratio: float) -> None:
        self._box, self._ratio = box, letter_ratio
        # each as an upright line at x = 0: those that overlap in height cross
        self._lines = shapely.box(0, box[:, 1], 0, box[:, 3])
        self._tree = STRtree(self._lines)

    def near(self, index: int) -> Places:
        """Return all boxes that overlap one in height, itself among them."""
        return np.asarray(self._tree.query(self._lines[index]))

    def level_with(self, index: int, among: Places) -> Places:
        """Return those of some boxes that are about as high as one and overlap it in height."""
        return among[_are_level_with(self._box[among], self._box[index], self._ratio)]

    def spans_two_rows(self, index: int) -> bool:
        """Whether one is beside two rows and taller than most of their letters: a badge, not a t among a few."""
        near = self.near(index)
        if self._box[near, 1].max() < self._box[near, 3].min():
            return False  # all share a height: no two of them are one above the other
        mates = self._box[self.level_with(index, near)]
        low = mates[:, 3] - mates[:, 1] <= TALL * (self._box[index, 3] - self._box[index, 1])
        return bool(mates[:, 1].max() >= mates[:, 3].min() and 2 * low.sum() >= len(mates) - 1)


def _rows(box: Boxes, letter_ratio: float) -> list[list[int]]:
    """Return boxes of like height that overlap in height, chained; those that span two such rows apart."""
    heights = _Heights(box, letter_ratio)
    spans = np.array([heights.spans_two_rows(index) for index in range(len(box))], dtype=bool)
    rows, is_taken = [], np.zeros(len(box), dtype=bool)
    for start in np.argsort(box[:, 0], kind="stable").tolist():
        if is_taken[start]:
            continue
        row, waiting, is_taken[start] = [], [start], True
        while waiting:
            row.append(waiting.pop())
            near = heights.near(row[-1])
            near = near[~is_taken[near]]
            new = heights.level_with(row[-1], near[spans[near] == spans[start]])
            is_taken[new] = True
            waiting.extend(new.tolist())
        rows.append(sorted(row))
    return rows


def _are_level_with(box: Boxes, letter: Boxes, letter_ratio: float) -> npt.NDArray[np.bool_]:
    height, own = box[:, 3] - box[:, 1], letter[3] - letter[1]
    lower, higher = np.minimum(height, own), np.maximum(height, own)
    shared = np.minimum(box[:, 3], letter[3]) - np.maximum(box[:, 1], letter[1])
    are_level: npt.NDArray[np.bool_] = np.logical_and(
        shared >= (SAME_LINE - EPSILON) * lower, lower >= (letter_ratio - EPSILON) * higher
    )
    return are_level


def _small_ones(box: Boxes, rows: list[list[int]]) -> dict[int, int]:
    """Return the rows of commas, hyphens, dots and accents, each with the row of its letters."""
    row_of = np.empty(len(box), dtype=int)
    for index, row in enumerate(rows):
        row_of[row] = index
    home: dict[int, int] = {}
    for index in sorted(range(len(rows)), key=lambda row: -_highest(box[rows[row]])):
        near = [(letter, int(row_of[letter])) for letter in _letters_near(box, rows[index], row_of)]
        # in a line rather than above one: a comma may be very near to the letters of the next line
        fitting = [
            row
            for letter, row in near
            if _are_in_line(box[rows[index]], box[rows[row]], box[letter])
        ]
        fitting += [row for _, row in near if _float_above(box[rows[index]], box[rows[row]])]
        if fitting:
            home[index] = home.get(fitting[0], fitting[0])
    return home


def _letters_near(box: Boxes, marks: list[int], row_of: Places) -> list[int]:
    """Return of each row the letter nearest to one of the marks, the nearest first, as far as a mark may be from it."""
    height = box[:, 3] - box[:, 1]
    letters = np.flatnonzero(height * LETTER_RATIO > _highest(box[marks]))
    nearest = np.full(len(letters), np.inf)
    for mark in box[marks]:
        across = np.maximum(box[letters, 0] - mark[2], mark[0] - box[letters, 2]).clip(min=0)
        along = np.maximum(box[letters, 1] - mark[3], mark[1] - box[letters, 3]).clip(min=0)
        nearest = np.minimum(nearest, np.hypot(across, along))
    near = np.flatnonzero(nearest <= REACH * height[letters])
    near = near[np.argsort(nearest[near], kind="stable")]
    _, first = np.unique(row_of[letters[near]], return_index=True)
    return [int(letter) for letter in letters[near[np.sort(first)]]]


def _are_in_line(marks: Boxes, letters: Boxes, letter: Boxes) -> bool:
    """Whether the marks (commas, hyphens, and dots where some letters rise) are between baseline and top of a line."""
    height = letter[3] - letter[1]
    if len(marks) > len(letters):
        return False
    if (
        marks[:, 0].min() < letters[:, 0].min() - height
        or marks[:, 2].max() > letters[:, 2].max() + height
    ):
        return False
    inside = np.minimum(marks[:, 3], letters[:, 3].max()) - np.maximum(
        marks[:, 1], _baseline(letters)
    )
    is_inside = inside >= FEW * (marks[:, 3] - marks[:, 1])
    return bool(is_inside.any()) and all(_floats_above(mark, letters) for mark in marks[~is_inside])


def _float_above(marks: Boxes, letters: Boxes) -> bool:
    return len(marks) <= 2 * len(letters) and all(_floats_above(mark, letters) for mark in marks)


def _floats_above(mark: Boxes, letters: Boxes) -> bool:
    """Whether the mark is a dot or an accent: low, above the middle of a letter and near it."""
    height, middle = letters[:, 3] - letters[:, 1], (mark[0] + mark[2]) / 2
    gap = mark[1] - letters[:, 3]
    is_over = (letters[:, 0] <= middle) & (middle <= letters[:, 2]) & (gap > -DOT_GAP * height)
    return bool(
        np.any(is_over & (gap <= DOT_GAP * height) & (mark[3] - mark[1] <= DOT_HEIGHT * height))
    )


def _baseline(letters: Boxes) -> float:
    """Return the height of the feet of flat letters, also where most are round or descend."""
    bottoms, tops = letters[:, 1], letters[:, 3]
    band = BASELINE_BAND * _highest(letters)
    lowest = commonest(bottoms, band)[0]
    descends = (bottoms >= lowest) & (bottoms <= lowest + band)
    rises = (bottoms > lowest + band) & (bottoms <= lowest + DESCENT * (tops.max() - lowest))
    if (
        rises.sum() >= FEW * len(letters)
        and np.median(tops[rises]) >= np.median(tops[descends]) - band
    ):
        lowest = commonest(bottoms[rises], band)[0]
    near = np.sort(bottoms[(bottoms >= lowest) & (bottoms <= lowest + band)])
    # flat letters agree and are on the line; round ones dip below it, and may be in the majority
    agree = np.searchsorted(near, near + band / 6, side="right") - np.searchsorted(
        near, near - band / 6
    )
    return float(near[agree >= FEW * len(near)].max(initial=lowest))


def commonest(figures: Boxes, within: float) -> Boxes:
    """Return the most figures that differ by no more than this, in rising order; of as many the lowest."""
    ordered: Boxes = np.sort(figures)
    counts = np.searchsorted(ordered, ordered + within, side="right") - np.arange(len(ordered))
    first = int(counts.argmax())
    return ordered[first : first + counts[first]]


def _highest(box: Boxes) -> float:
    return float((box[:, 3] - box[:, 1]).max())
