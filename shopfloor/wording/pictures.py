"""What is written on pictures of sheets and signs, or read out for them."""

from __future__ import annotations

from .message import Message, message
from .message import gettext as _
from .pieces import state as state_word


@message
def part(number: int, name: Message | str, state: Message) -> str:
    """A part as it is read out."""
    return _("{number} {name}, {state}")


@message
def spare() -> str:
    return _("a spare")


@message
def sheet(number: str) -> str:
    return _("Sheet {number}")


@message
def sign(job: str, mark: str, name: str) -> str:
    return _("{job} {mark}, {name}")


@message
def used(length: str) -> str:
    return _("used {length}")


@message
def offcut(length: str, width: str) -> str:
    return _("offcut {length} × {width}")


def labelled(number: int, name: Message | str, state: str) -> Message:
    """A part as it is read out; `state` is its stored word."""
    return part(number, name, state_word(state))
