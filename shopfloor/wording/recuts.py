"""Recuts: now or wait, from which sheet or offcut, a difference in thickness, and swaps."""

from __future__ import annotations

from .message import Code, Message, Money, Number, message
from .message import gettext as _
from .message import ngettext as _n

# Now or wait. -----------------------------------------------------------------------------------


@message
def nothing_waits() -> str:
    return _("No recuts of this material are waiting.")


@message
def the_next_sheet() -> str:
    return _("the next sheet")


@message
def days(count: Number) -> str:
    return _n("{count} day", "{count} days", 1 if count == 1 else 2)


@message
def signs_late(count: int, days: Message) -> str:
    return _n("{count} sign {days} late", "{count} signs {days} late in all", count)


@message
def cut_now_little_slack(count: int, patience: Message) -> str:
    return _n(
        "Cut now: no other sheet of this material is planned, and {count} sign has less than {patience} to spare after cutting and bench work.",
        "Cut now: no other sheet of this material is planned, and {count} signs have less than {patience} to spare after cutting and bench work.",
        count,
    )


@message
def can_wait_days(slack: Message) -> str:
    return _(
        "Can wait up to {slack} for more pieces: no other sheet of this material is "
        "planned, and no sign will be late."
    )


@message
def can_wait() -> str:
    return _(
        "Can wait for more pieces: no other sheet of this material is planned, and no "
        "sign will be late."
    )


@message
def cut_now(run: Money, sheet: Message | str, late: Message, cost: Money) -> str:
    return _(
        "Cut now: a set-up costs {run}; waiting for {sheet} would make {late}, which costs {cost}."
    )


@message
def cut_now_none_late(run: Money, sheet: Message | str) -> str:
    return _("Cut now: a set-up costs {run}, and waiting for {sheet} makes no sign late.")


@message
def wait(run: Money, sheet: Message | str, late: Message, cost: Money) -> str:
    return _(
        "Wait for {sheet}: a set-up costs {run}; waiting makes {late}, which costs only {cost}."
    )


@message
def wait_none_late(run: Money, sheet: Message | str) -> str:
    return _("Wait for {sheet}: a set-up costs {run}, and waiting makes no sign late.")


# From which sheet or offcut. --------------------------------------------------------------------


@message
def nothing_large_enough() -> str:
    return _("No sheet or offcut of this material holds these pieces. Add a sheet in Stock.")


@message
def cut_from(blank: str, waste_cm2: Number) -> str:
    return _("Cut from {blank}: {waste_cm2} cm² wasted.")


@message
def least_of_all() -> str:
    return _("The others waste more.")


@message
def none_smaller() -> str:
    return _("Others waste as little, but none is smaller.")


@message
def thickness_may_show() -> str:
    return _("Its thickness may differ enough to see.")


@message
def all_may_show() -> str:
    return _("Its thickness may differ enough to see; so may the others'.")


@message
def thriftier_may_show(blank: str, waste_cm2: Number) -> str:
    return _(
        "{blank} would waste only {waste_cm2} cm², but its thickness may differ enough to see."
    )


# Thickness. -------------------------------------------------------------------------------------


@message
def unknown_kind_of_sheet() -> str:
    return _("Choose cast, extruded or other.")


@message
def differs(by_mm: str, count: int, forgives_mm: Number) -> str:
    return _n(
        "This sheet differs by up to {by_mm} mm in thickness from {count} piece of the "
        "sign; up to {forgives_mm} mm does not show.",
        "This sheet differs by up to {by_mm} mm in thickness from {count} pieces of "
        "the sign; up to {forgives_mm} mm does not show.",
        count,
    )


@message
def may_differ(by_mm: str, count: int, forgives_mm: Number) -> str:
    return _n(
        "This sheet may differ by up to {by_mm} mm in thickness from {count} piece of "
        "the sign; up to {forgives_mm} mm does not show.",
        "This sheet may differ by up to {by_mm} mm in thickness from {count} pieces of "
        "the sign; up to {forgives_mm} mm does not show.",
        count,
    )


@message
def take_an_offcut() -> str:
    return _("Take an offcut of the same sheet.")


@message
def measure_or_take_an_offcut() -> str:
    return _(
        "Measure both sheets with a caliper and enter it in Stock, or take an offcut of the same sheet."
    )


# Swaps. -----------------------------------------------------------------------------------------


@message
def no_sign_late() -> str:
    return _("no sign")


@message
def late_signs(count: int, days: Message) -> str:
    return _n("{count} sign by {days}", "{count} signs by {days} in all", count)


@message
def swap_is_out_of_date() -> str:
    return _("This swap is out of date. Look at Recuts again.")


@message
def swapped(piece: Code, part: str, sign: str) -> str:
    return _("{piece} is now '{part}' of {sign}.")


@message
def print_labels() -> str:
    return _("Print their new labels.")
