"""What people do with pieces: mark them cut, trimmed, lost, damaged, found, came off."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench.steps import Reopened
from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..domain.routing.sheets import SheetStarted
from ..store import bench, holding, jobs, pieces, settings, sheets, stock
from .unit_of_work import Answer, Transaction, command

MARKS = ("cut", "trimmed", "lost", "damaged", "found", "came off")


@command("marked pieces")
def mark(
    transaction: Transaction, codes: Sequence[str], mark: str, cause: str | None = None
) -> Answer:
    """Sets one mark on each piece of `codes` (8 figures each), all or none.

    `cause` goes with 'lost' and 'damaged'; left out, it is the likely one. Raises Refused for an unknown mark,
    NotFound for an unknown code, Conflict where the state of a piece does not allow the mark.
    """
    if mark not in MARKS:
        raise Refused(f"'{mark}' is no mark: choose one of {', '.join(MARKS)}.")
    if not codes:
        raise Refused("No piece was named: scan one.")
    told = [
        set_mark(transaction, pieces.by_code(transaction.db, code), mark, cause)
        for code in dict.fromkeys(codes)
    ]
    recuts = [code for answer in told for code in answer.data["recuts"]]
    sentence = told[0].sentence if len(told) == 1 else _together(told, mark, recuts)
    changed = any(answer.data["changed"] for answer in told)
    pieces_said = [answer.data["piece"] for answer in told]
    return Answer(
        sentence, tuple(codes), {"recuts": recuts, "changed": changed, "pieces": pieces_said}
    )


def _together(told: list[Answer], mark: str, recuts: list[str]) -> str:
    done = sum(answer.data["changed"] for answer in told)
    sentence = f"{done} of {len(told)} pieces marked {mark}"
    if done < len(told):
        sentence += f", the other {len(told) - done} were so already"
    return sentence + (f"; {len(recuts)} recuts are queued, with tabs." if recuts else ".")


def set_mark(
    transaction: Transaction,
    piece: life.Piece,
    mark: str,
    cause: str | None = None,
    *,
    tapped: bool = False,
) -> Answer:
    """Sets one mark on one piece inside an act under way, and queues its recut where one is due."""
    begun = _begin_sheet(transaction, piece, mark)
    events = _events(transaction, piece, mark, cause, tapped)
    pieces.write(transaction.db, events, transaction.at)
    for event in events:
        transaction.record(event)
    again = ""
    if mark in ("lost", "damaged", "came off") and piece.part is not None and events:
        again = _to_do_again(transaction, bench.reopen_for(transaction.db, piece.part))
    recuts = [event.code for event in events if isinstance(event, life.RecutQueued)]
    now = pieces.by_code(transaction.db, piece.code)
    _learn(transaction, now, mark)
    said = {"code": piece.code, "state": now.state, "was": piece.state}
    data = {"recuts": recuts, "changed": bool(events), "piece": said}
    return Answer(
        _sentence(transaction, piece, now, mark, events) + again + begun,
        (piece.code, *recuts),
        data,
    )


def _to_do_again(transaction: Transaction, reopened: Reopened) -> str:
    """' To do again with it: lay out level 2, glue level 2, clean.'; nothing where the bench had not begun with it."""
    titles = bench.titles_of(transaction.db, reopened.steps)
    return (
        f" To do again with it: {', '.join(title[0].lower() + title[1:] for title in titles)}."
        if titles
        else ""
    )


def _learn(transaction: Transaction, piece: life.Piece, mark: str) -> None:
    """Keeps whether it stayed while it was cut, which the chances are learned from. A mark taken back on the sheet's picture
    ('good') takes that back too; a piece that is found did come free."""
    is_at_the_router = mark == "good" or (mark in life.GONE and piece.was in ("nested", "cut"))
    if is_at_the_router and piece.sheet is not None:
        holding.set_came_free(transaction.db, piece.id, came_free=bool(life.came_free(piece)))


def _begin_sheet(transaction: Transaction, piece: life.Piece, mark: str) -> str:
    """A mark on a piece of a planned sheet: nobody pressed Start, but the router has evidently run. Says so."""
    if (
        piece.state != "nested"
        or piece.sheet_state != "planned"
        or mark not in ("cut", "lost", "damaged")
    ):
        return ""
    sheet = sheets.sheet(transaction.db, piece.sheet)
    begin_sheet(transaction, sheet)
    return f" Nobody had started sheet {sheet.number}: it counts as started now."


def begin_sheet(transaction: Transaction, sheet) -> None:
    """Writes the start of a planned sheet: its blank is used, and so was bought, from now on."""
    sheets.set_state(
        transaction.db,
        sheet.id,
        "cutting",
        started_at=transaction.at,
        started_by=transaction.actor.person,
    )
    stock.set_blank(transaction.db, sheet.blank, "used")
    transaction.record(SheetStarted(sheet.number))


def _events(
    transaction: Transaction, piece: life.Piece, mark: str, cause: str | None, tapped: bool
) -> list:
    if mark in ("lost", "damaged"):
        if cause is not None and len(cause) > 80:
            raise Refused("A cause has 80 letters at the most: say it shorter.")
        attempt = pieces.next_attempt(transaction.db, piece.part)
        shop_settings = settings.load(transaction.db)
        rule = life.TabRule(shop_settings.tab_every_mm, shop_settings.fewest_tabs)
        return life.gone(piece, mark, cause, lambda: transaction.new_code("piece"), attempt, rule)
    if mark in ("found", "good"):
        if mark == "good" and piece.state == "nested":
            return life.cut(piece)
        others = pieces.of_part(transaction.db, piece.last_part) if piece.last_part else []
        return life.found(piece, others, may_be_damaged=tapped)
    return {"cut": life.cut, "trimmed": life.trimmed, "came off": life.came_off}[mark](piece)


def _sentence(
    transaction: Transaction, piece: life.Piece, now: life.Piece, mark: str, events: list
) -> str:
    what = called(transaction.db, piece)
    if not events:
        return _already(transaction, piece, mark)
    for event in events:
        if isinstance(event, life.RecutQueued):
            return f"{what} is {mark}. Its recut {show(event.code)} is queued, with tabs."
    if mark in ("found", "good"):
        return f"{what} is back and {life.STANDS[now.state]}" + (
            ", a spare." if now.part is None else "."
        )
    return f"{what} {life.STANDS[now.state]}."


def _already(transaction: Transaction, piece: life.Piece, mark: str) -> str:
    if piece.state in life.GONE:
        recut = pieces.recut_of(transaction.db, piece)
        if recut:
            return f"Already {piece.state}; its recut is {show(recut)}."
    return f"{show(piece.code)} {life.STANDS[piece.state]} already: nothing to do."


def called(db, piece: life.Piece) -> str:
    """ "'A' of J-1042 A", or "The spare 4072 9153"."""
    part = piece.part or piece.last_part
    return called_at(piece, jobs.place_of(db, part) if part else None)


def called_at(piece: life.Piece, place: jobs.Place | None) -> str:
    """The same, where its place is known already."""
    if place is None:
        return f"The spare {show(piece.code)}"
    name = f"'{place.name}'" if place.name != f"no. {place.number}" else f"No. {place.number}"
    return f"{name} of {place.sign.called}"


@command("changed a cause")
def change_cause(transaction: Transaction, code: str, cause: str) -> Answer:
    """Another cause of a loss, in one tap. Raises Conflict where the piece is neither lost nor damaged."""
    piece = pieces.by_code(transaction.db, code)
    if piece.state not in life.GONE:
        raise Conflict(f"{show(code)} {life.STANDS[piece.state]}: there is no loss to explain.")
    answer = set_mark(transaction, piece, piece.state, cause)
    return Answer(f"{called(transaction.db, piece)}: {cause}.", (code,), answer.data)
