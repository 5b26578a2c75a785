"""Titles and notes of every field that a person fills in, by the table that declares it, and what is said of a wrong value."""

from __future__ import annotations

from collections.abc import Sequence

from .message import Message, Number, Options, message, ngettext
from .message import gettext as _


def N_(words: str) -> str:
    """Mark words for translation where they are declared; they are translated when shown."""
    return words


# (title, note). The source of the default is added to the note automatically: see `note`.
FIELDS: dict[str, dict[str, tuple[str, str]]] = {
    "settings": {
        "shop_name": (N_("Shop name"), ""),
        "address": (
            N_("Address on labels"),
            N_("This machine's name on the network and its port: the code on a label leads there."),
        ),
        "zone": (N_("Time zone"), N_("Such as Europe/Lisbon.")),
        "units": (N_("Units of length"), ""),
        "inch_fraction": (N_("Bench rule reads to"), N_("For a shop that works in inches.")),
        "tool_mm": (N_("Cutter diameter"), ""),
        "cutter": (
            N_("Cutter"),
            N_("The usual cutter has the diameter set here; a cutter from your list has its own."),
        ),
        "rev_per_min": (N_("Spindle speed"), ""),
        "chip_mm": (N_("Chip load"), N_("Start here; raise to 0.15 mm if the edge is clean.")),
        "skin_mm": (N_("Onion skin"), N_("Left under the piece for a light last pass.")),
        "skin_share": (N_("Feed in the onion skin pass"), N_("1 is the full feed.")),
        "spindle_w": (N_("Spindle power"), N_("As on its rating plate.")),
        "cutting_energy": (N_("Cutting energy"), N_("Of acrylic. Measure your own.")),
        "acceleration_mm_s2": (N_("Router acceleration"), ""),
        "rapid_mm_min": (N_("Rapid speed"), ""),
        "gap_over_tool_mm": (
            N_("Gap beyond the cutter"),
            N_("The gap between pieces is the cutter's diameter plus this."),
        ),
        "margin_mm": (N_("Edge margin"), N_("Kept free along the edge of the sheet.")),
        "offcut_from_mm": (
            N_("Keep offcuts from"),
            N_("Shorter side."),
        ),
        "nest_seconds": (N_("Time to nest a material"), N_("A longer search wastes less sheet.")),
        "pump": (N_("Pump"), ""),
        "gauge_inhg": (
            N_("Vacuum read at the sheet"),
            N_("Read with the pieces on the table. 0: not read, use the pump's usual figure."),
        ),
        "altitude_m": (
            N_("Height above sea level"),
            N_("Thinner air holds less. Used if the vacuum was not read."),
        ),
        "leakage_share": (N_("Vacuum lost to leaks"), N_("0.2 is a fifth.")),
        "friction": (N_("Friction on the spoilboard"), N_("Masked acrylic. Measure your own.")),
        "table_length_mm": (N_("Table length"), ""),
        "table_width_mm": (N_("Table width"), ""),
        "zones_along": (N_("Vacuum zones along"), ""),
        "zones_across": (N_("Vacuum zones across"), ""),
        "tab_length_mm": (N_("Tab length"), ""),
        "tab_thickness_mm": (N_("Tab thickness"), ""),
        "tab_every_mm": (N_("Tab spacing"), N_("One tab for this much outline.")),
        "fewest_tabs": (N_("Fewest tabs"), ""),
        "tab_free_mm": (N_("Longest stretch without a tab"), ""),
        "slug_from_mm2": (
            N_("Smallest slug that gets a tab"),
            N_("A smaller slug goes down the hose."),
        ),
        "hour_cost": (N_("Cost of an hour"), N_("In your own money, like the cost of sheets.")),
        "late_day_cost": (
            N_("Cost of a late day"),
            N_("What it costs you when a sign is a day late."),
        ),
        "set_up_min": (N_("Time to set up a sheet"), N_("Measure your own.")),
        "trim_min": (N_("Time to trim a tab"), N_("Measure your own.")),
        "tape_min": (N_("Time to tape a piece down"), N_("Measure your own.")),
        "recut_days": (N_("Days until a recut is in hand"), N_("Count your own.")),
        "bench_days": (N_("Days a sign takes at the bench"), N_("Count your own.")),
        "sheets_a_day": (N_("Sheets cut in a day"), N_("Count your own.")),
        "eye_forgives_mm": (
            N_("Thickness difference nobody sees"),
            N_("Two pieces side by side. Try it and look."),
        ),
        "place_share": (
            N_("Placement tolerance"),
            N_("Share of the letter's height: 0.01 allows 1 mm for a letter of 100 mm."),
        ),
        "place_least_mm": (N_("Smallest placement tolerance"), N_("For the smallest letters.")),
        "place_most_mm": (N_("Largest placement tolerance"), N_("For the largest letters.")),
        "glue_min_a_part": (
            N_("Time to glue a part"),
            N_("Used until your own glue-ups give a better figure."),
        ),
        "cement_spare_share": (
            N_("Cement wasted"),
            N_("0.3 is 30 % more than the joints need."),
        ),
        "tape_mm": (
            N_("Foam tape thickness"),
            N_("As on its data sheet. Thicker tape lets two parts move further."),
        ),
        "site_coldest_c": (
            N_("Coldest a sign gets"),
            N_("Where it hangs. Go by your own weather; a sign can have its own figures."),
        ),
        "site_warmest_c": (
            N_("Warmest a sign gets"),
            N_("A dark sign in the sun is warmer than the air."),
        ),
        "thermometer": (
            N_("Thermometer at the bench"),
            N_(
                "A file by its full path, or an address on the shop's network, that gives "
                "temperature and humidity. Empty: readings are typed."
            ),
        ),
        "thermometer_every_min": (N_("Time between readings"), N_("While something cures.")),
    },
    "stock": {
        "name": (N_("Name"), N_("As you call it: cream, opal white.")),
        "colour": (N_("Colour"), ""),
        "finish": (N_("Finish"), ""),
        "kind": (N_("Kind"), ""),
        "thickness_mm": (N_("Thickness"), ""),
        "length_mm": (N_("Sheet length"), ""),
        "width_mm": (N_("Sheet width"), ""),
        "turns": (N_("Pieces may be turned"), ""),
        "cost": (N_("Cost of a sheet"), N_("In your own money.")),
    },
    "cutter": {
        "name": (N_("Name"), N_("As you call it in the shop.")),
        "diameter_mm": (N_("Diameter"), ""),
        "flutes": (N_("Flutes"), ""),
        "reach_mm": (N_("Cutting length"), N_("No sheet thicker than this.")),
        "edge": (N_("Edge"), ""),
        "helix_deg": (N_("Helix"), ""),
    },
    "cement": {
        "name": (N_("Name"), ""),
        "kind": (N_("Kind"), ""),
        "data_sheet": (N_("Data sheet"), N_("A web address, or where it is kept.")),
        "reference_c": (
            N_("Reference temperature"),
            N_("The temperature these times are given for."),
        ),
        "open_min": (N_("Open time"), N_("0: not given.")),
        "fixture_min": (
            N_("Fixture time"),
            N_("Until the joint holds on its own. 0: not given."),
        ),
        "handling_hours": (N_("Handling time"), N_("May be moved with care. 0: not given.")),
        "cure_hours": (N_("Full cure"), ""),
        "ml_per_m2": (N_("Spread rate"), N_("For a square metre of joint. 0: not known.")),
        "coldest_c": (N_("Minimum temperature"), ""),
        "warmest_c": (N_("Maximum temperature"), ""),
        "driest_percent": (N_("Minimum humidity"), ""),
        "dampest_percent": (N_("Maximum humidity"), ""),
    },
    "rack": {
        "count": (N_("Full sheets"), ""),
        "length": (N_("Offcut length"), ""),
        "width": (N_("Offcut width"), ""),
        "measured_mm": (N_("Measured thickness"), ""),
    },
}


