"""Finishing a sign: the check lists, what must be found right before a step ends, who takes the sign over.

Owns the usual lists and cautions and the rules of all three. How a photo is read is in `photos`; must not know where a list
or a photo is kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from ..errors import Conflict, Refused

MOST_ITEMS, LEAST_LETTERS, MOST_LETTERS = 20, 3, 120
MOST_PHOTOS = 40  # of one sign
NAMED = 2  # items that a refusal names

# What a shop looks at until it writes a list of its own: common practice.
USUAL: dict[str, tuple[str, ...]] = {
    "clean": (
        "The masking film is off all fronts, in the corners too",
        "No dust and no swarf, nor behind the letters",
        "No fingerprint, no glue from the film",
        "No crazing where it was wiped",
    ),
    "polish": (
        "Every edge that shows is even to look at",
        "No saw mark, no step where a tab was",
        "No edge burnt, none drawn round",
        "No face dulled beside a polished edge",
    ),
    "inspect": (
        "It is the customer's text, letter by letter",
        "Each part sits where the drawing says",
        "Each joint is sound, no bubbles",
        "No scratch, no haze, no cement run",
        "Edges even, no tab left",
        "Colours as ordered, by daylight",
    ),
    "pack": (
        "A soft sheet lies on every face",
        "Nothing hard lies against a letter",
        "Fixings and drilling template are with it",
        "The label outside names the job and the customer",
        "It says which side is up, and how many carry it",
    ),
    "hand over": (
        "The customer has looked at it unpacked",
        "All signs and fixings of the job are there",
        "How to clean it was said and given in writing",
    ),
}
KINDS = tuple(USUAL)  # the kinds of step that have a list

# (head, words): usual cautions of the trade, which leave the rest to those who know the work.
CAUTIONS: dict[str, tuple[str, str]] = {
    "clean": (
        "Solvents craze acrylic",
        "Only what the data sheets of the sheet and of the cement allow on it. Eyes and air as at the glue-up.",
    ),
    "polish": (
        "Heat, dust, flame",
        "Only people who are trained for it, by the sheet maker's data sheet, the machine's manual and your local rules.",
    ),
    "pack": (
        "Lifting",
        "A large sign is carried by enough people, upright, with gloves; your local rules say how much one may lift.",
    ),
    "hand over": (
        "Lifting",
        "A large sign is carried by enough people, upright, with gloves; your local rules say how much one may lift.",
    ),
}
# What the large button says when all is right.
DONE_WORDS = {
    "clean": "It is clean",
    "polish": "It is polished",
    "inspect": "Inspected: all is right",
    "pack": "It is packed",
    "hand over": "It is handed over",
}


@dataclass(frozen=True)
class ItemChecked:
    """An item of a step's list was found right (`is_right` False: that was taken back)."""

    step: int
    item: str
    is_right: bool


@dataclass(frozen=True)
class CheckListChanged:
    """The shop's list for a kind of step is another one from now on."""

    kind: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class PhotoTaken:
    """A photo is kept with a sign. `note` may be empty."""

    sign: int
    sha256: str
    note: str


@dataclass(frozen=True)
class PhotoTakenOff:
    """A photo is no longer shown with its sign."""

    sign: int
    sha256: str


@dataclass(frozen=True)
class SignHandedOver:
    """The customer, or whom the customer sent, has the sign."""

    sign: int
    to_name: str


def checked_kind(kind: str) -> str:
    """A kind of step that has a list. Raises Refused."""
    if kind not in KINDS:
        raise Refused(f"There are lists for {', '.join(KINDS)}: choose one of them.")
    return kind


def checked_items(lines: Sequence[str]) -> tuple[str, ...]:
    """A list's items, tidied; empty lines are left out, and a list may be empty.

    Raises Refused for more than 20, for one that is said twice, and for one of fewer than 3 or more than 120 letters.
    """
    items = tuple(item for line in lines if (item := " ".join(line.split())))
    if len(items) > MOST_ITEMS:
        raise Refused(f"That is {len(items)} items: a list has {MOST_ITEMS} at the most.")
    for item in items:
        if not LEAST_LETTERS <= len(item) <= MOST_LETTERS:
            raise Refused(
                f"“{item[:30]}” has {len(item)} letters: an item has {LEAST_LETTERS} to {MOST_LETTERS}."
            )
        if items.count(item) > 1:
            raise Refused(f"“{item[:30]}” stands there twice: say it once.")
    return items


def must_all_be_right(title: str, items: Sequence[str], ticked: Collection[str]) -> None:
    """Raises Conflict, naming the first ones, where items of the list of the step `title` were not found right."""
    left = [item for item in items if item not in ticked]
    if not left:
        return
    names = "; ".join(f"“{item}”" for item in left[:NAMED])
    more = f" and {len(left) - NAMED} more" if len(left) > NAMED else ""
    raise Conflict(f"'{title}' is not finished: tick {names}{more} first.")


def as_listed(said: Iterable[str], items: Sequence[str]) -> tuple[str, ...]:
    """Items in the order of a list; those that it no longer has come last, as they were."""
    places = {item: place for place, item in enumerate(items)}
    return tuple(sorted(said, key=lambda item: places.get(item, len(places))))


def checked_receiver(name: str) -> str:
    """The name of who receives a sign, tidied. Raises Refused outside 2 to 80 letters."""
    tidy = " ".join(name.split())
    if not 2 <= len(tidy) <= 80:
        raise Refused("Write who receives the sign, in 2 to 80 letters.")
    return tidy


def checked_note(note: str) -> str:
    """What is said of a photo, tidied; may be empty. Raises Refused over 120 letters."""
    tidy = " ".join(note.split())
    if len(tidy) > MOST_LETTERS:
        raise Refused(f"That note has {len(tidy)} letters: say it in {MOST_LETTERS}.")
    return tidy
