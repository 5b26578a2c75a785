"""The different shapes of a drawing: each family once, with how many parts are cut to it.

Owns how families are listed on a page, and keeps the last few lists: finding them takes seconds for thousands of parts.
Which outlines are of one family is decided in `domain.families`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...actions.cache import Cache
from ...actions.drawings import Colour, Proposal
from ...domain import lengths
from ...domain.drawing.families import Group, grouped
from ...domain.drawing.stacking import ProposedPart
from ..pictures.pictures import PicturePart, SignPicture, sign_picture

AT_ONCE = 300  # parts; with more the shapes are sorted only when somebody looks at them
MOST_SHAPES = 120  # drawn of one colour
MOST_NAMES = 3
BOX = (130, 92)

_LISTS = Cache(most=8)


@dataclass(frozen=True)
class Shape:
    """One family: its outline, what its parts are called, how many they are, its size."""

    picture: SignPicture
    names: str
    count: int
    size: str


@dataclass(frozen=True)
class ShapesOfColour:
    """The shapes of one colour, the most frequent first; `undrawn` more are not shown. `of` counts all its parts."""

    colour: str
    word: str
    count: int
    of: int
    shapes: list[Shape]

    @property
    def undrawn(self) -> int:
        """How many shapes are not shown."""
        return self.count - len(self.shapes)


def shapes_of(proposed: Proposal, units: str) -> list[ShapesOfColour]:
    """The different shapes of each colour. What the stock that was chosen before allows to turn counts as equal."""
    turns = tuple(colour.stock.turns if colour.stock else "any" for colour in proposed.colours)
    found = _LISTS.get((proposed.same, turns), lambda: _groups(proposed, turns))
    return [
        _of_colour(number, colour, parts, groups, units)
        for number, (colour, (parts, groups)) in enumerate(
            zip(proposed.colours, found, strict=True)
        )
    ]


def size_in(width_mm: float, height_mm: float, units: str) -> str:
    """A width and a height with their unit once: '30 × 62.5 mm'."""
    width = lengths.show(width_mm, units).rpartition(" ")[0]
    return f"{width} × {lengths.show(height_mm, units)}"


def _groups(
    proposed: Proposal, turns: Sequence[str]
) -> list[tuple[list[ProposedPart], list[Group]]]:
    found = []
    for colour, allowed in zip(proposed.colours, turns, strict=True):
        parts = [
            part for sign in proposed.signs for part in sign.parts if part.colour == colour.colour
        ]
        groups = grouped([part.outline.at_origin() for part in parts], allowed)
        found.append((parts, sorted(groups, key=lambda group: -len(group.members))))
    return found


def _of_colour(
    number: int, colour: Colour, parts: Sequence[ProposedPart], groups: Sequence[Group], units: str
):
    shapes = [
        _shape(f"f{number}-{at}", parts, group, units)
        for at, group in enumerate(groups[:MOST_SHAPES])
    ]
    return ShapesOfColour(colour.colour, colour.called, len(groups), len(parts), shapes)


def _shape(id: str, parts: Sequence[ProposedPart], group: Group, units: str) -> Shape:
    outline, first = group.reference, parts[group.members[0]]
    part = PicturePart(id, first.number, first.name or "", outline, first.colour, "ready")
    names = list(dict.fromkeys(parts[one].name for one in group.members if parts[one].name))
    more = " …" if len(names) > MOST_NAMES else ""
    size = size_in(outline.width_mm, outline.height_mm, units)
    spoken = ", ".join(names[:MOST_NAMES]) + more
    sides = outline.width_mm, outline.height_mm
    picture = sign_picture(id, [part], *sides, title=spoken or size, box=BOX, width_text="")
    return Shape(picture, spoken, len(group.members), size)