GROUPS = {
    "shop": N_("The shop"),
    "cutting": N_("Cutting"),
    "nesting": N_("Nesting"),
    "holding": N_("Hold-down"),
    "table": N_("Vacuum table"),
    "tabs": N_("Tabs"),
    "bench": N_("Bench"),
    "money": N_("Money and days"),
}

# How the stored words of a choice are shown, by table and field; others are shown as they are stored.
CHOICES: dict[tuple[str, str], dict[str, str]] = {
    ("settings", "units"): {"mm": N_("millimetres"), "in": N_("inches")},
    ("settings", "inch_fraction"): {"16": "1/16", "32": "1/32"},
    ("cement", "kind"): {
        "solvent": N_("solvent: softens and dries"),
        "reactive": N_("two-part: mixed, then sets"),
        "tape": N_("tape: grips with time"),
    },
    ("stock", "turns"): {
        "any": N_("any way"),
        "180": N_("half a turn only"),
        "none": N_("not at all"),
    },
}


@message
def group(name: str) -> str:
    return _(GROUPS[name])


@message
def choice(table: str, name: str, stored: str) -> str:
    return _(CHOICES.get((table, name), {}).get(stored, stored))


@message
def usual_vacuum(inhg: Number) -> str:
    return _("Usually {inhg} inHg at the sheet (from memory).")


