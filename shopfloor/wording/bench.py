"""The bench: steps, what a sign waits on, its headline, setting out, finishing, holding and cancelling a sign."""

from __future__ import annotations

from .message import Code, Message, Messages, Soon, message, ngettext
from .message import gettext as _


@message
def title() -> str:
    return _("Bench")


# Parts. -----------------------------------------------------------------------------------------


@message
def part(number: int, name: str) -> str:
    """'A' (no. 7), or no. 7 where nobody named it."""
    if name in ("", f"no. {number}"):
        return _("no. {number}")
    return _("'{name}' (no. {number})")


@message
def short_part(number: int, name: str) -> str:
    """A part where there is little room."""
    return _("{name}") if name else _("no. {number}")


@message
def parts(parts: Messages) -> str:
    """Several parts by name."""
    return _("{parts}")


# Steps. -----------------------------------------------------------------------------------------


@message
def step(kind: str, level: int | None, title: str) -> str:
    """The title of a step; `title` is what somebody typed for one of the shop's own."""
    match kind:
        case "lay out":
            return _("Set out level {level}")
        case "glue":
            return _("Glue level {level}")
        case "cure":
            return _("Cure level {level}")
        case "clean":
            return _("Clean")
        case "polish":
            return _("Polish")
        case "inspect":
            return _("Inspect")
        case "pack":
            return _("Pack")
        case "hand over":
            return _("Hand over")
    return _("{title}")


@message
def task(kind: str, level: int | None, title: str) -> str:
    """A step inside a sentence: 'Next: set out level 1.'"""
    match kind:
        case "lay out":
            return _("set out level {level}")
        case "glue":
            return _("glue level {level}")
        case "cure":
            return _("cure level {level}")
        case "clean":
            return _("clean")
        case "polish":
            return _("polish")
        case "inspect":
            return _("inspect")
        case "pack":
            return _("pack")
        case "hand over":
            return _("hand over")
    return _("{title}")


@message
def task_of_sign(sign: str, task: Message) -> str:
    return _("{sign}, {task}")


@message
def set_out_so_far(count: int, of: int) -> str:
    return _("{count} of {of} set out")


@message
def glued_so_far(count: int, of: int) -> str:
    return _("{count} of {of} glued")


@message
def to_come(count: int) -> str:
    return _("{count} to come")


@message
def done_by(at: Soon, by: str) -> str:
    return _("{at}, {by}")


@message
def cured(at: Soon) -> str:
    return _("cured {at}")


@message
def opened_early_by(by: str, why: str) -> str:
    return _("ended early by {by}: {why}")


@message
def until(end: Soon | None) -> str:
    """The end of a cure; None where it is paused."""
    return _("cure paused: too cold") if end is None else _("until {end}")


@message
def note_until(note: Message, until: Message) -> str:
    return _("{note}, {until}")


# What a sign waits on. --------------------------------------------------------------------------


@message
def its_recut(code: Code) -> str:
    """The recut of a piece, at the beginning of a sentence."""
    return _("Its recut {code}")


@message
def part_lost(part: Message) -> str:
    return _("{part} is lost.")


@message
def part_damaged(part: Message) -> str:
    return _("{part} is damaged.")


@message
def wait_for_a_sheet(parts: Message, count: int) -> str:
    return ngettext("{parts} waits for a sheet.", "{parts} wait for a sheet.", count)


@message
def on_a_sheet(parts: Message, count: int, sheet: str, sheet_state: str) -> str:
    match sheet_state:
        case "planned":
            return ngettext(
                "{parts} is on sheet {sheet}, not started yet.",
                "{parts} are on sheet {sheet}, not started yet.",
                count,
            )
        case "cutting":
            return ngettext(
                "{parts} is on sheet {sheet}, on the router now.",
                "{parts} are on sheet {sheet}, on the router now.",
                count,
            )
        case "off the table":
            return ngettext(
                "{parts} is on sheet {sheet}, off the table and not marked yet.",
                "{parts} are on sheet {sheet}, off the table and not marked yet.",
                count,
            )
    return ngettext("{parts} is on sheet {sheet}.", "{parts} are on sheet {sheet}.", count)


@message
def have_tabs(parts: Message, count: int) -> str:
    return ngettext(
        "{parts} is cut. Trim its tabs.",
        "{parts} are cut. Trim their tabs.",
        count,
    )


@message
def have_no_piece(parts: Message, count: int) -> str:
    return ngettext("There is no piece for {parts}.", "There are no pieces for {parts}.", count)


@message
def more_like_these(count: int) -> str:
    return _("And {count} more like these.")


@message
def and_more(count: int) -> str:
    return _("And {count} more.")


