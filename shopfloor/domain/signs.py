"""What a job's signs are called, and what a customer's order must say. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from .errors import Refused
from .stacking import ProposedPart, ProposedSign

MOST_COPIES = 500
MOST_PIECES = 20_000


@dataclass(frozen=True)
class Order:
    """What the customer ordered. `due` an ISO date; `stocks` a stock's id for each colour '#rrggbb' of the drawing.

    A colour that is missing takes a new stock of the default size. `joins`: which proposed signs are one (from 0).
    """

    customer: str
    title: str
    due: str
    quantity: int = 1
    stocks: dict[str, int] = field(default_factory=dict)
    joins: tuple[tuple[int, ...], ...] = ()


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
    if not 1 <= order.quantity <= MOST_COPIES:
        raise Refused(f"The quantity is a whole number from 1 to {MOST_COPIES}.")
    pieces = order.quantity * sum(len(sign.parts) for sign in signs)
    if pieces > MOST_PIECES:
        raise Refused(f"That would be {pieces} pieces: a job holds {MOST_PIECES} at the most, so take it in as several.")
    return Order(customer, title, due, order.quantity, dict(order.stocks), order.joins)


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
    lines: dict[tuple, str] = {}  # a line of letters on one board is a word
    for part in parts:
        if part.name and len(part.name) == 1:
            word = (part.level, part.line, part.on)
            lines[word] = lines.get(word, "") + part.name
    return " ".join(lines.values())[:40]
