"""Setting out: where each letter of a line goes, as running dimensions from one datum.

Every figure is measured from the datum, exactly, never from the letter before; it is rounded where it is shown, once. Owns
lines, figures and their words; where the baselines run is found in `baselines`, whether a letter sits there in `placing`.
Lengths are mm. Must not round, nor know pages or paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..errors import NotFound, Refused
from ..outlines import Outline
from .baselines import Baseline, Standing, baselines
from .placement import Tolerance

DATUMS = ("left edge", "centre line")
LEVEL_DEG = 0.02  # a line that climbs less is level: 0.35 mm in a metre
Written = Callable[[float], str]  # a length in mm as text with its unit


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

    `gap_mm` is the clear distance to the next letter of the line, None for the last; `below_mm` how far its foot lies under
    the baseline (negative: over it) and `kind` why, as in `baselines.Standing`; `height_mm` its own height, `allowed_mm` how
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

    `baseline_mm` is how high the baseline is over the sign's lower edge at its first letter. `datum_mm` is the datum's x on
    the sign; of a line that is not level, how far along it from the foot of the first letter.
    """

    level: int
    baseline: Baseline
    baseline_mm: float
    datum_mm: float
    letters: tuple[Letter, ...]

    @property
    def is_level(self) -> bool:
        """True where its figures run along the sign's lower edge."""
        return _is_level(self.baseline)

    def letter(self, part: int) -> Letter:
        """One of its letters. Raises NotFound."""
        for letter in self.letters:
            if letter.part == part:
                return letter
        raise NotFound("That part is not in this line: load the sign again.")

    def wanted(self, letter: Letter) -> tuple[float, float]:
        """What a rule must show: its left edge from the sign's left edge, and its foot over the sign's lower edge.

        Of a line that is not level: its left edge along it from the foot of the first letter, and its foot over the line.
        """
        over = self.baseline_mm if self.is_level else 0.0
        return letter.left_mm + self.datum_mm, over - letter.below_mm


def checked_datum(text: str) -> str:
    """One of DATUMS. Raises Refused."""
    if text not in DATUMS:
        raise Refused(
            "Figures run from the left edge or from the centre line: choose one of the two."
        )
    return text


def rows(
    parts: Sequence[PlacedPart],
    sign_width_mm: float,
    datum: str,
    tolerance: Tolerance = Tolerance(),
) -> list[Row]:
    """The lines of one level, the top one first, each letter in reading order.

    Along the lower edge figures run from the sign's left edge or its centre line (`datum`); along any other line always from
    the foot of its first letter.
    """
    lines = _lines(tuple(part.outline for part in parts))
    return [_row(line, parts, sign_width_mm, datum, tolerance) for line in lines]


def row_of(found: Iterable[Row], part: int) -> Row:
    """The line that a part stands in. Raises NotFound."""
    for row in found:
        if any(letter.part == part for letter in row.letters):
            return row
    raise NotFound("That part is in no line of this level: load the sign again.")


@lru_cache(maxsize=64)
def _lines(outlines: tuple[Outline, ...]) -> tuple[Baseline, ...]:
    return tuple(baselines(outlines))  # kept: a level is looked at again after each tap


def _row(
    line: Baseline, parts: Sequence[PlacedPart], width_mm: float, datum: str, tolerance: Tolerance
) -> Row:
    datum_mm = width_mm / 2 if datum == "centre line" and _is_level(line) else 0.0
    mine = [parts[standing.index] for standing in line.members]
    edges = [_along(standing, part.outline, line) for standing, part in zip(line.members, mine)]
    gaps = [other[0] - one[2] for one, other in zip(edges, edges[1:])]
    letters = tuple(
        _letter(standing, part, line, gap, datum_mm, tolerance)
        for standing, part, gap in zip(line.members, mine, [*gaps, None])
    )
    return Row(mine[0].level, line, line.origin[1], datum_mm, letters)


def _letter(
    standing: Standing,
    part: PlacedPart,
    line: Baseline,
    gap: float | None,
    datum_mm: float,
    tolerance: Tolerance,
) -> Letter:
    upright = part.outline if _is_level(line) else part.outline.turned(-standing.turn_deg)
    left, centre, right = _along(standing, part.outline, line)
    return Letter(
        part.id,
        part.number,
        part.name,
        left - datum_mm,
        centre - datum_mm,
        right - datum_mm,
        gap,
        standing.below_mm,
        standing.kind,
        upright.height_mm,
        tolerance.allowed_mm(line.height_mm or upright.height_mm),
    )


def _along(standing: Standing, outline: Outline, line: Baseline) -> tuple[float, float, float]:
    if not _is_level(line):
        return standing.left_mm, standing.centre_mm, standing.right_mm
    left, _, right, _ = outline.bounds  # from the drawing itself: no fit comes between
    return left, (left + right) / 2, right


def _is_level(line: Baseline) -> bool:
    return line.shape == "straight" and abs((line.angle_deg + 180) % 360 - 180) <= LEVEL_DEG


# In words. ------------------------------------------------------------------------------------------------------------


def heading(row: Row, written: Written) -> str:
    """What stands over a line: how high its letters are, and where its baseline runs."""
    high = f"{written(row.baseline.height_mm)} high"
    if row.is_level:
        return f"{high}, baseline {written(row.baseline_mm)} over the lower edge"
    if row.baseline.shape == "arc":
        way = "bulging up" if row.baseline.is_bulging_up else "hanging down"
        return f"{high}, on an arc {way}, radius {written(row.baseline.radius_mm)}"
    return f"{high}, on a line at {(row.baseline.angle_deg + 180) % 360 - 180:.1f}° to the sign's lower edge"


def begins(row: Row, written: Written) -> str:
    """Where the figures of a line that is not level begin and run, in one sentence; '' for a level one."""
    if row.is_level:
        return ""
    x, y = row.baseline.origin
    way = "along the arc" if row.baseline.shape == "arc" else "along the line"
    return (
        f"Figures run {way} from under the left edge of the first letter: that point is {written(x)} from the sign's left edge "
        f"and {written(y)} over its lower edge."
    )


def stands(letter: Letter, fine: Written) -> str:
    """Why a letter's foot is not on the baseline, so that nobody puts it right; '' where it is. `fine`: to a tenth or so."""
    if letter.kind == "round" and letter.below_mm > 0:
        return f"{fine(letter.below_mm)} below the line by design: leave it"
    if letter.kind == "descends":
        return f"goes {fine(letter.below_mm)} below the line"
    if letter.kind == "floats":
        return f"its foot is {fine(-letter.below_mm)} over the line"
    return ""


def measured_from(row: Row, letter: Letter, datum: str) -> tuple[str, str]:
    """What the two distances of a measuring run from, in words: of its left edge, and of its foot (its lowest point)."""
    if not row.is_level:
        way = "arc" if row.baseline.shape == "arc" else "line"
        return (
            f"Left edge, along the {way} from under the first letter's left edge",
            "Foot over the line (below it: minus)",
        )
    if datum == DATUMS[0]:
        return "Left edge from the sign's left edge", "Foot over the sign's lower edge"
    return (
        f"Left edge, {'left' if letter.left_mm < 0 else 'right'} of the centre line",
        "Foot over the sign's lower edge",
    )
