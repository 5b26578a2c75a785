"""The pick list of a sign: its parts in the order of gluing, and the sign drawn large with what is picked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from flask import Blueprint, Response, make_response, request, url_for

from ...actions import pieces as marks
from ...actions import trays as acts
from ...actions.unit_of_work import Answer
from ...domain import codes
from ...domain import pieces as life
from ...domain.bench import gluing
from ...domain.bench import trays as rules
from ...domain.bench.trays import Tray, Wanted
from ...domain.errors import Conflict, NotFound, Refused, ShopError
from ...domain.outlines import Outline, Point
from ...scenes.scene import Shape
from ...store import bench, jobs, pieces, trays
from ...store import codes as code_store
from ...store.db import Connection
from ...store.sign_shapes import SignShape
from ...wording import pieces as piece_wording
from ...wording import trays as wording
from ...wording.message import Message, as_message
from ..errors import STATUS
from ..page import (
    Notice,
    answered,
    do,
    fragment,
    go,
    holds,
    refreshed,
    show,
    snapshot,
    wants_fragment,
    whole,
)
from ..pictures import sign_pictures
from ..pictures.overlays import Flag, Trace
from ..pictures.svg import DrawnPart, SignPicture, sign_picture

LARGE = (760, 430)  # px: beside the rows, or above them on a tablet held upright
FRAME_SHARE = 0.008  # of the sign's longer side: how far its frame is from a part
STATES = (
    "ready",
    "cut",
    "fixed",
    "nested",
    "waiting",
    "lost",
    "damaged",
)  # of the legend, in order
MOST_FLAGS = 12  # numbers on the picture: more would hide it
MOST_LIT = 1000  # a sign has no more parts that a scan could light up
OFFERED = {"lost": "found", "nested": "cut"}  # the mark that a piece needs before it can be picked

pages = Blueprint("picking", __name__)


@dataclass(frozen=True)
class PickRow:
    """One part of the list. `code` is its piece's, '' where it cannot be picked by a tap; `is_lit`: just scanned."""

    wanted: Wanted
    drawn: DrawnPart
    name: str
    status: Message
    code: str
    is_lit: bool


@dataclass(frozen=True)
class TurnedAway:
    """A scan that picked nothing. `offer` is (mark, words) of what the piece can be marked at once, `sign` (code, name) of
    the sign that it belongs to; None for none."""

    code: str
    offer: tuple[str, Message] | None
    sign: tuple[str, str] | None


# The page. ------------------------------------------------------------------------------------------------------------


@pages.get("/bench/<code>/pick")
def pick(code: str) -> Response:
    """Show the pick list; `?into=` names the tray that picked pieces go into, `?lit=` the parts just scanned."""
    with snapshot() as db:
        return _page(pick_page(db, code, _lit()))


@pages.get("/bench/<code>/pick/now")
def pick_now(code: str) -> Response:
    """Show it again, after Undo or where somebody else changed something."""
    return refreshed("bench/picking/_pick.html", lambda db: pick_page(db, code, _lit()))


@pages.post("/bench/<code>/pick")
def picked(code: str) -> Response:
    """Answer a scan (`code`), a tap that picks (`pick`) or one that puts back (`back`).

    One that picks nothing says why and what can be done with the piece at once, and puts out what the last one lit:
    nobody must take that for its answer.
    """
    sign, form = codes.parse(code), request.form
    scanned = form.get("back") or form.get("pick") or form.get("code", "")
    try:
        parsed = codes.parse(scanned)
        if form.get("back"):
            return _answer(sign, do(acts.put_back, sign, [parsed]))
        if _is_empty_tray(parsed):
            return go(url_for("picking.pick", code=sign, into=parsed))
        return _answer(sign, do(acts.pick, sign, parsed, _into_code()))
    except (Conflict, NotFound, Refused) as refusal:
        return _turned_away(sign, scanned, refusal)


@pages.post("/bench/<code>/pick/mark")
def mark(code: str) -> Response:
    """Mark the piece of a scan that picked nothing as was offered: a lost one found, one from the table cut."""
    piece = codes.parse(request.form.get("piece", ""))
    return _answer(codes.parse(code), do(marks.mark, [piece], request.form.get("mark", "")))


def _is_empty_tray(code: str) -> bool:
    """Return True for a tray with nothing in it: picked pieces are to go into it."""
    with snapshot() as db:
        if code_store.kind_of(db, code) != "tray":
            return False
        tray = trays.by_code(db, code)
        rules.must_be_in_use(tray)
        return not trays.lying_in(db, tray.id)


