"""Swaps: which pieces of one family change places, so that the fewest signs are late when a piece has been lost.

The rule, repeated until nothing helps any more:

1. Each late sign, the earliest due first, is offered for every piece that comes too late another one of that family
   which comes in time: a spare if there is one, else from the sign that can wait longest. Where the sign cannot be on
   time, the same is tried for each earlier day on which it could be ready.
2. If that does not help, its last piece changes places with an earlier one of that family.

A change is taken only where fewer signs are late then, or as many by fewer days in all. So the result is never worse
than doing nothing, but it is not always the best. It loses where only several changes together help: where one sign
must be let go so that two others are on time, or where three signs must pass pieces on.

Must not know states, labels or the store: the caller names only parts whose piece may be moved. Days count from now. A
sign is finished when its last piece is there, all else it needs is ready and its days at the bench are over; that
several signs share the bench is left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

PARTS_OF_A_DAY = (
    1_000_000  # days are counted in whole parts of that size (0.09 s), so that sums are exact
)
_FAR = 10**9  # days: later than any due date
Score = tuple[int, int, int]  # late signs, lateness in all, parts that get another piece


@dataclass(frozen=True)
class Need:
    """One part of an open sign that is not joined yet, and the family that it takes."""

    part: int
    sign: int
    family: int


@dataclass(frozen=True)
class Piece:
    """A piece that may be moved, and the part that it is for now; None: a spare.

    `available` is the day when it is in hand, from now on: 0 for a piece in hand, for a recut the day when it is cut.
    """

    id: int
    family: int
    available: float
    part: int | None


@dataclass(frozen=True)
class SignState:
    """What a sign waits for besides its movable pieces; days from now.

    `due` may be infinite; `else_ready` is when all else is there (0: it is); `lead` the days at the bench, with cures.
    """

    sign: int
    due: float
    else_ready: float
    lead: float


@dataclass(frozen=True)
class Move:
    """A piece goes from one part to another. Without `from_part` it was a spare; without `to_part` it is one now."""

    piece: int
    from_part: int | None
    to_part: int | None


@dataclass(frozen=True)
class Plan:
    """The moves, the signs that are late before and after them, and by how many days in all."""

    moves: tuple[Move, ...]
    late_before: tuple[int, ...]
    late_after: tuple[int, ...]
    lateness_before: float
    lateness_after: float


def propose(signs: Iterable[SignState], needs: Iterable[Need], pieces: Iterable[Piece]) -> Plan:
    """Return which pieces change places within their families.

    A part has one piece after as before. Nothing moves where nothing is gained. Raises ValueError where a part has not
    exactly one piece of its family, or a need no sign.
    """
    shop = _Shop(
        sorted(signs, key=lambda state: state.sign),
        sorted(needs, key=lambda need: need.part),
        sorted(pieces, key=lambda piece: piece.id),
    )
    before = shop.lateness()
    is_better = True
    while is_better:
        helped = [shop.helped(sign) or shop.exchange(sign) for sign in shop.late_signs()]
        is_better = any(helped) or shop.take_back()
    after = shop.lateness()
    return Plan(
        tuple(shop.moves()),
        tuple(before),
        tuple(after),
        sum(before.values()) / PARTS_OF_A_DAY,
        sum(after.values()) / PARTS_OF_A_DAY,
    )


class _Shop:
    """Signs, parts and pieces, and which piece each part has so far (`given`); days in whole parts."""

    def __init__(
        self, signs: Sequence[SignState], needs: Sequence[Need], pieces: Sequence[Piece]
    ) -> None:
        self.limit = {state.sign: _whole(state.due - state.lead) for state in signs}
        self.else_ready = {state.sign: _whole(state.else_ready) for state in signs}
        self.sign_of = {need.part: need.sign for need in needs}
        self.parts_of: dict[int, list[int]] = defaultdict(list)
        for need in needs:
            self.parts_of[need.sign].append(need.part)
        self.day = {piece.id: _whole(piece.available) for piece in pieces}
        self.family_of = {piece.id: piece.family for piece in pieces}
        self.family: dict[int, list[int]] = defaultdict(list)
        for piece in pieces:
            self.family[piece.family].append(piece.id)
        _check(self.limit, needs, pieces)
        self.was_for = {piece.id: piece.part for piece in pieces}
        self.part_of = dict(self.was_for)
        self.given = {piece.part: piece.id for piece in pieces if piece.part is not None}

    def ready(self, sign: int) -> int:
        """Return the day when all that a sign needs is there."""
        return max(
            [self.else_ready[sign], *(self.day[self.given[part]] for part in self.parts_of[sign])]
        )

    def late_by(self, sign: int) -> int:
        """Return by how much a sign is late."""
        return max(0, self.ready(sign) - self.limit[sign])

    def lateness(self) -> dict[int, int]:
        """Return the late signs and by how much each is late."""
        return {sign: late for sign in self.limit if (late := self.late_by(sign))}

    def late_signs(self) -> list[int]:
        """Return the late signs, the earliest due first."""
        return sorted(self.lateness(), key=lambda sign: (self.limit[sign], sign))

    def helped(self, sign: int) -> bool:
        """Offer a late sign pieces so that it is ready in time, or else at least earlier. Return whether it took an offer."""
        in_time, ready = max(self.limit[sign], self.else_ready[sign]), self.ready(sign)
        days = {
            self.day[other]
            for part in self.parts_of[sign]
            for other in self.family[self.family_of[self.given[part]]]
        }
        later = sorted(day for day in days if in_time < day < ready)
        return any(self._offer(sign, day) for day in [in_time, *later])

    def _offer(self, sign: int, by: int) -> bool:
        """Offer a sign another piece, there by a day, for each that comes later. Return whether it was taken."""
        swaps: list[tuple[int, int]] = []
        for part in self.parts_of[sign]:
            own = self.given[part]
            if self.day[own] > by:
                other = self._spared(own, sign, by, {other for _, other in swaps})
                if other is None:
                    return False
                swaps.append((own, other))
        return self._taken(swaps)

    def _spared(self, own: int, sign: int, by: int, asked: set[int]) -> int | None:
        """Return the piece of the same family, in time for a sign, that can be spared best: of those the latest."""
        in_time = [
            other
            for other in self.family[self.family_of[own]]
            if self.day[other] <= by and self._sign(other) != sign and other not in asked
        ]
        return max(
            in_time, key=lambda other: (self._can_wait(other), self.day[other]), default=None
        )

    def exchange(self, sign: int) -> bool:
        """Exchange the last piece of a late sign for an earlier one. Return whether that helped."""
        ready = self.ready(sign)
        last = [
            self.given[part] for part in self.parts_of[sign] if self.day[self.given[part]] == ready
        ]
        if len(last) != 1:  # with one piece the sign would still wait for another
            return False
        earlier = [
            other for other in self.family[self.family_of[last[0]]] if self.day[other] < ready
        ]
        return any(self._taken([(last[0], other)]) for other in earlier)

    def take_back(self) -> bool:
        """Give parts their own pieces back where nothing is lost by it. Return whether any got one."""
        tried = [
            self._taken([(self.given[part], piece)])
            for piece, part in self.was_for.items()
            if part is not None and self.given[part] != piece
        ]
        return any(tried)

    def _sign(self, piece: int) -> int | None:
        part = self.part_of[piece]
        return None if part is None else self.sign_of[part]

    def _can_wait(self, piece: int) -> int:
        """Return how long whoever has the piece can wait: a spare for ever."""
        sign = self._sign(piece)
        return 2 * _FAR * PARTS_OF_A_DAY if sign is None else self.limit[sign]

    def _taken(self, swaps: Sequence[tuple[int, int]]) -> bool:
        """Let pieces change places if that is better, and return whether it was."""
        owners = [self._sign(piece) for swap in swaps for piece in swap]
        signs = {sign for sign in owners if sign is not None}
        before = self._score(signs)
        for swap in swaps:
            self._change_places(*swap)
        if self._score(signs) < before:
            return True
        for swap in reversed(swaps):
            self._change_places(*swap)
        return False

    def _score(self, signs: Collection[int]) -> Score:
        late = [days for sign in signs if (days := self.late_by(sign))]
        moved = sum(
            self.was_for[self.given[part]] != part for sign in signs for part in self.parts_of[sign]
        )
        return len(late), sum(late), moved

    def _change_places(self, own: int, other: int) -> None:
        self.part_of[own], self.part_of[other] = self.part_of[other], self.part_of[own]
        for piece in (own, other):
            part = self.part_of[piece]
            if part is not None:
                self.given[part] = piece

    def moves(self) -> list[Move]:
        """Return the pieces that have changed places, by the part that gets them."""
        moved = [
            Move(piece, self.was_for[piece], part)
            for piece, part in self.part_of.items()
            if part != self.was_for[piece]
        ]
        return sorted(moved, key=lambda move: (move.to_part is None, move.to_part or 0, move.piece))


def _whole(days: float) -> int:
    """Return days as whole parts of a day."""
    if math.isnan(days):
        raise ValueError("a day is not known")
    return round(max(-_FAR, min(days, _FAR)) * PARTS_OF_A_DAY)


def _check(signs: Mapping[int, int], needs: Sequence[Need], pieces: Sequence[Piece]) -> None:
    of_part: dict[int, list[int]] = defaultdict(list)
    for piece in pieces:
        if piece.part is not None:
            of_part[piece.part].append(piece.family)
    for need in needs:
        if need.sign not in signs:
            raise ValueError(f"sign {need.sign} is not known")
        if of_part.pop(need.part, []) != [need.family]:
            raise ValueError(f"part {need.part} has not exactly one piece of its family")
    if of_part:
        raise ValueError(f"part {min(of_part)} has a piece but is not named")
