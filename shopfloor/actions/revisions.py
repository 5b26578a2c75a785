"""A new drawing for a job under way is carried through the shop: one act for the job, then one for each stock to nest anew.

Which part became which is worked out before, outside the transaction (`comparing`); the act checks that nothing moved. What it
writes, and in which order, is in `revising`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..domain.errors import Conflict, Refused
from ..domain.recuts import revisions as rules
from ..store import jobs, ledger, sheets, stock
from ..store import revisions as store
from ..wording.message import joined
from . import nests
from .drawings import ReadDrawing, keep_drawing
from .jobs import missing_stocks
from .outlines import sorted_too
from .revision_changes import Revising
from .revision_plan import OPEN, Choices, Plan, count, supply
from .unit_of_work import Answer, Caller, Transaction, command


def change(
    caller: Caller,
    made: Plan,
    choices: Choices = Choices(),
    *,
    reads: Sequence[ReadDrawing] = (),
    seconds: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Answer:
    """Carries a new drawing through the shop, then nests the job's planned sheets anew with what has to be cut.

    A sheet that was started is not touched. Raises Refused where the drawing changes nothing, Conflict where something moved
    since the plan was made. The answer's data: `job`, the counts of `Costs`, `relabel` (codes of pieces that
    are for another place now), `left_out`.
    """
    caller.actor.must_hold(("operator",))
    first = ledger.by_key(caller.shop.read(), caller.key) if caller.key else None
    if first is not None:
        return Answer.of_ledger(first.answer)
    if made.is_empty:
        raise Refused(
            f"The new drawing changes nothing in {made.job.number}: there is nothing to do."
        )
    for read in reads:
        keep_drawing(caller.shop, read)
    told = _revise(caller, made, choices)
    left_out = _nest_anew(caller, told, seconds, progress)
    return replace(
        told,
        message=joined([told.message, *left_out]),
        data={**told.data, "left_out": left_out},
    )


def _nest_anew(caller: Caller, told: Answer, seconds, progress) -> list[str]:
    left_out: list[str] = []
    stocks = sorted({*told.data["pools"], *told.data["waiting"]}, key=int)
    for done, id in enumerate(stocks):
        try:
            nested = nests.plan(
                replace(caller, key=f"{caller.key}/{id}" if caller.key else None),
                int(id),
                codes=told.data["waiting"].get(id, []),
                pool=told.data["pools"].get(id, []),
                seconds=seconds,
                on_offcuts=True,
                progress=nests.share_of(progress, done, len(stocks)),
            )
            left_out += nested.data["left_out"]
        except (Refused, Conflict) as refusal:
            left_out.append(refusal.sentence)
    return left_out


@dataclass(frozen=True)
class JobRevised:
    """A job is made by another drawing from now on. Both are named by their SHA-256, and both are kept."""

    job: str
    was: str
    drawing: str
    same: int
    moved: int
    new: int
    gone: int


@command("changed a job's drawing", "operator")
def _revise(transaction: Transaction, made: Plan, choices: Choices) -> Answer:
    _check_unmoved(transaction, made)
    new_stocks = missing_stocks(transaction, made.proposed, made.stocks)
    stocks = {**made.stocks, **{colour: one.id for colour, one in new_stocks.items()}}
    for colour, id in stocks.items():
        stock.remember_colour(transaction.db, colour, id)
    given = supply(transaction.db, made, choices)
    done = Revising(
        transaction,
        made,
        choices,
        stocks,
        given,
        sorted_too(made.sorted_, made.proposed.signs, new_stocks),
    )
    planned = store.planned_sheets(transaction.db, made.job.id)
    done.all_signs()
    store.set_drawing(transaction.db, made.job.id, made.proposed.sha256)
    counts = {kind: count(made, kind) for kind in (rules.SAME, rules.MOVED, rules.NEW, rules.GONE)}
    transaction.record(
        JobRevised(made.job.number, made.job.drawing, made.proposed.sha256, **counts)
    )
    pools = _pools(transaction, planned, done.waiting)
    # what is cut anyway takes along what waits of these stocks already, such as a recut
    waiting = {
        str(id): codes
        for id, codes in store.waiting(transaction.db, made.job.id).items()
        if str(id) in {*pools, *done.waiting}
    }
    outcome = [
        f"{number} {'piece' if number == 1 else 'pieces'} {words}"
        for number, words in (
            (done.queued, "to cut"),
            (done.used, "used again"),
            (done.withdrawn, "withdrawn"),
            (done.spared, "spare"),
            (done.spoiled, "spoiled"),
        )
        if number
    ]
    sentence = f"{made.job.number} follows the new drawing: {', '.join(outcome) or 'nothing has to be cut'}."
    data = {
        "job": made.job.number,
        "pools": pools,
        "waiting": waiting,
        "relabel": done.relabel,
        **counts,
        "used": done.used,
        "to_cut": done.queued,
        "withdrawn": done.withdrawn,
        "spare": done.spared,
        "spoiled": done.spoiled,
    }
    return Answer(sentence, tuple(done.relabel), data)


def _check_unmoved(transaction: Transaction, made: Plan) -> None:
    """Raises Conflict where somebody changed the job, its parts or the state of its signs since the plan was made."""
    now = jobs.job(transaction.db, made.job.id)
    states = {sign.id: sign.state for sign in jobs.signs_of_job(transaction.db, now.id)}
    is_moved = now.drawing != made.job.drawing or {
        id for id, state in states.items() if state in OPEN
    } != {id for sign in made.signs for id in sign.signs}
    for sign_plan in made.signs:
        for sign in sign_plan.signs:
            standing = [replace(part, id=0) for part in store.standing(transaction.db, sign)]
            is_moved = is_moved or standing != [replace(part, id=0) for part in sign_plan.old]
    if is_moved:
        raise Conflict(f"{now.number} changed meanwhile: look at the new drawing once more.")


def _pools(
    transaction: Transaction, planned: dict[int, list[str]], waiting: dict[str, list[str]]
) -> dict[str, list[str]]:
    """The planned sheets to be nested anew, by stock: those of a stock with pieces to cut, and those that lost some. One that
    lost all its pieces is given up and its blank set free."""
    pools: dict[str, list[str]] = {}
    for stock_id, codes in planned.items():
        for code in codes:
            sheet = sheets.sheet_by_code(transaction.db, code)
            here = [piece for piece in sheets.on_sheet(transaction.db, sheet.id)]
            if not any(piece.is_here for piece in here):
                sheets.set_state(transaction.db, sheet.id, "abandoned", closed_at=transaction.at)
                stock.release_blank(transaction.db, sheet.blank)
            elif str(stock_id) in waiting or not all(piece.is_here for piece in here):
                pools.setdefault(str(stock_id), []).append(code)
    return pools
