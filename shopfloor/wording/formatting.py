"""How codes, lengths, moments and days are written for a reader. Knows the reader's units and zone, nothing else.

Lengths are rounded here once, from the exact millimetres, and never calculated with afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

MM_PER_INCH = Fraction(127, 5)  # 25.4 exactly, by the definition of the inch
Number = int | float | Fraction
When = datetime | date | str

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def code(eight: str) -> str:
    """'40729153' as people read it: '4072 9153'."""
    return f"{eight[:4]} {eight[4:]}"


# Lengths. ---------------------------------------------------------------------------------------


def as_mm(mm: Number) -> str:
    """The length to the nearest half millimetre, a half of that away from zero: '106.5', '12', '0'.

    Raises ValueError or OverflowError for what is no finite number.
    """
    halves = _nearest(Fraction(mm) * 2)
    whole, half = divmod(abs(halves), 2)
    return _sign(halves) + str(whole) + (".5" if half else "")


def as_inches(mm: Number, denominator: int = 16) -> str:
    """The length in inches to the nearest 1/denominator, in lowest terms: '4 3/16', '-1/2', '5', '0'.

    Off by 1/(2 × denominator) inch at the most. Raises ValueError or OverflowError for what is no
    finite number.
    """
    steps = _nearest(Fraction(mm) / MM_PER_INCH * denominator)
    whole, rest = divmod(abs(steps), denominator)
    fraction = str(Fraction(rest, denominator)) if rest else ""
    words = [str(whole)] if whole or not rest else []
    return _sign(steps) + " ".join([*words, fraction] if fraction else words)


def figure(mm: Number, units: str, denominator: int = 16) -> str:
    """The length without its unit, in 'mm' or 'in': '106.5', '4 3/16'. Raises ValueError for another unit."""
    if units not in ("mm", "in"):
        raise ValueError(f"lengths are shown in mm or in, not in {units!r}")
    return as_mm(mm) if units == "mm" else as_inches(mm, denominator)


def length(mm: Number, units: str, denominator: int = 16) -> str:
    """The length with its unit, as a screen or a label shows it: '106.5 mm' or '4 3/16 in'."""
    return f"{figure(mm, units, denominator)} {units}"


def fine(mm: Number, units: str) -> str:
    """A small length with its unit, without its sign: to a tenth of a millimetre, or to 1/64 in."""
    return f"{as_inches(abs(Fraction(mm)), 64)} in" if units == "in" else f"{abs(mm):.1f} mm"


def movement(mm: float, units: str) -> str:
    """A movement with its unit: '0.62 mm' or '0.024 in'. A rule's fractions are too coarse for it."""
    return f"{mm / float(MM_PER_INCH):.3f} in" if units == "in" else f"{mm:.2f} mm"


def at_least(mm: float, units: str) -> str:
    """A length that something must have, never rounded down: '15.2 mm' or '0.60 in'."""
    if units == "in":
        return f"{math.ceil(round(100 * mm / float(MM_PER_INCH), 6)) / 100:.2f} in"
    return f"{math.ceil(round(10 * mm, 6)) / 10:.1f} mm"


def drill(mm: float, units: str) -> str:
    """A drill's size: in mm to the tenth; a shop of inches sees them too, never rounded down."""
    tenths = f"{round(mm, 1):g} mm"
    return tenths if units == "mm" else f"{tenths} ({at_least(mm, 'in')})"


def degrees(celsius: float) -> str:
    """A temperature without its unit: '23', '−10'."""
    return f"{celsius:g}".replace("-", "−")


def half_step(units: str, denominator: int = 16) -> float:
    """How far, in mm, a shown length may lie from the exact one: half of the step it is rounded to."""
    return float(MM_PER_INCH / denominator / 2) if units == "in" else 0.25


def _nearest(value: Fraction) -> int:
    # halves away from zero, so that a length and its negative look alike; round() goes to even
    nearest = math.floor(abs(value) + Fraction(1, 2))
    return nearest if value >= 0 else -nearest


def _sign(steps: int) -> str:
    return "-" if steps < 0 else ""


def fine_percent(share: float) -> str:
    """A share from 0 to 1 in two figures, whole per cents from 10 on: '31 %', '2.4 %', '0.35 %'."""
    per_cent = 100 * share
    if per_cent >= 9.95:
        return f"{per_cent:.0f} %"
    # the hundredth is the last figure that says something of a share
    return f"{per_cent:.2g} %" if per_cent >= 0.1 else f"{round(per_cent, 2):g} %"


# Times. -----------------------------------------------------------------------------------------


