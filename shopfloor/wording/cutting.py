"""Office's list of cutters, how a material is cut, and the caliper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from .message import Code, Message, Number, message, ngettext
from .message import gettext as _

Thickness = Annotated[float, "hundredths"]


@message
def no_such_cutter() -> str:
    return _("Cutter not found. Choose one in Office, Cutters.")


@message
def off_the_list() -> str:
    return _("This cutter is off the list. Choose another.")


@message
def name_taken(name: str) -> str:
    return _("There is already a cutter “{name}”. Choose another name.")


@message
def name_of_a_retired_cutter(name: str) -> str:
    return _("A retired cutter is called “{name}”. Choose another name.")


@message
def added(name: str) -> str:
    return _("{name} is on the list. Choose it for the shop or for a material.")


@message
def everything_else() -> str:
    return _("materials without their own cutter")


@message
def in_use(name: str, uses: Sequence[Message | str]) -> str:
    return _("{name} is in use for {uses}. Choose another cutter there first.")


@message
def retired(name: str) -> str:
    return _("{name} is off the list.")


@message
def say_the_source() -> str:
    return _("Say in 1 to 80 letters where these figures come from, such as “own trials”.")


@message
def own_cutting(stock: str) -> str:
    return _("The next nest of {stock} uses these figures.")


@message
def already_cut_as_usual(stock: str) -> str:
    return _("{stock} already uses the shop's figures.")


@message
def cut_as_usual(stock: str) -> str:
    return _("{stock} uses the shop's figures again.")


@message
def measured(code: Code, thickness: Number) -> str:
    return _("{code} is {thickness} mm thick.")


@message
def too_far_from_nominal(measured: Number, stock: str, least: Thickness, most: Thickness) -> str:
    return _(
        "{measured} mm is too far from {stock}, which may measure {least} to {most} "
        "mm. Measure again: it may be another material."
    )


# The list of cutters. -------------------------------------------------------------------------------


@message
def edge_and_its_effect(edge: str) -> str:
    match edge:
        case "straight":
            return _("straight: no lift")
        case "up-cut":
            return _("up-cut: clears the chips, lifts the piece")
        case "down-cut":
            return _("down-cut: presses the piece down")
        case _other:
            return _("compression: an up-cut tip, down-cut above")


@message
def helix(degrees: Number, is_lifting: bool) -> str:
    if is_lifting:
        return _("helix {degrees}°, lifts")
    return _("helix {degrees}°, presses down")


@message
def usual_helix(degrees: Number) -> str:
    return _("Left empty: {degrees}° (common practice); straight cutters have none.")


# How a material is cut, on its page. ---------------------------------------------------------------


@message
def cutter() -> str:
    return _("Cutter")


@message
def cutter_named(name: str, kind: Message | str) -> str:
    return _("{name}: {kind}")


@message
def spindle_speed() -> str:
    return _("Spindle speed")


@message
def rev_per_min(speed: Number) -> str:
    return _("{speed} rpm")


@message
def chip_load() -> str:
    return _("Chip load")


@message
def mm_a_tooth(chip: Number, is_proven: bool) -> str:
    return _("{chip} mm per tooth") if is_proven else _("{chip} mm per tooth, to start with")


@message
def cutting_energy() -> str:
    return _("Cutting energy")


@message
def energy(joules: Number) -> str:
    return _("{joules} J/mm³")


@message
def feed() -> str:
    return _("Feed")


@message
def onion_skin_pass() -> str:
    return _("Onion skin pass")


@message
def plunge() -> str:
    return _("Plunge")


@message
def mm_a_minute(speed: Number) -> str:
    return _("{speed} mm/min")


@message
def passes(count: int) -> str:
    return ngettext("{count} pass", "{count} passes", count)


@message
def passes_with_onion_skin(count: int) -> str:
    return ngettext(
        "{count} pass, the last through the onion skin",
        "{count} passes, the last through the onion skin",
        count,
    )
