"""The verb `paper`: the templates of a sign at full size, as a PDF."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from .cli_sheets import written
from .domain import codes
from .wording import full_size as wording
from .wording.message import Message

if TYPE_CHECKING:  # imported late, so that `shopfloor --help` is quick
    from .actions.unit_of_work import Shop
    from .store.db import Connection


def add_paper_words(parser: argparse.ArgumentParser) -> None:
    """Add the options of `shopfloor paper`."""
    parser.add_argument("sign", nargs="+", help="J-1001 A or the sign's code")
    parser.add_argument("--what", default="strip", help="strip, template or drilling")
    parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf")
    parser.add_argument("--paper", default="a4", help="long, a4 or letter")
    parser.add_argument("--level", type=int, help="0 is the bottom (default: all that is set out)")
    parser.add_argument("--datum", default="left edge", help="'left edge' or 'centre line'")


def paper(shop: Shop, options: argparse.Namespace) -> Message:
    """Write the PDF; say where it is."""
    from .actions import full_size
    from .actions.unit_of_work import zone_of

    with shop.database.snapshot() as db:
        view = full_size.full_size_of(db, sign_code(db, " ".join(options.sign)), options.datum)
        today = shop.clock().astimezone(zone_of(db)).date()
    content = full_size.printed(view, options.what, options.paper, options.level, today)
    written(options.output, content)
    return wording.written(wording.kind(options.what), view.called, options.output)


def sign_code(db: Connection, text: str) -> str:
    """The code of a sign named as 'J-1001 A' or by its code. Raises NotFound, Refused."""
    from .store import jobs

    if named := re.fullmatch(r"J-?(\d+)[ -]([A-Z]+)", text.strip(), re.IGNORECASE):
        return jobs.sign_by_name(db, f"J-{named[1]}", named[2].upper()).code
    return codes.parse(text)