def _into_code() -> str | None:
    """Return the code of the tray that picked pieces go into; None: they stay on the bench."""
    return codes.parse(request.values["into"]) if request.values.get("into") else None


def _lit() -> tuple[int, ...]:
    """Return the parts that the page shows as just scanned."""
    parts = [whole(text) for text in request.args.get("lit", "").split(",")[:MOST_LIT]]
    return tuple(part for part in parts if part is not None)


def _answer(sign: str, answer: Answer) -> Response:
    parts = tuple(answer.data.get("parts", ()))
    lit = ",".join(map(str, parts)) or None
    is_again = bool(parts) and not answer.data.get("changed", True)
    return answered(
        answer,
        url_for("picking.pick", code=sign, lit=lit, into=_into_code()),
        "bench/picking/_pick.html",
        lambda db: pick_page(db, sign, parts, is_again=is_again),
    )


def _turned_away(sign: str, scanned: str, refusal: ShopError) -> Response:
    notice = Notice(as_message(refusal.message), is_refusal=True)
    with snapshot() as db:
        try:
            away = turned_away(db, jobs.sign_by_code(db, sign), codes.parse(scanned))
        except (NotFound, Refused):  # a tray, no code of ours, or none at all
            away = None
        view = pick_page(db, sign, (), away)
    status = STATUS[type(refusal)]
    if not wants_fragment():
        return _page(view, notice, status)
    return make_response(fragment("bench/picking/_pick.html", view, notice=notice), status)


def _page(view: dict[str, object], notice: Notice | None = None, status: int = 200) -> Response:
    title = wording.list_title(str(view["called"]))
    return show(
        "bench/picking/pick.html", view, title=title, here="Bench", status=status, notice=notice
    )


# What it shows. -------------------------------------------------------------------------------------------------------


def pick_page(
    db: Connection,
    code: str,
    lit: Sequence[int],
    away: TurnedAway | None = None,
    *,
    is_again: bool = False,
) -> dict[str, object]:
    """Return the pick list of a sign.

    `lit` are the parts just scanned, `here` is where the one goes (None for none or several). `into` is the tray that
    picked pieces go into (None: the bench), `trays` are those to choose from. `is_all`: nothing is left to pick;
    `is_again`: what was scanned was picked before. `legend` has (state, fill, words) of each look of a part.
    """
    sign, into_code = jobs.sign_by_code(db, codes.parse(code)), _into_code()
    into = trays.by_code(db, into_code) if into_code else None
    shape, known = sign_pictures.shape_of(db, sign.id), trays.all_trays(db)
    wanted = _wanted(db, sign, shape, known)
    is_ready = sum(row.status in ("picked", "glued") for row in wanted)
    picture = _picture(sign, shape, wanted, lit)
    drawn = {part.key: part for part in picture.parts}
    rows = [
        _row(row, row.part.id in lit, drawn[str(row.part.id)])
        for row in rules.in_order(wanted, _order(shape))
    ]
    shown = [row for row in wanted if row.part.id in lit]
    return {
        "code": sign.code,
        "called": sign.called,
        "name": sign.name,
        "missing": rules.what_is_missing(wanted),
        "picked": is_ready,
        "is_all": is_ready == len(rows),
        "rows": rows,
        "legend": _legend(picture.parts),
        "picture": picture,
        "taps": _taps(sign.code, rows, into),
        "lit": ",".join(map(str, lit)),
        "here": rules.place_on_sign(shown[0], wanted) if len(shown) == 1 else None,
        "into": into,
        "into_words": rules.whereabouts(into.id if into else None, known),
        "trays": [tray for tray in known.values() if not tray.is_retired],
        "turned_away": away,
        "is_again": is_again,
    }


def _wanted(
    db: Connection, sign: jobs.Sign, shape: SignShape, known: dict[int, Tray]
) -> list[Wanted]:
    parts, lying = bench.sign_of(db, sign.id).parts, trays.lying_for(db, sign.id)
    wanted = []
    for drawn in shape.parts:
        piece = lying.get(drawn.part)
        lies = rules.whereabouts(piece.tray, known) if piece else None
        is_picked = piece is not None and piece.picked_for == sign.id
        wanted.append(Wanted(parts[drawn.part], drawn.line, lies, is_picked))
    return wanted


