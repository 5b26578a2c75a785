"""A nest: where pieces lie on a blank, what makes a nest good, and what is left of the blank.

Owns the terms of nesting, the check of every nest, the offcut and the order in which labels are put on. Must not look
for a layout (`shelf_packing` has the plain one, `shopfloor.nesting` the good one). Lengths are millimetres. On a
sheet x runs along the blank's length, y across its width, from the lower left corner.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon, STRtree

from ...wording import routing as wording
from ...wording.message import Message
from ..outlines import Outline

TOLERANCE_MM = 0.01  # what the check forgives: rounding, not a thin wall
REACH_MM = 300.0  # how far along the table one reaches without a step: from memory
OFFCUT_FROM_MM = 100.0  # an offcut is kept from this on its shorter side: from memory
SMALLEST_MM2 = 0.01  # an outline with less inside is no piece

_TURNS = {"any": (0.0, 90.0, 180.0, 270.0), "180": (0.0, 180.0), "none": (0.0,)}
_ODD_TURNS = tuple(float(degrees) for degrees in range(5, 360, 5))


@dataclass(frozen=True)
class NestRules:
    """What a nest must keep to.

    `gap_mm` between outlines (tool 6.35 mm + 2), `margin_mm` to the blank's edge, `turns` that the stock allows
    ('any', '180', 'none'), `seconds` that one stock may take, both directions together.
    """

    gap_mm: float = 8.35
    margin_mm: float = 12.0
    turns: str = "any"
    seconds: float = 5.0


@dataclass(frozen=True)
class Item:
    """A piece to be nested: `outline` in the piece's own frame, `name` as people call it."""

    key: str
    outline: Outline
    name: str


@dataclass(frozen=True)
class Placed:
    """Where a piece lies: `Outline.placed(x, y, turn)` is its outline on the sheet, margin included."""

    key: str
    x: float
    y: float
    turn: float


@dataclass(frozen=True)
class NestedSheet:
    """One nested blank.

    `along` is the direction that it was filled in, 'length' or 'width'. `used_mm` is where the offcut is sawn,
    measured in that direction from the blank's corner: the end of the furthest outline and one gap, which the tool
    needs to run round it; at most the blank's size. `yield_share` is the net area of the pieces over
    used length × the blank's other side. `other_yield_share` is what the other direction gave.
    """

    placed: tuple[Placed, ...]
    along: str
    used_mm: float
    yield_share: float
    other_yield_share: float | None = None


@dataclass(frozen=True)
class Nesting:
    """The sheets in order, and what is on none of them: (key, why)."""

    sheets: tuple[NestedSheet, ...]
    left_out: tuple[tuple[str, Message], ...]


@dataclass(frozen=True)
class Strip:
    """A blank without its margins, seen in the direction in which it is filled.

    `reach_mm` is the side that is filled from the left, `height_mm` the side across. Along the width, the sheet
    is seen turned by a quarter clockwise, so that both directions are one problem.
    """

    along: str
    reach_mm: float
    height_mm: float
    margin_mm: float

    @classmethod
    def of_blank(cls, along: str, length_mm: float, width_mm: float, margin_mm: float) -> Strip:
        """The strip of a blank, along its 'length' or its 'width'."""
        sides = (length_mm, width_mm) if along == "length" else (width_mm, length_mm)
        return cls(along, sides[0] - 2 * margin_mm, sides[1] - 2 * margin_mm, margin_mm)

    @property
    def quarter(self) -> float:
        """Degrees by which a piece is turned in the strip, seen against the sheet."""
        return 0.0 if self.along == "length" else -90.0

    def on_sheet(self, key: str, x: float, y: float, turn: float) -> Placed:
        """Return the place on the sheet of a piece at (x, y) in the strip, turned by `turn` against the sheet."""
        x, y = (x, y) if self.along == "length" else (self.height_mm - y, x)
        return Placed(key, round(self.margin_mm + x, 3), round(self.margin_mm + y, 3), turn)


