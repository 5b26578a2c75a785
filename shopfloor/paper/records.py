"""The record of a sign as a PDF of exactly one page: the drawing, what is kept about it in sentences, photos, a title block.

Owns where these stand and how much of each has room: a large sign's sentences are shortened, then counted, so that nothing
runs over. Must not read the store. Lengths on the page are mm, y down from its top; sizes of type are points.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fpdf import FPDF

from ..domain import codes, lengths
from ..domain.bench.records import RecordedPhoto, Section, SignRecord, day, moment, sections
from ..domain.errors import Refused
from ..scenes import sign
from .notes import Heading, Note, Row, flow
from .pdf import View, draw_scene, fitted_view
from .words import Box, empty_pdf, line

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # upright; ISO 216 and ANSI/ASME Y14.1
EDGE = 10.0  # mm of paper outside the frame: more than printers leave white (common practice)
FOOT, STRIP, GAP = (
    28.0,
    42.0,
    3.0,
)  # heights of the title block and of the photos; room between things
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
NO_ROOM = "There is more than this page holds: see the Bench and the ledger."


@dataclass(frozen=True)
class _Page:
    """Where the drawing stands, and each note."""

    drawing: Box
    notes: Sequence[tuple[Note, Box]]


def print_record(record: SignRecord, paper: str = "a4", units: str = "mm") -> bytes:
    """The record as a PDF of one page; the same record gives the same bytes.

    `paper` is 'a4' or 'letter', `units` 'mm' or 'in'. Raises Refused for any other.
    """
    if paper not in PAPERS:
        raise Refused(
            f"Records are printed on {' or '.join(PAPERS)}, not on '{paper}': choose one of them."
        )
    said = sections(record, units)
    wide, high = PAPERS[paper]
    pdf = empty_pdf(PAPERS[paper], f"Record of {record.called}")
    pdf.set_creation_date(record.made_at)
    pdf.add_page()
    frame = Box(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE)
    body = frame.above(FOOT + (STRIP if record.photos else 0.0)).inside(GAP, GAP)
    page = _laid_out(pdf, body, record, said)
    view = _draw_drawing(pdf, page.drawing, record)
    for note, box in page.notes:
        note.draw(pdf, box)
    _draw_photos(pdf, Box(frame.x, frame.bottom - FOOT - STRIP, frame.w, STRIP), record)
    _draw_title(pdf, Box(frame.x, frame.bottom - FOOT, frame.w, FOOT), record, view, units)
    pdf.set_line_width(0.7)
    pdf.rect(*frame)
    return bytes(pdf.output())


# How the page is divided. ---------------------------------------------------------------------------------------------


def _laid_out(pdf: FPDF, body: Box, record: SignRecord, said: Sequence[Section]) -> _Page:
    """The first division that holds all of the notes; where none does, as many of the shortest as have room."""
    for rows, letters, share, pt in _tries():
        drawing, columns = _divided(body, record, share)
        notes = list(_notes(said, rows, letters, pt))
        if not flow(pdf, notes, columns)[1]:
            return _Page(drawing, _balanced(pdf, notes, columns))
    more = Row("", NO_ROOM, pt, is_bold=True)
    columns[-1] = columns[-1].above(more.height(pdf, columns[-1].w))
    placed, _ = flow(pdf, notes, columns)
    return _Page(drawing, [*placed, (more, columns[-1].below(columns[-1].h))])


def _tries() -> Iterator[tuple[int, int, float, float]]:
    """(rows, letters, share of the drawing, size of type), all of the words first."""
    yield from ((1000, 1000, *layout) for layout in LAYOUTS)
    yield from ((*cap, *layout) for cap in CAPS for layout in FAIR)


def _balanced(
    pdf: FPDF, notes: Sequence[Note], columns: Sequence[Box]
) -> Sequence[tuple[Note, Box]]:
    """Notes that have room, in columns that are about equally long."""
    for share in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9):
        placed, left_over = flow(
            pdf, notes, [column._replace(h=share * column.h) for column in columns]
        )
        if not left_over:
            return placed
    return flow(pdf, notes, columns)[0]


def _divided(body: Box, record: SignRecord, share: float) -> tuple[Box, list[Box]]:
    """The drawing over two columns of notes; of a tall sign, at their left."""
    if record.height_mm > record.width_mm:
        least = min(share * body.w, body.h * record.width_mm / record.height_mm)
        drawing, rest = body._replace(w=least), body.beside(least + GAP)
    else:
        least = min(share * body.h, body.w * record.height_mm / record.width_mm + GAP)
        drawing, rest = body._replace(h=least), body.below(least + GAP)
    column = (rest.w - 2 * GAP) / 2
    return drawing, [rest._replace(w=column), rest.beside(column + 2 * GAP)]


def _notes(said: Sequence[Section], rows: int, letters: int, pt: float) -> Iterator[Note]:
    for section in said:
        yield Heading(section.head, pt)
        for row in _capped(section, rows):
            yield Row("", row if len(row) <= letters else row[: letters - 1].rstrip() + "…", pt)


def _capped(section: Section, most: int) -> Sequence[str]:
    """The first rows and, where the section's last ones count too, some of those; how many are left out between them."""
    if len(section.rows) <= most + 1:
        return section.rows
    last = min(section.last, most // 2)
    tail = section.rows[len(section.rows) - last :]
    return [*section.rows[: most - last], f"and {len(section.rows) - most} more", *tail]


# What is drawn. -------------------------------------------------------------------------------------------------------


def _draw_drawing(pdf: FPDF, box: Box, record: SignRecord) -> View:
    size = record.width_mm, record.height_mm
    view = fitted_view(*size, box)
    scene = sign.on_paper(record.parts, size, view.scale, view.bounds(box))
    draw_scene(pdf, scene, view)
    without = len(scene.shapes) - len(scene.numbers)
    if without:
        line(
            pdf,
            Box(box.x, box.bottom, box.w, GAP),
            f"Without room for their number: {without}.",
            6.5,
        )
    return view


def _draw_photos(pdf: FPDF, strip: Box, record: SignRecord) -> None:
    if not record.photos:
        return
    pdf.set_draw_color(0)
    pdf.set_line_width(0.25)
    pdf.line(strip.x, strip.y, strip.right, strip.y)
    wide = (strip.w - (MOST_PHOTOS + 1) * GAP) / MOST_PHOTOS
    for at, photo in enumerate(record.photos):
        more = (
            f"and {record.more_photos} more"
            if record.more_photos and at == len(record.photos) - 1
            else ""
        )
        _draw_photo(
            pdf, Box(strip.x + GAP + at * (wide + GAP), strip.y + 2, wide, strip.h - 3), photo, more
        )


def _draw_photo(pdf: FPDF, box: Box, photo: RecordedPhoto, more: str) -> None:
    """One photo as large as its box allows, with what it shows under it."""
    room = box.above(4.5)
    share = min(room.w / photo.wide_px, room.h / photo.high_px)
    wide, high = photo.wide_px * share, photo.high_px * share
    pdf.image(
        io.BytesIO(photo.file),
        room.x + (room.w - wide) / 2,
        room.y + (room.h - high) / 2,
        wide,
        high,
    )
    said = ", ".join(part for part in (photo.note, more) if part)
    line(pdf, Box(box.x, box.bottom - 4, box.w, 4), said, 7)


def _draw_title(pdf: FPDF, box: Box, record: SignRecord, view: View, units: str) -> None:
    """Which sign it is, large; for whom, from when to when, and who has it."""
    pdf.set_draw_color(0)
    pdf.set_line_width(0.25)
    side = box.w * 0.34
    left = box._replace(w=side)
    pdf.rect(*left)
    rest = line(pdf, left.inside(2, 1.2), "record of the sign", 6.5)
    rest = line(pdf, rest.below(0.6), record.called, 22, is_bold=True)
    rest = line(pdf, rest, record.name, 10)
    line(pdf, rest, f"{record.shop} · {codes.show(record.code)}", 8)
    upper, lower = box.beside(side).above(box.h * 0.5), box.beside(side).below(box.h * 0.5)
    _cell(pdf, upper._replace(w=upper.w / 2), "for", (record.customer, record.title), 10)
    _cell(pdf, upper.beside(upper.w / 2), *_received(record), 10)
    size = f"{lengths.show(record.width_mm, units)} × {lengths.show(record.height_mm, units)}"
    cells = (
        ("size", size, 0.3),
        ("scale", view.as_ratio, 0.14),
        ("taken in", day(record.taken_in), 0.18),
        ("due", day(record.due), 0.18),
        ("printed", day(record.made_at), 0.2),
    )
    wide = lower.w
    for caption, words, share in cells:
        _cell(pdf, lower._replace(w=wide * share), caption, (words,), 9)
        lower = lower.beside(wide * share)


def _received(record: SignRecord) -> tuple[str, tuple[str, ...]]:
    if record.received is None:
        return "handed over to", (f"nobody yet: the sign is {record.state}",)
    to_name, at, by_name = record.received
    since = "" if record.state == "handed over" else f"; the sign is {record.state} again"
    return "handed over to", (to_name, f"{moment(at)}, by {by_name}{since}")


def _cell(pdf: FPDF, box: Box, caption: str, said: Sequence[str], pt: float) -> None:
    """A caption, a line in bold and, where there are two, a smaller one."""
    pdf.rect(*box)
    rest = line(pdf, box.inside(1.8, 1.0), caption, 6.5)
    for words, size in zip(said, (pt, 0.8 * pt), strict=False):
        rest = line(pdf, rest.below(0.4), words, size, is_bold=size == pt)
