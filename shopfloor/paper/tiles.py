"""How a drawing at full size lies on paper: one page of its own size, or sheets that are joined by crosses.

Owns the papers' sizes and where each sheet's window lies on the drawing. Must not draw. A sheet's window is that part of
the drawing which it shows; neighbouring windows overlap, and a cross in the middle of the overlap is the same place of the
sign on both: one sheet is cut there, so that its half of the cross completes the other's.
Lengths are mm; on the drawing y up, rows of sheets count from the top.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import shapely

from ..scenes.full_size import Drawing
from .words import PAPERS

Window = tuple[float, float, float, float]  # left, bottom, right, top
Spot = tuple[int, int]  # row and column of a sheet, from 0

EDGE = 8.0  # what printers leave white round a page (common practice)
OVERLAP = 10.0
# height of the strip with the test line under the window, and what is free between
FOOT, GAP = 20.5, 1.5
# 5080 mm: a page's longest side in a PDF (ISO 32000-1, annex C; from memory)
LONGEST = 14_400 * 25.4 / 72
LEAST_LONG = 220.0  # a long page is at least so wide: its test line and words need it
# size of the notes under a long page, a line, the widest column
NOTE_PT, NOTE_LINE, NOTE_COLUMN = 7.5, 3.3, 150.0
NOTE_LETTER = 1.9  # mm that a letter of that size takes at most, averaged over a line and with what breaking it wastes
BESIDE = 200.0  # what the test line and the words beside it take of the foot


@dataclass(frozen=True)
class Layout:
    """Where the sheets of one drawing lie. (`left`, `top`) is the corner of the first window on the drawing, `window` the
    size of each; `kept` are the (row, column) from 0 of the sheets that a line runs over. `foot` is the height under a window."""

    page: tuple[float, float]
    window: tuple[float, float]
    left: float
    top: float
    rows: int
    columns: int
    kept: tuple[Spot, ...]
    foot: float = FOOT
    is_long: bool = False

    @property
    def is_whole(self) -> bool:
        """One page shows all of it."""
        return self.rows == self.columns == 1

    @property
    def places(self) -> list[Spot]:
        """All sheets, row by row, those that are left out too."""
        return [(row, column) for row in range(self.rows) for column in range(self.columns)]

    @property
    def left_out(self) -> int:
        """How many sheets would be empty and are not printed."""
        return self.rows * self.columns - len(self.kept)

    def window_of(self, row: int, column: int) -> Window:
        """The part of the drawing that one sheet shows."""
        wide, high = self.window
        left, top = self.left + column * (wide - OVERLAP), self.top - row * (high - OVERLAP)
        return left, top - high, left + wide, top

    def visible_of(self, row: int, column: int) -> Window:
        """The part of a window that is seen once the sheets are joined: neighbours meet in the middle of their overlap."""
        left, bottom, right, top = self.window_of(row, column)
        half = OVERLAP / 2
        return (
            left + half * self.has(row, column - 1),
            bottom + half * self.has(row + 1, column),
            right - half * self.has(row, column + 1),
            top - half * self.has(row - 1, column),
        )

    def crosses_of(self, row: int, column: int) -> list[Cross]:
        """The crosses of one sheet: those that another printed sheet has too."""
        corners = ((j, i) for j in (row, row + 1) for i in (column, column + 1))
        return [self._cross(j, i) for j, i in corners if self._sheets_at(j, i) > 1]

    def has(self, row: int, column: int) -> bool:
        """Whether that sheet is printed."""
        return (row, column) in self._printed

    @cached_property
    def _printed(self) -> frozenset[Spot]:
        return frozenset(self.kept)

    def _sheets_at(self, j: int, i: int) -> int:
        return sum(self.has(row, column) for row in (j - 1, j) for column in (i - 1, i))

    def _cross(self, j: int, i: int) -> Cross:
        wide, high = self.window
        x = self.left + i * (wide - OVERLAP) + OVERLAP / 2
        return Cross(f"{_letters(j)}{i}", x, self.top - j * (high - OVERLAP) - OVERLAP / 2)


class Cross(NamedTuple):
    """A mark that lies on the same place of the sign on all sheets that have it; `name` is the same on them."""

    name: str
    x: float
    y: float


def _letters(place: int) -> str:
    """0 is A, 25 is Z, 26 is AA."""
    return (_letters(place // 26 - 1) if place > 25 else "") + chr(65 + place % 26)


def laid_out(drawing: Drawing, paper: str) -> Layout:
    """The sheets of a drawing on one of 'long', 'a4', 'letter': upright or on their side, whichever takes fewer."""
    if paper == "long":
        return _long(drawing)
    wide, high = PAPERS[paper]
    return min(
        (_tiled(drawing, page) for page in ((wide, high), (high, wide))),
        key=lambda one: len(one.kept),
    )


def _long(drawing: Drawing) -> Layout:
    """One page as large as the drawing; where that is longer than a PDF's page may be, several of them."""
    left, bottom, right, top = drawing.extent
    wide = max(right - left, LEAST_LONG)
    foot = FOOT + GAP + note_block(notes_of(drawing), wide).height
    page = (wide + 2 * EDGE, top - bottom + 2 * EDGE + foot)
    if max(page) <= LONGEST:
        window = (wide, top - bottom)
        return Layout(
            page, window, (left + right - wide) / 2, top, 1, 1, ((0, 0),), foot, is_long=True
        )
    within = (min(page[0], LONGEST), min(page[1], LONGEST))
    return replace(_tiled(drawing, within, shares_evenly=True), is_long=True)


