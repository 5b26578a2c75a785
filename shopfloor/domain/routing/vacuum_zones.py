"""The vacuum zones of the table: which ones to open under a blank. Pure; lengths are millimetres.

The blank lies with its lower left corner on the table's, its length along the table. Zones are numbered from 1 at that
corner, first along the table, then across it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LEAST_COVER = 0.05  # of a zone: with less of it under the blank it would draw air only (common practice: cover a zone)
WHOLE = 0.9  # of a zone: one that is nearly covered leaks little


@dataclass(frozen=True)
class Table:
    """The vacuum table: its size, and its zones along and across it."""

    length_mm: float
    width_mm: float
    along: int
    across: int


@dataclass(frozen=True)
class Zones:
    """The zones to open, and those of them that the blank covers only in part: their rest leaks."""

    to_open: tuple[int, ...]
    in_part: tuple[int, ...]
    is_too_large: bool


def zones_under(
    length_mm: float,
    width_mm: float,
    table: Table,
    cut_mm: tuple[float, float] = (math.inf, math.inf),
) -> Zones:
    """Return the zones under a blank of this size. `is_too_large`: it hangs over the table's edge.

    `cut_mm` is how far pieces are cut, along and across, from the corner: a zone that the blank covers only in part stays
    closed where nothing is cut over it, since it would leak and hold nothing (common practice: all vacuum where the pieces
    are). A blank too small for any zone's LEAST_COVER still lies on the first, which is opened.
    """
    deep, wide = table.length_mm / table.along, table.width_mm / table.across
    shares = {
        row * table.along + column + 1: _cover(length_mm, column, deep)
        * _cover(width_mm, row, wide)
        for row in range(table.across)
        for column in range(table.along)
    }
    cut = {
        zone
        for zone in shares
        if (zone - 1) % table.along * deep < cut_mm[0]
        and (zone - 1) // table.along * wide < cut_mm[1]
    }
    to_open = tuple(
        zone
        for zone, share in shares.items()
        if share >= WHOLE or (share >= LEAST_COVER and zone in cut)
    ) or (1,)
    in_part = tuple(zone for zone in to_open if shares[zone] < WHOLE)
    return Zones(to_open, in_part, length_mm > table.length_mm or width_mm > table.width_mm)


def _cover(reach_mm: float, place: int, size_mm: float) -> float:
    """Return the share of the zone at `place`, from 0, that a blank from 0 to `reach_mm` covers in one direction."""
    return min(1.0, max(0.0, reach_mm / size_mm - place))
