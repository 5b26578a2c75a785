"""The search behind swaps.py: which sign gets which pieces of its families, at the least cost.

Owns the groups of signs that can help each other, a good choice for each and the proof that there is no better one.
Must not know days as people write them, nor words: days are whole numbers here, so that sums are exact and a tie is a tie.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import ne

MOST_STEPS = 20_000  # of the proof; beyond that nothing is proven
_MOST_CHOICES = 4_000  # ways to serve one sign
_MOST_TRIES = 8_000  # swaps of two pieces that are tried to better a choice


@dataclass(frozen=True)
class State:
    """A sign: without lateness its last piece may come up to `limit`; all else is there on the day `floor`."""

    sign: int
    floor: int
    limit: int

    @property
    def free(self) -> int:
        """A piece that comes up to this day costs the sign nothing more, late or not."""
        return max(self.floor, self.limit)

    def late(self, last: int) -> int:
        """How late the sign is where its last piece comes on the day `last`."""
        return max(0, max(self.floor, last) - self.limit)


@dataclass(frozen=True)
class Slot:
    """A place for a piece, a part's or a spare's, with the piece that has it now and the day of that piece."""

    family: int
    sign: int | None
    part: int | None
    piece: int
    day: int


# Signs that can help each other. -------------------------------------------------------------------------------------


class Group:
    """Signs linked by families, and the slots of those. `days[i]` is the day of the piece that slot i is to get.

    A cost is one whole number: a late sign weighs more than all lateness together, a part of a day more than all moves.
    """

    def __init__(self, states: Sequence[State], slots: Sequence[Slot]):
        self.states, self.slots = states, slots
        self.own = [slot.day for slot in slots]
        at_of = {state.sign: at for at, state in enumerate(states)}
        self.owner = [at_of.get(slot.sign) for slot in slots]
        self.of_sign: list[dict[int, list[int]]] = [
            defaultdict(list) for _ in states
        ]  # its slots by family
        self.of_family: dict[int, list[int]] = defaultdict(list)
        for i, slot in enumerate(slots):
            self.of_family[slot.family].append(i)
            if slot.sign is not None:
                self.of_sign[self.owner[i]][slot.family].append(i)
        self._mine = [[i for some in families.values() for i in some] for families in self.of_sign]
        self._had = [[self.own[i] for i in mine] for mine in self._mine]
        self._part_weighs = len(slots) + 1
        self._sign_weighs = self._part_weighs * (
            1 + sum(state.late(max(self.own)) for state in states)
        )

    def price(self, at: int, last: int) -> int:
        """What it costs that the last piece of a sign comes on the day `last`."""
        late = self.states[at].late(last)
        return late and self._sign_weighs + late * self._part_weighs

    def least(self, at: int) -> int:
        """What a sign costs at the least, whichever pieces it gets."""
        return self.price(at, self.states[at].floor)

    def cost(self, at: int | None, days: Sequence[int]) -> int:
        """What a sign costs, its moves with it; nothing for the spares (None)."""
        if at is None:
            return 0
        mine = self._mine[at]
        got = [days[i] for i in mine]
        return self.price(at, max(got)) + sum(map(ne, got, self._had[at]))

    def total(self, days: Sequence[int]) -> int:
        """What all signs cost."""
        return sum(self.cost(at, days) for at in range(len(self.states)))

    def supply(self) -> dict[int, list[int]]:
        """The days of the pieces of each family, in order."""
        return {
            family: sorted(self.own[i] for i in some) for family, some in self.of_family.items()
        }


def groups(states: Mapping[int, State], slots: Sequence[Slot]) -> list[Group]:
    """The signs that can help each other; left out is what cannot change anything."""
    levelled = _levelled(states, slots)
    kinds = defaultdict(set)
    for slot in levelled:
        kinds[slot.family].add((slot.sign, slot.day))
    moving = {
        family
        for family, some in kinds.items()
        if all(len(set(several)) > 1 for several in zip(*some, strict=True))
    }
    floors = {sign: state.floor for sign, state in states.items()}
    for slot in slots:
        if slot.family not in moving and slot.sign is not None:
            floors[slot.sign] = max(floors[slot.sign], slot.day)
    inside = [slot for slot in levelled if slot.family in moving]
    return [
        Group(
            [replace(states[sign], floor=floors[sign]) for sign in sorted(linked)],
            [slot for slot in inside if slot.family in families],
        )
        for linked, families in _linked(inside)
    ]


def _levelled(states: Mapping[int, State], slots: Sequence[Slot]) -> list[Slot]:
    """Days that no sign of a family minds count as one day: such pieces need not change places."""
    free: dict[int, int] = {}
    for slot in slots:
        if slot.sign is not None:
            free[slot.family] = min(
                free.get(slot.family, states[slot.sign].free), states[slot.sign].free
            )
    return [replace(slot, day=max(slot.day, free.get(slot.family, slot.day))) for slot in slots]


def _linked(slots: Sequence[Slot]) -> list[tuple[set[int], set[int]]]:
    """Signs and families that hang together."""
    beside: dict[tuple[str, int], set[tuple[str, int]]] = defaultdict(set)
    for slot in slots:
        if slot.sign is not None:
            beside["sign", slot.sign].add(("family", slot.family))
            beside["family", slot.family].add(("sign", slot.sign))
    found = []
    while beside:
        seen, ahead = set(), [next(iter(beside))]
        while ahead:
            here = ahead.pop()
            if here not in seen:
                seen.add(here)
                ahead += beside.pop(here)
        found.append(
            tuple({id for kind, id in seen if kind == word} for word in ("sign", "family"))
        )
    return found


def _tidied(group: Group, days: Sequence[int]) -> list[int]:
    """The same days for each sign, but whichever of its parts can keep its own piece does; so do the spares."""
    tidy, sharing = list(days), defaultdict(list)
    for i, slot in enumerate(group.slots):
        sharing[slot.family, slot.sign].append(i)
    for some in sharing.values():
        given = Counter(days[i] for i in some)
        kept = [i for i in some if _takes(given, group.own[i])]
        for i in kept:
            tidy[i] = group.own[i]
        for i, day in zip(
            [i for i in some if i not in kept], sorted(given.elements()), strict=True
        ):
            tidy[i] = day
    return tidy


def _takes(given: Counter[int], day: int) -> bool:
    if not given[day]:
        return False
    given[day] -= 1
    return True


def handed_out(group: Group, days: Sequence[int]) -> dict[int, int | None]:
    """The pieces that move, and the part that each is for then; None: for no sign."""
    changed = [i for i, day in enumerate(days) if day != group.own[i]]
    freed = defaultdict(list)
    for i in reversed(changed):
        freed[group.slots[i].family, group.own[i]].append(group.slots[i].piece)
    return {freed[group.slots[i].family, days[i]].pop(): group.slots[i].part for i in changed}


# The choice. ---------------------------------------------------------------------------------------------------------


def best(group: Group) -> tuple[list[int], bool]:
    """The days of each slot at the least cost that was found, and whether there is none lower."""
    if group.total(group.own) == sum(map(group.least, range(len(group.states)))):
        return group.own, True
    tried = [_tidied(group, _bettered(group, days)) for days in (group.own, _by_due(group))]
    good = min(tried, key=group.total)
    found, is_proven = _searched(group, group.total(good))
    return found or good, is_proven


def _by_due(group: Group) -> list[int]:
    """Signs in the order of their days; where pieces fall short, the one that needs most is let go (Moore and Hodgson).

    Those that are kept take the latest pieces that will do, those let go the earliest of the rest.
    """
    shelf, order = (
        group.supply(),
        sorted(range(len(group.states)), key=lambda at: group.states[at].free),
    )
    kept = _kept(group, shelf, order)
    days = list(group.own)
    for at in sorted(order, key=lambda at: at not in kept):
        for family, some in group.of_sign[at].items():
            for i in some:
                last = bisect_right(shelf[family], group.states[at].free) - 1
                days[i] = shelf[family].pop(last if at in kept else 0)
    for i, at in enumerate(group.owner):
        if at is None:
            days[i] = shelf[group.slots[i].family].pop()
    return days


def _kept(group: Group, supply: Mapping[int, list[int]], order: Sequence[int]) -> set[int]:
    """The signs that can be on time together."""
    kept: set[int] = set()
    wanted: Counter[int] = Counter()
    needs = [
        Counter({family: len(some) for family, some in families.items()})
        for families in group.of_sign
    ]
    for at in order:
        state = group.states[at]
        if state.floor > state.limit:
            continue
        kept.add(at)
        wanted.update(needs[at])
        for family in needs[at]:
            while wanted[family] > bisect_right(supply[family], state.free):
                gone = max(kept, key=lambda one: (needs[one][family], one))
                kept.remove(gone)
                wanted.subtract(needs[gone])
    return kept


def _bettered(group: Group, days: Sequence[int]) -> list[int]:
    """Two pieces change places wherever that lowers the cost, until none does or enough were tried."""
    days, tries, is_better = list(days), _MOST_TRIES, True
    while is_better:
        is_better = False
        for i, at in enumerate(group.owner):
            if at is None or group.cost(at, days) == group.least(at):
                continue
            for other in group.of_family[group.slots[i].family]:
                gets_earlier, moves_back = (
                    days[other] < days[i],
                    days[other] == group.own[i] != days[i],
                )
                if at != group.owner[other] and (gets_earlier or moves_back):
                    tries -= 1
                    is_better = _swapped(group, days, i, other) or is_better
            if tries < 0:
                return days
    return days


def _swapped(group: Group, days: list[int], i: int, other: int) -> bool:
    """Swaps two days where that costs less."""
    owners = (group.owner[i], group.owner[other])
    before = sum(group.cost(at, days) for at in owners)
    days[i], days[other] = days[other], days[i]
    if sum(group.cost(at, days) for at in owners) < before:
        return True
    days[i], days[other] = days[other], days[i]
    return False


# The proof: all choices, sign after sign. ----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Choice:
    """One way to serve a sign: what it costs, what it takes off the shelf, and the days by family."""

    cost: int
    takes: int
    days: tuple[tuple[int, ...], ...]


class _Shelf:
    """How many pieces of each family and day are left, packed into one whole number.

    Each count has a few bits of its own and a spare one above them. With the spare bits set, one subtraction takes several
    pieces off; a spare bit that is gone then says that some of them were not there.
    """

    def __init__(self, supply: Mapping[int, Sequence[int]]):
        self.counts = Counter((family, day) for family, days in supply.items() for day in days)
        bits = max(self.counts.values()).bit_length() + 1
        self.one = {kind: 1 << at * bits for at, kind in enumerate(sorted(self.counts))}
        self.full = sum(self.counts[kind] * one for kind, one in self.one.items())
        self.spare_bits = sum(one << bits - 1 for one in self.one.values())

    def has(self, left: int, takes: int) -> bool:
        """Whether what is left holds all that is taken."""
        return ((left | self.spare_bits) - takes) & self.spare_bits == self.spare_bits


_Level = dict[
    int, tuple[int, int, _Choice | None]
]  # what is left: the least cost so far, what was left before, the choice


def _searched(group: Group, cost: int) -> tuple[list[int] | None, bool]:
    """Days that cost less than `cost`, None where there are none; and whether all choices were gone through.

    Sign after sign: of all ways that leave the same pieces only the cheapest is followed, and none that cannot become
    cheaper than `cost` any more.
    """
    shelf = _Shelf(group.supply())
    order = sorted(range(len(group.states)), key=lambda at: group.states[at].free)
    choices = []
    for at in order:
        choices.append(_choices(group, at, shelf))
        if not choices[-1]:
            return None, False
    levels: list[_Level] = [{shelf.full: (0, 0, None)}]
    steps = itertools.count()
    for at in range(len(order)):
        levels.append(_followed(levels[-1], choices[at:], shelf, cost, steps))
        if next(steps) > MOST_STEPS:
            return None, False
    if not levels[-1]:
        return None, True
    left, chosen = min(levels[-1], key=lambda left: levels[-1][left][0]), {}
    for at, level in zip(reversed(order), reversed(levels), strict=False):
        _, left, chosen[at] = level[left]
    return _laid_out(group, chosen), True


def _followed(
    level: _Level,
    choices: Sequence[Sequence[_Choice]],
    shelf: _Shelf,
    cost: int,
    steps: Iterator[int],
) -> _Level:
    """What may be left once the first of the signs is served too. Ends early where there were too many steps."""
    following: _Level = {}
    for left, (spent, _, _) in level.items():
        if next(steps) > MOST_STEPS:
            break
        ahead = spent + sum(
            next(c.cost for c in later if shelf.has(left, c.takes)) for later in choices[1:]
        )
        for choice in choices[0]:
            if ahead + choice.cost >= cost:
                break
            if next(steps) and shelf.has(left, choice.takes):
                rest, total = left - choice.takes, spent + choice.cost
                if rest not in following or total < following[rest][0]:
                    following[rest] = (total, left, choice)
    return following


def _choices(group: Group, at: int, shelf: _Shelf) -> list[_Choice]:
    """All ways to serve a sign, the cheapest first; none where there are too many."""
    wants = {family: [group.own[i] for i in some] for family, some in group.of_sign[at].items()}
    ways = [_ways(family, own, shelf) for family, own in wants.items()]
    if math.prod(map(len, ways)) > _MOST_CHOICES:
        return []
    found = [
        _Choice(
            group.price(at, max(days[-1] for days, _, _ in several))
            + sum(moves for _, _, moves in several),
            sum(takes for _, takes, _ in several),
            tuple(days for days, _, _ in several),
        )
        for several in itertools.product(*ways)
    ]
    return sorted(found, key=lambda choice: choice.cost)


def _ways(family: int, own: Sequence[int], shelf: _Shelf) -> list[tuple[tuple[int, ...], int, int]]:
    """The sets of pieces of one family that a sign may get: their days in order, what they take off the shelf, the moves.

    Ends early where there are too many.
    """
    kinds = [day for of, day in shelf.one if of == family]
    ways = []
    for days in itertools.islice(
        _sets(kinds, [shelf.counts[family, day] for day in kinds], len(own)), _MOST_CHOICES + 1
    ):
        takes = sum(shelf.one[family, day] for day in days)
        ways.append((days, takes, (Counter(days) - Counter(own)).total()))
    return ways


def _sets(kinds: Sequence[int], counts: Sequence[int], many: int) -> Iterator[tuple[int, ...]]:
    """All ways to take `many` things of these kinds, of each kind at most its count."""
    if not many:
        yield ()
    elif sum(counts) >= many:
        for taken in range(min(many, counts[0]), -1, -1):
            for rest in _sets(kinds[1:], counts[1:], many - taken):
                yield (kinds[0],) * taken + rest


def _laid_out(group: Group, chosen: Mapping[int, _Choice]) -> list[int]:
    """The days of each slot from the choices of the signs; the spares get what is left."""
    days, left = list(group.own), {family: Counter(some) for family, some in group.supply().items()}
    for at, choice in chosen.items():
        for (family, some), given in zip(group.of_sign[at].items(), choice.days, strict=True):
            left[family].subtract(given)
            for i, day in zip(some, given, strict=True):
                days[i] = day
    remaining = {family: iter(sorted(some.elements())) for family, some in left.items()}
    for i, at in enumerate(group.owner):
        if at is None:
            days[i] = next(remaining[group.slots[i].family])
    return _tidied(group, days)
