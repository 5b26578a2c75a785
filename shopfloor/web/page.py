"""The frame of every page (shop, clock, person, navigation) and the helpers that every view uses.

A view reads in a `snapshot`, acts with `do`, and answers with `show`, `fragment` or `done`; `refreshed` does all of
that for a page that asks again, `answered` after an act. Must not know any feature: the counts beside the navigation come
from the store.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Hashable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Concatenate, NamedTuple, ParamSpec, TypeVar
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
from markupsafe import Markup

from ..actions.cache import Cache
from ..actions.unit_of_work import Answer, Caller, Shop, stamp
from ..domain import lengths
from ..domain.errors import NotAllowed, NotFound, Refused
from ..domain.people import Actor
from ..domain.settings import Settings
from ..store import ledger, page_counts
from ..store import settings as setting_store
from ..store.db import Connection
from ..store.people import spoken
from ..wording import pages as wording
from ..wording.formatting import Reader, When, moment
from ..wording.message import PLAIN_READER, Message, of_dict

Parameters = ParamSpec("Parameters")
Made = TypeVar("Made")

MOST_CACHED = 400  # of each kind; a shop has some dozens of live signs

# The places of the shop (key, endpoint) in the order of the title block.
PLACES = (
    ("floor", "floor.floor"),
    ("scan", "scan.scan"),
    ("sheets", "sheets.sheets"),
    ("recuts", "recuts.recuts"),
    ("bench", "bench.bench"),
    ("jobs", "jobs.jobs"),
    ("stock", "stock.stock"),
    ("office", "office.office"),
)

NOT_OURS = wording.form_not_ours()


class Place(NamedTuple):
    """One field of the title block. `note` is the small line under the label."""

    key: str
    href: str
    label: Message
    note: Message | None


@dataclass(frozen=True)
class Notice:
    """The line at the head of a page: what was done, or why not.

    `act` is the act that Undo names, None where there is nothing to undo; `back` is the path that Undo goes to, None where
    it answers in place.
    """

    message: Message
    act: int | None = None
    back: str | None = None
    is_refusal: bool = False


@dataclass(frozen=True)
class Page:
    """The frame's data. `person` ('Ann, operator') is None and `nav` empty where nobody is signed in."""

    title: str
    here: str  # the key of the place that is highlighted: 'floor', 'scan' …
    shop: str
    clock: str
    person: str | None
    person_href: str
    nav: tuple[Place, ...]
    notice: Notice | None


def current_shop() -> Shop:
    """The shop: its database, clock and random numbers."""
    shop: Shop = current_app.extensions["shop"]
    return shop


def current_settings() -> Settings:
    """The shop's settings, read once a request."""
    if "settings" not in g:
        g.settings = setting_store.load(current_shop().read(), current_app.config["ADDRESS"])
    settings: Settings = g.settings
    return settings


def reader() -> Reader:
    """For whom messages are written on this page: the shop's units and zone, now; mm and UTC where there is no page."""
    if not has_app_context():
        return PLAIN_READER
    settings, now = current_settings(), current_shop().clock()
    return Reader(settings.units, settings.inch_fraction, settings.zone, now)


def signed_in() -> Actor | None:
    """Who is signed in, or None. `web/sign_in.py: load_user` finds out before each request."""
    actor: Actor | None = g.get("by")
    return actor


def current_actor() -> Actor:
    """Who is signed in. Raises NotAllowed where nobody is."""
    actor = signed_in()
    if actor is None:
        raise NotAllowed(wording.nobody_signed_in())
    return actor


def holds(*roles: str) -> bool:
    """Return whether the person who is signed in holds one of `roles`, as an owner always does: templates hide the rest."""
    by = signed_in()
    return by is not None and by.holds(*roles)


def current_caller() -> Caller:
    """Who asks for a command: the person who is signed in, with the key of the form."""
    return Caller(current_shop(), current_actor(), form_key())


def snapshot() -> AbstractContextManager[Connection]:
    """One moment of the shop for a whole page."""
    return current_shop().database.snapshot()


def frame(title: Message | str, here: str = "", notice: Notice | None = None) -> Page:
    """The frame's data; `here` is the name of the place that the page belongs to, `notice` the line at its head."""
    shop, settings, by = current_shop(), current_settings(), signed_in()
    now, db = shop.clock(), shop.read()
    return Page(
        str(title),
        here.lower(),
        settings.shop_name,
        moment(now, settings.zone),
        f"{by.name}, {spoken(by.roles)}" if by else None,
        url_for("sign_in.choose"),
        _places(page_counts.counts(db, stamp(now))) if by else (),
        notice or _notice(db, by),
    )


def _places(counts: page_counts.Counts) -> tuple[Place, ...]:
    notes = {
        "sheets": wording.to_cut(counts.sheets_to_cut) if counts.sheets_to_cut else None,
        "recuts": wording.waiting(counts.recuts_waiting) if counts.recuts_waiting else None,
        "bench": wording.ready(counts.signs_ready) if counts.signs_ready else None,
    }
    built = current_app.view_functions
    return tuple(
        Place(key, url_for(endpoint), wording.page_name(key), notes.get(key))
        for key, endpoint in PLACES
        if endpoint in built
    )


def _notice(db: Connection, by: Actor | None) -> Notice | None:
    """Return the answer of the act that led to this page (`?did=ACT`)."""
    number = whole(request.args.get("did", ""))
    if by is None or number is None:
        return None
    try:
        entry = ledger.entry(db, number)
    except NotFound:
        return None
    rest = {name: value for name, value in request.args.items() if name != "did"}
    back = f"{request.path}?{urlencode(rest)}" if rest else request.path
    return Notice(of_dict(entry.answer), entry.act if can_undo(entry) else None, back)


