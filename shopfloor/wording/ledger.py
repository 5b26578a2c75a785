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
    return _("This form has been used already. Reload the page.")


@message
def no_such_act(act: int) -> str:
    return _("The ledger has no action {act}. Look it up in Office.")


@message
def cannot_undo_an_undo() -> str:
    return _("You can't undo an undo. Repeat the action.")


@message
def cannot_undo_a_reading() -> str:
    return _("You can't undo a reading. Cross out the wrong one in the list of readings.")


@message
def nothing_to_undo() -> str:
    return _("That action changed nothing that could be undone.")


@message
def already_undone() -> str:
    return _("Already undone.")


@message
def something_was_done_since(by: str, what: Message) -> str:
    return _("{by} has done something since. Undo that first: “{what}”")


@message
def action(what: str) -> str:
    """What somebody did, as the ledger's page says it. `what` is the command's name, kept as it was stored."""
    return {
        "abandoned a sheet": _("marked a sheet not finished"),
        "added a stock": _("added a material"),
        "began gluing": _("started gluing"),
        "changed a cause": _("changed the cause of a loss"),
        "changed a stock": _("changed a material"),
        "changed how a stock is cut": _("changed a material's cutting figures"),
        "chose a way of holding": _("chose a hold-down"),
        "forgot a colour": _("forgot a drawing colour"),
        "glued up": _("entered a glue-up"),
        "kept a photo": _("added a photo"),
        "made a tray": _("added a tray"),
        "measured a blank": _("measured a sheet"),
        "measured a place": _("measured a part's position"),
        "noted how warm it is": _("entered the temperature"),
        "opened the shop": _("set the shop up"),
        "opened a cure early": _("ended a cure early"),
        "renewed the advice": _("worked out the hold-down again"),
        "said how a stock expands": _("set a material's expansion"),
        "said where a sign hangs": _("set where a sign hangs"),
        "scanned into place": _("scanned a part into place"),
        "swapped a blank": _("chose another sheet or offcut"),
        "tapped a piece": _("marked a piece"),
        "took a blank out of the rack": _("took a sheet or offcut out of the rack"),
        "took a check back": _("cleared a check"),
        "took a job in": _("added a job"),
        "took a part up again": _("marked a part not set out"),
        "took a photo off": _("removed a photo"),
        "used a batch up": _("marked a batch used up"),
    }.get(what, "{what}")
