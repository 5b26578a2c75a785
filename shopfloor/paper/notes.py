"""The notes beside a drawing: headings, captioned rows, sentences, a map of the vacuum zones, a legend; set into columns.

Owns how tall each is and how they flow. Must not know what is said. Lengths are mm on the page, y down; type is in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from fpdf import FPDF
from fpdf.enums import RenderStyle
from shapely import Polygon

from ..domain.holding import HOLDS, NEEDS_MORE, WITH_A_SKIN
from .nest_drawing import FINE, DrawnPiece, draw_piece
from .words import FIGURE_HEIGHT, LINE, POINT, Box, line, set_type, wrapped

CAPTION_SHARE = 0.84  # size of a caption against what it stands beside
CAPTION_EMS = 5.2  # width of the captions' column
WAY_NAMES = (("full", "full pass"), ("skin", "skin pass"), ("tabs", "with tabs"), ("tape", "on tape"))
VERDICT_NAMES = ((HOLDS, "holds"), (WITH_A_SKIN, "with a skin"), (NEEDS_MORE, "tabs or tape"))


class Note(Protocol):
    """Something that takes its place in a column."""

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box."""


@dataclass(frozen=True)
class Heading:
    """A few words in bold over a rule."""

    said: str
    pt: float

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes."""
        return (LINE + 0.95) * self.pt * POINT

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box."""
        rest = line(pdf, box.below(0.35 * self.pt * POINT), self.said, self.pt, is_bold=True)
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(box.x, rest.y, box.right, rest.y)


@dataclass(frozen=True)
class Row:
    """A caption and what it is, in as many lines as it needs. Without a caption it takes the whole width."""

    caption: str
    said: str
    pt: float
    is_bold: bool = False

    def _lines(self, pdf: FPDF, width: float) -> list[str]:
        set_type(pdf, self.pt, is_bold=self.is_bold)
        return wrapped(pdf, self.said, width - self._indent)

    @property
    def _indent(self) -> float:
        return CAPTION_EMS * self.pt * POINT if self.caption else 0.0

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        return (LINE * len(self._lines(pdf, width)) + 0.22) * self.pt * POINT

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box."""
        lines = self._lines(pdf, box.w)
        caption = box._replace(w=self._indent - 0.8)
        if self.caption:
            line(pdf, caption, self.caption, CAPTION_SHARE * self.pt, line_pt=self.pt)
        rest = box.beside(self._indent)._replace(h=self.height(pdf, box.w) + 1)
        for said in lines:
            rest = line(pdf, rest, said, self.pt, is_bold=self.is_bold)


@dataclass(frozen=True)
class Sentence:
    """A sentence with a mark before it."""

    said: str
    pt: float

    @property
    def _row(self) -> Row:
        return Row("", self.said, self.pt)

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        return self._row.height(pdf, width - self.pt * POINT)

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box."""
        em = self.pt * POINT
        pdf.set_fill_color(0)
        pdf.rect(box.x, box.y + 0.3 * em, 0.45 * em, 0.45 * em, style=RenderStyle.F)
        self._row.draw(pdf, box.beside(em))


@dataclass(frozen=True)
class ZoneMap:
    """Which zones to open, in words and on a map of the table: the open ones black, the sheet in a heavy line.

    `sheet` are shares of the table's sides."""

    said: str
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
    def _said(self) -> tuple[Row, Row]:
        return Row("", self.said, self.pt * 1.2, is_bold=True), Row("", self.pump, self.pt)

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes at this width."""
        room = width - self._map[0] - self.pt * POINT
        return max(self._map[1] + 1.2, sum(row.height(pdf, room) for row in self._said)) + 1.2

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box: the words at the left, the map at the right."""
        wide, high = self._map
        words = box._replace(w=box.w - wide - self.pt * POINT)
        for row in self._said:
            row.draw(pdf, words.below(0.6))
            words = words.below(row.height(pdf, words.w))
        box, top = box.beside(box.w - wide - 0.4), box.y + 1.2
        across, up = wide / self.grid[0], high / self.grid[1]
        pdf.set_draw_color(0)
        pdf.set_line_width(FINE)
        for n in range(self.grid[0] * self.grid[1]):
            column, row = n % self.grid[0], n // self.grid[0]
            self._draw_zone(pdf, Box(box.x + column * across, top + high - (row + 1) * up, across, up), n + 1)
        pdf.set_line_width(0.6)
        share = [min(share, 1.0) for share in self.sheet]
        pdf.rect(box.x, top + high * (1 - share[1]), wide * share[0], high * share[1])

    def _draw_zone(self, pdf: FPDF, zone: Box, number: int) -> None:
        is_open = number in self.is_open
        pdf.set_fill_color(0 if is_open else 255)
        pdf.rect(*zone, style=RenderStyle.DF)
        pdf.set_fill_color(0)
        said = str(number)
        set_type(pdf, min(self.pt * 1.1, 0.8 * zone.h / POINT, 0.55 * zone.w / POINT), is_bold=is_open)
        pdf.set_text_color(255 if is_open else 90)
        pdf.text(zone.x + (zone.w - pdf.get_string_width(said)) / 2,
                 zone.y + (zone.h + FIGURE_HEIGHT * pdf.font_size) / 2, said)  # fmt: skip
        pdf.set_text_color(0)


@dataclass(frozen=True)
class Legend:
    """What the lines of the drawing mean: the way of holding at the left, the verdict at the right."""

    pt: float

    @property
    def _step(self) -> float:
        return 1.42 * self.pt * POINT

    def height(self, pdf: FPDF, width: float) -> float:
        """mm that it takes."""
        return 5 * self._step + 1.4

    def draw(self, pdf: FPDF, box: Box) -> None:
        """Draws it at the top of the box."""
        half = box.w / 2
        for left, title in ((box.x, "held"), (box.x + half, "vacuum alone")):
            line(pdf, Box(left, box.y + 1, half - 1, self._step), title, self.pt, is_bold=True)
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(box.x, box.y + 0.6 + self._step, box.right, box.y + 0.6 + self._step)
        samples = [(box.x, way, HOLDS, said) for way, said in WAY_NAMES]
        samples += [(box.x + half, "full", verdict, said) for verdict, said in VERDICT_NAMES]
        for at, (left, way, verdict, said) in enumerate(samples):
            row = at % len(WAY_NAMES) + 1
            self._draw_sample(pdf, Box(left, box.y + 1.2 + row * self._step, half - 1, self._step), way, verdict, said)

    def _draw_sample(self, pdf: FPDF, box: Box, way: str, verdict: str, said: str) -> None:
        wide, high = 2.6 * self.pt * POINT, self._step - 1.2
        x, y = box.x + 0.6, box.y + 0.2
        shape = Polygon([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
        tabs = ((x + wide * 0.3, y, 0.0), (x + wide * 0.7, y + high, 0.0)) if way == "tabs" else ()
        draw_piece(pdf, DrawnPiece(shape, way, verdict, tabs, 0.8, is_sample=True))
        line(pdf, box.beside(wide + 2.2), said, self.pt)


def flow(pdf: FPDF, notes: Sequence[Note], columns: Sequence[Box]) -> tuple[list[tuple[Note, Box]], list[Note]]:
    """Where each note stands, column by column, and those without room. A heading stays with what follows it."""
    placed, rest = [], list(notes)
    for column in columns:
        free = column
        while rest:
            needed = sum(note.height(pdf, column.w) for note in rest[: 2 if isinstance(rest[0], Heading) else 1])
            if needed > free.h:
                break
            note = rest.pop(0)
            placed.append((note, free))
            free = free.below(note.height(pdf, column.w))
    return placed, rest
