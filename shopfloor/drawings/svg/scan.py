"""The first look at an SVG file: is it one, and is it small and tame enough to be read?

Owns the parsing of the XML, the limits on it and the refusal of whatever points outside the file. Nothing outside
the file is ever opened. Must not work out any geometry.
"""

from __future__ import annotations

from typing import Any
from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from defusedxml.common import DefusedXmlException, EntitiesForbidden
from defusedxml.ElementTree import DefusedXMLParser

from ...domain.errors import Refused
from ...wording import reading as wording
from ..unfolding import Contents, Unfolding

MAX_ELEMENTS = 200_000
MAX_DEPTH = 64
LONGEST_WORD = 128  # letters that an entity may stand for
SVG = "{http://www.w3.org/2000/svg}"
XLINK_HREF = "{http://www.w3.org/1999/xlink}href"

_TOO_MANY = wording.too_many_elements(MAX_ELEMENTS)
_TOO_DEEP = wording.groups_too_deep(MAX_DEPTH)


def load(data: bytes) -> tuple[Element, dict[str, Element]]:
    """The root element of an SVG file that is safe to walk, and all elements by their ids. Raises Refused."""
    root = _parsed(data)
    if tag_of(root) != "svg":
        raise Refused(wording.xml_but_no_svg())
    ids = by_id(root)
    _refuse_outside_references(root)
    _refuse_too_much(root, ids)
    return root, ids


def tag_of(node: Element) -> str:
    """The plain name of an SVG element; '' for elements of other vocabularies. Files without a namespace pass."""
    if node.tag.startswith(SVG):
        return node.tag[len(SVG) :]
    return "" if node.tag.startswith("{") else node.tag


def href_of(node: Element) -> str | None:
    """What an element points to; the newer spelling wins, as SVG 2 says."""
    return node.get("href", node.get(XLINK_HREF))


def by_id(root: Element) -> dict[str, Element]:
    """Every element that has an id; the first one wins."""
    found: dict[str, Element] = {}
    for node in root.iter():
        if "id" in node.attrib:
            found.setdefault(node.attrib["id"], node)
    return found


class _Counting(TreeBuilder):
    """Builds the tree and stops as soon as it grows past the limits, before memory does."""

    def __init__(self) -> None:
        super().__init__()
        self.count = self.level = 0

    def start(self, tag: str, attrs: dict[str, str]) -> Element:
        self.count += 1
        self.level += 1
        if self.count > MAX_ELEMENTS:
            raise Refused(_TOO_MANY)
        if self.level > MAX_DEPTH:
            raise Refused(_TOO_DEEP)
        return super().start(tag, attrs)

    def end(self, tag: str) -> Element:
        self.level -= 1
        return super().end(tag)

    def pi(self, target: str, text: str | None = None) -> Any:
        if target == "xml-stylesheet":
            raise Refused(wording.styles_in_another_file())
        return None


class _Parser(DefusedXMLParser):  # type: ignore[misc]  # the library carries no types
    """Lets through the harmless use of entities that some exports write: short words for namespaces and styles, with no
    other entity and no element in them. What they unfold to is held by the worker's memory."""

    def defused_entity_decl(
        self,
        name: str,
        is_parameter_entity: bool,
        value: str | None,
        base: str,
        sysid: str,
        pubid: str,
        notation_name: str,
    ) -> None:
        words = value or ""
        is_short = value is not None and len(words) <= LONGEST_WORD
        if is_parameter_entity or not is_short or set(words) & set("&%<"):
            raise EntitiesForbidden(name, value, base, sysid, pubid, notation_name)


def _parsed(data: bytes) -> Element:
    parser = _Parser(target=_Counting())
    try:
        parser.feed(data)
        root: Element = parser.close()
        return root
    except DefusedXmlException:
        raise Refused(wording.xml_entities()) from None
    except ParseError as error:
        line, column = error.position
        raise Refused(wording.broken_svg(line, column)) from None
    except (
        ValueError,
        LookupError,
        TypeError,
    ):  # an encoding that nobody knows, a name that is none
        raise Refused(wording.undecodable()) from None


def _refuse_outside_references(root: Element) -> None:
    for node in root.iter():
        tag = tag_of(node)
        href = (href_of(node) or "").strip()
        if tag == "use" and href and not href.startswith("#"):
            raise Refused(wording.something_in_another_file(href[:60]))
        if tag == "style" and "@import" in "".join(node.itertext()).lower():
            raise Refused(wording.styles_in_another_file())


def _refuse_too_much(root: Element, ids: dict[str, Element]) -> None:
    """Counts what `use` would unfold to."""

    def contents(node: Any) -> Contents:
        inside = list(node)
        if tag_of(node) == "use" and (href := (href_of(node) or "").strip()[1:]) in ids:
            inside.append(ids[href])
        return 1, [(child, 1) for child in inside]

    Unfolding(
        contents,
        MAX_ELEMENTS,
        _TOO_MANY,
        MAX_DEPTH,
        _TOO_DEEP,
        lambda _: wording.part_inside_itself(),
    ).measure(root)