@message
def usual_cutter() -> str:
    return _("the usual cutter")


@message
def shop_cutter() -> str:
    return _("the shop's cutter")


@message
def title(table: str, name: str) -> str:
    return _(FIELDS[table][name][0])


def note(table: str, name: str, source: str) -> Message | None:
    """The line under a field: its note and where its default comes from; None where there is neither."""
    has_note = bool(FIELDS[table][name][1])
    if not has_note:
        return source_of_default(source) if source else None
    return note_and_source(table, name, source) if source else note_alone(table, name)


@message
def note_alone(table: str, name: str) -> str:
    return _(FIELDS[table][name][1])


@message
def note_and_source(table: str, name: str, source: str) -> str:
    return _(FIELDS[table][name][1]) + " " + _("Default: {source}.")


@message
def source_of_default(source: str) -> str:
    return _("Default: {source}.")


@message
def with_unit(field: Message, unit: str) -> str:
    return _("{field}, {unit}")


# What is said of a value that cannot be. -----------------------------------------------------------


@message
def not_a_number(field: Message | str, least: Number, most: Number, unit: str = "") -> str:
    if unit:
        return _("{field}: type a number from {least} to {most} {unit}.")
    return _("{field}: type a number from {least} to {most}.")


@message
def not_a_whole_number(field: Message | str, least: Number, most: Number, unit: str = "") -> str:
    return _("{field}: type a whole number from {least} to {most}.")


@message
def not_a_choice(field: Message, choices: Options) -> str:
    return _("{field}: choose {choices}.")


@message
def no_such_setting(name: str) -> str:
    return _("There is no setting “{name}”. Reload the page.")


@message
def not_so_many_letters(field: Message, least: Number, most: Number) -> str:
    if least:
        return _("{field}: type {least} to {most} letters.")
    return _("{field}: type at most {most} letters.")


@message
def bad_address() -> str:
    return _(
        "Address on labels: type this machine's name on the shop's network and its port, as in "
        "SHOP.LAN:8000."
    )


@message
def unknown_zone() -> str:
    return _("Time zone not found. Type it like Europe/Lisbon or America/Halifax.")


@message
def bad_thermometer() -> str:
    return _("Thermometer: type the full path of a file, or an address that begins with http://.")


# Answers. ----------------------------------------------------------------------------------------


@message
def nothing_different() -> str:
    return _("Nothing to change. The settings are as before.")


@message
def settings_changed(fields: Sequence[Message]) -> str:
    return _("Settings changed: {fields}.")


@message
def and_more(count: int) -> str:
    return ngettext("{count} more", "{count} more", count)
