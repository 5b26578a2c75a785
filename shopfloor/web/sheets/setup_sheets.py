"""The setup sheet of a sheet on the screen and as a PDF, and the file for the machine, which is recorded when it is fetched.

Owns the page. The setup sheet is put together in actions/setup_sheets.py and drawn on paper by paper/setup_sheets.py.
"""

from __future__ import annotations

import hashlib
import math

from flask import Blueprint, Response, current_app, redirect, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from ...actions import setup_sheets as actions
from ...domain.errors import Refused
from ...domain.routing.running_time import Estimate
from ...domain.routing.setup_sheets import SetupSheet
from ...domain.routing.sheets import LIVE
from ...store import sheets as store
from ...store.db import Connection
from ...wording import routing as file_wording
from ...wording import setup_sheets as wording
from ...wording.message import Message
from .. import paper_size
from ..page import (
    current_actor,
    current_settings,
    do,
    done,
    file,
    refreshed,
    show,
    snapshot,
    wants_fragment,
)
from ..pictures.sheet_pictures import is_crowded, picture_of

BOX = (1180, 300)
TYPES = {"svg": "image/svg+xml", "dxf": "application/dxf"}

pages = Blueprint("setup_sheets", __name__)


@pages.get("/sheets/<code>/setup-sheet")
def setup_sheet(code: str) -> Response:
    """The setup sheet."""
    with snapshot() as db:
        title = wording.title(store.sheet_by_code(db, code).number)
        return show(
            "sheets/setup_sheets/setup_sheet.html", _page(db, code), title=title, here="Sheets"
        )


@pages.get("/sheets/<code>/setup-sheet/now")
def now(code: str) -> Response:
    """The setup sheet again, where something changed."""
    return refreshed("sheets/setup_sheets/_setup_sheet.html", lambda db: _page(db, code))


def _page(db: Connection, code: str) -> dict[str, object]:
    """The setup sheet on the screen. `zone_rows` count from the far side of the table, as seen by the operator."""
    on = actions.on_table(db, code)
    made = actions.setup_sheet_of(db, code, current_app.config["ADDRESS"])
    on_it = store.on_sheet(db, on.row.id)
    asked = request.args.get("large")
    is_large = asked == "1" or (asked is None and is_crowded(db, on.row, BOX))
    along, across = made.zone_grid
    zone_rows = tuple(
        tuple(row * along + column + 1 for column in range(along))
        for row in reversed(range(across))
    )
    return {
        "row": on.row,
        "setup_sheet": made,
        "words": _words(made),
        "picture": picture_of(
            db,
            on.row,
            on_it,
            made.colour,
            BOX,
            held=on.held,
            numbers=on.order,
            is_large=is_large,
        ),
        "ways": actions.ways_counted(on.held),
        "zone_rows": zone_rows,
        "has_skin": any(held.hold_down in ("skin", "tape") for held in on.held.values()),
        "paper": paper_size.chosen(actions.PAPERS),
        "papers": actions.PAPERS,
        "is_live": on.row.state in LIVE,
        "is_large": is_large,
    }


def _words(made: SetupSheet) -> dict[str, Message | None]:
    """What a setup sheet says in whole lines; the paper says the same."""
    feeds, file = made.feeds, made.file
    tabs = sum(len(piece.tabs) for piece in made.pieces)
    share = feeds.start_feed_mm_min / feeds.feed_mm_min
    return {
        "reach": wording.cuts_deep(f"{made.cutter.reach_mm:g} mm"),
        "feed": wording.start_feed(_rate(feeds.start_feed_mm_min), share, _rate(feeds.feed_mm_min)),
        "power": wording.power(round(feeds.power_w), round(feeds.spindle_w)),
        "tabs": wording.tabs(tabs, f"{made.tab_length_mm:g} mm", f"{made.tab_thickness_mm:g} mm")
        if tabs
        else None,
        "order": wording.order(),
        "zones": wording.open_zones(made.zones),
        "minutes": _minutes(made.estimate),
        "minutes_from": _minutes_from(made.estimate),
        "file": wording.file_sent(file.name, file.sent_at, file.by_name, file.sha256[:12])
        if file
        else wording.no_file(),
        "old_file": wording.old_file(file.name, file.sent_at, file.nest_number)
        if file and file.is_stale
        else None,
        "lines": wording.lines_are_outlines(),
    }


def _rate(mm_min: float) -> str:
    return f"{mm_min:,.0f} mm/min"


def _minutes(estimate: Estimate) -> Message:
    low, high = math.floor(estimate.low), math.ceil(estimate.high)
    return wording.minutes(max(1, round(estimate.minutes)), max(1, low), high)


def _minutes_from(estimate: Estimate) -> Message:
    path, learned = f"{estimate.path_min:.1f}", estimate.correction
    if not learned.sheets:
        return wording.minutes_so_far(path)
    return wording.minutes_corrected(path, f"{learned.factor:.2f}", learned.sheets)


@pages.get("/sheets/<code>/ticket")
@pages.get("/sheets/<code>/ticket/now")
@pages.get("/sheets/<code>/ticket.pdf")
def old_address(code: str) -> BaseResponse:
    """Go on from an address of an earlier version."""
    query = request.query_string.decode()
    path = request.path.replace("/ticket", "/setup-sheet")
    return redirect(f"{path}?{query}" if query else path, 308)


@pages.get("/sheets/<code>/setup-sheet.pdf")
def pdf(code: str) -> Response:
    """The setup sheet on paper; the paper is remembered."""
    with snapshot() as db:
        made = actions.setup_sheet_of(db, code, current_app.config["ADDRESS"])
    paper = paper_size.chosen(actions.PAPERS)
    content, name = (
        actions.printed(made, paper, current_settings()),
        f"{made.sheet}-setup-sheet.pdf",
    )
    return paper_size.remember(file(content, "application/pdf", name), paper)


@pages.post("/sheets/<code>/file/<kind>")
def machine_file(code: str, kind: str) -> Response:
    """The file for the machine; it is recorded with its checksum."""
    current_actor().must_hold(("operator",))
    if kind not in TYPES:
        raise Refused(file_wording.choose_a_kind(tuple(TYPES)))
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
    return file(content, TYPES[kind], name, "attachment")
