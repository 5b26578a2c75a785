"""Labels to print: the PDF of a sheet's, a job's or one thing's labels, and the page on which their paper is chosen.

Owns the way there and what is remembered of it. What stands on a label is in `actions/labels`, how it lies on paper in
`paper/labels`.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, current_app, request, url_for

from ...actions import labels as printing
from ...domain import codes
from ...domain.errors import NotFound, Refused
from ...domain.routing.sheets import Sheet
from ...domain.settings import Settings
from ...paper import qr
from ...paper.labels import LAYOUTS, Label, Layout, ThingLabel
from ...store import codes as code_store
from ...store import jobs, ledger, sheets
from ...store import settings as setting_store
from ..page import current_shop, show, snapshot, whole
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from ..security import set_cookie

COOKIE, COOKIE_DAYS = "shopfloor_labels", 3650
USUAL = "a4-3x8"
THUMB = (130, 84)  # px
INK = "#1b262c"

pages = Blueprint("labels", __name__)


@dataclass(frozen=True)
class Shown:
    """The first label as the screen shows it. `qr` is (modules a side, path data)."""

    label: Label | ThingLabel
    qr: tuple[int, str]
    outline: SignPicture | None
    size: str


@dataclass(frozen=True)
class LabelsPage:
    """What is to be printed, on what. `cells` are the numbers of a page's labels, none where it holds one.

    `still` says why the address on the labels may not last, '' where the shop has set its own.
    """

    kind: str
    which: str
    what: str
    count: int
    shown: Shown
    layouts: dict[str, Layout]
    layout: str
    columns: int
    cells: range
    pdf: str
    choose: str
    back: str
    back_words: str
    address: str
    still: str


@pages.get("/labels/<any(sheet, job, thing, act):kind>/<which>")
def choose(kind: str, which: str) -> Response:
    """The page before the PDF: which paper, and where on it to begin."""
    with snapshot() as db:
        asked = f"act {which}" if kind == "act" and _job_of_act(db, which) else which
        found = printing.found_labels(db, asked, current_app.config["ADDRESS"])
        layout = chosen_layout()
        per_page = LAYOUTS[layout].per_page
        own = setting_store.load(db)
        address = setting_store.load(db, current_app.config["ADDRESS"]).address
        view = LabelsPage(
            kind=kind,
            which=which,
            what=_what(db, kind, which),
            count=len(found),
            shown=_shown(found[0]),
            layouts=LAYOUTS,
            layout=layout,
            columns=LAYOUTS[layout].columns,
            cells=range(per_page if per_page > 1 else 0),
            pdf=url_for(
                f"labels.{kind}", **{"code" if kind in ("sheet", "thing") else "number": which}
            ),
            choose=url_for("labels.choose", kind=kind, which=which),
            address=address,
            still=_still(own, address),
            back=_back(db, kind, which),
            back_words="Back",
        )
        return _remember(
            show("pieces/labels/labels.html", view, title=f"Labels of {view.what}", here="Sheets"),
            layout,
        )


def _still(own: Settings, address: str) -> str:
    if own.address != Settings().address:
        return ""
    if address != own.address:
        return "this server's own address of today"
    return "a name that stands in until the shop's own is set"


def _what(db, kind: str, which: str) -> str:
    """What people call the thing: 'S-201', 'J-1001', '4072 9153'."""
    if kind == "sheet":
        return f"sheet {_sheet_number(db, which)}"
    if kind == "act":
        return f"pieces used again for {_job_of_act(db, which)}"
    return jobs.job_by_number(db, which).number if kind == "job" else codes.show(codes.parse(which))


def _job_of_act(db, which: str) -> str:
    """The number of the job that an act changed. Raises NotFound."""
    number = whole(which)
    job = ledger.entry(db, number).answer["data"].get("job") if number is not None else None
    if job is None:
        raise NotFound("There are no labels by that number: go by the job's page.")
    return job


def _back(db, kind: str, which: str) -> str:
    """The page of what the labels are for."""
    if kind == "sheet":
        return url_for("sheets.sheet", code=_sheet(db, which).code)
    if kind == "act":
        return url_for("jobs.job", number=_job_of_act(db, which))
    if kind == "job":
        return url_for("jobs.job", number=which)
    is_tray = code_store.kind_of(db, codes.parse(which)) == "tray"
    return url_for("trays.tray", code=which) if is_tray else url_for("scan.scan", code=which)


def _sheet_number(db, which: str) -> str:
    return _sheet(db, which).number


def _sheet(db, which: str) -> Sheet:
    """The sheet called 'S-201', or with that code. Raises NotFound."""
    return (
        sheets.sheet_by_number(db, which)
        if which[:1] in "Ss"
        else sheets.sheet_by_code(db, codes.parse(which))
    )


def _shown(label: Label | ThingLabel) -> Shown:
    if isinstance(label, ThingLabel):
        return Shown(label, qr.svg_path(label.url), None, "")
    wide, high = label.outline.width_mm, label.outline.height_mm
    part = PicturePart(label.code, 1, "", label.outline, INK, "ready")
    picture = sign_picture(
        f"l{label.code}", [part], wide, high, title="The outline", box=THUMB, width_text=""
    )
    return Shown(label, qr.svg_path(label.url), picture, f"{wide:.0f} × {high:.0f} mm")


def chosen_layout() -> str:
    """The layout asked for, else the one remembered on this tablet, else the usual one. Raises Refused."""
    asked = request.args.get("layout")
    if asked is not None and asked not in LAYOUTS:
        raise Refused(f"There is no such label layout: choose one of {', '.join(LAYOUTS)}.")
    kept = request.cookies.get(COOKIE, "")
    return asked or (kept if kept in LAYOUTS else USUAL)


def _remember(response: Response, layout: str) -> Response:
    if request.cookies.get(COOKIE) != layout:
        set_cookie(response, COOKIE, layout, days=COOKIE_DAYS)
    return response


@pages.get("/labels/sheet/<code>.pdf")
def sheet(code: str) -> Response:
    """The labels of a sheet's pieces, in walking order."""
    with snapshot() as db:
        called = _sheet_number(db, code)
    return _pdf(called)


@pages.get("/labels/job/<number>.pdf")
def job(number: str) -> Response:
    """The labels of a job's pieces, sheet by sheet."""
    with snapshot() as db:
        called = jobs.job_by_number(db, number).number
    return _pdf(called)


@pages.get("/labels/act/<number>.pdf")
def act(number: str) -> Response:
    """The labels of pieces that a new drawing gave another place."""
    with snapshot() as db:
        _job_of_act(db, number)
    return _pdf(f"act {number}")


@pages.get("/labels/thing/<code>.pdf")
def thing(code: str) -> Response:
    """The label of one piece, offcut or sign."""
    parsed = codes.parse(code)
    return _pdf(parsed)


def _pdf(what: str) -> Response:
    layout = chosen_layout()
    pdf, _ = printing.labels_of(
        current_shop(), what, layout, current_app.config["ADDRESS"], skip=_skip(layout)
    )
    response = Response(pdf, mimetype="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="labels-{what}.pdf"'
    return _remember(response, layout)


def _skip(layout: str) -> int:
    """How many labels of the first page are peeled off already. Raises Refused."""
    text, most = request.args.get("skip", "") or "0", LAYOUTS[layout].per_page - 1
    if not (text.isascii() and text.isdigit() and len(text) < 4 and int(text) <= most):
        raise Refused(
            f"Of this paper 0 to {most} labels may be peeled off already: choose where to begin."
        )
    return int(text)
