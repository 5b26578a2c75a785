"""Dissimilar materials, their movement with temperature, and the screws that hold a sign on its wall."""

from __future__ import annotations

from collections.abc import Sequence

from .message import (
    AtLeast,
    Degrees,
    DrillSize,
    FineLength,
    Length,
    Message,
    Movement,
    Number,
    Options,
    message,
    ngettext,
)
from .message import gettext as _


@message
def title(sign: str) -> str:
    return _("{sign}: materials and fixings")


@message
def part(name: str) -> str:
    """A part in a sentence: its name in quotes, or 'no. 3' where it has none."""
    return "{name}" if name.startswith("no. ") else _("'{name}'")


# Joints of dissimilar materials. ----------------------------------------------------------------


@message
def joint_kind(kind: str) -> str:
    """What joins two materials, as a stamp; `kind` is that of `expansion.Advice`, '' where a figure is missing."""
    match kind:
        case "cement":
            return _("cement")
        case "soft tape":
            return _("foam tape")
        case "slots":
            return _("slots")
        case "gap":
            return _("gap")
    return _("not known")


@message
def use_cement(movement: Movement) -> str:
    return _(
        "Any cement whose data sheet covers both will do. The joint moves only "
        "{movement} at each end."
    )


@message
def use_soft_tape(movement: Movement, tape: Movement, takes: Movement) -> str:
    return _(
        "Use foam tape, no cement. The joint moves {movement} at each end; {tape} tape takes "
        "{takes}."
    )


@message
def leave_a_gap(gap: AtLeast, movement: Movement) -> str:
    return _(
        "Leave a gap of {gap} all round and fix it only in the middle. The joint moves "
        "{movement} at each end."
    )


@message
def use_slots(movement: Movement, takes: Movement) -> str:
    return _(
        "Screw it on through slots that point to one fixed point in the middle. The joint "
        "moves {movement} at each end; foam tape takes only {takes}."
    )


@message
def stock_not_known(stocks: Sequence[str]) -> str:
    return _(
        "No expansion is entered for {stocks}. An owner enters it on the material's page in Stock."
    )


@message
def joints_title(upper: str, lower: str, is_let_in: bool) -> str:
    return _("{upper} let into {lower}") if is_let_in else _("{upper} on {lower}")


@message
def joints_at(level: int, count: int) -> str:
    return ngettext("level {level}, {count} joint", "level {level}, {count} joints", count)


@message
def longest_joint(part: Message, length: Length) -> str:
    return _("longest: {part}, {length}")


@message
def moves(
    is_growing: bool, movement: Movement, joined: Degrees, to: Degrees, at_end: Movement
) -> str:
    """What the upper part does against the lower one."""
    if is_growing:
        return _(
            "grows {movement} against it from {joined} to {to} °C: {at_end} at each end",
        )
    return _("shrinks {movement} against it from {joined} to {to} °C: {at_end} at each end")


@message
def gap_too_tight(first: str, second: str, needed: AtLeast, drawn: Movement) -> str:
    """Two neighbouring sections of a board."""
    if drawn <= 0:
        return _(
            "{first} and {second}: leave a gap of {needed} for expansion at the warmest; none is drawn."
        )
    return _(
        "{first} and {second}: leave a gap of {needed} for expansion at the warmest; {drawn} is drawn."
    )


# A stock's expansion. ---------------------------------------------------------------------------


@message
def expansion(mm: Number) -> str:
    return _("{mm} mm per metre per 10 °C")


@message
def source_missing() -> str:
    return _("not entered yet; see the data sheet")


@message
def source_usual() -> str:
    return _("sheet makers' data for acrylic")


@message
def expansion_title() -> str:
    return _("Expansion in mm per metre per 10 °C")


@message
def expansion_set(material: str, mm: Number) -> str:
    return _("{material} moves {mm} mm per metre per 10 °C.")


@message
def name_source() -> str:
    return _("Say in 1 to 80 letters where the figure comes from, such as “its data sheet”.")


@message
def no_own_figure(material: str) -> str:
    return _("{material} has no figure of its own. Nothing to do.")


@message
def own_figure_cleared(material: str) -> str:
    return _("The expansion figure of {material} is deleted.")


# Where a sign hangs. ----------------------------------------------------------------------------


@message
def coldest() -> str:
    return _("Coldest there")


@message
def warmest() -> str:
    return _("Warmest there")


@message
def coldest_not_below_warmest() -> str:
    return _("The coldest must be below the warmest. Type both again.")


@message
def site_set(sign: str, coldest: Degrees, warmest: Degrees) -> str:
    return _("{sign} is planned for {coldest} to {warmest} °C.")


@message
def usual_site_set(sign: str) -> str:
    return _("{sign} is planned for the shop's usual temperatures.")


@message
def usual_site_already(sign: str) -> str:
    return _("{sign} already has the shop's usual temperatures.")


# A plan of fixings. -----------------------------------------------------------------------------


@message
def screw_diameter() -> str:
    return _("Screw diameter")


@message
def from_the_edges() -> str:
    return _("From the edges")


@message
def holes_in_a_row() -> str:
    return _("Holes in a row")


@message
def rows_of_holes() -> str:
    return _("Rows of holes")


@message
def name_wall() -> str:
    return _("Enter a name for the wall, 1 to 40 letters, such as masonry.")


@message
def wall_not_known(wall: str, walls: Options) -> str:
    return _("Type how far {wall} moves in mm per metre per 10 °C, or choose {walls}.")


