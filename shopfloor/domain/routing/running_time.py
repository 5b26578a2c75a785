"""How long the router runs for a sheet: minutes from path, feed and acceleration, corrected by the shop's own records.

Owns the speeds along a path, the sum over a sheet, and the correction. Must not know where records are kept. Left out:
setting up, changing cutters, loading. Lengths are mm, feeds mm/min, accelerations mm/s²; seconds inside, minutes out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon

from ..outlines import Outline, Ring
from .feeds import Feeds

Numbers = npt.NDArray[np.float64]

SPREAD_OF_SHOPS = 0.5  # of the logarithm of a shop's factor, most between 0.4 and 2.7: from memory
SPREAD_OF_SHEETS = 0.35  # of the logarithm from sheet to sheet within a shop: from memory
SPREAD_WEIGHT = 4  # how many sheets that belief about the spread is worth: from memory
NORMAL_95 = 1.959964  # 95 % of a normal distribution lie within so many deviations
MOST_TIMES = 8.0  # a sheet that took so many times its estimate was left overnight, or started late: from memory
ODD_DEVIATIONS, FEWEST_FOR_ODD = (
    3.5,
    5,
)  # further off than this from the middle of at least five: common practice
NORMAL_OF_MIDDLE = 1.4826  # a normal deviation over the middle distance from the middle
STEP_IN_A_QUARTER = 8  # chords in a quarter turn round a corner: 0.015 mm off for a 6.35 mm cutter


@dataclass(frozen=True, kw_only=True)
class Motion:
    """What the machine can do; the defaults are from memory, the machine's manual decides.

    `rapid_mm_min` between cuts, `acceleration_mm_s2`, `safe_height_mm` over the sheet for travel, `blend_mm` how far the
    control may round off a corner: it is also how far chords lie off their curves.
    """

    rapid_mm_min: float = 12_000.0
    acceleration_mm_s2: float = 1000.0
    safe_height_mm: float = 10.0
    blend_mm: float = 0.05


@dataclass(frozen=True)
class RingRun:
    """One closed path of the cutter's middle, the hold-down of its piece, and how many tabs it lifts over."""

    path: Ring
    way: str
    tabs: int = 0


@dataclass(frozen=True, kw_only=True)
class SheetRun:
    """All that is cut on a sheet, in cutting order. `tab_mm` is how thick the tabs are."""

    rings: tuple[RingRun, ...]
    tab_mm: float = 0.8


@dataclass(frozen=True)
class Correction:
    """The shop's own factor: a sheet takes `factor` times its reckoned minutes, 95 in 100 take `low` to `high` times.

    Learned from `sheets` records; `left_out` more took odd times.
    """

    factor: float
    low: float
    high: float
    sheets: int
    left_out: int = 0


@dataclass(frozen=True)
class Estimate:
    """Minutes for a sheet: `path_min` from the path alone, the others corrected by the shop's own factor."""

    path_min: float
    minutes: float
    low: float
    high: float
    correction: Correction


# A path. --------------------------------------------------------------------------------------------------------------


def seconds_straight(length_mm: float, speed_mm_min: float, acceleration_mm_s2: float) -> float:
    """Return the seconds of a straight move from rest to rest: L/v + v/a, or 2 √(L/a) below full speed (textbook)."""
    speed = speed_mm_min / 60
    if length_mm * acceleration_mm_s2 <= speed**2:
        return 2 * math.sqrt(length_mm / acceleration_mm_s2)
    return length_mm / speed + speed / acceleration_mm_s2


def seconds_along(
    points: Ring | Numbers, feed_mm_min: float, acceleration_mm_s2: float, blend_mm: float = 0.05
) -> float:
    """Return the seconds once round a closed ring, from rest at its first point to rest there.

    Never less than length over feed. Looks ahead as a control does: no corner is taken faster than a circle there allows (`_corner_radii`, v² = a r), and
    between corners v² changes by no more than 2 a s (textbook). A ring without length takes no time.
    """
    ring = np.asarray(points, dtype=float)
    closed = np.vstack([ring, ring[:1]])
    whole = float(np.hypot(*np.diff(closed, axis=0).T).sum())
    corners = shapely.get_coordinates(
        LineString(closed).simplify(blend_mm, preserve_topology=False)
    )
    steps = np.diff(corners if len(corners) > 3 else closed, axis=0)
    steps = steps[np.hypot(*steps.T) > 0]
    if not len(steps):
        return 0.0
    lengths = np.hypot(*steps.T)
    top = (feed_mm_min / 60) ** 2
    caps = np.minimum(top, acceleration_mm_s2 * _corner_radii(steps, lengths, blend_mm))
    squares = _reachable(np.concatenate([[0.0], caps, [0.0]]), 2 * acceleration_mm_s2 * lengths)
    seconds = _seconds(squares, lengths, top, acceleration_mm_s2)
    return seconds * whole / float(lengths.sum())  # what the chords left out is run too


