"""Hold-down: how a piece is kept in place while it is cut, what that costs, and what the shop lost so far."""

from __future__ import annotations

from .message import (
    Code,
    Factor,
    FinePercent,
    Length,
    Message,
    Messages,
    Money,
    Number,
    Options,
    PercentFigure,
    Vacuum,
    message,
    ngettext,
)
from .message import gettext as _

# Names. -----------------------------------------------------------------------------------------


@message
def hold_down(name: str) -> str:
    """The hold-down that is stored as 'full', 'skin', 'tabs' or 'tape', as a label."""
    match name:
        case "full":
            return _("full pass")
        case "skin":
            return _("onion skin")
        case "tabs":
            return _("tabs")
        case _:
            return _("tape")


@message
def hold_down_first(name: str) -> str:
    """The hold-down at the head of a sentence."""
    match name:
        case "full":
            return _("Full pass")
        case "skin":
            return _("Onion skin")
        case "tabs":
            return _("Tabs")
        case _:
            return _("Tape")


@message
def with_hold_down(name: str) -> str:
    """The hold-down inside a sentence, after 'with'."""
    match name:
        case "full":
            return _("a full pass")
        case "skin":
            return _("an onion skin")
        case "tabs":
            return _("tabs")
        case _:
            return _("tape")


@message
def extra_work(name: str) -> str:
    """The work that a hold-down makes, inside a sentence."""
    match name:
        case "full":
            return _("a full pass")
        case "skin":
            return _("the extra pass")
        case "tabs":
            return _("trimming")
        case _:
            return _("taping")


@message
def vacuum_alone(verdict: str) -> str:
    """The verdict that is stored as 'holds', 'with a skin' or 'needs tabs or tape'."""
    match verdict:
        case "holds":
            return _("Holds: good")
        case "with a skin":
            return _("Holds: weak, leave an onion skin")
        case _:
            return _("Won't hold: use tabs or tape")


@message
def pump(name: str) -> str:
    match name:
        case "blower":
            return _("blower")
        case _:
            return _("rotary vane")


@message
def size_band(below: Number | None, above: Number | None) -> str:
    """A band of net areas in mm²; None where it has no bound."""
    if below is None:
        return _("under {above} mm²")
    if above is None:
        return _("from {below} mm²")
    return _("{below} to {above} mm²")


@message
def interval(low: PercentFigure, high: FinePercent) -> str:
    return _("{low} to {high}")


@message
def spare() -> str:
    return _("spare")


# Tabs. ------------------------------------------------------------------------------------------


@message
def no_straight_stretch(tab: Length) -> str:
    return _("No edge is straight enough for a {tab} tab. Use tape.")


@message
def tabs_meet_no_waste() -> str:
    return _("Tabs would end in the next piece's cut or in a slot. Use tape.")


@message
def long_stretch_without_tab(length: Length) -> str:
    return _("No room for a tab along {length} of its edge. Use tape.")


@message
def no_room_round_the_centre(tabs: int) -> str:
    return _("No room for {tabs} tabs round its centre. Use tape.")


# What is advised, and why. ----------------------------------------------------------------------


@message
def no_hold_down() -> str:
    return _("No hold-down works for this piece. Ask the owner to change its drawing.")


@message
def more_lost_than_cut() -> str:
    return _("More pieces are lost than were cut. Count them again.")


@message
def only_choice(best: Message, chance: FinePercent) -> str:
    return _(
        "{best}: nothing else is possible for this piece. {chance} of pieces like this are lost."
    )


@message
def worth_the_work(
    best: Message,
    chance: FinePercent,
    other: Message,
    others: FinePercent,
    work: Message,
    cost: Money,
    loss: Money,
) -> str:
    """The best makes more work than the next cheapest."""
    return _(
        "{best}: {chance} of pieces like this are lost, {others} with {other}. "
        "Worth it: {work} costs {cost}, a lost piece {loss}."
    )


@message
def better_for_no_more_work(
    best: Message, chance: FinePercent, other: Message, others: FinePercent
) -> str:
    return _("{best}: {chance} of pieces like this are lost, {others} with {other}. No extra work.")


@message
def not_worth_the_work(
    best: Message,
    chance: FinePercent,
    other: Message,
    others: FinePercent,
    *,
    work: Message,
    cost: Money,
    instead_of: Money | None,
    loss: Money,
) -> str:
    """The next cheapest loses fewer, but makes more work; `instead_of` None: the best makes none."""
    if instead_of is None:
        return _(
            "{best}: {chance} of pieces like this are lost, {others} with {other}. "
            "Not worth more: {work} costs {cost}, a lost piece {loss}."
        )
    return _(
        "{best}: {chance} of pieces like this are lost, {others} with {other}. "
        "Not worth more: {work} costs {cost} instead of {instead_of}, a lost piece {loss}."
    )


@message
def recut_held_better(best: Message, lost_with: Messages, chance: FinePercent) -> str:
    return _(
        "{best}: this piece was lost or chipped with {lost_with}, so its recut gets more than vacuum. "
        "{chance} of pieces like this are lost."
    )


@message
def ask_before_the_recut(best: Message, lost_with: Messages) -> str:
    return _(
        "{best}: this piece was lost or chipped with {lost_with}. Ask an experienced operator "
        "how to hold it before cutting it again."
    )


@message
def recut_gets_tabs() -> str:
    return _("Tabs: a recut gets tabs, so that it is not lost the same way.")


