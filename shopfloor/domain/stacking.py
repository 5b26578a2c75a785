"""From drawn outlines to signs, levels and numbered parts.

Owns what lies on what, which outlines make one sign, and the order in which people read the parts. Must not know
about files, stock or what becomes of a sign later. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree

from .drawing import DrawnOutline
from .errors import Refused
from .outlines import PLACES, Outline

LEAST_OVERLAP = 0.1  # of the upper outline's area: with less than this, two outlines are neighbours
SAME_SIZE = 1e-3  # areas nearer than this share are one size: then the upper one must cover the lower,
WHOLE = 0.9  # by this share: a face cut to the size of its backing
EPSILON = 1e-6  # shares are compared with this much slack, so that shifting a drawing changes nothing

LETTER_RATIO = 0.45  # letters of one line are at least this high, measured by the other (x beside d, not comma)
SAME_LINE = 0.5  # and overlap in height by this share of the lower one
TALL = 0.6  # what stands beside two lines is so much taller that one of them is at most this, measured by it
REACH = 0.75  # how far a comma or hyphen may stand from its letter, in heights of the letter
DOT_GAP = 0.33  # how high above its letter a dot or accent may float, in heights of the letter
DOT_HEIGHT = 0.36  # how high such a dot or accent may be, in heights of the letter
BASELINE_BAND = 0.03  # of the line's height: round letters dip this far below the flat ones at the most
DESCENT = 0.35  # of the line's height: g, p, q and y reach this far below the baseline at the most
FEW = 0.2  # of a line's letters: so many standing higher show that the rest descend, or dip

Box = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True)
class ProposedPart:
    """A part at its place. `outline` and `baseline_mm` count from the sign's lower left corner.

    `on` is the number of the part that it lies on most; `also_on` are the others that it needs under or round it (the second
    panel that it bridges, the part whose pocket it fills, which is `inlay_in`). `line` counts from 0 within its level, top to
    bottom.
    """

    number: int
    name: str | None
    colour: str
    level: int
    on: int | None
    outline: Outline
    line: int
    baseline_mm: float
    also_on: tuple[int, ...] = ()
    inlay_in: int | None = None


@dataclass(frozen=True)
class ProposedSign:
    """A sign as the drawing suggests it; its parts in the order of their numbers, from 1.

    `places` says which signs of the drawing it is made of (from 0, counted without joins and with nothing left out).
    `left_mm`, `bottom_mm` are its lower left corner in drawing coordinates. `is_loose`: a part off every board of a drawing
    that has boards: its own sign, or misplaced?
    """

    name: str | None
    width_mm: float
    height_mm: float
    levels: int
    parts: tuple[ProposedPart, ...]
    places: tuple[int, ...] = ()
    left_mm: float = 0.0
    bottom_mm: float = 0.0
    is_loose: bool = False


@dataclass(frozen=True)
class Line:
    """One line of reading: which boxes, left to right, and the height that its letters stand on."""

    members: tuple[int, ...]
    baseline: float


def propose(outlines: Sequence[DrawnOutline], joins: Iterable[Iterable[int]] = ()) -> tuple[ProposedSign, ...]:
    """The signs in a drawing, in reading order: one for each bottom outline with all that is stacked on it.

    Bottom outlines that share a group make one sign. Each of `joins` holds places (from 0) of signs in the
    proposal without joins; they become one sign. Raises Refused where a join names a sign that is not there.
    """
    drawn = sorted(outlines, key=lambda one: one.order)
    on = lies_on([one.outline for one in drawn], [one.order for one in drawn])
    members = _in_reading_order(drawn, _members_of_signs(drawn, on))
    joined = _joined(members, joins)
    if len(joined) < len(members):
        joined = _in_reading_order(drawn, joined)
    return tuple(_sign(drawn, on, one) for one in joined)


def lies_on(outlines: Sequence[Outline], orders: Sequence[int] | None = None) -> list[int | None]:
    """For each outline the index of the one that it lies on, or None for a bottom one.

    It lies on what it overlaps most of what shows under it: larger, drawn earlier (`orders`, by default the order
    given), and by at least a tenth of its own area. What shows through a hole counts, the holed one does not.
    """
    order = np.asarray(range(len(outlines)) if orders is None else orders)
    areas = _areas_on_the_plane(outlines)
    shapely.prepare(areas)
    sizes, tree = shapely.area(areas), STRtree(areas)
    found = []
    for upper, shape in enumerate(areas):
        near = tree.query(shape)
        near = near[(order[near] < order[upper]) & (sizes[near] >= sizes[upper] * (1 - SAME_SIZE))]
        near = near[np.argsort(-order[near], kind="stable")]
        found.append(_most_overlapped(shape, sizes[upper], near, areas, sizes))
    return found


def reading_lines(boxes: Sequence[Box], letter_ratio: float = LETTER_RATIO) -> list[Line]:
    """Boxes in the order in which one reads: lines from top to bottom, each from left to right.

    Commas, hyphens, dots and accents stay with the line of their letter. What stands beside two lines and overlaps
    both (a badge) is a line of its own. `letter_ratio` 0 lets the low and the high share a line.
    """
    box = np.asarray(boxes, dtype=float).reshape(-1, 4)
    rows = _rows(box, letter_ratio)
    small = _small_ones(box, rows)
    lines = []
    for index, row in enumerate(rows):
        if index in small:
            continue
        marks = [one for other, home in small.items() if home == index for one in rows[other]]
        across = sorted([*row, *marks], key=lambda one: (box[one, 0], -box[one, 3], one))
        lines.append((box[row, 3].max(), box[row, 0].min(), Line(tuple(across), _baseline(box[row]))))
    return [line for _, _, line in sorted(lines, key=lambda one: (-one[0], one[1]))]


def _areas_on_the_plane(outlines: Sequence[Outline]) -> np.ndarray:
    areas = np.array([one.polygon for one in outlines], dtype=object)
    broken = ~shapely.is_valid(areas)
    # rounding to the thousandth may let a ring touch itself, and shapely overlays only valid areas
    areas[broken] = shapely.buffer(areas[broken], 0)
    return areas


def _most_overlapped(shape, size: float, below, areas, sizes) -> int | None:
    best, most, left = None, LEAST_OVERLAP - EPSILON, shape
    for candidate in below:  # from the top down: each hides what is under it
        if left.area / size <= most + EPSILON:
            break
        under = areas[candidate]
        share = (left if under.covers(left) else left.intersection(under)).area / size
        is_larger = sizes[candidate] > size * (1 + SAME_SIZE)
        if share <= EPSILON or not (is_larger or share >= WHOLE):
            continue
        if share > most + EPSILON:
            best, most = int(candidate), share
        left = left.difference(under)
    return best


def _members_of_signs(drawn: Sequence[DrawnOutline], on: list[int | None]) -> list[list[int]]:
    signs: dict[object, list[int]] = defaultdict(list)
    key_of: list[object] = []
    for index, below in enumerate(on):  # what lies below was drawn earlier, so its sign is known
        alone = drawn[index].group or index
        key_of.append(alone if below is None else key_of[below])
        signs[key_of[index]].append(index)
    return list(signs.values())


def _in_reading_order(drawn: Sequence[DrawnOutline], signs: list[list[int]]) -> list[list[int]]:
    boxes = [_box_round([drawn[index].outline.bounds for index in one]) for one in signs]
    lines = reading_lines(boxes, letter_ratio=0)
    return [signs[place] for line in lines for place in line.members]


def _joined(signs: list[list[int]], joins: Iterable[Iterable[int]]) -> list[list[int]]:
    home = list(range(len(signs)))
    for together in joins:
        places = sorted(set(together))
        for place in places:
            if not 0 <= place < len(signs):
                raise Refused(f"There is no sign {place + 1} to join: choose among the {len(signs)} signs drawn.")
        homes = {home[place] for place in places}
        home = [min(homes) if one in homes else one for one in home]
    joined: dict[int, list[int]] = defaultdict(list)
    for place, sign in enumerate(signs):
        joined[home[place]] += sign
    return list(joined.values())


def _sign(drawn: Sequence[DrawnOutline], on: list[int | None], members: list[int]) -> ProposedSign:
    left, bottom, right, top = _box_round([drawn[index].outline.bounds for index in members])
    levels: list[list[int]] = []
    level_of: dict[int, int] = {}
    for index in sorted(members):  # what lies below comes first
        level_of[index] = 0 if on[index] is None else level_of[on[index]] + 1
        if level_of[index] == len(levels):
            levels.append([])
        levels[level_of[index]].append(index)
    places = [place for level, some in enumerate(levels) for place in _places(drawn, level, some)]
    number_of = {index: number for number, (index, *_) in enumerate(places, start=1)}
    parts = tuple(
        ProposedPart(
            number=number_of[index],
            name=drawn[index].name,
            colour=drawn[index].colour,
            level=level,
            on=None if on[index] is None else number_of[on[index]],
            outline=drawn[index].outline.moved(-left, -bottom),
            line=line,
            baseline_mm=round(baseline - bottom, PLACES),
        )
        for index, level, line, baseline in places
    )
    size = round(right - left, PLACES), round(top - bottom, PLACES)
    return ProposedSign(_name(drawn, on, places), *size, len(levels), parts)


def _places(drawn: Sequence[DrawnOutline], level: int, some: list[int]) -> list[tuple[int, int, int, float]]:
    lines = reading_lines([drawn[index].outline.bounds for index in some])
    return [
        (some[member], level, number, line.baseline) for number, line in enumerate(lines) for member in line.members
    ]


def _name(drawn: Sequence[DrawnOutline], on: list[int | None], places) -> str | None:
    bottoms = [drawn[index] for index, *_ in places if on[index] is None]
    names = [one.group for one in bottoms if one.group] + [one.name for one in bottoms if one.name]
    return names[0] if names else None


def _box_round(boxes: Sequence[Box]) -> Box:
    box = np.asarray(boxes)
    return (*box[:, :2].min(axis=0).tolist(), *box[:, 2:].max(axis=0).tolist())


def _rows(box: np.ndarray, letter_ratio: float) -> list[list[int]]:
    """Boxes of like height that overlap in height, chained; those that span two such rows apart from the others."""
    def mates_of(one: int) -> np.ndarray:  # asked for twice, since all of them together would fill the memory
        return np.flatnonzero(_is_level_with(box, one, letter_ratio))

    spans = np.array([_spans_two_rows(box[one], box[mates_of(one)]) for one in range(len(box))], dtype=bool)
    rows, is_taken = [], np.zeros(len(box), dtype=bool)
    for start in np.argsort(box[:, 0], kind="stable").tolist():
        if is_taken[start]:
            continue
        row, waiting, is_taken[start] = [], [start], True
        while waiting:
            row.append(waiting.pop())
            mates = mates_of(row[-1])
            new = mates[~is_taken[mates] & (spans[mates] == spans[start])]
            is_taken[new] = True
            waiting.extend(new.tolist())
        rows.append(sorted(row))
    return rows


def _spans_two_rows(one: np.ndarray, mates: np.ndarray) -> bool:
    low = mates[:, 3] - mates[:, 1] <= TALL * (one[3] - one[1])  # a badge is tall beside most; a t beside a few
    return bool(mates[:, 1].max() >= mates[:, 3].min() and 2 * low.sum() >= len(mates) - 1)


def _is_level_with(box: np.ndarray, one: int, letter_ratio: float) -> np.ndarray:
    height = box[:, 3] - box[:, 1]
    lower, higher = np.minimum(height, height[one]), np.maximum(height, height[one])
    shared = np.minimum(box[:, 3], box[one, 3]) - np.maximum(box[:, 1], box[one, 1])
    return (shared >= (SAME_LINE - EPSILON) * lower) & (lower >= (letter_ratio - EPSILON) * higher)


def _small_ones(box: np.ndarray, rows: list[list[int]]) -> dict[int, int]:
    """The rows of commas, hyphens, dots and accents, each with the row of the letters that it belongs to."""
    row_of = np.empty(len(box), dtype=int)
    for index, row in enumerate(rows):
        row_of[row] = index
    home: dict[int, int] = {}
    for index in sorted(range(len(rows)), key=lambda one: -_highest(box[rows[one]])):
        near = [(letter, int(row_of[letter])) for letter in _letters_near(box, rows[index], row_of)]
        # in a line before floating above one: a comma may come very near to the letters of the next line
        fitting = [row for letter, row in near if _are_in_line(box[rows[index]], box[rows[row]], box[letter])]
        fitting += [row for _, row in near if _float_above(box[rows[index]], box[rows[row]])]
        if fitting:
            home[index] = home.get(fitting[0], fitting[0])
    return home


def _letters_near(box: np.ndarray, marks: list[int], row_of: np.ndarray) -> list[int]:
    """Of each row the letter nearest to one of the marks, the nearest first, as far as a mark may stand from it."""
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
    return letters[near[np.sort(first)]].tolist()


def _are_in_line(marks: np.ndarray, letters: np.ndarray, letter: np.ndarray) -> bool:
    """Whether the marks (commas, hyphens, and dots where some letters rise) sit between baseline and top of a line."""
    height = letter[3] - letter[1]
    if len(marks) > len(letters):
        return False
    if marks[:, 0].min() < letters[:, 0].min() - height or marks[:, 2].max() > letters[:, 2].max() + height:
        return False
    inside = np.minimum(marks[:, 3], letters[:, 3].max()) - np.maximum(marks[:, 1], _baseline(letters))
    is_inside = inside >= FEW * (marks[:, 3] - marks[:, 1])
    return bool(is_inside.any()) and all(_floats_above(mark, letters) for mark in marks[~is_inside])


def _float_above(marks: np.ndarray, letters: np.ndarray) -> bool:
    return len(marks) <= 2 * len(letters) and all(_floats_above(mark, letters) for mark in marks)


def _floats_above(mark: np.ndarray, letters: np.ndarray) -> bool:
    """Whether the mark is a dot or an accent: low, over the middle of a letter and near to it."""
    height, middle = letters[:, 3] - letters[:, 1], (mark[0] + mark[2]) / 2
    gap = mark[1] - letters[:, 3]
    is_over = (letters[:, 0] <= middle) & (middle <= letters[:, 2]) & (gap > -DOT_GAP * height)
    return bool(np.any(is_over & (gap <= DOT_GAP * height) & (mark[3] - mark[1] <= DOT_HEIGHT * height)))


def _baseline(letters: np.ndarray) -> float:
    """The height that the flat letters stand on, also where most are round or descend."""
    bottoms, tops = letters[:, 1], letters[:, 3]
    band = BASELINE_BAND * _highest(letters)
    lowest = _most_common(bottoms, band)
    descends = (bottoms >= lowest) & (bottoms <= lowest + band)
    stands = (bottoms > lowest + band) & (bottoms <= lowest + DESCENT * (tops.max() - lowest))
    if stands.sum() >= FEW * len(letters) and np.median(tops[stands]) >= np.median(tops[descends]) - band:
        lowest = _most_common(bottoms[stands], band)
    near = bottoms[(bottoms >= lowest) & (bottoms <= lowest + band)]
    # flat letters agree and stand on the line; round ones dip below it, and may be the more
    agree = np.sum(np.abs(near[:, None] - near[None, :]) <= band / 6, axis=1)
    return float(near[agree >= FEW * len(near)].max(initial=lowest))


def _most_common(bottoms: np.ndarray, band: float) -> float:
    ordered = np.sort(bottoms)
    counts = np.searchsorted(ordered, ordered + band, side="right") - np.searchsorted(ordered, ordered)
    return float(ordered[counts.argmax()])


def _highest(box: np.ndarray) -> float:
    return float((box[:, 3] - box[:, 1]).max())
