"""The drawings of one nest: the whole sheet, and where that is crowded its used part larger, on pages of their own.

Owns which pieces bear their marks and numbers on which drawing, and when a further drawing is worth its page. Must not know
what else stands on the page. Lengths are mm on the page, y down; sizes of type are points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from fpdf import FPDF
from shapely import Polygon
from shapely.geometry import box as rectangle

from ..domain.routing.setup_sheets import SetupSheet
from . import nest_drawing
from .nest_drawing import FAINT, FINE, DrawnPiece, View
from .nest_numbers import SIZES, Ground, Number, draw_number, draw_zone_numbers, numbers_of
from .nest_parts import Part, parts_of
from .words import Box

MOST_PARTS = 4
SMALL = 8.0  # mm on paper: a piece whose longer side is less shows its marks badly (looked at, on letters)
CLEAR = 12.0  # mm on paper: from here on number and marks of a letter stand apart (looked at, on letters)
SMALL_SHARE = 1 / 3  # of the pieces: so many small ones are worth a further page
LEAST_GAIN = 1.2  # a further page draws at least so much larger
LARGER_PT = 9.5  # size of a number on a larger drawing, where there is room: read at arm's length (looked at)


@dataclass(frozen=True)
class Drawing:
    """A drawing of the sheet, ready to be drawn: `area` is what of the page it covers. `pieces` bear marks and `numbers`,
    of `plain` ones another page says more."""

    view: View
    area: Box
    ground: Ground
    pieces: Sequence[DrawnPiece]
    numbers: Sequence[Number]
    plain: Sequence[Polygon]

    def is_hard_to_read(self, least_pt: float) -> bool:
        """Whether a number found no free spot, or is smaller than `least_pt` points."""
        return any(number.is_tag or number.pt < least_pt for number in self.numbers)

    def draw(self, pdf: FPDF, setup_sheet: SetupSheet) -> None:
        """Draws the sheet, its pieces and their numbers; nothing of the sheet outside the area."""
        with pdf.rect_clip(*self.area.inside(-0.25, -0.25)):
            nest_drawing.draw_blank(pdf, setup_sheet, self.view)
            for shape in self.plain:
                nest_drawing.draw_plain(pdf, shape)
            for piece, number in zip(self.pieces, self.numbers, strict=True):
                nest_drawing.draw_piece(pdf, piece, None if number.leader else number.box)
            nest_drawing.draw_used_line(pdf, setup_sheet, self.view)
        draw_zone_numbers(pdf, nest_drawing.zone_corners(setup_sheet, self.view), self.ground)
        for number in self.numbers:
            draw_number(pdf, number)


@dataclass(frozen=True)
class LargerPage:
    """A drawing of a part of the sheet."""

    part: Part
    drawing: Drawing

    def draw(self, pdf: FPDF, setup_sheet: SetupSheet) -> None:
        """Draws it with a fine line where it ends within the sheet."""
        self.drawing.draw(pdf, setup_sheet)
        pdf.set_draw_color(FAINT)
        pdf.set_line_width(FINE)
        pdf.rect(*self.drawing.area)
        pdf.set_draw_color(0)

    def said(self, units: str) -> str:
        """Its caption."""
        return self.part.said(self.drawing.view, units)


def _side(piece: DrawnPiece) -> float:
    """Its longer side on paper."""
    left, top, right, bottom = piece.shape.bounds
    return max(right - left, bottom - top)


def whole(setup_sheet: SetupSheet, view: View) -> Drawing:
    """The whole sheet with all numbers."""
    return _laid(setup_sheet, view, _blank(setup_sheet, view), lambda at, piece: True, SIZES[-1])


def thinned(setup_sheet: SetupSheet, view: View, crowded: Drawing) -> Drawing:
    """The whole sheet, in which those pieces are plain that would blot: small ones, and whose number found no free spot."""
    tags = {at for at, number in enumerate(crowded.numbers) if number.is_tag}
    return _laid(
        setup_sheet,
        view,
        _blank(setup_sheet, view),
        lambda at, piece: at not in tags and _side(piece) >= SMALL,
        SIZES[-1],
    )


def larger_pages(setup_sheet: SetupSheet, first: Drawing, box: Box) -> list[LargerPage]:
    """The used part on as few pages as show it clearly, at most MOST_PARTS, each within the box. None where the first
    drawing is not crowded, or no larger scale is to be had."""
    if not (
        first.is_hard_to_read(SIZES[-1]) or _has_many_small(setup_sheet, first.view.scale, SMALL)
    ):
        return []
    choices = _larger_and_larger(setup_sheet, first.view.scale, box)
    for views in choices[:-1]:
        if not _has_many_small(setup_sheet, views[0][1].scale, CLEAR) and (
            pages := _easy_to_read(setup_sheet, views)
        ):
            return pages
    return [_page(setup_sheet, part, view) for views in choices[-1:] for part, view in views]


def _has_many_small(setup_sheet: SetupSheet, scale: float, least: float) -> bool:
    """Whether too many pieces are less than `least` mm of paper long."""
    left, bottom, right, top = shapely.bounds(
        [piece.outline.polygon for piece in setup_sheet.pieces]
    ).T
    return bool(np.mean(np.maximum(right - left, top - bottom) < least * scale) > SMALL_SHARE)


def _larger_and_larger(
    setup_sheet: SetupSheet, scale: float, box: Box
) -> list[list[tuple[Part, View]]]:
    """The used part in one, two or more parts, each choice at a larger scale than the one before it and than `scale`."""
    choices = []
    for count in range(1, MOST_PARTS + 1):
        views = [(part, part.view(box)) for part in parts_of(setup_sheet, count)]
        coarsest = max(view.scale for _, view in views)
        if scale >= LEAST_GAIN * coarsest:
            choices.append(views)
            scale = coarsest
    return choices


def _easy_to_read(setup_sheet: SetupSheet, views: Sequence[tuple[Part, View]]) -> list[LargerPage]:
    """The pages of these parts; none where one of them is hard to read."""
    pages = []
    for part, view in views:
        pages.append(_page(setup_sheet, part, view))
        if pages[-1].drawing.is_hard_to_read(LARGER_PT):
            return []
    return pages


def _page(setup_sheet: SetupSheet, part: Part, view: View) -> LargerPage:
    """A part of the sheet. A piece that reaches past it is named where its middle lies, so each one is named somewhere."""
    area = part.on_page(view)

    def has_its_middle_here(_at: int, piece: DrawnPiece) -> bool:
        left, top, right, bottom = piece.shape.bounds
        x, y = (left + right) / 2, (top + bottom) / 2
        return area.x <= x <= area.right and area.y <= y <= area.bottom

    return LargerPage(part, _laid(setup_sheet, view, area, has_its_middle_here, LARGER_PT))


def _blank(setup_sheet: SetupSheet, view: View) -> Box:
    return view.box(0, 0, setup_sheet.length_mm, setup_sheet.width_mm)


def _laid(
    setup_sheet: SetupSheet,
    view: View,
    area: Box,
    is_named: Callable[[int, DrawnPiece], bool],
    least_pt: float,
) -> Drawing:
    edge = rectangle(area.x, area.y, area.right, area.bottom)
    ground = Ground(area.inside(0.6, 0.6))
    for side in (
        nest_drawing.used_line(setup_sheet, view),
        *nest_drawing.margin_lines(setup_sheet, view),
    ):
        ground.take_line(side)
    pieces, seen, said, plain = [], [], [], []
    for at, piece in enumerate(nest_drawing.drawn_pieces(setup_sheet, view)):
        if not piece.shape.intersects(edge):
            continue
        if is_named(at, piece):
            pieces.append(piece)
            seen.append(replace(piece, shape=_seen(piece.shape, edge)))
            said.append((str(setup_sheet.pieces[at].order), setup_sheet.pieces[at].code[-4:]))
        else:
            plain.append(piece.shape)
            ground.take_shape(piece.shape.buffer(0.45))
    return Drawing(view, area, ground, pieces, numbers_of(seen, said, ground, least_pt), plain)


def _seen(shape: Polygon, edge: Polygon) -> Polygon:
    """The largest area of a piece that lies within the edge."""
    if edge.contains(shape):
        return shape
    return max(shapely.get_parts(shape.intersection(edge)), key=lambda part: part.area)
