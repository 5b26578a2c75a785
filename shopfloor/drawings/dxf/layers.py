"""Layers: which are seen, and which colour means which material.

Owns the rule that a layer is a material: two layers never come out in one colour. Must not know about geometry.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

import numpy as np
from ezdxf.colors import DXF_DEFAULT_COLORS
from ezdxf.document import Drawing as Document

from ...domain.drawing.colours import ALIKE, lab
from ...wording import mended
from ..findings import Findings
from .curves import Entity

BY_BLOCK, BY_LAYER = 0, 256
# Number 7 is white on a dark screen and black on paper. Drawings are shown on a light ground, so it is black here; not
# quite, so that it is the black of the shop's own words for colours.
BLACK = "#141414"
STEP = 36  # of red, green and blue, from a colour to the next one that may stand in for it
FAR_APART = (
    3 * ALIKE
)  # a person sees which is which, and nobody asks whether two layers are one stock
FEW = 60  # so many colours can be kept far apart
# From a colour to those round it, the nearest first, and among those the lighter and the darker before other tints.
_STEPS = sorted(
    product(range(-7, 8), repeat=3),
    key=lambda step: (max(map(abs, step)), len(set(step)), -sum(step), step),
)

Material = tuple[str, str]  # a layer's name, a colour


class Layers:
    """The layers of one document. Names are looked up without regard to capitals, as the format does."""

    def __init__(self, document: Document) -> None:
        self._layers = {layer.dxf.name.casefold(): layer for layer in document.layers}
        self._met: dict[str, str] = {}

    def name(self, raw: object) -> str:
        """A layer's name in one spelling, fit to be shown and stored."""
        known = self._layers.get(str(raw).casefold())
        return self._met.setdefault(
            str(raw).casefold(), readable(known.dxf.name if known else str(raw))
        )

    def hidden(self, name: str) -> str | None:
        """Why nothing on a layer is seen: 'frozen', 'off', 'for construction'; else None."""
        layer = self._layers.get(name.casefold())
        if layer is not None and layer.is_frozen():
            return "frozen"
        if layer is not None and layer.is_off():
            return "off"
        return "for construction" if name.casefold() == "defpoints" else None

    def colour(self, entity: Entity, layer: str, by_block: str) -> str:
        """The entity's colour '#rrggbb': its own, its block's or its layer's."""
        number = entity.dxf.get("color", BY_LAYER)
        if entity.dxf.hasattr("true_color"):
            return _hex(entity.dxf.true_color)
        if number == BY_BLOCK:
            return by_block
        return self._of_layer(layer) if number == BY_LAYER else _of_number(number)

    def _of_layer(self, name: str) -> str:
        layer = self._layers.get(name.casefold())
        if layer is None:
            return BLACK
        if layer.dxf.hasattr("true_color"):
            return _hex(layer.dxf.true_color)
        return _of_number(abs(layer.dxf.get("color", 7)))


def readable(name: str) -> str:
    """A name without what cannot be stored or shown."""
    plain = name.encode("utf-8", "replace").decode("utf-8")
    return " ".join("".join(letter if letter.isprintable() else " " for letter in plain).split())[
        :80
    ]


def told_apart(materials: Iterable[Material], findings: Findings) -> dict[Material, str]:
    """The colour in which each material is shown: its own, or one near to it where an earlier layer has that."""
    owner: dict[str, str] = {}
    shown: dict[Material, str] = {}
    for layer, colour in materials:
        if (layer, colour) in shown:
            continue
        other = owner.get(colour)
        free = colour if other in (None, layer) else _free_near(colour, owner)
        if free != colour:
            findings.add(
                "colour",
                mended.layers_share_a_colour(other or "", layer, colour, free),
            )
        owner[free] = layer
        shown[layer, colour] = free
    return shown


def _free_near(colour: str, taken: dict[str, str]) -> str:
    start = bytes.fromhex(colour[1:])
    if len(taken) <= FEW:
        others = lab(list(taken))
        for step in _STEPS:
            moved = tuple(c + STEP * s for c, s in zip(start, step, strict=True))
            if max(moved) < 256 and min(moved) >= 0:
                near = "#{:02x}{:02x}{:02x}".format(*moved)
                if np.linalg.norm(others - lab([near]), axis=1).min() >= FAR_APART:
                    return near
    number = int(colour[1:], 16) + 7919 * len(
        taken
    )  # a large odd step: the next free one is near at hand
    while f"#{number % 0x1000000:06x}" in taken:
        number += 1
    return f"#{number % 0x1000000:06x}"


def _of_number(number: int) -> str:
    if number == 7 or not 0 < number < len(DXF_DEFAULT_COLORS):
        return BLACK
    return _hex(DXF_DEFAULT_COLORS[number])


def _hex(colour: int) -> str:
    return f"#{colour & 0xFFFFFF:06x}"
