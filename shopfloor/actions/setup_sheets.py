"""The setup sheet of a sheet and the file for the machine: put together from what the shop knows. Which file went is kept."""

from __future__ import annotations

import hashlib
import json
import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..domain import codes
from ..domain.errors import Conflict, Refused
from ..domain.holding.tabs import tab_segments
from ..domain.outlines import Outline
from ..domain.routing import sheets as rules
from ..domain.routing.machine_files import MachineSheet, Nested, file_name
from ..domain.routing.running_time import Estimate, correction, estimate
from ..domain.routing.setup_sheets import MachineFile, PieceOnSheet, SetupSheet, TabOnSheet
from ..domain.routing.vacuum_zones import Table, Zones, zones_under
from ..domain.settings import Settings
from ..drawings.writing import write
from ..paper.setup_sheets import print_setup_sheet
from ..store import holding as store
from ..store import settings, sheets, stock
from ..store.db import Connection
from ..store.holding import Held
from ..store.sheets import OnSheet, SheetRow
from ..wording import holding as hold_down_words
from ..wording import routing as file_wording
from ..wording import setup_sheets as wording
from ..wording import sheets as sheet_wording
from ..wording.formatting import Reader
from ..wording.message import Message
from .cutting_setup import CuttingSetup, cutting_setup_of, cutting_setup_on, flag_for
from .holding import PlacedPiece, order_of, placed_pieces
from .unit_of_work import Answer, Transaction, command

KINDS = ("svg", "dxf")
MOST_NAMED = 12  # pieces in a caution


@dataclass(frozen=True)
class OnTable:
    """A sheet with all that is known of how it is cut."""

    row: SheetRow
    cutting_setup: CuttingSetup
    placed: tuple[PlacedPiece, ...]
    held: Mapping[int, Held]
    named: Mapping[int, OnSheet]

    @cached_property
    def order(self) -> dict[int, int]:
        """When each piece is freed, from 1, by piece."""
        return order_of(self.placed, {piece: held.hold_down for piece, held in self.held.items()})

    @property
    def in_order(self) -> list[PlacedPiece]:
        """The pieces in the order in which they are freed."""
        return sorted(self.placed, key=lambda placed: self.order[placed.piece.id])


def on_table(db: Connection, code: str) -> OnTable:
    """Read a sheet with its hold-down. Raises Conflict where that is not worked out yet."""
    sheet = sheets.sheet_by_code(db, code)
    row = sheets.row(db, sheet.id)
    placed = placed_pieces(db, sheet)
    held = store.of_nest(db, row.nest)
    if not {here.piece.id for here in placed} <= held.keys():
        raise Conflict(wording.not_worked_out(row.number))
    named = {piece.piece: piece for piece in sheets.on_sheet(db, sheet.id)}
    cutting_setup = cutting_setup_on(db, sheet, stock.stock(db, row.stock))
    return OnTable(row, cutting_setup, tuple(placed), held, named)


# The setup sheet. -----------------------------------------------------------------------------------------------------


def setup_sheet_of(db: Connection, code: str, address: str | None = None) -> SetupSheet:
    """Return the setup sheet of a sheet. Raises Conflict as `on_table`."""
    on = on_table(db, code)
    row, shop_settings, material = on.row, on.cutting_setup.shop_settings, on.cutting_setup.material
    table = Table(
        shop_settings.table_length_mm,
        shop_settings.table_width_mm,
        shop_settings.zones_along,
        shop_settings.zones_across,
    )
    used = (row.used_mm, row.width_mm) if row.along == "length" else (row.length_mm, row.used_mm)
    zones = zones_under(row.length_mm, row.width_mm, table, used)
    run = store.run_of(db, row.nest)
    blank = wording.offcut if row.is_offcut else wording.full_sheet
    signs = {
        f"{piece.job} {piece.sign_mark}"
        for piece in on.named.values()
        if piece.job and not piece.is_spare
    }
    return SetupSheet(
        sheet=row.number,
        code=row.code,
        url=codes.url(settings.load(db, address).address, row.code),
        stock=material.called,
        colour=material.colour,
        thickness_mm=on.cutting_setup.thickness_mm,
        blank=blank(row.blank_code),
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        along=row.along,
        used_mm=row.used_mm,
        margin_mm=row.margin_mm,
        nest_number=row.nest_number,
        signs=tuple(sorted(signs)),
        first_due=row.first_due,
        pieces=tuple(_pieces(on)),
        zones=zones.to_open,
        zone_grid=(table.along, table.across),
        zones_mm=(table.length_mm, table.width_mm),
        cutter=on.cutting_setup.cutter,
        feeds=on.cutting_setup.feeds,
        tab_length_mm=shop_settings.tab_length_mm,
        tab_thickness_mm=shop_settings.tab_thickness_mm,
        pump=run.pump if run else shop_settings.pump,
        estimate=estimate_of(db, run.path_min if run else 0.0),
        cautions=tuple(_cautions(db, on, zones, run)),
        file=last_file(db, on),
        mark=short_mark(on),
    )


