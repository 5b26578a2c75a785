"""SVG in, a Drawing in millimetres out. Runs in a worker process: `reading` is the door for everybody else.

Owns the page (size, units, y turned up) and the gathering of parts from shapes. The file is a stranger's: whatever
is wrong with it ends in Refused, never in another exception.
"""

from __future__ import annotations

import base64
import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element

import shapely
from shapely import Polygon
from svgelements import Matrix

from ..domain.drawing import Drawing, DrawnOutline
from ..domain.errors import Refused
from ..domain.outlines import Outline
from .areas import SMALLEST_MM2, filled, nested
from .findings import Findings
from .lengths import MM_PER_PX, Unreadable, fitted, length, view_box
from .names import given_name, spoken
from .scan import load, tag_of
from .shapes import Track, tracks_of
from .styles import colour_of
from .walk import Group, Shape, Walk, unreadable

MAX_POINTS = 2_000_000
CLOSED_MM = 0.05  # ends nearer than this are taken to meet
SMALL_DRAWING_MM, LARGE_DRAWING_MM = 10.0, 20_000.0


def read_in_worker(message: dict, report: Callable[[float], None]) -> dict:
    """The worker's side: {'base64': …} to a Drawing as a dict. Raises Refused."""
    return read_svg(base64.b64decode(message["base64"]), report).as_dict()


def read_svg(data: bytes, report: Callable[[float], None] = lambda share: None) -> Drawing:
    """Reads an SVG file in this process. `report` is told the share done. Raises Refused and nothing else."""
    root = load(data)
    findings = Findings()
    page = _page_of(root, findings)
    report(0.1)
    gathered = _Gathered(page, findings)
    total = max(sum(tag_of(node) != "" for node in root.iter()), 1)
    for done, shape in enumerate(Walk(root, findings).shapes(page.matrix, page.viewport)):
        gathered.take(shape)
        if done % 200 == 199:
            report(0.1 + 0.8 * min(done / total, 1.0))
    outlines = gathered.outlines()
    _check_scale(outlines, findings)
    return Drawing(outlines, page.width_mm, page.height_mm, findings.all())


@dataclass(frozen=True)
class _Page:
    width_mm: float
    height_mm: float
    matrix: Matrix  # from the root's own units to px, y down
    viewport: tuple[float, float]

    @property
    def to_mm(self) -> Matrix:
        return Matrix(MM_PER_PX, 0, 0, -MM_PER_PX, 0, self.height_mm)


def _page_of(root: Element, findings: Findings) -> _Page:
    try:
        box = view_box(root.get("viewBox"))
    except Unreadable as error:
        raise Refused(
            f'The drawing\'s viewBox "{str(error)[:40]}" cannot be used: give it four numbers, with a width and a '
            "height above 0."
        ) from None
    texts = [root.get(name, "").strip() for name in ("width", "height")]
    known = [text not in ("", "auto") and not text.endswith("%") for text in texts]
    sizes = [_page_size(text) if is_known else None for text, is_known in zip(texts, known, strict=True)]
    width, height = _completed(sizes, box)
    if _is_guess(texts, known, box, (width, height)):
        findings.add(
            "units",
            "The drawing names no unit of length: px at 96 to the inch were assumed, so the page is "
            f"{width * MM_PER_PX:.1f} × {height * MM_PER_PX:.1f} mm.",
        )
    matrix = fitted(box, width, height, root.get("preserveAspectRatio"))
    view = (box[2], box[3]) if box else (width, height)
    return _Page(round(width * MM_PER_PX, 3), round(height * MM_PER_PX, 3), matrix, view)


def _page_size(text: str) -> float:
    try:
        size = length(text)
    except Unreadable:
        size = -1.0
    if not 0 < size * MM_PER_PX < 1_000_000:
        raise Refused(
            f'The drawing\'s size "{text[:40]}" cannot be used: give it a width and a height in mm, above 0 and '
            "under 1 km."
        )
    return size


