"""Squares that fill a greater square without a gap: how near nesting comes to a packing that is known to be perfect."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import box

from .. import nesting
from ..domain.outlines import Outline
from ..domain.routing.nests import Item, NestRules
from .figure import Figure, at_most

# The simple perfect squared square of the lowest order, side 112: A. J. W. Duijvestijn 1978.
SIDES = (50, 35, 27, 8, 19, 15, 17, 11, 6, 24, 29, 25, 9, 2, 7, 18, 16, 42, 4, 37, 33)
SIDE = 112
STRIP = (
    4 * SIDE
)  # mm: so long that filling it from its other side never uses less: 4 × 112 × 50, the largest square
GOAL = 1.1 * SIDE


def measure(limits: Sequence[float] = (5.0, 30.0)) -> Iterator[Figure]:
    """The length that the squares reach in a strip of width 112, with the usual limit and with a long one (s)."""
    for name, seconds in zip(("squares-length", "squares-long"), limits, strict=True):
        what = f"length of the perfect square's {len(SIDES)} squares, nested in {seconds:g} s; {SIDE} is perfect"
        yield at_most(name, length_reached(seconds), "mm", round(GOAL, 1), what)


def length_reached(seconds: float) -> float:
    """The length in mm that the squares take of the strip."""
    (sheet,) = nesting.nest(squares(), STRIP, SIDE, rules(seconds)).sheets
    if sheet.along != "length" or len(sheet.placed) != len(SIDES):
        raise RuntimeError("The squares do not lie along the strip, or not all of them.")
    return sheet.used_mm


def squares() -> list[Item]:
    """The squares as pieces."""
    return [
        Item(str(n), Outline.of_polygon(box(0, 0, side, side)), f"square {side}")
        for n, side in enumerate(SIDES)
    ]


def rules(seconds: float) -> NestRules:
    """Neither gap nor margin."""
    return NestRules(gap_mm=0, margin_mm=0, seconds=seconds)
