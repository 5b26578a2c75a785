"""Path data (SVG 2, section 9.3), read by fontTools and drawn with a pen; arcs by their centre, as svgelements works it out.

Owns the check that the whole of it is path data, since the library passes over what is none without a word, and the writing of
numbers that it does not read ('5.', '007'). Must not flatten anything: that is the pen's.
"""

from __future__ import annotations

import re

from fontTools.svgLib.path import parse_path
from svgelements import Arc

from .lengths import NUMBER, Unreadable
from .pen import Pen, Point

_DATA = re.compile(rf"\s*(?:[Mm](?:[MmZzLlHhVvCcSsQqTtAa\s,]|{NUMBER})*+)?")
_NUMBERS = re.compile(rf"([MmLlHhVvCcSsQqTt])((?:[\s,]|{NUMBER})+)")
_NUMBER = re.compile(NUMBER)
_BARE_POINT = re.compile(r"(?<=\d)\.(?!\d)")


def draw_path(pen: Pen, data: str) -> None:
    """Draws the subpaths of a `d`. Raises Unreadable where it breaks the grammar."""
    if data.strip() == "none":
        return
    match = _DATA.match(data)
    if match is None or match.end() < len(data):
        at = match.end() if match else 0
        raise Unreadable(data[max(at - 5, 0) : at + 20])
    plain = " ".join(
        _BARE_POINT.sub("", _NUMBERS.sub(_spaced, data)).split()
    )  # arcs keep their flags as they stand
    try:
        parse_path(plain, _Hand(pen))
    except (
        ArithmeticError,
        ValueError,
        IndexError,
        TypeError,
    ) as error:  # numbers too few, or beyond reason
        raise error if isinstance(error, Unreadable) else Unreadable(data[:40]) from None


def _spaced(command: re.Match[str]) -> str:
    letter: str = command[1]
    return letter + " ".join(repr(float(number)) for number in _NUMBER.findall(command[2]))


class _Hand:
    """Our pen under the names that the library calls."""

    def __init__(self, pen: Pen) -> None:
        self._pen = pen
        self._at: Point = (0.0, 0.0)
        self.closePath = pen.close

    def moveTo(self, to: Point) -> None:
        self._pen.move(*to)
        self._at = to

    def lineTo(self, to: Point) -> None:
        self._pen.line(*to)
        self._at = to

    def curveTo(self, *points: Point) -> None:
        self._pen.bezier(*points)
        self._at = points[-1]

    qCurveTo = curveTo  # of one control point: path data has no others

    def arcTo(
        self, rx: float, ry: float, turn: float, is_large: bool, is_clockwise: bool, to: Point
    ) -> None:
        start, self._at = self._at, to
        if start == to:
            return
        if not (rx and ry):  # SVG 2, section 9.5.1: without a radius it is a straight line
            self._pen.line(*to)
            return
        try:
            arc = Arc(start, abs(rx), abs(ry), turn, is_large, is_clockwise, to)
            c, u, v = arc.center, arc.prx - arc.center, arc.pry - arc.center
            self._pen.arc(
                (c.x, c.y), (u.x, u.y), (v.x, v.y), float(arc.get_start_t()), float(arc.sweep)
            )
        except AttributeError as error:  # no centre: its numbers are beyond reason
            raise Unreadable(f"A {rx} {ry}") from error
        self._pen.end_exactly(*to)

    def endPath(self) -> None:
        """An open subpath ends; the pen ends it by itself with the next one."""
