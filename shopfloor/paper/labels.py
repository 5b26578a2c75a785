"""Labels as a PDF: one for each piece, and plain ones for offcuts, full sheets, signs and trays.

Owns what is where on a label; how labels lie on their paper is in `label_layouts`. Must not read the store: it is
given everything that it prints. Lengths are millimetres, y down from the top of the page, as printers count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain import codes
from ..domain.errors import Refused
from ..domain.outlines import Outline
from ..wording import labels as wording
from ..wording.formatting import Reader
from ..wording.message import PLAIN_READER, Message, text
from . import qr
from .label_layouts import LABEL_LAYOUTS, LabelLayout
from .pdf import View, fill
from .words import FIGURE_HEIGHT, LEAST_SHARE, LINE, POINT, Box, centred, empty_pdf, fitted, line


@dataclass(frozen=True)
class Label:
    """What the label of a piece says. `outline` is in the piece's own frame; `tabs` is how many there are to trim."""

    code: str
    url: str
    sign: Message | str
    sign_name: str
    place: Message | str
    outline: Outline
    stock: str
    attempt: int
    tabs: int


@dataclass(frozen=True)
class ThingLabel:
    """What the label of anything else says: an offcut, a full sheet, a sign, a tray."""

    code: str
    url: str
    title: Message | str
    lines: tuple[Message | str, ...] = ()


def print_labels(
    labels: Sequence[Label | ThingLabel],
    layout_name: str,
    skip: int = 0,
    reader: Reader = PLAIN_READER,
) -> bytes:
    """Return the labels as a PDF, in their order, row by row.

    `layout_name` is one of LABEL_LAYOUTS; `skip` is how many labels of the first page are gone already. Raises Refused
    where there is no such layout, nothing to print, or an address too long for the label.
    """
    if layout_name not in LABEL_LAYOUTS:
        raise Refused(wording.no_such_layout(tuple(LABEL_LAYOUTS)))
    if not labels:
        raise Refused(wording.nothing_to_print())
    layout = LABEL_LAYOUTS[layout_name]
    pdf = empty_pdf(layout.page, text(wording.pdf_title(), reader))
    for number, label in enumerate(labels, skip % layout.per_page):
        if number % layout.per_page == 0 or pdf.page == 0:
            pdf.add_page()
        _Drawing(pdf, layout, reader).draw(layout.label_box(number % layout.per_page), label)
    return bytes(pdf.output())


