"""A whole sign: hold it, resume it, cancel it, reopen it. Its steps are in `bench`."""

from __future__ import annotations

from ..domain import pieces as life
from ..domain.errors import Conflict
from ..store import bench, finishing, jobs, outlines, pieces, settings
from ..wording import signs as wording
from ..wording.message import joined
from .bench import checked_reason
from .pieces import write_events
from .unit_of_work import Answer, Transaction, command


@command("put a sign on hold", "assembler")
def hold(transaction: Transaction, sign: int, reason: str = "") -> Answer:
    """Put a sign on hold: nobody works on it until it is resumed. Raises Conflict unless it is open."""
    held = bench.sign_of(transaction.db, sign)
    if held.state == "on hold":
        return Answer(wording.already_in_state(held.called, held.state), (held.code,))
    if held.state != "open":
        raise Conflict(wording.cannot_hold(held.called, held.state))
    why = checked_reason(reason) if reason.strip() else ""
    jobs.set_sign_state(transaction.db, sign, "on hold", why)
    return Answer(wording.held(held.called, why), (held.code,))


@command("resumed a sign", "assembler")
def resume(transaction: Transaction, sign: int) -> Answer:
    """Go on with a sign on hold. Raises Conflict where it is packed, handed over or cancelled."""
    held = bench.sign_of(transaction.db, sign)
    if held.state == "open":
        return Answer(wording.already_in_state(held.called, held.state), (held.code,))
    if held.state != "on hold":
        raise Conflict(wording.cannot_resume(held.called, held.state))
    jobs.set_sign_state(transaction.db, sign, "open")
    return Answer(wording.resumed(held.called), (held.code,))


@command("cancelled a sign", "owner")
def cancel(transaction: Transaction, sign: int, reason: str) -> Answer:
    """Cancel a sign. Pieces not cut are withdrawn, loose ones become spare; what is glued stays together and with its sign.
    Raises Conflict where it was handed over."""
    ended = bench.sign_of(transaction.db, sign)
    why = checked_reason(reason)
    if ended.state == "cancelled":
        return Answer(wording.already_in_state(ended.called, ended.state), (ended.code,))
    if ended.state == "handed over":
        raise Conflict(wording.cannot_cancel(ended.called))
    live = pieces.of_sign(transaction.db, sign)
    loose = [piece for piece in live if piece.state != "fixed"]
    for piece in loose:
        write_events(transaction, life.no_longer_needed(piece))
    jobs.set_sign_state(transaction.db, sign, "cancelled", why)
    withdrawn = sum(life.is_not_begun(piece) for piece in loose)
    spare, glued = len(loose) - withdrawn, len(live) - len(loose)
    return Answer(wording.cancelled(ended.called, why, withdrawn, spare, glued), (ended.code,))


@command("reopened a sign", "owner")
def reopen(transaction: Transaction, sign: int, reason: str) -> Answer:
    """Reopen a packed, handed over or cancelled sign. Packing and handing over must be done again; a cancelled sign gets its
    spare pieces back, or new ones that wait for a sheet. Raises Conflict where it is open."""
    reopened = bench.sign_of(transaction.db, sign)
    why = checked_reason(reason)
    if reopened.state in ("open", "on hold"):
        raise Conflict(wording.nothing_to_reopen(reopened.called, reopened.state))
    jobs.set_sign_state(transaction.db, sign, "open", why)
    to_redo = [
        step.id for step in reopened.steps if step.kind in ("pack", "hand over") and step.done_at
    ]
    for step in to_redo:
        bench.set_done(transaction.db, step, None, None)
    finishing.untick_all(transaction.db, to_redo)
    queued = _refill(transaction, sign) if reopened.state == "cancelled" else 0
    new_pieces = wording.new_pieces_wait(queued) if queued else None
    return Answer(joined([wording.reopened(reopened.called, why), new_pieces]), (reopened.code,))


def _refill(transaction: Transaction, sign: int) -> int:
    """Give each part of a sign without a live piece its spare, else a new piece; return how many are new."""
    queued = 0
    for part in jobs.parts_of(transaction.db, sign):
        if part.piece is not None:
            continue
        spare = bench.spare_of(transaction.db, part.id)
        write_events(
            transaction,
            [life.PieceAssigned(spare, part.id) if spare else _new_piece(transaction, part)],
        )
        bench.reopen_for(transaction.db, part.id)
        queued += spare is None
    return queued


def _new_piece(transaction: Transaction, part: jobs.Part) -> life.RecutQueued:
    attempt = pieces.next_attempt(transaction.db, part.id)
    shop_settings = settings.load(transaction.db)
    outline = outlines.by_ids(transaction.db, [part.outline])[part.outline]
    tabs = life.usual_tabs(
        outline.perimeter_mm, shop_settings.tab_every_mm, shop_settings.fewest_tabs
    )
    return life.RecutQueued(
        transaction.new_code("piece"),
        part.id,
        part.outline,
        part.stock,
        attempt,
        tabs if attempt > 1 else 0,
    )
