"""The ticket of a sheet on the screen and as a PDF, and the file for the machine, which is recorded when it is fetched.

Owns the page. What stands on the ticket is put together in actions/setup_sheets.py, drawn on paper by paper/setup_sheets.py.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from flask import Blueprint, Response, current_app, make_response, request, url_for

from ...actions import setup_sheets as actions
from ...domain.errors import Refused
from ...domain.routing.setup_sheets import SetupSheet
from ...domain.routing.sheets import LIVE
from ...store import sheets as store
from ...store.db import Connection
from ...store.sheets import SheetRow
from .. import paper_size
from ..page import (
    current_actor,
    current_settings,
    do,
    done,
    fragment,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures.pictures import SheetPicture
from ..pictures.sheet_pictures import is_crowded, picture_of

BOX = (1180, 300)
TYPES = {"svg": "image/svg+xml", "dxf": "application/dxf"}

pages = Blueprint("setup_sheets", __name__)


@dataclass(frozen=True)
class SetupSheetPage:
    """The ticket as the screen shows it. `rows` of zones count from the far side of the table, as one stands before it."""

    seen: str
    row: SheetRow
    setup_sheet: SetupSheet
    picture: SheetPicture
    ways: list[tuple[str, int]]
    zone_rows: tuple[tuple[int, ...], ...]
    has_skin: bool
    tabs: int
    paper: str
    papers: dict[str, str]
    is_live: bool
    can_act: bool
    is_large: bool


@pages.get("/sheets/<code>/ticket")
def setup_sheet(code: str):
    """The ticket."""
    with snapshot() as db:
        view = _page(db, code)
        return show(
            "sheets/setup_sheets/setup_sheet.html",
            view,
            title=f"{view.row.number}: ticket",
            here="Sheets",
        )


@pages.get("/sheets/<code>/ticket/now")
def now(code: str):
    """The ticket again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/setup_sheets/_setup_sheet.html", _page(db, code))


def _page(db: Connection, code: str) -> SetupSheetPage:
    view = actions.on_table(db, code)
    made = actions.setup_sheet_of(db, code, current_app.config["ADDRESS"])
    on_it = store.on_sheet(db, view.row.id)
    asked = request.args.get("large")
    is_large = asked == "1" or (asked is None and is_crowded(db, view.row, on_it, BOX))
    along, across = made.zone_grid
    zone_rows = tuple(
        tuple(row * along + column + 1 for column in range(along))
        for row in reversed(range(across))
    )
    return SetupSheetPage(
        version(db),
        view.row,
        made,
        picture_of(
            db,
            view.row,
            on_it,
            made.colour,
            BOX,
            held=view.held,
            numbers=view.order,
            is_large=is_large,
        ),
        actions.ways_counted(view.held),
        zone_rows,
        any(one.hold_down in ("skin", "tape") for one in view.held.values()),
        sum(len(piece.tabs) for piece in made.pieces),
        paper_size.chosen(actions.PAPERS),
        actions.PAPERS,
        view.row.state in LIVE,
        current_actor().holds("operator"),
        is_large,
    )


@pages.get("/sheets/<code>/ticket.pdf")
def pdf(code: str) -> Response:
    """The ticket on paper; the paper is remembered."""
    with snapshot() as db:
        made = actions.setup_sheet_of(db, code, current_app.config["ADDRESS"])
    paper = paper_size.chosen(actions.PAPERS)
    response = make_response(actions.printed(made, paper, current_settings()))
    response.headers.update(
        {
            "Content-Type": "application/pdf",
            "Content-Disposition": f'inline; filename="{made.sheet}-ticket.pdf"',
        }
    )
    paper_size.remember(response, paper)
    return response


@pages.post("/sheets/<code>/file/<kind>")
def machine_file(code: str, kind: str) -> Response:
    """The file for the machine; that it went there is recorded with its checksum."""
    current_actor().must_hold(("operator",))
    if kind not in TYPES:
        raise Refused(f"Choose one of these kinds of file: {', '.join(TYPES)}.")
    with snapshot() as db:
        name, content, view = actions.file_for(db, code, kind)
    answer = do(
        actions.record_file,
        code,
        name,
        hashlib.sha256(content).hexdigest(),
        actions.layout_mark(view),
    )
    if wants_fragment():
        return done(answer, url_for("setup_sheets.setup_sheet", code=code))
    response = make_response(content)
    response.headers.update(
        {"Content-Type": TYPES[kind], "Content-Disposition": f'attachment; filename="{name}"'}
    )
    return response
