"""How a length is typed: in millimetres, or in inches and a fraction.

How one is shown and rounded is in wording/formatting.py; its functions can be imported from here too.
"""

from __future__ import annotations

import re
from fractions import Fraction

from ..wording import typed as wording
from ..wording.formatting import MM_PER_INCH, as_inches, as_mm, figure, fine, half_step
from ..wording.formatting import length as show
from .errors import Refused

__all__ = [
    "MM_PER_INCH",
    "as_inches",
    "as_mm",
    "figure",
    "fine",
    "half_step",
    "parse",
    "show",
]

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


def parse(text: str, units: str) -> float:
    """Return the millimetres in a length that was typed, in 'mm' or 'in' where it names no unit itself.

    '106.5' and '106,5'; in inches '4 3/16', '4-3/16', '3/4' and '4.1875'; with a sign before it where it has one. Raises
    Refused for anything else, and for a comma before three figures, which one shop reads as a decimal, another as thousands.
    """
    typed = text.strip()[:20]
    words = _WORDS.fullmatch(text.strip())
    if words is None:
        raise Refused(wording.not_a_length(typed, units))
    unit = _UNITS.get(words["unit"].strip().lower() or units)
    number = _number(words["number"], unit) if unit else None
    if number is None:
        raise Refused(wording.not_a_length(typed, units))
    mm = number * (MM_PER_INCH if unit == "in" else 1)
    if mm > FARTHEST_MM:
        raise Refused(wording.length_too_long(typed))
    return float(-mm if words["sign"] in ("-", "−") else mm)


def _number(text: str, unit: str) -> Fraction | None:
    """Return the number that is written, without its sign; None where it is no number."""
    if decimal := _DECIMAL.fullmatch(text):
        if re.fullmatch(r"\d{1,3},\d{3}", text):
            raise Refused(wording.two_readings(text, text.replace(",", ""), text.replace(",", ".")))
        return Fraction(decimal["figures"].replace(",", "."))
    parts = _FRACTION.fullmatch(text) if unit == "in" else None
    if parts is None or (parts["whole"] and int(parts["above"]) >= int(parts["below"])):
        return None
    return int(parts["whole"] or 0) + Fraction(int(parts["above"]), int(parts["below"]))
