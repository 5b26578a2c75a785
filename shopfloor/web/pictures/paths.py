"""Outlines in millimetres as short SVG path data: whole numbers, relative steps, no more points than an eye can see.

A drawing has UNIT units a pixel at the size it is meant for. Must not know what is drawn or on which page.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from ...domain.outlines import Outline
from ...scenes.scene import screen, simple

UNIT = 4  # units of the drawing to a pixel
TOLERANCE_PX = screen(1.0).tolerance  # how far a drawn line may stray from the outline


@lru_cache(maxsize=4096)
def path(outline: Outline, scale: float, height_mm: float) -> str:
    """SVG path data of an outline, to be filled even-odd.

    `scale` is drawing units a mm; y is turned over about `height_mm`. Points nearer than TOLERANCE_PX to the line
    between their neighbours are left out. Whole numbers, relative commands. Kept, since the same few hundred are drawn
    on every refresh of the floor.
    """
    pen = (0, 0)
    runs = []
    for ring in simple(outline, TOLERANCE_PX * UNIT / scale).rings:
        points = [(round(x * scale), round((height_mm - y) * scale)) for x, y in ring]
        runs.append(_run(points, pen))
        pen = points[0]
    return "".join(runs)


def _run(points: list[tuple[int, int]], pen: tuple[int, int]) -> str:
    """One closed ring, moved to from `pen`, each step relative to the last."""
    steps = [f"m{_pair(points[0][0] - pen[0], points[0][1] - pen[1])}"]
    last = "m"
    for (x0, y0), (x1, y1) in pairwise(points):
        dx, dy = x1 - x0, y1 - y0
        if dx == 0 and dy == 0:
            continue
        letter = "h" if dy == 0 else "v" if dx == 0 else "l"
        text = str(dx) if dy == 0 else str(dy) if dx == 0 else _pair(dx, dy)
        # After an m or l, further pairs of numbers need no letter; a minus sign parts numbers as well as a blank.
        goes_on = letter == last or (letter == "l" and last == "m")
        steps.append((" " if text[0] != "-" else "") + text if goes_on else letter + text)
        last = letter
    return "".join(steps) + "z"


def _pair(x: int, y: int) -> str:
    return f"{x}{y}" if y < 0 else f"{x} {y}"
