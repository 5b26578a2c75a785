"""Full-size paper as it is printed, measured in the PDF by pdfium; and signs whose letters stand where a font's tables say.

Owns how lines are found on a page and how sheets are put together as a person does it, by the crosses alone. Must not use
what laid the sheets out. Millimetres, y up the page.
"""

from __future__ import annotations

import re
from ctypes import c_float, c_ushort
from functools import cache
from typing import NamedTuple

import pypdfium2
from letters_for_tests import BOLD, Word, moved, word
from pypdfium2 import raw
from shop_for_tests import box

from shopfloor.domain.fixings.fixings import Fixing
from shopfloor.domain.outlines import Outline
from shopfloor.domain.setting_out.full_size import FullSize
from shopfloor.domain.setting_out.setting_out import PlacedPart, rows

POINT = 25.4 / 72  # mm, by definition of the point in PDF
LEFT = 61.5  # where the line of two metres begins on its sign


class Line(NamedTuple):
    """A path of the page: its points in mm and how heavy it is drawn, mm."""

    points: tuple[tuple[float, float], ...]
    weight: float

    @property
    def wide(self) -> float:
        return max(x for x, _ in self.points) - min(x for x, _ in self.points)

    @property
    def high(self) -> float:
        return max(y for _, y in self.points) - min(y for _, y in self.points)

    @property
    def left(self) -> float:
        return min(x for x, _ in self.points)

    @property
    def bottom(self) -> float:
        return min(y for _, y in self.points)

    def moved(self, by: tuple[float, float]) -> Line:
        return Line(tuple((x + by[0], y + by[1]) for x, y in self.points), self.weight)


class Text(NamedTuple):
    """A text of the page and the box that it fills, mm."""

    said: str
    box: tuple[float, float, float, float]


def opened(pdf: bytes) -> pypdfium2.PdfDocument:
    assert b"/UserUnit" not in pdf, "a point is 1/72 in on every page"
    return pypdfium2.PdfDocument(pdf)


def lines_of(page) -> list[Line]:
    """Every path of a page."""
    return [_line(path) for path in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])]


def _line(path) -> Line:
    x, y, weight = c_float(), c_float(), c_float()
    points = []
    for n in range(raw.FPDFPath_CountSegments(path)):
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(path, n), x, y)
        points.append((x.value * POINT, y.value * POINT))
    raw.FPDFPageObj_GetStrokeWidth(path, weight)
    return Line(tuple(points), weight.value * POINT)


