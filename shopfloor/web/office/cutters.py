"""Office's list of cutters: each drawn from the side, what it is used for, and a form for one more.

Owns how the list is asked for and answered, and how a cutter is drawn. Must not decide what may be said of one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import cutters as actions
from ...actions.cutting_setup import usual_cutter
from ...domain.routing.cutters import EDGES, Cutter
from ...domain.settings import Settings
from ...store import cutters as store
from ...store.db import Connection
from ...wording import cutting as wording
from ...wording import office as office_wording
from ...wording.message import Message
from ..page import current_actor, current_settings, do, done, show, snapshot

LONGEST_PX, HIGHEST_PX, SHANK_PX = (
    150,
    64,
    30,
)  # the longest edge, the thickest cutter, and what is seen of a shank
LEAST_PX = 6  # a cutter is never drawn thinner or shorter
MOST_LINES = 24  # of a helix
FIELDS = ("name", "diameter_mm", "flutes", "edge", "is_polished", "helix_deg", "reach_mm")

pages = Blueprint("cutters", __name__)


@dataclass(frozen=True)
class Side:
    """A cutter from the side, in pixels: `cutting_px` of `wide_px` cut, the rest is shank. `flutes` are the edges' lines."""

    wide_px: int
    high_px: int
    cutting_px: int
    flutes: tuple[str, ...]
    reach: str
    diameter: str


@pages.get("/office/cutters")
def cutters() -> Response:
    """The cutters of the shop."""
    current_actor().must_hold(("owner",))
    with snapshot() as db:
        shop_settings = current_settings()
        listed = [usual_cutter(shop_settings), *store.cutters(db)]
        rows = [_row(db, one, shop_settings, _scale(listed)) for one in listed]
        view = {
            "rows": rows,
            "edges": [(edge, wording.edge_and_its_effect(edge)) for edge in EDGES],
            "usual_helix": wording.usual_helix(EDGES["up-cut"]),
        }
        return show(
            "office/cutters.html",
            view,
            title=office_wording.page_title("cutters"),
            here="Office",
        )


def _row(
    db: Connection, cutter: Cutter, shop_settings: Settings, scale: float
) -> dict[str, object]:
    used: list[Message | str] = [*store.stocks_cut_with(db, cutter.id)]
    if shop_settings.cutter == cutter.id:
        used.append(wording.everything_else())
    angle = abs(cutter.helix_deg)
    helix = wording.helix(angle, cutter.helix_deg > 0) if angle else None
    return {
        "cutter": cutter,
        "drawn": drawn(cutter, scale),
        "helix": helix,
        "used_for": used,
    }


def drawn(cutter: Cutter, scale: float) -> Side:
    """A cutter from the side, at `scale` pixels a mm."""
    long, high = (max(LEAST_PX, round(mm * scale)) for mm in (cutter.reach_mm, cutter.diameter_mm))
    lines = tuple(_edges(cutter, long, high))
    return Side(
        long + SHANK_PX, high, long, lines, f"{cutter.reach_mm:g}", f"{cutter.diameter_mm:g}"
    )


def _scale(cutters: Sequence[Cutter]) -> float:
    """One for all, so that their sizes can be compared."""
    longest, widest = max(one.reach_mm for one in cutters), max(one.diameter_mm for one in cutters)
    return min(LONGEST_PX / longest, HIGHEST_PX / widest)


def _edges(cutter: Cutter, long: int, high: int) -> Iterator[str]:
    """The edges as lines: along the cutter where they are straight, else as a helix shows from the side, drawn straight.

    Half a turn is seen, and one turn of a helix on a cylinder takes π D / tan(helix) of its length (plane geometry). A
    compression cutter's are turned over at half its length.
    """
    if not cutter.helix_deg:
        yield from (
            f"M1 {high * nth / (cutter.flutes + 1):.1f}H{long}"
            for nth in range(1, cutter.flutes + 1)
        )
        return
    turn = math.pi * high / math.tan(math.radians(abs(cutter.helix_deg)))
    step = max(turn / cutter.flutes, long / MOST_LINES)
    for nth in range(math.ceil(long / step)):
        at = nth * step
        share = min(1.0, (long - at) / (turn / 2))
        is_up = cutter.helix_deg > 0 and not (cutter.edge == "compression" and at >= long / 2)
        begin, end = (high, high * (1 - share)) if is_up else (0, high * share)
        yield f"M{at:.1f} {begin:.1f}L{at + turn / 2 * share:.1f} {end:.1f}"


@pages.post("/office/cutters")
def add() -> Response:
    """A further cutter."""
    values = {name: request.form.get(name, "") for name in FIELDS}
    return done(do(actions.add_cutter, values), url_for("cutters.cutters"))


@pages.post("/office/cutters/<int:id>/retire")
def retire(id: int) -> Response:
    """A cutter is worn out or gone."""
    return done(do(actions.retire_cutter, id), url_for("cutters.cutters"))
