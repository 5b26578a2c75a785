"""The stages of a cure, and the timers at the foot of every page."""

from __future__ import annotations

from .message import Soon, message
from .message import gettext as _


@message
def no_temperature() -> str:
    return _("No temperature yet. Enter the temperature at the bench.")


# The stages of a glue-up. -----------------------------------------------------------------------


@message
def fixtured_from(at: Soon) -> str:
    return _("Holds on its own from {at}.")


@message
def fixtured_since(at: Soon) -> str:
    return _("Holds on its own since {at}.")


@message
def handle_from(at: Soon) -> str:
    return _("May be moved with care from {at}.")


@message
def handle_since(at: Soon) -> str:
    return _("May be moved with care since {at}.")


@message
def cured_at(at: Soon) -> str:
    return _("Cured {at}.")


@message
def cured_since(at: Soon) -> str:
    return _("Cured since {at}.")


@message
def paused() -> str:
    return _("Cure paused: too cold")


@message
def paused_sentence() -> str:
    return _("Cure paused: too cold.")


# Timers. ----------------------------------------------------------------------------------------


@message
def runs(kind: str) -> str:
    """What a timer counts, as a label."""
    return {
        "open": _("cement open"),
        "fixture": _("until it holds on its own"),
        "handling": _("until it may be moved"),
        "cure": _("curing"),
    }[kind]


@message
def time_left(kind: str) -> str:
    """The same after the time that is left."""
    return {
        "open": _("of open time"),
        "fixture": _("until it holds on its own"),
        "handling": _("until it may be moved"),
        "cure": _("until cured"),
    }[kind]


@message
def ended(kind: str) -> str:
    """What is shown, after the sign's name, when a timer ends."""
    return {
        "open": _("is out of open time"),
        "fixture": _("holds on its own"),
        "handling": _("may be moved with care"),
        "cure": _("is cured"),
    }[kind]


@message
def timer_paused() -> str:
    return _("cure paused: too cold")
