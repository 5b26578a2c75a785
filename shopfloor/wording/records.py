"""The record of a sign: what it was made of, by whom, when and how, and what became of it."""

from __future__ import annotations

from .message import (
    Code,
    FineLength,
    FullDay,
    FullMoment,
    Length,
    Message,
    Messages,
    Number,
    Options,
    message,
    ngettext,
)
from .message import gettext as _

# Headings. --------------------------------------------------------------------------------------


@message
def heading(section: str) -> str:
    return {
        "pieces": _("Pieces"),
        "sheets": _("Sheets"),
        "glue-ups": _("Glue-ups"),
        "opened": _("Cures ended early"),
        "steps": _("Steps"),
        "checked": _("Checked"),
        "places": _("Positions measured"),
        "fixings": _("Fixings"),
        "people": _("People"),
    }[section]


# Pieces. ----------------------------------------------------------------------------------------


@message
def part(number: int, name: str) -> str:
    return _("No. {number} '{name}'") if name else _("No. {number}")


@message
def parts(count: int) -> str:
    return ngettext("{count} part", "{count} parts", count)


@message
def levels(count: int) -> str:
    return ngettext("{count} level", "{count} levels", count)


@message
def pieces(count: int) -> str:
    return ngettext("{count} piece", "{count} pieces", count)


@message
def in_state(count: int, state: str) -> str:
    """How many pieces are in a state, by its stored word."""
    return {
        "fixed": _("{count} mounted"),
        "ready": _("{count} ready"),
        "cut": _("{count} cut, tabs on"),
        "nested": _("{count} on a sheet"),
        "waiting": _("{count} waiting for a sheet"),
    }[state]


@message
def parts_on_levels(parts: Message, levels: Message, states: Messages) -> str:
    if states:
        return _("{parts} on {levels}: {states}.")
    return _("{parts} on {levels}.")


@message
def lost_on_the_way(count: int) -> str:
    return ngettext("{count} piece lost or damaged.", "{count} pieces lost or damaged.", count)


@message
def recut(part: Message, number: int, code: Code | None, gone: Messages) -> str:
    """A part that took more than one piece; `code` is of its present one, `gone` are those before it."""
    if code is None:
        return _("{part}, recut {number}: {gone}")
    return _("{part}, recut {number} ({code}): {gone}")


@message
def gone(code: Code, state: str, cause: Message | str) -> str:
    if state == "lost":
        return _("{code} lost ({cause})") if cause else _("{code} lost")
    return _("{code} damaged ({cause})") if cause else _("{code} damaged")


@message
def sheets(stock: str, thickness: Number, sheets: Messages) -> str:
    return _("{stock} {thickness} mm: {sheets}")


@message
def on_sheet(sheet: str, count: int) -> str:
    return _("{sheet} ({count})")


# At the bench. ----------------------------------------------------------------------------------


@message
def glue_up(
    at: FullMoment,
    by: str,
    pieces: Message,
    *,
    cement: str,
    batch: str,
    celsius: Number,
    humidity: Number,
    cure: Message,
) -> str:
    return _(
        "{at}, {by}: {pieces}, {cement}, batch {batch}, {celsius} °C, {humidity} % humidity; {cure}"
    )


@message
def outside_limits(glue_up: Message, why: str) -> str:
    return _("{glue_up}; outside its limits: {why}")


@message
def cure_until(at: FullMoment) -> str:
    return _("cure to {at}")


@message
def cure_paused() -> str:
    return _("cure paused: too cold")


@message
def opened_early(title: Message | str, at: FullMoment, until: FullMoment, by: str, why: str) -> str:
    return _("{title}: {at} instead of {until}, {by}: {why}")


@message
def step_not_done(title: Message | str) -> str:
    return _("{title}: not done")


@message
def step_done(title: Message | str, at: FullMoment, by: str) -> str:
    if by:
        return _("{title}: {at}, {by}")
    return _("{title}: {at}")


@message
def checked(title: Message | str, items: str) -> str:
    return _("{title}: {items}")


@message
def people(where: str, names: tuple[str, ...]) -> str:
    if where == "router":
        return _("At the router: {names}")
    return _("At the bench: {names}")


# Positions and fixings. -------------------------------------------------------------------------


@message
def measured(parts: Message, within: int) -> str:
    return _("{parts} measured, {within} within tolerance.")


@message
def out_of_place(part: Message, errors: Messages, allowed: FineLength) -> str:
    return _("{part}: {errors} ({allowed} allowed)")


@message
def a_part() -> str:
    return _("A part")


@message
def off_by(length: FineLength, direction: str) -> str:
    return {
        "right": _("{length} to the right"),
        "left": _("{length} to the left"),
        "high": _("{length} too high"),
        "low": _("{length} too low"),
    }[direction]


@message
def screws(columns: int, rows: int, screw: Length, edge: Length, wall: str) -> str:
    return _("{columns} × {rows} screws of {screw}, {edge} from the edges, on {wall}.")


@message
def temperatures_on_site(coldest: str, warmest: str) -> str:
    return _("Made for {coldest} to {warmest} °C on site.")


# On paper. --------------------------------------------------------------------------------------


@message
def pdf_title(sign: str) -> str:
    return _("Record of {sign}")


@message
def not_on_this_paper(papers: Options) -> str:
    return _("Records are printed on {papers}. Choose one of them.")


@message
def more_rows(count: int) -> str:
    return ngettext("and {count} more", "and {count} more", count)


@message
def no_room() -> str:
    return _("Not all fits here. See the Bench and the ledger for the rest.")


@message
def numbers_left_out(count: int) -> str:
    return _("Numbers left out for lack of room: {count}.")


@message
def note_and_more(note: str, more: Message) -> str:
    return _("{note}, {more}")


@message
def caption(cell: str) -> str:
    """The small word over a cell of the title block."""
    return {
        "record": _("record of the sign"),
        "for": _("for"),
        "received": _("handed over to"),
        "size": _("size"),
        "scale": _("scale"),
        "taken in": _("job added"),
        "due": _("due"),
        "printed": _("printed"),
    }[cell]


@message
def shop_and_code(shop: str, code: Code) -> str:
    return _("{shop} · {code}")


@message
def size(width: Length, height: Length) -> str:
    return _("{width} × {height}")


@message
def date(day: FullDay) -> str:
    return _("{day}")


@message
def nobody_yet(state: str) -> str:
    return _("nobody yet: the sign is {state}")


@message
def received(at: FullMoment, by: str) -> str:
    return _("{at}, by {by}")


@message
def received_before(at: FullMoment, by: str, state: str) -> str:
    """Of a sign that was reopened since."""
    return _("{at}, by {by}; now {state}")
