"""A new drawing for a job under way: uploaded, compared with the old one and its costs, and confirmed.

Owns the requests; `comparison` puts the page of the comparison together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Blueprint, Response, request, url_for

from ...actions import drawings, revision_plan
from ...actions import revisions as actions
from ...actions.revision_plan import Choices
from ...actions.unit_of_work import Answer, Caller, Shop
from ...domain.errors import Refused
from ...store import jobs, stock
from ...store import revisions as store
from ...wording import revisions as wording
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
from . import comparison, questions
from .comparison import Asked
from .intake import OPERATOR, read_in_another_unit, sent_drawing, to_the_job

pages = Blueprint("revisions", __name__)


@pages.get("/jobs/<number>/drawing")
def new(number: str) -> Response:
    """Show the form to upload a new drawing."""
    current_actor().must_hold(OPERATOR)
    with snapshot() as db:
        job = jobs.job_by_number(db, number)
        view = {"job": job, "signs": len(jobs.signs_of_job(db, job.id))}
        title = wording.new_drawing_for(job.number)
        return show("jobs/revisions/new.html", view, title=title, here="Jobs")


@pages.post("/jobs/<number>/drawing")
def upload(number: str) -> Response:
    """Read the new drawing and go on to the comparison. A refused one is not kept."""
    current_actor().must_hold(OPERATOR)
    job = jobs.job_by_number(current_shop().read(), number)
    sha256, _ = sent_drawing()
    return go(url_for("revisions.compare", number=job.number, sha256=sha256))


@pages.get("/jobs/<number>/drawing/<sha256>")
def compare(number: str, sha256: str) -> Response:
    """Show the new drawing over the old one, and what it costs. The query has the choices and answers."""
    current_actor().must_hold(OPERATOR)
    asked = _asked(request.args)
    plan = _plan(current_shop(), number, sha256, asked)
    # may be slow: before the snapshot begins
    findings = (*plan.proposed.preflight, *plan.proposed.warnings)
    with snapshot() as db:
        view = comparison.page_of(db, plan, asked, findings)
        if wants_fragment():
            return fragment("jobs/revisions/_compare.html", view)
        title = wording.new_drawing_for(plan.job.number)
        return show("jobs/revisions/compare.html", view, title=title, here="Jobs")


@pages.post("/jobs/<number>/drawing/<sha256>/unit")
def unit(number: str, sha256: str) -> Response:
    """Read a drawing again, in the unit that somebody named."""
    current_actor().must_hold(OPERATOR)
    unit = read_in_another_unit(sha256)
    return go(_comparison_path(number, sha256, _asked(request.form), unit=unit))


def _comparison_path(number: str, sha256: str, asked: Asked, **more: str) -> str:
    """Return the path of a comparison with all choices and answers."""
    query: dict[str, Any] = {**asked.as_query(), **more}
    return url_for("revisions.compare", **{**query, "number": number, "sha256": sha256})


@pages.post("/jobs/<number>/drawing/<sha256>")
def confirm(number: str, sha256: str) -> Response:
    """Change the job, in the background. The same form sent twice changes it once."""
    shop, by, key, asked = current_shop(), current_actor(), form_key(), _asked(request.form)
    by.must_hold(OPERATOR)
    job = jobs.job_by_number(shop.read(), number)
    seconds = current_settings().nest_seconds
    if open_question := questions.still_open(drawings.kept_proposal(shop, sha256, asked.answers)):
        raise Refused(open_question)
    if "glued" not in request.form and _is_glued(_plan(shop, number, sha256, asked), asked):
        raise Refused(wording.say_about_glued_pieces())

    def work(progress: Callable[[float], None]) -> Answer:
        plan = _plan(shop, job.number, sha256, asked)
        return actions.change(
            Caller(shop, by, key), plan, asked.choices, seconds=seconds, progress=progress
        )

    again = _comparison_path(job.number, sha256, asked)
    run = runs().begin(wording.changing(job.number), work, by=by, after=again, key=key)
    return go(url_for("revisions.under_way", run=run.id))


@pages.get("/changing/<run>")
def under_way(run: str) -> Response:
    """Show the progress of a change; when it has ended, go on to the job."""
    return bar(
        run,
        "revisions.under_way",
        here="Jobs",
        home=url_for("jobs.jobs"),
        words=wording.nesting_the_change(),
        back_words=wording.back_to_the_new_drawing(),
        ended=to_the_job,
    )


def _is_glued(plan: revision_plan.Plan, asked: Asked) -> bool:
    """Whether glued pieces must come off."""
    with snapshot() as db:
        return revision_plan.costs(db, plan, asked.choices).glued > 0


def _asked(values: Mapping[str, str]) -> Asked:
    """Return the choices and answers in a form or a query: by default spares are used, and glued pieces are spoiled."""
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
    wanted = {colour.colour for colour in proposed.colours}
    with shop.database.snapshot() as db:
        job = jobs.job_by_number(db, number)
        stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
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
