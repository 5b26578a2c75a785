"""The rows of letters on slanting lines and round circles.

Owns the choice between the chains that `baseline_fit` finds (tops and margins make chains as baselines do), and which
letter, dot or comma belongs to which row: a row is laid out straight, and `reading_lines` reads it as it reads level ones.
Must not know about the level rows found before. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from ..drawing.reading_order import reading_lines
from .baseline_contacts import LEVEL, Indices, Letters
from .baseline_fit import (
    LOOSE,
    ROUNDING,
    BaselineCurve,
    Chain,
    arc_through,
    curves_through,
    find_chains,
    nearness,
    straight_through,
)
from .letter_rows import DESCENT, DIPS, RISES, TALLEST, AlignedLetter, LetterRow, aligned

FAR = 0.12  # of the height: how far off a contact may be while two or three tell the curve, if all agree in the end
BESIDE_LEAST = 0.4  # share of a slanting row's letters whose nearest is in it (else it is a margin of level rows)
DIPPING = 0.4  # what a letter that dips by design counts, where one on a contact counts 1
BACKWARD = 0.6  # what a row counts that reads downwards, or all round the inside of a circle
# A stray contact is off the curve by more than three times the median and this.
STRAY, STRAY_MM = 3, 0.03
GAP = 0.8  # of the height: a gap between words is hardly wider
ON_ITS_HEAD = 0.3  # letters are upside down where the cosine of their turn is below minus this
LEVEL_RISE_MM = 0.1  # a line that rises by less over its length is level


def find_angled_rows(letters: Letters, free: Collection[int]) -> list[LetterRow]:
    """The rows among free letters that are not level, or that were not read as level ones; the surest first."""
    left, angled = set(free), []
    rows = _assembled(letters, find_chains(letters, free), left)
    waiting = [_rank(index, *ranked) for index, ranked in enumerate(rows)]
    heapq.heapify(waiting)
    while waiting:
        row = rows[heapq.heappop(waiting)[-1]][1]
        if left.issuperset(row.members):
            angled.append(row)
            left -= set(row.members)
        else:
            contact_of = {letter: own for letter, own in row.contact_of.items() if letter in left}
            for ranked in _assembled(letters, [Chain(row.curve, contact_of)], left):
                heapq.heappush(waiting, _rank(len(rows), *ranked))
                rows.append(ranked)
    return angled


def _rank(index: int, sureness: float, row: LetterRow) -> tuple[float, list[int], int]:
    """For a heap: the surest row first; equally sure ones by their letters, whichever chain they came from."""
    return -sureness, sorted(row.members), index


def _assembled(
    letters: Letters, chains: list[Chain], free: Collection[int]
) -> list[tuple[float, LetterRow]]:
    """The rows that chains of contacts make, each with how sure it is; no row twice."""
    rows: list[tuple[float, LetterRow]] = []
    rows_with: dict[int, set[int]] = {}  # by contact
    for chain in sorted(chains, key=lambda chain: -len(chain.contact_of)):
        contacts = list(chain.contact_of.values())
        if len(contacts) < 2:
            continue
        with_all = set.intersection(*(rows_with.get(contact, set()) for contact in contacts))
        if any(len(rows[index][1].contact_of) > len(contacts) for index in with_all):
            continue
        row = assemble(letters, chain, free)
        sureness = _sureness(letters, row) if row and _is_sure(letters, row) else 0.0
        if row and sureness:
            for contact in row.contact_of.values():
                rows_with.setdefault(contact, set()).add(len(rows))
            rows.append((sureness, row))
    return rows


def assemble(letters: Letters, chain: Chain, free: Collection[int]) -> LetterRow | None:
    """The row of a chain: all letters that belong to it, its curve fitted again as long as contacts join."""
    curve, contact_of = _from_the_middle(letters, chain.curve, chain.contact_of), chain.contact_of
    row = None
    for _ in range(6):
        members, raised = _read_along(letters, curve, contact_of, free)
        known = {} if raised else contact_of
        resting = _contacts_on(letters, curve.raised(raised), members, known)
        if len(resting) < 2:
            return row
        indices = np.array(sorted(resting.values()))
        height = float(np.median(letters.contacts.height[indices]))
        fitting = curves_through(letters, indices, nearness(height)) or curves_through(
            letters, indices, LOOSE * height
        )
        if not fitting:
            return row
        curve = _from_the_middle(letters, _without_strays(letters, fitting[0], indices), resting)
        row = _trimmed(letters, LetterRow(curve, members, resting))
        if resting == contact_of:
            return row
        contact_of = resting
    return row


def _without_strays(letters: Letters, curve: BaselineCurve, indices: Indices) -> BaselineCurve:
    """The curve fitted again without contacts that are much further off it than most: a bowl's edge near the baseline."""
    off, _ = curve.misses(letters, indices)
    kept = indices[off <= STRAY * float(np.median(off)) + STRAY_MM]
    if len(kept) == len(indices) or len(kept) < (3 if curve.is_arc else 2):
        return curve
    return (
        (arc_through(letters, kept) or curve) if curve.is_arc else straight_through(letters, kept)
    )


