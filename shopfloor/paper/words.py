"""Words on a page: the fonts, one line made to fit its box, a text broken into lines.

Owns how text is set so that it never leaves its box. Must not know what the text says, nor on which paper. Lengths are mm,
y down from the top of the page; sizes of type are points.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from fpdf import FPDF
from fpdf.fonts import TTFFont

from ..scenes import scene

FONTS = Path(__file__).parent / "fonts"
POINT, FIGURE_HEIGHT, LINE = scene.POINT, scene.FIGURE_HEIGHT, scene.LINE
BASELINE = 0.80  # share of the em, read from the font's own tables
NO_GLYPH = "\u25a1"  # replaces a character that the font lacks
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


def empty_pdf(page: tuple[float, float], title: str) -> FPDF:
    """An empty PDF for pages of this size in mm, with the fonts that `line` sets."""
    pdf = FPDF(unit="mm", format=page)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
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
    if wide > width:
        pdf.set_font_size(pdf.font_size_pt * max(LEAST_SHARE, width / wide * 0.999))
        text = shortened(pdf, text, width)
    return text


def one_line(pdf: FPDF, words: str) -> str:
    """The text without line breaks, each character that the font lacks as a box."""
    return " ".join("".join(_printable(pdf, c) for c in words).split())


def _printable(pdf: FPDF, character: str) -> str:
    if not character.isprintable():
        return " "
    font = pdf.current_font
    if isinstance(font, TTFFont) and ord(character) not in font.cmap:
        return NO_GLYPH
    return character


def shortened(pdf: FPDF, text: str, width: float) -> str:
    """The beginning of a line that is no wider than `width` at the size that is set; an ellipsis replaces the rest."""
    if pdf.get_string_width(text) <= width:
        return text
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        if pdf.get_string_width(text[:middle].rstrip() + "…") <= width:
            fits = middle
        else:
            too_long = middle
    return text[:fits].rstrip() + "…"


def wrapped(pdf: FPDF, words: str, width: float) -> list[str]:
    """The text in lines no wider than `width` at the size that is set; a word wider than that is shortened."""
    lines: list[str] = []
    for word in one_line(pdf, words).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and pdf.get_string_width(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(shortened(pdf, word, width))
    return lines
