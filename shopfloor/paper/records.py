"""The record of a sign as a PDF of exactly one page: the drawing, notes, photos, a title block.

Owns where these are printed and how much of each has room: a large sign's notes are shortened, then counted, so that nothing
runs over. Must not read the store. Lengths on the page are mm, y down from its top; sizes of type are points.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fpdf import FPDF

from ..domain.bench.records import RecordedPhoto, SignRecord, sections
from ..domain.errors import Refused
from ..scenes import sign
from ..wording import records as wording
from ..wording.formatting import Reader
from ..wording.message import PLAIN_READER, Message, text
from .notes import Heading, Note, Row, flow
from .pdf import View, draw_scene, fitted_view
from .words import Box, empty_pdf, line

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # upright; ISO 216 and ANSI/ASME Y14.1
EDGE = 10.0  # mm of paper outside the frame: more than printers leave white (common practice)
FOOT, STRIP = 28.0, 42.0  # heights of the title block and of the photos
GAP = 3.0  # between things
MOST_PHOTOS = 4
# (share of the room that the drawing takes at the most, size of type), the best first
LAYOUTS = (
    (0.5, 8.5),
    (0.42, 8.5),
    (0.42, 8.0),
    (0.35, 8.0),
    (0.35, 7.5),
    (0.28, 7.5),
    (0.28, 7.0),
    (0.22, 6.5),
)
# (rows under a heading, letters of a row) at the most, where not all of it has room; the drawing stays of a fair size then.
CAPS = ((30, 240), (20, 160), (14, 120), (10, 110), (7, 100), (5, 80), (3, 60), (2, 40))
FAIR = LAYOUTS[3:6]


@dataclass(frozen=True)
class _Section:
    """A heading and its rows as text; the `last` of them count too where there is no room for all."""

    head: str
    rows: Sequence[str]
    last: int


@dataclass(frozen=True)
class _Page:
    """Where the drawing is printed, and each note."""

    drawing: Box
    notes: Sequence[tuple[Note, Box]]


def print_record(record: SignRecord, paper: str = "a4", reader: Reader = PLAIN_READER) -> bytes:
    """Return the record as a PDF of one page; the same record gives the same bytes.

    `paper` is 'a4' or 'letter'. Raises Refused for any other.
    """
    if paper not in PAPERS:
        raise Refused(wording.not_on_this_paper(tuple(PAPERS)))
    return _Record(record, paper, reader).print()


@dataclass(frozen=True)
class _Record:
    """One record on its paper, for its reader."""

    record: SignRecord
    paper: str
    reader: Reader

    def print(self) -> bytes:
        """Return the PDF."""
        record, (wide, high) = self.record, PAPERS[self.paper]
        pdf = empty_pdf((wide, high), self.text(wording.pdf_title(record.called)))
        pdf.set_creation_date(record.made_at)
        pdf.add_page()
        frame = Box(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE)
        body = frame.above(FOOT + (STRIP if record.photos else 0.0)).inside(GAP, GAP)
        page = self._laid_out(pdf, body)
        view = self._draw_drawing(pdf, page.drawing)
        for note, box in page.notes:
            note.draw(pdf, box)
        self._draw_photos(pdf, Box(frame.x, frame.bottom - FOOT - STRIP, frame.w, STRIP))
        self._draw_title(pdf, Box(frame.x, frame.bottom - FOOT, frame.w, FOOT), view)
        pdf.set_line_width(0.7)
        pdf.rect(*frame)
        return bytes(pdf.output())

    def text(self, message: Message) -> str:
        """Write a message for the reader."""
        return text(message, self.reader)

    # How the page is divided. -------------------------------------------------------------------

    def _laid_out(self, pdf: FPDF, body: Box) -> _Page:
        """Return the first division that holds all of the notes; where none does, as many of the shortest as have room."""
        written = [
            _Section(
                self.text(section.head), [self.text(row) for row in section.rows], section.last
            )
            for section in sections(self.record)
        ]
        for rows, letters, share, pt in _tries():
            drawing, columns = _divided(body, self.record, share)
            notes = list(self._notes(written, rows, letters, pt))
            if not flow(pdf, notes, columns)[1]:
                return _Page(drawing, _balanced(pdf, notes, columns))
        more = Row("", self.text(wording.no_room()), pt, is_bold=True)
        columns[-1] = columns[-1].above(more.height(pdf, columns[-1].w))
        placed, _ = flow(pdf, notes, columns)
        return _Page(drawing, [*placed, (more, columns[-1].below(columns[-1].h))])

    def _notes(
        self, written: Sequence[_Section], rows: int, letters: int, pt: float
    ) -> Iterator[Note]:
        for section in written:
            yield Heading(section.head, pt)
            for row in self._capped(section, rows):
                yield Row("", row if len(row) <= letters else row[: letters - 1].rstrip() + "…", pt)

    def _capped(self, section: _Section, most: int) -> Sequence[str]:
        """Return the first rows, how many are left out, and some of the last where those count too."""
        if len(section.rows) <= most + 1:
            return section.rows
        last = min(section.last, most // 2)
        tail = section.rows[len(section.rows) - last :]
        more = self.text(wording.more_rows(len(section.rows) - most))
        return [*section.rows[: most - last], more, *tail]

    # What is drawn. -----------------------------------------------------------------------------

    def _draw_drawing(self, pdf: FPDF, box: Box) -> View:
        size = self.record.width_mm, self.record.height_mm
        view = fitted_view(*size, box)
        scene = sign.on_paper(self.record.parts, size, view.scale, view.bounds(box))
        draw_scene(pdf, scene, view)
        without = len(scene.shapes) - len(scene.numbers)
        if without:
            words = self.text(wording.numbers_left_out(without))
            line(pdf, Box(box.x, box.bottom, box.w, GAP), words, 6.5)
        return view

    def _draw_photos(self, pdf: FPDF, strip: Box) -> None:
        photos, more = self.record.photos, self.record.more_photos
        if not photos:
            return
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        pdf.line(strip.x, strip.y, strip.right, strip.y)
        wide = (strip.w - (MOST_PHOTOS + 1) * GAP) / MOST_PHOTOS
        for at, photo in enumerate(photos):
            caption = photo.note
            if more and at == len(photos) - 1:
                rest = wording.more_rows(more)
                caption = self.text(wording.note_and_more(caption, rest) if caption else rest)
            box = Box(strip.x + GAP + at * (wide + GAP), strip.y + 2, wide, strip.h - 3)
            _draw_photo(pdf, box, photo, caption)

    def _draw_title(self, pdf: FPDF, box: Box, view: View) -> None:
        """Draw which sign it is, large; for whom, from when to when, and who has it."""
        record = self.record
        pdf.set_draw_color(0)
        pdf.set_line_width(0.25)
        side = box.w * 0.34
        left = box._replace(w=side)
        pdf.rect(*left)
        rest = line(pdf, left.inside(2, 1.2), self.text(wording.caption("record")), 6.5)
        rest = line(pdf, rest.below(0.6), record.called, 22, is_bold=True)
        rest = line(pdf, rest, record.name, 10)
        line(pdf, rest, self.text(wording.shop_and_code(record.shop, record.code)), 8)
        upper, lower = box.beside(side).above(box.h * 0.5), box.beside(side).below(box.h * 0.5)
        half = upper.w / 2
        self._draw_cell(pdf, upper._replace(w=half), "for", (record.customer, record.title), 10)
        self._draw_cell(pdf, upper.beside(half), "received", self._received(), 10)
        cells = (
            ("size", self.text(wording.size(record.width_mm, record.height_mm)), 0.3),
            ("scale", view.as_ratio, 0.14),
            ("taken in", self.text(wording.date(record.taken_in)), 0.18),
            ("due", self.text(wording.date(record.due)), 0.18),
            ("printed", self.text(wording.date(record.made_at)), 0.2),
        )
        wide = lower.w
        for caption, words, share in cells:
            self._draw_cell(pdf, lower._replace(w=wide * share), caption, (words,), 9)
            lower = lower.beside(wide * share)

    def _received(self) -> Sequence[str]:
        state = self.record.state
        if self.record.received is None:
            return (self.text(wording.nobody_yet(state)),)
        to_name, at, by = self.record.received
        if state == "handed over":
            return to_name, self.text(wording.received(at, by))
        return to_name, self.text(wording.received_before(at, by, state))

    def _draw_cell(
        self, pdf: FPDF, box: Box, caption: str, lines: Sequence[str], pt: float
    ) -> None:
        """Draw a caption, a line in bold and, where there are two, a smaller one."""
        pdf.rect(*box)
        rest = line(pdf, box.inside(1.8, 1.0), self.text(wording.caption(caption)), 6.5)
        for words, size in zip(lines, (pt, 0.8 * pt), strict=False):
            rest = line(pdf, rest.below(0.4), words, size, is_bold=size == pt)


def _tries() -> Iterator[tuple[int, int, float, float]]:
    """Yield (rows, letters, share of the drawing, size of type), all of the words first."""
    yield from ((1000, 1000, *layout) for layout in LAYOUTS)
    yield from ((*cap, *layout) for cap in CAPS for layout in FAIR)


def _balanced(
    pdf: FPDF, notes: Sequence[Note], columns: Sequence[Box]
) -> Sequence[tuple[Note, Box]]:
    """Return notes that have room, in columns that are about equally long."""
    for share in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9):
        placed, left_over = flow(
            pdf, notes, [column._replace(h=share * column.h) for column in columns]
        )
        if not left_over:
            return placed
    return flow(pdf, notes, columns)[0]


def _divided(body: Box, record: SignRecord, share: float) -> tuple[Box, list[Box]]:
    """Put the drawing over two columns of notes; of a tall sign, at their left."""
    if record.height_mm > record.width_mm:
        least = min(share * body.w, body.h * record.width_mm / record.height_mm)
        drawing, rest = body._replace(w=least), body.beside(least + GAP)
    else:
        least = min(share * body.h, body.w * record.height_mm / record.width_mm + GAP)
        drawing, rest = body._replace(h=least), body.below(least + GAP)
    column = (rest.w - 2 * GAP) / 2
    return drawing, [rest._replace(w=column), rest.beside(column + 2 * GAP)]


def _draw_photo(pdf: FPDF, box: Box, photo: RecordedPhoto, caption: str) -> None:
    """Draw one photo as large as its box allows, with what it shows under it."""
    room = box.above(4.5)
    share = min(room.w / photo.wide_px, room.h / photo.high_px)
    wide, high = photo.wide_px * share, photo.high_px * share
    left, top = room.x + (room.w - wide) / 2, room.y + (room.h - high) / 2
    pdf.image(io.BytesIO(photo.file), left, top, wide, high)
    line(pdf, Box(box.x, box.bottom - 4, box.w, 4), caption, 7)
