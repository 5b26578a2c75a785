"""What the pages of intake show: the proposed signs as drawings, a choice of stock for each colour, some due dates.

Owns also how joined signs are written in a query ('0-2;5,7': places of signs in the drawing, from 0). Reads only.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import PurePath

from ..actions.drawings import Colour, Proposal
from ..actions.jobs import DEFAULT_SHEET
from ..domain import lengths
from ..domain.drawing import Drawing
from ..domain.errors import Refused
from ..domain.signs import name_of
from ..domain.stacking import ProposedSign, propose
from ..store import jobs, stock
from ..store.db import Connection
from .frame import current_settings
from .pictures import PicturePart, SignPicture, sign_picture

NEW_STOCK = "new"
MOST_DRAWN = 120  # signs; a page with two thousand loose letters would not be looked through
FIRST_STOCKS = 3  # tiles beside each other; the others fold away
BOXES = ((1, (1150, 330)), (4, (540, 230)), (MOST_DRAWN, (330, 150)))  # up to so many signs, so much room for each, px
MOST_PLACES = 20_000
_JOIN = re.compile(r"\d{1,5}(-\d{1,5})?([,;]\d{1,5}(-\d{1,5})?)*")


@dataclass(frozen=True)
class Typed:
    """The order as it was typed so far: all text. `stocks` by colour without '#'."""

    customer: str
    title: str
    due: str
    quantity: str
    stocks: dict[str, str]
    join: str

    def as_query(self) -> dict[str, str]:
        """The same as the fields of a query."""
        plain = {name: getattr(self, name) for name in ("customer", "title", "due", "quantity", "join")}
        return plain | {f"stock-{colour}": chosen for colour, chosen in self.stocks.items()}


@dataclass(frozen=True)
class SignTile:
    """A proposed sign. `places` says which signs of the drawing it is made of; `apart` is the join without it."""

    places: str
    name: str
    words: str
    picture: SignPicture
    is_joined: bool
    apart: str


@dataclass(frozen=True)
class Choice:
    """A stock that a colour may stand for."""

    value: str
    called: str
    size: str
    colour: str
    is_chosen: bool


@dataclass(frozen=True)
class ColourChoice:
    """A colour of the drawing with the stocks that it may stand for: `first` the likely ones, the others in `rest`."""

    field: str
    colour: str
    word: str
    parts: int
    first: list[Choice]
    rest: list[Choice]


@dataclass(frozen=True)
class Day:
    """A due date to tap: ISO date and how far off it is."""

    date: str
    words: str


@dataclass(frozen=True)
class ProposalPage:
    """A drawing before it is confirmed. `warnings` are (sentence, where); `parts` counts those of one copy."""

    sha256: str
    file: str
    signs: list[SignTile]
    all_places: str
    undrawn: int
    columns: int
    parts: int
    warnings: list[tuple[str, str]]
    colours: list[ColourChoice]
    join: str
    typed: Typed
    days: list[Day]
    has_other_day: bool
    customers: list[str]


def page_of(db: Connection, proposed: Proposal, join: str, typed: Typed, today: date) -> ProposalPage:
    """The proposal as it is shown. Raises NotFound where the drawing is not kept."""
    groups = _groups(db, proposed, join)
    title = typed.title or PurePath(proposed.file).stem
    shown = list(zip(proposed.signs, groups))[:MOST_DRAWN]
    box = next((room for most, room in BOXES if len(shown) <= most), BOXES[-1][1])
    days = [Day((today + timedelta(weeks=n)).isoformat(), f"in {n} week{'s' if n > 1 else ''}") for n in (1, 2, 3)]
    return ProposalPage(
        sha256=proposed.sha256, file=proposed.file,
        signs=[_tile(n, sign, places, title, len(groups) == 1, box, join) for n, (sign, places) in enumerate(shown)],
        all_places=_written([place for places in groups for place in places]),
        undrawn=len(proposed.signs) - len(shown), columns=1 if len(shown) == 1 else 2 if len(shown) <= 4 else 3,
        parts=sum(len(sign.parts) for sign in proposed.signs),
        warnings=[(warning.message, _where(warning.at)) for warning in proposed.warnings],
        colours=_colours(db, proposed.colours, typed), join=join, typed=replace(typed, title=title), days=days,
        has_other_day=bool(typed.due) and typed.due not in {day.date for day in days}, customers=jobs.customers(db),
    )  # fmt: skip


def _where(at: tuple[float, float] | None) -> str:
    if at is None:
        return ""
    units = current_settings().units
    return f"{lengths.show(at[0], units)} from the left, {lengths.show(at[1], units)} from the foot of the drawing"


def _tile(number: int, sign: ProposedSign, places: Sequence[int], title: str, is_only: bool, box, join) -> SignTile:
    units = current_settings().units
    width, height = lengths.show(sign.width_mm, units), lengths.show(sign.height_mm, units)
    name = name_of(sign, title, is_only)
    parts = [PicturePart(str(p.number), p.number, p.name or "", p.outline, p.colour, "ready") for p in sign.parts]
    picture = sign_picture(f"p{number}", parts, sign.width_mm, sign.height_mm, title=name, box=box, width_text=width,
                           height_text=height)  # fmt: skip
    words = f"{_counted(len(sign.parts), 'part')} on {_counted(sign.levels, 'level')}"
    apart = ";".join(_written(group) for group in joins_of(join) if not set(group) & set(places))
    return SignTile(_written(places), name, words, picture, len(places) > 1, apart)


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


# Colours -------------------------------------------------------------------------------------------------------------


def _colours(db: Connection, colours: Iterable[Colour], typed: Typed) -> list[ColourChoice]:
    stocks = stock.all_stocks(db)
    return [_colour_choice(colour, stocks, typed.stocks.get(colour.colour.lstrip("#"))) for colour in colours]


def _colour_choice(colour: Colour, stocks: list[stock.Stock], typed: str | None) -> ColourChoice:
    remembered = colour.stock.id if colour.stock else None
    by_default = str(remembered) if remembered else "" if stocks else NEW_STOCK
    chosen = typed or by_default
    ordered = sorted(stocks, key=lambda s: (str(s.id) != chosen, s.id != remembered, _apart(s.colour, colour.colour)))
    choices = [
        Choice(str(s.id), s.called, f"{s.length_mm:g} × {s.width_mm:g}", s.colour, str(s.id) == chosen) for s in ordered
    ]
    size = "{length_mm:g} × {width_mm:g}".format(**DEFAULT_SHEET)
    called = f"New: {colour.word}, {DEFAULT_SHEET['thickness_mm']:g} mm"
    new = Choice(NEW_STOCK, called, size, colour.colour, chosen == NEW_STOCK)
    first, rest = [*choices[:FIRST_STOCKS], new], choices[FIRST_STOCKS:]
    return ColourChoice(f"stock-{colour.colour[1:]}", colour.colour, colour.word, colour.parts, first, rest)


def _apart(one: str, other: str) -> int:
    """How unlike two colours '#rrggbb' are, roughly: only to put likely ones first."""
    return sum((int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) ** 2 for at in (1, 3, 5))


# Joins ---------------------------------------------------------------------------------------------------------------


def joins_of(text: str) -> tuple[tuple[int, ...], ...]:
    """Which signs are one, from '0-2;5,7'. Raises Refused for what no page of ours wrote."""
    if not text:
        return ()
    if len(text) > 4000 or not _JOIN.fullmatch(text):
        raise Refused("These signs cannot be joined: load the page again and tick them anew.")
    return tuple(tuple(_places(group)) for group in text.split(";"))


def _places(group: str) -> list[int]:
    places: list[int] = []
    for run in group.split(","):
        first, _, last = run.partition("-")
        if int(last or first) - int(first) > MOST_PLACES:
            raise Refused("These signs cannot be joined: load the page again and tick them anew.")
        places += range(int(first), int(last or first) + 1)
    return places


def _written(places: Sequence[int]) -> str:
    """Places as text, runs of them shortened."""
    runs: list[list[int]] = []
    for place in sorted(places):
        if runs and place == runs[-1][1] + 1:
            runs[-1][1] = place
        else:
            runs.append([place, place])
    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)


def joined(join: str, one: Sequence[str]) -> str:
    """The join with the ticked tiles (each the places of a sign) made one more sign; fewer than two change nothing."""
    together = {place for text in one for places in joins_of(text) for place in places}
    if len(together) < 2:
        return join
    others = [group for group in joins_of(join) if not set(group) & together]
    return ";".join(_written(sorted(group)) for group in [*others, together])


def _groups(db: Connection, proposed: Proposal, join: str) -> list[tuple[int, ...]]:
    """For each proposed sign, which signs of the drawing without joins it is made of."""
    if not join:
        return [(place,) for place in range(len(proposed.signs))]
    _, read = jobs.drawing_reading(db, proposed.sha256)
    drawn = Drawing.of_dict(read).outlines
    tagged = [replace(one, name=str(index)) for index, one in enumerate(drawn)]  # names do not change what lies on what
    home = {part.name: place for place, sign in enumerate(propose(tagged)) for part in sign.parts}
    return [tuple(sorted({home[part.name] for part in sign.parts})) for sign in propose(tagged, joins_of(join))]
