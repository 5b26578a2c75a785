"""Where a plan puts its screws on one bottom part: in straight rows and columns where the outline and what lies on it allow.

Owns the places and what is said of those that were moved. What size a hole has there stands in fixings.py. Lengths mm on the
sign, y up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, Polygon, STRtree
from shapely.ops import nearest_points

from ..outlines import Outline
from .expansion import at_least

STEP_MM = 1.0  # rows are moved in by whole ones: figures that can be measured
MOST_IN = 0.25  # of the shorter side: rows are not moved in any further


@dataclass(frozen=True)
class FixingPlan:
    """How a sign is to be fixed: screws, their distance from the edges, how many across and up on each bottom part."""

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
    """What lies on the bases, found quickly however many letters there are."""

    def __init__(self, covers: Sequence[Cover], clear_mm: float):
        """`clear_mm` is how far from a part a screw must stand so that its head does not lie under it."""
        self.names = [cover.name for cover in covers if not cover.is_let_in]
        self.shapes = [cover.outline.polygon for cover in covers if not cover.is_let_in]
        self.tree = STRtree(self.shapes)
        self.clear_mm = clear_mm

    def over(self, place: shapely.Geometry, reach_mm: float) -> str | None:
        """The name of what is no further from a place than this, None where there is nothing."""
        found = self.tree.query(place, predicate="dwithin", distance=reach_mm)
        return self.names[min(found)] if len(found) else None

    def hides(self, place: Point) -> bool:
        """Whether a screw here would lie under something, with its head."""
        return self.over(place, self.clear_mm) is not None

    def free_of(self, area: shapely.Geometry) -> shapely.Geometry:
        """An area less all that lies on it with the room for a screw's head."""
        wide = [
            self.shapes[at].buffer(1.006 * self.clear_mm + 0.01) for at in self.tree.query(area)
        ]  # outside its chords
        return area.difference(shapely.union_all(wide)) if wide else area


def places_of(
    plan: FixingPlan, shape: Polygon, above: Above, units: str
) -> tuple[list[Point], list[str]]:
    """Where the plan puts its screws on one bottom part, in reading order, and what was moved: rows and columns together
    where the outline asks for it, single holes where that will not do or a part would lie over them. Empty: no room."""
    edge, said = plan.edge_mm, []
    allowed = shape.buffer(
        -(1.0004 * edge + 0.001), quad_segs=32
    )  # round corners are drawn as chords
    if allowed.is_empty:
        return [], said
    away = _straight(plan, shape, above)
    if away:
        wishes = _grid(plan, shape, away)
        said += _moved_in(away, edge, units)
    else:
        wishes = [_inside(wish, shape, allowed, edge) for wish in _grid(plan, shape, (edge, edge))]
        said.append(
            "the outline leaves no room for straight rows: holes stand at the nearest place that has it."
        )
    if not any(map(above.hides, wishes)):
        return wishes, said
    left, bottom, right, top = shape.bounds
    reach = (
        min(
            (right - left - 2 * edge) / max(1, plan.columns - 1),
            (top - bottom - 2 * edge) / max(1, plan.rows - 1),
        )
        / 2
    )
    free = above.free_of(allowed)
    places = [_beside(wish, free, reach) if above.hides(wish) else wish for wish in wishes]
    if places != wishes:
        said.append("some holes stand out of line: they were moved aside from under a part.")
    return places, said


def _straight(plan: FixingPlan, shape: Polygon, above: Above) -> tuple[float, float] | None:
    """How far the outermost columns and rows stand from the edges of the shape's box, where every hole has its room in
    straight rows: as planned; else columns, rows or both moved in together, whichever brings the fewest holes near a part,
    and of those the one that moves least. None where none of them fits."""
    edge, room = plan.edge_mm, shape.buffer(-(plan.edge_mm - 1e-4))
    if _has_room(plan, shape, (edge, edge)):
        return edge, edge
    shapely.prepare(room)
    left, bottom, right, top = shape.bounds
    steps = np.arange(
        math.floor(edge) + 1, edge + MOST_IN * min(right - left, top - bottom), STEP_MM
    ).tolist()

    def first(ways: Iterable[tuple[float, float]]) -> tuple[float, float] | None:
        fits = (
            away
            for away in ways
            if shapely.contains_xy(room, *np.meshgrid(*_lines(plan, shape, away))).all()
        )
        return next((away for away in fits if _has_room(plan, shape, away)), None)

    def near(away: tuple[float, float]) -> tuple[int, float]:
        return sum(
            above.over(place, 2 * above.clear_mm) is not None for place in _grid(plan, shape, away)
        ), sum(away)

    ways = (
        [(step, edge) for step in steps],
        [(edge, step) for step in steps],
        [(step, step) for step in steps],
    )
    return min(filter(None, map(first, ways)), key=near, default=None)


def _has_room(plan: FixingPlan, shape: Polygon, away: tuple[float, float]) -> bool:
    places = _grid(plan, shape, away)
    if not shapely.contains(shape, places).all():
        return False
    return bool(shapely.distance(shape.boundary, places).min() >= plan.edge_mm - 1e-6)


def _moved_in(away: tuple[float, float], edge: float, units: str) -> list[str]:
    """What is said of columns and rows that were moved in."""
    lines = [(far, called) for far, called in zip(away, ("columns", "rows")) if far > edge]
    if not lines:
        return []
    called = " and ".join(called for _, called in reversed(lines))
    far, asked = (at_least(mm, units) for mm in (lines[0][0], edge))
    return [
        f"the outer {called} stand {far} from the edges, not {asked}: moved in together, away from the outline's corners."
    ]


def _lines(
    plan: FixingPlan, shape: Polygon, away: tuple[float, float]
) -> tuple[list[float], list[float]]:
    """The columns' x and the rows' y, the outermost so far from the edges of the shape's box."""
    left, bottom, right, top = shape.bounds
    across, up = away
    return _spread(left + across, right - across, plan.columns), _spread(
        bottom + up, top - up, plan.rows
    )


def _grid(plan: FixingPlan, shape: Polygon, away: tuple[float, float]) -> list[Point]:
    xs, ys = _lines(plan, shape, away)
    return [Point(x, y) for y in reversed(ys) for x in xs]


def _spread(least: float, most: float, count: int) -> list[float]:
    if count == 1:
        return [(least + most) / 2]
    return [least + (most - least) * nth / (count - 1) for nth in range(count)]


def _inside(wish: Point, shape: Polygon, allowed: shapely.Geometry, edge: float) -> Point:
    if shape.contains(wish) and shape.boundary.distance(wish) >= edge - 1e-6:
        return wish
    return nearest_points(allowed, wish)[0]


def _beside(wish: Point, free: shapely.Geometry, reach: float) -> Point:
    """The nearest place under nothing; the wish itself where that is further than half way to the next hole."""
    if free.is_empty:
        return wish
    aside = nearest_points(free, wish)[0]
    return aside if aside.distance(wish) <= reach else wish
