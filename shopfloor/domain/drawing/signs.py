"""The names of a job's signs, and the checks of a customer's order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from ...wording import jobs as wording
from ..errors import Refused
from ..fields import read_line
from .stacking import ProposedPart, ProposedSign

MOST_COPIES = 500
MOST_PIECES = 20_000
LONGEST_CUSTOMER, LONGEST_TITLE = 80, 120


@dataclass(frozen=True)
class Order:
    """What the customer ordered. `due` an ISO date; `stocks` a stock's id for each colour '#rrggbb' of the drawing.

    A colour that is missing takes a new stock of the default size. `joins`: which proposed signs are one (from 0).
    `quantities`: the first place of a proposed sign -> how many of it belong to each copy of the order, 1 where it
    is missing. `quantity` multiplies all. `uses_spares`: parts that a spare piece in stock fits take it; it is not cut
    again.
    """

    customer: str
    title: str
    due: str
    quantity: int = 1
    stocks: dict[str, int] = field(default_factory=dict)
    joins: tuple[tuple[int, ...], ...] = ()
    quantities: dict[int, int] = field(default_factory=dict)
    uses_spares: bool = False


def checked(order: Order, signs: Sequence[ProposedSign]) -> Order:
    """Return the order, tidied. Raises Refused with what to correct."""
    no_customer, no_title = (
        wording.customer_needed(LONGEST_CUSTOMER),
        wording.title_needed(LONGEST_TITLE),
    )
    customer = read_line(order.customer, 1, LONGEST_CUSTOMER, no_customer)
    title = read_line(order.title, 1, LONGEST_TITLE, no_title)
    try:
        due = date.fromisoformat(order.due.strip()).isoformat()
    except ValueError:
        raise Refused(wording.not_a_date(order.due)) from None
    if not _is_count(order.quantity):
        raise Refused(wording.quantity_out_of_range(MOST_COPIES))
    _check_quantities(order, signs, title)
    pieces = sum(copies_of(order, sign) * len(sign.parts) for sign in signs)
    if pieces > MOST_PIECES:
        raise Refused(wording.too_many_pieces(pieces, MOST_PIECES))
    return replace(order, customer=customer, title=title, due=due)


def copies_of(order: Order, sign: ProposedSign) -> int:
    """Return how many of a proposed sign the order asks for in all."""
    return order.quantity * _of_each_copy(order, sign)


def made(order: Order, signs: Sequence[ProposedSign]) -> list[ProposedSign]:
    """Return the signs to be made, one entry each, in the order of their marks.

    Copy by copy, in reading order, each sign as often as it is ordered: two copies of a gate sign and three arrows are
    gate, arrow, arrow, arrow, gate, arrow, arrow, arrow.
    """
    of_a_copy = [sign for sign in signs for _ in range(_of_each_copy(order, sign))]
    return of_a_copy * order.quantity


def _of_each_copy(order: Order, sign: ProposedSign) -> int:
    return order.quantities.get(sign.places[0], 1) if sign.places else 1


def _check_quantities(order: Order, signs: Sequence[ProposedSign], title: str) -> None:
    sign_at = {sign.places[0]: sign for sign in signs if sign.places}
    for place, count in order.quantities.items():
        if place not in sign_at:
            raise Refused(wording.no_sign_to_make(place + 1, count))
        if not _is_count(count):
            name = name_of(sign_at[place], title, len(signs) == 1)
            raise Refused(wording.count_out_of_range(place + 1, name, MOST_COPIES))


def _is_count(count: int) -> bool:
    return isinstance(count, int) and 1 <= count <= MOST_COPIES


def mark_of(place: int) -> str:
    """Return the letter of a job's sign: 0 is A, 25 is Z, 26 is AA."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def name_of(sign: ProposedSign, title: str, is_only_one: bool) -> str:
    """Return a sign's name: that of its group in the drawing, else for a single sign the job's title, else the text of
    its letters, else the name of its bottom part."""
    of_bottom_parts = {part.name for part in sign.parts if part.level == 0}
    if sign.name and sign.name not in of_bottom_parts:
        return sign.name
    if is_only_one:
        return title
    return reads(sign.parts) or sign.name or title


def reads(parts: Sequence[ProposedPart]) -> str:
    """Return the text that a sign's letters spell, where the drawing names each by its letter; else ''."""
    board = _boards(parts)
    # a line of letters on one board, or across boards that one of them bridges, is a word
    words: dict[tuple[int, int, int | None], str] = {}
    for part in parts:
        if part.name and len(part.name) == 1:
            key = (part.level, part.line, None if part.on is None else board.get(part.on))
            words[key] = words.get(key, "") + part.name
    return " ".join(words.values())[:40]


def _boards(parts: Sequence[ProposedPart]) -> dict[int, int]:
    """The number of each part's board; boards that a letter bridges share the lowest of their numbers."""
    home = {part.number: part.number for part in parts}
    for letter in parts:
        if (
            letter.also_on
            and letter.on is not None
            and letter.inlay_in is None
            and len(letter.name or "") == 1
        ):
            bridged = {home[number] for number in (letter.on, *letter.also_on)}
            if len(bridged) > 1:
                home = {
                    number: min(bridged) if board in bridged else board
                    for number, board in home.items()
                }
    return home
