"""The Bench: which signs can be worked on, and one sign with its steps and the next thing to do.

What the pages show is put together in `bench_pages`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from flask import Blueprint, request, url_for
from flask.typing import ResponseReturnValue

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
from ...wording.message import Message
from ..page import (
    NOT_OURS,
    Notice,
    current_actor,
    do,
    done,
    fragment,
    local_now,
    notice_of,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
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
def bench() -> ResponseReturnValue:
    """Show all signs, those that can be worked on first."""
    with snapshot() as db:
        view = bench_pages.all_signs(db, version(db), local_now())
        return show("bench/bench.html", view, title=str(wording.title()), here="Bench")


@pages.get("/bench/now")
def now() -> ResponseReturnValue:
    """Show the same list again, where something changed."""
    with snapshot() as db:
        token = version(db)
        if unchanged(token):
            return "", 204
        return fragment("bench/_signs.html", bench_pages.all_signs(db, token, local_now()))


@pages.get("/bench/<code>")
def sign(code: str) -> ResponseReturnValue:
    """Show one sign; `?step=` looks at another of its steps than the next."""
    with snapshot() as db:
        view = _sign_page(db, code)
        return show("bench/sign.html", view, title=view.sign.called, here="Bench")


@pages.get("/bench/<code>/now")
def sign_now(code: str) -> ResponseReturnValue:
    """Show the sign again, after Undo, at the end of a cure, or where somebody else changed it."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("bench/_bench.html", _sign_page(db, code))


@pages.post("/bench/<code>/set-out")
def set_out(code: str) -> ResponseReturnValue:
    """Keep that a part is in position (`part`), is not after all (`up`), or all that were shown are (`rest`)."""
    step = _whole("step")
    if request.form.get("rest"):
        return _answer(code, do(acts.set_out_rest, step, _wholes("shown")))
    if request.form.get("up"):
        return _answer(code, do(acts.take_up, step, _whole("up")))
    return _answer(code, do(acts.set_out, step, _whole("part")))


@pages.post("/bench/<code>/glue")
def glue(code: str) -> ResponseReturnValue:
    """Keep one glue-up, over this sign's level and any others that were chosen."""
    form = request.form
    answer = do(
        gluing_acts.glue_up,
        _wholes("step"),
        _whole("cement", gluing_wording.choose_a_cement()),
        form.get("batch", "").strip() or form.get("known_batch", ""),
        celsius(form.get("temperature", "")),
        read_number(form.get("humidity", "").strip(), climate_wording.humidity(), 0, 100, unit="%"),
        glued_at(form.get("glued_at", ""), local_now()),
        # the panel shows each part: none chosen is none, not all
        parts=_wholes("part") or ([] if "gluing" in form else None),
        reason=form.get("reason", ""),
    )
    return _answer(code, answer)


@pages.post("/bench/<code>/begin")
def begin(code: str) -> ResponseReturnValue:
    """Start the cement's open time."""
    cement = _whole("cement", gluing_wording.choose_a_cement())
    return _answer(code, do(gluing_acts.begin_gluing, _wholes("step"), cement))


@pages.post("/bench/<code>/spoilt")
def spoilt(code: str) -> ResponseReturnValue:
    """Mark a piece that something happened to; its recut is queued, and the page says what must be done again."""
    piece, cause = codes.parse(request.form.get("piece", "")), request.form.get("cause") or None
    return _answer(code, do(piece_acts.mark, [piece], request.form.get("mark", ""), cause))


@pages.post("/bench/<code>/open")
def open_early(code: str) -> ResponseReturnValue:
    """Open a cure before its end."""
    return _answer(code, do(gluing_acts.open_early, _whole("step"), request.form.get("reason", "")))


@pages.post("/bench/<code>/done")
def finish(code: str) -> ResponseReturnValue:
    """Finish a step."""
    return _answer(
        code,
        do(
            acts.finish_step,
            _whole("step"),
            request.form.getlist("shown"),
            request.form.get("to_name", ""),
        ),
    )


@pages.post("/bench/<code>/add")
def add_step(code: str) -> ResponseReturnValue:
    """Add a step of the shop's own."""
    after = _whole("after") if request.form.get("after") else None
    return _answer(code, do(acts.add_step, _id_of(code), request.form.get("title", ""), after))


@pages.post("/bench/<code>/state")
def change_state(code: str) -> ResponseReturnValue:
    """Hold, resume, cancel or reopen the sign."""
    to = request.form.get("to", "")
    if to not in STATES:
        raise Refused(sign_wording.choose_what_to_do())
    reason = [] if to == "resume" else [request.form.get("reason", "")]
    return _answer(code, do(STATES[to], _id_of(code), *reason))


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


def _answer(code: str, answer: Answer) -> ResponseReturnValue:
    """Show the sign again with what was done; without htmx the whole page."""
    if not wants_fragment():
        return done(answer, url_for("bench.sign", code=code))
    with snapshot() as db:
        return fragment("bench/_bench.html", _sign_page(db, code, notice_of(db, answer)))


def _sign_page(db: Connection, code: str, notice: Notice | None = None) -> bench_pages.SignPage:
    stored = jobs.sign_by_code(db, codes.parse(code))
    asked = Asked(whole(request.args.get("step", "")), whole(request.args.get("spoilt", "")))
    return bench_pages.one_sign(
        db, stored, current_actor(), local_now(), version(db), asked, notice
    )


def _id_of(code: str) -> int:
    with snapshot() as db:
        return jobs.sign_by_code(db, codes.parse(code)).id


def _whole(name: str, refusal: Message | str = NOT_OURS) -> int:
    number = whole(request.form.get(name, ""))
    if number is None:
        raise Refused(refusal)
    return number


def _wholes(name: str) -> list[int]:
    numbers = [number for number in map(whole, request.form.getlist(name)) if number is not None]
    if len(numbers) < len(request.form.getlist(name)):
        raise Refused(NOT_OURS)
    return numbers
