"""The page of an SVG drawing: its size, its unit, and the way from its own units to millimetres.

Owns the guess where a drawing names no unit, and the answer to it. Must not look at anything but the root element.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from svgelements import Matrix

from ...domain.errors import Refused
from ...wording import reading as wording
from ..findings import Findings
from ..limits import WIDEST_MM
from .lengths import MM_PER_PX, MM_PER_UNIT, Unreadable, fitted, length, view_box

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Page:
    """`matrix` leads from the root's own units to px of the page, y down; `mm_per_px` says how large such a px is."""

    width_mm: float
    height_mm: float
    matrix: Matrix
    viewport: tuple[float, float]
    mm_per_px: float = MM_PER_PX
    guessed_unit: str | None = None

    @property
    def to_mm(self) -> Matrix:
        """From px of the page to mm, y up."""
        return Matrix(self.mm_per_px, 0, 0, -self.mm_per_px, 0, self.height_mm)


def page_of(root: Element, findings: Findings, unit: str | None = None) -> Page:
    """The page of a drawing; `unit` is what its plain numbers count where it names no unit. Raises Refused."""
    if unit is not None and unit not in MM_PER_UNIT:
        raise Refused(wording.no_such_unit(unit[:20], tuple(MM_PER_UNIT)))
    try:
        box = view_box(root.get("viewBox"))
    except Unreadable as error:
        raise Refused(wording.bad_view_box(str(error)[:40])) from None
    texts = [root.get(name, "").strip() for name in ("width", "height")]
    known = [text not in ("", "auto") and not text.endswith("%") for text in texts]
    sizes = [_size(text) if is_known else None for text, is_known in zip(texts, known, strict=True)]
    width, height = _completed(sizes, box)
    is_guess = _is_guess(texts, known, box, (width, height))
    scale = MM_PER_UNIT[unit] if is_guess and unit else MM_PER_PX
    if is_guess and not unit:
        findings.add("units", wording.no_unit_px(width * scale, height * scale))
    if not max(width, height) * scale < WIDEST_MM:
        raise Refused(wording.too_wide_in_unit(unit or "px"))
    view = (box[2], box[3]) if box else (width, height)
    matrix = fitted(box, width, height, root.get("preserveAspectRatio"))
    guessed = "px" if is_guess and not unit else None
    return Page(round(width * scale, 3), round(height * scale, 3), matrix, view, scale, guessed)


def _size(text: str) -> float:
    try:
        size = length(text)
    except Unreadable:
        size = -1.0
    if not 0 < size * MM_PER_PX < WIDEST_MM:
        raise Refused(wording.bad_size(text[:40]))
    return size


def _completed(sizes: list[float | None], box: Box | None) -> tuple[float, float]:
    """Width and height in px where one or both are left to the viewBox."""
    width, height = sizes
    wide, high = (
        (box[2], box[3]) if box else (300.0, 150.0)
    )  # CSS 2.2, 10.3.2: a drawing without a size
    if width is None and height is None:
        width, height = wide, high
    elif width is None and height is not None:
        width = height * wide / high if box else wide
    elif height is None and width is not None:
        height = width * high / wide if box else high
    return _size(repr(width)), _size(repr(height))


def _is_guess(
    texts: list[str], known: list[bool], box: Box | None, size: tuple[float, float]
) -> bool:
    """Is there neither a unit of length nor a viewBox that scales on purpose?"""
    if any(is_known and text[-1].isalpha() for text, is_known in zip(texts, known, strict=True)):
        return False
    is_unscaled = box is None or (math.isclose(box[2], size[0]) and math.isclose(box[3], size[1]))
    return is_unscaled or not any(known)
