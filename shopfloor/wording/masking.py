"""When the masking film comes off which face: common practice. The data sheets of the sheet and of the cement come first."""

from __future__ import annotations

from .message import AtLeast, Message, Messages, message, ngettext
from .message import gettext as _


@message
def parts(parts: Messages, count: int) -> str:
    """Some parts by name; `parts` is empty where there are too many to name."""
    if not count:
        return _("the sign")
    return _("{parts}") if parts else _("all {count} parts")


@message
def data_sheets_first() -> str:
    return _("The acrylic's and the cement's data sheets come before this list.")


@message
def mark_on_the_film() -> str:
    return _(
        "Leave the film on. Mark round each part on the film below it. The film is cut along "
        "that line before gluing."
    )


@message
def leave_it() -> str:
    return _("Leave the film as it is until the cure is over.")


@message
def peel_backs(parts: Message) -> str:
    return _("Peel the film off the back of {parts}.")


@message
def peel_along_edges(parts: Message, count: int) -> str:
    return ngettext(
        "Peel the film back along the edge of {parts}, and along the hole that takes it.",
        "Peel the film back along the edges of {parts}, and along the holes that take them.",
        count,
    )


@message
def fronts_stay_on() -> str:
    return _("The film on the front of what is glued now stays on.")


@message
def keep_clear_of_solvent(clear: AtLeast) -> str:
    return _("Solvent runs under film: no film within {clear} of a joint.")


@message
def peel_whole_front(part: Message) -> str:
    return _("Peel the whole front of {part}: most of it is covered.")


@message
def cut_round(part: Message, parts: Message) -> str:
    return _(
        "On the front of {part}, cut the film round the marks of {parts}, without scoring the "
        "acrylic, and peel it only there."
    )


@message
def peel_fronts() -> str:
    return _("Peel the film off all fronts now.")


@message
def back_stays_on(bottom: Message) -> str:
    return _("The film on the back of {bottom} stays on until packing.")


@message
def peel_polished_edges() -> str:
    return _("Peel the film back from each edge that is polished.")


@message
def no_film_left() -> str:
    return _("No film on any front, not even a scrap round a joint.")


@message
def back_when_packing(bottom: Message) -> str:
    return _("Peel the film off the back of {bottom}, or leave it on and say so on the wrapping.")


@message
def back_before_hanging(bottom: Message) -> str:
    return _(
        "If the film is still on the back of {bottom}, say that it comes off before the sign is hung."
    )
