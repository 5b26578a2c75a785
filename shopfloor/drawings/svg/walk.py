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

from ...domain.errors import Refused
from ...domain.outlines import Point
from ...wording import mended
from ...wording import reading as wording
from ...wording.message import Message
from ..findings import Findings
from ..names import Group
from .lengths import Unreadable, entries, fitted, length, share, transform, view_box
from .names import given_name, is_layer, sign_name, spoken
from .page import Page
from .scan import href_of, tag_of
from .styles import INITIAL, StyleSheet

_SHAPES = {"rect", "circle", "ellipse", "line", "polyline", "polygon", "path"}
_GROUPS = {"g", "a", "svg", "switch"}
_TEXTS = {"text", "flowRoot"}
_LEFT_OUT = {
    "image": "picture",
    "foreignObject": "foreign object",
    "video": "film",
    "canvas": "canvas",
}


@dataclass(frozen=True)
class Frame:
    """What a nested drawing is cut to: its corners in px of the page."""

    name: Message
    corners: tuple[Point, ...]


@dataclass(frozen=True)
class Shape:
    """One element with what it takes from those round it. `matrix` leads from its own units to px of the page, y down.

    `noted` are findings (kind, message) that have their place where the next shape is; `hidden_by` is the element that
    made all this invisible.
    """

    node: Element
    matrix: Matrix
    style: dict[str, str]
    groups: tuple[Group, ...]
    viewport: tuple[float, float]
    frames: tuple[Frame, ...] = ()
    noted: tuple[tuple[str, Message], ...] = ()
    hidden_by: Element | None = None

    @property
    def tag(self) -> str:
        """The element's plain name."""
        return tag_of(self.node)


class Walk:
    """One walk over a drawing that `scan.load` has let through."""

    def __init__(
        self, root: Element, ids: dict[str, Element], page: Page, findings: Findings
    ) -> None:
        self._root = root
        self._ids = ids
        self._page = page
        self._findings = findings
        self._styles = StyleSheet(root, self._style_left_out)

    def shapes(self) -> Iterator[Shape]:
        """Every shape that is drawn, in drawing order."""
        style = self._styles.style_of(self._root, INITIAL)
        start = Shape(self._root, self._page.matrix, style, (), self._page.viewport)
        if self._is_seen(self._root, style):
            for child in self._root:
                yield from self._visit(child, start)

    def _visit(self, node: Element, place: Shape, sized: Element | None = None) -> Iterator[Shape]:
        """`sized` is the element that gives a nested drawing its size, where that is not itself."""
        tag = tag_of(node)
        if not (
            tag in _SHAPES
            or tag in _GROUPS
            or tag in _TEXTS
            or tag in _LEFT_OUT
            or tag in ("use", "symbol")
        ):
            return
        style = self._styles.style_of(node, place.style)
        if not self._is_seen(node, style):
            return
        try:
            turned = transform(style.get("transform"), style.get("transform-origin"))
            here = replace(
                place,
                node=node,
                matrix=turned * place.matrix,
                style=style,
                noted=place.noted + self._notes(node, style),
                hidden_by=None
                if style["visibility"].lower() == "visible"
                else place.hidden_by or node,
            )
            yield from self._enter(node, tag, here, sized)
        except Unreadable as error:
            raise unreadable(node, error) from None

    def _enter(
        self, node: Element, tag: str, here: Shape, sized: Element | None
    ) -> Iterator[Shape]:
        if tag == "use":
            yield from self._enter_use(node, here)
        elif tag in _GROUPS or (tag == "symbol" and sized is not None):
            yield from self._enter_group(node, tag, here, sized)
        elif tag == "symbol":
            return
        elif here.hidden_by is not None:
            self._say_hidden(here.hidden_by)
        elif tag in _TEXTS:
            self._refuse_text(node)
        elif tag in _LEFT_OUT:
            message = mended.picture_left_out(spoken(node), _LEFT_OUT[tag])
            self._findings.add("picture", message, self._middle(node, here))
        else:
            yield here

    def _enter_group(
        self, node: Element, tag: str, here: Shape, sized: Element | None
    ) -> Iterator[Shape]:
        here = replace(here, groups=(*here.groups, Group(given_name(node), sign_name(node))))
        if tag in ("svg", "symbol"):
            here = _in_viewport(node, sized if sized is not None else node, here)
        children = _chosen(node) if tag == "switch" else node
        for child in children:
            yield from self._visit(child, here)

    def _enter_use(self, node: Element, here: Shape) -> Iterator[Shape]:
        href = (href_of(node) or "").strip()
        target = self._ids.get(href[1:])
        if target is None:
            self._findings.add("use", mended.clone_of_nothing(spoken(node), href[:40]))
            return
        width, height = here.viewport
        x, y = length(node.get("x", "0"), width), length(node.get("y", "0"), height)
        here = replace(
            here,
            matrix=Matrix.translate(x, y) * here.matrix,
            groups=(*here.groups, Group(given_name(node), sign_name(node), is_clone=True)),
        )
        yield from self._visit(target, here, node)

    def _is_seen(self, node: Element, style: dict[str, str]) -> bool:
        if style["display"].lower() == "none" or (
            "opacity" in style and share(style["opacity"]) == 0
        ):
            self._say_hidden(node)
            return False
        return True

    def _say_hidden(self, node: Element) -> None:
        if tag_of(node) in _SHAPES:
            self._findings.add("hidden", mended.hidden_outlines())
        elif any(
            tag_of(inside) in _SHAPES or tag_of(inside) in ("text", "use") for inside in node.iter()
        ):
            word = (
                "layer" if is_layer(node) else "element" if tag_of(node) in _LEFT_OUT else "group"
            )
            self._findings.add("hidden", mended.hidden_left_out(spoken(node), word))

    def _notes(self, node: Element, style: dict[str, str]) -> tuple[tuple[str, Message], ...]:
        """What is said of an element as soon as it is known where it lies."""
        notes: list[tuple[str, Message]] = []
        for name in ("clip-path", "mask"):
            if style.get(name, "none").lower() != "none":
                notes.append(("clip", mended.clip_left_out(spoken(node), name)))
        if "opacity" in style and (seen := share(style["opacity"])) < 1:
            message = mended.element_half_opaque(spoken(node), round(seen * 100))
            notes.append(("transparent", message))
        for note in notes:
            self._findings.add(*note)
        return tuple(notes)

    def _middle(self, node: Element, here: Shape) -> Point:
        """The middle of a picture, in mm, y up."""
        (wide, high), size = here.viewport, ("width", "height")
        left, top = length(node.get("x", "0"), wide), length(node.get("y", "0"), high)
        width, height = (
            length(text, whole) if (text := node.get(name, "0")) != "auto" else 0.0
            for name, whole in zip(size, here.viewport, strict=True)
        )
        return _moved((left + width / 2, top + height / 2), here.matrix * self._page.to_mm)

    def _refuse_text(self, node: Element) -> None:
        words = " ".join("".join(node.itertext()).split())
        if words:
            shown = words if len(words) <= 40 else words[:39] + "…"
            raise Refused(wording.live_text(shown))

    def _style_left_out(self, selector: str) -> None:
        self._findings.add("style", mended.style_left_out(selector[:60]))


