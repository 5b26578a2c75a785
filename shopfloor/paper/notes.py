"""The notes beside a drawing: headings, captioned rows, sentences, a map of the vacuum zones, a legend; set into columns.

Owns how tall each is and how they flow. Lengths are mm on the page, y down; type is in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
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
from .words import LINE, POINT, Box, centred, line, paragraph

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
    """A caption and what it is, in as many lines as it needs, `indent` ems to the right. Without a caption it takes the whole
    width."""

    caption: str
    text: str
    pt: float
    is_bold: bool = False
    indent: float = CAPTION_EMS
    # by width: breaking text into lines is slow, and each layout of a page asks again
    _heights: dict[float, float] = field(default_factory=dict, compare=False)

    def _set(self, pdf: FPDF, box: Box, *, is_drawn: bool) -> Box:
        words = box.beside(self.indent * self.pt * POINT if self.caption else 0.0)
        return paragraph(pdf, words, self.text, self.pt, is_bold=self.is_bold, is_drawn=is_drawn)

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        if width not in self._heights:
            words = self._set(pdf, Box(0, 0, width, 0), is_drawn=False)
            self._heights[width] = words.y + 0.22 * self.pt * POINT
        return self._heights[width]

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draw it at the top of the box."""
        caption = box._replace(w=self.indent * self.pt * POINT - 0.8)
        if self.caption:
            line(pdf, caption, self.caption, CAPTION_SHARE * self.pt, line_pt=self.pt)
        self._set(pdf, box, is_drawn=True)


def sentence(text: str, pt: float) -> Row:
    """A sentence with a mark before it."""
    return Row("■", text, pt, indent=1.2)


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

    @cached_property
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
        wide, high = table.w / self.grid[0], table.h / self.grid[1]
        places = ((row, column) for row in range(self.grid[1]) for column in range(self.grid[0]))
        zones = [
            (number, Box(table.x + column * wide, table.bottom - (row + 1) * high, wide, high))
            for number, (row, column) in enumerate(places, 1)
        ]
        for number, zone in zones:
            _draw_zone(pdf, zone, is_open=number in self.is_open)
        for width, grey in ((CASING, 255), (EDGE, 0)):
            pdf.set_line_width(width)
            pdf.set_draw_color(grey)
            pdf.rect(*sheet)
        for number, zone in zones:
            self._draw_number(pdf, _clear_of(sheet, zone), number)

    def _draw_number(self, pdf: FPDF, room: Box, number: int) -> None:
        is_open, pt = number in self.is_open, min(self.pt * 1.1, 0.8 * room.h / POINT)
        pdf.set_text_color(255 if is_open else 90)
        centred(pdf, room.inside(0.15 * room.w, 0), str(number), pt, is_bold=is_open)
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
        ways = [(way, HOLDS, wording.hold_down(way)) for way in HOLD_DOWNS]
        verdicts = [("full", verdict, wording.legend(verdict)) for verdict in VERDICTS]
        for column, part, samples in zip(
            box.columns(HELD_SHARE, 1 - HELD_SHARE),
            ("held", "vacuum"),
            (ways, verdicts),
            strict=True,
        ):
            title = column.below(1)._replace(w=column.w - 1)
            line(pdf, title, text(wording.legend(part)), self.pt, is_bold=True)
            for row, (way, verdict, words) in enumerate(samples, 1):
                # the last has no neighbour
                wide = column.w - 1 if row <= len(VERDICTS) else box.w
                place = Box(column.x, box.y + 1.2 + row * self._step, wide, self._step)
                self._draw_sample(pdf, place, way, verdict, text(words))
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(box.x, box.y + 0.6 + self._step, box.right, box.y + 0.6 + self._step)

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
            kept = rest[: 2 if isinstance(rest[0], Heading) else 1]
            heights = [note.height(pdf, free.w) for note in kept]
            if sum(heights) > free.h:
                break
            placed.append((rest.pop(0), free))
            free = free.below(heights[0])
    return placed, rest
