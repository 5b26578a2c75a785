"""Labels as a PDF: one for each piece, and plain ones for offcuts, sheets, signs and trays.

Owns the layouts of label sheets and rolls and what stands where on a label. Must not read the store: it is given
everything that it prints. Lengths are millimetres, y down from the top of the page, as printers count.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fpdf import FPDF
from fpdf.enums import RenderStyle

from ..domain import codes
from ..domain.errors import Refused
from ..domain.outlines import Outline
from . import qr
from .words import FIGURE_HEIGHT, LEAST_SHARE, LINE, POINT, Box, empty_pdf, fitted, line

DOT_203 = 25.4 / 203  # mm: one dot of a common label printer
LEAST_MODULE = (
    4 * DOT_203
)  # the QR inventor's guide on cell size: at least 4 printer dots, 0.50 mm at 203 dpi


@dataclass(frozen=True)
class Label:
    """What the label of a piece says. `outline` is in the piece's own frame; `tabs` is how many there are to trim."""

    code: str
    url: str
    sign: str
    sign_name: str
    place: str
    outline: Outline
    stock: str
    attempt: int
    tabs: int


@dataclass(frozen=True)
class ThingLabel:
    """What the label of anything else says: an offcut, a sheet, a sign, a tray."""

    code: str
    url: str
    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Layout:
    """A sheet or a roll of labels, in mm. `first` is the upper left corner of the first label."""

    title: str
    page: tuple[float, float]
    columns: int
    rows: int
    cell: tuple[float, float]
    first: tuple[float, float]
    pitch: tuple[float, float]
    pad: float
    qr: float  # the side that the QR symbol would like, quiet zone included
    dot: float  # the printer's dot, where modules must be whole dots; else 0
    code_pt: float
    text_pt: float

    @property
    def per_page(self) -> int:
        """How many labels a page holds."""
        return self.columns * self.rows


LAYOUTS = {
    "a4-3x8": Layout(
        "A4, 3 × 8 labels of 70 × 37 mm",
        (210, 297),
        3,
        8,
        (70, 37),
        (0, 0.5),
        (70, 37),
        4.5,
        29,
        0,
        18,
        7.5,
    ),
    "letter-3x10": Layout(
        "Letter, 3 × 10 labels of 2 5/8 × 1 in",
        (215.9, 279.4),
        3,
        10,
        (66.675, 25.4),
        (4.7625, 12.7),
        (69.85, 25.4),
        2,
        22.4,
        0,
        17,
        6.6,
    ),
    "roll-50x25": Layout(
        "Roll, one label of 50 × 25 mm a page",
        (50, 25),
        1,
        1,
        (50, 25),
        (0, 0),
        (50, 25),
        1.5,
        21,
        DOT_203,
        13,
        6.5,
    ),
}


def print_labels(labels: Sequence[Label | ThingLabel], layout: str, skip: int = 0) -> bytes:
    """The labels as a PDF in their order, row by row.

    `layout` names one of LAYOUTS; `skip` is how many labels of the first page are peeled off already. Raises Refused
    where there is no such layout, nothing to print, or an address too long for the label.
    """
    if layout not in LAYOUTS:
        raise Refused(f"There is no label layout '{layout}': choose one of {', '.join(LAYOUTS)}.")
    if not labels:
        raise Refused("There are no labels to print: choose a job or a sheet that has pieces.")
    form = LAYOUTS[layout]
    pdf = empty_pdf(form.page, "Labels")
    for number, label in enumerate(labels, skip % form.per_page):
        if number % form.per_page == 0 or pdf.page == 0:
            pdf.add_page()
        _draw(pdf, form, _cell(form, number % form.per_page), label)
    return bytes(pdf.output())


def _cell(form: Layout, number: int) -> Box:
    row, column = divmod(number, form.columns)
    x = form.first[0] + column * form.pitch[0]
    return Box(x, form.first[1] + row * form.pitch[1], *form.cell)


