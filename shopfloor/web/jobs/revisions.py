"""A new drawing for a job under way: it is sent, looked at over the old one with what it costs, and confirmed.

Owns how these pages are asked for and answered. What they show is put together in `revision_pages`.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import drawings, revision_plan
from ...actions import revisions as actions
from ...actions.revision_plan import Choices
from ...actions.unit_of_work import Caller, Shop
from ...domain.errors import Refused
from ...store import jobs, stock
from ...store import revisions as store
from ...store.jobs import Job
from ..background import bar, runs
from ..page import (
    current_actor,
    current_settings,
    current_shop,
    form_key,
    fragment,
    go,
    show,
    snapshot,
    wants_fragment,
    whole,
)
from . import answers as written
from . import questions, revision_pages
from .intake import OPERATOR, read_in_another_unit, sent_drawing, to_the_job
from .revision_pages import Asked

pages = Blueprint("revisions", __name__)


@dataclass(frozen=True)
class SendPage:
    """The form that a new drawing of a job is sent with."""

    job: Job
    signs: int
    largest_mb: int = 20


@pages.get("/jobs/<number>/drawing")
def new(number: str) -> Response:
    """A new drawing is chosen."""
    current_actor().must_hold(OPERATOR)
    with snapshot() as db:
        job = jobs.job_by_number(db, number)
        view = SendPage(job, len(jobs.signs_of_job(db, job.id)))
        return show(
            "jobs/revisions/new.html", view, title=f"New drawing for {job.number}", here="Jobs"
        )


@pages.post("/jobs/<number>/drawing")
def upload(number: str) -> Response:
    """Reads the new drawing and goes on to what it would change. A refused one is not kept."""
    current_actor().must_hold(OPERATOR)
    job = jobs.job_by_number(current_shop().read(), number)
    sha256, _ = sent_drawing()
    return go(url_for("revisions.compare", number=job.number, sha256=sha256))


@pages.get("/jobs/<number>/drawing/<sha256>")
def compare(number: str, sha256: str) -> Response:
    """The new drawing over the old one, and what it costs. The query holds what was chosen and answered."""
    current_actor().must_hold(OPERATOR)
    asked = _asked(request.args)
    made = _plan(current_shop(), number, sha256, asked)
    found = (
        *made.proposed.preflight,
        *made.proposed.warnings,
    )  # may be slow: before the moment of the page begins
    with snapshot() as db:
        view = revision_pages.page_of(db, made, asked, found)
        if wants_fragment():
            return fragment("jobs/revisions/_compare.html", view)
        return show(
            "jobs/revisions/compare.html",
            view,
            title=f"New drawing for {view.job.number}",
            here="Jobs",
        )


@pages.post("/jobs/<number>/drawing/<sha256>/unit")
def unit(number: str, sha256: str) -> Response:
    """A drawing that names no unit is read once more in the one that somebody named."""
    current_actor().must_hold(OPERATOR)
    query = _asked(request.form).as_query() | {"unit": read_in_another_unit(sha256)}
    return go(url_for("revisions.compare", number=number, sha256=sha256, **query))


@pages.post("/jobs/<number>/drawing/<sha256>")
def confirm(number: str, sha256: str) -> Response:
    """Changes the job, in the background. The same form sent twice changes it once."""
    shop, by, key, asked = current_shop(), current_actor(), form_key(), _asked(request.form)
    by.must_hold(OPERATOR)
    job = jobs.job_by_number(shop.read(), number)
    seconds = current_settings().nest_seconds
    open_question = questions.still_open(
        drawings.kept_proposal(shop, sha256, asked.answers), current_settings().units
    )
    if open_question:
        raise Refused(open_question)
    if "glued" not in request.form and _is_glued(_plan(shop, number, sha256, asked), asked):
        raise Refused(
            "Say first what becomes of the glued pieces that must come off: spoiled, or whole."
        )

    def work(progress):
        made = _plan(shop, job.number, sha256, asked)
        return actions.change(
            Caller(shop, by, key), made, asked.choices, seconds=seconds, progress=progress
        )

    again = url_for("revisions.compare", number=job.number, sha256=sha256, **asked.as_query())
    run = runs().begin(f"Changing {job.number}", work, by=by, after=again, key=key)
    return go(url_for("revisions.under_way", run=run.id))


@pages.get("/changing/<run>")
def under_way(run: str) -> Response:
    """The bar of a change; when it has ended, on to the job."""
    words = "The planned sheets of the job are nested anew. You may leave this page: the job will be in Jobs."
    return bar(
        run,
        "revisions.under_way",
        here="Jobs",
        home=url_for("jobs.jobs"),
        words=words,
        back_words="Back to the new drawing",
        ended=to_the_job,
    )


def _is_glued(made: revision_plan.Plan, asked: Asked) -> bool:
    """True where pieces that are glued must come off."""
    with snapshot() as db:
        return revision_plan.costs(db, made, asked.choices).glued > 0


def _asked(values) -> Asked:
    """What was chosen and answered: spares are used unless somebody says no, what is glued is spoiled unless somebody says it
    comes off whole."""
    choices = Choices(values.get("spares", "yes") != "no", values.get("glued") == "whole")
    stocks = {
        name.removeprefix("stock-"): value
        for name, value in values.items()
        if name.startswith("stock-") and value
    }
    named = values.get("unit", "")
    glued = values.get("glued", "")
    return Asked(
        choices,
        written.answers_of(values),
        stocks,
        named if named in questions.UNITS else "",
        glued if glued in ("whole", "spoiled") else "",
    )


def _plan(shop: Shop, number: str, sha256: str, asked: Asked) -> revision_plan.Plan:
    proposed = drawings.kept_proposal(shop, sha256, asked.answers)
    wanted = {one.colour for one in proposed.colours}
    with shop.database.snapshot() as db:
        job = jobs.job_by_number(db, number)
        stocks = {one.colour: one.stock.id for one in proposed.colours if one.stock}
        stocks |= {
            colour: id for colour, id in store.stocks_of(db, job.id).items() if colour in wanted
        }
        chosen = {f"#{name}": whole(value) for name, value in asked.stocks.items()}
        stocks |= {
            colour: stock.stock(db, id).id
            for colour, id in chosen.items()
            if id is not None and colour in wanted
        }
    return revision_plan.plan(shop, job.number, drawings.cut_from(shop, proposed, stocks), stocks)
