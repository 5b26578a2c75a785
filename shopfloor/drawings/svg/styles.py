"""Which fill, stroke and visibility an SVG element has: attributes, style sheets, inheritance.

Owns the cascade (CSS Cascading and Inheritance Level 4) and selectors (Selectors Level 4), as far as drawings use
them. Must not know about geometry, nor read a colour: that is done in `paint`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

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

_ATTRIBUTE = (
    r"""\[\s*([a-z][\w:-]*)\s*(?:([~|^$*]?=)\s*(?:"([^"\]]*)"|'([^'\]]*)'|([\w-]+))\s*)?\]"""
)
_SIMPLE = re.compile(rf"([a-z][\w-]*|\*)?((?:[.#][\w-]+|{_ATTRIBUTE})*)", re.IGNORECASE)
_MARKS = re.compile(rf"([.#])([\w-]+)|{_ATTRIBUTE}", re.IGNORECASE)
_WORD = re.compile(r"[>+]|(?:\[[^\]]*\]|[^\s>+\[])+|\S")
_SCREEN = re.compile(r"@media(?:\s+(?:only\s+)?(?:all|screen)\b[\w\s,]*)?\s*", re.IGNORECASE)
_MOST_STEPS = 8


@dataclass(frozen=True)
class _Asked:
    """What a selector asks of one attribute: that it is there, or what it says."""

    name: str
    how: str
    value: str

    def fits(self, node: Element) -> bool:
        text = node.get(self.name)
        if text is None or not self.how:
            return text is not None
        if self.how == "~=":
            return self.value in text.split()
        if self.how == "|=":
            return text == self.value or text.startswith(self.value + "-")
        if self.how == "=":
            return text == self.value
        tries = {"^=": text.startswith, "$=": text.endswith, "*=": text.__contains__}
        return bool(self.value) and tries[self.how](self.value)


@dataclass(frozen=True)
class _Step:
    tag: str | None
    ids: frozenset[str]
    classes: frozenset[str]
    asked: tuple[_Asked, ...]
    after: (
        str  # how it hangs on the step before it: ' ' inside, '>' directly inside, '+' right behind
    )

    def fits(self, node: Element) -> bool:
        return (
            self.tag in (None, tag_of(node))
            and (not self.ids or self.ids == {node.get("id")})
            and (not self.classes or self.classes <= set(node.get("class", "").split()))
            and all(asked.fits(node) for asked in self.asked)
        )


@dataclass(frozen=True)
class _Rule:
    steps: tuple[_Step, ...]
    weight: tuple[int, int, int, int]
    words: dict[str, tuple[str, bool]]


class StyleSheet:
    """All <style> elements of a drawing together."""

    def __init__(self, root: Element, left_out: Callable[[str], None]) -> None:
        """`left_out` is told each selector that is not understood."""
        text = "\n".join(
            "".join(node.itertext()) for node in root.iter() if tag_of(node) == "style"
        )
        self._by_key: dict[str, list[_Rule]] = {}
        self._before: dict[Element, Element] = {}
        for place, (head, body) in enumerate(
            _blocks(re.sub(r"/\*.*?(\*/|\Z)", " ", text, flags=re.DOTALL), left_out)
        ):
            for selector in filter(None, (one.strip() for one in head.split(","))):
                steps = _steps(selector)
                if steps is None:
                    left_out(selector)
                else:
                    rule = _Rule(steps, (*_specificity(steps), place), _declarations(body))
                    self._by_key.setdefault(_key(steps[-1]), []).append(rule)
        if any(
            step.after == "+"
            for rules in self._by_key.values()
            for rule in rules
            for step in rule.steps
        ):
            for node in root.iter():
                self._before.update(zip(node[1:], node, strict=False))

    def style_of(
        self, node: Element, above: tuple[Element, ...], inherited: dict[str, str]
    ) -> dict[str, str]:
        """The properties of a node inside `above` (outermost first), with what it inherits."""
        style = {name: inherited[name] for name in INITIAL}
        style |= {"display": "inline"}
        own = {
            name: value.strip() for name, value in node.attrib.items() if name in _READ and value
        }
        words = [rule.words for rule in self._fitting(node, above)] if self._by_key else []
        if "style" in node.attrib:
            words.append(_declarations(node.attrib["style"]))
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

    def _fitting(self, node: Element, above: tuple[Element, ...]) -> list[_Rule]:
        keys = [
            "*",
            tag_of(node),
            "#" + node.get("id", ""),
            *("." + one for one in node.get("class", "").split()),
        ]
        rules = [
            rule
            for key in keys
            for rule in self._by_key.get(key, ())
            if self._fits(rule.steps, node, above)
        ]
        return sorted(rules, key=lambda rule: rule.weight)

    def _fits(self, steps: tuple[_Step, ...], node: Element, above: tuple[Element, ...]) -> bool:
        last, before = steps[-1], steps[:-1]
        if not last.fits(node):
            return False
        if not before:
            return True
        if last.after == "+":
            sibling = self._before.get(node)
            return sibling is not None and self._fits(before, sibling, above)
        nearest_first = range(len(above) - 1, -1, -1)
        places = nearest_first[:1] if last.after == ">" else nearest_first
        return any(self._fits(before, above[place], above[:place]) for place in places)


