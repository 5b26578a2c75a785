"""Labelled things other than pieces: a sheet, a sign, a tray, a full sheet or an offcut; and the path of its page."""

from __future__ import annotations

from flask import url_for

from ..domain.errors import Refused
from ..store import codes as code_store
from ..store import jobs, sheets, stock, trays
from ..store.db import Connection
from ..wording import pieces as wording
from ..wording.message import Message, as_message


def thing(db: Connection, kind: str, code: str) -> tuple[Message, str]:
    """Return what people call a thing that is no piece, and the path of its page."""
    if kind == "sheet":
        number = sheets.sheet_by_code(db, code).number
        return wording.sheet(number), url_for("sheets.sheet", code=code)
    if kind == "sign":
        return wording.sign(jobs.sign_by_code(db, code).called), url_for("bench.sign", code=code)
    if kind == "tray":
        return as_message(trays.by_code(db, code).called), url_for("trays.tray", code=code)
    blank = stock.blank_by_code(db, code)
    called = wording.offcut_of if blank.is_offcut else wording.full_sheet_of
    return called(stock.stock(db, blank.stock).called), url_for("stock.blank", code=code)


def must_be_piece(db: Connection, code: str) -> None:
    """Raises NotFound for an unknown or withdrawn label, Refused for one that is on something else."""
    kind = code_store.kind_of(db, code)
    if kind != "piece":
        name, _ = thing(db, kind, code)
        raise Refused(wording.not_a_piece(code, name))
