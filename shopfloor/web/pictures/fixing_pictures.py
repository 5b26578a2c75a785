"""A sign's base with its fixings, as a workshop drawing: the base's outline, the parts on it, each hole with its number.

Owns the drawing. A hole of 5 mm on a board of 2 m would be a dot, so holes and slots are drawn oversize, centred on their
true positions. Must not decide where a hole goes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import Polygon, STRtree

from ...domain.fixings.fixings import Fixing, slot_line
from ...domain.outlines import Outline
from ...wording.message import Message
from .paths import UNIT, path

MARGIN_PX = 8
LEAST_HOLE_PX = 11.0  # the least width a hole is drawn with
LEAST_SLOT_PX = 11.0  # the least that a slot is drawn longer than wide
LETTER_PX = 16  # height of the numbers
DIGIT_PX = 10  # width of one digit
ROUND_PX = 3  # free paper round a number


@dataclass(frozen=True)
class DrawnFixing:
    """One hole in drawing units: `d` its outline, `cross` its centre lines, `ring` round the fixed point ('' elsewhere); its
    number begins or ends (`anchor`) at (`x`, `y`). `kind` is 'fixed', 'slot' or 'round'."""

    number: int
    kind: str
    d: str
    cross: str
    ring: str
    is_covered: bool
    x: int
    y: int
    anchor: str


@dataclass(frozen=True)
class FixingPicture:
    """The drawing. Sizes in pixels; the rest in drawing units, UNIT a pixel. `is_enlarged`: holes are drawn oversize."""

    title: Message
    width_px: int
    height_px: int
    view_box: str
    sign_px: tuple[int, int]
    bases: tuple[str, ...]
    covers: tuple[str, ...]
    fixings: tuple[DrawnFixing, ...]
    letter: int
    is_enlarged: bool
    width_text: str
    height_text: str


def fixing_picture(
    title: Message,
    size_mm: tuple[float, float],
    texts: tuple[str, str],
    bases: Sequence[Outline],
    covers: Sequence[Outline],
    fixings: Sequence[Fixing],
    covered: Mapping[int, str],
    *,
    box: tuple[int, int],
) -> FixingPicture:
    """Draw the base as large as `box` (pixels) allows. `size_mm` and `texts` are the sign's width and height."""
    wide_mm, high_mm = size_mm
    scale = min((box[0] - 2 * MARGIN_PX) / wide_mm, (box[1] - 2 * MARGIN_PX) / high_mm)
    wide, high, edge = round(wide_mm * scale), round(high_mm * scale), MARGIN_PX * UNIT
    return FixingPicture(
        title,
        wide + 2 * MARGIN_PX,
        high + 2 * MARGIN_PX,
        f"{-edge} {-edge} {wide * UNIT + 2 * edge} {high * UNIT + 2 * edge}",
        (wide, high),
        tuple(path(outline, scale * UNIT, high_mm) for outline in bases),
        tuple(path(outline, scale * UNIT, high_mm) for outline in covers),
        _all_drawn(fixings, scale, size_mm, covered, [*bases, *covers]),
        LETTER_PX * UNIT,
        any(_sizes(fixing, scale) != _true_sizes(fixing, scale) for fixing in fixings),
        *texts,
    )


def _true_sizes(fixing: Fixing, scale: float) -> tuple[float, float]:
    return fixing.hole_mm * scale, fixing.slot_mm * scale


def _sizes(fixing: Fixing, scale: float) -> tuple[float, float]:
    """(width, how much longer than wide) of a hole as it is drawn, in pixels."""
    hole, slot = _true_sizes(fixing, scale)
    return max(hole, LEAST_HOLE_PX), max(slot, LEAST_SLOT_PX) if slot else 0.0


def _all_drawn(
    fixings: Sequence[Fixing],
    scale: float,
    size_mm: tuple[float, float],
    covered: Mapping[int, str],
    lines: Sequence[Outline],
) -> tuple[DrawnFixing, ...]:
    """The holes, each number where it covers the least of the outlines and other holes."""
    inked = STRtree(
        [
            *(outline.polygon.boundary for outline in lines),
            *(_as_drawn(fixing, scale) for fixing in fixings),
        ]
    )
    return tuple(
        _drawn(fixing, scale, size_mm, fixing.number in covered, inked) for fixing in fixings
    )


