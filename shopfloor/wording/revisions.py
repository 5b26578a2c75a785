"""A new drawing for a job under way: what it changes, what it costs, and what was done."""

from __future__ import annotations

from .message import Length, Message, Messages, message, ngettext
from .message import gettext as _

# Refusals and answers. --------------------------------------------------------------------------


@message
def new_drawing_for(job: str) -> str:
    return _("New drawing for {job}")


@message
def drawing_changes_nothing(job: str) -> str:
    return _("The new drawing changes nothing in {job}.")


@message
def no_sign_open(job: str) -> str:
    return _("No sign of {job} is open any more. Add the drawing as a new job.")


@message
def job_changed_meanwhile(job: str) -> str:
    return _("{job} has just been changed. Compare the new drawing again.")


@message
def say_about_glued_pieces() -> str:
    return _("Glued pieces must come off. First choose whether they are spoiled or come off whole.")


@message
def changing(job: str) -> str:
    return _("Changing {job}")


@message
def nesting_the_change() -> str:
    return _(
        "Nesting the job's planned sheets again. You can leave this page: the job will be in Jobs."
    )


@message
def back_to_the_new_drawing() -> str:
    return _("Back to the new drawing")


@message
def follows_the_drawing(job: str, outcome: Messages) -> str:
    return _("{job} follows the new drawing: {outcome}.")


@message
def follows_without_cutting(job: str) -> str:
    return _("{job} follows the new drawing. Nothing to cut.")


@message
def pieces_by_outcome(outcome: str, count: int) -> str:
    match outcome:
        case "to_cut":
            return ngettext("{count} piece to cut", "{count} pieces to cut", count)
        case "used":
            return ngettext("{count} piece reused", "{count} pieces reused", count)
        case "withdrawn":
            return ngettext(
                "{count} uncut piece not needed", "{count} uncut pieces not needed", count
            )
        case "spare":
            return ngettext("{count} left over as a spare", "{count} left over as spares", count)
    return ngettext("{count} piece spoiled", "{count} pieces spoiled", count)


# The page that compares the drawings. -----------------------------------------------------------


@message
def changes_nothing() -> str:
    return _("The new drawing changes nothing")


@message
def to_cut(count: int) -> str:
    return ngettext("{count} piece to cut", "{count} pieces to cut", count)


@message
def nothing_to_cut() -> str:
    return _("Nothing to cut")


@message
def cost_label(what: str) -> str:
    labels = {
        "parts": _("Parts"),
        "used": _("Reused"),
        "withdrawn": _("Not cut yet, not needed"),
        "spare": _("Left over as spares"),
        "sheet": _("Sheet"),
        "money": _("Material cost"),
        "minutes": _("Time at the router"),
    }
    return labels[what]


@message
def several(items: Messages) -> str:
    return _("{items}")


@message
def parts_by_change(kind: str, count: int) -> str:
    match kind:
        case "same":
            return _("{count} unchanged")
        case "moved":
            return _("{count} moved")
        case "new":
            return _("{count} new")
    return _("{count} removed")


@message
def change_heading(kind: str) -> str:
    match kind:
        case "moved":
            return _("Moved")
        case "new":
            return _("New")
    return _("Removed")


@message
def pieces_with_new_labels(count: int) -> str:
    return ngettext("{count} piece, with a new label", "{count} pieces, with new labels", count)


@message
def about_so_much(sheets: Messages) -> str:
    return _("about {sheets}")


@message
def sheets_of_stock(count: str, stock: Message | str) -> str:
    return _("{count} sheets of {stock}")


@message
def share_of_a_sheet(percent: str, stock: Message | str) -> str:
    return _("{percent} % of a sheet of {stock}")


@message
def a_new_stock() -> str:
    return _("a new material")


@message
def about_minutes(count: int) -> str:
    return ngettext("about {count} minute", "about {count} minutes", count)


@message
def a_new_sign_heading() -> str:
    return _("A new sign")


@message
def new_over_old(signs: Message) -> str:
    return _("{signs}: new over old")


@message
def sign_is_cancelled() -> str:
    return _("Not in the new drawing: cancelled")


@message
def new_sign_of(parts: Message) -> str:
    return _("A new sign of {parts}")


@message
def part_of_width(width: Length) -> str:
    return _("a part of {width}")


@message
def part_named(name: str) -> str:
    return _("'{name}'")


@message
def part_numbered(number: int, name: str) -> str:
    return _("'{name}' (no. {number})") if name else _("no. {number}")


@message
def step(towards: str, length: Length) -> str:
    match towards:
        case "right":
            return _("{length} right")
        case "left":
            return _("{length} left")
        case "up":
            return _("{length} up")
    return _("{length} down")


@message
def turned() -> str:
    return _("turned")


@message
def moved_parts(way: Message, parts: Messages) -> str:
    return _("{way}: {parts}")
