"""The caution that is shown wherever somebody is about to cut: on screens and on paper."""

from __future__ import annotations

from .message import gettext as _
from .message import message


@message
def caution() -> str:
    return _(
        "The data sheet, the machine's manual, local rules and trained people decide what is "
        "safe to cut. Guards in place, eyes and ears protected, dust extraction on. Lock out "
        "the machine before hands go in. Lift large or heavy sheets with two people."
    )
