"""What a bench's temperature and humidity may be, as typed or as a thermometer gives them."""

from __future__ import annotations

import math

from ...wording import climate as wording
from ..errors import Refused

BELIEVED_C = (-40.0, 80.0)  # no bench is colder or warmer: what is typed beyond is a slip


def celsius(text: str) -> float:
    """The temperature that was typed, in °C: '21', '21,5', or in Fahrenheit '70 F', '70°F'. Raises Refused."""
    tidy = text.strip().upper().replace("°", " ").replace(",", ".")
    figure, unit = (tidy[:-1], tidy[-1]) if tidy.endswith(("C", "F")) else (tidy, "C")
    try:
        degrees = float(figure)
    except ValueError as error:
        raise Refused(wording.not_a_temperature()) from error
    # the definition of the degree Fahrenheit, NIST SP 811
    return checked_temperature(round((degrees - 32) / 1.8, 3) if unit == "F" else degrees)


def checked_temperature(celsius: float) -> float:
    """The temperature at a bench in °C. Raises Refused for what is no number, and for what no bench has."""
    if not (math.isfinite(celsius) and BELIEVED_C[0] <= celsius <= BELIEVED_C[1]):
        raise Refused(wording.not_a_temperature())
    return celsius


def checked_humidity(percent: float) -> float:
    """Relative humidity in per cent. Raises Refused outside 0 to 100."""
    if not (math.isfinite(percent) and 0 <= percent <= 100):
        raise Refused(wording.not_a_humidity())
    return percent
