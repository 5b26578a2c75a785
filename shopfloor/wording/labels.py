"""Labels: what is printed on them, and the page on which their paper is chosen."""

from __future__ import annotations

from .message import Code, Day, Message, Options, message
from .message import gettext as _

# On a label. ------------------------------------------------------------------------------------


@message
def spare() -> str:
    """A piece that is for no sign."""
    return _("spare")


@message
def first_cut() -> str:
    return _("First cut")


@message
def recut(number: int) -> str:
    return _("Recut {number}")


def attempt(attempt: int) -> Message:
    """Which try at a part a piece is: the first, or a recut."""
    return recut(attempt - 1) if attempt > 1 else first_cut()


@message
def trim_tabs(count: int) -> str:
    return _("TRIM TABS ({count})")


@message
def size_mm(length: str, width: str) -> str:
    """The size on a label, always in mm."""
    return _("{length} × {width} mm")


@message
def offcut() -> str:
    return _("Offcut")


@message
def full_sheet() -> str:
    return _("Full sheet")


@message
def due(day: Day) -> str:
    return _("due {day}")


@message
def pdf_title() -> str:
    return _("Labels")


# The paper. -------------------------------------------------------------------------------------


@message
def layout_title(layout: str) -> str:
    return {
        "a4-3x8": _("A4, 3 × 8 labels of 70 × 37 mm"),
        "letter-3x10": _("Letter, 3 × 10 labels of 2 5/8 × 1 in"),
        "roll-50x25": _("Roll, one label of 50 × 25 mm a page"),
    }[layout]


@message
def no_such_layout(layouts: Options) -> str:
    return _("Label layout not found. Choose {layouts}.")


@message
def address_too_long() -> str:
    return _("The shop's address is too long for this label. Set a shorter one in Office.")


@message
def nothing_to_print() -> str:
    return _("There are no labels to print. Choose a job or a sheet that has pieces.")


@message
def nothing_to_label(thing: str) -> str:
    return _("There is no piece to label for {thing}. Nest it first.")


@message
def not_on_a_sheet(code: Code) -> str:
    return _("{code} is on no sheet yet. Nest it first.")


@message
def no_labels_by_that_number() -> str:
    return _("No labels have that number. Start from the job's page.")


@message
def too_many_peeled_off(most: int) -> str:
    return _("At most {most} labels of a page can be used up. Choose the first one left.")


# The page. --------------------------------------------------------------------------------------


@message
def title(thing: Message) -> str:
    return _("Labels: {thing}")


@message
def sheet(number: str) -> str:
    return _("sheet {number}")


@message
def job(number: str) -> str:
    return _("{number}")


@message
def thing(code: Code) -> str:
    return _("{code}")


@message
def used_again(job: str) -> str:
    return _("pieces reused for {job}")


@message
def address_of_today(address: str) -> str:
    return _("{address} may change: it is this computer's address today")


@message
def address_placeholder(address: str) -> str:
    return _("{address} is a placeholder until you set the shop's own")


@message
def outline_title() -> str:
    return _("Outline of the piece")
