"""A sheet's ticket as a PDF: the nest to scale and all that the operator needs at the router, its used part larger where
it is crowded, then the list of its pieces.

Owns the pages: where drawings, notes, title block and list stand. Must not read the store: it is given everything that it
prints. Lengths on the page are mm, y down from its top.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain import codes, lengths
from ..domain.errors import Refused
from ..domain.routing.setup_sheets import SetupSheet
from ..scenes.nest import of_setup_sheet
from ..wording import paper as wording
from ..wording.formatting import Reader
from ..wording.message import text
from . import nest_pages, piece_list, qr
from .nest_pages import LargerPage
from .notes import Note, Row, flow
from .pdf import View, draw_dimensions
from .qr import LEAST_MODULE
from .router_notes import SAFE, measured_said, nest_said, notes_of, stale_said
from .words import FIGURE_HEIGHT, LINE, POINT, Box, empty_pdf, line, set_type

PAPERS = {
    "a4": (297.0, 210.0),
    "letter": (279.4, 215.9),
}  # on their side; ISO 216 and ANSI/ASME Y14.1
EDGE = 7.0  # mm of paper outside the frame: what printers leave white (common practice)
TITLE = 88.0  # width of the title block, at the lower right
FEET = (
    58.0,
    60.0,
    62.0,
    64.0,
    66.0,
    70.0,
)  # heights that it may have, and with it the notes under the drawing
SAFE_LINE = 5.0
HEAD = 15.0  # of the pages that follow
NOTE_SIZES = (9.0, 8.5, 8.0, 7.5)  # points; the largest at which all notes fit
SHORT_LIST = 8  # so many pieces are listed on page one
CAPTION, CAPTION_PT = 4.8, 10.5  # height of a caption over a drawing in mm, and its size
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def print_setup_sheet(setup_sheet: SetupSheet, paper: str = "a4", units: str = "mm") -> bytes:
    """The ticket as a PDF, landscape: one page for the router, the used part larger where that page is crowded, then the
    list of the pieces where it is long.

    `paper` is 'a4' or 'letter', `units` 'mm' or 'in'. Raises Refused for any other, for a sheet without pieces, and
    where the shop's address is too long for the symbol.
    """
    if paper not in PAPERS:
        raise Refused(
            f"Tickets are printed on {' or '.join(PAPERS)}, not on '{paper}': choose one of them."
        )
    lengths.show(0, units)  # refuses what is no unit
    if not setup_sheet.pieces:
        raise Refused(f"No piece lies on the sheet {setup_sheet.sheet}: nest it first.")
    wide, high = PAPERS[paper]
    pdf = empty_pdf(PAPERS[paper], f"Ticket of {setup_sheet.sheet}")
    frame = Box(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE)
    pdf.add_page()
    page = _laid_out(pdf, frame, setup_sheet, units)
    view, larger = _draw_first(pdf, frame, setup_sheet, page, units)
    heads = [
        *_draw_larger(pdf, frame, setup_sheet, larger, units),
        *_draw_lists(pdf, frame, setup_sheet, list(page.left_over)),
    ]
    pages = 1 + len(heads)
    for number, draw_head in enumerate(heads, 2):
        draw_head(number, pages)
    pdf.page = 1
    _draw_title(pdf, page.title, setup_sheet, view, units, pages)
    pdf.page = pages
    return bytes(pdf.output())


# Page one. ------------------------------------------------------------------------------------------------------------


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


def _laid_out(pdf: FPDF, frame: Box, setup_sheet: SetupSheet, units: str) -> _Page:
    """Of the pages that hold all notes the one that draws the sheet largest; where none does, the rest goes on later."""
    pages = sorted(
        (page for foot in FEET for page in _divided(frame, foot)),
        key=lambda page: _scale(page, setup_sheet),
    )
    for page in pages:
        for pt in NOTE_SIZES:
            notes, left_over = flow(pdf, notes_of(setup_sheet, units, pt), page.inner)
            if not left_over:
                return replace(page, notes=notes)
    page, inner = pages[-1], pages[-1].inner
    inner[-1] = inner[-1].above(_read_on(2).height(pdf, inner[-1].w))
    notes, left_over = flow(pdf, notes_of(setup_sheet, units, NOTE_SIZES[-1]), inner)
    return replace(page, notes=notes, left_over=left_over, read_on=inner[-1].below(inner[-1].h))


def _read_on(page: int) -> Row:
    return Row("", f"Read on: there is more of this on page {page}.", NOTE_SIZES[-1], is_bold=True)


def _divided(frame: Box, foot: float) -> tuple[_Page, _Page]:
    """The page with its notes under the drawing, and with them beside it. `foot` is the height of the title block, which
    stands at the lower right."""
    beside = frame.w - TITLE
    third = beside / 3
    title = Box(frame.x + beside, frame.bottom - foot, TITLE, foot)
    under = [Box(frame.x + n * third, title.y, third, foot - SAFE_LINE) for n in range(3)]
    side = [Box(title.x, frame.y, TITLE, frame.h - foot)]
    return _Page(frame.above(foot), under, title), _Page(
        frame.above(SAFE_LINE)._replace(w=beside), side, title
    )


def _scale(page: _Page, setup_sheet: SetupSheet) -> float:
    nest = page.nest
    if len(setup_sheet.pieces) <= SHORT_LIST:
        nest = nest.above(piece_list.height(len(setup_sheet.pieces), nest.w - 4))
    return nest_pages.view_of(of_setup_sheet(setup_sheet), nest.inside(2, 2)).scale


def _draw_first(
    pdf: FPDF, frame: Box, setup_sheet: SetupSheet, page: _Page, units: str
) -> tuple[View, list[LargerPage]]:
    """All but the title block; gives the drawing's scale and the larger drawings that are to follow."""
    nest, stale = page.nest, stale_said(setup_sheet)
    if stale:
        nest = _draw_stale(pdf, nest, stale)
    if len(setup_sheet.pieces) <= SHORT_LIST:
        high = piece_list.height(len(setup_sheet.pieces), nest.w - 4)
        piece_list.draw(
            pdf, nest.below(nest.h - high).inside(2, 0), piece_list.rows_of(setup_sheet.pieces)
        )
        nest = nest.above(high)
    view, larger = _draw_nest(pdf, frame, nest, setup_sheet, units)
    for note, box in page.notes:
        note.draw(pdf, box)
    if page.read_on:
        _read_on(len(larger) + 2).draw(pdf, page.read_on)
    _draw_rules(pdf, frame, page)
    safe = Box(frame.x + 2, frame.bottom - SAFE_LINE, frame.w - TITLE - 4, SAFE_LINE)
    line(pdf, safe.below(0.9), SAFE, 8.5)
    return view, larger


