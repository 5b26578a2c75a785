"""The placement template and the drilling template: the whole sign at full size, a level or its fixings.

Owns what is on them and where. Must not know pages. What is drawn is seen from the front, never mirrored. Lengths are
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
from ..wording import templates as wording
from ..wording.formatting import drill
from ..wording.message import text
from .full_size import (
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
from .scene import POINT

CORNER = 25.0  # length of a corner mark's arms
LEAST_PT, MOST_PT = 5.0, 26.0  # of a part's number
LETTER_SHARE = 0.62  # of its size that a letter of a text is wide, about
LEVEL_LINE = 14.0  # over the sign's upper edge
CROSS_OVER = 5.0  # how far the arms of a cross reach over its hole
ASIDE = 75.0  # so much room a fixing's words take
MARGIN = 4.0


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
    upper = (sign.width_mm - CORNER - 3, sign.height_mm - 4)
    words = [
        Words((sign.width_mm / 2 + 3, 4), text(wording.centre_line()), 7, 0, 0),
        _lower_corner(),
        Words(upper, text(wording.upper_right_corner()), 7, 0, 1),
        *(_baseline_words(sign, row) for row in rows),
        *(_part_words(part) for part in own),
    ]
    return Drawing(
        text(wording.template_title(sign.called, level)),
        tuple(strokes),
        tuple(words),
        extent_of(strokes, MARGIN),
        _size(sign),
        "",
        (text(wording.template_use()), text(wording.template_lines())),
        text(wording.template_reminder()),
        mark,
    )


def _size(sign: FullSize) -> str:
    return text(wording.sign_size(sign.width_mm, sign.height_mm), sign.reader)


def _corners(sign: FullSize) -> Iterator[Stroke]:
    """A mark with two arms at each corner of the sign."""
    wide, high = min(CORNER, sign.width_mm / 2), min(CORNER, sign.height_mm / 2)
    for x, across in ((0.0, wide), (sign.width_mm, -wide)):
        for y, up in ((0.0, high), (sign.height_mm, -high)):
            yield Stroke(((x + across, y), (x, y), (x, y + up)), HEAVY)


def _lower_corner() -> Words:
    return Words((CORNER + 3, 4), text(wording.lower_left_corner()), 7, 0, 0)


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
        words = text(wording.baseline_up(row.baseline_mm), sign.reader)
        return Words((3, row.baseline_mm + 2.5), words, 7, 0, 0)
    x, y = row.baseline.origin
    return Words((x, y - 3), text(setting_out.heading(row), sign.reader), 6, 0, 0)


def _part_words(part: PlacedPart) -> Words:
    """The part's number and name in it, as large as there is room."""
    has_name = part.name not in ("", f"no. {part.number}")
    words = text(wording.part(part.number, part.name)) if has_name else str(part.number)
    inside = part.outline.polygon.representative_point()
    fits = part.outline.width_mm * 0.8 / (len(words) * LETTER_SHARE * POINT)
    pt = max(LEAST_PT, min(MOST_PT, fits, part.outline.height_mm * 0.18 / POINT))
    return Words(
        (inside.x, inside.y), words, pt, is_bold=True, room=max(40.0, part.outline.width_mm)
    )


# Drilling. ------------------------------------------------------------------------------------------------------------


def drilling(sign: FullSize) -> Drawing:
    """The drilling template. Raises Refused where no fixings are planned."""
    if not sign.fixings:
        raise Refused(wording.no_fixings(sign.called))
    bottom = [part for part in sign.parts if part.level == 0]
    level = sign.height_mm + LEVEL_LINE
    strokes = [
        *chain.from_iterable(outline_strokes(part.outline, PLAIN) for part in bottom),
        *_corners(sign),
        Stroke(((0, level), (sign.width_mm, level)), HEAVY),
        *chain.from_iterable(map(_fixing, sign.fixings)),
    ]
    words = [
        Words((3, level + 3.5), text(wording.lay_the_level_here()), 9, 0, 0, True),
        _lower_corner(),
        *chain.from_iterable(_fixing_words(sign, fixing) for fixing in sign.fixings),
    ]
    screws = ", ".join(sorted({drill(fixing.wall_mm, sign.units) for fixing in sign.fixings}))
    notes = (wording.screws(screws), wording.drilling_use(), wording.distances_from(sign.units))
    left, low, right, top = extent_of(strokes, MARGIN)
    return Drawing(
        text(wording.drilling_title(sign.called)),
        tuple(strokes),
        tuple(words),
        (left, low, right, top + 5),
        _size(sign),
        text(wording.drilling_caution()),
        tuple(text(note, sign.reader) for note in notes),
        text(wording.look_before_you_drill()),
        sign.marks("drilling", None)[0],
    )


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
    hole = (
        wording.slot(f"{wide:g}", long, fixing.is_fixed_point)
        if fixing.slot_mm
        else wording.hole(drill(wide, sign.units), fixing.is_fixed_point)
    )
    place = wording.fixing_place(fixing.number, fixing.x_mm, fixing.y_mm)
    share = 1.0 if is_left else 0.0
    for up, message, is_bold, room in ((4.5, place, True, ASIDE + 20), (-4.5, hole, False, ASIDE)):
        yield Words((at[0], at[1] + up), text(message, sign.reader), 8, 0, share, is_bold, room)
