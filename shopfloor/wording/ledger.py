"""The ledger, its undo, and requests that come twice."""

from __future__ import annotations

from .message import Message, message
from .message import gettext as _


@message
def undone(what: Message) -> str:
    return _("Undone: “{what}”")


@message
def only_they_may_undo() -> str:
    return _("Only the person who did this, or an owner, can undo it.")


@message
def no_free_code() -> str:
    return _("No free code is left: nearly all ten million are in use.")


@message
def key_used_for_something_else() -> str:
    return _("This request was already used for something else. Load the page again.")


@message
def no_such_act(act: int) -> str:
    return _("The ledger has no act {act}. Look it up in Office.")


@message
def cannot_undo_an_undo() -> str:
    return _("You can't undo an undo. Repeat the action.")


@message
def cannot_undo_a_reading() -> str:
    return _("You can't undo a reading. Strike out the wrong one in the list of readings.")


@message
def nothing_to_undo() -> str:
    return _("That action changed nothing that could be undone.")


@message
def already_undone() -> str:
    return _("That is already undone.")


@message
def something_was_done_since(by: str, what: Message) -> str:
    return _("{by} has done something since. Undo that first: “{what}”")
