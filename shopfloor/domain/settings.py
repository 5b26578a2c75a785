"""The shop's settings: each declared once. Must not know where they are kept.

Beside each default is its source. A setting without a group is offered on no form: it is a constant of the trade that a shop may have changed
in an earlier version, and then that value stays in force.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from ..wording import fields as wording
from .errors import Refused
from .fields import (
    CHART,
    DATA_SHEET,
    MANUAL,
    MEMORY,
    PRACTICE,
    Value,
    choice,
    declared_by,
    number,
    text,
)

_HOST = re.compile(r"[0-9A-Za-z.\-]+(:\d{1,5})?")


def _address(typed: str) -> str:
    if not _HOST.fullmatch(typed) or len(typed) > 80:
        raise Refused(wording.bad_address())
    return typed.upper()


def _zone(typed: str) -> str:
    try:
        ZoneInfo(typed)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise Refused(wording.unknown_zone()) from error
    return typed


def _thermometer(typed: str) -> str:
    is_place = typed.startswith(("http://", "https://")) or "/" in typed or "\\" in typed
    if (typed and not is_place) or len(typed) > 200:
        raise Refused(wording.bad_thermometer())
    return typed


@dataclass(frozen=True)
class Settings:
    """What a shop may change. Lengths are mm."""

    shop_name: str = text("The shop", letters=(1, 60), group="shop")
    address: str = text("SHOP.LAN:8000", _address, group="shop")  # host and port in a label's QR
    zone: str = text("UTC", _zone, group="shop")
    units: str = choice("mm", ("mm", "in"), group="shop")
    inch_fraction: int = choice(16, ("16", "32"), group="shop")
    cutter: int = number(0, 0, 1_000_000, group="cutting")  # of the list; 0: the usual one
    tool_mm: float = number(6.35, 0.5, 25, "mm", group="cutting")
    rev_per_min: float = number(18_000.0, 500, 60_000, "rpm", group="cutting", source=CHART)
    # 0.004 in a tooth, two- and three-flute O 1/4 in: Amana Tool, double/triple O-flute chart.
    chip_mm: float = number(0.10, 0.005, 1, "mm per tooth", group="cutting", source=CHART)
    skin_mm: float = number(0.4, 0, 5, "mm", group="cutting", source=PRACTICE)
    spindle_w: float = number(2_200.0, 50, 50_000, "W", group="cutting", source=MANUAL)
    cutting_energy: float = number(0.12, 0.01, 2, "J/mm³", group="cutting", source=MEMORY)
    gap_over_tool_mm: float = number(2.0, 0, 50, "mm", group="nesting", source=PRACTICE)
    margin_mm: float = number(12.0, 0, 200, "mm", group="nesting", source=PRACTICE)
    offcut_from_mm: float = number(100.0, 10, 2000, "mm", group="nesting", source=MEMORY)
    nest_seconds: float = number(5.0, 0.5, 300, "s", group="nesting")
    pump: str = choice("blower", ("blower", "rotary vane"), group="holding")
    # 0: not read; the pump's usual figure and the altitude count instead
    gauge_inhg: float = number(0.0, 0, 29.9, "inHg", group="holding")
    altitude_m: float = number(0.0, -400, 5000, "m", group="holding")
    friction: float = number(0.3, 0.05, 1, group="holding", source=MEMORY)
    table_length_mm: float = number(2500.0, 100, 20_000, "mm", group="table")
    table_width_mm: float = number(1250.0, 100, 20_000, "mm", group="table")
    zones_along: int = number(4, 1, 20, group="table")
    zones_across: int = number(2, 1, 20, group="table")
    tab_length_mm: float = number(6.0, 1, 50, "mm", group="tabs", source=PRACTICE)
    tab_thickness_mm: float = number(0.8, 0.1, 10, "mm", group="tabs", source=PRACTICE)
    tab_every_mm: float = number(150.0, 20, 2000, "mm", group="tabs", source=PRACTICE)
    fewest_tabs: int = number(2, 1, 12, group="tabs", source=PRACTICE)
    # of a letter's height; the eye forgives about a hundredth
    place_share: float = number(0.01, 0.001, 0.1, group="bench", source=MEMORY)
    place_least_mm: float = number(0.5, 0.1, 10, "mm", group="bench", source=MEMORY)
    place_most_mm: float = number(2.0, 0.1, 20, "mm", group="bench", source=MEMORY)
    tape_mm: float = number(1.0, 0.1, 10, "mm", group="bench", source=DATA_SHEET)
    site_coldest_c: float = number(-10.0, -60, 40, "°C", group="bench", source=MEMORY)
    site_warmest_c: float = number(50.0, 0, 90, "°C", group="bench", source=MEMORY)
    thermometer: str = text("", _thermometer, group="bench")  # '' for none
    hour_cost: float = number(40.0, 0, 10_000, group="money")
    late_day_cost: float = number(25.0, 0, 100_000, group="money")
    set_up_min: float = number(15.0, 0, 600, "min", group="money", source=MEMORY)
    trim_min: float = number(0.4, 0, 60, "min", group="money", source=MEMORY)
    tape_min: float = number(2.5, 0, 60, "min", group="money", source=MEMORY)
    recut_days: float = number(1.0, 0, 60, "days", group="money", source=MEMORY)
    bench_days: float = number(2.0, 0, 60, "days", group="money", source=MEMORY)
    sheets_a_day: int = number(4, 1, 100, group="money", source=MEMORY)

    # Offered no more: no shop would change them.
    leakage_share: float = number(0.0, 0, 0.9)  # a leak shows in the vacuum that is read
    skin_share: float = number(0.7, 0.1, 1, source=MEMORY)
    acceleration_mm_s2: float = number(1_000.0, 10, 20_000, "mm/s²", source=MEMORY)
    rapid_mm_min: float = number(12_000.0, 100, 100_000, "mm/min", source=MEMORY)
    tab_free_mm: float = number(
        300.0, 20, 5000, "mm", source=MEMORY
    )  # two stretches of a tab's outline
    slug_from_mm2: float = number(300.0, 0, 1_000_000, "mm²", source=MEMORY)
    eye_forgives_mm: float = number(0.3, 0, 5, "mm", source=MEMORY)
    glue_min_a_part: float = number(0.5, 0.02, 60, "min", source=MEMORY)
    cement_spare_share: float = number(0.3, 0, 5, source=MEMORY)
    thermometer_every_min: float = number(10.0, 1, 240, "min", source=MEMORY)

    @property
    def gap_mm(self) -> float:
        """The least distance between two pieces on a sheet: the cutter has to pass between them."""
        return round(self.tool_mm + self.gap_over_tool_mm, 3)


FIELDS = declared_by("settings", Settings)
OFFERED = {name: field for name, field in FIELDS.items() if field.is_offered}


def checked(name: str, typed: str) -> Value:
    """The value of one setting from what was typed. Raises Refused."""
    if name not in FIELDS:
        raise Refused(wording.no_such_setting(name[:40]))
    return FIELDS[name].read(typed)
