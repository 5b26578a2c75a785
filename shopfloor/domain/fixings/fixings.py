"""The screws of a sign on its wall: how large each hole must be for the base to move against the wall.

Owns the size of each hole, the fixed point, and the holes that the drawing itself has; screw_places.py finds the places
of a plan. Must not know where plans are stored.
Lengths mm on the sign, y up; expansion in millionths per kelvin. The sheet maker's data overrule what is “from memory”.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, STRtree

from ...wording import fixings as wording
from ...wording.message import Message
from ..outlines import Outline
from .expansion import GLUED_AT_C, Site, moved_mm, up_to_tenth
from .screw_places import Above, Cover, FixingPlan, places_of

CLEARANCE_MM = 0.5  # of every hole over its screw: common practice
ROUND_TO_MM = 2.0  # more movement than this each way asks for a slot; from memory
# Hole diameters from an edge to a hole's middle at least: common practice for acrylic.
EDGE_HOLES = 2.0
APART_HOLES = 3.0  # hole diameters from one middle to the next at least; from memory
HEAD = 1.0  # radius of a screw's head in diameters of the screw; from memory
LEAST_SCREW_MM = 3.0  # the thinnest screw for a sign; from memory
ROUND_RING = 0.98  # 4πA/P² of a ring that is a circle: 1 for a circle, 0.785 for a square
HOLES_MM = (2.0, 30.0)  # diameters of the rings that count as screw holes
PLACES = 3  # a thousandth of a millimetre

# Millionths per kelvin, from memory of handbooks: a shop that knows its wall types its own figure.
WALLS = {"masonry": 10.0, "steel": 12.0, "aluminium": 23.0, "wood, along the grain": 5.0}
USUAL_WALL = "masonry"

Met = tuple[tuple[int, str], ...]  # (number of a hole, name of a part)


@dataclass(frozen=True)
class Fixing:
    """One hole for a screw. `x_mm`, `y_mm` is its middle on the sign, y up."""

    number: int
    x_mm: float
    y_mm: float
    hole_mm: float  # diameter of a round hole, or width of the slot
    slot_mm: float  # 0: a round hole; else how far the slot's length exceeds its width
    turn_deg: float  # direction of the slot, towards the fixed point, counter-clockwise from x
    is_fixed_point: bool
    wall_mm: float  # the screw's diameter


@dataclass(frozen=True)
class Base:
    """A bottom part that is screwed to the wall; `per_k` None where its stock's expansion is not entered."""

    name: str
    outline: Outline
    per_k: float | None


@dataclass(frozen=True)
class Layout:
    """A sign's fixings. `covered` are (number, name of what lies over it), `touched` (number, name of what its head or
    washer would reach); `moved` says what is not where it was planned, `warnings` what to look out for; `refusal` says
    why a plan cannot be drawn. `is_drawn`: the holes are in the drawing itself."""

    fixings: tuple[Fixing, ...]
    covered: Met = ()
    touched: Met = ()
    moved: tuple[Message, ...] = ()
    warnings: tuple[Message, ...] = ()
    refusal: Message | None = None
    is_drawn: bool = False


def hole_for(screw_mm: float, movement_mm: float) -> tuple[float, float]:
    """(hole, slot) in mm for a movement each way: a larger round hole up to ROUND_TO_MM, from there a slot.

    Both are rounded up to the next tenth of a millimetre."""
    room = 2 * movement_mm
    if movement_mm <= ROUND_TO_MM:
        return up_to_tenth(screw_mm + CLEARANCE_MM + room), 0.0
    return up_to_tenth(screw_mm + CLEARANCE_MM), up_to_tenth(room)


def movement_mm(distance_mm: float, per_k: float, wall_per_k: float, site: Site) -> float:
    """How far a hole moves over its screw, the larger of the two ways.

    Base and wall are drilled from one template at GLUED_AT_C: there each screw is in the middle of its hole.
    """
    kelvin = max(GLUED_AT_C - site.coldest_c, site.warmest_c - GLUED_AT_C)
    return moved_mm(distance_mm, abs(per_k - wall_per_k), kelvin)


def washer_for(fixing: Fixing) -> float:
    """The diameter in mm of the smallest washer that covers a round hole wherever its screw is in it: half the hole and as
    far again as the screw can be from its middle. 0 where the screw's head is enough, and for a slot, whose sides carry it."""
    least = 2 * fixing.hole_mm - fixing.wall_mm
    return 0.0 if fixing.slot_mm or least <= 2 * HEAD * fixing.wall_mm else up_to_tenth(least)


