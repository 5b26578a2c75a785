"""Pictures of signs and sheets: outlines in millimetres become short SVG path data.

Owns what a drawn part looks like in each of its states, and the size of the drawing. The macros in
`templates/_pictures.html` turn the dataclasses below into markup. Must not know about Flask, the database or pages.

A drawing has UNIT units a pixel at the size it is meant for, and whole numbers only: that keeps a floor of signs small
to send. What is not in hand is filled with the paper's own grid, so it covers whatever lies below it: a hole through
to the paper, which no acrylic, white or cream or grey, can be taken for.

    picture = sign_picture("J-1044-A", parts, 1200, 600)          # parts bottom first, in sign coordinates
    picture = sheet_picture("S-207", pieces, 1220, 610, used_mm=805, offcut_text="offcut 415 × 610")

    {% import "_pictures.html" as pictures %}
    {{ pictures.sign_svg(picture) }}
    {{ pictures.sheet_svg(picture, attrs) }}
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.geometry import Polygon

from ...domain.outlines import Outline
from .hold_marks import DrawnMark, DrawnNumber, Over, drawn_marks, drawn_numbers
from .overlays import DrawnFlag, DrawnTrace, Flag, Trace, drawn_flags, drawn_trace
from .paths import UNIT, path, simple

MARGIN_PX = 8  # paper left round a sign
TICK_PX = (12.0, 30.0)  # smallest and largest tick
ROOM_PX = 9.0  # a part with less room than this (radius) is ticked at its foot, so that its letter stays legible
BOARD_ROOM_PX = (
    15.0  # the same for a part on which others lie: a tick between two figures makes both illegible
)
SMALL_PX, TINY_PX = (
    36.0,
    14.0,
)  # parts smaller than this have finer lines, else they would be all line
ON_PAPER = frozenset({"waiting", "nested", "lost", "damaged"})  # not in hand
HEAVY, HEAVIER = (
    "heavy",
    "heavier",
)  # lines of pieces that hold with a skin only, and not without tabs or tape
STATES = ("waiting", "nested", "cut", "ready", "fixed", "lost", "damaged")


@dataclass(frozen=True)
class PicturePart:
    """One part (or one piece on a sheet) as the caller knows it.

    `outline` is in the coordinates of the whole picture: mm, y up, origin lower left. `colour` is '#rrggbb', `state`
    one of STATES. `href` makes it a link; `hold` is HEAVY or HEAVIER where it is drawn with a heavier line: it holds badly.
    `is_picked` draws a heavy line round it and, on a sign, guides from its lower left corner to the sign's left and lower
    edges.
    """

    key: str
    number: int
    name: str
    outline: Outline
    colour: str
    state: str
    href: str | None = None
    is_picked: bool = False
    hold: str = ""


@dataclass(frozen=True)
class DrawnPart:
    """A part ready to be written as SVG: `d` and `over` are path data, `over` what is drawn on top of it.

    `size` is '', 'small' or 'tiny': how fine its lines must be.
    """

    key: str
    label: str
    state: str
    fill: str
    size: str
    is_dark: bool
    is_picked: bool
    d: str
    over: str
    href: str | None
    hold: str


@dataclass(frozen=True)
class SignPicture:
    """A sign drawn to scale. Sizes in pixels; `paper` and `view_box` in drawing units."""

    id: str
    title: str
    width_px: int
    height_px: int
    view_box: str
    hatches: tuple[tuple[str, str], ...]
    parts: tuple[DrawnPart, ...]
    width_text: str
    height_text: str
    sign_px: tuple[int, int]
    guides: str
    traces: tuple[DrawnTrace, ...] = ()
    flags: tuple[DrawnFlag, ...] = ()
    numbers: tuple[DrawnNumber, ...] = ()


@dataclass(frozen=True)
class SheetPicture:
    """A blank with its pieces drawn to scale; `used_line` is path data.

    `used_percent` is of the blank's length, or of its width where it is filled along the 'width', from the lower edge.
    """

    id: str
    title: str
    width_px: int
    height_px: int
    view_box: str
    hatches: tuple[tuple[str, str], ...]
    parts: tuple[DrawnPart, ...]
    used_line: str
    along: str
    used_percent: float
    used_text: str
    offcut_text: str
    marks: tuple[DrawnMark, ...] = ()
    numbers: tuple[DrawnNumber, ...] = ()


def sign_picture(
    id: str,
    parts: Sequence[PicturePart],
    width_mm: float,
    height_mm: float,
    *,
    title: str = "",
    box: tuple[int, int] = (590, 190),
    width_text: str | None = None,
    height_text: str = "",
    traces: Sequence[Trace] = (),
    flags: Sequence[Flag] = (),
    numbers: Sequence[tuple[int, Outline]] = (),
) -> SignPicture:
    """A sign as large as `box` (pixels, margins included) allows.

    `parts` come bottom first, as they are stacked. `id` must be unlike every other picture's on the page. The texts
    stand at the dimension lines; the width is in whole mm where no text is given, and '' leaves a line out. `traces` and
    `flags` (in the same mm) are drawn over the parts, `numbers` on their outlines.
    """
    scale = _fit(width_mm, height_mm, box[0] - 2 * MARGIN_PX, box[1] - 2 * MARGIN_PX)
    wide, high = round(width_mm * scale), round(height_mm * scale)
    hatches = _hatches(id, parts)
    ticks = _ticks(parts, scale)
    return SignPicture(
        id=id,
        title=title or id,
        width_px=wide + 2 * MARGIN_PX,
        height_px=high + 2 * MARGIN_PX,
        view_box=_view_box(wide, high, MARGIN_PX),
        hatches=tuple((name, colour) for colour, name in hatches.items()),
        parts=tuple(_drawn(part, scale * UNIT, height_mm, hatches, ticks) for part in parts),
        width_text=f"{width_mm:.0f}" if width_text is None else width_text,
        height_text=height_text,
        sign_px=(wide, high),
        guides="".join(
            _guides(part.outline, scale * UNIT, height_mm) for part in parts if part.is_picked
        ),
        traces=tuple(drawn_trace(trace, scale * UNIT, height_mm) for trace in traces),
        flags=drawn_flags(flags, scale * UNIT, width_mm, height_mm),
        numbers=drawn_numbers(Over(numbers=tuple(numbers)), scale * UNIT, height_mm),
    )


def sheet_picture(
    id: str,
    pieces: Sequence[PicturePart],
    length_mm: float,
    width_mm: float,
    used_mm: float,
    *,
    title: str = "",
    box: tuple[int, int] = (1200, 400),
    along: str = "length",
    used_text: str | None = None,
    offcut_text: str = "",
    over: Over = Over(),
) -> SheetPicture:
    """A blank as large as `box` (pixels) allows, with its pieces in sheet coordinates and the line where it is sawn.

    `used_mm` is measured along the blank's 'length' from the left, or along its 'width' from the lower edge.
    `used_text` is 'used 805' in whole mm where none is given; '' for `offcut_text` where nothing worth keeping is left.
    `over` is what is drawn over the pieces: how they are held, their numbers.
    """
    scale = _fit(length_mm, width_mm, *box)
    wide, high = round(length_mm * scale), round(width_mm * scale)
    hatches = _hatches(id, pieces)
    ticks = _ticks(pieces, scale)
    return SheetPicture(
        id=id,
        title=title or id,
        width_px=wide,
        height_px=high,
        view_box=_view_box(wide, high, 0),
        hatches=tuple((name, colour) for colour, name in hatches.items()),
        parts=tuple(_drawn(piece, scale * UNIT, width_mm, hatches, ticks) for piece in pieces),
        used_line=_used_line(along, round(used_mm * scale * UNIT), wide * UNIT, high * UNIT),
        along=along,
        used_percent=round(
            min(100.0, 100 * used_mm / (length_mm if along == "length" else width_mm)), 2
        ),
        used_text=f"used {used_mm:.0f}" if used_text is None else used_text,
        offcut_text=offcut_text,
        marks=drawn_marks(over, scale * UNIT, width_mm),
        numbers=drawn_numbers(over, scale * UNIT, width_mm),
    )


def _used_line(along: str, used: int, wide: int, high: int) -> str:
    return f"M{used} 0v{high}" if along == "length" else f"M0 {high - used}h{wide}"


def _fit(width_mm: float, height_mm: float, wide_px: float, high_px: float) -> float:
    """Pixels a mm, so that the drawing fills the box one way and overflows it neither way."""
    return min(wide_px / width_mm, high_px / height_mm)


def _view_box(wide_px: int, high_px: int, margin_px: int) -> str:
    edge = margin_px * UNIT
    return f"{-edge} {-edge} {wide_px * UNIT + 2 * edge} {high_px * UNIT + 2 * edge}"


def _guides(outline: Outline, scale: float, height_mm: float) -> str:
    """From the lower left corner of a part to the sign's left edge, and to its lower edge."""
    left, bottom, _, _ = outline.bounds
    x, y = round(left * scale), round((height_mm - bottom) * scale)
    return f"M0 {y}h{x}v{round(height_mm * scale) - y}"


