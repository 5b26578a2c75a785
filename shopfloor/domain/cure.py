"""How long a cement cures: owns the rule of thumb and the limits. Must not know which sign is glued, nor read a clock.

A figure from here never goes below the cement's own: the data sheet of the cement stands over it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from .errors import Refused

SLOWER_EVERY_C = 10.0  # the rate halves for each 10 °C colder: rule of thumb, common practice
LATE_ENTRY = timedelta(hours=24)
CLOCKS_DIFFER = timedelta(minutes=2)  # a tablet's clock may be a little ahead of the shop's


@dataclass(frozen=True)
class Cement:
    """A cement as its data sheet gives it: `cure_hours` at `reference_c`, used from `coldest_c` to `warmest_c` (°C)."""

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


def cure_hours(temperature_c: float, cement: Cement) -> float:
    """Hours until the joint may be moved: twice as long for each 10 °C under the reference, never shorter above it.

    Source: the rate of a reaction about doubles for 10 °C (rule of thumb); limits as makers' manuals give them
    (60 to 100 °F). Raises Refused outside the cement's limits, and for what is no number.
    """
    if not math.isfinite(temperature_c):
        raise Refused("Type the temperature at the bench in °C, such as 21.")
    if not cement.coldest_c <= temperature_c <= cement.warmest_c:
        change = "warm the bench" if temperature_c < cement.coldest_c else "let the bench cool"
        raise Refused(
            f"{cement.name} is used from {cement.coldest_c:g} to {cement.warmest_c:g} °C and the bench has "
            f"{temperature_c:g} °C: {change} first."
        )
    return cement.cure_hours * 2 ** (max(0.0, cement.reference_c - temperature_c) / SLOWER_EVERY_C)


def cured_at(glued_at: datetime, temperature_c: float, cement: Cement) -> datetime:
    """When a joint glued at `glued_at` may be moved: a whole minute, never before the rule's end. Raises Refused."""
    end = glued_at + timedelta(hours=cure_hours(temperature_c, cement))
    whole = end.replace(second=0, microsecond=0)
    return whole if whole == end else whole + timedelta(minutes=1)


def checked_humidity(percent: float) -> float:
    """Relative humidity in per cent. Raises Refused outside 0 to 100."""
    if not (math.isfinite(percent) and 0 <= percent <= 100):
        raise Refused("Humidity is a figure from 0 to 100 %: read it off the gauge again.")
    return percent


def checked_batch(batch: str) -> str:
    """The batch as the tin says it, tidied. Raises Refused where it is empty or too long."""
    tidy = " ".join(batch.split())
    if not 1 <= len(tidy) <= 40:
        raise Refused("Type the cement's batch as its tin gives it, 1 to 40 signs: 'none' where it has none.")
    return tidy


def checked_moment(glued_at: datetime, now: datetime) -> datetime:
    """When it was glued. Raises Refused where that is in the future, or over 24 hours ago."""
    if glued_at > now + CLOCKS_DIFFER:
        raise Refused("That time has not come yet: give the time at which it was glued.")
    if glued_at < now - LATE_ENTRY:
        raise Refused("A glue-up is written down within 24 hours: ask an owner to open the cure with a reason.")
    return min(glued_at, now)
