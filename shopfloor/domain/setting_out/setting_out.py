"""Setting out: where each letter of a line goes, as running dimensions from one datum.

Every figure is measured from the datum, exactly, never from the letter before; it is rounded once, where it is shown.
Owns lines and figures; `baselines` finds where the baselines run, `placement` judges whether a letter is in its place.
Lengths are mm. Must not round, nor know pages or paper.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ...wording import setting_out as wording
from ...wording.message import Message
from ..errors import NotFound, Refused
from ..outlines import Outline
from ..settings import Settings
from .baselines import Baseline, find_baselines
from .letter_positions import LetterPosition
from .placement import allowed_mm

DATUMS = ("left edge", "centre line")
USUAL_SETTINGS = Settings()
LEVEL_DEG = 0.02  # a line that climbs less is level: 0.35 mm in a metre


@dataclass(frozen=True)
class PlacedPart:
    """A part with its outline where it lies on the sign."""

    id: int
    number: int
    name: str
    level: int
    outline: Outline


@dataclass(frozen=True)
class Letter:
    """One letter of a line. `left_mm`, `centre_mm` and `right_mm` run from the datum along the line, exact, signed.

    `gap_mm` is the clear distance to the next letter of the line, None for the last; `below_mm` how far its foot is below
    the baseline (negative: above it) and `kind` why, as in `LetterPosition`; `height_mm` its own height, `allowed_mm` how
    far it may be off.
    """

    part: int
    number: int
    name: str
    left_mm: float
    centre_mm: float
    right_mm: float
    gap_mm: float | None
    below_mm: float
    kind: str
    height_mm: float
    allowed_mm: float


@dataclass(frozen=True)
class Row:
    """One line of letters of a level.

    `baseline_mm` is how high the baseline is above the sign's lower edge at its first letter. `datum_mm` is the datum's x
    on the sign; for a line that is not level, how far along it from the foot of the first letter.
    """

    level: int
    baseline: Baseline
    baseline_mm: float
    datum_mm: float
    letters: tuple[Letter, ...]

    @property
    def is_level(self) -> bool:
        """Whether its figures run along the sign's lower edge."""
        return _is_level(self.baseline)

    def letter(self, part: int) -> Letter:
        """One of its letters. Raises NotFound."""
        for letter in self.letters:
            if letter.part == part:
                return letter
        raise NotFound(wording.not_in_this_line())

    def wanted(self, letter: Letter) -> tuple[float, float]:
        """What a rule must show: the letter's left edge from the sign's left edge, its foot above the sign's lower edge.

        On a line that is not level: its left edge along it from the foot of the first letter, its foot above the line.
        """
        above = self.baseline_mm if self.is_level else 0.0
        return letter.left_mm + self.datum_mm, above - letter.below_mm


def checked_datum(text: str) -> str:
    """One of DATUMS. Raises Refused."""
    if text not in DATUMS:
        raise Refused(wording.no_such_datum())
    return text


def rows(
    parts: Sequence[PlacedPart],
    sign_width_mm: float,
    datum: str,
    settings: Settings = USUAL_SETTINGS,
) -> list[Row]:
    """The lines of one level, the top one first, each letter in reading order.

    Figures along the lower edge run from the sign's left edge or its centre line (`datum`); along any other line always
    from the foot of its first letter. In a chain of rounded steps errors add up; from one datum each figure is off by half
    a step at most.
    """
    lines = _lines(tuple(part.outline for part in parts))
    return [_row(line, parts, sign_width_mm, datum, settings) for line in lines]


def row_of(rows: Iterable[Row], part: int) -> Row:
    """The line that a part is in. Raises NotFound."""
    for row in rows:
        if any(letter.part == part for letter in row.letters):
            return row
    raise NotFound(wording.in_no_line())


@lru_cache(maxsize=64)
def _lines(outlines: tuple[Outline, ...]) -> tuple[Baseline, ...]:
    return tuple(find_baselines(outlines))  # cached: a level is shown again after each tap


def _row(
    line: Baseline, parts: Sequence[PlacedPart], width_mm: float, datum: str, settings: Settings
) -> Row:
    datum_mm = width_mm / 2 if datum == "centre line" and _is_level(line) else 0.0
    members = [(position, parts[position.index]) for position in line.members]
    edges = [_along(position, part.outline, line) for position, part in members]
    gaps = [after[0] - before[2] for before, after in itertools.pairwise(edges)]
    letters = tuple(
        _letter(position, part, line, gap, datum_mm, settings)
        for (position, part), gap in zip(members, [*gaps, None], strict=True)
    )
    return Row(members[0][1].level, line, line.origin[1], datum_mm, letters)


def _letter(
    position: LetterPosition,
    part: PlacedPart,
    line: Baseline,
    gap: float | None,
    datum_mm: float,
    settings: Settings,
) -> Letter:
    upright = part.outline if _is_level(line) else part.outline.turned(-position.turn_deg)
    left, centre, right = _along(position, part.outline, line)
    return Letter(
        part.id,
        part.number,
        part.name,
        left - datum_mm,
        centre - datum_mm,
        right - datum_mm,
        gap,
        position.below_mm,
        position.kind,
        upright.height_mm,
        allowed_mm(line.height_mm or upright.height_mm, settings),
    )


def _along(
    position: LetterPosition, outline: Outline, line: Baseline
) -> tuple[float, float, float]:
    """Left edge, centre and right edge along the line."""
    if not _is_level(line):
        return position.left_mm, position.centre_mm, position.right_mm
    left, _, right, _ = outline.bounds  # from the drawing itself: no fit comes between
    return left, (left + right) / 2, right


def _is_level(line: Baseline) -> bool:
    return line.shape == "straight" and abs(_climb_deg(line)) <= LEVEL_DEG


def _climb_deg(line: Baseline) -> float:
    """The angle of a line to the horizontal, -180° to 180°."""
    return (line.angle_deg + 180) % 360 - 180


# A line in words. ----------------------------------------------------------------------------------------------


def heading(row: Row) -> Message:
    """How high the letters of a line are, and where its baseline runs."""
    line = row.baseline
    if row.is_level:
        return wording.level_line(line.height_mm, row.baseline_mm)
    if line.shape == "arc":
        return wording.arc_line(line.height_mm, line.radius_mm, line.is_bulging_up)
    return wording.slanted_line(line.height_mm, round(_climb_deg(line), 1))


def figures_begin(row: Row) -> Message | None:
    """Where the figures of a line that is not level begin and run; None for a level one."""
    if row.is_level:
        return None
    x, y = row.baseline.origin
    return wording.figures_begin(x, y, row.baseline.shape == "arc")


def foot_note(letter: Letter) -> Message | None:
    """Why a letter's foot is not on the baseline, so that nobody corrects it; None where it is."""
    if letter.kind == "round" and letter.below_mm > 0:
        return wording.dips_by_design(letter.below_mm)
    if letter.kind == "descends":
        return wording.descends(letter.below_mm)
    if letter.kind == "floats":
        return wording.floats(-letter.below_mm)
    return None


def measured_from(row: Row, letter: Letter, datum: str) -> tuple[Message, Message]:
    """What the two distances of a measuring are measured from: that of its left edge, and of its foot (lowest point)."""
    if not row.is_level:
        return wording.left_along_curve(row.baseline.shape == "arc"), wording.foot_above_line()
    if datum == DATUMS[0]:
        return wording.left_from_left_edge(), wording.foot_above_lower_edge()
    return wording.left_from_centre_line(letter.left_mm < 0), wording.foot_above_lower_edge()
