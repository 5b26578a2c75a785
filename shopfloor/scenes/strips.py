"""The tape strip of one line of letters: its upper edge is laid on the baseline, and each letter is set at its marks.

Owns what is on a strip and where. Must not round (the marks are exact, the figures beside them are for reading), nor
know pages. A strip of a straight line lies level, however the line runs on the sign. Flat paper does not follow a curve in
its own plane: the strip of a curved line is therefore that band of the placement template, drawn as it is on the sign and
cut out along the curve. Lengths are mm; along the line s counts from the datum, up from the baseline.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from ..domain.outlines import Outline, Point
from ..domain.setting_out import setting_out
from ..domain.setting_out.full_size import FullSize
from ..domain.setting_out.setting_out import Letter, PlacedPart, Row
from ..wording import templates as wording
from ..wording.message import Message, joined, text
from .full_size import (
    FINE,
    GREY,
    HEAVY,
    Drawing,
    Stroke,
    Words,
    clipped,
    extent_of,
    outline_strokes,
)
from .numbers import spread
from .scene import FIGURE_HEIGHT, POINT

OVER = 26.0  # so much of the letters is drawn over the baseline of a straight line
UNDER = 3.0  # and under it: what dips is seen, what descends does not run into the figures
HEAD = 16.0  # over that, three lines of words: from where figures run, how high the baseline is, where 0 is
HEAD_PT, HEAD_WIDE = 9.0, 100.0  # their size, and what they take: a strip is at least so long
EDGE_MARK, CENTRE_MARK, MARK = 8.0, 12.0, 0.35  # lengths of the marks, and how heavy they are
# points of a name in its letter's foot, and how high over the baseline
LEAST_NAME, MOST_NAME, NAME_UP = 9.0, 20.0, 7.0
LABELS = 19.0  # under the baseline the figures begin
# points of the figures: 3.5 mm high where there is room
SIZES = (3.5 / (FIGURE_HEIGHT * POINT), 12.0, 10.5, 9.0, 8.0, 7.0)
MOST_ASIDE = 15.0  # mm that a figure may be beside its mark to be larger
# size of the names under the figures: a share of theirs, and points at least
CALLED_SHARE, CALLED_LEAST = 0.8, 7.0
LETTER_WIDE = 0.62 * POINT  # mm that a letter takes for each point of its size, about
MOST_LABEL, MOST_CALLED = 54.0, 46.0
LEAST_DIP = 0.2  # mm: what dips less is not seen
SPARE = 12.0  # left and right of what is drawn


@dataclass(frozen=True)
class _Line:
    """How a line lies on the paper: where a place (s, up) of it is, which way it runs there, how its outlines are drawn."""

    row: Row
    place: Callable[[float, float], Point]
    turn: Callable[[float], float]
    outline: Callable[[Outline], Iterator[Stroke]]

    @property
    def is_curved(self) -> bool:
        """It is drawn as it lies on the sign, not level."""
        return self.row.baseline.shape == "arc"


@dataclass(frozen=True)
class _Mark:
    """One mark at `s` with the figure beside it, and what is `called` so. It reaches `long` mm under the baseline."""

    s: float
    long: float
    figure: str
    called: str = ""
    is_zero: bool = False


@dataclass(frozen=True)
class _Figures:
    """How the figures of a line are set: their size in points, for each mark its column's place on the line; how long the
    figures are, and the names under them, mm."""

    pt: float
    columns: tuple[float, ...]
    long: float
    called_long: float

    @property
    def called_pt(self) -> float:
        """The size of the names, points."""
        return max(CALLED_LEAST, CALLED_SHARE * self.pt)

    @property
    def ends(self) -> float:
        """So far under the baseline they reach, mm."""
        return LABELS + self.long + self.called_long


def strips(sign: FullSize, levels: Sequence[int]) -> list[Drawing]:
    """The strips of all lines of some levels, a drawing each, in reading order."""
    outlines = {part.id: part for part in sign.parts}
    return [strip for level in levels for strip in _of_level(sign, level, outlines)]


def _of_level(sign: FullSize, level: int, parts: dict[int, PlacedPart]) -> Iterator[Drawing]:
    rows = [row for row in sign.rows if row.level == level]
    mark = sign.marks("strip", level)[level]
    for n, row in enumerate(rows, 1):
        letters = "".join(letter.name for letter in row.letters if len(letter.name) == 1)
        title = wording.strip_title(sign.called, level, n, len(rows), letters)
        yield replace(_strip(sign, row, parts), title=text(title), mark=mark)


def _strip(sign: FullSize, row: Row, parts: dict[int, PlacedPart]) -> Drawing:
    line, reader = _line_of(row), sign.reader
    marks = [
        *_zero_marks(sign, line),
        *chain.from_iterable(_marks(sign, letter) for letter in row.letters),
    ]
    marks.sort(key=lambda mark: mark.s)
    figures = _figures(row, marks)
    strokes = [
        *_drawn(line, marks, figures),
        *chain.from_iterable(line.outline(parts[letter.part].outline) for letter in row.letters),
    ]
    words = [*_labels(line, marks, figures), *_names(line), *_head(sign, line, marks)]
    zero, is_along = _zero(sign, row), not row.is_level
    height = wording.baseline_height(row.baseline_mm, is_along)
    begins = setting_out.figures_begin(row)
    heading = wording.strip_heading(setting_out.heading(row), sign.units, zero, is_along)
    return Drawing(
        "",
        tuple(strokes),
        tuple(words),
        extent_of([*strokes, *_rim(line, marks, figures)], 1.5),
        text(joined([heading, begins]), reader),
        "",
        tuple(text(note, reader) for note in _notes(row)),
        text(wording.strip_reminder(zero, is_along, height), reader),
    )


def _zero(sign: FullSize, row: Row) -> Message:
    """The place of 0: 'centre line of the sign', 'foot of “H” (no. 3)'."""
    return wording.zero_on_sign(sign.datum) if row.is_level else wording.zero_at_foot(_first(row))


def _first(row: Row) -> Message:
    """A line's first letter: '“H” (no. 3)'."""
    first = row.letters[0]
    if _has_name(first):
        return wording.letter(first.name, first.number)
    return wording.numbered(first.number)


