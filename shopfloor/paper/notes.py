"""The notes beside a drawing: headings, captioned rows, sentences, a map of the vacuum zones, a legend; set into columns.

Owns how tall each is and how they flow. Lengths are mm on the page, y down; type is in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import box as rectangle

from ..domain.holding.holding import HOLDS, NEEDS_MORE, WITH_ONION_SKIN
from ..domain.outlines import Outline
from ..domain.routing.setup_sheets import TabOnSheet
from ..scenes.nest import NestedPiece, hold_marks, weight_of
from ..scenes.scene import Scene, Shape, sheet_of_paper
from ..wording import paper as wording
from ..wording.message import text
from .pdf import FINE, View, draw_sample
from .words import FIGURE_HEIGHT, LINE, POINT, Box, line, set_type, wrapped

CAPTION_SHARE = 0.84  # size of a caption against the text beside it
CAPTION_EMS = 5.2  # width of the captions' column
# mm: the sheet's edge on the map of the zones, and the white under it that keeps it apart from black
EDGE, CASING = 0.5, 1.2
HOLD_DOWNS = ("full", "skin", "tabs", "tape")
VERDICTS = (HOLDS, WITH_ONION_SKIN, NEEDS_MORE)
HELD_SHARE = 0.45  # of the legend's width: the hold-downs at its left


class Note(Protocol):
    """Something that takes its place in a column."""

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""


@dataclass(frozen=True)
class Heading:
    """A few words in bold over a rule."""

    text: str
    pt: float

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes."""
        return (LINE + 0.8) * self.pt * POINT

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""
        rest = line(pdf, box.below(0.35 * self.pt * POINT), self.text, self.pt, is_bold=True)
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(box.x, rest.y, box.right, rest.y)


@dataclass(frozen=True)
class Row:
    """A caption and what it is, in as many lines as it needs. Without a caption it takes the whole width."""

    caption: str
    text: str
    pt: float
    is_bold: bool = False

    def _lines(self, pdf: FPDF, width: float) -> list[str]:
        set_type(pdf, self.pt, is_bold=self.is_bold)
        return wrapped(pdf, self.text, width - self._indent)

    @property
    def _indent(self) -> float:
        return CAPTION_EMS * self.pt * POINT if self.caption else 0.0

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        return (LINE * len(self._lines(pdf, width)) + 0.22) * self.pt * POINT

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""
        lines = self._lines(pdf, box.w)
        caption = box._replace(w=self._indent - 0.8)
        if self.caption:
            line(pdf, caption, self.caption, CAPTION_SHARE * self.pt, line_pt=self.pt)
        rest = box.beside(self._indent)._replace(h=self.height(pdf, box.w) + 1)
        for row in lines:
            rest = line(pdf, rest, row, self.pt, is_bold=self.is_bold)


@dataclass(frozen=True)
class Sentence:
    """A sentence with a mark before it."""

    text: str
    pt: float

    @property
    def _row(self) -> Row:
        return Row("", self.text, self.pt)

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        return self._row.height(pdf, width - self.pt * POINT)

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""
        em = self.pt * POINT
        pdf.set_fill_color(0)
        pdf.rect(box.x, box.y + 0.3 * em, 0.45 * em, 0.45 * em, style=RenderStyle.F)
        self._row.draw(pdf, box.beside(em))


