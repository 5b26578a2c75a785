"""A nest: where pieces lie on a blank, what makes a nest good, and what is left of the blank.

Owns the words of nesting, the check of every nest, the offcut and the order in which labels are walked out.
Must not look for a layout itself (`shelves` has the plain one, `shopfloor.nesting` the good one).
Lengths are millimetres. On a sheet x runs along the blank's length, y across its width, from the lower left corner.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon, STRtree

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
    """The sheets in order, and what is on none of them: (key, sentence that says why)."""

    sheets: tuple[NestedSheet, ...]
    left_out: tuple[tuple[str, str], ...]


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
        """Degrees that a piece looks turned in the strip, against the sheet."""
        return 0.0 if self.along == "length" else -90.0

    def on_sheet(self, key: str, x: float, y: float, turn: float) -> Placed:
        """The place on the sheet of a piece that lies at (x, y) in the strip, turned by `turn` against the sheet."""
        x, y = (x, y) if self.along == "length" else (self.height_mm - y, x)
        return Placed(key, round(self.margin_mm + x, 3), round(self.margin_mm + y, 3), turn)


def solid(outline: Outline) -> Polygon:
    """The filled outer ring. A ring that crosses itself is taken as its hull, so that nothing comes too near."""
    polygon = Polygon(outline.rings[0])
    return polygon if polygon.is_valid else polygon.convex_hull


def net_area(outline: Outline) -> float:
    """Area in mm² with holes taken off, of a ring that crosses itself the area of its hull."""
    return outline.area_mm2 if outline.polygon.is_valid else solid(outline).area


def turned_box(outline: Outline, turn: float) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) of the outline turned by `turn` degrees about its origin."""
    points = np.asarray(outline.rings[0], dtype=float)
    angle = math.radians(turn)
    c, s = round(math.cos(angle), 15), round(math.sin(angle), 15)
    points = points @ np.array([[c, s], [-s, c]])
    return (*points.min(axis=0).tolist(), *points.max(axis=0).tolist())


def fitting_turns(
    outline: Outline, length_mm: float, width_mm: float, rules: NestRules
) -> tuple[float, ...]:
    """The turns at which the outline fits on an empty blank.

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


def why_left_out(item: Item, length_mm: float, width_mm: float, rules: NestRules) -> str | None:
    """The sentence that says why the piece can be on no sheet of this size, or None where it can."""
    if not _has_area(item.outline):
        return f"The part '{item.name}' encloses no area: draw its outline again."
    if fitting_turns(item.outline, length_mm, width_mm, rules):
        return None
    size = f"{_mm(item.outline.width_mm)} × {_mm(item.outline.height_mm)} mm"
    blank = f"a sheet of {_mm(length_mm)} × {_mm(width_mm)} mm less the margin"
    allowed = {"any": "", "180": " with its grain kept", "none": " unturned"}[rules.turns]
    advice = "choose a larger sheet or divide the part"
    return f"The part '{item.name}' ({size}) does not fit{allowed} on {blank}: {advice}."


def _has_area(outline: Outline) -> bool:
    for ring in outline.rings:
        if len(ring) < 3 or not all(math.isfinite(value) for point in ring for value in point):
            return False
    return bool(outline.rings) and bool(solid(outline).area >= SMALLEST_MM2)


def sheet_of(
    placed: Sequence[Placed],
    items: Sequence[Item],
    along: str,
    length_mm: float,
    width_mm: float,
    rules: NestRules,
) -> NestedSheet:
    """A layout with its used length and yield (see NestedSheet)."""
    outlines = {item.key: item.outline for item in items}
    side, across, corner = (
        (length_mm, width_mm, 2) if along == "length" else (width_mm, length_mm, 3)
    )
    end = max(turned_box(outlines[p.key], p.turn)[corner] + (p.x, p.y)[corner - 2] for p in placed)
    used = round(min(end + rules.gap_mm, side), 3)
    net = sum(net_area(outlines[p.key]) for p in placed)
    return NestedSheet(tuple(placed), along, used, net / (used * across))


def better_of(one: NestedSheet, other: NestedSheet, items: Sequence[Item]) -> NestedSheet:
    """The sheet that holds more area; of two that hold the same the one with the better yield, knowing the other's."""
    areas = {item.key: net_area(item.outline) for item in items}

    def worth(sheet: NestedSheet) -> tuple[float, float]:
        return math.fsum(areas[p.key] for p in sheet.placed), sheet.yield_share

    kept, dropped = (one, other) if worth(one) >= worth(other) else (other, one)
    has_both = kept.along != dropped.along
    return replace(kept, other_yield_share=dropped.yield_share) if has_both else kept


