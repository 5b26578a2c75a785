"""Intake: a drawing is sent, looked at as the signs that it would become, and confirmed as a job.

Owns how these pages are asked for and answered; what the proposal shows is put together in `intake_pages`. A drawing is
read in a worker process, and never served back as it came.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath

from flask import Blueprint, Response, request, url_for

from ..actions import drawings
from ..actions import jobs as actions
from ..domain.answers import Answers
from ..domain.errors import Refused
from ..domain.settings import number
from ..domain.signs import MOST_COPIES, Order, checked
from ..store import stock
from . import intake_pages
from .background import Run, bar, runs
from .frame import (
    current_by,
    current_desk,
    current_settings,
    form_key,
    fragment,
    go,
    local_now,
    show,
    snapshot,
    wants_fragment,
    whole,
)
from .intake_pages import Typed

OPERATOR = ("operator",)

pages = Blueprint("intake", __name__)


@dataclass(frozen=True)
class NewPage:
    """The form that a drawing is sent with."""

    largest_mb: int = 20


@pages.get("/jobs/new")
def new() -> Response:
    """A drawing is chosen."""
    current_by().must_hold(OPERATOR)
    return show("jobs/new.html", NewPage(), title="New drawing", here="Jobs")


@pages.post("/jobs/new")
def upload() -> Response:
    """Reads the drawing and goes on to what it would become. A refused one is not kept."""
    current_by().must_hold(OPERATOR)
    file = request.files.get("drawing")
    if file is None or not file.filename:
        raise Refused("Choose a drawing first: an SVG file at full size.")
    read = drawings.read_drawing(file.read(), file.filename)
    sha256 = drawings.keep_drawing(current_desk(), read)
    title = " ".join(PurePath(read.name).stem.replace("_", " ").split())
    return go(url_for("intake.proposal", sha256=sha256, title=title))


@pages.get("/jobs/new/<sha256>")
def proposal(sha256: str) -> Response:
    """The signs of a drawing, and the form of the order. The query holds what was typed, and which signs are joined:
    `join`, to which `one` (places of signs) is added."""
    current_by().must_hold(OPERATOR)
    desk, args = current_desk(), request.args
    join = intake_pages.joined(args.get("join", ""), args.getlist("one"))
    proposed = drawings.kept_proposal(desk, sha256, Answers(intake_pages.joins_of(join)))
    with snapshot() as db:
        it = intake_pages.page_of(db, proposed, join, _typed(args, join), local_now().date())
        if wants_fragment():
            return fragment("jobs/_proposed.html", it)
        return show("jobs/proposal.html", it, title=f"New drawing: {proposed.file}", here="Jobs")


@pages.post("/jobs/new/<sha256>")
def confirm(sha256: str) -> Response:
    """Takes the job in, in the background. The same form sent twice makes one job."""
    desk, by, key, typed = current_desk(), current_by(), form_key(), _typed(request.form, request.form.get("join", ""))
    by.must_hold(OPERATOR)
    joins = intake_pages.joins_of(typed.join)
    proposed = drawings.kept_proposal(desk, sha256, Answers(joins))
    order = checked(_order(typed, proposed, joins), proposed.signs)
    seconds = current_settings().nest_seconds

    def work(progress):
        return actions.intake(desk, by, proposed, order, seconds=seconds, progress=progress, key=key)

    again = url_for("intake.proposal", sha256=sha256, **typed.as_query())
    run = runs().begin(f"Taking in {order.title}", work, by=by, after=again, key=key)
    return go(url_for("intake.under_way", run=run.id))


@pages.get("/intake/<run>")
def under_way(run: str) -> Response:
    """The bar of an intake; when it has ended, on to the job."""
    return bar(run, "jobs", here="Jobs", home=url_for("jobs.jobs"), ended=_to_the_job)


def _to_the_job(run: Run) -> Response:
    return go(url_for("jobs.job", number=run.answer.data["job"], run=run.id))


def _typed(values, join: str) -> Typed:
    """What was typed, from a form or a query."""
    stocks = {name.removeprefix("stock-"): value for name, value in values.items() if name.startswith("stock-")}
    due = values.get("due", "") if values.get("when", "other") == "other" else values["when"]
    fields = {name: values.get(name, "") for name in ("customer", "title")}
    return Typed(**fields, due=due, quantity=values.get("quantity", "1"), stocks=stocks, join=join)


def _order(typed: Typed, proposed: drawings.Proposal, joins) -> Order:
    if not typed.due:
        raise Refused("Say when it is due: choose a day.")
    quantity = number(typed.quantity.strip(), "The quantity", 1, MOST_COPIES, is_whole=True)
    stocks = {}
    for colour in proposed.colours:
        chosen = typed.stocks.get(colour.colour.lstrip("#"), "")
        if chosen != intake_pages.NEW_STOCK:
            stocks[colour.colour] = _stock_id(chosen, colour.word)
    return Order(typed.customer, typed.title, typed.due, quantity, stocks, joins)


def _stock_id(chosen: str, word: str) -> int:
    number = whole(chosen)
    if number is None:
        raise Refused(f"Choose the stock that the {word} parts are cut from.")
    return stock.stock(current_desk().read(), number).id
