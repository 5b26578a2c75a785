"""The shop's own list of cements: what may stand in it, field by field. Must not know how it cures: see `cure`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date

from ..errors import Refused
from ..settings import number
from .cure import Cement

KINDS = ("solvent", "reactive", "tape")
# (title, least, most) of each figure of a data sheet.
NUMBERS = {
    "open_min": ("The open time, in minutes, 0 where it is not given,", 0, 600),
    "fixture_min": ("The minutes until it stands by itself, 0 where it is not given,", 0, 10_000),
    "handling_hours": ("The time to handling, in hours, 0 where it is not given,", 0, 1000),
    "cure_hours": ("The full cure, in hours,", 0.1, 1000),
    "reference_c": ("The temperature that these times hold at, in °C,", 0, 50),
    "coldest_c": ("The coldest, in °C,", -10, 50),
    "warmest_c": ("The warmest, in °C,", 0, 60),
    "driest_percent": ("The driest air, in %,", 0, 100),
    "dampest_percent": ("The dampest air, in %,", 0, 100),
    "ml_per_m2": (
        "The cement for a square metre of bond, in ml, 0 where it is not known,",
        0,
        10_000,
    ),
}


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
        return self.expires is not None and self.expires < today


def checked_cement(typed: Mapping[str, str], known: Cement) -> Cement:
    """`known` with what was typed for its fields, by their names; what was not typed stays. Raises Refused."""
    values = {field.name: getattr(known, field.name) for field in fields(Cement)}
    for name in typed.keys() & NUMBERS.keys():
        values[name] = number(typed[name], *NUMBERS[name])
    values["name"] = _words(
        typed.get("name", known.name), 1, 60, "A cement's name has 1 to 60 letters: type it again."
    )
    values["data_sheet"] = _words(
        typed.get("data_sheet", known.data_sheet),
        0,
        300,
        "Where its data sheet is has at most 300 letters: type it again.",
    )
    values["kind"] = typed.get("kind", known.kind)
    if values["kind"] not in KINDS:
        raise Refused("A cement is a solvent, a reactive one or a tape: choose one of the three.")
    return _consistent(Cement(**values))


def _words(text: str, least: int, most: int, refusal: str) -> str:
    tidy = " ".join(text.split())
    if not least <= len(tidy) <= most:
        raise Refused(refusal)
    return tidy


def _consistent(cement: Cement) -> Cement:
    if not cement.coldest_c <= cement.reference_c <= cement.warmest_c:
        raise Refused(
            "The reference temperature lies between the coldest and the warmest: read the data sheet again."
        )
    if cement.driest_percent > cement.dampest_percent:
        raise Refused("The driest air is drier than the dampest: read the data sheet again.")
    given = [
        hours
        for hours in (cement.fixture_min / 60, cement.handling_hours, cement.cure_hours)
        if hours
    ]
    if given != sorted(given):
        raise Refused(
            "It stands by itself before it may be handled, and is handled before the full cure: read the data sheet again."
        )
    return cement


def checked_expiry(text: str) -> date | None:
    """A batch's last day as typed, YYYY-MM-DD; None where nothing was typed. Raises Refused."""
    tidy = text.strip()
    if not tidy:
        return None
    try:
        day = date.fromisoformat(tidy)
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year <= 2199:
        raise Refused(
            "Give the batch's last day as on its tin, such as 2027-03-31, or leave it empty."
        )
    return day