def texts_of(page) -> list[Text]:
    """Every text of a page as it was set."""
    words, found = page.get_textpage(), []
    for text in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        size = raw.FPDFTextObj_GetText(text, words, None, 0)
        letters = (c_ushort * (size // 2))()
        raw.FPDFTextObj_GetText(text, words, letters, size)
        said = bytes(letters).decode("utf-16-le").rstrip("\0")
        found.append(
            Text(" ".join(said.split()), tuple(side * POINT for side in text.get_bounds()))
        )
    return found


def said_on(document) -> str:
    return " ".join(text.said for page in document for text in texts_of(page))


def of_weight(lines: list[Line], weight: float) -> list[Line]:
    return [line for line in lines if abs(line.weight - weight) < 0.01]


# Sheets put together. -------------------------------------------------------------------------------------------------


def crosses_of(page) -> dict[str, tuple[float, float]]:
    """The named crosses of a sheet: two lines of 8 mm through one point, with a name under it on the right."""
    lines = [line for line in of_weight(lines_of(page), 0.25) if len(line.points) == 2]
    flat = [line for line in lines if abs(line.wide - 8) < 0.05 and line.high < 0.01]
    upright = [line for line in lines if abs(line.high - 8) < 0.05 and line.wide < 0.01]
    middles = [
        (one.left + 4, one.bottom)
        for one in flat
        for other in upright
        if abs(one.left + 4 - other.left) < 0.05 and abs(other.bottom + 4 - one.bottom) < 0.05
    ]
    found = {}
    for text in texts_of(page):
        near = [
            (x, y) for x, y in middles if 0 < text.box[0] - x < 1.5 and 0 < y - text.box[3] < 1.5
        ]
        if near and re.fullmatch(r"[A-Z]+\d+", text.said):
            found[text.said] = near[0]
    assert len(found) == len(middles)
    return found


def joined(pages) -> tuple[list[tuple[float, float]], float]:
    """Lays sheets on each other so that crosses of one name meet: how far each is moved, how far any cross is off (mm)."""
    crosses = [crosses_of(page) for page in pages]
    moves: dict[int, tuple[float, float]] = {0: (0.0, 0.0)}
    waiting = [0]
    while waiting:
        here = waiting.pop()
        for there, others in enumerate(crosses):
            shared = crosses[here].keys() & others.keys()
            if there not in moves and len(shared) > 1:
                one = min(shared)
                moves[there] = tuple(
                    moves[here][n] + crosses[here][one][n] - others[one][n] for n in (0, 1)
                )
                waiting.append(there)
    assert len(moves) == len(crosses), "every sheet hangs together with the others"
    spots: dict[str, list[tuple[float, float]]] = {}
    for sheet, found in enumerate(crosses):
        for name, (x, y) in found.items():
            spots.setdefault(name, []).append((x + moves[sheet][0], y + moves[sheet][1]))
    assert all(len(some) > 1 for some in spots.values()), (
        "a cross stands on two sheets at the least"
    )
    off = max(
        abs(a - b)
        for some in spots.values()
        for n in (0, 1)
        for a in (one[n] for one in some)
        for b in (some[0][n],)
    )
    return [moves[sheet] for sheet in range(len(crosses))], off


def joined_lines(pages) -> list[Line]:
    """All lines of all sheets in the frame of the first."""
    pages = list(pages)
    moves, _ = joined(pages)
    return [
        line.moved(move) for page, move in zip(pages, moves, strict=True) for line in lines_of(page)
    ]


# Signs. ---------------------------------------------------------------------------------------------------------------


def parts_of(one: Word, first: int = 2, level: int = 1) -> list[PlacedPart]:
    return [
        PlacedPart(n, n, area.sign, level, area.outline) for n, area in enumerate(one.drawn, first)
    ]


def sign_of(
    letters: list[PlacedPart], size, datum: str = "left edge", *, fixings=(), **units
) -> FullSize:
    """A board with letters on it."""
    board = PlacedPart(1, 1, "board", 0, box(0, 0, *size))
    return FullSize(
        "J-1001 A",
        "Harbour office",
        *size,
        (board, *letters),
        tuple(rows(letters, size[0], datum)),
        tuple(fixings),
        datum,
        **units,
    )


def long_word(dx: float = LEFT, dy: float = 190.0) -> Word:
    """A line of capitals of a little more than two metres."""
    return moved(word("HARBOUR QUAY BOAT YARD", BOLD, 93.0), dx, dy)


@cache
def long_sign(**more) -> FullSize:
    """A sign with that line."""
    return sign_of(parts_of(long_word()), (2200.0, 420.0), **more)


def board_of(outline: Outline) -> FullSize:
    """A sign of one part on a board of its size."""
    _, _, right, top = outline.bounds
    return sign_of([PlacedPart(2, 2, "panel", 1, outline)], (right, top))


def four_fixings(wide: float, high: float) -> tuple[Fixing, ...]:
    """A fixed point in the middle and slots at three corners."""
    return (
        Fixing(1, 25.0, 31.0, 5.3, 4.2, 12.0, False, 4.5),
        Fixing(2, wide / 2, high / 2, 5.0, 0.0, 0.0, True, 4.5),
        Fixing(3, wide - 25, high - 31, 5.0, 3.0, 12.0, False, 4.5),
        Fixing(4, 25.0, high - 31, 5.0, 3.0, -12.0, False, 4.5),
    )