def faults(
    sheet: NestedSheet, items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules
) -> list[str]:
    """What is wrong with a nest, a sentence each: none when it may be cut.

    Checked: each piece at most once, none past the margin, no two outlines nearer than the gap (to 0.01 mm).
    Outer rings count as filled: nothing lies in another's hole.
    """
    known = {item.key: item for item in items}
    found = [
        f"A piece that was not asked for is on the sheet: '{p.key}'."
        for p in sheet.placed
        if p.key not in known
    ]
    if found:
        return found
    counts = Counter(p.key for p in sheet.placed)
    found += [
        f"The part '{known[key].name}' is on the sheet {n} times."
        for key, n in counts.items()
        if n > 1
    ]
    names = [known[p.key].name for p in sheet.placed]
    shapes = [solid(known[p.key].outline.placed(p.x, p.y, p.turn)) for p in sheet.placed]
    found += _past_margin(names, shapes, length_mm, width_mm, rules.margin_mm)
    found += _too_near(names, shapes, rules.gap_mm)
    return found


def _past_margin(
    names: list[str], shapes: list[Polygon], length_mm: float, width_mm: float, margin: float
) -> Iterator[str]:
    near, far = margin - TOLERANCE_MM, -margin + TOLERANCE_MM
    for name, shape in zip(names, shapes, strict=True):
        left, bottom, right, top = shape.bounds
        if not (
            left >= near and bottom >= near and right <= length_mm + far and top <= width_mm + far
        ):
            yield f"The part '{name}' lies past the margin of {_mm(margin)} mm."


def _too_near(names: list[str], shapes: list[Polygon], gap: float) -> Iterator[str]:
    if gap > TOLERANCE_MM:
        pairs = STRtree(shapes).query(shapes, predicate="dwithin", distance=gap - TOLERANCE_MM)
    else:  # outlines may touch: only those that still meet when a hair smaller overlap
        smaller = shapely.buffer(shapes, -TOLERANCE_MM / 2, join_style="mitre")
        pairs = STRtree(smaller).query(smaller, predicate="intersects")
    for one, other in pairs.T:
        if one < other:
            apart = f"{shapes[one].distance(shapes[other]):.2f}"
            yield f"The parts '{names[one]}' and '{names[other]}' lie {apart} mm apart; the gap is {gap:g} mm."


def offcut_size(
    sheet: NestedSheet, length_mm: float, width_mm: float, from_mm: float = OFFCUT_FROM_MM
) -> tuple[float, float] | None:
    """(length, width) in mm of what is left of the blank beyond the used length, in the blank's own directions.

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
    """(length, width) in mm of the smallest blank that holds this nest as it lies; it was made for one of `length_mm` ×
    `width_mm`. In the direction of filling the furthest outline and the margin decide."""
    end = sheet.used_mm - gap_mm + margin_mm
    if sheet.along == "length":
        return min(length_mm, end), width_mm
    return length_mm, min(width_mm, end)


def walking_order(
    sheet: NestedSheet, items: Sequence[Item], reach_mm: float = REACH_MM
) -> list[str]:
    """The keys in the order in which labels are stuck on, walking along the sheet's length once.

    The sheet is taken in bands across it, as deep as an arm reaches; in a band the pieces go across the width,
    and those at one height in the direction of the walk. The middle of a piece's bounding box decides.
    """
    outlines = {item.key: item.outline for item in items}

    def place(p: Placed) -> tuple[int, float, float]:
        left, bottom, right, top = turned_box(outlines[p.key], p.turn)
        x, y = p.x + (left + right) / 2, p.y + (bottom + top) / 2
        return int(x // reach_mm), round(y), x

    return [p.key for p in sorted(sheet.placed, key=place)]


def _mm(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
