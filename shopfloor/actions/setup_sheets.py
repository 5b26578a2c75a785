"""The ticket of a sheet and the file for the machine: put together from what the shop knows; which file went is recorded."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from ..domain import codes
from ..domain.errors import Conflict, Refused
from ..domain.holding.tabs import Tab, tab_segments
from ..domain.routing import sheets as rules
from ..domain.routing.machine_files import MachineSheet, Nested, file_name
from ..domain.routing.running_time import Estimate, correction, estimate
from ..domain.routing.setup_sheets import MachineFile, PieceOnTicket, SetupSheet, TabOnSheet
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
from ..wording.message import Message
from .cutting_setup import CuttingSetup, means_of, means_on
from .holding import PlacedPiece, order_of, placed_pieces
from .thickness import flag_for
from .unit_of_work import Answer, Transaction, command

KINDS = ("svg", "dxf")


@dataclass(frozen=True)
class FileSent:
    """A file went to the machine."""

    sheet: str
    nest: int
    name: str
    sha256: str


@dataclass(frozen=True)
class OnTable:
    """A sheet with all that is known of how it is cut."""

    row: SheetRow
    cutting_setup: CuttingSetup
    lying: tuple[PlacedPiece, ...]
    held: Mapping[int, Held]
    said: Mapping[int, OnSheet]

    @cached_property
    def order(self) -> dict[int, int]:
        """When each piece is freed, from 1, by piece."""
        return order_of(self.lying, {id: one.hold_down for id, one in self.held.items()})

    @property
    def in_order(self) -> list[PlacedPiece]:
        """The pieces in the order in which they are freed."""
        return sorted(self.lying, key=lambda one: self.order[one.piece.id])


def on_table(db: Connection, code: str) -> OnTable:
    """Reads it. Raises Conflict where nobody has worked out yet how the sheet's pieces are held."""
    sheet = sheets.sheet_by_code(db, code)
    row = sheets.row(db, sheet.id)
    lying = placed_pieces(db, sheet)
    held = store.of_nest(db, row.nest)
    if not {one.piece.id for one in lying} <= held.keys():
        raise Conflict(
            f"How the pieces of {row.number} are held is not worked out yet: do that on its page first."
        )
    said = {piece.piece: piece for piece in sheets.on_sheet(db, sheet.id)}
    return OnTable(row, means_on(db, sheet, stock.stock(db, row.stock)), tuple(lying), held, said)


# The ticket. ----------------------------------------------------------------------------------------------------------


def setup_sheet_of(db: Connection, code: str, address: str | None = None) -> SetupSheet:
    """The ticket of a sheet. Raises Conflict as `on_table`."""
    it = on_table(db, code)
    row, shop_settings, material = it.row, it.cutting_setup.shop_settings, it.cutting_setup.material
    table = Table(
        shop_settings.table_length_mm,
        shop_settings.table_width_mm,
        shop_settings.zones_along,
        shop_settings.zones_across,
    )
    used = (row.used_mm, row.width_mm) if row.along == "length" else (row.length_mm, row.used_mm)
    zones = zones_under(row.length_mm, row.width_mm, table, used)
    run = store.run_of(db, row.nest)
    kind = "offcut" if row.is_offcut else "full sheet"
    signs = {
        f"{piece.job} {piece.sign_mark}"
        for piece in it.said.values()
        if piece.job and not piece.is_spare
    }
    return SetupSheet(
        sheet=row.number,
        code=row.code,
        url=codes.url(settings.load(db, address).address, row.code),
        stock=material.called,
        colour=material.colour,
        thickness_mm=it.cutting_setup.thickness_mm,
        blank=f"{kind} {codes.show(row.blank_code)}",
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        along=row.along,
        used_mm=row.used_mm,
        margin_mm=row.margin_mm,
        nest_number=row.nest_number,
        signs=tuple(sorted(signs)),
        first_due=row.first_due,
        pieces=tuple(_pieces(it)),
        zones=zones.to_open,
        zone_grid=(table.along, table.across),
        zones_mm=(table.length_mm, table.width_mm),
        cutter=it.cutting_setup.cutter,
        feeds=it.cutting_setup.feeds,
        tab_length_mm=shop_settings.tab_length_mm,
        tab_thickness_mm=shop_settings.tab_thickness_mm,
        pump=run.pump if run else shop_settings.pump,
        estimate=estimate_of(db, run.path_min if run else 0.0),
        cautions=tuple(_cautions(db, it, zones, run)),
        file=last_file(db, it),
        mark=short_mark(it),
    )


PAPERS = {"a4": "A4", "letter": "Letter"}


