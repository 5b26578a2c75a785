"""What people call a colour. Owns a short list of plain words; must not know which stock a colour stands for."""

from __future__ import annotations

_WORDS = {
    "white": (255, 255, 255), "black": (20, 20, 20), "grey": (128, 128, 128), "pale grey": (203, 210, 197),
    "slate": (47, 62, 70), "red": (200, 30, 30), "dark red": (140, 47, 57), "orange": (235, 130, 30),
    "yellow": (245, 215, 50), "cream": (242, 232, 207), "brown": (110, 70, 40), "green": (50, 140, 70),
    "dark green": (25, 75, 45), "pale green": (170, 215, 170), "blue": (51, 101, 138), "bright blue": (30, 90, 220),
    "dark blue": (20, 35, 90), "pale blue": (165, 205, 235), "violet": (110, 60, 150), "pink": (240, 150, 180),
}  # fmt: skip


def colour_word(colour: str) -> str:
    """The plain word nearest to a colour '#rrggbb': 'cream' for '#f2e8cf'."""
    wanted = tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return min(_WORDS, key=lambda word: _distance(wanted, _WORDS[word]))


def _distance(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    red = (one[0] + other[0]) / 2  # the eye sees a change of red in a light red less than in a dark one
    r, g, b = (a - c for a, c in zip(one, other, strict=True))
    return (2 + red / 256) * r * r + 4 * g * g + (2 + (255 - red) / 256) * b * b


def alike(colours) -> tuple[tuple[str, ...], ...]:
    """(Being written by the stacking helper.)"""
    return ()
