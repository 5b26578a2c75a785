"""Codes and lengths as people type them, and the address on a label."""

from __future__ import annotations

from .message import Code, message
from .message import gettext as _

# Codes. -----------------------------------------------------------------------------------------


@message
def no_code_read() -> str:
    return _("No code was read. Scan the label or type its 8 digits.")


@message
def not_a_code(text: str) -> str:
    return _("“{text}” is not a code. Scan the label or type its 8 digits.")


@message
def wrong_count_of_figures(text: str, count: int) -> str:
    return _("A code has 8 digits, not {count} as in “{text}”. Read it again.")


@message
def mistyped_digit(code: Code) -> str:
    return _("The code {code} has a mistyped digit. Read it again.")


@message
def address_does_not_fit(address: str) -> str:
    return _(
        "The address “{address}” does not fit a label. Use only letters, digits, “.”, "
        "“-” and “:”, as in 192.168.1.20:8080."
    )


# Lengths. ---------------------------------------------------------------------------------------


@message
def not_a_length(text: str, units: str) -> str:
    if units == "mm":
        return _("“{text}” is not a length in mm. Type it like 106.5 or 106,5.")
    return _("“{text}” is not a length in inches. Type it like 4 3/16, 3/4 or 4.1875.")


@message
def length_too_long(text: str) -> str:
    return _("“{text}” is more than 100 m. Type it again.")


@message
def two_readings(text: str, whole: str, decimal: str) -> str:
    return _("“{text}” could be {whole} or {decimal}. Type one of them.")
