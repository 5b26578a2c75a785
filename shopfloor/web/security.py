"""Closed by default: where scripts and styles come from, who may send a form, how much, how cookies are set.

Who is signed in is not found here but in `sign_in.py: load_user`; what their roles allow is checked by each
command (`actions/unit_of_work.py: command`).

A form is taken from this origin only. A browser says where a request comes from in Sec-Fetch-Site (over HTTPS or on the
machine itself), else in Origin; a request that changes anything and says neither is refused. There is no exception:
a program that wants to send a form says Origin as a browser does.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar
from urllib.parse import urlsplit

from flask import Flask, Response, request
from werkzeug.exceptions import RequestEntityTooLarge

from ..domain.errors import NotAllowed
from ..wording import pages as wording

View = TypeVar("View", bound=Callable[..., Any])

LARGEST_UPLOAD = 20 * 1024 * 1024
LARGEST_REQUEST = LARGEST_UPLOAD + 64 * 1024  # the form round the file
# Up to here a request is read to its end, so that the browser gets the refusal.
LARGEST_READ = 4 * LARGEST_UPLOAD

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)


def without_sign_in(view: View) -> View:
    """Mark a view that anybody may ask for; put it below the route's decorator."""
    setattr(view, "is_open_to_all", True)  # noqa: B010 - a function has no such attribute by type
    return view


def init_app(app: Flask) -> None:
    """Set all of it up."""
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_REQUEST
    app.before_request(_size)
    app.before_request(_same_origin)
    app.after_request(_headers)


def _size() -> None:
    length = request.content_length or 0
    if length > LARGEST_REQUEST:
        if length <= LARGEST_READ:
            while request.environ["wsgi.input"].read(1 << 16):
                pass
        raise RequestEntityTooLarge()


def _same_origin() -> None:
    if request.method not in ("GET", "HEAD", "OPTIONS") and not _is_from_here():
        raise NotAllowed(wording.other_site())


def _is_from_here() -> bool:
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site == "same-origin"
    origin = request.headers.get("Origin")
    return origin is not None and urlsplit(origin).netloc.lower() == request.host.lower()


def _headers(response: Response) -> Response:
    headers = response.headers
    headers.setdefault("Content-Security-Policy", POLICY)
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Referrer-Policy"] = "same-origin"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"
    headers["Cross-Origin-Resource-Policy"] = "same-origin"
    if request.endpoint != "static":
        headers.setdefault("Cache-Control", "no-store")
    return response


def set_cookie(response: Response, name: str, value: str, days: int | None = None) -> None:
    """Set a cookie that no script reads and no other site sends; with `days` it outlives the browser session."""
    response.set_cookie(
        name,
        value,
        max_age=days and days * 86400,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure,
    )


def local_path(text: str | None) -> str | None:
    """Return a path on this server to go on to; None for anything that might lead elsewhere."""
    if (
        not text
        or not text.startswith("/")
        or text.startswith("//")
        or "\\" in text
        or not text.isprintable()
    ):
        return None
    parts = urlsplit(text)
    return None if parts.scheme or parts.netloc else text
