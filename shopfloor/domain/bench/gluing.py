"""In which order the parts of a level are glued, in which groups, and how quick the shop is at it.

A hand never reaches over wet glue. Works on boxes: an arm keeps clear of a letter's box. Must not know cements or steps,
nor read a clock. Lengths are millimetres, y points up; times are minutes.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import count, pairwise

import numpy as np
import numpy.typing as npt

from ...wording import gluing as wording
from ...wording.message import Message
from ..drawing.reading_order import Box, reading_lines
from ..errors import Refused

# Edges of the sign: where the assembler stands.
EDGES = ("lower edge", "upper edge", "left edge", "right edge")
BOTH = {
    "both long edges": ("lower edge", "upper edge"),
    "both upright edges": ("left edge", "right edge"),
}
NEAR = (*EDGES, *BOTH)

HAND_MM = 80.0  # the breadth of a hand with a part in it: from memory
# Shares of a part's height, from memory: what is nearer by less is a round letter's overshoot, which no arm crosses; a
# neighbour's descender beside the arm is in nobody's way, a neighbour a line nearer is.
STRAIGHT_SHARE = 0.1
BESIDE_SHARE = 0.5

SHRUNK_BY = (
    20  # parts at the usual pace that are counted with the measured ones: about one level of a sign
)
LUNCH_MIN = 120.0  # nobody glues one group for longer: somebody forgot to press
LUNCH_TIMES = 3.0  # nor for so many times the cement's open time
LATE_ENTRY = timedelta(hours=24)
CLOCKS_DIFFER = timedelta(minutes=2)  # a tablet's clock may be a little ahead of the shop's
SLACK = 1e-9  # a group that fills the open time exactly still fits it


Boxes = npt.NDArray[np.float64]  # a row of (left, bottom, right, top) for each part
Grid = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Placed:
    """A part at its place on the sign: its box as (left, bottom, right, top) in mm."""

    part: int
    box: Box


@dataclass(frozen=True)
class Session:
    """A glue-up from Begin to Glued: how many minutes for how many parts, and the cement's open time (0: not known)."""

    minutes: float
    parts: int
    open_min: float


@dataclass(frozen=True)
class Pace:
    """How long one part takes, in minutes; from how many `parts` and `sessions`, and how many sessions were left out."""

    minutes_a_part: float
    sessions: int
    parts: int
    left_out: int


# The order. -----------------------------------------------------------------------------------------------------------


def order(parts: Sequence[Placed], near: str = "lower edge") -> tuple[int, ...]:
    """Return the parts (their ids) in an order in which no arm crosses a part that is already glued.

    The arm comes straight from the edge `near` (one of NEAR) where the assembler is: what is far is set first, lines
    kept together and read from the left as far as that allows. From both edges each half has its own, and the order goes
    outward from the middle.

    There always is such an order. From one edge: what is in a part's way begins nearer than it, so no ring of parts can be
    in each other's way. From two: a part of the near half that reaches further than one of the far half begins nearer than
    that one, for its middle is nearer; so a ring through both halves would begin nearer at each return to the near one, and
    never close.
    """
    comes_before = _ways(parts, near)
    rank = _reading_ranks(parts, near)
    waits_for = comes_before.sum(axis=0)
    free = [(rank[index], index) for index in np.flatnonzero(waits_for == 0).tolist()]
    heapq.heapify(free)
    ordered: list[int] = []
    while free:
        index = heapq.heappop(free)[1]
        ordered.append(parts[index].part)
        held = np.flatnonzero(comes_before[index])
        waits_for[held] -= 1
        for freed in held[waits_for[held] == 0].tolist():
            heapq.heappush(free, (rank[freed], freed))
    return tuple(ordered)


def reaches_over(
    glued_in_order: Sequence[int], parts: Sequence[Placed], near: str = "lower edge"
) -> list[tuple[int, int]]:
    """Return the pairs (part, part glued before it) where setting the first reaches over the second, in this order."""
    turn = {part: index for index, part in enumerate(glued_in_order)}
    wet = [(parts[i].part, parts[j].part) for i, j in np.argwhere(_ways(parts, near)).tolist()]
    return [(part, other) for part, other in wet if turn[other] < turn[part]]


def _ways(parts: Sequence[Placed], near: str) -> Grid:
    """[i, j] is True where part j is in the way of the arm that sets part i: i has to come first."""
    box = _boxes(parts)
    ways = np.zeros((len(parts), len(parts)), dtype=bool)
    for edge, some in _halves(box, near):
        ways[some] = _ways_from(box, edge)[some]
    return ways


def _boxes(parts: Sequence[Placed]) -> Boxes:
    return np.array([part.box for part in parts], dtype=float).reshape(-1, 4)


