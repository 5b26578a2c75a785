"""A row of letters on the course of its baseline, and a letter laid out along one.

Owns what a row is and how its letters are turned to it. Must not know how rows are found. Lengths are millimetres, angles
radians, y points up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .baseline_contacts import Letters
from .baseline_fit import BaselineCurve

ASKEW = 0.1  # of its size: the middle of a letter's box may be so far from the middle of its advance width
DESCENT = 0.4  # of the height: g, p, q and y reach this far below the baseline at the most
DIPS = 0.04  # of the height: round letters dip so far below the baseline at the most
RISES = 0.005  # of the height: and no letter of a line begins so far over it, unless it floats
TALLEST = 1.35  # of the height: ascenders, accents


@dataclass(frozen=True)
class Row:
    """One line: its course, its letters in reading order, and the foot of each that stands on the course."""

    course: BaselineCurve
    members: tuple[int, ...]
    foot_of: dict[int, int]


@dataclass(frozen=True)
class Laid:
    """A letter laid out along a course. `along` is the length to the point that it stands over, `box` left (from there),
    bottom (from the course), right, top; `turn` its direction."""

    along: float
    box: tuple[float, float, float, float]
    turn: float

    @property
    def flat_box(self) -> tuple[float, float, float, float]:
        """Its box where the course is laid out straight."""
        left, bottom, right, top = self.box
        return self.along + left, bottom, self.along + right, top


def laid(letters: Letters, course: BaselineCurve, one: int, foot: int | None = None) -> Laid:
    """A letter in its own turned frame: turned as its foot is, else to the course under the middle of its box."""
    hull, feet = letters.hulls[one], letters.feet
    if foot is not None and course.is_arc:
        along, up = feet.along[foot], feet.up[foot]
    else:
        along, up = course.directions(tuple(hull.mean(axis=0)))
        for _ in range(3 if course.is_arc else 0):
            across, over = hull @ along, hull @ up
            middle = along * (across.min() + across.max()) / 2 + up * (over.min() + over.max()) / 2
            along, up = course.directions(tuple(middle))
        if course.is_arc:
            along, up = _straightened(letters, course, one, along)
    across, over = hull @ along, hull @ up
    if course.is_arc:
        touch = np.asarray(course.centre) + course.rho * up
    else:
        touch = along * (across.min() + across.max()) / 2 + up * course.offset
    left, right, x, y = across.min(), across.max(), float(touch @ along), float(touch @ up)
    box = (float(left) - x, float(over.min()) - y, float(right) - x, float(over.max()) - y)
    return Laid(course.place_of(tuple(touch))[0], box, math.atan2(along[1], along[0]))


def _straightened(
    letters: Letters, course: BaselineCurve, one: int, along: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The directions of a letter with no foot on the course: turned a little where a stem or an end then is upright, or
    level."""
    feet = letters.feet
    some = feet.of_letters([one])
    if len(some):
        turn = feet.angles()[some] - math.atan2(along[1], along[0])
        turn = np.array([math.remainder(each, math.pi / 2) for each in turn])
        near = np.abs(turn) <= ASKEW * letters.sizes[one] / abs(course.rho)
        if near.any():
            by = float(turn[near][feet.length[some][near].argmax()])
            c, s = math.cos(by), math.sin(by)
            along = np.array([along[0] * c - along[1] * s, along[0] * s + along[1] * c])
    return along, np.array([-along[1], along[0]])


def highest_of(letters: Letters, row: Row) -> float:
    """How far the highest letter of a row rises over its course, mm."""
    return max(laid(letters, row.course, one).box[3] for one in row.members)


def is_in_band(letters: Letters, row: Row, high: float, one: int) -> bool:
    """Whether a letter lies within a row that is so high, descenders and accents with it."""
    _, bottom, _, top = laid(letters, row.course, one).box
    return bottom >= -DESCENT * high and top <= TALLEST * high
