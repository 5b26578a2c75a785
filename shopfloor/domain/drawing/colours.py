"""What people call a colour, and which colours they would take for one.

Owns a short list of plain words and the distance of colours; must not know which stock a colour means.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

_WORDS = {
    "white": (255, 255, 255),
    "black": (20, 20, 20),
    "grey": (128, 128, 128),
    "pale grey": (203, 210, 197),
    "slate": (47, 62, 70),
    "red": (200, 30, 30),
    "dark red": (140, 47, 57),
    "orange": (235, 130, 30),
    "yellow": (245, 215, 50),
    "cream": (242, 232, 207),
    "brown": (110, 70, 40),
    "green": (50, 140, 70),
    "dark green": (25, 75, 45),
    "pale green": (170, 215, 170),
    "blue": (51, 101, 138),
    "bright blue": (30, 90, 220),
    "dark blue": (20, 35, 90),
    "pale blue": (165, 205, 235),
    "violet": (110, 60, 150),
    "pink": (240, 150, 180),
}

# A difference of about 2.3 is just noticed side by side (Mahy and others, 1994). Two pickers, or one colour that went
# through print colours and back, differ by one or two such steps; sheets that a shop tells apart differ by many.
ALIKE = 5.0
_TO_XYZ = np.array(  # from the primaries and the white of IEC 61966-2-1 (sRGB)
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)  # of D65: greys come out grey


def alike(colours: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Return groups of two or more colours '#rrggbb' that a person would take for one acrylic, each in the order given.

    All colours of a group are like its first one, by a CIE 1976 difference of at most 5, so that no chain leads from red
    to orange. No colour is in two groups.
    """
    given = list(dict.fromkeys(colours))
    places, is_free = lab(given), np.ones(len(given), dtype=bool)
    groups = []
    for first in range(len(given)):
        if is_free[first]:
            group = np.flatnonzero(
                is_free & (((places - places[first]) ** 2).sum(axis=1) <= ALIKE**2)
            )
            is_free[group] = False
            groups.append(tuple(given[place] for place in group))
    return tuple(group for group in groups if len(group) > 1)


def lab(colours: Sequence[str]) -> npt.NDArray[np.float64]:
    """Return CIE L*a*b* of colours '#rrggbb', a row each, for D65. Sources: IEC 61966-2-1 (sRGB), ISO/CIE 11664-4 (L*a*b*)."""
    channels = [[int(colour[at : at + 2], 16) for at in (1, 3, 5)] for colour in colours]
    srgb = np.array(channels, dtype=float).reshape(-1, 3) / 255
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    share = linear @ _TO_XYZ.T / _WHITE
    bent = np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = bent.T
    return np.column_stack([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def colour_word(colour: str) -> str:
    """Return the plain word nearest to a colour '#rrggbb': 'cream' for '#f2e8cf'."""
    wanted = tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return min(_WORDS, key=lambda word: _distance(wanted, _WORDS[word]))


def _distance(colour: tuple[int, ...], other: tuple[int, ...]) -> float:
    # the eye sees a change of red less in a light red than in a dark one
    red = (colour[0] + other[0]) / 2
    r, g, b = (a - c for a, c in zip(colour, other, strict=True))
    return (2 + red / 256) * r * r + 4 * g * g + (2 + (255 - red) / 256) * b * b