def _completed(sizes: list, box) -> tuple[float, float]:
    """Width and height in px where one or both are left to the viewBox."""
    width, height = sizes
    wide, high = (box[2], box[3]) if box else (300.0, 150.0)  # CSS 2.2, 10.3.2: a drawing without a size
    if width is None and height is None:
        return _page_size(repr(wide)), _page_size(repr(high))
    if width is None:
        width = height * wide / high if box else wide
    if height is None:
        height = width * high / wide if box else high
    return _page_size(repr(width)), _page_size(repr(height))


def _is_guess(texts, known, box, size) -> bool:
    """Is there neither a unit of length nor a viewBox that scales on purpose?"""
    if any(is_known and text[-1].isalpha() for text, is_known in zip(texts, known, strict=True)):
        return False
    is_unscaled = box is None or (math.isclose(box[2], size[0]) and math.isclose(box[3], size[1]))
    return is_unscaled or not any(known)


@dataclass(frozen=True)
class _Area:
    polygon: Polygon
    colour: str
    shape: Shape
    is_stroke: bool


class _Gathered:
    """The areas met so far, and what was dropped on the way."""

    def __init__(self, page: _Page, findings: Findings) -> None:
        self._to_mm = page.to_mm
        self._findings = findings
        self._areas: list[_Area] = []
        self._points = 0
        self._specks = 0
        self._stroked: set[tuple[str, bytes]] = set()

    def take(self, shape: Shape) -> None:
        """Adds one shape's areas."""
        if shape.tag == "line":
            self._findings.add("line", f"The line {spoken(shape.node)} was left out: a line encloses nothing.")
            return
        paint = self._paint(shape)
        if paint is None:
            return
        try:
            tracks = tracks_of(shape, self._to_mm)
        except Unreadable as error:
            raise unreadable(shape.node, error) from None
        self._points += sum(len(track.points) for track in tracks)
        if self._points > MAX_POINTS:
            raise Refused(
                f"The drawing has more than {MAX_POINTS:,} points: simplify its paths or split it into several "
                "drawings."
            )
        colour, is_stroke = paint
        areas = self._stroked_areas(shape, tracks) if is_stroke else self._filled_areas(shape, tracks)
        if not areas:
            self._findings.add("empty", f"The outline {spoken(shape.node)} encloses no area and was left out.")
        if is_stroke:
            areas = [area for area in areas if self._is_new_stroke(area, colour, shape)]
        self._areas += [_Area(area, colour, shape, is_stroke) for area in areas]

    def outlines(self) -> tuple[DrawnOutline, ...]:
        """All parts in drawing order. Raises Refused where there is none."""
        parts = self._parts()
        if self._specks:
            self._findings.add(
                "tiny", f"Areas under {SMALLEST_MM2} mm² were left out: {self._specks}. Check the drawing's scale."
            )
        if not parts:
            raise Refused(
                "The drawing holds no outline that encloses an area: draw closed, filled outlines and send it again."
            )
        held = Counter(group for area in parts for group in area.shape.groups)
        return tuple(
            DrawnOutline(
                Outline.of_polygon(area.polygon), area.colour, _name(area.shape, held), _sign(area.shape.groups), order
            )
            for order, area in enumerate(parts)
        )

    def _parts(self) -> list[_Area]:
        strokes = [place for place, area in enumerate(self._areas) if area.is_stroke]
        parts = [(place, area) for place, area in enumerate(self._areas) if not area.is_stroke]
        found = nested([self._areas[place].polygon for place in strokes], [self._areas[i].colour for i in strokes])
        for number, polygon in found:
            area = self._areas[strokes[number]]
            parts.append((strokes[number], _Area(polygon, area.colour, area.shape, True)))
        parts.sort(key=lambda part: part[0])
        kept = [area for _, area in parts if area.polygon.area >= SMALLEST_MM2]
        self._specks += len(parts) - len(kept)
        return kept

    def _paint(self, shape: Shape) -> tuple[str, bool] | None:
        """(colour, is it the stroke's); None where nothing is painted or the paint is no plain colour."""
        for name in ("fill", "stroke"):
            colour = colour_of(shape.style[name], shape.style["color"])
            if colour is None:
                self._findings.add(
                    "paint",
                    f"The outline {spoken(shape.node)} was left out: its {name} '{shape.style[name][:40]}' is no "
                    "plain colour.",
                )
                return None
            if colour != "none":
                return colour, name == "stroke"
        return None

    def _filled_areas(self, shape: Shape, tracks: list[Track]) -> list[Polygon]:
        for track in tracks:
            gap = math.dist(track.points[0], track.points[-1])
            if not track.is_closed and gap > CLOSED_MM and len(track.points) > 2:
                at = _tidy(track.points[-1])
                self._findings.add(
                    "open",
                    f"The outline {spoken(shape.node)} is open by {gap:.1f} mm at {at[0]:.1f}, {at[1]:.1f} mm: a "
                    "straight line closed it.",
                    at,
                )
        rule = shape.style["fill-rule"].lower()
        return _careful(lambda: filled([track.points for track in tracks], rule), shape)

    def _stroked_areas(self, shape: Shape, tracks: list[Track]) -> list[Polygon]:
        areas = []
        for track in tracks:
            if not track.is_closed and math.dist(track.points[0], track.points[-1]) > CLOSED_MM:
                at = _tidy(track.points[-1])
                raise Refused(
                    f"The outline {spoken(shape.node)} is open at {at[0]:.1f}, {at[1]:.1f} mm: close it and send it "
                    "again."
                )
            areas += _careful(lambda ring=track.points: filled([ring], "nonzero"), shape)
        return areas

    def _is_new_stroke(self, area: Polygon, colour: str, shape: Shape) -> bool:
        """An outline drawn twice on one spot would else be a part and its own hole."""
        key = colour, shapely.to_wkb(shapely.normalize(area))
        if key in self._stroked:
            at = _tidy(area.exterior.coords[0])
            self._findings.add("double", f"The outline {spoken(shape.node)} is drawn twice: one was kept.", at)
            return False
        self._stroked.add(key)
        return True


