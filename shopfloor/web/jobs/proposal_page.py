"""The page of a proposal: the signs of a drawing as pictures, a choice of stock for each colour, some due dates.

Reads only. `questions` has what is asked about the drawing, `findings` what was found in it, `families` its shapes;
`intake` shows the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import PurePath

from ...actions.drawings import DEFAULT_SHEET, Colour, Proposal
from ...domain.drawing.answers import Answers
from ...domain.drawing.drawing import Finding
from ...domain.drawing.signs import MOST_COPIES, mark_of, name_of
from ...domain.drawing.stacking import ProposedSign
from ...scenes.scene import Shape
from ...store import jobs, stock
from ...store.db import Connection
from ...wording import jobs as wording
from ...wording.message import Message
from ..page import current_settings, reader, whole
from ..pictures.svg import SignPicture, sign_picture
from . import answers as written
from . import questions
from .families import AT_ONCE, shapes_of
from .findings import Marks, grouped

NEW_STOCK = "new"
MOST_DRAWN = 120  # signs; nobody looks through two thousand loose letters
FIRST_STOCKS = 3  # tiles beside each other; the others fold away
BOXES = ((1, (1150, 330)), (4, (540, 230)), (MOST_DRAWN, (330, 150)))  # (signs, room for each, px)


@dataclass(frozen=True)
class Typed:
    """The order as it was typed so far: all text. `stocks` by colour without '#', `each` by the first place of a sign.

    `unit` is the unit that somebody named for a drawing without one, '' where nobody did.
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
        """Return it as the fields of a query."""
        plain = {
            name: getattr(self, name) for name in ("customer", "title", "due", "quantity", "unit")
        }
        fields = plain | {f"stock-{colour}": chosen for colour, chosen in self.stocks.items()}
        fields |= {f"each-{place}": count for place, count in self.each.items() if count != "1"}
        return fields | {"asked": "1"} | ({"spares": "1"} if self.uses_spares else {})

    def with_(self, answers: Answers) -> dict[str, str]:
        """Return the query of the page with these answers, without what is typed."""
        return written.query_of(answers) | ({"unit": self.unit} if self.unit else {})

    def sets(self) -> int:
        """Return the number of sets typed; 1 where it is no number."""
        return min(whole(self.quantity.strip()) or 1, MOST_COPIES)

    def of(self, sign: ProposedSign) -> int:
        """Return the number of a sign typed for each set; 1 where it is no number."""
        return min(whole(self.each.get(sign.places[0], "1").strip()) or 1, MOST_COPIES)


@dataclass(frozen=True)
class SignTile:
    """A proposed sign. `places` are the signs of the drawing that it is made of; `apart` the answers with its join undone;
    `each` the number typed in the field `each_name`."""

    mark: str
    places: str
    name: str
    contents: Message
    picture: SignPicture
    is_joined: bool
    apart: Answers
    each: str
    each_name: str


@dataclass(frozen=True)
class Choice:
    """A stock that a colour may be cut from."""

    value: str
    called: Message | str
    size: str
    colour: str
    is_chosen: bool


@dataclass(frozen=True)
class ColourChoice:
    """A colour of the drawing with the stocks it may be cut from: `first` the likely ones, the others in `rest`."""

    field: str
    colour: str
    word: str
    parts: int
    first: list[Choice]
    rest: list[Choice]


def page_of(
    db: Connection,
    proposed: Proposal,
    typed: Typed,
    findings: Sequence[Finding],
    spares: int,
    today: date,
) -> dict[str, object]:
    """Return a drawing before it is confirmed, with the findings in it.

    `shapes` is None where they are sorted only on request; `spares` counts the pieces in stock that fit; `size` detects
    a drawing that was read in another unit meanwhile; `known_as` names the open jobs made from it.
    """
    title = typed.title or PurePath(proposed.file).stem
    unit = questions.unit_question(proposed, typed.unit, current_settings().units)
    unasked = [finding for finding in findings if finding.kind != "units" or unit is None]
    groups, marks = grouped(unasked, proposed.signs, MOST_DRAWN)
    days = [
        ((today + timedelta(weeks=weeks)).isoformat(), wording.in_weeks(weeks))
        for weeks in (1, 2, 3)
    ]
    answers, parts = proposed.answers, sum(len(sign.parts) for sign in proposed.signs)
    return {
        "sha256": proposed.sha256,
        "file": proposed.file,
        "size": size_of(proposed),
        "unit": unit,
        "colour": questions.colour_question(proposed),
        "all_loose": questions.all_loose(proposed),
        "loose": questions.loose_questions(proposed, title),
        "still_open": questions.still_open(proposed),
        "signs": _tiles(proposed, typed, title, marks),
        "all_places": written.written([place for sign in proposed.signs for place in sign.places]),
        "undrawn": len(proposed.signs) - len(marks),
        "columns": 1 if len(marks) == 1 else 2 if len(marks) <= 4 else 3,
        "sum": sum_of(proposed, typed, spares),
        "left_out": [(place + 1, written.put_back(answers, place)) for place in answers.left_out],
        "findings": groups,
        "shapes": shapes_of(proposed) if parts <= AT_ONCE else None,
        "colours": colour_choices(db, proposed.colours, typed.stocks),
        "spares": spares,
        "answers": answers,
        "answered": written.query_of(answers),
        "typed": replace(typed, title=title),
        "days": days,
        "has_other_day": bool(typed.due) and typed.due not in dict(days),
        "customers": jobs.customers(db),
        "known_as": ", ".join(jobs.open_jobs_by(db, proposed.sha256)),
    }


