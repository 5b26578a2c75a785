"""One line of letters drawn with its running dimensions: the baseline, and the figures of each edge and centre.

Edges stand under the baseline, centres over the letters; where figures would lie on each other they are spread, and a bent
leader leads from each to its place. A curved line is drawn unrolled. Sizes are pixels, but letters are path data in UNITs.
Must not know Flask or the database.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ...domain.outlines import Outline
from ...domain.setting_out.setting_out import PlacedPart, Row
from .paths import UNIT, path

TALLEST, LOWEST, WIDE = 84.0, 30.0, 560.0  # of the letters, and of a line that needs no more
PITCH, CHARACTER = 20.0, 9.6  # from one figure to the next, and along a figure
KNEE, EDGE = 26.0, 14.0  # room for the bent leaders; paper left and right
BREAK = 46.0  # how near a datum beside the line is drawn


@dataclass(frozen=True)
class DrawnLetter:
    """`state` is 'right', 'next', 'open' or 'away' (not in hand); `d` path data; `fill` a colour, the paper's grid or ''."""

    d: str
    state: str
    fill: str


@dataclass(frozen=True)
class DrawnFigure:
    """A figure: its tick is at `x`, its text at `at`. `is_centre`: it stands over the letters."""

    x: float
    at: float
    text: str
    is_centre: bool


@dataclass(frozen=True)
class DrawnDatum:
    """Where figures begin: at `x`; `is_cut`: it lies farther off than drawn; `is_after`: it lies right of the line."""

    x: float
    is_cut: bool
    is_after: bool


@dataclass(frozen=True)
class RowDrawing:
    """A line of letters ready to be written as SVG. `top` and `bottom` are where figures begin, over and under the letters;
    `ticks` where a letter sits right, along the line."""

    title: str
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
    title: str,
) -> RowDrawing:
    """A line drawn. `states` is (state, fill) of each part by id; `written` shows a length without its unit."""
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
            for shape, letter in zip(shapes, row.letters)
        ),
        figures=figures,
        datum=datum,
        ticks=tuple(
            round((one.centre_mm - start) * scale, 1)
            for one in row.letters
            if states[one.part][0] == "right"
        ),
    )


def _upright(row: Row, at: int, outline: Outline, start: float) -> Outline:
    """A letter as it stands on its line: the line level at y = 0, x along it from the first letter's edge."""
    letter, turn = row.letters[at], 0.0 if row.is_level else row.baseline.members[at].turn_deg
    return outline.turned(-turn).at_origin().moved(letter.left_mm - start, -letter.below_mm)


def _scale(length_mm: float, high_mm: float, count: int) -> float:
    """Pixels a mm: letters as high as they may be, the line no longer than its figures need."""
    long = max(WIDE, 2.2 * PITCH * count) / length_mm
    return max(min(TALLEST / high_mm, long), min(LOWEST / high_mm, 2 * long))


def _datum(start: float, end: float, scale: float) -> DrawnDatum:
    """The datum is at 0 of the figures; drawn at most BREAK beside the line."""
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
        for mm, x, at in zip(lengths, xs, spread(xs, PITCH)):
            drawn.append(DrawnFigure(round(x, 1), round(at, 1), written(mm), is_centre))
    return drawn


def spread(xs: Sequence[float], pitch: float) -> list[float]:
    """Ascending places no nearer than `pitch`, moved as little as can be (least squares, by pooling neighbours)."""
    pools: list[
        tuple[float, int]
    ] = []  # (sum, how many) of x - place × pitch, whose means must not fall
    for place, x in enumerate(xs):
        pools.append((x - place * pitch, 1))
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1] = (pools[-1][0] + total, pools[-1][1] + count)
    flat = [total / count for total, count in pools for _ in range(count)]
    return [mean + place * pitch for place, mean in enumerate(flat)]
