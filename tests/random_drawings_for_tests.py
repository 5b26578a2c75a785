"""The drawings of the shop that random acts play in: two signs, one that can wait, and changes of the first."""

from __future__ import annotations

import random

from shop_for_tests import box

from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline


def two_signs() -> Drawing:
    """Two boards with two letters each; the letters of the second are of one family."""
    shapes = [
        (box(0, 0, 400, 200), "#33658a", None),
        (box(20, 50, 40, 80), "#f2e8cf", "L"),
        (box(100, 50, 60, 80), "#f2e8cf", "O"),
        (box(500, 0, 400, 200), "#33658a", None),
        (box(520, 50, 40, 80), "#f2e8cf", "I"),
        (box(600, 50, 40, 80), "#f2e8cf", "I"),
    ]
    outlines = tuple(
        DrawnOutline(o, colour, name, None, order) for order, (o, colour, name) in enumerate(shapes)
    )
    return Drawing(outlines, 900, 200, ())


def one_sign() -> Drawing:
    """A board with two letters of the same family, for a sign that can wait."""
    shapes = [
        (box(0, 0, 300, 200), "#33658a"),
        (box(20, 50, 40, 80), "#f2e8cf"),
        (box(100, 50, 40, 80), "#f2e8cf"),
    ]
    outlines = tuple(
        DrawnOutline(o, colour, "I", None, order) for order, (o, colour) in enumerate(shapes)
    )
    return Drawing(outlines, 300, 200, ())


def changed(seed: int) -> Drawing:
    """The same drawing with another text: letters of three shapes come, go and move, a panel comes or goes."""
    dice = random.Random(seed)
    shapes = [(box(0, 0, dice.choice([400, 400, 420]), 200), "#33658a", None)]
    if dice.random() < 0.3:
        shapes.append((box(10, 20, 380, 160), "#c81e1e", "panel"))
    for left in (20, 100, 180, 260):
        wide = dice.choice([0, 40, 40, 60, 70])
        if wide:
            shapes.append((box(left + dice.choice([0, 8]), 50, wide, 80), "#f2e8cf", str(wide)))
    if dice.random() < 0.7:
        shapes += [(box(500, 0, 400, 200), "#33658a", None), (box(520, 50, 40, 80), "#f2e8cf", "I")]
    outlines = tuple(
        DrawnOutline(o, colour, name, None, order) for order, (o, colour, name) in enumerate(shapes)
    )
    return Drawing(outlines, 900, 200, ())
