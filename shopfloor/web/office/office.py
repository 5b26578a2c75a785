"""Office: people, settings, the ledger with its Undo, and this tablet's name."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, current_app, request, url_for
from flask.typing import ResponseReturnValue

from ...actions import people as people_actions
from ...actions import settings as settings_actions
from ...actions.unit_of_work import undo as undo_act
from ...domain.errors import Conflict
from ...domain.people import ROLES
from ...domain.settings import OFFERED
from ...store import cutters as cutter_store
from ...store import ledger, replay
from ...store import office as store
from ...store import people as people_store
from ...store import settings as setting_store
from ...store.db import Row
from ...wording import ledger as ledger_wording
from ...wording import office as wording
from ...wording.message import Message, of_dict, text
from ...wording.people import role
from ..page import (
    Notice,
    can_undo,
    current_actor,
    current_caller,
    current_settings,
    current_shop,
    do,
    done,
    form_number,
    fragment,
    go,
    show,
    snapshot,
    wants_fragment,
)
from ..security import local_path, set_cookie
from ..sign_in import SESSION, TABLET, TABLET_DAYS
from . import settings_form

PAGE = 50  # acts on one page of the ledger

pages = Blueprint("office", __name__)


ROLE_CHOICES = tuple((name, role(name)) for name in ROLES)


@dataclass(frozen=True)
class ActRow:
    """One act as the ledger's list shows it. `about` names its sign where the sentence does not."""

    row: Row
    what: Message
    about: str
    sentence: Message
    can_undo: bool


@pages.get("/office")
def office() -> ResponseReturnValue:
    """Where everything of Office is."""
    return _office()


def _office(notice: Notice | None = None) -> Response:
    by, shop = current_actor(), current_shop()
    view = {
        "me": by.person,
        "tablet": by.tablet,
        "acts": ledger.newest(shop.read()),
        "database": shop.database.path.name,
    }
    return show(
        "office/office.html", view, title=wording.page_title("office"), here="Office", notice=notice
    )


def _owner_only() -> None:
    current_actor().must_hold(("owner",))


# People. --------------------------------------------------------------------------------------------------------------


@pages.get("/office/people")
def everyone() -> ResponseReturnValue:
    """Who works here."""
    _owner_only()
    view = {"people": people_store.everyone(current_shop().read()), "roles": ROLE_CHOICES}
    return show("office/people.html", view, title=wording.page_title("people"), here="Office")


@pages.post("/office/people")
def add_person() -> ResponseReturnValue:
    """Somebody new; the PIN comes next."""
    answer = do(
        people_actions.add_person, request.form.get("name", ""), request.form.getlist("role")
    )
    return done(answer, url_for("office.person", person=answer.data["person"]))


@pages.get("/office/people/<int:person>")
def person(person: int) -> ResponseReturnValue:
    """One person."""
    if person != current_actor().person:
        _owner_only()
    known = people_store.one(current_shop().read(), person)
    view = {"person": known, "roles": ROLE_CHOICES}
    return show("office/person.html", view, title=known.name, here="Office")


@pages.post("/office/people/<int:person>")
def change_person(person: int) -> ResponseReturnValue:
    """Name, roles, duty."""
    form = request.form
    answer = do(
        people_actions.change_person,
        person,
        form.get("name", ""),
        form.getlist("role"),
        form.get("duty") == "on",
    )
    return done(answer, url_for("office.everyone"))


@pages.post("/office/people/<int:person>/pin")
def set_pin(person: int) -> ResponseReturnValue:
    """A new PIN."""
    method = current_app.config["PIN_HASH"]
    answer = do(people_actions.set_pin, person, request.form.get("pin", ""), method=method)
    return done(
        answer, url_for("office.everyone" if current_actor().holds("owner") else "office.office")
    )


@pages.post("/office/tablet")
def name_tablet() -> ResponseReturnValue:
    """This tablet's name, in its cookie and its session."""
    name = people_actions.name_tablet(
        current_shop(), request.cookies.get(SESSION, ""), request.form.get("name", "")
    )
    response = go(url_for("office.office"))
    set_cookie(response, TABLET, name, days=TABLET_DAYS)
    return response


