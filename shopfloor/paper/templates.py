"""The placement template and the drilling template: the whole sign at full size, a level or its fixings.

Owns what stands on them and where. Must not know pages. What is drawn is seen from the front, never mirrored. Lengths are
mm on the sign, y up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain

from ..domain.errors import Refused
from ..domain.fixings.fixings import Fixing
from ..domain.outlines import Point
from ..domain.setting_out import setting_out
from ..domain.setting_out.full_size import FullSize
from ..domain.setting_out.setting_out import PlacedPart, Row
from ..wording.formatting import drill
from ..wording.message import text
from .ink import (
    CHAIN,
    FINE,
    GREY,
    HEAVY,
    PLAIN,
    Drawing,
    Stroke,
    Words,
    circle,
    extent_of,
    outline_strokes,
    slot,
)
from .words import POINT

CORNER = 25.0  # length of a corner mark's arms
LEAST_PT, MOST_PT = 5.0, 26.0  # of a part's number
LETTER_SHARE = 0.62  # of its size that a letter of a text is wide, about
LEVEL_LINE = 14.0  # over the sign's upper edge
CROSS_OVER = 5.0  # how far the arms of a cross reach over its hole
ASIDE = 75.0  # so much room a fixing's words take
MARGIN = 4.0
CAUTION = "Look for hidden cables and pipes before you drill."


def templates(sign: FullSize, levels: Sequence[int]) -> list[Drawing]:
    """The placement templates of some levels, a drawing each."""
    return [_template(sign, level, sign.marks("template", level)[level]) for level in levels]


def _template(sign: FullSize, level: int, mark: str) -> Drawing:
    own = [part for part in sign.parts if part.level == level]
    rows = [row for row in sign.rows if row.level == level]
    strokes = [
        *chain.from_iterable(
            outline_strokes(part.outline, FINE, GREY) for part in sign.parts if part.level < level
        ),
        *_corners(sign),
        _middle(sign),
        *(_baseline(sign, row) for row in rows),
        *chain.from_iterable(outline_strokes(part.outline, PLAIN) for part in own),
    ]
    words = [
        Words((sign.width_mm / 2 + 3, 4), "centre line of the sign", 7, 0, 0),
        *_corner_words(sign),
        *(_baseline_words(sign, row) for row in rows),
        *(_part_words(part) for part in own),
    ]
    return Drawing(
        f"{sign.called}: placement template, level {level}",
        tuple(strokes),
        tuple(words),
        extent_of(strokes, MARGIN),
        _size(sign),
        (
            "Lay it on the sign so that the corner marks lie on the corners of the sign, as seen from the front.",
            "The level's parts are drawn in full lines with their numbers, what lies beneath in grey; baselines and the "
            "centre line are dashed.",
        ),
        "Corner marks lie on the sign's corners.",
        mark,
    )


def _size(sign: FullSize) -> str:
    return f"The sign is {sign.said(sign.width_mm)} wide and {sign.said(sign.height_mm)} high."


def _corners(sign: FullSize) -> Iterator[Stroke]:
    """A mark with two arms at each corner of the sign."""
    wide, high = min(CORNER, sign.width_mm / 2), min(CORNER, sign.height_mm / 2)
    for x, across in ((0.0, wide), (sign.width_mm, -wide)):
        for y, up in ((0.0, high), (sign.height_mm, -high)):
            yield Stroke(((x + across, y), (x, y), (x, y + up)), HEAVY)


def _corner_words(sign: FullSize) -> list[Words]:
    return [
        Words((CORNER + 3, 4), "lower left corner of the sign", 7, 0, 0),
        Words(
            (sign.width_mm - CORNER - 3, sign.height_mm - 4),
            "upper right corner of the sign",
            7,
            0,
            1,
        ),
    ]


def _middle(sign: FullSize) -> Stroke:
    return Stroke(((sign.width_mm / 2, 0), (sign.width_mm / 2, sign.height_mm)), FINE, dash=CHAIN)


def _baseline(sign: FullSize, row: Row) -> Stroke:
    """A level baseline from edge to edge, another from its first letter to its last."""
    base, last = row.baseline, row.letters[-1].right_mm + row.datum_mm
    if row.is_level:
        return Stroke(((0, row.baseline_mm), (sign.width_mm, row.baseline_mm)), FINE, dash=CHAIN)
    count = max(1, math.ceil(last / 2)) if base.shape == "arc" else 1
    return Stroke([base.point_at(last * n / count) for n in range(count + 1)], FINE, dash=CHAIN)


def _baseline_words(sign: FullSize, row: Row) -> Words:
    if row.is_level:
        return Words(
            (3, row.baseline_mm + 2.5), f"baseline, {sign.said(row.baseline_mm)} up", 7, 0, 0
        )
    x, y = row.baseline.origin
    return Words((x, y - 3), text(setting_out.heading(row), sign.reader), 6, 0, 0)


def _part_words(part: PlacedPart) -> Words:
    """The part's number and name in it, as large as there is room."""
    said = (
        f"{part.number}"
        if part.name in ("", f"no. {part.number}")
        else f"{part.number}  {part.name}"
    )
    inside = part.outline.polygon.representative_point()
    fits = part.outline.width_mm * 0.8 / (len(said) * LETTER_SHARE * POINT)
    pt = max(LEAST_PT, min(MOST_PT, fits, part.outline.height_mm * 0.18 / POINT))
    return Words(
        (inside.x, inside.y), said, pt, is_bold=True, room=max(40.0, part.outline.width_mm)
    )