def local(when: When, zone: str) -> datetime | date:
    """A stored moment in the shop's zone; a bare day ('2026-11-26') stays that day everywhere."""
    if isinstance(when, str):
        when = date.fromisoformat(when) if len(when) == 10 else datetime.fromisoformat(when)
    return when.astimezone(ZoneInfo(zone)) if isinstance(when, datetime) else when


def day(when: When, zone: str) -> str:
    """'Thu 26 Nov'. The names are written out: the machine's own may be in another language."""
    there = local(when, zone)
    return f"{_DAYS[there.weekday()]} {there.day} {_MONTHS[there.month - 1]}"


def clock(when: When, zone: str) -> str:
    """'15:40'."""
    return f"{local(when, zone):%H:%M}"


def moment(when: When, zone: str) -> str:
    """'Thu 26 Nov 15:40'."""
    return f"{day(when, zone)} {clock(when, zone)}"


def full_day(when: When, zone: str) -> str:
    """'26 Nov 2026': with its year, for what is read years later."""
    there = local(when, zone)
    return f"{there.day} {_MONTHS[there.month - 1]} {there.year}"


def full_moment(when: When, zone: str) -> str:
    """'26 Nov 2026 15:40'."""
    return f"{full_day(when, zone)} {clock(when, zone)}"


def soon(when: datetime | str, zone: str, now: datetime | None) -> str:
    """A moment as people say it: '15:40' today, 'Fri 15:40' within six days, '3 Dec 15:40' further off.

    Without a `now` it is not known how far off it is: 'Thu 26 Nov 15:40'.
    """
    if now is None:
        return moment(when, zone)
    there, here = _in_zone(when, zone), now.astimezone(ZoneInfo(zone))
    days = abs((there.date() - here.date()).days)
    if days == 0:
        return clock(there, zone)
    if days < 7:
        return f"{_DAYS[there.weekday()]} {clock(there, zone)}"
    return f"{there.day} {_MONTHS[there.month - 1]} {clock(there, zone)}"


def _in_zone(when: datetime | str, zone: str) -> datetime:
    known = datetime.fromisoformat(when) if isinstance(when, str) else when
    return known.astimezone(ZoneInfo(zone))


def counted(number: int, word: str, words: str | None = None) -> str:
    """'1 piece', '3 pieces'; `words` is the plural where an s does not make it."""
    return f"{number:,} {word if number == 1 else words or word + 's'}"


# The reader. ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Reader:
    """For whom a message is written: their units, the fraction on their rule, the shop's zone, and when it is read."""

    units: str = "mm"
    denominator: int = 16
    zone: str = "UTC"
    now: datetime | None = None

    def show(self, kind: str, value: object) -> str:
        """A value of one kind (see `message`) as text. Raises KeyError for an unknown kind."""
        return SHOWN[kind](value, self)


SHOWN: Mapping[str, Callable[..., str]] = {
    "code": lambda eight, _: code(eight),
    "length": lambda mm, reader: length(mm, reader.units, reader.denominator),
    "fine length": lambda mm, reader: fine(mm, reader.units),
    "movement": lambda mm, reader: movement(mm, reader.units),
    "at least": lambda mm, reader: at_least(mm, reader.units),
    "drill": lambda mm, reader: drill(mm, reader.units),
    "degrees": lambda celsius, _: degrees(celsius),
    "figure": lambda mm, reader: figure(mm, reader.units, reader.denominator),
    "day": lambda when, reader: day(when, reader.zone),
    "moment": lambda when, reader: moment(when, reader.zone),
    "full day": lambda when, reader: full_day(when, reader.zone),
    "full moment": lambda when, reader: full_moment(when, reader.zone),
    "clock": lambda when, reader: clock(when, reader.zone),
    "soon": lambda when, reader: soon(when, reader.zone, reader.now),
    "number": lambda number, _: f"{number:,.10g}",
    "tenths": lambda number, _: f"{number:.1f}",
    "hundredths": lambda number, _: f"{number:.2f}",
    "percent": lambda share, _: f"{100 * share:.0f} %",
    "fine percent": lambda share, _: fine_percent(share),
    "percent figure": lambda share, _: fine_percent(share).removesuffix(" %"),
    "one decimal": lambda number, _: f"{number:,.1f}",
    "factor": lambda factor, _: f"{factor:.2g}" if factor < 9.95 else f"{factor:,.0f}",
    "money": lambda money, _: f"{money:,.2f}",
    "vacuum": lambda inhg, _: f"{inhg:.1f} inHg",
}
