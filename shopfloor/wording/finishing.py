"""Finishing a sign: the usual check lists, their cautions, photos, handing over."""

from __future__ import annotations

from .message import Message, Messages, Soon, message, ngettext
from .message import gettext as _

# Check lists. -----------------------------------------------------------------------------------


def _usual_items() -> dict[str, tuple[str, ...]]:
    """What a shop looks at until it writes a list of its own: common practice."""
    return {
        "clean": (
            _("Masking film is off every front, corners too"),
            _("No dust or swarf, not even behind the letters"),
            _("No fingerprints, no glue left by the film"),
            _("No crazing where it was wiped"),
        ),
        "polish": (
            _("Every visible edge looks even"),
            _("No saw marks, no steps where tabs were"),
            _("No edge burnt or rounded over"),
            _("No face dulled next to a polished edge"),
        ),
        "inspect": (
            _("Text as the customer ordered it, letter by letter"),
            _("Every part is where the drawing shows it"),
            _("Every joint is sound, no bubbles"),
            _("No scratches, no haze, no cement runs"),
            _("Edges even, no tabs left"),
            _("Colours as ordered, checked in daylight"),
        ),
        "pack": (
            _("A soft sheet on every face"),
            _("Nothing hard against a letter"),
            _("Fixings and drilling template packed with it"),
            _("Label outside names the job and the customer"),
            _("Marked which side is up, and how many people carry it"),
        ),
        "hand over": (
            _("The customer has seen it unpacked"),
            _("All signs and fixings of the job are here"),
            _("The customer was told how to clean it and has it in writing"),
        ),
    }


