"""What a drawing leaves open, asked in one sentence each: its unit, colours that are nearly one, parts on no board.

Owns the sentences and the choices. How an answer is written in a query is in `answers`; what it does to the signs is
decided by the proposal that is made of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...actions.drawings import Proposal
from ...domain.drawing.answers import Answers
from ...domain.drawing.colours import colour_word
from ...domain.drawing.signs import mark_of, name_of, reads
from ...domain.drawing.stacking import ProposedSign
from . import answers as written
from .families import size_in

# Millimetres of one unit; an inch has 25.4 mm, in CSS 96 px.
UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "m": 1000.0, "px": 25.4 / 96}
WORDS = {"mm": "millimetres", "cm": "centimetres", "in": "inches", "m": "metres", "px": "pixels"}
LARGE_MM, LARGEST_MM = 1e4, 1e6  # shown in metres from here; refused by the readers
MOST_SIGNS = 4  # that a loose part may belong to
MOST_LOOSE = 6  # asked about at once; for the others there is one answer for all


@dataclass(frozen=True)
class Tile:
    """One answer to tap. `answers` are all answers with this one given; `value` is sent where it is no such answer."""

    words: str
    small: str
    is_chosen: bool = False
    value: str = ""
    answers: Answers = Answers()


@dataclass(frozen=True)
class Question:
    """One question. `colours` are shown as swatches beside it, a group of nearly equal ones each."""

    words: str
    tiles: tuple[Tile, ...]
    colours: tuple[tuple[str, ...], ...] = ()


def unit_question(proposed: Proposal, chosen: str, units: str) -> Question | None:
    """Which unit a drawing that names none was drawn in. `chosen` is what somebody answered before, '' for nobody."""
    now = chosen or proposed.guessed_unit
    if now not in UNITS:
        return None
    offered = [
        unit
        for unit in UNITS
        if unit != "px" or now == "px" or not proposed.file.lower().endswith(".dxf")
    ]
    tiles = []
    for unit in offered:
        wide, high = (
            side / UNITS[now] * UNITS[unit] for side in (proposed.width_mm, proposed.height_mm)
        )
        if max(wide, high) < LARGEST_MM:
            tiles.append(Tile(WORDS[unit], _large(wide, high, units), unit == chosen, unit))
    return Question("The drawing names no unit. It was drawn in …", tuple(tiles))


def _large(wide: float, high: float, units: str) -> str:
    """The size of a drawing, which in the wrong unit may be that of a street."""
    if units == "mm" and max(wide, high) >= LARGE_MM:
        wide_m, high_m = (f"{side / 1000:,.1f}".removesuffix(".0") for side in (wide, high))
        return f"{wide_m} × {high_m} m"
    return size_in(wide, high, units)


def colour_question(proposed: Proposal) -> Question | None:
    """Whether colours that look alike are one material."""
    if not proposed.nearly_one:
        return None
    words = " and ".join(dict.fromkeys(colour_word(group[0]) for group in proposed.nearly_one))
    apart = proposed.answers.apart
    return Question(
        f"There is more than one {words}, hardly told apart. They are …",
        (
            Tile(
                "One material",
                "cut from the same sheet",
                not apart,
                answers=_apart(proposed.answers, False),
            ),
            Tile(
                "Different materials",
                "keep them apart",
                apart,
                answers=_apart(proposed.answers, True),
            ),
        ),
        proposed.nearly_one,
    )


def _apart(answers: Answers, is_apart: bool) -> Answers:
    return Answers(answers.joins, answers.left_out, answers.own, is_apart)


def loose_questions(proposed: Proposal, title: str, units: str) -> list[Question]:
    """What each part is that lies on no board: at most six at once."""
    return [_loose_question(proposed, at, title, units) for at in _loose(proposed)[:MOST_LOOSE]]


def all_loose(proposed: Proposal) -> Question | None:
    """One answer for all parts that lie on no board, where there are several."""
    count = len(proposed.loose)
    if count < 2:
        return None
    own = written.on_their_own(proposed.answers, proposed.loose)
    out = written.left_out(proposed.answers, proposed.loose)
    return Question(
        f"All {count} parts that lie on no board are …",
        (
            Tile("Signs of their own", "", answers=own),
            Tile("Drawn by mistake", "leave them out", answers=out),
        ),
    )


def still_open(proposed: Proposal, units: str) -> str:
    """The sentence that refuses an order with a question that nobody answered; '' where all are."""
    if proposed.guessed_unit:
        return "The drawing names no unit: say first what it was drawn in."
    if not proposed.loose:
        return ""
    names = [_called(proposed.signs[at], units) for at in _loose(proposed)]
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    told = ", ".join(names[:3]) + more
    lie, they_are = ("lie", "they are") if len(names) > 1 else ("lies", "it is")
    return f"{told[0].upper()}{told[1:]} {lie} on no board: say first what {they_are}."


def _loose(proposed: Proposal) -> list[int]:
    """Where the loose signs stand among the proposed ones."""
    return [at for at, sign in enumerate(proposed.signs) if sign.places[0] in proposed.loose]


def _loose_question(proposed: Proposal, at: int, title: str, units: str) -> Question:
    sign, answers = proposed.signs[at], proposed.answers
    tiles = [Tile("A sign of its own", "", answers=written.on_their_own(answers, sign.places))]
    for other in _nearest(sign, proposed.signs):
        home = proposed.signs[other]
        joined = written.joined(answers, {*sign.places, *home.places})
        tiles.append(
            Tile(f"Part of sign {mark_of(other)}", name_of(home, title, False), answers=joined)
        )
    tiles.append(
        Tile("Drawn by mistake", "leave it out", answers=written.left_out(answers, sign.places))
    )
    words = f"Sign {mark_of(at)}, {_called(sign, units)}, lies on no board. It is …"
    return Question(words, tuple(tiles))


def _called(sign: ProposedSign, units: str) -> str:
    name = sign.name or reads(sign.parts)
    size = size_in(sign.width_mm, sign.height_mm, units)
    return f"'{name}' ({size})" if name else f"the part of {size}"


def _nearest(sign: ProposedSign, signs: Sequence[ProposedSign]) -> Iterator[int]:
    """The signs that carry parts, the nearest first."""
    carrying = [
        at for at, other in enumerate(signs) if len(other.parts) > 1 and other.places != sign.places
    ]
    yield from sorted(carrying, key=lambda at: _between(sign, signs[at]))[:MOST_SIGNS]


def _between(one: ProposedSign, other: ProposedSign) -> float:
    right = max(
        one.left_mm - other.left_mm - other.width_mm, other.left_mm - one.left_mm - one.width_mm, 0
    )
    up = max(
        one.bottom_mm - other.bottom_mm - other.height_mm,
        other.bottom_mm - one.bottom_mm - one.height_mm,
        0,
    )
    return math.hypot(right, up)
