"""How long a cement cures: the rule of thumb, and its sum where the bench gets colder or warmer in between.

A cure is never shorter than the data sheet says. Must not know which sign is glued, nor read a clock.

Source of the rule: the rate of a reaction doubles for 10 °C (Bonstone, for epoxy and urethane; Cyabond gives 8 °C for toughened
acrylics). Nobody publishes it for solvent cements: there it is a rule of thumb.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from ...wording import cure as wording
from ..errors import Refused
from .cements import Cement

SLOWER_EVERY_C = 10.0  # the rate halves for each 10 °C colder
NO_END = datetime(9999, 12, 31, tzinfo=UTC)  # how the end of a paused cure is stored: too cold
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Reading:
    """The temperature at the bench at a moment (aware)."""

    at: datetime
    temperature_c: float


@dataclass(frozen=True)
class Stages:
    """When a joint is fixtured, may be handled and is cured. `full` is None where the cure is paused, too cold; the others
    are None there too, and where the data sheet does not give them."""

    fixture: datetime | None
    handling: datetime | None
    full: datetime | None


def reached(
    readings: Sequence[Reading],
    since: datetime,
    hours: float,
    cement: Cement,
    counts_from_c: float | None = None,
) -> datetime | None:
    """Return when `hours` at the reference are full, counted from `since`: a whole minute, never early.

    Between two readings the temperature changes evenly; before the first and after the last it stays. The rate doubles
    for 10 °C, but is never over 1, and 0 below the minimum of the data sheet; `counts_from_c` is where it counts from
    instead, where an owner allowed a colder glue-up. None where the end never comes, going by what is known: it is too
    cold now.
    """
    known, since = _in_order(readings), since.astimezone(UTC)
    coldest = cement.coldest_c if counts_from_c is None else min(cement.coldest_c, counts_from_c)
    last = max(since, known[-1].at)
    left = hours
    for piece in pieces_of_time(known, since, last, coldest, cement.reference_c):
        worth = piece.worth()
        if worth >= left:
            return whole_minute(since + HOUR * (piece.begins + piece.hours_for(left)))
        left -= worth
    now_c = known[-1].temperature_c
    if now_c < coldest:
        return None
    return whole_minute(last + HOUR * (max(left, 0.0) / _rate(now_c, cement.reference_c)))


def stages(
    readings: Sequence[Reading],
    glued_at: datetime,
    cement: Cement,
    counts_from_c: float | None = None,
) -> Stages:
    """Return when each stage of a joint that was glued at `glued_at` is reached; see `reached`."""

    def when(hours: float) -> datetime | None:
        return reached(readings, glued_at, hours, cement, counts_from_c) if hours else None

    return Stages(
        when(cement.fixture_min / 60), when(cement.handling_hours), when(cement.cure_hours)
    )


def whole_minute(moment: datetime) -> datetime:
    """Return the moment itself where it is a whole minute, else the next one."""
    whole = moment.replace(second=0, microsecond=0)
    return whole if whole == moment else whole + timedelta(minutes=1)


@dataclass(frozen=True)
class _Piece:
    """A stretch over which the exponent of the rate changes evenly; `begins` is hours after the start.

    `rate` is the one at its begin, `grows` the natural logarithm of the rate's change over it.
    """

    begins: float
    hours: float
    rate: float
    grows: float

    def worth(self) -> float:
        """Hours at the reference: the integral of rate * exp(grows * x / hours) over x from 0 to hours."""
        return self.hours * self.rate * (math.expm1(self.grows) / self.grows if self.grows else 1.0)

    def hours_for(self, worth: float) -> float:
        """How long into it until it is worth so much: the integral solved for its upper end."""
        if not self.grows:
            return worth / self.rate if self.rate else 0.0
        slope = self.grows / self.hours
        return min(self.hours, math.log1p(worth * slope / self.rate) / slope)


def _rate(temperature_c: float, reference_c: float) -> float:
    return min(1.0, math.pow(2, (temperature_c - reference_c) / SLOWER_EVERY_C))


def _in_order(readings: Sequence[Reading]) -> list[Reading]:
    if not readings:
        raise Refused(wording.no_temperature())
    # in UTC, since a zone's hours change
    in_utc = (Reading(known.at.astimezone(UTC), known.temperature_c) for known in readings)
    return sorted(in_utc, key=lambda reading: reading.at)


def pieces_of_time(
    known: Sequence[Reading],
    since: datetime,
    until: datetime,
    coldest_c: float,
    reference_c: float,
) -> Iterator[_Piece]:
    """Yield the stretches from `since` to `until`, in order, cut where the rate's rule changes."""
    for begin, end, from_c, to_c in _evenly(known, since, until):
        crossed = {
            kink
            for kink in (coldest_c, reference_c)
            if min(from_c, to_c) < kink < max(from_c, to_c)
        }
        cuts = [0.0, *sorted((kink - from_c) / (to_c - from_c) for kink in crossed), 1.0]
        for start, stop in pairwise(cuts):
            begins, hours = begin + start * (end - begin), (stop - start) * (end - begin)
            starts_c, change_c = from_c + start * (to_c - from_c), (stop - start) * (to_c - from_c)
            middle = starts_c + change_c / 2  # says which side of a kink: the ends may lie on it
            if middle < coldest_c:
                yield _Piece(begins, hours, 0.0, 0.0)
            elif middle >= reference_c:
                yield _Piece(begins, hours, 1.0, 0.0)
            else:
                grows = math.log(2) * change_c / SLOWER_EVERY_C
                yield _Piece(begins, hours, _rate(starts_c, reference_c), grows)


def _evenly(
    known: Sequence[Reading], since: datetime, until: datetime
) -> Iterator[tuple[float, float, float, float]]:
    """Yield (begin, end, °C at the begin, °C at the end) of each stretch with an even change; hours after `since`."""
    ends = [
        Reading(min(since, known[0].at), known[0].temperature_c),
        *known,
        Reading(max(until, known[-1].at), known[-1].temperature_c),
    ]
    for first, second in pairwise(ends):
        begin, end = max(first.at, since), min(second.at, until)
        if begin >= end:
            continue
        change = (second.temperature_c - first.temperature_c) / ((second.at - first.at) / HOUR)
        yield (
            (begin - since) / HOUR,
            (end - since) / HOUR,
            first.temperature_c + change * ((begin - first.at) / HOUR),
            first.temperature_c + change * ((end - first.at) / HOUR),
        )
