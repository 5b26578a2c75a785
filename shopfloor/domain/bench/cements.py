"""The shop's cements and their batches: what a data sheet may say, and which of its limits a glue-up breaks.

Must not know how a cement cures: see `cure`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from ...wording import cements as wording
from ...wording.message import Message
from ..errors import Refused
from ..fields import choice, declared_by, number, read_line, text
from .climate import checked_temperature

KINDS = ("solvent", "reactive", "tape")


@dataclass(frozen=True)
class Cement:
    """A cement as its data sheet gives it: used from `coldest_c` to `warmest_c` (°C), `driest_percent` to `dampest_percent`.

    At `reference_c` a joint is fixtured after `fixture_min`, may be handled after `handling_hours` and is cured after
    `cure_hours`; `open_min` is how long the cement can be worked. 0 for what the data sheet does not say. `ml_per_m2` is for
    a bond. The bounds keep slips of the thumb out.
    """

    id: int
    name: str = text("", letters=(1, 60), group="cement")
    # A soaked joint is handled after 24 h: Plexiglas (Altuglas) fabrication manual, p. 28.
    cure_hours: float = number(24.0, 0.1, 1000, "h", group="times")
    # Best from 70 to 75 °F, used from 60 to 100 °F (15.6 to 37.8 °C): Acrylite, cementing manual.
    reference_c: float = number(23.0, 0, 50, "°C", group="times")
    coldest_c: float = number(16.0, -10, 50, "°C", group="limits")
    warmest_c: float = number(38.0, 0, 60, "°C", group="limits")
    kind: str = choice("solvent", KINDS, group="cement")
    open_min: float = number(0.0, 0, 600, "min", group="times")
    fixture_min: float = number(0.0, 0, 10_000, "min", group="times")
    handling_hours: float = number(0.0, 0, 1000, "h", group="times")
    driest_percent: float = number(0.0, 0, 100, "%", group="limits")
    dampest_percent: float = number(100.0, 0, 100, "%", group="limits")
    ml_per_m2: float = number(0.0, 0, 10_000, "ml/m²", group="times")
    data_sheet: str = text("", letters=(0, 300), group="cement")
    is_retired: bool = False


FIELDS = declared_by("cement", Cement)


@dataclass(frozen=True)
class Batch:
    """A batch of a cement. `expires` is its last day, None where the tin does not say."""

    id: int
    cement: int
    batch: str
    expires: date | None
    is_used_up: bool

    def is_expired(self, today: date) -> bool:
        """True from the day after its last one."""
        return is_expired(self.expires, today)


def is_expired(last_day: date | None, today: date) -> bool:
    """True from the day after a batch's last one; never where the tin does not say."""
    return last_day is not None and last_day < today


def broken_limits(
    cement: Cement,
    temperature_c: float,
    humidity_percent: float | None,
    batch_expires: date | None,
    today: date,
) -> list[Message]:
    """Return each limit of the cement that a glue-up would break; none where all is well. Raises Refused for no figure."""
    bench, broken = checked_temperature(temperature_c), []
    temperatures = (cement.name, cement.coldest_c, cement.warmest_c, bench)
    if bench < cement.coldest_c:
        broken.append(wording.too_cold(*temperatures))
    if bench > cement.warmest_c:
        broken.append(wording.too_warm(*temperatures))
    if humidity_percent is not None:
        humidities = (cement.name, cement.driest_percent, cement.dampest_percent, humidity_percent)
        if humidity_percent > cement.dampest_percent:
            broken.append(wording.too_damp(*humidities))
        elif not humidity_percent >= cement.driest_percent:
            broken.append(wording.too_dry(*humidities))
    if batch_expires is not None and is_expired(batch_expires, today):
        broken.append(wording.batch_expired(batch_expires, str(batch_expires.year)))
    return broken


# What is typed into the list. ---------------------------------------------------------------------


def checked_cement(typed: Mapping[str, str], known: Cement) -> Cement:
    """Return `known` with what was typed for its fields, by their names; what was not typed stays. Raises Refused."""
    values: dict[str, Any] = {
        name: field.read(typed.get(name, str(getattr(known, name))))
        for name, field in FIELDS.items()
    }
    return _consistent(replace(known, **values))


def _consistent(cement: Cement) -> Cement:
    if not cement.coldest_c <= cement.reference_c <= cement.warmest_c:
        raise Refused(wording.reference_out_of_range())
    if cement.driest_percent > cement.dampest_percent:
        raise Refused(wording.humidity_out_of_order())
    stages = (cement.fixture_min / 60, cement.handling_hours, cement.cure_hours)
    given = [hours for hours in stages if hours]
    if given != sorted(given):
        raise Refused(wording.times_out_of_order())
    return cement


def checked_batch(batch: str) -> str:
    """Return the batch as the tin says it, tidied. Raises Refused where it is empty or too long."""
    return read_line(batch, 1, 40, wording.bad_batch())


def checked_expiry(text: str) -> date | None:
    """Return a batch's last day as typed, YYYY-MM-DD; None where nothing was typed. Raises Refused."""
    tidy = text.strip()
    if not tidy:
        return None
    try:
        day = date.fromisoformat(tidy)
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year <= 2199:
        raise Refused(wording.bad_expiry())
    return day
