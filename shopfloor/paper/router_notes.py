"""What the ticket says to the operator at the router, as notes: how to hold, how to cut, in which order, with what care.

Owns the words. Must not know where they stand on the page. Lengths are mm, times minutes.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from itertools import groupby

from ..domain.lengths import MM_PER_INCH
from ..domain.routing.feeds import Feeds
from ..domain.routing.setup_sheets import MachineFile, SetupSheet
from .notes import WAY_NAMES, Heading, Legend, Note, Row, Sentence, ZoneMap

SAFE = (
    "Guards in place, eyes and ears protected, dust drawn off. "
    "The machine's manual and trained people decide what is safe to cut."
)
ORDER = "By the numbers on the drawing: holes before outlines, small pieces before large ones."
SUM_FIGURES = 12
FREED_BY_SKIN = {
    "skin",
    "tape",
}  # what lies on tape is freed by a skin pass too (domain/holding/hold_down_choice.py)
LEAST_THICKNESS = 0.005  # mm: what two decimals show


def notes_of(setup_sheet: SetupSheet, units: str, pt: float) -> list[Note]:
    """All notes of page one, in reading order; text is `pt` points large. `units` is 'mm' or 'in'."""
    cautions = dict.fromkeys((*setup_sheet.cautions, *setup_sheet.feeds.cautions))
    return [
        Heading("Hold", pt),
        *_holding(setup_sheet, units, pt),
        Legend(pt),
        Heading("Cut", pt),
        *_cutting(setup_sheet, units, pt),
        Heading("Order and time", pt),
        Row("", ORDER, pt),
        *_time(setup_sheet, pt),
        *([Heading("Take care", pt)] if cautions else []),
        *(Sentence(str(said), pt) for said in cautions),
    ]


def stale_said(setup_sheet: SetupSheet) -> str | None:
    """The warning that the file at the machine is not of the nest as it is drawn; None where it is."""
    file = setup_sheet.file
    if file is None or not file.is_stale:
        return None
    return f"{file.name} went to the machine {file.sent_at}; this sheet has changed since: send the new file."


def file_said(file: MachineFile | None) -> str:
    """Which file went to the machine, when and by whom, with the first figures of its checksum."""
    if file is None:
        return "none has gone to the machine yet"
    checksum = file.sha256[:SUM_FIGURES]
    return f"{file.name}, checksum {checksum}, sent {file.sent_at} by {file.by_name}"


def _mark_said(mark: str) -> str:
    return (
        f" The file that belongs to this paper bears its mark, {mark}, in its name." if mark else ""
    )


def nest_said(setup_sheet: SetupSheet) -> str:
    """The nest's number with its mark: '1 · 3f2a'."""
    return (
        f"{setup_sheet.nest_number} · {setup_sheet.mark}"
        if setup_sheet.mark
        else str(setup_sheet.nest_number)
    )


def measured_said(setup_sheet: SetupSheet, units: str) -> str | None:
    """'measured 5.6 mm', where the sheet is not as thick as its stock's name says; None where it is or no name says it."""
    named = re.search(r"(\d+(?:\.\d+)?) mm$", setup_sheet.stock)
    if not named or abs(float(named[1]) - setup_sheet.thickness_mm) < LEAST_THICKNESS:
        return None
    return f"measured {_thickness(setup_sheet.thickness_mm, units)}"


def _holding(setup_sheet: SetupSheet, units: str, pt: float) -> list[Note]:
    share = (
        setup_sheet.length_mm / setup_sheet.zones_mm[0],
        setup_sheet.width_mm / setup_sheet.zones_mm[1],
    )
    said = _zones_said(setup_sheet)
    counts = Counter(piece.way for piece in setup_sheet.pieces)
    held = "; ".join(f"{counts[way]} {said}" for way, said in WAY_NAMES if counts[way])
    tabs = sum(len(piece.tabs) for piece in setup_sheet.pieces)
    size = f"{_decimal(setup_sheet.tab_length_mm, units, 1)} × {_depth(setup_sheet.tab_thickness_mm, units)} thick"
    return [
        ZoneMap(
            said,
            setup_sheet.pump,
            setup_sheet.zone_grid,
            frozenset(setup_sheet.zones),
            setup_sheet.zones_mm,
            share,
            pt,
        ),
        Row("pieces", held, pt),
        Row("tabs", f"{tabs}, each {size}" if tabs else "none", pt),
    ]


