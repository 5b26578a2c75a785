"""The Bench: which signs can be worked on, and one sign with its steps and the next thing to do.

What the pages show is put together in `bench_pages`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from flask import Blueprint, Response, request, url_for

from ...actions import bench as acts
from ...actions import gluing as gluing_acts
from ...actions import pieces as piece_acts
from ...actions import signs as sign_acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.bench.climate import celsius
from ...domain.errors import Refused
from ...domain.fields import read_number
from ...store import jobs
from ...store.db import Connection
from ...wording import bench as wording
from ...wording import climate as climate_wording
from ...wording import gluing as gluing_wording
from ...wording import signs as sign_wording
from ..page import (
    NOT_OURS,
    answered,
    current_actor,
    current_shop,
    do,
    form_number,
    local_now,
    refreshed,
    show,
    snapshot,
    whole,
)
from . import bench_pages
from .bench_pages import Asked

pages = Blueprint("bench", __name__)

STATES: dict[str, Callable[..., Answer]] = {
    "hold": sign_acts.hold,
    "resume": sign_acts.resume,
    "cancel": sign_acts.cancel,
    "reopen": sign_acts.reopen,
}


@pages.get("/bench")
def bench() -> Response:
    """Show all signs, those that can be worked on first."""
    with snapshot() as db:
        view = bench_pages.all_signs(db, local_now())
        return show("bench/bench.html", view, title=wording.title(), here="Bench")


@pages.get("/bench/now")
def now() -> Response:
    """Show the same list again, where something changed."""
    return refreshed("bench/_signs.html", lambda db: bench_pages.all_signs(db, local_now()))


@pages.get("/bench/<code>")
def sign(code: str) -> Response:
    """Show one sign; `?step=` looks at another of its steps than the next."""
    with snapshot() as db:
        view = sign_page(db, code)
        return show("bench/sign.html", view, title=view["sign"].called, here="Bench")


@pages.get("/bench/<code>/now")
def sign_now(code: str) -> Response:
    """Show the sign again, after Undo, at the end of a cure, or where somebody else changed it."""
    return refreshed("bench/_bench.html", lambda db: sign_page(db, code))


@pages.post("/bench/<code>/set-out")
def set_out(code: str) -> Response:
    """Keep that a part is in position (`part`), is not after all (`up`), or all that were shown are (`rest`)."""
    step = form_number("step")
    if request.form.get("rest"):
        return answer_at_sign(code, do(acts.set_out_rest, step, _numbers("shown")))
    if request.form.get("up"):
        return answer_at_sign(code, do(acts.take_up, step, form_number("up")))
    return answer_at_sign(code, do(acts.set_out, step, form_number("part")))


@pages.post("/bench/<code>/glue")
def glue(code: str) -> Response:
    """Keep one glue-up, over this sign's level and any others that were chosen."""
    form = request.form
    answer = do(
        gluing_acts.glue_up,
        _numbers("step"),
        form_number("cement", gluing_wording.choose_a_cement()),
        form.get("batch", "").strip() or form.get("known_batch", ""),
        celsius(form.get("temperature", "")),
        read_number(form.get("humidity", "").strip(), climate_wording.humidity(), 0, 100, unit="%"),
        glued_at(form.get("glued_at", ""), local_now()),
        # the panel shows each part: none chosen is none, not all
        parts=_numbers("part") or ([] if "gluing" in form else None),
        reason=form.get("reason", ""),
    )
    return answer_at_sign(code, answer)


@pages.post("/bench/<code>/begin")
def begin(code: str) -> Response:
    """Start the cement's open time."""
    cement = form_number("cement", gluing_wording.choose_a_cement())
    return answer_at_sign(code, do(gluing_acts.begin_gluing, _numbers("step"), cement))


@pages.post("/bench/<code>/spoilt")
def spoilt(code: str) -> Response:
    """Mark a piece that something happened to; its recut is queued, and the page says what must be done again."""
    piece, cause = codes.parse(request.form.get("piece", "")), request.form.get("cause") or None
    return answer_at_sign(code, do(piece_acts.mark, [piece], request.form.get("mark", ""), cause))


@pages.post("/bench/<code>/open")
def open_early(code: str) -> Response:
    """Open a cure before its end."""
    return answer_at_sign(
        code, do(gluing_acts.open_early, form_number("step"), request.form.get("reason", ""))
    )


@pages.post("/bench/<code>/done")
def finish(code: str) -> Response:
    """Finish a step."""
    shown, to_name = request.form.getlist("shown"), request.form.get("to_name", "")
    return answer_at_sign(code, do(acts.finish_step, form_number("step"), shown, to_name))


@pages.post("/bench/<code>/add")
def add_step(code: str) -> Response:
    """Add a step of the shop's own."""
    after = form_number("after") if request.form.get("after") else None
    return answer_at_sign(
        code, do(acts.add_step, id_of(code), request.form.get("title", ""), after)
    )


@pages.post("/bench/<code>/state")
def change_state(code: str) -> Response:
    """Hold, resume, cancel or reopen the sign."""
    to = request.form.get("to", "")
    if to not in STATES:
        raise Refused(sign_wording.choose_what_to_do())
    reason = [] if to == "resume" else [request.form.get("reason", "")]
    return answer_at_sign(code, do(STATES[to], id_of(code), *reason))


def glued_at(text: str, now: datetime) -> datetime | None:
    """Return when a clock last showed 'HH:MM', in the shop's zone; None (now) for nothing. Raises Refused."""
    if not text.strip():
        return None
    try:
        shown = datetime.strptime(text.strip(), "%H:%M")
    except ValueError as error:
        raise Refused(gluing_wording.not_a_time()) from error
    moment = now.replace(hour=shown.hour, minute=shown.minute, second=0, microsecond=0)
    return moment if moment <= now else moment - timedelta(days=1)


def answer_at_sign(code: str, answer: Answer) -> Response:
    """Show the sign again with what was done; without htmx the whole page."""
    to = url_for("bench.sign", code=code)
    return answered(answer, to, "bench/_bench.html", lambda db: sign_page(db, code))


def sign_page(db: Connection, code: str) -> dict[str, Any]:
    """Return a sign's page with the step and the damage report that were asked for."""
    stored = jobs.sign_by_code(db, codes.parse(code))
    asked = Asked(whole(request.args.get("step", "")), whole(request.args.get("spoilt", "")))
    return bench_pages.one_sign(db, stored, current_actor(), local_now(), asked)


def id_of(code: str) -> int:
    """Return the id of the sign with a code. Raises NotFound."""
    return jobs.sign_by_code(current_shop().read(), codes.parse(code)).id


def _numbers(name: str) -> list[int]:
    numbers = [number for number in map(whole, request.form.getlist(name)) if number is not None]
    if len(numbers) < len(request.form.getlist(name)):
        raise Refused(NOT_OURS)
    return numbers