def solid(outline: Outline) -> Polygon:
    """Return the filled outer ring; for a ring that crosses itself its hull, so that nothing comes too near."""
    polygon = Polygon(outline.rings[0])
    return polygon if polygon.is_valid else polygon.convex_hull


def net_area(outline: Outline) -> float:
    """Return the area in mm² without the holes; for a ring that crosses itself that of its hull."""
    return outline.area_mm2 if outline.polygon.is_valid else solid(outline).area


def turned_box(outline: Outline, turn: float) -> tuple[float, float, float, float]:
    """Return (left, bottom, right, top) of the outline turned by `turn` degrees about its origin."""
    points = np.asarray(outline.rings[0], dtype=float)
    angle = math.radians(turn)
    c, s = round(math.cos(angle), 15), round(math.sin(angle), 15)
    points = points @ np.array([[c, s], [-s, c]])
    return (*points.min(axis=0).tolist(), *points.max(axis=0).tolist())


def fitting_turns(
    outline: Outline, length_mm: float, width_mm: float, rules: NestRules
) -> tuple[float, ...]:
    """Return the turns at which the outline fits on an empty blank.

    Quarter turns where 'any' is allowed: finer ones gained nothing in trials. Only what fits in none of them is
    tried every 5 degrees, such as a long lath that lies only from corner to corner.
    """
    room = length_mm - 2 * rules.margin_mm, width_mm - 2 * rules.margin_mm

    def fits(turn: float) -> bool:
        left, bottom, right, top = turned_box(outline, turn)
        return right - left <= room[0] + 1e-6 and top - bottom <= room[1] + 1e-6

    straight = tuple(turn for turn in _TURNS[rules.turns] if fits(turn))
    if straight or rules.turns != "any":
        return straight
    return tuple(turn for turn in _ODD_TURNS if fits(turn))


def why_left_out(item: Item, length_mm: float, width_mm: float, rules: NestRules) -> Message | None:
    """Return why the piece fits on no sheet of this size, or None where it fits."""
    if not _has_area(item.outline):
        return wording.no_area(item.name)
    if fitting_turns(item.outline, length_mm, width_mm, rules):
        return None
    outline = item.outline
    return wording.too_large(
        item.name, outline.width_mm, outline.height_mm, length_mm, width_mm, rules.turns
    )


def _has_area(outline: Outline) -> bool:
    are_rings = all(len(ring) >= 3 and np.isfinite(ring).all() for ring in outline.rings)
    return bool(outline.rings and are_rings and solid(outline).area >= SMALLEST_MM2)


def sheet_of(
    placed: Sequence[Placed],
    items: Sequence[Item],
    along: str,
    length_mm: float,
    width_mm: float,
    rules: NestRules,
) -> NestedSheet:
    """Return a layout with its used length and yield (see NestedSheet)."""
    outlines = {item.key: item.outline for item in items}
    side, across, corner = (
        (length_mm, width_mm, 2) if along == "length" else (width_mm, length_mm, 3)
    )
    end = max(turned_box(outlines[p.key], p.turn)[corner] + (p.x, p.y)[corner - 2] for p in placed)
    used = round(min(end + rules.gap_mm, side), 3)
    net = sum(net_area(outlines[p.key]) for p in placed)
    return NestedSheet(tuple(placed), along, used, net / (used * across))


def better_of(first: NestedSheet, second: NestedSheet, items: Sequence[Item]) -> NestedSheet:
    """Return the sheet that holds more area, or with equal areas the better yield; it notes the other's yield."""
    areas = {item.key: net_area(item.outline) for item in items}

    def worth(sheet: NestedSheet) -> tuple[float, float]:
        return math.fsum(areas[p.key] for p in sheet.placed), sheet.yield_share

    kept, dropped = (first, second) if worth(first) >= worth(second) else (second, first)
    has_both = kept.along != dropped.along
    return replace(kept, other_yield_share=dropped.yield_share) if has_both else kept


