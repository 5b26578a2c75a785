"""Drawings that come in: read in a worker process, kept, and turned into what they would become as a job.

Nothing of the shop changes here: the job itself is taken in by `jobs`, a change of one by `revisions`.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from ..domain.drawing.answers import Answers
from ..domain.drawing.colours import alike, colour_word
from ..domain.drawing.drawing import Drawing, DrawnOutline, Finding
from ..domain.drawing.preflight import PreflightRules, Sheet, look
from ..domain.drawing.stacking import ProposedSign, propose
from ..domain.errors import Refused
from ..drawings import reading
from ..store import jobs, settings, stock
from .cache import Cache
from .unit_of_work import Shop, stamp

DEFAULT_SHEET = {"thickness_mm": 6.0, "length_mm": 2440.0, "width_mm": 1220.0}  # design, section 7
LOOKED = Cache(
    most=8
)  # what preflight found: seconds for a large drawing, and each tick on the page asks again


@dataclass(frozen=True)
class Colour:
    """A colour of a drawing: how many parts bear it, and the stock that the shop chose for it before. `layer` is what a DXF
    calls it."""

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
    """What a drawing would become, to be looked at before it is confirmed. `sha256`: of several drawings, all of them.

    `warnings` is what was found in the drawing. A person should still decide about `nearly_one`, groups of colours
    (joined unless `answers.apart`), `loose`, places of loose parts, and `guessed_unit`, the unit that was taken for a
    drawing that names none. `width_mm`, `height_mm` are the size of all that is drawn. `sheets` and `rules` are what
    preflight looks at it with: for each colour the sheet that the shop cut it from before, else one of the default
    size.
    """

    sha256: str
    file: str
    signs: tuple[ProposedSign, ...]
    warnings: tuple[Finding, ...]
    colours: tuple[Colour, ...]
    answers: Answers = Answers()
    nearly_one: tuple[tuple[str, ...], ...] = ()
    loose: tuple[int, ...] = ()
    guessed_unit: str | None = None
    width_mm: float = 0.0
    height_mm: float = 0.0
    sheets: tuple[tuple[str, Sheet], ...] = ()
    rules: PreflightRules | None = None

    @property
    def preflight(self) -> tuple[Finding, ...]:
        """What the shop should look at before it cuts; slow for a large drawing when it is asked for first."""
        if self.rules is None:
            return ()
        return LOOKED.get(
            (self.same, self.sheets, self.rules),
            lambda: look(self.signs, dict(self.sheets), self.rules),
        )

    @property
    def same(self) -> tuple:
        """Equal for proposals with the same signs."""
        parts = tuple(len(sign.parts) for sign in self.signs)
        return self.sha256, self.answers, self.width_mm, self.height_mm, parts


@dataclass(frozen=True)
class ReadDrawing:
    """A drawing's file and what was read in it."""

    sha256: str
    name: str
    file: bytes
    drawing: Drawing


def read_drawing(data: bytes, filename: str, unit: str | None = None) -> ReadDrawing:
    """Reads a drawing in a worker process; `unit` is what it was drawn in, where the file names none.

    Raises Refused with what is wrong; nothing is kept.
    """
    name = PurePath(filename.replace("\\", "/")).name[:120] or "drawing.svg"
    drawing = reading.read(data, name, unit=unit)
    if not drawing.outlines:
        raise Refused(
            "There is no outline in this drawing: draw the parts as filled or closed outlines."
        )
    return ReadDrawing(hashlib.sha256(data).hexdigest(), name, data, drawing)


def keep_drawing(shop: Shop, read: ReadDrawing) -> str:
    """Keeps a drawing that was read; gives its SHA-256."""
    with shop.database.write() as db:
        kept = (read.sha256, read.name, read.file, read.drawing.as_dict(), stamp(shop.clock()))
        jobs.keep_drawing(db, *kept)
    return read.sha256


def read_again(shop: Shop, sha256: str, unit: str) -> None:
    """Reads a kept drawing once more, now that somebody said which unit it was drawn in."""
    name, _ = jobs.drawing_reading(shop.read(), sha256)
    keep_drawing(shop, read_drawing(jobs.drawing_file(shop.read(), sha256), name, unit))


def kept_proposal(shop: Shop, sha256: str, answers: Answers = Answers()) -> Proposal:
    """What a kept drawing would become. Raises NotFound where it is not kept."""
    name, read = jobs.drawing_reading(shop.read(), sha256)
    return proposal(shop, [ReadDrawing(sha256, name, b"", Drawing.of_dict(read))], answers)


def proposal(shop: Shop, reads: Sequence[ReadDrawing], answers: Answers = Answers()) -> Proposal:
    """What drawings would become as one job. What `answers` says of signs goes with a single drawing."""
    drawn = [one for read in reads for one in read.drawing.outlines]
    nearly_one = alike(list(dict.fromkeys(one.colour for one in drawn)))
    signs: list[ProposedSign] = []
    for read in reads:
        outlines = _one_colour(read.drawing.outlines, () if answers.apart else nearly_one)
        found = propose(outlines, answers.joins, answers.left_out)
        first = 1 + max((place for sign in signs for place in sign.places), default=-1)
        signs += [
            replace(sign, places=tuple(first + place for place in sign.places)) for sign in found
        ]
    if not signs:
        raise Refused("All signs of this drawing are left out: put one back.")
    colours = _colours(shop, signs, {one.colour: one.layer for one in reversed(drawn)})
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
        PreflightRules.of(settings.load(shop.read())),
    )


def cut_from(shop: Shop, proposed: Proposal, stocks: Mapping[str, int]) -> Proposal:
    """The same proposal, its preflight as cut from these stocks (by colour).

    A colour without one takes a sheet of the default size. Raises NotFound.
    """
    chosen = {colour: stock.stock(shop.read(), id) for colour, id in stocks.items()}
    colours = [replace(one, stock=chosen.get(one.colour)) for one in proposed.colours]
    return replace(proposed, sheets=tuple((one.colour, _sheet(one)) for one in colours))


def _colours(
    shop: Shop, signs: Sequence[ProposedSign], layers: Mapping[str, str | None]
) -> tuple[Colour, ...]:
    counts = Counter(part.colour for sign in signs for part in sign.parts)
    return tuple(
        Colour(c, colour_word(c), n, stock.stock_for_colour(shop.read(), c), layers.get(c))
        for c, n in counts.items()
    )


def _sheet(colour: Colour) -> Sheet:
    """The full sheet that a colour is cut from, as far as the shop knows."""
    if colour.stock is None:
        return Sheet(f"{colour.word}, {DEFAULT_SHEET['thickness_mm']:g} mm", **DEFAULT_SHEET)
    one = colour.stock
    return Sheet(one.called, one.thickness_mm, one.length_mm, one.width_mm, one.turns)


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
    """The outlines with nearly equal colours made one."""
    stays = {colour: group[0] for group in groups for colour in group}
    return [replace(one, colour=stays.get(one.colour, one.colour)) for one in outlines]
