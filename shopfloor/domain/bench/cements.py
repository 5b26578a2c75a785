"""The shop's cements and their batches: what a data sheet may say, and which of its limits a glue-up breaks.

Must not know how a cement cures: see `cure`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date

from ...wording import cements as wording
from ...wording.message import Message
from ..errors import Refused
from ..settings import number
from .climate import checked_temperature

KINDS = ("solvent", "reactive", "tape")
# (least, most) of each figure of a data sheet.
NUMBERS = {
    "open_min": (0, 600),
    "fixture_min": (0, 10_000),
    "handling_hours": (0, 1000),
    "cure_hours": (0.1, 1000),
    "reference_c": (0, 50),
    "coldest_c": (-10, 50),
    "warmest_c": (0, 60),
    "driest_percent": (0, 100),
    "dampest_percent": (0, 100),
    "ml_per_m2": (0, 10_000),
}


@dataclass(frozen=True)
class Cement:
    """A cement as its data sheet gives it: used from `coldest_c` to `warmest_c` (°C), `driest_percent` to `dampest_percent`.

    At `reference_c` a joint is fixtured after `fixture_min`, may be handled after `handling_hours` and is cured after
    `cure_hours`; `open_min` is how long the cement can be worked. 0 for what the data sheet does not say. `ml_per_m2` is for
    a bond.

    Sources of the defaults: 60 to 100 °F (15.6 to 37.8 °C), best 70 to 75 °F, are the limits of Acrylite's cementing manual;
    a soaked joint is handled after 24 h (Altuglas, Plexiglas fabrication manual, p. 28).
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
    values = {field.name: getattr(known, field.name) for field in fields(Cement)}
    for name in typed.keys() & NUMBERS.keys():
        values[name] = number(typed[name], wording.figure(name), *NUMBERS[name])
    values["name"] = _tidy(typed.get("name", known.name), 1, 60, wording.bad_name())
    values["data_sheet"] = _tidy(
        typed.get("data_sheet", known.data_sheet), 0, 300, wording.bad_data_sheet()
    )
    values["kind"] = typed.get("kind", known.kind)
    if values["kind"] not in KINDS:
        raise Refused(wording.bad_kind())
    return _consistent(Cement(**values))


def _tidy(text: str, least: int, most: int, refusal: Message) -> str:
    tidy = " ".join(text.split())
    if not least <= len(tidy) <= most:
        raise Refused(refusal)
    return tidy


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
    return _tidy(batch, 1, 40, wording.bad_batch())


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