def _order(shape: SignShape) -> tuple[int, ...]:
    """Return the parts as they are glued: level by level, from the long edge at which the assembler stands."""
    near = "lower edge" if shape.width_mm >= shape.height_mm else "left edge"
    levels: dict[int, list[gluing.Placed]] = {}
    for drawn in shape.parts:
        levels.setdefault(drawn.level, []).append(gluing.Placed(drawn.part, drawn.outline.bounds))
    return tuple(part for level in sorted(levels) for part in _glued(tuple(levels[level]), near))


@lru_cache(maxsize=256)
def _glued(level: tuple[gluing.Placed, ...], near: str) -> tuple[int, ...]:
    """Cached: it changes only with a new drawing, and each scan asks for it."""
    return gluing.order(level, near)


def _row(wanted: Wanted, is_lit: bool, drawn: DrawnPart) -> PickRow:
    part, can_tap = wanted.part, holds(*acts.BENCH) and wanted.status in ("picked", "to pick")
    name = "" if part.name == f"no. {part.number}" else part.name
    code = part.code if can_tap and part.code else ""
    return PickRow(wanted, drawn, name, wording.status(wanted.status), code, is_lit)


def _legend(drawn: Sequence[DrawnPart]) -> tuple[tuple[str, str, Message], ...]:
    fills = {part.state: part.fill for part in drawn}
    return tuple(
        (state, fills[state], wording.how_drawn(state)) for state in STATES if state in fills
    )


def _taps(sign: str, rows: Sequence[PickRow], into: Tray | None) -> dict[str, dict[str, str]]:
    """The attributes that make a part of the drawing a button: it does what a tap on its row does."""
    to = url_for("picking.picked", code=sign, into=into.code if into else None)
    return {
        row.drawn.key: {
            "hx-post": to,
            "hx-vals": f'{{"{"back" if row.wanted.is_picked else "pick"}": "{row.code}"}}',
        }
        for row in rows
        if row.code
    }


# The drawing. ---------------------------------------------------------------------------------------------------------


def _picture(
    sign: jobs.Sign, shape: SignShape, wanted: Sequence[Wanted], lit: Sequence[int]
) -> SignPicture:
    """Draw the sign with what is picked filled and what is not a line on paper; what was just scanned stands out."""
    drawn = list(zip(wanted, shape.parts, strict=True))
    parts = [
        Shape(
            str(row.part.id),
            row.part.number,
            row.part.name,
            part.outline,
            part.colour,
            _drawn_as(row),
        )
        for row, part in drawn
    ]
    scanned = [(row.part.number, part.outline) for row, part in drawn if row.part.id in lit]
    frame = _framed(scanned[0][1], shape) if len(scanned) == 1 else []
    flags = [Flag(str(number), _corner(outline)) for number, outline in scanned[:MOST_FLAGS]]
    return sign_picture(
        f"pick{sign.id}",
        parts,
        shape.width_mm,
        shape.height_mm,
        title=wording.drawing_title(sign.called, sign.name),
        box=LARGE,
        width_text="",
        traces=[*(Trace("found", outline) for _, outline in scanned), *frame],
        flags=flags,
    )


def _drawn_as(wanted: Wanted) -> str:
    """Return the state to draw: picked and glued as they are, in hand but not picked a thin line, not in hand a dashed one."""
    if wanted.status in ("picked", "glued"):
        return wanted.part.state or "ready"
    if wanted.status == "to pick":
        return "nested"
    state = sign_pictures.drawn_state(wanted.part)
    return "waiting" if state == "nested" else state


def _framed(outline: Outline, shape: SignShape) -> list[Trace]:
    """Frame a part heavily, with lines to the four edges of the sign: seen from further off than the part itself."""
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
    """Return where the number of a part points: beside it, so that it does not cover a small one."""
    _, _, right, top = outline.bounds
    return right, top


# A scan that picks nothing. -------------------------------------------------------------------------------------------


def turned_away(db: Connection, sign: jobs.Sign, code: str) -> TurnedAway:
    """Return what can be done at once with a piece that cannot be picked. Raises NotFound for a code of no piece."""
    piece = pieces.by_code(db, code)
    mark = OFFERED.get(piece.state)
    can_mark = mark is not None and mark in life.allowed_marks(piece)
    other = jobs.place_of(db, piece.part).sign if piece.part else None
    return TurnedAway(
        code,
        (mark, piece_wording.mark(mark)) if mark and can_mark else None,
        (other.code, other.called) if other and other.id != sign.id else None,
    )
