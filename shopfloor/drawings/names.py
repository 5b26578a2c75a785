"""What people call the things in a drawing.

Owns the difference between a name that somebody gave and one that a program made up. Must not know about file formats.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

LONGEST = 80
_COUNTED = (
    "path|rect|rectangle|circle|ellipse|polygon|polyline|line|g|group|use|svg|svgid|xmlid|layer|shape|object|clip|"
    "clippath|vector|star|text|tspan|flowroot|image|symbol|defs|compound|curve|union|subtract|glyph|surface"
)
_BARE = "path|g|svg|use|group|layer|vector|union|subtract|shape"
_MACHINE_MADE = re.compile(
    rf"(?:{_COUNTED})?[-_. ]*\d[\d._-]*|{_BARE}|[-_.]*|[0-9a-f]{{8}}-[0-9a-f-]{{27}}", re.IGNORECASE
)
_SIGN = re.compile(r"sign(?:[\s_:.-]+(?P<rest>.+)|(?P<number>\d.*))", re.IGNORECASE | re.DOTALL)


def tidy(name: str | None) -> str | None:
    """The name on one line, no longer than a label takes; None where nothing is left of it."""
    return " ".join((name or "").split())[:LONGEST] or None


def is_machine_made(name: str) -> bool:
    """True for 'path12', 'Layer 3' and the like: nobody gave that."""
    return _MACHINE_MADE.fullmatch(name) is not None


def sign_called(name: str | None) -> str | None:
    """'gate board' for 'sign gate board', the name of a group that is one sign; else None."""
    match = _SIGN.fullmatch(" ".join((name or "").split()))
    return (match["rest"] or match["number"]).strip()[:LONGEST] if match else None


@dataclass(frozen=True, eq=False)
class Group:
    """One group or block as it is drawn: one that is used twice is two of these."""

    name: str | None
    sign: str | None
    is_clone: bool = False


def name_of(groups: tuple[Group, ...], held: Counter[Group], own: str | None = None) -> str | None:
    """A clone's name before its original's own, else that of the nearest group that holds the outline alone."""
    alone = [group for group in reversed(groups) if held[group] == 1 and group.name]
    clones = [group.name for group in alone if group.is_clone]
    return next(filter(None, [*clones, own, *(group.sign or group.name for group in alone)]), None)


def sign_of(groups: tuple[Group, ...]) -> str | None:
    """The sign that the nearest group is called after."""
    return next((group.sign for group in reversed(groups) if group.sign), None)
