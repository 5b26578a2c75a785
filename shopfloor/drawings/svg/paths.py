"""Path data (SVG 2, section 9.3) read and drawn with a pen.

Owns the grammar, and what each command does. Must not flatten anything: that is the pen's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from .lengths import NUMBER, Unreadable
from .pen import Pen, Point

_DATA = re.compile(rf"\s*(?:[Mm](?:[MmZzLlHhVvCcSsQqTtAa\s,]|{NUMBER})*+)?")
_COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
_NUMBER = re.compile(NUMBER)
_GAP = r"[\s,]*"
_ARC = re.compile(_GAP + _GAP.join([rf"({NUMBER})"] * 3 + ["([01])"] * 2 + [rf"({NUMBER})"] * 2))
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}


def draw_path(pen: Pen, data: str) -> None:
    """Draws the subpaths of a `d`. Raises Unreadable where it breaks the grammar."""
    if data.strip() == "none":
        return
    match = _DATA.match(data)
    if match is None or match.end() < len(data):
        at = match.end() if match else 0
        raise Unreadable(data[max(at - 5, 0) : at + 20])
    hand = _Hand(pen)
    try:
        for letter, text in _COMMAND.findall(data):
            hand.draw(letter, text)
    except (ArithmeticError, ValueError) as error:  # numbers beyond reason
        raise error if isinstance(error, Unreadable) else Unreadable(data[:40]) from None


class _Hand:
    """Where the pen is, where its subpath began, and how its last curve came in."""

    def __init__(self, pen: Pen) -> None:
        self._pen = pen
        self._at: Point = (0.0, 0.0)
        self._start: Point = (0.0, 0.0)
        self._control: Point | None = None  # of the last curve, for a smooth one after it
        self._curve = ""

    def draw(self, letter: str, text: str) -> None:
        """One command with all its sets of numbers."""
        name = letter.upper()
        if name == "Z":
            self._pen.close()
            self._at, self._curve = self._start, ""
            return
        for values in _sets(name, text):
            x, y = self._at if letter.islower() else (0.0, 0.0)
            self._draw_one(name, values, x, y)
            if name == "M":
                name = "L"  # further pairs after a move are lines

    def _draw_one(self, name: str, values: list[float], x: float, y: float) -> None:
        """`x`, `y` is what the numbers count from."""
        curve = ""
        if name == "H":
            self._line(x + values[0], self._at[1])
        elif name == "V":
            self._line(self._at[0], y + values[0])
        elif name == "L":
            self._line(x + values[0], y + values[1])
        elif name == "M":
            self._at = self._start = x + values[0], y + values[1]
            self._pen.move(*self._at)
        elif name == "A":
            self._arc(values, (x + values[5], y + values[6]))
        else:
            points = [(x + values[n], y + values[n + 1]) for n in range(0, len(values), 2)]
            curve = "C" if name in "CS" else "Q"
            if name in "ST":
                points.insert(0, self._mirrored(curve))
            self._pen.bezier(*points)
            self._control, self._at = points[-2], points[-1]
        self._curve = curve

    def _line(self, x: float, y: float) -> None:
        self._pen.line(x, y)
        self._at = x, y

    def _mirrored(self, curve: str) -> Point:
        if self._curve != curve:
            return self._at
        return 2 * self._at[0] - self._control[0], 2 * self._at[1] - self._control[1]

    def _arc(self, values: list[float], end: Point) -> None:
        """From the ends of an arc to its centre (SVG 2, appendix B.2.4); radii that are too small are enlarged."""
        start, self._at = self._at, end
        rx, ry, turn = abs(values[0]), abs(values[1]), math.radians(values[2])
        if start == end:
            return
        if not (rx and ry):  # section 9.5.1: without a radius it is a straight line
            self._pen.line(*end)
            return
        cos, sin = math.cos(turn), math.sin(turn)
        dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
        u, v = (cos * dx + sin * dy) / rx, (cos * dy - sin * dx) / ry  # half the chord, on a circle of one
        half = math.hypot(u, v)
        if half > 1:
            rx, ry, u, v, half = rx * half, ry * half, u / half, v / half, 1.0
        rise = math.sqrt(max(1 / (half * half) - 1, 0.0)) * (1 if values[3] != values[4] else -1)
        cu, cv = rise * v, -rise * u
        centre = (
            cos * rx * cu - sin * ry * cv + (start[0] + end[0]) / 2,
            sin * rx * cu + cos * ry * cv + (start[1] + end[1]) / 2,
        )
        first = math.atan2(v - cv, u - cu)
        sweep = (math.atan2(-v - cv, -u - cu) - first) % math.tau
        sweep -= 0 if values[4] else math.tau
        self._pen.arc(centre, (rx * cos, rx * sin), (-ry * sin, ry * cos), first, sweep)
        self._pen.end_exactly(*end)


def _sets(name: str, text: str) -> Iterator[list[float]]:
    if name == "A":  # its two flags may stand without a gap
        yield from _arcs(text)
        return
    values = [*map(float, _NUMBER.findall(text))]
    count = _COUNTS[name]
    if not values or len(values) % count:
        raise Unreadable(f"{name} {text[:30]}")
    for n in range(0, len(values), count):
        yield values[n : n + count]


def _arcs(text: str) -> Iterator[list[float]]:
    at = 0
    while (match := _ARC.match(text, at)) is not None:
        yield [*map(float, match.groups())]
        at = match.end()
    if at == 0 or text[at:].strip(" \t\r\n\f,"):
        raise Unreadable(f"A {text[:30]}")
