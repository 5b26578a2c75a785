"""Full-size paper as a PDF: tape strips, placement templates, the drilling template, on one long page or on sheets.

Owns the whole of one printing. Must not read the store: it is given all that it prints, and prints the same bytes for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from ..domain.errors import Refused
from ..domain.setting_out.full_size import FullSize, checked_paper, checked_what
from ..scenes.full_size import Drawing
from ..scenes.strips import strips
from ..scenes.templates import drilling, templates
from ..wording import templates as wording
from ..wording.message import Message, text
from .tile_pages import Sheets, draw_cover
from .tiles import LONGEST, Layout, laid_out, notes_of
from .words import PAPERS, empty_pdf

UNDATED = datetime(
    2000, 1, 1, tzinfo=UTC
)  # a date of its own would make other bytes of the same drawing
MOST_SHEETS = 600  # a ream and more: nobody joins them


@dataclass(frozen=True)
class Planned:
    """What a printing comes to: how many sheets, how many empty ones are left out, and the size of its longest page in mm.
    `is_long`: on long pages; `has_cover`: a page before them says how they are put together."""

    sheets: int
    left_out: int
    page: tuple[float, float]
    is_long: bool
    has_cover: bool


def planned(sign: FullSize, what: str, paper: str, level: int | None = None) -> Planned:
    """What a printing would come to, without drawing it. Raises Refused as `print_full_size`."""
    layouts = [layout for _, layout in _laid_out(sign, what, paper, level)]
    longest = max((layout.page for layout in layouts), key=max)
    sheets = sum(len(layout.kept) for layout in layouts)
    left_out = sum(layout.left_out for layout in layouts)
    return Planned(sheets, left_out, longest, paper == "long", _needs_cover(layouts))


def print_full_size(
    sign: FullSize, what: str, paper: str, level: int | None = None, printed_on: date | None = None
) -> bytes:
    """The PDF of 'strip', 'template' or 'drilling' on 'long', 'a4' or 'letter', of one level or (None) of all. It says that
    it was `printed_on` a day where it is given one.

    Raises Refused for anything else, for a level that the sign does not have, where there is nothing to print, and where it
    would be more than MOST_SHEETS.
    """
    laid = _laid_out(sign, what, paper, level)
    title = text(wording.full_size_title(sign.called, sign.name, what))
    day = printed_on.isoformat() if printed_on else ""
    pdf = empty_pdf(laid[0][1].page, title)
    pdf.set_creation_date(UNDATED)
    count = sum(len(layout.kept) for _, layout in laid)
    sheets: list[Sheets] = []
    first = 1
    for drawing, layout in laid:
        sheets.append(Sheets(drawing, layout, first, count, sign.units, day))
        first += len(layout.kept)
    if _needs_cover([layout for _, layout in laid]):
        page = PAPERS.get(paper) or PAPERS["letter" if sign.units == "in" else "a4"]
        draw_cover(pdf, page, title, _cover_notes(sheets), sheets)
    for group in sheets:
        group.draw(pdf)
    return bytes(pdf.output())


def _laid_out(
    sign: FullSize, what: str, paper: str, level: int | None
) -> list[tuple[Drawing, Layout]]:
    checked_paper(paper)
    laid = [
        (drawing, laid_out(drawing, paper))
        for drawing in _drawings(sign, checked_what(what), level)
    ]
    if not laid:
        raise Refused(wording.nothing_to_set_out(sign.called))
    sheets = sum(len(layout.kept) for _, layout in laid)
    if sheets > MOST_SHEETS:
        raise Refused(wording.too_many_sheets(sheets))
    return laid


def _drawings(sign: FullSize, what: str, level: int | None) -> list[Drawing]:
    if what == "drilling":
        return [drilling(sign)]
    return (strips if what == "strip" else templates)(sign, sign.wanted(level))


def _needs_cover(layouts: Sequence[Layout]) -> bool:
    """Sheets do; a long page has its notes on it, unless it had to be divided."""
    return not all(layout.is_long and layout.is_whole for layout in layouts)


def _cover_notes(sheets: Sequence[Sheets]) -> list[tuple[str, bool]]:
    """How the sheets are joined, then each different note of the drawings; True with those in bold."""
    divided = [group for group in sheets if not group.layout.is_whole]
    notes: list[Message] = [wording.print_at_full_size()]
    if divided:
        notes.append(wording.cut_and_join())
    if any(group.layout.is_long for group in divided):
        notes.append(wording.longest_page(f"{LONGEST / 1000:.2f}"))
    notes.append(wording.what_marks_are_for())
    found = [(text(note), False) for note in notes]
    for group in sheets:
        found += [
            (note, note == group.drawing.caution)
            for note in notes_of(group.drawing, has_heading=False)
        ]
    return list(dict.fromkeys(found))
