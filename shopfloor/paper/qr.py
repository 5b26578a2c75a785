"""QR symbols as plain squares, dark or light.

Owns the one call of the QR library. Must not know what the text means.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

import qrcode
from fpdf import FPDF
from fpdf.enums import RenderStyle

QUIET = 4  # modules kept light round a symbol, ISO/IEC 18004
DOT_203 = 25.4 / 203  # mm: one dot of a common label printer
# mm: the QR inventor's published guide on cell size has at least 4 printer dots, 0.50 mm at 203 dpi
LEAST_MODULE = 4 * DOT_203

Symbol = list[list[bool]]


def symbol(text: str) -> Symbol:
    """Return the modules of the smallest QR symbol for `text` at error level M, row by row from the top; no quiet zone.

    Text of the alphanumeric set alone (figures, capitals, space, `$%*+-./:`) is held in that mode.
    """
    code = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M, border=0)
    # one mode for all of it: a lower-case letter shows as a larger symbol
    code.add_data(text, optimize=0)
    code.make(fit=True)
    return [[bool(module) for module in row] for row in code.modules]


def bars(modules: Symbol) -> Iterator[tuple[int, int, int, int]]:
    """Yield the dark modules as bars that cover each once: (column, row, across, down).

    A run that repeats in the next row is one bar with it, so that a printer draws fewer and no seam shows.
    """
    open_bars: dict[tuple[int, int], int] = {}
    for y, row in enumerate([*modules, []]):
        here = set(_runs(row))
        for run in [run for run in open_bars if run not in here]:
            top = open_bars.pop(run)
            yield run[0], top, run[1], y - top
        for run in sorted(here):
            open_bars.setdefault(run, y)


def _runs(row: list[bool]) -> Iterator[tuple[int, int]]:
    """Yield where each run of dark modules begins, and its length."""
    begin = 0
    for is_dark, run in groupby(row):
        length = len(list(run))
        if is_dark:
            yield begin, length
        begin += length


def draw(pdf: FPDF, modules: Symbol, left: float, top: float, module: float) -> None:
    """Draw a symbol on a page, each module a square of `module` mm; (left, top) is its corner without the quiet zone."""
    for x, y, across, down in bars(modules):
        bar = left + x * module, top + y * module, across * module, down * module
        pdf.rect(*bar, style=RenderStyle.F)


def svg_path(text: str) -> tuple[int, str]:
    """Return a symbol for a screen: (modules a side with the quiet zone, path data in modules, y down).

    Draw it in the viewBox '0 0 modules modules' with `shape-rendering="crispEdges"`, dark on white.
    """
    modules = symbol(text)
    shapes = (
        f"M{x + QUIET} {y + QUIET}h{across}v{down}h-{across}z"
        for x, y, across, down in bars(modules)
    )
    return len(modules) + 2 * QUIET, "".join(shapes)
