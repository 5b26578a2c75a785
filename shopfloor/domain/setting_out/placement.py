"""Whether a letter is where it belongs: how far it may be off, and what was measured against what was wanted.

Owns the tolerance and the verdict. Lengths are mm; an error is positive where the letter is too far to the right (along
its line) or too high (above its line). Must not know where letters belong: `setting_out` does.
"""

from __future__ import annotations

from ...wording import setting_out as wording
from ...wording.message import Message, joined
from ..errors import Refused
from ..lengths import half_step, parse
from ..settings import Settings

PLACES = 6  # decimals of a millimetre that are kept: as many as the database keeps
UNSEEN_MM = 0.05  # a smaller error is 0.0 mm as it is shown


def allowed_mm(height_mm: float, settings: Settings) -> float:
    """What a letter of this height may be off: a share of its height, between the shop's least and most.

    An eye finds an error large or small beside the letter: a hundredth of the height, no less than half a millimetre and no
    more than two (from memory: a shop sets its own). The least wins where a shop has set it above the most; and it is never
    finer than half the step that figures are rounded to: a letter set to the figure on the screen must never be found wrong.
    """
    finest = half_step(settings.units, settings.inch_fraction)
    least = max(settings.place_least_mm, finest)
    return round(max(least, min(settings.place_share * height_mm, settings.place_most_mm)), PLACES)


def must_be_near(reach_mm: float, *measured: float | None) -> None:
    """Raises Refused for a length beyond `reach_mm`, the sign's width and height together."""
    if any(length is not None and abs(length) > reach_mm for length in measured):
        raise Refused(wording.off_the_sign())


def error(measured_mm: float, wanted_mm: float) -> float:
    """How far off: positive is too far to the right, or too high."""
    return round(measured_mm - wanted_mm, PLACES) + 0.0


def is_right(allowed_mm: float, *errors: float | None) -> bool:
    """True where all that was measured is within what is allowed."""
    return all(abs(off) <= allowed_mm for off in errors if off is not None)


def from_datum(text: str, units: str, wanted_mm: float) -> float:
    """A typed distance from a datum in the middle: without a sign it is on the side where the letter belongs.

    mm, negative to the left. Raises Refused.
    """
    typed = parse(text, units)
    is_signed = text.strip().startswith(("+", "-", "−"))
    return -typed if wanted_mm < 0 and not is_signed else typed


def verdict(
    across_mm: float | None, up_mm: float | None, allowed_mm: float, *, is_level: bool = True
) -> Message:
    """What was found, and which way to move the letter: '1.5 mm too far right: move it left.'

    Raises Refused where nothing was measured.
    """
    errors = _errors(across_mm, up_mm, is_level)
    if not errors:
        raise Refused(wording.nothing_measured())
    wrong = [(off, direction) for off, direction in errors if not is_right(allowed_mm, off)]
    if wrong:
        return joined(wording.move(off, direction) for off, direction in wrong)
    largest = max(abs(off) for off, _ in errors)
    if largest < UNSEEN_MM:
        return wording.ok_nothing_off()
    return wording.ok(largest, allowed_mm)


def measured_ok(across_mm: float | None, up_mm: float | None, *, is_level: bool = True) -> Message:
    """What was measured within the tolerance, for a row of a list: 'measured: 0.3 mm right and 0.2 mm low'."""
    errors = _errors(across_mm, up_mm, is_level)
    return wording.measured(
        [wording.error(off, direction) for off, direction in errors if abs(off) >= UNSEEN_MM]
    )


def _errors(
    across_mm: float | None, up_mm: float | None, is_level: bool
) -> list[tuple[float, str]]:
    """(error, direction) of each distance that was measured; `direction` is a code of `wording.move`."""
    axes = (
        (("right", "left"), ("high", "low")) if is_level else (("on", "back"), ("above", "below"))
    )
    return [
        (off, positive if off > 0 else negative)
        for off, (positive, negative) in zip((across_mm, up_mm), axes, strict=True)
        if off is not None
    ]
