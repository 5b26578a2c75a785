"""Templates at full size: the kinds, the papers, what a printing needs, refusals."""

from __future__ import annotations

from collections.abc import Sequence

from .message import Figure, Length, Message, Options, message, ngettext
from .message import gettext as _


@message
def title(sign: str) -> str:
    return _("{sign}: templates")


@message
def kind(what: str) -> str:
    """A kind of template as a heading; `what` is its stored word."""
    match what:
        case "strip":
            return _("Tape strip")
        case "template":
            return _("Placement template")
    return _("Drilling template")


@message
def use(what: str) -> str:
    """What a kind of template is for."""
    match what:
        case "strip":
            return _(
                "For each baseline: the edges and the centre of every letter, named, with running dimensions."
            )
        case "template":
            return _("The whole sign, the parts of a level in place.")
    return _("For the wall: each fixing with its hole, and a line for the spirit level.")


@message
def paper(code: str) -> str:
    match code:
        case "long":
            return _("One long page")
        case "a4":
            return _("A4 sheets")
    return _("Letter sheets")


@message
def whole_sign() -> str:
    return _("The whole sign")


@message
def level(number: int | None) -> str:
    return _("All levels") if number is None else _("Level {number}")


@message
def marks(marks: Sequence[str], count: int) -> str:
    """The revision marks that the sheets of one printing bear."""
    return ngettext("mark {marks}", "marks {marks}", count)


# What a printing needs. -------------------------------------------------------------------------


@message
def one_page(width: Figure, height: Length) -> str:
    return _("1 page of {width} × {height}")


@message
def pages(count: int, width: Figure, height: Length) -> str:
    return _("{count} pages, the longest {width} × {height}")


@message
def joined_pages(pages: Message) -> str:
    return _("{pages} to join, and a cover")


@message
def sheets(count: int) -> str:
    return ngettext("{count} sheet and a cover", "{count} sheets and a cover", count)


@message
def without_empty(sheets: Message, empty: int) -> str:
    return ngettext(
        "{sheets}; {empty} empty one is left out",
        "{sheets}; {empty} empty ones are left out",
        empty,
    )


@message
def written(kind: Message, sign: str, file: str) -> str:
    return _("{kind} of {sign} is in {file}. Print at 100 % and measure the test line.")


# Refusals. --------------------------------------------------------------------------------------


@message
def no_such_kind(asked: str, kinds: Options) -> str:
    return _("There is no template called “{asked}”. Choose {kinds}.")


@message
def no_such_paper(asked: str, papers: Options) -> str:
    return _("Templates are printed on {papers}, not on “{asked}”. Choose one of them.")


@message
def no_such_level(sign: str, level: int, levels: Options) -> str:
    return _("{sign} has no part on level {level}. Choose {levels}.")


@message
def no_such_template() -> str:
    return _("Template not found. Choose one on the sign's Templates page.")


@message
def level_is_a_number() -> str:
    return _("A level is a whole number, 0 at the bottom. Choose one on the sign's Templates page.")
