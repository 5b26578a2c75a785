"""The paper that this tablet prints on, remembered in a cookie."""

from __future__ import annotations

from collections.abc import Container

from flask import Response, request

from .security import set_cookie

COOKIE, COOKIE_DAYS = "shopfloor_paper", 3650
USUAL = "a4"


def chosen(papers: Container[str]) -> str:
    """The paper that the request names, else the tablet's own; A4 where neither is one of `papers`."""
    asked = request.args.get("paper") or request.cookies.get(COOKIE, USUAL)
    return asked if asked in papers else USUAL


def remember(response: Response, paper: str) -> Response:
    """Keep the paper for this tablet's next printing."""
    set_cookie(response, COOKIE, paper, days=COOKIE_DAYS)
    return response
