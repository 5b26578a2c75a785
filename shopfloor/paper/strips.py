"""The tape strip of one line of letters: its upper edge is laid on the baseline, and each letter is set at its marks.

Owns what stands on a strip and where. Must not round (the marks are exact, the figures beside them are for reading), nor
know pages. A strip of a straight line lies level, however the line runs on the sign. Flat paper does not follow a curve in
its own plane: the strip of a curved line is therefore that band of the placement template, drawn as it lies on the sign and
cut out along the curve. Lengths are mm; along the line s counts from the datum, up from the baseline.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from ..domain import lengths, setting_out
from ..domain.full_size import FullSize
from ..domain.outlines import Outline, Point
from ..domain.setting_out import Letter, PlacedPart, Row
from .ink import FINE, GREY, HEAVY, Drawing, Stroke, Words, clipped, extent_of, outline_strokes
from .words import POINT

OVER = 32.0  # so much of the letters is drawn over the baseline of a straight line
UNDER = 3.0  # and under it: what dips is seen, what descends does not run into the figures
EDGE_MARK, CENTRE_MARK, MARK = 8.0, 12.0, 0.35  # lengths of the marks, and how heavy they are
NAME_PT, NAME_UP = 13.0, 6.0  # the name of a letter that is wide enough for it, so high over the baseline
LABELS = 19.0  # under the baseline the figures begin
LABEL_PT, PITCH = 7.0, 3.1  # size of the figures, and from one column of them to the next
LETTER_WIDE = 0.62 * LABEL_PT * POINT  # mm that a letter of that size takes, about
MOST_LABEL = 46.0
LEAST_DIP = 0.2  # mm: what dips less is not seen
SPARE = 12.0  # left and right of what is drawn


@dataclass(frozen=True)
class _Line:
    """How a line lies on the paper: where a place (s, up) of it is, which way it runs there, how its outlines are drawn."""

    row: Row
    place: Callable[[float, float], Point]
    turn: Callable[[float], float]
    outline: Callable[[Outline], Iterator[Stroke]]
    bend: float = 1.0  # how much closer the columns of figures stand than their places on the baseline


@dataclass(frozen=True)
class _Mark:
    """One mark at `s` with what is written beside it."""

    s: float
    long: float
    said: str
    is_bold: bool = False


def strips(sign: FullSize, levels: Sequence[int]) -> list[Drawing]:
    """The strips of all lines of some levels, a drawing each, in reading order."""
    found = [row for row in sign.rows if row.level in levels]
    outlines = {part.id: part for part in sign.parts}
    return [_strip(sign, row, outlines, f"line {n} of {len(found)}") for n, row in enumerate(found, 1)]


def _strip(sign: FullSize, row: Row, parts: dict[int, PlacedPart], which: str) -> Drawing:
    line = _line_of(row)
    marks = list(chain.from_iterable(_marks(sign, letter) for letter in row.letters))
    marks.append(_Mark(0.0, LABELS - 4, f"0 = {_zero(sign, row)}", is_bold=True))
    marks.sort(key=lambda mark: mark.s)
    long = min(MOST_LABEL, max(len(mark.said) for mark in marks) * LETTER_WIDE)
    strokes = [*_drawn(line, marks), *chain.from_iterable(line.outline(parts[one.part].outline) for one in row.letters)]
    words = [*_labels(line, marks, long), *_names(line)]
    reads = "".join(letter.name for letter in row.letters if len(letter.name) == 1)
    title = f"{sign.called}: tape strip, level {row.level}, {which}" + (f", “{reads}”" if reads else "")
    return Drawing(
        title, tuple(strokes), tuple(words), extent_of([*strokes, _rim(line, marks, long)], 1.5), _heading(sign, row),
        _notes(row), "Cut along the heavy line: it lies on the baseline.",
    )  # fmt: skip


def _zero(sign: FullSize, row: Row) -> str:
    if row.is_level:
        return f"{sign.datum} of the sign"
    return "foot of the first letter"


def _heading(sign: FullSize, row: Row) -> str:
    begins = setting_out.begins(row, sign.said)
    return f"Letters {setting_out.heading(row, sign.said)}. Figures in {sign.unit_word}. {begins}".strip()


def _notes(row: Row) -> tuple[str, ...]:
    """How the strip is used."""
    curved = row.baseline.shape == "arc"
    edge = "the cut edge follows the baseline, which is a curve" if curved else "the cut edge lies on the baseline"
    dips = "“dips”: a round letter reaches over the edge by design. Leave it so."
    return (
        f"Cut along the heavy line and tape the strip down under it: {edge}.",
        "Set each letter between its two marks, left and right; the longer mark is its centre. Figures run from 0.",
        *([dips] if any(map(_dips, row.letters)) else ()),
    )


# Where things are. ----------------------------------------------------------------------------------------------------


def _line_of(row: Row) -> _Line:
    base = row.baseline
    if base.shape == "arc":
        deep = LABELS + MOST_LABEL
        bend = max(0.3, 1 - deep / base.radius_mm) if base.is_bulging_up else 1.0
        return _Line(row, base.point_at, lambda s: _turn_at(row, s), lambda one: outline_strokes(one, FINE), bend)
    return _Line(row, lambda s, up: (s, up), lambda s: 0.0, lambda one: _on_the_level(row, one))


def _turn_at(row: Row, s: float) -> float:
    (x1, y1), (x2, y2) = row.baseline.point_at(s - 0.5), row.baseline.point_at(s + 0.5)
    return math.degrees(math.atan2(y2 - y1, x2 - x1))


def _on_the_level(row: Row, outline: Outline) -> Iterator[Stroke]:
    """A letter of a straight line in the line's own frame, as far as the strip shows it."""
    if row.is_level:
        laid = outline.moved(-row.datum_mm, -row.baseline_mm)
    else:
        x, y = row.baseline.origin
        laid = outline.moved(-x, -y).turned(-row.baseline.angle_deg).moved(-row.datum_mm, 0.0)
    left, _, right, _ = laid.bounds
    return clipped(laid.polygon, (left - 1, -UNDER, right + 1, OVER), FINE)


