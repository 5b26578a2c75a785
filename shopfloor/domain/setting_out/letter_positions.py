"""Where each letter of a row is on its baseline: its edges along it, how far it dips below, and the row's letter height.

Owns how a letter is measured on its curve, and why its foot is not on the line. Must not know how rows are found. Lengths
are millimetres, y points up.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from ..drawing.reading_order import commonest
from .baseline_contacts import Letters
from .baseline_fit import BaselineCurve
from .letter_rows import DIPS, AlignedLetter, LetterRow, aligned

# A letter is flat whose lowest point is this near to the baseline, or within this share of the height.
FLAT_MM, FLAT = 0.1, 0.005
FLOATS = 0.08  # of the height: a letter that begins so far above the baseline rests on nothing
TALL = 0.8  # of the tallest letter: capitals and ascenders are so tall, small letters are not
SAME_HEIGHT = 0.012  # of the height: letters of one height agree to this; ascenders rise further

Span = tuple[float, float, float]  # left edge, centre, right edge along the baseline


@dataclass(frozen=True)
class LetterPosition:
    """One letter on its baseline.

    `index` is its place in the sequence that was given. `left_mm`, `centre_mm` and `right_mm` are where the edges and the
    middle of its box, in the letter's own turned frame, come down on the baseline, measured along it from
    `Baseline.origin` (round a circle: arc length, radially below them). `turn_deg` is the direction of the baseline below
    it, counter-clockwise: of its own contact where it has one. `below_mm` is how far its lowest point is below the
    baseline (negative: above), in that frame. `kind` is 'flat', 'round' (it dips by design, or its lowest point is all
    that tells the baseline), 'descends' or 'floats' (a hyphen, a dot, an apostrophe).
    """

    index: int
    left_mm: float
    centre_mm: float
    right_mm: float
    turn_deg: float
    below_mm: float
    kind: str


def letter_positions(
    letters: Letters, row: LetterRow
) -> tuple[float, float, tuple[LetterPosition, ...]]:
    """(start, height, positions) of a row: the length along its curve where its first letter begins, the commonest height
    of its tall letters, and its letters in order along it."""
    placed = _aligned_members(letters, row)
    spans = {letter: _span(row.curve, placed[letter]) for letter in row.members}
    if row.curve.is_arc:
        spans = _cut_open(spans, 2 * math.pi * abs(row.curve.rho))
    order = sorted(
        row.members, key=lambda letter: (spans[letter][0], -placed[letter].box[3], letter)
    )
    start = spans[order[0]][0]
    height = _letter_height(placed)
    positions = []
    for letter in order:
        left, centre, right = (_rounded(edge - start) for edge in spans[letter])
        below = -placed[letter].box[1]
        turn = _rounded(math.degrees(placed[letter].turn))
        kind = _kind(below, height, has_contacts=bool(row.contact_of))
        positions.append(LetterPosition(letter, left, centre, right, turn, _rounded(below), kind))
    return start, height, tuple(positions)


def _aligned_members(letters: Letters, row: LetterRow) -> dict[int, AlignedLetter]:
    """Each letter aligned to the curve. A dot above a letter is turned with that letter."""
    curve = row.curve
    placed = {
        letter: aligned(letters, curve, letter, row.contact_of.get(letter))
        for letter in row.members
    }
    if not curve.is_arc:
        return placed
    for letter in [letter for letter in placed if letter not in row.contact_of]:
        left, bottom, right, _ = placed[letter].flat_box
        below = [
            other
            for other in letters.around[letter]
            if other in row.contact_of
            and placed[other].flat_box[0] <= (left + right) / 2 <= placed[other].flat_box[2]
            and placed[other].box[3] <= bottom + FLOATS * placed[other].box[3]
        ]
        if below:
            placed[letter] = aligned(letters, curve, letter, row.contact_of[below[0]])
    return placed


def _rounded(figure: float) -> float:
    return round(figure, 6) + 0.0  # + 0.0: never -0.0


def _span(curve: BaselineCurve, placed: AlignedLetter) -> Span:
    """Where left edge, middle and right edge of a letter come down on the curve."""
    left, _, right, _ = placed.box
    if not curve.is_arc:
        return placed.along + left, placed.along + (left + right) / 2, placed.along + right
    radius = abs(curve.rho)

    def on_arc(edge: float) -> float:
        return placed.along + radius * math.atan(edge / radius)

    return on_arc(left), on_arc((left + right) / 2), on_arc(right)


def _cut_open(spans: dict[int, Span], circumference: float) -> dict[int, Span]:
    """Lengths round a circle starting behind its widest gap: a ring of letters must begin somewhere."""
    order = sorted(spans, key=lambda letter: spans[letter][1])
    gaps = [spans[after][0] - spans[letter][2] for letter, after in itertools.pairwise(order)]
    gaps.append(spans[order[0]][0] + circumference - spans[order[-1]][2])
    widest = gaps.index(max(gaps))
    early = set(order[: widest + 1]) if widest < len(order) - 1 else set()
    opened = {}
    for letter, (left, centre, right) in spans.items():
        shift = circumference if letter in early else 0.0
        opened[letter] = left + shift, centre + shift, right + shift
    return opened


def _letter_height(placed: dict[int, AlignedLetter]) -> float:
    """The commonest height of the tall letters that rest on the line; round ones are taken to rise above it as far as they
    dip."""
    boxes = {letter: own.box for letter, own in placed.items()}
    tallest = max(box[3] for box in boxes.values())
    resting = {
        letter: box for letter, box in boxes.items() if -DIPS * tallest <= box[1] <= FLAT * tallest
    } or boxes
    tops = {letter: box[3] + min(0.0, box[1]) for letter, box in resting.items()}
    if max(tops.values()) <= 0:  # all hang below it: no row of letters
        return _rounded(max(box[3] - box[1] for box in boxes.values()))
    tall = [letter for letter in tops if tops[letter] >= TALL * max(tops.values())]
    flat = [letter for letter in tall if resting[letter][1] >= -max(FLAT_MM, FLAT * tallest)]
    heights = np.array([tops[letter] for letter in flat or tall])
    return _rounded(float(np.median(commonest(heights, SAME_HEIGHT * tallest))))


def _kind(below: float, height: float, *, has_contacts: bool) -> str:
    flat = max(FLAT_MM, FLAT * height)
    if below < -FLOATS * height:
        return "floats"
    if below > max(flat, 1.5 * DIPS * height):
        return "descends"
    return "round" if below > flat or not has_contacts else "flat"