def _draw_rules(pdf: FPDF, frame: Box, page: _Page) -> None:
    pdf.set_draw_color(0)
    pdf.set_line_width(0.25)
    for column in page.columns:
        pdf.rect(*column)
    pdf.line(frame.x, frame.bottom - SAFE_LINE, page.title.x, frame.bottom - SAFE_LINE)
    pdf.set_line_width(0.7)
    pdf.rect(*frame)


def _draw_stale(pdf: FPDF, nest: Box, said: str) -> Box:
    """The warning in a heavy box, whole; gives what is left under it."""
    row = Row("", said, 12, is_bold=True)
    box = nest.inside(3, 3)
    box = box._replace(h=row.height(pdf, box.w - 6) + 4)
    pdf.set_draw_color(0)
    pdf.set_line_width(1.2)
    pdf.rect(*box)
    row.draw(pdf, box.inside(3, 2))
    return nest.below(box.h + 3)


def _draw_nest(
    pdf: FPDF, frame: Box, nest: Box, setup_sheet: SetupSheet, units: str
) -> tuple[View, list[LargerPage]]:
    """The whole sheet; where that is crowded, a caption says that its small pieces are named on the larger drawings."""
    scene = of_setup_sheet(setup_sheet)
    drawing = nest_pages.whole(scene, nest_pages.view_of(scene, nest.inside(2, 2)))
    larger = nest_pages.larger_pages(scene, drawing, _body(frame).below(CAPTION))
    reader = Reader(units)
    if larger:
        caption = text(wording.small_pieces_are_on_the_next(len(larger)), reader)
        nest = _captioned(pdf, nest.inside(2, 0.8), caption)
        drawing = nest_pages.thinned(scene, nest_pages.view_of(scene, nest), drawing)
    drawing.draw(pdf)
    draw_dimensions(pdf, drawing.scene, drawing.view, reader)
    return drawing.view, larger


