"""Codes: the eight figures on everything that bears a label, and how people and scanners write them.

Owns the check digit, the way a code is shown, and the address that a label's QR holds. Must not look anything up,
nor draw random numbers: the caller brings the number.
"""

from __future__ import annotations

import re

from .errors import Refused

LENGTH = 8
NUMBERS = 10_000_000  # seven figures are free, the eighth checks them

_GAPS = re.compile(r"[\s\-\u2010-\u2015]+")
# What a label's QR says. A scanner set to another country's keyboard types "-" for "/": taken as well.
_ADDRESS = re.compile(r"(?:.*[/\-])?p[/\-](?P<code>[^/?#]*?)[/\-]?", re.IGNORECASE | re.DOTALL)
# What an address (host, port) may hold of the alphanumeric set of a QR symbol, ISO/IEC 18004.
_HOST = re.compile(r"[0-9A-Za-z.:\-]+")


def check_digit(figures: str) -> str:
    """The check digit of a run of figures, by ISO/IEC 7064 MOD 11,10.

    It catches every single wrong figure and about 98 in 100 swaps of two neighbours.
    """
    product = 10
    for figure in figures:
        total = (product + int(figure)) % 10 or 10
        product = total * 2 % 11
    return str((11 - product) % 10)


def make(number: int) -> str:
    """The code of a number from 0 to 9,999,999: its seven figures and their check digit."""
    if not 0 <= number < NUMBERS:
        raise ValueError(f"a code is made of a number from 0 to {NUMBERS - 1}")
    seven = f"{number:07d}"
    return seven + check_digit(seven)


def parse(text: str) -> str:
    """The eight figures in what a thumb or a scanner gave: '4072 9153', '4072-9153' or the address on a label.

    Raises Refused, before any look-up, where it is no code or its check digit does not fit.
    """
    said = text.strip()
    address = _ADDRESS.fullmatch(said)
    code = _GAPS.sub("", address["code"] if address else said)
    if not code:
        raise Refused("No code was read: scan the label or type its 8 figures.")
    if not (code.isascii() and code.isdigit()):
        raise Refused(f"'{_short(said)}' is not a code: scan the label or type its 8 figures.")
    if len(code) != LENGTH:
        raise Refused(
            f"A code has 8 figures, and '{_short(code)}' has {len(code)}: read it once more."
        )
    if check_digit(code[:-1]) != code[-1]:
        raise Refused(f"The code {show(code)} has a mistyped digit: read it once more.")
    return code


def show(code: str) -> str:
    """The code as people read it: '4072 9153'."""
    return f"{code[:4]} {code[4:]}"


def url(address: str, code: str) -> str:
    """What a label's QR holds: 'HTTP://ADDRESS/P/40729153', capitals only, so that the symbol stays small.

    `address` is the shop's host, with its port where it has one. Raises Refused where it holds characters that
    would take the symbol out of its alphanumeric mode, or that no host has.
    """
    if not _HOST.fullmatch(address):
        raise Refused(
            f"The address '{_short(address)}' does not fit a label: use letters, figures, '.', '-' and ':' only, "
            "as in 192.168.1.20:8080."
        )
    return f"HTTP://{address.upper()}/P/{code}"


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 24 else line[:23] + "…"
