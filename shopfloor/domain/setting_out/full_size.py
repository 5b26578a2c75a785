"""Templates at full size: a sign with its parts at their places, its lines of letters, its fixings.

Owns which kinds and papers there are, and the revision mark of each. Must not know how they are drawn. Lengths are mm,
y up from the sign's lower left corner.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import astuple, dataclass

import numpy as np

from ...wording import full_size as wording
from ...wording.formatting import Reader
from ..errors import Refused
from ..fixings.fixings import Fixing
from .setting_out import PlacedPart, Row

WHATS = (
    "strip",
    "template",
    "drilling",
)  # the kinds of template, as addresses and the command line name them
PAPERS = ("long", "a4", "letter")
MARK_LONG = 4  # characters of a mark: as on a setup sheet


@dataclass(frozen=True)
class FullSize:
    """A sign as its templates show it. `called` is 'J-1042 A'; `rows` are the lines of letters of all levels, measured
    from `datum`; `inch_fraction` is 16 or 32."""

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
        """The levels whose parts are set out: all above the bottom, or the bottom where there is nothing on it."""
        levels = sorted({part.level for part in self.parts})
        return tuple(level for level in levels if level) or tuple(levels)

    def wanted(self, level: int | None) -> tuple[int, ...]:
        """The level asked for, or all for None. Raises Refused for one that the sign does not have."""
        if level is None:
            return self.levels
        if all(part.level != level for part in self.parts):
            levels = tuple(str(known) for known in self.levels)
            raise Refused(wording.no_such_level(self.called, level, levels))
        return (level,)

    def marks(self, what: str, level: int | None) -> dict[int, str]:
        """The revision mark of each drawing of a printing, by its level (drilling: 0): a few characters that change when the
        drawing changes, whichever paper it is on. Raises Refused as `wanted`."""
        levels = (0,) if what == "drilling" else self.wanted(level)
        return {drawn: self._mark(what, drawn) for drawn in levels}

    def _mark(self, what: str, level: int) -> str:
        beneath = range(level + 1) if what == "template" else (level,)
        facts: list[object] = [
            what,
            level,
            self.called,
            self.width_mm,
            self.height_mm,
            self.units,
            self.inch_fraction,
        ]
        facts += [self.datum] if what == "strip" else []
        facts += [astuple(fixing) for fixing in self.fixings] if what == "drilling" else []
        drawn = [part for part in self.parts if part.level in beneath]
        facts += [
            [part.number, part.name, part.level, *map(len, part.outline.rings)] for part in drawn
        ]
        summed = hashlib.sha256(json.dumps(facts).encode())
        for ring in (ring for part in drawn for ring in part.outline.rings):
            summed.update(np.asarray(ring, dtype="<f8").tobytes())
        return summed.hexdigest()[:MARK_LONG]

    def file_name(self, what: str, paper: str, level: int | None) -> str:
        """The name of a PDF, different for each printing of a sign: 'J-1004-A-strip-level-2-a4-centre.pdf'."""
        which = "" if what == "drilling" else "-all-levels" if level is None else f"-level-{level}"
        datum = f"-{self.datum.split()[0]}" if what == "strip" else ""
        return f"{self.called.replace(' ', '-')}-{what}{which}-{paper}{datum}.pdf"

    @property
    def reader(self) -> Reader:
        """For whom the paper is written: the shop's units."""
        return Reader(self.units, self.inch_fraction)


def checked_what(asked: str) -> str:
    """One of WHATS. Raises Refused."""
    if asked not in WHATS:
        raise Refused(wording.no_such_kind(asked[:20], WHATS))
    return asked


def checked_paper(asked: str) -> str:
    """One of PAPERS. Raises Refused."""
    if asked not in PAPERS:
        raise Refused(wording.no_such_paper(asked[:20], PAPERS))
    return asked
