"""The shop's settings: their defaults, and what each may be. Must not know where they are kept."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from .errors import Refused

_HOST = re.compile(r"[0-9A-Za-z.\-]+(:\d{1,5})?")


@dataclass(frozen=True)
class Settings:
    """What a shop may change. Lengths are mm. The defaults are common practice (design, section 8)."""

    shop_name: str = "The shop"
    address: str = "SHOP.LAN:8000"  # what the QR on a label leads to: host, port
    zone: str = "UTC"
    units: str = "mm"
    tool_mm: float = 6.35
    gap_over_tool_mm: float = 2.0
    margin_mm: float = 12.0
    skin_mm: float = 0.4
    tab_length_mm: float = 6.0
    tab_thickness_mm: float = 0.8
    tab_every_mm: float = 150.0
    fewest_tabs: int = 2
    offcut_from_mm: float = 100.0
    nest_seconds: float = 5.0

    @property
    def gap_mm(self) -> float:
        """The least distance between two pieces on a sheet: the cutter has to pass between them."""
        return round(self.tool_mm + self.gap_over_tool_mm, 3)


# (title, least, most) of each number.
NUMBERS = {
    "tool_mm": ("The cutter's diameter", 0.5, 25),
    "gap_over_tool_mm": ("The gap over the cutter's diameter", 0, 50),
    "margin_mm": ("The margin of a sheet", 0, 200),
    "skin_mm": ("The skin", 0, 5),
    "tab_length_mm": ("The length of a tab", 1, 50),
    "tab_thickness_mm": ("The thickness of a tab", 0.1, 10),
    "tab_every_mm": ("The outline to one tab", 20, 2000),
    "fewest_tabs": ("The fewest tabs", 1, 12),
    "offcut_from_mm": ("The shorter side of an offcut worth keeping", 10, 2000),
    "nest_seconds": ("The time to nest a stock, in seconds,", 0.5, 300),
}
KINDS = {field.name: type(field.default) for field in fields(Settings)}


def checked(name: str, text: str) -> str | float | int:
    """The value of one setting from what was typed. Raises Refused."""
    tidy = " ".join(text.split())
    if name not in KINDS:
        raise Refused(f"There is no setting “{name[:40]}”: load the page again.")
    if name in NUMBERS:
        return number(tidy, *NUMBERS[name], is_whole=KINDS[name] is int)
    return _TEXTS[name](tidy)


def number(text: str, title: str, least: float, most: float, *, is_whole: bool = False) -> float | int:
    """A number from what was typed, a comma taken as a point, to three places. Raises Refused, naming `title`."""
    try:
        value = int(text) if is_whole else round(float(text.replace(",", ".")), 3)
    except (ValueError, OverflowError):
        value = None
    if value is None or not least <= value <= most:
        raise Refused(f"{title} is a {'whole ' if is_whole else ''}number from {least:g} to {most:g}: type it again.")
    return value


def _shop_name(text: str) -> str:
    if not 1 <= len(text) <= 60:
        raise Refused("The shop's name has 1 to 60 letters: type it again.")
    return text


def _address(text: str) -> str:
    if not _HOST.fullmatch(text) or len(text) > 80:
        raise Refused(
            "The address for labels is this machine's name or number on the shop's network, with its port, "
            "as in SHOP.LAN:8000: type it again."
        )
    return text.upper()


def _zone(text: str) -> str:
    try:
        ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Refused("That time zone is not known: write it as in Europe/Lisbon or America/Halifax.") from error
    return text


def _units(text: str) -> str:
    if text not in ("mm", "in"):
        raise Refused("Lengths are shown in mm or in inches: choose one of the two.")
    return text


_TEXTS = {"shop_name": _shop_name, "address": _address, "zone": _zone, "units": _units}