@message
def recut_gets_tape() -> str:
    return _("Tape: a recut gets more than vacuum, and this one has no room for tabs.")


@message
def learned_from_pieces_like_it(
    lost: int,
    cut: int,
    hold_down: Message,
    chance: FinePercent,
    between: Message,
    prior: FinePercent,
) -> str:
    return _(
        "Lost or chipped with {hold_down} so far: {lost} of {cut}. "
        "We now expect {chance} ({between}); its safety factor alone says {prior}."
    )


@message
def learned_from_other_sizes(
    hold_down: Message, chance: FinePercent, between: Message, prior: FinePercent
) -> str:
    return _(
        "Going by slightly smaller or larger pieces with {hold_down}, "
        "we now expect {chance} ({between}); its safety factor alone says {prior}."
    )


@message
def changed_after_sheet(
    new: Message, old: Message, sheet: str, lost: int, cut: int, size: Message, hold_down: Message
) -> str:
    return _(
        "{new} instead of {old}. On sheet {sheet}, with {hold_down}: "
        "{lost} of {cut} lost or chipped ({size})."
    )


@message
def forecast_changed(now: FinePercent, before: FinePercent) -> str:
    return _("We now expect {now}, not {before}.")


@message
def results_since() -> str:
    return _("Sheets cut since then have changed the forecast.")


@message
def never_worked_out() -> str:
    return _("Its hold-down is not worked out yet.")


@message
def another_vacuum(pump: Message, vacuum: Vacuum, old_pump: Message, old_vacuum: Vacuum) -> str:
    return _(
        "The {pump} now pulls {vacuum} at the sheet. "
        "This was worked out for a {old_pump} at {old_vacuum}."
    )


# What people do. --------------------------------------------------------------------------------


@message
def advice_updated(changed: int, sheet: str) -> str:
    if not changed:
        return _("Worked out again: nothing changes on sheet {sheet}.")
    return ngettext(
        "Worked out again: {changed} piece on sheet {sheet} is now held another way.",
        "Worked out again: {changed} pieces on sheet {sheet} are now held another way.",
        changed,
    )


@message
def choose_a_hold_down(hold_downs: Options) -> str:
    return _("Choose a hold-down: {hold_downs}.")


@message
def not_on_sheet(sheet: str) -> str:
    return _("None of these pieces is on sheet {sheet} any more. Check the picture.")


@message
def work_it_out_first(sheet: str) -> str:
    return _("The hold-down of sheet {sheet} is not worked out yet. Press “Work it out” first.")


@message
def not_possible(piece: Code, hold_down: Message, reason: Message) -> str:
    return _("{piece} can't be held with {hold_down}. {reason}")


@message
def choose_another() -> str:
    return _("Choose another hold-down.")


@message
def weaker_is_for_the_owner() -> str:
    return _("Only an owner may choose a weaker hold-down than advised.")


@message
def pieces_of_sheet(pieces: int, sheet: str) -> str:
    return ngettext("{pieces} piece of sheet {sheet}", "{pieces} pieces of sheet {sheet}", pieces)


@message
def now_held(pieces: Message | str, hold_down: Message) -> str:
    return _("Now held with {hold_down}: {pieces}.")


@message
def held_as_advised(pieces: Message | str) -> str:
    return _("Back to the advice: {pieces}.")


@message
def sheet_changed(sheet: str) -> str:
    return _("Sheet {sheet} has changed. Look at it again.")


# On a sheet's pages. ----------------------------------------------------------------------------


@message
def sheet_title(sheet: str) -> str:
    return _("{sheet}: hold-down")


@message
def held_with_loss(hold_down: Message, chance: FinePercent) -> str:
    return _("with {hold_down}; {chance} of pieces like this get lost")


@message
def counted(verdicts: Messages, hold_downs: Messages) -> str:
    """What the vacuum alone does, and how the pieces are held."""
    return _("Vacuum alone: {verdicts}. Hold-down: {hold_downs}.")


@message
def with_verdict(verdict: str, count: int) -> str:
    match verdict:
        case "holds":
            return _("{count} good")
        case "with a skin":
            return _("{count} weak (need an onion skin)")
        case _:
            return _("{count} won't hold (need tabs or tape)")


@message
def with_count(hold_down: Message, count: int) -> str:
    return _("{hold_down} {count}")


@message
def not_worked_out_yet() -> str:
    return _("Not worked out yet")


@message
def another_pump() -> str:
    return _("Worked out for another pump")


@message
def would_change(pieces: int, names: Messages) -> str:
    return ngettext(
        "{pieces} piece would be held another way today: {names}",
        "{pieces} pieces would be held another way today: {names}",
        pieces,
    )


@message
def others(count: int) -> str:
    return ngettext("{count} other", "{count} others", count)


@message
def work_it_out() -> str:
    return _("Work it out")


@message
def use_this() -> str:
    return _("Use this")


@message
def work_it_out_again() -> str:
    return _("Work it out again")


@message
def share_lost(chance: FinePercent) -> str:
    return _("{chance} lost")


@message
def likely_cost(total: Money) -> str:
    return _("Likely cost {total}")


@message
def vacuum_factors(full: Factor, onion_skin: Factor) -> str:
    return _("safety factor {full} in a full pass, {onion_skin} with an onion skin")


@message
def pump_at_sheet(pump: Message, vacuum: Vacuum) -> str:
    return _("{pump}, {vacuum} at the sheet")
