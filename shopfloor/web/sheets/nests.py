"""Nesting from a page: what to pool, then a progress bar until it is done.

Owns the form and the page of a nesting under way, which Recuts uses too. The work runs in background.py whether
anybody looks or not. Must not know how a nest is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flask import Blueprint, Response, request, url_for

from ...actions import nests as actions
from ...actions.unit_of_work import Answer, Caller
from ...store import sheets as store
from ...store import stock
from ...wording import sheets as wording
from ..background import Progress, Run, bar, runs
from ..page import (
    current_actor,
    current_settings,
    current_shop,
    done,
    form_key,
    go,
    local_now,
    show,
    snapshot,
)
from .sheets import card_of

CARD_BOX = (330, 165)

pages = Blueprint("nests", __name__)


@pages.get("/sheets/pool/<int:stock_id>")
def pool(stock_id: int) -> Response:
    """The form: the waiting pieces of a stock, and the planned sheets that may be nested again with them."""
    current_actor().must_hold(("operator",))
    with snapshot() as db:
        material = stock.stock(db, stock_id)
        waiting = [group for group in store.waiting(db) if group.stock == stock_id]
        held, today = store.held_up(db), local_now().date().isoformat()
        rows = [
            row for row in store.live_rows(db) if row.state == "planned" and row.stock == stock_id
        ]
        view = {
            "stock": material,
            "waiting": waiting,
            "pieces": sum(group.pieces for group in waiting),
            "planned": [
                card_of(db, row, material, held.get(row.id), CARD_BOX, today) for row in rows
            ],
            "offcuts": len(stock.free_blanks(db, stock_id, is_offcut=True)),
            "today": today,
        }
        title = wording.nest_title(material.called)
        return show("sheets/nests/pool.html", view, title=title, here="Sheets")


@pages.post("/sheets/pool/<int:stock_id>")
def nest(stock_id: int) -> Response:
    """Start nesting the waiting pieces and those of the chosen sheets."""
    chosen = request.form.getlist("sheet")
    return begin(
        stock_id,
        pool=chosen,
        on_offcuts=request.form.get("onto") == "offcut",
        after=url_for("sheets.sheets"),
    )


def begin(
    stock_id: int,
    *,
    codes: Iterable[str] | None = None,
    pool: Sequence[str] = (),
    on_offcuts: bool,
    after: str,
) -> Response:
    """Start a nesting in the background and go to its page; `after` is where to go on to if it is refused."""
    shop, by, key = current_shop(), current_actor(), form_key()
    seconds = current_settings().nest_seconds
    by.must_hold(("operator",))
    title = wording.nesting(stock.stock(shop.read(), stock_id).called)
    codes = None if codes is None else list(codes)

    def work(progress: Progress) -> Answer:
        return actions.plan(
            Caller(shop, by, key),
            stock_id,
            codes=codes,
            pool=pool,
            seconds=seconds,
            on_offcuts=on_offcuts,
            progress=progress,
        )

    run = runs().begin(title, work, by=by, after=after, key=key)
    return go(url_for("nests.under_way", run=run.id))


@pages.get("/nests/<run>")
def under_way(run: str) -> Response:
    """The progress of a nesting; when it has ended, on to the sheets."""
    return bar(
        run,
        "nests.under_way",
        here="Sheets",
        home=url_for("sheets.sheets"),
        words=wording.nesting_under_way(),
        back_words=wording.back(),
        ended=_to_the_sheets,
    )


def _to_the_sheets(run: Run, answer: Answer) -> Response:
    """Go to the sheet that was made, or to the list where there are several."""
    made = answer.data.get("sheets", [])
    is_one = len(made) == 1
    to = url_for("sheets.sheet", code=made[0]) if is_one else url_for("sheets.sheets")
    return done(answer, to)
