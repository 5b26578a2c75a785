"""Sheets on the router, their nests, and sheets that are not finished."""

from __future__ import annotations

from .message import Code, Message, message, ngettext
from .message import gettext as _

# What a sheet is. -------------------------------------------------------------------------------


@message
def state(kind: str) -> str:
    """The word for a sheet's state; `kind` is as it is stored."""
    match kind:
        case "planned":
            return _("planned")
        case "cutting":
            return _("cutting")
        case "off the table":
            return _("off the table")
        case "closed":
            return _("closed")
        case "abandoned":
            return _("not finished")
    return "{kind}"


@message
def status(sheet: str, kind: str) -> str:
    """A sentence: what a sheet is now."""
    match kind:
        case "planned":
            return _("Sheet {sheet} is not started.")
        case "cutting":
            return _("Sheet {sheet} is being cut.")
        case "off the table":
            return _("Sheet {sheet} is off the table.")
        case "closed":
            return _("Sheet {sheet} is closed.")
        case "abandoned":
            return _("Sheet {sheet} was not finished.")
    raise ValueError(f"no sheet is {kind!r}")


@message
def piece_of(name: str, job: str, sign: str) -> str:
    return _("{name} of {job} {sign}")


@message
def spare(code: Code) -> str:
    return _("{code}, a spare")


@message
def no_such_sheet() -> str:
    return _("Sheet not found. Look for it in Sheets.")


# What may be done with it. ----------------------------------------------------------------------


@message
def cannot_start_again(now: Message) -> str:
    return _("{now} It cannot be started again.")


@message
def start_it_first(now: Message) -> str:
    return _("{now} Press Start first.")


@message
def already(sheet: str, kind: str) -> str:
    match kind:
        case "off the table":
            return _("Sheet {sheet} is already off the table.")
        case "closed":
            return _("Sheet {sheet} is already closed.")
        case "abandoned":
            return _("Sheet {sheet} is already marked not finished.")
    raise ValueError(f"no sheet is {kind!r} already")


@message
def mark_on_piece_page(now: Message) -> str:
    return _("{now} Mark the piece on its own page.")


@message
def close_when_off_the_table(now: Message) -> str:
    return _("{now} Close it when it is off the table.")


@message
def no_outcome_yet(pieces: int, sheet: str) -> str:
    return ngettext(
        "{pieces} piece of sheet {sheet} is not marked yet. Mark it first.",
        "{pieces} pieces of sheet {sheet} are not marked yet. Mark them first.",
        pieces,
    )


@message
def swap_before_start(now: Message) -> str:
    return _("{now} Another full sheet or offcut can be taken only before the start.")


@message
def choose_hold_down_before_start(now: Message) -> str:
    return _("{now} The hold-down can be chosen only before the start.")


# What was done with it. -------------------------------------------------------------------------


@message
def started(sheet: str) -> str:
    return _("Sheet {sheet} is being cut.")


@message
def started_before_received(sheet: str) -> str:
    return _(
        "Sheet {sheet} is being cut. Its full sheet was still to order; it now counts as received."
    )


@message
def off_the_table(sheet: str) -> str:
    return _("Sheet {sheet} is off the table. Tap once for lost, twice for damaged.")


@message
def no_longer_on(code: Code, sheet: str) -> str:
    return _("{code} is no longer on sheet {sheet}. Look at the picture again.")


@message
def marked_by_somebody_else(code: Code, mark: str) -> str:
    """`mark` is the piece's state as it is stored."""
    match mark:
        case "lost":
            return _("{code} was just marked lost. Look at the picture again.")
        case "damaged":
            return _("{code} was just marked damaged. Look at the picture again.")
        case "cut" | "ready" | "fixed":
            return _("{code} was just marked good. Look at the picture again.")
        case "withdrawn":
            return _("{code} is no longer needed. Look at the picture again.")
    return _("{code} was just changed. Look at the picture again.")


@message
def rest_marked(pieces: int) -> str:
    return _("{pieces} marked cut.")


