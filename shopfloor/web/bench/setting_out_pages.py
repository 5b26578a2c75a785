"""What the laying out of a level shows: its lines with their figures, the checklist, what was measured. Reads only."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import parse_qs, urlsplit

from flask import g, request, url_for

from ...domain import lengths
from ...domain.bench import bench as wording
from ...domain.bench.steps import Sign, Step
from ...domain.people import Actor
from ...domain.setting_out import placement, setting_out
from ...domain.setting_out.setting_out import DATUMS, Letter, PlacedPart, Row
from ...domain.settings import Settings
from ...store import jobs
from ...store import placement as store
from ...store.db import Connection
from ...store.placement import MeasuredPlace
from ..page import current_settings, whole
from ..pictures.setting_out_drawing import RowDrawing, row_drawing

COOKIE = "shopfloor_datum"  # of the tablet: a left-handed bench measures from its own side


@dataclass(frozen=True)
class PlaceRow:
    """Where a part goes: distances from the datum, as text in the shop's units. `note` says why its foot is not on the line,
    `measured` what was found last; `whereabouts` where it is, while it is not in hand."""

    part: int
    number: int
    name: str
    left: str
    centre: str
    right: str
    gap: str
    note: str
    measured: str
    is_right: bool
    is_in_hand: bool
    whereabouts: str


@dataclass(frozen=True)
class Line:
    """One line of letters: what stands over it, where its figures begin if not at the datum, its drawing, its places."""

    heading: str
    begins: str
    allowed: str
    drawing: RowDrawing
    places: tuple[PlaceRow, ...]


@dataclass(frozen=True)
class Measuring:
    """The form of one measuring: what each field is measured from, and what the rule should show."""

    part: int
    called: str
    across: str
    across_wanted: str
    up: str
    up_wanted: str


@dataclass(frozen=True)
class Setting:
    """A laying out: its lines, all their places in order, the part that is set next, what taps on the picture do.

    `rule` is how fine figures are shown; `has_datum`: some line takes its figures from the datum that is chosen.
    """

    lines: tuple[Line, ...]
    places: tuple[PlaceRow, ...]
    picking: int | None
    taps: dict[str, dict[str, str]]
    datum: str
    datums: tuple[str, ...]
    has_datum: bool
    rule: str
    measuring: Measuring | None


def datum_of_tablet() -> str:
    """Where this tablet's figures run from: the left edge until another was chosen."""
    kept = request.cookies.get(COOKIE, "")
    return kept.replace("-", " ") if kept.replace("-", " ") in DATUMS else DATUMS[0]


def setting(db: Connection, stored: jobs.Sign, sign: Sign, step: Step, by: Actor) -> Setting:
    """The laying out `step` of a sign."""
    shop_settings, datum = current_settings(), datum_of_tablet()
    mine = [part for part in jobs.parts_of(db, stored.id) if part.id in step.parts]
    placed = {part.id: part for part in store.placed(db, mine)}
    rows = setting_out.rows(
        tuple(placed.values()), stored.width_mm, datum, placement.tolerance(shop_settings)
    )
    found = store.measured_at(db, step.id)
    in_order = [letter.part for row in rows for letter in row.letters]
    picking = next(
        (part for part in in_order if part not in step.ticks and sign.parts[part].is_in_hand), None
    )
    colours = {part.id: part.colour for part in mine}
    states = {part: _state(part, sign, step, picking, colours[part]) for part in in_order}
    lines = tuple(
        _line(at, row, placed, states, sign, step, found, shop_settings)
        for at, row in enumerate(rows, 1)
    )
    places = tuple(place for line in lines for place in line.places)
    return Setting(
        lines,
        places,
        picking,
        _taps(stored.code, step, places, by),
        datum,
        DATUMS,
        any(row.is_level for row in rows),
        "mm" if shop_settings.units == "mm" else f"inches to 1/{shop_settings.inch_fraction}",
        _measuring(rows, sign, datum, shop_settings) if by.holds("assembler") else None,
    )


def _state(part: int, sign: Sign, step: Step, picking: int | None, colour: str) -> tuple[str, str]:
    """How a letter is drawn, (state, fill): what sits right in its colour, what is not in hand as a hole to the paper."""
    if part in step.ticks:
        return "right", colour
    if not sign.parts[part].is_in_hand:
        return "away", "url(#grid)"
    return "picking" if part == picking else "open", ""