# A plan. --------------------------------------------------------------------------------------------------------------


def planned(plan: FixingPlan, bases: Sequence[Base], covers: Sequence[Cover], site: Site) -> Layout:
    """The fixings of a plan, numbered in reading order on each bottom part in turn; none, and why, where it cannot be drawn.

    Each bottom part has its own columns, rows and fixed point.
    """
    above = Above(covers, HEAD * plan.screw_mm)
    fixings: list[Fixing] = []
    moved: list[Message] = []
    for base in bases:
        if base.per_k is None:
            return Layout((), refusal=wording.base_not_known(base.name))
        places, notes = places_of(plan, base.outline.polygon, above)
        if not places:
            return Layout((), refusal=wording.no_place(base.name, plan.edge_mm))
        movement = partial(movement_mm, per_k=base.per_k, wall_per_k=plan.wall_per_k, site=site)
        holes = _holes(places, base, plan.screw_mm, movement, len(fixings) + 1)
        refusal = _too_tight(holes, base)
        if refusal:
            return Layout((), refusal=refusal)
        fixings += holes
        moved += [wording.of_base(base.name, note) if len(bases) > 1 else note for note in notes]
    return Layout(tuple(fixings), *_met(fixings, above), moved=tuple(moved))


def _holes(
    places: list[Point],
    base: Base,
    screw_mm: float,
    movement: Callable[[float], float],
    first: int,
) -> list[Fixing]:
    """The holes at these places. The one nearest to the middle is the fixed point: the others move to and from it."""
    middle = base.outline.polygon.centroid
    fixed = min(places, key=lambda place: round(float(place.distance(middle)), 6))
    holes = []
    for number, place in enumerate(places, start=first):
        hole, slot = hole_for(screw_mm, movement(place.distance(fixed)))
        turn = math.degrees(math.atan2(fixed.y - place.y, fixed.x - place.x)) % 360
        x, y = round(place.x, PLACES), round(place.y, PLACES)
        holes.append(
            Fixing(number, x, y, hole, slot, round(turn, PLACES), place is fixed, screw_mm)
        )
    return holes


def slot_line(fixing: Fixing) -> LineString | Point:
    """The line that the middle of the cutter follows: a point for a round hole."""
    if not fixing.slot_mm:
        return Point(fixing.x_mm, fixing.y_mm)
    turn = math.radians(fixing.turn_deg)
    dx, dy = math.cos(turn) * fixing.slot_mm / 2, math.sin(turn) * fixing.slot_mm / 2
    return LineString([(fixing.x_mm - dx, fixing.y_mm - dy), (fixing.x_mm + dx, fixing.y_mm + dy)])


def _too_tight(fixings: list[Fixing], base: Base) -> Message | None:
    """Why these holes would weaken the base; None where they do not."""
    edges = base.outline.polygon.boundary
    for fixing in fixings:
        if edges.distance(slot_line(fixing)) < EDGE_HOLES * fixing.hole_mm - 1e-6:
            needed = max(EDGE_HOLES * hole.hole_mm + hole.slot_mm / 2 for hole in fixings)
            return wording.too_near_an_edge(
                fixing.number, fixing.hole_mm, base.name, EDGE_HOLES, needed
            )
    places = [Point(fixing.x_mm, fixing.y_mm) for fixing in fixings]
    apart = APART_HOLES * max(fixing.hole_mm for fixing in fixings)
    pairs = STRtree(places).query(places, predicate="dwithin", distance=apart)
    for first, second in zip(*pairs.tolist(), strict=True):
        if first < second:
            numbers = fixings[first].number, fixings[second].number
            return wording.too_near_each_other(*numbers, base.name)
    return None


def _met(fixings: Sequence[Fixing], above: Above) -> tuple[Met, Met]:
    """(number, name) of what lies over the middle of a hole; and of what its screw's head or washer would reach."""
    covered, touched = [], []
    for fixing in fixings:
        reach = max(HEAD * fixing.wall_mm, washer_for(fixing) / 2)
        if name := above.over(Point(fixing.x_mm, fixing.y_mm), 0.0):
            covered.append((fixing.number, name))
        elif name := above.over(slot_line(fixing), reach):
            touched.append((fixing.number, name))
    return tuple(covered), tuple(touched)


