"""The drawings of one nest: the whole sheet, and where that is crowded its used part larger, on pages of their own.

Owns which pieces have their marks and numbers on which drawing, and when a further drawing is worth its page. Must not know
what else is on the page. On the sheet lengths are mm, y up; on the page mm, y down; sizes of type are points.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from fpdf import FPDF

from ..scenes.nest import Nest, NestedPiece, on_paper
from ..scenes.numbers import LEAST_SIZE
from ..scenes.scene import Bounds, Scene
from ..wording import paper as wording
from ..wording.message import Message
from . import pdf as backend
from .pdf import FAINT, FINE, View, points_of_type, rows_of_dimensions, stated
from .words import Box

MOST_PARTS = 4
SMALL = (
    8.0  # mm on paper: a piece whose longer side is less shows its marks badly (tried with letters)
)
# mm on paper: from here on number and marks of a letter are apart (tried with letters)
CLEAR = 12.0
SMALL_SHARE = 1 / 3  # of the pieces: so many small ones are worth a further page
LEAST_GAIN = 1.2  # a further page draws at least so much larger
LARGER_PT = 9.5  # size of a number on a larger drawing, where there is room: read at arm's length (tried with letters)
BESIDE = 15.0  # mm of the sheet past the pieces that a larger drawing shows too
OVERLAP = 0.1  # of a part's length that the next part shows again


@dataclass(frozen=True)
class Drawing:
    """A nest where it lies on the page; `area` is what of the page it covers, `caption` is written over it where it shows a
    part of the sheet only."""

    view: View
    area: Box
    scene: Scene
    caption: Message | None = None

    def is_hard_to_read(self, least_pt: float) -> bool:
        """Whether a number found no free place, or is smaller than `least_pt` points."""
        return any(
            number.is_tag or points_of_type(number, self.view) < least_pt
            for number in self.scene.numbers
        )

    def draw(self, pdf: FPDF) -> None:
        """Draw the sheet, its pieces and their numbers; round a part of it a fine line."""
        backend.draw_scene(pdf, self.scene, self.view, self.area)
        if self.caption:
            pdf.set_draw_color(FAINT)
            pdf.set_line_width(FINE)
            pdf.rect(*self.area)
            pdf.set_draw_color(0)


@dataclass(frozen=True)
class Part:
    """A rectangle of the sheet: `number` of `count` along the sheet's length or, not `is_along`, across it."""

    left: float
    bottom: float
    right: float
    top: float
    is_along: bool
    number: int
    count: int

    @property
    def bounds(self) -> Bounds:
        """Its sides."""
        return self.left, self.bottom, self.right, self.top

    def has_middle_of(self, bounds: Bounds) -> bool:
        """Whether the middle of a piece lies in it."""
        left, bottom, right, top = bounds
        x, y = (left + right) / 2, (bottom + top) / 2
        return self.left <= x <= self.right and self.bottom <= y <= self.top

    def view(self, box: Box) -> View:
        """The largest scale at which the part fits the box, turned by a quarter where that is larger; centred."""
        wide, high = self.right - self.left, self.top - self.bottom
        x, y = (self.left + self.right) / 2, (self.bottom + self.top) / 2
        plain, turned = (stated(max(w / box.w, h / box.h)) for w, h in ((wide, high), (high, wide)))
        scale, is_turned = min(plain, turned), turned < plain
        off_x, off_y = View(scale, 0, 0, is_turned).at(x, y)
        return View(scale, box.x + box.w / 2 - off_x, box.y + box.h / 2 - off_y, is_turned)

    def caption(self, view: View) -> Message:
        """What is written over its drawing."""
        scale, is_turned = view.as_ratio, view.is_turned
        if self.count == 1:
            return wording.used_part(scale, is_turned)
        start, end = (self.left, self.right) if self.is_along else (self.bottom, self.top)
        side = "length" if self.is_along else "width"
        return wording.part_of_used_part(
            self.number, self.count, start, end, side, scale, is_turned
        )


def view_of(nest: Nest, box: Box) -> View:
    """The largest whole tenth of a scale, at most full size, at which the sheet and its dimensions fit the box; centred."""
    below, left = (rows_of_dimensions(nest.dimensions, axis) for axis in ("x", "y"))
    scale = stated(max(nest.length_mm / (box.w - left), nest.width_mm / (box.h - below)))
    spare_x = box.w - left - nest.length_mm / scale
    spare_y = box.h - below - nest.width_mm / scale
    return View(scale, box.x + left + spare_x / 2, box.bottom - below - spare_y / 2)


