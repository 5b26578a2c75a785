"""Intake: a drawing is sent, looked at as the signs that it would become, and confirmed as a job.

Owns how these pages are asked for and answered; what the proposal shows is put together in `intake_pages`. A drawing is
read in a worker process, and never served back as it came.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath

from flask import Blueprint, Response, request, url_for

from ...actions import drawings
from ...actions import jobs as actions
from ...actions.unit_of_work import Caller
from ...domain.drawing.answers import Answers
from ...domain.drawing.signs import MOST_COPIES, Order, checked, mark_of
from ...domain.errors import Conflict, Refused
from ...domain.settings import number
from ...store import stock
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
from . import answers as written
from . import families, intake_pages, questions
from .intake_pages import Typed

OPERATOR = ("operator",)

pages = Blueprint("intake", __name__)


@dataclass(frozen=True)
class NewPage:
    """The form that a drawing is sent with."""

    largest_mb: int = 20


@dataclass(frozen=True)
class ShapesPage:
    """The different shapes of a drawing, alone."""

    shapes: list[families.ShapesOfColour]


@dataclass(frozen=True)
class SumPage:
    """What an order comes to, alone."""

    sum: intake_pages.Sum


@pages.get("/jobs/new")
def new() -> Response:
    """A drawing is chosen."""
    current_actor().must_hold(OPERATOR)
    return show("jobs/new.html", NewPage(), title="New drawing", here="Jobs")


@pages.post("/jobs/new")
def upload() -> Response:
    """Reads the drawing and goes on to what it would become. A refused one is not kept."""
    current_actor().must_hold(OPERATOR)
    sha256, name = sent_drawing()
    title = " ".join(PurePath(name).stem.replace("_", " ").split())
    return go(url_for("intake.proposal", sha256=sha256, title=title))


def sent_drawing() -> tuple[str, str]:
    """Reads and keeps the drawing that was sent with the form; gives its SHA-256 and its name. Raises Refused."""
    file = request.files.get("drawing")
    if file is None or not file.filename:
        raise Refused("Choose a drawing first: an SVG or DXF file at full size.")
    read = drawings.read_drawing(file.read(), file.filename)
    return drawings.keep_drawing(current_shop(), read), read.name


@pages.get("/jobs/new/<sha256>")
def proposal(sha256: str) -> Response:
    """The signs of a drawing, what is asked about them, and the form of the order.

    The query holds what was typed and what was answered; `one` are the places of signs that are ticked to be one.
    """
    current_actor().must_hold(OPERATOR)
    typed = _typed(request.args)
    proposed = drawings.kept_proposal(current_shop(), sha256, _answers(request.args))
    spares = _spares(proposed, typed)
    proposed = drawings.cut_from(current_shop(), proposed, intake_pages.stocks_of(proposed, typed))
    found = (
        *proposed.preflight,
        *proposed.warnings,
    )  # may be slow, so it is done before the moment of the page begins
    with snapshot() as db:
        view = intake_pages.page_of(db, proposed, typed, found, spares, local_now().date())
        if wants_fragment():
            return fragment("jobs/_proposed.html", view)
        return show("jobs/proposal.html", view, title=f"New drawing: {proposed.file}", here="Jobs")


@pages.post("/jobs/new/<sha256>/unit")
def unit(sha256: str) -> Response:
    """A drawing that names no unit is read once more in the one that somebody named."""
    current_actor().must_hold(OPERATOR)
    named = read_in_another_unit(sha256)
    query = (
        _typed(request.form).as_query() | written.query_of(_answers(request.form)) | {"unit": named}
    )
    return go(url_for("intake.proposal", sha256=sha256, **query))


def read_in_another_unit(sha256: str) -> str:
    """Reads a kept drawing once more in the unit that the form names; gives that. Raises Refused."""
    named = request.form.get("unit", "")
    if named not in questions.UNITS:
        raise Refused("Choose one of the units that are offered.")
    drawings.read_again(current_shop(), sha256, named)
    return named


@pages.get("/jobs/new/<sha256>/shapes")
def shapes(sha256: str) -> Response:
    """The different shapes of a large drawing, sorted when somebody looks."""
    current_actor().must_hold(OPERATOR)
    proposed = drawings.kept_proposal(current_shop(), sha256, _answers(request.args))
    return fragment(
        "jobs/_shapes.html", ShapesPage(families.shapes_of(proposed, current_settings().units))
    )


@pages.get("/jobs/new/<sha256>/sum")
def summed(sha256: str) -> Response:
    """What the order comes to with the numbers that are typed now."""
    current_actor().must_hold(OPERATOR)
    proposed, typed = (
        drawings.kept_proposal(current_shop(), sha256, _answers(request.args)),
        _typed(request.args),
    )
    return fragment(
        "jobs/_sum.html", SumPage(intake_pages.sum_of(proposed, typed, _spares(proposed, typed)))
    )


@pages.post("/jobs/new/<sha256>")
def confirm(sha256: str) -> Response:
    """Takes the job in, in the background. The same form sent twice makes one job."""
    shop, by, key, typed = current_shop(), current_actor(), form_key(), _typed(request.form)
    by.must_hold(OPERATOR)
    answers = _answers(request.form)
    proposed = drawings.kept_proposal(shop, sha256, answers)
    _check_as_seen(proposed)
    order = checked(_order(typed, proposed), proposed.signs)
    seconds = current_settings().nest_seconds

    def work(progress):
        return actions.intake(
            Caller(shop, by, key), proposed, order, seconds=seconds, progress=progress
        )

    again = url_for(
        "intake.proposal", sha256=sha256, **typed.as_query(), **written.query_of(answers)
    )
    run = runs().begin(f"Taking in {order.title}", work, by=by, after=again, key=key)
    return go(url_for("intake.under_way", run=run.id))


@pages.get("/intake/<run>")
def under_way(run: str) -> Response:
    """The bar of an intake; when it has ended, on to the job."""
    words = "The pieces of each stock are nested on sheets. You may leave this page: the job will be in Jobs."
    return bar(
        run,
        "intake.under_way",
        here="Jobs",
        home=url_for("jobs.jobs"),
        words=words,
        back_words="Back to the drawing",
        ended=to_the_job,
    )


def to_the_job(run: Run) -> Response:
    """A drawing was taken in: on to its job."""
    return go(url_for("jobs.job", number=run.answer.data["job"], run=run.id))


def _answers(values) -> Answers:
    """What was answered, from a form or a query, the ticked signs (`one`) joined."""
    ticked = [place for text in values.getlist("one") for place in written.places_of(text)]
    return written.joined(written.answers_of(values), ticked)


def _typed(values) -> Typed:
    """What was typed, from a form or a query."""
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
    """How many spares in stock the order as it is typed would use."""
    counts = {sign.places[0]: typed.of(sign) for sign in proposed.signs}
    order = Order(
        "", "", "", typed.sets(), intake_pages.stocks_of(proposed, typed), quantities=counts
    )
    return actions.fitting_spares(current_shop(), proposed, order)


def _check_as_seen(proposed: drawings.Proposal) -> None:
    """Raises Conflict where somebody read the drawing in another unit meanwhile, Refused for open questions."""
    if request.form.get("size", intake_pages.size_of(proposed)) != intake_pages.size_of(proposed):
        raise Conflict(
            "This drawing was read in another unit meanwhile: load the page again and look at its size."
        )
    if open_question := questions.still_open(proposed, current_settings().units):
        raise Refused(open_question)


def _order(typed: Typed, proposed: drawings.Proposal) -> Order:
    if not typed.due:
        raise Refused("Say when it is due: choose a day.")
    quantity = number(typed.quantity.strip(), "The quantity", 1, MOST_COPIES, is_whole=True)
    stocks = {}
    for colour in proposed.colours:
        chosen = typed.stocks.get(colour.colour.lstrip("#"), "")
        if chosen != intake_pages.NEW_STOCK:
            stocks[colour.colour] = _stock_id(chosen, colour.called)
    return Order(
        typed.customer,
        typed.title,
        typed.due,
        quantity,
        stocks,
        proposed.answers.joins,
        _quantities(typed, proposed),
        typed.uses_spares,
    )


def _quantities(typed: Typed, proposed: drawings.Proposal) -> dict[int, int]:
    """How many of each sign belong to a set, by its first place; 1 is not written down."""
    found = {}
    for at, sign in enumerate(proposed.signs):
        text = typed.each.get(sign.places[0], "1").strip()
        count = number(text, f"The number of sign {mark_of(at)}", 1, MOST_COPIES, is_whole=True)
        if count != 1:
            found[sign.places[0]] = count
    return found


def _stock_id(chosen: str, word: str) -> int:
    number = whole(chosen)
    if number is None:
        raise Refused(f"Choose the stock that the {word} parts are cut from.")
    return stock.stock(current_shop().read(), number).id
