"""What people do with trays: make one, put pieces in, take them out, move it, retire it; and pick a sign's pieces.

A scan that comes twice changes nothing and is no error. What a lost or glued piece leaves behind is written by
`store/pieces`, in whichever command that happens.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench import trays as rules
from ..domain.bench.trays import Belongs, Tray
from ..domain.errors import Conflict, Refused
from ..store import codes as code_store
from ..store import jobs, pieces, trays
from ..store.jobs import Sign
from ..store.trays import Lying
from ..wording import pieces as piece_wording
from ..wording import trays as wording
from ..wording.message import Message, joined
from .unit_of_work import Answer, Transaction, command

BENCH = ("operator", "assembler")


# Trays ----------------------------------------------------------------------------------------------------------------


@command("made a tray", *BENCH)
def make_tray(transaction: Transaction, kind: str, name: str = "") -> Answer:
    """Add a tray, bag, shelf or rack with a code of its own; without a name it gets the next number of its kind."""
    checked = rules.checked_name(kind, name, trays.in_use(transaction.db))
    code = transaction.new_code("tray")
    trays.add(transaction.db, code, kind, checked)
    return Answer(wording.made(wording.tray_at_start(kind, checked), code), (code,))


@command("put pieces into a tray", *BENCH)
def put_in(transaction: Transaction, tray: str, codes: Sequence[str]) -> Answer:
    """Put the pieces of `codes` into the tray, all or none; what was picked for a sign stays picked.

    Raises Refused where a code is on something else than a piece, Conflict for a piece that is not loose.
    """
    into = trays.by_code(transaction.db, tray)
    rules.must_be_in_use(into)
    scanned = _pieces(transaction, codes, wording.scan_a_piece())
    lying = trays.lying(transaction.db, [piece.id for piece in scanned])
    for piece in scanned:
        rules.must_be_loose(piece, pieces.called(transaction.db, piece))
    new = [piece for piece in scanned if piece.id not in lying or lying[piece.id].tray != into.id]
    for piece in new:
        was = lying.get(piece.id)
        picked_for = was.picked_for if was else None
        pieces.lay(transaction.db, piece.id, into.id, picked_for, transaction.at)
    lies = wording.now_there if new else wording.already_there
    answer = lies(_those(transaction, scanned, new), into.place, len(new) or len(scanned))
    return Answer(answer, (tray, *codes), {"changed": bool(new)})


@command("took pieces out of a tray", *BENCH)
def take_out(transaction: Transaction, tray: str, codes: Sequence[str]) -> Answer:
    """Take the pieces of `codes` out of the tray; one that is picked for a sign lies on the bench then."""
    out_of = trays.by_code(transaction.db, tray)
    scanned = _pieces(transaction, codes, wording.scan_a_piece())
    inside = {lying.piece: lying for lying in trays.lying_in(transaction.db, out_of.id)}
    out = [piece for piece in scanned if piece.id in inside]
    for piece in out:
        picked_for = inside[piece.id].picked_for
        pieces.forget(transaction.db, piece.id)
        if picked_for is not None:
            pieces.lay(transaction.db, piece.id, None, picked_for, transaction.at)
    those = _those(transaction, scanned, out)
    answer = wording.not_there(those, out_of.place, len(scanned))
    if out:
        answer = wording.taken_out(those, out_of.called)
    return Answer(answer, (tray, *codes), {"changed": bool(out)})


@command("moved a tray", *BENCH)
def move_tray(transaction: Transaction, tray: str, into: str | None = None) -> Answer:
    """Put a tray with all that is in it into or onto another one, or (without `into`) on its own. Raises Conflict."""
    moving = trays.by_code(transaction.db, tray)
    to = trays.by_code(transaction.db, into) if into else None
    is_new = rules.moves(moving, to, trays.all_trays(transaction.db))
    if is_new:
        trays.set_stands_in(transaction.db, moving.id, to.id if to else None)
    all_trays = trays.all_trays(transaction.db)
    where = rules.whereabouts(to.id, all_trays) if to else wording.on_its_own()
    answer = (wording.now_there if is_new else wording.already_there)(moving.title, where)
    return Answer(answer, (tray, *([into] if into else [])), {"changed": is_new})


@command("retired a tray", *BENCH)
def retire_tray(transaction: Transaction, tray: str) -> Answer:
    """Retire an empty tray. Raises Conflict while anything is in it."""
    retiring = trays.by_code(transaction.db, tray)
    if not retiring.is_retired:
        holds = [other for other in trays.in_use(transaction.db) if other.stands_in == retiring.id]
        inside = sum(trays.counts(transaction.db).get(retiring.id, {}).values())
        rules.must_be_empty(retiring, inside, holds)
        trays.retire(transaction.db, retiring.id)
    return Answer(wording.retired(retiring.title), (tray,))


def _pieces(transaction: Transaction, codes: Sequence[str], none: Message) -> list[life.Piece]:
    """Return the pieces of some codes, each once. Raises Refused, with the message `none`, for no code at all."""
    if not codes:
        raise Refused(none)
    return [_piece(transaction, code) for code in dict.fromkeys(codes)]


def _piece(transaction: Transaction, code: str) -> life.Piece:
    """Return the piece with this code. Raises NotFound, and Refused for the code of something else."""
    kind = code_store.kind_of(transaction.db, code)
    if kind != "piece":
        raise Refused(wording.not_a_piece(code, kind))
    return pieces.by_code(transaction.db, code)


def _those(
    transaction: Transaction, scanned: Sequence[life.Piece], changed: Sequence[life.Piece]
) -> Message:
    """Return the one piece by its name, or '3 pieces'; of several the `changed` ones where there are any."""
    if len(scanned) == 1:
        return pieces.called(transaction.db, scanned[0])
    return wording.pieces(len(changed) or len(scanned))


# Picking --------------------------------------------------------------------------------------------------------------


@command("picked pieces", *BENCH)
def pick(transaction: Transaction, sign: str, code: str, into: str | None = None) -> Answer:
    """Pick a piece for the sign (both by code), into the tray `into` or on the bench; of a tray's code all in it that is
    for the sign, which stays in it. A bag or tray that was in another one is on its own then.

    The answer's `parts` are those that were scanned, as ids. Raises Conflict, with where it belongs, for a piece of
    another sign, a spare, and one that is not in hand.
    """
    to = jobs.sign_by_code(transaction.db, sign)
    if code_store.kind_of(transaction.db, code) == "tray":
        return _pick_from(transaction, to, trays.by_code(transaction.db, code))
    piece = _piece(transaction, code)
    place = jobs.place_of(transaction.db, piece.part) if piece.part else None
    if piece.state == "fixed" and place and place.sign.id == to.id:
        glued = wording.already_glued(pieces.called(transaction.db, piece))
        return Answer(glued, (sign, code), {"changed": False, "parts": [piece.part]})
    rules.must_be_for(
        piece, pieces.called(transaction.db, piece), to.called, _belongs(transaction, place)
    )
    tray = trays.by_code(transaction.db, into) if into else None
    lying = trays.lying(transaction.db, [piece.id]).get(piece.id)
    is_new = lying is None or lying.picked_for != to.id
    if is_new:
        _lay_ready(transaction, piece.id, to, tray)
    answer = rules.picked(piece, pieces.called(transaction.db, piece), tray, is_new=is_new)
    return Answer(answer, (sign, code), {"changed": is_new, "parts": [piece.part]})


def _lay_ready(transaction: Transaction, piece: int, to: Sign, tray: Tray | None) -> None:
    if tray:
        rules.must_be_in_use(tray)
    pieces.lay(transaction.db, piece, tray.id if tray else None, to.id, transaction.at)


def _belongs(transaction: Transaction, place: jobs.Place | None) -> Belongs | None:
    if place is None:
        return None
    near = trays.usual_tray(transaction.db, place.sign.id)
    where = rules.whereabouts(near, trays.all_trays(transaction.db)) if near else None
    return Belongs(place.sign.called, piece_wording.place(place.level, place.number), where)


def _pick_from(transaction: Transaction, to: Sign, tray: Tray) -> Answer:
    held = trays.lying_in(transaction.db, tray.id)
    own = [lying for lying in held if lying.sign == to.id]
    others = [lying.called for lying in held if lying.sign != to.id]
    if not own:
        if not others:
            raise Conflict(wording.empty_tray(tray.title))
        raise Conflict(wording.nothing_for_sign(tray.place, to.called, wording.some_of(others)))
    all_trays = trays.all_trays(transaction.db)
    new = [lying for lying in own if lying.picked_for != to.id]
    for lying in new:
        around = all_trays[lying.tray] if lying.tray is not None else None
        _lay_ready(transaction, lying.piece, to, around)
    off = rules.carried_off(tray, all_trays) if rules.is_carried_off(tray, all_trays) else None
    if off:
        trays.set_stands_in(transaction.db, tray.id, None)
    answer = _picked_from(tray, to, own, others, is_new=bool(new))
    data = {"changed": bool(new or off), "parts": [lying.part for lying in own]}
    return Answer(joined([answer, off]), (to.code, tray.code), data)


def _picked_from(
    tray: Tray, to: Sign, own: Sequence[Lying], others: Sequence[Message], *, is_new: bool
) -> Message:
    picked = wording.picked_from if is_new else wording.already_picked_from
    counted = picked(len(own), len(own) + len(others), tray.place, to.called)
    return joined([counted, wording.not_for_it(wording.some_of(others)) if others else None])


@command("put picked pieces back", *BENCH)
def put_back(transaction: Transaction, sign: str, codes: Sequence[str]) -> Answer:
    """Put picked pieces back. They stay in their tray; where those from the bench were put is not known."""
    to = jobs.sign_by_code(transaction.db, sign)
    scanned = _pieces(transaction, codes, wording.tap_a_piece())
    lying = trays.lying(transaction.db, [piece.id for piece in scanned])
    back = [piece for piece in scanned if piece.id in lying and lying[piece.id].picked_for == to.id]
    for piece in back:
        pieces.unpick(transaction.db, piece.id)
    those = _those(transaction, scanned, back)
    answer = wording.put_back(those) if back else wording.not_picked(those, len(scanned))
    return Answer(answer, (sign, *codes), {"changed": bool(back), "parts": []})
