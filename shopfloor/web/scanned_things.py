"""What bears a label that is no piece: a sheet, a sign, a tray, a full sheet or an offcut; and the path of its page."""

from __future__ import annotations

from flask import url_for

from ..domain import codes
from ..domain.errors import Refused
from ..store import codes as code_store
from ..store import jobs, sheets, stock, trays
from ..store.db import Connection


def thing(db: Connection, kind: str, code: str) -> tuple[str, str]:
    """What people call a thing that is no piece, and the path of its page."""
    if kind == "sheet":
        return f"sheet {sheets.sheet_by_code(db, code).number}", url_for("sheets.sheet", code=code)
    if kind == "sign":
        return f"the sign {jobs.sign_by_code(db, code).called}", url_for("bench.sign", code=code)
    if kind == "tray":
        return str(trays.by_code(db, code).called), url_for("trays.tray", code=code)
    blank = stock.blank_by_code(db, code)
    word = "an offcut" if blank.is_offcut else "a full sheet"
    return f"{word} of {stock.stock(db, blank.stock).called}", url_for("stock.blank", code=code)


def must_be_piece(db: Connection, code: str) -> None:
    """Raises NotFound for an unknown or withdrawn label, Refused for one that is on something else."""
    kind = code_store.kind_of(db, code)
    if kind != "piece":
        called, _ = thing(db, kind, code)
        raise Refused(f"{codes.show(code)} is {called}, not a piece: look it up instead.")
