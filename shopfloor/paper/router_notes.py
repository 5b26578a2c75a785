"""What the setup sheet tells the operator at the router, as notes: how to hold, how to cut, in which order, with what care.

Must not know where they are on the page. Lengths are mm, times minutes.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from itertools import groupby

from ..domain.lengths import MM_PER_INCH
from ..domain.routing.feeds import Feeds
from ..domain.routing.setup_sheets import MachineFile, SetupSheet
from ..wording import paper as wording
from ..wording import setup_sheets as shared
from ..wording.formatting import Reader
from ..wording.message import Message, joined, text
from .notes import HOLD_DOWNS, Heading, Legend, Note, Row, ZoneMap, sentence

SUM_FIGURES = 12
# what lies on tape is freed by a skin pass too (domain/holding/hold_down_choice.py)
FREED_BY_SKIN = {"skin", "tape"}
LEAST_THICKNESS = 0.005  # mm: what two decimals show


def notes_of(sheet: SetupSheet, reader: Reader, pt: float) -> list[Note]:
    """All notes of page one, in reading order; text is `pt` points large."""
    notes = _Notes(reader, pt)
    cautions = dict.fromkeys((*sheet.cautions, *sheet.feeds.cautions))
    return [
        notes.heading("hold"),
        *notes.holding(sheet),
        Legend(pt),
        notes.heading("cut"),
        *notes.cutting(sheet),
        notes.heading("order"),
        notes.sentence(shared.order()),
        *notes.time(sheet),
        *([notes.heading("care")] if cautions else []),
        *(sentence(text(caution, reader), pt) for caution in cautions),
    ]


def old_file_warning(file: MachineFile | None) -> Message | None:
    """The warning that the machine has another layout than the one drawn; None where it has this one."""
    if file is None or not file.is_stale:
        return None
    return wording.old_file(file.name, file.sent_at)


def measured(sheet: SetupSheet, units: str) -> Message | None:
    """What the sheet measures, where that is not what its material's name says; None where it is or no name says it."""
    named = re.search(r"(\d+(?:\.\d+)?) mm$", sheet.stock)
    if not named or abs(float(named[1]) - sheet.thickness_mm) < LEAST_THICKNESS:
        return None
    return wording.measured(_thickness(sheet.thickness_mm, units))


class _Notes:
    """Makes notes for a reader in one size of type."""

    def __init__(self, reader: Reader, pt: float) -> None:
        self._reader, self._units, self._pt = reader, reader.units, pt

    def heading(self, part: str) -> Heading:
        return Heading(text(wording.heading(part), self._reader), self._pt)

    def sentence(self, message: Message, share: float = 1.0) -> Row:
        return Row("", text(message, self._reader), self._pt * share)

    def row(self, caption: str, message: Message | str, *, is_bold: bool = False) -> Row:
        caption = text(wording.cell(caption), self._reader)
        return Row(caption, text(message, self._reader), self._pt, is_bold)

    def holding(self, sheet: SetupSheet) -> Iterator[Note]:
        """Which zones to open, how the pieces are held, the tabs."""
        share = sheet.length_mm / sheet.zones_mm[0], sheet.width_mm / sheet.zones_mm[1]
        yield ZoneMap(
            text(shared.open_zones(sheet.zones), self._reader),
            sheet.pump,
            sheet.zone_grid,
            frozenset(sheet.zones),
            sheet.zones_mm,
            share,
            self._pt,
        )
        pieces = Counter(piece.way for piece in sheet.pieces)
        counts = [
            wording.held_so(pieces[way], wording.hold_down(way))
            for way in HOLD_DOWNS
            if pieces[way]
        ]
        yield self.row("pieces", wording.counts(counts))
        tabs = sum(len(piece.tabs) for piece in sheet.pieces)
        length = _decimal(sheet.tab_length_mm, self._units, 1)
        yield self.row(
            "tabs", wording.tabs(tabs, length, _depth(sheet.tab_thickness_mm, self._units))
        )

    def cutting(self, sheet: SetupSheet) -> Iterator[Note]:
        """The cutter, its feeds and passes, the file at the machine."""
        units, feeds = self._units, sheet.feeds
        ways = {piece.way for piece in sheet.pieces}
        has_skin, has_plain = bool(ways & FREED_BY_SKIN), bool(ways - FREED_BY_SKIN)
        thickness = _thickness(sheet.thickness_mm, units)
        yield self.row("cutter", sheet.cutter.called, is_bold=True)
        yield self.row("reach", wording.reach(_depth(sheet.cutter.reach_mm, units), thickness))
        yield self.row("speed", wording.speed(round(feeds.rev_per_min)), is_bold=True)
        yield self.row("feed", _feed(feeds, units), is_bold=True)
        if has_skin:
            yield self.row("skin feed", _rate(feeds.skin_feed_mm_min, units))
        yield self.row("plunge", _rate(feeds.plunge_mm_min, units))
        if has_plain:
            yield self.row("passes", passes_in_words(feeds.passes, units), is_bold=True)
        if has_skin:
            yield self.row("with skin", passes_in_words(feeds.skin_passes, units), is_bold=True)
        yield self.row("power", wording.power(round(feeds.power_w), round(feeds.spindle_w)))
        mark = wording.file_has_the_mark(sheet.mark) if sheet.mark else None
        yield self.sentence(joined([_file(sheet.file), mark]))

    def time(self, sheet: SetupSheet) -> Iterator[Note]:
        """How long it takes, and how that is known."""
        estimate, learned = sheet.estimate, sheet.estimate.correction
        about = max(1, round(estimate.minutes)), math.floor(estimate.low), math.ceil(estimate.high)
        yield self.row("cutting", wording.minutes(*about), is_bold=True)
        path, factor = f"{estimate.path_min:.1f}", f"{learned.factor:.2f}"
        basis = (
            wording.minutes_corrected(
                path, factor, f"{learned.low:.2f}", f"{learned.high:.2f}", learned.sheets
            )
            if learned.sheets
            else wording.minutes_so_far(path, factor)
        )
        yield self.sentence(basis, 0.9)


def _file(file: MachineFile | None) -> Message:
    """Which file went to the machine, when and by whom, with the first figures of its checksum."""
    if file is None:
        return wording.no_file()
    return wording.file_sent(file.name, file.sha256[:SUM_FIGURES], file.sent_at, file.by_name)


def _feed(feeds: Feeds, units: str) -> Message | str:
    if feeds.start_feed_mm_min >= feeds.feed_mm_min:
        return _rate(feeds.feed_mm_min, units)
    share = feeds.start_feed_mm_min / feeds.feed_mm_min
    top = _rate(feeds.feed_mm_min, units).split()[0]
    return shared.start_feed(_rate(feeds.start_feed_mm_min, units), share, top)


def passes_in_words(passes: tuple[float, ...], units: str) -> str:
    """Depths from the top, equal ones together: '2 × 3.0 mm', '5.6 + 0.4 mm'."""
    depths = groupby(_decimal(depth, units, 1, 3) for depth in passes)
    runs = [(depth, len(list(run))) for depth, run in depths]
    return f"{' + '.join(f'{count} × {depth}' if count > 1 else depth for depth, count in runs)} {units}"


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
