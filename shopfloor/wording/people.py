"""People, roles, PINs, sessions and tablets."""

from __future__ import annotations

from collections.abc import Sequence

from .message import Message, Options, message, ngettext
from .message import gettext as _


@message
def role(name: str) -> str:
    match name:
        case "operator":
            return _("operator")
        case "assembler":
            return _("assembler")
        case _owner:
            return _("owner")


@message
def only_for(roles: Options) -> str:
    return _("Only the {roles} can do this. Ask one of them.")


@message
def bad_name() -> str:
    return _("Type a name of 1 to 40 letters.")


@message
def choose_roles() -> str:
    return _("Choose one or more roles: operator, assembler, owner.")


@message
def bad_pin() -> str:
    return _("Type a PIN of 4 to 8 digits.")


@message
def shop_is_open() -> str:
    return _("The shop is set up.")


@message
def added(name: str) -> str:
    return _("{name} is added. Set a PIN next.")


@message
def last_owner() -> str:
    return _("The shop needs an owner with a PIN. Make somebody else an owner first.")


@message
def changed(name: str, roles: Sequence[Message], is_on_duty: bool) -> str:
    if is_on_duty:
        return _("{name} is on duty: {roles}.")
    return _("{name} is off duty: {roles}.")


@message
def owner_sets_pins() -> str:
    return _("Only an owner can set another person's PIN.")


@message
def new_pin(name: str) -> str:
    return _("{name} has a new PIN.")


@message
def owner_has_a_pin() -> str:
    return _("The owner already has a PIN. Sign in with it.")


@message
def first_pin_set(name: str) -> str:
    return _("{name} has a PIN.")


@message
def cannot_sign_in(name: str) -> str:
    return _("{name} has no PIN yet or is off duty. An owner changes that in Office.")


@message
def too_many_wrong_pins(wait: Message) -> str:
    return _("Too many wrong PINs. Wait {wait}, then try again.")


@message
def wrong_pin_wait(wait: Message) -> str:
    return _("Wrong PIN. Wait {wait}, then try again.")


@message
def wrong_pin() -> str:
    return _("Wrong PIN. Type it again.")


@message
def seconds(count: int) -> str:
    return ngettext("{count} second", "{count} seconds", count)


@message
def minutes(count: int) -> str:
    return ngettext("{count} minute", "{count} minutes", count)


@message
def bad_tablet_name() -> str:
    return _("Type a name of 1 to 30 letters for the tablet.")


@message
def no_such_person() -> str:
    return _("Person not found. Go back and choose a name.")


@message
def no_owner_on_duty() -> str:
    return _("The shop has no owner on duty. Restore a backup that has one.")


@message
def nobody_called(name: str, names: Sequence[str]) -> str:
    return _("Nobody here is called “{name}”. The names are {names}.")


@message
def name_taken(name: str) -> str:
    return _("There is already a {name}. Choose another name.")


@message
def first_pin_at_the_machine() -> str:
    return _("The first PIN is set at the machine itself. Open this page in a browser there.")
