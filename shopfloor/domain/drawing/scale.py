"""Whether a drawing came in at the wrong scale, and which slip of units would explain it.

Owns the suspicion, not the remedy: a person decides. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...wording import drawings as wording
from ...wording.message import Message, joined
from .drawing import Finding
from .stacking import ProposedPart, ProposedSign

SMALL_LETTER_MM = (
    5.0  # smaller than the cutter that would cut it: from memory, as are the sizes of signs
)
SMALL_SIGN_MM, LARGE_SIGN_MM = 20.0, 20_000.0
LIKELY_MM = 100.0, 6_000.0  # the longer side of a sign

# What to multiply by: the unit that was meant and the one it was taken for; the likeliest first. An inch has 25.4 mm;
# in CSS, 96 px or 72 pt.
SLIPS = (
    (25.4, ("in", "mm")),
    (10.0, ("cm", "mm")),
    (1 / 10, ("mm", "cm")),
    (1 / 25.4, ("mm", "in")),
    (25.4 / 96, ("px", "mm")),
    (25.4 / 72, ("pt", "mm")),
    (96 / 25.4, ("mm", "px")),
    (72 / 25.4, ("mm", "pt")),
    (1000.0, ("m", "mm")),
    (1 / 1000, ("mm", "m")),
)


def wrong_scale(signs: Sequence[ProposedSign]) -> tuple[Finding, ...]:
    """Return one finding 'scale' at most for the drawing.

    Suspected: a sign over 20 m; most signs under 20 mm; most letters (parts on a board, or all where there are no
    boards) under 5 mm on their longer side.
    """
    huge = [sign for sign in signs if _side(sign) > LARGE_SIGN_MM]
    tiny = [sign for sign in signs if _side(sign) < SMALL_SIGN_MM]
    if huge:
        return (_suspected(huge[0], wording.sign_too_large(*_called(huge[0]))),)
    if 2 * len(tiny) > len(signs):
        return (_suspected(tiny[0], wording.sign_too_small(*_called(tiny[0]))),)
    small, count = _small_letters(signs)
    if 2 * len(small) > count:
        sign, part = max(small, key=lambda letter: letter[1].outline.height_mm)
        letter_mm = _mm(part.outline.height_mm)
        why = wording.letters_too_small(*_called(sign), letter_mm, len(small), count)
        return (_suspected(sign, why),)
    return ()


def _small_letters(
    signs: Sequence[ProposedSign],
) -> tuple[list[tuple[ProposedSign, ProposedPart]], int]:
    parts = [(sign, part) for sign in signs for part in sign.parts]
    letters = [(sign, part) for sign, part in parts if part.level > 0] or parts
    small = [
        (sign, part)
        for sign, part in letters
        if max(part.outline.width_mm, part.outline.height_mm) < SMALL_LETTER_MM
    ]
    return small, len(letters)


def _suspected(sign: ProposedSign, why: Message) -> Finding:
    left, bottom = sign.left_mm, sign.bottom_mm
    right, top = left + sign.width_mm, bottom + sign.height_mm
    box = (left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)
    return Finding("scale", joined([why, _likely_slip(sign)]), (left, bottom), box)


def _likely_slip(sign: ProposedSign) -> Message | None:
    for factor, (meant, taken) in SLIPS:
        if LIKELY_MM[0] <= _side(sign) * factor <= LIKELY_MM[1]:
            width, height = _mm(sign.width_mm * factor), _mm(sign.height_mm * factor)
            return wording.if_units_slipped(wording.taken_for(meant, taken), width, height)
    return None


def _called(sign: ProposedSign) -> tuple[str, float, float]:
    """The name ('' for none), width and height of a sign, as a finding names them."""
    return sign.name or "", _mm(sign.width_mm), _mm(sign.height_mm)


def _side(sign: ProposedSign) -> float:
    return max(sign.width_mm, sign.height_mm)


def _mm(value: float) -> float:
    return plain(round(value, 1))


def plain(figure: float) -> float:
    """Return the same number, a whole one without its decimals: it goes into a sentence as it is."""
    return int(figure) if figure == int(figure) else figure
