"""A piece as pages show it: its outline, what it is called, how it stands, where it goes, what may be marked on it.

Shared by the piece's own page and the Scan page. Reads only; must not know how marks are sent.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...actions import swaps
from ...actions.pieces import called, called_at
from ...domain import lengths
from ...domain import pieces as life
from ...domain.bench.trays import whereabouts
from ...domain.codes import show
from ...domain.holding.hold_down_choice import WITH, percent
from ...store import holding, jobs, pieces, sheets, stock, trays
from ...store.db import Connection
from ..page import current_settings, local_now
from . import sign_pictures
from .pictures import PicturePart, SignPicture, sign_picture

WORDS = {
    "cut": "Cut, good",
    "trimmed": "Tabs trimmed",
    "lost": "Lost",
    "damaged": "Damaged",
    "found": "Found",
    "came off": "It came off",
}
MARKS_OF_STATES = {
    "ready": "ready",
    "fixed": "done",
    "lost": "lost",
    "damaged": "lost",
}  # the small signs beside words


@dataclass(frozen=True)
class Card:
    """One piece. `whereto` says what to do with it, `marks` are (mark, words) with the likeliest first.

    `sheet` is (code, number) or None, `sign` the code of the sign that it is for, `place` the picture of that sign.
    Without pictures, `outline` and `place` are None. `swap` says which piece might take a lost one's place, so that fewer
    signs are late; `held` how it is or was held on its sheet.
    """

    code: str
    state: str
    called: str
    stands: str
    mark: str
    whereto: str
    outline: SignPicture | None
    place: SignPicture | None
    place_words: str
    sign: str | None
    sign_called: str
    stock: str
    colour: str
    sheet: tuple[str, str] | None
    attempt: int
    tabs: int
    marks: list[tuple[str, str]]
    cause: str | None
    causes: tuple[str, ...]
    recut: str | None
    swap: str | None
    held: str | None
    lies: str


def card(
    db: Connection,
    code: str,
    box: tuple[int, int] | None,
    place_box: tuple[int, int] | None,
    *,
    has_sizes: bool = True,
) -> Card:
    """The piece that bears `code`, its outline as large as `box` (pixels); None: without pictures. Raises NotFound."""
    piece = pieces.by_code(db, code)
    material = stock.stock(db, piece.stock)
    sheet = sheets.sheet(db, piece.sheet) if piece.sheet else None
    part = piece.part or (piece.last_part if piece.state in life.GONE else None)
    place = jobs.place_of(db, part) if part else None
    recut = pieces.recut_of(db, piece) if piece.state in life.GONE and piece.last_part else None
    return Card(
        code=piece.code,
        state=piece.state,
        called=called_at(piece, place) if place else called(db, piece),
        stands=life.STANDS[piece.state],
        mark=MARKS_OF_STATES.get(piece.state, "waiting"),
        whereto=whereto(piece, place, sheet.number if sheet else None, recut),
        outline=_outline(db, piece, material.colour, box, has_sizes) if box else None,
        place=_place(db, piece, place, place_box) if place and place_box else None,
        place_words=place.words if place else "",
        sign=place.sign.code if place else None,
        sign_called=f"{place.sign.called}, {place.sign.name}" if place else "",
        stock=material.called,
        colour=material.colour,
        sheet=(sheet.code, sheet.number) if sheet else None,
        attempt=piece.attempt,
        tabs=piece.tabs,
        marks=[(mark, WORDS[mark]) for mark in life.allowed_marks(piece)],
        cause=piece.cause,
        causes=life.causes_of(piece.state, piece.was),
        recut=recut,
        swap=_swap(db, piece.last_part) if recut else None,
        held=_held(db, piece),
        lies=_lies(db, piece),
    )


def _lies(db: Connection, piece: life.Piece) -> str:
    """'Lies in bag 3, on shelf A, picked for J-1042 A'"""
    lying = trays.lying(db, [piece.id]).get(piece.id)
    if lying is None:
        return ""
    picked = f", picked for {jobs.sign(db, lying.picked_for).called}" if lying.picked_for else ""
    return f"Lies {whereabouts(lying.tray, trays.all_trays(db))}{picked}"


def _held(db: Connection, piece: life.Piece) -> str | None:
    """'a skin pass; 3.5 % of such pieces were expected to be lost'"""
    nest = sheets.sheet(db, piece.sheet).nest if piece.sheet else None
    found = holding.of_piece(db, nest, piece.id) if nest else None
    return (
        f"{WITH[found.way]}; {percent(found.chance)} of such pieces are expected to be lost"
        if found
        else None
    )


def _swap(db: Connection, part: int) -> str | None:
    """Which piece would go to a part whose own is gone, in the exchange that Recuts proposes."""
    found = swaps.proposal(db, local_now().date())
    move = (
        next((move for move in found.plan.moves if move.to_part == part), None) if found else None
    )
    if move is None:
        return None
    piece = found.pieces[move.piece]
    return (
        f"{show(piece.code)} of {piece.job} {piece.sign_mark}"
        if piece.part
        else f"the spare {show(piece.code)}"
    )


def whereto(
    piece: life.Piece, place: jobs.Place | None, sheet: str | None, recut: str | None
) -> str:
    """What to do with it, in a few words: "Put it with J-1042 A, level 1"."""
    spot = f"{place.sign.called}, level {place.level}" if place else ""
    if piece.state in life.GONE:
        return f"Its recut is {show(recut)}" if recut else "Nothing stands in its place"
    if piece.state == "withdrawn":
        return "It is no longer needed: do not cut it"
    if piece.state == "waiting":
        return f"It will go to {spot}" if spot else "Nothing needs it yet"
    if piece.state == "nested":
        return f"It is on sheet {sheet}" + (
            f" and will go to {spot}" if spot else "; nothing needs it"
        )
    trim = "Trim its tabs, then put it" if piece.state == "cut" else "Put it"
    if place is None:
        return f"{trim} with the spares of its stock"
    return f"It sits on {spot}" if piece.state == "fixed" else f"{trim} with {spot}"


def _place(
    db: Connection, piece: life.Piece, place: jobs.Place, box: tuple[int, int]
) -> SignPicture:
    title = f"{place.words} on {place.sign.called}"
    return sign_pictures.place_picture(db, place.sign.id, place.part, piece.state, title, box)


def _outline(
    db: Connection, piece: life.Piece, colour: str, box: tuple[int, int], has_sizes: bool
) -> SignPicture:
    outline, units = sign_pictures.outline_of(db, piece.outline), current_settings().units
    state = "waiting" if piece.state == "withdrawn" else piece.state
    part = PicturePart(piece.code, 1, "outline", outline, colour, state)
    return sign_picture(
        f"p{piece.code}-{box[0]}",
        [part],
        outline.width_mm,
        outline.height_mm,
        title=f"The outline of {show(piece.code)}",
        box=box,
        width_text=lengths.show(outline.width_mm, units) if has_sizes else "",
        height_text=lengths.show(outline.height_mm, units) if has_sizes else "",
    )
