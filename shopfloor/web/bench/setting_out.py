"""Setting out at the bench: choosing the datum, measuring a place, scanning a piece into its place. Taps are in `bench`.

Owns how these forms are read and answered; `setting_out_pages`, which the bench's page needs too, puts together what is shown.
"""

from __future__ import annotations

from dataclasses import replace

from flask import Blueprint, Response, g, request, url_for

from ...actions import placement as acts
from ...domain import codes, lengths
from ...domain.errors import NotFound
from ...domain.setting_out import placement
from ...domain.setting_out.setting_out import checked_datum, row_of
from ...store import bench as store
from ..page import (
    current_settings,
    do,
    done,
    form_number,
    fragment,
    go,
    notice_of,
    snapshot,
    wants_fragment,
    whole,
)
from ..scanned_things import must_be_piece
from ..security import set_cookie
from .bench import answer_at_sign, sign_page
from .setting_out_pages import COOKIE, datum_of_tablet

DAYS = 400  # as long as browsers keep a cookie

pages = Blueprint("setting_out", __name__)


@pages.get("/bench/<code>/datum")
def datum(code: str) -> Response:
    """Keep another datum on this tablet (`?datum=`) and go back to the sign."""
    chosen = checked_datum(request.args.get("datum", ""))
    response = go(_sign(code))
    set_cookie(response, COOKIE, chosen.replace(" ", "-"), DAYS)
    return response


@pages.post("/bench/<code>/measure")
def measure(code: str) -> Response:
    """Keep what was measured of one part (`across`, `up`, as typed). Its form stays open where the part is off."""
    step, part = form_number("step"), form_number("part")
    answer = do(acts.measure, step, part, *_measured(step, part))
    is_right = answer.data["is_right"]
    g.measuring = None if is_right else part
    if not wants_fragment():
        return done(answer, _sign(code, g.measuring))
    with snapshot() as db:
        notice = replace(notice_of(db, answer), is_refusal=not is_right)
        response = fragment("bench/_bench.html", sign_page(db, code), notice=notice)
    response.headers["HX-Replace-Url"] = _sign(code, g.measuring)
    return response


def _measured(step: int, part: int) -> tuple[float | None, float | None]:
    """The typed distances in mm: across from the sign's left edge (or along the line), and up. Raises Refused."""
    across, up = request.form.get("across", "").strip(), request.form.get("up", "").strip()
    units = current_settings().units
    if not across:
        return None, lengths.parse(up, units) if up else None
    datum = checked_datum(request.form.get("datum") or datum_of_tablet())
    with snapshot() as db:
        sign = store.sign_of_step(db, step)
        row = row_of(acts.rows_of(db, sign.id, sign.step(step), current_settings(), datum), part)
    if row.datum_mm > 0:  # a datum in the middle, with letters on both sides
        typed = placement.from_datum(across, units, row.letter(part).left_mm)
    else:
        typed = lengths.parse(across, units)
    return typed + row.datum_mm, lengths.parse(up, units) if up else None


@pages.post("/bench/<code>/scan-place")
def scan_place(code: str) -> Response:
    """Set out the piece that was scanned where it lies."""
    step, scanned = form_number("step"), codes.parse(request.form.get("code", ""))
    try:
        answer = do(acts.place_scanned, step, scanned)
    except NotFound:
        with snapshot() as db:
            must_be_piece(db, scanned)  # raises with what the code is instead
        raise
    return answer_at_sign(code, answer)


def _sign(code: str, measure: int | None = None) -> str:
    """The path of the sign's page, at the step that was shown, with a part's form open."""
    return url_for(
        "bench.sign", code=code, step=whole(request.args.get("step", "")), measure=measure
    )
