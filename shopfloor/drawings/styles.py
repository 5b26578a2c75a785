"""Which fill, stroke and visibility an SVG element has: attributes, style sheets, inheritance, colours.

Owns the cascade (CSS Cascading and Inheritance Level 4, as far as drawings use it) and the reading of colours.
Must not know about geometry.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from svgelements import Color

from .scan import tag_of

INITIAL = {"fill": "black", "stroke": "none", "fill-rule": "nonzero", "color": "black", "visibility": "visible"}
_OWN = ("display", "clip-path", "mask", "transform", "transform-origin")  # not handed down to children
_READ = (*INITIAL, *_OWN)

_SIMPLE = re.compile(r"([a-z][\w-]*|\*)?((?:[.#][\w-]+)*)", re.IGNORECASE)
_HEX = re.compile(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})")
_RGB = re.compile(r"rgba?\(\s*([^()]+?)\s*\)")
_CHANNEL = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)%?")


@dataclass(frozen=True)
class _Step:
    tag: str | None
    ids: frozenset[str]
    classes: frozenset[str]
    is_child: bool  # of the step before it, not merely somewhere inside

    def fits(self, node: Element) -> bool:
        return (
            self.tag in (None, tag_of(node))
            and (not self.ids or self.ids == {node.get("id")})
            and self.classes <= set(node.get("class", "").split())
        )


@dataclass(frozen=True)
class _Rule:
    steps: tuple[_Step, ...]
    weight: tuple[int, int, int, int]
    words: dict[str, tuple[str, bool]]


class StyleSheet:
    """All <style> elements of a drawing together."""

    def __init__(self, text: str, left_out: Callable[[str], None]) -> None:
        """`left_out` is told each selector that is not understood."""
        self._by_key: dict[str, list[_Rule]] = {}
        for place, (head, body) in enumerate(_blocks(re.sub(r"/\*.*?(\*/|\Z)", " ", text, flags=re.DOTALL))):
            for selector in filter(None, (one.strip() for one in head.split(","))):
                steps = _steps(selector)
                if steps is None:
                    left_out(selector)
                else:
                    rule = _Rule(steps, (*_specificity(steps), place), _declarations(body))
                    self._by_key.setdefault(_key(steps[-1]), []).append(rule)

    def style_of(self, node: Element, above: tuple[Element, ...], inherited: dict[str, str]) -> dict[str, str]:
        """The properties of a node inside `above` (outermost first), with what it inherits."""
        style = {name: inherited[name] for name in INITIAL}
        style |= {"display": "inline"}
        own = {name: node.get(name).strip() for name in _READ if node.get(name)}
        words = [rule.words for rule in self._fitting(node, above)] + [_declarations(node.get("style", ""))]
        for is_last_word in (False, True):  # !important goes over all else
            for more in words:
                own |= {name: value for name, (value, strong) in more.items() if strong == is_last_word}
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
        keys = ["*", tag_of(node), "#" + node.get("id", ""), *("." + one for one in node.get("class", "").split())]
        rules = [rule for key in keys for rule in self._by_key.get(key, ()) if _fits(rule.steps, node, above)]
        return sorted(rules, key=lambda rule: rule.weight)


def colour_of(value: str, current: str) -> str | None:
    """'#rrggbb' of a colour, 'none' where nothing is painted, None where it is no plain colour.

    `current` is what currentColor stands for. svgelements reads an unknown colour as black, so only what is
    certainly a colour is handed to it.
    """
    word = " ".join(value.lower().split())
    if word == "currentcolor":
        word = " ".join(current.lower().split())
    if word in ("none", "transparent"):
        return "none"
    if word == "rebeccapurple":  # in CSS Color 4, but not in the library's list
        return "#663399"
    if (inside := _RGB.fullmatch(word)) is not None:
        return _of_channels(re.split(r"[\s,/]+", inside[1]))
    if not (_HEX.fullmatch(word) or re.fullmatch(r"[a-z]+", word)):
        return None
    colour = Color(word)
    is_guess = (colour.red, colour.green, colour.blue) == (0, 0, 0) and word[0] != "#" and word != "black"
    if colour.value is None or is_guess:
        return None
    return "none" if colour.alpha == 0 else f"#{colour.red:02x}{colour.green:02x}{colour.blue:02x}"


def _of_channels(parts: list[str]) -> str | None:
    if len(parts) not in (3, 4) or not all(_CHANNEL.fullmatch(part) for part in parts):
        return None
    if len(parts) == 4 and float(parts[3].rstrip("%")) <= 0:
        return "none"
    share = [float(part[:-1]) / 100 * 255 if part.endswith("%") else float(part) for part in parts[:3]]
    return "#" + "".join(f"{int(min(max(value, 0), 255) + 0.5):02x}" for value in share)


def _declarations(text: str) -> dict[str, tuple[str, bool]]:
    words = {}
    for one in text.split(";"):
        name, colon, value = one.partition(":")
        name, value = name.strip().lower(), value.strip()
        if colon and name in _READ and value:
            plain = re.sub(r"\s*!\s*important$", "", value, flags=re.IGNORECASE)
            words[name] = (plain, plain != value)
    return words


def _blocks(text: str):
    """(selectors, declarations) of each plain rule; at-rules (@media, @font-face) are passed over."""
    start = 0
    while (brace := text.find("{", start)) >= 0:
        head = text[start:brace].rsplit(";", 1)[-1].strip()
        end = _closing(text, brace) if head.startswith("@") else text.find("}", brace)
        end = len(text) if end < 0 else end
        if not head.startswith("@"):
            yield head, text[brace + 1 : end]
        start = end + 1


def _closing(text: str, brace: int) -> int:
    level = 0
    for mark in re.compile(r"[{}]").finditer(text, brace):
        level += 1 if mark[0] == "{" else -1
        if level == 0:
            return mark.start()
    return -1


def _steps(selector: str) -> tuple[_Step, ...] | None:
    steps, is_child = [], False
    for word in selector.replace(">", " > ").split():
        if word == ">":
            is_child = True
            continue
        match = _SIMPLE.fullmatch(word)
        if match is None or len(steps) == 8:
            return None
        marks = re.findall(r"[.#][\w-]+", match[2])
        ids = frozenset(mark[1:] for mark in marks if mark[0] == "#")
        classes = frozenset(mark[1:] for mark in marks if mark[0] == ".")
        steps.append(_Step(None if match[1] in (None, "*") else match[1], ids, classes, is_child))
        is_child = False
    return tuple(steps) or None


def _specificity(steps: tuple[_Step, ...]) -> tuple[int, int, int]:
    return (
        sum(len(step.ids) for step in steps),
        sum(len(step.classes) for step in steps),
        sum(step.tag is not None for step in steps),
    )


def _key(step: _Step) -> str:
    if step.ids:
        return "#" + min(step.ids)
    return "." + min(step.classes) if step.classes else step.tag or "*"


def _fits(steps: tuple[_Step, ...], node: Element, above: tuple[Element, ...]) -> bool:
    if not steps[-1].fits(node):
        return False
    if len(steps) == 1:
        return True
    nearest_first = range(len(above) - 1, -1, -1)
    candidates = list(nearest_first)[:1] if steps[-1].is_child else nearest_first
    return any(_fits(steps[:-1], above[place], above[:place]) for place in candidates)
