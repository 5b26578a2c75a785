"""Loose lines and arcs to closed outlines, layer by layer.

Owns what belongs together: first what one block, group and colour holds, then the rest of the layer. Ends are joined
in `mending`, what overlaps or meets in between is sorted out in `junctions`. Lengths are millimetres.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ...domain.outlines import Point
from ...wording import reading as wording
from ...wording.message import Message
from ..findings import Findings
from ..joining import Chain
from ..mending import joined
from ..names import Group
from .curves import Polyline
from .walk import Drawn

SAME_PLACES = 4


@dataclass(frozen=True)
class Stroke:
    """One curve in mm; `order` counts up through the file."""

    track: Polyline
    drawn: Drawn
    order: int


@dataclass(frozen=True)
class Row:
    """Strokes joined end to end, still open."""

    points: list[Point]
    strokes: tuple[Stroke, ...]

    @property
    def first(self) -> Stroke:
        """The stroke that was drawn first."""
        return self.strokes[0]

    @property
    def spoken(self) -> Message:
        """What to call it after 'The outline'."""
        return spoken(self.first)


@dataclass(frozen=True)
class Ring:
    """A closed outline: where it lies, on which layer, and what it is part of. `strokes` are what it is made of."""

    points: list[Point]
    layer: str
    colour: str
    holders: tuple[Group, ...]
    order: int
    spoken: Message


def ring_of(points: list[Point], strokes: Sequence[Stroke]) -> Ring:
    """The ring that these strokes make; it takes the colour of most of them and the blocks that all of them share."""
    first = min(strokes, key=lambda stroke: stroke.order)
    colours = Counter(stroke.drawn.colour for stroke in strokes)
    colour = first.drawn.colour if len(colours) == 1 else colours.most_common(1)[0][0]
    shared = [
        holder
        for holder in first.drawn.holders
        if all(holder in one.drawn.holders for one in strokes)
    ]
    return Ring(points, first.drawn.layer, colour, tuple(shared), first.order, spoken(first))


def closed_and_open(
    strokes: Iterable[Stroke], findings: Findings
) -> tuple[list[Ring], dict[str, list[Row]]]:
    """All rings that join up by their ends, and for each layer the rows that stay open. Raises Refused."""
    rings: list[Ring] = []
    families: dict[tuple[str, tuple[Group, ...], str], list[Row]] = {}
    for stroke in strokes:
        if stroke.track.is_closed:
            rings.append(ring_of(stroke.track.points, [stroke]))
        else:
            key = stroke.drawn.layer, stroke.drawn.holders, stroke.drawn.colour
            families.setdefault(key, []).append(Row(stroke.track.points, (stroke,)))
    by_layer: dict[str, list[Row]] = {}
    for (layer, *_), rows in families.items():
        found, still_open = join(rows, findings)
        rings += found
        by_layer.setdefault(layer, []).extend(still_open)
    for layer, rows in by_layer.items():
        if len({(row.first.drawn.holders, row.first.drawn.colour) for row in rows}) > 1:
            found, by_layer[layer] = join(rows, findings)
            rings += found
    return rings, {layer: rows for layer, rows in by_layer.items() if rows}


def join(rows: Sequence[Row], findings: Findings) -> tuple[list[Ring], list[Row]]:
    """Joins rows of one layer: the rings that they make, and the rows that stay open."""
    rings, still_open = [], []
    for chain in joined(
        [Chain(row.points, False) for row in rows], lambda place: rows[place].spoken, findings
    ):
        strokes = [stroke for place in chain.of for stroke in rows[place].strokes]
        strokes.sort(key=lambda stroke: stroke.order)
        if chain.is_closed:
            rings += [ring_of(points, strokes) for points in simple_rings(chain.points)]
        else:
            still_open.append(Row(chain.points, tuple(strokes)))
    return rings, still_open


def simple_rings(points: Sequence[Point]) -> list[list[Point]]:
    """A ring cut where it comes back to a point where it has been: outlines that share a corner."""
    found: list[list[Point]] = []
    walk: list[Point] = []
    seen: dict[Point, int] = {}
    for point in points:
        key = round(point[0], SAME_PLACES), round(point[1], SAME_PLACES)
        if key in seen:
            start = seen[key]
            found.append(walk[start:])
            for left in walk[start + 1 :]:
                seen.pop((round(left[0], SAME_PLACES), round(left[1], SAME_PLACES)), None)
            del walk[start + 1 :]
        else:
            seen[key] = len(walk)
            walk.append(point)
    return [ring for ring in [*found, walk] if len(ring) > 2]


def spoken(stroke: Stroke) -> Message:
    """What to call a stroke's outline after 'The outline'."""
    names = [holder.name or holder.sign for holder in stroke.drawn.holders]
    inside = next((name for name in reversed(names) if name), None)
    layer = stroke.drawn.layer
    return wording.on_layer_in(layer, inside) if inside else wording.on_layer(layer)
