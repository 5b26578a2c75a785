"""The different shapes of a drawing: each family once, with the number of its parts.

Owns the list of families on a page, and caches the last few: finding them takes seconds for thousands of parts.
`domain.drawing.families` decides which outlines are of one family.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...actions.cache import Cache
from ...actions.drawings import Colour, Proposal
from ...domain.drawing.families import Group, grouped
from ...domain.drawing.stacking import ProposedPart
from ...scenes import scene
from ...wording import drawings as wording
from ...wording.message import Message
from ..pictures.svg import SignPicture, sign_picture

AT_ONCE = 300  # parts; with more the shapes are sorted only when somebody looks at them
MOST_SHAPES = 120  # drawn of one colour
MOST_NAMES = 3
BOX = (130, 92)

_LISTS = Cache(most=8)


@dataclass(frozen=True)
class Shape:
    """One family: its outline, the names of its parts, their number, its size."""

    picture: SignPicture
    names: str
    count: int
    size: Message


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
        """The number of shapes that are not shown."""
        return self.count - len(self.shapes)


def shapes_of(proposed: Proposal) -> list[ShapesOfColour]:
    """Return the different shapes of each colour. Shapes that the colour's stock may turn onto each other are one."""
    turns = tuple(colour.stock.turns if colour.stock else "any" for colour in proposed.colours)
    of_colours = _LISTS.get((proposed.same, turns), lambda: _groups(proposed, turns))
    return [
        _of_colour(number, colour, parts, groups)
        for number, (colour, (parts, groups)) in enumerate(
            zip(proposed.colours, of_colours, strict=True)
        )
    ]


def _groups(
    proposed: Proposal, turns: Sequence[str]
) -> list[tuple[list[ProposedPart], list[Group]]]:
    of_colours = []
    for colour, allowed in zip(proposed.colours, turns, strict=True):
        parts = [
            part for sign in proposed.signs for part in sign.parts if part.colour == colour.colour
        ]
        groups = grouped([part.outline.at_origin() for part in parts], allowed)
        of_colours.append((parts, sorted(groups, key=lambda group: -len(group.members))))
    return of_colours


def _of_colour(
    number: int, colour: Colour, parts: Sequence[ProposedPart], groups: Sequence[Group]
) -> ShapesOfColour:
    shapes = [
        _shape(f"f{number}-{at}", parts, group) for at, group in enumerate(groups[:MOST_SHAPES])
    ]
    return ShapesOfColour(colour.colour, colour.called, len(groups), len(parts), shapes)


def _shape(id: str, parts: Sequence[ProposedPart], group: Group) -> Shape:
    outline, first = group.reference, parts[group.members[0]]
    part = scene.Shape(id, first.number, first.name or "", outline, first.colour, "ready")
    names = list(dict.fromkeys(name for place in group.members if (name := parts[place].name)))
    more = " …" if len(names) > MOST_NAMES else ""
    size = wording.size(outline.width_mm, outline.height_mm)
    spoken = ", ".join(names[:MOST_NAMES]) + more
    sides = outline.width_mm, outline.height_mm
    picture = sign_picture(id, [part], *sides, title=spoken or str(size), box=BOX, width_text="")
    return Shape(picture, spoken, len(group.members), size)
