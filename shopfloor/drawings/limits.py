"""What every kind of drawing file has in common: how fine curves are cut into chords, and how much is too much.

Owns the numbers alone. Lengths are millimetres.
"""

from __future__ import annotations

MAX_POINTS = 2_000_000
CHORD_MM = 0.049  # no chord lies further from its curve; up to 0.05 the last thousandth is left to rounding
SMALL_DRAWING_MM, LARGE_DRAWING_MM = 10.0, 20_000.0  # beyond these a wrong unit is suspected
WIDEST_MM = 1_000_000.0  # and beyond this it is certain
FINE, FINEST_MM = 1 / 1000, 0.001  # of an arc's radius: small circles keep their area to 0.2 %


def chord_of_arc_mm(radius_mm: float) -> float:
    """How far a chord may lie from an arc of this radius: less on a small one, where 0.05 mm is a good part of it.

    Chords with a sagitta s take 4 s / 3 r off the area of a circle of radius r (the series of sin x / x).
    """
    return min(CHORD_MM, max(radius_mm * FINE, FINEST_MM))