def _halves(box: Boxes, near: str) -> list[tuple[str, npt.NDArray[np.intp]]]:
    """Return from which edge which parts are set: all from one, or from each of two those whose middle is nearer to it."""
    if near not in BOTH:
        return [(near, np.arange(len(box)))]
    if not len(box):
        return []
    first, second = BOTH[near]
    _, close, _, far = _seen_from(box, first).T
    is_further = (close + far) / 2 >= (close.min() + far.max()) / 2
    return [(first, np.flatnonzero(~is_further)), (second, np.flatnonzero(is_further))]


def _ways_from(box: Boxes, edge: str) -> Grid:
    left, close, right, far = _seen_from(box, edge).T
    height = far - close
    # [i, j], negative where they overlap
    apart = np.maximum(left[None, :] - right[:, None], left[:, None] - right[None, :])
    is_straight = (apart < 0) & (close + STRAIGHT_SHARE * height < close[:, None])
    is_beside = (apart < HAND_MM / 2) & (close + BESIDE_SHARE * height < close[:, None])
    ways: Grid = is_straight | is_beside
    return ways


def _seen_from(box: Boxes, edge: str) -> Boxes:
    """Return the boxes as seen from that edge: from the left hand to the right, from near to far."""
    left, bottom, right, top = box.T
    seen = {
        "lower edge": (left, bottom, right, top),
        "upper edge": (-right, -top, -left, -bottom),
        "left edge": (-top, left, -bottom, right),
        "right edge": (bottom, -right, top, -left),
    }
    return np.column_stack(seen[edge])


def _reading_ranks(parts: Sequence[Placed], near: str) -> list[int]:
    """Return the place of each part when they are simply read from the edge, line by line from the far one."""
    box, place = _boxes(parts), count()
    ranks = [0] * len(parts)
    for edge, some in _halves(box, near):
        boxes = [
            (left, near_side, right, far)
            for left, near_side, right, far in _seen_from(box[some], edge).tolist()
        ]
        for line in reading_lines(boxes):
            for index in line.members:
                ranks[some[index]] = next(place)
    return ranks


# The groups. ----------------------------------------------------------------------------------------------------------


def groups(
    in_order: Sequence[int], minutes_a_part: float, open_min: float
) -> tuple[tuple[int, ...], ...]:
    """Return the order cut into runs that are glued one after the other, each within the cement's open time.

    As few groups as possible, of similar size: that leaves
    the most time in each. An `open_min` of 0 is not known: one group. A part that takes longer than the open time is a group
    of its own (see `too_slow`).
    """
    if not in_order:
        return ()
    fitting = max(1, math.floor(open_min / minutes_a_part + SLACK))
    room = len(in_order) if open_min <= 0 else fitting
    runs = math.ceil(len(in_order) / room)
    ends = [len(in_order) * number // runs for number in range(runs + 1)]
    return tuple(tuple(in_order[begin:end]) for begin, end in pairwise(ends))


def too_slow(minutes_a_part: float, open_min: float) -> Message | None:
    """Return a caution where one part alone takes longer than the cement stays open; None where it does not, or nobody knows."""
    if open_min <= 0 or minutes_a_part <= open_min + SLACK:
        return None
    return wording.too_slow(float(f"{minutes_a_part:.2g}"), open_min)


def checked_glued_at(glued_at: datetime, now: datetime) -> datetime:
    """Return when it was glued. Raises Refused where that is in the future, or over 24 hours ago."""
    if glued_at > now + CLOCKS_DIFFER:
        raise Refused(wording.glued_in_the_future())
    if glued_at < now - LATE_ENTRY:
        raise Refused(wording.glued_too_long_ago())
    return min(glued_at, now)


# The pace. ------------------------------------------------------------------------------------------------------------


def pace(minutes: float, parts: int, usual: float) -> float:
    """Return minutes a part: as measured, with 20 more parts at the `usual` pace counted in.

    So one odd session does not change the groups, and after some signs the shop's own pace counts. (The mean of a gamma
    prior worth 20 parts.)
    """
    return (usual * SHRUNK_BY + minutes) / (SHRUNK_BY + parts)


def measured_pace(sessions: Sequence[Session], usual: float) -> Pace:
    """Return the shop's pace from its glue-ups. Those that took over two hours, or over three times the open time, or no time
    at all, are left out and counted: somebody had lunch, or pressed Begin at the end."""
    used = [
        session
        for session in sessions
        if 0 < session.minutes <= _longest(session) and session.parts
    ]
    minutes = sum(session.minutes for session in used)
    parts = sum(session.parts for session in used)
    return Pace(pace(minutes, parts, usual), len(used), parts, len(sessions) - len(used))


def _longest(session: Session) -> float:
    return min(LUNCH_MIN, LUNCH_TIMES * session.open_min) if session.open_min else LUNCH_MIN