def _trimmed(letters: Letters, row: LetterRow) -> LetterRow:
    """The row without the letters of another one that goes on where it ends: beyond its last contact a letter that neither
    rests, dips nor descends as this row's do; and round a circle what is upside down."""
    placed = {
        letter: aligned(letters, row.curve, letter, row.contact_of.get(letter))
        for letter in row.members
    }
    height = float(np.median(letters.contacts.height[list(row.contact_of.values())]))
    tops = np.array([placed[letter].box[3] for letter in row.contact_of])

    def belongs(letter: int) -> bool:
        _, bottom, _, top = placed[letter].box
        is_as_high = np.abs(tops - top).min() <= DIPS * height
        descends = -DESCENT * height <= bottom < 0 and is_as_high
        is_small = top - bottom < height / 2  # a dot, a comma, a hyphen
        return bool(-DIPS * height <= bottom <= 2 * RISES * height or descends or is_small)

    order = _upright_part(row, placed, float(tops.max()))
    resting = [index for index, letter in enumerate(order) if letter in row.contact_of]
    if not resting:
        return row
    first, last = resting[0], resting[-1]
    while first > 0 and belongs(order[first - 1]):
        first -= 1
    while last < len(order) - 1 and belongs(order[last + 1]):
        last += 1
    members = tuple(order[first : last + 1])
    contact_of = {letter: own for letter, own in row.contact_of.items() if letter in set(members)}
    return LetterRow(row.curve, members, contact_of)


def _upright_part(row: LetterRow, placed: dict[int, AlignedLetter], height: float) -> list[int]:
    """The letters in order, without those upside down: inside a circle, or separated from the others by more than a word
    gap on both sides (those are the row inside the lower half, by their tops)."""
    order = sorted(row.members, key=lambda letter: placed[letter].flat_box[0])
    if not row.curve.is_arc:
        return order
    boxes = [placed[letter].flat_box for letter in order]
    gaps = [after[0] - before[2] for before, after in itertools.pairwise(boxes)]
    breaks = [0, *(at for at, gap in enumerate(gaps, 1) if gap > GAP * height), len(order)]
    parts = [order[start:end] for start, end in itertools.pairwise(breaks)]
    upright = [float(np.mean([math.cos(placed[letter].turn) for letter in part])) for part in parts]
    if max(upright) <= ON_ITS_HEAD or (min(upright) >= -ON_ITS_HEAD and row.curve.rho > 0):
        return order
    return [
        letter
        for part, cosine in zip(parts, upright, strict=True)
        for letter in part
        if cosine > -ON_ITS_HEAD
    ]


def _from_the_middle(
    letters: Letters, curve: BaselineCurve, contact_of: dict[int, int]
) -> BaselineCurve:
    """The curve with lengths along it measured from its middle; a straight one that hardly rises is level."""
    contacts, indices = letters.contacts, list(contact_of.values())
    if curve.is_arc:
        away = contacts.up[indices] * math.copysign(1, curve.rho)
        polar = np.sort(np.arctan2(away[:, 1], away[:, 0]))
        gaps = np.diff([*polar, polar[0] + 2 * math.pi])
        widest = int(gaps.argmax())  # a row that goes nearly all round has its ends there
        return replace(curve, begin=float(polar[widest] + gaps[widest] / 2 + math.pi))
    ends = np.concatenate([contacts.start[indices], contacts.end[indices]])
    rise = abs(math.sin(curve.angle)) * np.ptp(ends[:, 0])
    if rise <= LEVEL_RISE_MM and abs(curve.angle) < LEVEL:
        return BaselineCurve(offset=float(np.median(ends[:, 1])))
    return curve


