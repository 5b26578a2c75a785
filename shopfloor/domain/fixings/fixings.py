"""Where a sign is screwed to its wall, and how large each hole must be for the base to move against it.

Owns the size of each hole, the fixed point, and the holes that the drawing itself has; the places of a plan are found in
screw_places.py. Must not know where plans are kept.
Lengths mm on the sign, y up; expansion in millionths a kelvin. What is “from memory” yields to the sheet maker's data.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, STRtree

from ..outlines import Outline
from .expansion import GLUED_AT_C, Site, at_least, moved_mm, small_length, up_to_tenth
from .screw_places import Above, Cover, FixingPlan, places_of

CLEARANCE_MM = 0.5  # of every hole over its screw: common practice
ROUND_TO_MM = 2.0  # more movement than this each way asks for a slot; from memory
EDGE_HOLES = (
    2.0  # hole diameters from an edge to a hole's middle, at the least: common practice for acrylic
)
APART_HOLES = 3.0  # hole diameters from one middle to the next, at the least; from memory
HEAD = 1.0  # a screw's head reaches so many of its diameters from its middle; from memory
LEAST_SCREW_MM = 3.0  # nobody hangs a sign on thinner ones; from memory
ROUND_RING = 0.98  # 4πA/P² of a ring that is a circle: 1 for a circle, 0.785 for a square
HOLES_MM = (2.0, 30.0)  # diameters of rings that are taken for holes of screws
PLACES = 3  # a thousandth of a millimetre

# Millionths a kelvin, from memory of handbooks: a shop that knows its wall types its own figure.
WALLS = {"masonry": 10.0, "steel": 12.0, "aluminium": 23.0, "wood, along the grain": 5.0}
USUAL_WALL = "masonry"


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
    """A bottom part that stands on the wall; `per_k` None where nobody entered its stock's figure."""

    name: str
    outline: Outline
    per_k: float | None


@dataclass(frozen=True)
class Layout:
    """A sign's fixings. `covered` are (number, what lies over it), `touched` (number, what its head or washer would reach);
    `moved` says what does not stand where it was planned, `said` what is to be minded; `refusal` says why a plan cannot be
    drawn. `is_drawn`: they are holes that the drawing has itself."""

    fixings: tuple[Fixing, ...]
    covered: tuple[tuple[int, str], ...] = ()
    touched: tuple[tuple[int, str], ...] = ()
    moved: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    refusal: str = ""
    is_drawn: bool = False


def hole_for(screw_mm: float, movement_mm: float) -> tuple[float, float]:
    """(hole, slot) in mm for a movement each way: a larger round hole up to ROUND_TO_MM, from there a slot.

    Both are taken up to the next tenth of a millimetre."""
    room = 2 * movement_mm
    if movement_mm <= ROUND_TO_MM:
        return up_to_tenth(screw_mm + CLEARANCE_MM + room), 0.0
    return up_to_tenth(screw_mm + CLEARANCE_MM), up_to_tenth(room)


def movement_mm(distance_mm: float, per_k: float, wall_per_k: float, site: Site) -> float:
    """How far a hole moves over its screw, the larger of the two ways.

    The holes of base and wall are taken from one template at GLUED_AT_C: there each screw stands in the middle of its hole.
    """
    kelvin = max(GLUED_AT_C - site.coldest_c, site.warmest_c - GLUED_AT_C)
    return moved_mm(distance_mm, abs(per_k - wall_per_k), kelvin)


def washer_for(fixing: Fixing) -> float:
    """The least washer, in mm, that covers a round hole wherever its screw stands in it: half the hole and as far again as
    the screw can be from its middle. 0 where the screw's head does so by itself, and for a slot, whose sides carry it."""
    least = 2 * fixing.hole_mm - fixing.wall_mm
    return 0.0 if fixing.slot_mm or least <= 2 * HEAD * fixing.wall_mm else up_to_tenth(least)


# A plan. --------------------------------------------------------------------------------------------------------------