def _hatches(id: str, parts: Sequence[PicturePart]) -> dict[str, str]:
    """One hatch for each colour that is cut but not trimmed: colour to the hatch's id."""
    colours = sorted({part.colour for part in parts if part.state == "cut"})
    return {colour: f"hatch-{id}-{number}" for number, colour in enumerate(colours, 1)}


def _drawn(
    part: PicturePart, scale: float, height_mm: float, hatches: dict[str, str], ticks: dict
) -> DrawnPart:
    over = _cross(part.outline, part.state, scale, height_mm)
    if part.state == "fixed":
        over = _tick(*ticks[part.key], scale, height_mm)
    return DrawnPart(
        key=part.key,
        label=f"{part.number} {part.name}, {part.state}",
        state=part.state,
        fill=_fill(part, hatches),
        size=_size(part.outline, scale / UNIT),
        is_dark=part.state in ("ready", "fixed") and is_dark(part.colour),
        is_picked=part.is_picked,
        d=path(part.outline, scale, height_mm),
        over=over,
        href=part.href,
        hold=part.hold,
    )


def _size(outline: Outline, scale_px: float) -> str:
    least = min(outline.width_mm, outline.height_mm) * scale_px
    most = max(outline.width_mm, outline.height_mm) * scale_px
    if most < TINY_PX:
        return "tiny"
    return "small" if least < SMALL_PX and most < 2 * SMALL_PX else ""


