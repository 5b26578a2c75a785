"""Which fill, stroke and visibility an SVG element has: attributes, style sheets, inheritance.

Owns the cascade (CSS Cascading and Inheritance Level 4), as far as drawings use it; tinycss2 finds the rules and cssselect2 what
their selectors match. Must not know about geometry, nor read a colour: that is done in `paint`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from typing import Any
from xml.etree.ElementTree import Element

import tinycss2
from cssselect2 import ElementWrapper, Matcher, SelectorError, compile_selector_list

from .scan import tag_of

INITIAL = {
    "fill": "black",
    "stroke": "none",
    "fill-rule": "nonzero",
    "color": "black",
    "visibility": "visible",
    "fill-opacity": "1",
    "stroke-opacity": "1",
}
_OWN = (
    "display",
    "opacity",
    "overflow",
    "clip-path",
    "mask",
    "transform",
    "transform-origin",
)  # not handed down
_READ = frozenset((*INITIAL, *_OWN))

_SCREEN = re.compile(r"((only\s+)?(all|screen)\b[\w\s,]*)?", re.IGNORECASE)
_MOST_TOKENS = 40  # of one selector: a longer one takes too long to match

_Declarations = dict[str, tuple[str, bool]]  # a property: its value, and whether that is !important


class StyleSheet:
    """All <style> elements of a drawing together."""

    def __init__(self, root: Element, left_out: Callable[[str], None]) -> None:
        """`left_out` gets each selector that is not understood."""
        styles = ("".join(node.itertext()) for node in root.iter() if tag_of(node) == "style")
        self._matcher = Matcher()
        rules = tinycss2.parse_stylesheet("\n".join(styles), skip_comments=True)
        for selector, words in _selectors(rules, left_out):
            try:
                self._matcher.add_selector(_compiled(selector), words)
            except Exception:  # the library raises whatever broken selectors lead it to
                left_out(_text(selector))
        self._wrapped: dict[Element, ElementWrapper] = {}
        if self._matcher.order:
            wrapped = ElementWrapper.from_xml_root(root).iter_subtree()
            self._wrapped = {one.etree_element: one for one in wrapped}

    def style_of(self, node: Element, inherited: dict[str, str]) -> dict[str, str]:
        """The properties of a node, with what it inherits."""
        style = {name: inherited[name] for name in INITIAL} | {"display": "inline"}
        own = {
            name: value.strip() for name, value in node.attrib.items() if name in _READ and value
        }
        words = []
        if self._wrapped:
            words = [match[-1] for match in self._matcher.match(self._wrapped[node])]
        words.append(_declarations(node.get("style", "")))
        for is_last_word in (False, True):  # !important goes over all else
            for more in words:
                own |= {
                    name: value for name, (value, strong) in more.items() if strong == is_last_word
                }
        for name, value in own.items():
            word = value.lower()
            if word == "initial" and name in INITIAL:
                style[name] = INITIAL[name]
            elif word not in ("inherit", "unset", "initial"):
                style[name] = value
        if style["color"].lower() == "currentcolor":
            style["color"] = inherited["color"]
        return style


def _declarations(text: str) -> _Declarations:
    words = {}
    for one in text.split(";"):
        name, colon, value = one.partition(":")
        name, value = name.strip().lower(), value.strip()
        if colon and name in _READ and value:
            plain = re.sub(r"\s*!\s*important$", "", value, flags=re.IGNORECASE)
            words[name] = (plain, plain != value)
    return words


def _selectors(
    rules: Iterable[Any], left_out: Callable[[str], None]
) -> Iterator[tuple[list[Any], _Declarations]]:
    """(selector, declarations) of each plain rule, those for a screen too; other at-rules are passed over."""
    for rule in rules:
        if rule.type == "qualified-rule":
            words = _declarations(_text(rule.content))
            for is_comma, parts in groupby(rule.prelude, lambda part: part == ","):
                selector = list(parts)
                if not is_comma and _text(selector):
                    yield selector, words
        elif rule.type == "at-rule" and rule.lower_at_keyword == "media":
            head = _text(rule.prelude)
            if _SCREEN.fullmatch(head):
                yield from _selectors(tinycss2.parse_rule_list(rule.content or []), left_out)
            elif "print" not in head:
                left_out(f"@media {head}")


def _compiled(selector: list[Any]) -> Any:
    """What a selector matches. Raises SelectorError for what drawings do without: pseudo-classes and siblings further on."""
    if len(selector) > _MOST_TOKENS or any(part in (":", "~") for part in selector):
        raise SelectorError("too much")
    (compiled,) = compile_selector_list(selector)
    return compiled


def _text(tokens: Iterable[Any]) -> str:
    text: str = tinycss2.serialize(tokens)
    return text.strip()
