"""Finishing a sign: the check lists, what must be ticked before a step ends, who takes the sign over.

Owns the rules of all three; what the usual lists and cautions say is in `wording`. How a photo is read is in `photos`.
Must not know where a list or a photo is kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from ...wording import finishing as wording
from ...wording.message import Message, text
from ..errors import Conflict, Refused
from ..fields import read_line

MOST_ITEMS, LEAST_LETTERS, MOST_LETTERS = 20, 3, 120
LEAST_NAME, MOST_NAME = 2, 80  # letters of who receives a sign
MOST_PHOTOS = 40  # of one sign
NAMED = 2  # items that a refusal names
SHOWN_LETTERS = 30  # of an item, in a refusal

KINDS = ("clean", "polish", "inspect", "pack", "hand over")  # the kinds of step that have a list
USUAL: dict[str, tuple[str, ...]] = {
    kind: tuple(text(item) for item in wording.usual_items(kind)) for kind in KINDS
}  # as text, for a tick keeps the text of its item
# A usual item as shops ticked it before: its text today.
_TODAY = {
    former: item
    for kind in KINDS
    for former, item in zip(wording.FORMER_ITEMS[kind], USUAL[kind], strict=True)
}


def same_item(item: str) -> str:
    """The text by which an item is compared: a usual item in its former words is the item of today."""
    return _TODAY.get(item, item)


def ticked_as(item: str, ticked: Iterable[str]) -> str | None:
    """The text under which an item of a list was ticked, in older words perhaps; None where it is open."""
    return next((tick for tick in ticked if same_item(tick) == same_item(item)), None)


def checked_kind(kind: str) -> str:
    """Return the kind of step if it has a list. Raises Refused."""
    if kind not in KINDS:
        raise Refused(wording.no_list_for_this_kind(KINDS))
    return kind


def checked_items(lines: Sequence[str]) -> tuple[str, ...]:
    """Return a list's items, tidied; empty lines are left out, and a list may be empty.

    Raises Refused for more than 20, for one that is in it twice, and for one of fewer than 3 or more than 120 letters.
    """
    items = tuple(item for line in lines if (item := " ".join(line.split())))
    if len(items) > MOST_ITEMS:
        raise Refused(wording.too_many_items(len(items), MOST_ITEMS))
    for item in items:
        shown = item[:SHOWN_LETTERS]
        if not LEAST_LETTERS <= len(item) <= MOST_LETTERS:
            raise Refused(
                wording.item_too_short_or_long(shown, len(item), LEAST_LETTERS, MOST_LETTERS)
            )
        if items.count(item) > 1:
            raise Refused(wording.item_twice(shown))
    return items


def open_items(items: Iterable[str], ticked: Collection[str]) -> list[str]:
    """Return the items of a list that are not ticked."""
    return [item for item in items if ticked_as(item, ticked) is None]


def must_all_be_ticked(title: Message, items: Sequence[str], ticked: Collection[str]) -> None:
    """Raises Conflict, naming the first ones, where items of the list of the step `title` are not ticked."""
    left = open_items(items, ticked)
    if not left:
        return
    named: list[Message] = [wording.quoted(item) for item in left[:NAMED]]
    if len(left) > NAMED:
        named.append(wording.more_items(len(left) - NAMED))
    raise Conflict(wording.not_all_ticked(title, tuple(named)))


def as_listed(ticked: Iterable[str], items: Sequence[str]) -> tuple[str, ...]:
    """Return ticked items in the order of a list; those that it no longer has come last, as they were."""
    places = {same_item(item): place for place, item in enumerate(items)}
    return tuple(sorted(ticked, key=lambda item: places.get(same_item(item), len(places))))


def checked_receiver(name: str) -> str:
    """Return the name of who receives a sign, tidied. Raises Refused outside 2 to 80 letters."""
    refusal = wording.receiver_missing(LEAST_NAME, MOST_NAME)
    return read_line(name, LEAST_NAME, MOST_NAME, refusal)


def checked_note(note: str) -> str:
    """Return the note on a photo, tidied; it may be empty. Raises Refused over 120 letters."""
    tidy = " ".join(note.split())
    if len(tidy) > MOST_LETTERS:
        raise Refused(wording.note_too_long(len(tidy), MOST_LETTERS))
    return tidy
