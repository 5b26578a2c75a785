"""The findings in a drawing as a page shows them: grouped by kind, and flagged on the sign where they are.

Owns which sign a finding belongs to, its number and the order of the kinds. The readers and preflight find them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from ...domain.drawing.drawing import Finding
from ...domain.drawing.signs import mark_of
from ...domain.drawing.stacking import ProposedSign
from ...domain.outlines import Point
from ...wording import drawings as wording
from ...wording.message import Message
from ..pictures.overlays import Flag, Trace

SHOWN = 8  # findings; the others fold away
MOST_FLAGS = ((1, 24), (4, 10))  # (signs, flags on each): more would hide the picture
FEW_FLAGS = 5  # on each of many signs

# First what would spoil material, then what was mended, then what the cutter cannot do, then what was left out.
KINDS = (
    "too large",
    "scale",
    "units",
    "damaged",
    "overlap",
    "overhang",
    "crossing",
    "gap",
    "double",
    "near",
    "will not hold",
    "narrow",
    "corner",
    "tiny",
    "stray",
    "empty",
    "line",
    "hidden",
    "layer",
    "picture",
    "paint",
)


@dataclass(frozen=True)
class FindingLine:
    """A finding in the list. `number` is that of its flag on the picture, '' where it has none; `where` names the sign."""

    number: str
    message: Message | str
    where: Message | None


@dataclass(frozen=True)
class FindingGroup:
    """All findings of one kind: the `first` are shown, the `rest` folds away."""

    heading: Message
    first: list[FindingLine]
    rest: list[FindingLine]

    @property
    def count(self) -> int:
        """The number of findings."""
        return len(self.first) + len(self.rest)


@dataclass
class Marks:
    """The marks drawn over one sign, in its own mm."""

    traces: list[Trace] = field(default_factory=list)
    flags: list[Flag] = field(default_factory=list)

    @property
    def numbered(self) -> int:
        """The number of flags with a number; where they would crowd, the others are dots."""
        return sum(flag.text != "" for flag in self.flags)


def grouped(
    findings: Sequence[Finding], signs: Sequence[ProposedSign], drawn: int
) -> tuple[list[FindingGroup], list[Marks]]:
    """Return the findings by kind, the most urgent first, and the marks over each of the first `drawn` signs."""
    marks = [Marks() for _ in signs[:drawn]]
    flags = next((flags for most, flags in MOST_FLAGS if len(marks) <= most), FEW_FLAGS)
    groups: dict[str, list[FindingLine]] = {}
    count = 0
    for finding in sorted(findings, key=_urgency):
        number, where = "", None
        if finding.at is not None:
            place = _home(finding.at, signs)
            if place < drawn:
                if marks[place].numbered < flags:
                    count += 1
                    number = str(count)
                _draw(marks[place], finding, finding.at, signs[place], number)
            where = wording.on_sign(mark_of(place)) if len(signs) > 1 else None
        line = FindingLine(number, finding.message, where)
        groups.setdefault(finding.kind, []).append(line)
    return _folded(groups), marks


def _urgency(finding: Finding) -> int:
    return KINDS.index(finding.kind) if finding.kind in KINDS else len(KINDS)


def _home(at: Point, signs: Sequence[ProposedSign]) -> int:
    """Return the place of the smallest sign whose box holds this point of the drawing; else of the nearest."""
    return min(
        range(len(signs)),
        key=lambda place: (_away(at, signs[place]), signs[place].width_mm * signs[place].height_mm),
    )


def _away(at: Point, sign: ProposedSign) -> float:
    x, y = at[0] - sign.left_mm, at[1] - sign.bottom_mm
    return math.hypot(max(-x, 0, x - sign.width_mm), max(-y, 0, y - sign.height_mm))


def _draw(marks: Marks, finding: Finding, at: Point, sign: ProposedSign, number: str) -> None:
    line = tuple(_in_sign(point, sign) for point in finding.line)
    if line:
        marks.traces.append(Trace("found", points=line))
    marks.flags.append(Flag(number, _in_sign(at, sign)))


def _in_sign(point: Point, sign: ProposedSign) -> Point:
    """Return a point of the drawing in the sign's own mm; one off the sign is brought to its edge."""
    x, y = point[0] - sign.left_mm, point[1] - sign.bottom_mm
    return min(max(x, 0.0), sign.width_mm), min(max(y, 0.0), sign.height_mm)


def _folded(groups: dict[str, list[FindingLine]]) -> list[FindingGroup]:
    folded, left = [], SHOWN
    for kind, lines in groups.items():
        shown = min(len(lines), max(1, left))  # one of each kind is always visible
        left -= shown
        folded.append(FindingGroup(wording.heading(kind), lines[:shown], lines[shown:]))
    return folded