def _read_along(
    letters: Letters, curve: BaselineCurve, contact_of: dict[int, int], free: Collection[int]
) -> tuple[tuple[int, ...], float]:
    """The letters in reading order that make one line with those on the curve, and how far above the curve they are."""
    height = float(np.median(letters.contacts.height[list(contact_of.values())]))
    boxes = {
        letter: aligned(letters, curve, letter, contact).flat_box
        for letter, contact in contact_of.items()
    }
    waiting, seen = sorted(contact_of), set(contact_of)
    while waiting:
        for letter in letters.around[waiting.pop()]:
            if letter in free and letter not in seen:
                seen.add(letter)
                box = aligned(letters, curve, letter).flat_box
                if box[1] >= -1.5 * DESCENT * height and box[3] <= 1.5 * TALLEST * height:
                    boxes[letter] = box
                    waiting.append(letter)
    order = sorted(boxes)
    lines = reading_lines([boxes[letter] for letter in order])
    line = max(lines, key=lambda line: sum(order[index] in contact_of for index in line.members))
    is_near = abs(line.baseline) <= DIPS * height
    return tuple(order[index] for index in line.members), 0.0 if is_near else line.baseline


def _contacts_on(
    letters: Letters, curve: BaselineCurve, members: Sequence[int], known: dict[int, int]
) -> dict[int, int]:
    """The contact of each member that is on the curve. While few contacts tell the curve, it is not known well further on:
    others join where all together are on one curve."""
    contacts = letters.contacts
    indices = contacts.of_letters(members)
    if not len(indices):
        return {}
    height = float(np.median(contacts.height[indices]))
    off, sideways = curve.misses(letters, indices)
    off -= ROUNDING * abs(curve.rho) / contacts.length[indices]
    reach = FAR * height if len(known) < 4 else nearness(height)
    fits = (off <= reach) & (sideways <= 0.25 * contacts.height[indices])
    by_miss = np.lexsort((-contacts.length[indices], np.round(off, 2))).tolist()
    candidates = [
        (int(contacts.letter[indices[at]]), int(indices[at])) for at in by_miss if fits[at]
    ]
    if len(known) >= 4:
        return dict(reversed(candidates))
    resting = {letter: contact for letter, contact in known.items() if letter in members}
    for letter, contact in candidates:
        both = np.array([*resting.values(), contact])
        is_on_one_curve = len(both) < 2 or curves_through(letters, both, nearness(height))
        if letter not in resting and is_on_one_curve:
            resting[letter] = contact
    return resting


def _is_sure(letters: Letters, row: LetterRow) -> bool:
    """Whether contacts tell the row: three or more, or two of letters that cannot rest level. It must not be upside down."""
    contacts, indices = letters.contacts, list(row.contact_of.values())
    if contacts.up[indices].sum(axis=0)[1] < -0.05 * len(indices):
        return False
    if len(row.contact_of) > 2 or row.curve == BaselineCurve(offset=row.curve.offset):
        return True
    own = contacts.of_letters(list(row.contact_of))
    return not bool((np.abs(contacts.angles()[own]) <= LEVEL).any())


def _sureness(letters: Letters, row: LetterRow) -> float:
    """The number of letters that rest on a row, or dip as round ones do; more where their neighbours are in it too."""
    contacts, indices, count = letters.contacts, list(row.contact_of.values()), 0.0
    height = float(np.median(contacts.height[indices]))
    for letter in row.members:
        bottom = aligned(letters, row.curve, letter).box[1]
        dips = -DIPS * height <= bottom <= RISES * height
        count += 1 if letter in row.contact_of else DIPPING * dips
    members = set(row.members)
    nearest = [letters.near[letter][0][0] for letter in row.members if letters.near[letter]]
    beside = sum(letter in members for letter in nearest) / max(1, len(nearest))
    if beside < BESIDE_LEAST and row.curve.angle != 0:
        return 0.0
    x, y = contacts.up[indices].mean(axis=0)
    is_round_the_inside = row.curve.rho < 0 and math.hypot(x, y) < 0.1
    is_backward = (abs(y) < 0.05 and x > 0.5) or is_round_the_inside
    return round(count * (0.3 + beside) * (BACKWARD if is_backward else 1), 6)
