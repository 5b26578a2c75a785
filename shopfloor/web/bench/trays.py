"""Trays: the list of them, and what lies in one, with a field for the scanner. The picking list is in `picking`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, request, url_for

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
    answered,
    do,
    done,
    refreshed,
    show,
    snapshot,
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


@pages.get("/trays")
def all_of_them() -> Response:
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
        view = {"rows": rows, "kinds": kinds}
        return show("bench/trays/trays.html", view, title=wording.trays_title(), here="Stock")


@pages.post("/trays")
def make() -> Response:
    """Add a tray and go to its page."""
    answer = do(acts.make_tray, request.form.get("kind", ""), request.form.get("name", ""))
    return done(answer, url_for("trays.tray", code=answer.codes[0]))


def _tray_row(tray: Tray, counted: Mapping[str, int], known: dict[int, Tray]) -> TrayRow:
    signs = [wording.counted(sign or wording.spares(), count) for sign, count in counted.items()]
    held = wording.held(sum(counted.values()), wording.some_of(signs)) if signs else None
    return TrayRow(tray, _stands(tray, known), held)


def _stands(tray: Tray, known: dict[int, Tray]) -> Message | None:
    return rules.whereabouts(tray.stands_in, known) if tray.stands_in is not None else None


# One tray. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class InTray:
    """A piece in a tray; `inside` names the bag in it that it lies in, None where it lies in the tray itself."""

    piece: Lying
    stands: Message
    inside: Message | None
    picture: SignPicture


@pages.get("/trays/<code>")
def tray(code: str) -> Response:
    """Show what lies in a tray, and the field that puts scanned pieces into it."""
    with snapshot() as db:
        view = _tray_page(db, codes.parse(code))
        return show("bench/trays/tray.html", view, title=view["tray"].title, here="Stock")


@pages.get("/trays/<code>/now")
def tray_now(code: str) -> Response:
    """Show it again, after Undo or where somebody else changed something."""
    return refreshed("bench/trays/_tray.html", lambda db: _tray_page(db, codes.parse(code)))


@pages.post("/trays/<code>/scan")
def scan_at_tray(code: str) -> Response:
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
def out(code: str) -> Response:
    """Take a piece out of the tray, or out of a bag in it."""
    tray_code, piece = codes.parse(code), codes.parse(request.form.get("code", ""))
    return _answer(tray_code, do(acts.take_out, tray_code, [piece]))


@pages.post("/trays/<code>/alone")
def alone(code: str) -> Response:
    """Take the tray out of the one that it is in."""
    return _answer(codes.parse(code), do(acts.move_tray, codes.parse(code)))


@pages.post("/trays/<code>/retire")
def retire(code: str) -> Response:
    """Retire the tray and go back to the list."""
    return done(do(acts.retire_tray, codes.parse(code)), url_for("trays.all_of_them"))


def _answer(code: str, answer: Answer) -> Response:
    to = url_for("trays.tray", code=code)
    return answered(answer, to, "bench/trays/_tray.html", lambda db: _tray_page(db, code))


def _tray_page(db: Connection, code: str) -> dict[str, Any]:
    """Return one tray, all that lies in it and in the trays in it; `inner` are the trays directly in it."""
    tray, known = trays.by_code(db, code), trays.all_trays(db)
    lying = trays.lying_in(db, tray.id)
    counted = Counter(piece.sign_called for piece in lying)
    return {
        "tray": tray,
        "row": _tray_row(tray, counted, known),
        "pieces": _in_tray(db, lying, tray, known),
        "inner": [other for other in known.values() if other.stands_in == tray.id],
    }


def _in_tray(
    db: Connection, lying: Sequence[Lying], here: Tray, known: dict[int, Tray]
) -> list[InTray]:
    outlines = outline_store.by_ids(db, list({piece.outline for piece in lying}))
    return [
        InTray(
            piece,
            pieces_wording.standing(piece.state),
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
        title=wording.outline_title(),
        box=SMALL,
        width_text="",
    )
