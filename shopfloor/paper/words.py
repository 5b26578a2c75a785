"""Words on a page: the fonts, one line made to fit its box, a text in as many lines as it needs, a cell of a title block.

Owns how text is set so that it never leaves its box. Must not know what the text says, nor on which paper. Lengths are mm,
y down from the top of the page; sizes of type are points.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate
from pathlib import Path
from typing import NamedTuple, cast

from fpdf import FPDF
from fpdf.enums import Align, MethodReturnValue
from fpdf.fonts import TTFFont

from ..scenes import scene

FONTS = Path(__file__).parent / "fonts"
POINT, FIGURE_HEIGHT, LINE = scene.POINT, scene.FIGURE_HEIGHT, scene.LINE
BASELINE = 0.80  # share of the em, read from the font's own tables
NO_GLYPH = "\u25a1"  # replaces a character that the font lacks
# how far fpdf2 sets the baseline of a line of that height lower, in ems
LOWER = LINE / 2 + 0.3 - BASELINE
CAPTION_PT = 6.5  # of a cell
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # upright; ISO 216 and ANSI/ASME Y14.1
LEAST_SHARE = 0.82  # text shrinks to this share of its size before it is shortened


class Box(NamedTuple):
    """A part of the page that is still free."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.h

    def below(self, used: float) -> Box:
        """What is left under `used` mm."""
        return Box(self.x, self.y + used, self.w, self.h - used)

    def above(self, used: float) -> Box:
        """What is left over `used` mm."""
        return Box(self.x, self.y, self.w, self.h - used)

    def beside(self, used: float) -> Box:
        """What is left to the right of `used` mm."""
        return Box(self.x + used, self.y, self.w - used, self.h)

    def inside(self, across: float, down: float) -> Box:
        """What is left within a border of `across` mm left and right, `down` mm above and below."""
        return Box(self.x + across, self.y + down, self.w - 2 * across, self.h - 2 * down)

    def columns(self, *shares: float) -> list[Box]:
        """Boxes side by side, each with its share of the width."""
        begins = accumulate(shares, initial=0.0)
        return [
            self.beside(begin * self.w)._replace(w=share * self.w)
            for begin, share in zip(begins, shares, strict=False)
        ]


def empty_pdf(page: tuple[float, float], title: str) -> FPDF:
    """An empty PDF for pages of this size in mm, with the fonts that `line` sets."""
    pdf = FPDF(unit="mm", format=page)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    pdf.set_title(title)
    pdf.add_font("label", "", FONTS / "DejaVuSans.ttf")
    pdf.add_font("label", "B", FONTS / "DejaVuSans-Bold.ttf")
    return pdf


def set_type(pdf: FPDF, pt: float, *, is_bold: bool = False) -> None:
    """Choose the size and weight of the text that follows."""
    pdf.set_font("label", "B" if is_bold else "", pt)


def line(
    pdf: FPDF,
    box: Box,
    words: str,
    pt: float,
    *,
    is_bold: bool = False,
    line_pt: float | None = None,
) -> Box:
    """One line at the top of the box, made to fit; nothing where there is no room. Return the box under it."""
    em = (line_pt or pt) * POINT
    if box.h < em:
        return box
    set_type(pdf, pt, is_bold=is_bold)
    pdf.text(box.x, box.y + BASELINE * em, fitted(pdf, words, box.w))
    return box.below(LINE * em)


def fitted(pdf: FPDF, words: str, width: float) -> str:
    """The text in one line no wider than `width`: set smaller, then shortened with an ellipsis."""
    text = one_line(pdf, words)
    wide = pdf.get_string_width(text)
    if wide <= width:
        return text
    pdf.set_font_size(pdf.font_size_pt * max(LEAST_SHARE, width / wide * 0.999))
    if pdf.get_string_width(text) <= width:
        return text

    def shortened(letters: int) -> str:
        return text[:letters].rstrip() + "…"

    fits = bisect_right(
        range(1, len(text)), width, key=lambda letters: pdf.get_string_width(shortened(letters))
    )
    return shortened(fits)


def one_line(pdf: FPDF, words: str) -> str:
    """The text without line breaks, each character that the font lacks as a box."""
    glyphs = cast(TTFFont, pdf.current_font).cmap
    printed = (
        character if ord(character) in glyphs else NO_GLYPH if character.isprintable() else " "
        for character in words
    )
    return " ".join("".join(printed).split())


def centred(pdf: FPDF, box: Box, words: str, pt: float, *, is_bold: bool = False) -> None:
    """One line in the middle of the box, set smaller where it is wider than that."""
    set_type(pdf, pt, is_bold=is_bold)
    pdf.set_font_size(pt * min(1.0, box.w / pdf.get_string_width(words)))
    left = box.x + (box.w - pdf.get_string_width(words)) / 2
    pdf.text(left, box.y + (box.h + FIGURE_HEIGHT * pdf.font_size) / 2, words)


def paragraph(
    pdf: FPDF,
    box: Box,
    words: str,
    pt: float,
    *,
    is_bold: bool = False,
    is_drawn: bool = True,
) -> Box:
    """The text at the top of the box in as many lines as it needs. Return the box under it."""
    set_type(pdf, pt, is_bold=is_bold)
    pdf.set_xy(box.x, box.y - LOWER * pdf.font_size)
    used = pdf.multi_cell(
        box.w,
        LINE * pdf.font_size,
        one_line(pdf, words),
        align=Align.L,
        dry_run=not is_drawn,
        output=MethodReturnValue.HEIGHT,
    )
    return box.below(cast(float, used))


def wrapped(pdf: FPDF, words: str, width: float) -> list[str]:
    """The text in lines no wider than `width` at the size that is set."""
    lines = pdf.multi_cell(
        width,
        text=one_line(pdf, words),
        align=Align.L,
        dry_run=True,
        output=MethodReturnValue.LINES,
    )
    return cast(list[str], lines)


def cell(pdf: FPDF, box: Box, caption: str, *lines: tuple[str, float], aside: float = 0.0) -> None:
    """A cell of a title block: its caption small over lines (words, size), of which the first is bold and those as large.
    `aside` mm at its right stay free."""
    pdf.rect(*box)
    rest = line(pdf, box.inside(1.7, 0.5), caption, CAPTION_PT)
    used = sum(LINE * pt * POINT for _, pt in lines)
    rest = rest._replace(w=rest.w - aside).below(max(0.0, (rest.h - used) / 2))
    for words, pt in lines:
        rest = line(pdf, rest, words, pt, is_bold=pt == lines[0][1])