@dataclass(frozen=True)
class _Drawing:
    """Draws labels of one layout."""

    pdf: FPDF
    layout: LabelLayout
    reader: Reader

    def draw(self, cell: Box, label: Label | ThingLabel) -> None:
        """Draw one label: its QR symbol at the left, its code large, and what it says under that."""
        pad = self.layout.pad
        edge = self._draw_qr(cell, label.url)
        room = Box(edge, cell.y + pad, cell.right - pad - edge, cell.h - 2 * pad)
        room = self._draw_code(room, label.code)
        if isinstance(label, Label):
            self._draw_piece(room, label)
        else:
            self._draw_thing(room, label)

    def _draw_qr(self, cell: Box, url: str) -> float:
        """Draw the symbol at the left. Returns the x where text may begin."""
        modules = qr.symbol(url)
        module = self._module(len(modules) + 2 * qr.QUIET)
        quiet = qr.QUIET * module
        side = len(modules) * module
        left = cell.x + max(self.layout.pad, quiet + 0.5)  # the quiet zone may lie in the padding
        top = cell.y + (cell.h - side) / 2
        qr.draw(self.pdf, modules, left, top, module)
        return left + side + quiet + 0.4  # a bold J hangs out to its left

    def _module(self, across: int) -> float:
        """Return the side of a module in mm: as large as the layout likes, whole dots where it has them."""
        module = self.layout.qr / across
        if self.layout.dot:
            module = int(module / self.layout.dot + 1e-9) * self.layout.dot
        module = max(module, qr.LEAST_MODULE)
        if across * module > self.layout.cell[1]:
            raise Refused(wording.address_too_long())
        return module

    def _draw_code(self, room: Box, code: str) -> Box:
        """Draw large figures and a rule under them."""
        pdf, shown = self.pdf, codes.show(code)
        pdf.set_font("label", "B", self.layout.code_pt)
        pt = self.layout.code_pt * min(1.0, room.w / pdf.get_string_width(shown))
        pdf.set_font_size(pt)
        height = FIGURE_HEIGHT * pt * POINT
        pdf.text(room.x, room.y + height, shown)
        gap = 0.12 * pt * POINT
        pdf.set_line_width(0.25)
        pdf.line(room.x, room.y + height + gap, room.right, room.y + height + gap)
        return room.below(height + 2 * gap)

    def _draw_piece(self, room: Box, label: Label) -> None:
        """Draw sign, place, stock, attempt and tabs at the left, the piece's own shape in the lower right corner."""
        place = text(label.place, self.reader)
        is_wide = room.w > 2 * room.h
        room = self._draw_sign(room, label)
        if label.tabs:
            room = self._draw_tabs(room, label.tabs)
        if not is_wide:
            room = line(self.pdf, room, place, self.layout.text_pt).below(0.3)
        picture = self._draw_outline(room, label.outline)
        if is_wide:
            room = self._draw_beside(room, picture, place)
        for part in self._stock_lines(self._beside(room, picture), label.stock):
            room = self._draw_beside(room, picture, part)
        attempt = text(wording.attempt(label.attempt), self.reader)
        room = self._draw_beside(room, picture, attempt, is_bold=label.attempt > 1)
        outline = label.outline
        size = wording.size_mm(f"{outline.width_mm:.0f}", f"{outline.height_mm:.0f}")
        shown = text(size, self.reader)
        if self._fits(self._beside(room, picture), shown):  # half a size would be a wrong one
            self._draw_beside(room, picture, shown)

    def _draw_beside(self, room: Box, picture: Box, words: str, *, is_bold: bool = False) -> Box:
        width = self._beside(room, picture)
        rest = line(self.pdf, width, words, self.layout.text_pt, is_bold=is_bold)
        return rest._replace(w=room.w)

    def _beside(self, room: Box, picture: Box) -> Box:
        """Return the box as wide as its first line may be: up to the picture, or past it where the line is over it."""
        is_over = room.y + LINE * self.layout.text_pt * POINT <= picture.y
        return room if is_over else room._replace(w=picture.x - 1.0 - room.x)

    def _draw_sign(self, room: Box, label: Label) -> Box:
        """Draw the sign's code in bold, its name in what is left of the line."""
        pdf, sign = self.pdf, text(label.sign, self.reader)
        pt = self.layout.text_pt * 1.15
        rest = line(pdf, room, sign, pt, is_bold=True)
        used = pdf.get_string_width(fitted(pdf, sign, room.w)) + 0.35 * pt * POINT
        if room.w - used > 2 * pt * POINT:
            name = Box(room.x + used, room.y, room.w - used, room.h)
            line(pdf, name, label.sign_name, self.layout.text_pt, line_pt=pt)
        return rest

    def _draw_tabs(self, room: Box, tabs: int) -> Box:
        """Draw a dark bar along the foot that nobody overlooks. Returns what is left over it."""
        pdf, words = self.pdf, text(wording.trim_tabs(tabs), self.reader)
        pt = self.layout.text_pt * 1.15
        height = 1.3 * pt * POINT
        bar = room.below(room.h - height)
        pdf.rect(*bar, style=RenderStyle.F)
        pdf.set_text_color(255)
        centred(pdf, bar.inside(0.04 * bar.w, 0), words, pt, is_bold=True)
        pdf.set_text_color(0)
        return room.above(height + 0.4)

    def _stock_lines(self, room: Box, stock: str) -> list[str]:
        """Return the stock on one line; or, where it is long and the attempt still has its own, the thickness on a second."""
        colour, comma, thickness = stock.rpartition(", ")
        has_room = room.h >= (2 * LINE + 1) * self.layout.text_pt * POINT
        if not comma or not has_room or self._fits(room, stock):
            return [stock]
        return [colour + ",", thickness]

    def _fits(self, room: Box, words: str) -> bool:
        self.pdf.set_font("label", "", self.layout.text_pt)
        return LEAST_SHARE * self.pdf.get_string_width(words) <= room.w

    def _draw_thing(self, room: Box, label: ThingLabel) -> None:
        title, pt = text(label.title, self.reader), self.layout.text_pt
        room = line(self.pdf, room, title, pt * 1.5, is_bold=True)
        most = int(room.h / (LINE * pt * POINT))
        lines = [text(words, self.reader) for words in label.lines[:most]]
        if len(label.lines) > most and lines:
            lines[-1] += " …"
        for words in lines:
            room = line(self.pdf, room, words, pt)

    def _draw_outline(self, room: Box, outline: Outline) -> Box:
        """Draw the shape in ink, its holes left open, in the lower right corner. Returns the box it takes."""
        pdf = self.pdf
        _, bottom, right, _ = outline.bounds
        scale = max(outline.width_mm / (0.45 * room.w), outline.height_mm / room.h)
        view = View(scale, room.right - right / scale, room.bottom + bottom / scale)
        [polygon] = view.on_page([outline])
        fill(pdf, polygon, 0, 255)
        pdf.set_fill_color(0)
        return view.box(outline.bounds)
