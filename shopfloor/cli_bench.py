"""The words and the work of the verb about a sign at the bench: its full-size paper."""

from __future__ import annotations

import argparse
import re

from .cli_sheets import written
from .domain import codes
from .domain.setting_out.full_size import WHATS


def add_paper_words(parser: argparse.ArgumentParser) -> None:
    """What `shopfloor paper` may be told."""
    parser.add_argument("sign", nargs="+", help="J-1001 A or the sign's code")
    parser.add_argument("--what", default="strip", help="strip, template or drilling")
    parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf")
    parser.add_argument("--paper", default="a4", help="long, a4 or letter")
    parser.add_argument("--level", type=int, help="0 is the bottom; left out: all that is set out")
    parser.add_argument("--datum", default="left edge", help="'left edge' or 'centre line'")


def paper(shop, options) -> str:
    """Writes the paper; gives what was done."""
    from .actions import full_size
    from .actions.unit_of_work import zone_of

    with shop.database.snapshot() as db:
        it = full_size.full_size_of(db, sign_code(db, " ".join(options.sign)), options.datum)
        today = shop.clock().astimezone(zone_of(db)).date()
    content = full_size.printed(it, options.what, options.paper, options.level, today)
    written(options.output, content)
    return f"The {WHATS[options.what]} of {it.called} is in {options.output}: print it at 100 % and measure its test line."


def sign_code(db, text: str) -> str:
    """The code of the sign called 'J-1001 A' or by its code. Raises NotFound, Refused."""
    from .store import jobs

    if named := re.fullmatch(r"J-?(\d+)[ -]([A-Z]+)", text.strip(), re.IGNORECASE):
        return jobs.sign_by_name(db, f"J-{named[1]}", named[2].upper()).code
    return codes.parse(text)
