"""Sheets as pictures: the nest in force, drawn to scale with the states of its pieces.

Owns where a piece's outline comes to lie on the drawing, kept for each nest, since a nest that is made never
changes.
Must not know pages: they say what a piece leads to and what a tap on it does.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence

from flask import current_app

from ...actions.setup_sheets import tabs_on
from ...domain import lengths
from ...domain.holding.holding import NEEDS_MORE, WITH_A_SKIN
from ...domain.outlines import Outline
from ...domain.routing.nests import NestedSheet, offcut_size
from ...store import outlines as outline_store
from ...store.db import Connection
from ...store.holding import Held
from ...store.sheets import OnSheet, SheetRow
from ..page import current_settings
from .hold_marks import HeldPiece, Over
from .pictures import HEAVIER, HEAVY, PicturePart, SheetPicture, sheet_picture

MOST_KEPT = 60  # nests; a shop has a dozen live sheets
FINGER_PX = 48  # what a gloved finger hits
MOST_LARGER = 5  # times
TINY_TIMES = 3  # from pieces of a third of a finger down
WEIGHTS = {
    WITH_A_SKIN: HEAVY,
    NEEDS_MORE: HEAVIER,
}  # the looser the vacuum holds a piece, the heavier its line
BESIDE_MM = 60.0  # of the offcut, shown beyond the used length on a large picture


def picture_of(
    db: Connection,
    row: SheetRow,
    pieces: Sequence[OnSheet],
    colour: str,
    box: tuple[int, int],
    *,
    states: Mapping[str, str] | None = None,
    hrefs: Mapping[str, str] | None = None,
    is_large: bool = False,
    held: Mapping[int, Held] | None = None,
    numbers: Mapping[int, int] | None = None,
) -> SheetPicture:
    """The sheet as large as `box` (pixels) allows. `states` (by code) are drawn in place of the pieces' own; with `held` (by
    piece) it shows how they are held, with `numbers` (by piece) it numbers them.

    `is_large`: what is used of it, so large that a finger finds each piece.
    """
    outlines = _placed(db, row.nest, pieces)
    parts = _parts(
        pieces, outlines, colour, states or {}, hrefs or {}, _weights_of(held or {}, pieces)
    )
    length, width = row.length_mm, row.width_mm
    if is_large:
        scale = _scale(row, box) * _times(row, outlines.values(), box)
        shown = row.used_mm + BESIDE_MM
        length, width = (
            (min(shown, length), width) if row.along == "length" else (length, min(shown, width))
        )
        box = (round(length * scale), round(width * scale))
    return sheet_picture(
        f"sheet-{row.code}",
        parts,
        length,
        width,
        row.used_mm,
        title=f"Sheet {row.number}",
        box=box,
        along=row.along,
        used_text=f"used {_long(row.used_mm)}",
        offcut_text="" if is_large else _offcut_text(row),
        over=_over(held or {}, pieces, outlines, numbers or {}),
    )


def _parts(
    pieces: Sequence[OnSheet], outlines, colour: str, states, hrefs, weights
) -> list[PicturePart]:
    return [
        PicturePart(
            key=piece.code,
            number=piece.number or piece.walk,
            name=piece.name or "a spare",
            outline=outlines[piece.piece],
            colour=colour,
            state=states.get(piece.code) or drawn_state(piece),
            href=hrefs.get(piece.code),
            hold=weights.get(piece.code, ""),
        )
        for piece in pieces
    ]


def times_larger(
    db: Connection, row: SheetRow, pieces: Sequence[OnSheet], box: tuple[int, int]
) -> float:
    """How many times larger than in this box the picture must be for a gloved finger to hit its pieces surely; 1: it need
    not be."""
    return _times(row, _placed(db, row.nest, pieces).values(), box)


def is_crowded(
    db: Connection, row: SheetRow, pieces: Sequence[OnSheet], box: tuple[int, int]
) -> bool:
    """Whether marks and numbers on its pieces would be a blot in this box: then it is drawn larger from the start."""
    return times_larger(db, row, pieces, box) > TINY_TIMES


def _scale(row: SheetRow, box: tuple[int, int]) -> float:
    """Pixels a mm."""
    return min(box[0] / row.length_mm, box[1] / row.width_mm)


def _times(row: SheetRow, outlines: Iterable[Outline], box: tuple[int, int]) -> float:
    """How many times larger the picture must be for nine pieces in ten to have a finger's size."""
    sizes = sorted(max(outline.width_mm, outline.height_mm) for outline in outlines)
    small = sizes[len(sizes) // 10] * _scale(row, box) if sizes else FINGER_PX
    return min(MOST_LARGER, max(1.0, FINGER_PX / small))


def drawn_state(piece: OnSheet) -> str:
    """A piece that has left the sheet is a dashed line: it is not to be cut here."""
    return piece.state if piece.is_here else "waiting"


def _offcut_text(row: SheetRow) -> str:
    size = offcut_size(
        NestedSheet((), row.along, row.used_mm, row.yield_share), row.length_mm, row.width_mm
    )
    return f"offcut {_long(size[0])} × {_long(size[1])}" if size else ""


def _long(mm: float) -> str:
    """A length for a dimension line: whole millimetres, or inches with their mark."""
    return f"{mm:.0f}" if current_settings().units == "mm" else lengths.show(mm, "in")


def _placed(db: Connection, nest: int, pieces: Sequence[OnSheet]) -> dict[int, Outline]:
    """Each piece's outline in sheet coordinates. Kept by nest: reading and turning hundreds of them takes a while."""
    kept: OrderedDict = current_app.extensions.setdefault("placed outlines", OrderedDict())
    known = kept.get(nest)
    if known is None:
        outlines = outline_store.by_ids(db, {piece.outline for piece in pieces})
        known = {p.piece: outlines[p.outline].placed(p.x_mm, p.y_mm, p.turn) for p in pieces}
        kept[nest] = known
        if len(kept) > MOST_KEPT:
            kept.popitem(last=False)
    return known


def _weights_of(held: Mapping[int, Held], on_it: Sequence[OnSheet]) -> dict[str, str]:
    """How heavy each piece's line is, by its code: the looser the vacuum holds it, the heavier."""
    return {
        piece.code: WEIGHTS.get(held[piece.piece].verdict, "")
        for piece in on_it
        if piece.piece in held
    }


def _over(
    held: Mapping[int, Held], on_it: Sequence[OnSheet], outlines: Mapping[int, Outline], numbers
) -> Over:
    """What is drawn over the pieces."""
    tab_mm = current_settings().tab_length_mm
    numbered = tuple(
        (number, outlines[piece]) for piece, number in numbers.items() if piece in outlines
    )
    return Over(tuple(_held_pieces(held, on_it, outlines, tab_mm)), tab_mm, numbered)


def _held_pieces(
    held: Mapping[int, Held], on_it, outlines: Mapping[int, Outline], tab_mm: float
) -> list[HeldPiece]:
    """The pieces that are still on the sheet, with how they are held, for the picture."""
    return [
        HeldPiece(
            outlines[piece.piece],
            held[piece.piece].way,
            tuple(
                (tab.x_mm, tab.y_mm, tab.angle_deg)
                for tab in tabs_on(outlines[piece.piece], held[piece.piece].tabs, tab_mm)
            ),
        )
        for piece in on_it
        if piece.is_here and piece.piece in held
    ]
