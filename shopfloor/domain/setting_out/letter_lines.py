"""Which letters are one line: level rows first, then what stands on slanting lines and round circles, then what is left.

Owns the order in which rows are looked for, and where the letters go that no course explains. Must not know what is shown
of a line. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from dataclasses import replace

from .angled_text import slanting_rows
from .arc_text import round_rows
from .baseline_contacts import Letters
from .letter_rows import Row, highest_of, is_in_band
from .level_text import LevelRow, level_course, level_rows, read_level


def rows_of(letters: Letters) -> list[Row]:
    """The lines of one level; each letter is in exactly one."""
    everything = set(range(len(letters.hulls)))
    levels = level_rows(
        letters, everything, 3
    )  # two level edges may be an accident: an i and its dot, turned
    home = {one: row for row in levels for one in row.read}
    found = [row.kept for row in levels]
    free = everything - {one for row in found for one in row.members}
    while free:
        curved = slanting_rows(letters, free)
        free -= {one for row in curved for one in row.members}
        more = [row.kept for row in level_rows(letters, free, 2)]
        free -= {one for row in more for one in row.members}
        found += curved + more
        if not more:
            break
    found += round_rows(letters, {one for one in free if one not in home})
    free -= {one for row in found for one in row.members}
    return _with_the_rest(letters, found, free, home)


def _with_the_rest(
    letters: Letters, found: list[Row], free: set[int], home: dict[int, LevelRow]
) -> list[Row]:
    """The rows with what no course explains: back to the level row that it was read in, marks (an apostrophe between low
    letters) to the only row beside them that they are within, and level rows of its own."""
    joined = [list(row.members) for row in found]
    row_of = {one: at for at, row in enumerate(found) for one in row.members}
    high: dict[int, float] = {}
    for one in sorted(free):
        homes = {row_of[home[one].kept.members[0]]} if one in home else set()
        for some in (homes, {row_of[other] for other in letters.around[one] if other in row_of}):
            high |= {at: highest_of(letters, found[at]) for at in some if at not in high}
            fitting = [at for at in some if is_in_band(letters, found[at], high[at], one)]
            if len(fitting) == 1:
                joined[fitting[0]].append(one)
                break
    left = free.difference(*joined)
    whole = [
        replace(row, members=tuple(members)) for row, members in zip(found, joined, strict=True)
    ]
    for line in read_level(letters, left) if left else ():
        course, foot_of = level_course(letters, line.members, line.baseline)
        whole.append(Row(course, line.members, foot_of))
    return whole