@message
def sign_is(state: str) -> str:
    return {
        "on hold": _("The sign is on hold."),
        "handed over": _("The sign is handed over."),
        "cancelled": _("The sign is cancelled."),
        "packed": _("The sign is packed."),
    }[state]


@message
def not_done_yet(step: Message) -> str:
    return _("'{step}' is not done yet.")


@message
def level_cures(level: int | None, end: Soon | None) -> str:
    """`end` is None where the cure is paused."""
    if end is None:
        return _("The cure of level {level} is paused: too cold.")
    return _("Level {level} cures until {end}.")


@message
def must_wait(step: Message) -> str:
    return _("'{step}' must wait.")


@message
def not_its_turn() -> str:
    return _("Other steps come first.")


@message
def must_be_reopened(state: str) -> str:
    return {
        "packed": _("The sign is packed. An owner must reopen it first."),
        "handed over": _("The sign is handed over. An owner must reopen it first."),
        "cancelled": _("The sign is cancelled. An owner must reopen it first."),
    }[state]


@message
def not_yet() -> str:
    return _("Not yet.")


# Setting out. -----------------------------------------------------------------------------------


@message
def already_set_out(part: Message) -> str:
    return _("{part} is already set out.")


@message
def part_ok(part: Message) -> str:
    return _("{part}: OK.")


@message
def set_out_again(part: Message) -> str:
    return _("Set out {part} again.")


@message
def not_set_out(part: Message) -> str:
    return _("{part} is not set out. Nothing to do.")


@message
def glued_already_mark_came_off(part: Message) -> str:
    return _("{part} is already glued. If it is loose, mark its piece “Came off”.")


@message
def not_in_this_step() -> str:
    return _("That part is not in this step. Reload the page.")


@message
def measured_off() -> str:
    return _("That part is out of place. Move it, then measure it again.")


@message
def parts_measured_off(parts: Message, count: int) -> str:
    return ngettext(
        "{parts} was measured and is out of place. Move it, then tap or measure it again.",
        "{parts} were measured and are out of place. Move them, then tap or measure them again.",
        count,
    )


@message
def left_as_they_are(parts: Message) -> str:
    return _("Left as they are: {parts}.")


@message
def are_set_out(count: int, of: int) -> str:
    return _("{count} of {of} set out.")


@message
def level_is_set_out(level: int | None, sign: str) -> str:
    return _("Level {level} of {sign} is set out. Glue it.")


# Finishing and adding steps. --------------------------------------------------------------------


@message
def not_by_button(kind: str) -> str:
    return {
        "lay out": _("Tap each part once it is in place. The last tap finishes setting out."),
        "glue": _("Press “Glued: start the cure”. That finishes the gluing."),
        "cure": _("A cure ends automatically. An owner may end it early with a reason."),
    }[kind]


@message
def step_of_sign_done_already(step: Message, sign: str) -> str:
    return _("'{step}' of {sign} is already done.")


@message
def finished(kind: str, sign: str, step: Message) -> str:
    match kind:
        case "clean":
            return _("{sign} is clean.")
        case "polish":
            return _("{sign} is polished.")
        case "inspect":
            return _("{sign} is inspected.")
        case "pack":
            return _("{sign} is packed.")
        case "hand over":
            return _("{sign} is handed over.")
    return _("'{step}' of {sign} is done.")


@message
def next_task(task: Message) -> str:
    return _("Next: {task}.")


@message
def name_the_step() -> str:
    return _("Enter a name for the step, 2 to 60 letters, such as 'drill for stand-offs'.")


@message
def step_of_another_sign() -> str:
    return _("That step belongs to another sign. Reload the page.")


@message
def step_added(title: str, sign: str, after: Message | None) -> str:
    if after is None:
        return _("'{title}' is added to {sign} at the start.")
    return _("'{title}' is added to {sign} after '{after}'.")


@message
def nothing_after_gluing(step: Message) -> str:
    return _("No step can follow '{step}'. Put the new step after the cure.")


@message
def nothing_after_the_last(step: Message) -> str:
    return _("No step can follow '{step}'. Put the new step before it.")


@message
def has_begun(step: Message) -> str:
    return _("'{step}' has started. Put the new step after it.")


@message
def give_a_reason() -> str:
    return _("Give the reason in 3 to 200 letters. The ledger keeps it.")


@message
def no_such_sign() -> str:
    return _("Sign not found. Look for it on the Floor or in Jobs.")


@message
def no_such_step() -> str:
    return _("Step not found. Reload the page.")


# What happened to a piece. ----------------------------------------------------------------------


@message
def came_off_whole() -> str:
    return _("Came off whole")


@message
def what_happened(standing: Message) -> str:
    return _("{standing}. What happened?")