def _as_drawn(fixing: Fixing, scale: float) -> shapely.Geometry:
    """A hole as large as it is drawn, on the sign."""
    hole, slot = _sizes(fixing, scale)
    return slot_line(replace(fixing, slot_mm=slot / scale)).buffer((hole / 2 + 2) / scale)


def _drawn(
    fixing: Fixing, scale: float, size_mm: tuple[float, float], is_covered: bool, inked: STRtree
) -> DrawnFixing:
    x, y = fixing.x_mm * scale * UNIT, (size_mm[1] - fixing.y_mm) * scale * UNIT
    hole, slot = (size * UNIT / 2 for size in _sizes(fixing, scale))
    reach = hole + slot + 5 * UNIT
    kind = "fixed" if fixing.is_fixed_point else "slot" if fixing.slot_mm else "round"
    spots = _number_spots(fixing, scale, size_mm)
    across, down, anchor = min(
        spots, key=lambda spot: _ink_under(_number_box(fixing, spot, scale), inked)
    )
    return DrawnFixing(
        fixing.number,
        kind,
        slot_path(x, y, hole, slot, fixing.turn_deg),
        f"M{x - reach:.0f} {y:.0f}h{2 * reach:.0f}M{x:.0f} {y - reach:.0f}v{2 * reach:.0f}",
        slot_path(x, y, hole + 5 * UNIT, 0, 0) if fixing.is_fixed_point else "",
        is_covered,
        round(x + across * UNIT),
        round(y + down * UNIT),
        anchor,
    )


def _ink_under(box: Polygon, inked: STRtree) -> float:
    """The length of line in mm that a number in this box would cover."""
    lines = inked.geometries[inked.query(box, "intersects")]
    return sum((float(line.intersection(box).length) for line in lines), 0.0)


def _number_spots(
    fixing: Fixing, scale: float, size_mm: tuple[float, float]
) -> list[tuple[float, float, str]]:
    """Where a hole's number may begin or end, px right of its middle and below it: first towards the sign's middle."""
    hole, slot = (size / 2 for size in _sizes(fixing, scale))
    is_right, is_high = fixing.x_mm > size_mm[0] / 2, fixing.y_mm > size_mm[1] / 2
    sides = [(-1, "end"), (1, "start")] if is_right else [(1, "start"), (-1, "end")]
    levels = [hole + LETTER_PX, -hole - 5] if is_high else [-hole - 5, hole + LETTER_PX]
    near = [(side * (hole + 6), level, anchor) for level in levels for side, anchor in sides]
    beside = [(side * (hole + slot + 9), LETTER_PX * 0.36, anchor) for side, anchor in sides]
    return near + beside


def _number_box(fixing: Fixing, spot: tuple[float, float, str], scale: float) -> Polygon:
    """What a number at this spot covers, in the sign's mm, with a little paper round it."""
    across, down, anchor = spot
    wide = DIGIT_PX * len(str(fixing.number))
    left = across if anchor == "start" else across - wide
    foot, head = -down - ROUND_PX, 0.72 * LETTER_PX - down + ROUND_PX
    return shapely.box(
        fixing.x_mm + (left - ROUND_PX) / scale,
        fixing.y_mm + foot / scale,
        fixing.x_mm + (left + wide + ROUND_PX) / scale,
        fixing.y_mm + head / scale,
    )


def slot_path(x: float, y: float, radius: float, half: float, turn_deg: float) -> str:
    """SVG path data of a slot centred on (x, y), y down: two half circles whose middles are `half` away along `turn_deg`
    (counter-clockwise as seen); a circle where `half` is 0."""
    turn = math.radians(turn_deg)
    ux, uy = math.cos(turn), -math.sin(turn)
    nx, ny = -uy * radius, ux * radius
    # Each half circle in two quarters, through its tip: rounded, the ends of a whole half would leave its middle open.
    steps = (
        (-half, 1),
        (half, 1),
        (half + radius, 0),
        (half, -1),
        (-half, -1),
        (-half - radius, 0),
    )
    begin, foot, tip, head, back, end = (
        f"{x + along * ux + side * nx:.1f} {y + along * uy + side * ny:.1f}"
        for along, side in steps
    )
    arc = f"A{radius:.1f} {radius:.1f} 0 0 0 "
    return f"M{begin}L{foot}{arc}{tip}{arc}{head}L{back}{arc}{end}{arc}{begin}z"
