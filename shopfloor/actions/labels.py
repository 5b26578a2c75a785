"""Labels for what lies about: those of a sheet's pieces, in walking order, of a job's, of one thing. Reads only."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..domain import codes
from ..domain.bench import trays
from ..domain.errors import Conflict, Refused
from ..paper.labels import Label, ThingLabel, print_labels
from ..store import codes as code_store
from ..store import jobs, ledger, pieces, settings, sheets, stock
from ..store import outlines as outline_store
from ..store import trays as tray_store
from ..store.db import Connection
from .unit_of_work import Shop


def labels_of(
    shop: Shop, thing: str, layout: str, address: str | None = None, *, skip: int = 0
) -> tuple[bytes, int]:
    """(PDF, how many labels) for a job 'J-1001', a sheet 'S-201', the pieces that 'act 57' gave another place, or whatever
    bears the code `thing`.

    `address` stands in where the shop has not set its own; `skip` is how many labels of the first page are peeled off.
    Raises NotFound, Conflict where there is none to print, and Refused for an unknown layout.
    """
    with shop.database.snapshot() as db:
        found = found_labels(db, thing, address)
    return print_labels(found, layout, skip), len(found)


def found_labels(
    db: Connection, thing: str, address: str | None = None
) -> list[Label | ThingLabel]:
    """The labels themselves, in the order in which they are printed; arguments and errors as of `labels_of`."""
    found = _labels(db, thing.strip(), settings.load(db, address).address)
    if not found:
        raise Conflict(f"There is no piece to label for {thing.strip()}: nest it first.")
    return found


def _labels(db: Connection, thing: str, address: str) -> list[Label | ThingLabel]:
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
    code = codes.parse(thing)
    kind = code_store.kind_of(db, code)
    if kind == "sheet":
        return sheet_labels(db, sheets.sheet_by_code(db, code).id, address)
    if kind == "blank":
        return [_blank_label(db, code, address)]
    if kind == "sign":
        return [_sign_label(db, code, address)]
    if kind == "tray":
        return [_tray_label(db, code, address)]
    return piece_labels(db, [code], address)


def sheet_labels(
    db: Connection, sheet: int, address: str, only_job: str | None = None
) -> list[Label]:
    """The labels of a sheet's pieces in walking order; with `only_job` those of one job."""
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


def _label(piece: sheets.OnSheet, outline, material: str, address: str) -> Label:
    is_spare = piece.part is None or piece.is_spare
    named = "" if is_spare or piece.name == f"no. {piece.number}" else f", '{piece.name}'"
    return Label(
        code=piece.code,
        url=codes.url(address, piece.code),
        sign="spare" if is_spare else f"{piece.job} {piece.sign_mark}",
        sign_name="" if is_spare else piece.sign_name,
        place="" if is_spare else f"level {piece.level}, no. {piece.number}{named}",
        outline=outline,
        stock=material,
        attempt=piece.attempt,
        tabs=piece.tabs,
    )


def piece_labels(db: Connection, some: Sequence[str], address: str) -> list[Label]:
    """The labels of single pieces. Raises Refused where one is on no sheet yet."""
    found = []
    for code in some:
        row = _sheet_of(db, code)
        found += [label for label in sheet_labels(db, row, address) if label.code == code]
    return found


def _relabelled(db: Connection, act: int, address: str) -> list[Label]:
    """The labels of pieces that an act gave another place, as far as they are on a sheet or off it. Raises NotFound."""
    named = ledger.entry(db, act).answer["data"].get("relabel", [])
    return piece_labels(
        db, [code for code in named if pieces.by_code(db, code).sheet is not None], address
    )


def _sheet_of(db: Connection, code: str) -> int:
    """The sheet of one piece. Raises Refused."""
    piece = pieces.by_code(db, code)
    if piece.sheet is None:
        raise Refused(f"{codes.show(code)} is on no sheet yet: nest it first.")
    return piece.sheet


def _blank_label(db: Connection, code: str, address: str) -> ThingLabel:
    blank = stock.blank_by_code(db, code)
    material = stock.stock(db, blank.stock)
    kind = "Offcut" if blank.is_offcut else "Sheet"
    lines = (material.called, f"{blank.length_mm:g} × {blank.width_mm:g} mm")
    return ThingLabel(code=code, url=codes.url(address, code), title=kind, lines=lines)


def _sign_label(db: Connection, code: str, address: str) -> ThingLabel:
    sign = jobs.sign_by_code(db, code)
    lines = (sign.name, sign.customer, f"due {sign.due}")
    return ThingLabel(code=code, url=codes.url(address, code), title=sign.called, lines=lines)


def _tray_label(db: Connection, code: str, address: str) -> ThingLabel:
    """A tray's own name; on a bag's also how many pieces are in it, and the sign that they are for: one label for all."""
    tray = tray_store.by_code(db, code)
    lines = (tray.kind,) if tray.kind not in tray.called else ()
    held = tray_store.lying_in(db, tray.id) if tray.kind == "bag" else []
    if held:
        signs = list(dict.fromkeys(one.sign_called or "spares" for one in held))
        lines += (f"{len(held)} piece{'s' if len(held) > 1 else ''}: {trays.some_of(signs)}",)
    return ThingLabel(
        code=code, url=codes.url(address, code), title=trays.start(tray.called), lines=lines
    )
