"""Signs and sheets as SVG, from their scenes: outlines in millimetres become short path data.

Owns what a drawn part looks like in each of its states, and the size of the drawing. The macros in
`templates/_pictures.html` turn the dataclasses below into markup. Must not know about Flask, the database or pages.

A drawing has UNIT units a pixel at the size it is meant for, and whole numbers only: that keeps a floor of signs small
to send. What is not in hand is filled with the paper's own grid, so it covers whatever lies below it: a hole through
to the paper, which no acrylic, white or cream or grey, can be taken for.

    picture = sign_picture("J-1044-A", shapes, 1200, 600)          # shapes bottom first, in sign coordinates
    picture = sheet_picture("S-207", nest)

    {% import "_pictures.html" as pictures %}
    {{ pictures.sign_svg(picture) }}
    {{ pictures.sheet_svg(picture, attrs) }}
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ...domain.outlines import Outline
from ...scenes import nest as nests
from ...scenes import sign as signs
from ...scenes.nest import Nest
from ...scenes.scene import Number, OnionSkin, Scene, Shape, Tab, Tape, Tick
from ...wording import pictures as wording
from ...wording.message import Message, text
from .overlays import DrawnFlag, DrawnTrace, Flag, Trace, drawn_flags, drawn_trace
from .paths import UNIT, path

MARGIN_PX = 8  # paper left round a sign
# parts smaller than this have finer lines, else they would be all line
SMALL_PX, TINY_PX = 36.0, 14.0
ON_PAPER = frozenset({"waiting", "nested", "lost", "damaged"})  # not in hand
STATES = ("waiting", "nested", "cut", "ready", "fixed", "lost", "damaged")


@dataclass(frozen=True)
class DrawnPart:
    """A part ready to be written as SVG: `d` and `over` are path data, `over` what is drawn on top of it.

    `size` is '', 'small' or 'tiny': how fine its lines must be.
    """

    key: str
    label: Message
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
class DrawnMark:
    """A mark of how a piece is held: `kind` is 'tab', 'skin' or 'tape', `d` path data."""

    kind: str
    d: str


@dataclass(frozen=True, kw_only=True)
class Picture:
    """What is drawn to scale. Sizes in pixels; `view_box` and what lies in it in drawing units."""

    id: str
    title: Message | str
    width_px: int
    height_px: int
    view_box: str
    hatches: tuple[tuple[str, str], ...]
    parts: tuple[DrawnPart, ...]
    numbers: tuple[Number, ...]


@dataclass(frozen=True, kw_only=True)
class SignPicture(Picture):
    """A sign with the texts of its dimension lines; `sign_px` is its size without the paper round it."""

    width_text: str
    height_text: str
    sign_px: tuple[int, int]
    guides: str
    traces: tuple[DrawnTrace, ...]
    flags: tuple[DrawnFlag, ...]


@dataclass(frozen=True, kw_only=True)
class SheetPicture(Picture):
    """A blank with its pieces; `used_line` is path data.

    `used_percent` is of the blank's length, or of its width where it is filled along the 'width', from the lower edge.
    """

    used_line: str
    along: str
    used_percent: float
    used_text: str
    offcut_text: str
    marks: tuple[DrawnMark, ...]


def sign_picture(  # noqa: PLR0913 - a page names only what it shows
    id: str,
    parts: Sequence[Shape],
    width_mm: float,
    height_mm: float,
    *,
    title: Message | str = "",
    box: tuple[int, int] = (590, 190),
    width_text: str | None = None,
    height_text: str = "",
    traces: Sequence[Trace] = (),
    flags: Sequence[Flag] = (),
    numbers: Sequence[tuple[int, Outline]] = (),
) -> SignPicture:
    """Draw a sign as large as `box` (pixels, margins included) allows.

    `parts` come bottom first, as they are stacked. `id` must differ from every other picture's on the page. The texts are
    those of the dimension lines; the width is in whole mm where no text is given, and '' leaves a line out. `traces` and
    `flags` (in the same mm) are drawn over the parts, `numbers` on their outlines.
    """
    scale = fit(width_mm, height_mm, box[0] - 2 * MARGIN_PX, box[1] - 2 * MARGIN_PX)
    wide, high = round(width_mm * scale), round(height_mm * scale)
    scene = signs.on_screen(parts, (width_mm, height_mm), 1 / scale, numbers)
    hatches = _hatches(id, parts)
    return SignPicture(
        id=id,
        title=title or id,
        width_px=wide + 2 * MARGIN_PX,
        height_px=high + 2 * MARGIN_PX,
        view_box=_view_box(wide, high, MARGIN_PX),
        hatches=tuple((name, colour) for colour, name in hatches.items()),
        parts=_drawn_shapes(scene, scale * UNIT, hatches),
        width_text=f"{width_mm:.0f}" if width_text is None else width_text,
        height_text=height_text,
        sign_px=(wide, high),
        guides="".join(
            _guides(part.outline, scale * UNIT, height_mm) for part in parts if part.is_picked
        ),
        traces=tuple(drawn_trace(trace, scale * UNIT, height_mm) for trace in traces),
        flags=drawn_flags(flags, scale * UNIT, width_mm, height_mm),
        numbers=drawn_numbers(scene, scale * UNIT),
    )


def sheet_picture(
    id: str, nest: Nest, *, title: Message | str = "", box: tuple[int, int] = (1200, 400)
) -> SheetPicture:
    """A sheet as large as `box` (pixels) allows, with its pieces and the line where it is sawn.

    The nest's dimension lines say what is used of it, and what offcut is left.
    """
    scale = fit(nest.length_mm, nest.width_mm, *box)
    wide, high = round(nest.length_mm * scale), round(nest.width_mm * scale)
    scene = nests.on_screen(nest, 1 / scale)
    hatches = _hatches(id, scene.shapes, STATES)
    texts = {dimension.kind: text(dimension.text) for dimension in nest.dimensions}
    used, along = round(nest.used_mm * scale * UNIT), nest.along
    side = nest.length_mm if along == "length" else nest.width_mm
    return SheetPicture(
        id=id,
        title=title or id,
        width_px=wide,
        height_px=high,
        view_box=_view_box(wide, high, 0),
        hatches=tuple((name, colour) for colour, name in hatches.items()),
        parts=_drawn_shapes(scene, scale * UNIT, hatches),
        used_line=f"M{used} 0v{high * UNIT}"
        if along == "length"
        else f"M0 {high * UNIT - used}h{wide * UNIT}",
        along=along,
        used_percent=round(min(100.0, 100 * nest.used_mm / side), 2),
        used_text=texts.get("used", ""),
        offcut_text=texts.get("offcut", ""),
        marks=tuple(drawn_marks(scene, scale * UNIT)),
        numbers=drawn_numbers(scene, scale * UNIT),
    )


def fit(width_mm: float, height_mm: float, wide_px: float, high_px: float) -> float:
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


def drawn_piece(
    id: str, shape: Shape, length_mm: float, width_mm: float, box: tuple[int, int]
) -> DrawnPart:
    """One piece as the sheet's picture draws it, for a picture that is on the page already."""
    scale = fit(length_mm, width_mm, *box) * UNIT
    return _drawn(shape, scale, width_mm, _hatches(id, [shape], STATES), None)


