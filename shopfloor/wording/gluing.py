"""Gluing: the order, the groups, the cement that is needed, a glue-up that is written down, a cure opened early."""

from __future__ import annotations

from .message import Message, Messages, Number, Percent, Soon, message, ngettext
from .message import gettext as _

# The order and the groups. ----------------------------------------------------------------------


@message
def near(near: str) -> str:
    """Where the assembler stands, by its stored word."""
    return {
        "lower edge": _("at the lower edge"),
        "upper edge": _("at the upper edge"),
        "left edge": _("at the left edge"),
        "right edge": _("at the right edge"),
        "both long edges": _("at the lower and upper edges"),
        "both upright edges": _("at the left and right edges"),
    }[near]


@message
def time(minutes: int) -> str:
    return _("under 1 min") if minutes < 1 else _("about {minutes} min")


@message
def group(place: int, of: int, names: str, time: Message, open_min: Number) -> str:
    if not open_min:
        return _("Group {place} of {of}: {names}, {time}")
    return _("Group {place} of {of}: {names}, {time} of {open_min} min open time")


@message
def only_group(count: int, time: Message, open_min: Number) -> str:
    if not open_min:
        return ngettext("{count} part, {time}", "{count} parts, {time}", count)
    return ngettext(
        "{count} part, {time} of {open_min} min open time",
        "{count} parts, {time} of {open_min} min open time",
        count,
    )


@message
def glued_so_far(count: int, of: int) -> str:
    return _("{count} of {of} glued.")


@message
def part_count(count: int) -> str:
    return ngettext("{count} part", "{count} parts", count)


@message
def glue_up_count(count: int) -> str:
    return ngettext("{count} glue-up", "{count} glue-ups", count)


@message
def usual_pace(minutes: Number) -> str:
    return _("{minutes} min a part, the usual pace.")


@message
def measured_pace(minutes: Number, parts: Message, glue_ups: Message) -> str:
    return _("{minutes} min a part, from {parts} in {glue_ups}.")


@message
def left_out(count: int) -> str:
    return ngettext(
        "{count} glue-up left out: odd time.", "{count} glue-ups left out: odd times.", count
    )


@message
def too_slow(minutes: Number, open_min: Number) -> str:
    return _(
        "One part takes about {minutes} min here, and the cement stays open {open_min} min. Use a slower cement."
    )


@message
def too_long(count: int, time: Message, open_min: Number) -> str:
    return ngettext(
        "{count} part takes {time}, and the cement stays open {open_min} min. Choose fewer.",
        "{count} parts take {time}, and the cement stays open {open_min} min. Choose fewer.",
        count,
    )


@message
def over(part: Message, other: Message) -> str:
    return _("{part} over {other}")


@message
def over_just_glued(part: Message, other: Message) -> str:
    return _("{part} over {other}, just glued")


@message
def reached_over(pairs: Messages) -> str:
    """`pairs` are made by `over`."""
    return _(
        "You would reach over wet cement: {pairs}. Follow the numbers, or stand at another side."
    )


# How much cement. -------------------------------------------------------------------------------


@message
def joint(cm2: Number) -> str:
    return _("under 1 cm² of joint") if cm2 < 1 else _("{cm2} cm² of joint")


@message
def amount(ml: int) -> str:
    return _("under 1 ml") if ml < 1 else _("about {ml} ml")


@message
def joint_only(joint: Message) -> str:
    return _("{joint}.")


@message
def joint_taped(joint: Message) -> str:
    return _("{joint}, taped.")


@message
def need_unknown(joint: Message, cement: str) -> str:
    return _("{joint}. How much {cement} that takes is not known.")


@message
def need(joint: Message, amount: Message, cement: str, spare: Percent) -> str:
    return _("{joint}: {amount} of {cement}, {spare} waste included.")


# The open time. ---------------------------------------------------------------------------------


@message
def open_time_unknown(cement: str, since: Soon) -> str:
    return _("Gluing since {since}. The open time of {cement} is not known: see its data sheet.")


@message
def open_time_over(cement: str, since: Soon) -> str:
    return _(
        "Open time is over: {cement} has been open since {since}. Use fresh cement on the "
        "parts still to place, as its data sheet says."
    )


@message
def since(at: Soon) -> str:
    return _("since {at}")


@message
def open_since(cement: str, since: Soon) -> str:
    return _("{cement} has been open since {since}.")


@message
def open_until(cement: str, until: Soon) -> str:
    return _("{cement} is open until {until}. Place the parts before that.")


@message
def begun() -> str:
    return _("Gluing has started.")


@message
def took_longer(minutes: int, cement: str, open_min: Number) -> str:
    return _("Gluing took {minutes} min; {cement} stays open {open_min} min. Check each joint.")


# A glue-up. -------------------------------------------------------------------------------------


@message
def nothing_chosen() -> str:
    return _("Choose a sign to glue.")


@message
def choose_a_cement() -> str:
    return _("Choose the cement.")


@message
def not_a_gluing() -> str:
    return _("That step is not a gluing step. Reload the page.")


@message
def level_glued_already(level: int | None, sign: str) -> str:
    return _("Level {level} of {sign} is already glued.")


@message
def parts_glued_already(parts: Message, sign: str, count: int) -> str:
    return ngettext(
        "{parts} of {sign} is already glued.", "{parts} of {sign} are already glued.", count
    )


@message
def parts_not_set_out(parts: Message, sign: str, count: int) -> str:
    return ngettext(
        "{parts} of {sign} is not set out. Set it out first.",
        "{parts} of {sign} are not set out. Set them out first.",
        count,
    )


@message
def nothing_set_out(level: int | None, sign: str) -> str:
    return _("Set out level {level} of {sign} first.")


@message
def no_part_chosen(sign: str) -> str:
    return _("Choose which parts of {sign} were glued.")


@message
def signs_glued(signs: Messages, count: int) -> str:
    return ngettext("{signs} is glued.", "{signs} are glued.", count)


@message
def parts_of_level(count: int, of: int, level: int | None, sign: str) -> str:
    return _("{count} of {of} parts of level {level} of {sign}")


@message
def all_of(sign: str) -> str:
    return _("all of {sign}")


@message
def glued(parts: Messages) -> str:
    """`parts` are made by `parts_of_level` and `all_of`."""
    return _("Glued: {parts}.")


@message
def curing(end: Soon | None) -> str:
    """`end` is None where the cure is paused."""
    if end is None:
        return _("Cure paused: too cold. Do not move it.")
    return _("Curing until {end}: do not move it.")


@message
def not_a_time() -> str:
    return _("Type the time as hours and minutes, such as 14:30, or leave it empty for now.")


@message
def glued_in_the_future() -> str:
    return _("That time is in the future. Type the time it was glued.")


@message
def glued_too_long_ago() -> str:
    return _(
        "That is more than 24 hours ago. Type a later time; an owner may then end the cure "
        "early, with a reason."
    )


# Outside the cement's limits; a cure opened early. ----------------------------------------------


@message
def owner_may_override() -> str:
    return _("An owner may go ahead with a reason.")


@message
def only_an_owner_overrides() -> str:
    return _("Only an owner may go ahead.")


@message
def not_curing(step: Message) -> str:
    return _("'{step}' is not curing now. There is no cure to end.")


@message
def opened_early(level: int | None, sign: str, why: str) -> str:
    return _("The cure of level {level} of {sign} was ended early: {why}.")
