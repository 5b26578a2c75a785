"""What the picking list of a sign shows: its parts in the order of gluing, and the sign drawn large with what is picked.

Reads only; how the page is asked for and answered is in `trays`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from flask import url_for

from ...actions.trays import BENCH
from ...domain import pieces as life
from ...domain.bench import gluing
from ...domain.bench import trays as rules
from ...domain.bench.steps import Part
from ...domain.bench.trays import Tray, Wanted
from ...domain.outlines import Outline, Point
from ...domain.people import Actor
from ...store import bench, jobs, pieces, trays
from ...store.db import Connection
from ...store.floor import PartShape, SignShape
from ...store.trays import Lying
from ..page import Notice
from ..pictures import sign_pictures
from ..pictures.overlays import Flag, Trace
from ..pictures.pictures import DrawnPart, PicturePart, SignPicture, sign_picture

LARGE = (760, 430)  # px: beside the rows, or above them on a tablet that stands upright
FRAME_SHARE = 0.008  # of the sign's longer side: how far its frame stands off a part
LEGEND = {
    "ready": "picked",
    "cut": "picked, tabs to trim",
    "fixed": "glued",
    "nested": "to pick",
    "waiting": "missing",
    "lost": "missing: lost",
    "damaged": "missing: damaged",
}
MOST_FLAGS = 12  # numbers on the picture: more would hide it
OFFERED = {"lost": ("found", "Found: it is back"), "nested": ("cut", "Cut, good")}


@dataclass(frozen=True)
class PickRow:
    """One part of the list. `code` is its piece's, '' where it cannot be picked by a tap; `is_lit`: just scanned; it is
    `drawn_as` this state with this `fill`."""

    part: int
    number: int
    name: str
    level: int
    status: str
    whereabouts: str
    needs_trimming: bool
    code: str
    is_lit: bool
    drawn_as: str
    fill: str


@dataclass(frozen=True)
class TurnedAway:
    """A scan that picked nothing. `offer` is (mark, words) of what can be said of the piece at once, `link` (path, words) of
    where it belongs; None for none."""

    code: str
    offer: tuple[str, str] | None
    sign: tuple[str, str] | None


@dataclass(frozen=True)
class PickPage:
    """The picking list of one sign. `lit` are the parts just scanned, `here` where the one goes in words ('' for none);
    `into` the tray that picked pieces go into (None: the bench), `trays` those to choose from. `is_all`: nothing is left to
    pick; `is_again`: what was scanned was picked before; `legend` has (state, fill, words) of each way in which the
    drawing shows a part."""

    code: str
    called: str
    name: str
    missing: str
    picked: int
    is_all: bool
    rows: list[PickRow]
    legend: tuple[tuple[str, str, str], ...]
    picture: SignPicture
    taps: dict[str, dict[str, str]]
    lit: str
    here: str
    into: Tray | None
    into_words: str
    trays: list[Tray]
    turned_away: TurnedAway | None
    can_work: bool
    notice: Notice | None
    seen: str
    is_again: bool = False


def picking_list(
    db: Connection,
    sign: jobs.Sign,
    by: Actor,
    seen: str,
    lit: Sequence[int] = (),
    into: Tray | None = None,
    notice: Notice | None = None,
    turned_away: TurnedAway | None = None,
) -> PickPage:
    """The picking list of a sign; `lit` are parts by id."""
    shape, known = sign_pictures.shape_of(db, sign.id), trays.all_trays(db)
    wanted = _wanted(db, sign, shape, known)
    is_ready = sum(one.status in ("picked", "glued") for one in wanted)
    can_work = by.holds(*BENCH)
    picture = _picture(sign, shape, wanted, lit)
    drawn = {part.key: part for part in picture.parts}
    rows = [
        _row(one, one.part.id in lit, can_work, drawn[str(one.part.id)])
        for one in rules.in_order(wanted, _order(shape))
    ]
    shown = [one for one in wanted if one.part.id in lit]
    here = rules.place_words(shown[0], wanted) if len(shown) == 1 else ""
    return PickPage(
        sign.code,
        sign.called,
        sign.name,
        rules.what_is_missing(wanted),
        is_ready,
        is_ready == len(rows),
        rows,
        _legend(picture.parts),
        picture,
        _taps(sign.code, rows, into),
        ",".join(map(str, lit)),
        here,
        into,
        rules.whereabouts(into.id if into else None, known),
        [one for one in known.values() if not one.is_retired],
        turned_away,
        can_work,
        notice,
        seen,
    )


def _wanted(
    db: Connection, sign: jobs.Sign, shape: SignShape, known: dict[int, Tray]
) -> list[Wanted]:
    parts, lying = bench.sign_of(db, sign.id).parts, trays.lying_for(db, sign.id)
    return [
        _one(parts[drawn.part], drawn, lying.get(drawn.part), sign.id, known)
        for drawn in shape.parts
    ]


def _one(
    part: Part, drawn: PartShape, lying: Lying | None, sign: int, known: dict[int, Tray]
) -> Wanted:
    lies = rules.whereabouts(lying.tray, known) if lying else ""
    return Wanted(part, drawn.line, lies, lying is not None and lying.picked_for == sign)


def _order(shape: SignShape) -> tuple[int, ...]:
    """The parts as they are glued: level by level, from the long edge at which the assembler stands."""
    near = "lower edge" if shape.width_mm >= shape.height_mm else "left edge"
    levels: dict[int, list[gluing.Placed]] = {}
    for drawn in shape.parts:
        levels.setdefault(drawn.level, []).append(gluing.Placed(drawn.part, drawn.outline.bounds))
    return tuple(part for level in sorted(levels) for part in _glued(tuple(levels[level]), near))


@lru_cache(maxsize=256)
def _glued(level: tuple[gluing.Placed, ...], near: str) -> tuple[int, ...]:
    """Kept: it changes only with a new drawing, and each scan asks for it."""
    return gluing.order(level, near)


def _row(one: Wanted, is_lit: bool, can_work: bool, drawn: DrawnPart) -> PickRow:
    part, can_tap = one.part, can_work and one.status in ("picked", "to pick")
    return PickRow(
        part.id,
        part.number,
        "" if part.name == f"no. {part.number}" else part.name,
        part.level,
        one.status,
        one.whereabouts,
        part.state == "cut",
        part.code if can_tap and part.code else "",
        is_lit,
        drawn.state,
        drawn.fill,
    )


def _legend(drawn: Sequence[DrawnPart]) -> tuple[tuple[str, str, str], ...]:
    fills = {part.state: part.fill for part in drawn}
    return tuple((state, fills[state], words) for state, words in LEGEND.items() if state in fills)


def _taps(sign: str, rows: Sequence[PickRow], into: Tray | None) -> dict[str, dict[str, str]]:
    """What makes a part of the drawing a button: it does what a tap on its row does."""
    to = url_for("trays.picked", code=sign, into=into.code if into else None)
    return {
        str(row.part): {
            "hx-post": to,
            "hx-vals": f'{{"{"back" if row.status == "picked" else "pick"}": "{row.code}"}}',
        }
        for row in rows
        if row.code
    }


# The drawing. ---------------------------------------------------------------------------------------------------------


def _picture(
    sign: jobs.Sign, shape: SignShape, wanted: Sequence[Wanted], lit: Sequence[int]
) -> SignPicture:
    """The sign with what is picked filled and what is not a line on paper; what was just scanned stands out."""
    parts = [
        PicturePart(
            str(one.part.id),
            one.part.number,
            one.part.name,
            drawn.outline,
            drawn.colour,
            _drawn_as(one),
        )
        for one, drawn in zip(wanted, shape.parts, strict=True)
    ]
    found = [
        (one.part.number, drawn.outline)
        for one, drawn in zip(wanted, shape.parts, strict=True)
        if one.part.id in lit
    ]
    frame = _framed(found[0][1], shape) if len(found) == 1 else []
    flags = [Flag(str(number), _corner(outline)) for number, outline in found[:MOST_FLAGS]]
    title = f"{sign.called}, {sign.name}: what is picked is filled"
    return sign_picture(
        f"pick{sign.id}",
        parts,
        shape.width_mm,
        shape.height_mm,
        title=title,
        box=LARGE,
        width_text="",
        traces=[*(Trace("found", outline) for _, outline in found), *frame],
        flags=flags,
    )


def _drawn_as(one: Wanted) -> str:
    """Picked and glued as they are; what is in hand but not picked a thin line, what is not in hand a dashed one."""
    if one.status in ("picked", "glued"):
        return one.part.state or "ready"
    if one.status == "to pick":
        return "nested"
    state = sign_pictures.drawn_state(one.part)
    return "waiting" if state == "nested" else state


def _framed(outline: Outline, shape: SignShape) -> list[Trace]:
    """A heavy frame round a part, with lines to the four edges of the sign: seen from further off than the part itself."""
    away = FRAME_SHARE * max(shape.width_mm, shape.height_mm)
    left, bottom, right, top = outline.bounds
    left, bottom, right, top = left - away, bottom - away, right + away, top + away
    x, y = (left + right) / 2, (bottom + top) / 2
    across = (((0.0, y), (left, y)), ((right, y), (shape.width_mm, y)))
    upright = (((x, 0.0), (x, bottom)), ((x, top), (x, shape.height_mm)))
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    inside = [
        line for line in across + upright if line[0][0] <= line[1][0] and line[0][1] <= line[1][1]
    ]
    return [*(Trace("was", points=line) for line in inside), Trace("new", Outline((corners,)))]


def _corner(outline: Outline) -> Point:
    """Where the number of a part points at: beside it, so that it does not lie on a small one."""
    _, _, right, top = outline.bounds
    return right, top


# A scan that picks nothing. -------------------------------------------------------------------------------------------


def turned_away(db: Connection, sign: jobs.Sign, code: str) -> TurnedAway:
    """What can be done at once with a piece that is not to be picked. Raises NotFound for a code of no piece."""
    piece = pieces.by_code(db, code)
    offer = OFFERED.get(piece.state)
    can_say = offer is not None and offer[0] in life.allowed_marks(piece)
    other = jobs.place_of(db, piece.part).sign if piece.part else None
    link = (other.code, other.called) if other and other.id != sign.id else None
    return TurnedAway(code, offer if can_say else None, link)
