"""What is printed on a setup sheet and on no screen. What both have is in `setup_sheets`."""

from __future__ import annotations

from .message import (
    Day,
    Figure,
    FullMoment,
    Length,
    Message,
    Messages,
    Number,
    Options,
    message,
    ngettext,
)
from .message import gettext as _

# Drawings of a nest. ----------------------------------------------------------------------------


@message
def used(used: Length) -> str:
    return _("used {used}")


@message
def length(length: Length) -> str:
    return "{length}"


@message
def used_part(scale: str, is_turned: bool) -> str:
    if is_turned:
        return _("The used part, larger. Scale {scale}, turned 90° to the left.")
    return _("The used part, larger. Scale {scale}.")


@message
def part_of_used_part(
    number: int, count: int, start: Figure, end: Length, side: str, scale: str, is_turned: bool
) -> str:
    match side, is_turned:
        case "length", False:
            return _(
                "The used part, larger, {number} of {count}: {start} to {end} along the length. Scale "
                "{scale}."
            )
        case "length", True:
            return _(
                "The used part, larger, {number} of {count}: {start} to {end} along the length. Scale "
                "{scale}, turned 90° to the left."
            )
        case "width", False:
            return _(
                "The used part, larger, {number} of {count}: {start} to {end} along the width. Scale "
                "{scale}."
            )
    return _(
        "The used part, larger, {number} of {count}: {start} to {end} along the width. Scale "
        "{scale}, turned 90° to the left."
    )


@message
def small_pieces_are_on_the_next(pages: int) -> str:
    return ngettext(
        "Small pieces: marks and numbers are on the next page.",
        "Small pieces: marks and numbers are on the next {pages} pages.",
        pages,
    )


# The setup sheet. -------------------------------------------------------------------------------


@message
def setup_sheet_title(sheet: str) -> str:
    return _("Setup sheet of {sheet}")


@message
def no_such_paper(asked: str, papers: Options) -> str:
    return _("Setup sheets are printed on {papers}, not on “{asked}”. Choose one of them.")


@message
def no_piece_on_sheet(sheet: str) -> str:
    return _("There are no pieces on sheet {sheet}. Nest it first.")


@message
def address_too_long() -> str:
    return _("The shop's address is too long for the setup sheet. Set a shorter one in Office.")


@message
def read_on(page: int) -> str:
    return _("Continued on page {page}.")


@message
def old_file(name: str, at: FullMoment) -> str:
    """The warning that the machine has another layout than the one drawn."""
    return _("{name} went to the machine {at}. The sheet has changed since: fetch the new file.")


@message
def cell(caption: str) -> str:
    """The caption of a cell of the title block, or of a row of notes."""
    return {
        "sheet": _("sheet"),
        "code": _("code"),
        "page": _("page"),
        "scale": _("scale"),
        "stock": _("material"),
        "first due": _("first due"),
        "nest": _("nest"),
        "pieces": _("pieces"),
        "tabs": _("tabs"),
        "cutter": _("cutter"),
        "reach": _("cuts to"),
        "speed": _("speed"),
        "feed": _("feed"),
        "skin feed": _("skin feed"),
        "plunge": _("plunge"),
        "passes": _("passes"),
        "with skin": _("with skin"),
        "power": _("power"),
        "cutting": _("cutting"),
    }[caption]


@message
def page_of(page: int, pages: int) -> str:
    return _("{page} of {pages}")


@message
def sheet_size(length: Length, width: Length) -> str:
    return _("{length} × {width}")


@message
def for_signs(signs: int) -> str:
    return ngettext("for the sign", "for the signs", signs)


@message
def spares() -> str:
    return _("spares")


@message
def due(day: Day, year: int) -> str:
    return _("{day} {year}")


@message
def no_day_set() -> str:
    return _("no due date")


@message
def nest(number: int, mark: str) -> str:
    return _("{number} · {mark}") if mark else "{number}"


@message
def measured(thickness: str) -> str:
    return _("measured {thickness}")


# Its notes. -------------------------------------------------------------------------------------


@message
def heading(part: str) -> str:
    match part:
        case "hold":
            return _("Hold")
        case "cut":
            return _("Cut")
        case "order":
            return _("Order and time")
    return _("Take care")


@message
def hold_down(way: str) -> str:
    """The hold-down that is stored as 'full', 'skin', 'tabs' or 'tape', after a count and in the legend."""
    match way:
        case "full":
            return _("full pass")
        case "skin":
            return _("onion skin")
        case "tabs":
            return _("with tabs")
    return _("on tape, with an onion skin")


@message
def held_so(pieces: int, hold_down: Message) -> str:
    return _("{pieces} {hold_down}")


@message
def counts(counts: Messages) -> str:
    return "{counts}"


@message
def tabs(tabs: int, length: str, thickness: str) -> str:
    return _("{tabs}, each {length} × {thickness} thick") if tabs else _("none")


@message
def reach(reach: str, thickness: str) -> str:
    return _("{reach}; the sheet is {thickness}")


@message
def speed(speed: Number) -> str:
    return _("{speed} rpm")


@message
def power(power_w: Number, spindle_w: Number) -> str:
    return _("{power_w} W of {spindle_w} W")


@message
def file_sent(name: str, checksum: str, at: FullMoment, by: str) -> str:
    return _("File: {name}, checksum {checksum}, sent {at} by {by}.")


@message
def no_file() -> str:
    return _("File: none has gone to the machine yet.")


@message
def file_has_the_mark(mark: str) -> str:
    return _("The file name must contain {mark}.")


@message
def minutes(minutes: int, low: int, high: int) -> str:
    return _("about {minutes} min ({low} to {high})")


@message
def minutes_so_far(path_min: str, factor: str) -> str:
    return _("{path_min} min by the path × {factor}; no sheet timed here yet")


@message
def minutes_corrected(path_min: str, factor: str, low: str, high: str, sheets: int) -> str:
    return ngettext(
        "{path_min} min by the path × {factor} ({low} to {high}), from {sheets} sheet timed here",
        "{path_min} min by the path × {factor} ({low} to {high}), from {sheets} sheets timed here",
        sheets,
    )


@message
def legend(part: str) -> str:
    """The heads of the legend, and what a line's weight says of the vacuum alone."""
    return {
        "held": _("held"),
        "vacuum": _("vacuum alone"),
        "holds": _("holds"),
        "with a skin": _("with onion skin"),
        "needs tabs or tape": _("tabs or tape"),
    }[part]


# The list of pieces. ----------------------------------------------------------------------------


@message
def column(name: str) -> str:
    return {
        "number": _("no."),
        "code": _("code"),
        "piece": _("piece"),
        "sign": _("sign"),
        "held": _("held"),
        "safety": _("safety"),
        "tabs": _("tabs"),
    }[name]


@message
def safety_over(factor: int) -> str:
    return _("over {factor}")


@message
def group(way: str, pieces: int) -> str:
    match way:
        case "full":
            return ngettext("Full pass: {pieces} piece", "Full pass: {pieces} pieces", pieces)
        case "skin":
            return ngettext("Onion skin: {pieces} piece", "Onion skin: {pieces} pieces", pieces)
        case "tabs":
            return ngettext("With tabs: {pieces} piece", "With tabs: {pieces} pieces", pieces)
    return ngettext(
        "On tape, with an onion skin: {pieces} piece",
        "On tape, with an onion skin: {pieces} pieces",
        pieces,
    )
