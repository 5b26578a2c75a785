"""Interchange: when a piece is lost, one like it that is in hand for a later sign may take its place.

Proposed, and done by a tap. Owns what is known of each piece and sign; which of them change places the domain decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..domain import pieces as life
from ..domain.codes import show
from ..domain.errors import Conflict
from ..domain.recuts.swaps import Need, Piece, Plan, SignState, propose
from ..domain.settings import Settings
from ..store import bench, jobs, pieces, settings
from ..store import swaps as store
from ..store.db import Connection
from ..store.swaps import Movable
from .cache import Cache
from .unit_of_work import Answer, Transaction, command, shop_day

WORTH_DAYS = 0.5  # of lateness that a swap must save where no sign fewer is late: from memory
ON_THE_ROUTER = 0.25  # days until what is being cut is in hand: from memory
FOUND = Cache(
    most=8
)  # plans: up to half a second each in a large shop, asked for by every look and once more by the act


@dataclass(frozen=True)
class SwapMade:
    """A piece went from one part to another, so that fewer signs are late."""

    piece: int
    from_part: int | None
    to_part: int | None


@dataclass(frozen=True)
class Proposal:
    """Which pieces would change places, and what is known of each piece (by id) and of each part (by id): its piece now."""

    plan: Plan
    pieces: dict[int, Movable]
    parts: dict[int, Movable]

    @property
    def token(self) -> str:
        """The moves as a form carries them: piece:part, 0 for no part."""
        return " ".join(f"{move.piece}:{move.to_part or 0}" for move in self.plan.moves)


def proposal(db: Connection, today: date) -> Proposal | None:
    """The exchange of pieces that makes the fewest signs late, then the least late; None where there is none to gain by.
    `today` is the shop's own date."""
    found = store.movable(db)
    of_signs = [one for one in found if one.part is not None]
    if not of_signs:
        return None
    shop_settings, order = settings.load(db), store.planned_in_order(db)
    signs = store.waiting(
        db, sorted({one.sign for one in of_signs}), [one.piece for one in of_signs]
    )
    states = [
        SignState(
            one.sign,
            _days(one.due, today),
            max((_in_days(sheet, None, order, shop_settings) for sheet in one.lacks), default=0.0),
            shop_settings.bench_days,
        )
        for one in signs
    ]
    asked = (
        tuple(states),
        tuple(Need(one.part, one.sign, one.family) for one in of_signs),
        tuple(
            Piece(one.piece, one.family, _available(one, order, shop_settings), one.part)
            for one in found
        ),
    )
    plan = FOUND.get(asked, lambda: propose(*asked))
    if not plan.moves or not _is_worth_it(plan):
        return None
    return Proposal(plan, {one.piece: one for one in found}, {one.part: one for one in of_signs})


def _is_worth_it(plan: Plan) -> bool:
    """Whether fewer signs are late, or the same ones by half a day less: for an hour nobody sticks on new labels."""
    return (
        len(plan.late_after) < len(plan.late_before)
        or plan.lateness_before - plan.lateness_after >= WORTH_DAYS
    )


def _days(due: str | None, today: date) -> float:
    """The days that are left until a sign is due; a sign on hold can wait."""
    return math.inf if due is None else float((date.fromisoformat(due) - today).days)


def _available(one: Movable, order: dict[int, int], shop_settings: Settings) -> float:
    """In how many days a piece is in hand."""
    return (
        0.0
        if one.state in life.IN_HAND
        else _in_days(one.sheet, one.sheet_state, order, shop_settings)
    )


def _in_days(
    sheet: int | None, sheet_state: str | None, order: dict[int, int], shop_settings: Settings
) -> float:
    """In how many days what is on a sheet is in hand; without a sheet, as long as a recut takes."""
    if sheet is None:
        return shop_settings.recut_days
    if sheet in order:
        return order[sheet] / shop_settings.sheets_a_day
    return ON_THE_ROUTER


@command("swapped pieces", "operator", "assembler")
def swap(transaction: Transaction, moves: Sequence[tuple[int, int | None]]) -> Answer:
    """Gives pieces (ids) to other parts (ids; None: it becomes a spare), as proposed.

    Raises Conflict where the proposal is no longer the best one: something has moved meanwhile.
    """
    now = proposal(transaction.db, shop_day(transaction.db, transaction.now))
    if now is None or [(move.piece, move.to_part) for move in now.plan.moves] != list(moves):
        raise Conflict("Something has changed since this swap was proposed: look at Recuts again.")
    by_id = {
        move.piece: pieces.many(transaction.db, "WHERE p.id = ?", move.piece)[0]
        for move in now.plan.moves
    }
    _write(
        transaction,
        [
            life.AssignmentEnded(piece.id, "swapped for another sign")
            for piece in by_id.values()
            if piece.part
        ],
    )
    for move in now.plan.moves:
        if move.to_part is not None:
            _write(transaction, [life.PieceAssigned(move.piece, move.to_part)])
            bench.reopen_for(
                transaction.db, move.to_part
            )  # another piece than the one that was set out
        elif life.is_not_begun(by_id[move.piece]):
            _write(transaction, [life.PieceWithdrawn(move.piece)])
        transaction.record(SwapMade(move.piece, move.from_part, move.to_part))
    relabel = [
        by_id[move.piece].code for move in now.plan.moves if by_id[move.piece].sheet is not None
    ]
    first = next(move.to_part for move in now.plan.moves if move.to_part is not None)
    data = {"relabel": relabel, "job": jobs.place_of(transaction.db, first).sign.job_number}
    sentence = " ".join(
        _said(transaction, move, by_id) for move in now.plan.moves if move.to_part is not None
    )
    return Answer(
        f"{sentence} Print their new labels.", tuple(piece.code for piece in by_id.values()), data
    )


def _said(transaction: Transaction, move, by_id) -> str:
    place = jobs.place_of(transaction.db, move.to_part)
    return f"{show(by_id[move.piece].code)} is now '{place.name}' of {place.sign.called}."


def _write(transaction: Transaction, events: list) -> None:
    pieces.write(transaction.db, events, transaction.at)
    for event in events:
        transaction.record(event)