def whole(nest: Nest, view: View) -> Drawing:
    """The whole sheet with all numbers."""
    return Drawing(view, view.box(nest.bounds), on_paper(nest, view.scale))


def thinned(nest: Nest, view: View, crowded: Drawing) -> Drawing:
    """The whole sheet, in which small pieces are plain, and those whose number found no free place: they would blot."""
    tags = {
        piece.shape.key
        for piece, number in zip(nest.pieces, crowded.scene.numbers, strict=True)
        if number.is_tag
    }

    def is_named(piece: NestedPiece) -> bool:
        return piece.shape.key not in tags and _side(piece) >= SMALL * view.scale

    return Drawing(view, view.box(nest.bounds), on_paper(nest, view.scale, is_named=is_named))


def _side(piece: NestedPiece) -> float:
    """Its longer side, mm."""
    return max(piece.shape.outline.width_mm, piece.shape.outline.height_mm)


def larger_pages(nest: Nest, first: Drawing, box: Box) -> list[Drawing]:
    """The used part on as few pages as show it clearly, at most MOST_PARTS, each within the box.

    None where the first drawing is not crowded, or no larger scale is to be had.
    """
    if not (first.is_hard_to_read(LEAST_SIZE) or _has_many_small(nest, first.view.scale, SMALL)):
        return []
    choices = _larger_and_larger(nest, first.view.scale, box)
    for views in choices[:-1]:
        is_clear = not _has_many_small(nest, views[0][1].scale, CLEAR)
        if is_clear and (pages := _easy_to_read(nest, views)):
            return pages
    return [_page(nest, part, view) for views in choices[-1:] for part, view in views]


def _has_many_small(nest: Nest, scale: float, least: float) -> bool:
    """Whether too many pieces are less than `least` mm of paper long."""
    return bool(np.mean([_side(piece) < least * scale for piece in nest.pieces]) > SMALL_SHARE)


def _larger_and_larger(nest: Nest, scale: float, box: Box) -> list[list[tuple[Part, View]]]:
    """The used part in one, two or more parts, each choice at a larger scale than the one before it and than `scale`."""
    choices = []
    for count in range(1, MOST_PARTS + 1):
        views = [(part, part.view(box)) for part in parts_of(nest, count)]
        coarsest = max(view.scale for _, view in views)
        if scale >= LEAST_GAIN * coarsest:
            choices.append(views)
            scale = coarsest
    return choices


def _easy_to_read(nest: Nest, views: Sequence[tuple[Part, View]]) -> list[Drawing]:
    """The pages of these parts; none where one of them is hard to read."""
    pages = []
    for part, view in views:
        pages.append(_page(nest, part, view))
        if pages[-1].is_hard_to_read(LARGER_PT):
            return []
    return pages


def _page(nest: Nest, part: Part, view: View) -> Drawing:
    """A part of the sheet. A piece that reaches past it is named where its middle lies, so each one is named somewhere."""
    scene = on_paper(
        nest,
        view.scale,
        is_turned=view.is_turned,
        area=part.bounds,
        is_named=lambda piece: part.has_middle_of(piece.shape.outline.bounds),
        least_pt=LARGER_PT,
    )
    return Drawing(view, view.box(part.bounds), scene, part.caption(view))


def parts_of(nest: Nest, count: int) -> list[Part]:
    """The used part and a little beside it, from the sheet's lower left corner, in `count` overlapping parts."""
    right, top = shapely.total_bounds([piece.shape.outline.polygon for piece in nest.pieces])[
        2:
    ].tolist()
    if nest.along == "length":
        right = max(right, nest.used_mm)
    else:
        top = max(top, nest.used_mm)
    right = min(math.ceil(right + BESIDE), nest.length_mm)
    top = min(math.ceil(top + BESIDE), nest.width_mm)
    is_along = right >= top
    longest = max(right, top)
    length = min(longest, math.ceil(longest / (count - OVERLAP * (count - 1))))
    starts = [round(n * (longest - length) / max(1, count - 1)) for n in range(count)]
    ends = [min(start + length, longest) for start in starts[:-1]] + [longest]
    return [
        Part(start, 0, end, top, True, n, count)
        if is_along
        else Part(0, start, right, end, False, n, count)
        for n, (start, end) in enumerate(zip(starts, ends, strict=True), 1)
    ]
