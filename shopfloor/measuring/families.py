"""Finding the families among 500 and among 5,000 outlines: turned copies of 60 shapes, each cut into segments of its own."""

from __future__ import annotations

import cmath
import math
import random
import time
from collections.abc import Iterator

from ..domain.drawing.families import grouped
from ..domain.outlines import Outline
from .figure import Figure, at_most, middle, plain

FEW, MANY = 500, 5000  # outlines
TIMES = 3  # for the few; the many are as good as many times the few
SHAPES = 60
WAVES = 4  # of different lengths, on the edge of each shape
CORNERS = 100, 150  # so many make a chord at most 0.05 mm off


def measure(few: int = FEW, many: int = MANY) -> Iterator[Figure]:
    """The seconds for each, and their ratio: ten times the outlines should take about ten times as long."""
    seconds: dict[int, list[float]] = {few: [], many: []}
    for count in [few] * (TIMES - 1) + [many, few]:
        outlines = copies(count)
        begun = time.perf_counter()
        found = grouped(outlines, "any")
        seconds[count].append(time.perf_counter() - begun)
        if len(found) != SHAPES:
            raise RuntimeError(f"Of {SHAPES} shapes {len(found)} families were made.")
    growth = middle(seconds[many]) / middle(seconds[few])
    yield plain(
        f"families-{few}",
        middle(seconds[few]),
        "s",
        f"the families among {few} outlines, all turned",
    )
    yield at_most(
        f"families-{many}",
        middle(seconds[many]),
        "s",
        5,
        f"the families among {many} outlines, all turned",
    )
    yield at_most("families-growth", growth, "×", 1.5 * many / few, "the second over the first")


def copies(count: int) -> list[Outline]:
    """So many outlines: wavy rings of SHAPES shapes in turns, each turned and cut into segments in its own way."""
    chance = random.Random(20)
    shapes = [_Wavy(chance) for _ in range(SHAPES)]
    return [shapes[number % SHAPES].drawn(chance) for number in range(count)]


class _Wavy:
    """A round shape with waves on its edge and a hole off its middle; no two quite alike."""

    def __init__(self, chance: random.Random):
        self.radius = chance.uniform(30, 60)
        self.waves = [
            (n, chance.uniform(0.3, 1.2), chance.uniform(0, math.tau)) for n in range(2, 2 + WAVES)
        ]
        self.hole = cmath.rect(chance.uniform(5, 15), chance.uniform(0, math.tau))

    def drawn(self, chance: random.Random) -> Outline:
        """The shape somewhere on a drawing, in any turn."""
        corners, turn = chance.randint(*CORNERS), cmath.rect(1, chance.uniform(0, math.tau))
        at, begun = complex(chance.uniform(0, 2000), chance.uniform(0, 2000)), chance.random()
        around = [math.tau * (n + begun) / corners for n in range(corners)]
        edge = [at + turn * cmath.rect(self._radius(angle), angle) for angle in around]
        hole = [
            at + turn * (self.hole + cmath.rect(8, -angle)) for angle in around[:: corners // 40]
        ]
        return Outline(
            tuple(
                tuple((round(p.real, 3), round(p.imag, 3)) for p in ring) for ring in (edge, hole)
            )
        )

    def _radius(self, angle: float) -> float:
        return self.radius + sum(
            high * math.cos(n * angle + phase) for n, high, phase in self.waves
        )
