"""Labels to print: those of a sheet's pieces, in walking order, of a job's, of one thing. Reads only."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..domain import codes
from ..domain.errors import Conflict, Refused
from ..domain.outlines import Outline
from ..paper.labels import Label, ThingLabel, print_labels
from ..store import codes as code_store
from ..store import jobs, ledger, pieces, settings, sheets, stock
from ..store import outlines as outline_store
from ..store import trays as tray_store
from ..store.db import Connection
from ..wording import labels as wording
from ..wording import pieces as piece_wording
from ..wording import trays as tray_wording
from ..wording.formatting import Reader
from ..wording.message import Message
from .unit_of_work import Shop

Labels = Sequence[Label | ThingLabel]


def labels_of(
    shop: Shop, thing: str, layout: str, address: str | None = None, *, skip: int = 0
) -> tuple[bytes, int]:
    """Return (PDF, how many labels) for a job 'J-1001', a sheet 'S-201', the pieces that 'act 57' gave another place, or
    whatever has the code `thing`.

    `address` is used until the shop has set its own; `skip` is how many labels of the first page are gone already.
    Raises NotFound, Conflict where there is none to print, and Refused for an unknown layout.
    """
    with shop.database.snapshot() as db:
        labels = found_labels(db, thing, address)
        own = settings.load(db)
    reader = Reader(own.units, own.inch_fraction, own.zone)
    return print_labels(labels, layout, skip, reader), len(labels)


def found_labels(db: Connection, thing: str, address: str | None = None) -> Labels:
    """Return the labels in the order in which they are printed; arguments and errors as of `labels_of`."""
    labels = _labels(db, thing.strip(), settings.load(db, address).address)
    if not labels:
        raise Conflict(wording.nothing_to_label(thing.strip()))
    return labels


def _labels(db: Connection, thing: str, address: str) -> Labels:
    if re.fullmatch(r"J-?\d+", thing, re.IGNORECASE):
        rows = sheets.rows_of_job(db, jobs.job_by_number(db, thing.lstrip("Jj").lstrip("-")).id)
        return [
            label for row in rows for label in sheet_labels(db, row.id, address, only_job=thing)
        ]
    if re.fullmatch(r"S-?\d+", thing, re.IGNORECASE):
        return sheet_labels(
            db, sheets.sheet_by_number(db, thing.lstrip("Ss").lstrip("-")).id, address
        )
    if act := re.fullmatch(r"act (\d{1,9})", thing):
        return _relabelled(db, int(act[1]), address)
    return _labels_of_code(db, codes.parse(thing), address)


def _labels_of_code(db: Connection, code: str, address: str) -> Labels:
    makers = {"blank": _blank_label, "sign": _sign_label, "tray": _tray_label}
    kind = code_store.kind_of(db, code)
    if kind == "sheet":
        return sheet_labels(db, sheets.sheet_by_code(db, code).id, address)
    return (
        [makers[kind](db, code, address)] if kind in makers else piece_labels(db, [code], address)
    )


def sheet_labels(
    db: Connection, sheet: int, address: str, only_job: str | None = None
) -> list[Label]:
    """Return the labels of a sheet's pieces in walking order; with `only_job` those of one job."""
    row = sheets.row(db, sheet)
    here = [
        piece
        for piece in sheets.on_sheet(db, sheet)
        if piece.is_here and piece.state not in ("lost", "damaged")
    ]
    if only_job:
        number = "J-" + only_job.upper().removeprefix("J").removeprefix("-")
        here = [piece for piece in here if piece.job == number]
    outlines = outline_store.by_ids(db, [piece.outline for piece in here])
    material = stock.stock(db, row.stock).called
    return [_label(piece, outlines[piece.outline], material, address) for piece in here]


def _label(piece: sheets.OnSheet, outline: Outline, material: str, address: str) -> Label:
    sign, sign_name, place = _goes_to(piece)
    return Label(
        code=piece.code,
        url=codes.url(address, piece.code),
        sign=sign,
        sign_name=sign_name,
        place=place,
        outline=outline,
        stock=material,
        attempt=piece.attempt,
        tabs=piece.tabs,
    )


def _goes_to(piece: sheets.OnSheet) -> tuple[Message | str, str, Message | str]:
    """Return (sign, its name, the place on it) of a piece as its label says them."""
    if piece.part is None or piece.level is None or piece.number is None or piece.is_spare:
        return wording.spare(), "", ""
    place = piece_wording.place(piece.level, piece.number)
    if piece.name and piece.name != f"no. {piece.number}":
        place = piece_wording.named_place(piece.level, piece.number, piece.name)
    return f"{piece.job} {piece.sign_mark}", piece.sign_name or "", place


def piece_labels(db: Connection, some: Sequence[str], address: str) -> list[Label]:
    """Return the labels of single pieces. Raises Refused where one is on no sheet yet."""
    labels = []
    for code in some:
        piece = pieces.by_code(db, code)
        if piece.sheet is None:
            raise Refused(wording.not_on_a_sheet(code))
        labels += [label for label in sheet_labels(db, piece.sheet, address) if label.code == code]
    return labels


def _relabelled(db: Connection, act: int, address: str) -> list[Label]:
    """Return the labels of pieces that an act gave another place, if they are on a sheet or off it. Raises NotFound."""
    named = ledger.entry(db, act).answer["data"].get("relabel", [])
    return piece_labels(
        db, [code for code in named if pieces.by_code(db, code).sheet is not None], address
    )


def _blank_label(db: Connection, code: str, address: str) -> ThingLabel:
    blank = stock.blank_by_code(db, code)
    size = wording.size_mm(f"{blank.length_mm:g}", f"{blank.width_mm:g}")
    title = wording.offcut() if blank.is_offcut else wording.full_sheet()
    lines = (stock.stock(db, blank.stock).called, size)
    return ThingLabel(code, codes.url(address, code), title, lines)


def _sign_label(db: Connection, code: str, address: str) -> ThingLabel:
    sign = jobs.sign_by_code(db, code)
    lines = (sign.name, sign.customer, wording.due(sign.due))
    return ThingLabel(code, codes.url(address, code), sign.called, lines)


def _tray_label(db: Connection, code: str, address: str) -> ThingLabel:
    """Return the label of a tray: its own name, and on a bag how many pieces are in it, and for which signs."""
    tray = tray_store.by_code(db, code)
    held = tray_store.lying_in(db, tray.id) if tray.kind == "bag" else []
    signs = list(dict.fromkeys(piece.sign_called or tray_wording.spares() for piece in held))
    lines = (tray_wording.held(len(held), tray_wording.some_of(signs)),) if held else ()
    return ThingLabel(code, codes.url(address, code), tray.title, lines)
