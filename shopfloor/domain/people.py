"""Who acts, and what they may do. Must not know about PINs or sessions."""

from __future__ import annotations

from dataclasses import dataclass

from ..wording import people as wording
from ..wording.message import Message
from .errors import NotAllowed, Refused
from .fields import read_line

ROLES = ("operator", "assembler", "owner")


@dataclass(frozen=True)
class Actor:
    """The person who acts, and the tablet (or command line) that they act from."""

    person: int
    name: str
    roles: frozenset[str]
    tablet: str

    def holds(self, *roles: str) -> bool:
        """Return whether the person holds one of `roles`; an owner holds all."""
        return "owner" in self.roles or bool(self.roles & set(roles))

    def must_hold(self, roles: tuple[str, ...], message: Message | None = None) -> None:
        """Raise NotAllowed unless the person holds one of `roles`; no roles: anybody may."""
        if roles and not self.holds(*roles):
            raise NotAllowed(message or wording.only_for(roles))


def checked_name(name: str) -> str:
    """Return a person's name, tidied. Raises Refused."""
    return read_line(name, 1, 40, wording.bad_name())


def checked_roles(roles: list[str] | tuple[str, ...]) -> tuple[str, ...]:
    """Return roles in their usual order. Raises Refused where none or an unknown one is given."""
    if not roles or not set(roles) <= set(ROLES):
        raise Refused(wording.choose_roles())
    return tuple(role for role in ROLES if role in roles)


def checked_pin(pin: str) -> str:
    """Return the PIN if it has 4 to 8 digits. Raises Refused."""
    if not (pin.isascii() and pin.isdigit() and 4 <= len(pin) <= 8):
        raise Refused(wording.bad_pin())
    return pin
