"""Trays: the list of them, what lies in one, and the picking list of a sign, each with a field for the scanner.

Owns how these pages are asked for and answered. What the picking list shows is put together in `picking`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, Response, make_response, request, url_for

from ...actions import pieces as marks
from ...actions import trays as acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.bench import trays as rules
from ...domain.bench.trays import Tray
from ...domain.errors import Conflict, NotFound, Refused, ShopError
from ...domain.pieces import STANDS
from ...store import codes as code_store
from ...store import jobs, trays
from ...store import outlines as outline_store
from ...store.db import Connection
from ...store.trays import Lying
from ..errors import STATUS
from ..page import (
    Notice,
    current_actor,
    do,
    done,
    fragment,
    go,
    notice_of,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
    whole,
)
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from . import picking

SMALL = (110, 84)  # room for the outline of a piece, px
MOST_LIT = 1000  # a sign has no more parts that a scan could light up

pages = Blueprint("trays", __name__)


# The list of trays. ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TrayRow:
    """A tray in the list: `where` it stands ('' by itself), how many pieces lie in it, or in
    what stands in it, and for which signs."""

    tray: Tray
    where: str
    pieces: int
    signs: str


@dataclass(frozen=True)
class AllTrays:
    """All trays in use, shelves first; `kinds` are what a new one may be."""

    rows: list[TrayRow]
    kinds: tuple[str, ...]
    can_work: bool


@pages.get("/trays")
def all_of_them() -> Response:
    """All trays in use, and the form of a new one."""
    with snapshot() as db:
        known = trays.all_trays(db)
        inside = rules.summed_up(trays.counts(db), known)
        rows = [
            _tray_row(tray, inside.get(tray.id, {}), known)
            for tray in known.values()
            if not tray.is_retired
        ]
        rows.sort(key=lambda row: -rules.KINDS.index(row.tray.kind))
        view = AllTrays(rows, rules.KINDS, _can_work())
        return show("bench/trays/trays.html", view, title="Trays", here="Stock")


@pages.post("/trays")
def make() -> Response:
    """A new tray; on to its page."""
    answer = do(acts.make_tray, request.form.get("kind", ""), request.form.get("name", ""))
    return done(answer, url_for("trays.tray", code=answer.codes[0]))


def _tray_row(tray: Tray, counted: dict[str, int], known: dict[int, Tray]) -> TrayRow:
    signs = [f"{called or 'spares'} ({count})" for called, count in counted.items()]
    return TrayRow(
        tray, _stands(tray, known), sum(counted.values()), rules.some_of(signs) if signs else ""
    )


def _stands(tray: Tray, known: dict[int, Tray]) -> str:
    return rules.whereabouts(tray.stands_in, known) if tray.stands_in is not None else ""


def _can_work() -> bool:
    return current_actor().holds(*acts.BENCH)


# One tray. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class InTray:
    """A piece in a tray; `inside` names the bag in it that it lies in, '' where it lies in the tray itself."""

    code: str
    called: str
    stands: str
    is_picked: bool
    inside: str
    picture: SignPicture


@dataclass(frozen=True)
class TrayPage:
    """One tray, all that lies in it and in what stands in it; `holds` are the trays that stand in it themselves."""

    tray: Tray
    where: str
    held: list[InTray]
    signs: str
    holds: list[Tray]
    can_work: bool
    notice: Notice | None
    seen: str


@pages.get("/trays/<code>")
def tray(code: str) -> Response:
    """What lies in a tray, and the field that puts scanned pieces into it."""
    with snapshot() as db:
        view = _tray_page(db, codes.parse(code))
        return show(
            "bench/trays/tray.html", view, title=rules.start(view.tray.called), here="Stock"
        )


@pages.get("/trays/<code>/now")
def tray_now(code: str) -> Response | tuple[str, int]:
    """The same again, after Undo or where somebody else changed something."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("bench/trays/_tray.html", _tray_page(db, codes.parse(code)))


@pages.post("/trays/<code>/scan")
def scan_at_tray(code: str) -> Response:
    """A piece goes into the tray; of another tray's code the smaller of the two goes into the larger."""
    here, scanned = codes.parse(code), codes.parse(request.form.get("code", ""))
    with snapshot() as db:
        is_tray = code_store.kind_of(db, scanned) == "tray"
        both = (
            rules.inner_and_outer(*(trays.by_code(db, one) for one in (here, scanned)))
            if is_tray
            else ()
        )
    if is_tray:
        return _told_at_tray(here, do(acts.move_tray, *(one.code for one in both)))
    return _told_at_tray(here, do(acts.put_in, here, [scanned]))


@pages.post("/trays/<code>/out")
def out(code: str) -> Response:
    """A piece is taken out of the tray (or out of the bag in it that the form names)."""
    tray_code, piece = codes.parse(code), codes.parse(request.form.get("code", ""))
    return _told_at_tray(tray_code, do(acts.take_out, tray_code, [piece]))


@pages.post("/trays/<code>/alone")
def alone(code: str) -> Response:
    """The tray stands by itself."""
    return _told_at_tray(codes.parse(code), do(acts.move_tray, codes.parse(code)))


@pages.post("/trays/<code>/retire")
def retire(code: str) -> Response:
    """The tray is not used any more; back to the list."""
    return done(do(acts.retire_tray, codes.parse(code)), url_for("trays.all_of_them"))


def _told_at_tray(code: str, answer: Answer) -> Response:
    if not wants_fragment():
        return done(answer, url_for("trays.tray", code=code))
    with snapshot() as db:
        return fragment("bench/trays/_tray.html", _tray_page(db, code, notice_of(db, answer)))