def _declarations(text: str) -> dict[str, tuple[str, bool]]:
    words = {}
    for one in text.split(";"):
        name, colon, value = one.partition(":")
        name, value = name.strip().lower(), value.strip()
        if colon and name in _READ and value:
            plain = re.sub(r"\s*!\s*important$", "", value, flags=re.IGNORECASE)
            words[name] = (plain, plain != value)
    return words


def _blocks(text: str, left_out: Callable[[str], None]) -> Iterator[tuple[str, str]]:
    """(selectors, declarations) of each plain rule, those for a screen too; other at-rules are passed over."""
    start = 0
    while (brace := text.find("{", start)) >= 0:
        head = text[start:brace].rsplit(";", 1)[-1].strip()
        end = _closing(text, brace) if head.startswith("@") else text.find("}", brace)
        end = len(text) if end < 0 else end
        body = text[brace + 1 : end]
        if not head.startswith("@"):
            yield head, body
        elif _SCREEN.fullmatch(head):
            yield from _plain_blocks(body)
        elif head.startswith("@media") and "print" not in head:
            left_out(head)
        start = end + 1


def _plain_blocks(text: str) -> Iterator[tuple[str, str]]:
    for block in text.split("}"):
        head, brace, body = block.rpartition("{")
        if brace and "{" not in head:
            yield head.strip(), body


def _closing(text: str, brace: int) -> int:
    level = 0
    for mark in re.compile(r"[{}]").finditer(text, brace):
        level += 1 if mark[0] == "{" else -1
        if level == 0:
            return mark.start()
    return -1


def _steps(selector: str) -> tuple[_Step, ...] | None:
    steps: list[_Step] = []
    after = " "
    for word in _WORD.findall(selector):
        if word in (">", "+") and after == " " and steps:
            after = word
            continue
        match = _SIMPLE.fullmatch(word)
        if match is None or len(steps) == _MOST_STEPS:
            return None
        steps.append(_step(match[1], match[2], after))
        after = " "
    return tuple(steps) if after == " " and steps else None


def _step(tag: str | None, text: str, after: str) -> _Step:
    marks = list(_MARKS.finditer(text))
    ids = frozenset(mark[2] for mark in marks if mark[1] == "#")
    classes = frozenset(mark[2] for mark in marks if mark[1] == ".")
    asked = tuple(
        _Asked(
            mark[3],
            mark[4] or "",
            next((value for value in mark.groups()[4:] if value is not None), ""),
        )
        for mark in marks
        if mark[3]
    )
    return _Step(None if tag in (None, "*") else tag, ids, classes, asked, after)


def _specificity(steps: tuple[_Step, ...]) -> tuple[int, int, int]:
    return (
        sum(len(step.ids) for step in steps),
        sum(len(step.classes) + len(step.asked) for step in steps),
        sum(step.tag is not None for step in steps),
    )


def _key(step: _Step) -> str:
    if step.ids:
        return "#" + min(step.ids)
    return "." + min(step.classes) if step.classes else step.tag or "*"
