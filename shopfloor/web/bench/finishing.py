"""Finishing a sign: its check list, its photos, its record, and the shop's check lists in Office.

Owns what the panels show and how they are asked for; `bench_pages` puts them on a sign's page.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, Response, make_response, request, url_for

from ...actions import finishing as acts
from ...actions import records
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.bench import finishing as rules
from ...domain.bench import steps as step_rules
from ...domain.bench.steps import Sign, Step
from ...domain.errors import NotFound, Refused
from ...domain.people import Actor
from ...store import bench, jobs
from ...store import finishing as store
from ...store.db import Connection
from ...wording import finishing as wording
from ...wording.message import Message
from .. import paper_size
from ..page import (
    answered,
    current_actor,
    current_caller,
    do,
    done,
    file,
    form_number,
    local_now,
    reader,
    show,
    snapshot,
)

pages = Blueprint("finishing", __name__)


@dataclass(frozen=True)
class Item:
    """An item of the list, ticked or not; `note` says who ticked it, and when."""

    words: str
    is_right: bool
    note: Message | str


@dataclass(frozen=True)
class Photo:
    """A photo; `path` is '' where its file is missing."""

    photo: store.Photo
    path: str
    taken: Message
    can_take_off: bool


# What the panels show. ------------------------------------------------------------------------------------------------


def finish_panel(
    db: Connection, sign: Sign, step: Step | None, by: Actor, now: datetime
) -> dict[str, object]:
    """Return finishing on a sign's page: the list of the `step` that is looked at, and the photos of the sign.

    `step` is None and `listed` are empty where that step has no list. `ticked` are the items of a step that is done, in
    their wording at the time; `left` counts those that are not ticked. `handed` says who received the sign, None if nobody
    has. `now` is in the shop's zone.
    """
    kind = step.kind if step else ""
    photos = store.photos_of(db, sign.id)
    items, ticked = _items(db, step, now)
    return {
        "code": sign.code,
        "called": f"{sign.job} {sign.mark}",
        "step": step.id if step else None,
        "kind": kind,
        "listed": items,
        "left": sum(not item.is_right for item in items),
        "ticked": ticked,
        "caution": wording.caution_of(kind),
        "done_words": wording.done_button(kind, step.called if step else ""),
        "asks_name": kind == "hand over",
        "handed": _handed(db, sign),
        "photos": [_photo(photo, by) for photo in photos],
        "can_photograph": len(photos) < rules.MOST_PHOTOS,
    }


def _items(db: Connection, step: Step | None, now: datetime) -> tuple[list[Item], list[Item]]:
    """(the list of a step that is not done, what was ticked in one that is)"""
    if step is None or step.kind not in rules.KINDS:
        return [], []
    ticks = {tick.item: tick for tick in store.ticks_of(db, step.id)}
    listed = store.check_list(db, step.kind).items
    if step_rules.is_done(step, now):
        done = rules.as_listed(ticks, listed)
        return [], [Item(item, True, _by(ticks[item])) for item in done]
    items = []
    for item in listed:
        tick = rules.ticked_as(item, ticks)
        items.append(Item(tick, True, _by(ticks[tick])) if tick else Item(item, False, ""))
    return items, []


def _by(kept: store.Tick | store.Photo | store.HandingOver) -> Message:
    return wording.by_whom(kept.at, kept.by_name)


def _handed(db: Connection, sign: Sign) -> Message | None:
    handed = store.handing_over_of(db, sign.id)
    if handed is None:
        return None
    is_reopened = sign.state != "handed over"
    return wording.handed_over(handed.to_name, _by(handed), is_reopened=is_reopened)


def _photo(photo: store.Photo, by: Actor) -> Photo:
    path = url_for("finishing.photo", sha256=photo.sha256) if photo.is_here else ""
    can_remove = photo.person == by.person or by.holds("owner")
    return Photo(photo, path, _by(photo), can_remove)


# The check list of a step. --------------------------------------------------------------------------------------------


@pages.post("/bench/<code>/check")
def check(code: str) -> Response:
    """Tick one item (`item`), or take its tick back (`back`)."""
    step = form_number("step")
    if back := request.form.get("back"):
        return _answer(code, do(acts.take_back, step, back), "_checks", step)
    return _answer(code, do(acts.check_off, step, request.form.get("item", "")), "_checks", step)


def _answer(code: str, answer: Answer, panel: str, step: int | None = None) -> Response:
    """Return the panel with the answer to what was done; without htmx the sign's page, which shows it."""

    def view_of(db: Connection) -> dict[str, object]:
        sign = bench.sign_of(db, jobs.sign_by_code(db, codes.parse(code)).id)
        looked_at = next((own for own in sign.steps if own.id == step), None)
        return {"finish": finish_panel(db, sign, looked_at, current_actor(), local_now())}

    to = url_for("bench.sign", code=code, step=step)
    return answered(answer, to, f"bench/finishing/{panel}.html", view_of)


