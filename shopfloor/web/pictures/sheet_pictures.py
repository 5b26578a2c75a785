"""Sheets as pictures: the current nest, drawn to scale with the states of its pieces.

Owns where a piece's outline is on the sheet, cached for each nest, since a nest never changes. Must not know pages: they
say what a piece leads to and what a tap on it does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ...actions.setup_sheets import tabs_on
from ...domain import lengths
from ...domain.outlines import Outline
from ...domain.routing.nests import NestedSheet, offcut_size
from ...scenes.nest import Nest, NestedPiece, weight_of
from ...scenes.scene import DimensionLine, Shape
from ...store import outlines as outline_store
from ...store.db import Connection
from ...store.holding import Held
from ...store.sheets import OnSheet, SheetRow, on_sheet
from ...wording import pictures as wording
from ..page import cached, current_settings
from .svg import DrawnPart, SheetPicture, drawn_piece, fit, sheet_picture

MOST_CACHED = 60  # nests; a shop has a dozen live sheets
FINGER_PX = 48  # what a gloved finger hits
MOST_LARGER = 5  # times
TINY_TIMES = 3  # from pieces of a third of a finger down
BESIDE_MM = 60.0  # of the offcut, shown beyond the used length on a large picture


def picture_of(  # noqa: PLR0913 - a page names only what it shows
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
    outlines = _placed(db, row)
    length, width, box = _area(row, outlines.values(), box, is_large=is_large)
    states, hrefs, held, numbers = states or {}, hrefs or {}, held or {}, numbers or {}
    nest = Nest(
        length,
        width,
        row.along,
        row.used_mm,
        tuple(
            _nested(
                piece,
                _shape(
                    piece,
                    outlines[piece.piece],
                    colour,
                    states.get(piece.code),
                    hrefs.get(piece.code),
                ),
                held.get(piece.piece),
                str(numbers.get(piece.piece, "")),
            )
            for piece in pieces
        ),
        current_settings().tab_length_mm,
        dimensions=_dimensions(row, has_offcut=not is_large),
    )
    return sheet_picture(_id(row), nest, title=wording.sheet(row.number), box=box)


def drawn_on(
    db: Connection, row: SheetRow, piece: OnSheet, box: tuple[int, int], *, is_large: bool
) -> DrawnPart:
    """One piece as `picture_of` draws it in the same box, without how it is held."""
    outlines = _placed(db, row)
    length, width, box = _area(row, outlines.values(), box, is_large=is_large)
    return drawn_piece(
        _id(row), _shape(piece, outlines[piece.piece], row.colour), length, width, box
    )


def _id(row: SheetRow) -> str:
    return f"sheet-{row.code}"


def _area(
    row: SheetRow, outlines: Iterable[Outline], box: tuple[int, int], *, is_large: bool
) -> tuple[float, float, tuple[int, int]]:
    """The length and width that are shown (mm), and the box for them (pixels)."""
    length, width = row.length_mm, row.width_mm
    if not is_large:
        return length, width, box
    scale = fit(length, width, *box) * _times(row, outlines, box)
    shown = row.used_mm + BESIDE_MM
    if row.along == "length":
        length = min(shown, length)
    else:
        width = min(shown, width)
    return length, width, (round(length * scale), round(width * scale))


def _shape(
    piece: OnSheet,
    outline: Outline,
    colour: str,
    state: str | None = None,
    href: str | None = None,
) -> Shape:
    return Shape(
        piece.code,
        piece.number or piece.walk,
        piece.name or wording.spare(),
        outline,
        colour,
        state or drawn_state(piece),
        href,
    )


def _nested(piece: OnSheet, shape: Shape, held: Held | None, number: str) -> NestedPiece:
    """The piece with how it is held; once it has left the sheet no marks are drawn, only the weight of its line."""
    if held is None:
        return NestedPiece(shape, number=number)
    shape = replace(shape, weight=weight_of(held.verdict))
    if not piece.is_here:
        return NestedPiece(shape, number=number)
    tabs = tabs_on(shape.outline, held.tabs, current_settings().tab_length_mm)
    return NestedPiece(shape, held.hold_down, tuple(tabs), number)


def times_larger(db: Connection, row: SheetRow, box: tuple[int, int]) -> float:
    """How many times larger than in this box the picture must be for a gloved finger to hit its pieces surely; 1: it need
    not be."""
    return _times(row, _placed(db, row).values(), box)


def is_crowded(db: Connection, row: SheetRow, box: tuple[int, int]) -> bool:
    """Whether marks and numbers on its pieces would be a blot in this box: then it is drawn larger from the start."""
    return times_larger(db, row, box) > TINY_TIMES


def _times(row: SheetRow, outlines: Iterable[Outline], box: tuple[int, int]) -> float:
    """How many times larger the picture must be for nine pieces in ten to have a finger's size."""
    sizes = sorted(max(outline.width_mm, outline.height_mm) for outline in outlines)
    small = sizes[len(sizes) // 10] * fit(row.length_mm, row.width_mm, *box) if sizes else FINGER_PX
    return min(MOST_LARGER, max(1.0, FINGER_PX / small))


def drawn_state(piece: OnSheet) -> str:
    """A piece that has left the sheet is a dashed line: it is not to be cut here."""
    return piece.state if piece.is_here else "waiting"


def _dimensions(row: SheetRow, *, has_offcut: bool) -> tuple[DimensionLine, ...]:
    """What is used of the sheet, and the offcut that is worth keeping."""
    axis, whole = ("x", row.length_mm) if row.along == "length" else ("y", row.width_mm)
    used = DimensionLine("used", axis, 0.0, row.used_mm, wording.used(_long(row.used_mm)))
    nested = NestedSheet((), row.along, row.used_mm, row.yield_share)
    size = offcut_size(nested, row.length_mm, row.width_mm) if has_offcut else None
    if not size:
        return (used,)
    text = wording.offcut(_long(size[0]), _long(size[1]))
    return used, DimensionLine("offcut", axis, row.used_mm, whole, text)


def _long(mm: float) -> str:
    """A length for a dimension line: whole millimetres, or inches with their mark."""
    return f"{mm:.0f}" if current_settings().units == "mm" else lengths.show(mm, "in")


def _placed(db: Connection, row: SheetRow) -> dict[int, Outline]:
    """Each piece's outline in sheet coordinates. Kept by nest: reading and turning hundreds of them takes a while."""

    def placed() -> dict[int, Outline]:
        pieces = on_sheet(db, row.id)
        outlines = outline_store.by_ids(db, {piece.outline for piece in pieces})
        return {p.piece: outlines[p.outline].placed(p.x_mm, p.y_mm, p.turn) for p in pieces}

    return cached("placed outlines", row.nest, placed, MOST_CACHED)
