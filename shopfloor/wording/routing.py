"""What the rules of cutting say of cutters, feeds, nests and machine files."""

from __future__ import annotations

from .message import Figure, FineLength, Length, Message, Number, Options, message, ngettext
from .message import gettext as _

# Cutters. ---------------------------------------------------------------------------------------


@message
def usual_cutter() -> str:
    """The name of the cutter that a shop has without a list of its own."""
    return _("the usual O-flute")


@message
def cutter(diameter_mm: Number, flutes: int, edge: Message) -> str:
    return ngettext(
        "{diameter_mm} mm, {flutes} flute, {edge}",
        "{diameter_mm} mm, {flutes} flutes, {edge}",
        flutes,
    )


@message
def polished_cutter(diameter_mm: Number, flutes: int, edge: Message) -> str:
    return ngettext(
        "{diameter_mm} mm, {flutes} flute, {edge}, polished",
        "{diameter_mm} mm, {flutes} flutes, {edge}, polished",
        flutes,
    )


@message
def edge(kind: str) -> str:
    """How a kind of edge is called; `kind` is as it is stored."""
    match kind:
        case "straight":
            return _("straight")
        case "up-cut":
            return _("up-cut")
        case "down-cut":
            return _("down-cut")
        case "compression":
            return _("compression")
    return "{kind}"


@message
def straight_has_no_helix() -> str:
    return _("A straight cutter has no helix. Leave the angle empty or choose another edge.")


# Feeds. -----------------------------------------------------------------------------------------


@message
def cutter_too_short(reach_mm: Number, thickness_mm: Number) -> str:
    return _(
        "The cutter cuts {reach_mm} mm deep and the sheet is {thickness_mm} mm thick. Use a "
        "longer cutter."
    )


@message
def more_than_the_spindle_gives(power_w: int, share: int, spindle_w: int) -> str:
    return _(
        "The deepest pass takes {power_w} W, more than {share} % of the spindle's {spindle_w} "
        "W. Lower the chip load or use a smaller cutter."
    )


@message
def unusual_chip_load(chip_mm: Number, least_mm: Number, most_mm: Number) -> str:
    return _(
        "A chip load of {chip_mm} mm per tooth is outside the usual {least_mm} to {most_mm} mm "
        "(from memory, for a 6.35 mm cutter). Follow the cutter's data sheet."
    )


@message
def from_the_settings() -> str:
    """Where the speed and chip load of a stock come from."""
    return _("the shop's settings")


@message
def figure_of(what: str) -> str:
    """The name of a figure that the feeds and the hold-down rest on."""
    return {
        "feed": _("Speed and feed"),
        "power": _("Power"),
        "force": _("Force of the cutter"),
        "lift": _("Lift of an up-cut"),
        "vacuum": _("Pressure of the vacuum"),
        "speed": _("Spindle speed"),
        "chip": _("Chip load"),
        "energy": _("Cutting energy of acrylic"),
        "friction": _("Friction of masked acrylic on the spoilboard"),
        "first feed": _("Starting feed"),
        "passes": _("Depth of a pass"),
        "plunge": _("Plunge"),
        "spindle": _("Spindle power available"),
    }[what]


@message
def source_of(what: str) -> str:
    """Where a figure comes from, as a screen says it."""
    return {
        "feed": _("textbook formulas: n = 1000 v / (π D), feed = n × flutes × chip load"),
        "power": _("textbook formula: specific cutting energy × volume removed in a second"),
        "force": _("textbook formula: specific cutting energy × depth of the pass × chip load"),
        "lift": _("textbook: the axial force of a helical edge is force × tan(helix)"),
        "vacuum": _(
            "published table: 1 inHg is 3386.389 Pa; less at altitude, by the standard atmosphere"
        ),
        "speed": _("published chart: 18,000 rpm for a small cutter in acrylic"),
        "chip": _(
            "published chart: 0.10 mm per tooth to start with; common practice: 0.15 mm once "
            "proven; usual limits: from memory"
        ),
        "energy": _("from memory: 0.12 J/mm³; measure your own"),
        "friction": _("from memory: 0.3; measure your own"),
        "first feed": _("common practice: start at 70 %, raise if the edge is clean"),
        "passes": _("common practice: at most one diameter; an onion skin of 0.4 mm for the last"),
        "plunge": _("from memory: a third of the feed"),
        "spindle": _("from memory: 80 % of its rated power, continuous"),
    }[what]


# Nests. -----------------------------------------------------------------------------------------


@message
def no_area(part: str) -> str:
    return _("The part “{part}” encloses no area. Draw its outline again.")


@message
def too_large(
    part: str, wide_mm: Figure, high_mm: Length, length_mm: Figure, width_mm: Length, turns: str
) -> str:
    """`turns` is what the stock allows: 'any', '180' (its grain is kept) or 'none'."""
    match turns:
        case "180":
            return _(
                "The part “{part}” ({wide_mm} × {high_mm}), kept along the grain, does not fit a sheet "
                "of {length_mm} × {width_mm} less the margin. Choose a larger sheet or split the part."
            )
        case "none":
            return _(
                "The part “{part}” ({wide_mm} × {high_mm}), without turning, does not fit a sheet of "
                "{length_mm} × {width_mm} less the margin. Choose a larger sheet or split the part."
            )
    return _(
        "The part “{part}” ({wide_mm} × {high_mm}) does not fit a sheet of {length_mm} × "
        "{width_mm} less the margin. Choose a larger sheet or split the part."
    )


@message
def no_room_left(part: str, sheets: int) -> str:
    return ngettext(
        "No room is left for the part “{part}” on {sheets} sheet. Nest it on another sheet.",
        "No room is left for the part “{part}” on {sheets} sheets. Nest it on another sheet.",
        sheets,
    )


@message
def not_asked_for(key: str) -> str:
    return _("An extra piece is on the sheet: “{key}”.")


@message
def placed_again(part: str, times: int) -> str:
    return _("The part “{part}” is on the sheet {times} times.")


@message
def past_the_margin(part: str, margin_mm: Length) -> str:
    return _("The part “{part}” is past the margin of {margin_mm}.")


@message
def too_near(part: str, other: str, apart_mm: FineLength, gap_mm: FineLength) -> str:
    return _("The parts “{part}” and “{other}” are {apart_mm} apart; the gap must be {gap_mm}.")


@message
def listed_twice(part: str, key: str) -> str:
    return _("The part “{part}” is listed twice ({key}). List each piece once.")


@message
def unknown_turns(turns: str) -> str:
    return _("Turning is “any”, “180” or “none”, not “{turns}”.")


@message
def gap_is_no_number() -> str:
    return _("The nesting gap must be 0 or more. Correct it in Office.")


@message
def margin_is_no_number() -> str:
    return _("The nesting margin must be 0 or more. Correct it in Office.")


@message
def time_is_no_number() -> str:
    return _("The nesting time must be 0 or more. Correct it in Office.")


# Files for the machine. -------------------------------------------------------------------------


@message
def choose_a_kind(kinds: Options) -> str:
    return _("Choose a kind of file: {kinds}.")


@message
def sent(name: str, checksum: str) -> str:
    return _("{name} went to the machine, checksum {checksum}.")


@message
def fetch_again(sheet: str) -> str:
    return _("Sheet {sheet} changed while its file was made. Fetch the file again.")
