"""What a job's signs are called, and what a customer's order must say. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from ..errors import Refused
from .stacking import ProposedPart, ProposedSign

MOST_COPIES = 500
MOST_PIECES = 20_000


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


@dataclass(frozen=True)
class JobTakenIn:
    """A drawing became a job."""

    job: str
    customer: str
    signs: int
    pieces: int


def checked(order: Order, signs: Sequence[ProposedSign]) -> Order:
    """The order, tidied. Raises Refused with what to correct."""
    customer, title = " ".join(order.customer.split()), " ".join(order.title.split())
    if not 1 <= len(customer) <= 80:
        raise Refused("Say who the customer is, in 1 to 80 letters.")
    if not 1 <= len(title) <= 120:
        raise Refused("Give the job a title of 1 to 120 letters.")
    try:
        due = date.fromisoformat(order.due.strip()).isoformat()
    except ValueError:
        raise Refused(f"'{order.due}' is not a date: write the due date as 2027-03-31.") from None
    if not _is_count(order.quantity):
        raise Refused(f"The quantity is a whole number from 1 to {MOST_COPIES}.")
    _check_quantities(order, signs, title)
    pieces = sum(copies_of(order, sign) * len(sign.parts) for sign in signs)
    if pieces > MOST_PIECES:
        raise Refused(
            f"That would be {pieces} pieces: a job holds {MOST_PIECES} at the most, so take it in as several."
        )
    return replace(
        order,
        customer=customer,
        title=title,
        due=due,
        stocks=dict(order.stocks),
        quantities=dict(order.quantities),
    )


def copies_of(order: Order, sign: ProposedSign) -> int:
    """How many of a proposed sign the order asks for in all."""
    return order.quantity * _of_each_copy(order, sign)


def made(order: Order, signs: Sequence[ProposedSign]) -> list[ProposedSign]:
    """The signs to be made, one entry each, in the order in which they get their marks.

    Copy by copy, and in each copy as the drawing is read, a sign of which there are several as often as it is asked
    for: two copies of a gate sign and three arrows are gate, arrow, arrow, arrow, gate, arrow, arrow, arrow.
    """
    of_a_copy = [sign for sign in signs for _ in range(_of_each_copy(order, sign))]
    return of_a_copy * order.quantity


def _of_each_copy(order: Order, sign: ProposedSign) -> int:
    return order.quantities.get(sign.places[0], 1) if sign.places else 1


def _check_quantities(order: Order, signs: Sequence[ProposedSign], title: str) -> None:
    sign_at = {sign.places[0]: sign for sign in signs if sign.places}
    for place, count in order.quantities.items():
        if place not in sign_at:
            raise Refused(
                f"There is no sign {place + 1} to make {count} of: look at the drawing's signs once more."
            )
        if not _is_count(count):
            name = name_of(sign_at[place], title, len(signs) == 1)
            which = f"sign {place + 1}, '{name}'"
            raise Refused(
                f"Say how many to make of {which}: a whole number from 1 to {MOST_COPIES}."
            )


def _is_count(count: int) -> bool:
    return isinstance(count, int) and 1 <= count <= MOST_COPIES


def mark_of(place: int) -> str:
    """The letter of a job's sign: 0 is A, 25 is Z, 26 is AA."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def name_of(sign: ProposedSign, title: str, is_only_one: bool) -> str:
    """What people call a sign: its group's name in the drawing, else for a single sign the job's title, else what its
    letters read, else the name of its bottom part."""
    of_bottom_parts = {part.name for part in sign.parts if part.level == 0}
    if sign.name and sign.name not in of_bottom_parts:
        return sign.name
    if is_only_one:
        return title
    return reads(sign.parts) or sign.name or title


def reads(parts: Sequence[ProposedPart]) -> str:
    """The text that a sign's letters spell, where the drawing names each by its letter; else ''."""
    board = _boards(parts)
    lines: dict[
        tuple, str
    ] = {}  # a line of letters on one board, or across boards that one of them bridges, is a word
    for part in parts:
        if part.name and len(part.name) == 1:
            word = (part.level, part.line, board.get(part.on))
            lines[word] = lines.get(word, "") + part.name
    return " ".join(lines.values())[:40]


def _boards(parts: Sequence[ProposedPart]) -> dict[int | None, int]:
    """For each part the one that stands for it and for all that letters bridge from it."""
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
                    number: min(bridged) if one in bridged else one for number, one in home.items()
                }
    return home
