"""Full-size paper of a sign: the page on which paper and level are chosen, and the PDFs.

Owns the way there and what is remembered of it. What stands on the paper is put together in actions/full_size.py.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import full_size as actions
from ...domain import codes
from ...domain.errors import NotFound, Refused
from ...domain.setting_out.full_size import WHATS, checked_paper
from ...domain.setting_out.setting_out import DATUMS, checked_datum
from ..page import local_now, show, snapshot, whole
from ..security import set_cookie
from .setting_out_pages import datum_of_tablet

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
    """One PDF that can be had: of which level in words, what it comes to, what marks its sheets bear, where it is. Where it
    cannot be had, `why_not` says so, and `mend` is where that is mended, '' for nowhere."""

    words: str
    comes_to: str
    marks: str
    href: str
    why_not: str
    mend: str


@dataclass(frozen=True)
class Kind:
    """One kind of full-size paper: the `key` by which a link leads to it, what it is for, and its PDFs."""

    key: str
    title: str
    use: str
    prints: list[Print]


@dataclass(frozen=True)
class FullSizePage:
    """A sign's full-size paper. `test` is the length of the test line in words; `bench_datum` from where the bench's figures
    run, where those of the paper run from elsewhere, else ''."""

    code: str
    called: str
    name: str
    papers: list[Choice]
    datums: list[Choice]
    kinds: list[Kind]
    has_long: bool
    test: str
    bench_datum: str


@pages.get("/bench/<code>/paper")
def choose(code: str) -> Response:
    """What can be printed of a sign at full size, and on which paper."""
    paper, datum = _chosen()
    with snapshot() as db:
        view = actions.full_size_of(db, codes.parse(code), datum)
        page = FullSizePage(
            code,
            view.called,
            view.name,
            [
                _choice(code, words, one == paper, paper=one)
                for one, words in actions.PAPERS.items()
            ],
            [_choice(code, one.capitalize(), one == datum, datum=one) for one in DATUMS],
            _kinds(code, paper, datum, list(actions.offers(view, paper))),
            paper == "long",
            "4 in" if view.units == "in" else "100 mm",
            datum_of_tablet() if datum_of_tablet() != datum else "",
        )
        return _remember(
            show(
                "bench/full_size/full_size.html",
                page,
                title=f"{view.called}: full-size paper",
                here="Bench",
            )
        )


def _choice(code: str, words: str, is_chosen: bool, **chosen: str) -> Choice:
    return Choice(words, url_for("full_size.choose", code=code, **chosen), is_chosen)


def _kinds(code: str, paper: str, datum: str, offers: list[actions.Offer]) -> list[Kind]:
    prints = {
        what: [_print(code, paper, datum, offer) for offer in offers if offer.what == what]
        for what in WHATS
    }
    return [
        Kind(what, title.capitalize(), USES[what], prints[what]) for what, title in WHATS.items()
    ]


def _print(code: str, paper: str, datum: str, offer: actions.Offer) -> Print:
    href = url_for(
        "full_size.pdf", code=code, what=offer.what, paper=paper, datum=datum, level=offer.level
    )
    words = (
        "The whole sign"
        if offer.what == "drilling"
        else "All levels"
        if offer.level is None
        else f"Level {offer.level}"
    )
    marks = f"mark{'s' if len(offer.marks) > 1 else ''} {', '.join(offer.marks)}"
    mend = (
        url_for("fixings.materials", code=code)
        if offer.what == "drilling" and offer.why_not
        else ""
    )
    return Print(words, offer.comes_to, marks, href, offer.why_not, mend)


@pages.get("/bench/<code>/paper/<what>.pdf")
def pdf(code: str, what: str) -> Response:
    """The PDF, with the day on which it was made."""
    if what not in WHATS:
        raise NotFound("There is no such paper: choose one on the sign's page of full-size paper.")
    paper, datum = _chosen()
    with snapshot() as db:
        view = actions.full_size_of(db, codes.parse(code), datum)
    level = _level()
    response = Response(
        actions.printed(view, what, paper, level, local_now().date()), mimetype="application/pdf"
    )
    response.headers["Content-Disposition"] = (
        f'inline; filename="{view.file_name(what, paper, level)}"'
    )
    return response


def _level() -> int | None:
    """The level asked for; None for all. Raises Refused."""
    asked = request.args.get("level")
    if asked is None:
        return None
    level = whole(asked)
    if level is None:
        raise Refused(
            "A level is a whole number, 0 at the bottom: choose one on the sign's page of full-size paper."
        )
    return level


def _chosen() -> tuple[str, str]:
    """Paper and datum as asked for, else as chosen here before on this tablet, else A4 and the bench's own datum. Raises
    Refused."""
    paper, datum = _kept()
    return (
        checked_paper(request.args.get("paper", paper or "a4")),
        checked_datum(request.args.get("datum", datum or datum_of_tablet())),
    )


def _kept() -> tuple[str, str]:
    """Paper and datum that were chosen on this page before, '' where none was."""
    paper, _, place = request.cookies.get(COOKIE, "").partition(".")
    return paper if paper in actions.PAPERS else "", DATUMS[int(place)] if place in (
        "0",
        "1",
    ) else ""


def _remember(response: Response) -> Response:
    """Keeps what was chosen by this request: the bench's own datum is its own to keep."""
    paper, datum = (
        request.args.get(name, kept) for name, kept in zip(("paper", "datum"), _kept(), strict=True)
    )
    kept = f"{paper}.{DATUMS.index(datum) if datum else ''}"
    if (paper or datum) and request.cookies.get(COOKIE) != kept:
        set_cookie(response, COOKIE, kept, days=COOKIE_DAYS)
    return response