@message
def left_as_they_are(codes: tuple[Code, ...]) -> str:
    return _("Changed just now and left as they are: {codes}.")


@message
def closed(sheet: str) -> str:
    return _("Sheet {sheet} is closed.")


@message
def closed_with_offcut(sheet: str, offcut: Code) -> str:
    return _("Sheet {sheet} is closed. Its offcut is {offcut} in Stock.")


@message
def closed_already(sheet: str) -> str:
    return _("Sheet {sheet} is already closed.")


@message
def not_finished(sheet: str, good: int, spoiled: int, untouched: int) -> str:
    return _(
        "Sheet {sheet} is not finished: {good} good, {spoiled} spoiled, {untouched} waiting again."
    )


@message
def good_and_spoiled() -> str:
    return _("A piece cannot be both good and spoiled. Tap it again.")


@message
def some_marked_by_somebody_else() -> str:
    return _("Some of these pieces were just marked. Look at the picture again.")


@message
def not_free(code: Code) -> str:
    return _("{code} is not free, or is another material. Choose another.")


@message
def too_small(code: Code) -> str:
    return _("{code} is too small for this nest. Choose another.")


@message
def will_be_cut_from(sheet: str, code: Code) -> str:
    return _("Sheet {sheet} will be cut from {code}.")


@message
def its_recut(recut: Code) -> str:
    return _("Its recut is {recut}.")


# Nesting. ---------------------------------------------------------------------------------------


@message
def leave_it_out(sheet: str) -> str:
    return _("Sheet {sheet} is not a planned sheet of this material. Leave it out.")


@message
def nothing_waits(material: str) -> str:
    return _("No pieces of {material} are waiting for a sheet.")


@message
def changed_while_nesting() -> str:
    return _("Some of these pieces changed while they were being nested. Nest them again.")


@message
def offcut_taken(code: Code) -> str:
    return _("The offcut {code} was taken while you were nesting. Nest again.")


@message
def nested(pieces: int, sheets: tuple[str, ...]) -> str:
    return ngettext(
        "{pieces} piece is nested on {sheets}.", "{pieces} pieces are nested on {sheets}.", pieces
    )


@message
def nesting(material: str) -> str:
    return _("Nesting {material}")


@message
def nesting_under_way() -> str:
    return _(
        "Trying along the length and along the width; the better nest is kept. You can leave "
        "this page: the sheets will be in Sheets."
    )


@message
def back() -> str:
    return _("Back")


@message
def nest_title(material: str) -> str:
    return _("Nest {material}")


# Its pages. -------------------------------------------------------------------------------------


@message
def sheets_title() -> str:
    return _("Sheets")


@message
def not_finished_title(sheet: str) -> str:
    return _("{sheet}: not finished")


@message
def close_the_sheet() -> str:
    return _("Close the sheet")


@message
def all_good(pieces: int) -> str:
    return ngettext(
        "The piece is good: mark it cut", "All {pieces} are good: mark them cut", pieces
    )


@message
def mark_the_rest(lost: int, damaged: int, rest: int) -> str:
    """The large button: how many are gone, and how many it marks cut."""
    if lost and damaged:
        return _("{lost} lost, {damaged} damaged: mark the other {rest} cut")
    if lost:
        return _("{lost} lost: mark the other {rest} cut")
    if damaged:
        return _("{damaged} damaged: mark the other {rest} cut")
    return _("Mark the other {rest} cut")


# Recuts. ----------------------------------------------------------------------------------------


@message
def recuts_title() -> str:
    return _("Recuts")


@message
def needed_for(step: str | Message, job: str, sign: str, customer: str) -> str:
    """What a recut keeps waiting; `step` is the step's title."""
    return _("Needed for: {step}, {job} {sign}, {customer}")


@message
def for_sign(job: str, sign: str) -> str:
    return _("for {job} {sign}")


@message
def recut_number(count: int) -> str:
    """How many times a part has been cut again: 'Recut 1' for its second piece."""
    return _("Recut {count}")


@message
def is_spare() -> str:
    return _("a spare")
