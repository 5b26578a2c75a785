"""How a length is typed: in millimetres, or in inches and a fraction.

How one is shown, and rounded for it, is in wording/formatting.py; its functions are here too, so that a rule has
one place to look for lengths.
"""

from __future__ import annotations

import re
from fractions import Fraction

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
