"""How times and numbers of things are written for people. Pure; the filters of the templates wrap it."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

When = datetime | date | str
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def local(when: When, zone: str) -> datetime | date:
    """A stored moment in the shop's zone; a bare day ('2026-11-26') stays that day everywhere."""
    if isinstance(when, str):
        when = date.fromisoformat(when) if len(when) == 10 else datetime.fromisoformat(when)
    return when.astimezone(ZoneInfo(zone)) if isinstance(when, datetime) else when


def day(when: When, zone: str) -> str:
    """'Thu 26 Nov'. The names are written out here: those of the machine may be in another language."""
    it = local(when, zone)
    return f"{_DAYS[it.weekday()]} {it.day} {_MONTHS[it.month - 1]}"


def clock(when: When, zone: str) -> str:
    """'15:40'."""
    return f"{local(when, zone):%H:%M}"


def moment(when: When, zone: str) -> str:
    """'Thu 26 Nov 15:40'."""
    return f"{day(when, zone)} {clock(when, zone)}"


def counted(number: int, word: str, words: str | None = None) -> str:
    """'1 piece', '3 pieces'; `words` is the plural where an s does not make it."""
    return f"{number:,} {word if number == 1 else words or word + 's'}"
