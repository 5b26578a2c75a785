"""Labels to print: the PDF of a sheet's, a job's or one thing's labels, and the page on which their paper is chosen.

Owns how they are asked for. What a label says is put together in `actions/labels`, how it is drawn and how labels lie on
their paper is in `paper/labels` and `paper/label_layouts`.
"""

from __future__ import annotations

from flask import Blueprint, Response, current_app, request, url_for

from ...actions import labels as printing
from ...domain import codes
from ...domain.errors import NotFound, Refused
from ...domain.routing.sheets import Sheet
from ...domain.settings import Settings
from ...paper import qr
from ...paper.label_layouts import LABEL_LAYOUTS
from ...paper.labels import Label, ThingLabel
from ...scenes.scene import Shape
from ...store import codes as code_store
from ...store import jobs, ledger, sheets
from ...store import settings as setting_store
from ...store.db import Connection
from ...wording import labels as wording
from ...wording.message import Message
from ..page import current_shop, file, show, snapshot, whole
from ..pictures.svg import sign_picture
from ..security import set_cookie

COOKIE, COOKIE_DAYS = "shopfloor_labels", 3650
USUAL = "a4-3x8"
THUMB = (130, 84)  # px
INK = "#1b262c"

pages = Blueprint("labels", __name__)


@pages.get("/labels/<any(sheet, job, thing, act):kind>/<which>")
def choose(kind: str, which: str) -> Response:
    """Show the page before the PDF: which paper, and where on it to begin (`cells` are the numbers of a page's labels)."""
    with snapshot() as db:
        asked = f"act {which}" if kind == "act" and _job_of_act(db, which) else which
        labels = printing.found_labels(db, asked, current_app.config["ADDRESS"])
        name = chosen_layout()
        layout = LABEL_LAYOUTS[name]
        view = {
            "count": len(labels),
            "shown": _shown(labels[0]),
            "layouts": LABEL_LAYOUTS,
            "layout": name,
            "columns": layout.columns,
            "cells": range(layout.per_page if layout.per_page > 1 else 0),
            "pdf": _pdf_path(kind, which),
            "choose": url_for("labels.choose", kind=kind, which=which),
            "back": _back(db, kind, which),
            "address_warning": _address_warning(db),
        }
        title = wording.title(_what(db, kind, which))
        response = show("pieces/labels/labels.html", view, title=title, here="Sheets")
        return _remember(response, name)


def _pdf_path(kind: str, which: str) -> str:
    """The path of the PDF: a sheet or a thing is named by its code, a job or an act by its number."""
    if kind in ("sheet", "thing"):
        return url_for(f"labels.{kind}", code=which)
    return url_for(f"labels.{kind}", number=which)


def _address_warning(db: Connection) -> Message | None:
    """Why the address on the labels may not last; None where the shop has set its own."""
    own = setting_store.load(db).address
    if own != Settings().address:
        return None
    used = setting_store.load(db, current_app.config["ADDRESS"]).address
    if used != own:
        return wording.address_of_today(used)
    return wording.address_placeholder(used)


def _what(db: Connection, kind: str, which: str) -> Message:
    """What people call the thing: 'sheet S-201', 'J-1001', '4072 9153'."""
    if kind == "sheet":
        return wording.sheet(_sheet(db, which).number)
    if kind == "act":
        return wording.used_again(_job_of_act(db, which))
    if kind == "job":
        return wording.job(jobs.job_by_number(db, which).number)
    return wording.thing(codes.parse(which))


def _job_of_act(db: Connection, which: str) -> str:
    """Return the number of the job that an act changed. Raises NotFound."""
    number = whole(which)
    job = ledger.entry(db, number).answer["data"].get("job") if number is not None else None
    if not isinstance(job, str):
        raise NotFound(wording.no_labels_by_that_number())
    return job


def _back(db: Connection, kind: str, which: str) -> str:
    """Return the path of the page that the labels are for."""
    if kind == "sheet":
        return url_for("sheets.sheet", code=_sheet(db, which).code)
    if kind == "act":
        return url_for("jobs.job", number=_job_of_act(db, which))
    if kind == "job":
        return url_for("jobs.job", number=which)
    is_tray = code_store.kind_of(db, codes.parse(which)) == "tray"
    return url_for("trays.tray", code=which) if is_tray else url_for("scan.scan", code=which)


def _sheet(db: Connection, which: str) -> Sheet:
    """Return the sheet called 'S-201', or with that code. Raises NotFound."""
    if which[:1] in "Ss":
        return sheets.sheet_by_number(db, which)
    return sheets.sheet_by_code(db, codes.parse(which))


def _shown(label: Label | ThingLabel) -> dict[str, object]:
    """The label as the screen shows it. `qr` is (modules a side, path data); a piece has the rest too."""
    shown: dict[str, object] = {"label": label, "qr": qr.svg_path(label.url)}
    if isinstance(label, ThingLabel):
        return shown
    wide, high = label.outline.width_mm, label.outline.height_mm
    part = Shape(label.code, 1, "", label.outline, INK, "ready")
    title = wording.outline_title()
    return shown | {
        "outline": sign_picture(
            f"l{label.code}", [part], wide, high, title=title, box=THUMB, width_text=""
        ),
        "size": wording.size_mm(f"{wide:.0f}", f"{high:.0f}"),
        "attempt": wording.attempt(label.attempt),
        "tabs": wording.trim_tabs(label.tabs) if label.tabs else None,
    }


def chosen_layout() -> str:
    """Return the layout asked for, else the one remembered on this tablet, else the usual one. Raises Refused."""
    asked = request.args.get("layout")
    if asked is not None and asked not in LABEL_LAYOUTS:
        raise Refused(wording.no_such_layout(tuple(LABEL_LAYOUTS)))
    kept = request.cookies.get(COOKIE, "")
    return asked or (kept if kept in LABEL_LAYOUTS else USUAL)


def _remember(response: Response, layout: str) -> Response:
    if request.cookies.get(COOKIE) != layout:
        set_cookie(response, COOKIE, layout, days=COOKIE_DAYS)
    return response


@pages.get("/labels/sheet/<code>.pdf")
def sheet(code: str) -> Response:
    """Send the labels of a sheet's pieces, in walking order."""
    return _pdf(_sheet(current_shop().read(), code).number)


@pages.get("/labels/job/<number>.pdf")
def job(number: str) -> Response:
    """Send the labels of a job's pieces, sheet by sheet."""
    return _pdf(jobs.job_by_number(current_shop().read(), number).number)


@pages.get("/labels/act/<number>.pdf")
def act(number: str) -> Response:
    """Send the labels of pieces that a new drawing gave another place."""
    _job_of_act(current_shop().read(), number)
    return _pdf(f"act {number}")


@pages.get("/labels/thing/<code>.pdf")
def thing(code: str) -> Response:
    """Send the label of one piece, offcut, full sheet, sign or tray."""
    return _pdf(codes.parse(code))


def _pdf(what: str) -> Response:
    layout = chosen_layout()
    pdf, _ = printing.labels_of(
        current_shop(), what, layout, current_app.config["ADDRESS"], skip=_skip(layout)
    )
    return _remember(file(pdf, "application/pdf", f"labels-{what}.pdf"), layout)


def _skip(layout: str) -> int:
    """Return how many labels of the first page are gone already. Raises Refused."""
    text, most = request.args.get("skip", "") or "0", LABEL_LAYOUTS[layout].per_page - 1
    if not (text.isascii() and text.isdigit() and len(text) < 4 and int(text) <= most):
        raise Refused(wording.too_many_peeled_off(most))
    return int(text)