# Settings. ------------------------------------------------------------------------------------------------------------


@pages.get("/office/settings")
def settings() -> ResponseReturnValue:
    """What the shop may change."""
    _owner_only()
    with snapshot() as db:
        changed = list(setting_store.changed(db))
        view = settings_form.page(current_settings(), changed, cutter_store.cutters(db))
    return show("office/settings.html", view, title=wording.page_title("settings"), here="Office")


@pages.post("/office/settings")
def change_settings() -> ResponseReturnValue:
    """Keeps what was changed."""
    values = {name: request.form[name] for name in OFFERED if name in request.form}
    if values.get("address") == current_settings().address:
        del values[
            "address"
        ]  # shown where the shop has set none: saving another setting must not set it
    answer = do(settings_actions.change_settings, values)
    return go(
        url_for(
            "office.settings",
            did=answer.act,
            _anchor=settings_form.group_of(answer.data.get("changed", ())),
        )
    )


@pages.post("/office/settings/<name>/usual")
def use_default(name: str) -> Response:
    """Go back to the usual value of a setting that no form offers any more."""
    return done(do(settings_actions.use_default, name), url_for("office.settings"))


# The ledger. ----------------------------------------------------------------------------------------------------------


@pages.get("/office/ledger")
def acts() -> ResponseReturnValue:
    """Who did what, the newest first."""
    before = request.args.get("before", type=int)
    with snapshot() as db:
        rows = ledger.recent(db, PAGE, before)
        changed = store.acts_with_changes(db, [row["act"] for row in rows])
        older = rows[-1]["act"] if rows and rows[-1]["act"] > 1 else None
        answers = {row["act"]: json.loads(row["answer"]) for row in rows}
        called = store.signs_called(
            db, [code for answer in answers.values() for code in answer["codes"][:1]]
        )
        view = {
            "acts": [
                _act_row(row, row["act"] in changed, answers[row["act"]], called) for row in rows
            ],
            "back": url_for("office.acts", before=before or None),
            "older": older,
        }
        return show("office/ledger.html", view, title=wording.page_title("ledger"), here="Office")


def _act_row(row: Row, has_changes: bool, answer: dict[str, Any], called: dict[str, str]) -> ActRow:
    by = current_actor()
    is_open = has_changes and row["act"] > 1 and row["undoes"] is None and row["undone_by"] is None
    may = by.holds("owner") or row["by_name"] == by.name
    about = called.get(answer["codes"][0], "") if answer["codes"] else ""
    message = of_dict(answer)
    about = "" if about in text(message) else about
    return ActRow(row, ledger_wording.action(row["what"]), about, message, is_open and may)


@pages.post("/office/check")
def check() -> ResponseReturnValue:
    """Replays the ledger and says whether it gives the state."""
    with snapshot() as db:
        found, acts = replay.differences(db), ledger.newest(db)
    message = wording.ledger_differs(found[0]) if found else wording.ledger_is_sound(acts)
    return _told(Notice(message, is_refusal=bool(found)))


@pages.post("/undo")
def undo() -> ResponseReturnValue:
    """Undoes one act, from any page."""
    number = form_number("act", wording.choose_an_act())
    kept = ledger.entry(current_shop().read(), number)
    if kept.undoes is None and not can_undo(kept):
        raise Conflict(wording.changed_nothing(ledger_wording.action(kept.what)))
    answer = undo_act(current_caller(), kept.act)
    back = local_path(request.form.get("back"))
    if back or not wants_fragment():
        return done(answer, back or url_for("office.acts"))
    # sent to the body: the button that was pressed is gone by then
    return _told(Notice(answer.message), {"undone": {"act": kept.act, "target": "body"}})


def _told(notice: Notice, events: dict[str, Any] | None = None) -> Response:
    """One sentence at the head of the page: alone for htmx, else on the page of Office."""
    if wants_fragment():
        return fragment("errors/_notice.html", notice, events=events)
    return _office(notice)
