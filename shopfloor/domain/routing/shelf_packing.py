"""The plain layout: bounding boxes in columns, largest first.

Owns the layout that is used where the packing library gives none, and that true-shape nesting is compared with.
Must not be clever: it has to be right every time. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

from .nests import (
    Item,
    NestedSheet,
    NestRules,
    Strip,
    better_of,
    fitting_turns,
    sheet_of,
    turned_box,
)

_HAIR = 1e-6  # forgives the last digit of a sum


def shelved(
    items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules, along: str
) -> NestedSheet:
    """Return one sheet filled `along` its 'length' or 'width' with as many items as it takes, boxes apart by the gap.

    Each item must fit the empty sheet (`nests.fitting_turns`), so the sheet is never empty. First fit by decreasing
    length: a piece goes into the first column with room above, else into a new one.
    """
    strip = Strip.of_blank(along, length_mm, width_mm, rules.margin_mm)
    boxes = [
        _slimmest(item, fitting_turns(item.outline, length_mm, width_mm, rules), strip)
        for item in items
    ]
    columns: list[list[float]] = []  # left end and next free height
    end, placed = 0.0, []
    for key, turn, (left, bottom, right, top) in sorted(
        boxes, key=lambda box: box[2][0] - box[2][2]
    ):
        wide, high = right - left, top - bottom
        column = next((c for c in columns if c[1] + high <= strip.height_mm + _HAIR), None)
        if column is None:
            if end + wide > strip.reach_mm + _HAIR:
                continue
            column = [end, 0.0]
            columns.append(column)
            end += wide + rules.gap_mm
        placed.append(strip.on_sheet(key, column[0] - left, column[1] - bottom, turn))
        column[1] += high + rules.gap_mm
    return sheet_of(placed, items, along, length_mm, width_mm, rules)


def _slimmest(
    item: Item, turns: Sequence[float], strip: Strip
) -> tuple[str, float, tuple[float, float, float, float]]:
    """Return the turn at which the item takes least of the strip's length, with its box in the strip."""
    boxes = [(item.key, turn, turned_box(item.outline, turn + strip.quarter)) for turn in turns]
    return min(boxes, key=lambda box: round(box[2][2] - box[2][0], 3))


def shelved_sheets(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules,
    most_sheets: int | None = None,
) -> list[NestedSheet]:
    """Return as many sheets as are needed (at most `most_sheets`), each the better of its two directions."""
    sheets: list[NestedSheet] = []
    waiting = list(items)
    while waiting and (most_sheets is None or len(sheets) < most_sheets):
        lengthwise = shelved(waiting, length_mm, width_mm, rules, "length")
        crosswise = shelved(waiting, length_mm, width_mm, rules, "width")
        sheets.append(better_of(lengthwise, crosswise, waiting))
        held = {placed.key for placed in sheets[-1].placed}
        waiting = [item for item in waiting if item.key not in held]
    return sheets
