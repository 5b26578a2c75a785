"""The options and the work of the verbs about one sheet at the router: its setup sheet, and the file for the machine."""

from __future__ import annotations

import argparse
import hashlib
import re
from pathlib import Path

from .actions.unit_of_work import Caller, Shop
from .domain import codes
from .domain.errors import Refused
from .store.db import Connection
from .wording import setup_sheets as wording


def add_setup_sheet_words(parser: argparse.ArgumentParser) -> None:
    """Add the options of `shopfloor setup-sheet`."""
    parser.add_argument("sheet", help="S-201 or the sheet's code")
    parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf")
    parser.add_argument("--paper", default="a4", help="a4 or letter")


def add_file_words(parser: argparse.ArgumentParser) -> None:
    """Add the options of `shopfloor file`."""
    parser.add_argument("sheet", help="S-201 or the sheet's code")
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="FILE.svg|FILE.dxf",
        help="the ending sets the kind: .svg or .dxf",
    )
    parser.add_argument("--by", help="who sends it to the machine (default: the owner)")


def setup_sheet(shop: Shop, options: argparse.Namespace) -> str:
    """Write the setup sheet; return what was done."""
    from .actions import setup_sheets
    from .store import settings

    with shop.database.snapshot() as db:
        made = setup_sheets.setup_sheet_of(db, sheet_code(db, options.sheet))
        shop_settings = settings.load(db)
    written(options.output, setup_sheets.printed(made, options.paper, shop_settings))
    return str(wording.is_printed(made.sheet, options.output))


def machine_file(shop: Shop, options: argparse.Namespace) -> str:
    """Write the file for the machine and record that it went there; return what was done."""
    from .actions import setup_sheets
    from .store import people

    by = people.by_named(shop.read(), options.by, "command line")
    by.must_hold(("operator",))  # first, so that no file is left about that is not recorded
    with shop.database.snapshot() as db:
        code = sheet_code(db, options.sheet)
        _, content, on = setup_sheets.file_for(
            db, code, Path(options.output).suffix.lstrip(".").lower()
        )
    written(options.output, content)
    sha256 = hashlib.sha256(content).hexdigest()
    return setup_sheets.record_file(
        Caller(shop, by), code, Path(options.output).name, sha256, setup_sheets.layout_mark(on)
    ).sentence


def sheet_code(db: Connection, text: str) -> str:
    """Return the code of the sheet called 'S-201' or by its code. Raises NotFound, Refused."""
    from .store import sheets

    if named := re.fullmatch(r"S-?(\d+)", text.strip(), re.IGNORECASE):
        return sheets.sheet_by_number(db, named[1]).code
    return sheets.sheet_by_code(db, codes.parse(text)).code


def written(name: str, content: bytes) -> None:
    """Write a file. Raises Refused where that cannot be."""
    try:
        Path(name).write_bytes(content)
    except OSError:
        raise Refused(wording.cannot_be_written(name)) from None