def _tiled(drawing: Drawing, page: tuple[float, float], *, shares_evenly: bool = False) -> Layout:
    left, bottom, right, top = drawing.extent
    most = (page[0] - 2 * EDGE, page[1] - 2 * EDGE - FOOT - GAP)
    columns, rows = _count(right - left, most[0]), _count(top - bottom, most[1])
    window = most
    if shares_evenly:  # a page may be as long as it needs to be
        window = (_even(right - left, columns), _even(top - bottom, rows))
        window = (max(window[0], min(LEAST_LONG, most[0])), window[1])
        page = (window[0] + 2 * EDGE, window[1] + 2 * EDGE + FOOT + GAP)
    spare_x = columns * (window[0] - OVERLAP) + OVERLAP - (right - left)
    spare_y = rows * (window[1] - OVERLAP) + OVERLAP - (top - bottom)
    made = Layout(
        page, window, left - spare_x / 2, top + spare_y / 2, rows, columns, (), FOOT + GAP
    )
    return replace(made, kept=_kept(made, drawing))


def _count(length: float, window: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (window - OVERLAP) - 1e-9))


def _even(length: float, count: int) -> float:
    return (length - OVERLAP) / count + OVERLAP


def _kept(layout: Layout, drawing: Drawing) -> tuple[Spot, ...]:
    """The sheets on which a line of the drawing runs, and those that it takes to join them; one at least."""
    windows = shapely.box(*zip(*(layout.window_of(*place) for place in layout.places), strict=True))
    found, _ = shapely.STRtree(lines_of(drawing)).query(windows, predicate="intersects")
    bearing = {layout.places[n] for n in found.tolist()} or {(0, 0)}
    return tuple(sorted(_hanging_together(bearing, layout.rows, layout.columns)))


def _hanging_together(bearing: set[Spot], rows: int, columns: int) -> set[Spot]:
    """The sheets, and with them the fewest empty ones that join each group to what is joined already: a sheet on its own
    could not be laid in its place."""
    joined: set[Spot] = set()
    reached = [min(bearing)]
    while reached:
        joined.update(reached)
        while reached:
            new = [
                spot for spot in _beside(reached.pop()) if spot in bearing and spot not in joined
            ]
            joined.update(new)
            reached += new
        reached = _way_to(joined, bearing - joined, rows, columns)
    return joined


def _beside(spot: Spot) -> tuple[Spot, ...]:
    row, column = spot
    return (row, column + 1), (row, column - 1), (row + 1, column), (row - 1, column)


def _way_to(joined: set[Spot], rest: set[Spot], rows: int, columns: int) -> list[Spot]:
    """The shortest way over sheets side by side from those that are joined to one of the rest; none where all are."""
    came_from: dict[Spot, Spot | None] = dict.fromkeys(sorted(joined))
    waiting = deque(came_from)
    while waiting and rest:
        here = waiting.popleft()
        if here in rest:
            way = []
            step: Spot | None = here
            while step is not None and step not in joined:
                way.append(step)
                step = came_from[step]
            return way
        for spot in _beside(here):
            if spot not in came_from and 0 <= spot[0] < rows and 0 <= spot[1] < columns:
                came_from[spot] = here
                waiting.append(spot)
    return []


def lines_of(drawing: Drawing) -> list[shapely.LineString]:
    """The strokes of a drawing as lines, closed ones with their last side."""
    return [
        shapely.LineString(
            [*stroke.points, stroke.points[0]] if stroke.is_closed else stroke.points
        )
        for stroke in drawing.strokes
    ]


def notes_of(drawing: Drawing, *, has_heading: bool = True) -> list[str]:
    """How a drawing is used: all that a long page says of it, its caution first."""
    notes = (drawing.heading if has_heading else "", drawing.caution, *drawing.notes)
    return [note for note in notes if note]


@dataclass(frozen=True)
class NoteBlock:
    """Where the notes of a long page go: so many `lines` in each column of `wide` mm, beside the test line or under."""

    wide: float
    lines: int
    is_beside: bool

    @property
    def height(self) -> float:
        """What the block adds to the foot."""
        return 0.0 if self.is_beside else self.lines * NOTE_LINE + 2.0


def note_block(notes: Sequence[str], wide: float) -> NoteBlock:
    """The notes beside the test line where all fit there, else under it; by what letters take at most."""
    lines = sum(math.ceil(len(note) * NOTE_LETTER / NOTE_COLUMN) for note in notes)
    high = int(FOOT / NOTE_LINE)
    if math.ceil(lines / high) * NOTE_COLUMN <= wide - BESIDE:
        return NoteBlock(NOTE_COLUMN, high, is_beside=True)
    return NoteBlock(
        NOTE_COLUMN, math.ceil(lines / max(1, int(wide // NOTE_COLUMN))), is_beside=False
    )
