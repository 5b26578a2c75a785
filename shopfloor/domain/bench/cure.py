"""How long a cement cures: owns the rule of thumb and the limits. Must not know which sign is glued, nor read a clock.

A figure from here never goes below the cement's own: the data sheet of the cement stands over it. Where the bench grows
colder or warmer meanwhile, the cure is the sum of what each moment adds: `hours_at_reference`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

from ..errors import Refused

SLOWER_EVERY_C = 10.0  # the rate halves for each 10 °C colder: rule of thumb, common practice
LATE_ENTRY = timedelta(hours=24)
CLOCKS_DIFFER = timedelta(minutes=2)  # a tablet's clock may be a little ahead of the shop's
NO_END = datetime(9999, 12, 31, tzinfo=UTC)  # how a cure is kept that stands still: too cold
BELIEVED_C = (-40.0, 80.0)  # no bench is colder or warmer: what is typed beyond is a slip
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Cement:
    """A cement as its data sheet gives it: used from `coldest_c` to `warmest_c` (°C), `driest_percent` to `dampest_percent`.

    At `reference_c` it stands by itself after `fixture_min`, may be handled after `handling_hours` and is cured after
    `cure_hours`; `open_min` is how long it can be worked. 0 for what the data sheet does not say. `ml_per_m2` is for a bond.
    """

    id: int
    name: str
    cure_hours: float = 24.0
    reference_c: float = 23.0
    coldest_c: float = 16.0
    warmest_c: float = 38.0
    kind: str = "solvent"
    open_min: float = 0.0
    fixture_min: float = 0.0
    handling_hours: float = 0.0
    driest_percent: float = 0.0
    dampest_percent: float = 100.0
    ml_per_m2: float = 0.0
    data_sheet: str = ""
    is_retired: bool = False


@dataclass(frozen=True)
class Reading:
    """How warm it was at the bench at a moment (aware)."""

    at: datetime
    temperature_c: float


@dataclass(frozen=True)
class Stages:
    """When a joint stands by itself, may be handled and is cured. `full` is None where it stands still, too cold; the others
    are None there too, and where the data sheet does not give them."""

    fixture: datetime | None
    handling: datetime | None
    full: datetime | None


# At one temperature. --------------------------------------------------------------------------------------------------


def cure_hours(temperature_c: float, cement: Cement) -> float:
    """Hours until the joint may be moved: twice as long for each 10 °C under the reference, never shorter above it.

    Source: the rate of a reaction about doubles for 10 °C (rule of thumb); limits as makers' manuals give them
    (60 to 100 °F). Raises Refused outside the cement's limits, and for what is no number.
    """
    if not cement.coldest_c <= checked_temperature(temperature_c) <= cement.warmest_c:
        raise Refused(_outside(cement, temperature_c))
    return cement.cure_hours * 2 ** (max(0.0, cement.reference_c - temperature_c) / SLOWER_EVERY_C)


def cured_at(glued_at: datetime, temperature_c: float, cement: Cement) -> datetime:
    """When a joint glued at `glued_at` may be moved: a whole minute, never before the rule's end. Raises Refused."""
    return whole_minute(
        glued_at.astimezone(UTC) + timedelta(hours=cure_hours(temperature_c, cement))
    )


# Over changing temperatures. ------------------------------------------------------------------------------------------


def hours_at_reference(
    readings: Sequence[Reading],
    since: datetime,
    until: datetime,
    cement: Cement,
    counts_from_c: float | None = None,
) -> float:
    """How many hours at the cement's reference what passed from `since` to `until` is worth.

    Between two readings the temperature changes evenly; before the first and after the last it stays. The rate doubles
    for 10 °C (rule of thumb), but is never over 1, and 0 below the coldest that the data sheet knows; `counts_from_c` is
    where it counts from instead, where an owner let it be glued colder.
    """
    pieces = _pieces(
        _in_order(readings), since.astimezone(UTC), until.astimezone(UTC), cement, counts_from_c
    )
    return math.fsum(piece.worth() for piece in pieces)


