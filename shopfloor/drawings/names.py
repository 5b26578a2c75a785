"""What people call the things in a drawing.

Owns the difference between a name that somebody gave and one that a program made up. Must not know about geometry.
"""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

from .scan import tag_of

_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_GROUPMODE = "{http://www.inkscape.org/namespaces/inkscape}groupmode"
_COUNTED = (
    "path|rect|rectangle|circle|ellipse|polygon|polyline|line|g|group|use|svg|svgid|xmlid|layer|shape|object|clip|"
    "clippath|vector|star|text|tspan|flowroot|image|symbol|defs|compound|curve|union|subtract|glyph|surface"
)
_BARE = "path|g|svg|use|group|layer|vector|union|subtract|shape"
_MACHINE_MADE = re.compile(
    rf"(?:{_COUNTED})?[-_. ]*\d[\d._-]*|{_BARE}|[-_.]*|[0-9a-f]{{8}}-[0-9a-f-]{{27}}", re.IGNORECASE
)
_SIGN = re.compile(r"sign(?:[\s_:.-]+(?P<rest>.+)|(?P<number>\d.*))", re.IGNORECASE | re.DOTALL)
_LONGEST = 80


def given_name(node: Element) -> str | None:
    """The name that a person gave to an element: its label, its title, or its id unless a program made that."""
    for name in (node.get(_LABEL), _title(node), _given_id(node)):
        if name and (tidy := " ".join(name.split())):
            return tidy[:_LONGEST]
    return None


def sign_name(node: Element) -> str | None:
    """'gate board' for a group called 'sign gate board', by its label, title or id; else None."""
    for name in (node.get(_LABEL), _title(node), _decoded(node.get("id", ""))):
        match = _SIGN.fullmatch(" ".join((name or "").split()))
        if match:
            return (match["rest"] or match["number"]).strip()[:_LONGEST]
    return None


def is_layer(node: Element) -> bool:
    """Whether a drawing program keeps this group as a layer."""
    return node.get(_GROUPMODE) == "layer" or node.get("id", "").lower().startswith("layer")


def spoken(node: Element) -> str:
    """The best words for an element in a sentence: its name, else its id, else its kind."""
    name = given_name(node) or node.get("id", "")[:_LONGEST]
    return f"'{name}'" if name else f"without a name ({tag_of(node)})"


def _title(node: Element) -> str | None:
    for child in node:
        if tag_of(child) == "title":
            return "".join(child.itertext())
    return None


def _given_id(node: Element) -> str | None:
    raw = node.get("id", "").strip()
    name = _decoded(raw)
    return None if _MACHINE_MADE.fullmatch(raw) or _MACHINE_MADE.fullmatch(name) else name


def _decoded(name: str) -> str:
    """Some programs write a blank in an id as _x20_, and add _1_ to a name that is taken."""
    plain = re.sub(r"_x([0-9A-Fa-f]{2,4})_", lambda match: chr(int(match[1], 16)), name)
    return re.sub(r"(?<=\w)_\d+_$", "", plain)
