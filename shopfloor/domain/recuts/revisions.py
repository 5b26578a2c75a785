"""A new drawing for a job under way: which parts stay, move, are new or gone, and which pieces serve the new ones.

Owns the matching of parts by congruent outline and place, and the order in which pieces in hand are used again. Must not know
how pieces are stored or which sheet is nested again. Lengths are mm in the sign's frame, y up.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import shapely
from shapely import STRtree

from ..outlines import Outline
from ..pieces import CUTTABLE, Piece

Vector = npt.NDArray[np.float64]

SAME_MM = (
    0.5  # a part that is no further off has not moved: the bench sets out to half a millimetre
)
MOST_ROUNDS = 100  # of pairing the nearest; what is left after that is paired in order
MOST_VOTES = 60  # parts of one family that are asked how far a sign has shifted; a sign of 4,000 dots needs no more

SAME, MOVED, NEW, GONE = "same", "moved", "new", "gone"


@dataclass(frozen=True)
class PlacedPart:
    """A part at its place on a sign, as it is or as it is wanted. `outline` is in the sign's frame.

    `alike` is equal for parts whose pieces may stand in for one another: stock and family. `under` are the numbers of the
    parts that it lies on, the main one first.
    """

    number: int
    name: str
    alike: Hashable
    level: int
    under: tuple[int, ...]
    outline: Outline

    @cached_property
    def centre(self) -> Vector:
        """The centre of area: the same however the outline is turned."""
        point = self.outline.polygon.centroid
        return np.array([point.x, point.y])


@dataclass(frozen=True)
class Change:
    """What becomes of one part: 'same', 'moved', 'new' or 'gone'; `old` and `new` are parts by number.

    `stays_joined`: a piece that is fixed there may stay: it sits as before on what it lies on.
    """

    kind: str
    old: int | None
    new: int | None
    stays_joined: bool = False


def match_parts(old: Sequence[PlacedPart], new: Sequence[PlacedPart]) -> tuple[Change, ...]:
    """Return which part of a sign became which: by congruent outline, then by place.

    A part is the same where it lies within 0.5 mm of where it was, measured from the sign's board. Of several alike parts
    that moved, each goes to the nearest. Every part of `old` and of `new` is in exactly one change.
    """
    shift = _shift_of_the_sign(old, new)
    kept = _in_place(old, new, shift)
    kinds = dict.fromkeys(kept, SAME)
    for level in sorted(
        {part.level for part in old}
    ):  # from the bottom up: what lies on a part may have moved with it
        mine = [part for part in old if part.level == level]
        kept |= _carried_along(mine, old, new, kept)
        kept |= _nearest(mine, [part for part in new if part.level == level], kept, shift)
    kept |= _nearest(old, new, kept, shift)
    was, is_now = _by_number(old), _by_number(new)
    changes = [
        Change(
            kinds.get(number, MOVED),
            number,
            other,
            _stays_joined(was[number], is_now[other], kept, was, is_now),
        )
        for number, other in kept.items()
    ]
    taken = set(kept.values())
    changes += [Change(GONE, part.number, None) for part in old if part.number not in kept]
    changes += [Change(NEW, None, part.number) for part in new if part.number not in taken]
    return tuple(
        sorted(changes, key=lambda change: (change.new is None, change.new or change.old or 0))
    )


def pair_signs(
    old: Sequence[Sequence[PlacedPart]],
    new: Sequence[Sequence[PlacedPart]],
    names: tuple[Sequence[str], Sequence[str]],
) -> tuple[tuple[int | None, int | None], ...]:
    """Return which sign became which, as places in `old` and `new` (None: it is new, or gone).

    The two that share the most area of alike parts belong together; what shares nothing goes by its name, and a single
    sign that is left with a single other one is taken for it.
    """
    shared = {
        (one, other): _shared_area(mine, theirs)
        for one, mine in enumerate(old)
        for other, theirs in enumerate(new)
    }
    likely = sorted(
        shared, key=lambda pair: (-shared[pair], names[0][pair[0]] != names[1][pair[1]], pair)
    )
    pairs: dict[int, int] = {}
    for one, other in likely:
        is_likely = shared[one, other] > 0 or names[0][one] == names[1][other]
        if is_likely and one not in pairs and other not in pairs.values():
            pairs[one] = other
    left, came = set(range(len(old))) - set(pairs), set(range(len(new))) - set(pairs.values())
    if len(left) == len(came) == 1:
        pairs[left.pop()] = came.pop()
    found: list[tuple[int | None, int | None]] = [(one, pairs.get(one)) for one in range(len(old))]
    return tuple(
        found + [(None, other) for other in range(len(new)) if other not in pairs.values()]
    )


def served(wanted: Sequence[Hashable], pool: Iterable[tuple[Hashable, Piece]]) -> dict[int, Piece]:
    """Return which pieces serve new parts: places in `wanted` (what each must be alike) to pieces.

    What is furthest along is used first: ready, then cut, then on a sheet that is being cut; last what only waits or is
    planned. A piece serves once.
    """
    best_last = sorted(pool, key=lambda own: (_progress(own[1]), -own[1].attempt, -own[1].id))
    by_kind: dict[Hashable, list[Piece]] = defaultdict(list)
    for alike, piece in best_last:
        by_kind[alike].append(piece)
    return {place: by_kind[alike].pop() for place, alike in enumerate(wanted) if by_kind.get(alike)}


def _progress(piece: Piece) -> int:
    if piece.state == "nested":
        return 2 if piece.sheet_state in CUTTABLE else 1
    return {"waiting": 0, "cut": 3, "ready": 4}.get(piece.state, -1)


# Matching ------------------------------------------------------------------------------------------------------------


def _by_alike(parts: Sequence[PlacedPart]) -> dict[Hashable, list[PlacedPart]]:
    found: dict[Hashable, list[PlacedPart]] = defaultdict(list)
    for part in parts:
        found[part.alike].append(part)
    return found


def _shift_of_the_sign(old: Sequence[PlacedPart], new: Sequence[PlacedPart]) -> Vector:
    """Return how far the sign's frame moved: as its largest board did; with a new board, as most parts did."""
    bottoms = _by_alike([part for part in new if part.level == 0])
    for part in sorted(old, key=lambda part: -part.outline.area_mm2):
        if part.level == 0 and part.alike in bottoms:
            steps = [other.centre - part.centre for other in bottoms[part.alike]]
            return min(steps, key=lambda step: float(np.hypot(*step)))
    votes: Counter[tuple[int, int]] = Counter()
    theirs = _by_alike(new)
    for alike, mine in _by_alike(old).items():
        for part in mine[:MOST_VOTES]:
            votes.update(
                {
                    tuple(np.round(other.centre - part.centre).astype(int))
                    for other in theirs[alike][:MOST_VOTES]
                }
            )
    if not votes:
        return np.zeros(2)
    most = max(votes, key=lambda step: (votes[step], -abs(step[0]) - abs(step[1])))
    return np.array(most, dtype=float)