def _captioned(pdf: FPDF, box: Box, said: str) -> Box:
    """A caption over a drawing; gives the room under it."""
    line(pdf, box, said, CAPTION_PT, is_bold=True)
    return box.below(CAPTION)


# The title block. -----------------------------------------------------------------------------------------------------


def _draw_title(
    pdf: FPDF, box: Box, setup_sheet: SetupSheet, view: View, units: str, pages: int
) -> None:
    """The sheet's number large, its symbol, and what it is made of and for."""
    side = 28.0
    pdf.set_draw_color(0)
    pdf.set_line_width(0.7)
    pdf.rect(*box)
    pdf.set_line_width(0.25)
    _draw_symbol(pdf, Box(box.x, box.y, side, side), setup_sheet)
    pdf.rect(box.x, box.y, side, side)
    head = Box(box.x + side, box.y, box.w - side, side - 9)
    _cell(pdf, head, "sheet", "", 0)
    line(pdf, head.below(3.9).inside(2, 0), setup_sheet.sheet, 34, is_bold=True)
    low = Box(head.x, head.bottom, head.w, 9)
    _cell(pdf, low._replace(w=low.w * 0.36), "page", f"1 of {pages}", 10)
    _cell(pdf, low.beside(low.w * 0.36), "scale", view.as_ratio, 12)
    size = f"{lengths.show(setup_sheet.length_mm, units)} × {lengths.show(setup_sheet.width_mm, units)}"
    row = Box(box.x, box.y + side, box.w, (box.h - side) / 3)
    _draw_stock(
        pdf, row._replace(w=side + low.w * 0.36), setup_sheet, measured_said(setup_sheet, units)
    )
    _cell(pdf, row.beside(side + low.w * 0.36), f"blank, {size}", str(setup_sheet.blank), 10)
    row = row._replace(y=row.bottom)
    _cell(
        pdf,
        row,
        "for the signs" if len(setup_sheet.signs) > 1 else "for the sign",
        ", ".join(setup_sheet.signs) or "spares",
        10,
    )
    row = row._replace(y=row.bottom)
    _cell(pdf, row._replace(w=side + low.w * 0.36), "first due", _due_said(setup_sheet), 12)
    _cell(pdf, row.beside(side + low.w * 0.36), "nest", nest_said(setup_sheet), 12)


def _cell(pdf: FPDF, box: Box, caption: str, said: str, pt: float) -> None:
    pdf.rect(*box)
    inner = box.inside(1.6, 0.7)
    rest = line(pdf, inner, caption, 6.5)
    if said:
        room = rest.h - FIGURE_HEIGHT * pt * POINT
        line(pdf, rest.below(max(0.0, room / 2 - 0.5)), said, pt, is_bold=True)


def _draw_stock(pdf: FPDF, box: Box, setup_sheet: SetupSheet, measured: str | None) -> None:
    """The stock, what it measures if that is said, and a chip of its colour, where the colour is known."""
    _cell(pdf, box, "stock", "", 0)
    colour = re.fullmatch(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})", setup_sheet.colour)
    chip = min(box.h - 3, 7.5) if colour else 0.0
    words = Box(box.x + 1.6, box.y + 3.3, box.w - chip - 4.8, box.h - 3.3)
    if measured:
        words = words.below((words.h - 2 * LINE * 8 * POINT) / 2)
        line(pdf, line(pdf, words, setup_sheet.stock, 8, is_bold=True), measured, 8, is_bold=True)
    else:
        line(pdf, words.below(0.6), setup_sheet.stock, 10, is_bold=True)
    if colour:
        pdf.set_fill_color(*(int(part, 16) for part in colour.groups()))
        pdf.rect(box.right - chip - 1.5, box.y + 1.5, chip, chip, style=RenderStyle.DF)
        pdf.set_fill_color(0)


