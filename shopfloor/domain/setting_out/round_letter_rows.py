"""Slanting and curved rows of letters with no contact to rest on, or one among them all: O, C, S, 0, 6, 8.

Owns the line or circle through the lowest points of neighbours, and the line through the only contact. Must not know about
rows that several contacts tell. Where all letters are round, nobody can tell how far they dip below the line that flat
ones would rest on. Lengths are millimetres, angles radians, y points up.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection

import numpy as np

from .angled_rows import assemble
from .baseline_contacts import LEVEL, Array, Letters
from .baseline_fit import MOST_RADIUS, BaselineCurve, Chain
from .letter_rows import ASKEW, DESCENT, DIPS, RISES, LetterRow, aligned

FEWEST = 3  # lowest points: two tell no line, since any two have one
ROUNDS = 6  # how many times the letters are turned to the curve and the curve fitted again
MOST = 0.6  # share of the letters that rest on the line of one contact, where it is the baseline's
ALIKE = 0.025  # of the height: how far their lowest points are off it
INSIDE = 0.2  # of the radius: the middle of letters inside a circle is so far below its centre; that of a ring is not
BROAD = 0.4  # of the size: what rests level on so long an edge is a panel
STEEP = math.radians(60)  # discs so steeply one above the other are read level


def find_round_letter_rows(letters: Letters, free: Collection[int]) -> list[LetterRow]:
    """The rows of free letters side by side on a line or round a circle, as one contact or their lowest points tell. What
    has a broad level edge to rest on is left out: panels, one above the other."""
    contacts = letters.contacts
    is_level = np.abs(contacts.angles()) <= LEVEL
    is_panel = is_level & (contacts.length >= BROAD * letters.sizes[contacts.letter])
    left, rows = set(free) - set(contacts.letter[is_panel].tolist()), []
    for start in sorted(left):
        if start not in left:
            continue
        cluster = sorted(_cluster(letters, start, left))
        left.difference_update(cluster)
        row = _on_one_contact(letters, cluster) or _on_lowest_points(letters, cluster)
        if row:
            rows.append(_on_all_contacts(letters, row))
    return rows


def _cluster(letters: Letters, start: int, left: Collection[int]) -> set[int]:
    """The letters that hang together with one, from neighbour to neighbour."""
    cluster, waiting = {start}, [start]
    while waiting:
        new = {near for near, _ in letters.near[waiting.pop()] if near in left} - cluster
        cluster |= new
        waiting += sorted(new)
    return cluster


def _on_one_contact(letters: Letters, cluster: list[int]) -> LetterRow | None:
    """The row on the line of the longest contact that all letters rest on, or dip below as round ones do."""
    if len(cluster) < 2:
        return None
    contacts = letters.contacts
    upright = [
        contact
        for contact in contacts.of_letters(cluster).tolist()
        if contacts.along[contact, 0] > 0
    ]
    for contact in sorted(upright, key=lambda index: (-contacts.length[index], index)):
        curve = BaselineCurve(float(contacts.angles()[contact]), float(contacts.offset[contact]))
        if _rest_or_descend(letters, curve, cluster) and _are_side_by_side(letters, curve, cluster):
            return LetterRow(curve, tuple(cluster), {int(contacts.letter[contact]): contact})
    return None


def _rest_or_descend(letters: Letters, curve: BaselineCurve, cluster: list[int]) -> bool:
    """Whether most letters rest on a curve or dip below it as round ones do, and the others descend: they are as high as one
    of those."""
    boxes = np.array([aligned(letters, curve, letter).box for letter in cluster])
    bottoms, tops = boxes[:, 1], boxes[:, 3]
    height = tops.max()
    rests = (bottoms >= -DIPS * height) & (bottoms <= RISES * height)
    if rests.sum() < MOST * len(cluster):
        return False
    is_as_high = np.abs(tops[:, None] - tops[rests][None, :]).min(axis=1) <= DIPS * height
    descends = is_as_high & (bottoms < 0) & (bottoms >= -DESCENT * height)
    return bool(np.all(rests | descends))


def _on_lowest_points(letters: Letters, cluster: list[int]) -> LetterRow | None:
    """The row on the straightest curve that the lowest points of these letters are on."""
    if len(cluster) < FEWEST:
        return None
    middles = np.array([letters.hulls[letter].mean(axis=0) for letter in cluster])
    for fit in (_line_through, _circle_through):
        curve = fit(middles)
        for _ in range(ROUNDS):
            if curve is not None:
                curve = fit(np.array([_lowest(letters, curve, letter) for letter in cluster]))
        if curve is None:
            continue
        if abs(curve.angle) > STEEP and not len(letters.contacts.of_letters(cluster)):
            continue
        boxes = [aligned(letters, curve, letter).box for letter in cluster]
        height = float(np.median([top - bottom for _, bottom, _, top in boxes]))
        is_even = np.ptp([bottom for _, bottom, _, _ in boxes]) <= ALIKE * height
        if is_even and _are_side_by_side(letters, curve, cluster):
            return LetterRow(curve, tuple(cluster), {})
    return None


def _on_all_contacts(letters: Letters, row: LetterRow) -> LetterRow:
    """The row on the contacts that are no further above its lowest points than round letters dip; as it is where there are
    none."""
    contacts, curve = letters.contacts, row.curve
    own = contacts.of_letters(row.members)
    if not len(own):
        return row
    height = float(np.median(contacts.height[own]))
    above = np.array([curve.place_of(tuple(under)) for under in contacts.under[own]])[:, 1]
    along = np.array([curve.directions(tuple(under))[0] for under in contacts.under[own]])
    is_along = (contacts.along[own] * along).sum(axis=1) >= math.cos(ASKEW)
    fits = is_along & (above >= -RISES * height) & (above <= DIPS * height)
    fitting = own[fits]
    if not len(fitting):
        return row
    by_length = fitting[np.argsort(contacts.length[fitting])]
    contact_of = {int(contacts.letter[contact]): int(contact) for contact in by_length}
    raised = curve.raised(float(np.median(above[fits])))
    if len(contact_of) > 1:
        whole = assemble(letters, Chain(raised, contact_of), set(row.members))
        if whole and set(whole.members) == set(row.members):
            return whole
    return LetterRow(raised, row.members, contact_of) if curve.is_arc else row


def _are_side_by_side(letters: Letters, curve: BaselineCurve, cluster: list[int]) -> bool:
    """Whether the letters are beside one another, none above another."""
    boxes = sorted(aligned(letters, curve, letter).flat_box for letter in cluster)
    overlaps = [box[2] - after[0] for box, after in itertools.pairwise(boxes)]
    return max(overlaps) <= DIPS * max(box[3] for box in boxes)


def _lowest(letters: Letters, curve: BaselineCurve, letter: int) -> Array:
    """The lowest point of a letter, turned to the curve."""
    turn, hull = aligned(letters, curve, letter).turn, letters.hulls[letter]
    lowest: Array = hull[(hull @ np.array([-math.sin(turn), math.cos(turn)])).argmin()]
    return lowest


def _line_through(points: Array) -> BaselineCurve:
    """The straight line nearest to these points (total least squares), read from the left, or upwards."""
    middle = points.mean(axis=0)
    x, y = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    if x < -1e-9 or (abs(x) <= 1e-9 and y < 0):
        x, y = -x, -y
    return BaselineCurve(math.atan2(y, x), float(-y * middle[0] + x * middle[1]))


def _circle_through(points: Array) -> BaselineCurve | None:
    """The circle nearest to these points (least squares of x² + y² = 2 c · x + k, which is linear), letters upright."""
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