def what_changed(before: Layout, after: Layout) -> Message | None:
    """What a new site did to the fixings; None where it changed nothing."""
    if after.refusal:
        return None if before.refusal else wording.plan_no_longer_fits(after.refusal)
    was = {fixing.number: fixing for fixing in before.fixings}
    changed = [fixing for fixing in after.fixings if was.get(fixing.number) != fixing]
    if not changed:
        return None
    if after.is_drawn:
        return wording.screws_at_most(changed[0].wall_mm)
    new_slots = [
        fixing
        for fixing in changed
        if fixing.slot_mm and not (fixing.number in was and was[fixing.number].slot_mm)
    ]
    return wording.now_slots(len(new_slots)) if new_slots else wording.now_resized(len(changed))


# Holes that the drawing has. ------------------------------------------------------------------------------------------


def drawn(
    bases: Sequence[Base],
    covers: Sequence[Cover],
    site: Site,
    wall_per_k: float = WALLS[USUAL_WALL],
) -> Layout:
    """The round holes in the bottom parts themselves, taken as fixings, with the thickest screw that fits all of them; a
    warning for each that is too small even for the thinnest screw."""
    filled = STRtree([cover.outline.polygon for cover in covers if cover.is_let_in])
    holes: list[Fixing] = []
    moves: dict[int, float] = {}
    warnings: list[Message] = []
    for base in bases:
        rings = _round_holes(base.outline, filled)
        if not rings:
            continue
        if base.per_k is None:
            warnings.append(wording.base_not_known(base.name))
        per_k = wall_per_k if base.per_k is None else base.per_k
        movement = partial(movement_mm, per_k=per_k, wall_per_k=wall_per_k, site=site)
        own = _holes([middle for middle, _ in rings], base, 0, movement, len(holes) + 1)
        fixed = next(hole for hole in own if hole.is_fixed_point)
        for hole, (_, diameter) in zip(own, rings, strict=True):
            distance = math.hypot(hole.x_mm - fixed.x_mm, hole.y_mm - fixed.y_mm)
            moves[hole.number] = movement(distance)
            holes.append(replace(hole, hole_mm=round(diameter, PLACES), slot_mm=0.0))
    screw, too_small = _screw_for(holes, moves)
    sized = tuple(replace(hole, wall_mm=screw) for hole in holes)
    met = _met(sized, Above(covers, HEAD * screw))
    return Layout(sized, *met, warnings=(*warnings, *too_small), is_drawn=True)


def _round_holes(outline: Outline, filled: STRtree) -> list[tuple[Point, float]]:
    """(middle, diameter) of the rings that are circles of a screw's size with nothing let into them, in reading order."""
    holes = []
    for ring in map(Polygon, outline.rings[1:]):
        # the corners of a flattened circle lie on the circle itself
        corners = shapely.get_coordinates(ring)[:-1]
        away = corners - shapely.get_coordinates(ring.centroid)
        diameter = 2 * float(np.hypot(*away.T).mean())
        is_round = 4 * math.pi * ring.area / ring.length**2 > ROUND_RING
        is_screw_size = HOLES_MM[0] <= diameter <= HOLES_MM[1]
        if is_round and is_screw_size and not len(filled.query(ring.centroid, predicate="within")):
            holes.append((ring.centroid, diameter))
    return sorted(holes, key=lambda hole: (-round(hole[0].y), hole[0].x))


def _screw_for(holes: Sequence[Fixing], moves: dict[int, float]) -> tuple[float, list[Message]]:
    """The thickest screw, to the half millimetre below, that fits each hole; and which holes are too small for any."""
    rooms = [hole.hole_mm - CLEARANCE_MM - 2 * moves[hole.number] for hole in holes]
    too_small = [
        _too_small(hole, moves[hole.number])
        for hole, room in zip(holes, rooms, strict=True)
        if room < LEAST_SCREW_MM
    ]
    thickest = math.floor(2 * min(rooms, default=LEAST_SCREW_MM)) / 2
    return max(LEAST_SCREW_MM, thickest), too_small


def _too_small(fixing: Fixing, movement: float) -> Message:
    hole, slot = hole_for(LEAST_SCREW_MM, movement)
    needed = wording.a_slot(hole, hole + slot) if slot else wording.round_hole(hole)
    return wording.hole_too_small(fixing.number, fixing.hole_mm, movement, LEAST_SCREW_MM, needed)
