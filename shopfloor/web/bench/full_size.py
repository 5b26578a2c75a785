"""Templates of a sign at full size: the page on which paper and level are chosen, and the PDFs.

Owns these addresses and what the tablet remembers of the choice. actions/full_size.py puts together what is printed.
"""

from __future__ import annotations

from flask import Blueprint, Response, request

from ...actions import full_size as actions
from ...domain import codes
from ...domain.errors import NotFound, Refused
from ...domain.setting_out.full_size import PAPERS, WHATS, checked_paper
from ...domain.setting_out.setting_out import DATUMS, checked_datum
from ...wording import full_size as wording
from ...wording.message import Message
from ...wording.setting_out import datum as datum_label
from ..page import file, local_now, show, snapshot, whole
from ..security import set_cookie
from .setting_out_pages import datum_of_tablet

COOKIE, COOKIE_DAYS = "shopfloor_full_size", 3650

pages = Blueprint("full_size", __name__)


@pages.get("/bench/<code>/paper")
def choose(code: str) -> Response:
    """The templates that can be printed of a sign, and on which paper."""
    paper, datum = _chosen()
    with snapshot() as db:
        view = actions.full_size_of(db, codes.parse(code), datum)
        page = {
            "code": code,
            "name": view.name,
            "paper": paper,
            "papers": [(each, wording.paper(each)) for each in PAPERS],
            "datum": datum,
            "datums": [(each, datum_label(each)) for each in DATUMS],
            "kinds": _kinds(list(actions.offers(view, paper))),
            "test": "4 in" if view.units == "in" else "100 mm",
            "bench_datum": datum_label(datum_of_tablet()) if datum_of_tablet() != datum else None,
        }
        title = wording.title(view.called)
        return _remember(show("bench/full_size/full_size.html", page, title=title, here="Bench"))


def _kinds(offers: list[actions.Offer]) -> list[dict[str, object]]:
    """Return each kind of template with its PDFs: (offer, its level in words, the revision marks on it)."""
    return [
        {
            "what": what,
            "title": wording.kind(what),
            "use": wording.use(what),
            "prints": [
                (offer, _level_words(offer), wording.marks(offer.marks, len(offer.marks)))
                for offer in offers
                if offer.what == what
            ],
        }
        for what in WHATS
    ]


def _level_words(offer: actions.Offer) -> Message:
    return wording.whole_sign() if offer.what == "drilling" else wording.level(offer.level)


@pages.get("/bench/<code>/paper/<what>.pdf")
def pdf(code: str, what: str) -> Response:
    """The PDF, which shows the day it was printed."""
    if what not in WHATS:
        raise NotFound(wording.no_such_template())
    paper, datum = _chosen()
    with snapshot() as db:
        view = actions.full_size_of(db, codes.parse(code), datum)
    level = _level()
    content = actions.printed(view, what, paper, level, local_now().date())
    return file(content, "application/pdf", view.file_name(what, paper, level))


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
