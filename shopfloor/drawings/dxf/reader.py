"""DXF in, a Drawing in millimetres out. Runs in a worker process: `reading` is the door for everybody else.

Owns the order of the steps, the unit and the page. The file is a stranger's: whatever is wrong with it ends in Refused,
never in another exception.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import shapely

from ...domain.drawing.drawing import Drawing, DrawnOutline
from ...domain.errors import Refused
from ...domain.outlines import Point
from ...wording import mended
from ...wording import reading as wording
from ..findings import Findings
from ..limits import LARGE_DRAWING_MM, MAX_POINTS, SMALL_DRAWING_MM, WIDEST_MM
from ..mending import STRAY_MM
from . import file
from .curves import InvalidEntity, Polyline, tracks_of
from .junctions import settled
from .parts import parts_of
from .rings import Ring, Stroke, closed_and_open
from .walk import Drawn, Note, Walk

Report = Callable[[float], None]


def read_dxf(data: bytes, unit: str | None = None, report: Report = lambda share: None) -> Drawing:
    """Reads a DXF file, text or binary, in this process. Raises Refused and nothing else.

    `unit` ('mm', 'cm', 'm', 'in', 'ft', 'pt', 'px') goes before what the file names; without either, mm are taken and
    said. `report` gets the share done.
    """
    given = None if unit is None else file.mm_of(unit)
    opened = file.load(data)
    report(0.3)
    strokes, notes = _strokes(opened, given or opened.mm or 1.0)
    report(0.5)
    findings = Findings()
    strokes, (left, bottom), (width, height) = _shifted(strokes)
    if opened.is_damaged:
        findings.add("damaged", mended.damaged_file())
    is_guess = given is None and opened.mm is None
    if is_guess:
        findings.add("units", wording.no_unit_mm(width, height))
    for kind, message, at in notes:
        findings.add(kind, message, None if at is None else (at[0] - left, at[1] - bottom))
    outlines = _outlines(strokes, findings, report)
    _check_scale(width, height, findings)
    return Drawing(
        outlines, round(width, 3), round(height, 3), findings.all(), "mm" if is_guess else None
    )


class _Points:
    """Counts points before they are made, so that no curve fills the memory."""

    def __init__(self) -> None:
        self.count = 0

    def spend(self, number: int) -> None:
        self.count += number
        if self.count > MAX_POINTS:
            raise Refused(wording.too_many_points(MAX_POINTS))


def _strokes(opened: file.Opened, mm: float) -> tuple[list[Stroke], list[Note]]:
    """Every curve in mm, at its place in the file's own coordinates, and what was left out."""
    points = _Points()
    strokes: list[Stroke] = []
    try:
        walk = Walk(opened.document, mm)
        for drawn in walk.curves():
            strokes += [
                Stroke(track, drawn, len(strokes))
                for track in _tracks(drawn, points)
                if track.points
            ]
    except (Refused, MemoryError):
        raise
    except Exception as error:  # broken tables, which the library looks at only now
        raise Refused(wording.broken_inside()) from error
    return strokes, walk.notes


def _tracks(drawn: Drawn, points: _Points) -> list[Polyline]:
    try:
        return tracks_of(drawn.entity, drawn.matrix, points.spend)
    except InvalidEntity:
        raise Refused(wording.no_curve(drawn.spoken)) from None


def _shifted(strokes: list[Stroke]) -> tuple[list[Stroke], Point, Point]:
    """(strokes with their lower left corner at (0, 0), where that corner was, width and height)."""
    tracks = [stroke.track for stroke in strokes]
    solid = [track for track in tracks if _reach(track) >= STRAY_MM] or tracks
    if not solid:
        return strokes, (0.0, 0.0), (0.0, 0.0)
    xs, ys = ([point[axis] for track in solid for point in track.points] for axis in (0, 1))
    left, bottom, width, height = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    if max(width, height) > WIDEST_MM:
        raise Refused(wording.far_too_wide(round(width / 1000), round(height / 1000)))
    moved = [replace(stroke, track=_moved(stroke.track, left, bottom)) for stroke in strokes]
    return moved, (left, bottom), (width, height)


def _reach(track: Polyline) -> float:
    """The longest way from the first point to another."""
    return max(math.dist(track.points[0], point) for point in track.points)


def _moved(track: Polyline, left: float, bottom: float) -> Polyline:
    points = [(x - left, y - bottom) for x, y in track.points]
    bow = track.bow
    if bow is not None:
        bow = replace(bow, centre=(bow.centre[0] - left, bow.centre[1] - bottom))
    return replace(track, points=points, bow=bow)


def _outlines(
    strokes: list[Stroke], findings: Findings, report: Report
) -> tuple[DrawnOutline, ...]:
    try:
        rings, open_rows = closed_and_open(strokes, findings)
        report(0.6)
        by_layer: dict[str, list[Ring]] = {}
        for ring in rings:
            by_layer.setdefault(ring.layer, []).append(ring)
        for layer, rows in open_rows.items():
            by_layer[layer] = settled(rows, by_layer.get(layer, []), findings)
        report(0.7)
        return parts_of([ring for some in by_layer.values() for ring in some], findings)
    except (shapely.errors.ShapelyError, ArithmeticError):
        raise Refused(wording.all_tangled()) from None


def _check_scale(width: float, height: float, findings: Findings) -> None:
    if not SMALL_DRAWING_MM <= max(width, height) <= LARGE_DRAWING_MM:
        findings.add("scale", wording.drawing_measures(width, height))