# Marks and figures. ---------------------------------------------------------------------------------------------------


def _marks(sign: FullSize, letter: Letter) -> Iterator[_Mark]:
    named = f"no. {letter.number}" if letter.name in ("", f"no. {letter.number}") else f"{letter.name}  no. {letter.number}"
    dips = f", dips {lengths.fine(letter.below_mm, sign.units)}" if _dips(letter) else ""
    yield _Mark(letter.left_mm, EDGE_MARK, f"left {sign.figure(letter.left_mm)}")
    yield _Mark(letter.centre_mm, CENTRE_MARK, f"centre {sign.figure(letter.centre_mm)}  {named}{dips}", is_bold=True)
    yield _Mark(letter.right_mm, EDGE_MARK, f"right {sign.figure(letter.right_mm)}")


def _dips(letter: Letter) -> bool:
    return letter.kind == "round" and letter.below_mm >= LEAST_DIP


def _drawn(line: _Line, marks: Sequence[_Mark]) -> Iterator[Stroke]:
    """The baseline, the marks, and from each mark a fine line to its figure."""
    yield Stroke(_along(line, marks[0].s - SPARE, marks[-1].s + SPARE), HEAVY)
    for mark, column in zip(marks, _columns(line, marks), strict=True):
        is_zero = mark.said.startswith("0 =")
        top = OVER if is_zero and line.row.baseline.shape != "arc" else 0.0
        yield Stroke((line.place(mark.s, top), line.place(mark.s, -mark.long)), HEAVY if is_zero else MARK)
        way = ((mark.s, -mark.long), (mark.s, -CENTRE_MARK), (column, -LABELS + 0.6))
        yield Stroke([line.place(*spot) for spot in way], FINE, grey=GREY)


def _labels(line: _Line, marks: Sequence[_Mark], long: float) -> Iterator[Words]:
    """Each figure upright to the baseline, read downwards from its mark: a long name is shortened, the figure never."""
    for mark, column in zip(marks, _columns(line, marks), strict=True):
        yield Words(line.place(column, -LABELS), mark.said, LABEL_PT, line.turn(column) - 90, 0.0, mark.is_bold, long + 2)


def _names(line: _Line) -> Iterator[Words]:
    """The names of letters in their feet, for the eye that looks along the strip."""
    for letter in line.row.letters:
        wide = len(letter.name) * 0.9 * NAME_PT * POINT
        if wide < letter.right_mm - letter.left_mm and letter.height_mm > 4 * NAME_UP:
            at = letter.centre_mm
            yield Words(line.place(at, NAME_UP), letter.name, NAME_PT, line.turn(at), is_bold=True)


def _along(line: _Line, begin: float, end: float) -> list[Point]:
    """The baseline from one place to another; of a curve a point each 2 mm, off by 2² / 8R mm:
    0.01 mm at a radius of 50 mm."""
    if line.row.baseline.shape != "arc":
        return [line.place(begin, 0.0), line.place(end, 0.0)]
    count = math.ceil((end - begin) / 2)
    return [line.place(begin + (end - begin) * n / count, 0.0) for n in range(count + 1)]


def _rim(line: _Line, marks: Sequence[_Mark], long: float) -> Stroke:
    """Where the figures end: not drawn, the strip's extent holds it."""
    columns = _columns(line, marks)
    return Stroke([line.place(column, -LABELS - long - 2) for column in columns])


def _columns(line: _Line, marks: Sequence[_Mark]) -> list[float]:
    return spread([mark.s for mark in marks], PITCH / line.bend)


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places as near to the wanted ones as can be (least squares), each at least `pitch` after the one before.

    `wanted` is in order. It is the regression of wanted - n × pitch on an order that does not fall, found by pooling
    neighbours that are out of order (Ayer and others, 1955): as quick as the list is long.
    """
    blocks: list[tuple[float, int]] = []  # (mean, how many)
    for n, place in enumerate(wanted):
        mean, count = place - n * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (mean * count + before * many) / (count + many), count + many
        blocks.append((mean, count))
    level = chain.from_iterable([mean] * count for mean, count in blocks)
    return [mean + n * pitch for n, mean in enumerate(level)]