def _has_name(part: Letter | PlacedPart) -> bool:
    return part.name not in ("", f"no. {part.number}")


def _notes(row: Row) -> Iterator[Message]:
    """How the strip is used."""
    yield wording.strip_use(row.baseline.shape == "arc")
    yield wording.strip_marks_use()
    if any(map(_dips, row.letters)):
        yield wording.strip_dips_use()


# Where things are. ----------------------------------------------------------------------------------------------------


def _line_of(row: Row) -> _Line:
    base = row.baseline
    if base.shape == "arc":
        return _Line(
            row, base.point_at, lambda s: _turn_at(row, s), lambda one: outline_strokes(one, FINE)
        )
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
    def edge(side: str, mm: float) -> str:
        return text(wording.edge_mark(side, mm), sign.reader)

    name = (
        wording.named(letter.name, letter.number)
        if _has_name(letter)
        else wording.numbered(letter.number)
    )
    if _dips(letter):
        name = wording.dips(name, letter.below_mm)
    yield _Mark(letter.left_mm, EDGE_MARK, edge("left", letter.left_mm))
    yield _Mark(
        letter.centre_mm, CENTRE_MARK, edge("centre", letter.centre_mm), text(name, sign.reader)
    )
    yield _Mark(letter.right_mm, EDGE_MARK, edge("right", letter.right_mm))


def _zero_marks(sign: FullSize, line: _Line) -> Iterator[_Mark]:
    """The mark of 0. Over a curve there is no room for words: they are in columns, at the line's left end."""
    columns: list[tuple[Message | str, Message | str]] = [("0", "")]
    if line.is_curved:
        columns = [
            (wording.curve_baseline(), wording.over_lower_edge(line.row.baseline_mm)),
            (wording.curve_figures(), wording.along_the_line()),
            (wording.curve_zero(), _first(line.row)),
        ]
    for figure, called in columns:
        words = text(figure, sign.reader), text(called, sign.reader)
        yield _Mark(0.0, LABELS - 4, *words, is_zero=True)


def _figures(row: Row, marks: Sequence[_Mark]) -> _Figures:
    """The figures as large as they may be while none is far from its mark."""
    places = [mark.s for mark in marks]
    for pt in SIZES:
        long, called = (
            min(most, max(map(len, texts)) * LETTER_WIDE * size + 1.5)
            for texts, most, size in (
                ([mark.figure for mark in marks], MOST_LABEL, pt),
                (
                    [mark.called for mark in marks],
                    MOST_CALLED,
                    max(CALLED_LEAST, CALLED_SHARE * pt),
                ),
            )
        )
        found = _Figures(
            pt, tuple(spread(places, _pitch(pt) / _bend(row, LABELS + long + called))), long, called
        )
        if all(
            abs(column - place) <= MOST_ASIDE
            for column, place in zip(found.columns, places, strict=True)
        ):
            break
    return found


