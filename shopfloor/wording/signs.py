"""Holding, resuming, cancelling and reopening a whole sign."""

from __future__ import annotations

from .message import gettext as _
from .message import message, ngettext


@message
def already_in_state(sign: str, state: str) -> str:
    return {
        "open": _("{sign} is already open."),
        "on hold": _("{sign} is already on hold."),
        "cancelled": _("{sign} is already cancelled."),
    }[state]


@message
def cannot_hold(sign: str, state: str) -> str:
    return {
        "packed": _("{sign} is packed. Only an open sign can be put on hold."),
        "handed over": _("{sign} is handed over. Only an open sign can be put on hold."),
        "cancelled": _("{sign} is cancelled. Only an open sign can be put on hold."),
    }[state]


@message
def held(sign: str, why: str) -> str:
    if why:
        return _("{sign} is on hold ({why}). Resume it to go on.")
    return _("{sign} is on hold. Resume it to go on.")


@message
def cannot_resume(sign: str, state: str) -> str:
    return {
        "packed": _("{sign} is packed. An owner must reopen it."),
        "handed over": _("{sign} is handed over. An owner must reopen it."),
        "cancelled": _("{sign} is cancelled. An owner must reopen it."),
    }[state]


@message
def resumed(sign: str) -> str:
    return _("{sign} is open again.")


@message
def cannot_cancel(sign: str) -> str:
    return _("{sign} is handed over and can't be cancelled.")


@message
def cancelled(sign: str, why: str, not_needed: int, spare: int, glued: int) -> str:
    if glued:
        return _(
            "{sign} is cancelled ({why}): {not_needed} not needed, {spare} spare, {glued} glued together."
        )
    return _("{sign} is cancelled ({why}): {not_needed} not needed, {spare} spare.")


@message
def nothing_to_reopen(sign: str, state: str) -> str:
    if state == "on hold":
        return _("{sign} is on hold. There is nothing to reopen.")
    return _("{sign} is open. There is nothing to reopen.")


@message
def reopened(sign: str, why: str) -> str:
    return _("{sign} is open again: {why}.")


@message
def new_pieces_wait(count: int) -> str:
    return ngettext(
        "{count} new piece waits for a sheet.", "{count} new pieces wait for a sheet.", count
    )


@message
def choose_what_to_do() -> str:
    return _("Choose what to do with the sign. Reload the page.")
