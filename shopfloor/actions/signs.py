"""What people do with a whole sign: hold it, go on with it, cancel it, reopen it. Steps are in `bench`."""

from __future__ import annotations

from ..domain import pieces as life
from ..domain.bench.steps import Sign, SignChanged
from ..domain.errors import Conflict
from ..store import bench, finishing, jobs, outlines, pieces, settings
from .bench import checked_reason, named
from .unit_of_work import Answer, Transaction, command


def _change(transaction: Transaction, sign: Sign, state: str, reason: str) -> None:
    jobs.set_sign_state(transaction.db, sign.id, state)
    transaction.record(SignChanged(sign.id, sign.state, state, reason))


def _write(transaction: Transaction, events: list) -> None:
    pieces.write(transaction.db, events, transaction.at)
    for event in events:
        transaction.record(event)


@command("put a sign on hold", "assembler")
def hold(transaction: Transaction, sign: int, reason: str = "") -> Answer:
    """Nobody works on it until it is resumed. Raises Conflict unless it is open."""
    held = bench.sign_of(transaction.db, sign)
    if held.state == "on hold":
        return Answer(f"{named(held)} is on hold already.", (held.code,))
    if held.state != "open":
        raise Conflict(f"{named(held)} is {held.state}: only an open sign is put on hold.")
    why = checked_reason(reason) if reason.strip() else ""
    _change(transaction, held, "on hold", why)
    return Answer(
        f"{named(held)} is on hold{f' ({why})' if why else ''}: resume it to go on.", (held.code,)
    )


@command("resumed a sign", "assembler")
def resume(transaction: Transaction, sign: int) -> Answer:
    """A sign on hold goes on. Raises Conflict where it is packed, handed over or cancelled."""
    held = bench.sign_of(transaction.db, sign)
    if held.state == "open":
        return Answer(f"{named(held)} is open already.", (held.code,))
    if held.state != "on hold":
        raise Conflict(f"{named(held)} is {held.state}: an owner must reopen it.")
    _change(transaction, held, "open", "")
    return Answer(f"{named(held)} goes on.", (held.code,))


@command("cancelled a sign", "owner")
def cancel(transaction: Transaction, sign: int, reason: str) -> Answer:
    """What is not cut is withdrawn, what is loose becomes spare; what is glued stays together and with its sign. Raises Conflict
    where it was handed over."""
    ended = bench.sign_of(transaction.db, sign)
    why = checked_reason(reason)
    if ended.state == "cancelled":
        return Answer(f"{named(ended)} is cancelled already.", (ended.code,))
    if ended.state == "handed over":
        raise Conflict(f"{named(ended)} is handed over: it cannot be cancelled any more.")
    live = pieces.of_sign(transaction.db, sign)
    loose = [piece for piece in live if piece.state != "fixed"]
    for piece in loose:
        _write(transaction, life.no_longer_needed(piece))
    _change(transaction, ended, "cancelled", why)
    withdrawn = sum(life.is_not_begun(piece) for piece in loose)
    said = f"{named(ended)} is cancelled ({why}): {withdrawn} withdrawn, {len(loose) - withdrawn} spare"
    glued = len(live) - len(loose)
    return Answer(f"{said}, {glued} glued together." if glued else f"{said}.", (ended.code,))


@command("reopened a sign", "owner")
def reopen(transaction: Transaction, sign: int, reason: str) -> Answer:
    """A packed, handed over or cancelled sign is worked on again. Packing and handing over are to be done again; a
    cancelled sign gets its spare pieces back, or new ones that wait for a sheet. Raises Conflict where it is open."""
    again = bench.sign_of(transaction.db, sign)
    why = checked_reason(reason)
    if again.state in ("open", "on hold"):
        raise Conflict(f"{named(again)} is {again.state}: there is nothing to reopen.")
    _change(transaction, again, "open", why)
    to_redo = [
        step.id for step in again.steps if step.kind in ("pack", "hand over") and step.done_at
    ]
    for step in to_redo:
        bench.set_done(transaction.db, step, None, None)
    finishing.untick_all(transaction.db, to_redo)
    queued = _refill(transaction, sign) if again.state == "cancelled" else 0
    new = "1 new piece waits" if queued == 1 else f"{queued} new pieces wait"
    pieces_too = f" {new} for a sheet." if queued else ""
    return Answer(f"{named(again)} is open again: {why}.{pieces_too}", (again.code,))


def _refill(transaction: Transaction, sign: int) -> int:
    """Gives each part of a sign without a live piece its spare, else a new piece; says how many are new."""
    queued = 0
    for part in jobs.parts_of(transaction.db, sign):
        if part.piece is not None:
            continue
        spare = bench.spare_of(transaction.db, part.id)
        _write(
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
    rule = life.TabRule(shop_settings.tab_every_mm, shop_settings.fewest_tabs)
    tabs = rule.tabs_for(outline.perimeter_mm) if attempt > 1 else 0
    return life.RecutQueued(
        transaction.new_code("piece"), part.id, part.outline, part.stock, attempt, tabs
    )
