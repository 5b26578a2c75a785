"""A setup sheet as a PDF: the nest to scale and all that the operator needs at the router, its used part larger where it
is crowded, then the list of its pieces.

Owns the pages: where drawings, notes, title block and list go. Must not read the store: it is given everything that it
prints. Lengths on the page are mm, y down from its top.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain.errors import Refused
from ..domain.routing.setup_sheets import SetupSheet
from ..scenes.nest import of_setup_sheet
from ..wording import formatting
from ..wording import paper as wording
from ..wording.formatting import Reader
from ..wording.message import PLAIN_READER, Message, text
from ..wording.safety import caution
from . import nest_pages, piece_list, qr
from .nest_pages import Drawing
from .notes import Note, Row, flow
from .pdf import View, draw_dimensions
from .qr import LEAST_MODULE
from .router_notes import measured, notes_of, old_file_warning
from .words import PAPERS, Box, cell, centred, empty_pdf, line, paragraph

EDGE = 7.0  # mm of paper outside the frame: what printers leave white (common practice)
TITLE = 88.0  # width of the title block, at the lower right
# heights that it may have, and with it the notes under the drawing
FEET = (58.0, 60.0, 62.0, 64.0, 66.0, 70.0)
CAUTION_LINE, CAUTION_PT = 6.4, 7.0  # height of the caution at the foot of page one, and its size
HEAD = 15.0  # of the pages that follow
NOTE_SIZES = (9.0, 8.5, 8.0, 7.5)  # points; the largest at which all notes fit
SHORT_LIST = 8  # so many pieces are listed on page one
CAPTION, CAPTION_PT = 4.8, 10.5  # height of a caption over a drawing in mm, and its size


def print_setup_sheet(
    setup_sheet: SetupSheet, paper: str = "a4", reader: Reader = PLAIN_READER
) -> bytes:
    """The setup sheet as a PDF, landscape: one page for the router, the used part larger where that page is crowded, then
    the list of the pieces where it is long.

    `paper` is 'a4' or 'letter'. Raises Refused for any other, for a sheet without pieces, and where the shop's address is
    too long for the symbol.
    """
    if paper not in PAPERS:
        raise Refused(wording.no_such_paper(paper, tuple(PAPERS)))
    if not setup_sheet.pieces:
        raise Refused(wording.no_piece_on_sheet(setup_sheet.sheet))
    high, wide = PAPERS[paper]
    pdf = empty_pdf((wide, high), text(wording.setup_sheet_title(setup_sheet.sheet)))
    pdf.add_page()
    frame = Box(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE)
    return _Printing(pdf, frame, setup_sheet, reader).done()


# How page one is divided. -----------------------------------------------------------------------


@dataclass(frozen=True)
class _Page:
    """How page one is divided, and the notes at their places; `left_over` are those for which there is no room, `read_on` is
    where page one says so."""

    nest: Box
    columns: Sequence[Box]
    title: Box
    notes: Sequence[tuple[Note, Box]] = ()
    left_over: Sequence[Note] = ()
    read_on: Box | None = None

    @property
    def inner(self) -> list[Box]:
        """The columns without their borders."""
        return [column.inside(2, 1.0) for column in self.columns]


def _divided(frame: Box, foot: float) -> tuple[_Page, _Page]:
    """The page with its notes under the drawing, and with them beside it. `foot` is the height of the title block at the
    lower right."""
    beside = frame.w - TITLE
    third = beside / 3
    title = Box(frame.x + beside, frame.bottom - foot, TITLE, foot)
    under = [Box(frame.x + n * third, title.y, third, foot - CAUTION_LINE) for n in range(3)]
    side = [Box(title.x, frame.y, TITLE, frame.h - foot)]
    nest_beside = frame.above(CAUTION_LINE)._replace(w=beside)
    return _Page(frame.above(foot), under, title), _Page(nest_beside, side, title)


class _Printing:
    """One setup sheet on its way to paper."""

    def __init__(self, pdf: FPDF, frame: Box, sheet: SetupSheet, reader: Reader) -> None:
        self.pdf, self.frame, self.sheet, self.reader = pdf, frame, sheet, reader
        self.nest = of_setup_sheet(sheet)
        self.has_short_list = len(sheet.pieces) <= SHORT_LIST

    def done(self) -> bytes:
        """The PDF. Heads and the title block come last, once the number of pages is known."""
        page = self.laid_out()
        view = self.draw_first(page)
        self.draw_lists(list(page.left_over))
        pages = self.pdf.pages_count
        for number in range(2, pages + 1):
            self.pdf.page = number
            self.draw_head(number, pages)
        self.pdf.page = 1
        self.draw_title(page.title, view, pages)
        self.pdf.page = pages
        return bytes(self.pdf.output())

    def text(self, message: Message | str) -> str:
        """The message as it is printed."""
        return text(message, self.reader)

    # Page one. ----------------------------------------------------------------------------------

    def laid_out(self) -> _Page:
        """Of the pages that hold all notes the one that draws the sheet largest; where none does, the rest goes on later."""
        pages = sorted(
            (page for foot in FEET for page in _divided(self.frame, foot)), key=self.scale
        )
        written = [notes_of(self.sheet, self.reader, pt) for pt in NOTE_SIZES]
        for page in pages:
            for sized in written:
                notes, left_over = flow(self.pdf, sized, page.inner)
                if not left_over:
                    return replace(page, notes=notes)
        page, inner = pages[-1], pages[-1].inner
        inner[-1] = inner[-1].above(self.read_on(2).height(self.pdf, inner[-1].w))
        notes, left_over = flow(self.pdf, written[-1], inner)
        return replace(page, notes=notes, left_over=left_over, read_on=inner[-1].below(inner[-1].h))

    def read_on(self, page: int) -> Row:
        """Where page one says that there is more."""
        return Row("", self.text(wording.read_on(page)), NOTE_SIZES[-1], is_bold=True)

    def scale(self, page: _Page) -> float:
        """The scale of the nest on a page that is divided so."""
        room = page.nest
        if self.has_short_list:
            room = room.above(piece_list.height(len(self.sheet.pieces), room.w - 4))
        return nest_pages.view_of(self.nest, room.inside(2, 2)).scale

    def draw_first(self, page: _Page) -> View:
        """Draw all of page one but its title block, and the larger drawings that follow; return where the nest lies."""
        pdf, room = self.pdf, page.nest
        warning = old_file_warning(self.sheet.file)
        if warning:
            room = self.draw_warning(room, self.text(warning))
        if self.has_short_list:
            high = piece_list.height(len(self.sheet.pieces), room.w - 4)
            rows = piece_list.rows_of(self.sheet.pieces)
            piece_list.draw(pdf, room.below(room.h - high).inside(2, 0), rows)
            room = room.above(high)
        drawing, larger = self.draw_nest(room)
        for note, box in page.notes:
            note.draw(pdf, box)
        if page.read_on:
            self.read_on(len(larger) + 2).draw(pdf, page.read_on)
        self.draw_rules(page)
        for part in larger:
            pdf.add_page()
            if part.caption:
                self.draw_caption(self.body, part.caption)
            part.draw(pdf)
        return drawing.view

    def draw_rules(self, page: _Page) -> None:
        """The lines between the parts of page one, and the caution at its foot."""
        pdf, frame = self.pdf, self.frame
        foot = frame.below(frame.h - CAUTION_LINE)._replace(w=frame.w - TITLE)
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        for column in page.columns:
            pdf.rect(*column)
        pdf.line(foot.x, foot.y, foot.right, foot.y)
        pdf.set_line_width(0.7)
        pdf.rect(*frame)
        paragraph(pdf, foot.inside(2, 0.3), self.text(caution()), CAUTION_PT)

    def draw_warning(self, room: Box, warning: str) -> Box:
        """Draw the warning in a heavy box, whole; return what is left under it."""
        box = room.inside(3, 3)
        rest = paragraph(self.pdf, box.inside(3, 2), warning, 12, is_bold=True).below(2)
        self.pdf.set_draw_color(0)
        self.pdf.set_line_width(1.2)
        self.pdf.rect(*box._replace(h=rest.y - box.y))
        return room.below(rest.y - room.y)

    def draw_nest(self, room: Box) -> tuple[Drawing, list[Drawing]]:
        """Draw the whole sheet; where it is crowded, a caption says that its small pieces are named on larger drawings."""
        nest = self.nest
        drawing = nest_pages.whole(nest, nest_pages.view_of(nest, room.inside(2, 2)))
        larger = nest_pages.larger_pages(nest, drawing, self.body.below(CAPTION))
        if larger:
            caption = wording.small_pieces_are_on_the_next(len(larger))
            room = self.draw_caption(room.inside(2, 0.8), caption)
            drawing = nest_pages.thinned(nest, nest_pages.view_of(nest, room), drawing)
        drawing.draw(self.pdf)
        draw_dimensions(self.pdf, drawing.scene, drawing.view, self.reader)
        return drawing, larger

    def draw_caption(self, box: Box, caption: Message) -> Box:
        """Draw a caption over a drawing; return the room under it."""
        line(self.pdf, box, self.text(caption), CAPTION_PT, is_bold=True)
        return box.below(CAPTION)

    # The title block. ---------------------------------------------------------------------------

    def draw_title(self, box: Box, view: View, pages: int) -> None:
        """The sheet's number large, its symbol, and what it is made of and for."""
        sheet, side = self.sheet, 28.0
        self.draw_symbol(Box(box.x, box.y, side, side))
        head = box.above(box.h - side).beside(side)
        self.cell(head.above(9), wording.cell("sheet"), (sheet.sheet, 34))
        page, scale = head.below(side - 9).columns(0.36, 0.64)
        self.cell(page, wording.cell("page"), (wording.page_of(1, pages), 10))
        self.cell(scale, wording.cell("scale"), (view.as_ratio, 12))
        row = box.below(side)._replace(h=(box.h - side) / 3)
        wide = page.right - box.x
        self.draw_stock(row._replace(w=wide))
        size = wording.sheet_size(sheet.length_mm, sheet.width_mm)
        self.cell(row.beside(wide), size, (sheet.blank, 10))
        row = row._replace(y=row.bottom)
        signs = ", ".join(sheet.signs) or wording.spares()
        self.cell(row, wording.for_signs(len(sheet.signs)), (signs, 10))
        row = row._replace(y=row.bottom)
        self.cell(row._replace(w=wide), wording.cell("first due"), (self.first_due, 12))
        self.cell(row.beside(wide), wording.cell("nest"), (self.nest_number, 12))
        self.pdf.set_line_width(0.7)
        self.pdf.rect(*box)

    @property
    def first_due(self) -> Message:
        """'Thu 3 Dec 2026'."""
        if not self.sheet.first_due:
            return wording.no_day_set()
        return wording.due(self.sheet.first_due, date.fromisoformat(self.sheet.first_due).year)

    @property
    def nest_number(self) -> Message:
        """The nest's number with its mark: '1 · 3f2a'."""
        return wording.nest(self.sheet.nest_number, self.sheet.mark)

    def cell(
        self, box: Box, caption: Message, *lines: tuple[Message | str, float], aside: float = 0.0
    ) -> None:
        """A cell with its caption and its lines of words; `aside` mm at its right stay free."""
        self.pdf.set_line_width(0.25)
        said = ((self.text(words), pt) for words, pt in lines)
        cell(self.pdf, box, self.text(caption), *said, aside=aside)

    def draw_stock(self, box: Box) -> None:
        """The material, what the sheet measures where that differs, and a chip of its colour, where the colour is known."""
        pdf, sheet = self.pdf, self.sheet
        thickness = measured(sheet, self.reader.units)
        colour = re.fullmatch(r"#[0-9a-fA-F]{6}", sheet.colour)
        chip = min(box.h - 3, 7.5)
        lines: list[tuple[Message | str, float]] = [(sheet.stock, 10)]
        if thickness:
            lines = [(sheet.stock, 8), (thickness, 8)]
        self.cell(box, wording.cell("stock"), *lines, aside=chip if colour else 0.0)
        if colour:
            pdf.set_fill_color(sheet.colour)
            pdf.rect(box.right - chip - 1.5, box.y + 1.5, chip, chip, style=RenderStyle.DF)
            pdf.set_fill_color(0)

    def draw_symbol(self, box: Box) -> None:
        """The symbol of the sheet's address with its code in figures below."""
        modules = qr.symbol(self.sheet.url)
        module = (box.h - 4.6) / (len(modules) + 2 * qr.QUIET)
        if module < LEAST_MODULE:
            raise Refused(wording.address_too_long())
        left = box.x + (box.w - len(modules) * module) / 2
        qr.draw(self.pdf, modules, left, box.y + qr.QUIET * module, module)
        code = box.below(box.h - 5.5)
        centred(self.pdf, code, formatting.code(self.sheet.code), 11, is_bold=True)

    # The pages that follow. ---------------------------------------------------------------------

    @property
    def body(self) -> Box:
        """What is free under the head of a further page."""
        return self.frame.below(HEAD).inside(3, 2)

    def draw_lists(self, left_over: list[Note]) -> None:
        """What page one had no room for, then the long list."""
        rows = [] if self.has_short_list else piece_list.grouped(self.sheet.pieces)
        while rows or left_over:
            self.pdf.add_page()
            body = self.body
            if left_over:
                placed, left_over = flow(self.pdf, left_over, [body])
                for note, box in placed:
                    note.draw(self.pdf, box)
                body = body.below(sum(note.height(self.pdf, body.w) for note, _ in placed) + 2)
            if not left_over:
                rows = piece_list.draw(self.pdf, body, rows)

    def draw_head(self, number: int, pages: int) -> None:
        """The strip at the head of a further page."""
        sheet = self.sheet
        cells: tuple[tuple[str, Message | str, float, float], ...] = (
            ("sheet", sheet.sheet, 0.22, 22),
            ("code", formatting.code(sheet.code), 0.15, 12),
            ("stock", sheet.stock, 0.24, 12),
            ("first due", self.first_due, 0.17, 12),
            ("nest", self.nest_number, 0.12, 12),
            ("page", wording.page_of(number, pages), 0.1, 12),
        )
        boxes = self.frame._replace(h=HEAD).columns(*(share for _, _, share, _ in cells))
        for box, (caption, words, _, pt) in zip(boxes, cells, strict=True):
            self.cell(box, wording.cell(caption), (words, pt))
        self.pdf.set_line_width(0.7)
        self.pdf.rect(*self.frame)
