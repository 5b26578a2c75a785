"""The figures of the project on this machine: `shopfloor measure`.

Owns which figures there are and how they are named. What is compared is measured in one run, in turns, and given as a ratio,
so that a slow or a busy machine changes both sides alike; each value is a median, so that one slow moment does not count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from ..domain.errors import Refused
from . import drawing, families, marks, nests, pages, paper, squares
from .figure import Figure

__all__ = ["GROUPS", "Figure", "figures"]

# What is measured together, with the names of its figures.
GROUPS: tuple[tuple[Callable[[], Iterator[Figure]], tuple[str, ...]], ...] = (
    (marks.measure, ("marks", "mark-p95", "tap-p95", "commits", "bare-marks", "marks-of-bare")),
    (pages.growth, ("floor-few", "floor-many", "floor-growth")),
    (pages.first_visit, ("first-visit",)),
    (pages.demo_start, ("demo-start",)),
    (drawing.measure, ("read-100", "read-1000", "read-10000", "read-growth")),
    (families.measure, ("families-500", "families-5000", "families-growth")),
    (nests.measure, ("nest-yield", "box-yield", "shelf-yield", "nest-gain")),
    (nests.times, ("nest-1s", "nest-5s", "nest-30s")),
    (squares.measure, ("squares-length", "squares-long")),
    (paper.measure, ("labels",)),
)


def figures(names: Sequence[str] = ()) -> Iterator[Figure]:
    """The figures that are named, or all, one by one as they are measured. Raises Refused for a name that there is not."""
    known = [name for _, some in GROUPS for name in some]
    for name in names:
        if name not in known:
            raise Refused(f"There is no figure '{name}': name some of {', '.join(known)}.")
    return _measured(set(names or known))


def _measured(wanted: set[str]) -> Iterator[Figure]:
    for measure, names in GROUPS:
        if wanted & set(names):
            yield from (figure for figure in measure() if figure.name in wanted)