PAPERS = {"a4": "A4", "letter": "Letter"}


def printed(setup_sheet: SetupSheet, paper: str, shop_settings: Settings) -> bytes:
    """Return the setup sheet as a PDF on one of PAPERS, in the shop's units and time. Raises Refused for another paper."""
    reader = Reader(shop_settings.units, shop_settings.inch_fraction, shop_settings.zone)
    return print_setup_sheet(setup_sheet, paper, reader)


def _pieces(on: OnTable) -> Iterator[PieceOnSheet]:
    tab_mm = on.cutting_setup.shop_settings.tab_length_mm
    for placed in on.in_order:
        piece = placed.piece.id
        held, named, outline = on.held[piece], on.named[piece], placed.on_sheet
        is_for_a_sign = named.job and not named.is_spare
        yield PieceOnSheet(
            placed.piece.code,
            named.name or wording.spare(),
            f"{named.job} {named.sign_mark}" if is_for_a_sign else wording.spare(),
            outline,
            held.hold_down,
            held.verdict,
            held.safety_factor,
            tuple(tabs_on(outline, held.tabs, tab_mm)),
            on.order[piece],
        )


def tabs_on(
    outline: Outline, tabs: Sequence[tuple[int, float]], length_mm: float
) -> Iterator[TabOnSheet]:
    """Yield the tabs (ring, mm along it) of an outline that lies on the sheet."""
    for ring, at_mm in tabs:
        first, *_, last = tab_segments(outline, ring, at_mm, length_mm)
        middle = tab_segments(outline, ring, at_mm, length_mm / 1000)[0]
        angle = math.degrees(math.atan2(last[1] - first[1], last[0] - first[0]))
        yield TabOnSheet(*middle, angle)


def _cautions(
    db: Connection, on: OnTable, zones: Zones, run: store.Run | None
) -> Iterator[Message | str]:
    row, cutting_setup = on.row, on.cutting_setup
    yield from cutting_setup.feeds.cautions
    if zones.is_too_large:
        yield wording.larger_than_the_table()
    elif zones.in_part:
        yield wording.zones_in_part(zones.in_part)
    if other := other_cutter(db, sheets.sheet(db, row.id)):
        yield other
    if cutting_setup.thickness_mm != cutting_setup.material.thickness_mm:
        yield wording.measured(cutting_setup.thickness_mm)
    if run and run.pump != cutting_setup.shop_settings.pump:
        yield wording.worked_out_for_another_pump(run.pump, cutting_setup.shop_settings.pump)
    taped = sorted(
        on.order[placed.piece.id]
        for placed in on.placed
        if on.held[placed.piece.id].hold_down == "tape"
    )
    if taped:
        yield wording.tape_down(tuple(taped[:MOST_NAMED]), len(taped[MOST_NAMED:]))
    if not row.is_bought:
        yield wording.still_to_order()
    gone = sum(not piece.is_here for piece in on.named.values())
    if row.pieces and gone:
        yield wording.leave_out(gone)
    if flag := thickness_flag(db, on):
        yield flag


def other_cutter(db: Connection, sheet: rules.Sheet) -> Message | None:
    """Return that a sheet is nested for another cutter than its stock is cut with now; None where it is the same."""
    material = stock.stock(db, sheet.stock)
    nested_for = cutting_setup_on(db, sheet, material).cutter
    cut_with = cutting_setup_of(db, material).cutter
    if nested_for == cut_with:
        return None
    return wording.nested_for_another_cutter(nested_for.called, cut_with.called)


def thickness_flag(db: Connection, on: OnTable) -> Message | str | None:
    """Return a warning where recuts of this sheet may be seen to differ in thickness; None where none does."""
    recuts = [placed.piece.id for placed in on.placed if placed.piece.attempt > 1]
    if not recuts:
        return None
    return flag_for(db, on.row.blank, recuts, on.cutting_setup)