def _tray_page(db: Connection, code: str, notice: Notice | None = None) -> TrayPage:
    found, known = trays.by_code(db, code), trays.all_trays(db)
    held = trays.lying_in(db, found.id)
    counted: dict[str, int] = {}
    for one in held:
        counted[one.sign_called] = counted.get(one.sign_called, 0) + 1
    return TrayPage(
        found,
        _stands(found, known),
        _in_tray(db, held, found, known),
        _tray_row(found, counted, known).signs,
        [other for other in known.values() if other.stands_in == found.id],
        _can_work() and not found.is_retired,
        notice,
        version(db),
    )


def _in_tray(
    db: Connection, held: Sequence[Lying], here: Tray, known: dict[int, Tray]
) -> list[InTray]:
    outlines = outline_store.by_ids(db, list({one.outline for one in held}))
    found = []
    for one in held:
        outline = outlines[one.outline]
        drawn = PicturePart(one.code, one.number or 1, one.name, outline, one.colour, one.state)
        picture = sign_picture(
            f"t{one.code}",
            [drawn],
            outline.width_mm,
            outline.height_mm,
            title="Its outline",
            box=SMALL,
            width_text="",
        )
        inside = "" if one.tray == here.id else known[one.tray].place
        found.append(
            InTray(
                one.code,
                rules.start(one.called),
                STANDS[one.state],
                one.picked_for is not None,
                inside,
                picture,
            )
        )
    return found


# The picking list of a sign. ------------------------------------------------------------------------------------------


@pages.get("/bench/<code>/pick")
def pick(code: str) -> Response:
    """The picking list; `?into=` names the tray that picked pieces go into, `?lit=` the parts just scanned."""
    with snapshot() as db:
        view = _pick_page(db, code, _lit())
        return show("bench/trays/pick.html", view, title=f"Pick {view.called}", here="Bench")


@pages.get("/bench/<code>/pick/now")
def pick_now(code: str) -> Response | tuple[str, int]:
    """The same again, after Undo or where somebody else changed something."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("bench/trays/_pick.html", _pick_page(db, code, _lit()))


@pages.post("/bench/<code>/pick")
def picked(code: str) -> Response:
    """A scan (`code`), a tap that picks (`pick`) or one that puts back (`back`). One that picks nothing says why and what
    can be done with the piece at once, and puts out what the last one lit: nobody is to take that for its answer."""
    sign, form = codes.parse(code), request.form
    scanned = form.get("back") or form.get("pick") or form.get("code", "")
    try:
        found = codes.parse(scanned)
        if form.get("back"):
            return _told_at_sign(sign, do(acts.put_back, sign, [found]))
        if _is_empty_tray(found):
            return go(url_for("trays.pick", code=sign, into=found))
        return _told_at_sign(sign, do(acts.pick, sign, found, _into_code()))
    except (Conflict, NotFound, Refused) as refusal:
        return _turned_away(sign, scanned, refusal)


@pages.post("/bench/<code>/pick/mark")
def mark(code: str) -> Response:
    """What a scan that picked nothing offered: a lost piece is found, one from the table is cut."""
    piece = codes.parse(request.form.get("piece", ""))
    return _told_at_sign(codes.parse(code), do(marks.mark, [piece], request.form.get("mark", "")))


def _is_empty_tray(code: str) -> bool:
    """True for a tray with nothing in it: picked pieces are to go into it."""
    with snapshot() as db:
        if code_store.kind_of(db, code) != "tray":
            return False
        found = trays.by_code(db, code)
        rules.must_be_in_use(found)
        return not trays.lying_in(db, found.id)


def _into_code() -> str | None:
    """The code of the tray that picked pieces go into; None: they stay on the bench."""
    return codes.parse(request.values["into"]) if request.values.get("into") else None


def _lit() -> tuple[int, ...]:
    """The parts that the page shows as just scanned."""
    found = [whole(text) for text in request.args.get("lit", "").split(",")[:MOST_LIT]]
    return tuple(part for part in found if part is not None)


def _told_at_sign(sign: str, answer: Answer) -> Response:
    parts = tuple(answer.data.get("parts", ()))
    if not wants_fragment():
        asked = {"lit": ",".join(map(str, parts)) or None, "into": _into_code()}
        return done(answer, url_for("trays.pick", code=sign, **asked))
    with snapshot() as db:
        view = _pick_page(db, sign, parts, notice_of(db, answer))
        return fragment(
            "bench/trays/_pick.html",
            replace(view, is_again=bool(parts) and not answer.data.get("changed", True)),
        )


def _turned_away(sign: str, scanned: str, refusal: ShopError) -> Response:
    notice = Notice(refusal.message, is_refusal=True)
    with snapshot() as db:
        try:
            away = picking.turned_away(db, jobs.sign_by_code(db, sign), codes.parse(scanned))
        except (NotFound, Refused):  # a tray, no code of ours, or none at all
            away = None
        view = _pick_page(db, sign, (), notice, away)
    status = STATUS[type(refusal)]
    if not wants_fragment():
        return show(
            "bench/trays/pick.html",
            view,
            title=f"Pick {view.called}",
            here="Bench",
            status=status,
            notice=notice,
        )
    return make_response(fragment("bench/trays/_pick.html", view), status)


def _pick_page(
    db: Connection,
    code: str,
    lit: Sequence[int],
    notice: Notice | None = None,
    away: picking.TurnedAway | None = None,
) -> picking.PickPage:
    sign, into = jobs.sign_by_code(db, codes.parse(code)), _into_code()
    tray = trays.by_code(db, into) if into else None
    return picking.picking_list(db, sign, current_actor(), version(db), lit, tray, notice, away)