def reached(
    readings: Sequence[Reading],
    since: datetime,
    hours: float,
    cement: Cement,
    counts_from_c: float | None = None,
) -> datetime | None:
    """When `hours` at the reference are full, counted from `since`: a whole minute, never early.

    None where that never comes, going by what is known: it is too cold now.
    """
    return _reached(_in_order(readings), since.astimezone(UTC), hours, cement, counts_from_c)


def _reached(
    known: Sequence[Reading],
    since: datetime,
    hours: float,
    cement: Cement,
    counts_from_c: float | None,
) -> datetime | None:
    last = max(since, known[-1].at)
    left = hours
    for piece in _pieces(known, since, last, cement, counts_from_c):
        worth = piece.worth()
        if worth >= left:
            return whole_minute(since + HOUR * (piece.begins + piece.hours_for(left)))
        left -= worth
    rate = _rate(known[-1].temperature_c, cement, counts_from_c)
    return whole_minute(last + HOUR * (max(left, 0.0) / rate)) if rate else None


def stages(
    readings: Sequence[Reading],
    glued_at: datetime,
    cement: Cement,
    counts_from_c: float | None = None,
) -> Stages:
    """When each stage of a joint that was glued at `glued_at` is reached; see `reached`."""
    known, since = _in_order(readings), glued_at.astimezone(UTC)

    def when(hours: float) -> datetime | None:
        return _reached(known, since, hours, cement, counts_from_c) if hours else None

    return Stages(
        when(cement.fixture_min / 60), when(cement.handling_hours), when(cement.cure_hours)
    )


def whole_minute(moment: datetime) -> datetime:
    """The moment itself where it is a whole minute, else the next one."""
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


def _rate(temperature_c: float, cement: Cement, counts_from_c: float | None) -> float:
    if temperature_c < _floor(cement, counts_from_c):
        return 0.0
    return min(1.0, 2 ** ((temperature_c - cement.reference_c) / SLOWER_EVERY_C))


def _floor(cement: Cement, counts_from_c: float | None) -> float:
    return cement.coldest_c if counts_from_c is None else min(cement.coldest_c, counts_from_c)


def _in_order(readings: Sequence[Reading]) -> list[Reading]:
    if not readings:
        raise Refused("No temperature is known: note how warm it is at the bench.")
    in_utc = (
        Reading(one.at.astimezone(UTC), one.temperature_c) for one in readings
    )  # a zone's hours change
    return sorted(in_utc, key=lambda reading: reading.at)


def _pieces(
    known: Sequence[Reading],
    since: datetime,
    until: datetime,
    cement: Cement,
    counts_from_c: float | None,
) -> Iterator[_Piece]:
    """The stretches from `since` to `until`, in order, cut where the rate's rule changes."""
    kinks = (_floor(cement, counts_from_c), cement.reference_c)
    for begin, end, from_c, to_c in _evenly(known, since, until):
        crossed = {kink for kink in kinks if min(from_c, to_c) < kink < max(from_c, to_c)}
        cuts = [0.0, *sorted((kink - from_c) / (to_c - from_c) for kink in crossed), 1.0]
        for one, other in pairwise(cuts):
            yield _piece(
                begin + one * (end - begin),
                (other - one) * (end - begin),
                from_c + one * (to_c - from_c),
                from_c + other * (to_c - from_c),
                kinks,
            )


def _piece(
    begins: float, hours: float, from_c: float, to_c: float, kinks: tuple[float, float]
) -> _Piece:
    """A stretch on one side of both kinks: the middle says which side, since its ends may lie on a kink."""
    floor, reference = kinks
    middle = (from_c + to_c) / 2
    if middle < floor:
        return _Piece(begins, hours, 0.0, 0.0)
    if middle >= reference:
        return _Piece(begins, hours, 1.0, 0.0)
    rate = min(1.0, 2 ** ((from_c - reference) / SLOWER_EVERY_C))
    return _Piece(begins, hours, rate, math.log(2) * (to_c - from_c) / SLOWER_EVERY_C)


