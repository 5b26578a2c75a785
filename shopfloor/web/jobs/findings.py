"""What was found in a drawing, as a page shows it: in words, grouped by kind, and drawn on the sign where it is.

Owns which sign a finding belongs to, its number, and the words of its kind. Must not look for anything itself: that is
done by the readers and by preflight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from ...domain.drawing.drawing import Finding
from ...domain.drawing.signs import mark_of
from ...domain.drawing.stacking import ProposedSign
from ...domain.outlines import Point
from ..pictures.overlays import Flag, Trace

SHOWN = 8  # findings; the others fold away
MOST_FLAGS = ((1, 24), (4, 10))  # up to so many signs, so many flags on each: more would hide it
FEW_FLAGS = 5  # on each of many

# What would spoil material comes first, then what was mended, then what the cutter makes of it, then what was left out.
KINDS = {
    "too large": "Larger than the sheet",
    "scale": "The scale looks wrong",
    "units": "The unit",
    "damaged": "The file is damaged",
    "overlap": "Drawn over each other",
    "overhang": "Hangs over",
    "crossing": "Crossings, mended",
    "gap": "Gaps, closed",
    "double": "Drawn twice",
    "near": "Too near each other",
    "will not hold": "Will not hold on the table",
    "narrow": "Narrower than the cutter",
    "corner": "The cutter does not get in",
    "tiny": "Specks, left out",
    "stray": "Strays, left out",
    "empty": "Empty outlines, left out",
    "line": "Lines, left out",
    "hidden": "Hidden, left out",
    "layer": "Layers, left out",
    "picture": "Pictures, left out",
    "paint": "Paint",
}


@dataclass(frozen=True)
class Told:
    """A finding in words. `number` is that of its flag on the picture, '' where it has none; `where` names the sign."""

    number: str
    message: str
    where: str


@dataclass(frozen=True)
class FindingGroup:
    """All findings of one kind: the `first` are shown, the `rest` folds away."""

    words: str
    first: list[Told]
    rest: list[Told]

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.first) + len(self.rest)


@dataclass
class Marks:
    """What is drawn over one sign, in its own mm."""

    traces: list[Trace] = field(default_factory=list)
    flags: list[Flag] = field(default_factory=list)

    @property
    def numbered(self) -> int:
        """How many flags bear a number; where they would crowd, the others are a dot."""
        return sum(flag.text != "" for flag in self.flags)


def told(
    findings: Sequence[Finding], signs: Sequence[ProposedSign], drawn: int
) -> tuple[list[FindingGroup], list[Marks]]:
    """The findings by kind, the most urgent first, and what is to be drawn over each of the first `drawn` signs."""
    marks = [Marks() for _ in signs[:drawn]]
    flags = next((flags for most, flags in MOST_FLAGS if len(marks) <= most), FEW_FLAGS)
    groups: dict[str, list[Told]] = {}
    number = 0
    for finding in sorted(findings, key=_urgency):
        place = None if finding.at is None else _home(finding.at, signs)
        is_drawn = place is not None and place < drawn
        is_numbered = is_drawn and marks[place].numbered < flags
        number += is_numbered
        if is_drawn:
            _draw(marks[place], finding, signs[place], str(number) if is_numbered else "")
        where = f"sign {mark_of(place)}" if place is not None and len(signs) > 1 else ""
        one = Told(str(number) if is_numbered else "", finding.message, where)
        groups.setdefault(finding.kind, []).append(one)
    return _folded(groups), marks


def _urgency(finding: Finding) -> int:
    return list(KINDS).index(finding.kind) if finding.kind in KINDS else len(KINDS)


def _home(at: Point, signs: Sequence[ProposedSign]) -> int:
    """The sign whose box holds this place of the drawing, the smallest of them; else the nearest."""
    return min(
        range(len(signs)),
        key=lambda one: (_away(at, signs[one]), signs[one].width_mm * signs[one].height_mm),
    )


def _away(at: Point, sign: ProposedSign) -> float:
    x, y = at[0] - sign.left_mm, at[1] - sign.bottom_mm
    return math.hypot(max(-x, 0, x - sign.width_mm), max(-y, 0, y - sign.height_mm))


def _draw(marks: Marks, finding: Finding, sign: ProposedSign, number: str) -> None:
    line = tuple(_in_sign(point, sign) for point in finding.line)
    if line:
        marks.traces.append(Trace("found", points=line))
    marks.flags.append(Flag(number, _in_sign(finding.at, sign)))


def _in_sign(point: Point, sign: ProposedSign) -> Point:
    """A place of the drawing in the sign's own mm; what lies off the sign is brought to its edge."""
    x, y = point[0] - sign.left_mm, point[1] - sign.bottom_mm
    return min(max(x, 0.0), sign.width_mm), min(max(y, 0.0), sign.height_mm)


def _folded(groups: dict[str, list[Told]]) -> list[FindingGroup]:
    found, left = [], SHOWN
    for kind, some in groups.items():
        shown = min(len(some), max(1, left))  # one of each kind is always seen
        left -= shown
        found.append(FindingGroup(KINDS.get(kind, kind.capitalize()), some[:shown], some[shown:]))
    return found