def _hatches(id: str, parts: Sequence[Shape], states: Sequence[str] = ("cut",)) -> dict[str, str]:
    """One hatch for each colour in one of `states`: colour to the hatch's id.

    On a sheet each state counts: a tap makes a piece 'cut' in a picture that may have none so far.
    """
    colours = sorted({part.colour for part in parts if part.state in states})
    return {colour: f"hatch-{id}-{number}" for number, colour in enumerate(colours, 1)}


def _drawn_shapes(scene: Scene, scale: float, hatches: Mapping[str, str]) -> tuple[DrawnPart, ...]:
    ticks = {tick.key: tick for tick in scene.ticks}
    return tuple(
        _drawn(shape, scale, scene.height_mm, hatches, ticks.get(shape.key))
        for shape in scene.shapes
    )


def _drawn(
    shape: Shape, scale: float, height_mm: float, hatches: Mapping[str, str], tick: Tick | None
) -> DrawnPart:
    return DrawnPart(
        key=shape.key,
        label=wording.labelled(shape.number, shape.name, shape.state),
        state=shape.state,
        fill=_fill(shape, hatches),
        size=_size(shape.outline, scale / UNIT),
        is_dark=shape.state in ("ready", "fixed") and is_dark(shape.colour),
        is_picked=shape.is_picked,
        d=path(shape.outline, scale, height_mm),
        over=_tick(tick, scale, height_mm)
        if tick
        else _cross(shape.outline, shape.state, scale, height_mm),
        href=shape.href,
        hold=shape.weight,
    )


def _size(outline: Outline, scale_px: float) -> str:
    least = min(outline.width_mm, outline.height_mm) * scale_px
    most = max(outline.width_mm, outline.height_mm) * scale_px
    if most < TINY_PX:
        return "tiny"
    return "small" if least < SMALL_PX and most < 2 * SMALL_PX else ""


def _fill(part: Shape, hatches: Mapping[str, str]) -> str:
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


def _tick(tick: Tick, scale: float, height_mm: float) -> str:
    """A short stroke down, a long stroke up."""
    unit = tick.size * scale
    left = round(tick.x * scale - unit * 0.5)
    middle = round((height_mm - tick.y) * scale + unit * 0.05)
    return f"M{left} {middle}l{round(unit * 0.36)} {round(unit * 0.38)}l{round(unit * 0.64)} {-round(unit * 0.86)}"


def drawn_numbers(scene: Scene, scale: float) -> tuple[Number, ...]:
    """The numbers of a scene at `scale` drawing units a mm: their middles and heights in whole units, y down."""
    return tuple(
        replace(
            number,
            x=round(number.x * scale),
            y=round((scene.height_mm - number.y) * scale),
            size=round(number.size * scale),
        )
        for number in scene.numbers
    )


def drawn_marks(scene: Scene, scale: float) -> Iterator[DrawnMark]:
    """How the pieces of a scene are held, at `scale` drawing units a mm."""
    for mark in scene.holds:
        match mark:
            case OnionSkin(areas):
                yield DrawnMark("skin", _paths(areas, scale, scene.height_mm))
            case Tape(areas):
                yield DrawnMark("tape", _paths(areas, scale, scene.height_mm))
            case Tab():
                yield DrawnMark("tab", _bar(mark, scale, scene.height_mm))


def _paths(areas: Sequence[Outline], scale: float, height_mm: float) -> str:
    """Several areas as one path: each begins at its own place, and not where the one before ended.

    Its own m stays, since the pairs of numbers after an M are places, after an m steps (SVG 2, 9.3.3).
    """
    return "".join("M0 0" + path(area, scale, height_mm) for area in areas)


def _bar(tab: Tab, scale: float, height_mm: float) -> str:
    turn, half = math.radians(tab.angle_deg), tab.length * scale / 2
    dx, dy = math.cos(turn) * half, -math.sin(turn) * half
    x, y = tab.x * scale, (height_mm - tab.y) * scale
    return f"M{round(x - dx)} {round(y - dy)}l{round(2 * dx)} {round(2 * dy)}"
