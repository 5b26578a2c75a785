"""Whether a letter sits where it belongs: how far it may be off, and what was measured against what was wanted.

Owns the tolerance and its words. Lengths are mm; an error is positive where the letter is too far to the right (along its
line) or too high (over its line). Must not know where letters belong: `setting_out` does.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import Refused
from ..lengths import fine, half_step, parse
from ..settings import Settings

PLACES = 6  # of a millimetre that are kept: as many as the database keeps


@dataclass(frozen=True)
class Tolerance:
    """How far a letter may be off: `share` of its height, `least_mm` and `most_mm` at the ends.

    An eye finds an error large or small beside the letter: a hundredth of the height, no less than half a millimetre and no
    more than two (from memory: a shop sets its own).
    """

    share: float = 0.01
    least_mm: float = 0.5
    most_mm: float = 2.0

    def allowed_mm(self, height_mm: float) -> float:
        """What a letter of this height may be off. `least_mm` wins where a shop has set it above `most_mm`."""
        return round(max(self.least_mm, min(self.share * height_mm, self.most_mm)), PLACES)


@dataclass(frozen=True)
class PlaceMeasured:
    """A part was measured at its place. Errors in mm as in the table `measured_place`: None where it was not measured."""

    step: int
    part: int
    piece: int
    across_mm: float | None
    up_mm: float | None
    allowed_mm: float
    is_right: bool


@dataclass(frozen=True)
class Way:
    """The words for an error one way: when it is positive and when it is negative, and what to do then."""

    over: str
    under: str
    if_over: str
    if_under: str


ACROSS = Way("too far right", "too far left", "left", "right")
UP = Way("too high", "too low", "down", "up")
ALONG = Way("too far along the line", "not far enough along the line", "back", "on")
ABOVE = Way("too far above its line", "too far below its line", "down to it", "up to it")


def tolerance(settings: Settings) -> Tolerance:
    """The shop's tolerance; never finer than what its rounded figures can say, else what is set to the figure on the screen
    would be found wrong."""
    finest = half_step(settings.units, settings.inch_fraction)
    return Tolerance(
        settings.place_share, max(settings.place_least_mm, finest), settings.place_most_mm
    )


def must_be_near(reach_mm: float, *measured: float | None) -> None:
    """Raises Refused for what no rule reads on a sign: a length beyond `reach_mm`, its width and height together."""
    if any(one is not None and abs(one) > reach_mm for one in measured):
        raise Refused("That is off the sign: measure it again.")


def error(measured_mm: float, wanted_mm: float) -> float:
    """How far off: positive is too far to the right, or too high."""
    return round(measured_mm - wanted_mm, PLACES) + 0.0


def is_right(allowed_mm: float, *errors: float | None) -> bool:
    """True where all that was measured is within what is allowed."""
    return all(abs(off) <= allowed_mm for off in errors if off is not None)


def from_datum(text: str, units: str, wanted_mm: float) -> float:
    """A distance from a datum in the middle, as typed: without a sign it lies on the side where the letter belongs.

    mm, negative to the left. Raises Refused.
    """
    typed = parse(text, units)
    is_signed = text.strip().startswith(("+", "-", "−"))
    return -typed if wanted_mm < 0 and not is_signed else typed


def verdict(
    across_mm: float | None,
    up_mm: float | None,
    allowed_mm: float,
    units: str,
    *,
    is_level: bool = True,
) -> str:
    """What was found, in one sentence, and what to do: '1.5 mm too far right: move it left.'

    Raises Refused where nothing was measured.
    """
    errors = [
        (off, way) for off, way in zip((across_mm, up_mm), _ways(is_level)) if off is not None
    ]
    if not errors:
        raise Refused("Nothing was measured: type one of the two distances, or both.")
    wrong = [(off, way) for off, way in errors if not is_right(allowed_mm, off)]
    if wrong:
        said = " and ".join(
            f"{fine(off, units)} {way.over if off > 0 else way.under}" for off, way in wrong
        )
        return f"{said}: move it {' and '.join(way.if_over if off > 0 else way.if_under for off, way in wrong)}."
    most = max(abs(off) for off, _ in errors)
    if fine(most, units) == fine(0, units):
        return "It sits right: nothing off that a rule can show."
    return f"It sits right: {fine(most, units)} off, {fine(allowed_mm, units).removesuffix(f' {units}')} allowed."


def in_short(
    across_mm: float | None, up_mm: float | None, units: str, *, is_level: bool = True
) -> str:
    """The same for a row of a list: '0.3 mm right, 0.2 mm low'."""
    ways = (
        (("right", "left"), ("high", "low"))
        if is_level
        else (("too far on", "too far back"), ("high", "low"))
    )
    errors = [(off, words) for off, words in zip((across_mm, up_mm), ways) if off is not None]
    said = [
        f"{fine(off, units)} {over if off > 0 else under}"
        for off, (over, under) in errors
        if fine(off, units) != fine(0, units)
    ]
    return ", ".join(said) or "nothing off"


def _ways(is_level: bool) -> tuple[Way, Way]:
    return (ACROSS, UP) if is_level else (ALONG, ABOVE)
