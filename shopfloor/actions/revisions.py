"""A new drawing for a job under way, carried out: one act for the job, then one for each stock that is nested again.

`revision_plan` works out before the transaction which part became which; the act checks that nothing changed since.
`revision_changes` has what it writes, and in which order.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ..domain.errors import Conflict, Refused
from ..domain.recuts import revisions as rules
from ..store import jobs, pieces, sheets, stock
from ..store import revisions as store
from ..wording import revisions as wording
from ..wording.message import Message, joined, of_kept
from .drawings import ReadDrawing, keep_drawing
from .jobs import missing_stocks, nest_each
from .outlines import sorted_too
from .revision_changes import Revising
from .revision_plan import DEFAULT_CHOICES, OPEN, Choices, Plan, count, supply
from .unit_of_work import Answer, Caller, Transaction, command, earlier_answer


def change(
    caller: Caller,
    plan: Plan,
    choices: Choices = DEFAULT_CHOICES,
    *,
    reads: Sequence[ReadDrawing] = (),
    seconds: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Answer:
    """Carry out a new drawing, then nest the job's planned sheets again with what must be cut.

    A sheet that was started is not touched. Raises Refused where the drawing changes nothing, Conflict where the job
    changed since the plan was made. The answer's data: `job`, the counts of `Costs`, `relabel` (codes of pieces that
    are for another place now), `left_out` (messages as `as_dict` gives them).
    """
    caller.actor.must_hold(("operator",))
    if first := earlier_answer(caller):
        return first
    if plan.is_empty:
        raise Refused(wording.drawing_changes_nothing(plan.job.number))
    for read in reads:
        keep_drawing(caller.shop, read)
    answer = _revise(caller, plan, choices)
    pools: dict[str, list[str]] = answer.data["pools"]
    waiting: dict[str, list[str]] = answer.data["waiting"]
    left_out = nest_each(
        caller,
        [
            (int(id), waiting.get(id, []), pools.get(id, []))
            for id in sorted({*pools, *waiting}, key=int)
        ],
        seconds=seconds,
        progress=progress,
    )
    message = joined([answer.message, *map(of_kept, left_out)])
    return replace(answer, message=message, data={**answer.data, "left_out": left_out})


@command("changed a job's drawing", "operator")
def _revise(transaction: Transaction, plan: Plan, choices: Choices) -> Answer:
    _check_unmoved(transaction, plan)
    new_stocks = missing_stocks(transaction, plan.proposed, plan.stocks)
    stocks = {**plan.stocks, **{colour: new.id for colour, new in new_stocks.items()}}
    for colour, id in stocks.items():
        stock.remember_colour(transaction.db, colour, id)
    revising = Revising(
        transaction,
        plan,
        choices,
        stocks,
        supply(transaction.db, plan, choices),
        sorted_too(plan.sorted_, plan.proposed.signs, new_stocks),
    )
    planned = store.planned_sheets(transaction.db, plan.job.id)
    revising.all_signs()
    store.set_drawing(transaction.db, plan.job.id, plan.proposed.sha256)
    counts = {kind: count(plan, kind) for kind in (rules.SAME, rules.MOVED, rules.NEW, rules.GONE)}
    pools = _pools(transaction, planned, revising.waiting)
    # pieces that wait already in these stocks, such as a recut, are cut along with the new ones
    waiting: dict[str, list[str]] = {}
    for piece in pieces.waiting_of_job(transaction.db, plan.job.id):
        if str(piece.stock) in {*pools, *revising.waiting}:
            waiting.setdefault(str(piece.stock), []).append(piece.code)
    outcome = revising.outcome
    data = {
        "job": plan.job.number,
        "pools": pools,
        "waiting": waiting,
        "relabel": revising.relabel,
        **counts,
        **outcome,
    }
    return Answer(_followed(plan.job.number, outcome), tuple(revising.relabel), data)


def _followed(job: str, outcome: Mapping[str, int]) -> Message:
    by_outcome = [
        wording.pieces_by_outcome(kind, number) for kind, number in outcome.items() if number
    ]
    if not by_outcome:
        return wording.follows_without_cutting(job)
    return wording.follows_the_drawing(job, by_outcome)


def _check_unmoved(transaction: Transaction, plan: Plan) -> None:
    """Raise Conflict where the job, its parts or the state of its signs changed since the plan was made."""
    now = jobs.job(transaction.db, plan.job.id)
    states = {sign.id: sign.state for sign in jobs.signs_of_job(transaction.db, now.id)}
    is_moved = now.drawing != plan.job.drawing or {
        id for id, state in states.items() if state in OPEN
    } != {id for sign in plan.signs for id in sign.signs}
    for sign_plan in plan.signs:
        for sign in sign_plan.signs:
            standing = [replace(part, id=0) for part in store.standing(transaction.db, sign)]
            is_moved = is_moved or standing != [replace(part, id=0) for part in sign_plan.old]
    if is_moved:
        raise Conflict(wording.job_changed_meanwhile(now.number))


def _pools(
    transaction: Transaction, planned: dict[int, list[str]], waiting: dict[str, list[str]]
) -> dict[str, list[str]]:
    """Return the planned sheets to nest again, by stock: those of a stock with pieces to cut, and those that lost some.
    A sheet that lost all its pieces is abandoned and its blank released."""
    pools: dict[str, list[str]] = {}
    for stock_id, codes in planned.items():
        for code in codes:
            sheet = sheets.sheet_by_code(transaction.db, code)
            here = list(sheets.on_sheet(transaction.db, sheet.id))
            if not any(piece.is_here for piece in here):
                sheets.set_state(transaction.db, sheet.id, "abandoned", closed_at=transaction.at)
                stock.release_blank(transaction.db, sheet.blank)
            elif str(stock_id) in waiting or not all(piece.is_here for piece in here):
                pools.setdefault(str(stock_id), []).append(code)
    return pools