def _corner_radii(steps: Numbers, lengths: Numbers, blend_mm: float) -> Numbers:
    """Return the radius in mm at which each corner is taken: infinite straight on, 0 turning back.

    The smaller of two. A circle that touches both sides and passes the corner at the blend's distance e has the radius
    e cos(t/2) / (1 − cos(t/2)) for a turn t (plane geometry). On a curve of short chords it is their mean length over t.
    """
    headings = np.arctan2(steps[:, 1], steps[:, 0])
    turns = np.abs(np.remainder(np.diff(headings) + math.pi, 2 * math.pi) - math.pi)
    half = np.cos(turns / 2)
    with np.errstate(
        divide="ignore", invalid="ignore"
    ):  # straight on with no blend is 0 / 0: the other radius counts
        radii: Numbers = np.fmin(
            blend_mm * half / (1 - half), (lengths[:-1] + lengths[1:]) / 2 / turns
        )
    return radii


def _reachable(caps: Numbers, gains: Numbers) -> Numbers:
    """Return the highest squared speeds at the points that their caps and the gains between neighbours allow."""
    squares, steps = caps.tolist(), gains.tolist()
    for place, gain in enumerate(steps):
        squares[place + 1] = min(squares[place + 1], squares[place] + gain)
    for place in range(len(steps) - 1, -1, -1):
        squares[place] = min(squares[place], squares[place + 1] + steps[place])
    return np.array(squares)


def _seconds(squares: Numbers, lengths: Numbers, top: float, acceleration: float) -> float:
    """Return the seconds over steps with these squared speeds at their ends: up, along at the peak, down again."""
    begin, end = squares[:-1], squares[1:]
    peak = np.minimum(top, (begin + end) / 2 + acceleration * lengths)
    ramps = (2 * np.sqrt(peak) - np.sqrt(begin) - np.sqrt(end)) / acceleration
    level = np.maximum(lengths - (2 * peak - begin - end) / (2 * acceleration), 0) / np.sqrt(peak)
    return float((ramps + level).sum())


# A sheet. -------------------------------------------------------------------------------------------------------------


def runs_of(outline: Outline, way: str, cutter_mm: float, tabs: int = 0) -> tuple[RingRun, ...]:
    """Return the paths of a piece, holes first: half a cutter inside each hole, half a cutter outside the outer ring.

    A hole that the cutter does not fit into is run on its own line, so that no time is forgotten. The tabs are on the
    outer ring.
    """
    holes = [
        RingRun(path, way) for hole in outline.rings[1:] for path in _beside(hole, -cutter_mm / 2)
    ]
    return (
        *holes,
        *(RingRun(path, way, tabs) for path in _beside(outline.rings[0], cutter_mm / 2)),
    )


def _beside(ring: Ring, by_mm: float) -> Iterator[Ring]:
    shape = Polygon(ring).buffer(by_mm, quad_segs=STEP_IN_A_QUARTER)
    if shape.is_empty:
        yield ring
    for area in shapely.get_parts(shape) if not shape.is_empty else ():
        yield tuple(map(tuple, shapely.get_coordinates(area.exterior)[:-1].tolist()))


def estimate_minutes(run: SheetRun, feeds: Feeds, motion: Motion) -> float:
    """Return the minutes that the machine moves for a sheet, from (0, 0) and back: travel, plunges, passes, tabs."""
    here, seconds = (0.0, 0.0), 0.0
    for ring in run.rings:
        seconds += _seconds_to(here, ring.path[0], motion) + _seconds_of_ring(
            ring, run, feeds, motion
        )
        here = ring.path[0]
    return (seconds + _seconds_to(here, (0.0, 0.0), motion)) / 60


def _seconds_to(here: tuple[float, float], there: tuple[float, float], motion: Motion) -> float:
    """Return the seconds up to the safe height, across, and down again."""
    ways = (motion.safe_height_mm, math.dist(here, there), motion.safe_height_mm)
    return sum(
        seconds_straight(way, motion.rapid_mm_min, motion.acceleration_mm_s2) for way in ways
    )


