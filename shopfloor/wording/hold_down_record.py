"""What the shop lost at the router, and whether that was forecast: the page in Office."""

from __future__ import annotations

from .message import (
    FinePercent,
    Message,
    Number,
    OneDecimal,
    Percent,
    PercentFigure,
    Vacuum,
    message,
    ngettext,
)
from .message import gettext as _


@message
def title() -> str:
    return _("What we lost")


@message
def pump_as_read(pump: Message, vacuum: Vacuum) -> str:
    return _("{pump}, {vacuum} read")


@message
def pump_as_usual(pump: Message, vacuum: Vacuum) -> str:
    return _("{pump}, usual {vacuum}")


@message
def share(share: FinePercent) -> str:
    return _("{share}")


@message
def tick(share: Percent) -> str:
    return _("{share}")


@message
def forecast_band(low: PercentFigure, high: Percent) -> str:
    return _("{low} to {high}")


@message
def chart_row(share: Message, between: Message) -> str:
    return _("{share}, between {between}")


@message
def more_than_forecast(lost: Number, expected: OneDecimal) -> str:
    return _(
        "Worse than forecast: {lost} moved or chipped, {expected} expected. The next sheets' "
        "advice allows for it."
    )


@message
def fewer_than_forecast(lost: Number, expected: OneDecimal) -> str:
    return _(
        "Better than forecast: {lost} moved or chipped, {expected} expected. The next sheets' "
        "advice allows for it."
    )


@message
def too_few_to_tell(lost: Number, expected: OneDecimal) -> str:
    return _("Too early to tell: {lost} moved or chipped, {expected} expected.")


@message
def as_forecast(lost: Number, expected: OneDecimal) -> str:
    return _("As forecast: {lost} moved or chipped, {expected} expected.")


@message
def of_most_pieces(pieces: Number, band: Message, share: Message) -> str:
    return ngettext(
        "Of {pieces} piece with a forecast of {band}, {share} moved or chipped.",
        "Of {pieces} pieces with a forecast of {band}, {share} moved or chipped.",
        int(pieces),
    )