def _pitch(pt: float) -> float:
    """From one column of figures to the next, mm: what a line takes from its top to its descenders, and a little."""
    return 1.05 * pt * POINT + 0.5


def _bend(row: Row, deep: float) -> float:
    """How much closer columns are `deep` under the baseline than on it: on the inside of a curve they run together."""
    base = row.baseline
    return (
        max(0.3, 1 - deep / base.radius_mm) if base.shape == "arc" and base.is_bulging_up else 1.0
    )


def _dips(letter: Letter) -> bool:
    return letter.kind == "round" and letter.below_mm >= LEAST_DIP


def _drawn(line: _Line, marks: Sequence[_Mark], figures: _Figures) -> Iterator[Stroke]:
    """The baseline, the marks, and from each mark a fine line to its figure."""
    yield Stroke(_along(line, marks[0].s - SPARE, marks[-1].s + SPARE), HEAVY)
    for mark, column in zip(marks, figures.columns, strict=True):
        top = OVER + 2 if mark.is_zero and not line.is_curved else 0.0
        yield Stroke(
            (line.place(mark.s, top), line.place(mark.s, -mark.long)),
            HEAVY if mark.is_zero else MARK,
        )
        way = ((mark.s, -mark.long), (mark.s, -CENTRE_MARK), (column, -LABELS + 0.6))
        yield Stroke([line.place(*spot) for spot in way], FINE, grey=GREY)


def _labels(line: _Line, marks: Sequence[_Mark], figures: _Figures) -> Iterator[Words]:
    """Each figure upright to the baseline, read downwards from its mark, and under it the name: a long name is shortened,
    the figure never."""
    under = -LABELS - figures.long
    for mark, column in zip(marks, figures.columns, strict=True):
        turn, is_bold = line.turn(column) - 90, bool(mark.called) or mark.is_zero
        yield Words(
            line.place(column, -LABELS),
            mark.figure,
            figures.pt,
            turn,
            0.0,
            is_bold,
            figures.long - 1,
        )
        if mark.called:
            yield Words(
                line.place(column, under),
                mark.called,
                figures.called_pt,
                turn,
                0.0,
                True,
                figures.called_long,
            )


def _names(line: _Line) -> Iterator[Words]:
    """The names of letters in their feet, for the eye that looks along the strip."""
    for letter in line.row.letters:
        pt = min(
            MOST_NAME, (letter.right_mm - letter.left_mm) / (max(1, len(letter.name)) * 0.9 * POINT)
        )
        if pt >= LEAST_NAME and letter.height_mm > 4 * NAME_UP:
            at = letter.centre_mm
            yield Words(line.place(at, NAME_UP), letter.name, pt, line.turn(at), is_bold=True)


def _head(sign: FullSize, line: _Line, marks: Sequence[_Mark]) -> Iterator[Words]:
    """At the left end over the letters of a straight line: from where its figures run; at 0 what 0 is."""
    if line.is_curved:
        return
    left, row = marks[0].s - SPARE, line.row
    zero = _zero(sign, row)
    for at, message, share in (
        ((left, OVER + 13.5), wording.figures_from(zero, not row.is_level), 0.0),
        ((left, OVER + 9.0), wording.baseline_height(row.baseline_mm, not row.is_level), 0.0),
        ((0.0, OVER + 4.5), wording.zero_is(zero), 0.5),
    ):
        words = text(message, sign.reader)
        yield Words(at, words, HEAD_PT, share=share, is_bold=True, room=HEAD_WIDE)


def _along(line: _Line, begin: float, end: float) -> list[Point]:
    """The baseline from one place to another; of a curve a point each 2 mm, off by 2² / 8R mm:
    0.01 mm at a radius of 50 mm."""
    if not line.is_curved:
        return [line.place(begin, 0.0), line.place(end, 0.0)]
    count = math.ceil((end - begin) / 2)
    return [line.place(begin + (end - begin) * n / count, 0.0) for n in range(count + 1)]


def _rim(line: _Line, marks: Sequence[_Mark], figures: _Figures) -> Iterator[Stroke]:
    """Where the figures and the words over the letters end: not drawn, the strip's extent holds it."""
    yield Stroke([line.place(column, -figures.ends) for column in figures.columns])
    if not line.is_curved:
        left = marks[0].s - SPARE
        yield Stroke(((left, OVER + HEAD), (left + HEAD_WIDE, OVER + HEAD)))
