"""The order in which a sheet's outlines are cut.

Owns that order and the travel between the cuts. Must not know about speeds, places of tabs or pages. Millimetres and
square millimetres, y up, everything in the sheet's own frame.

The reasons, all common practice:

- *Inside before outside*: a hole is cut while its piece is still fast to the sheet, and a piece that lies in another's
  hole before that hole, since the waste round it comes free with the hole.
- *Small before large*: every open cut leaks, so the vacuum is best at the start, and small pieces give it the least area.
- *Away from free pieces*: beside a free piece the sheet has lost stiffness and vacuum, and a cutter that passes close
  by can take the free piece along. What tabs or tape hold does not come free.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon, STRtree

from ..outlines import Outline

Laid = tuple[
    str, Outline, str
]  # a piece's key, its outline on the sheet, its hold-down: full, skin, tabs or tape
Numbers = npt.NDArray[np.intp]

CLASS = 4  # the net areas of one size class differ by less than this factor: a choice, so that travel stays short
STAYS = ("tabs", "tape")  # held until the sheet is off the table
CLEAR_MM = 15.0  # of sheet between two cuts and neither moves the other: two cutter widths and 2 mm, from memory
BESIDE_FREE, BESIDE_LAST = (
    1e6,
    2e6,
)  # mm: longer than any sheet, so that the nearest is chosen only among equals


@dataclass(frozen=True)
class Run:
    """One closed cut: the piece's key and the number of the ring (0 the outer)."""

    key: str
    ring: int


def size_class(area_mm2: float) -> int:
    """Return the size class of a net area: 0 up to 4 mm², then one more for each factor of four."""
    return max(0, math.floor(math.log(max(area_mm2, 1.0), CLASS)))


def cutting_order(pieces: Sequence[Laid], *, clear_mm: float = CLEAR_MM) -> tuple[Run, ...]:
    """Return every ring of every piece once, in cutting order; the same pieces always get the same order.

    Size class after size class; within one, next comes the nearest piece that has more than `clear_mm` of sheet to every
    free one; if there is none, the nearest that is not beside the piece just freed; if there is none, the nearest. The
    cutter begins at (0, 0). A piece with others in its holes waits for them, and so for their class.
    """
    runs: list[Run] = []
    at = 0j
    for index in _sequence(pieces, clear_mm):
        key, outline, _ = pieces[index]
        for ring in _rings_in_order(outline, at):
            runs.append(Run(key, ring))
            at = complex(*outline.rings[ring][0])
    return tuple(runs)


def _sequence(pieces: Sequence[Laid], clear_mm: float) -> list[int]:
    """Return the pieces' numbers in cutting order."""
    if not pieces:
        return []
    holders = _holders([outline for _, outline, _ in pieces])
    layout = _Layout(pieces, clear_mm, holders)
    sequence: list[int] = []
    at = 0j
    for size in np.unique(layout.sizes):
        left = np.flatnonzero(layout.sizes == size)
        while len(left):
            chosen = int(np.argmin(layout.far(left, at)))
            number = int(left[chosen])
            left = np.delete(left, chosen)
            layout.cut(number)
            sequence.append(number)
            at = layout.starts[number]
    return sequence


class _Layout:
    """The pieces on the sheet, and what is free so far."""

    def __init__(self, pieces: Sequence[Laid], clear_mm: float, holders: list[list[int]]):
        outlines = [outline for _, outline, _ in pieces]
        self.holders = holders
        self.starts = np.array([complex(*outline.rings[0][0]) for outline in outlines])
        self.comes_free = [way not in STAYS for _, _, way in pieces]
        self.beside = _beside([outline.polygon for outline in outlines], clear_mm)
        self.sizes = _sizes(outlines, holders)
        self.waits_for = np.bincount(
            [holder for of_piece in holders for holder in of_piece], minlength=len(pieces)
        )
        self.level = np.zeros(len(pieces))
        self.last = np.empty(0, dtype=int)

    def far(self, numbers: Numbers, at: complex) -> npt.NDArray[np.float64]:
        """Return how far away each of these pieces is, in mm; those beside a free one count as further than all others."""
        far: npt.NDArray[np.float64] = np.abs(self.starts[numbers] - at) + self.level[numbers]
        far[self.waits_for[numbers] > 0] = math.inf
        return far.round(6)

    def cut(self, number: int) -> None:
        """Note that a piece is cut: it may be free, and the pieces that waited for it wait no longer."""
        self.level[self.last] = BESIDE_FREE
        self.last = self.beside[number] if self.comes_free[number] else np.empty(0, dtype=int)
        self.level[self.last] = BESIDE_LAST
        self.waits_for[self.holders[number]] -= 1


def _rings_in_order(outline: Outline, at: complex) -> list[int]:
    """Return the holes, the nearest each time, then the outer ring."""
    begins = np.array([complex(*ring[0]) for ring in outline.rings])
    left = np.arange(1, len(begins))
    order = []
    while len(left):
        chosen = int(np.argmin(np.abs(begins[left] - at).round(6)))
        order.append(int(left[chosen]))
        at = begins[order[-1]]
        left = np.delete(left, chosen)
    return [*order, 0]


def _holders(outlines: Sequence[Outline]) -> list[list[int]]:
    """Return for each piece the pieces in whose holes it lies. Pieces do not cross, so one point of each decides."""
    holes = [
        (number, Polygon(ring))
        for number, outline in enumerate(outlines)
        for ring in outline.rings[1:]
    ]
    held: list[list[int]] = [[] for _ in outlines]
    if holes:
        tree = STRtree([shapely.Point(outline.rings[0][0]) for outline in outlines])
        for hole, inner in tree.query(
            [polygon for _, polygon in holes], predicate="contains"
        ).T.tolist():
            held[inner].append(holes[hole][0])
    return held


def _sizes(outlines: Sequence[Outline], holders: list[list[int]]) -> Numbers:
    """Return each piece's size class, at least that of the pieces in its holes."""
    sizes = [size_class(outline.area_mm2) for outline in outlines]
    whole = [Polygon(outline.rings[0]).area for outline in outlines]
    # what lies inside is smaller as a whole
    for number in sorted(range(len(outlines)), key=whole.__getitem__):
        for holder in holders[number]:
            sizes[holder] = max(sizes[holder], sizes[number])
    return np.array(sizes)


def _beside(polygons: Sequence[Polygon], clear_mm: float) -> list[Numbers]:
    """Return for each piece the others that are at most `clear_mm` away."""
    piece, other = STRtree(polygons).query(polygons, predicate="dwithin", distance=clear_mm)
    piece, other = piece[piece != other], other[piece != other]
    by_piece = np.argsort(piece, kind="stable")
    return np.split(other[by_piece], np.cumsum(np.bincount(piece, minlength=len(polygons)))[:-1])
