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
    tab_free_mm: float = 300.0
    slug_from_mm2: float = 300.0  # a smaller slug goes up the hose and does no harm
    pump: str = "blower"
    gauge_inhg: float = (
        0.0  # 0: not read; the pump's usual figure, altitude and leaks are taken instead
    )
    altitude_m: float = 0.0
    leakage_share: float = 0.0
    friction: float = 0.3
    cutting_energy: float = 0.12
    cutter: int = 0  # of the list; 0: the usual one, by its diameter above
    rev_per_min: float = 18_000.0
    chip_mm: float = 0.10
    skin_share: float = 0.7
    spindle_w: float = 2_200.0
    acceleration_mm_s2: float = 1_000.0
    rapid_mm_min: float = 12_000.0
    table_length_mm: float = 2500.0
    table_width_mm: float = 1250.0
    zones_along: int = 4
    zones_across: int = 2
    hour_cost: float = 40.0
    late_day_cost: float = 25.0
    set_up_min: float = 15.0
    trim_min: float = 0.4
    tape_min: float = 2.5
    recut_days: float = 1.0
    bench_days: float = 2.0
    sheets_a_day: int = 4
    eye_forgives_mm: float = 0.3
    inch_fraction: int = 16  # at the bench: 16ths or 32nds
    place_share: float = 0.01  # of a letter's height that it may be off its place
    place_least_mm: float = 0.5
    place_most_mm: float = 2.0
    glue_min_a_part: float = 0.5  # until the shop's own glue-ups say it better
    cement_spare_share: float = 0.3  # what runs off, dries in the bottle, is wiped away
    site_coldest_c: float = -10.0
    site_warmest_c: float = 50.0
    tape_mm: float = 1.0  # thickness of the shop's soft tape
    gauge: str = (
        ""  # a file or an address that tells how warm and damp it is at the bench; '' for none
    )
    gauge_every_min: float = 10.0

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
    "tab_free_mm": ("The longest outline without a tab, in mm,", 20, 5000),
    "slug_from_mm2": ("The smallest slug that gets a tab, in mm²,", 0, 1_000_000),
    "gauge_inhg": ("The vacuum read at the sheet, in inHg, 0 where it was not read,", 0, 29.9),
    "altitude_m": ("The shop's height over the sea, in m,", -400, 5000),
    "leakage_share": ("The share of the vacuum that leaks away", 0, 0.9),
    "friction": ("The friction of masked acrylic on the spoil board", 0.05, 1),
    "cutting_energy": ("The cutting energy, in J/mm³,", 0.01, 2),
    "cutter": ("The cutter of the list", 0, 1_000_000),
    "rev_per_min": ("The spindle's speed, in rev/min,", 500, 60_000),
    "chip_mm": ("The chip load, in mm a tooth,", 0.005, 1),
    "skin_share": ("The share of the feed in a skin pass", 0.1, 1),
    "spindle_w": ("The spindle's power, in W,", 50, 50_000),
    "acceleration_mm_s2": ("The router's acceleration, in mm/s²,", 10, 20_000),
    "rapid_mm_min": ("The router's speed between cuts, in mm/min,", 100, 100_000),
    "table_length_mm": ("The length of the vacuum table, in mm,", 100, 20_000),
    "table_width_mm": ("The width of the vacuum table, in mm,", 100, 20_000),
    "zones_along": ("The vacuum zones along the table", 1, 20),
    "zones_across": ("The vacuum zones across the table", 1, 20),
    "hour_cost": ("What an hour of work costs", 0, 10_000),
    "late_day_cost": ("What a sign's late day costs", 0, 100_000),
    "set_up_min": ("The minutes to set a sheet up", 0, 600),
    "trim_min": ("The minutes to trim one tab", 0, 60),
    "tape_min": ("The minutes to tape one piece down", 0, 60),
    "recut_days": ("The days until a recut is in hand", 0, 60),
    "bench_days": ("The days that a sign takes at the bench", 0, 60),
    "sheets_a_day": ("The sheets that the router cuts in a day", 1, 100),
    "eye_forgives_mm": ("The difference in thickness that the eye forgives, in mm,", 0, 5),
    "place_share": ("The share of a letter's height that it may be off", 0.001, 0.1),
    "place_least_mm": ("The least that a letter may be off, in mm,", 0.1, 10),
    "place_most_mm": ("The most that a letter may be off, in mm,", 0.1, 20),
    "glue_min_a_part": ("The minutes to glue one part", 0.02, 60),
    "cement_spare_share": ("The share of cement that is lost", 0, 5),
    "site_coldest_c": ("The coldest that signs get, in °C,", -60, 40),
    "site_warmest_c": ("The warmest that signs get, in °C,", 0, 90),
    "tape_mm": ("The thickness of the soft tape, in mm,", 0.1, 10),
    "gauge_every_min": ("The minutes from one reading of the gauge to the next", 1, 240),
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


def number(
    text: str, title: str, least: float, most: float, *, is_whole: bool = False
) -> float | int:
    """A number from what was typed, a comma taken as a point, to three places. Raises Refused, naming `title`."""
    try:
        value = int(text) if is_whole else round(float(text.replace(",", ".")), 3)
    except (ValueError, OverflowError):
        value = None
    if value is None or not least <= value <= most:
        raise Refused(
            f"{title} is a {'whole ' if is_whole else ''}number from {least:g} to {most:g}: type it again."
        )
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
        raise Refused(
            "That time zone is not known: write it as in Europe/Lisbon or America/Halifax."
        ) from error
    return text


def _units(text: str) -> str:
    if text not in ("mm", "in"):
        raise Refused("Lengths are shown in mm or in inches: choose one of the two.")
    return text


def _pump(text: str) -> str:
    if text not in ("blower", "rotary vane"):
        raise Refused("The pump is a blower or a rotary vane pump: choose one of the two.")
    return text


def _gauge(text: str) -> str:
    if (
        text and not (text.startswith(("http://", "https://")) or "/" in text or "\\" in text)
    ) or len(text) > 200:
        raise Refused(
            "The gauge is a file by its full path, or an address that begins with http://: type it again."
        )
    return text


def _fraction(text: str) -> int:
    if text not in ("16", "32"):
        raise Refused(
            "The bench's rule reads to 1/16 or to 1/32 of an inch: choose one of the two."
        )
    return int(text)


_TEXTS = {
    "shop_name": _shop_name,
    "address": _address,
    "zone": _zone,
    "units": _units,
    "pump": _pump,
    "gauge": _gauge,
    "inch_fraction": _fraction,
}
