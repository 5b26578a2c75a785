"""Gluing: the order, the groups, the cement that is needed, a glue-up that is written down, a cure opened early."""

from __future__ import annotations

from .message import gettext as _
from .message import message

# When it was glued. -----------------------------------------------------------------------------


@message
def not_a_time() -> str:
    return _("Type the time as hours and minutes, such as 14:30, or leave it empty for now.")


@message
def glued_in_the_future() -> str:
    return _("That time is still to come. Type the time at which it was glued.")


@message
def glued_too_long_ago() -> str:
    return _(
        "A glue-up must be written down within 24 hours. Ask an owner to open the cure early, with a reason."
    )


# Outside the cement's limits. -------------------------------------------------------------------


@message
def owner_may_override() -> str:
    return _("An owner may go ahead with a reason.")


@message
def only_an_owner_overrides() -> str:
    return _("Only an owner may go ahead.")
