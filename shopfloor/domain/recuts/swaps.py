"""Interchange: which pieces of one family change places, so that the fewest signs are late when a piece has been lost.

Owns the choice and its proof. Must not know states, labels or the store: the caller names only parts whose piece may be
moved. Days count from now. A sign is finished when its last piece is there, whatever else it needs is ready and its
days at the bench are over; that several signs share the bench is left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ..errors import Refused
from . import swap_search
from .swap_search import Slot, State

PARTS_OF_A_DAY = 1_000_000  # days are counted in whole parts of that size (0.09 s)
_FAR = 10**9  # days: later than any due date


@dataclass(frozen=True)
class Need:
    """One part that is not joined yet, of an open sign, and the family that it takes."""

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
    """What a sign waits for beside its movable pieces; days from now.

    `due` may be infinite; `else_ready` is when all else is there (0: it is); `lead` the days at the bench, cures with them.
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
    """The moves, the signs that are late before and after them, and by how many days in all.

    `is_proven`: no other choice makes fewer signs late, none of those has less lateness, none of those fewer moves.
    """

    moves: tuple[Move, ...]
    late_before: tuple[int, ...]
    late_after: tuple[int, ...]
    lateness_before: float
    lateness_after: float
    is_proven: bool


def propose(signs: Iterable[SignState], needs: Iterable[Need], pieces: Iterable[Piece]) -> Plan:
    """Which pieces change places within their families: fewest late signs, then least lateness in all, then fewest moves.

    A move counts where a part gets another piece. Nothing moves where nothing is gained; a part has one piece after as
    before. Small cases are searched through (about ten signs and a dozen pieces), larger ones bettered step by step from
    Moore and Hodgson's rule for the fewest late jobs (Management Science 15, 1968). Raises Refused where a part has not
    exactly one piece of its family, or a need no sign. The search is in exchange.py.
    """
    states = {state.sign: _state(state) for state in sorted(signs, key=lambda state: state.sign)}
    slots = _slots(
        states,
        sorted(needs, key=lambda need: need.part),
        sorted(pieces, key=lambda piece: piece.id),
    )
    serves, is_proven = {}, True
    for group in swap_search.groups(states, slots):
        days, is_best = swap_search.best(group)
        serves |= swap_search.handed_out(group, days)
        is_proven = is_proven and is_best
    was_for = {slot.piece: slot.part for slot in slots}
    moves = [Move(piece, was_for[piece], part) for piece, part in serves.items()]
    before, after = _lateness(states, slots, {}), _lateness(states, slots, serves)
    return Plan(
        tuple(
            sorted(moves, key=lambda move: (move.to_part is None, move.to_part or 0, move.piece))
        ),
        tuple(before),
        tuple(after),
        sum(before.values()) / PARTS_OF_A_DAY,
        sum(after.values()) / PARTS_OF_A_DAY,
        is_proven,
    )


def said(plan: Plan, pieces: Mapping[int, str], parts: Mapping[int, str]) -> str:
    """The plan in words: 'Give 4072 9153 to E of J-1002 A. Late then: no sign instead of 1 by 2 days.'

    `pieces` and `parts` name what the moves speak of.
    """
    if not plan.moves:
        return "No piece need change its place."
    gives = [
        f"Give {pieces[move.piece]} to {parts[move.to_part]}."
        for move in plan.moves
        if move.to_part is not None
    ]
    free = [pieces[move.piece] for move in plan.moves if move.to_part is None]
    spare = (
        [f"{', '.join(free)} {'is' if len(free) == 1 else 'are'} then for no sign."] if free else []
    )
    now, then = (
        late_said(plan.late_before, plan.lateness_before),
        late_said(plan.late_after, plan.lateness_after),
    )
    return " ".join([*gives, *spare, f"Late then: {then} instead of {now}."])


def late_said(signs: Sequence[int], days: float) -> str:
    """How many signs are late and by how long: 'no sign', '1 sign by 2 days', '3 signs by 4.5 days in all'"""
    by = f"by {round(days, 1):g} {'day' if round(days, 1) == 1 else 'days'}"
    return (
        f"{len(signs)} signs {by} in all"
        if len(signs) > 1
        else f"1 sign {by}"
        if signs
        else "no sign"
    )


# Into whole parts of a day, and back. ---------------------------------------------------------------------------------


def _whole(days: float) -> int:
    if math.isnan(days):
        raise Refused(
            "A day that is not known cannot be planned with: give each piece and sign its day."
        )
    return round(max(-_FAR, min(days, _FAR)) * PARTS_OF_A_DAY)


def _state(state: SignState) -> State:
    return State(state.sign, _whole(state.else_ready), _whole(state.due - state.lead))


def _slots(
    states: Mapping[int, State], needs: Sequence[Need], pieces: Sequence[Piece]
) -> list[Slot]:
    of_part = defaultdict(list)
    for piece in pieces:
        of_part[piece.part].append(piece)
    slots = [
        Slot(one.family, None, None, one.id, _whole(one.available)) for one in of_part.pop(None, [])
    ]
    for need in needs:
        if need.sign not in states:
            raise Refused(
                f"Sign {need.sign} is not known: name each sign that has a part in the plan."
            )
        found = of_part.pop(need.part, [])
        if [piece.family for piece in found] != [need.family]:
            raise Refused(
                f"Part {need.part} has not exactly one piece of its family: give it one and plan again."
            )
        slots.append(
            Slot(need.family, need.sign, need.part, found[0].id, _whole(found[0].available))
        )
    if of_part:
        raise Refused(
            f"Part {min(of_part)} has a piece but is not named: name each part whose piece may be moved."
        )
    return slots


def _lateness(
    states: Mapping[int, State], slots: Sequence[Slot], serves: Mapping[int, int | None]
) -> dict[int, int]:
    """The late signs and how late they are, once each piece of `serves` is for the part named there."""
    sign_of = {None: None} | {slot.part: slot.sign for slot in slots}
    last: dict[int | None, int] = {sign: state.floor for sign, state in states.items()}
    for slot in slots:
        sign = sign_of[serves.get(slot.piece, slot.part)]
        last[sign] = max(last.get(sign, slot.day), slot.day)
    late = {sign: state.late(last[sign]) for sign, state in states.items()}
    return {sign: days for sign, days in late.items() if days}
