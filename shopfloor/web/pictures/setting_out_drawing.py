"""One line of letters drawn with its running dimensions: the baseline, and the figures of each edge and centre.

Figures of edges are under the baseline, those of centres above the letters; figures that would overlap are spread, each
with a bent leader to its place. A curved line is drawn unrolled. Sizes are pixels, but letters are path data in UNITs.
Must not know Flask or the database.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ...domain.outlines import Outline
from ...domain.setting_out.setting_out import PlacedPart, Row
from ...scenes.numbers import spread
from ...wording.message import Message
from .paths import UNIT, path

TALLEST, LOWEST, WIDE = (
    84.0,
    30.0,
    560.0,
)  # letters at most and at least so high; a short line so long
PITCH, CHARACTER = 20.0, 9.6  # from one figure to the next, and one character along a figure
KNEE, EDGE = 26.0, 14.0  # room for the bent leaders; paper left and right
BREAK = 46.0  # a datum further beside the line is drawn so near, with a break


@dataclass(frozen=True)
class DrawnLetter:
    """`state` is 'right', 'picking' (next), 'open' or 'away' (not in hand); `d` path data; `fill` a colour, the paper's grid or ''."""

    d: str
    state: str
    fill: str


@dataclass(frozen=True)
class DrawnFigure:
    """A figure: its tick is at `x`, its text at `at`. `is_centre`: that of a centre, above the letters."""

    x: float
    at: float
    text: str
    is_centre: bool


@dataclass(frozen=True)
class DrawnDatum:
    """The datum at `x`; `is_cut`: it is further off than drawn; `is_after`: it is right of the line."""

    x: float
    is_cut: bool
    is_after: bool


@dataclass(frozen=True)
class RowDrawing:
    """A line of letters ready to be written as SVG. `top` and `bottom` are where figures begin, above and below the letters;
    `ticks` are the places of letters that are set out, along the line."""

    title: Message
    left: float
    width: float
    height: float
    baseline: float
    line: tuple[float, float]
    top: float
    bottom: float
    knee: float
    unit: float
    letters: tuple[DrawnLetter, ...]
    figures: tuple[DrawnFigure, ...]
    datum: DrawnDatum
    ticks: tuple[float, ...]


def row_drawing(
    row: Row,
    parts: Mapping[int, PlacedPart],
    states: Mapping[int, tuple[str, str]],
    written: Callable[[float], str],
    title: Message,
) -> RowDrawing:
    """Draw a line. `states` is (state, fill) of each part by id; `written` gives a length as text without its unit."""
    start = min(letter.left_mm for letter in row.letters)
    shapes = [
        _upright(row, at, parts[letter.part].outline, start)
        for at, letter in enumerate(row.letters)
    ]
    top, foot = (
        max(0.0, *(shape.bounds[3] for shape in shapes)),
        min(0.0, *(shape.bounds[1] for shape in shapes)),
    )
    end = max(letter.right_mm for letter in row.letters)
    scale = _scale(end - start, top - foot, len(shapes))
    figures = tuple(_figures(row, start, scale, written))
    room = max(len(figure.text) for figure in figures) * CHARACTER + 8
    datum = _datum(start, end, scale)
    xs = [*(figure.at for figure in figures), datum.x, 0.0, (end - start) * scale]
    left, upper = min(xs) - EDGE, room + KNEE
    baseline = upper + top * scale
    bottom = baseline - foot * scale
    return RowDrawing(
        title=title,
        left=round(left, 1),
        width=round(max(xs) + EDGE - left, 1),
        height=round(bottom + KNEE + room, 1),
        baseline=round(baseline, 1),
        line=(round(min(datum.x, 0) - 6, 1), round(max(datum.x, (end - start) * scale) + 6, 1)),
        top=round(upper, 1),
        bottom=round(bottom, 1),
        knee=KNEE,
        unit=1 / UNIT,
        letters=tuple(
            DrawnLetter(path(shape, scale * UNIT, top + upper / scale), *states[letter.part])
            for shape, letter in zip(shapes, row.letters, strict=True)
        ),
        figures=figures,
        datum=datum,
        ticks=tuple(
            round((letter.centre_mm - start) * scale, 1)
            for letter in row.letters
            if states[letter.part][0] == "right"
        ),
    )


def _upright(row: Row, at: int, outline: Outline, start: float) -> Outline:
    """A letter on its line laid level at y = 0, x along it from the first letter's edge."""
    letter, turn = row.letters[at], 0.0 if row.is_level else row.baseline.members[at].turn_deg
    return outline.turned(-turn).at_origin().moved(letter.left_mm - start, -letter.below_mm)


def _scale(length_mm: float, high_mm: float, count: int) -> float:
    """Pixels per mm: letters as high as they may be, the line no longer than its figures need."""
    long = max(WIDE, 2.2 * PITCH * count) / length_mm
    return max(min(TALLEST / high_mm, long), min(LOWEST / high_mm, 2 * long))


def _datum(start: float, end: float, scale: float) -> DrawnDatum:
    """The datum is where figures are 0; it is drawn at most BREAK beside the line."""
    x, last = -start * scale, (end - start) * scale
    if x < -BREAK:
        return DrawnDatum(-BREAK, True, False)
    if x > last + BREAK:
        return DrawnDatum(round(last + BREAK, 1), True, True)
    return DrawnDatum(round(x, 1), False, x > last)


def _figures(
    row: Row, start: float, scale: float, written: Callable[[float], str]
) -> list[DrawnFigure]:
    edges = sorted(mm for letter in row.letters for mm in (letter.left_mm, letter.right_mm))
    centres = sorted(letter.centre_mm for letter in row.letters)
    drawn = []
    for lengths, is_centre in ((edges, False), (centres, True)):
        xs = [(mm - start) * scale for mm in lengths]
        for mm, x, at in zip(lengths, xs, spread(xs, PITCH), strict=True):
            drawn.append(DrawnFigure(round(x, 1), round(at, 1), written(mm), is_centre))
    return drawn
