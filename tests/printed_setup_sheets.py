"""Setup sheets as they are printed, read back from the PDF: its pages, texts and paths. Points of type, y up the page."""

from __future__ import annotations

import re
from ctypes import c_float, c_uint, c_ushort

import pypdfium2
from pypdfium2 import raw

from shopfloor.paper.setup_sheets import print_setup_sheet
from shopfloor.wording.formatting import Reader

MM = 72 / 25.4


def pages_of(setup_sheet, paper="a4", units="mm"):
    return pypdfium2.PdfDocument(print_setup_sheet(setup_sheet, paper, Reader(units)))


def text_of(page):
    return re.sub(r"\s+", " ", page.get_textpage().get_text_bounded())


def points_of(path):
    """A path's own points in points of type, y up the page."""
    x, y = c_float(), c_float()
    for n in range(raw.FPDFPath_CountSegments(path)):
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(path, n), x, y)
        yield x.value, y.value


def boxes_of(page):
    """(width, height) of each drawn line and rectangle in mm, from the points of its middle line."""
    for path in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        if raw.FPDFPath_CountSegments(path) <= 6:  # else a letter
            xs, ys = zip(*points_of(path), strict=True)
            yield (max(xs) - min(xs)) / MM, (max(ys) - min(ys)) / MM


def _is_white(text):
    colour = [c_uint() for _ in range(4)]
    raw.FPDFPageObj_GetFillColor(text, *colour)
    return colour[0].value == 255


def printed_on(page, is_white=False):
    """Each text as it was printed, with its bounds in points."""
    words = page.get_textpage()
    for text in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        if is_white and not _is_white(text):
            continue
        size = raw.FPDFTextObj_GetText(text, words, None, 0)
        letters_of = (c_ushort * (size // 2))()
        raw.FPDFTextObj_GetText(text, words, letters_of, size)
        yield bytes(letters_of).decode("utf-16-le").rstrip("\0").strip(), text.get_bounds()
