"""Finishing a sign: its check list, its photos, its record, and the shop's check lists in Office.

Owns what the panels show and how they are asked for; where they stand on a sign's page is the matter of `bench_pages`.
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
from ...domain.bench import bench as wording
from ...domain.bench import finishing as rules
from ...domain.bench import steps as step_rules
from ...domain.bench.steps import Sign, Step
from ...domain.errors import NotFound, Refused
from ...domain.people import Actor
from ...store import bench, jobs
from ...store import finishing as store
from ...store.db import Connection
from .. import paper_size
from ..page import (
    NOT_OURS,
    Notice,
    current_actor,
    current_caller,
    current_settings,
    do,
    done,
    fragment,
    local_now,
    notice_of,
    show,
    snapshot,
    wants_fragment,
    whole,
)

pages = Blueprint("finishing", __name__)


@dataclass(frozen=True)
class Item:
    """An item of the list; `note` says who found it right, and when."""

    words: str
    is_right: bool
    note: str


@dataclass(frozen=True)
class Shot:
    """A photo, in words; `path` is '' where its file is not here."""

    id: int
    path: str
    wide_px: int
    high_px: int
    note: str
    taken: str
    can_take_off: bool


@dataclass(frozen=True)
class FinishPanel:
    """What finishing has to say on a sign's page: the list of the step that is looked at, and the photos of the sign.

    `step` is None and `items` are empty where that step has no list. `ticked` is what was found right in a step that is
    done, in the words that stood there then. `handed` is a sentence, '' where nobody received the sign.
    """

    code: str
    called: str
    step: int | None
    kind: str
    items: list[Item]
    ticked: list[Item]
    caution: tuple[str, str] | None
    done_words: str
    asks_name: bool
    handed: str
    photos: list[Shot]
    can_photograph: bool
    can_work: bool

    @property
    def left(self) -> int:
        """How many items are not ticked."""
        return sum(not item.is_right for item in self.items)


@dataclass(frozen=True)
class PanelAnswer:
    """A panel alone, with what was done."""

    finish: FinishPanel
    notice: Notice


@dataclass(frozen=True)
class ListForm:
    """A check list as it is written in Office: one item a line."""

    kind: str
    text: str
    rows: int
    is_usual: bool


@dataclass(frozen=True)
class ListsPage:
    """All check lists."""

    lists: list[ListForm]
    most: int = rules.MOST_ITEMS


# What the panels show. ------------------------------------------------------------------------------------------------


def finish_panel(
    db: Connection, sign: Sign, step: Step | None, by: Actor, now: datetime
) -> FinishPanel:
    """The panel of a sign while `step` is looked at (None: no step is); `now` in the shop's zone."""
    kind = step.kind if step else ""
    ticks = {tick.item: tick for tick in store.ticks_of(db, step.id)} if kind in rules.KINDS else {}
    is_done = step is not None and step_rules.is_done(step, now)
    listed = () if is_done else store.check_list(db, kind).items
    items = [
        Item(words, words in ticks, _by(ticks[words], now) if words in ticks else "")
        for words in listed
    ]
    found = rules.as_listed(ticks, store.check_list(db, kind).items) if is_done else ()
    ticked = [Item(words, True, _by(ticks[words], now)) for words in found]
    photos = store.photos_of(db, sign.id)
    return FinishPanel(
        code=sign.code,
        called=f"{sign.job} {sign.mark}",
        step=step.id if step else None,
        kind=kind,
        items=items,
        ticked=ticked,
        caution=rules.CAUTIONS.get(kind),
        done_words=rules.DONE_WORDS.get(kind, f"Done: {step.title}" if step else ""),
        asks_name=kind == "hand over",
        handed=_handed(db, sign, now),
        photos=[_shot(one, by, now) for one in photos],
        can_photograph=len(photos) < rules.MOST_PHOTOS,
        can_work=by.holds("assembler"),
    )


def _by(one: store.Tick | store.Photo | store.HandingOver, now: datetime) -> str:
    return f"{wording.clock(datetime.fromisoformat(one.at), now, now.tzinfo)}, {one.by_name}"


def _handed(db: Connection, sign: Sign, now: datetime) -> str:
    handed = store.handing_over_of(db, sign.id)
    if handed is None:
        return ""
    since = "" if sign.state == "handed over" else "; reopened since"
    return f"Handed over to {handed.to_name}, {_by(handed, now)}{since}"


