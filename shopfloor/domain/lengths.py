"""How a length is shown and typed: to the half millimetre, or in inches and a fraction.

Owns the rounding, done once and from the exact value. Must not calculate with what it has rounded: the text is for
people, the millimetres stay as they are.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from .errors import Refused

MM_PER_INCH = Fraction(127, 5)  # 25.4 exactly, by the definition of the inch
Length = int | float | Fraction
FARTHEST_MM = 100_000  # longer than any sign that goes through a door: a slip of the thumb

_DECIMAL = re.compile(r"(?P<figures>\d+(?:[.,]\d+)?|[.,]\d+)")
# 4 3/16 and 4-3/16 as people write it; a fraction alone may be more than one: 19/16.
_FRACTION = re.compile(
    r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<above>\d+)\s*/\s*(?P<below>2|4|8|16|32|64)"
)
_UNITS = {
    "mm": "mm",
    "in": "in",
    "in.": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
}
_WORDS = re.compile(r"(?P<sign>[+\-−]?)\s*(?P<number>[\d.,/\s\-]*\d)\s*(?P<unit>\D*)")


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


def figure(mm: Length, units: str, denominator: int = 16) -> str:
    """The length without its unit, in 'mm' or 'in': '106.5', '4 3/16'. Raises Refused for another unit."""
    if units == "mm":
        return as_mm(mm)
    if units == "in":
        return as_inches(mm, denominator)
    raise Refused(f"Lengths are shown in mm or in inches: choose “mm” or “in”, not “{units}”.")


def show(mm: Length, units: str, denominator: int = 16) -> str:
    """The length with its unit, as a screen or a label shows it: '106.5 mm' or '4 3/16 in'.

    `units` is 'mm' or 'in'; anything else is refused. `denominator` is how fine inches are shown.
    """
    return f"{figure(mm, units, denominator)} {units}"


def fine(mm: Length, units: str) -> str:
    """The size of a small length with its unit, whichever its sign: to a tenth of a millimetre, or to 1/64 in."""
    return f"{as_inches(abs(mm), 64)} in" if units == "in" else f"{abs(mm):.1f} mm"


def half_step(units: str, denominator: int = 16) -> float:
    """How far, in mm, a shown length may lie from the exact one: half of the step that it is rounded to."""
    return float(MM_PER_INCH / denominator / 2) if units == "in" else 0.25


def parse(text: str, units: str) -> float:
    """The millimetres in a length that was typed, in 'mm' or 'in' where it names no unit itself.

    '106.5' and '106,5'; in inches '4 3/16', '4-3/16', '3/4' and '4.1875'; with a sign before it where it has one. Raises
    Refused for anything else, and for a comma before three figures, which one shop reads as a decimal, another as thousands.
    """
    found = _WORDS.fullmatch(text.strip())
    unit = _UNITS.get(found["unit"].strip().lower() or units) if found else None
    number = _number(found["number"], unit) if unit else None
    if number is None:
        like = (
            "mm: type it like 106.5 or 106,5"
            if units == "mm"
            else "inches: type it like 4 3/16, 3/4 or 4.1875"
        )
        raise Refused(f"“{text.strip()[:20]}” is no length in {like}.")
    mm = number * (MM_PER_INCH if unit == "in" else 1)
    if mm > FARTHEST_MM:
        raise Refused(f"“{text.strip()[:20]}” is more than 100 m: type it again.")
    return float(-mm if found["sign"] in ("-", "−") else mm)


def _number(text: str, unit: str) -> Fraction | None:
    """The number that is written, without its sign; None where it is none."""
    if decimal := _DECIMAL.fullmatch(text):
        if re.fullmatch(r"\d{1,3},\d{3}", text):
            raise Refused(
                f"“{text}” can be read two ways: type {text.replace(',', '')} or {text.replace(',', '.')}."
            )
        return Fraction(decimal["figures"].replace(",", "."))
    parts = _FRACTION.fullmatch(text) if unit == "in" else None
    if parts is None or (parts["whole"] and int(parts["above"]) >= int(parts["below"])):
        return None
    return int(parts["whole"] or 0) + Fraction(int(parts["above"]), int(parts["below"]))


def _nearest(value: Fraction) -> int:
    # halves away from zero, so that a length and its negative look alike; round() would go to the even neighbour
    nearest = math.floor(abs(value) + Fraction(1, 2))
    return nearest if value >= 0 else -nearest


def _sign(steps: int) -> str:
    return "-" if steps < 0 else ""
