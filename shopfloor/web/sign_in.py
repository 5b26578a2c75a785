"""Signing in and out, and finding out at every request who is there. Must not change people: that is Office."""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from flask import Blueprint, Flask, Response, current_app, g, request, url_for

from ..actions import people as actions
from ..domain.errors import NotAllowed, ShopError
from ..store import people as store
from ..wording import office as office_wording
from ..wording import people as wording
from .errors import STATUS
from .page import Notice, current_shop, go, home, show, signed_in
from .security import local_path, set_cookie, without_sign_in

SESSION, TABLET = "shopfloor_session", "shopfloor_tablet"
TABLET_DAYS = 3650
_PROXY_HEADERS = ("Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-IP", "Via")

pages = Blueprint("sign_in", __name__)


def load_user(app: Flask) -> None:
    """Every view but the open ones needs somebody signed in."""
    app.before_request(_ask)


def _ask() -> Response | None:
    view = current_app.view_functions.get(request.endpoint or "")
    if view is None or request.endpoint == "static":
        return None
    token = request.cookies.get(SESSION)
    g.by = actions.who_is(current_shop(), token, is_poll="seen" in request.args) if token else None
    if g.by is None and not getattr(view, "is_open_to_all", False):
        return go(url_for("sign_in.choose", next=_here()))
    return None


def _here() -> str | None:
    """The page that the person looks at, to come back to: of a fragment or a form, the page round it."""
    if request.method == "GET" and request.headers.get("HX-Request") != "true":
        return request.full_path.rstrip("?")
    around = urlsplit(request.headers.get("HX-Current-URL") or request.headers.get("Referer") or "")
    return local_path(around.path + (f"?{around.query}" if around.query else ""))


def _next() -> str:
    return local_path(request.values.get("next")) or ""


@pages.get("/sign-in")
@without_sign_in
def choose() -> Response:
    """The names, as tiles; on the first visit the way to the owner's PIN."""
    db = current_shop().read()
    if not store.has_owner_with_pin(db):
        return go(url_for("sign_in.first_visit"))
    on_duty = [person for person in store.everyone(db) if person.is_active and person.has_pin]
    view = {"people": on_duty, "next": _next(), "is_signed_in": signed_in() is not None}
    return show("sign_in/sign_in.html", view, title=office_wording.page_title("sign in"))


@pages.get("/sign-in/<int:person>")
@without_sign_in
def keypad(person: int) -> Response:
    """The keypad for one person's PIN."""
    return _keypad(person)


def _keypad(person: int, notice: Notice | None = None, status: int = 200) -> Response:
    found = store.one(current_shop().read(), person)
    view = {"person": found, "next": _next()}
    return show("sign_in/keypad.html", view, title=found.name, notice=notice, status=status)


@pages.post("/sign-in/<int:person>")
@without_sign_in
def enter(person: int) -> Response:
    """Signs in; a wrong PIN shows the keypad again, empty."""
    tablet = actions.checked_tablet(request.cookies.get(TABLET))
    try:
        token, tablet = actions.sign_in(current_shop(), person, request.form.get("pin", ""), tablet)
    except NotAllowed as refusal:
        return _keypad(person, Notice(refusal.message, is_refusal=True), 403)
    return _signed_in(token, tablet, _next() or home())


def _signed_in(token: str, tablet: str, to: str) -> Response:
    old = request.cookies.get(SESSION)
    if old:
        actions.sign_out(current_shop(), old)
    response = go(to)
    set_cookie(response, SESSION, token)
    set_cookie(response, TABLET, tablet, days=TABLET_DAYS)
    return response


@pages.post("/sign-out")
@without_sign_in
def sign_out() -> Response:
    """Signs out, and shows the names again."""
    token = request.cookies.get(SESSION)
    if token:
        actions.sign_out(current_shop(), token)
    response = go(url_for("sign_in.choose"))
    response.delete_cookie(SESSION, httponly=True, samesite="Lax")
    return response


# The first visit. ----------------------------------------------------------------------------------------------------


@pages.get("/first-visit")
@without_sign_in
def first_visit() -> Response:
    """Asks for the owner's PIN, where there is none yet."""
    if store.has_owner_with_pin(current_shop().read()):
        return go(url_for("sign_in.choose"))
    return _first_visit()


def _first_visit(notice: Notice | None = None, status: int = 200) -> Response:
    view = {"is_at_machine": is_at_the_machine(), "address": _address_here()}
    return show(
        "sign_in/first_visit.html",
        view,
        title=office_wording.page_title("first visit"),
        notice=notice,
        status=status,
    )


@pages.post("/first-visit")
@without_sign_in
def set_first_pin() -> Response:
    """Sets the owner's PIN and signs the owner in."""
    if not is_at_the_machine():
        raise NotAllowed(wording.first_pin_at_the_machine())
    pin = request.form.get("pin", "")
    try:
        owner = actions.set_first_pin(current_shop(), pin, method=current_app.config["PIN_HASH"])
    except ShopError as refusal:
        return _first_visit(Notice(refusal.message, is_refusal=True), STATUS[type(refusal)])
    tablet = actions.checked_tablet(request.cookies.get(TABLET))
    return _signed_in(*actions.sign_in(current_shop(), owner, pin, tablet), home())


def is_at_the_machine() -> bool:
    """True where the browser runs on the server's own machine, with nothing in between.

    No proxy is believed: one that says so in its headers counts as somewhere else, and the address in the browser must
    be the machine's own name for itself, so that no foreign name that leads here will do.
    """
    if any(header in request.headers for header in _PROXY_HEADERS):
        return False
    host = urlsplit(f"//{request.host}").hostname or ""
    return _is_loopback(request.remote_addr or "") and (host == "localhost" or _is_loopback(host))


def _is_loopback(address: str) -> bool:
    try:
        ip = ipaddress.ip_address(address)
    except ValueError:
        return False
    return (getattr(ip, "ipv4_mapped", None) or ip).is_loopback


def _address_here() -> str:
    port = urlsplit(f"//{request.host}").port
    return f"{request.scheme}://localhost{f':{port}' if port else ''}/"
