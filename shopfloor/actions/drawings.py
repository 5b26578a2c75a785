"""Drawings: read in a worker process, kept, and turned into a proposal of the signs that they hold.

Nothing of the shop changes here: `jobs` takes a job in, `revisions` changes one.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from ..domain.drawing.answers import NO_ANSWERS, Answers
from ..domain.drawing.colours import alike, colour_word
from ..domain.drawing.drawing import Drawing, DrawnOutline, Finding
from ..domain.drawing.preflight import Sheet, look
from ..domain.drawing.stacking import ProposedSign, propose
from ..domain.errors import Refused
from ..domain.settings import Settings
from ..drawings import reading
from ..store import jobs, settings, stock
from ..wording import drawings as wording
from .cache import Cache
from .unit_of_work import Shop, stamp

# A new stock gets the common full sheet of 6 mm acrylic, 2440 × 1220 mm (8 × 4 ft): common practice.
DEFAULT_SHEET = {"thickness_mm": 6.0, "length_mm": 2440.0, "width_mm": 1220.0}
PREFLIGHT = Cache(most=8)  # takes seconds for a large drawing, and each tick on the page asks again


@dataclass(frozen=True)
class Colour:
    """A colour of a drawing: how many parts have it, and the stock that the shop chose for it before. `layer` is its name
    in a DXF."""

    colour: str
    word: str
    parts: int
    stock: stock.Stock | None
    layer: str | None = None

    @property
    def called(self) -> str:
        """'LETTERS, red', or 'red'."""
        return f"{self.layer}, {self.word}" if self.layer else self.word


@dataclass(frozen=True)
class Proposal:
    """The signs of a drawing, to be checked before they are taken in. `sha256`: of several drawings, all of them.

    `warnings` are the findings of the reader. A person must still decide about `nearly_one`, groups of colours (joined
    unless `answers.apart`), `loose`, places of loose parts, and `guessed_unit`, the unit assumed for a drawing that
    names none. `width_mm`, `height_mm` are the size of the whole drawing. `sheets` and `shop_settings` are for preflight: for
    each colour the sheet that the shop cut it from before, else one of the default size.
    """

    sha256: str
    file: str
    signs: tuple[ProposedSign, ...]
    warnings: tuple[Finding, ...]
    colours: tuple[Colour, ...]
    answers: Answers
    nearly_one: tuple[tuple[str, ...], ...]
    loose: tuple[int, ...]
    guessed_unit: str | None
    width_mm: float
    height_mm: float
    sheets: tuple[tuple[str, Sheet], ...]
    shop_settings: Settings

    @property
    def preflight(self) -> tuple[Finding, ...]:
        """What the shop should check before it cuts; slow for a large drawing the first time."""
        return PREFLIGHT.get(
            (self.same, self.sheets, self.shop_settings),
            lambda: look(self.signs, dict(self.sheets), self.shop_settings),
        )

    @property
    def same(self) -> Hashable:
        """Equal for proposals with the same signs."""
        parts = tuple(len(sign.parts) for sign in self.signs)
        return self.sha256, self.answers, self.width_mm, self.height_mm, parts


@dataclass(frozen=True)
class ReadDrawing:
    """A drawing's file and its contents."""

    sha256: str
    name: str
    file: bytes
    drawing: Drawing


def read_drawing(data: bytes, filename: str, unit: str | None = None) -> ReadDrawing:
    """Read a drawing in a worker process; `unit` is the unit it was drawn in, where the file names none.

    Raises Refused with the reason; nothing is kept.
    """
    name = PurePath(filename.replace("\\", "/")).name[:120] or "drawing.svg"
    drawing = reading.read(data, name, unit=unit)
    if not drawing.outlines:
        raise Refused(wording.no_outline())
    return ReadDrawing(hashlib.sha256(data).hexdigest(), name, data, drawing)


def keep_drawing(shop: Shop, read: ReadDrawing) -> str:
    """Keep a drawing that was read and return its SHA-256."""
    with shop.database.write() as db:
        kept = (read.sha256, read.name, read.file, read.drawing.as_dict(), stamp(shop.clock()))
        jobs.keep_drawing(db, *kept)
    return read.sha256


