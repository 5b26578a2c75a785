"""The setup sheet, on the screen and on paper, and the file that goes to the machine.

Rates and depths come as text that is formatted already: a machine is set in decimals.
"""

from __future__ import annotations

from .message import Code, Message, Moment, Number, Percent, message, ngettext
from .message import gettext as _


@message
def title(sheet: str) -> str:
    return _("{sheet}: setup sheet")


@message
def not_worked_out(sheet: str) -> str:
    return _("The hold-down of {sheet} is not worked out yet. Do that on its page first.")


@message
def nothing_to_cut(now: Message) -> str:
    return _("{now} There is nothing left to cut.")


@message
def is_printed(sheet: str, name: str) -> str:
    return _("The setup sheet of {sheet} is in {name}.")


@message
def cannot_be_written(name: str) -> str:
    return _("{name} cannot be written. Choose a file in a folder that exists.")


# What is set at the router. ---------------------------------------------------------------------


@message
def spare() -> str:
    return _("spare")


@message
def of_sign(job: str, sign: str) -> str:
    return _("{job} {sign}")


@message
def full_sheet(code: Code) -> str:
    return _("full sheet {code}")


@message
def offcut(code: Code) -> str:
    return _("offcut {code}")


@message
def start_feed(start: str, share: Percent, top: str) -> str:
    """The feed to start with and the full feed."""
    return _("start at {start} ({share}), raise to {top} if the edge is clean")


@message
def cuts_deep(reach: str) -> str:
    return _("cuts {reach} deep")


@message
def power(power_w: Number, spindle_w: Number) -> str:
    return _("{power_w} of {spindle_w} W")


@message
def tabs(tabs: int, length: str, thickness: str) -> str:
    return ngettext(
        "{tabs}, {length} long, {thickness} thick", "{tabs}, {length} long, {thickness} thick", tabs
    )


@message
def order() -> str:
    return _("Follow the numbers: holes before outlines, small pieces before large ones.")


@message
def open_zones(zones: tuple[int, ...]) -> str:
    if not zones:
        return _("No vacuum zone to open")
    return ngettext("Open zone {zones}", "Open zones {zones}", len(zones))


# How long it takes. -----------------------------------------------------------------------------


@message
def minutes(minutes: int, low: int, high: int) -> str:
    return _("About {minutes} min, {low} to {high}")


@message
def minutes_so_far(path_min: str) -> str:
    return _("{path_min} min by its path; no sheet timed here yet")


@message
def minutes_corrected(path_min: str, factor: str, sheets: int) -> str:
    return ngettext(
        "{path_min} min by its path × {factor}, from {sheets} sheet timed here",
        "{path_min} min by its path × {factor}, from {sheets} sheets timed here",
        sheets,
    )


# The file for the machine. ----------------------------------------------------------------------


@message
def no_file() -> str:
    return _("No file has gone to the machine yet.")


@message
def file_sent(name: str, at: Moment, by: str, checksum: str) -> str:
    return _("{name} went to the machine {at} ({by}), checksum {checksum}")


@message
def old_file(name: str, at: Moment, nest: int) -> str:
    """The warning that the machine has another layout than the one drawn."""
    return _(
        "{name} went to the machine {at} with nest {nest}. The sheet has changed since: fetch "
        "the new file."
    )


@message
def lines_are_outlines() -> str:
    return _(
        "Full size in mm. The lines are the outlines of the pieces: let the machine's software "
        "offset them by half the cutter."
    )


# Cautions for this sheet. -----------------------------------------------------------------------


@message
def larger_than_the_table() -> str:
    return _(
        "The sheet is larger than the vacuum table. Cut it down first, or support the overhang."
    )


@message
def zones_in_part(zones: tuple[int, ...]) -> str:
    return ngettext(
        "Zone {zones} is only partly under the sheet. Cover the rest with scrap, or the vacuum leaks away.",
        "Zones {zones} are only partly under the sheet. Cover the rest with scrap, or the vacuum leaks away.",
        len(zones),
    )


@message
def nested_for_another_cutter(nested_for: Message, cut_with: Message) -> str:
    return _(
        "Fit {nested_for}: this sheet is nested for it. To use {cut_with} instead, nest the "
        "sheet again."
    )


@message
def measured(thickness_mm: Number) -> str:
    return _("This sheet measured {thickness_mm} mm; the passes are set for that.")


@message
def worked_out_for_another_pump(pump: str, now: str) -> str:
    return _(
        "The hold-down was worked out for a {pump}; the pump is now a {now}. Work it "
        "out again on the hold-down page."
    )


@message
def tape_down(pieces: tuple[int, ...], more: int) -> str:
    """`pieces` are their numbers on the drawing; `more` is how many are not named."""
    if more:
        return ngettext(
            "Before the sheet goes on, put tape under pieces {pieces}, and {more} more.",
            "Before the sheet goes on, put tape under pieces {pieces}, and {more} more.",
            more,
        )
    return ngettext(
        "Before the sheet goes on, put tape under piece {pieces}.",
        "Before the sheet goes on, put tape under pieces {pieces}.",
        len(pieces),
    )


@message
def still_to_order() -> str:
    return _("The full sheet is still to be ordered.")


@message
def leave_out(pieces: int) -> str:
    return ngettext(
        "{pieces} piece of this nest is no longer needed. Leave it out.",
        "{pieces} pieces of this nest are no longer needed. Leave them out.",
        pieces,
    )
