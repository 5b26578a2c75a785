"""How long the router runs for a sheet: minutes from path, feed and acceleration, corrected by the shop's own records.

Owns the speeds along a path, the sum over a sheet, and the correction. Must not know where records are kept. Left out:
setting up, changing cutters, loading. Lengths are mm, feeds mm/min, accelerations mm/s²; seconds inside, minutes out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon

from ..outlines import Outline, Point, Ring
from ..settings import Settings
from .feeds import Feeds

Numbers = npt.NDArray[np.float64]

SPREAD_OF_SHOPS = 0.5  # of the logarithm of a shop's factor, most between 0.4 and 2.7: from memory
SPREAD_OF_SHEETS = 0.35  # of the logarithm from sheet to sheet within a shop: from memory
SPREAD_WEIGHT = 4  # how many sheets that belief about the spread is worth: from memory
NORMAL_95 = NormalDist().inv_cdf(0.975)  # 95 % lie within so many deviations
MOST_TIMES = 8.0  # a sheet that took so many times its estimate was left overnight, or started late: from memory
ODD_DEVIATIONS, FEWEST_FOR_ODD = (
    3.5,
    5,
)  # further off than this from the middle of at least five: common practice
NORMAL_OF_MIDDLE = 1.4826  # a normal deviation over the middle distance from the middle
SAFE_HEIGHT_MM = 10.0  # over the sheet for travel: from memory, as is the next
BLEND_MM = 0.05  # how far the control may round off a corner: it is also how far chords lie off their curves
STEP_IN_A_QUARTER = 8  # chords in a quarter turn round a corner: 0.015 mm off for a 6.35 mm cutter


@dataclass(frozen=True)
class RingRun:
    """One closed path of the cutter's middle, the hold-down of its piece, and how many tabs it lifts over."""

    path: Ring
    way: str
    tabs: int = 0


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
    points: Ring | Numbers,
    feed_mm_min: float,
    acceleration_mm_s2: float,
    blend_mm: float = BLEND_MM,
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
    climb = np.concatenate([[0.0], np.cumsum(gains)])
    forward = np.minimum.accumulate(caps - climb) + climb
    squares: Numbers = np.minimum.accumulate((forward + climb)[::-1])[::-1] - climb
    return squares.clip(min=0)


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
    outer = [RingRun(path, way, tabs) for path in _beside(outline.rings[0], cutter_mm / 2)]
    return (*holes, *outer)


def _beside(ring: Ring, by_mm: float) -> list[Ring]:
    shape = Polygon(ring).buffer(by_mm, quad_segs=STEP_IN_A_QUARTER)
    if shape.is_empty:
        return [ring]
    rings = [area.exterior.coords[:-1] for area in shapely.get_parts(shape)]
    return [tuple(points) for points in rings]


def estimate_minutes(rings: Sequence[RingRun], feeds: Feeds, settings: Settings) -> float:
    """Return the minutes that the machine moves for a sheet whose rings are in cutting order, from (0, 0) and back:
    travel, plunges, passes, tabs."""
    stops = [(0.0, 0.0), *(ring.path[0] for ring in rings), (0.0, 0.0)]
    travel = sum(_seconds_to(here, there, settings) for here, there in pairwise(stops))
    cutting = sum(_seconds_of_ring(ring, feeds, settings) for ring in rings)
    return (travel + cutting) / 60


def _seconds_to(here: Point, there: Point, settings: Settings) -> float:
    """Return the seconds up to the safe height, across, and down again."""
    return sum(
        seconds_straight(way, settings.rapid_mm_min, settings.acceleration_mm_s2)
        for way in (SAFE_HEIGHT_MM, math.dist(here, there), SAFE_HEIGHT_MM)
    )


def _seconds_of_ring(ring: RingRun, feeds: Feeds, settings: Settings) -> float:
    """Return the seconds of all passes of one ring. The pass of an onion skin is slower."""
    acceleration = settings.acceleration_mm_s2
    has_skin = ring.way in ("skin", "tape")
    depths = feeds.skin_passes if has_skin else feeds.passes
    last_feed = feeds.skin_feed_mm_min if has_skin else feeds.feed_mm_min
    seconds = sum(seconds_straight(depth, feeds.plunge_mm_min, acceleration) for depth in depths)
    seconds += seconds_along(ring.path, last_feed, acceleration, BLEND_MM)
    if len(depths) > 1:
        full = seconds_along(ring.path, feeds.feed_mm_min, acceleration, BLEND_MM)
        seconds += (len(depths) - 1) * full
    # each tab of the last pass: up and down, each from rest, and v/a to stop and start again
    lift = seconds_straight(settings.tab_thickness_mm, feeds.plunge_mm_min, acceleration)
    return seconds + ring.tabs * 2 * (lift + feeds.feed_mm_min / 60 / acceleration)


# The shop's records. --------------------------------------------------------------------------------------------------


def correction(records: Sequence[tuple[float, float]]) -> Correction:
    """Return the factor that (reckoned, real) minutes of sheets that were cut give for the next one.

    The logarithms of real over reckoned are taken as normal, their mean as normal about 0 with SPREAD_OF_SHOPS, so that a
    few records move the factor a little and many decide it (normal prior and likelihood, textbook). Their spread is
    SPREAD_OF_SHEETS, worth SPREAD_WEIGHT records, pooled with their own. The interval is for one more sheet. Records
    that are `left_out` do not count. Without records the factor is 1.
    """
    kept = _logs(records)[~np.array(left_out(records), dtype=bool)]
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

    A sheet that was left overnight, or whose start or finish was tapped at the wrong time; and, of five usable records or
    more, those further than ODD_DEVIATIONS from their middle, by a spread that odd ones do not move and that is at least
    half of SPREAD_OF_SHEETS.
    """
    logs = _logs(records)
    is_out = ~(np.abs(logs) <= math.log(MOST_TIMES))
    usable = logs[~is_out]
    if len(usable) >= FEWEST_FOR_ODD:
        away = np.abs(logs - np.median(usable))
        middle = float(np.median(away[~is_out]))
        is_out |= away > ODD_DEVIATIONS * max(NORMAL_OF_MIDDLE * middle, SPREAD_OF_SHEETS / 2)
    return tuple(is_out.tolist())


def _logs(records: Sequence[tuple[float, float]]) -> Numbers:
    """Return the logarithm of real over reckoned of each record; not a number where either is not over 0."""
    return np.array(
        [
            math.log(real / reckoned) if min(reckoned, real) > 0 else math.nan
            for reckoned, real in records
        ]
    )


def estimate(path_min: float, learned: Correction) -> Estimate:
    """Return the reckoned minutes times the factor, with the limits in which 95 of 100 sheets should lie."""
    return Estimate(
        path_min,
        path_min * learned.factor,
        path_min * learned.low,
        path_min * learned.high,
        learned,
    )