def _seconds_of_ring(ring: RingRun, run: SheetRun, feeds: Feeds, motion: Motion) -> float:
    """Return the seconds of all passes of one ring. The pass of an onion skin is slower."""
    acceleration = motion.acceleration_mm_s2
    has_skin = ring.way in ("skin", "tape")
    depths = feeds.skin_passes if has_skin else feeds.passes
    last_feed = feeds.skin_feed_mm_min if has_skin else feeds.feed_mm_min
    seconds = sum(seconds_straight(depth, feeds.plunge_mm_min, acceleration) for depth in depths)
    seconds += seconds_along(ring.path, last_feed, acceleration, motion.blend_mm)
    if len(depths) > 1:
        full = seconds_along(ring.path, feeds.feed_mm_min, acceleration, motion.blend_mm)
        seconds += (len(depths) - 1) * full
    return seconds + ring.tabs * _seconds_of_tab(run, feeds, motion)


def _seconds_of_tab(run: SheetRun, feeds: Feeds, motion: Motion) -> float:
    """Return what a tab adds to the last pass: up, down, each from rest, and v/a to stop and start again."""
    vertical = seconds_straight(run.tab_mm, feeds.plunge_mm_min, motion.acceleration_mm_s2)
    return 2 * (vertical + feeds.feed_mm_min / 60 / motion.acceleration_mm_s2)


# The shop's records. --------------------------------------------------------------------------------------------------


def correction(records: Sequence[tuple[float, float]]) -> Correction:
    """Return the factor that (reckoned, real) minutes of sheets that were cut give for the next one.

    The logarithms of real over reckoned are taken as normal, their mean as normal about 0 with SPREAD_OF_SHOPS, so that a
    few records move the factor a little and many decide it (normal prior and likelihood, textbook). Their spread is
    SPREAD_OF_SHEETS, worth SPREAD_WEIGHT records, pooled with their own. The interval is for one more sheet. Records
    that are `left_out` do not count. Without records the factor is 1.
    """
    is_out = left_out(records)
    kept = _logs([record for record, out in zip(records, is_out, strict=True) if not out])
    count = len(kept)
    own = float(((kept - kept.mean()) ** 2).sum()) if count else 0.0
    of_sheets = (SPREAD_WEIGHT * SPREAD_OF_SHEETS**2 + own) / (SPREAD_WEIGHT + max(count - 1, 0))
    of_factor = 1 / (1 / SPREAD_OF_SHOPS**2 + count / of_sheets)
    middle = of_factor * float(kept.sum()) / of_sheets
    reach = NORMAL_95 * math.sqrt(of_factor + of_sheets)
    low, high = math.exp(middle - reach), math.exp(middle + reach)
    return Correction(math.exp(middle), low, high, count, len(records) - count)


def left_out(records: Sequence[tuple[float, float]]) -> tuple[bool, ...]:
    """Return which (reckoned, real) minutes the correction leaves out, in their order.

    Those that are not usable and, of five usable records or more, those far from their middle.
    """
    usable = [_is_usable(*record) for record in records]
    odd = iter(_odd(_logs([record for record in records if _is_usable(*record)])))
    return tuple(not is_usable or bool(next(odd)) for is_usable in usable)


def _logs(records: Sequence[tuple[float, float]]) -> Numbers:
    return np.array([math.log(real / reckoned) for reckoned, real in records])


def _is_usable(reckoned: float, real: float) -> bool:
    """False for a sheet that was left overnight, or whose start or finish was tapped at the wrong time."""
    return reckoned > 0 and reckoned / MOST_TIMES <= real <= reckoned * MOST_TIMES


def _odd(logs: Numbers) -> npt.NDArray[np.bool_]:
    """Return which lie further than ODD_DEVIATIONS from the middle, by a spread that odd ones do not move.

    The spread is at least half of SPREAD_OF_SHEETS.
    """
    if len(logs) < FEWEST_FOR_ODD:
        return np.zeros(len(logs), dtype=bool)
    away = np.abs(logs - np.median(logs))
    spread = max(NORMAL_OF_MIDDLE * float(np.median(away)), SPREAD_OF_SHEETS / 2)
    return np.asarray(away > ODD_DEVIATIONS * spread)


def estimate(path_min: float, learned: Correction) -> Estimate:
    """Return the reckoned minutes times the factor, with the limits in which 95 of 100 sheets should lie."""
    return Estimate(
        path_min,
        path_min * learned.factor,
        path_min * learned.low,
        path_min * learned.high,
        learned,
    )
