"""The Floor: every sign under way as a progress picture, on the wall or on a tablet.

Owns the order of the tiles and the headline of several like plates on one. Changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, current_app, url_for

from ...domain.bench import steps as rules
from ...domain.bench.headline import READY, Headline, headline
from ...domain.bench.steps import Sign
from ...store import bench
from ...store.db import Connection
from ...wording import headline as headline_wording
from ...wording import jobs as wording
from ...wording.message import Message, joined
from ..page import current_settings, local_now, refreshed, show, snapshot
from ..pictures import sign_pictures
from ..pictures.svg import SignPicture

LARGE = (590, 138)  # room for one sign, px
ROW, ROW_HEIGHT = 590, 112  # room for plates side by side
PLATE_MM = 300  # plates up to this size, several alike in a job, share a tile
MOST_PLATES = 8

pages = Blueprint("floor", __name__)


@dataclass(frozen=True)
class Tile:
    """A tile of the Floor: its `plates`, `first` among them. `width_text` is of several plates side by side, '' for one."""

    first: Sign
    called: Message | str
    name: Message | str
    is_late: bool
    will_be_late: bool
    headline: Headline
    plates: list[tuple[Sign, SignPicture]]
    width_text: str


@pages.get("/floor")
@pages.get("/")
def floor() -> Response:
    """Show every sign under way."""
    with snapshot() as db:
        return show("jobs/floor/floor.html", _floor(db), title=wording.floor(), here="Floor")


@pages.get("/floor/now")
def now() -> Response:
    """Show the tiles for a page that refreshes itself; nothing where nothing changed."""
    return refreshed("jobs/floor/_tiles.html", _floor)


def _floor(db: Connection) -> dict[str, object]:
    """The tiles, ready ones first; `signs` and `ready` count signs; `jobs_href` is where a drawing is taken in."""
    now, zone = local_now(), ZoneInfo(current_settings().zone)
    signs, hours = bench.benches(db), bench.shortest_cure(db)
    late = {sign.id for sign in signs if rules.will_be_late(sign, now, zone, hours)}
    lines = {sign.id: headline(sign, now) for sign in signs}
    tiles = [_tile(db, group, lines, late, now) for group in _grouped(db, signs)]
    tiles.sort(key=lambda tile: (tile.headline.rank, tile.first.due, str(tile.called)))
    ready = sum(line.rank == READY for line in lines.values())
    jobs = url_for("jobs.jobs") if "jobs.jobs" in current_app.view_functions else None
    return {"tiles": tiles, "signs": len(signs), "ready": ready, "jobs_href": jobs}


def _grouped(db: Connection, signs: list[Sign]) -> list[list[Sign]]:
    """Return the signs that share a tile: small ones of one job and one size. Any other has a tile of its own."""

    def kind(sign: Sign) -> tuple[str, ...]:
        shape = sign_pictures.shape_of(db, sign.id)
        is_small = max(shape.width_mm, shape.height_mm) <= PLATE_MM
        size = (shape.width_mm, shape.height_mm) if is_small else (sign.id,)
        return sign.job, *map(str, size)

    groups: list[list[Sign]] = []
    for _, group in groupby(sorted(signs, key=lambda sign: (*kind(sign), sign.id)), kind):
        alike = list(group)
        groups += [alike[at : at + MOST_PLATES] for at in range(0, len(alike), MOST_PLATES)]
    return groups


def _tile(
    db: Connection, signs: list[Sign], lines: dict[int, Headline], late: set[int], now: datetime
) -> Tile:
    first, is_one = signs[0], len(signs) == 1
    box = LARGE if is_one else (ROW // max(len(signs), 3), ROW_HEIGHT)
    plates = [(sign, sign_pictures.picture_of(db, sign, box, has_sizes=is_one)) for sign in signs]
    width_mm = sign_pictures.shape_of(db, first.id).width_mm
    return Tile(
        first=first,
        called=f"{first.job} {first.mark}"
        if is_one
        else wording.marks_from_to(first.job, first.mark, signs[-1].mark),
        name=first.name if is_one else _common([sign.name for sign in signs]),
        is_late=first.due < f"{now:%Y-%m-%d}",
        will_be_late=any(sign.id in late for sign in signs),
        headline=lines[first.id]
        if is_one
        else together([(sign.mark, lines[sign.id]) for sign in signs]),
        plates=plates,
        width_text="" if is_one else str(wording.plates_wide(len(signs), width_mm)),
    )


def _common(names: Sequence[str]) -> Message | str:
    """Return the first words that the names share; else 'first to last'."""
    shared = []
    for alike in zip(*(name.split() for name in names), strict=False):
        if len(set(alike)) > 1:
            break
        shared.append(alike[0])
    return " ".join(shared).rstrip(" ,:–-") or wording.names_from_to(names[0], names[-1])


def together(lines: Sequence[tuple[str, Headline]]) -> Headline:
    """Return one headline for several signs of a job, given as (mark, headline): the best of them, then the others."""
    best = min((line for _, line in lines), key=lambda line: line.rank)
    marks_of: dict[Message, list[str]] = {best.big: []}
    for mark, line in lines:
        marks_of.setdefault(line.big, []).append(mark)
    if len(marks_of) == 1:
        is_alike = len({line.small for _, line in lines}) == 1
        return best if is_alike else replace(best, small=None)
    big = headline_wording.of_signs(marks_of.pop(best.big), best.big)
    others = (headline_wording.of_signs_sentence(marks, big) for big, marks in marks_of.items())
    return replace(best, big=big, small=joined(others))
