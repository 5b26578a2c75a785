"""A sign's base with its fixings, as a workshop drawing: the base's outline, what lies on it, each hole with its number.

Owns the drawing. A hole of 5 mm on a board of 2 m would be a dot, so holes and slots are drawn larger than they are, each
about its true middle. Must not decide where a hole goes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..domain.fixings import Fixing
from ..domain.outlines import Outline
from .paths import UNIT, path

MARGIN_PX = 8
LEAST_HOLE_PX, LEAST_SLOT_PX = 11.0, 11.0  # drawn no smaller: a hole's width; how far a slot is longer than wide
LETTER_PX = 16  # height of the numbers


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
    """The drawing. Sizes in pixels; the rest in drawing units, UNIT a pixel. `is_enlarged`: holes are drawn larger than
    they are."""

    title: str
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
    title: str, size_mm: tuple[float, float], texts: tuple[str, str], bases: Sequence[Outline], covers: Sequence[Outline],
    fixings: Sequence[Fixing], covered: Mapping[int, str], box: tuple[int, int],
) -> FixingPicture:  # fmt: skip
    """The drawing as large as `box` (pixels) allows. `size_mm` and `texts` are the sign's width and height."""
    wide_mm, high_mm = size_mm
    scale = min((box[0] - 2 * MARGIN_PX) / wide_mm, (box[1] - 2 * MARGIN_PX) / high_mm)
    wide, high, edge = round(wide_mm * scale), round(high_mm * scale), MARGIN_PX * UNIT
    return FixingPicture(
        title, wide + 2 * MARGIN_PX, high + 2 * MARGIN_PX,
        f"{-edge} {-edge} {wide * UNIT + 2 * edge} {high * UNIT + 2 * edge}", (wide, high),
        tuple(path(outline, scale * UNIT, high_mm) for outline in bases),
        tuple(path(outline, scale * UNIT, high_mm) for outline in covers),
        tuple(_drawn(one, scale, size_mm, one.number in covered) for one in fixings), LETTER_PX * UNIT,
        any(_sizes(one, scale) != _true_sizes(one, scale) for one in fixings), *texts,
    )  # fmt: skip


def _true_sizes(one: Fixing, scale: float) -> tuple[float, float]:
    return one.hole_mm * scale, one.slot_mm * scale


def _sizes(one: Fixing, scale: float) -> tuple[float, float]:
    """(width, how far longer) of a hole as it is drawn, in pixels."""
    hole, slot = _true_sizes(one, scale)
    return max(hole, LEAST_HOLE_PX), max(slot, LEAST_SLOT_PX) if slot else 0.0


def _drawn(one: Fixing, scale: float, size_mm: tuple[float, float], is_covered: bool) -> DrawnFixing:
    x, y = one.x_mm * scale * UNIT, (size_mm[1] - one.y_mm) * scale * UNIT
    hole, slot = (size * UNIT / 2 for size in _sizes(one, scale))
    reach = hole + slot + 5 * UNIT
    is_right, is_high = one.x_mm > size_mm[0] / 2, one.y_mm > size_mm[1] / 2
    kind = "fixed" if one.is_fixed_point else "slot" if one.slot_mm else "round"
    return DrawnFixing(
        one.number, kind, slot_path(x, y, hole, slot, one.turn_deg),
        f"M{x - reach:.0f} {y:.0f}h{2 * reach:.0f}M{x:.0f} {y - reach:.0f}v{2 * reach:.0f}",
        slot_path(x, y, hole + 5 * UNIT, 0, 0) if one.is_fixed_point else "", is_covered,
        round(x + (-1 if is_right else 1) * (hole + 6 * UNIT)),
        round(y + (hole + LETTER_PX * UNIT if is_high else -hole - 5 * UNIT)), "end" if is_right else "start",
    )  # fmt: skip


def slot_path(x: float, y: float, radius: float, half: float, turn_deg: float) -> str:
    """SVG path data of a slot about (x, y), y down: two half circles, their middles `half` away from it along `turn_deg`
    (counter-clockwise as seen); a circle where `half` is 0."""
    turn = math.radians(turn_deg)
    ux, uy = math.cos(turn), -math.sin(turn)
    nx, ny = -uy * radius, ux * radius
    # Each half circle in two quarters, through its tip: rounded, the ends of a whole half would leave its middle open.
    steps = ((-half, 1), (half, 1), (half + radius, 0), (half, -1), (-half, -1), (-half - radius, 0))
    begin, foot, tip, head, back, end = (
        f"{x + along * ux + side * nx:.1f} {y + along * uy + side * ny:.1f}" for along, side in steps
    )
    arc = f"A{radius:.1f} {radius:.1f} 0 0 0 "
    return f"M{begin}L{foot}{arc}{tip}{arc}{head}L{back}{arc}{end}{arc}{begin}z"
