"""From the shapes of an SVG drawing to its parts: what is filled, what is cut along a stroke, what belongs together.

Owns which paint of a shape counts, the pool of loose lines and the search for doubles. Must not know how a page is
measured or how a tree is walked.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element

import shapely
from shapely import MultiPoint, Polygon
from svgelements import Matrix

from ...domain.drawing.drawing import DrawnOutline
from ...domain.errors import Refused
from ...domain.outlines import Outline, Point
from ...wording import mended
from ...wording import reading as wording
from ...wording.message import Message
from .. import mending
from ..areas import SMALLEST_MM2, nested
from ..findings import Findings
from ..joining import Chain
from ..limits import MAX_POINTS
from ..names import Group, name_of, sign_of
from .lengths import Unreadable, entries, share
from .names import given_name, spoken
from .paint import paint_of, server_of, solid
from .scan import tag_of
from .shapes import tracks_of
from .walk import Shape, unreadable

WIDE_MM, WIDE_SHARE = (
    10.0,
    0.1,
)  # an opening over either is a side left to the filling; a smaller one is a slip
FRAME_SLACK_MM = 0.1
_SERVERS = {"linearGradient": "a gradient", "radialGradient": "a gradient", "pattern": "a pattern"}


@dataclass(frozen=True)
class _Area:
    polygon: Polygon
    colour: str
    shape: Shape
    is_stroke: bool
    order: int


class Gathered:
    """The parts of a drawing, shape by shape."""

    def __init__(self, to_mm: Matrix, ids: dict[str, Element], findings: Findings) -> None:
        """`to_mm` leads from px of the page to mm; `ids` are the drawing's elements by their ids."""
        self._to_mm = to_mm
        self._ids = ids
        self._findings = findings
        self._areas: list[_Area] = []
        self._drawn: dict[
            tuple[object, ...], int
        ] = {}  # what an area is the same by: its place in the list above
        self._doubles: Counter[int] = Counter()
        self._loose: dict[tuple[str, tuple[Group, ...]], list[tuple[int, Shape, Chain]]] = {}
        self._points = self._order = 0

    def take(self, shape: Shape) -> None:
        """Adds one shape's areas, or its open lines to the loose ones."""
        self._order += 1
        notes = list(shape.noted)
        paint = self._paint(shape, notes)
        if paint is None:
            return
        tracks = self._tracks(shape)
        for note in notes if tracks else ():
            self._findings.locate(*note, _middle(tracks))
        colour, is_stroke = paint
        if is_stroke:
            self._take_stroke(shape, tracks, colour)
        else:
            rings = [self._closed_by_filling(track, shape) for track in tracks]
            areas = self._areas_of(rings, shape.style["fill-rule"].lower(), shape)
            self._add(areas, colour, shape, False, self._order)
            self._note_empty(areas, tracks, shape)

    def outlines(self) -> tuple[DrawnOutline, ...]:
        """All parts in drawing order. Raises Refused where there is none."""
        for (colour, _), loose in self._loose.items():
            self._join(colour, loose)
        for place, more in self._doubles.items():
            area = self._areas[place]
            mending.say_double(
                spoken(area.shape.node), more + 1, area.polygon.exterior.coords[0], self._findings
            )
        parts = [
            area for area in self._parts() if not mending.is_speck(area.polygon, self._findings)
        ]
        if not parts:
            raise Refused(wording.no_closed_outline())
        held = Counter(group for area in parts for group in area.shape.groups)
        return tuple(
            DrawnOutline(
                Outline.of_polygon(area.polygon),
                area.colour,
                name_of(area.shape.groups, held, given_name(area.shape.node)),
                sign_of(area.shape.groups),
                order,
            )
            for order, area in enumerate(parts)
        )

    def _parts(self) -> list[_Area]:
        strokes = [area for area in self._areas if area.is_stroke]
        parts = [area for area in self._areas if not area.is_stroke]
        filled = {_look(area.polygon) for area in parts}
        for number, polygon in nested(
            [area.polygon for area in strokes], [area.colour for area in strokes]
        ):
            if (
                _look(polygon) in filled
            ):  # some programs write a part's filling and its contour as two elements
                self._say_contour(strokes[number].shape, polygon)
            else:
                parts.append(replace(strokes[number], polygon=polygon))
        return sorted(parts, key=lambda area: area.order)

    def _say_contour(self, shape: Shape, polygon: Polygon) -> None:
        message = mended.contour_left_out(spoken(shape.node))
        self._findings.add("double", message, polygon.exterior.coords[0])

    def _tracks(self, shape: Shape) -> list[Chain]:
        try:
            tracks = tracks_of(shape, self._to_mm)
        except Unreadable as error:
            raise unreadable(shape.node, error) from None
        self._points += sum(len(track.points) for track in tracks)
        if self._points > MAX_POINTS:
            raise Refused(wording.too_many_points(MAX_POINTS))
        return tracks

    def _paint(self, shape: Shape, notes: list[tuple[str, Message]]) -> tuple[str, bool] | None:
        """(colour, is it the stroke's); None where nothing is painted or the paint is no plain colour.

        `notes` are findings that get their place later; one is added for a colour that can be seen through.
        """
        for name in ("fill", "stroke") if shape.tag != "line" else ("stroke",):
            value = solid(shape.style[name], self._ids)
            paint = paint_of(value, shape.style["color"])
            if paint is None:
                self._leave_out_paint(shape, name, value)
                return None
            alpha = paint.alpha * share(shape.style[f"{name}-opacity"])
            if 0 < alpha < 1:
                message = mended.outline_half_opaque(
                    spoken(shape.node), round(alpha * 100), paint.colour
                )
                notes.append(("transparent", message))
                self._findings.add(*notes[-1])
            if alpha > 0:
                return paint.colour, name == "stroke"
        if shape.tag == "line":
            self._findings.add("line", mended.line_left_out(spoken(shape.node)))
        return None

    def _leave_out_paint(self, shape: Shape, name: str, value: str) -> None:
        server = self._ids.get(server_of(value) or "")
        words = _SERVERS.get(tag_of(server)) if server is not None else None
        shown = words or f"'{value[:40]}'"
        message = mended.paint_left_out(spoken(shape.node), name, shown)
        tracks = self._tracks(shape)
        self._findings.add("paint", message, _middle(tracks) if tracks else None)

    def _closed_by_filling(self, track: Chain, shape: Shape) -> list[Point]:
        """Filling closes a subpath by a straight line (SVG 2, section 13.4.1); a narrow gap is a slip for all that."""
        first, last = track.points[0], track.points[-1]
        is_closed = track.is_closed or len(track.points) < 3
        gap = 0.0 if is_closed else math.dist(first, last)
        if gap > mending.BRIDGED_MM and gap > min(WIDE_MM, WIDE_SHARE * track.length):
            message = mended.closed_by_a_line(spoken(shape.node), gap, *last)
            self._findings.add("open", message, last, (last, first))
            return track.points
        return mending.closed(track.points, is_closed, spoken(shape.node), self._findings)

    def _take_stroke(self, shape: Shape, tracks: list[Chain], colour: str) -> None:
        areas = []
        for track in tracks:
            if track.is_closed:
                areas += self._areas_of([track.points], "nonzero", shape)
            else:
                self._loose.setdefault((colour, shape.groups), []).append(
                    (self._order, shape, track)
                )
        self._add(areas, colour, shape, True, self._order)
        if all(track.is_closed for track in tracks):
            self._note_empty(areas, tracks, shape)

    def _join(self, colour: str, loose: list[tuple[int, Shape, Chain]]) -> None:
        """Makes outlines of loose lines of one colour in one group."""
        for chain in mending.joined(
            [track for _, _, track in loose],
            lambda place: spoken(loose[place][1].node),
            self._findings,
        ):
            sources = [loose[place] for place in chain.of]
            order, shape, _ = next((one for one in sources if given_name(one[1].node)), sources[0])
            if chain.is_closed or MultiPoint(chain.points).convex_hull.area >= SMALLEST_MM2:
                ring = mending.closed(
                    chain.points, chain.is_closed, spoken(shape.node), self._findings
                )
                self._add(self._areas_of([ring], "nonzero", shape), colour, shape, True, order)
            else:
                message = mended.line_left_out(spoken(shape.node))
                self._findings.add(
                    "line", message, chain.points[0], (chain.points[0], chain.points[-1])
                )

    def _areas_of(self, rings: Sequence[Sequence[Point]], rule: str, shape: Shape) -> list[Polygon]:
        return mending.areas_of(rings, rule, spoken(shape.node), self._findings)

    def _add(
        self, areas: list[Polygon], colour: str, shape: Shape, is_stroke: bool, order: int
    ) -> None:
        """Keeps areas, each once: an outline drawn twice on one spot would else be a part and its own hole."""
        for polygon in areas:
            key = colour, is_stroke, _look(polygon)
            place = self._drawn.setdefault(key, len(self._areas))
            if place < len(self._areas):
                self._doubles[place] += 1
                continue
            self._areas.append(_Area(polygon, colour, shape, is_stroke, order))
            if shape.frames:
                self._note_beyond(polygon, shape)

    def _note_empty(self, areas: list[Polygon], tracks: list[Chain], shape: Shape) -> None:
        if not areas:
            message = mended.encloses_nothing(spoken(shape.node))
            self._findings.add("empty", message, _middle(tracks) if tracks else None)

    def _note_beyond(self, polygon: Polygon, shape: Shape) -> None:
        """A nested drawing cuts off what reaches beyond its frame (SVG 2, section 3.5.3); outlines are kept whole."""
        a, b, c, d, e, f = entries(self._to_mm)
        for frame in shape.frames:
            corners = [(a * x + c * y + e, b * x + d * y + f) for x, y in frame.corners]
            if not Polygon(corners).buffer(FRAME_SLACK_MM).covers(polygon):
                self._findings.add(
                    "clip",
                    mended.reaches_beyond(spoken(shape.node), frame.name),
                    polygon.representative_point().coords[0],
                    (*corners, corners[0]),
                )


def _look(polygon: Polygon) -> bytes:
    """The same for the same area, however it is drawn."""
    look: bytes = shapely.to_wkb(shapely.normalize(polygon))
    return look


def _middle(tracks: list[Chain]) -> Point:
    """The middle of the box round all points."""
    xs = [x for track in tracks for x, _ in track.points]
    ys = [y for track in tracks for _, y in track.points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