def size_of(proposed: Proposal) -> str:
    """Return the size of the whole drawing as text: another unit is another size."""
    return f"{proposed.width_mm:g} {proposed.height_mm:g}"


def sum_of(proposed: Proposal, typed: Typed, spares: int) -> dict[str, int]:
    """Return the total of the order, as far as numbers were typed, with this many spares in stock."""
    counts = [typed.of(sign) for sign in proposed.signs]
    parts = sum(count * len(sign.parts) for count, sign in zip(counts, proposed.signs, strict=True))
    return {
        "sets": typed.sets(),
        "signs": sum(counts),
        "parts": parts,
        "all_signs": typed.sets() * sum(counts),
        "all_parts": typed.sets() * parts,
        "spares": spares if typed.uses_spares else 0,
    }


def stocks_of(proposed: Proposal, typed: Typed) -> dict[str, int]:
    """Return the known stock of each colour: chosen on the page, else the one used last time."""
    stocks = {}
    for colour in proposed.colours:
        chosen = typed.stocks.get(colour.colour.lstrip("#"), "")
        id = whole(chosen) or (colour.stock.id if colour.stock and not chosen else None)
        if id is not None:
            stocks[colour.colour] = id
    return stocks


def _tiles(proposed: Proposal, typed: Typed, title: str, marks: list[Marks]) -> list[SignTile]:
    box = next((room for most, room in BOXES if len(marks) <= most), BOXES[-1][1])
    is_only = len(proposed.signs) == 1
    return [
        _tile(place, sign, name_of(sign, title, is_only), box, drawn, typed, proposed.answers)
        for place, (sign, drawn) in enumerate(zip(proposed.signs, marks, strict=False))
    ]


def _tile(
    place: int,
    sign: ProposedSign,
    name: str,
    box: tuple[int, int],
    drawn: Marks,
    typed: Typed,
    answers: Answers,
) -> SignTile:
    width, height = (reader().show("length", side) for side in (sign.width_mm, sign.height_mm))
    parts = [
        Shape(str(p.number), p.number, p.name or "", p.outline, p.colour, "ready")
        for p in sign.parts
    ]
    picture = sign_picture(
        f"p{place}",
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
    first = sign.places[0]
    return SignTile(
        mark_of(place),
        written.written(sign.places),
        name,
        wording.parts_on_levels(wording.parts(len(sign.parts)), wording.levels(sign.levels)),
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
    """Return the stocks that each colour may be cut from; `chosen` are those tapped, by colour without '#'."""
    stocks = stock.all_stocks(db)
    return [
        _colour_choice(colour, stocks, chosen.get(colour.colour.lstrip("#"))) for colour in colours
    ]


def _colour_choice(
    colour: Colour, stocks: Sequence[stock.Stock], typed: str | None
) -> ColourChoice:
    remembered = colour.stock.id if colour.stock else None
    by_default = str(remembered) if remembered else "" if stocks else NEW_STOCK
    chosen = typed or by_default
    ordered = sorted(
        stocks,
        key=lambda known: (
            str(known.id) != chosen,
            known.id != remembered,
            _difference(known.colour, colour.colour),
        ),
    )
    choices = [
        Choice(
            str(known.id),
            known.called,
            _sheet_size(known.length_mm, known.width_mm),
            known.colour,
            str(known.id) == chosen,
        )
        for known in ordered
    ]
    thickness, length, width = DEFAULT_SHEET.values()
    called = wording.new_stock(colour.word, f"{thickness:g}")
    size = _sheet_size(length, width)
    new = Choice(NEW_STOCK, called, size, colour.colour, chosen == NEW_STOCK)
    first, rest = [*choices[:FIRST_STOCKS], new], choices[FIRST_STOCKS:]
    return ColourChoice(
        f"stock-{colour.colour[1:]}", colour.colour, colour.called, colour.parts, first, rest
    )


def _sheet_size(length_mm: float, width_mm: float) -> str:
    return f"{length_mm:g} × {width_mm:g}"


def _difference(one: str, other: str) -> int:
    """Return roughly how different two colours '#rrggbb' are: only to put likely ones first."""
    return sum((int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) ** 2 for at in (1, 3, 5))