def _chosen(node: Element) -> list[Element]:
    """The one branch of a <switch> that is drawn: the first that asks for no extension."""
    for child in node:
        if tag_of(child) not in ("", "foreignObject") and not child.get("requiredExtensions"):
            return [child]
    return []


def _in_viewport(node: Element, sized: Element, here: Shape) -> Shape:
    """Inside a nested <svg> or a <symbol>; `sized` is the element that gives the size."""
    wide, high = here.viewport
    width = length(sized.get("width", node.get("width", "100%")), wide)
    height = length(sized.get("height", node.get("height", "100%")), high)
    if width <= 0 or height <= 0:
        raise Unreadable(sized.get("width") or sized.get("height") or "")
    at = (
        Matrix()
        if tag_of(node) == "symbol"
        else Matrix.translate(length(node.get("x", "0"), wide), length(node.get("y", "0"), high))
    )
    box = view_box(node.get("viewBox"))
    inner = fitted(box, width, height, node.get("preserveAspectRatio"))
    view = (box[2], box[3]) if box else (width, height)
    outer = at * here.matrix
    frames = here.frames
    if here.style.get("overflow", "hidden").lower() not in ("visible", "auto"):
        corners = tuple(
            _moved(corner, outer) for corner in ((0, 0), (width, 0), (width, height), (0, height))
        )
        frames += (Frame(wording.nested_drawing(spoken(node)), corners),)
    return replace(here, matrix=inner * outer, viewport=view, frames=frames)


def _moved(point: Point, matrix: Matrix) -> Point:
    a, b, c, d, e, f = entries(matrix)
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def unreadable(node: Element, error: Unreadable) -> Refused:
    """The refusal of an element for a value that makes no sense."""
    value = " ".join(str(error).split())[:40]
    return Refused(wording.bad_value(spoken(node), value))


def diagonal(viewport: tuple[float, float]) -> float:
    """What 100 % stands for in lengths that are neither across nor up (SVG 2, section 8.9)."""
    return math.hypot(*viewport) / math.sqrt(2)
