"""Path data (SVG 2, section 9.3), read by fontTools and drawn with a pen.

Owns the check that the whole of it is path data, since the library passes over what is none without a word, and the writing of
numbers that it does not read ('5.', '007'). Must not flatten anything: that is the pen's.
"""

from __future__ import annotations

import re

from fontTools.svgLib.path import parse_path

from .lengths import NUMBER, Unreadable
from .pen import Pen

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
    )  # arcs keep their flags unchanged
    try:
        parse_path(plain, pen)
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
