"""What the pages of intake show: the proposed signs as drawings, a choice of stock for each colour, some due dates.

Reads only. What is asked about a drawing is in `questions`, what was found in it in `findings`, its shapes in
`families`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import PurePath

from ...actions.drawings import DEFAULT_SHEET, Colour, Proposal
from ...domain import lengths
from ...domain.drawing.answers import Answers
from ...domain.drawing.drawing import Finding
from ...domain.drawing.signs import MOST_COPIES, mark_of, name_of
from ...domain.drawing.stacking import ProposedSign
from ...store import jobs, stock
from ...store.db import Connection
from ..formatting import counted
from ..page import current_settings, whole
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from . import answers as written
from . import questions
from .families import AT_ONCE, ShapesOfColour, shapes_of
from .findings import FindingGroup, Marks, told
from .questions import Question

NEW_STOCK = "new"
MOST_DRAWN = 120  # signs; a page with two thousand loose letters would not be looked through
FIRST_STOCKS = 3  # tiles beside each other; the others fold away
BOXES = (
    (1, (1150, 330)),
    (4, (540, 230)),
    (MOST_DRAWN, (330, 150)),
)  # up to so many signs, so much room for each, px


@dataclass(frozen=True)
class Typed:
    """The order as it was typed so far: all text. `stocks` by colour without '#', `each` by the first place of a sign.

    `unit` is what somebody said a drawing without unit was drawn in, '' where nobody did.
    """

    customer: str
    title: str
    due: str
    quantity: str
    stocks: dict[str, str]
    each: dict[int, str] = field(default_factory=dict)
    uses_spares: bool = True
    unit: str = ""

    def as_query(self) -> dict[str, str]:
        """The same as the fields of a query."""
        plain = {
            name: getattr(self, name) for name in ("customer", "title", "due", "quantity", "unit")
        }
        fields = plain | {f"stock-{colour}": chosen for colour, chosen in self.stocks.items()}
        fields |= {f"each-{place}": count for place, count in self.each.items() if count != "1"}
        return fields | {"asked": "1"} | ({"spares": "1"} if self.uses_spares else {})

    def sets(self) -> int:
        """How many sets were typed, as far as it is a number."""
        return min(whole(self.quantity.strip()) or 1, MOST_COPIES)

    def of(self, sign: ProposedSign) -> int:
        """How many of a sign were typed for each set, as far as it is a number."""
        return min(whole(self.each.get(sign.places[0], "1").strip()) or 1, MOST_COPIES)


@dataclass(frozen=True)
class SignTile:
    """A proposed sign. `places` says which signs of the drawing it is made of; `apart` are the answers with its join
    undone; `each` is how many of it were typed, in the field `each_name`."""

    mark: str
    places: str
    name: str
    words: str
    picture: SignPicture
    is_joined: bool
    apart: Answers
    each: str
    each_name: str


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
class Sum:
    """What the order comes to; `spares` of its pieces lie in stock."""

    sets: int
    signs: int
    parts: int
    all_signs: int
    all_parts: int
    spares: int


@dataclass(frozen=True)
class LeftOut:
    """A sign that was drawn by mistake: its place from 1, and the answers with it put back."""

    number: int
    answers: Answers


@dataclass(frozen=True)
class ProposalPage:
    """A drawing before it is confirmed.

    `shapes` is None where they are sorted only when somebody looks; `spares` counts the pieces in stock that fit;
    `size` tells a drawing that was read in another unit meanwhile; `known_as` names the open jobs that are made by it.
    """

    sha256: str
    file: str
    size: str
    unit: Question | None
    colour: Question | None
    all_loose: Question | None
    loose: list[Question]
    still_open: str
    signs: list[SignTile]
    all_places: str
    undrawn: int
    columns: int
    sum: Sum
    left_out: list[LeftOut]
    findings: list[FindingGroup]
    shapes: list[ShapesOfColour] | None
    colours: list[ColourChoice]
    spares: int
    answers: Answers
    answered: dict[str, str]
    typed: Typed
    days: list[Day]
    has_other_day: bool
    customers: list[str]
    known_as: str

    def with_(self, answers: Answers) -> dict[str, str]:
        """The query of this page with other answers."""
        return written.query_of(answers) | ({"unit": self.typed.unit} if self.typed.unit else {})


def page_of(
    db: Connection,
    proposed: Proposal,
    typed: Typed,
    found: Sequence[Finding],
    spares: int,
    today: date,
) -> ProposalPage:
    """The proposal as it is shown, with all that was found in it."""
    title, units = typed.title or PurePath(proposed.file).stem, current_settings().units
    unit = questions.unit_question(proposed, typed.unit, units)
    unasked = [one for one in found if one.kind != "units" or unit is None]
    findings, marks = told(unasked, proposed.signs, MOST_DRAWN)
    days = [
        Day((today + timedelta(weeks=n)).isoformat(), f"in {n} week{'s' if n > 1 else ''}")
        for n in (1, 2, 3)
    ]
    answers, parts = proposed.answers, sum(len(sign.parts) for sign in proposed.signs)
    return ProposalPage(
        sha256=proposed.sha256,
        file=proposed.file,
        size=size_of(proposed),
        unit=unit,
        colour=questions.colour_question(proposed),
        all_loose=questions.all_loose(proposed),
        loose=questions.loose_questions(proposed, title, units),
        still_open=questions.still_open(proposed, units),
        signs=_tiles(proposed, typed, title, marks),
        all_places=written.written([place for sign in proposed.signs for place in sign.places]),
        undrawn=len(proposed.signs) - len(marks),
        columns=1 if len(marks) == 1 else 2 if len(marks) <= 4 else 3,
        sum=sum_of(proposed, typed, spares),
        left_out=[
            LeftOut(place + 1, written.put_back(answers, place)) for place in answers.left_out
        ],
        findings=findings,
        shapes=shapes_of(proposed, units) if parts <= AT_ONCE else None,
        colours=colour_choices(db, proposed.colours, typed.stocks),
        spares=spares,
        answers=answers,
        answered=written.query_of(answers),
        typed=replace(typed, title=title),
        days=days,
        has_other_day=bool(typed.due) and typed.due not in {day.date for day in days},
        customers=jobs.customers(db),
        known_as=", ".join(jobs.open_jobs_by(db, proposed.sha256)),
    )


def size_of(proposed: Proposal) -> str:
    """The size of all that is drawn, as text: another unit is another size."""
    return f"{proposed.width_mm:g} {proposed.height_mm:g}"


def sum_of(proposed: Proposal, typed: Typed, spares: int) -> Sum:
    """What the order comes to, as far as numbers were typed; so many spares would be used."""
    counts = [typed.of(sign) for sign in proposed.signs]
    parts = sum(count * len(sign.parts) for count, sign in zip(counts, proposed.signs, strict=True))
    return Sum(
        typed.sets(),
        sum(counts),
        parts,
        typed.sets() * sum(counts),
        typed.sets() * parts,
        spares if typed.uses_spares else 0,
    )


def stocks_of(proposed: Proposal, typed: Typed) -> dict[str, int]:
    """The stock of each colour as far as it is known: chosen on the page, else the one of the last time."""
    found = {}
    for colour in proposed.colours:
        chosen = typed.stocks.get(colour.colour.lstrip("#"), "")
        id = whole(chosen) or (colour.stock.id if colour.stock and not chosen else None)
        if id is not None:
            found[colour.colour] = id
    return found


def _tiles(proposed: Proposal, typed: Typed, title: str, marks: list[Marks]) -> list[SignTile]:
    box = next((room for most, room in BOXES if len(marks) <= most), BOXES[-1][1])
    is_only = len(proposed.signs) == 1
    return [
        _tile(number, sign, name_of(sign, title, is_only), box, drawn, proposed.answers, typed)
        for number, (sign, drawn) in enumerate(zip(proposed.signs, marks, strict=False))
    ]


def _tile(
    number: int, sign: ProposedSign, name: str, box, drawn: Marks, answers: Answers, typed: Typed
) -> SignTile:
    units = current_settings().units
    width, height = lengths.show(sign.width_mm, units), lengths.show(sign.height_mm, units)
    parts = [
        PicturePart(str(p.number), p.number, p.name or "", p.outline, p.colour, "ready")
        for p in sign.parts
    ]
    picture = sign_picture(
        f"p{number}",
        parts,
        sign.width_mm,
        sign.height_mm,
        title=name,
        box=box,
        width_text=width,
        height_text=height,
        traces=drawn.traces,
        flags=drawn.flags,
    )
    words = f"{counted(len(sign.parts), 'part')} on {counted(sign.levels, 'level')}"
    first = sign.places[0]
    return SignTile(
        mark_of(number),
        written.written(sign.places),
        name,
        words,
        picture,
        len(sign.places) > 1,
        written.taken_apart(answers, sign.places),
        typed.each.get(first, "1"),
        f"each-{first}",
    )


# Colours -------------------------------------------------------------------------------------------------------------


def colour_choices(
    db: Connection, colours: Iterable[Colour], chosen: Mapping[str, str]
) -> list[ColourChoice]:
    """The stocks that each colour may be cut from; `chosen` is what was tapped, by colour without '#'."""
    stocks = stock.all_stocks(db)
    return [
        _colour_choice(colour, stocks, chosen.get(colour.colour.lstrip("#"))) for colour in colours
    ]


def _colour_choice(colour: Colour, stocks: list[stock.Stock], typed: str | None) -> ColourChoice:
    remembered = colour.stock.id if colour.stock else None
    by_default = str(remembered) if remembered else "" if stocks else NEW_STOCK
    chosen = typed or by_default
    ordered = sorted(
        stocks,
        key=lambda s: (str(s.id) != chosen, s.id != remembered, _apart(s.colour, colour.colour)),
    )
    choices = [
        Choice(
            str(s.id), s.called, f"{s.length_mm:g} × {s.width_mm:g}", s.colour, str(s.id) == chosen
        )
        for s in ordered
    ]
    size = "{length_mm:g} × {width_mm:g}".format(**DEFAULT_SHEET)
    called = f"New: {colour.word}, {DEFAULT_SHEET['thickness_mm']:g} mm"
    new = Choice(NEW_STOCK, called, size, colour.colour, chosen == NEW_STOCK)
    first, rest = [*choices[:FIRST_STOCKS], new], choices[FIRST_STOCKS:]
    return ColourChoice(
        f"stock-{colour.colour[1:]}", colour.colour, colour.called, colour.parts, first, rest
    )


def _apart(one: str, other: str) -> int:
    """How unlike two colours '#rrggbb' are, roughly: only to put likely ones first."""
    return sum((int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) ** 2 for at in (1, 3, 5))
