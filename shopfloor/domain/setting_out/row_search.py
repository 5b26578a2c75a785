"""Which letters are one row: level rows first, then slanting and curved ones, then what is left.

Owns the order in which rows are searched, and where letters go that no curve explains. Must not know what is shown of a
row. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from dataclasses import replace

from .angled_rows import find_angled_rows
from .baseline_contacts import Letters
from .letter_rows import LetterRow, height_above, is_in_band
from .level_rows import LevelRow, find_level_rows, level_curve, read_level
from .round_letter_rows import find_round_letter_rows


def find_rows(letters: Letters) -> list[LetterRow]:
    """The rows of one level; each letter is in exactly one."""
    free = set(range(len(letters.hulls)))
    # from three letters: two level edges may be an accident, such as an i and its dot, turned
    level_rows = find_level_rows(letters, free, 3)
    read_in = {letter: row for row in level_rows for letter in row.read}
    rows = [row.kept for row in level_rows]
    free -= _members(rows)
    while free:
        angled = find_angled_rows(letters, free)
        free -= _members(angled)
        level = [row.kept for row in find_level_rows(letters, free, 2)]
        free -= _members(level)
        rows += angled + level
        if not level:
            break
    rows += find_round_letter_rows(letters, {letter for letter in free if letter not in read_in})
    return _with_the_rest(letters, rows, free - _members(rows), read_in)


def _members(rows: list[LetterRow]) -> set[int]:
    return {letter for row in rows for letter in row.members}


def _with_the_rest(
    letters: Letters, rows: list[LetterRow], free: set[int], read_in: dict[int, LevelRow]
) -> list[LetterRow]:
    """The rows with the letters that no curve explains: each joins the level row it was read in, or (an apostrophe between
    low letters) the only row around it that it is within; what is left makes level rows of its own."""
    members = [list(row.members) for row in rows]
    row_of = {letter: index for index, row in enumerate(rows) for letter in row.members}
    heights: dict[int, float] = {}
    for letter in sorted(free):
        own = {row_of[read_in[letter].kept.members[0]]} if letter in read_in else set()
        around = {row_of[other] for other in letters.around[letter] if other in row_of}
        for candidates in (own, around):
            for index in candidates - heights.keys():
                heights[index] = height_above(letters, rows[index])
            fitting = [
                index
                for index in candidates
                if is_in_band(letters, rows[index], heights[index], letter)
            ]
            if len(fitting) == 1:
                members[fitting[0]].append(letter)
                break
    left = free.difference(*members)
    whole = [replace(row, members=tuple(own)) for row, own in zip(rows, members, strict=True)]
    for line in read_level(letters, left) if left else ():
        curve, contact_of = level_curve(letters, line.members, line.baseline)
        whole.append(LetterRow(curve, line.members, contact_of))
    return whole
