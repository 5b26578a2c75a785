"""What every kind of drawing file has in common: how fine curves are cut into chords, and how much is too much.

Owns the numbers alone. Lengths are millimetres.
"""

MAX_POINTS = 2_000_000
CHORD_MM = 0.049  # no chord lies further from its curve; up to 0.05 the last thousandth is left to rounding
SMALL_DRAWING_MM, LARGE_DRAWING_MM = 10.0, 20_000.0  # beyond these a wrong unit is suspected
WIDEST_MM = 1_000_000.0  # and beyond this it is certain
