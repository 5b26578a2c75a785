"""What the bench shows of a level being set out: its lines with figures, the checklist, what was measured. Reads only."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import parse_qs, urlsplit

from flask import g, request, url_for

from ...domain.bench.records import RecordedPlace
from ...domain.bench.steps import Sign, Step
from ...domain.bench.waiting import whereabouts
from ...domain.people import Actor
from ...domain.setting_out import placement, setting_out
from ...domain.setting_out.setting_out import DATUMS, Letter, PlacedPart, Row
from ...store import jobs
from ...store import placement as store
from ...store.db import Connection
from ...wording import setting_out as wording
from ...wording.message import Message, joined
from ..forms import Choice
from ..page import current_settings, reader, whole
from ..pictures.setting_out_drawing import RowDrawing, row_drawing

COOKIE = "shopfloor_datum"  # kept by the tablet: a left-handed bench measures from its own side


@dataclass(frozen=True)
class PlaceRow:
    """Where a part goes: distances from the datum, as text in the shop's units. `note` says why its foot is not on the line,
    `measured` what was measured last; `whereabouts` where the part is while it is not in hand."""

    part: int
    number: int
    name: str
    left: str
    centre: str
    right: str
    gap: str
    note: Message | None
    measured: Message | None
    is_right: bool
    is_in_hand: bool
    whereabouts: Message | None


@dataclass(frozen=True)
class Line:
    """One line of letters: its heading, where its figures begin if not at the datum, its drawing, its places."""

    heading: Message
    begins: Message | None
    allowed: Message
    drawing: RowDrawing
    places: tuple[PlaceRow, ...]


@dataclass(frozen=True)
class Measuring:
    """The form of one measuring: what each field is measured from, and what the rule should show."""

    part: int
    across: Message
    across_wanted: str
    up: Message
    up_wanted: str


@dataclass(frozen=True)
class Setting:
    """A level being set out: its lines, all their places in order, the part that is next, what taps on the picture do.

    `rule` is how fine figures are shown; `has_datum`: some line is measured from the chosen datum.
    """

    lines: tuple[Line, ...]
    places: tuple[PlaceRow, ...]
    picking: int | None
    taps: dict[str, dict[str, str]]
    datum: str
    datums: tuple[Choice, ...]
    has_datum: bool
    rule: Message
    measuring: Measuring | None


def datum_of_tablet() -> str:
    """The datum that this tablet measures from: the left edge until another is chosen."""
    datum = request.cookies.get(COOKIE, "").replace("-", " ")
    return datum if datum in DATUMS else DATUMS[0]


def setting(db: Connection, stored: jobs.Sign, sign: Sign, step: Step, by: Actor) -> Setting:
    """What the page of a sign shows of the setting-out `step`."""
    shop_settings, datum = current_settings(), datum_of_tablet()
    own_parts = [part for part in jobs.parts_of(db, stored.id) if part.id in step.parts]
    placed = {part.id: part for part in store.placed(db, own_parts)}
    rows = setting_out.rows(tuple(placed.values()), stored.width_mm, datum, shop_settings)
    measured = store.measured_at(db, step.id)
    in_order = [letter.part for row in rows for letter in row.letters]
    picking = next(
        (part for part in in_order if part not in step.ticks and sign.parts[part].is_in_hand), None
    )
    colours = {part.id: part.colour for part in own_parts}
    states = {part: _state(part, sign, step, picking, colours[part]) for part in in_order}
    lines = tuple(
        _line(number, row, placed, states, sign, step, measured)
        for number, row in enumerate(rows, 1)
    )
    places = tuple(place for line in lines for place in line.places)
    return Setting(
        lines,
        places,
        picking,
        _taps(stored.code, step, places, by),
        datum,
        tuple(Choice(value, wording.datum(value), "", value == datum) for value in DATUMS),
        any(row.is_level for row in rows),
        wording.rule_mm()
        if shop_settings.units == "mm"
        else wording.rule_inches(shop_settings.inch_fraction),
        _measuring(rows, sign, datum) if by.holds("assembler") else None,
    )


def _state(part: int, sign: Sign, step: Step, picking: int | None, colour: str) -> tuple[str, str]:
    """How a letter is drawn, (state, fill): one that is set out in its colour, one that is not in hand as a hole to the paper."""
    if part in step.ticks:
        return "right", colour
    if not sign.parts[part].is_in_hand:
        return "away", "url(#grid)"
    return "picking" if part == picking else "open", ""


def _line(
    number: int,
    row: Row,
    placed: Mapping[int, PlacedPart],
    states: Mapping[int, tuple[str, str]],
    sign: Sign,
    step: Step,
    measured: Mapping[int, RecordedPlace],
) -> Line:
    title = wording.line(number, setting_out.heading(row))
    return Line(
        title,
        setting_out.figures_begin(row),
        wording.allowed(row.letters[0].allowed_mm),
        row_drawing(row, placed, states, figure, title),
        tuple(_place(letter, row, sign, step, measured.get(letter.part)) for letter in row.letters),
    )


def figure(mm: float) -> str:
    """A length as the bench shows it, without its unit: rounded once, here, from the exact value."""
    return reader().show("figure", mm).replace("-", "−")


def _with_unit(mm: float) -> str:
    return f"{figure(mm)} {current_settings().units}"


def _place(
    letter: Letter, row: Row, sign: Sign, step: Step, measured: RecordedPlace | None
) -> PlaceRow:
    part = sign.parts[letter.part]
    return PlaceRow(
        letter.part,
        letter.number,
        "" if letter.name == f"no. {letter.number}" else letter.name,
        figure(letter.left_mm),
        figure(letter.centre_mm),
        figure(letter.right_mm),
        "" if letter.gap_mm is None else figure(letter.gap_mm),
        setting_out.foot_note(letter),
        _measured_message(measured, row) if measured else None,
        letter.part in step.ticks,
        part.is_in_hand,
        None if part.is_in_hand else joined(whereabouts([part])),
    )


def _measured_message(measured: RecordedPlace, row: Row) -> Message:
    across, up, allowed = measured.across_mm, measured.up_mm, measured.allowed_mm
    if placement.is_right(allowed, across, up):
        return placement.measured_ok(across, up, is_level=row.is_level)
    return placement.verdict(across, up, allowed, is_level=row.is_level)


def _taps(
    code: str, step: Step, places: tuple[PlaceRow, ...], by: Actor
) -> dict[str, dict[str, str]]:
    """What makes a part of the drawing a button: those of the checklist, once they are in hand."""
    if not by.holds("assembler"):
        return {}
    return {
        str(place.part): {
            "hx-post": url_for("bench.set_out", code=code),
            "hx-vals": json.dumps(
                {"step": str(step.id), "up" if place.is_right else "part": str(place.part)}
            ),
            "hx-target": "#bench",
            "hx-swap": "outerMorph",
        }
        for place in places
        if place.is_in_hand
    }


# Measuring. -----------------------------------------------------------------------------------------------------------


def measuring_part() -> int | None:
    """The part whose form is open: as the answer to a measuring set it, else as the address of the page says, or of the
    page that htmx refreshes."""
    if "measuring" in g:
        part: int | None = g.measuring
        return part
    shown = parse_qs(urlsplit(request.headers.get("HX-Current-URL", "")).query)
    return whole(request.args.get("measure") or shown.get("measure", [""])[0])


def _measuring(rows: list[Row], sign: Sign, datum: str) -> Measuring | None:
    part = measuring_part()
    row = next((row for row in rows if any(letter.part == part for letter in row.letters)), None)
    if part is None or row is None or not sign.parts[part].is_in_hand:
        return None
    letter = row.letter(part)
    across, up = setting_out.measured_from(row, letter, datum)
    return Measuring(
        part,
        across,
        _with_unit(abs(letter.left_mm)),
        up,
        _with_unit(row.wanted(letter)[1]),
    )