def _in_place(
    old: Sequence[PlacedPart], new: Sequence[PlacedPart], shift: Vector
) -> dict[int, int]:
    """Return old to new numbers of the parts that have not moved."""
    theirs = _by_alike(new)
    kept: dict[int, int] = {}
    for alike, mine in _by_alike(old).items():
        kept |= _meeting(mine, theirs.get(alike, []), shift)
    return kept


def _meeting(
    mine: Sequence[PlacedPart], others: Sequence[PlacedPart], shift: Vector
) -> dict[int, int]:
    """Return those of `mine` that lie on one of `others` after the shift, each on one."""
    if not mine or not others:
        return {}
    there = STRtree(shapely.points([other.centre for other in others]))
    here = shapely.points([part.centre + shift for part in mine])
    found: dict[int, int] = {}
    taken: set[int] = set()
    for one, other in zip(*there.query(here, predicate="dwithin", distance=SAME_MM), strict=True):
        part, at = mine[one], others[other]
        if (
            part.number in found
            or at.number in taken
            or not _is_in_place(part.outline, at.outline, shift)
        ):
            continue
        found[part.number] = at.number
        taken.add(at.number)
    return found


def _is_in_place(old: Outline, new: Outline, shift: Vector) -> bool:
    """Return whether no point of either boundary is further than 0.5 mm from the other, after the shift."""
    moved = old.moved(float(shift[0]), float(shift[1])).polygon.boundary
    return bool(shapely.hausdorff_distance(moved, new.polygon.boundary) <= SAME_MM)


