"""The chart of temperature readings at the bench: pixels only. Must not read a database or a clock."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from ...domain.bench.cements import Cement
from ...store.climate import Noted
from ...wording import climate as wording
from ...wording import formatting
from ...wording.message import Message, first_few

WIDE_PX, HIGH_PX = 504, 240  # the field; figures are left of it and below
LEFT_PX, FOOT_PX = 56, 30
MOST_DOTS = 60  # with more readings only the line is drawn
LABEL_PX = 17  # two labels that are nearer than this would cover each other
STEPS_C = (1, 2, 5, 10, 20)
HOURS = (3, 6, 12, 24, 48)
LONG = timedelta(hours=6)  # without a reading: what is drawn over it is marked as filled in
MOST_GAPS = 3  # that are named one by one


@dataclass(frozen=True)
class Tick:
    """A figure on an axis, `at` pixels from its begin (from the top, up the side)."""

    at: float
    words: str


@dataclass(frozen=True)
class Limit:
    """A temperature that matters to a cement; `words` are None where another label is in the way."""

    y: float
    words: Message | None
    is_outer: bool


@dataclass(frozen=True)
class Chart:
    """Readings as a line, limits across it; pixels from the field's upper left corner. `words` replace the picture.

    `assumed` is the part of the line over long times without a reading; `gaps` names those, one sentence each.
    """

    line: str
    assumed: str
    gaps: tuple[Message, ...]
    dots: tuple[tuple[float, float], ...]
    limits: tuple[Limit, ...]
    degrees: tuple[Tick, ...]
    times: tuple[Tick, ...]
    begins: str
    words: Message
    wide_px: int = WIDE_PX
    high_px: int = HIGH_PX
    left_px: int = LEFT_PX
    foot_px: int = FOOT_PX


def chart(
    noted: Sequence[Noted], cements: Sequence[Cement], since: datetime, now: datetime, zone: str
) -> Chart | None:
    """Return the readings from `since` to `now`, with the limits of some cements; None where there are no readings."""
    if not noted:
        return None
    low, high = _range(noted, cements)

    def x(moment: datetime) -> float:
        return round(WIDE_PX * ((moment - since) / (now - since)), 1)

    def y(celsius: float) -> float:
        return round(HIGH_PX * (high - celsius) / (high - low), 1)

    dots = [(x(reading.at), y(reading.temperature_c)) for reading in noted]
    moments = [*(reading.at for reading in noted), max(now, noted[-1].at)]
    points = [*dots, (x(moments[-1]), dots[-1][1])]  # after the last reading the line stays level
    is_long = [later - earlier > LONG for earlier, later in pairwise(moments)]
    temperatures = [reading.temperature_c for reading in noted]
    return Chart(
        line=_path(points, [not long for long in is_long]),
        assumed=_path(points, is_long),
        gaps=tuple(_gaps(moments, is_long)),
        dots=tuple(dots) if len(dots) <= MOST_DOTS else (),
        limits=tuple(_limits(cements, low, high, y)),
        degrees=tuple(Tick(y(degree), f"{degree:g}") for degree in _degrees(low, high)),
        times=tuple(Tick(x(moment), words) for moment, words in _times(since, now, zone)),
        begins=formatting.moment(since, zone),
        words=wording.chart_in_words(len(noted), min(temperatures), max(temperatures)),
    )


def _path(points: Sequence[tuple[float, float]], is_drawn: Sequence[bool]) -> str:
    """Return the SVG path of the stretches between two points that are drawn."""
    path: list[str] = []
    pen = None
    for (start, end), drawn in zip(pairwise(points), is_drawn, strict=True):
        if drawn:
            path += [] if pen == start else [f"M{start[0]:g} {start[1]:g}"]
            path.append(f"L{end[0]:g} {end[1]:g}")
            pen = end
    return "".join(path)


def _gaps(moments: Sequence[datetime], is_long: Sequence[bool]) -> list[Message]:
    """Name the long times without a reading, the newest first; the last moment is no reading."""
    long_gaps = [gap for gap, long in zip(pairwise(moments), is_long, strict=True) if long]
    gaps = [
        wording.no_reading_since(start)
        if is_long[-1] and end == moments[-1]
        else wording.no_reading_between(start, end)
        for start, end in reversed(long_gaps)
    ]
    more = len(gaps) - MOST_GAPS
    return gaps if more <= 0 else [*gaps[:MOST_GAPS], wording.more_gaps(more)]


def _range(noted: Sequence[Noted], cements: Sequence[Cement]) -> tuple[float, float]:
    """Return what the chart spans in °C: all readings, and the minimum and the reference of each cement."""
    shown = [reading.temperature_c for reading in noted]
    shown += [celsius for cement in cements for celsius in (cement.coldest_c, cement.reference_c)]
    if cements and max(shown) > min(cement.warmest_c for cement in cements) - 3:
        shown += [cement.warmest_c for cement in cements]
    return math.floor(min(shown) - 1), math.ceil(max(shown) + 1)


def _limits(
    cements: Sequence[Cement], low: float, high: float, y: Callable[[float], float]
) -> list[Limit]:
    """Return minimums, maximums and references, each temperature once; a label that would cover another is left out."""
    named: dict[tuple[float, str], list[str]] = {}
    for cement in cements:
        for celsius, kind in (
            (cement.coldest_c, "coldest"),
            (cement.warmest_c, "warmest"),
            (cement.reference_c, "reference"),
        ):
            if low <= celsius <= high:
                named.setdefault((celsius, kind), []).append(cement.name)
    limits: list[Limit] = []
    for (celsius, kind), names in sorted(named.items(), key=lambda limit: -limit[0][0]):
        at = y(celsius)
        is_free = all(abs(other.y - at) >= LABEL_PX for other in limits if other.words)
        label = wording.limit(kind, first_few(names, 1)) if is_free else None
        limits.append(Limit(at, label, is_outer=kind != "reference"))
    return limits


def _degrees(low: float, high: float) -> list[float]:
    step = next((step for step in STEPS_C if (high - low) / step <= 7), STEPS_C[-1])
    return [step * at for at in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _times(since: datetime, now: datetime, zone: str) -> list[tuple[datetime, str]]:
    """Return whole hours of the shop's clock, midnights by their day."""
    apart = next(
        (hours for hours in HOURS if (now - since) / timedelta(hours=hours) <= 8), HOURS[-1]
    )
    there = ZoneInfo(zone)
    first = since.astimezone(there).replace(minute=0, second=0, microsecond=0)
    times = []
    for at in range(1, int((now - since) / timedelta(hours=1)) + 2):
        moment = (first + timedelta(hours=at)).astimezone(there)
        days = (moment.date() - first.date()).days
        if (
            moment.hour % min(apart, 24) == 0
            and days % max(1, apart // 24) == 0
            and since < moment <= now
        ):
            is_midnight = moment.hour == 0
            words = formatting.day(moment, zone)[4:] if is_midnight else f"{moment:%H:%M}"
            times.append((moment, words))
    return times
