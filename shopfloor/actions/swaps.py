"""Swaps: when a piece is lost, one like it that is in hand for a later sign may take its place.

Proposed, and done by a tap. Owns the facts of each piece and sign; which of them change places the domain decides.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ..domain import pieces as life
from ..domain.errors import Conflict
from ..domain.recuts.swaps import Need, Piece, Plan, SignState, propose
from ..domain.settings import Settings
from ..store import bench, jobs, pieces, settings
from ..store import swaps as store
from ..store.db import Connection
from ..store.swaps import Movable
from ..wording import recuts as wording
from ..wording.message import Message, joined
from .pieces import write_events
from .unit_of_work import Answer, Transaction, command, shop_day

WORTH_DAYS = 0.5  # of lateness that a swap must save where no sign fewer is late: from memory
ON_THE_ROUTER = 0.25  # days until what is being cut is in hand: from memory

# Every page with a recut asks for the same plan, and the act asks once more.
_propose = functools.lru_cache(maxsize=8)(propose)


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
    """Return the swap after which fewer signs are late, or less late; None where nothing is gained by one.

    `today` is the shop's own date.
    """
    movable = store.movable(db)
    pieces_of_parts = {piece.part: piece for piece in movable if piece.part is not None}
    needs = tuple(
        Need(part, piece.sign, piece.family)
        for part, piece in pieces_of_parts.items()
        if piece.sign is not None
    )
    if not needs:
        return None
    shop_settings, order = settings.load(db), store.planned_in_order(db)
    states = tuple(
        SignState(
            sign.sign,
            _days(sign.due, today),
            max((_in_days(sheet, None, order, shop_settings) for sheet in sign.lacks), default=0.0),
            shop_settings.bench_days,
        )
        for sign in store.lacking(
            db,
            sorted({need.sign for need in needs}),
            [piece.piece for piece in pieces_of_parts.values()],
        )
    )
    candidates = tuple(
        Piece(piece.piece, piece.family, _available(piece, order, shop_settings), piece.part)
        for piece in movable
    )
    plan = _propose(states, needs, candidates)
    if not plan.moves or not _is_worth_it(plan):
        return None
    return Proposal(plan, {piece.piece: piece for piece in movable}, pieces_of_parts)


def _is_worth_it(plan: Plan) -> bool:
    """Return whether fewer signs are late, or as many by half a day less: an hour is not worth new labels."""
    return (
        len(plan.late_after) < len(plan.late_before)
        or plan.lateness_before - plan.lateness_after >= WORTH_DAYS
    )


def _days(due: str | None, today: date) -> float:
    """Return the days that are left until a sign is due; a sign on hold can wait."""
    return math.inf if due is None else float((date.fromisoformat(due) - today).days)


def _available(piece: Movable, order: Mapping[int, int], shop_settings: Settings) -> float:
    """Return in how many days a piece is in hand."""
    if piece.state in life.IN_HAND:
        return 0.0
    return _in_days(piece.sheet, piece.sheet_state, order, shop_settings)


def _in_days(
    sheet: int | None, sheet_state: str | None, order: Mapping[int, int], shop_settings: Settings
) -> float:
    """Return in how many days what is on a sheet is in hand; without a sheet, as long as a recut takes."""
    if sheet is None:
        return shop_settings.recut_days
    if sheet in order:
        return order[sheet] / shop_settings.sheets_a_day
    return ON_THE_ROUTER


@command("swapped pieces", "operator", "assembler")
def swap(transaction: Transaction, moves: Sequence[tuple[int, int | None]]) -> Answer:
    """Give pieces (ids) to other parts (ids; None: it becomes a spare), as proposed.

    Raises Conflict where this is no longer what is proposed: something has changed since.
    """
    now = proposal(transaction.db, shop_day(transaction.db, transaction.now))
    if now is None or [(move.piece, move.to_part) for move in now.plan.moves] != list(moves):
        raise Conflict(wording.swap_is_out_of_date())
    by_id = {
        move.piece: pieces.many(transaction.db, "WHERE p.id = ?", move.piece)[0]
        for move in now.plan.moves
    }
    write_events(
        transaction,
        [
            life.AssignmentEnded(piece.id, "swapped for another sign")
            for piece in by_id.values()
            if piece.part
        ],
    )
    for move in now.plan.moves:
        if move.to_part is not None:
            write_events(transaction, [life.PieceAssigned(move.piece, move.to_part)])
            bench.reopen_for(
                transaction.db, move.to_part
            )  # another piece than the one that was set out
        elif life.is_not_begun(by_id[move.piece]):
            write_events(transaction, [life.PieceWithdrawn(move.piece)])
    relabel = [
        by_id[move.piece].code for move in now.plan.moves if by_id[move.piece].sheet is not None
    ]
    first = next(move.to_part for move in now.plan.moves if move.to_part is not None)
    data = {"relabel": relabel, "job": jobs.place_of(transaction.db, first).sign.job_number}
    swapped = [
        _swapped(transaction, by_id[move.piece], move.to_part)
        for move in now.plan.moves
        if move.to_part is not None
    ]
    codes = tuple(piece.code for piece in by_id.values())
    return Answer(joined([*swapped, wording.print_labels()]), codes, data)


def _swapped(transaction: Transaction, piece: life.Piece, part: int) -> Message:
    place = jobs.place_of(transaction.db, part)
    return wording.swapped(piece.code, place.name, place.sign.called)
