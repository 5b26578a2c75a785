"""Reading a drawing of 100, 1,000 and 10,000 outlines: from the file to the proposed signs, in the worker process."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator

from ..domain.drawing.stacking import propose
from ..drawings import reading
from .figure import Figure, at_most, middle, plain

FEW, SOME, MANY = 100, 1000, 10_000  # outlines
TIMES = 3  # the few and the some; once for the many, which takes long enough for slow moments to even out
PITCH = 40  # mm from one letter to the next


def measure(few: int = FEW, some: int = SOME, many: int = MANY) -> Iterator[Figure]:
    """The seconds for each, and a ratio: ten times the outlines should take about ten times as long."""
    drawings = {count: svg(count).encode() for count in (few, some, many)}
    seconds: dict[int, list[float]] = {few: [], some: [], many: []}
    for count in [few, some] * (TIMES - 1) + [many, some, few]:
        begun = time.perf_counter()
        found = reading.read(drawings[count], f"{count}.svg", seconds=100)
        propose(found.outlines)
        seconds[count].append(time.perf_counter() - begun)
        if len(found.outlines) != count:
            raise RuntimeError(f"Of {count} outlines {len(found.outlines)} were read.")
    growth = middle(seconds[many]) / middle(seconds[some])
    for count in (few, some):
        yield plain(
            f"read-{count}",
            middle(seconds[count]),
            "s",
            f"a drawing of {count} outlines, read and stacked",
        )
    yield at_most(
        f"read-{many}",
        middle(seconds[many]),
        "s",
        20,
        f"a drawing of {many} outlines, read and stacked",
    )
    yield at_most("read-growth", growth, "×", 1.4 * many / some, f"{many} outlines over {some}")


def svg(outlines: int) -> str:
    """A drawing with so many outlines: boards, and on each a line of 19 ring-shaped letters with curved edges."""
    on_a_board = 20
    boards = -(-outlines // on_a_board)
    shapes = []
    for board in range(boards):
        letters = min(on_a_board, outlines - board * on_a_board) - 1
        shapes += [_board(board), *(_letter(board, place) for place in range(letters))]
    width, height = on_a_board * PITCH, boards * 2 * PITCH
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">{"".join(shapes)}</svg>'
    )


def _board(board: int) -> str:
    return f'<rect x="2" y="{board * 2 * PITCH + 2}" width="{20 * PITCH - 4}" height="{2 * PITCH - 4}" fill="#8c2f39"/>'


def _letter(board: int, place: int) -> str:
    """An oval with a hole, no two quite alike, so that nothing is found to be the same by luck."""
    x, y = (place + 1) * PITCH, board * 2 * PITCH + PITCH
    wide, high = 12 + math.sin(place + board), 20 + math.cos(place * 2 + board)
    return f'<path fill-rule="evenodd" fill="#f2e8cf" d="{_oval(x, y, wide, high)} {_oval(x, y, wide / 2, high / 2)}"/>'


def _oval(x: float, y: float, wide: float, high: float) -> str:
    """Four cubic curves; 0.5523 makes a quarter of a circle of one to within 0.03 % of its radius."""
    k = 0.5523
    return (
        f"M {x + wide} {y} C {x + wide} {y + k * high} {x + k * wide} {y + high} {x} {y + high} "
        f"S {x - wide} {y + k * high} {x - wide} {y} S {x - k * wide} {y - high} {x} {y - high} "
        f"S {x + wide} {y - k * high} {x + wide} {y} Z"
    )
