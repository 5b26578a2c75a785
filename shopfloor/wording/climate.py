"""Temperature and humidity at the bench: typed, or read from the shop's thermometer."""

from __future__ import annotations

from .message import Clock, Message, Messages, Number, Soon, message, ngettext
from .message import gettext as _

# What is refused. -------------------------------------------------------------------------------


@message
def not_a_temperature() -> str:
    return _("Type the temperature at the bench in °C, such as 21, or in °F, such as 70 F.")


@message
def not_a_humidity() -> str:
    return _("Humidity must be 0 to 100 %. Read it again.")


@message
def type_the_humidity() -> str:
    return _("Type the humidity in %, such as 45, or leave it empty.")


@message
def humidity() -> str:
    return _("Humidity")


@message
def unknown_source() -> str:
    return _("Reload the page, then type the reading or read the thermometer.")


@message
def choose_the_wrong_reading() -> str:
    return _("Choose the reading that is wrong.")


@message
def already_struck_out() -> str:
    return _("That reading is already crossed out. Nothing to do.")


# The thermometer. -------------------------------------------------------------------------------


@message
def no_thermometer() -> str:
    return _(
        "The shop has no thermometer set up. Type the reading, or ask an owner to set "
        "one up in Settings."
    )


@message
def thermometer_silent() -> str:
    return _("The thermometer does not answer. Check it, or type what it shows.")


@message
def thermometer_unreadable() -> str:
    return _("The thermometer's answer is not a temperature. Check it, or type what it shows.")


@message
def thermometer_failed() -> str:
    return _("The thermometer could not be read. Check it, and tell the owner if it happens again.")


@message
def read_just_now() -> str:
    return _("read from the thermometer now")


@message
def the_thermometer() -> str:
    return _("the thermometer")


@message
def read_at(who: Message | str, at: Clock) -> str:
    return _("{who} at {at}")


# What a reading did. ----------------------------------------------------------------------------


@message
def noted(temperature_c: Number, humidity_percent: Number | None) -> str:
    if humidity_percent is None:
        return _("{temperature_c} °C saved.")
    return _("{temperature_c} °C and {humidity_percent} % saved.")


@message
def struck_out(temperature_c: Number) -> str:
    return _("{temperature_c} °C is crossed out.")


@message
def paused(signs: Messages, count: int) -> str:
    return ngettext("{signs}: cure paused, too cold.", "{signs}: cures paused, too cold.", count)


@message
def end_later(cures: Messages, count: int) -> str:
    return ngettext("1 cure ends later: {cures}.", "{count} cures end later: {cures}.", count)


@message
def end_earlier(cures: Messages, count: int) -> str:
    return ngettext("1 cure ends earlier: {cures}.", "{count} cures end earlier: {cures}.", count)


@message
def now_ends(sign: str, until: Soon) -> str:
    return _("{sign} now {until}")


# The page and its chart. ------------------------------------------------------------------------


@message
def title() -> str:
    return _("Temperature at the bench")


@message
def limit(kind: str, cements: Messages) -> str:
    """A line across the chart."""
    return {
        "coldest": _("minimum for {cements}"),
        "warmest": _("maximum for {cements}"),
        "reference": _("full speed for {cements}"),
    }[kind]


@message
def no_reading_since(since: Soon) -> str:
    return _("No reading since {since}: last one used.")


@message
def no_reading_between(since: Soon, until: Soon) -> str:
    return _("No reading from {since} to {until}: filled in.")


@message
def more_gaps(count: int) -> str:
    return ngettext("And {count} more gap.", "And {count} more gaps.", count)


@message
def chart_in_words(count: int, coldest_c: Number, warmest_c: Number) -> str:
    return ngettext(
        "{count} reading, from {coldest_c} to {warmest_c} °C",
        "{count} readings, from {coldest_c} to {warmest_c} °C",
        count,
    )
