"""What people do with pieces: mark them cut, trimmed, lost, damaged, found, came off."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench.steps import IN_HAND, Reopened
from ..domain.errors import Conflict, Refused
from ..domain.pieces import MARKS
from ..domain.routing.sheets import Sheet
from ..store import bench, holding, pieces, settings, sheets, stock
from ..store.db import Connection
from ..wording import pieces as wording
from ..wording.message import Message, joined
from .unit_of_work import Answer, Transaction, command

LONGEST_CAUSE = 80


@command("marked pieces")
def mark(
    transaction: Transaction, codes: Sequence[str], mark: str, cause: str | None = None
) -> Answer:
    """Set one mark on each piece of `codes` (8 figures each), all or none.

    `cause` goes with 'lost' and 'damaged'; left out, it is the likely one. Raises Refused for an unknown mark,
    NotFound for an unknown code, Conflict where the state of a piece does not allow the mark.
    """
    if mark not in MARKS:
        raise Refused(wording.unknown_mark(mark, MARKS))
    if not codes:
        raise Refused(wording.no_piece_named())
    answers = [
        set_mark(transaction, pieces.by_code(transaction.db, code), mark, cause)
        for code in dict.fromkeys(codes)
    ]
    recuts = [code for answer in answers for code in answer.data["recuts"]]
    data = {
        "recuts": recuts,
        "changed": any(answer.data["changed"] for answer in answers),
        "pieces": [answer.data["piece"] for answer in answers],
    }
    message = answers[0].message if len(answers) == 1 else _together(answers, mark, recuts)
    return Answer(message, tuple(codes), data)


def _together(answers: Sequence[Answer], mark: str, recuts: Sequence[str]) -> Message:
    changed = sum(answer.data["changed"] for answer in answers)
    before = len(answers) - changed
    return joined(
        [
            wording.several_marked(changed, mark),
            wording.marked_before(before) if before else None,
            wording.recuts_queued(len(recuts)) if recuts else None,
        ]
    )


def set_mark(
    transaction: Transaction,
    piece: life.Piece,
    mark: str,
    cause: str | None = None,
    *,
    tapped: bool = False,
) -> Answer:
    """Set one mark on one piece inside a transaction, and queue its recut where one is due."""
    started = _start_sheet_if_planned(transaction, piece, mark)
    events = _events(transaction, piece, mark, cause, tapped)
    write_events(transaction, events)
    redo = None
    # a step takes what is ready: a piece that was not is in none that has begun
    was_at_the_bench = mark in (*life.GONE, "came off") and piece.state in IN_HAND
    if events and was_at_the_bench and piece.part is not None:
        redo = _to_redo(transaction, bench.reopen_for(transaction.db, piece.part))
    recuts = [event.code for event in events if isinstance(event, life.RecutQueued)]
    now = pieces.by_code(transaction.db, piece.code)
    _learn(transaction, now, mark)
    data = {
        "recuts": recuts,
        "changed": bool(events),
        "piece": {"code": piece.code, "state": now.state, "was": piece.state},
    }
    message = (
        _marked(transaction.db, piece, now, mark, recuts)
        if events
        else _marked_before(transaction.db, piece)
    )
    return Answer(joined([message, redo, started]), (piece.code, *recuts), data)


def write_events(transaction: Transaction, events: Sequence[life.Event]) -> None:
    """Write what happened to pieces, and keep it for the ledger."""
    pieces.write(transaction.db, events, transaction.at)
    for event in events:
        transaction.record(event)


def _to_redo(transaction: Transaction, reopened: Reopened) -> Message | None:
    """'Steps to redo with it: set out level 2, glue level 2 and clean.'; None where the bench had not begun with it."""
    tasks = bench.tasks_of(transaction.db, reopened.steps)
    return wording.redo(tasks) if tasks else None


def _learn(transaction: Transaction, piece: life.Piece, mark: str) -> None:
    """Keep whether the piece stayed in place while it was cut: the chances of loss are learned from it.

    A mark taken back on the sheet's picture ('good') takes that back too; a piece that is found did come free.
    """
    is_at_the_router = mark == "good" or (mark in life.GONE and piece.was in ("nested", "cut"))
    if is_at_the_router and piece.sheet is not None:
        holding.set_moved(transaction.db, piece.id, moved=bool(life.came_free(piece)))


def _start_sheet_if_planned(
    transaction: Transaction, piece: life.Piece, mark: str
) -> Message | None:
    """Start a planned sheet whose piece gets a mark: nobody pressed Start, but the sheet has been cut."""
    is_due = mark in ("cut", "lost", "damaged") and piece.state == "nested"
    if piece.sheet is None or piece.sheet_state != "planned" or not is_due:
        return None
    sheet = sheets.sheet(transaction.db, piece.sheet)
    begin_sheet(transaction, sheet)
    return wording.sheet_counts_as_started(sheet.number)


def begin_sheet(transaction: Transaction, sheet: Sheet) -> None:
    """Write the start of a planned sheet: its blank is used, and so was bought, from now on."""
    sheets.set_state(
        transaction.db,
        sheet.id,
        "cutting",
        started_at=transaction.at,
        started_by=transaction.actor.person,
    )
    stock.set_blank(transaction.db, sheet.blank, "used")


def _events(
    transaction: Transaction, piece: life.Piece, mark: str, cause: str | None, tapped: bool
) -> list[life.Event]:
    if mark in ("lost", "damaged"):
        if cause is not None and len(cause) > LONGEST_CAUSE:
            raise Refused(wording.cause_too_long())
        attempt = pieces.next_attempt(transaction.db, piece.part)
        shop_settings = settings.load(transaction.db)
        tabs = life.usual_tabs(
            piece.perimeter_mm, shop_settings.tab_every_mm, shop_settings.fewest_tabs
        )
        return life.gone(piece, mark, cause, lambda: transaction.new_code("piece"), attempt, tabs)
    if mark in ("found", "good"):
        if mark == "good" and piece.state == "nested":
            return life.cut(piece)
        others = pieces.of_part(transaction.db, piece.last_part) if piece.last_part else []
        return life.found(piece, others, may_be_damaged=tapped)
    return {"cut": life.cut, "trimmed": life.trimmed, "came off": life.came_off}[mark](piece)


def _marked(
    db: Connection, piece: life.Piece, now: life.Piece, mark: str, recuts: Sequence[str]
) -> Message:
    name = pieces.called(db, piece)
    if recuts:
        return wording.gone_with_recut(name, mark, recuts[0])
    if mark in ("found", "good"):
        is_back = wording.is_back_as_spare if now.part is None else wording.is_back
        return is_back(name, now.state)
    return wording.piece_is(name, now.state)


def _marked_before(db: Connection, piece: life.Piece) -> Message:
    recut = pieces.recut_of(db, piece) if piece.state in life.GONE else None
    if recut is None:
        return wording.state_then(piece.code, piece.state, wording.nothing_to_do())
    if piece.state == "lost":
        return wording.already_lost(recut)
    return wording.already_damaged(recut)


@command("changed a cause")
def change_cause(transaction: Transaction, code: str, cause: str) -> Answer:
    """Give another cause of a loss, in one tap. Raises Conflict where the piece is neither lost nor damaged."""
    piece = pieces.by_code(transaction.db, code)
    if piece.state not in life.GONE:
        raise Conflict(wording.state_then(code, piece.state, wording.no_loss_to_explain()))
    answer = set_mark(transaction, piece, piece.state, cause)
    name = pieces.called(transaction.db, piece)
    return Answer(wording.cause_changed(name, wording.cause(cause)), (code,), answer.data)
