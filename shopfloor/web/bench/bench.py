"""The Bench: which signs can be worked on, and one sign with its steps and the next thing to do.

Owns how these pages are asked for and answered; what they show is put together in `bench_pages`.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from flask import Blueprint, Response, request, url_for

from ...actions import bench as acts
from ...actions import gluing as gluing_acts
from ...actions import pieces as piece_acts
from ...actions import signs as sign_acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.bench.climate import celsius
from ...domain.errors import Refused
from ...domain.settings import number
from ...store import jobs
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

STATES = {
    "hold": sign_acts.hold,
    "resume": sign_acts.resume,
    "cancel": sign_acts.cancel,
    "reopen": sign_acts.reopen,
}


@pages.get("/bench")
def bench() -> Response:
    """All signs, those that can be worked on first."""
    with snapshot() as db:
        view = bench_pages.all_signs(db, version(db), local_now())
        return show("bench/bench.html", view, title="Bench", here="Bench")


@pages.get("/bench/now")
def now() -> Response | tuple[str, int]:
    """The same list for a page that refreshes itself; nothing where nothing changed."""
    with snapshot() as db:
        token = version(db)
        if unchanged(token):
            return "", 204
        return fragment("bench/_signs.html", bench_pages.all_signs(db, token, local_now()))


@pages.get("/bench/<code>")
def sign(code: str) -> Response:
    """One sign; `?step=` looks at another of its steps than the next."""
    with snapshot() as db:
        view = _sign_page(db, code)
        return show("bench/sign.html", view, title=view.called, here="Bench")


@pages.get("/bench/<code>/now")
def sign_now(code: str) -> Response | tuple[str, int]:
    """The sign again, after Undo, at the end of a cure, or where somebody else changed it."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("bench/_bench.html", _sign_page(db, code))


@pages.post("/bench/<code>/set-out")
def set_out(code: str) -> Response:
    """A part sits right (`part`), does not after all (`up`), or all that were shown do (`rest`)."""
    step = _whole("step")
    if request.form.get("rest"):
        return _answer(code, do(acts.set_out_rest, step, _wholes("shown")))
    if request.form.get("up"):
        return _answer(code, do(acts.take_up, step, _whole("up")))
    return _answer(code, do(acts.set_out, step, _whole("part")))


@pages.post("/bench/<code>/glue")
def glue(code: str) -> Response:
    """One glue-up, over this sign's level and any others that were chosen."""
    form = request.form
    answer = do(
        gluing_acts.glue_up,
        _wholes("step"),
        _whole("cement", "Choose the cement that was used."),
        form.get("batch", "").strip() or form.get("known_batch", ""),
        celsius(form.get("temperature", "")),
        number(form.get("humidity", ""), "The humidity, in %,", 0, 100),
        glued_at(form.get("glued_at", ""), local_now()),
        parts=_wholes("part")
        or ([] if "gluing" in form else None),  # the panel shows each part: none is none
        reason=form.get("reason", ""),
    )
    return _answer(code, answer)


@pages.post("/bench/<code>/begin")
def begin(code: str) -> Response:
    """The cement is out: its open time runs."""
    cement = _whole("cement", "Choose the cement that is used.")
    return _answer(code, do(gluing_acts.begin_gluing, _wholes("step"), cement))


@pages.post("/bench/<code>/spoilt")
def spoilt(code: str) -> Response:
    """Something happened to a piece: it is marked, its recut is queued, and the page says what is to do again."""
    piece, cause = codes.parse(request.form.get("piece", "")), request.form.get("cause") or None
    return _answer(code, do(piece_acts.mark, [piece], request.form.get("mark", ""), cause))


@pages.post("/bench/<code>/open")
def open_early(code: str) -> Response:
    """An owner opens a cure before its end."""
    return _answer(code, do(gluing_acts.open_early, _whole("step"), request.form.get("reason", "")))


@pages.post("/bench/<code>/done")
def finish(code: str) -> Response:
    """A step is finished."""
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
def add_step(code: str) -> Response:
    """An owner adds a step of the shop's own."""
    after = _whole("after") if request.form.get("after") else None
    return _answer(code, do(acts.add_step, _id_of(code), request.form.get("title", ""), after))


@pages.post("/bench/<code>/state")
def change_state(code: str) -> Response:
    """Holds, resumes, cancels or reopens the sign."""
    to = request.form.get("to", "")
    if to not in STATES:
        raise Refused("Choose what to do with the sign: load the page again.")
    reason = [] if to == "resume" else [request.form.get("reason", "")]
    return _answer(code, do(STATES[to], _id_of(code), *reason))


def glued_at(text: str, now: datetime) -> datetime | None:
    """The last time that a clock showed 'HH:MM', in the shop's zone; None (now) for nothing. Raises Refused."""
    if not text.strip():
        return None
    try:
        shown = datetime.strptime(text.strip(), "%H:%M")
    except ValueError as error:
        raise Refused(
            "Write the time as hours and minutes, such as 14:30, or leave it empty for now."
        ) from error
    moment = now.replace(hour=shown.hour, minute=shown.minute, second=0, microsecond=0)
    return moment if moment <= now else moment - timedelta(days=1)


def _answer(code: str, answer: Answer) -> Response:
    """The sign again with what was done; without htmx the page, which tells it."""
    if not wants_fragment():
        return done(answer, url_for("bench.sign", code=code))
    with snapshot() as db:
        return fragment("bench/_bench.html", _sign_page(db, code, notice_of(db, answer)))


def _sign_page(db, code: str, notice: Notice | None = None) -> bench_pages.SignPage:
    found = jobs.sign_by_code(db, codes.parse(code))
    asked = Asked(whole(request.args.get("step", "")), whole(request.args.get("spoilt", "")))
    return bench_pages.one_sign(db, found, current_actor(), local_now(), version(db), asked, notice)


def _id_of(code: str) -> int:
    with snapshot() as db:
        return jobs.sign_by_code(db, codes.parse(code)).id


def _whole(name: str, sentence: str = NOT_OURS) -> int:
    number = whole(request.form.get(name, ""))
    if number is None:
        raise Refused(sentence)
    return number


def _wholes(name: str) -> list[int]:
    numbers = [whole(text) for text in request.form.getlist(name)]
    if None in numbers:
        raise Refused(NOT_OURS)
    return numbers
