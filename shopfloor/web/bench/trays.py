"""Trays: the list of them, and what lies in one, with a field for the scanner. The picking list is in `picking`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, request, url_for
from flask.typing import ResponseReturnValue

from ...actions import trays as acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain.bench import trays as rules
from ...domain.bench.trays import Tray
from ...domain.outlines import Outline
from ...scenes.scene import Shape
from ...store import codes as code_store
from ...store import outlines as outline_store
from ...store import trays
from ...store.db import Connection
from ...store.trays import Lying
from ...wording import pieces as pieces_wording
from ...wording import trays as wording
from ...wording.message import Message
from ..page import (
    Notice,
    current_actor,
    do,
    done,
    fragment,
    notice_of,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures.svg import SignPicture, sign_picture

SMALL = (110, 84)  # room for the outline of a piece, px

pages = Blueprint("trays", __name__)


# The list of trays. ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TrayRow:
    """A tray in the list. `where` it is (None: in no other one); `held` says how many pieces lie in it, or in what
    is in it, and for which signs (None for no piece)."""

    tray: Tray
    where: Message | None
    held: Message | None


@dataclass(frozen=True)
class AllTrays:
    """All trays in use, shelves first; `kinds` are (kind, words) of what a new one may be."""

    rows: list[TrayRow]
    kinds: list[tuple[str, Message]]
    can_work: bool


@pages.get("/trays")
def all_of_them() -> ResponseReturnValue:
    """Show all trays in use, and the form for a new one."""
    with snapshot() as db:
        known = trays.all_trays(db)
        inside = rules.summed_up(trays.counts(db), known)
        rows = [
            _tray_row(tray, inside.get(tray.id, {}), known)
            for tray in known.values()
            if not tray.is_retired
        ]
        rows.sort(key=lambda row: -rules.KINDS.index(row.tray.kind))
        kinds = [(kind, wording.kind_name(kind)) for kind in rules.KINDS]
        view = AllTrays(rows, kinds, _can_work())
        return show("bench/trays/trays.html", view, title=str(wording.trays_title()), here="Stock")


@pages.post("/trays")
def make() -> ResponseReturnValue:
    """Add a tray and go to its page."""
    answer = do(acts.make_tray, request.form.get("kind", ""), request.form.get("name", ""))
    return done(answer, url_for("trays.tray", code=answer.codes[0]))


def _tray_row(tray: Tray, counted: Mapping[str, int], known: dict[int, Tray]) -> TrayRow:
    signs = [wording.counted(sign or wording.spares(), count) for sign, count in counted.items()]
    held = wording.held(sum(counted.values()), wording.some_of(signs)) if signs else None
    return TrayRow(tray, _stands(tray, known), held)


def _stands(tray: Tray, known: dict[int, Tray]) -> Message | None:
    return rules.whereabouts(tray.stands_in, known) if tray.stands_in is not None else None


def _can_work() -> bool:
    return current_actor().holds(*acts.BENCH)


# One tray. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class InTray:
    """A piece in a tray; `inside` names the bag in it that it lies in, None where it lies in the tray itself."""

    code: str
    called: Message
    stands: Message
    is_picked: bool
    inside: Message | None
    picture: SignPicture


@dataclass(frozen=True)
class TrayPage:
    """One tray, all that lies in it and in the trays in it; `holds` are the trays directly in it."""

    row: TrayRow
    pieces: list[InTray]
    holds: list[Tray]
    can_work: bool
    notice: Notice | None
    seen: str

    @property
    def tray(self) -> Tray:
        """The tray itself."""
        return self.row.tray


@pages.get("/trays/<code>")
def tray(code: str) -> ResponseReturnValue:
    """Show what lies in a tray, and the field that puts scanned pieces into it."""
    with snapshot() as db:
        view = _tray_page(db, codes.parse(code))
        return show("bench/trays/tray.html", view, title=str(view.tray.title), here="Stock")


@pages.get("/trays/<code>/now")
def tray_now(code: str) -> ResponseReturnValue:
    """Show it again, after Undo or where somebody else changed something."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("bench/trays/_tray.html", _tray_page(db, codes.parse(code)))


@pages.post("/trays/<code>/scan")
def scan_at_tray(code: str) -> ResponseReturnValue:
    """Put a piece into the tray; of another tray's code the smaller of the two goes into the larger."""
    here, scanned = codes.parse(code), codes.parse(request.form.get("code", ""))
    with snapshot() as db:
        is_tray = code_store.kind_of(db, scanned) == "tray"
        if is_tray:
            both = trays.by_code(db, here), trays.by_code(db, scanned)
            inner, outer = rules.inner_and_outer(*both)
    if is_tray:
        return _answer(here, do(acts.move_tray, inner.code, outer.code))
    return _answer(here, do(acts.put_in, here, [scanned]))


@pages.post("/trays/<code>/out")
def out(code: str) -> ResponseReturnValue:
    """Take a piece out of the tray, or out of a bag in it."""
    tray_code, piece = codes.parse(code), codes.parse(request.form.get("code", ""))
    return _answer(tray_code, do(acts.take_out, tray_code, [piece]))


@pages.post("/trays/<code>/alone")
def alone(code: str) -> ResponseReturnValue:
    """Take the tray out of the one that it is in."""
    return _answer(codes.parse(code), do(acts.move_tray, codes.parse(code)))


@pages.post("/trays/<code>/retire")
def retire(code: str) -> ResponseReturnValue:
    """Retire the tray and go back to the list."""
    return done(do(acts.retire_tray, codes.parse(code)), url_for("trays.all_of_them"))


def _answer(code: str, answer: Answer) -> ResponseReturnValue:
    if not wants_fragment():
        return done(answer, url_for("trays.tray", code=code))
    with snapshot() as db:
        return fragment("bench/trays/_tray.html", _tray_page(db, code, notice_of(db, answer)))


def _tray_page(db: Connection, code: str, notice: Notice | None = None) -> TrayPage:
    tray, known = trays.by_code(db, code), trays.all_trays(db)
    lying = trays.lying_in(db, tray.id)
    counted: dict[str, int] = {}
    for piece in lying:
        counted[piece.sign_called] = counted.get(piece.sign_called, 0) + 1
    return TrayPage(
        _tray_row(tray, counted, known),
        _in_tray(db, lying, tray, known),
        [other for other in known.values() if other.stands_in == tray.id],
        _can_work() and not tray.is_retired,
        notice,
        version(db),
    )


def _in_tray(
    db: Connection, lying: Sequence[Lying], here: Tray, known: dict[int, Tray]
) -> list[InTray]:
    outlines = outline_store.by_ids(db, list({piece.outline for piece in lying}))
    return [
        InTray(
            piece.code,
            piece.called,
            pieces_wording.standing(piece.state),
            piece.picked_for is not None,
            known[piece.tray].place if piece.tray not in (None, here.id) else None,
            _picture(piece, outlines[piece.outline]),
        )
        for piece in lying
    ]


def _picture(piece: Lying, outline: Outline) -> SignPicture:
    drawn = Shape(piece.code, piece.number or 1, piece.name, outline, piece.colour, piece.state)
    return sign_picture(
        f"t{piece.code}",
        [drawn],
        outline.width_mm,
        outline.height_mm,
        title=str(wording.outline_title()),
        box=SMALL,
        width_text="",
    )
