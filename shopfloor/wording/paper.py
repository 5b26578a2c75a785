"""What is printed and not on a screen: words of the setup sheet's drawings, and of paper at full size."""

from __future__ import annotations

from .message import Figure, Length, message, ngettext
from .message import gettext as _

# Drawings of a nest. ----------------------------------------------------------------------------


@message
def used(used: Length) -> str:
    return _("used {used}")


@message
def length(length: Length) -> str:
    return "{length}"


@message
def used_part(scale: str, is_turned: bool) -> str:
    if is_turned:
        return _("The used part, larger. Scale {scale}, turned a quarter to the left.")
    return _("The used part, larger. Scale {scale}.")


@message
def part_of_used_part(
    number: int, count: int, start: Figure, end: Length, side: str, scale: str, is_turned: bool
) -> str:
    match side, is_turned:
        case "length", False:
            return _(
                "The used part, larger, {number} of {count}: from {start} to {end} of the sheet's "
                "length. Scale {scale}."
            )
        case "length", True:
            return _(
                "The used part, larger, {number} of {count}: from {start} to {end} of the sheet's "
                "length. Scale {scale}, turned a quarter to the left."
            )
        case "width", False:
            return _(
                "The used part, larger, {number} of {count}: from {start} to {end} of the sheet's "
                "width. Scale {scale}."
            )
    return _(
        "The used part, larger, {number} of {count}: from {start} to {end} of the sheet's width. "
        "Scale {scale}, turned a quarter to the left."
    )


@message
def small_pieces_are_on_the_next(pages: int) -> str:
    return ngettext(
        "Small pieces are drawn in outline only: their marks and numbers are on the next page.",
        "Small pieces are drawn in outline only: their marks and numbers are on the next {pages} pages.",
        pages,
    )


@message
def used_figure(used: str) -> str:
    return _("used {used}")


@message
def offcut_figures(length: str, width: str) -> str:
    return _("offcut {length} × {width}")
