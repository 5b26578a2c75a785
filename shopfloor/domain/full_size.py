"""What is printed at full size: a sign with its parts at their places, its lines of letters, its fixings.

Owns which papers there are and what they may be asked for. Must not know how they are drawn. Lengths are mm, y up from
the sign's lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from . import lengths
from .errors import Refused
from .fixings import Fixing
from .setting_out import PlacedPart, Row

WHATS = {"strip": "tape strip", "template": "placement template", "drilling": "drilling template"}
PAPERS = {"long": "One long page", "a4": "A4 sheets", "letter": "Letter sheets"}


@dataclass(frozen=True)
class FullSize:
    """A sign as it is printed at full size. `called` is 'J-1042 A'; `rows` are the lines of letters of all levels,
    measured from `datum`; `inch_fraction` is 16 or 32."""

    called: str
    name: str
    width_mm: float
    height_mm: float
    parts: tuple[PlacedPart, ...]
    rows: tuple[Row, ...]
    fixings: tuple[Fixing, ...]
    datum: str
    units: str = "mm"
    inch_fraction: int = 16

    @property
    def levels(self) -> tuple[int, ...]:
        """The levels whose parts are set out: all over the bottom, or the bottom where there is nothing on it."""
        found = sorted({part.level for part in self.parts})
        return tuple(level for level in found if level) or tuple(found)

    def wanted(self, level: int | None) -> tuple[int, ...]:
        """The levels that are meant by one, or by None: all. Raises Refused for one that the sign does not have."""
        if level is None:
            return self.levels
        if all(part.level != level for part in self.parts):
            raise Refused(f"{self.called} has no part on level {level}: choose one of {_listed(self.levels)}.")
        return (level,)

    @property
    def unit_word(self) -> str:
        """'millimetres' or 'inches'."""
        return "inches" if self.units == "in" else "millimetres"

    def figure(self, mm: float) -> str:
        """A length in the shop's units without their name, rounded once: '106.5', '4 3/16'."""
        return lengths.figure(mm, self.units, self.inch_fraction)

    def said(self, mm: float) -> str:
        """The same with the unit: '106.5 mm', '4 3/16 in'."""
        return lengths.show(mm, self.units, self.inch_fraction)


def checked_what(text: str) -> str:
    """One of WHATS. Raises Refused."""
    if text not in WHATS:
        raise Refused(f"“{text[:20]}” is not printed at full size: choose one of {_listed(WHATS)}.")
    return text


def checked_paper(text: str) -> str:
    """One of PAPERS. Raises Refused."""
    if text not in PAPERS:
        raise Refused(f"Full-size paper is printed on {_listed(PAPERS)}, not on “{text[:20]}”: choose one of them.")
    return text


def _listed(some: Iterable) -> str:
    return ", ".join(map(str, some))
