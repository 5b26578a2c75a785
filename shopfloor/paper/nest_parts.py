"""Which part of a sheet is drawn by itself, larger than the whole: the used part, or a share of it along its longer side.

Owns the parts, their scale and their caption. Must not draw. On the sheet lengths are mm, y up; on the page mm, y down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from ..domain import lengths
from ..domain.routing.setup_sheets import SetupSheet
from .nest_drawing import View, stated
from .words import Box

BESIDE = 15.0  # mm of the sheet past the pieces that are drawn too
OVERLAP = 0.1  # of a part's length that the next part shows again


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

    def view(self, box: Box) -> View:
        """The largest scale at which the part fits the box, turned by a quarter where that is larger; centred."""
        wide, high = self.right - self.left, self.top - self.bottom
        x, y = (self.left + self.right) / 2, (self.bottom + self.top) / 2
        plain, turned = (stated(max(w / box.w, h / box.h)) for w, h in ((wide, high), (high, wide)))
        scale, is_turned = min(plain, turned), turned < plain
        off_x, off_y = View(scale, 0, 0, is_turned).at(x, y)
        return View(scale, box.x + box.w / 2 - off_x, box.y + box.h / 2 - off_y, is_turned)

    def on_page(self, view: View) -> Box:
        """The part on the page."""
        return view.box(self.left, self.bottom, self.right, self.top)

    def said(self, view: View, units: str) -> str:
        """Its caption. `units` is 'mm' or 'in'."""
        which = ""
        if self.count > 1:
            start, end = (self.left, self.right) if self.is_along else (self.bottom, self.top)
            start_said = lengths.show(start, units).removesuffix(f" {units}")
            side = "length" if self.is_along else "width"
            which = f", {self.number} of {self.count}: from {start_said} to {lengths.show(end, units)} of the blank's {side}"
        turned = ", turned a quarter to the left" if view.is_turned else ""
        return f"The used part, larger{which}. Scale {view.said}{turned}."


def parts_of(setup_sheet: SetupSheet, count: int) -> list[Part]:
    """The used part and a little beside it, from the blank's lower left corner, in `count` overlapping parts."""
    right, top = shapely.total_bounds([piece.outline.polygon for piece in setup_sheet.pieces])[2:]
    if setup_sheet.along == "length":
        right = max(right, setup_sheet.used_mm)
    else:
        top = max(top, setup_sheet.used_mm)
    right, top = (
        min(math.ceil(right + BESIDE), setup_sheet.length_mm),
        min(math.ceil(top + BESIDE), setup_sheet.width_mm),
    )
    is_along = right >= top
    whole = max(right, top)
    length = min(whole, math.ceil(whole / (count - OVERLAP * (count - 1))))
    starts = [round(n * (whole - length) / max(1, count - 1)) for n in range(count)]
    ends = [min(start + length, whole) for start in starts[:-1]] + [whole]
    return [
        Part(start, 0, end, top, True, n, count)
        if is_along
        else Part(0, start, right, end, False, n, count)
        for n, (start, end) in enumerate(zip(starts, ends, strict=True), 1)
    ]