def _draw(pdf: FPDF, form: Layout, cell: Box, label: Label | ThingLabel) -> None:
    edge = _draw_qr(pdf, form, cell, label.url)
    text = Box(edge, cell.y + form.pad, cell.right - form.pad - edge, cell.h - 2 * form.pad)
    text = _draw_code(pdf, form, text, label.code)
    if isinstance(label, Label):
        _draw_piece(pdf, form, text, label)
    else:
        _draw_thing(pdf, form, text, label)


def _draw_qr(pdf: FPDF, form: Layout, cell: Box, url: str) -> float:
    """Draws the symbol at the left, gives the x where text may begin."""
    modules = qr.symbol(url)
    module = _module(form, len(modules) + 2 * qr.QUIET)
    quiet = qr.QUIET * module
    side = len(modules) * module
    left = cell.x + max(form.pad, quiet + 0.5)  # the quiet zone may lie in the padding
    top = cell.y + (cell.h - side) / 2
    for x, y, across, down in qr.bars(modules):
        pdf.rect(
            left + x * module, top + y * module, across * module, down * module, style=RenderStyle.F
        )
    return left + side + quiet + 0.4  # a bold J hangs out to its left


def _module(form: Layout, across: int) -> float:
    """The side of a module in mm: as large as the layout likes, whole dots where it has them."""
    module = form.qr / across
    if form.dot:
        module = int(module / form.dot + 1e-9) * form.dot
    module = max(module, LEAST_MODULE)
    if across * module > form.cell[1]:
        raise Refused("The shop's address is too long for this label: set a shorter one in Office.")
    return module


def _draw_code(pdf: FPDF, form: Layout, text: Box, code: str) -> Box:
    """Large figures and a rule under them."""
    shown = codes.show(code)
    pdf.set_font("label", "B", form.code_pt)
    pt = min(form.code_pt, form.code_pt * text.w / pdf.get_string_width(shown))
    pdf.set_font_size(pt)
    height = FIGURE_HEIGHT * pt * POINT
    pdf.text(text.x, text.y + height, shown)
    gap = 0.12 * pt * POINT
    pdf.set_line_width(0.25)
    pdf.line(text.x, text.y + height + gap, text.right, text.y + height + gap)
    return text.below(height + 2 * gap)


def _draw_piece(pdf: FPDF, form: Layout, text: Box, label: Label) -> None:
    """Sign, place, stock, attempt and tabs at the left; the piece's own shape in the lower right corner."""
    is_wide = text.w > 2 * text.h
    text = _draw_sign(pdf, form, text, label)
    if label.tabs:
        text = _draw_tabs(pdf, form, text, label.tabs)
    if not is_wide:
        text = line(pdf, text, label.place, form.text_pt).below(0.3)
    picture = _draw_outline(pdf, text, label.outline)
    if is_wide:
        text = _draw_beside(pdf, form, text, picture, label.place)
    for part in _stock_lines(pdf, form, _beside(form, text, picture), label.stock):
        text = _draw_beside(pdf, form, text, picture, part)
    text = _draw_beside(
        pdf, form, text, picture, f"attempt {label.attempt}", is_bold=label.attempt > 1
    )
    size = f"{label.outline.width_mm:.0f} × {label.outline.height_mm:.0f} mm"
    if _fits(pdf, form, _beside(form, text, picture), size):  # half a size would be a wrong one
        _draw_beside(pdf, form, text, picture, size)


def _draw_beside(
    pdf: FPDF, form: Layout, text: Box, picture: Box, said: str, *, is_bold: bool = False
) -> Box:
    rest = line(pdf, _beside(form, text, picture), said, form.text_pt, is_bold=is_bold)
    return rest._replace(w=text.w)


def _beside(form: Layout, text: Box, picture: Box) -> Box:
    """The box as wide as its first line may be: up to the picture, or past it where the line is over it."""
    is_over = text.y + LINE * form.text_pt * POINT <= picture.y
    return text if is_over else text._replace(w=picture.x - 1.0 - text.x)


