"""The chart of how warm it was at the bench: pixels only. Must not read a database or a clock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from ...domain.bench.cure import Cement
from ...store.climate import Noted
from .. import formatting

WIDE_PX, HIGH_PX = 504, 240  # the field; figures stand left of it and beneath
LEFT_PX, FOOT_PX = 56, 30
MOST_DOTS = 60  # of more readings the line alone is drawn
LABEL_PX = 17  # two labels that are nearer than this would cover each other
STEPS_C = (1, 2, 5, 10, 20)
HOURS = (3, 6, 12, 24, 48)
LONG = timedelta(
    hours=6
)  # without a reading: what is drawn over it is an assumption, and said to be one
MOST_SAID = 3


@dataclass(frozen=True)
class Tick:
    """A figure on an axis, `at` pixels from its begin (from the top, up the side)."""

    at: float
    words: str


@dataclass(frozen=True)
class Limit:
    """A temperature that matters to a cement; `words` are '' where another label stands there."""

    y: float
    words: str
    is_outer: bool


@dataclass(frozen=True)
class Chart:
    """Readings as a line, limits across it; pixels from the field's upper left corner. `words` say it without the picture.

    `assumed` is the part of the line over long times without a reading, which `gaps` tell, one sentence each, without full stops.
    """

    line: str
    assumed: str
    gaps: tuple[str, ...]
    dots: tuple[tuple[float, float], ...]
    limits: tuple[Limit, ...]
    degrees: tuple[Tick, ...]
    times: tuple[Tick, ...]
    begins: str
    words: str
    wide_px: int = WIDE_PX
    high_px: int = HIGH_PX
    left_px: int = LEFT_PX
    foot_px: int = FOOT_PX


def chart(
    noted: Sequence[Noted], cements: Sequence[Cement], since: datetime, now: datetime, zone: str
) -> Chart | None:
    """The readings from `since` to `now`, with the limits of some cements; None where nothing was noted."""
    if not noted:
        return None
    low, high = _range(noted, cements)

    def x(moment: datetime) -> float:
        return round(WIDE_PX * ((moment - since) / (now - since)), 1)

    def y(celsius: float) -> float:
        return round(HIGH_PX * (high - celsius) / (high - low), 1)

    dots = [(x(one.at), y(one.temperature_c)) for one in noted]
    moments = [*(one.at for one in noted), max(now, noted[-1].at)]
    points = [*dots, (x(moments[-1]), dots[-1][1])]  # after the last one it is taken to stay
    is_long = [other - one > LONG for one, other in pairwise(moments)]
    coldest, warmest = (pick(one.temperature_c for one in noted) for pick in (min, max))
    return Chart(
        _path(points, [not long for long in is_long]),
        _path(points, is_long),
        tuple(_gaps(moments, is_long, zone)),
        tuple(dots) if len(dots) <= MOST_DOTS else (),
        tuple(_limits(cements, low, high, y)),
        tuple(Tick(y(degree), f"{degree:g}") for degree in _degrees(low, high)),
        tuple(Tick(x(moment), words) for moment, words in _times(since, now, zone)),
        formatting.moment(since, zone),
        f"{len(noted)} readings, from {coldest:g} to {warmest:g} °C",
    )


def _path(points: Sequence[tuple[float, float]], is_drawn: Sequence[bool]) -> str:
    """A line over those stretches between two points that are to be drawn."""
    said, pen = [], None
    for (one, other), drawn in zip(pairwise(points), is_drawn, strict=True):
        if drawn:
            said += [] if pen == one else [f"M{one[0]:g} {one[1]:g}"]
            said.append(f"L{other[0]:g} {other[1]:g}")
            pen = other
    return "".join(said)


def _gaps(moments: Sequence[datetime], is_long: Sequence[bool], zone: str) -> list[str]:
    """What is assumed over the long times without a reading, the newest first; the last moment is no reading."""
    found = [pair for pair, long in zip(pairwise(moments), is_long, strict=True) if long]
    said = [
        f"no reading since {_when(one, zone)}: no change is assumed"
        if is_long[-1] and other == moments[-1]
        else f"no reading between {_when(one, zone)} and {_when(other, zone)}: an even change is assumed"
        for one, other in reversed(found)
    ]
    return (
        said
        if len(said) <= MOST_SAID
        else [*said[:MOST_SAID], f"and {len(said) - MOST_SAID} more times like these"]
    )


def _when(moment: datetime, zone: str) -> str:
    return f"{formatting.local(moment, zone):%a %H:%M}"


def _range(noted: Sequence[Noted], cements: Sequence[Cement]) -> tuple[float, float]:
    """What the chart spans in °C: all readings, and the coldest and the reference of each cement."""
    seen = [one.temperature_c for one in noted]
    seen += [celsius for cement in cements for celsius in (cement.coldest_c, cement.reference_c)]
    if cements and max(seen) > min(cement.warmest_c for cement in cements) - 3:
        seen += [cement.warmest_c for cement in cements]
    return math.floor(min(seen) - 1), math.ceil(max(seen) + 1)


def _limits(cements: Sequence[Cement], low: float, high: float, y) -> list[Limit]:
    """Outer limits and references, each temperature once; a label that would cover another one is left out."""
    named: dict[tuple[float, str], list[str]] = {}
    for cement in cements:
        for celsius, words in (
            (cement.coldest_c, "coldest for"),
            (cement.warmest_c, "warmest for"),
            (cement.reference_c, "full pace of"),
        ):
            if low <= celsius <= high:
                named.setdefault((celsius, words), []).append(cement.name)
    found: list[Limit] = []
    for (celsius, words), names in sorted(named.items(), key=lambda one: -one[0][0]):
        at = y(celsius)
        is_free = all(abs(other.y - at) >= LABEL_PX for other in found if other.words)
        said = f"{words} {names[0]}" + (f" and {len(names) - 1} more" if len(names) > 1 else "")
        found.append(Limit(at, said if is_free else "", words != "full pace of"))
    return found


def _degrees(low: float, high: float) -> list[float]:
    step = next((step for step in STEPS_C if (high - low) / step <= 7), STEPS_C[-1])
    return [step * at for at in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _times(since: datetime, now: datetime, zone: str) -> list[tuple[datetime, str]]:
    """Whole hours of the shop's clock, midnights by their day."""
    apart = next(
        (hours for hours in HOURS if (now - since) / timedelta(hours=hours) <= 8), HOURS[-1]
    )
    first = formatting.local(since, zone).replace(minute=0, second=0, microsecond=0)
    found = []
    for at in range(1, int((now - since) / timedelta(hours=1)) + 2):
        moment = formatting.local(first + timedelta(hours=at), zone)
        days = (moment.date() - first.date()).days
        if (
            moment.hour % min(apart, 24) == 0
            and days % max(1, apart // 24) == 0
            and since < moment <= now
        ):
            words = (
                formatting.day(moment, zone)[4:]
                if moment.hour == 0
                else formatting.clock(moment, zone)
            )
            found.append((moment, words))
    return found
