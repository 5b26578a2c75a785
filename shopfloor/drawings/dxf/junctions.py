"""What is still open when all ends are joined: doubles, overlaps, lines that meet in between, and real gaps.

Owns the choice between dropping, taking as one, dividing and refusing. Works on one layer. Lengths are millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely
from shapely import LinearRing, LineString, Polygon, STRtree

from ...domain.errors import Refused
from ...domain.outlines import Point
from ...wording import mended
from ...wording import reading as wording
from ..areas import GRID_MM
from ..findings import Findings
from ..mending import BRIDGED_MM
from .overlaps import merged
from .rings import Ring, Row, Stroke, join, ring_of

ON_IT_MM = 0.06  # two chords of one curve lie no further apart, each being within 0.05 mm of it on its inner side
TOUCHES_MM = 0.001
NEARBY_MM = (
    5.0  # a lone line that ends so near to another is a gap; further off it is a mark of its own
)


def settled(rows: list[Row], rings: list[Ring], findings: Findings) -> list[Ring]:
    """The rings of one layer once its open rows are settled. Raises Refused where one stays open."""
    rows = _without_doubles(rows, rings, findings)
    rows, has_merged = merged(rows, findings) if rows else (rows, False)
    if has_merged:
        more, rows = join(rows, findings)
        rings = rings + more
        rows = _without_doubles(rows, rings, findings)
    if not rows:
        return rings
    rings, rows = _divided(rows, rings, findings)
    _leave_lines_out(rows, findings)
    return rings


def _without_doubles(rows: list[Row], rings: list[Ring], findings: Findings) -> list[Row]:
    """Rows that lie on outlines of their layer from end to end are drawn twice, and dropped."""
    if not rows or not rings:
        return rows
    around = [LinearRing(ring.points) for ring in rings if len(ring.points) > 2]
    tree, kept = STRtree(around), []
    for row in rows:
        line = LineString(row.points)
        near = [around[one] for one in tree.query(line, predicate="dwithin", distance=ON_IT_MM)]
        left, bottom, right, top = line.bounds
        beside = [
            shapely.clip_by_rect(ring, left - 1, bottom - 1, right + 1, top + 1) for ring in near
        ]
        if near and shapely.union_all(shapely.buffer(beside, ON_IT_MM)).covers(line):
            message = mended.line_on_an_outline(row.spoken, *row.points[0])
            findings.add("double", message, row.points[0], row.points)
        else:
            kept.append(row)
    return kept


def _divided(
    rows: list[Row], rings: list[Ring], findings: Findings
) -> tuple[list[Ring], list[Row]]:
    """Where rows meet each other or rings in between so that everything closes, each cell is an outline."""
    lines = [LineString(row.points) for row in rows]
    lines += [LinearRing(ring.points) if len(ring.points) > 2 else LineString() for ring in rings]
    gone: set[int] = set()
    found: list[Ring] = []
    left: list[Row] = []
    for group in _touching(lines, len(rows)):
        cells = _cells([lines[one] for one in group])
        ours = [rows[one] for one in group if one < len(rows)]
        if cells is None:
            left += ours
            continue
        gone.update(one - len(rows) for one in group if one >= len(rows))
        strokes = [stroke for row in ours for stroke in row.strokes]
        touched = [rings[one - len(rows)] for one in group if one >= len(rows)]
        theirs = [
            (Polygon(ring.points).buffer(0), ring) for ring in touched if len(ring.points) > 2
        ]
        found += [_cell(cell, theirs, strokes) for cell in cells]
        start = ours[0].points[0]
        message = mended.lines_meet(ours[0].spoken, *start, len(cells))
        findings.add("meeting", message, start, ours[0].points)
    return [ring for place, ring in enumerate(rings) if place not in gone] + found, left


def _touching(lines: list[Any], count: int) -> list[list[int]]:
    """Groups of lines that touch each other, each with one of the first `count` in it (the open ones) at least."""
    tree = STRtree(lines)
    group_of: dict[int, int] = {}
    groups: list[list[int]] = []
    for start in range(count):
        if start in group_of:
            continue
        group, waiting = [], [start]
        group_of[start] = len(groups)
        while waiting:
            one = waiting.pop()
            group.append(one)
            if one >= count:
                continue  # rings that touch only through other rings stay whole
            for other in tree.query(lines[one], predicate="dwithin", distance=TOUCHES_MM).tolist():
                if other not in group_of or (
                    other >= count and other not in group and other not in waiting
                ):
                    group_of[other] = len(groups)
                    waiting.append(other)
        groups.append(sorted(group))
    return groups


def _cells(lines: list[Any]) -> list[Polygon] | None:
    """The cells that the lines enclose; None where there is none, or where a line ends in the open.

    Ends that run past a crossing by less than half a millimetre are cut off.
    """
    noded = shapely.union_all(lines, grid_size=GRID_MM)
    cells, cuts, dangles, invalid = shapely.polygonize_full(shapely.get_parts(noded).tolist())
    loose = [*shapely.get_parts(cuts).tolist(), *shapely.get_parts(dangles).tolist()]
    is_whole = all(line.length <= BRIDGED_MM for line in loose) and shapely.is_empty(invalid)
    return shapely.get_parts(cells).tolist() or None if is_whole else None


def _cell(cell: Polygon, rings: list[tuple[Polygon, Ring]], strokes: list[Stroke]) -> Ring:
    """The cell as a ring of its own: a piece of the smallest ring that it lies in, else made of the strokes."""
    points = list(cell.exterior.coords)[:-1]
    inside = cell.representative_point()
    around = [(area.area, place) for place, (area, _) in enumerate(rings) if area.covers(inside)]
    return replace(rings[min(around)[1]][1], points=points) if around else ring_of(points, strokes)


def _leave_lines_out(rows: list[Row], findings: Findings) -> None:
    """Straight lines that touch nothing are marks; whatever else is open is refused by the place of its gap."""
    if not rows:
        return
    ends = [(row.points[at], place) for place, row in enumerate(rows) for at in (0, -1)]
    tree = STRtree(shapely.points([point for point, _ in ends]))
    crossings = _crossings(rows)
    for place, row in enumerate(rows):
        gap, at = _nearest_gap(row, place, ends, tree)
        if math.isfinite(gap):
            raise Refused(wording.open_outline(row.spoken, gap, *at))
        if place in crossings:
            raise Refused(wording.lines_cross(row.spoken, *crossings[place]))
        message = mended.lone_line_left_out(row.spoken, *row.points[0])
        findings.add("line", message, row.points[0], row.points)


def _crossings(rows: list[Row]) -> dict[int, tuple[float, float]]:
    """Rows that meet another one, each with a place where they do."""
    lines = [LineString(row.points) for row in rows]
    ones, others = STRtree(lines).query(lines, predicate="dwithin", distance=TOUCHES_MM)
    found = {}
    for one, other in zip(ones.tolist(), others.tolist(), strict=True):
        if one != other and one not in found:
            place = shapely.shortest_line(lines[one], lines[other])
            found[one] = place.coords[0]
    return found


def _nearest_gap(
    row: Row, place: int, ends: Sequence[tuple[Point, int]], tree: STRtree
) -> tuple[float, tuple[float, float]]:
    """(mm, where) to the nearest other loose end; infinite for a straight line that touches nothing."""
    best = (math.inf, row.points[-1])
    if len(row.strokes) > 1 or len(row.points) > 2:
        best = (math.dist(row.points[0], row.points[-1]), row.points[-1])
    for at in (0, -1):
        reach = min(best[0], NEARBY_MM)
        for near in tree.query(
            shapely.Point(row.points[at]), predicate="dwithin", distance=reach
        ).tolist():
            point, owner = ends[near]
            if owner != place and math.dist(point, row.points[at]) < best[0]:
                best = (math.dist(point, row.points[at]), row.points[at])
    return best