def _zones_said(setup_sheet: SetupSheet) -> str:
    if not setup_sheet.zones:
        return "No vacuum zone to open"
    word = "zone" if len(setup_sheet.zones) == 1 else "zones"
    return f"Open {word} {', '.join(map(str, setup_sheet.zones))}"


def _cutting(setup_sheet: SetupSheet, units: str, pt: float) -> list[Note]:
    feeds, ways = setup_sheet.feeds, {piece.way for piece in setup_sheet.pieces}
    skin, plain = bool(ways & FREED_BY_SKIN), bool(ways - FREED_BY_SKIN)
    reach = f"{_depth(setup_sheet.cutter.reach_mm, units)}; the sheet is {_thickness(setup_sheet.thickness_mm, units)}"
    rows = [
        Row("cutter", str(setup_sheet.cutter.called), pt, is_bold=True),
        Row("reach", reach, pt),
        Row("speed", f"{feeds.rev_per_min:,.0f} rev/min", pt, is_bold=True),
        Row("feed", _feed_said(feeds, units), pt, is_bold=True),
        Row("skin feed", _rate(feeds.skin_feed_mm_min, units), pt) if skin else None,
        Row("plunge", _rate(feeds.plunge_mm_min, units), pt),
        Row("passes", passes_said(feeds.passes, units), pt, is_bold=True) if plain else None,
        Row("with skin", passes_said(feeds.skin_passes, units), pt, is_bold=True) if skin else None,
        Row("power", f"{feeds.power_w:,.0f} W of {feeds.spindle_w:,.0f} W", pt),
        Row("", f"File: {file_said(setup_sheet.file)}.{_mark_said(setup_sheet.mark)}", pt),
    ]
    return [row for row in rows if row]


def _feed_said(feeds: Feeds, units: str) -> str:
    if feeds.start_feed_mm_min >= feeds.feed_mm_min:
        return _rate(feeds.feed_mm_min, units)
    share = feeds.start_feed_mm_min / feeds.feed_mm_min
    top = _rate(feeds.feed_mm_min, units).split()[0]
    return f"start at {_rate(feeds.start_feed_mm_min, units)} ({share:.0%}), raise to {top} as it proves"


def passes_said(passes: tuple[float, ...], units: str) -> str:
    """Depths from the top, equal ones together: '2 × 3.0 mm', '5.6 + 0.4 mm'."""
    runs = [
        (depth, len(list(run)))
        for depth, run in groupby(_decimal(depth, units, 1, 3) for depth in passes)
    ]
    return (
        " + ".join(f"{count} × {depth}" if count > 1 else depth for depth, count in runs)
        + f" {units}"
    )


def _time(setup_sheet: SetupSheet, pt: float) -> list[Note]:
    estimate, learned = setup_sheet.estimate, setup_sheet.estimate.correction
    about = f"about {max(1, round(estimate.minutes))} min ({math.floor(estimate.low)} to {math.ceil(estimate.high)})"
    reckoned = f"{estimate.path_min:.1f} min by the path × {learned.factor:.2f}"
    if learned.sheets:
        sheets = "1 sheet" if learned.sheets == 1 else f"{learned.sheets} sheets"
        basis = f"{reckoned} ({learned.low:.2f} to {learned.high:.2f}), the shop's own factor from {sheets}"
    else:
        basis = f"{reckoned}; the shop has no sheet on record yet"
    return [Row("cutting", about, pt, is_bold=True), Row("", basis, pt * 0.9)]


def _rate(mm_min: float, units: str) -> str:
    return (
        f"{mm_min / float(MM_PER_INCH):,.0f} in/min" if units == "in" else f"{mm_min:,.0f} mm/min"
    )


def _depth(mm: float, units: str) -> str:
    return f"{_decimal(mm, units, 1, 3)} {units}"


def _thickness(mm: float, units: str) -> str:
    """As a calliper shows it: '5.85 mm', '6 mm'."""
    return _depth(mm, units) if units == "in" else f"{round(mm, 2):g} mm"


def _decimal(mm: float, units: str, places: int, inch_places: int = 2) -> str:
    """Depths and small sizes are set on the machine, so inches are decimal here."""
    return f"{mm / float(MM_PER_INCH):.{inch_places}f}" if units == "in" else f"{mm:.{places}f}"
