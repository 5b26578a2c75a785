"""What an owner changes in Office beside people: the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..domain.settings import NUMBERS, checked
from ..store import cutters, settings
from .unit_of_work import Answer, Transaction, command

MOST_NAMED = 3  # settings that the answer names one by one
_TITLES = {name: title for name, (title, _, _) in NUMBERS.items()} | {
    "shop_name": "The shop's name",
    "address": "The address on labels",
    "zone": "The time zone",
    "units": "The units of lengths",
    "cutter": "The cutter",
    "pump": "The pump",
    "gauge": "The gauge at the bench",
    "inch_fraction": "The fraction on the bench's rule",
}


@dataclass(frozen=True)
class SettingsChanged:
    """Settings have other values now."""

    values: dict


@command("changed the settings", "owner")
def change_settings(transaction: Transaction, values: Mapping[str, str]) -> Answer:
    """Keeps what differs, by the names of `Settings`, as typed. Raises Refused at the first value that cannot be.

    The answer's data name what was `changed`.
    """
    known = settings.load(transaction.db)
    given = {name: checked(name, text) for name, text in values.items()}
    if given.get("cutter"):
        cutters.must_be_in_use(transaction.db, given["cutter"])
    changed = {name: value for name, value in given.items() if value != getattr(known, name)}
    for name, value in changed.items():
        settings.write(transaction.db, name, value)
    transaction.record(SettingsChanged(changed))
    if not changed:
        return Answer("Nothing was different: the settings are as before.")
    return Answer(
        f"The settings are changed from now on: {_named(list(changed))}.",
        data={"changed": list(changed)},
    )


def _named(names: Sequence[str]) -> str:
    """“the pump, the skin and the chip load”; of more the first three, “and 2 more”."""
    words = [
        title[0].lower() + title[1:] for title in (_TITLES[name].split(",")[0] for name in names)
    ]
    if len(words) > MOST_NAMED:
        words[MOST_NAMED:] = [f"{len(words) - MOST_NAMED} more"]
    *firsts, last = words
    return f"{', '.join(firsts)} and {last}" if firsts else last