def read_again(shop: Shop, sha256: str, unit: str) -> None:
    """Read a kept drawing again, now that somebody has named its unit."""
    name, _ = jobs.drawing_reading(shop.read(), sha256)
    keep_drawing(shop, read_drawing(jobs.drawing_file(shop.read(), sha256), name, unit))


def kept_proposal(shop: Shop, sha256: str, answers: Answers = NO_ANSWERS) -> Proposal:
    """Return the proposal for a kept drawing. Raises NotFound where it is not kept."""
    name, read = jobs.drawing_reading(shop.read(), sha256)
    return proposal(shop, [ReadDrawing(sha256, name, b"", Drawing.of_dict(read))], answers)


def proposal(shop: Shop, reads: Sequence[ReadDrawing], answers: Answers = NO_ANSWERS) -> Proposal:
    """Return the proposal for drawings as one job. Answers about signs go with a single drawing."""
    drawn = [outline for read in reads for outline in read.drawing.outlines]
    nearly_one = alike(list(dict.fromkeys(outline.colour for outline in drawn)))
    signs: list[ProposedSign] = []
    for read in reads:
        outlines = _one_colour(read.drawing.outlines, () if answers.apart else nearly_one)
        proposed = propose(outlines, answers.joins, answers.left_out)
        first = 1 + max((place for sign in signs for place in sign.places), default=-1)
        signs += [
            replace(sign, places=tuple(first + place for place in sign.places)) for sign in proposed
        ]
    if not signs:
        raise Refused(wording.all_left_out())
    layers = {outline.colour: outline.layer for outline in reversed(drawn)}
    colours = _colours(shop, signs, layers)
    left, bottom, right, top = _extent(signs)
    return Proposal(
        " ".join(read.sha256 for read in reads),
        ", ".join(read.name for read in reads),
        tuple(signs),
        tuple(warning for read in reads for warning in read.drawing.warnings),
        colours,
        answers,
        nearly_one,
        tuple(
            sign.places[0] for sign in signs if sign.is_loose and sign.places[0] not in answers.own
        ),
        next((read.drawing.guessed_unit for read in reads if read.drawing.guessed_unit), None),
        round(right - left, 3),
        round(top - bottom, 3),
        tuple((colour.colour, _sheet(colour)) for colour in colours),
        settings.load(shop.read()),
    )


def cut_from(shop: Shop, proposed: Proposal, stocks: Mapping[str, int]) -> Proposal:
    """Return the same proposal with its preflight for these stocks (by colour).

    A colour without one takes a sheet of the default size. Raises NotFound.
    """
    chosen = {colour: stock.stock(shop.read(), id) for colour, id in stocks.items()}
    colours = [replace(known, stock=chosen.get(known.colour)) for known in proposed.colours]
    return replace(proposed, sheets=tuple((known.colour, _sheet(known)) for known in colours))


def _colours(
    shop: Shop, signs: Sequence[ProposedSign], layers: Mapping[str, str | None]
) -> tuple[Colour, ...]:
    counts = Counter(part.colour for sign in signs for part in sign.parts)
    return tuple(
        Colour(
            colour,
            colour_word(colour),
            count,
            stock.stock_for_colour(shop.read(), colour),
            layers.get(colour),
        )
        for colour, count in counts.items()
    )


def _sheet(colour: Colour) -> Sheet:
    """Return the full sheet that a colour is cut from: of its stock, else of the default size."""
    if colour.stock is None:
        thickness, length, width = DEFAULT_SHEET.values()
        return Sheet(f"{colour.word}, {thickness:g} mm", thickness, length, width)
    known = colour.stock
    return Sheet(known.called, known.thickness_mm, known.length_mm, known.width_mm, known.turns)


def _extent(signs: Sequence[ProposedSign]) -> tuple[float, float, float, float]:
    return (
        min(sign.left_mm for sign in signs),
        min(sign.bottom_mm for sign in signs),
        max(sign.left_mm + sign.width_mm for sign in signs),
        max(sign.bottom_mm + sign.height_mm for sign in signs),
    )


def _one_colour(
    outlines: Sequence[DrawnOutline], groups: Sequence[Sequence[str]]
) -> list[DrawnOutline]:
    """Return the outlines with nearly equal colours made one."""
    stays = {colour: group[0] for group in groups for colour in group}
    return [
        replace(outline, colour=stays.get(outline.colour, outline.colour)) for outline in outlines
    ]
