"""What cutting a few more pieces costs: minutes at the router and the bench, and the share of a sheet.

Owns rough figures for a person to decide by, not a plan. Lengths mm, areas mm², times minutes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from . import feeds
from .cutters import USUAL

REV_PER_MIN = 18_000  # to start with: Amana Tool's speed chart for plastic O-flutes
FEED_MM_MIN = feeds.feed_mm_min(REV_PER_MIN, USUAL.flutes, feeds.FIRST_CHIP_MM)  # 3,600
HANDLING_MIN = 0.5  # to take a piece off, label it and put it away: from memory
USUAL_YIELD = 0.5  # net area over used sheet, where a stock has no nests yet (from memory)


@dataclass(frozen=True)
class PieceToCut:
    """A piece that has to be cut again: its stock, area and length of outline."""

    stock: int
    area_mm2: float
    perimeter_mm: float


def minutes(pieces: Iterable[PieceToCut], thickness_mm: float, tool_mm: float) -> float:
    """Return the time to cut and put away pieces of one stock, in passes at most one cutter diameter deep."""
    passes = math.ceil(round(thickness_mm / tool_mm, 6))
    return sum(piece.perimeter_mm * passes / FEED_MM_MIN + HANDLING_MIN for piece in pieces)


def sheets_used(
    pieces: Iterable[PieceToCut], length_mm: float, width_mm: float, yield_share: float | None
) -> float:
    """Return the share of full sheets that pieces of one stock take, at that stock's yield so far."""
    area = sum(piece.area_mm2 for piece in pieces)
    return area / (yield_share or USUAL_YIELD) / (length_mm * width_mm)
