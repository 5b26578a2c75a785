"""What people do with trays: make one, put pieces in, take them out, move it, retire it; and pick a sign's pieces.

A scan that comes twice is answered kindly and changes nothing. What a lost or glued piece leaves behind is written by
`store/pieces`, in whichever act that happens.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench import trays as rules
from ..domain.bench.trays import Tray
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..store import codes as code_store
from ..store import jobs, pieces, trays
from ..store.jobs import Sign
from ..store.trays import Lying
from .pieces import called_at
from .unit_of_work import Answer, Transaction, command

BENCH = ("operator", "assembler")


# Trays ----------------------------------------------------------------------------------------------------------------


@command("made a tray", *BENCH)
def make_tray(transaction: Transaction, kind: str, name: str = "") -> Answer:
    """A new tray, bag, shelf or rack with a code of its own; without a name it gets the next number of its kind."""
    named = rules.checked_name(kind, name, trays.in_use(transaction.db))
    code = transaction.new_code("tray")
    trays.add(transaction.db, code, kind, named)
    transaction.record(rules.TrayMade(code, kind, named))
    called = trays.by_code(transaction.db, code).called
    return Answer(f"{rules.start(called)} is there: {show(code)}. Print its label.", (code,))


@command("put pieces into a tray", *BENCH)
def put_in(transaction: Transaction, tray: str, codes: Sequence[str]) -> Answer:
    """The pieces of `codes` lie in the tray from now on, all or none; what was picked for a sign stays so.

    Raises Refused where a code is on something else than a piece, Conflict for a piece that is not loose.
    """
    into = trays.by_code(transaction.db, tray)
    rules.must_be_in_use(into)
    if not codes:
        raise Refused("No piece was named: scan one.")
    found = [_piece(transaction, code) for code in dict.fromkeys(codes)]
    lay = trays.lying(transaction.db, [piece.id for piece in found])
    come = [piece for piece in found if piece.id not in lay or lay[piece.id].tray != into.id]
    for piece in found:
        rules.must_be_loose(piece, _called(transaction, piece))
    for piece in come:
        was = lay.get(piece.id)
        trays.lay(
            transaction.db, piece.id, into.id, was.picked_for if was else None, transaction.at
        )
        transaction.record(rules.PieceLaid(piece.id, into.id))
    return Answer(
        _laid_words(transaction, into, found, come), (tray, *codes), {"changed": bool(come)}
    )


def _laid_words(
    transaction: Transaction, into: Tray, found: Sequence[life.Piece], come: Sequence[life.Piece]
) -> str:
    verb = "lies" if len(found) == 1 else "lie"
    what = (
        _called(transaction, found[0]) if len(found) == 1 else f"{len(come) or len(found)} pieces"
    )
    return f"{what} {verb} {into.place} {'now' if come else 'already'}."


@command("took pieces out of a tray", *BENCH)
def take_out(transaction: Transaction, tray: str, codes: Sequence[str]) -> Answer:
    """The pieces of `codes` lie in the tray no longer; one that is picked for a sign lies on the bench."""
    out_of = trays.by_code(transaction.db, tray)
    found = [_piece(transaction, code) for code in dict.fromkeys(codes)]
    if not found:
        raise Refused("No piece was named: scan one.")
    lay = trays.lying(transaction.db, [piece.id for piece in found])
    inside = {one.piece for one in trays.lying_in(transaction.db, out_of.id)}
    out = [piece for piece in found if piece.id in inside]
    for piece in out:
        was = lay[piece.id]
        trays.forget(transaction.db, piece.id)
        if was.picked_for is not None:
            trays.lay(transaction.db, piece.id, None, was.picked_for, transaction.at)
        transaction.record(rules.PieceTakenOut(piece.id, was.tray))
    said = f"{_those(transaction, found, out)} taken out of {out_of.called}."
    if not out:
        said = f"{_those(transaction, found, out)} not {out_of.place}: nothing to do."
    return Answer(said, (tray, *codes), {"changed": bool(out)})


@command("moved a tray", *BENCH)
def move_tray(transaction: Transaction, tray: str, into: str | None = None) -> Answer:
    """A tray with all that is in it stands in or on another one, or (without `into`) by itself. Raises Conflict."""
    moving, to = (
        trays.by_code(transaction.db, tray),
        trays.by_code(transaction.db, into) if into else None,
    )
    events = rules.moved(moving, to, trays.all_trays(transaction.db))
    for event in events:
        trays.set_stands_in(transaction.db, event.tray, event.into)
        transaction.record(event)
    where = rules.whereabouts(to.id, trays.all_trays(transaction.db)) if to else "by itself"
    said = f"{rules.start(moving.called)} stands {where} {'now' if events else 'already'}."
    return Answer(said, (tray, *([into] if into else [])), {"changed": bool(events)})


@command("retired a tray", *BENCH)
def retire_tray(transaction: Transaction, tray: str) -> Answer:
    """An empty tray is not used any more. Raises Conflict while anything is in it."""
    retiring = trays.by_code(transaction.db, tray)
    holds = [other for other in trays.in_use(transaction.db) if other.stands_in == retiring.id]
    inside = sum(trays.counts(transaction.db).get(retiring.id, {}).values())
    for event in rules.retired(retiring, inside, holds):
        trays.retire(transaction.db, event.tray)
        transaction.record(event)
    return Answer(f"{rules.start(retiring.called)} is retired: take its label off.", (tray,))


def _piece(transaction: Transaction, code: str) -> life.Piece:
    """The piece that bears a code. Raises NotFound, and Refused for the code of something else."""
    kind = code_store.kind_of(transaction.db, code)
    if kind != "piece":
        raise Refused(
            f"{show(code)} is the code of a {kind}, not of a piece: scan a piece's label."
        )
    return pieces.by_code(transaction.db, code)


def _those(
    transaction: Transaction, found: Sequence[life.Piece], changed: Sequence[life.Piece]
) -> str:
    """ "'A' of J-1004 A is", or '3 pieces are'; of several the `changed` ones where there are any."""
    if len(found) == 1:
        return f"{_called(transaction, found[0])} is"
    return f"{len(changed or found)} pieces are"


def _called(transaction: Transaction, piece: life.Piece) -> str:
    part = piece.part or piece.last_part
    return called_at(piece, jobs.place_of(transaction.db, part) if part else None)


# Picking --------------------------------------------------------------------------------------------------------------


@command("picked pieces", *BENCH)
def pick(transaction: Transaction, sign: str, code: str, into: str | None = None) -> Answer:
    """A piece of the sign (both by code) lies ready for it, in the tray `into` or on the bench; of a tray's code all in it
    that are for the sign, which stay in it; a bag or tray that stood in another one stands by itself then. The answer's
    `parts` are those that were scanned, as ids.

    Raises Conflict, with where it belongs, for a piece of another sign, a spare, and one that is not in hand.
    """
    to = jobs.sign_by_code(transaction.db, sign)
    if code_store.kind_of(transaction.db, code) == "tray":
        return _pick_from(transaction, to, trays.by_code(transaction.db, code))
    piece = _piece(transaction, code)
    if (
        piece.state == "fixed"
        and (place := jobs.place_of(transaction.db, piece.part)).sign.id == to.id
    ):
        said = f"Glued already: {called_at(piece, place)}."
        return Answer(said, (sign, code), {"changed": False, "parts": [piece.part]})
    _must_be_for(transaction, piece, to)
    tray = trays.by_code(transaction.db, into) if into else None
    lay = trays.lying(transaction.db, [piece.id]).get(piece.id)
    is_new = lay is None or lay.picked_for != to.id
    if is_new:
        _lay_ready(transaction, piece.id, to, tray)
    said = rules.picked_words(piece, _called(transaction, piece), is_new=is_new)
    where = f"; it goes into {tray.called}" if tray and is_new else ""
    return Answer(f"{said}{where}.", (sign, code), {"changed": is_new, "parts": [piece.part]})


def _lay_ready(transaction: Transaction, piece: int, to: Sign, tray: Tray | None) -> None:
    if tray:
        rules.must_be_in_use(tray)
    trays.lay(transaction.db, piece, tray.id if tray else None, to.id, transaction.at)
    transaction.record(rules.PiecePicked(piece, to.id, tray.id if tray else None))


def _must_be_for(transaction: Transaction, piece: life.Piece, to: Sign) -> None:
    place = jobs.place_of(transaction.db, piece.part) if piece.part else None
    near = trays.usual_tray(transaction.db, place.sign.id) if place else None
    words = rules.whereabouts(near, trays.all_trays(transaction.db)) if near else ""
    of_sign, spot = (
        (place.sign.called, f"level {place.level}, no. {place.number}") if place else ("", "")
    )
    rules.must_be_for(piece, _called(transaction, piece), to.called, of_sign, spot, words)


def _pick_from(transaction: Transaction, to: Sign, tray: Tray) -> Answer:
    held = trays.lying_in(transaction.db, tray.id)
    own = [one for one in held if one.sign == to.id]
    others = [one.called for one in held if one.sign != to.id]
    if not own:
        raise Conflict(_nothing_words(tray, to, others))
    all_trays = trays.all_trays(transaction.db)
    new = [one for one in own if one.picked_for != to.id]
    for one in new:
        _lay_ready(transaction, one.piece, to, all_trays[one.tray])
    off = _carry_off(transaction, tray, all_trays)
    said = f"{_picked_from_words(tray, to, own, others)}{off}"
    return Answer(
        said,
        (to.code, tray.code),
        {"changed": bool(new or off), "parts": [one.part for one in own]},
    )


def _carry_off(transaction: Transaction, tray: Tray, all_trays: dict[int, Tray]) -> str:
    """Who picks a bag holds it in the hand. What is said of it; '' where it stood by itself."""
    events = rules.carried_off(tray, all_trays)
    for event in events:
        trays.set_stands_in(transaction.db, event.tray, event.into)
        transaction.record(event)
    return f" {rules.off_words(tray, all_trays)}." if events else ""


def _nothing_words(tray: Tray, to: Sign, others: Sequence[str]) -> str:
    if not others:
        return f"{rules.start(tray.called)} is empty: nothing is picked."
    return f"Nothing {tray.place} is for {to.called}: there {'is' if len(others) == 1 else 'are'} {rules.some_of(others)}."


def _picked_from_words(tray: Tray, to: Sign, own: Sequence[Lying], others: Sequence[str]) -> str:
    is_new = any(one.picked_for != to.id for one in own)
    count, verb = (
        f"{len(own)} of {len(own) + len(others)} {tray.place}",
        "is" if len(own) == 1 else "are",
    )
    said = (
        f"{count} {verb} picked for {to.called}"
        if is_new
        else f"Picked already: {count} for {to.called}"
    )
    return f"{said}; not for it: {rules.some_of(others)}." if others else f"{said}."


@command("put picked pieces back", *BENCH)
def put_back(transaction: Transaction, sign: str, codes: Sequence[str]) -> Answer:
    """Picked pieces lie ready for the sign no longer. They stay in their tray; where the others are is not known."""
    to = jobs.sign_by_code(transaction.db, sign)
    found = [_piece(transaction, code) for code in dict.fromkeys(codes)]
    if not found:
        raise Refused("No piece was named: tap one.")
    lay = trays.lying(transaction.db, [piece.id for piece in found])
    back = [piece for piece in found if piece.id in lay and lay[piece.id].picked_for == to.id]
    for piece in back:
        trays.unpick(transaction.db, piece.id)
        transaction.record(rules.PiecePutBack(piece.id, to.id))
    said = (
        f"{_those(transaction, found, back)} {'put back' if back else 'not picked: nothing to do'}."
    )
    return Answer(said, (sign, *codes), {"changed": bool(back), "parts": []})
