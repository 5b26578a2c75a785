"""The frame round every page: shop, clock, person, the places to go; and what every page's code begins with.

Owns how a view reads, acts and answers. Must not know any feature: the figures beside the places come from the store.
"""

from __future__ import annotations

import json
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from flask import (
    Response,
    current_app,
    g,
    has_app_context,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)

from ..actions.unit_of_work import Answer, Caller, Shop, stamp
from ..domain.errors import NotAllowed, NotFound, Refused
from ..domain.people import Actor
from ..domain.settings import Settings
from ..store import ledger
from ..store import page as figures
from ..store import settings as setting_store
from ..store.db import Connection
from ..store.people import spoken
from ..wording.formatting import Reader
from ..wording.message import PLAIN_READER, Message, of_dict
from . import formatting

# The places of the shop (name, endpoint) in the order of the title block.
PLACES = (
    ("Floor", "floor.floor"),
    ("Scan", "scan.scan"),
    ("Sheets", "sheets.sheets"),
    ("Recuts", "recuts.recuts"),
    ("Bench", "bench.bench"),
    ("Jobs", "jobs.jobs"),
    ("Stock", "stock.stock"),
    ("Office", "office.office"),
)


NOT_OURS = "This form is not one of ours: load the page again."


class Place(NamedTuple):
    """One field of the title block. `note` is the small line under the label, '' for none."""

    key: str
    href: str
    label: str
    note: str


@dataclass(frozen=True)
class Notice:
    """One sentence to a person; `act` is what Undo names, None where there is nothing to undo; `back` is the path that
    Undo goes to, None where it answers in place."""

    message: Message
    act: int | None = None
    back: str | None = None
    is_refusal: bool = False


@dataclass(frozen=True)
class SignedIn:
    """The person in the title block. `roles` is for reading, `holds` for hiding what the person may not do."""

    name: str
    roles: str
    by: Actor

    def holds(self, *roles: str) -> bool:
        """True where the person holds one of `roles`; an owner holds all."""
        return self.by.holds(*roles)


@dataclass(frozen=True)
class Page:
    """The frame's data. `person` is None and `nav` empty where nobody is signed in."""

    title: str
    here: str  # the key of the place that is lit: 'floor', 'scan' …
    shop: str
    clock: str
    person: SignedIn | None
    person_href: str
    nav: tuple[Place, ...]
    notice: Notice | None


def current_shop() -> Shop:
    """The shop: its database, clock and random numbers."""
    return current_app.extensions["shop"]


def current_settings() -> Settings:
    """The shop's settings, read once a request."""
    if "settings" not in g:
        g.settings = setting_store.load(current_shop().read(), current_app.config["ADDRESS"])
    return g.settings


def reader() -> Reader:
    """For whom messages are written on this page: the shop's units and zone, now; mm and UTC where there is no page."""
    if not has_app_context():
        return PLAIN_READER
    settings, now = current_settings(), current_shop().clock()
    return Reader(settings.units, settings.inch_fraction, settings.zone, now)


def signed_in() -> Actor | None:
    """Who is signed in, or None."""
    return g.get("by")


def current_actor() -> Actor:
    """Who is signed in. Raises NotAllowed where nobody is."""
    by = signed_in()
    if by is None:
        raise NotAllowed("Nobody is signed in: sign in first.")
    return by


def current_caller() -> Caller:
    """Who asks for a command: the person who is signed in, with the key of the form."""
    return Caller(current_shop(), current_actor(), form_key())


def snapshot() -> AbstractContextManager[Connection]:
    """One moment of the shop for a whole page."""
    return current_shop().database.snapshot()


def frame(title: str, here: str = "", notice: Notice | None = None) -> Page:
    """The frame's data; `here` is the name of the place that the page belongs to, `notice` the line at its head."""
    shop, settings, by = current_shop(), current_settings(), signed_in()
    now, db = shop.clock(), shop.read()
    return Page(
        title,
        here.lower(),
        settings.shop_name,
        formatting.moment(now, settings.zone),
        SignedIn(by.name, spoken(by.roles), by) if by else None,
        url_for("people.sign_in"),
        _places(figures.counts(db, stamp(now))) if by else (),
        notice or _notice(db, by),
    )