# Photos. --------------------------------------------------------------------------------------------------------------


@pages.post("/bench/<code>/photos")
def keep_photo(code: str) -> Response:
    """Add a photo from the tablet's camera, or from a file."""
    with snapshot() as db:
        sign = jobs.sign_by_code(db, codes.parse(code)).id
    sent = next((each for each in request.files.getlist("photo") if each.filename), None)
    if sent is None:
        raise Refused(wording.choose_a_photo())
    note = request.form.get("note", "")
    answer = acts.take_photo(current_caller(), sign, sent.read(), note)
    return _answer(code, answer, "_photos")


@pages.post("/bench/<code>/photos/<int:photo>/off")
def take_off(code: str, photo: int) -> Response:
    """Remove a photo from its sign."""
    return _answer(code, do(acts.take_off_photo, photo), "_photos")


@pages.get("/photos/<sha256>.jpg")
def photo(sha256: str) -> Response:
    """Send a photo's file; it never changes, so a tablet need not ask again for a day."""
    if not re.fullmatch("[0-9a-f]{64}", sha256):
        raise NotFound(wording.no_such_photo())
    with snapshot() as db:
        response = make_response(store.photo_file(db, sha256))
    response.headers.update(
        {
            "Content-Type": "image/jpeg",
            "Content-Disposition": "inline",
            "Cache-Control": "private, max-age=86400, immutable",
        }
    )
    return response


# The record. ----------------------------------------------------------------------------------------------------------


@pages.get("/bench/<code>/record.pdf")
def record(code: str) -> Response:
    """Send the sign's record, one page; the paper size is remembered, as for setup sheets."""
    paper = paper_size.chosen(records.PAPERS)
    with snapshot() as db:
        made = records.record_of(db, codes.parse(code), local_now())
    pdf, name = records.printed(made, paper, reader()), f"{made.job}-{made.mark}-record.pdf"
    return paper_size.remember(file(pdf, "application/pdf", name), paper)


# The shop's check lists. ----------------------------------------------------------------------------------------------


@pages.get("/office/check-lists")
def check_lists() -> Response:
    """Show the list of each kind of step, for an owner to change."""
    current_actor().must_hold(("owner",))
    with snapshot() as db:
        lists = [(listed, wording.kind_name(listed.kind)) for listed in store.check_lists(db)]
        view, title = {"lists": lists, "most": rules.MOST_ITEMS}, wording.check_lists()
        return show("bench/finishing/check_lists.html", view, title=title, here="Office")


@pages.post("/office/check-lists")
def change_check_list() -> Response:
    """Change a list to what was written, or back to the usual one (`usual`)."""
    items = None if request.form.get("usual") else request.form.get("items", "").splitlines()
    answer = do(acts.change_check_list, request.form.get("kind", ""), items)
    return done(answer, url_for("finishing.check_lists"))
