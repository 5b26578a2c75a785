"""Full-size paper as a PDF: tape strips, placement templates, the drilling template, on one long page or on sheets.

Owns the whole of one printing. Must not read the store: it is given all that it prints, and prints the same bytes for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from ..domain.errors import Refused
from ..domain.setting_out.full_size import FullSize, checked_paper, checked_what
from ..wording import full_size as wording
from ..wording.message import text
from .ink import Drawing
from .strips import strips
from .templates import drilling, templates
from .tile_pages import Sheets, draw_cover
from .tiles import LONGEST, PAPERS, Layout, laid_out
from .words import empty_pdf

UNDATED = datetime(
    2000, 1, 1, tzinfo=UTC
)  # a date of its own would make other bytes of the same drawing
MARKED = (
    "Each sheet bears a mark. While the page on which this paper was chosen shows the same mark beside it, the sheet is "
    "still right; where it shows another one, the sign or its plan was changed: print it again."
)
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
    sheets, left_out = (
        sum(counts)
        for counts in zip(*((len(one.kept), one.left_out) for one in layouts), strict=True)
    )
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
    title = f"{sign.called} {sign.name}: {text(wording.kind(what)).lower()}"
    day = f"printed {printed_on.isoformat()}" if printed_on else ""
    pdf = empty_pdf(laid[0][1].page, title)
    pdf.set_creation_date(UNDATED)
    sheets, of = [], sum(len(layout.kept) for _, layout in laid)
    for drawing, layout in laid:
        sheets.append(
            Sheets(
                drawing,
                layout,
                1 + sum(len(one.layout.kept) for one in sheets),
                of,
                sign.units,
                day,
            )
        )
    if _needs_cover([layout for _, layout in laid]):
        page = PAPERS.get(paper) or PAPERS["letter" if sign.units == "in" else "a4"]
        draw_cover(pdf, page, title, _cover_notes(sheets), sheets)
    for one in sheets:
        one.draw(pdf)
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
        raise Refused(f"There is nothing to set out on {sign.called}: it has no parts.")
    sheets = sum(len(layout.kept) for _, layout in laid)
    if sheets > MOST_SHEETS:
        raise Refused(
            f"That would be {sheets} sheets: choose one level, or one long page at a copy shop."
        )
    return laid


def _drawings(sign: FullSize, what: str, level: int | None) -> list[Drawing]:
    if what == "drilling":
        return [drilling(sign)]
    return (strips if what == "strip" else templates)(sign, sign.wanted(level))


def _needs_cover(layouts: Sequence[Layout]) -> bool:
    """Sheets do; a long page bears its notes itself, unless it had to be divided."""
    return any(not (layout.is_long and layout.is_whole) for layout in layouts)


def _cover_notes(sheets: Sequence[Sheets]) -> list[str]:
    """How the sheets are joined, then each different note of the drawings."""
    joined = [
        "Print all sheets at 100 % (actual size), not “fit to page”, and measure the test line on each before you use it.",
        "Cut each sheet along the fine full lines at its left and its upper edge: they run through the crosses. Lay it on "
        "the sheets beside and above it, up to their dashed lines, so that half a cross and half a cross of the same name "
        "make a whole one, and glue or tape it.",
    ]
    if any(not one.layout.is_whole and one.layout.is_long for one in sheets):
        joined.append(
            f"A page of a PDF is {LONGEST / 1000:.2f} m long at the most: what is longer is divided."
        )
    joined.append(MARKED)
    several = [one for one in sheets if not one.layout.is_whole]
    notes = [note for one in sheets for note in one.drawing.notes]
    return list(dict.fromkeys([*(joined if several else [joined[0], MARKED]), *notes]))