# Drilling. ------------------------------------------------------------------------------------------------------------


def drilling(sign: FullSize) -> Drawing:
    """The drilling template. Raises Refused where no fixings are planned."""
    if not sign.fixings:
        raise Refused(
            f"No fixings are planned for {sign.called}: plan them under Materials, fixings first."
        )
    bottom = [part for part in sign.parts if part.level == 0]
    strokes = [
        *chain.from_iterable(outline_strokes(part.outline, PLAIN) for part in bottom),
        *_corners(sign),
        *_level_line(sign),
        *chain.from_iterable(map(_fixing, sign.fixings)),
    ]
    words = [
        Words(
            (3, sign.height_mm + LEVEL_LINE + 3.5),
            "This line is level: lay the spirit level along it.",
            9,
            0,
            0,
            True,
        ),
        Words((CORNER + 3, 4), "lower left corner of the sign", 7, 0, 0),
        *chain.from_iterable(_fixing_words(sign, fixing) for fixing in sign.fixings),
    ]
    left, low, right, top = extent_of(strokes, MARGIN)
    return Drawing(
        f"{sign.called}: drilling template",
        tuple(strokes),
        tuple(words),
        (left, low, right, top + 5),
        _size(sign),
        _drilling_notes(sign),
        CAUTION,
        sign.marks("drilling", None)[0],
    )


def _drilling_notes(sign: FullSize) -> tuple[str, ...]:
    screws = ", ".join(sorted({drill(fixing.wall_mm, sign.units) for fixing in sign.fixings}))
    return (
        "Caution: look for hidden cables and pipes before you drill, wear eye protection, and leave it to people who are "
        "trained for it. A large sign takes two people, and what they stand on must be fit for the work.",
        f"Screws {screws}. Plugs, their holes and how deep they go are by the plug's own data sheet and by what the wall "
        "is made of: not by this paper.",
        "Tape it to the wall with its upper line level. The crosses are the middles of the screws; the circles and slots "
        "are the holes in the sign, in which it can move as it warms and cools. Only the fixed point holds it in place.",
        f"Distances are from the sign's left edge and from its lower edge, in {sign.unit_word}; seen from the front.",
    )


def _level_line(sign: FullSize) -> list[Stroke]:
    y = sign.height_mm + LEVEL_LINE
    return [Stroke(((0, y), (sign.width_mm, y)), HEAVY)]


def _fixing(fixing: Fixing) -> Iterator[Stroke]:
    """The hole in the sign, and a cross at its middle; round the fixed point a second circle."""
    x, y = fixing.x_mm, fixing.y_mm
    yield slot((x, y), fixing.hole_mm, fixing.slot_mm, fixing.turn_deg)
    arm = (fixing.hole_mm + fixing.slot_mm) / 2 + CROSS_OVER
    yield Stroke(((x - arm, y), (x + arm, y)), FINE)
    yield Stroke(((x, y - arm), (x, y + arm)), FINE)
    if fixing.is_fixed_point:
        yield circle((x, y), arm - 1.5, HEAVY)


def _fixing_words(sign: FullSize, fixing: Fixing) -> Iterator[Words]:
    """Number and place, and under it the hole; on that side of the hole where there is room."""
    reach = (fixing.hole_mm + fixing.slot_mm) / 2 + CROSS_OVER + 2
    is_left = fixing.x_mm + reach + ASIDE > sign.width_mm
    at: Point = (fixing.x_mm + (-reach if is_left else reach), fixing.y_mm)
    wide, long = fixing.hole_mm, drill(fixing.hole_mm + fixing.slot_mm, sign.units)
    hole = f"slot {wide:g} × {long}" if fixing.slot_mm else f"hole {drill(wide, sign.units)}"
    fixed = ", fixed point" if fixing.is_fixed_point else ""
    share = 1.0 if is_left else 0.0
    said = (
        f"{fixing.number}: {sign.figure(fixing.x_mm)} from the left, {sign.figure(fixing.y_mm)} up"
    )
    yield Words((at[0], at[1] + 4.5), said, 8, 0, share, True, ASIDE + 20)
    yield Words((at[0], at[1] - 4.5), f"{hole}{fixed}", 8, 0, share, room=ASIDE)