def printed(setup_sheet: SetupSheet, paper: str, shop_settings: Settings) -> bytes:
    """The ticket as a PDF on one of PAPERS, in the shop's units and time. Raises Refused for another paper."""
    if setup_sheet.file:
        sent = datetime.fromisoformat(setup_sheet.file.sent_at).astimezone(
            ZoneInfo(shop_settings.zone)
        )
        setup_sheet = replace(
            setup_sheet, file=replace(setup_sheet.file, sent_at=f"{sent:%Y-%m-%d %H:%M}")
        )
    return print_setup_sheet(setup_sheet, paper, shop_settings.units)


def _pieces(it: OnTable) -> Iterator[PieceOnTicket]:
    for one in it.in_order:
        held, said = it.held[one.piece.id], it.said[one.piece.id]
        outline = one.on_sheet
        tabs = tuple(tabs_on(outline, held.tabs, it.cutting_setup.shop_settings.tab_length_mm))
        name = said.name or "spare"
        sign = f"{said.job} {said.sign_mark}" if said.job and not said.is_spare else "spare"
        yield PieceOnTicket(
            one.piece.code,
            name,
            sign,
            outline,
            held.hold_down,
            held.verdict,
            held.safety_factor,
            tabs,
            it.order[one.piece.id],
        )


def tabs_on(outline, tabs: Sequence[tuple[int, float]], length_mm: float) -> Iterator[TabOnSheet]:
    """The tabs (ring, mm along it) of an outline that lies on the sheet."""
    for ring, at_mm in tabs:
        first, *_, last = tab_segments(outline, Tab(ring, at_mm, 0, 0, 0), length_mm)
        middle = tab_segments(outline, Tab(ring, at_mm, 0, 0, 0), length_mm / 1000)[0]
        yield TabOnSheet(*middle, angle_between(first, last))


def angle_between(first: tuple[float, float], last: tuple[float, float]) -> float:
    """The angle of the line from one point to another, in degrees counter-clockwise from x."""
    return math.degrees(math.atan2(last[1] - first[1], last[0] - first[0]))


def _cautions(db: Connection, it: OnTable, zones: Zones, run: store.Run | None) -> Iterator[str]:
    row, cutting_setup = it.row, it.cutting_setup
    yield from cutting_setup.feeds.cautions
    if zones.is_too_large:
        yield "The blank is larger than the vacuum table: saw it first, or support what hangs over."
    elif zones.in_part:
        numbers = ", ".join(map(str, zones.in_part))
        lie = "Zone {} lies" if len(zones.in_part) == 1 else "Zones {} lie"
        yield f"{lie.format(numbers)} only in part under the blank: cover the rest with scrap, or the vacuum leaks away."
    if told := other_cutter(db, sheets.sheet(db, row.id)):
        yield told
    if cutting_setup.thickness_mm != cutting_setup.material.thickness_mm:
        yield f"This blank measured {cutting_setup.thickness_mm:g} mm: the passes are for that."
    if run and run.pump != cutting_setup.shop_settings.pump:
        yield f"It was worked out for a {run.pump} and the pump is a {cutting_setup.shop_settings.pump} now: renew the advice on its page."
    if taped := [
        it.order[one.piece.id] for one in it.lying if it.held[one.piece.id].hold_down == "tape"
    ]:
        few = ", ".join(map(str, sorted(taped)[:12])) + (" …" if len(taped) > 12 else "")
        yield f"Tape {'piece' if len(taped) == 1 else 'pieces'} {few} down before the blank goes on."
    if not row.is_bought:
        yield "Its blank is still to be bought."
    if gone := row.pieces and sum(not said.is_here for said in it.said.values()):
        are, them = ("is", "it") if gone == 1 else ("are", "them")
        yield f"{gone} of the nest's pieces {are} no longer wanted: leave {them} out."
    if told := thickness_flag(db, it):
        yield told


def other_cutter(db: Connection, sheet: rules.Sheet) -> str | None:
    """That a sheet is nested for another cutter than its stock is cut with by now; None where it is the same."""
    material = stock.stock(db, sheet.stock)
    its, usual = means_on(db, sheet, material).cutter, means_of(db, material).cutter
    if its == usual:
        return None
    return f"It is nested for {its.called}; the stock is cut with {usual.called} by now: nest it anew to use that."


def thickness_flag(db: Connection, it: OnTable) -> str | None:
    """Whether recuts of this sheet may stand out among their neighbours by their thickness; None where all is well."""
    again = [one.piece.id for one in it.lying if one.piece.attempt > 1]
    if not again:
        return None
    return flag_for(db, it.row.blank, again, it.cutting_setup)


