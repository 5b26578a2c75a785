"""Jobs: the open ones by due date, the closed ones to look up, and one job with its signs, parts and sheets.

A new job starts in `intake`; the work on a sign is in `web/bench`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, request, url_for

from ...actions import jobs as actions
from ...actions import signs as sign_acts
from ...actions.unit_of_work import Answer
from ...domain.bench import steps as rules
from ...domain.bench.headline import HELD, Headline, headline
from ...domain.errors import NotFound, Refused
from ...store import bench, sheets, stock
from ...store import jobs as store
from ...store.db import Connection, Row
from ...store.jobs import Job, JobRow, Part
from ...wording import drawings as drawing_wording
from ...wording import headline as headline_wording
from ...wording import jobs as wording
from ...wording import pieces as piece_wording
from ...wording import sheets as sheet_wording
from ...wording.message import Message, joined, of_dict
from ..background import runs
from ..page import (
    Notice,
    current_settings,
    do,
    done,
    fragment,
    holds,
    local_now,
    reader,
    show,
    snapshot,
    wants_fragment,
)
from ..pictures import sign_pictures
from ..pictures.svg import SignPicture
from .floor import together

SMALL, LARGE, ALONE = (210, 92), (560, 230), (1150, 290)  # room for a sign, px
SIGNS_A_PAGE = 12
LATELY = 8  # acts: new labels of a change this recent are at the head of the page, of older ones at its foot
STATES: Mapping[str, Callable[..., Answer]] = {
    "hold": sign_acts.hold,
    "resume": sign_acts.resume,
    "cancel": sign_acts.cancel,
    "reopen": sign_acts.reopen,
}
LIVE = ("open", "on hold", "packed")

pages = Blueprint("jobs", __name__)


@dataclass(frozen=True)
class JobLine:
    """An open job in the list: its progress, and a picture of its first sign."""

    row: JobRow
    in_hand: Message
    is_late: bool
    will_be_late: bool
    headline: Headline
    more: Message | None
    picture: SignPicture | None


@dataclass(frozen=True)
class SignView:
    """A sign on its job's page. `parts` is None where they are not asked for."""

    sign: rules.Sign
    levels: int
    headline: Headline
    picture: SignPicture
    parts: list[dict[str, object]] | None


@dataclass(frozen=True)
class Done:
    """An act at the foot of a job's page. `relabel` is the number of pieces that it reassigned: they need new labels."""

    row: Row
    message: Message
    relabel: int


@pages.get("/jobs")
def jobs() -> Response:
    """Show the open jobs; with `?q=` the closed ones whose number or customer contains it."""
    asked = request.args.get("q", "")[:80]
    with snapshot() as db:
        closed = store.closed_jobs(db, asked)
        view: dict[str, object] = {"closed": closed, "asked": asked}
        if wants_fragment():
            return fragment("jobs/_closed.html", view)
        view["open"] = _lines(db, local_now())
        return show("jobs/jobs.html", view, title=wording.jobs(), here="Jobs")


def _lines(db: Connection, now: datetime) -> list[JobLine]:
    signs: dict[str, list[rules.Sign]] = {}
    for sign in bench.benches(db):
        signs.setdefault(sign.job, []).append(sign)
    to_trim = bench.to_trim(db)
    rows = store.open_jobs(db)
    return [
        _line(db, row, signs.get(row.job.number, []), to_trim.get(row.job.id, 0), now)
        for row in rows
    ]


def _line(
    db: Connection, row: JobRow, signs: list[rules.Sign], to_trim: int, now: datetime
) -> JobLine:
    lines = [(sign.mark, headline(sign, now)) for sign in signs]
    nothing_open = Headline(HELD, "done", headline_wording.nothing_open())
    gone = row.signs - len(signs)
    more = wording.closed_signs(gone, row.signs) if gone else None
    picture = sign_pictures.picture_of(db, signs[0], SMALL, has_sizes=False) if signs else None
    return JobLine(
        row=row,
        in_hand=_in_hand(row, to_trim),
        is_late=_is_late(row.job, now),
        will_be_late=_will_be_late(db, signs, now),
        headline=together(lines) if lines else nothing_open,
        more=more,
        picture=picture,
    )


def _in_hand(row: JobRow, to_trim: int) -> Message:
    """'13 of 14 pieces in hand, 1 to trim': a piece that is cut with its tabs on is not in hand yet."""
    count, pieces = row.in_hand - to_trim, wording.pieces(row.parts)
    if to_trim:
        return wording.in_hand_and_to_trim(count, pieces, to_trim)
    return wording.in_hand(count, pieces)


def _will_be_late(db: Connection, signs: Sequence[rules.Sign], now: datetime) -> bool:
    hours, zone = bench.shortest_cure(db), ZoneInfo(current_settings().zone)
    return any(rules.will_be_late(sign, now, zone, hours) for sign in signs)


