"""Cements, their batches, and the limits of a data sheet."""

from __future__ import annotations

from .message import Day, Message, Number, message
from .message import gettext as _


@message
def title() -> str:
    return _("Cements")


# What is refused. -------------------------------------------------------------------------------


@message
def reference_out_of_range() -> str:
    return _(
        "The reference temperature must be between the minimum and the maximum. Check "
        "the data sheet."
    )


@message
def humidity_out_of_order() -> str:
    return _("The minimum humidity must be below the maximum. Check the data sheet.")


@message
def times_out_of_order() -> str:
    return _(
        "Fixture must come before handling, and handling before the full cure. Check "
        "the data sheet."
    )


@message
def bad_batch() -> str:
    return _("Type the batch as on the tin, 1 to 40 letters and digits, or “none” if it has none.")


@message
def bad_expiry() -> str:
    return _("Type the use-by date on the tin, such as 2027-03-31, or leave it empty.")


@message
def no_such_cement() -> str:
    return _("Cement not found. Choose one from the list.")


@message
def no_such_batch() -> str:
    return _("Batch not found. Choose one from the cement's list.")


@message
def name_taken(name: str) -> str:
    return _("There is already a cement “{name}”. Choose another name.")


@message
def batch_already_listed(batch: str) -> str:
    return _("Batch {batch} is already in the list. Nothing was added.")


@message
def last_in_use(name: str) -> str:
    return _("{name} is the last cement in use. Add another one first.")


# Limits that are broken at a glue-up. ------------------------------------------------------------


@message
def too_cold(name: str, coldest_c: Number, warmest_c: Number, bench_c: Number) -> str:
    return _(
        "{name} needs {coldest_c} to {warmest_c} °C; the bench is at {bench_c} °C. "
        "Warm the bench first."
    )


@message
def too_warm(name: str, coldest_c: Number, warmest_c: Number, bench_c: Number) -> str:
    return _(
        "{name} needs {coldest_c} to {warmest_c} °C; the bench is at {bench_c} °C. Let "
        "the bench cool first."
    )


@message
def too_damp(
    name: str, driest_percent: Number, dampest_percent: Number, humidity_percent: Number
) -> str:
    return _(
        "{name} needs {driest_percent} to {dampest_percent} % humidity; the bench is "
        "at {humidity_percent} %. Wait for drier air."
    )


@message
def too_dry(
    name: str, driest_percent: Number, dampest_percent: Number, humidity_percent: Number
) -> str:
    return _(
        "{name} needs {driest_percent} to {dampest_percent} % humidity; the bench is "
        "at {humidity_percent} %. Wait for damper air."
    )


@message
def batch_expired(day: Day, year: str) -> str:
    return _("This batch is out of date ({day} {year}). Use another batch.")


# What was done. ---------------------------------------------------------------------------------


@message
def added(name: str) -> str:
    return _("{name} can now be chosen at the bench.")


@message
def changed(name: str) -> str:
    return _("{name} is saved.")


@message
def nothing_changed() -> str:
    return _("Nothing to change. The cement is as before.")


@message
def already_retired(name: str) -> str:
    return _("{name} is already retired. Nothing to do.")


@message
def already_in_use(name: str) -> str:
    return _("{name} is already in use. Nothing to do.")


@message
def retired(name: str) -> str:
    return _("{name} is no longer offered at the bench.")


@message
def in_use_again(name: str) -> str:
    return _("{name} is offered at the bench again.")


@message
def batch_added(batch: str, name: str) -> str:
    return _("Batch {batch} of {name} is added.")


@message
def batch_added_expired(batch: str, name: str) -> str:
    return _(
        "Batch {batch} of {name} is added, but it is out of date. Do not use it: choose "
        "another batch."
    )


@message
def batch_used_up(batch: str) -> str:
    return _("Batch {batch} is used up.")


@message
def batch_not_used_up(batch: str) -> str:
    return _("Batch {batch} is back in use.")


@message
def good_until(day: Day, year: str) -> str:
    return _("good until {day} {year}")


@message
def expired_on(day: Day, year: str) -> str:
    return _("expired {day} {year}")


# A data sheet in short. --------------------------------------------------------------------------


@message
def limits(
    coldest_c: Number, warmest_c: Number, driest_percent: Number, dampest_percent: Number
) -> str:
    if driest_percent <= 0 and dampest_percent >= 100:
        return _("{coldest_c} to {warmest_c} °C")
    return _("{coldest_c} to {warmest_c} °C, {driest_percent} to {dampest_percent} % humidity")


@message
def with_open_time(limits: Message, open_min: Number) -> str:
    return _("{limits}, open time {open_min} min")
