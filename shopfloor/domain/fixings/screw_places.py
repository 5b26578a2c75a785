"""Where a plan puts its screws on one bottom part: in straight rows and columns where the outline and parts on it allow.

Owns the places, and what was moved; fixings.py decides the size of a hole. Lengths mm on the sign, y up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, Polygon, STRtree
from shapely.ops import nearest_points

from ...wording import fixings as wording
from ...wording.message import Message
from ..outlines import Outline

STEP_MM = 1.0  # rows are moved in to whole millimetres, which can be measured
MOST_IN = 0.25  # rows are moved in by this share of the shorter side at most


@dataclass(frozen=True)
class FixingPlan:
    """How a sign is screwed on: the screw, the distance from the edges, how many across and up on each bottom part."""

    screw_mm: float
    edge_mm: float
    columns: int
    rows: int
    wall: str
    wall_per_k: float


@dataclass(frozen=True)
class Cover:
    """A part that lies on a base; or, `is_let_in`, that fills a hole of it."""

    name: str
    outline: Outline
    is_let_in: bool = False


class Above:
    """The parts that lie on the bases, indexed so that thousands of letters are searched quickly."""

    def __init__(self, covers: Sequence[Cover], clear_mm: float):
        """`clear_mm` is how far from a part a screw must be so that its head is not under it."""
        self.names = [cover.name for cover in covers if not cover.is_let_in]
        self.shapes = [cover.outline.polygon for cover in covers if not cover.is_let_in]
        self.tree = STRtree(self.shapes)
        self.clear_mm = clear_mm

    def over(self, place: shapely.Geometry, reach_mm: float) -> str | None:
        """The name of a part no further from a place than this, None where there is none."""
        near = self.tree.query(place, predicate="dwithin", distance=reach_mm)
        return self.names[min(near)] if len(near) else None

    def hides(self, place: Point) -> bool:
        """Whether a screw here, with its head, would be under a part."""
        return self.over(place, self.clear_mm) is not None

    def free_of(self, area: shapely.Geometry) -> shapely.Geometry:
        """An area without the parts on it, each with room for a screw's head round it."""
        # a little wider: a buffer's round corners are chords
        buffer_mm = 1.006 * self.clear_mm + 0.01
        wide = [self.shapes[index].buffer(buffer_mm) for index in self.tree.query(area)]
        return area.difference(shapely.union_all(wide)) if wide else area


def places_of(plan: FixingPlan, shape: Polygon, above: Above) -> tuple[list[Point], list[Message]]:
    """Where the plan puts its screws on one bottom part, in reading order, and what was moved: rows and columns together
    where the outline needs it, single holes where that is not enough or a part would lie over them. Empty: no room."""
    edge = plan.edge_mm
    notes: list[Message] = []
    # shrunk a little further: round corners are drawn as chords
    allowed = shape.buffer(-(1.0004 * edge + 0.001), quad_segs=32)
    if allowed.is_empty:
        return [], notes
    insets = _straight(plan, shape, above)
    if insets:
        wishes = _grid(plan, shape, insets)
        notes += _moved_in(insets, edge)
    else:
        wishes = [_inside(wish, shape, allowed, edge) for wish in _grid(plan, shape, (edge, edge))]
        notes.append(wording.no_straight_rows())
    if not any(map(above.hides, wishes)):
        return wishes, notes
    left, bottom, right, top = shape.bounds
    across = (right - left - 2 * edge) / max(1, plan.columns - 1)
    up = (top - bottom - 2 * edge) / max(1, plan.rows - 1)
    free, reach = above.free_of(allowed), min(across, up) / 2
    places = [_beside(wish, free, reach) if above.hides(wish) else wish for wish in wishes]
    if places != wishes:
        notes.append(wording.moved_aside())
    return places, notes


def _straight(plan: FixingPlan, shape: Polygon, above: Above) -> tuple[float, float] | None:
    """How far the outermost (columns, rows) are from the edges of the shape's box, where every hole has room in straight
    rows: as planned; else columns, rows or both moved in together, whichever brings the fewest holes near a part, and of
    those the one that moves least. None where none of them fits."""
    edge, room = plan.edge_mm, shape.buffer(-(plan.edge_mm - 1e-4))
    if _has_room(plan, shape, (edge, edge)):
        return edge, edge
    shapely.prepare(room)
    left, bottom, right, top = shape.bounds
    farthest = edge + MOST_IN * min(right - left, top - bottom)
    steps = np.arange(math.floor(edge) + 1, farthest, STEP_MM).tolist()

    def first(candidates: Iterable[tuple[float, float]]) -> tuple[float, float] | None:
        for insets in candidates:
            is_inside = shapely.contains_xy(room, *np.meshgrid(*_lines(plan, shape, insets)))
            if is_inside.all() and _has_room(plan, shape, insets):
                return insets
        return None

    def nearness(insets: tuple[float, float]) -> tuple[int, float]:
        near = [above.over(place, 2 * above.clear_mm) for place in _grid(plan, shape, insets)]
        return sum(name is not None for name in near), sum(insets)

    columns_in = first((step, edge) for step in steps)
    rows_in = first((edge, step) for step in steps)
    both_in = first((step, step) for step in steps)
    fitting = [insets for insets in (columns_in, rows_in, both_in) if insets]
    return min(fitting, key=nearness, default=None)


def _has_room(plan: FixingPlan, shape: Polygon, insets: tuple[float, float]) -> bool:
    places = _grid(plan, shape, insets)
    is_off_the_edge = shapely.distance(shape.boundary, places).min() >= plan.edge_mm - 1e-6
    return bool(is_off_the_edge and shapely.contains(shape, places).all())


def _moved_in(insets: tuple[float, float], edge: float) -> list[Message]:
    """What is said of columns and rows that were moved in."""
    columns, rows = insets
    which = "both" if min(insets) > edge else "columns" if columns > edge else "rows"
    return [wording.moved_in(which, max(columns, rows), edge)] if max(insets) > edge else []


def _lines(
    plan: FixingPlan, shape: Polygon, insets: tuple[float, float]
) -> tuple[list[float], list[float]]:
    """The columns' x and the rows' y, the outermost at these insets from the edges of the shape's box."""
    left, bottom, right, top = shape.bounds
    across, up = insets
    columns = _spread(left + across, right - across, plan.columns)
    return columns, _spread(bottom + up, top - up, plan.rows)


def _grid(plan: FixingPlan, shape: Polygon, insets: tuple[float, float]) -> list[Point]:
    xs, ys = _lines(plan, shape, insets)
    return [Point(x, y) for y in reversed(ys) for x in xs]


def _spread(least: float, most: float, count: int) -> list[float]:
    if count == 1:
        return [(least + most) / 2]
    return [least + (most - least) * nth / (count - 1) for nth in range(count)]


def _inside(wish: Point, shape: Polygon, allowed: shapely.Geometry, edge: float) -> Point:
    if shape.contains(wish) and shape.boundary.distance(wish) >= edge - 1e-6:
        return wish
    place: Point = nearest_points(allowed, wish)[0]
    return place


def _beside(wish: Point, free: shapely.Geometry, reach: float) -> Point:
    """The nearest place that is under nothing; the wish itself where that is more than half way to the next hole."""
    if free.is_empty:
        return wish
    aside: Point = nearest_points(free, wish)[0]
    return aside if aside.distance(wish) <= reach else wish
