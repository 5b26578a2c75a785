"""Whether the recuts of a stock are cut now or wait for the next sheet. Reads the queue and the planned sheets only."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..domain.recuts.recut_planning import NextRun, Queued, RunAdvice, now_or_wait
from ..domain.settings import Settings
from ..store import settings, sheets, swaps
from ..store.db import Connection
from ..store.recuts import Recut


def advice(
    db: Connection, queue: Sequence[tuple[Recut, bool]], today: date
) -> tuple[RunAdvice, tuple[str, str] | None]:
    """Return now or wait, for the waiting recuts of one stock, each with whether a step waits for it; and code and number
    of the planned sheet that they would wait for."""
    shop_settings = settings.load(db)
    queued = [
        Queued(recut.sign, _slack(recut, today, shop_settings), blocks) for recut, blocks in queue
    ]
    next_run, code = _next_run(db, queue[0][0].stock, shop_settings)
    return now_or_wait(queued, shop_settings, next_run), code


def _slack(recut: Recut, today: date, shop_settings: Settings) -> float | None:
    """Return by how many days the recut's sign is early if it is cut now."""
    if recut.due is None:
        return None
    return (
        (date.fromisoformat(recut.due) - today).days
        - shop_settings.recut_days
        - shop_settings.bench_days
    )


def _next_run(
    db: Connection, stock: int, shop_settings: Settings
) -> tuple[NextRun, tuple[str, str] | None]:
    """Return the first planned sheet of this stock, and its code and number."""
    order = swaps.planned_in_order(db)
    planned = [row for row in sheets.live_rows(db) if row.state == "planned" and row.stock == stock]
    if not planned:
        return NextRun(None), None
    first = min(planned, key=lambda row: order[row.id])
    return NextRun(order[first.id] / shop_settings.sheets_a_day, first.number), (
        first.code,
        first.number,
    )
