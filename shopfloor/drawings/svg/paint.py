"""What a thing is painted with: colours as CSS writes them, and gradients that are one colour in truth.

Owns the reading of paints. Must not know about the cascade or about geometry.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from tinycss2.color4 import Color, parse_color

from .scan import href_of, tag_of

_SERVER = re.compile(r"url\(\s*['\"]?#([^'\")]+)['\"]?\s*\)\s*(.*)", re.DOTALL)
_STOP = re.compile(r"(?:^|;)\s*stop-color\s*:\s*([^;]+)")


@dataclass(frozen=True)
class Paint:
    """A plain colour '#rrggbb' and how much of it is seen, from 0 to 1."""

    colour: str
    alpha: float


NOTHING = Paint("#000000", 0.0)


def paint_of(value: str, current: str = "black") -> Paint | None:
    """The plain colour of a value, None where it is none. `current` is what currentColor stands for."""
    if value.strip().lower() == "none":
        return NOTHING
    # SVG 1.1, section 11.2: behind the colour for the screen there may be one for the press
    word, _, _ = value.partition(" icc-color(")
    try:
        colour = parse_color(word)
        if colour == "currentcolor":
            colour = parse_color(current)
        if not isinstance(colour, Color) or colour.space not in ("srgb", "hsl", "hwb"):
            return None
        *channels, alpha = colour.to("srgb")
        eights = [int(min(max(channel, 0.0), 1.0) * 255 + 0.5) for channel in channels]
    except (ValueError, TypeError):  # too few values, or beyond reason
        return None
    return Paint("#{:02x}{:02x}{:02x}".format(*eights), alpha)


def server_of(value: str) -> str | None:
    """The id of the gradient or pattern that a paint points to."""
    match = _SERVER.fullmatch(value.strip())
    return match[1] if match else None


def solid(value: str, ids: dict[str, Element]) -> str:
    """The value itself; for a gradient whose stops are all of one colour, that colour; for a lost one, what is
    given to fall back to."""
    match = _SERVER.fullmatch(value.strip())
    if match is None:
        return value
    server = ids.get(match[1])
    if server is None:
        return match[2] or value
    for _ in range(8):  # gradients borrow their stops from one another
        colours = {_stop_colour(stop) for stop in server if tag_of(stop) == "stop"}
        if colours or (server := ids.get((href_of(server) or "")[1:])) is None:
            return colours.pop() if len(colours) == 1 else value
    return value


def _stop_colour(stop: Element) -> str:
    styled = _STOP.search(stop.get("style", ""))
    return styled[1].strip() if styled else stop.get("stop-color", "black")
