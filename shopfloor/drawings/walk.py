"""The way through an SVG tree: which shapes are drawn, where, and in what style.

Owns groups, `use`, nested viewports, visibility, and what is left out with a finding or refused (live text).
Must not flatten anything: that is done in `shapes`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element

from svgelements import Matrix

from ..domain.errors import Refused
from .findings import Findings
from .lengths import Unreadable, fitted, length, transform, view_box
from .names import given_name, sign_name, spoken
from .scan import by_id, href_of, tag_of
from .styles import INITIAL, StyleSheet

_SHAPES = {"rect", "circle", "ellipse", "line", "polyline", "polygon", "path"}
_GROUPS = {"g", "a", "svg", "switch"}
_TEXTS = {"text", "flowRoot"}
_LEFT_OUT = {"image": "picture", "foreignObject": "foreign object", "video": "film", "canvas": "canvas"}


@dataclass(frozen=True, eq=False)
class Group:
    """One group as it is drawn: a group that is used twice is two of these."""

    name: str | None
    sign: str | None
    is_clone: bool = False


@dataclass(frozen=True)
class Shape:
    """One element to be drawn. `matrix` leads from its own units to px of the page, y down."""

    node: Element
    matrix: Matrix
    style: dict[str, str]
    groups: tuple[Group, ...]
    viewport: tuple[float, float]

    @property
    def tag(self) -> str:
        """The element's plain name."""
        return tag_of(self.node)


@dataclass(frozen=True)
class _Place:
    matrix: Matrix
    style: dict[str, str]
    groups: tuple[Group, ...]
    viewport: tuple[float, float]
    above: tuple[Element, ...]


class Walk:
    """One walk over a drawing that `scan.load` has let through."""

    def __init__(self, root: Element, findings: Findings) -> None:
        self._root = root
        self._findings = findings
        self._ids = by_id(root)
        sheets = (node for node in root.iter() if tag_of(node) == "style")
        self._styles = StyleSheet("\n".join("".join(node.itertext()) for node in sheets), self._style_left_out)

    def shapes(self, page: Matrix, viewport: tuple[float, float]) -> Iterator[Shape]:
        """Every shape that is drawn, in drawing order. `page` maps the root's units to px."""
        start = _Place(page, self._styles.style_of(self._root, (), INITIAL), (), viewport, (self._root,))
        if start.style["display"] != "none":
            for child in self._root:
                yield from self._visit(child, start)

    def _visit(self, node: Element, place: _Place) -> Iterator[Shape]:
        tag = tag_of(node)
        if not (tag in _SHAPES or tag in _GROUPS or tag in _TEXTS or tag in _LEFT_OUT or tag == "use"):
            return
        style = self._styles.style_of(node, place.above, place.style)
        if style["display"].lower() == "none":
            return
        try:
            turned = transform(style.get("transform"), style.get("transform-origin"))
            here = replace(place, matrix=turned * place.matrix, style=style, above=(*place.above, node))
            yield from self._enter(node, tag, here)
        except Unreadable as error:
            raise unreadable(node, error) from None

    def _enter(self, node: Element, tag: str, here: _Place) -> Iterator[Shape]:
        self._note_clip(node, here.style)
        if tag in _GROUPS:
            yield from self._enter_group(node, tag, here)
        elif tag == "use":
            yield from self._enter_use(node, here)
        elif here.style["visibility"].lower() != "visible":
            return
        elif tag in _TEXTS:
            self._refuse_text(node)
        elif tag in _LEFT_OUT:
            self._findings.add("image", f"The {_LEFT_OUT[tag]} {spoken(node)} was left out: only outlines are read.")
        else:
            yield Shape(node, here.matrix, here.style, here.groups, here.viewport)

    def _enter_group(self, node: Element, tag: str, here: _Place) -> Iterator[Shape]:
        here = replace(here, groups=(*here.groups, Group(given_name(node), sign_name(node))))
        if tag == "svg":
            here = _in_viewport(node, node, here)
        children = _chosen(node) if tag == "switch" else node
        for child in children:
            yield from self._visit(child, here)

    def _enter_use(self, node: Element, here: _Place) -> Iterator[Shape]:
        href = (href_of(node) or "").strip()
        target = self._ids.get(href[1:])
        if target is None:
            self._findings.add("use", f"The clone {spoken(node)} points to nothing ('{href[:40]}') and was left out.")
            return
        width, height = here.viewport
        x, y = length(node.get("x", "0"), width), length(node.get("y", "0"), height)
        here = replace(
            here,
            matrix=Matrix.translate(x, y) * here.matrix,
            groups=(*here.groups, Group(given_name(node), sign_name(node), is_clone=True)),
        )
        if tag_of(target) != "symbol":
            yield from self._visit(target, here)
            return
        style = self._styles.style_of(target, here.above, here.style)
        inside = _in_viewport(target, node, replace(here, style=style, above=(*here.above, target)))
        for child in target:
            yield from self._visit(child, inside)

    def _refuse_text(self, node: Element) -> None:
        words = " ".join("".join(node.itertext()).split())
        if words:
            shown = words if len(words) <= 40 else words[:39] + "…"
            raise Refused(f'The drawing has live text "{shown}": turn letters into outlines and send it again.')

    def _note_clip(self, node: Element, style: dict[str, str]) -> None:
        for name, word in (("clip-path", "clip path"), ("mask", "mask")):
            if style.get(name, "none").lower() != "none":
                self._findings.add("clip", f"The {word} on {spoken(node)} was left out: its outlines are read whole.")

    def _style_left_out(self, selector: str) -> None:
        self._findings.add("style", f"The style rule '{selector[:60]}' was left out: it is not understood.")


def _chosen(node: Element) -> list[Element]:
    """The one branch of a <switch> that is drawn: the first that asks for no extension."""
    for child in node:
        if tag_of(child) not in ("", "foreignObject") and not child.get("requiredExtensions"):
            return [child]
    return []


def _in_viewport(node: Element, sized: Element, here: _Place) -> _Place:
    """Inside a nested <svg> or a <symbol>; `sized` is the element that gives the size."""
    wide, high = here.viewport
    width = length(sized.get("width", node.get("width", "100%")), wide)
    height = length(sized.get("height", node.get("height", "100%")), high)
    if width <= 0 or height <= 0:
        raise Unreadable(sized.get("width") or sized.get("height") or "")
    at = Matrix() if tag_of(node) == "symbol" else Matrix.translate(
        length(node.get("x", "0"), wide), length(node.get("y", "0"), high)
    )
    box = view_box(node.get("viewBox"))
    inner = fitted(box, width, height, node.get("preserveAspectRatio"))
    view = (box[2], box[3]) if box else (width, height)
    return replace(here, matrix=inner * at * here.matrix, viewport=view)


def unreadable(node: Element, error: Unreadable) -> Refused:
    """The refusal of an element for a value that makes no sense."""
    value = " ".join(str(error).split())[:40]
    return Refused(
        f"The element {spoken(node)} has a value that cannot be read ('{value}'): correct it or export the drawing "
        "again."
    )


def diagonal(viewport: tuple[float, float]) -> float:
    """What 100 % stands for in lengths that are neither across nor up (SVG 2, section 8.9)."""
    return math.hypot(*viewport) / math.sqrt(2)