def planned(
    plan: FixingPlan, bases: Sequence[Base], covers: Sequence[Cover], site: Site, units: str = "mm"
) -> Layout:
    """The fixings of a plan, numbered in reading order on each bottom part in turn; none, and why, where it cannot be drawn.

    Each bottom part has its own columns, rows and fixed point. `units` ('mm' or 'in') are those of the sentences.
    """
    above, found, moved = Above(covers, HEAD * plan.screw_mm), [], []
    for base in bases:
        if base.per_k is None:
            return Layout((), refusal=_no_figure(base))
        stand, said = places_of(plan, base.outline.polygon, above, units)
        if not stand:
            room = f"{base.name} has no place that is {small_length(plan.edge_mm, units)} from its edges"
            return Layout((), refusal=f"{room}: type a shorter distance.")
        here = _holes(stand, base, plan.screw_mm, plan.wall_per_k, site, len(found) + 1)
        why = _too_tight(here, base, units)
        if why:
            return Layout((), refusal=why)
        found += here
        moved += [
            f"{base.name}: {sentence}" if len(bases) > 1 else _start(sentence) for sentence in said
        ]
    return Layout(tuple(found), *_met(found, above), moved=tuple(moved))


def _start(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _no_figure(base: Base) -> str:
    return f"Nobody has entered how much the stock of {base.name} expands: an owner enters it on the stock's page."


def _holes(
    places: list[Point], base: Base, screw: float, wall_per_k: float, site: Site, first: int
) -> list[Fixing]:
    """The holes at these places. The one nearest to the middle is the fixed point: the others move to and from it."""
    middle = base.outline.polygon.centroid
    fixed = min(places, key=lambda place: round(place.distance(middle), 6))
    holes = []
    for number, place in enumerate(places, start=first):
        hole, slot = hole_for(
            screw, movement_mm(place.distance(fixed), base.per_k, wall_per_k, site)
        )
        turn = math.degrees(math.atan2(fixed.y - place.y, fixed.x - place.x)) % 360
        x, y = round(place.x, PLACES), round(place.y, PLACES)
        holes.append(Fixing(number, x, y, hole, slot, round(turn, PLACES), place is fixed, screw))
    return holes


def slot_line(fixing: Fixing) -> LineString | Point:
    """The line that the middle of the cutter follows: a point for a round hole."""
    if not fixing.slot_mm:
        return Point(fixing.x_mm, fixing.y_mm)
    turn = math.radians(fixing.turn_deg)
    dx, dy = math.cos(turn) * fixing.slot_mm / 2, math.sin(turn) * fixing.slot_mm / 2
    return LineString([(fixing.x_mm - dx, fixing.y_mm - dy), (fixing.x_mm + dx, fixing.y_mm + dy)])


def _too_tight(fixings: list[Fixing], base: Base, units: str) -> str:
    """Why these holes would weaken the base; '' where they do not."""
    edges = base.outline.polygon.boundary
    for fixing in fixings:
        if edges.distance(slot_line(fixing)) < EDGE_HOLES * fixing.hole_mm - 1e-6:
            needed = max(EDGE_HOLES * one.hole_mm + one.slot_mm / 2 for one in fixings)
            return (
                f"Hole {fixing.number}, {fixing.hole_mm:g} mm wide, would lie too near to an edge of {base.name}: acrylic "
                f"asks for {EDGE_HOLES:g} hole diameters, so type {at_least(needed, units)} or more as the distance."
            )
    places = [Point(one.x_mm, one.y_mm) for one in fixings]
    apart = APART_HOLES * max(one.hole_mm for one in fixings)
    pairs = STRtree(places).query(places, predicate="dwithin", distance=apart)
    close = next(((one, other) for one, other in zip(*pairs.tolist()) if one < other), None)
    if close is None:
        return ""
    one, other = (fixings[at].number for at in close)
    return f"Holes {one} and {other} of {base.name} would lie too near to each other: plan fewer of them."


Met = tuple[tuple[int, str], ...]


def _met(fixings: Sequence[Fixing], above: Above) -> tuple[Met, Met]:
    """(number, name) of what lies over the middle of a hole; and of what its screw's head or washer would reach."""
    covered, touched = [], []
    for one in fixings:
        reach = max(HEAD * one.wall_mm, washer_for(one) / 2)
        if name := above.over(Point(one.x_mm, one.y_mm), 0.0):
            covered.append((one.number, name))
        elif name := above.over(slot_line(one), reach):
            touched.append((one.number, name))
    return tuple(covered), tuple(touched)


def what_changed(before: Layout, after: Layout) -> str:
    """What a new site did to the fixings, in one sentence; '' where nothing."""
    if after.refusal:
        return (
            "" if before.refusal else f"Its plan of fixings does not fit any more: {after.refusal}"
        )
    was = {one.number: one for one in before.fixings}
    new = [one for one in after.fixings if was.get(one.number) != one]
    if not new:
        return ""
    if after.is_drawn:
        return f"Its screws may be {new[0].wall_mm:g} mm at the most now."
    slots = sum(
        one.slot_mm > 0 and not (one.number in was and was[one.number].slot_mm) for one in new
    )
    many, verb = (
        (slots, "slots" if slots > 1 else "a slot") if slots else (len(new), "of another size")
    )
    return f"{many} {'holes are' if many > 1 else 'hole is'} {verb} now: print the drilling template again."


# Holes that the drawing has. ------------------------------------------------------------------------------------------


def drawn(
    bases: Sequence[Base],
    covers: Sequence[Cover],
    site: Site,
    wall_per_k: float = WALLS[USUAL_WALL],
    units: str = "mm",
) -> Layout:
    """The round holes that the bottom parts have themselves, taken for fixings, with the thickest screw that all of them
    leave room for; each that is too small even for the thinnest is said in one sentence."""
    filled = STRtree([cover.outline.polygon for cover in covers if cover.is_let_in])
    found, moves, said = [], {}, []
    for base in bases:
        rings = _round_holes(base.outline, filled)
        if not rings:
            continue
        if base.per_k is None:
            said.append(_no_figure(base))
            base = replace(base, per_k=wall_per_k)
        made = _holes([place for place, _ in rings], base, 0, wall_per_k, site, len(found) + 1)
        fixed = next(one for one in made if one.is_fixed_point)
        for one, (_, wide) in zip(made, rings):
            away = math.hypot(one.x_mm - fixed.x_mm, one.y_mm - fixed.y_mm)
            moves[one.number] = movement_mm(away, base.per_k, wall_per_k, site)
            found.append(replace(one, hole_mm=round(wide, PLACES), slot_mm=0.0))
    screw, small = _screw_for(found, moves, units)
    sized = tuple(replace(one, wall_mm=screw) for one in found)
    return Layout(
        sized, *_met(sized, Above(covers, HEAD * screw)), said=(*said, *small), is_drawn=True
    )


def _round_holes(outline: Outline, filled: STRtree) -> list[tuple[Point, float]]:
    """(middle, diameter) of the rings that are circles of a screw's size with nothing let into them, in reading order."""
    holes = []
    for ring in map(Polygon, outline.rings[1:]):
        corners = shapely.get_coordinates(ring)[
            :-1
        ]  # of a flattened circle they lie on the circle itself
        wide = 2 * float(np.hypot(*(corners - shapely.get_coordinates(ring.centroid)).T).mean())
        is_round = 4 * math.pi * ring.area / ring.length**2 > ROUND_RING
        if (
            is_round
            and HOLES_MM[0] <= wide <= HOLES_MM[1]
            and not len(filled.query(ring.centroid, predicate="within"))
        ):
            holes.append((ring.centroid, wide))
    return sorted(holes, key=lambda hole: (-round(hole[0].y), hole[0].x))


def _screw_for(
    fixings: Sequence[Fixing], moves: dict[int, float], units: str
) -> tuple[float, list[str]]:
    """The thickest screw, to the half millimetre below, that each hole leaves room for; and what is too small for any."""
    rooms = [one.hole_mm - CLEARANCE_MM - 2 * moves[one.number] for one in fixings]
    small = [
        _said_small(one, moves[one.number], units)
        for one, room in zip(fixings, rooms)
        if room < LEAST_SCREW_MM
    ]
    thickest = math.floor(2 * min(rooms, default=LEAST_SCREW_MM)) / 2
    return max(LEAST_SCREW_MM, thickest), small


def _said_small(one: Fixing, movement: float, units: str) -> str:
    hole, slot = hole_for(LEAST_SCREW_MM, movement)
    asked = f"a slot {hole:g} × {round(hole + slot, 1):g} mm" if slot else f"{hole:g} mm"
    moves = f"it moves {small_length(movement, units)} each way"
    return (
        f"Hole {one.number} of {one.hole_mm:.1f} mm is too small: {moves}, and even a screw of {LEAST_SCREW_MM:g} mm "
        f"asks for {asked}."
    )
