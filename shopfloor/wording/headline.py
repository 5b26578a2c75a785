"""The headline of a sign on the Floor and the Bench, and its reason."""

from __future__ import annotations

from .message import Message, Messages, Soon, message, ngettext
from .message import gettext as _


@message
def state(state: str) -> str:
    """The state of a sign as a headline."""
    return {
        "open": _("Open"),
        "on hold": _("On hold"),
        "packed": _("Packed"),
        "handed over": _("Handed over"),
        "cancelled": _("Cancelled"),
    }[state]


@message
def hand_it_over() -> str:
    return _("Hand it over")


@message
def all_done() -> str:
    return _("All steps are done")


@message
def ready_for(title: str) -> str:
    """A step of the shop's own can be done."""
    return _("Ready: {title}")


@message
def ready_to(task: Message) -> str:
    return _("Ready to {task}")


@message
def curing(end: Soon | None) -> str:
    """`end` is None where the cure is paused."""
    return _("Cure paused: too cold") if end is None else _("Curing until {end}")


@message
def waiting(task: Message) -> str:
    return _("Waiting: {task}")


@message
def waiting_on_part(who: Message, part: Message) -> str:
    return _("{who} is waiting on {part}")


@message
def waiting_on_parts(who: Message, count: int) -> str:
    return _("{who} is waiting on {count} parts")


@message
def level(level: int) -> str:
    return _("Level {level}")


@message
def glue_the_rest(count: int, of: int, rest: Message) -> str:
    return _("{count} of {of} glued. Now glue {rest}.")


@message
def all_set_out(count: int) -> str:
    return ngettext("The part is set out.", "All {count} parts are set out.", count)


@message
def missing_further_up(count: int, of: int) -> str:
    return ngettext(
        "{count} of {of} parts is still missing, for a later step.",
        "{count} of {of} parts are still missing, for a later step.",
        count,
    )


@message
def all_in_hand(count: int) -> str:
    return ngettext("The piece is in hand.", "All {count} pieces are in hand.", count)


@message
def do_not_move() -> str:
    return _("Do not move it.")


@message
def otherwise_do_not_move() -> str:
    return _("Otherwise do not move it.")


@message
def can_be_glued_now(parts: Message) -> str:
    return _("{parts} can be glued now.")


@message
def then_set_out_and_glue(parts: Message) -> str:
    return _("Then: set out and glue {parts}.")


@message
def then(task: Message) -> str:
    return _("Then: {task}.")


@message
def nothing_open() -> str:
    """The headline of a job without open signs."""
    return _("Nothing is open")


@message
def of_signs_sentence(marks: Messages, headline: Message) -> str:
    return _("{marks}: {headline}.")


@message
def of_signs(marks: Messages, headline: Message) -> str:
    """A headline that several signs of a job share."""
    return _("{marks}: {headline}")
