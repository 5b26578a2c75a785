"""What is printed at full size: a sign with its parts at their places, its lines of letters, its fixings.

Owns which papers there are and what they may be asked for. Must not know how they are drawn. Lengths are mm, y up from
the sign's lower left corner.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import astuple, dataclass

import numpy as np

from ...wording.formatting import Reader
from .. import lengths
from ..errors import Refused
from ..fixings.fixings import Fixing
from .setting_out import PlacedPart, Row

WHATS = {"strip": "tape strip", "template": "placement template", "drilling": "drilling template"}
PAPERS = {"long": "One long page", "a4": "A4 sheets", "letter": "Letter sheets"}
MARK_LONG = 4  # characters of a mark: as on the ticket of a sheet


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
            raise Refused(
                f"{self.called} has no part on level {level}: choose one of {_listed(self.levels)}."
            )
        return (level,)

    @property
    def unit_word(self) -> str:
        """'millimetres' or 'inches'."""
        return "inches" if self.units == "in" else "millimetres"

    def marks(self, what: str, level: int | None) -> dict[int, str]:
        """The mark of each drawing of a printing, by its level (drilling: 0): a few characters that are others when the
        drawing would be another one, whichever paper it is on. Raises Refused as `wanted`."""
        levels = (0,) if what == "drilling" else self.wanted(level)
        return {one: self._mark(what, one) for one in levels}

    def _mark(self, what: str, level: int) -> str:
        beneath = range(level + 1) if what == "template" else (level,)
        told = [
            what,
            level,
            self.called,
            self.width_mm,
            self.height_mm,
            self.units,
            self.inch_fraction,
        ]
        told += [self.datum] if what == "strip" else []
        told += [astuple(fixing) for fixing in self.fixings] if what == "drilling" else []
        drawn = [part for part in self.parts if part.level in beneath]
        told += [
            [part.number, part.name, part.level, *map(len, part.outline.rings)] for part in drawn
        ]
        summed = hashlib.sha256(json.dumps(told).encode())
        for ring in (ring for part in drawn for ring in part.outline.rings):
            summed.update(np.asarray(ring, dtype="<f8").tobytes())
        return summed.hexdigest()[:MARK_LONG]

    def file_name(self, what: str, paper: str, level: int | None) -> str:
        """What a PDF is called, so that no two printings of a sign bear one name: 'J-1004-A-strip-level-2-a4-centre.pdf'."""
        which = "" if what == "drilling" else "-all-levels" if level is None else f"-level-{level}"
        datum = f"-{self.datum.split()[0]}" if what == "strip" else ""
        return f"{self.called.replace(' ', '-')}-{what}{which}-{paper}{datum}.pdf"

    @property
    def reader(self) -> Reader:
        """For whom the paper is written: the shop's units."""
        return Reader(self.units, self.inch_fraction)

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
        raise Refused(
            f"Full-size paper is printed on {_listed(PAPERS)}, not on “{text[:20]}”: choose one of them."
        )
    return text


def _listed(some: Iterable) -> str:
    return ", ".join(map(str, some))