def faults(
    sheet: NestedSheet, items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules
) -> list[Message]:
    """Return what is wrong with a nest; nothing where it may be cut.

    Checked: each piece at most once, none past the margin, no two outlines nearer than the gap (to 0.01 mm).
    Outer rings count as filled: nothing lies in another's hole.
    """
    known = {item.key: item for item in items}
    strangers = [wording.not_asked_for(put.key) for put in sheet.placed if put.key not in known]
    if strangers:
        return strangers
    counts = Counter(put.key for put in sheet.placed)
    names = [known[put.key].name for put in sheet.placed]
    shapes = [solid(known[put.key].outline.placed(put.x, put.y, put.turn)) for put in sheet.placed]
    return [
        *(wording.placed_again(known[key].name, n) for key, n in counts.items() if n > 1),
        *_past_margin(names, shapes, length_mm, width_mm, rules.margin_mm),
        *_too_near(names, shapes, rules.gap_mm),
    ]


def _past_margin(
    names: list[str], shapes: list[Polygon], length_mm: float, width_mm: float, margin: float
) -> Iterator[Message]:
    near, far = margin - TOLERANCE_MM, -margin + TOLERANCE_MM
    for name, shape in zip(names, shapes, strict=True):
        left, bottom, right, top = shape.bounds
        if not (
            left >= near and bottom >= near and right <= length_mm + far and top <= width_mm + far
        ):
            yield wording.past_the_margin(name, margin)


def _too_near(names: list[str], shapes: list[Polygon], gap: float) -> Iterator[Message]:
    if gap > TOLERANCE_MM:
        pairs = STRtree(shapes).query(shapes, predicate="dwithin", distance=gap - TOLERANCE_MM)
    else:  # outlines may touch: only those that still meet when a hair smaller overlap
        smaller = shapely.buffer(shapes, -TOLERANCE_MM / 2, join_style="mitre")
        pairs = STRtree(smaller).query(smaller, predicate="intersects")
    for first, second in pairs.T:
        if first < second:
            apart = shapes[first].distance(shapes[second])
            yield wording.too_near(names[first], names[second], round(apart, 2), gap)


def offcut_size(
    sheet: NestedSheet, length_mm: float, width_mm: float, from_mm: float = OFFCUT_FROM_MM
) -> tuple[float, float] | None:
    """Return (length, width) in mm of what is left of the blank beyond the used length, in the blank's own directions.

    None where it is not worth keeping: under `from_mm` on its shorter side.
    """
    if sheet.along == "length":
        left = round(length_mm - sheet.used_mm, 3), width_mm
    else:
        left = length_mm, round(width_mm - sheet.used_mm, 3)
    return left if min(left) >= from_mm else None


def least_blank(
    sheet: NestedSheet, length_mm: float, width_mm: float, gap_mm: float, margin_mm: float
) -> tuple[float, float]:
    """Return (length, width) in mm of the smallest blank that this nest fits on as it lies.

    It was made for a blank of `length_mm` × `width_mm`. In the direction of filling the furthest outline and the
    margin decide."""
    end = sheet.used_mm - gap_mm + margin_mm
    if sheet.along == "length":
        return min(length_mm, end), width_mm
    return length_mm, min(width_mm, end)


def walking_order(
    sheet: NestedSheet, items: Sequence[Item], reach_mm: float = REACH_MM
) -> list[str]:
    """Return the keys in the order in which labels are put on, walking along the sheet's length once.

    The sheet is taken in bands across it, as deep as an arm reaches; in a band the pieces go across the width,
    and those at one height in the direction of the walk. The middle of a piece's bounding box decides.
    """
    outlines = {item.key: item.outline for item in items}

    def place(p: Placed) -> tuple[int, float, float]:
        left, bottom, right, top = turned_box(outlines[p.key], p.turn)
        x, y = p.x + (left + right) / 2, p.y + (bottom + top) / 2
        return int(x // reach_mm), round(y), x

    return [p.key for p in sorted(sheet.placed, key=place)]