# The same items, in the same order, as shops ticked them before these words. Ticks are stored as text.
FORMER_ITEMS = {
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


def usual_items(kind: str) -> tuple[Message, ...]:
    """The usual list of a kind of step; nothing for a kind that has none."""
    return tuple(usual_item(kind, number) for number in range(len(FORMER_ITEMS.get(kind, ()))))


@message
def usual_item(kind: str, number: int) -> str:
    return _usual_items()[kind][number]


@message
def kind_name(kind: str) -> str:
    """A kind of step, as the head of its list."""
    return {
        "clean": _("Clean"),
        "polish": _("Polish"),
        "inspect": _("Inspect"),
        "pack": _("Pack"),
        "hand over": _("Hand over"),
    }[kind]


@message
def no_list_for_this_kind(kinds: tuple[str, ...]) -> str:
    return _("Only these steps have a check list: {kinds}. Choose one of them.")


@message
def too_many_items(count: int, most: int) -> str:
    return _("That is {count} items. A list holds at most {most}.")


@message
def item_too_short_or_long(item: str, letters: int, least: int, most: int) -> str:
    return _("“{item}” has {letters} letters. An item needs {least} to {most}.")


@message
def item_twice(item: str) -> str:
    return _("“{item}” is in the list twice. Take one out.")


@message
def not_all_ticked(title: Message, items: Messages) -> str:
    return _("'{title}' is not finished. Tick these first: {items}.")


@message
def quoted(item: str) -> str:
    return _("“{item}”")


@message
def more_items(count: int) -> str:
    return ngettext("{count} more", "{count} more", count)


@message
def item_not_on_the_list() -> str:
    return _("That item is off the list. Reload the page.")


@message
def item_ticked(item: str, left: int) -> str:
    if not left:
        return _("OK: {item}. The whole list is ticked.")
    return ngettext("OK: {item}. {left} item left.", "OK: {item}. {left} items left.", left)


@message
def tick_taken_back(item: str) -> str:
    return _("Check again: {item}.")


@message
def step_already_done(title: Message, sign: str) -> str:
    return _("'{title}' of {sign} is already done. Undo that first.")


@message
def list_changed(kind: Message, count: int) -> str:
    if not count:
        return _("'{kind}' now has no check list.")
    return ngettext(
        "The list for '{kind}' now has {count} item.",
        "The list for '{kind}' now has {count} items.",
        count,
    )


# The panel of a step. ---------------------------------------------------------------------------


@message
def caution_head(kind: str) -> str:
    return {
        "clean": _("Solvents craze acrylic"),
        "polish": _("Heat, dust, flame"),
        "pack": _("Lifting"),
        "hand over": _("Lifting"),
    }[kind]


@message
def caution(kind: str) -> str:
    # Soap and water, a soft cloth: Plexiglas fabrication manual, pp. 32–34; no solvent on flame-polished
    # edges: the same, p. 28. What applies is left to the data sheets, and lifting to the local rules.
    lifting = _(
        "Carry a large sign upright, with gloves and enough people. Your local rules say how much one"
        " person may lift."
    )
    return {
        "clean": _(
            "Use only what the data sheets of the acrylic and of the cement allow. Protect eyes and"
            " ventilate as for gluing."
        ),
        "polish": _(
            "Trained people only. Follow the acrylic's data sheet, the machine's manual and your local"
            " rules."
        ),
        "pack": lifting,
        "hand over": lifting,
    }[kind]


def caution_of(kind: str) -> tuple[Message, Message] | None:
    """(head, text) of the caution for a kind of step, None where there is none."""
    kinds = ("clean", "polish", "pack", "hand over")
    return (caution_head(kind), caution(kind)) if kind in kinds else None


@message
def done_button(kind: str, title: Message | str) -> str:
    """What the large button says when the whole list is OK."""
    return {
        "clean": _("Cleaned"),
        "polish": _("Polished"),
        "inspect": _("Inspected: all OK"),
        "pack": _("Packed"),
        "hand over": _("Handed over"),
    }.get(kind, _("Done: {title}"))


@message
def by_whom(when: Soon, by: str) -> str:
    return _("{when}, {by}")


# Photos. ----------------------------------------------------------------------------------------


@message
def choose_a_photo() -> str:
    return _("Choose a photo first: take one, or choose a file.")


@message
def photo_too_large(megabytes: int) -> str:
    return _("That photo is over {megabytes} MB. Choose a smaller one.")


@message
def photo_has_too_many_pixels(millions: int) -> str:
    return _("That photo has over {millions} million pixels. Choose a smaller one.")


@message
def photo_unreadable() -> str:
    return _("That file cannot be read as a photo. Choose a JPEG, PNG or WebP file.")


@message
def note_too_long(letters: int, most: int) -> str:
    return _("That note has {letters} letters. Shorten it to {most}.")


@message
def photo_already_there(sign: str) -> str:
    return _("{sign} already has this photo.")


@message
def too_many_photos(sign: str, most: int) -> str:
    return _("{sign} already has {most} photos. Remove one first.")


@message
def photo_added(sign: str) -> str:
    return _("Photo added to {sign}.")


@message
def photo_removed(sign: str) -> str:
    return _("Photo removed from {sign}.")


@message
def not_your_photo(by: str) -> str:
    return _("{by} took that photo. Only {by} or an owner can remove it.")


@message
def photo_no_longer_there() -> str:
    return _("That photo is no longer with its sign. Reload the page.")


@message
def photo_file_missing() -> str:
    return _("That photo was removed, or its file did not come with this copy of the database.")


@message
def no_such_photo() -> str:
    return _("Photo not found. Look on the page of its sign.")


# Handing over. ----------------------------------------------------------------------------------


@message
def receiver_missing(least: int, most: int) -> str:
    return _("Enter who took the sign, in {least} to {most} letters.")


@message
def handed_over(to: str, when: Message, *, is_reopened: bool) -> str:
    if is_reopened:
        return _("Handed over to {to}, {when}. Reopened since.")
    return _("Handed over to {to}, {when}.")


@message
def check_lists() -> str:
    """The title of the page in Office."""
    return _("Check lists")
