"""The names of SVG elements: a label, a title or an id."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

from ...wording import reading as wording
from ...wording.message import Message
from ..names import LONGEST, is_machine_made, sign_called, tidy
from .scan import tag_of

_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_GROUPMODE = "{http://www.inkscape.org/namespaces/inkscape}groupmode"


def given_name(node: Element) -> str | None:
    """The name that a person gave to an element: its label, its title, or its id unless a program made that."""
    names = (node.get(_LABEL), _title(node), _given_id(node))
    return next((tidy(name) for name in names if tidy(name)), None)


def sign_name(node: Element) -> str | None:
    """'gate board' for a group called 'sign gate board', by its label, title or id; else None."""
    names = (node.get(_LABEL), _title(node), _decoded(node.get("id", "")))
    return next((sign_called(name) for name in names if sign_called(name)), None)


def is_layer(node: Element) -> bool:
    """Whether a drawing program keeps this group as a layer."""
    return node.get(_GROUPMODE) == "layer" or node.get("id", "").lower().startswith("layer")


def spoken(node: Element) -> Message:
    """The best words for an element in a sentence: its name, else its id, else its kind."""
    name = given_name(node) or node.get("id", "")[:LONGEST]
    return wording.named(name) if name else wording.unnamed(tag_of(node))


def _title(node: Element) -> str | None:
    for child in node:
        if tag_of(child) == "title":
            return "".join(child.itertext())
    return None


def _given_id(node: Element) -> str | None:
    raw = node.get("id", "").strip()
    name = _decoded(raw)
    return None if is_machine_made(raw) or is_machine_made(name) else name


def _decoded(name: str) -> str:
    """Some programs write a blank in an id as _x20_, and add _1_ to a name that is taken."""
    plain = re.sub(r"_x([0-9A-Fa-f]{2,4})_", lambda match: chr(int(match[1], 16)), name)
    return re.sub(r"(?<=\w)_\d+_$", "", plain)
