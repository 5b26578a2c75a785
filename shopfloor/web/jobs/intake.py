"""Intake: a drawing is uploaded, shown as a proposal of its signs, and confirmed as a job.

Owns the requests; `proposal_page` puts the page of the proposal together. A drawing is read in a worker process, and
never served back as it came.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePath
from typing import Any

from flask import Blueprint, Response, request, url_for
from werkzeug.datastructures import MultiDict

from ...actions import drawings
from ...actions import jobs as actions
from ...actions.unit_of_work import Answer, Caller
from ...domain.drawing.answers import Answers
from ...domain.drawing.signs import MOST_COPIES, Order, checked, mark_of
from ...domain.errors import Conflict, Refused
from ...domain.fields import read_number
from ...store import stock
from ...wording import drawings as drawing_wording
from ...wording import jobs as wording
from ..background import Run, bar, runs
from ..page import (
    current_actor,
    current_settings,
    current_shop,
    form_key,
    fragment,
    go,
    local_now,
    show,
    snapshot,
    wants_fragment,
    whole,
)
from ..security import LARGEST_UPLOAD
from . import answers as written
from . import families, proposal_page, questions
from .proposal_page import Typed

OPERATOR = ("operator",)

pages = Blueprint("intake", __name__)


@pages.get("/jobs/new")
def new() -> Response:
    """Show the form to upload a drawing."""
    current_actor().must_hold(OPERATOR)
    view = {"largest_mb": LARGEST_UPLOAD // 1024**2}
    return show("jobs/new.html", view, title=wording.new_drawing(), here="Jobs")


@pages.post("/jobs/new")
def upload() -> Response:
    """Read the drawing and go on to its proposal. A refused one is not kept."""
    current_actor().must_hold(OPERATOR)
    sha256, name = sent_drawing()
    title = " ".join(PurePath(name).stem.replace("_", " ").split())
    return go(url_for("intake.proposal", sha256=sha256, title=title))


def sent_drawing() -> tuple[str, str]:
    """Read and keep the drawing uploaded with the form; return its SHA-256 and its name. Raises Refused."""
    file = request.files.get("drawing")
    if file is None or not file.filename:
        raise Refused(drawing_wording.choose_a_drawing())
    read = drawings.read_drawing(file.read(), file.filename)
    return drawings.keep_drawing(current_shop(), read), read.name


@pages.get("/jobs/new/<sha256>")
def proposal(sha256: str) -> Response:
    """Show the signs of a drawing, the questions about them, and the form of the order.

    The query has what was typed and answered; `one` are the places of signs that are ticked to be joined.
    """
    current_actor().must_hold(OPERATOR)
    typed = _typed(request.args)
    proposed = drawings.kept_proposal(current_shop(), sha256, _answers(request.args))
    spares = _spares(proposed, typed)
    proposed = drawings.cut_from(current_shop(), proposed, proposal_page.stocks_of(proposed, typed))
    findings = (*proposed.preflight, *proposed.warnings)  # may be slow: before the snapshot begins
    with snapshot() as db:
        view = proposal_page.page_of(db, proposed, typed, findings, spares, local_now().date())
        if wants_fragment():
            return fragment("jobs/_proposed.html", view)
        title = wording.new_drawing_named(proposed.file)
        return show("jobs/proposal.html", view, title=title, here="Jobs")


@pages.post("/jobs/new/<sha256>/unit")
def unit(sha256: str) -> Response:
    """Read a drawing again, in the unit that somebody named."""
    current_actor().must_hold(OPERATOR)
    named = read_in_another_unit(sha256)
    return go(_proposal_path(sha256, _typed(request.form), _answers(request.form), unit=named))


def _proposal_path(sha256: str, typed: Typed, answers: Answers, **more: str) -> str:
    """Return the path of a proposal with all that was typed and answered."""
    query: dict[str, Any] = {**typed.as_query(), **written.query_of(answers), **more}
    return url_for("intake.proposal", **{**query, "sha256": sha256})


def read_in_another_unit(sha256: str) -> str:
    """Read a kept drawing again in the unit that the form names; return that. Raises Refused."""
    named = request.form.get("unit", "")
    if named not in questions.UNITS:
        raise Refused(drawing_wording.choose_an_offered_unit())
    drawings.read_again(current_shop(), sha256, named)
    return named


@pages.get("/jobs/new/<sha256>/shapes")
def shapes(sha256: str) -> Response:
    """Show the different shapes of a large drawing, sorted only on request."""
    current_actor().must_hold(OPERATOR)
    proposed = drawings.kept_proposal(current_shop(), sha256, _answers(request.args))
    return fragment("jobs/_shapes.html", {"shapes": families.shapes_of(proposed)})


@pages.get("/jobs/new/<sha256>/sum")
def summed(sha256: str) -> Response:
    """Show the total of the order with the numbers typed now."""
    current_actor().must_hold(OPERATOR)
    proposed = drawings.kept_proposal(current_shop(), sha256, _answers(request.args))
    typed = _typed(request.args)
    total = proposal_page.sum_of(proposed, typed, _spares(proposed, typed))
    return fragment("jobs/_sum.html", {"sum": total})


@pages.post("/jobs/new/<sha256>")
def confirm(sha256: str) -> Response:
    """Take the job in, in the background. The same form sent twice makes one job."""
    shop, by, key, typed = current_shop(), current_actor(), form_key(), _typed(request.form)
    by.must_hold(OPERATOR)
    answers = _answers(request.form)
    proposed = drawings.kept_proposal(shop, sha256, answers)
    _check_as_seen(proposed)
    order = checked(_order(typed, proposed), proposed.signs)
    seconds = current_settings().nest_seconds

    def work(progress: Callable[[float], None]) -> Answer:
        return actions.intake(
            Caller(shop, by, key), proposed, order, seconds=seconds, progress=progress
        )

    again = _proposal_path(sha256, typed, answers)
    run = runs().begin(wording.taking_in(order.title), work, by=by, after=again, key=key)
    return go(url_for("intake.under_way", run=run.id))


@pages.get("/intake/<run>")
def under_way(run: str) -> Response:
    """Show the progress of an intake; when it has ended, go on to the job."""
    return bar(
        run,
        "intake.under_way",
        here="Jobs",
        home=url_for("jobs.jobs"),
        words=wording.nesting_the_job(),
        back_words=wording.back_to_the_drawing(),
        ended=to_the_job,
    )


def to_the_job(run: Run, answer: Answer) -> Response:
    """Go on to the job of a drawing that was taken in."""
    return go(url_for("jobs.job", number=answer.data["job"], run=run.id))


def _answers(values: MultiDict[str, str]) -> Answers:
    """Return the answers in a form or a query, the ticked signs (`one`) joined."""
    ticked = [place for text in values.getlist("one") for place in written.places_of(text)]
    return written.joined(written.answers_of(values), ticked)


def _typed(values: MultiDict[str, str]) -> Typed:
    """Return what was typed, from a form or a query."""
    stocks = {
        name.removeprefix("stock-"): value
        for name, value in values.items()
        if name.startswith("stock-")
    }
    each = {
        place: value
        for name, value in values.items()
        if name.startswith("each-") and (place := whole(name.removeprefix("each-"))) is not None
    }
    due = values.get("due", "") if values.get("when", "other") == "other" else values["when"]
    unit = values.get("unit", "")
    return Typed(
        values.get("customer", ""),
        values.get("title", ""),
        due,
        values.get("quantity", "1"),
        stocks,
        each,
        uses_spares="spares" in values
        or "asked" not in values,  # an empty box sends nothing, as does a new page
        unit=unit if unit in questions.UNITS else "",
    )


def _spares(proposed: drawings.Proposal, typed: Typed) -> int:
    """Return how many spares in stock the order as typed would use."""
    counts = {sign.places[0]: typed.of(sign) for sign in proposed.signs}
    stocks = proposal_page.stocks_of(proposed, typed)
    order = Order("", "", "", typed.sets(), stocks, quantities=counts)
    return actions.fitting_spares(current_shop(), proposed, order)


def _check_as_seen(proposed: drawings.Proposal) -> None:
    """Raise Conflict where the drawing was read in another unit meanwhile, Refused where a question is open."""
    size = proposal_page.size_of(proposed)
    if request.form.get("size", size) != size:
        raise Conflict(drawing_wording.read_in_another_unit())
    if open_question := questions.still_open(proposed):
        raise Refused(open_question)


def _order(typed: Typed, proposed: drawings.Proposal) -> Order:
    if not typed.due:
        raise Refused(wording.due_needed())
    quantity = read_number(
        typed.quantity.strip(), wording.quantity(), 1, MOST_COPIES, is_whole=True
    )
    stocks = {}
    for colour in proposed.colours:
        chosen = typed.stocks.get(colour.colour.lstrip("#"), "")
        if chosen != proposal_page.NEW_STOCK:
            stocks[colour.colour] = _stock_id(chosen, colour.called)
    return Order(
        typed.customer,
        typed.title,
        typed.due,
        int(quantity),
        stocks,
        proposed.answers.joins,
        _quantities(typed, proposed),
        typed.uses_spares,
    )


def _quantities(typed: Typed, proposed: drawings.Proposal) -> dict[int, int]:
    """Return how many of each sign belong to a set, by its first place, where it is not 1."""
    quantities = {}
    for at, sign in enumerate(proposed.signs):
        text = typed.each.get(sign.places[0], "1").strip()
        title = wording.quantity_of_sign(mark_of(at))
        count = int(read_number(text, title, 1, MOST_COPIES, is_whole=True))
        if count != 1:
            quantities[sign.places[0]] = count
    return quantities


def _stock_id(chosen: str, word: str) -> int:
    id = whole(chosen)
    if id is None:
        raise Refused(wording.choose_a_stock(word))
    return stock.stock(current_shop().read(), id).id