def _draw_sign(pdf: FPDF, form: Layout, text: Box, label: Label) -> Box:
    """The sign's code in bold, its name in what is left of the line."""
    pt = form.text_pt * 1.15
    rest = line(pdf, text, label.sign, pt, is_bold=True)
    used = pdf.get_string_width(fitted(pdf, label.sign, text.w)) + 0.35 * pt * POINT
    if text.w - used > 2 * pt * POINT:
        line(
            pdf,
            Box(text.x + used, text.y, text.w - used, text.h),
            label.sign_name,
            form.text_pt,
            line_pt=pt,
        )
    return rest


def _draw_tabs(pdf: FPDF, form: Layout, text: Box, tabs: int) -> Box:
    """A dark bar along the foot that nobody overlooks; gives what is left over it."""
    pt = form.text_pt * 1.15
    height = 1.3 * pt * POINT
    bar = Box(text.x, text.bottom - height, text.w, height)
    pdf.rect(bar.x, bar.y, bar.w, bar.h, style=RenderStyle.F)
    pdf.set_font("label", "B", pt)
    said = f"TRIM TABS ({tabs})"
    pdf.set_font_size(min(pt, pt * 0.92 * bar.w / pdf.get_string_width(said)))
    baseline = bar.y + (height + FIGURE_HEIGHT * pdf.font_size) / 2
    pdf.set_text_color(255)
    pdf.text(bar.x + (bar.w - pdf.get_string_width(said)) / 2, baseline, said)
    pdf.set_text_color(0)
    return text.above(height + 0.4)


def _stock_lines(pdf: FPDF, form: Layout, text: Box, stock: str) -> list[str]:
    """The stock on one line; or, where it is long and the attempt still has its own, the thickness on a second."""
    colour, comma, thickness = stock.rpartition(", ")
    has_room = text.h >= (2 * LINE + 1) * form.text_pt * POINT
    if not comma or not has_room or _fits(pdf, form, text, stock):
        return [stock]
    return [colour + ",", thickness]


def _fits(pdf: FPDF, form: Layout, text: Box, said: str) -> bool:
    pdf.set_font("label", "", form.text_pt)
    return LEAST_SHARE * pdf.get_string_width(said) <= text.w


def _draw_thing(pdf: FPDF, form: Layout, text: Box, label: ThingLabel) -> None:
    text = line(pdf, text, label.title, form.text_pt * 1.5, is_bold=True)
    room = int(text.h / (LINE * form.text_pt * POINT))
    lines = list(label.lines[:room])
    if len(label.lines) > room and lines:
        lines[-1] += " …"
    for said in lines:
        text = line(pdf, text, said, form.text_pt)


def _draw_outline(pdf: FPDF, text: Box, outline: Outline) -> Box:
    """The shape in ink, its holes left open, in the lower right corner; gives the box it takes."""
    left, bottom, right, top = outline.bounds
    scale = min(0.45 * text.w / (right - left), text.h / (top - bottom))
    x, y = text.right - right * scale, text.bottom + bottom * scale
    for number, ring in enumerate(_rings(outline, 0.02 / scale)):
        pdf.set_fill_color(
            255 if number else 0
        )  # holes are white on the ink: far quicker than one compound path
        pdf.polygon([(x + px * scale, y - py * scale) for px, py in ring], style=RenderStyle.F)
    pdf.set_fill_color(0)
    width, height = (right - left) * scale, (top - bottom) * scale
    return Box(text.right - width, text.bottom - height, width, height)


def _rings(outline: Outline, tolerance: float) -> Iterator[list[tuple[float, float]]]:
    """The outer ring, then the holes, with no more corners than the print can show."""
    for ring in (outline.polygon.exterior, *outline.polygon.interiors):
        yield list(ring.simplify(tolerance).coords[:-1])
