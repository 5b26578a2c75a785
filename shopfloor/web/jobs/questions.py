"""The questions that a drawing leaves open: a wrong or missing unit, colours that are nearly one, parts on no board.

Owns the questions and their choices. `answers` writes an answer in a query; the proposal made with it shows what it
does to the signs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ...actions.drawings import Proposal
from ...domain.drawing.answers import NO_ANSWERS, Answers
from ...domain.drawing.colours import colour_word
from ...domain.drawing.signs import mark_of, name_of, reads
from ...domain.drawing.stacking import ProposedSign
from ...wording import drawings as wording
from ...wording.message import Message
from . import answers as written

# Millimetres of one unit; an inch has 25.4 mm, in CSS 96 px.
UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "m": 1000.0, "px": 25.4 / 96}
LARGE_MM, LARGEST_MM = 1e4, 1e6  # shown in metres from here; refused by the readers
MOST_SIGNS = 4  # offered as the home of a loose part
MOST_LOOSE = 6  # asked about at once; one more question covers all
MOST_NAMED = 3  # in a refusal


@dataclass(frozen=True)
class Tile:
    """One answer to tap. `answers` are all answers with this one given; `value` is sent where it is no such answer."""

    words: Message
    small: Message | str
    is_chosen: bool = False
    value: str = ""
    answers: Answers = NO_ANSWERS


@dataclass(frozen=True)
class Question:
    """One question. `colours` are shown as swatches beside it, a group of nearly equal ones each."""

    words: Message
    tiles: tuple[Tile, ...]
    colours: tuple[tuple[str, ...], ...] = ()


def unit_question(proposed: Proposal, chosen: str, units: str) -> Question | None:
    """Ask for the unit of a drawing that names none. `chosen` is an earlier answer, '' for none."""
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
            size = _size_of_drawing(wide, high, units)
            tiles.append(Tile(wording.unit_word(unit), size, unit == chosen, unit))
    return Question(wording.which_unit(), tuple(tiles))


def _size_of_drawing(wide: float, high: float, units: str) -> Message:
    """Return the size of a drawing, which in the wrong unit may be that of a street."""
    if units == "mm" and max(wide, high) >= LARGE_MM:
        return wording.size_in_metres(round(wide / 1000, 1), round(high / 1000, 1))
    return wording.size(wide, high)


def colour_question(proposed: Proposal) -> Question | None:
    """Ask whether colours that look alike are one material."""
    if not proposed.nearly_one:
        return None
    words = list(dict.fromkeys(colour_word(group[0]) for group in proposed.nearly_one))
    answers = proposed.answers
    one = Tile(
        wording.one_material(),
        wording.cut_from_one_sheet(),
        not answers.apart,
        answers=replace(answers, apart=False),
    )
    different = Tile(
        wording.different_materials(),
        wording.keep_apart(),
        answers.apart,
        answers=replace(answers, apart=True),
    )
    return Question(wording.one_material_or_two(words), (one, different), proposed.nearly_one)


def loose_questions(proposed: Proposal, title: str) -> list[Question]:
    """Ask for each part on no board what it is: at most six at once."""
    return [_loose_question(proposed, at, title) for at in _loose(proposed)[:MOST_LOOSE]]


def all_loose(proposed: Proposal) -> Question | None:
    """Ask once for all parts on no board, where there are several."""
    count = len(proposed.loose)
    if count < 2:
        return None
    own = written.on_their_own(proposed.answers, proposed.loose)
    out = written.left_out(proposed.answers, proposed.loose)
    return Question(
        wording.all_loose_signs(count),
        (
            Tile(wording.signs_of_their_own(), "", answers=own),
            Tile(wording.drawn_by_mistake(), wording.leave_out(count), answers=out),
        ),
    )


def still_open(proposed: Proposal) -> Message | None:
    """Return the refusal of an order with an open question; None where all are answered."""
    if proposed.guessed_unit:
        return wording.say_the_unit_first()
    if not proposed.loose:
        return None
    loose = [proposed.signs[at] for at in _loose(proposed)]
    names = [
        wording.loose_part(_name(sign), sign.width_mm, sign.height_mm)
        for sign in loose[:MOST_NAMED]
    ]
    if len(loose) > MOST_NAMED:
        names.append(wording.and_more(len(loose) - MOST_NAMED))
    return wording.say_what_is_loose_first(names, len(loose))


def _loose(proposed: Proposal) -> list[int]:
    """Return the places of the loose signs among the proposed ones."""
    return [at for at, sign in enumerate(proposed.signs) if sign.places[0] in proposed.loose]


def _loose_question(proposed: Proposal, at: int, title: str) -> Question:
    sign, answers = proposed.signs[at], proposed.answers
    own = written.on_their_own(answers, sign.places)
    tiles = [Tile(wording.sign_of_its_own(), "", answers=own)]
    for other in _nearest(sign, proposed.signs):
        home = proposed.signs[other]
        joined = written.joined(answers, {*sign.places, *home.places})
        name = name_of(home, title, False)
        tiles.append(Tile(wording.part_of_sign(mark_of(other)), name, answers=joined))
    out = written.left_out(answers, sign.places)
    tiles.append(Tile(wording.drawn_by_mistake(), wording.leave_out(1), answers=out))
    words = wording.loose_sign(mark_of(at), _name(sign), sign.width_mm, sign.height_mm)
    return Question(words, tuple(tiles))


def _name(sign: ProposedSign) -> str:
    return sign.name or reads(sign.parts)


def _nearest(sign: ProposedSign, signs: Sequence[ProposedSign]) -> Iterator[int]:
    """Yield the places of the signs that carry parts, the nearest first."""
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
