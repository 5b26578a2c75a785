"""Numbers, lengths, viewports and transforms as SVG writes them.

Owns the units. Inside, a length is in user units (px, 96 to the inch) until the page's matrix makes millimetres of
it. Must not know about styles or shapes.
"""

from __future__ import annotations

import math
import re

from svgelements import Matrix

MM_PER_PX = 25.4 / 96
MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "ft": 304.8,
    "pt": 25.4 / 72,
    "px": MM_PER_PX,
}
# CSS Values and Units Level 4, section 6.2, absolute lengths: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc; 1 Q = 1/4 mm.
_PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}

# Atomic, and possessive where it repeats: else a long row of digits is tried in every way that it can be split.
NUMBER = r"(?>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_LENGTH = re.compile(rf"({NUMBER})\s*([a-zA-Z]*|%)")
_NUMBERS = re.compile(rf"\s*(?:{NUMBER}\s*+,?\s*+)*+")
_TRANSFORM = re.compile(r"(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)\s*,?\s*")
_COUNTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}


class Unreadable(ValueError):
    """A value that is no length, list of numbers or transform. The text is the value."""


def length(text: str, whole: float = math.nan) -> float:
    """A length in px; `whole` is what 100 % stands for. Raises Unreadable."""
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        raise Unreadable(text)
    unit = match[2].lower()
    value = float(match[1]) * (whole / 100 if unit == "%" else _PX.get(unit, math.nan))
    if not math.isfinite(value):
        raise Unreadable(text)
    return value


def numbers(text: str) -> list[float]:
    """A list of plain numbers, set off by commas or blanks. Raises Unreadable."""
    if _NUMBERS.fullmatch(text) is None:
        raise Unreadable(text)
    values = [float(one) for one in re.findall(NUMBER, text)]
    if not all(map(math.isfinite, values)):
        raise Unreadable(text)
    return values


def transform(text: str | None, origin: str | None = None) -> Matrix:
    """The matrix of a `transform`, about `transform-origin` where one is set. Raises Unreadable."""
    if not text or text.strip().lower() == "none":
        return Matrix()
    plain = re.sub(r"(?<=\d)(px|deg)\b", "", text.strip())
    rest = plain
    while rest:
        match = _TRANSFORM.match(rest)
        if match is None or len(numbers(match[2].strip())) not in _COUNTS[match[1]]:
            raise Unreadable(text)
        rest = rest[match.end() :]
    try:
        matrix = Matrix(plain)
    except (ValueError, OverflowError) as error:
        raise Unreadable(text) from error
    if origin:
        x, y, *_ = [*map(length, origin.split()), 0.0, 0.0]
        matrix = Matrix.translate(-x, -y) * matrix * Matrix.translate(x, y)
    if not all(
        isinstance(value, (int, float)) and math.isfinite(value) for value in entries(matrix)
    ):
        raise Unreadable(text)
    return matrix


def entries(matrix: Matrix) -> tuple[float, float, float, float, float, float]:
    """(a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f."""
    return matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f


def share(text: str) -> float:
    """An opacity from 0 to 1, written as a number or in percent; 1 where it is neither, as the standard says."""
    try:
        return min(max(length(text, 1.0), 0.0), 1.0)
    except Unreadable:
        return 1.0


def view_box(text: str | None) -> tuple[float, float, float, float] | None:
    """(left, top, width, height) of a viewBox in its own units, None where there is none. Raises Unreadable."""
    if text is None or not text.strip():
        return None
    values = numbers(text)
    if len(values) != 4 or values[2] <= 0 or values[3] <= 0:
        raise Unreadable(text)
    left, top, width, height = values
    return left, top, width, height


def fitted(
    box: tuple[float, float, float, float] | None, width: float, height: float, keep: str | None
) -> Matrix:
    """The matrix that fits a viewBox into a viewport of width × height px (SVG 2, section 8.2)."""
    if box is None:
        return Matrix()
    left, top, wide, high = box
    sx, sy = width / wide, height / high
    words = (keep or "xMidYMid meet").replace("defer", "").split() or ["xMidYMid"]
    if words[0] == "none":
        return Matrix(sx, 0, 0, sy, -left * sx, -top * sy)
    scale = max(sx, sy) if words[-1] == "slice" else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    align = words[0] if re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0]) else "xMidYMid"
    dx = (width - wide * scale) * share[align[1:4]]
    dy = (height - high * scale) * share[align[5:8]]
    return Matrix(scale, 0, 0, scale, dx - left * scale, dy - top * scale)