def _draw_symbol(pdf: FPDF, box: Box, setup_sheet: SetupSheet) -> None:
    """The symbol of the sheet's address with its code in figures below."""
    modules = qr.symbol(setup_sheet.url)
    room = box.h - 4.6
    module = room / (len(modules) + 2 * qr.QUIET)
    if module < LEAST_MODULE:
        raise Refused("The shop's address is too long for the ticket: set a shorter one in Office.")
    left, top = box.x + (box.w - len(modules) * module) / 2, box.y + qr.QUIET * module
    for x, y, across, down in qr.bars(modules):
        pdf.rect(
            left + x * module, top + y * module, across * module, down * module, style=RenderStyle.F
        )
    set_type(pdf, 11, is_bold=True)
    said = codes.show(setup_sheet.code)
    pdf.text(box.x + (box.w - pdf.get_string_width(said)) / 2, box.bottom - 1.3, said)


# The pages that follow. -----------------------------------------------------------------------------------------------

DrawHead = Callable[
    [int, int], None
]  # draws a page's head once its number and the number of pages are known


def _body(frame: Box) -> Box:
    return frame.below(HEAD).inside(3, 2)


def _draw_larger(
    pdf: FPDF, frame: Box, setup_sheet: SetupSheet, larger: Sequence[LargerPage], units: str
) -> list[DrawHead]:
    for page in larger:
        pdf.add_page()
        _captioned(pdf, _body(frame), text(page.caption, Reader(units)))
        page.draw(pdf)
    return [_head(pdf, frame, setup_sheet) for _ in larger]


def _draw_lists(
    pdf: FPDF, frame: Box, setup_sheet: SetupSheet, left_over: list[Note]
) -> list[DrawHead]:
    """What page one had no room for, then the long list."""
    rows = piece_list.grouped(setup_sheet.pieces) if len(setup_sheet.pieces) > SHORT_LIST else []
    heads = []
    while rows or left_over:
        pdf.add_page()
        body = _body(frame)
        heads.append(_head(pdf, frame, setup_sheet))
        if left_over:
            placed, left_over = flow(pdf, left_over, [body])
            for note, box in placed:
                note.draw(pdf, box)
            body = body.below(sum(note.height(pdf, body.w) for note, _ in placed) + 2)
        if not left_over:
            rows = piece_list.draw(pdf, body, rows)
    return heads


def _head(pdf: FPDF, frame: Box, setup_sheet: SetupSheet) -> DrawHead:
    """The strip at the head of a further page."""

    def draw(number: int, pages: int) -> None:
        pdf.page = number
        pdf.set_draw_color(0)
        pdf.set_line_width(0.7)
        pdf.rect(*frame)
        pdf.set_line_width(0.25)
        strip = frame._replace(h=HEAD)
        shares = (
            ("sheet", setup_sheet.sheet, 0.22, 22),
            ("code", codes.show(setup_sheet.code), 0.15, 12),
            ("stock", setup_sheet.stock, 0.24, 12),
            ("first due", _due_said(setup_sheet), 0.17, 12),
            ("nest", nest_said(setup_sheet), 0.12, 12),
            ("page", f"{number} of {pages}", 0.1, 12),
        )
        for caption, said, share, pt in shares:
            _cell(pdf, strip._replace(w=frame.w * share), caption, said, pt)
            strip = strip.beside(frame.w * share)

    return draw


def _due_said(setup_sheet: SetupSheet) -> str:
    """'Thu 3 Dec 2026'. The names are written out here: those of the machine may be in another language."""
    if not setup_sheet.first_due:
        return "no day set"
    day = date.fromisoformat(setup_sheet.first_due)
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"
