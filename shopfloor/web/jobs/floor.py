"""The Floor: every sign under way as its own progress picture, on the wall or on the tablet.

Owns the order of the tiles and what one tile says of several like plates. Must not change anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from flask import Blueprint, Response, current_app, url_for

from ...domain import lengths
from ...domain.bench import steps as rules
from ...domain.bench.headline import READY, Headline, headline
from ...domain.bench.steps import Sign
from ...store import bench
from ...store.db import Connection
from ...wording import headline as headline_wording
from ...wording.message import Message, joined
from ..page import current_settings, fragment, local_now, show, snapshot, unchanged, version
from ..pictures import sign_pictures
from ..pictures.pictures import SignPicture

LARGE = (590, 138)  # room for one sign, px
ROW, ROW_HEIGHT = 590, 112  # room for plates side by side
PLATE_MM = 300  # plates up to this size, several alike in a job, share a tile
MOST_PLATES = 8

pages = Blueprint("floor", __name__)


@dataclass(frozen=True)
class Plate:
    """One sign of a tile: its picture and the way to its bench."""

    code: str
    mark: str
    picture: SignPicture


@dataclass(frozen=True)
class Tile:
    """A field of the floor. `width_text` is of several plates side by side, '' where there is one."""

    key: str
    called: str
    name: str
    customer: str
    due: str
    is_late: bool
    will_be_late: bool
    headline: Headline
    plates: list[Plate]
    width_text: str


@dataclass(frozen=True)
class FloorPage:
    """The tiles, ready ones first; `signs` and `ready` count signs; `seen` is the version shown.

    `jobs_href` is where a drawing is taken in."""

    tiles: list[Tile]
    signs: int
    ready: int
    seen: str
    jobs_href: str | None


@pages.get("/floor")
@pages.get("/")
def floor() -> Response:
    """Every sign under way."""
    with snapshot() as db:
        return show("jobs/floor/floor.html", _floor(db, version(db)), title="Floor", here="Floor")


@pages.get("/floor/now")
def now() -> Response | tuple[str, int]:
    """The tiles for a page that refreshes itself; nothing where nothing changed."""
    with snapshot() as db:
        token = version(db)
        if unchanged(token):
            return "", 204
        return fragment("jobs/floor/_tiles.html", _floor(db, token))


def _floor(db: Connection, seen: str) -> FloorPage:
    now, signs = local_now(), bench.benches(db)
    late = {
        sign.id
        for sign in signs
        if rules.will_be_late(sign, now, now.tzinfo, bench.shortest_cure(db))
    }
    lines = {sign.id: headline(sign, now) for sign in signs}
    tiles = [_tile(db, some, lines, late, now) for some in _grouped(db, signs)]
    tiles.sort(key=lambda tile: (tile.headline.rank, tile.due, tile.called))
    ready = sum(line.rank == READY for line in lines.values())
    jobs = url_for("jobs.jobs") if "jobs.jobs" in current_app.view_functions else None
    return FloorPage(tiles, len(signs), ready, seen, jobs)


def _grouped(db: Connection, signs: list[Sign]) -> list[list[Sign]]:
    """Signs that share a tile: small ones of one job, of one size. Any other has a tile of its own."""

    def kind(sign: Sign) -> tuple:
        shape = sign_pictures.shape_of(db, sign.id)
        is_small = max(shape.width_mm, shape.height_mm) <= PLATE_MM
        return (sign.job, shape.width_mm, shape.height_mm) if is_small else (sign.job, sign.id)

    found: list[list[Sign]] = []
    for _, some in groupby(sorted(signs, key=lambda sign: (*map(str, kind(sign)), sign.id)), kind):
        alike = list(some)
        found += [alike[at : at + MOST_PLATES] for at in range(0, len(alike), MOST_PLATES)]
    return found


def _tile(
    db: Connection, signs: list[Sign], lines: dict[int, Headline], late: set[int], now: datetime
) -> Tile:
    first, is_one = signs[0], len(signs) == 1
    box = LARGE if is_one else (ROW // max(len(signs), 3), ROW_HEIGHT)
    plates = [
        Plate(s.code, s.mark, sign_pictures.picture_of(db, s, box, has_sizes=is_one)) for s in signs
    ]
    width = "" if is_one else f"{len(signs)} × {_width(db, first)}"
    marks = first.mark if is_one else f"{first.mark}–{signs[-1].mark}"
    return Tile(
        key=first.code,
        called=f"{first.job} {marks}",
        name=first.name if is_one else _common([s.name for s in signs]),
        customer=first.customer,
        due=first.due,
        is_late=first.due < f"{now:%Y-%m-%d}",
        will_be_late=any(sign.id in late for sign in signs),
        headline=lines[first.id] if is_one else together([(s.mark, lines[s.id]) for s in signs]),
        plates=plates,
        width_text=width,
    )


def _width(db: Connection, sign: Sign) -> str:
    return lengths.show(sign_pictures.shape_of(db, sign.id).width_mm, current_settings().units)


def _common(names: list[str]) -> str:
    """What names have in common at their beginning, by whole words; else 'first to last'."""
    words = [name.split() for name in names]
    shared = []
    for alike in zip(*words):
        if len(set(alike)) > 1:
            break
        shared.append(alike[0])
    return " ".join(shared).rstrip(" ,:–-") or f"{names[0]} to {names[-1]}"


def together(lines: list[tuple[str, Headline]]) -> Headline:
    """One headline for several signs of a job, given as (mark, headline): the best of them, then the others."""
    best = min((line for _, line in lines), key=lambda line: line.rank)
    leading = [mark for mark, line in lines if line.big == best.big]
    smalls = {line.small for _, line in lines if line.big == best.big}
    if len(leading) == len(lines):
        return best if len(smalls) == 1 else Headline(best.rank, best.kind, best.big)
    others: dict[Message, list[str]] = {}
    for mark, line in lines:
        if line.big != best.big:
            others.setdefault(line.big, []).append(mark)
    small = joined(headline_wording.of_signs_sentence(marks, big) for big, marks in others.items())
    return Headline(best.rank, best.kind, headline_wording.of_signs(leading, best.big), small)
