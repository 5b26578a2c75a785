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
    # from the bottom up: what lies on a part may have moved with it
    for level in sorted({part.level for part in old}):
        of_level = [part for part in old if part.level == level]
        kept |= _carried_along(of_level, old, new, kept)
        kept |= _nearest(of_level, [part for part in new if part.level == level], kept, shift)
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
        (was, now): _shared_area(old_sign, new_sign)
        for was, old_sign in enumerate(old)
        for now, new_sign in enumerate(new)
    }
    has_same_name = {(was, now): names[0][was] == names[1][now] for was, now in shared}
    pairs: dict[int, int] = {}
    for was, now in sorted(shared, key=lambda pair: (-shared[pair], not has_same_name[pair], pair)):
        is_likely = shared[was, now] > 0 or has_same_name[was, now]
        if is_likely and was not in pairs and now not in pairs.values():
            pairs[was] = now
    gone, added = set(range(len(old))) - set(pairs), set(range(len(new))) - set(pairs.values())
    if len(gone) == len(added) == 1:
        pairs[gone.pop()] = added.pop()
    return (
        *((was, pairs.get(was)) for was in range(len(old))),
        *((None, now) for now in sorted(added)),
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
    families: dict[Hashable, list[PlacedPart]] = defaultdict(list)
    for part in parts:
        families[part.alike].append(part)
    return families


def _shift_of_the_sign(old: Sequence[PlacedPart], new: Sequence[PlacedPart]) -> Vector:
    """Return how far the sign's frame moved: as its largest board did; with a new board, as most parts did."""
    bottoms = _by_alike([part for part in new if part.level == 0])
    for part in sorted(old, key=lambda part: -part.outline.area_mm2):
        if part.level == 0 and part.alike in bottoms:
            steps = [other.centre - part.centre for other in bottoms[part.alike]]
            return min(steps, key=lambda step: float(np.hypot(*step)))
    votes: Counter[tuple[int, int]] = Counter()
    new_families = _by_alike(new)
    for alike, old_parts in _by_alike(old).items():
        for part in old_parts[:MOST_VOTES]:
            votes.update(
                {
                    tuple(np.round(other.centre - part.centre).astype(int))
                    for other in new_families[alike][:MOST_VOTES]
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
    new_families = _by_alike(new)
    kept: dict[int, int] = {}
    for alike, old_parts in _by_alike(old).items():
        kept |= _meeting(old_parts, new_families.get(alike, []), shift)
    return kept


def _meeting(old: Sequence[PlacedPart], new: Sequence[PlacedPart], shift: Vector) -> dict[int, int]:
    """Return which of `old` lie on one of `new` after the shift, each on one."""
    if not old or not new:
        return {}
    there = STRtree(shapely.points([part.centre for part in new]))
    here = shapely.points([part.centre + shift for part in old])
    matches: dict[int, int] = {}
    taken: set[int] = set()
    for was, now in there.query(here, predicate="dwithin", distance=SAME_MM).T.tolist():
        part, other = old[was], new[now]
        is_free = part.number not in matches and other.number not in taken
        if is_free and _is_in_place(part.outline, other.outline, shift):
            matches[part.number] = other.number
            taken.add(other.number)
    return matches


def _is_in_place(old: Outline, new: Outline, shift: Vector) -> bool:
    """Return whether no point of either boundary is further than 0.5 mm from the other, after the shift."""
    moved = old.moved(float(shift[0]), float(shift[1])).polygon.boundary
    return bool(shapely.hausdorff_distance(moved, new.polygon.boundary) <= SAME_MM)


def _carried_along(
    of_level: Sequence[PlacedPart],
    old: Sequence[PlacedPart],
    new: Sequence[PlacedPart],
    kept: Mapping[int, int],
) -> dict[int, int]:
    """Return those of a level that moved with what they lie on, such as the letters of a panel that was put elsewhere."""
    was, is_now, taken = _by_number(old), _by_number(new), set(kept.values())
    new_on: dict[tuple[Hashable, int], list[PlacedPart]] = defaultdict(list)
    for other in new:
        if other.under and other.number not in taken:
            new_on[other.alike, other.under[0]].append(other)
    old_on: dict[tuple[Hashable, int], list[PlacedPart]] = defaultdict(list)
    for part in of_level:
        if part.under and part.number not in kept and part.under[0] in kept:
            old_on[part.alike, part.under[0]].append(part)
    matches: dict[int, int] = {}
    for (alike, home), parts in old_on.items():
        new_home = kept[home]
        shift = is_now[new_home].centre - was[home].centre
        matches |= _meeting(parts, new_on.get((alike, new_home), []), shift)
    return matches


def _by_number(parts: Sequence[PlacedPart]) -> dict[int, PlacedPart]:
    return {part.number: part for part in parts}


def _nearest(
    old: Sequence[PlacedPart], new: Sequence[PlacedPart], kept: Mapping[int, int], shift: Vector
) -> dict[int, int]:
    """Pair the parts left over, alike ones with the nearest."""
    taken = set(kept.values())
    new_families = _by_alike([part for part in new if part.number not in taken])
    matches: dict[int, int] = {}
    for alike, parts in _by_alike([part for part in old if part.number not in kept]).items():
        matches |= _closest_pairs(parts, new_families.get(alike, []), shift)
    return matches


def _closest_pairs(
    old: Sequence[PlacedPart], new: Sequence[PlacedPart], shift: Vector
) -> dict[int, int]:
    """Pair the two that are nearest to each other first, then those of what is left, and so on."""
    matches: dict[int, int] = {}
    for _ in range(MOST_ROUNDS):
        if not old or not new:
            return matches
        here = shapely.points([part.centre + shift for part in old])
        there = shapely.points([part.centre for part in new])
        to, back = STRtree(there).nearest(here), STRtree(here).nearest(there)
        pairs = [(was, int(now)) for was, now in enumerate(to) if back[now] == was]
        if not pairs:  # several at one spot, so that none is another's nearest
            pairs = [(0, int(to[0]))]
        matches |= {old[was].number: new[now].number for was, now in pairs}
        taken = set(matches.values())
        old = [part for part in old if part.number not in matches]
        new = [part for part in new if part.number not in taken]
    left = zip(old, new, strict=False)  # there may be fewer of either
    return matches | {part.number: other.number for part, other in left}


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


def _shared_area(old: Sequence[PlacedPart], new: Sequence[PlacedPart]) -> float:
    counts = Counter(part.alike for part in old) & Counter(part.alike for part in new)
    areas = {part.alike: part.outline.area_mm2 for part in old}
    return sum(count * areas[alike] for alike, count in counts.items())
