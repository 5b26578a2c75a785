"""Straight lines that lie on each other, and arcs of one circle that do, are taken as one.

Owns the test whether they do and their union. Works on what would not close otherwise. Lengths are millimetres.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import LineString, STRtree

from ...domain.outlines import Point
from ...wording import mended
from ..arcs import EllipticalArc
from ..findings import Findings
from .curves import Polyline, drawn
from .rings import Row, Stroke

SAME_MM = 0.01  # further apart, two lines are two
LEAST_MM = 0.05  # a shared stretch shorter than this is a meeting of ends


def merged(rows: list[Row], findings: Findings) -> tuple[list[Row], bool]:
    """The rows' lines and arcs as rows of their own, those that overlap made one; the rows as they are if none does."""
    strokes = sorted(
        (stroke for row in rows for stroke in row.strokes), key=lambda stroke: stroke.order
    )
    groups = _groups(strokes)
    if all(len(group) == 1 for group in groups):
        return rows, False
    found = []
    for group in groups:
        first = group[0]
        if len(group) > 1:
            start = first.track.points[0]
            message = mended.lines_overlap(first.drawn.layer, *start)
            findings.add("double", message, start, first.track.points)
            union = _union_of_bows if first.track.bow else _union_of_lines
            first = replace(first, track=union([stroke.track for stroke in group]))
        track = first.track
        found.append(
            Row([*track.points, *track.points[:1]] if track.is_closed else track.points, (first,))
        )
    return found, True


def _groups(strokes: list[Stroke]) -> list[list[Stroke]]:
    """Strokes chained by overlaps, in the order of their first."""
    lines = [LineString(stroke.track.points) for stroke in strokes]
    ones, others = STRtree(lines).query(lines, predicate="dwithin", distance=SAME_MM)
    home = list(range(len(strokes)))

    def root(one: int) -> int:
        while home[one] != one:
            home[one] = home[home[one]]
            one = home[one]
        return one

    for one, other in zip(ones.tolist(), others.tolist(), strict=True):
        if (
            one < other
            and root(one) != root(other)
            and _overlap(strokes[one].track, strokes[other].track)
        ):
            low, high = sorted((root(one), root(other)))
            home[high] = low
    groups: dict[int, list[Stroke]] = {}
    for place, stroke in enumerate(strokes):
        groups.setdefault(root(place), []).append(stroke)
    return list(groups.values())


def _overlap(one: Polyline, other: Polyline) -> bool:
    if one.bow and other.bow:
        return _bows_overlap(one.bow, other.bow)
    is_straight = len(one.points) == len(other.points) == 2 and not (one.bow or other.bow)
    return is_straight and _lines_overlap(one.points, other.points)


def _lines_overlap(one: list[Point], other: list[Point]) -> bool:
    longer, shorter = sorted((one, other), key=lambda line: -math.dist(*line))
    along, aside = _along(longer, shorter)
    shared = min(max(along), math.dist(*longer)) - max(min(along), 0.0)
    return max(map(abs, aside)) <= SAME_MM and shared > LEAST_MM


def _along(line: list[Point], points: list[Point]) -> tuple[list[float], list[float]]:
    """How far along the line, and how far beside it, points lie."""
    (x, y), length = line[0], math.dist(*line)
    ux, uy = ((line[1][0] - x) / length, (line[1][1] - y) / length) if length else (1.0, 0.0)
    along = [(px - x) * ux + (py - y) * uy for px, py in points]
    aside = [(py - y) * ux - (px - x) * uy for px, py in points]
    return along, aside


def _union_of_lines(tracks: list[Polyline]) -> Polyline:
    longest = max((track.points for track in tracks), key=lambda line: math.dist(*line))
    points = [point for track in tracks for point in track.points]
    along, _ = _along(longest, points)
    return Polyline([points[int(np.argmin(along))], points[int(np.argmax(along))]], False)


def _bows_overlap(one: EllipticalArc, other: EllipticalArc) -> bool:
    r = _radius(one)
    if (
        r is None
        or math.dist(one.centre, other.centre) > SAME_MM
        or abs(r - (_radius(other) or 0.0)) > SAME_MM
    ):
        return False
    (a, wide), (b, wide_too) = _span(one), _span(other)
    least = LEAST_MM / max(r, LEAST_MM)
    return (b - a) % math.tau < wide - least or (a - b) % math.tau < wide_too - least


def _union_of_bows(tracks: list[Polyline]) -> Polyline:
    """One arc over all of them; they are chained, so together they cover one stretch, or the whole circle."""
    bows = [track.bow for track in tracks if track.bow]
    bow, r = bows[0], _radius(bows[0])
    if r is None:
        raise ValueError("only arcs of circles are joined")
    spans = sorted((start % math.tau, wide) for start, wide in map(_span, bows))
    best = (0.0, 0.0)
    for first, _ in spans:  # the arc that starts where no other one covers its start
        reach = 0.0
        for start, wide in sorted(((start - first) % math.tau, wide) for start, wide in spans):
            if start <= reach + 1e-9:
                reach = max(reach, start + wide)
        if reach > best[1]:
            best = first, reach
    start, sweep = best[0], min(best[1], math.tau)
    return drawn(EllipticalArc(bow.centre, (r, 0.0), (0.0, r), start, sweep))


def _radius(bow: EllipticalArc) -> float | None:
    """The radius where the arc is one of a circle, within a hundredth."""
    u, v = math.hypot(*bow.u), math.hypot(*bow.v)
    is_round = (
        abs(u - v) <= SAME_MM and abs(bow.u[0] * bow.v[0] + bow.u[1] * bow.v[1]) <= SAME_MM * u
    )
    return u if is_round and u > 0 else None


def _span(bow: EllipticalArc) -> tuple[float, float]:
    """(start, sweep) of a circle's arc in the drawing's own angles, counter-clockwise."""
    turned = math.atan2(bow.u[1], bow.u[0])
    is_mirrored = bow.u[0] * bow.v[1] - bow.u[1] * bow.v[0] < 0
    one = turned - bow.start if is_mirrored else turned + bow.start
    sweep = -bow.sweep if is_mirrored else bow.sweep
    return (one, sweep) if sweep >= 0 else (one + sweep, -sweep)
