"""The pages of a drawing at full size: its sheets with their crosses, edges and test line, and the cover that says how they
are joined.

Owns how a sheet looks. Must not know what is drawn on it, nor choose its window (tiles.py). On the drawing lengths are mm,
y up; on the page mm, y down from its top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import shapely
from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain.lengths import MM_PER_INCH
from ..scenes.full_size import FINE, PLAIN, Drawing, Words
from ..wording import templates as wording
from ..wording.message import text
from .tiles import (
    BESIDE,
    EDGE,
    FOOT,
    GAP,
    NOTE_LINE,
    NOTE_PT,
    Layout,
    Spot,
    Window,
    lines_of,
    note_block,
    notes_of,
)
from .words import (
    BASELINE,
    FIGURE_HEIGHT,
    POINT,
    Box,
    centred,
    fitted,
    line,
    paragraph,
    set_type,
    wrapped,
)

# length in mm, as it is written, divisions
TEST_LINES = {"mm": (100.0, "100 mm", 10), "in": (float(4 * MM_PER_INCH), "4 in", 4)}
TEST_WIDE = 108.0  # room of the test line with what is free beside it
MAP_WIDE, MAP_HIGH = 27.0, 13.0  # of the little map on a sheet
CROSS = 4.0  # length of a cross's arm
CLEAR = 0.8  # mm between a text that is moved and the edge of its room
DESCENT = 0.24  # share of the em that letters reach under the line


@dataclass
class Sheets:
    """One drawing on its sheets, ready to be drawn: `first` is the number of its first sheet, `of` how many there are;
    `day` says when it was printed."""

    drawing: Drawing
    layout: Layout
    first: int
    of: int
    units: str
    day: str = ""
    strokes: dict[int, list[int]] = field(default_factory=dict)  # sheet -> what is drawn on it

    def __post_init__(self) -> None:
        windows = _rectangles([self.layout.window_of(*place) for place in self.layout.kept])
        sheets, lines = shapely.STRtree(lines_of(self.drawing)).query(
            windows, predicate="intersects"
        )
        for sheet, at in sorted(zip(sheets.tolist(), lines.tolist(), strict=True)):
            self.strokes.setdefault(sheet, []).append(at)

    def draw(self, pdf: FPDF) -> None:
        """All its sheets."""
        boxes = [_box_of(pdf, words) for words in self.drawing.words]
        placed = _words_of(self, boxes)
        for sheet, place in enumerate(self.layout.kept):
            pdf.add_page(format=self.layout.page)
            window, visible = self.layout.window_of(*place), self.layout.visible_of(*place)
            self._draw_lines(pdf, sheet, window)
            for at, is_moved in placed.get(sheet, ()):
                _draw_words(
                    pdf, self.drawing.words[at], boxes[at], window, visible if is_moved else None
                )
            if not self.layout.is_whole:
                self._draw_joins(
                    pdf,
                    place,
                    window,
                    [boxes[at].box for at, is_moved in placed.get(sheet, ()) if not is_moved],
                )
            self._draw_foot(pdf, place, self.first + sheet)

    def _draw_lines(self, pdf: FPDF, sheet: int, window: Window) -> None:
        left, bottom, right, top = window
        pdf.set_fill_color(0)
        with pdf.rect_clip(EDGE, EDGE, right - left, top - bottom):
            for at in self.strokes.get(sheet, ()):
                stroke = self.drawing.strokes[at]
                pdf.set_draw_color(stroke.grey)
                pdf.set_line_width(stroke.weight)
                if stroke.dash:
                    pdf.set_dash_pattern(*stroke.dash)
                points = [(EDGE + x - left, EDGE + top - y) for x, y in stroke.points]
                pdf.polyline(points, polygon=stroke.is_closed)
                if stroke.dash:
                    pdf.set_dash_pattern()
        pdf.set_draw_color(0)

    # Joining. ---------------------------------------------------------------------------------------------------------

    def _draw_joins(self, pdf: FPDF, place: Spot, window: Window, texts: Sequence[Window]) -> None:
        """Where the sheet is cut, to where the next one reaches that is glued on it, and the crosses that must meet. No
        line runs through a text."""
        row, column = place
        left, low, right, top = self.layout.visible_of(row, column)
        sides = (
            ((row, column - 1), ((left, window[1]), (left, window[3]))),
            ((row - 1, column), ((window[0], top), (window[2], top))),
            ((row, column + 1), ((right, window[1]), (right, window[3]))),
            ((row + 1, column), ((window[0], low), (window[2], low))),
        )
        free = (
            shapely.union_all(_rectangles(texts)).buffer(0.3)
            if texts
            else shapely.GeometryCollection()
        )
        pdf.set_line_width(FINE)
        for n, (beside, side) in enumerate(sides):
            if not self.layout.has(*beside):
                continue
            if n > 1:
                pdf.set_dash_pattern(1.2, 1.2)
            for piece in shapely.get_parts(shapely.LineString(side).difference(free)):
                (x1, y1), (x2, y2) = (
                    (EDGE + x - window[0], EDGE + window[3] - y) for x, y in piece.coords
                )
                pdf.line(x1, y1, x2, y2)
            pdf.set_dash_pattern()
        for cross in self.layout.crosses_of(row, column):
            x, y = EDGE + cross.x - window[0], EDGE + window[3] - cross.y
            pdf.set_line_width(PLAIN)
            pdf.line(x - CROSS, y, x + CROSS, y)
            pdf.line(x, y - CROSS, x, y + CROSS)
            set_type(pdf, 5)
            pdf.text(x + 0.8, y + 2.3, cross.name)

    # The foot. --------------------------------------------------------------------------------------------------------

    def _draw_foot(self, pdf: FPDF, place: Spot, number: int) -> None:
        wide, high = self.layout.window
        foot = Box(EDGE, EDGE + high + GAP, wide, self.layout.foot - GAP)
        under = draw_test_line(pdf, foot, self.units).below(0.8)
        day = text(wording.printed_on(self.day)) if self.day else ""
        line(pdf, under, ", ".join(words for words in (self.marked, day) if words), 8, is_bold=True)
        words = foot.beside(TEST_WIDE)._replace(w=min(foot.w, BESIDE) - TEST_WIDE - 4)
        if self.layout.is_whole:
            self._draw_words(pdf, words, text(wording.one_sheet(self.first, self.of)))
            if self.layout.is_long:
                _draw_notes(pdf, foot, notes_of(self.drawing))
            return
        row, column = place
        words = words._replace(w=foot.w - TEST_WIDE - MAP_WIDE - 2)
        where = wording.sheet_at(number, self.of, row + 1, column + 1)
        self._draw_words(pdf, words, text(where))
        self.draw_small_map(pdf, Box(foot.right - MAP_WIDE, foot.y + 1, MAP_WIDE, MAP_HIGH), place)

    def _draw_words(self, pdf: FPDF, words: Box, where: str) -> None:
        set_type(pdf, 7, is_bold=True)
        for row in wrapped(pdf, self.drawing.title, words.w)[:3]:
            words = line(pdf, words, row, 7, is_bold=True)
        paragraph(pdf, line(pdf, words, where, 7), self.drawing.reminder, 7)

    @property
    def marked(self) -> str:
        """'mark 3f7a'."""
        return text(wording.mark(self.drawing.mark)) if self.drawing.mark else ""

    def cell(self, wide: float, high: float) -> tuple[float, float]:
        """How large a sheet may be on a map of this size, about in its own shape, mm."""
        shape = min(max(self.layout.window[1] / self.layout.window[0], 0.5), 2.0)
        across = min(wide / self.layout.columns, high / self.layout.rows / shape)
        return across, across * shape

    def draw_small_map(self, pdf: FPDF, box: Box, here: Spot) -> None:
        """The grid of the sheets with this one filled."""
        across, down = self.cell(box.w, box.h)
        pdf.set_line_width(FINE)
        for place in self.layout.places:
            pdf.rect(
                *_on_map(box, place, across, down),
                style=RenderStyle.DF if place == here else RenderStyle.D,
            )

    def draw_map(self, pdf: FPDF, box: Box) -> None:
        """The sheets with their numbers; those that are left out are dotted."""
        across, down = box.w / self.layout.columns, box.h / self.layout.rows
        numbers = {place: self.first + n for n, place in enumerate(self.layout.kept)}
        pdf.set_line_width(FINE)
        for place in self.layout.places:
            cell = _on_map(box, place, across, down)
            if place in numbers:
                pdf.rect(*cell)
                pt = min(9.0, min(cell.w, cell.h) / POINT * 0.42)
                centred(pdf, cell, str(numbers[place]), pt)
            else:
                pdf.set_dash_pattern(0.3, 0.9)
                pdf.rect(*cell)
                pdf.set_dash_pattern()


def _on_map(box: Box, place: Spot, across: float, down: float) -> Box:
    """A sheet on a map whose upper left corner is that of the box."""
    row, column = place
    return Box(box.x + column * across, box.y + row * down, across, down)


# Words at their places. -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Placed:
    """A text made to fit its room, the size of its type and the box (left, bottom, right, top) that it fills."""

    text: str
    pt: float
    wide: float
    box: Window


def _box_of(pdf: FPDF, words: Words) -> _Placed:
    set_type(pdf, words.pt, is_bold=words.is_bold)
    shown = fitted(pdf, words.text, words.room)
    wide, em = pdf.get_string_width(shown), pdf.font_size_pt * POINT
    turn = math.radians(words.turn)
    up, down = FIGURE_HEIGHT * em / 2 + 0.05 * em, -FIGURE_HEIGHT * em / 2 - DESCENT * em
    corners = [
        (along, over)
        for along in (-words.share * wide, (1 - words.share) * wide)
        for over in (up, down)
    ]
    xs = [words.at[0] + along * math.cos(turn) - over * math.sin(turn) for along, over in corners]
    ys = [words.at[1] + along * math.sin(turn) + over * math.cos(turn) for along, over in corners]
    return _Placed(shown, pdf.font_size_pt, wide, (min(xs), min(ys), max(xs), max(ys)))


def _words_of(sheets: Sheets, boxes: Sequence[_Placed]) -> dict[int, list[tuple[int, bool]]]:
    """For each sheet the texts on it, and whether a text is moved.

    A text across a join is on each sheet that shows a part of it, where all of them hold it whole; else it is moved into
    the visible part of the sheet where it is anchored.
    """
    if not boxes:
        return {}
    layout = sheets.layout
    windows = _rectangles([layout.window_of(*spot) for spot in layout.kept])
    tree = shapely.STRtree(_rectangles([layout.visible_of(*spot) for spot in layout.kept]))
    areas = _rectangles([placed.box for placed in boxes])
    shown: set[int] = set()
    lost: set[int] = set()
    found: dict[int, list[tuple[int, bool]]] = {}
    pairs = list(zip(*tree.query(areas, predicate="intersects").tolist(), strict=True))
    for at, sheet in pairs:
        (shown if windows[sheet].covers(areas[at]) else lost).add(at)
    for at, sheet in pairs:
        if at not in lost:
            found.setdefault(sheet, []).append((at, False))
    rest = [at for at in range(len(boxes)) if at in lost or at not in shown]
    anchors = shapely.points([sheets.drawing.words[at].at for at in rest] or np.empty((0, 2)))
    for at, sheet in zip(rest, tree.nearest(anchors).tolist(), strict=True):
        found.setdefault(sheet, []).append((at, True))
    return found


def _rectangles(sides: Sequence[Window]) -> npt.NDArray[np.object_]:
    boxes: npt.NDArray[np.object_] = shapely.box(*zip(*sides, strict=True))
    return boxes


def _draw_words(
    pdf: FPDF, words: Words, placed: _Placed, window: Window, room: Window | None
) -> None:
    """A text on a sheet; where it has a `room` it is moved just far enough to be inside it."""
    left, bottom, right, top = placed.box
    across = up = 0.0
    if room:
        across = max(room[0] + CLEAR - left, 0.0) + min(room[2] - CLEAR - right, 0.0)
        up = max(room[1] + CLEAR - bottom, 0.0) + min(room[3] - CLEAR - top, 0.0)
    x, y = EDGE + words.at[0] + across - window[0], EDGE + window[3] - words.at[1] - up
    set_type(pdf, placed.pt, is_bold=words.is_bold)
    begin, foot = x - words.share * placed.wide, y + FIGURE_HEIGHT * placed.pt * POINT / 2
    if words.turn % 360 == 0:
        pdf.text(begin, foot, placed.text)
        return
    with pdf.rotation(words.turn, x, y):
        pdf.text(begin, foot, placed.text)


# The test line and the notes. -----------------------------------------------------------------------------------------


def draw_test_line(pdf: FPDF, box: Box, units: str) -> Box:
    """A line of 100 mm or 4 in at the upper left of a box, with what it is for; gives what is free under it."""
    long, length, parts = TEST_LINES[units]
    y = box.y + 2.5
    pdf.set_draw_color(0)
    pdf.set_line_width(PLAIN)
    pdf.line(box.x, y, box.x + long, y)
    for n in range(parts + 1):
        tick = 2.0 if n in (0, parts) else 1.0
        pdf.line(box.x + long * n / parts, y - tick, box.x + long * n / parts, y + tick)
    words = Box(box.x, y + 2.4, TEST_WIDE - 6, box.h - 4.9)
    words = line(pdf, words, text(wording.test_line(length)), 6.5, is_bold=True)
    return line(pdf, words, text(wording.test_line_fails()), 6.5, is_bold=True)


def _draw_notes(pdf: FPDF, foot: Box, notes: Sequence[str]) -> None:
    """The notes of a long page in columns."""
    block = note_block(notes, foot.w)
    box = foot.beside(BESIDE) if block.is_beside else foot.below(FOOT + 1)
    set_type(pdf, NOTE_PT)
    rows = [row for note in notes for row in wrapped(pdf, note, block.wide - 5)]
    for n, row in enumerate(rows):
        x, y = box.x + n // block.lines * block.wide, box.y + n % block.lines * NOTE_LINE
        pdf.text(x, y + BASELINE * NOTE_PT * POINT, row)


# The cover. -----------------------------------------------------------------------------------------------------------

MOST_CELL = 15.0  # mm of a sheet on the map


def draw_cover(
    pdf: FPDF,
    page: tuple[float, float],
    title: str,
    notes: Sequence[tuple[str, bool]],
    sheets: Sequence[Sheets],
) -> None:
    """The page, or pages, before the sheets: how they are used and put together, and the maps of all drawings.

    A note that is True is in bold.
    """
    pdf.add_page(format=page)
    frame = Box(EDGE, EDGE, page[0] - 2 * EDGE, page[1] - 2 * EDGE)
    rest = line(pdf, frame, title, 16, is_bold=True)
    if sheets[0].day:
        rest = line(pdf, rest, text(wording.printed_on_cover(sheets[0].day)), 11, is_bold=True)
    draw_test_line(pdf, rest.below(4), sheets[0].units)
    rest = rest.below(19)
    for note, is_bold in notes:
        rest = paragraph(pdf, rest, note, 9.5, is_bold=is_bold).below(1.5)
    for group in sheets:
        rest = _draw_map(pdf, page, frame, rest.below(3), group)


def _draw_map(pdf: FPDF, page: tuple[float, float], frame: Box, rest: Box, group: Sheets) -> Box:
    layout, drawing = group.layout, group.drawing
    across, down = group.cell(
        min(frame.w, MOST_CELL * layout.columns), min(frame.h - 20, MOST_CELL * layout.rows)
    )
    high = down * layout.rows
    if rest.h < high + 16:
        pdf.add_page(format=page)
        rest = frame
    sheets = wording.sheets(group.first, group.first + len(layout.kept) - 1)
    heading = wording.map_of_sheets(drawing.title, sheets, drawing.mark, layout.left_out)
    rest = line(pdf, rest, text(heading), 9, is_bold=True)
    if drawing.heading:
        rest = line(pdf, rest, drawing.heading, 9)
    pdf.set_draw_color(0)
    group.draw_map(pdf, Box(rest.x, rest.y + 1, across * layout.columns, high))
    return rest.below(high + 3)