def _evenly(
    known: Sequence[Reading], since: datetime, until: datetime
) -> Iterator[tuple[float, float, float, float]]:
    """(begin, end, °C at the begin, °C at the end) of each stretch with an even change; hours after `since`."""
    ends = [
        Reading(min(since, known[0].at), known[0].temperature_c),
        *known,
        Reading(max(until, known[-1].at), known[-1].temperature_c),
    ]
    for one, other in pairwise(ends):
        begin, end = max(one.at, since), min(other.at, until)
        if begin >= end:
            continue
        change = (other.temperature_c - one.temperature_c) / ((other.at - one.at) / HOUR)
        yield (
            (begin - since) / HOUR,
            (end - since) / HOUR,
            one.temperature_c + change * ((begin - one.at) / HOUR),
            one.temperature_c + change * ((end - one.at) / HOUR),
        )


# What is noted of a glue-up. ------------------------------------------------------------------------------------------


def problems(
    cement: Cement,
    temperature_c: float,
    humidity_percent: float | None,
    batch_expires: date | None,
    today: date,
) -> list[str]:
    """Each limit of the cement that is broken, one sentence; empty where all is well. Raises Refused for no figure."""
    bench, found = checked_temperature(temperature_c), []
    if not cement.coldest_c <= bench <= cement.warmest_c:
        found.append(_outside(cement, bench))
    if (
        humidity_percent is not None
        and not cement.driest_percent <= humidity_percent <= cement.dampest_percent
    ):
        wanted = "drier" if humidity_percent > cement.dampest_percent else "damper"
        found.append(
            f"{cement.name} is used from {cement.driest_percent:g} to {cement.dampest_percent:g} % humidity and the bench "
            f"has {humidity_percent:g} %: wait for {wanted} air."
        )
    if batch_expires is not None and batch_expires < today:
        found.append(
            f"The batch was good until {batch_expires.day} {batch_expires:%b %Y}: open another one."
        )
    return found


def _outside(cement: Cement, bench_c: float) -> str:
    change = "warm the bench" if bench_c < cement.coldest_c else "let the bench cool"
    return (
        f"{cement.name} is used from {cement.coldest_c:g} to {cement.warmest_c:g} °C and the bench has "
        f"{bench_c:g} °C: {change} first."
    )


def celsius(text: str) -> float:
    """The temperature that was typed, in °C: '21', '21,5', or in Fahrenheit '70 F', '70°F'. Raises Refused."""
    tidy = text.strip().upper().replace("°", " ").replace(",", ".")
    figure, unit = (tidy[:-1], tidy[-1]) if tidy.endswith(("C", "F")) else (tidy, "C")
    try:
        degrees = float(figure)
    except ValueError as error:
        raise Refused("Type the temperature at the bench in °C, such as 21, or as 70 F.") from error
    return checked_temperature(round((degrees - 32) / 1.8, 3) if unit == "F" else degrees)


def checked_temperature(celsius: float) -> float:
    """The temperature at a bench in °C. Raises Refused for what is no number, and for what no bench has."""
    if not (math.isfinite(celsius) and BELIEVED_C[0] <= celsius <= BELIEVED_C[1]):
        raise Refused("Type the temperature at the bench in °C, such as 21.")
    return celsius


def checked_humidity(percent: float) -> float:
    """Relative humidity in per cent. Raises Refused outside 0 to 100."""
    if not (math.isfinite(percent) and 0 <= percent <= 100):
        raise Refused("Humidity is a figure from 0 to 100 %: read it off the gauge again.")
    return percent


def checked_batch(batch: str) -> str:
    """The batch as the tin says it, tidied. Raises Refused where it is empty or too long."""
    tidy = " ".join(batch.split())
    if not 1 <= len(tidy) <= 40:
        raise Refused(
            "Type the cement's batch as its tin gives it, 1 to 40 letters and figures: 'none' where it has none."
        )
    return tidy


def checked_moment(glued_at: datetime, now: datetime) -> datetime:
    """When it was glued. Raises Refused where that is in the future, or over 24 hours ago."""
    if glued_at > now + CLOCKS_DIFFER:
        raise Refused("That time has not come yet: give the time at which it was glued.")
    if glued_at < now - LATE_ENTRY:
        raise Refused(
            "A glue-up is written down within 24 hours: ask an owner to open the cure with a reason."
        )
    return min(glued_at, now)