@message
def wall_option(wall: str, mm: Number) -> str:
    return _("{wall} ({mm})")


@message
def planned(count: int, screw: DrillSize, sign: str) -> str:
    return ngettext(
        "{count} screw of {screw} is planned for {sign}.",
        "{count} screws of {screw} are planned for {sign}.",
        count,
    )


@message
def cleared(sign: str) -> str:
    return _("The fixing plan of {sign} is cleared.")


@message
def no_plan(sign: str) -> str:
    return _("{sign} has no fixing plan. Reload the page.")


@message
def no_base() -> str:
    return _("The sign has no base to screw through. Check its drawing.")


@message
def base_not_known(base: str) -> str:
    return _(
        "No expansion is entered for the material of {base}. An owner enters it on the material's page in Stock."
    )


@message
def no_place(base: str, edge: FineLength) -> str:
    return _("{base} has no room for a hole {edge} from its edges. Type a shorter distance.")


@message
def too_near_an_edge(
    number: int, hole: DrillSize, base: str, diameters: Number, needed: AtLeast
) -> str:
    return _(
        "Hole {number}, {hole} wide, would be too near an edge of {base}. "
        "Acrylic needs {diameters} hole diameters: type {needed} or more as the distance."
    )


@message
def too_near_each_other(first: int, second: int, base: str) -> str:
    return _("Holes {first} and {second} of {base} would be too near each other. Plan fewer holes.")


@message
def moved_in(lines: str, distance: AtLeast, planned: AtLeast) -> str:
    """`lines` is 'rows', 'columns' or 'both'."""
    match lines:
        case "rows":
            return _(
                "The outer rows are {distance} from the edges, not {planned}: moved in, clear of the "
                "corners."
            )
        case "columns":
            return _(
                "The outer columns are {distance} from the edges, not {planned}: moved in, clear of "
                "the corners."
            )
    return _(
        "The outer rows and columns are {distance} from the edges, not {planned}: moved in, "
        "clear of the corners."
    )


@message
def no_straight_rows() -> str:
    return _("No room for straight rows: holes are moved to the nearest room.")


@message
def moved_aside() -> str:
    return _("Some holes are moved out of line, clear of a part.")


@message
def of_base(base: str, sentence: Message) -> str:
    return _("{base}: {sentence}")


@message
def plan_no_longer_fits(reason: Message) -> str:
    return _("The fixing plan no longer fits: {reason}")


@message
def now_slots(count: int) -> str:
    return ngettext(
        "{count} hole is now a slot. Print a new drilling template.",
        "{count} holes are now slots. Print a new drilling template.",
        count,
    )


@message
def now_resized(count: int) -> str:
    return ngettext(
        "{count} hole now has another size. Print a new drilling template.",
        "{count} holes now have another size. Print a new drilling template.",
        count,
    )


@message
def screws_at_most(screw: DrillSize) -> str:
    return _("Use screws of at most {screw} now.")


@message
def hole_too_small(
    number: int, hole: DrillSize, movement: Movement, screw: DrillSize, needed: Message
) -> str:
    return _(
        "Hole {number} of {hole} is too small: the sign moves {movement} each way. For a screw "
        "of {screw}, make the hole {needed}."
    )


# The holes on a page. ---------------------------------------------------------------------------


@message
def drawing(sign: str, count: int) -> str:
    return ngettext(
        "Base of {sign} with {count} fixing", "Base of {sign} with {count} fixings", count
    )


@message
def screws_into_wall(count: int, screw: DrillSize, wall: str) -> str:
    return ngettext(
        "{count} screw of {screw} into {wall}", "{count} screws of {screw} into {wall}", count
    )


@message
def screws_in_drawn_holes(count: int, screw: DrillSize) -> str:
    return ngettext(
        "{count} screw of at most {screw}, in the round hole of the drawing",
        "{count} screws of at most {screw}, in the round holes of the drawing",
        count,
    )


@message
def wall_and_base(wall: Number, bases: Sequence[Number], is_assumed: bool) -> str:
    """How far the wall and the base move; `is_assumed`: no plan says what the wall is."""
    if not bases:
        if is_assumed:
            return _("The wall, assumed to be masonry, moves {wall} mm per metre per 10 °C.")
        return _("The wall moves {wall} mm per metre per 10 °C.")
    if is_assumed:
        return _(
            "The wall, assumed to be masonry, moves {wall} mm per metre per 10 °C, the base "
            "{bases}."
        )
    return _("The wall moves {wall} mm per metre per 10 °C, the base {bases}.")


@message
def round_hole(hole: DrillSize) -> str:
    return "{hole}"


@message
def slot(width: Number, length: DrillSize) -> str:
    return _("slot {width} × {length}")


@message
def a_slot(width: Number, length: DrillSize) -> str:
    return _("a slot of {width} × {length}")


@message
def fixed_point() -> str:
    return _("fixed point")


@message
def towards_fixed_point() -> str:
    return _("towards the fixed point")


@message
def needs_washer(washer: DrillSize) -> str:
    return _("with a washer of at least {washer}")


@message
def covered_by(part: Message) -> str:
    return _("covered by {part}: screw in before gluing")


@message
def touches(part: Message, is_washer: bool) -> str:
    if is_washer:
        return _("its washer touches {part}: screw in before gluing, or move it")
    return _("its screw's head touches {part}: screw in before gluing, or move it")