def _carried_along(
    mine: Sequence[PlacedPart],
    old: Sequence[PlacedPart],
    new: Sequence[PlacedPart],
    kept: Mapping[int, int],
) -> dict[int, int]:
    """Return those of `mine` that moved with what they lie on, such as the letters of a panel that was put elsewhere."""
    was, is_now, taken = _by_number(old), _by_number(new), set(kept.values())
    theirs: dict[tuple[Hashable, int], list[PlacedPart]] = defaultdict(list)
    for other in new:
        if other.under and other.number not in taken:
            theirs[other.alike, other.under[0]].append(other)
    ours: dict[tuple[Hashable, int, int], list[PlacedPart]] = defaultdict(list)
    for part in mine:
        if part.under and part.number not in kept and part.under[0] in kept:
            ours[part.alike, part.under[0], kept[part.under[0]]].append(part)
    found: dict[int, int] = {}
    for (alike, home, new_home), parts in ours.items():
        found |= _meeting(
            parts, theirs.get((alike, new_home), []), is_now[new_home].centre - was[home].centre
        )
    return found


def _by_number(parts: Sequence[PlacedPart]) -> dict[int, PlacedPart]:
    return {part.number: part for part in parts}


def _nearest(
    old: Sequence[PlacedPart], new: Sequence[PlacedPart], kept: Mapping[int, int], shift: Vector
) -> dict[int, int]:
    """Pair the parts left over, alike ones with the nearest."""
    taken = set(kept.values())
    theirs = _by_alike([part for part in new if part.number not in taken])
    found: dict[int, int] = {}
    for alike, mine in _by_alike([part for part in old if part.number not in kept]).items():
        found |= _closest_pairs(mine, theirs.get(alike, []), shift)
    return found


def _closest_pairs(
    mine: Sequence[PlacedPart], theirs: Sequence[PlacedPart], shift: Vector
) -> dict[int, int]:
    """Pair the two that are nearest to each other first, then those of what is left, and so on."""
    found: dict[int, int] = {}
    for _ in range(MOST_ROUNDS):
        if not mine or not theirs:
            return found
        here = shapely.points([part.centre + shift for part in mine])
        there = shapely.points([part.centre for part in theirs])
        to, back = STRtree(there).nearest(here), STRtree(here).nearest(there)
        pairs = [(one, int(other)) for one, other in enumerate(to) if back[other] == one]
        if not pairs:  # several at one spot, so that none is another's nearest
            pairs = [(0, int(to[0]))]
        found |= {mine[one].number: theirs[other].number for one, other in pairs}
        taken = {one for one, _ in pairs}, {other for _, other in pairs}
        mine = [part for place, part in enumerate(mine) if place not in taken[0]]
        theirs = [part for place, part in enumerate(theirs) if place not in taken[1]]
    left = zip(mine, theirs, strict=False)  # there may be fewer of either
    return found | {part.number: other.number for part, other in left}


def _stays_joined(
    part: PlacedPart,
    other: PlacedPart,
    kept: Mapping[int, int],
    was: Mapping[int, PlacedPart],
    is_now: Mapping[int, PlacedPart],
) -> bool:
    """Return True for what lies at the bottom, and for what sits as before on the same parts."""
    if len(part.under) != len(other.under) or {kept.get(number) for number in part.under} != set(
        other.under
    ):
        return False
    shifts = [is_now[kept[number]].centre - was[number].centre for number in part.under]
    return all(
        np.hypot(*(other.centre - part.centre - shift)) <= SAME_MM
        and _is_in_place(part.outline, other.outline, shift)
        for shift in shifts
    )


def _shared_area(mine: Sequence[PlacedPart], theirs: Sequence[PlacedPart]) -> float:
    counts = Counter(part.alike for part in mine) & Counter(part.alike for part in theirs)
    areas = {part.alike: part.outline.area_mm2 for part in mine}
    return sum(count * areas[alike] for alike, count in counts.items())
