"""Office: the ledger's page, the check of the records, this tablet."""

from __future__ import annotations

from .message import Message, message, ngettext
from .message import gettext as _


@message
def page_title(page: str) -> str:
    return {
        "office": _("Office"),
        "people": _("People"),
        "settings": _("Settings"),
        "ledger": _("Ledger"),
        "cutters": _("Cutters"),
        "sign in": _("Sign in"),
        "first visit": _("First visit"),
        "about": _("About"),
        "stock": _("Stock"),
        "add material": _("Add material"),
    }[page]


@message
def ledger_differs(first: Message | str) -> str:
    return _("The ledger and the database do not match. Stop work and restore a backup. {first}")


@message
def ledger_is_sound(count: int) -> str:
    return ngettext(
        "The ledger is sound: {count} action matches the database.",
        "The ledger is sound: {count} actions match the database.",
        count,
    )


@message
def choose_an_act() -> str:
    return _("Choose the action to undo in the ledger.")


@message
def changed_nothing(what: Message) -> str:
    return _("“{what}” changed nothing: there is nothing to undo.")
