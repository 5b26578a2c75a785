"""Full-size paper of a sign: the page on which paper and level are chosen, and the PDFs.

Owns the way there and what is remembered of it. What stands on the paper is put together in actions/full_size.py.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ..actions import full_size as actions
from ..domain import codes
from ..domain.errors import NotFound, Refused
from ..domain.full_size import WHATS, checked_paper
from ..domain.setting_out import DATUMS, checked_datum
from .frame import show, snapshot, whole
from .security import set_cookie

USES = {
    "strip": "Laid along each baseline: the edges and the centre of every letter, named, with running dimensions.",
    "template": "The whole sign with the parts of a level in their places.",
    "drilling": "For the wall: each fixing with its hole, and a line for the spirit level.",
}
COOKIE, COOKIE_DAYS = "shopfloor_full_size", 3650

pages = Blueprint("full_size", __name__)


@dataclass(frozen=True)
class Choice:
    """One of several, as a button: its words, where it leads, and whether it is the chosen one."""

    words: str
    href: str
    is_chosen: bool


@dataclass(frozen=True)
class Print:
    """One PDF that can be had: of which level in words, what it comes to, where it is; `why_not` where it cannot be had."""

    words: str
    comes_to: str
    href: str
    why_not: str


@dataclass(frozen=True)
class Kind:
    """One kind of full-size paper: what it is for, and its PDFs."""

    title: str
    use: str
    prints: list[Print]


@dataclass(frozen=True)
class FullSizePage:
    """A sign's full-size paper. `test` is the length of the test line in words."""

    code: str
    called: str
    name: str
    papers: list[Choice]
    datums: list[Choice]
    kinds: list[Kind]
    has_long: bool
    test: str


@pages.get("/bench/<code>/paper")
def choose(code: str) -> Response:
    """What can be printed of a sign at full size, and on which paper."""
    paper, datum = _chosen()
    with snapshot() as db:
        it = actions.full_size_of(db, codes.parse(code), datum)
        page = FullSizePage(
            code, it.called, it.name,
            [_choice(code, one, datum, one == paper, words) for one, words in actions.PAPERS.items()],
            [_choice(code, paper, one, one == datum, one.capitalize()) for one in DATUMS],
            _kinds(code, paper, datum, list(actions.offers(it, paper))), paper == "long",
            "4 in" if it.units == "in" else "100 mm",
        )  # fmt: skip
        shown = show("full_size/full_size.html", page, title=f"{it.called}: full-size paper", here="Bench")
        return _remember(shown, paper, datum)


def _choice(code: str, paper: str, datum: str, is_chosen: bool, words: str) -> Choice:
    return Choice(words, url_for("full_size.choose", code=code, paper=paper, datum=datum), is_chosen)


def _kinds(code: str, paper: str, datum: str, offers: list[actions.Offer]) -> list[Kind]:
    return [
        Kind(title.capitalize(), USES[what], [_print(code, paper, datum, offer) for offer in offers if offer.what == what])
        for what, title in WHATS.items()
    ]


def _print(code: str, paper: str, datum: str, offer: actions.Offer) -> Print:
    href = url_for("full_size.pdf", code=code, what=offer.what, paper=paper, datum=datum, level=offer.level)
    words = "The whole sign" if offer.what == "drilling" else "All levels" if offer.level is None else f"Level {offer.level}"
    return Print(words, offer.comes_to, href, offer.why_not)


@pages.get("/bench/<code>/paper/<what>.pdf")
def pdf(code: str, what: str) -> Response:
    """The PDF; paper and datum are remembered."""
    if what not in WHATS:
        raise NotFound("There is no such paper: choose one on the sign's page of full-size paper.")
    paper, datum = _chosen()
    with snapshot() as db:
        it = actions.full_size_of(db, codes.parse(code), datum)
    response = Response(actions.printed(it, what, paper, _level()), mimetype="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{it.called.replace(" ", "-")}-{what}.pdf"'
    return _remember(response, paper, datum)


def _level() -> int | None:
    """The level asked for; None for all. Raises Refused."""
    asked = request.args.get("level")
    if asked is None:
        return None
    level = whole(asked)
    if level is None:
        raise Refused("A level is a whole number, 0 at the bottom: choose one on the sign's page of full-size paper.")
    return level


def _chosen() -> tuple[str, str]:
    """Paper and datum as asked for, else as remembered on this tablet, else A4 from the left edge. Raises Refused."""
    kept_paper, _, kept_datum = request.cookies.get(COOKIE, "").partition(".")
    usual = kept_paper if kept_paper in actions.PAPERS else "a4"
    place = int(kept_datum) if kept_datum in ("0", "1") else 0
    return checked_paper(request.args.get("paper", usual)), checked_datum(request.args.get("datum", DATUMS[place]))


def _remember(response: Response, paper: str, datum: str) -> Response:
    kept = f"{paper}.{DATUMS.index(datum)}"
    if request.cookies.get(COOKIE) != kept:
        set_cookie(response, COOKIE, kept, days=COOKIE_DAYS)
    return response