@dataclass(frozen=True)
class ZoneMap:
    """Which zones to open, in words and on a map of the table: the open ones black, the sheet in a heavy line that spares
    the figures. `sheet` are shares of the table's sides."""

    text: str
    pump: str
    grid: tuple[int, int]
    is_open: frozenset[int]
    table: tuple[float, float]
    sheet: tuple[float, float]
    pt: float

    @property
    def _map(self) -> tuple[float, float]:
        em = self.pt * POINT
        wide = min(8.6 * em, 5.5 * em * self.table[0] / self.table[1])
        return wide, wide * self.table[1] / self.table[0]

    @property
    def _rows(self) -> tuple[Row, Row]:
        return Row("", self.text, self.pt * 1.2, is_bold=True), Row("", self.pump, self.pt)

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        room = width - self._map[0] - self.pt * POINT
        return max(self._map[1] + 1.2, sum(row.height(pdf, room) for row in self._rows)) + 1.2

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box: the words at the left, the map at the right."""
        wide, high = self._map
        words = box._replace(w=box.w - wide - self.pt * POINT)
        for row in self._rows:
            row.draw(pdf, words.below(0.6))
            words = words.below(row.height(pdf, words.w))
        self._draw_map(pdf, Box(box.right - wide - CASING / 2, box.y + 1.2, wide, high))

    def _draw_map(self, pdf: FPDF, table: Box) -> None:
        along, across = (min(share, 1.0) for share in self.sheet)
        sheet = Box(table.x, table.bottom - table.h * across, table.w * along, table.h * across)
        zones = [
            (number, self._zone(table, number))
            for number in range(1, self.grid[0] * self.grid[1] + 1)
        ]
        for number, zone in zones:
            _draw_zone(pdf, zone, is_open=number in self.is_open)
        for width, grey in ((CASING, 255), (EDGE, 0)):
            pdf.set_line_width(width)
            pdf.set_draw_color(grey)
            pdf.rect(*sheet)
        for number, zone in zones:
            self._draw_number(pdf, _clear_of(sheet, zone), number)

    def _zone(self, table: Box, number: int) -> Box:
        row, column = divmod(number - 1, self.grid[0])
        wide, high = table.w / self.grid[0], table.h / self.grid[1]
        return Box(table.x + column * wide, table.bottom - (row + 1) * high, wide, high)

    def _draw_number(self, pdf: FPDF, room: Box, number: int) -> None:
        is_open, figures = number in self.is_open, str(number)
        set_type(pdf, min(self.pt * 1.1, 0.8 * room.h / POINT), is_bold=is_open)
        wide = pdf.get_string_width(figures)
        pdf.set_font_size(pdf.font_size_pt * min(1.0, 0.7 * room.w / wide))
        pdf.set_text_color(255 if is_open else 90)
        pdf.text(
            room.x + (room.w - pdf.get_string_width(figures)) / 2,
            room.y + (room.h + FIGURE_HEIGHT * pdf.font_size) / 2,
            figures,
        )
        pdf.set_text_color(0)


def _draw_zone(pdf: FPDF, zone: Box, *, is_open: bool) -> None:
    """Its border, and where it is open black within it, so that neighbours stay apart."""
    pdf.set_draw_color(0)
    pdf.set_line_width(FINE)
    pdf.rect(*zone)
    if is_open:
        pdf.set_fill_color(0)
        pdf.rect(*zone.inside(0.3, 0.3), style=RenderStyle.F)


def _clear_of(sheet: Box, zone: Box) -> Box:
    """The largest part of a zone that no edge of the sheet crosses: there its figure goes."""
    left, right = _longest(zone.x, zone.right, (sheet.x, sheet.right))
    top, bottom = _longest(zone.y, zone.bottom, (sheet.y, sheet.bottom))
    return Box(left, top, right - left, bottom - top)


def _longest(start: float, end: float, edges: tuple[float, float]) -> tuple[float, float]:
    """The longest stretch from start to end that is clear of the edges and the white beside them."""
    cuts = [edge for edge in edges if start - CASING / 2 < edge < end + CASING / 2]
    begins = [start, *(edge + CASING / 2 for edge in cuts)]
    ends = [*(edge - CASING / 2 for edge in cuts), end]
    return max(zip(begins, ends, strict=True), key=lambda stretch: stretch[1] - stretch[0])


@dataclass(frozen=True)
class Legend:
    """What the lines of the drawing mean: the hold-down at the left, what the vacuum alone does at the right."""

    pt: float

    @property
    def _step(self) -> float:
        return 1.42 * self.pt * POINT

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes."""
        return 5 * self._step + 1.4

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""
        held = box.w * HELD_SHARE
        for left, part in ((box.x, "held"), (box.x + held, "vacuum")):
            title = text(wording.legend(part))
            line(pdf, Box(left, box.y + 1, held - 1, self._step), title, self.pt, is_bold=True)
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(box.x, box.y + 0.6 + self._step, box.right, box.y + 0.6 + self._step)
        samples = [(box.x, way, HOLDS, wording.hold_down(way)) for way in HOLD_DOWNS]
        samples += [
            (box.x + held, "full", verdict, wording.legend(verdict)) for verdict in VERDICTS
        ]
        for at, (left, way, verdict, words) in enumerate(samples):
            row = at % len(HOLD_DOWNS) + 1
            # the last has no neighbour
            right = box.x + held - 1 if left == box.x and row <= len(VERDICTS) else box.right
            place = Box(left, box.y + 1.2 + row * self._step, right - left, self._step)
            self._draw_sample(pdf, place, way, verdict, text(words))

    def _draw_sample(self, pdf: FPDF, box: Box, way: str, verdict: str, words: str) -> None:
        wide, high = 2.6 * self.pt * POINT, self._step - 1.2
        outline = Outline.of_polygon(rectangle(0, 0, wide, high))
        tabs = (
            (TabOnSheet(wide * 0.3, high, 0.0), TabOnSheet(wide * 0.7, 0.0, 0.0))
            if way == "tabs"
            else ()
        )
        piece = NestedPiece(Shape("", 0, "", outline, weight=weight_of(verdict)), way, tabs)
        marks = tuple(hold_marks(piece, 0.8, sheet_of_paper(1.0)))
        scene = Scene(wide, high, (piece.shape,), holds=marks)
        draw_sample(pdf, scene, View(1.0, box.x + 0.6, box.y + 0.2 + high))
        line(pdf, box.beside(wide + 2.2), words, self.pt)


def flow(
    pdf: FPDF, notes: Sequence[Note], columns: Sequence[Box]
) -> tuple[list[tuple[Note, Box]], list[Note]]:
    """Where each note goes, column by column, and those without room. A heading stays with what follows it."""
    placed, rest = [], list(notes)
    for column in columns:
        free = column
        while rest:
            needed = sum(
                note.height(pdf, column.w)
                for note in rest[: 2 if isinstance(rest[0], Heading) else 1]
            )
            if needed > free.h:
                break
            note = rest.pop(0)
            placed.append((note, free))
            free = free.below(note.height(pdf, column.w))
    return placed, rest
