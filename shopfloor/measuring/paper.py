"""Five hundred labels, as the printer gets them."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import cycle, islice

from ..demo.recording import Tape
from ..domain import codes
from ..paper.labels import Label, print_labels
from .figure import Figure, at_most, middle

LABELS, TIMES = 500, 3
ADDRESS = "192.168.1.20:8000"


def measure(count: int = LABELS) -> Iterator[Figure]:
    """The seconds that a PDF of so many labels takes, each with its own code, QR symbol and outline."""
    labels = _labels(count)
    taken = []
    for _ in range(TIMES):
        begun = time.perf_counter()
        print_labels(labels, "a4-3x8")
        taken.append(time.perf_counter() - begun)
    yield at_most("labels", middle(taken), "s", 3, f"{count} labels as PDF")


def _labels(count: int) -> list[Label]:
    drawn = Tape().reading("tides.svg").drawing.outlines
    some = islice(cycle(drawn), count)
    return [
        Label(
            code,
            codes.url(ADDRESS, code),
            "J-1006 A",
            "Tide times, quay board",
            f"level 1, no. {number}",
            one.outline.at_origin(),
            "cream, 6 mm",
            1,
            number % 2 * 2,
        )
        for number, one in enumerate(some)
        for code in [codes.make(number)]
    ]
