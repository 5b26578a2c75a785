"""Whether a drawing came in at the wrong scale, and which slip of units would explain it.

Owns the suspicion, not the remedy: a person decides. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

from .drawing import Finding
from .stacking import ProposedPart, ProposedSign

SMALL_LETTER_MM = (
    5.0  # smaller than the cutter that would cut it: from memory, as are the sizes of signs
)
SMALL_SIGN_MM, LARGE_SIGN_MM = 20.0, 20_000.0
LIKELY_MM = 100.0, 6_000.0  # the longer side of a sign

# What to multiply by, and what then happened; the likeliest first. An inch has 25.4 mm; in CSS, 96 px or 72 pt.
SLIPS = (
    (25.4, "inches were taken for millimetres"),
    (10.0, "centimetres were taken for millimetres"),
    (1 / 10, "millimetres were taken for centimetres"),
    (1 / 25.4, "millimetres were taken for inches"),
    (25.4 / 96, "pixels of 1/96 inch were taken for millimetres"),
    (25.4 / 72, "points of 1/72 inch were taken for millimetres"),
    (96 / 25.4, "millimetres were taken for pixels of 1/96 inch"),
    (72 / 25.4, "millimetres were taken for points of 1/72 inch"),
    (1000.0, "metres were taken for millimetres"),
    (1 / 1000, "millimetres were taken for metres"),
)


def wrong_scale(signs: Sequence[ProposedSign]) -> tuple[Finding, ...]:
    """One finding 'scale' at the most for the drawing.

    Suspected: a sign over 20 m; most signs under 20 mm; most letters (parts on a board, or all where there are no
    boards) under 5 mm on their longer side.
    """
    huge = [sign for sign in signs if _side(sign) > LARGE_SIGN_MM]
    tiny = [sign for sign in signs if _side(sign) < SMALL_SIGN_MM]
    if huge:
        return (_suspected(huge[0], "is larger than a sign is made in one"),)
    if 2 * len(tiny) > len(signs):
        return (_suspected(tiny[0], "is smaller than a sign is routed"),)
    small, count = _small_letters(signs)
    if 2 * len(small) > count:
        sign, part = max(small, key=lambda one: one[1].outline.height_mm)
        letters = f"has letters of {_mm(part.outline.height_mm)} mm, {len(small)} of all {count} parts that small"
        return (_suspected(sign, letters),)
    return ()


def _small_letters(
    signs: Sequence[ProposedSign],
) -> tuple[list[tuple[ProposedSign, ProposedPart]], int]:
    parts = [(sign, part) for sign in signs for part in sign.parts]
    letters = [one for one in parts if one[1].level > 0] or parts
    small = [
        one
        for one in letters
        if max(one[1].outline.width_mm, one[1].outline.height_mm) < SMALL_LETTER_MM
    ]
    return small, len(letters)


def _suspected(sign: ProposedSign, why: str) -> Finding:
    left, bottom = sign.left_mm, sign.bottom_mm
    right, top = left + sign.width_mm, bottom + sign.height_mm
    box = (left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)
    name = f"Sign '{sign.name}'" if sign.name else "A sign"
    message = f"{name} of {_size(sign, 1)} {why}: check the drawing's units. {_likely_slip(sign)}"
    return Finding("scale", message.strip(), (left, bottom), box)


def _likely_slip(sign: ProposedSign) -> str:
    for factor, slip in SLIPS:
        if LIKELY_MM[0] <= _side(sign) * factor <= LIKELY_MM[1]:
            return f"If {slip}, it measures {_size(sign, factor)}."
    return ""


def _size(sign: ProposedSign, factor: float) -> str:
    return f"{_mm(sign.width_mm * factor)} × {_mm(sign.height_mm * factor)} mm"


def _side(sign: ProposedSign) -> float:
    return max(sign.width_mm, sign.height_mm)


def _mm(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
