"""What a few pieces more cost: minutes at the router and the bench, and how much of a sheet.

Owns rough figures for a person to decide by, not a plan. Lengths mm, areas mm², times minutes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from . import feeds
from .cutters import USUAL

REV_PER_MIN = 18_000  # design, section 8: to start with
HANDLING_MIN = (
    0.5  # to pick a piece off, label it and put it away (from memory: the shop measures its own)
)
USUAL_YIELD = 0.5  # net area over used sheet, where a stock has no nests yet (from memory)


@dataclass(frozen=True)
class PieceToCut:
    """What is known of a piece that has to be cut."""

    stock: int
    area_mm2: float
    perimeter_mm: float


def feed_mm_min() -> float:
    """The feed of the usual cutter: 3,600 mm/min."""
    return feeds.feed_mm_min(REV_PER_MIN, USUAL.flutes, feeds.FIRST_CHIP_MM)


def minutes(pieces: Iterable[PieceToCut], thickness_mm: float, tool_mm: float) -> float:
    """The time to cut and put away pieces of one stock: the outline's length in so many passes, at most one diameter deep."""
    passes = math.ceil(round(thickness_mm / tool_mm, 6))
    return sum(one.perimeter_mm * passes / feed_mm_min() + HANDLING_MIN for one in pieces)


def sheets_used(
    pieces: Iterable[PieceToCut], length_mm: float, width_mm: float, yield_share: float | None
) -> float:
    """The share of full sheets that pieces of one stock take, at the yield that the stock's nests had so far."""
    area = sum(one.area_mm2 for one in pieces)
    return area / (yield_share or USUAL_YIELD) / (length_mm * width_mm)
