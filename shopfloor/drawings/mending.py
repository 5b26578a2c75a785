"""Mends what was drawn carelessly: gaps between ends, outlines that cross themselves, doubles, stray bits.

Owns how far mending goes, and says what it did. Works on points in mm, y up, whatever file they come from: must not
know about SVG or DXF. `called` is what to call an outline in a sentence, after the words 'The outline'.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from ..domain.errors import Refused
from ..domain.outlines import Point
from ..wording import mended
from ..wording import reading as wording
from ..wording.message import Message
from .areas import SMALLEST_MM2, faces_of, filled, plain
from .findings import Findings
from .joining import Chain, joined_ends, middle

ROUNDING_MM = (
    1e-6  # what reckoning in units and matrices may add to a length that was drawn exactly
)
CLOSED_MM = 0.05 + ROUNDING_MM  # ends no further apart are taken to meet
BRIDGED_MM = 0.5 + ROUNDING_MM  # ends no further apart are joined, and that is said
SHORTEST_MM = 1e-6  # a line shorter than this is a point
STRAY_MM = 0.05  # lines shorter than this are slips of the hand
SMALL_LOOP_MM2 = 1.0  # a loop under this and under SMALL_LOOP of its outline is a slip of the hand
SMALL_LOOP = 0.01
MOST_SPLITS = 3  # an outline that crosses itself more often is a tangle
GRID_PLACES = 3  # doubles are alike to a thousandth of a millimetre
CROSS_MM = 1.0  # half the width of the cross that marks a place

What = Message | str  # what an outline is called
Called = Callable[[int], What]


@dataclass(frozen=True)
class Crossing:
    """A place where an outline crosses itself: 'split' into areas there, a 'loop' dropped, or left as a 'tangle'."""

    kind: str
    at: Point
    line: tuple[Point, ...]


def joined(chains: Sequence[Chain], called: Called, findings: Findings) -> list[Chain]:
    """Open chains joined end to end, nearest ends first, each chain once. In the order of their first chain.

    Ends within 0.05 mm become one point; ends within 0.5 mm are joined by a straight line, which is said ('gap').
    Chains that are shorter than 0.05 mm and stay alone are dropped and counted ('stray'). `called(place)` names
    chains[place]. Raises Refused where too many ends crowd together.
    """
    single = once(chains, called, findings)
    usable = [place for place in single if chains[place].length > SHORTEST_MM]
    rows, gaps = joined_ends([chains[place].points for place in usable], CLOSED_MM, BRIDGED_MM)
    for number, one, other in gaps:
        say_gap(called(usable[number]), one, other, findings)
    found = [replace(row, of=tuple(usable[number] for number in row.of)) for row in rows]
    strays = [chains[place] for place in single if chains[place].length <= SHORTEST_MM]
    for stray in strays + [chain for chain in found if _is_stray(chain)]:
        findings.add("stray", mended.stray_bits(STRAY_MM), stray.points[0])
    return [chain for chain in found if not _is_stray(chain)]


def closed(points: list[Point], is_closed: bool, called: What, findings: Findings) -> list[Point]:
    """The points of the ring. Raises Refused where its ends lie more than 0.5 mm apart."""
    if is_closed:
        return points
    gap = math.dist(points[0], points[-1])
    if gap > BRIDGED_MM:
        raise Refused(wording.open_outline(called, gap, *points[-1]))
    if gap > CLOSED_MM:
        say_gap(called, points[-1], points[0], findings)
        return points
    return points if len(points) < 4 else [middle(points[0], points[-1]), *points[1:-1]]


def say_gap(called: What, one: Point, other: Point, findings: Findings) -> None:
    """Says that a gap was closed, and shows it."""
    at = middle(one, other)
    message = mended.gap_closed(called, math.dist(one, other), *at)
    findings.add("gap", message, at, (one, other))


def once(chains: Sequence[Chain], called: Called, findings: Findings) -> list[int]:
    """The places of chains, each once: the same one backwards or begun elsewhere is a double, dropped and said."""
    firsts: dict[tuple[object, ...], int] = {}
    times: Counter[int] = Counter()
    for place, chain in enumerate(chains):
        first = firsts.setdefault(_sameness(chain), place)
        times[first] += 1
    for place, number in times.items():
        if number > 1:
            say_double(called(place), number, chains[place].points[0], findings)
    return list(times)


def say_double(called: What, number: int, at: Point, findings: Findings) -> None:
    """Says that an outline is drawn `number` times on one spot."""
    findings.add("double", mended.drawn_again(called, number), at)


def _sameness(chain: Chain) -> tuple[bool, bytes]:
    """A key that is equal for equal rings (or rows): turned round, begun elsewhere, within the 0.001 mm grid."""
    ends = chain.points[:1] if chain.is_closed else chain.points[-1:]
    line = LineString(np.round([*chain.points, *ends], GRID_PLACES) + 0.0)
    return chain.is_closed, shapely.to_wkb(shapely.normalize(shapely.remove_repeated_points(line)))


def is_speck(area: Polygon, findings: Findings) -> bool:
    """Whether an area is under 0.01 mm²: then it is counted."""
    if area.area >= SMALLEST_MM2:
        return False
    findings.add("tiny", mended.tiny_areas(SMALLEST_MM2), area.exterior.coords[0])
    return True


def areas_of(
    rings: Iterable[Sequence[Point]], rule: str, called: What, findings: Findings
) -> list[Polygon]:
    """The areas of rings that may cross themselves, by 'nonzero' or 'evenodd'; says what was mended. Raises Refused."""
    whole: list[Sequence[Point]] = []
    try:
        for ring in rings:
            plain_rings, crossings = without_loops(ring)
            whole += plain_rings
            say_crossings(crossings, called, findings)
        return filled(whole, rule)
    except (shapely.errors.ShapelyError, ValueError):
        raise Refused(wording.tangled(called)) from None


def without_loops(ring: Sequence[Point]) -> tuple[list[Sequence[Point]], list[Crossing]]:
    """The rings to go on with in place of a ring that may cross itself, and where it did.

    A ring winds once round what it encloses. A face that it winds round the other way, or once more, lies beyond a
    crossing: it is a loop to drop where it is small, else the other half of a bow-tie, else there is a tangle.
    A ring that only touches itself, and a tangle, come back as they are.
    """
    if len(ring) < 4 or plain(ring) is not None:
        return [ring], []
    faces = [(face, turns) for face, turns in faces_of([ring]) if turns]
    if not faces:
        return [ring], []
    once_round = max(faces, key=lambda face: face[0].area)[1]
    odd = [(face, turns) for face, turns in faces if turns != once_round]
    if not odd:
        return [ring], []
    limit = min(SMALL_LOOP_MM2, SMALL_LOOP * sum(face.area for face, _ in faces))
    large = [(face, turns) for face, turns in odd if face.area >= limit]
    place_of = _Corners(face for face, _ in faces).most_shared
    if (
        abs(once_round) != 1
        or len(large) > MOST_SPLITS
        or any(turns != -once_round for _, turns in large)
    ):
        place = place_of([face for face, _ in odd])
        return [ring], [Crossing("tangle", place, _cross(place))]
    loops = [face for face, _ in odd if face.area < limit]
    found = [Crossing("loop", place_of([loop]), tuple(loop.exterior.coords)) for loop in loops]
    found += [
        Crossing("split", place, _cross(place)) for place in (place_of([face]) for face, _ in large)
    ]
    return (_rings_without(faces, limit, once_round) if loops else [ring]), found


def say_crossings(crossings: Sequence[Crossing], called: What, findings: Findings) -> None:
    """Says and shows what was done where an outline crosses itself ('crossing')."""
    for crossing in crossings:
        message = mended.crosses_itself(called, *crossing.at, crossing.kind, SMALL_LOOP_MM2)
        findings.add("crossing", message, crossing.at, crossing.line)


def _rings_without(
    faces: list[tuple[Polygon, int]], limit: float, once_round: int
) -> list[Sequence[Point]]:
    """Loops wound the other way are gone; loops wound once more lie inside and belong to the area round them."""
    inner = [face for face, turns in faces if turns == 2 * once_round]
    halves = {
        once_round: [face for face, turns in faces if turns == once_round] + inner,
        -once_round: [face for face, turns in faces if turns == -once_round and face.area >= limit],
    }
    rings: list[Sequence[Point]] = []
    for sign, half in halves.items():
        for area in shapely.get_parts(shapely.union_all(half)).tolist():
            turned = orient(area, float(sign))
            rings += [list(ring.coords)[:-1] for ring in (turned.exterior, *turned.interiors)]
    return rings


class _Corners:
    """The corners of faces, each with the number of sides that meet there: four where a ring crosses itself."""

    def __init__(self, faces: Iterable[Polygon]) -> None:
        rings = [ring.coords[:] for face in faces for ring in (face.exterior, *face.interiors)]
        sides = {(min(side), max(side)) for ring in rings for side in itertools.pairwise(ring)}
        self._sides = Counter(corner for side in sides for corner in side)

    def most_shared(self, faces: list[Polygon]) -> Point:
        """The corner of these faces in which most sides meet."""
        corners = [corner for face in faces for corner in face.exterior.coords[:-1]]
        x, y = max(corners, key=lambda corner: (self._sides[corner], corner))
        return x, y


def _cross(at: Point) -> tuple[Point, ...]:
    x, y, r = *at, CROSS_MM
    return (x - r, y - r), (x + r, y + r), (x, y), (x - r, y + r), (x + r, y - r)


def _is_stray(chain: Chain) -> bool:
    return not chain.is_closed and chain.length < STRAY_MM