def _fill(part: PicturePart, hatches: dict[str, str]) -> str:
    if part.state in ON_PAPER:
        return "url(#grid)"
    return f"url(#{hatches[part.colour]})" if part.state == "cut" else part.colour


def is_dark(colour: str) -> bool:
    """Whether an ink line would be lost on this colour ('#rrggbb'); relative luminance as WCAG 2.2 defines it."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.06


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def _cross(outline: Outline, state: str, scale: float, height_mm: float) -> str:
    """Lost: two strokes from corner to corner. Damaged: one stroke, and a crack across it."""
    if state not in ("lost", "damaged"):
        return ""
    left, bottom, right, top = outline.bounds
    x, y = round(left * scale), round((height_mm - top) * scale)
    w, h = round((right - left) * scale), round((top - bottom) * scale)
    if state == "lost":
        return f"M{x} {y}l{w} {h}m{-w} 0l{w} {-h}"
    bend = f"l{round(w * 0.58)} {round(h * 0.36)}l{-round(w * 0.16)} {round(h * 0.28)}"
    return f"M{x} {y}{bend}L{x + w} {y + h}m{-w} 0l{w} {-h}"


def _ticks(parts: Sequence[PicturePart], scale: float) -> dict[str, tuple[float, float, float]]:
    """For each fixed part (by key): where its tick goes, as x, y and size in mm: where most of it shows."""
    if not any(part.state == "fixed" for part in parts):
        return {}
    tolerance = 1 / scale
    shapes = [simple(part.outline, tolerance).polygon for part in parts]
    ticks = {}
    for at, part in enumerate(parts):
        if part.state == "fixed":
            above = [shape for shape in shapes[at + 1 :] if shape.intersects(shapes[at])]
            ticks[part.key] = _roomiest(shapes[at], tuple(above), scale)
    return ticks


@lru_cache(maxsize=4096)
def _roomiest(
    shape: Polygon, above: tuple[Polygon, ...], scale: float
) -> tuple[float, float, float]:
    """The middle of the largest circle that what lies above leaves free, and the size of a tick in it (mm)."""
    smallest, largest = TICK_PX
    free = shape.difference(shapely.union_all(above)) if above else shape
    circle = shapely.maximum_inscribed_circle(shape if free.is_empty else free, tolerance=1 / scale)
    if circle.length * scale < (BOARD_ROOM_PX if above else ROOM_PX):
        left, bottom, right, _ = shape.bounds
        return (left + right) / 2, bottom, smallest / scale
    (x, y), _ = circle.coords
    return x, y, min(circle.length * 1.3, largest / scale)


def _tick(x: float, y: float, size: float, scale: float, height_mm: float) -> str:
    """A tick about (x, y) mm: a short stroke down, a long stroke up."""
    unit = size * scale
    left, middle = round(x * scale - unit * 0.5), round((height_mm - y) * scale + unit * 0.05)
    return f"M{left} {middle}l{round(unit * 0.36)} {round(unit * 0.38)}l{round(unit * 0.64)} {-round(unit * 0.86)}"