def estimate_of(db: Connection, path_min: float) -> Estimate:
    """The minutes of a path, put right by the shop's own starts and finishes."""
    records = [(sheet.path_min, sheet.real_min) for sheet in store.times(db)]
    return estimate(path_min, correction(records))


# The file for the machine. --------------------------------------------------------------------------------------------


def machine_sheet(it: OnTable) -> MachineSheet:
    """What the file for the machine holds."""
    length = it.cutting_setup.shop_settings.tab_length_mm
    return MachineSheet(
        f"{it.row.number} nest {it.row.nest_number}",
        it.row.length_mm,
        it.row.width_mm,
        it.row.margin_mm,
        tuple(_nested(it, one, length) for one in it.in_order),
    )


def _nested(it: OnTable, one: PlacedPiece, tab_mm: float) -> Nested:
    outline, held, said = one.on_sheet, it.held[one.piece.id], it.said[one.piece.id]
    tabs = tuple(
        tab_segments(outline, Tab(ring, at_mm, 0, 0, 0), tab_mm) for ring, at_mm in held.tabs
    )
    return Nested(
        one.piece.code, said.name or "", outline, tabs, held.hold_down, it.order[one.piece.id]
    )


def layout_mark(it: OnTable) -> str:
    """A short mark of all that a file depends on: it is another one when the file would be another one."""
    size = [
        it.row.length_mm,
        it.row.width_mm,
        it.row.margin_mm,
        it.row.nest,
        it.cutting_setup.shop_settings.tab_length_mm,
    ]
    told = [size, sorted(_told_of(it, one) for one in it.lying)]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]


def _told_of(it: OnTable, one: PlacedPiece) -> list:
    held, name = it.held[one.piece.id], it.said[one.piece.id].name
    return [one.piece.code, name, one.put.x, one.put.y, one.put.turn, held.hold_down, held.tabs]


def short_mark(it: OnTable) -> str:
    """The first of that mark: it stands in the file's name and on the ticket, so that both can be told to belong together."""
    return layout_mark(it)[:4]


def last_file(db: Connection, it: OnTable) -> MachineFile | None:
    """The file that went to the machine last for this sheet, and whether it is still the right one."""
    sent = store.last_file(db, it.row.id)
    if sent is None:
        return None
    return MachineFile(
        sent.name,
        sent.sha256,
        sent.at,
        sent.by_name,
        sent.nest_number,
        sent.layout != layout_mark(it),
    )


def has_old_file(db: Connection, row: SheetRow) -> bool:
    """Whether the file that the machine has for a sheet is not the right one any more."""
    if store.last_file(db, row.id) is None:
        return False
    return last_file(db, on_table(db, row.code)).is_stale


def file_for(db: Connection, code: str, kind: str) -> tuple[str, bytes, OnTable]:
    """(name, content, what it was made from) of the file for the machine. Raises Refused for an unknown kind."""
    if kind not in KINDS:
        raise Refused(f"Choose one of these kinds of file: {', '.join(KINDS)}.")
    it = on_table(db, code)
    if it.row.state not in rules.LIVE:
        raise Conflict(
            f"Sheet {it.row.number} is {it.row.state}: there is nothing to cut any more."
        )
    return (
        file_name(it.row.number, it.row.nest_number, kind, short_mark(it)),
        write(machine_sheet(it), kind),
        it,
    )


@command("sent a file to the machine", "operator")
def record_file(transaction: Transaction, code: str, name: str, sha256: str, mark: str) -> Answer:
    """Keeps which file went to the machine. `mark` is its `layout_mark`. Raises Conflict where the sheet changed meanwhile."""
    it = on_table(transaction.db, code)
    if layout_mark(it) != mark:
        raise Conflict(f"Sheet {it.row.number} changed while its file was made: fetch it again.")
    store.add_file(
        transaction.db,
        it.row.nest,
        it.row.id,
        name,
        sha256,
        mark,
        at=transaction.at,
        person=transaction.actor.person,
    )
    transaction.record(FileSent(it.row.number, it.row.nest_number, name, sha256))
    return Answer(f"{name} went to the machine, checksum {sha256[:12]}.", (code,))


def ways_counted(held: Mapping[int, Held]) -> list[tuple[Message, int]]:
    """How many pieces are held in each way, in words, the commonest first."""
    counts: dict[str, int] = {}
    for one in held.values():
        counts[one.hold_down] = counts.get(one.hold_down, 0) + 1
    return [
        (hold_down_words.hold_down(way), count)
        for way, count in sorted(counts.items(), key=lambda two: -two[1])
    ]
