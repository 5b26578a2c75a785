"""How a length is shown: to the half millimetre, or in inches and a fraction.

Owns the rounding, done once and from the exact value. Must not calculate with what it has rounded: the text is for
people, the millimetres stay as they are.
"""

from __future__ import annotations

import math
from fractions import Fraction

from .errors import Refused

MM_PER_INCH = Fraction(127, 5)  # 25.4 exactly, by the definition of the inch
Length = int | float | Fraction


def as_mm(mm: Length) -> str:
    """The length to the nearest half millimetre, a half of that away from zero: '106.5', '12', '0'.

    Raises ValueError or OverflowError for what is no finite number.
    """
    halves = _nearest(Fraction(mm) * 2)
    whole, half = divmod(abs(halves), 2)
    return _sign(halves) + str(whole) + (".5" if half else "")


def as_inches(mm: Length, denominator: int = 16) -> str:
    """The length in inches to the nearest 1/denominator, in lowest terms: '4 3/16', '-1/2', '5', '0'.

    Off by 1/(2 × denominator) inch at the most. Raises ValueError or OverflowError for what is no finite number.
    """
    steps = _nearest(Fraction(mm) / MM_PER_INCH * denominator)
    whole, rest = divmod(abs(steps), denominator)
    fraction = str(Fraction(rest, denominator)) if rest else ""
    words = [str(whole)] if whole or not rest else []
    return _sign(steps) + " ".join([*words, fraction] if fraction else words)


def show(mm: Length, units: str) -> str:
    """The length with its unit, as a screen or a label shows it: '106.5 mm' or '4 3/16 in'.

    `units` is 'mm' or 'in'; anything else is refused.
    """
    if units == "mm":
        return f"{as_mm(mm)} mm"
    if units == "in":
        return f"{as_inches(mm)} in"
    raise Refused(f"Lengths are shown in mm or in inches: choose “mm” or “in”, not “{units}”.")


def _nearest(value: Fraction) -> int:
    # halves away from zero, so that a length and its negative look alike; round() would go to the even neighbour
    nearest = math.floor(abs(value) + Fraction(1, 2))
    return nearest if value >= 0 else -nearest


def _sign(steps: int) -> str:
    return "-" if steps < 0 else ""