def _shot(one: store.Photo, by: Actor, now: datetime) -> Shot:
    path = url_for("finishing.photo", sha256=one.sha256) if one.is_here else ""
    can = one.person == by.person or by.holds("owner")
    return Shot(one.id, path, one.wide_px, one.high_px, one.note, _by(one, now), can)


# The check list of a step. --------------------------------------------------------------------------------------------


@pages.post("/bench/<code>/check")
def check(code: str) -> Response:
    """One item is right (`item`), or is not after all (`back`)."""
    step = whole(request.form.get("step", ""))
    if step is None:
        raise Refused(NOT_OURS)
    if back := request.form.get("back"):
        return _answer(code, do(acts.take_back, step, back), "_checks", step)
    return _answer(code, do(acts.check_off, step, request.form.get("item", "")), "_checks", step)


def _answer(code: str, answer: Answer, panel: str, step: int | None = None) -> Response:
    """The panel again with what was done; without htmx the sign's page, which tells it."""
    if not wants_fragment():
        return done(answer, url_for("bench.sign", code=code, step=step))
    with snapshot() as db:
        sign = bench.sign_of(db, jobs.sign_by_code(db, codes.parse(code)).id)
        looked_at = next((own for own in sign.steps if own.id == step), None)
        finish = finish_panel(db, sign, looked_at, current_actor(), local_now())
        return fragment(
            f"bench/finishing/{panel}_answer.html", PanelAnswer(finish, notice_of(db, answer))
        )


# Photos. --------------------------------------------------------------------------------------------------------------


@pages.post("/bench/<code>/photos")
def keep_photo(code: str) -> Response:
    """A photo from the tablet's camera, or from a file."""
    with snapshot() as db:
        sign = jobs.sign_by_code(db, codes.parse(code)).id
    sent = next((file for file in request.files.getlist("photo") if file.filename), None)
    if sent is None:
        raise Refused("Choose a photo first: take one, or choose a file.")
    note = request.form.get("note", "")
    answer = acts.take_photo(
        current_caller(),
        sign,
        sent.read(),
        note,
    )
    return _answer(code, answer, "_photos")


@pages.post("/bench/<code>/photos/<int:photo>/off")
def take_off(code: str, photo: int) -> Response:
    """A photo is taken off its sign."""
    return _answer(code, do(acts.take_off_photo, photo), "_photos")


@pages.get("/photos/<sha256>.jpg")
def photo(sha256: str) -> Response:
    """A photo's file, for who is signed in; it never changes, so that a tablet need not ask again for a day."""
    if not re.fullmatch("[0-9a-f]{64}", sha256):
        raise NotFound("There is no such photo: look for it on its sign's page.")
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
    """The sign's record on one page; the paper is remembered, as for tickets."""
    paper = paper_size.chosen(records.PAPERS)
    with snapshot() as db:
        made = records.record_of(db, codes.parse(code), local_now())
    response = make_response(records.printed(made, paper, current_settings().units))
    name = f"{made.job}-{made.mark}-record.pdf"
    response.headers.update(
        {"Content-Type": "application/pdf", "Content-Disposition": f'inline; filename="{name}"'}
    )
    paper_size.remember(response, paper)
    return response


# The shop's check lists. ----------------------------------------------------------------------------------------------


@pages.get("/office/check-lists")
def check_lists() -> Response:
    """The list of each kind of step, to be changed by an owner."""
    current_actor().must_hold(("owner",))
    with snapshot() as db:
        view = ListsPage([_form(one) for one in store.check_lists(db)])
        return show("bench/finishing/check_lists.html", view, title="Check lists", here="Office")


def _form(one: store.CheckList) -> ListForm:
    return ListForm(one.kind, "\n".join(one.items), max(4, len(one.items) + 1), one.is_usual)


@pages.post("/office/check-lists")
def change_check_list() -> Response:
    """A list as it was written, or the usual one again (`usual`)."""
    items = None if request.form.get("usual") else request.form.get("items", "").splitlines()
    answer = do(acts.change_check_list, request.form.get("kind", ""), items)
    return done(answer, url_for("finishing.check_lists"))
