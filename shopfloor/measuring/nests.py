"""Nesting true to shape against the same letters packed by their boxes, in one run and with the shop's usual rules.

Letters of two fonts, in the sizes that signs have. The boxes have the same library and the same time; where the plain layout
does better with them, it counts. So only the shapes make the difference.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import box

from .. import nesting
from ..domain.outlines import Outline
from ..domain.routing.nests import Item, NestedSheet, NestRules, net_area
from ..domain.routing.shelf_packing import shelved_sheets
from ..drawings import reading
from .figure import Figure, at_least, plain

BLANK = 2440.0, 1220.0  # length and width in mm, the usual sheet
FONTS = ("sans", "serif")
# Lines of invented signs, each with the height of its capitals in mm.
LINES = (
    ("ROPE 7", 200),
    ("Harbour", 160),
    ("TIDE & TIMBER", 120),
    ("Sailmaker", 100),
    ("quay stores", 60),
    ("Open 8 to 5", 40),
)


@dataclass(frozen=True)
class Yields:
    """Net area over used area of the same pieces: nested true to shape, packed by their boxes with the same library and
    time, and laid out plainly by their boxes."""

    true: float
    packed_boxes: float
    plain_boxes: float

    @property
    def boxes(self) -> float:
        """The better of the two ways by boxes."""
        return max(self.packed_boxes, self.plain_boxes)

    @property
    def gain(self) -> float:
        """How many times as much the true shapes yield."""
        return self.true / self.boxes


def measure(seconds: float = 5.0) -> Iterator[Figure]:
    """The yields of the three ways, and how much more the true shapes give than the better of the others."""
    items = letters()
    found = yields(items, seconds)
    what = f"{len(items)} letters of two fonts"
    yield plain(
        "nest-yield",
        found.true,
        "",
        f"yield of {what} nested true to shape with a limit of {seconds:g} s",
    )
    yield plain(
        "box-yield",
        found.boxes,
        "",
        "yield of the same letters by their boxes: with the same library, or plainly",
    )
    yield plain(
        "shelf-yield",
        found.plain_boxes,
        "",
        "yield of the same letters laid out plainly by their boxes",
    )
    yield at_least("nest-gain", found.gain, "×", 1.25, "the first over the second")


def times(limits: Sequence[float] = (1.0, 5.0, 30.0)) -> Iterator[Figure]:
    """What more time buys: the yield of the same letters with each limit (s)."""
    items = letters()
    for seconds in limits:
        found = yield_of(nested(items, seconds), items)
        yield plain(
            f"nest-{seconds:g}s",
            found,
            "",
            f"yield of {len(items)} letters with a limit of {seconds:g} s",
        )


def yields(items: Sequence[Item], seconds: float, blank: tuple[float, float] = BLANK) -> Yields:
    """Nests the items in all three ways with one limit (s), on blanks of one size (length and width, mm)."""
    return Yields(
        true=yield_of(nested(items, seconds, blank), items, blank),
        packed_boxes=yield_of(
            nested([boxed(item) for item in items], seconds, blank), items, blank
        ),
        plain_boxes=yield_of(shelved_sheets(items, *blank, NestRules()), items, blank),
    )


def nested(
    items: Sequence[Item], seconds: float, blank: tuple[float, float] = BLANK
) -> Sequence[NestedSheet]:
    """The sheets that hold them all. Raises RuntimeError where one is left out."""
    found = nesting.nest(items, *blank, NestRules(seconds=seconds))
    if found.left_out:
        raise RuntimeError(found.left_out[0][1])
    return found.sheets


def yield_of(
    sheets: Sequence[NestedSheet], items: Sequence[Item], blank: tuple[float, float] = BLANK
) -> float:
    """Net area of the items over used length × the other side, of all sheets."""
    across = {"length": blank[1], "width": blank[0]}
    return sum(net_area(item.outline) for item in items) / sum(
        s.used_mm * across[s.along] for s in sheets
    )


def boxed(item: Item) -> Item:
    """The item's bounding box in its stead."""
    return Item(item.key, Outline.of_polygon(box(*item.outline.bounds)), item.name)


def letters(fonts: Sequence[str] = FONTS, lines: Sequence[tuple[str, float]] = LINES) -> list[Item]:
    """The letters of the lines in each of the fonts, read as any drawing is: an i is a stem and a dot."""
    drawn = [
        (font, one)
        for font in fonts
        for one in reading.read(svg(font, lines).encode(), f"{font}.svg").outlines
    ]
    return [
        Item(str(n), one.outline.at_origin(), f"{font} letter")
        for n, (font, one) in enumerate(drawn)
    ]


def svg(font: str, lines: Sequence[tuple[str, float]] = LINES) -> str:
    """A drawing in mm with the lines below one another, one path a letter."""
    from ..demo import draw  # here: it loads the fonts, which no other figure needs

    face = {"sans": draw.SANS, "serif": draw.SERIF}[font]
    paths, width, y = [], 15 * max(height for _, height in lines), 0.0
    for text, height in lines:
        y += 1.5 * height
        paths += [
            f'<path d="{face.data(one, height, places=3)}"/>'
            for one in face.line(text, height, width / 2, y, 0.2)
        ]
    size = f'width="{width:g}mm" height="{y + 100:g}mm" viewBox="0 0 {width:g} {y + 100:g}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{"".join(paths)}</svg>'