def _is_late(job: Job, now: datetime) -> bool:
    return job.state == "open" and job.due < f"{now:%Y-%m-%d}"


@pages.get("/jobs/<number>")
def job(number: str) -> Response:
    """Show one job. `?parts=A` shows the parts of that sign, `?start=12` the signs from the thirteenth on."""
    with snapshot() as db:
        known, now = store.job_by_number(db, number), local_now()
        view, title = _page(db, known, now), f"{known.number} {known.title}"
        notice = _taken_in(_is_late(known, now))
        return show("jobs/job.html", view, title=title, here="Jobs", notice=notice)


def _taken_in(is_late: bool) -> Notice | None:
    """Return the answer of the intake that led here: more than its act in the ledger, and too much for Undo by a tap."""
    try:
        answer = runs().run(request.args["run"]).answer if "run" in request.args else None
    except NotFound:  # the server was restarted since
        return None
    past = wording.due_day_is_past() if is_late else None
    return Notice(joined([answer.message, past])) if answer else None


def _page(db: Connection, job: Job, now: datetime) -> dict[str, object]:
    """One job. `start` and `until` are the places of the signs shown, of `row.signs`; `relabel` is a recent act that gave
    pieces another place; `is_fresh`: it was taken in or changed just now; `to_cut` is its first planned sheet."""
    row = store.job_row(db, job.id)
    start = request.args.get("start", 0, type=int)
    if not 0 <= start < row.signs:
        start = 0
    signs = store.signs_of_job(db, job.id)[start : start + SIGNS_A_PAGE]
    asked = request.args.get("parts", signs[0].mark if row.signs == 1 else "")
    box = ALONE if row.signs == 1 else LARGE
    materials = {known.id: known.called for known in stock.all_stocks(db)}
    views = [_sign(db, sign, asked, materials, now, box) for sign in signs]
    rows = sheets.rows_of_job(db, job.id)
    acts = [_done(act, job) for act in store.acts_on_job(db, job.id)]
    return {
        "job": job,
        "row": row,
        "in_hand": _in_hand(row, bench.to_trim(db).get(job.id, 0)),
        "is_late": _is_late(job, now),
        "will_be_late": _will_be_late(db, [view.sign for view in views], now),
        "signs": views,
        "start": start,
        "until": start + len(signs),
        "sheets": [
            (sheet, materials[sheet.stock], sheet_wording.state(sheet.state)) for sheet in rows
        ],
        "is_fresh": "run" in request.args,
        "to_cut": next(
            (sheet for sheet in rows if sheet.state == "planned" and holds("operator")), None
        ),
        "acts": acts,
        "relabel": next((act for act in acts[:LATELY] if act.relabel), None),
        "asked": asked,
    }


def _sign(
    db: Connection,
    sign: store.Sign,
    asked: str,
    materials: Mapping[int, str],
    now: datetime,
    box: tuple[int, int],
) -> SignView:
    on_bench = bench.sign_of(db, sign.id)
    lines = None
    if sign.mark == asked:
        lines = [
            {
                "part": part,
                "size": drawing_wording.size(part.width_mm, part.height_mm),
                "state": _state(part),
                "material": materials[part.stock],
            }
            for part in store.parts_of(db, sign.id)
        ]
    height = reader().show("length", sign.height_mm)
    picture = replace(sign_pictures.picture_of(db, on_bench, box), height_text=height)
    return SignView(on_bench, sign.levels, headline(on_bench, now), picture, lines)


def _state(part: Part) -> Message:
    if part.state is None:
        return wording.no_piece()
    state = piece_wording.state(part.state)
    if part.attempt and part.attempt > 1:
        return wording.recut_in_state(state, part.attempt - 1)
    return state


def _done(row: Row, job: Job) -> Done:
    answer, is_undone = json.loads(row["answer"]), row["undone_by"] is not None
    is_of_job = answer["data"].get("job") == job.number
    relabel = len(answer["data"].get("relabel", ())) if is_of_job and not is_undone else 0
    return Done(row, of_dict(answer), relabel)


@pages.post("/jobs/<number>")
def change(number: str) -> Response:
    """Change a job's customer, title or due date."""
    customer, title, due = (request.form.get(name, "") for name in ("customer", "title", "due"))
    answer = do(actions.change_job, number, customer, title, due)
    return done(answer, url_for("jobs.job", number=number))


@pages.post("/jobs/<number>/<mark>")
def change_sign(number: str, mark: str) -> Response:
    """Hold, resume, cancel or reopen one of a job's signs."""
    to = request.form.get("to", "")
    if to not in STATES:
        raise Refused(wording.choose_what_to_do())
    with snapshot() as db:
        sign = store.sign_by_name(db, store.job_by_number(db, number).number, mark)
    reason = [] if to == "resume" else [request.form.get("reason", "")]
    return done(do(STATES[to], sign.id, *reason), url_for("jobs.job", number=number))
