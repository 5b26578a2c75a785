"""Templates of a sign at full size: the page on which paper and level are chosen, and the PDFs.

Owns these addresses and what the tablet remembers of the choice. actions/full_size.py puts together what is printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, request, url_for

from ...actions import full_size as actions
from ...domain import codes
from ...domain.errors import NotFound, Refused
from ...domain.setting_out.full_size import PAPERS, WHATS, checked_paper
from ...domain.setting_out.setting_out import DATUMS, checked_datum
from ...wording import full_size as wording
from ...wording.message import Message
from ...wording.setting_out import datum as datum_label
from ..page import local_now, show, snapshot, whole
from ..security import set_cookie
from .setting_out_pages import datum_of_tablet

COOKIE, COOKIE_DAYS = "shopfloor_full_size", 3650

pages = Blueprint("full_size", __name__)


@dataclass(frozen=True)
class LinkChoice:
    """One of several, as a button: its label, its address, and whether it is chosen."""

    label: Message
    href: str
    is_chosen: bool


@dataclass(frozen=True)
class Print:
    """One possible PDF: its level, the sheets it needs, the revision marks on them, its address. Where it is not possible,
    `why_not` says why, and `mend` is the address where that is put right, '' for none."""

    level: Message
    needs: Message | None
    marks: Message
    href: str
    why_not: Message | None
    mend: str


@dataclass(frozen=True)
class Kind:
    """One kind of template: the `key` of its heading, what it is for, and its PDFs."""

    key: str
    title: Message
    use: Message
    prints: list[Print]


@dataclass(frozen=True)
class FullSizePage:
    """A sign's templates. `test` is the length of the test line; `bench_datum` the datum of the bench where that of the
    paper is another one, else None."""

    code: str
    called: str
    name: str
    papers: list[LinkChoice]
    datums: list[LinkChoice]
    kinds: list[Kind]
    has_long: bool
    test: str
    bench_datum: Message | None


@pages.get("/bench/<code>/paper")
def choose(code: str) -> Response:
    """The templates that can be printed of a sign, and on which paper."""
    paper, datum = _chosen()
    with snapshot() as db:
        view = actions.full_size_of(db, codes.parse(code), datum)
        page = FullSizePage(
            code,
            view.called,
            view.name,
            [_choice(code, wording.paper(one), one == paper, paper=one) for one in PAPERS],
            [_choice(code, datum_label(one), one == datum, datum=one) for one in DATUMS],
            _kinds(code, paper, datum, list(actions.offers(view, paper))),
            paper == "long",
            "4 in" if view.units == "in" else "100 mm",
            datum_label(datum_of_tablet()) if datum_of_tablet() != datum else None,
        )
        title = str(wording.title(view.called))
        return _remember(show("bench/full_size/full_size.html", page, title=title, here="Bench"))


def _choice(code: str, label: Message, is_chosen: bool, **chosen: Any) -> LinkChoice:
    return LinkChoice(label, url_for("full_size.choose", code=code, **chosen), is_chosen)


def _kinds(code: str, paper: str, datum: str, offers: list[actions.Offer]) -> list[Kind]:
    return [
        Kind(
            what,
            wording.kind(what),
            wording.use(what),
            [_print(code, paper, datum, offer) for offer in offers if offer.what == what],
        )
        for what in WHATS
    ]


def _print(code: str, paper: str, datum: str, offer: actions.Offer) -> Print:
    href = url_for(
        "full_size.pdf", code=code, what=offer.what, paper=paper, datum=datum, level=offer.level
    )
    is_drilling = offer.what == "drilling"
    level = wording.whole_sign() if is_drilling else wording.level(offer.level)
    marks = wording.marks(offer.marks, len(offer.marks))
    mend = url_for("fixings.materials", code=code) if is_drilling and offer.why_not else ""
    return Print(level, offer.needs, marks, href, offer.why_not, mend)


@pages.get("/bench/<code>/paper/<what>.pdf")
def pdf(code: str, what: str) -> Response:
    """The PDF, which shows the day it was printed."""
    if what not in WHATS:
        raise NotFound(wording.no_such_template())
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
        raise Refused(wording.level_is_a_number())
    return level


def _chosen() -> tuple[str, str]:
    """Paper and datum as asked for, else as chosen on this tablet before, else A4 and the bench's own datum. Raises
    Refused."""
    paper, datum = _remembered()
    return (
        checked_paper(request.args.get("paper", paper or "a4")),
        checked_datum(request.args.get("datum", datum or datum_of_tablet())),
    )


def _remembered() -> tuple[str, str]:
    """Paper and datum that were chosen on this page before, '' where none was."""
    paper, _, index = request.cookies.get(COOKIE, "").partition(".")
    datum = DATUMS[int(index)] if index in ("0", "1") else ""
    return paper if paper in PAPERS else "", datum


def _remember(response: Response) -> Response:
    """Keep what was chosen by this request; the bench's own datum stays as it is."""
    paper, datum = (
        request.args.get(name, before)
        for name, before in zip(("paper", "datum"), _remembered(), strict=True)
    )
    cookie = f"{paper}.{DATUMS.index(datum) if datum else ''}"
    if (paper or datum) and request.cookies.get(COOKIE) != cookie:
        set_cookie(response, COOKIE, cookie, days=COOKIE_DAYS)
    return response
