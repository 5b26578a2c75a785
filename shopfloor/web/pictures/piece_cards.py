"""A piece as pages show it: its outline, its name and state, where it goes, the marks that may be set on it.

Shared by the piece's own page and the Scan page. Reads only; must not know how marks are sent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...actions import swaps
from ...domain import lengths
from ...domain import pieces as life
from ...domain.bench.trays import whereabouts
from ...scenes.scene import Shape
from ...store import holding, jobs, pieces, sheets, stock, trays
from ...store.db import Connection
from ...wording import holding as hold_down_words
from ...wording import pieces as wording
from ...wording.message import Message
from ..page import current_settings, local_now
from . import sign_pictures
from .svg import SignPicture, sign_picture

MARKS_OF_STATES = {
    "ready": "ready",
    "fixed": "done",
    "lost": "lost",
    "damaged": "lost",
}  # the small signs beside words


@dataclass(frozen=True)
class Card:
    """One piece. `whereto` says what to do with it, `marks` are (mark, label) and `causes` (cause, label), the likeliest first.

    `sheet` is (code, number) or None, `sign` the code of the sign that it is for, `place` the picture of that sign.
    Without pictures, `outline` and `place` are None. `swap` names the piece that might take a lost one's place, so that
    fewer signs are late; `held` how it is or was held on its sheet.
    """

    code: str
    state: str
    called: Message
    standing: Message
    mark: str
    whereto: Message
    outline: SignPicture | None
    place: SignPicture | None
    place_words: Message | None
    sign: str | None
    sign_called: str
    stock: str
    colour: str
    sheet: tuple[str, str] | None
    attempt: int
    tabs: int
    marks: Sequence[tuple[str, Message]]
    cause: str | None
    causes: Sequence[tuple[str, Message]]
    recut: str | None
    swap: Message | None
    held: Message | None
    lies: Message | None


def card(
    db: Connection,
    code: str,
    box: tuple[int, int] | None,
    place_box: tuple[int, int] | None,
    *,
    has_sizes: bool = True,
) -> Card:
    """Return the card of the piece with this code, its outline as large as `box` (pixels); None: without pictures.

    Raises NotFound.
    """
    piece = pieces.by_code(db, code)
    material = stock.stock(db, piece.stock)
    sheet = sheets.sheet(db, piece.sheet) if piece.sheet else None
    part = piece.part or (piece.last_part if piece.state in life.GONE else None)
    place = jobs.place_of(db, part) if part else None
    recut = pieces.recut_of(db, piece) if piece.state in life.GONE and piece.last_part else None
    return Card(
        code=piece.code,
        state=piece.state,
        called=pieces.called(db, piece),
        standing=_standing(piece),
        mark=MARKS_OF_STATES.get(piece.state, "waiting"),
        whereto=whereto(piece, place, sheet.number if sheet else None, recut),
        outline=_outline(db, piece, material.colour, box, has_sizes) if box else None,
        place=_place(db, piece, place, place_box) if place and place_box else None,
        place_words=place_words(place) if place else None,
        sign=place.sign.code if place else None,
        sign_called=f"{place.sign.called}, {place.sign.name}" if place else "",
        stock=material.called,
        colour=material.colour,
        sheet=(sheet.code, sheet.number) if sheet else None,
        attempt=piece.attempt,
        tabs=piece.tabs,
        marks=[(mark, wording.mark(mark)) for mark in life.allowed_marks(piece)],
        cause=piece.cause,
        causes=[(cause, wording.cause(cause)) for cause in life.causes_of(piece.state, piece.was)],
        recut=recut,
        swap=_swap(db, piece.last_part) if recut and piece.last_part else None,
        held=_held(db, piece),
        lies=_lies(db, piece),
    )


def _standing(piece: life.Piece) -> Message:
    if piece.cause and piece.state in life.GONE:
        return wording.standing_because(piece.state, wording.cause(piece.cause))
    return wording.standing(piece.state)


def place_words(place: jobs.Place) -> Message:
    """Return where a part is on its sign: 'level 1, no. 7, 'A''."""
    if place.name == f"no. {place.number}":
        return wording.place(place.level, place.number)
    return wording.named_place(place.level, place.number, place.name)


def _lies(db: Connection, piece: life.Piece) -> Message | None:
    """'Lies in bag 3, on shelf A, picked for J-1042 A'"""
    lying = trays.lying(db, [piece.id]).get(piece.id)
    if lying is None:
        return None
    where = whereabouts(lying.tray, trays.all_trays(db))
    if lying.picked_for:
        return wording.lies_picked(where, jobs.sign(db, lying.picked_for).called)
    return wording.lies(where)


def _held(db: Connection, piece: life.Piece) -> Message | None:
    """'with an onion skin; 3.5 % of pieces like this are expected to be lost'"""
    nest = sheets.sheet(db, piece.sheet).nest if piece.sheet else None
    held = holding.of_piece(db, nest, piece.id) if nest else None
    if held is None:
        return None
    hold_down = hold_down_words.with_hold_down(held.hold_down)
    return hold_down_words.held_with_loss(hold_down, held.chance)


def _swap(db: Connection, part: int) -> Message | None:
    """Return which piece would go to a part whose own is gone, in the swap that Recuts proposes."""
    proposal = swaps.proposal(db, local_now().date())
    if proposal is None:
        return None
    move = next((move for move in proposal.plan.moves if move.to_part == part), None)
    if move is None:
        return None
    piece = proposal.pieces[move.piece]
    if piece.part is None:
        return wording.spare(piece.code)
    return wording.piece_of_sign(piece.code, f"{piece.job} {piece.sign_mark}")


def whereto(
    piece: life.Piece, place: jobs.Place | None, sheet: str | None, recut: str | None
) -> Message:
    """Return what to do with a piece, in a few words: "Put it with J-1042 A, level 1"."""
    if piece.state in life.GONE:
        return wording.recut_is(recut) if recut else wording.not_replaced()
    if piece.state == "withdrawn":
        return wording.do_not_cut()
    if place is None:
        return wording.goes_to_spares(piece.state, sheet)
    return wording.goes_to(place.sign.called, place.level, piece.state, sheet)


def _place(
    db: Connection, piece: life.Piece, place: jobs.Place, box: tuple[int, int]
) -> SignPicture:
    title = str(wording.place_on_sign(place_words(place), place.sign.called))
    return sign_pictures.place_picture(db, place.sign.id, place.part, piece.state, title, box)


def _outline(
    db: Connection, piece: life.Piece, colour: str, box: tuple[int, int], has_sizes: bool
) -> SignPicture:
    outline, units = sign_pictures.outline_of(db, piece.outline), current_settings().units
    state = "waiting" if piece.state == "withdrawn" else piece.state
    part = Shape(piece.code, 1, "outline", outline, colour, state)
    return sign_picture(
        f"p{piece.code}-{box[0]}",
        [part],
        outline.width_mm,
        outline.height_mm,
        title=str(wording.outline_of(piece.code)),
        box=box,
        width_text=lengths.show(outline.width_mm, units) if has_sizes else "",
        height_text=lengths.show(outline.height_mm, units) if has_sizes else "",
    )