def _careful(work: Callable[[], list[Polygon]], shape: Shape) -> list[Polygon]:
    try:
        return work()
    except (shapely.errors.ShapelyError, ValueError):
        raise Refused(
            f"The outline {spoken(shape.node)} is too tangled to tell inside from outside: redraw it and send it again."
        ) from None


def _name(shape: Shape, held: Counter) -> str | None:
    """The outline's own name, a clone's before its original's, else that of the nearest group it is alone in."""
    alone = [group for group in shape.groups if held[group] == 1]
    clones = [group.name for group in reversed(alone) if group.is_clone and group.name]
    own = given_name(shape.node)
    others = [group.sign or group.name for group in reversed(alone) if group.name]
    return next(iter([*clones, *([own] if own else []), *others]), None)


def _sign(groups: tuple[Group, ...]) -> str | None:
    return next((group.sign for group in reversed(groups) if group.sign), None)


def _tidy(point: tuple[float, float]) -> tuple[float, float]:
    return round(point[0], 3) + 0.0, round(point[1], 3) + 0.0


def _check_scale(outlines: tuple[DrawnOutline, ...], findings: Findings) -> None:
    boxes = [drawn.outline.bounds for drawn in outlines]
    width = max(box[2] for box in boxes) - min(box[0] for box in boxes)
    height = max(box[3] for box in boxes) - min(box[1] for box in boxes)
    if not SMALL_DRAWING_MM <= max(width, height) <= LARGE_DRAWING_MM:
        findings.add(
            "scale", f"All outlines together measure {width:.1f} × {height:.1f} mm: check the drawing's units."
        )
