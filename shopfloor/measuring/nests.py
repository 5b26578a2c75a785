"""Nesting true to shape against the same parts laid out by their bounding boxes, both with the shop's usual rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .. import nesting
from ..demo.tape import Tape
from ..domain.nests import Item, NestedSheet, NestRules, net_area
from ..domain.shelves import shelved_sheets
from .figure import Figure, at_least, plain

LENGTH, WIDTH = 2440.0, 1220.0  # mm, the usual sheet
DRAWINGS = ("bakery.svg", "boatyard.svg", "library.svg", "school.svg")
LARGEST = 25_000  # mm²; boards and panels are no letters


def measure(seconds: float = 5.0) -> Iterator[Figure]:
    """The yields of both, and how much more the true shapes give."""
    items = _letters()
    rules = NestRules(seconds=seconds)
    nested = nesting.nest(items, LENGTH, WIDTH, rules)
    if nested.left_out:
        raise RuntimeError(nested.left_out[0][1])
    true = _yield(nested.sheets, items)
    boxes = _yield(shelved_sheets(items, LENGTH, WIDTH, rules), items)
    yield plain("nest-yield", true, "", f"yield of {len(items)} letters nested true to shape in {seconds:g} s")
    yield plain("box-yield", boxes, "", "yield of the same letters laid out by their boxes")
    yield at_least("nest-gain", true / boxes, "×", 1.0, "the first over the second")


def _letters() -> list[Item]:
    """The letters of four of the demo's signs, as if all were of one stock."""
    drawn = [one for name in DRAWINGS for one in Tape().reading(name).drawing.outlines]
    return [Item(str(place), one.outline.at_origin(), one.name or str(place))
            for place, one in enumerate(drawn) if one.outline.area_mm2 < LARGEST]  # fmt: skip


def _yield(sheets: Sequence[NestedSheet], items: Sequence[Item]) -> float:
    """Net area of the parts over the used length × width of all sheets."""
    across = {"length": WIDTH, "width": LENGTH}
    return sum(net_area(item.outline) for item in items) / sum(s.used_mm * across[s.along] for s in sheets)
