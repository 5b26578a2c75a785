"""A row of letters on the curve of its baseline, and a letter aligned to such a curve.

Owns what a row is and how its letters are turned to the curve. Must not know how rows are found. Lengths are
millimetres, angles radians, y points up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .baseline_contacts import Array, Letters
from .baseline_fit import BaselineCurve

ASKEW = 0.1  # of its size: how far the middle of a letter's box may be from the middle of its advance width
DESCENT = 0.4  # of the height: g, p, q and y reach at most so far below the baseline
DIPS = 0.04  # of the height: round letters dip at most so far below the baseline
RISES = (
    0.005  # of the height: no letter of a row begins so far above the baseline, unless it floats
)
TALLEST = 1.35  # of the height: ascenders, accents

Box = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True)
class LetterRow:
    """One row: its curve, its letters in reading order, and the contact of each that rests on the curve."""

    curve: BaselineCurve
    members: tuple[int, ...]
    contact_of: dict[int, int]


@dataclass(frozen=True)
class AlignedLetter:
    """A letter in the frame of a curve. `along` is the length to the point below it, `box` is left and right from that
    point, bottom and top from the curve; `turn` is the letter's direction."""

    along: float
    box: Box
    turn: float

    @property
    def flat_box(self) -> Box:
        """Its box with the curve laid out straight."""
        left, bottom, right, top = self.box
        return self.along + left, bottom, self.along + right, top


def aligned(
    letters: Letters, curve: BaselineCurve, letter: int, contact: int | None = None
) -> AlignedLetter:
    """A letter in its own frame: turned as its contact is, else to the curve below the middle of its box."""
    hull, contacts = letters.hulls[letter], letters.contacts
    if contact is not None and curve.is_arc:
        along, up = contacts.along[contact], contacts.up[contact]
    else:
        along, up = curve.directions(tuple(hull.mean(axis=0)))
        for _ in range(3 if curve.is_arc else 0):
            across, over = hull @ along, hull @ up
            middle = along * (across.min() + across.max()) / 2 + up * (over.min() + over.max()) / 2
            along, up = curve.directions(tuple(middle))
        if curve.is_arc:
            along, up = _straightened(letters, curve, letter, along)
    across, over = hull @ along, hull @ up
    if curve.is_arc:
        touch = np.asarray(curve.centre) + curve.rho * up
    else:
        touch = along * (across.min() + across.max()) / 2 + up * curve.offset
    left, right, x, y = across.min(), across.max(), float(touch @ along), float(touch @ up)
    box = (float(left) - x, float(over.min()) - y, float(right) - x, float(over.max()) - y)
    return AlignedLetter(curve.place_of(tuple(touch))[0], box, math.atan2(along[1], along[0]))


def _straightened(
    letters: Letters, curve: BaselineCurve, letter: int, along: Array
) -> tuple[Array, Array]:
    """The directions of a letter without a contact on the curve: turned a little where that makes a stem or an end upright,
    or level."""
    contacts = letters.contacts
    own = contacts.of_letters([letter])
    if len(own):
        turn = contacts.angles()[own] - math.atan2(along[1], along[0])
        turn = np.array([math.remainder(angle, math.pi / 2) for angle in turn])
        is_small = np.abs(turn) <= ASKEW * letters.sizes[letter] / abs(curve.rho)
        if is_small.any():
            by = float(turn[is_small][contacts.length[own][is_small].argmax()])
            c, s = math.cos(by), math.sin(by)
            along = np.array([along[0] * c - along[1] * s, along[0] * s + along[1] * c])
    return along, np.array([-along[1], along[0]])


def height_above(letters: Letters, row: LetterRow) -> float:
    """How far the highest letter of a row rises above its curve, mm."""
    return max(aligned(letters, row.curve, letter).box[3] for letter in row.members)


def is_in_band(letters: Letters, row: LetterRow, height: float, letter: int) -> bool:
    """Whether a letter lies within a row of this height, with room for descenders and accents."""
    _, bottom, _, top = aligned(letters, row.curve, letter).box
    return bottom >= -DESCENT * height and top <= TALLEST * height
