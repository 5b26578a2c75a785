"""What a thing is painted with: colours as CSS writes them, and gradients that are one colour in truth.

Owns the reading of paints. Must not know about the cascade or about geometry.
"""

from __future__ import annotations

import colorsys
import math
import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from svgelements import Color

from .scan import href_of, tag_of

_HEX = re.compile(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})")
_FUNCTION = re.compile(r"(rgb|hsl)a?\(\s*([^()]+?)\s*\)")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?%?")
_HUE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+))(deg|grad|rad|turn)?")
_TURN = {
    None: 360.0,
    "deg": 360.0,
    "grad": 400.0,
    "rad": math.tau,
    "turn": 1.0,
}  # CSS Values 4, section 7.1
_SERVER = re.compile(r"url\(\s*['\"]?#([^'\")]+)['\"]?\s*\)\s*(.*)", re.DOTALL)
_STOP = re.compile(r"(?:^|;)\s*stop-color\s*:\s*([^;]+)")


@dataclass(frozen=True)
class Paint:
    """A plain colour '#rrggbb' and how much of it is seen, from 0 to 1."""

    colour: str
    alpha: float


NOTHING = Paint("#000000", 0.0)


def colour_of(value: str, current: str = "black") -> str | None:
    """'#rrggbb' of a colour, 'none' where nothing is painted, None where it is no plain colour."""
    paint = paint_of(value, current)
    if paint is None:
        return None
    return paint.colour if paint.alpha > 0 else "none"


def paint_of(value: str, current: str = "black") -> Paint | None:
    """The plain colour of a value, None where it is none. `current` is what currentColor stands for."""
    word = " ".join(value.lower().split())
    if word == "currentcolor":
        word = " ".join(current.lower().split())
    word = word.split(" icc-color(")[
        0
    ]  # SVG 1.1, section 11.2: a colour for the press, behind the one for the screen
    if word in ("none", "transparent"):
        return NOTHING
    if _HEX.fullmatch(word):
        return _of_hex(word[1:])
    if (function := _FUNCTION.fullmatch(word)) is not None:
        parts = re.split(r"\s*[\s,/]\s*", function[2])
        return _of_rgb(parts) if function[1] == "rgb" else _of_hsl(parts)
    return _of_name(word) if re.fullmatch(r"[a-z]+", word) else None


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


def _of_hex(digits: str) -> Paint:
    if len(digits) < 6:
        digits = "".join(digit * 2 for digit in digits)
    return Paint(f"#{digits[:6]}", int(digits[6:] or "ff", 16) / 255)


def _of_rgb(parts: list[str]) -> Paint | None:
    if len(parts) not in (3, 4) or not all(_NUMBER.fullmatch(part) for part in parts):
        return None
    red, green, blue = (_share(part, 255) for part in parts[:3])
    return Paint(_hex(red, green, blue), _share(parts[3]) if len(parts) == 4 else 1.0)


def _of_hsl(parts: list[str]) -> Paint | None:
    hue = _HUE.fullmatch(parts[0])
    if (
        hue is None
        or len(parts) not in (3, 4)
        or not all(_NUMBER.fullmatch(part) for part in parts[1:])
    ):
        return None
    saturation, lightness = (
        _share(part, 100) for part in parts[1:3]
    )  # CSS Color 4: plain numbers are percent
    turn = float(hue[1]) / _TURN[hue[2]] % 1
    return Paint(
        _hex(*colorsys.hls_to_rgb(turn, lightness, saturation)),
        _share(parts[3]) if len(parts) == 4 else 1.0,
    )


def _of_name(word: str) -> Paint | None:
    """svgelements reads an unknown name as black, and lacks one that CSS Color 4 has."""
    if word == "rebeccapurple":
        return Paint("#663399", 1.0)
    colour = Color(word)
    if colour.value is None or (
        (colour.red, colour.green, colour.blue) == (0, 0, 0) and word != "black"
    ):
        return None
    return Paint(f"#{colour.red:02x}{colour.green:02x}{colour.blue:02x}", 1.0)


def _share(text: str, whole: float = 1.0) -> float:
    value = float(text[:-1]) / 100 if text.endswith("%") else float(text) / whole
    return min(max(value, 0.0), 1.0)


def _hex(*shares: float) -> str:
    return "#" + "".join(f"{int(value * 255 + 0.5):02x}" for value in shares)
