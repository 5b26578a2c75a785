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
from .words import PAPERS, Box, cell, empty_pdf, line

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
        drawing, notes = self._laid_out(pdf, body)
        view = self._draw_drawing(pdf, drawing)
        for note, box in notes:
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

    def _laid_out(self, pdf: FPDF, body: Box) -> tuple[Box, Sequence[tuple[Note, Box]]]:
        """Return where the drawing goes, and each note: the first division that holds all of them; where none does, as many of
        the shortest as have room."""
        written = [
            (self.text(section.head), [self.text(row) for row in section.rows], section.last)
            for section in sections(self.record)
        ]
        for rows, letters, share, pt in _tries():
            drawing, columns = _divided(body, self.record, share)
            notes = list(self._notes(written, rows, letters, pt))
            if not flow(pdf, notes, columns)[1]:
                return drawing, _balanced(pdf, notes, columns)
        more = Row("", self.text(wording.no_room()), pt, is_bold=True)
        columns[-1] = columns[-1].above(more.height(pdf, columns[-1].w))
        placed, _ = flow(pdf, notes, columns)
        return drawing, [*placed, (more, columns[-1].below(columns[-1].h))]

    def _notes(
        self, written: Sequence[tuple[str, list[str], int]], most: int, letters: int, pt: float
    ) -> Iterator[Note]:
        """Yield under each heading the first rows, how many are left out, and some of the last where those count too."""
        for head, rows, last in written:
            yield Heading(head, pt)
            shown = rows
            if len(rows) > most + 1:
                tail = min(last, most // 2)
                left_out = self.text(wording.more_rows(len(rows) - most))
                shown = [*rows[: most - tail], left_out, *rows[len(rows) - tail :]]
            for row in shown:
                yield Row("", row if len(row) <= letters else row[: letters - 1].rstrip() + "…", pt)

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
        left, right = box.columns(0.34, 0.66)
        pdf.rect(*left)
        rest = line(pdf, left.inside(2, 1.2), self.text(wording.caption("record")), 6.5)
        rest = line(pdf, rest.below(0.6), record.called, 22, is_bold=True)
        rest = line(pdf, rest, record.name, 10)
        line(pdf, rest, self.text(wording.shop_and_code(record.shop, record.code)), 8)
        half = box.h / 2
        customer, received = right.above(half).columns(0.5, 0.5)
        self._cell(pdf, customer, "for", (record.customer, 10), (record.title, 8))
        self._cell(pdf, received, "received", *self._received())
        cells = (
            ("size", self.text(wording.size(record.width_mm, record.height_mm)), 0.3),
            ("scale", view.as_ratio, 0.14),
            ("taken in", self.text(wording.date(record.taken_in)), 0.18),
            ("due", self.text(wording.date(record.due)), 0.18),
            ("printed", self.text(wording.date(record.made_at)), 0.2),
        )
        boxes = right.below(half).columns(*(share for _, _, share in cells))
        for place, (caption, words, _) in zip(boxes, cells, strict=True):
            self._cell(pdf, place, caption, (words, 9))

    def _cell(self, pdf: FPDF, box: Box, caption: str, *lines: tuple[str, float]) -> None:
        cell(pdf, box, self.text(wording.caption(caption)), *lines)

    def _received(self) -> Iterator[tuple[str, float]]:
        state = self.record.state
        if self.record.received is None:
            yield self.text(wording.nobody_yet(state)), 10
            return
        to_name, at, by = self.record.received
        is_out = state == "handed over"
        when = wording.received(at, by) if is_out else wording.received_before(at, by, state)
        yield from ((to_name, 10), (self.text(when), 8))


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
    pdf.image(io.BytesIO(photo.file), *room, keep_aspect_ratio=True)
    line(pdf, Box(box.x, box.bottom - 4, box.w, 4), caption, 7)