def _line(
    at: int,
    row: Row,
    placed: Mapping[int, PlacedPart],
    states: Mapping[int, tuple[str, str]],
    sign: Sign,
    step: Step,
    found: Mapping[int, MeasuredPlace],
    shop_settings: Settings,
) -> Line:
    figure, with_unit = (
        figures(shop_settings),
        lambda mm: f"{figures(shop_settings)(mm)} {shop_settings.units}",
    )
    title = f"Line {at}: {setting_out.heading(row, with_unit)}"
    return Line(
        title,
        setting_out.begins(row, with_unit),
        lengths.fine(row.letters[0].allowed_mm, shop_settings.units),
        row_drawing(row, placed, states, figure, title),
        tuple(
            _place(letter, row, sign, step, found.get(letter.part), shop_settings)
            for letter in row.letters
        ),
    )


def figures(shop_settings: Settings) -> Callable[[float], str]:
    """How the bench shows a length, without its unit: rounded once, here, from the exact value."""
    return lambda mm: lengths.figure(mm, shop_settings.units, shop_settings.inch_fraction).replace(
        "-", "−"
    )


def _place(
    letter: Letter,
    row: Row,
    sign: Sign,
    step: Step,
    found: MeasuredPlace | None,
    shop_settings: Settings,
) -> PlaceRow:
    figure, now = figures(shop_settings), sign.parts[letter.part]
    return PlaceRow(
        letter.part,
        letter.number,
        "" if letter.name == f"no. {letter.number}" else letter.name,
        figure(letter.left_mm),
        figure(letter.centre_mm),
        figure(letter.right_mm),
        "" if letter.gap_mm is None else figure(letter.gap_mm),
        setting_out.stands(letter, lambda mm: lengths.fine(mm, shop_settings.units)),
        _found_words(found, row, shop_settings),
        letter.part in step.ticks,
        now.is_in_hand,
        "" if now.is_in_hand else wording.missing_sentences([now])[0],
    )


def _found_words(found: MeasuredPlace | None, row: Row, shop_settings: Settings) -> str:
    if found is None:
        return ""
    said = placement.in_short(
        found.across_mm, found.up_mm, shop_settings.units, is_level=row.is_level
    )
    if placement.is_right(found.allowed_mm, found.across_mm, found.up_mm):
        return f"{said}, measured"
    return placement.verdict(
        found.across_mm, found.up_mm, found.allowed_mm, shop_settings.units, is_level=row.is_level
    )


def _taps(
    code: str, step: Step, places: tuple[PlaceRow, ...], by: Actor
) -> dict[str, dict[str, str]]:
    """What makes a part of the drawing a button: those of the checklist, once they are in hand."""
    if not by.holds("assembler"):
        return {}
    return {
        str(place.part): {
            "hx-post": url_for("bench.set_out", code=code),
            "hx-vals": f'{{"step": "{step.id}", "{"up" if place.is_right else "part"}": "{place.part}"}}',
            "hx-target": "#bench",
            "hx-swap": "outerMorph",
        }
        for place in places
        if place.is_in_hand
    }


# Measuring. -----------------------------------------------------------------------------------------------------------


def measuring_part() -> int | None:
    """The part whose form is open: of the page's address, or of the page that htmx refreshes; as the answer to a measuring
    has it."""
    if "measuring" in g:
        return g.measuring
    shown = parse_qs(urlsplit(request.headers.get("HX-Current-URL", "")).query)
    return whole(request.args.get("measure") or shown.get("measure", [""])[0])


def _measuring(
    rows: list[Row], sign: Sign, datum: str, shop_settings: Settings
) -> Measuring | None:
    asked = measuring_part()
    row = next((row for row in rows if any(letter.part == asked for letter in row.letters)), None)
    if row is None or not sign.parts[asked].is_in_hand:
        return None
    letter, figure = row.letter(asked), figures(shop_settings)
    across, up = setting_out.measured_from(row, letter, datum)
    return Measuring(
        asked,
        wording.called(sign.parts[asked]),
        across,
        f"{figure(abs(letter.left_mm))} {shop_settings.units}",
        up,
        f"{figure(row.wanted(letter)[1])} {shop_settings.units}",
    )