def _places(counts: figures.Counts) -> tuple[Place, ...]:
    notes = {
        "Sheets": f"{counts.sheets_to_cut} to cut" if counts.sheets_to_cut else "",
        "Recuts": str(counts.recuts_waiting or ""),
        "Bench": f"{counts.signs_ready} ready" if counts.signs_ready else "",
    }
    built = current_app.view_functions
    return tuple(
        Place(name.lower(), url_for(endpoint), name, notes.get(name, ""))
        for name, endpoint in PLACES
        if endpoint in built
    )


def _notice(db: Connection, by: Actor | None) -> Notice | None:
    """The answer of the act that led to this page (`?did=ACT`)."""
    number = whole(request.args.get("did", ""))
    if by is None or number is None:
        return None
    try:
        kept = ledger.entry(db, number)
    except NotFound:
        return None
    rest = {name: value for name, value in request.args.items() if name != "did"}
    back = f"{request.path}?{urlencode(rest)}" if rest else request.path
    return Notice(of_dict(kept.answer), kept.act if can_undo(kept) else None, back)


def can_undo(kept: ledger.Entry) -> bool:
    """True where Undo is offered: the act changed something of the shop and is no undo itself."""
    return (
        bool(kept.changes)
        and kept.undoes is None
        and kept.act > 1
        and kept.what not in ledger.READINGS
    )


def notice_of(db: Connection, answer: Answer) -> Notice:
    """An answer for the head of a page, with Undo in place where the act changed anything."""
    can = answer.act is not None and can_undo(ledger.entry(db, answer.act))
    return Notice(answer.message, answer.act if can else None)


def show(
    template: str,
    view: object,
    *,
    title: str,
    here: str = "",
    status: int = 200,
    notice: Notice | None = None,
) -> Response:
    """A page in the frame."""
    return make_response(
        render_template(template, page=frame(title, here, notice), view=view), status
    )


def fragment(template: str, view: object, *, events: dict | None = None) -> Response:
    """A partial alone. `events` are told to the page when it is there: {"undone": {"act": 12, "target": "body"}}."""
    response = make_response(render_template(template, view=view))
    if events:
        response.headers["HX-Trigger"] = json.dumps(events)
    return response


def wants_fragment() -> bool:
    """True where htmx asks."""
    return request.headers.get("HX-Request") == "true"


def whole(text: str) -> int | None:
    """The number that a form or a query holds; None for anything else, and for what no database counts to."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None


def form_key() -> str | None:
    """The request's idempotency key. Raises Refused for one that no page of ours made."""
    key = request.form.get("key") or None
    if key is not None and not (len(key) <= 64 and key.isascii() and key.isprintable()):
        raise Refused(NOT_OURS)
    return key


def do(action, *args, **named) -> Answer:
    """Does an action as the person who is signed in, with the key of the form."""
    return action(current_caller(), *args, **named)


def done(answer: Answer, to: str) -> Response:
    """Ends a form: on to the path `to`, which tells the answer."""
    if answer.act is not None:
        to += f"{'&' if '?' in to else '?'}did={answer.act}"
    return go(to)


def go(to: str) -> Response:
    """Makes the whole page go to a path, asked by htmx or not."""
    if wants_fragment():
        response = make_response("", 200)
        response.headers["HX-Redirect"] = to
        return response
    return redirect(to, 303)


def home() -> str:
    """Where a person begins: the first place that is built."""
    return next(
        url_for(endpoint) for _, endpoint in PLACES if endpoint in current_app.view_functions
    )


def version(db: Connection) -> str:
    """Changes with every act, with every cure that ends, and at the shop's midnight: what a page on the wall shows."""
    now = current_shop().clock()
    today = now.astimezone(ZoneInfo(current_settings().zone)).date()
    return f"{ledger.newest(db)}.{figures.cures_ended(db, stamp(now))}.{today:%m%d}"


def unchanged(token: str) -> bool:
    """True where the page that asks (`?seen=TOKEN`) shows this version already: answer 204 and nothing."""
    return request.args.get("seen") == token


def local_now() -> datetime:
    """The present moment in the shop's zone."""
    return current_shop().clock().astimezone(ZoneInfo(current_settings().zone))
