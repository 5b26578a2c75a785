"""The form of Office's settings: in which order they stand, under which headings, and what is said of each.

Owns headings, units and notes. Must not know what a setting may be (that is domain/settings.py) nor keep anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...domain.holding.holding import BLOWER_INHG, PUMPS, ROTARY_VANE_INHG
from ...domain.routing.cutters import USUAL, Cutter
from ...domain.settings import NUMBERS, Settings
from ..forms import Choice

MEMORY = "from memory: measure your own"


@dataclass(frozen=True)
class Field:
    """A number of the form: its title with its unit, its value as typed, and a note under it, '' for none."""

    name: str
    title: str
    value: str
    note: str


@dataclass(frozen=True)
class Group:
    """Numbers under one heading."""

    key: str
    title: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Table:
    """The vacuum table, drawn from above: pixels, and where the borders of its zones lie."""

    wide_px: int
    high_px: int
    across: tuple[float, ...]
    along: tuple[float, ...]
    length: str
    width: str


@dataclass(frozen=True)
class SettingsPage:
    """The settings in force, by heading."""

    settings: Settings
    groups: dict[str, Group]
    cutters: list[Choice]
    pumps: list[Choice]
    table: Table


# Of each heading its title, and of each of its numbers the unit and the note.
_GROUPS = {
    "cutting": (
        "Cutting",
        ("tool_mm", "mm", ""),
        ("rev_per_min", "rev/min", "common practice for a small cutter in acrylic"),
        ("chip_mm", "mm a tooth", "common practice: 0.10 to start with, 0.15 once proven"),
        ("skin_mm", "mm", "what is left for a light last pass: common practice"),
        ("skin_share", "", f"1 is the full feed; {MEMORY}"),
        ("spindle_w", "W", "as its plate says"),
        ("cutting_energy", "J/mm³", f"of acrylic; {MEMORY}"),
        ("acceleration_mm_s2", "mm/s²", "from memory: the machine's manual says"),
        ("rapid_mm_min", "mm/min", "from memory: the machine's manual says"),
    ),
    "nesting": (
        "Nesting",
        ("gap_over_tool_mm", "mm", "between two pieces lie the cutter and this"),
        ("margin_mm", "mm", "along the edge: common practice"),
        ("offcut_from_mm", "mm", "from memory: what is worth a place in your rack"),
        ("nest_seconds", "s", "a longer search leaves less over"),
    ),
    "holding": (
        "Holding",
        (
            "gauge_inhg",
            "inHg",
            "read at the sheet with the pieces on it; 0: not read, the pump's usual figure is taken",
        ),
        (
            "altitude_m",
            "m",
            "high up there is less air to press: counted where the gauge was not read",
        ),
        ("leakage_share", "", "0 is none, 0.2 a fifth: counted where the gauge was not read"),
        ("friction", "", MEMORY),
    ),
    "table": (
        "Vacuum table",
        ("table_length_mm", "mm", ""),
        ("table_width_mm", "mm", ""),
        ("zones_along", "", ""),
        ("zones_across", "", ""),
    ),
    "tabs": (
        "Tabs",
        ("tab_length_mm", "mm", "common practice"),
        ("tab_thickness_mm", "mm", "common practice"),
        ("tab_every_mm", "mm", "one tab for so much: common practice"),
        ("fewest_tabs", "", "common practice"),
        ("tab_free_mm", "mm", "no stretch without a tab is longer; from memory"),
        (
            "slug_from_mm2",
            "mm²",
            "what is left in a hole: a smaller one goes up the hose, a larger one is held by a tab; from memory",
        ),
    ),
    "money": (
        "Money and days",
        ("hour_cost", "", "in your own money, as the sheets' cost"),
        ("late_day_cost", "", "what it is worth to you that no sign is late"),
        ("set_up_min", "", MEMORY),
        ("trim_min", "", MEMORY),
        ("tape_min", "", MEMORY),
        ("recut_days", "", "from memory: count your own"),
        ("bench_days", "", "from memory: count your own"),
        ("sheets_a_day", "", "from memory: count your own"),
        ("eye_forgives_mm", "mm", "two pieces side by side; from memory: lay two together"),
    ),
    "bench": (
        "Bench",
        (
            "place_share",
            "",
            "a letter of 100 mm may be off by a hundred times this; from memory: what your eye forgives",
        ),
        ("place_least_mm", "mm", "nobody sees less on a little one; from memory"),
        ("place_most_mm", "mm", "large ones no worse; from memory"),
        ("glue_min_a_part", "min", "until your own glue-ups say it; from memory"),
        ("cement_spare_share", "", "0.3 is 30 % more than the joints hold; from memory"),
        (
            "tape_mm",
            "mm",
            "the thicker, the further two parts may move; as your tape's data sheet says",
        ),
        (
            "site_coldest_c",
            "°C",
            "where a sign hangs, unless the sign says otherwise; from memory: ask for your own weather",
        ),
        ("site_warmest_c", "°C", "a dark sign in the sun is warmer than the air; from memory"),
        ("gauge_every_min", "min", "while something cures"),
    ),
}
_CHOICES = {"cutter": "cutting", "pump": "holding"}  # under which heading stands what is no number
_PUMP_NOTES = {
    "blower": f"usually {BLOWER_INHG:g} inHg at the sheet, from memory",
    "rotary vane": f"usually {ROTARY_VANE_INHG:g} inHg at the sheet, from memory",
}
TABLE_PX = 420  # the longer side of the drawn table


def page(settings: Settings, cutters: Sequence[Cutter]) -> SettingsPage:
    """All that the form shows. `cutters` are those of the list that may be chosen."""
    groups = {key: _group(key, settings) for key in _GROUPS}
    pumps = [Choice(pump, pump, _PUMP_NOTES[pump], pump == settings.pump) for pump in PUMPS]
    return SettingsPage(
        settings,
        groups,
        cutter_choices(cutters, settings.cutter, USUAL.name),
        pumps,
        _table(settings),
    )


def group_of(names: Sequence[str]) -> str | None:
    """The key of the first heading that some settings stand under; None where one of them is of the shop itself, at the top."""
    keys = {row[0]: key for key, (_, *rows) in _GROUPS.items() for row in rows} | _CHOICES
    found = {keys.get(name) for name in names}
    return None if None in found else next((key for key in _GROUPS if key in found), None)


def _group(key: str, settings: Settings) -> Group:
    title, *rows = _GROUPS[key]
    return Group(key, title, tuple(_field(*row, getattr(settings, row[0])) for row in rows))


def _field(name: str, unit: str, note: str, value: float) -> Field:
    """The title is the one that a refusal names, up to its first comma."""
    title = NUMBERS[name][0].split(",")[0]
    return Field(name, f"{title}, {unit}" if unit else title, f"{value:.10g}", note)


def cutter_choices(cutters: Sequence[Cutter], chosen: int, first: str) -> list[Choice]:
    """The cutters to choose from, by their ids; 0 comes first and is called `first`."""
    usual = Choice("0", first, "", not chosen)
    return [
        usual,
        *(
            Choice(str(one.id), f"{one.name} · {one.called}", "", one.id == chosen)
            for one in cutters
        ),
    ]


def _table(settings: Settings) -> Table:
    long, wide = settings.table_length_mm, settings.table_width_mm
    scale = TABLE_PX / max(long, wide)
    high, broad = round(long * scale), round(wide * scale)
    return Table(
        high,
        broad,
        _borders(high, settings.zones_along),
        _borders(broad, settings.zones_across),
        f"{long:g}",
        f"{wide:g}",
    )


def _borders(px: int, zones: int) -> tuple[float, ...]:
    return tuple(round(px * nth / zones, 1) for nth in range(1, zones))