def estimate_of(db: Connection, path_min: float) -> Estimate:
    """Return the minutes of a path, corrected by the shop's own starts and finishes."""
    records = [(sheet.path_min, sheet.real_min) for sheet in store.times(db)]
    return estimate(path_min, correction(records))


# The file for the machine. --------------------------------------------------------------------------------------------


def machine_sheet(on: OnTable) -> MachineSheet:
    """Return what the file for the machine holds."""
    tab_mm = on.cutting_setup.shop_settings.tab_length_mm
    return MachineSheet(
        f"{on.row.number} nest {on.row.nest_number}",
        on.row.length_mm,
        on.row.width_mm,
        on.row.margin_mm,
        tuple(_nested(on, placed, tab_mm) for placed in on.in_order),
    )


def _nested(on: OnTable, placed: PlacedPiece, tab_mm: float) -> Nested:
    outline, held = placed.on_sheet, on.held[placed.piece.id]
    tabs = tuple(tab_segments(outline, ring, at_mm, tab_mm) for ring, at_mm in held.tabs)
    name, order = on.named[placed.piece.id].name or "", on.order[placed.piece.id]
    return Nested(placed.piece.code, name, outline, tabs, held.hold_down, order)


def layout_mark(on: OnTable) -> str:
    """Return a mark of all that a file depends on: it changes when the file would."""
    size = [
        on.row.length_mm,
        on.row.width_mm,
        on.row.margin_mm,
        on.row.nest,
        on.cutting_setup.shop_settings.tab_length_mm,
    ]
    facts = [size, sorted(_facts_of(on, placed) for placed in on.placed)]
    return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:16]


def _facts_of(on: OnTable, placed: PlacedPiece) -> list[object]:
    piece, put, held = placed.piece, placed.put, on.held[placed.piece.id]
    name = on.named[piece.id].name
    return [piece.code, name, put.x, put.y, put.turn, held.hold_down, held.tabs]


def short_mark(on: OnTable) -> str:
    """Return the first of that mark: in the file's name and on the setup sheet, so that one finds the other."""
    return layout_mark(on)[:4]


def last_file(db: Connection, on: OnTable) -> MachineFile | None:
    """Return the file that went to the machine last for this sheet, and whether it is still the right one."""
    sent = store.last_file(db, on.row.id)
    if sent is None:
        return None
    is_stale = sent.layout != layout_mark(on)
    return MachineFile(sent.name, sent.sha256, sent.at, sent.by_name, sent.nest_number, is_stale)


def has_old_file(db: Connection, row: SheetRow) -> bool:
    """True where the file that the machine has for a sheet is no longer the right one."""
    if store.last_file(db, row.id) is None:
        return False
    file = last_file(db, on_table(db, row.code))
    return file is not None and file.is_stale


def file_for(db: Connection, code: str, kind: str) -> tuple[str, bytes, OnTable]:
    """Return (name, content, what it was made from) of the file for the machine.

    Raises Refused for an unknown kind, Conflict for a sheet that is no longer cut.
    """
    if kind not in KINDS:
        raise Refused(file_wording.choose_a_kind(KINDS))
    on = on_table(db, code)
    row = on.row
    if row.state not in rules.LIVE:
        raise Conflict(wording.nothing_to_cut(sheet_wording.status(row.number, row.state)))
    name = file_name(row.number, row.nest_number, kind, short_mark(on))
    return name, write(machine_sheet(on), kind), on


@command("sent a file to the machine", "operator")
def record_file(transaction: Transaction, code: str, name: str, sha256: str, mark: str) -> Answer:
    """Keep which file went to the machine; `mark` is its `layout_mark`. Raises Conflict where the sheet has changed."""
    on = on_table(transaction.db, code)
    if layout_mark(on) != mark:
        raise Conflict(file_wording.fetch_again(on.row.number))
    store.add_file(
        transaction.db,
        on.row.nest,
        on.row.id,
        name,
        sha256,
        mark,
        at=transaction.at,
        person=transaction.actor.person,
    )
    return Answer(file_wording.sent(name, sha256[:12]), (code,))


def ways_counted(held: Mapping[int, Held]) -> list[tuple[Message, int]]:
    """Return how many pieces have each hold-down, in words, the commonest first."""
    counts = Counter(piece.hold_down for piece in held.values())
    return [(hold_down_words.hold_down(name), count) for name, count in counts.most_common()]
