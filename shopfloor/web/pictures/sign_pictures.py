"""Signs as pictures: each part at its place, drawn in the state of its piece.

Caches between requests: the shapes of signs, which change only with a new drawing, and their pictures, which change with
a piece too. So a page on the wall costs little however often it refreshes. Must not know pages: they say how large.
"""

from __future__ import annotations

from dataclasses import replace

from ...domain import lengths
from ...domain.bench.steps import Part, Sign
from ...domain.outlines import Outline
from ...scenes.scene import Shape
from ...store import outlines, sign_shapes
from ...store.db import Connection
from ...store.sign_shapes import SignShape
from ...wording import pictures as wording
from ...wording.message import Message
from ..page import cached, current_settings
from .paths import UNIT
from .svg import DrawnPart, SignPicture, sign_picture

RING_PX = 12


def shape_of(db: Connection, sign: int) -> SignShape:
    """The shape of a sign, cached. Raises NotFound."""
    return cached(
        "sign shapes",
        (sign, sign_shapes.last_act_on(db, sign)),
        lambda: sign_shapes.shape(db, sign),
    )


def picture_of(
    db: Connection, sign: Sign, box: tuple[int, int], *, has_sizes: bool = True
) -> SignPicture:
    """The sign as large as `box` (pixels) allows, its width at a dimension line where `has_sizes`."""
    units = current_settings().units if has_sizes else ""
    states = tuple((part.id, drawn_state(part)) for part in sign.parts.values())
    key = (sign.id, sign_shapes.last_act_on(db, sign.id), sign.name, box, states, units)
    return cached(
        "sign pictures", key, lambda: _draw(shape_of(db, sign.id), sign, box, dict(states), units)
    )


def _draw(
    shape: SignShape, sign: Sign, box: tuple[int, int], states: dict[int, str], units: str
) -> SignPicture:
    parts = [
        Shape(
            str(part.part),
            sign.parts[part.part].number,
            sign.parts[part.part].name,
            part.outline,
            part.colour,
            states[part.part],
        )
        for part in shape.parts
    ]
    title = wording.sign(sign.job, sign.mark, sign.name)
    width = lengths.show(shape.width_mm, units) if units else ""
    size = (shape.width_mm, shape.height_mm)
    picture = sign_picture(f"s{sign.id}", parts, *size, title=title, box=box, width_text=width)
    return replace(picture, parts=_one_tick_a_line(shape, picture.parts))


def _one_tick_a_line(shape: SignShape, parts: tuple[DrawnPart, ...]) -> tuple[DrawnPart, ...]:
    """A line of small letters that is glued as a whole has one tick, at its first letter: more would hide the words."""
    lines: dict[tuple[int, int], list[DrawnPart]] = {}
    for part, drawn in zip(shape.parts, parts, strict=True):
        if drawn.size:
            lines.setdefault((part.level, part.line), []).append(drawn)
    fixed = [line for line in lines.values() if all(drawn.state == "fixed" for drawn in line)]
    bare = {drawn.key for line in fixed for drawn in line[1:]}
    return tuple(replace(drawn, over="") if drawn.key in bare else drawn for drawn in parts)


def place_picture(
    db: Connection, sign: int, part: int, state: str, title: Message | str, box: tuple[int, int]
) -> SignPicture:
    """Where one part goes: the finished sign, with that part in its state and guides to the corner.

    All others are one path for each level and colour, cached: so it is as quick for a sign of hundreds of parts.
    """
    shape = shape_of(db, sign)
    base = cached(
        "sign grounds",
        (sign, sign_shapes.last_act_on(db, sign), box),
        lambda: _ground(shape, sign, box),
    )
    placed = next(other for other in shape.parts if other.part == part)
    picked = Shape(str(part), 0, title, placed.outline, placed.colour, state, is_picked=True)
    top = sign_picture(f"w{part}-{box[0]}", [picked], shape.width_mm, shape.height_mm, box=box)
    guides = top.guides + (_ring(placed.outline, shape, top) if top.parts[0].size == "tiny" else "")
    return replace(
        base,
        id=top.id,
        title=title,
        hatches=top.hatches,
        parts=base.parts + top.parts,
        guides=guides,
    )


def _ring(outline: Outline, shape: SignShape, picture: SignPicture) -> str:
    """A ring round a part that is too small to be noticed, as path data."""
    left, bottom, right, top = outline.bounds
    scale, radius = picture.sign_px[0] / shape.width_mm * UNIT, RING_PX * UNIT
    x, y = round((left + right) / 2 * scale), round((shape.height_mm - (bottom + top) / 2) * scale)
    return f"M{x - radius} {y}a{radius} {radius} 0 1 0 {2 * radius} 0a{radius} {radius} 0 1 0 {-2 * radius} 0"


def _ground(shape: SignShape, sign: int, box: tuple[int, int]) -> SignPicture:
    parts = [
        Shape(str(n), n, "", part.outline, part.colour, "ready")
        for n, part in enumerate(shape.parts)
    ]
    whole = sign_picture(f"g{sign}", parts, shape.width_mm, shape.height_mm, box=box, width_text="")
    groups: dict[tuple[int, str, str], list[DrawnPart]] = {}
    for part, drawn in zip(shape.parts, whole.parts, strict=True):
        groups.setdefault((part.level, part.colour, drawn.size), []).append(drawn)
    # Each path begins with a relative move: it is brought back to the corner before the next one.
    merged = [
        replace(group[0], d="".join("M0 0" + drawn.d for drawn in group))
        for group in groups.values()
    ]
    return replace(whole, parts=tuple(merged))


def outline_of(db: Connection, outline: int) -> Outline:
    """An outline in the piece's own frame; cached, since it never changes."""
    return cached("outlines", outline, lambda: outlines.by_ids(db, [outline])[outline])


def drawn_state(part: Part) -> str:
    """How a part is drawn. One whose piece is lost or damaged stays crossed until its recut is in hand."""
    if part.gone and part.state in (None, "waiting", "nested"):
        return part.gone
    return part.state or "waiting"
