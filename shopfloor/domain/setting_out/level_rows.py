"""The rows of letters that are level, side by side.

Owns which letters are such a row, and the height of its baseline. Must not know about slanting and curved rows: it leaves
out letters that are not at that height. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from ..drawing.reading_order import Line, commonest, reading_lines
from .baseline_contacts import LEVEL, Array, Letters
from .baseline_fit import BaselineCurve, nearness
from .letter_rows import DESCENT, DIPS, RISES, LetterRow

DOWNISH = math.radians(45)  # a letter of a slanting row may rest on a contact within this of level
LEVEL_SHARE = 0.6  # least share of a row's letters with contacts that rest level
ALIGNED = 0.025  # of the height: a letter that descends is as high as another of its row, overshoot included
BESIDE_SHARE = 0.5  # of a row's letters, more than this have their nearest letter in the row


@dataclass(frozen=True, eq=False)
class LevelRow:
    """A level row: as it was read, and without the letters that do not seem to belong to it."""

    read: tuple[int, ...]
    kept: LetterRow


def read_level(letters: Letters, members: Collection[int]) -> list[Line]:
    """These letters read in level lines."""
    order = sorted(members)
    lines = reading_lines([tuple(box) for box in letters.boxes[order].tolist()])
    return [Line(tuple(order[index] for index in line.members), line.baseline) for line in lines]


def find_level_rows(letters: Letters, free: Collection[int], least: int) -> list[LevelRow]:
    """The level rows of at least so many letters."""
    rows = []
    for line in read_level(letters, free):
        kept = _level_row(letters, line, least)
        if kept:
            rows.append(LevelRow(line.members, kept))
    return rows


def _level_row(letters: Letters, line: Line, least: int) -> LetterRow | None:
    """The row of a line whose letters rest level side by side; None where they do not, or where it is one letter."""
    members, contacts = line.members, letters.contacts
    if len(members) < 2:
        return None
    height = _height(letters, members)
    indices = contacts.of_letters(members)
    angles = contacts.angles()[indices]
    is_level = np.abs(angles) <= LEVEL
    above = contacts.offset[indices] - line.baseline
    is_low = (above >= -DESCENT * height) & (above <= DIPS * height)
    may_rest = np.where(is_level, is_low, np.abs(angles) <= DOWNISH)
    may_rest_letters = set(contacts.letter[indices[may_rest]].tolist())
    level = indices[is_level & is_low]
    resting = set(contacts.letter[level].tolist())
    if len(resting) == len(may_rest_letters) <= 1:
        resting = _without_marks(letters.boxes, members, line.baseline, height)
        is_row = bool(np.ptp(letters.boxes[sorted(resting), 1]) <= DIPS * height)
    else:
        are_most = len(resting) >= LEVEL_SHARE * len(may_rest_letters)
        is_row = are_most and _agree(contacts.offset[level], height)
    if not is_row or len(resting) < least or not _are_side_by_side(letters, resting, set(members)):
        return None
    return _kept(letters, line, resting)


def _height(letters: Letters, members: Sequence[int]) -> float:
    """The height of the tallest box."""
    box = letters.boxes[list(members)]
    return float((box[:, 3] - box[:, 1]).max())


def _without_marks(
    boxes: Array, members: Sequence[int], baseline: float, height: float
) -> set[int]:
    """The letters of a row without dots, hyphens and apostrophes."""
    return {
        letter
        for letter in members
        if boxes[letter, 3] - boxes[letter, 1] >= height / 2
        or boxes[letter, 1] <= baseline + DIPS * height
    }


def _agree(offsets: Array, height: float) -> bool:
    """Whether at least half of these contacts have another at their height."""
    ordered = np.sort(offsets)
    near = np.diff(ordered) <= nearness(height)
    return 2 * int((np.r_[near, False] | np.r_[False, near]).sum()) > len(ordered)


def _are_side_by_side(letters: Letters, resting: Collection[int], row: set[int]) -> bool:
    nearest = [letters.near[letter][0][0] for letter in resting if letters.near[letter]]
    in_row = sum(letter in row for letter in nearest)
    return not nearest or in_row > BESIDE_SHARE * len(nearest)


def _kept(letters: Letters, line: Line, resting: set[int]) -> LetterRow:
    """The row without letters that belong elsewhere: those of a curved row that crosses its height."""
    curve, contact_of = level_curve(letters, line.members, line.baseline)
    boxes = letters.boxes
    tops = np.sort(boxes[list(resting), 3])
    height = tops[-1] - curve.offset

    def belongs(letter: int) -> bool:
        bottom, top = boxes[letter, 1] - curve.offset, boxes[letter, 3] - curve.offset
        if letter in resting or -DIPS * height <= bottom <= RISES * height:
            return True
        # a dot, a comma; or a letter far from all others
        if top - bottom < height / 2 or not letters.near[letter]:
            return not letters.around[letter] or not resting.isdisjoint(letters.around[letter])
        is_as_high = np.abs(tops - boxes[letter, 3]).min() <= ALIGNED * height
        is_aligned = bottom >= -DESCENT * height and is_as_high
        return bool(is_aligned and any(near in resting for near, _ in letters.near[letter]))

    return LetterRow(curve, tuple(letter for letter in line.members if belongs(letter)), contact_of)


def level_curve(
    letters: Letters, members: Sequence[int], baseline: float
) -> tuple[BaselineCurve, dict[int, int]]:
    """The level line that most contacts near a baseline are on, with those contacts by letter; the baseline itself where
    there are none."""
    contacts = letters.contacts
    height = _height(letters, members)
    own = contacts.of_letters(members)
    above = contacts.offset[own] - baseline
    is_level = np.abs(contacts.angles()[own]) <= LEVEL
    is_near = (above >= -2 * RISES * height) & (above <= DIPS * height)
    indices = own[is_level & is_near]
    if not len(indices):
        return BaselineCurve(offset=baseline), {}
    heights = (contacts.start[indices, 1] + contacts.end[indices, 1]) / 2
    offset = float(np.median(commonest(heights, nearness(height))))
    on_it = indices[np.abs(heights - offset) <= nearness(height)]
    contact_of = {int(contacts.letter[contact]): int(contact) for contact in on_it}
    return BaselineCurve(offset=offset), contact_of
