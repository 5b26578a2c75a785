"""Sheets as pictures: the nest in force, drawn to scale with the states of its pieces.

Owns where a piece's outline comes to lie on the drawing, kept for each nest, since a nest that is made never
changes.
Must not know pages: they say what a piece leads to and what a tap on it does.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence

from flask import current_app

from ..domain import lengths
from ..domain.nests import NestedSheet, offcut_size
from ..domain.outlines import Outline
from ..store import outlines as outline_store
from ..store.sheets import OnSheet, SheetRow
from ..store.db import Connection
from .frame import current_settings
from .pictures import PicturePart, SheetPicture, sheet_picture

MOST_KEPT = 60  # nests; a shop has a dozen live sheets
FINGER_PX = 48  # what a gloved finger hits
MOST_LARGER = 5  # times
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
) -> SheetPicture:
    """The sheet as large as `box` (pixels) allows. `states` (by code) are drawn in place of the pieces' own.

    `is_large`: what is used of it, so large that a finger finds each piece.
    """
    outlines = _placed(db, row.nest, pieces)
    parts = [
        PicturePart(
            key=piece.code,
            number=piece.number or piece.walk,
            name=piece.name or "a spare",
            outline=outlines[piece.piece],
            colour=colour,
            state=(states or {}).get(piece.code) or drawn_state(piece),
            href=(hrefs or {}).get(piece.code),
        )
        for piece in pieces
    ]
    length, width = row.length_mm, row.width_mm
    if is_large:
        scale = _scale(row, box) * _times(row, outlines.values(), box)
        shown = row.used_mm + BESIDE_MM
        length, width = (min(shown, length), width) if row.along == "length" else (length, min(shown, width))
        box = (round(length * scale), round(width * scale))
    return sheet_picture(
        f"sheet-{row.code}", parts, length, width, row.used_mm, title=f"Sheet {row.number}", box=box,
        along=row.along, used_text=f"used {_long(row.used_mm)}", offcut_text="" if is_large else _offcut_text(row),
    )  # fmt: skip


def times_larger(db: Connection, row: SheetRow, pieces: Sequence[OnSheet], box: tuple[int, int]) -> float:
    """How many times larger than in this box the picture must be for a gloved finger to hit its pieces surely; 1: it need
    not be."""
    return _times(row, _placed(db, row.nest, pieces).values(), box)


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
    size = offcut_size(NestedSheet((), row.along, row.used_mm, row.yield_share), row.length_mm, row.width_mm)
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