def can_undo(entry: ledger.Entry) -> bool:
    """Return whether Undo is offered: the act changed something of the shop and is no undo itself."""
    return (
        bool(entry.changes)
        and entry.undoes is None
        and entry.act > 1
        and entry.what not in ledger.READINGS
    )


def notice_of(db: Connection, answer: Answer) -> Notice:
    """Return an answer for the head of a page, with Undo in place where the act changed anything."""
    is_undoable = answer.act is not None and can_undo(ledger.entry(db, answer.act))
    return Notice(answer.message, answer.act if is_undoable else None)


def show(
    template: str,
    view: object,
    *,
    title: Message | str,
    here: str = "",
    status: int = 200,
    notice: Notice | None = None,
) -> Response:
    """Return a page in the frame."""
    return make_response(
        render_template(template, page=frame(title, here, notice), view=view), status
    )


def fragment(
    template: str,
    view: object,
    *,
    notice: Notice | None = None,
    events: Mapping[str, Any] | None = None,
) -> Response:
    """Return a partial alone, with `notice` for the head of the page. htmx sends `events` in the page afterwards:
    {"undone": {"act": 12, "target": "body"}}."""
    said = render_template("errors/_notice.html", view=notice, is_oob=True) if notice else ""
    response = make_response(said + render_template(template, view=view))
    if events:
        response.headers["HX-Trigger"] = json.dumps(events)
    return response


def refreshed(template: str, view_of: Callable[[Connection], object]) -> Response:
    """Return a partial again for a page that asks (`?seen=VERSION`); an empty 204 where it shows this version already."""
    with snapshot() as db:
        if unchanged(version()):
            return make_response("", 204)
        return fragment(template, view_of(db))


def answered(
    answer: Answer, to: str, template: str, view_of: Callable[[Connection], object]
) -> Response:
    """End a form in place: return the partial again, with the answer. Without htmx go on to the path `to`."""
    if not wants_fragment():
        return done(answer, to)
    with snapshot() as db:
        return fragment(template, view_of(db), notice=notice_of(db, answer))


def file(content: bytes, kind: str, name: str, how: str = "inline") -> Response:
    """Return a file of a content type: to be shown (`inline`) or to be saved (`attachment`) by its name."""
    return Response(
        content,
        content_type=kind,
        headers={"Content-Disposition": f'{how}; filename="{name}"'},
    )


def wants_fragment() -> bool:
    """Return whether htmx asks."""
    return request.headers.get("HX-Request") == "true"


def whole(text: str) -> int | None:
    """Return the number that a form or a query holds; None for anything else, and for more than a database can count."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None


def form_number(name: str, refusal: Message | str = NOT_OURS) -> int:
    """Return the number in a field of the form. Raises Refused where there is none."""
    number = whole(request.form.get(name, ""))
    if number is None:
        raise Refused(refusal)
    return number


def form_key() -> str | None:
    """Return the request's idempotency key. Raises Refused for one that no page of ours made."""
    key = request.form.get("key") or None
    if key is not None and not (len(key) <= 64 and key.isascii() and key.isprintable()):
        raise Refused(NOT_OURS)
    return key


def do(
    action: Callable[Concatenate[Caller, Parameters], Answer],
    *args: Parameters.args,
    **named: Parameters.kwargs,
) -> Answer:
    """Do an action as the person who is signed in, with the key of the form."""
    return action(current_caller(), *args, **named)


def done(answer: Answer, to: str) -> Response:
    """End a form: go on to the path `to`, which shows the answer."""
    if answer.act is not None:
        to += f"{'&' if '?' in to else '?'}did={answer.act}"
    return go(to)


def go(to: str) -> Response:
    """Make the whole page go to a path, asked by htmx or not."""
    if wants_fragment():
        response = make_response("", 200)
        response.headers["HX-Redirect"] = to
        return response
    return make_response(redirect(to, 303))


def home() -> str:
    """Return where a person begins: the first place that is built."""
    return next(
        url_for(endpoint) for _, endpoint in PLACES if endpoint in current_app.view_functions
    )


def version(act: int | None = None) -> str:
    """Return a token that changes with every act, with every cure that ends, and at the shop's midnight.

    With `act`: the token that a page has which shows everything up to that act.
    """
    shop = current_shop()
    now, db = shop.clock(), shop.read()
    today = now.astimezone(ZoneInfo(current_settings().zone)).date()
    newest = ledger.newest(db) if act is None else act
    return f"{newest}.{page_counts.cures_ended(db, stamp(now))}.{today:%m%d}"


def unchanged(token: str) -> bool:
    """Return whether the page that asks (`?seen=TOKEN`) shows this version already: the answer is then an empty 204."""
    return request.args.get("seen") == token


def local_now() -> datetime:
    """The present moment in the shop's zone."""
    return current_shop().clock().astimezone(ZoneInfo(current_settings().zone))


def zoned(show: Callable[[When, str], str]) -> Callable[[When], str]:
    """A filter that shows a moment in the shop's zone."""
    return lambda when: show(when, current_settings().zone)


def measure(mm: float) -> str:
    """A length in the shop's units."""
    return lengths.show(mm, current_settings().units)


def key_field() -> Markup:
    """A hidden field with a fresh key: the same form sent twice is one act."""
    return Markup('<input type="hidden" name="key" value="{}">').format(secrets.token_hex(16))


def cached(name: str, key: Hashable, make: Callable[[], Made], most: int = MOST_CACHED) -> Made:
    """The value of a key in one of the app's caches, made where it is not there."""
    cache: Cache = current_app.extensions.setdefault(name, Cache(most))
    return cache.get(key, make)
