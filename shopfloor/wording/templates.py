"""What is printed at full size: tape strips, placement and drilling templates, and how their sheets are joined."""

from __future__ import annotations

from .message import (
    Figure,
    FineLength,
    Length,
    Message,
    message,
    ngettext,
)
from .message import gettext as _

# Strips. -----------------------------------------------------------------------------


@message
def strip_title(sign: str, level: int, line: int, lines: int, letters: str) -> str:
    if letters:
        return _("{sign}: tape strip, level {level}, line {line} of {lines}, “{letters}”")
    return _("{sign}: tape strip, level {level}, line {line} of {lines}")


@message
def numbered(number: int) -> str:
    return _("no. {number}")


@message
def letter(name: str, number: int) -> str:
    return _("“{name}” (no. {number})")


@message
def zero_on_sign(datum: str) -> str:
    """`datum` is its stored word."""
    match datum:
        case "left edge":
            return _("left edge of the sign")
        case "centre line":
            return _("centre line of the sign")
    raise ValueError(f"no such datum: {datum}")


@message
def zero_at_foot(letter: Message) -> str:
    return _("foot of {letter}")


@message
def zero_is(zero: Message) -> str:
    return _("0 = {zero}")


@message
def figures_from(zero: Message, is_along_the_line: bool) -> str:
    if is_along_the_line:
        return _("figures from the {zero}, along the line")
    return _("figures from the {zero}")


@message
def baseline_height(height: Length, is_foot: bool) -> str:
    if is_foot:
        return _("that foot is {height} above the lower edge")
    return _("baseline {height} above the lower edge")


@message
def strip_heading(letters: Message, units: str, zero: Message, is_along_the_line: bool) -> str:
    match units, is_along_the_line:
        case "in", True:
            return _("Letters {letters}. Figures in inches from the {zero}, along the line.")
        case "in", False:
            return _("Letters {letters}. Figures in inches from the {zero}.")
        case "mm", True:
            return _("Letters {letters}. Figures in millimetres from the {zero}, along the line.")
    return _("Letters {letters}. Figures in millimetres from the {zero}.")


@message
def strip_reminder(zero: Message, is_along_the_line: bool, height: Message) -> str:
    if is_along_the_line:
        return _("Figures from the {zero}, along the line; {height}. Cut along the heavy line.")
    return _("Figures from the {zero}; {height}. Cut along the heavy line.")


@message
def strip_use(is_curved: bool) -> str:
    if is_curved:
        return _(
            "Cut along the heavy line and tape the strip down below it: the cut edge follows the "
            "baseline, which curves."
        )
    return _(
        "Cut along the heavy line and tape the strip down below it: the cut edge is the baseline."
    )


@message
def strip_marks_use() -> str:
    return _(
        "Set each letter between its two marks, left and right; the longer mark is its centre. "
        "Figures run from 0."
    )


@message
def strip_dips_use() -> str:
    return _("“dips”: a round letter reaches over the edge by design. Leave it.")


@message
def edge_mark(side: str, at: Figure) -> str:
    match side:
        case "left":
            return _("left {at}")
        case "right":
            return _("right {at}")
    return _("centre {at}")


@message
def named(name: str, number: int) -> str:
    return _("{name}  no. {number}")


@message
def dips(letter: Message, below: FineLength) -> str:
    return _("{letter}, dips {below}")


@message
def curve_baseline() -> str:
    return _("baseline")


@message
def over_lower_edge(height: Length) -> str:
    return _("{height} over lower edge")


@message
def curve_figures() -> str:
    return _("figures run")


@message
def along_the_line() -> str:
    return _("along the line")


@message
def curve_zero() -> str:
    return _("0 = foot of")


# Placement templates. --------------------------------------------------------------------------


@message
def template_title(sign: str, level: int) -> str:
    return _("{sign}: placement template, level {level}")


@message
def sign_size(width: Length, height: Length) -> str:
    return _("The sign is {width} wide and {height} high.")


@message
def template_use() -> str:
    return _(
        "Lay the template on the sign with its corner marks on the sign's corners, as "
        "seen from the front."
    )


@message
def template_lines() -> str:
    return _(
        "Full lines: the parts of this level, with their numbers. Grey: what is below "
        "them. Dashed: baselines and the centre line."
    )


@message
def template_reminder() -> str:
    return _("Corner marks on the sign's corners.")


@message
def centre_line() -> str:
    return _("centre line of the sign")


@message
def lower_left_corner() -> str:
    return _("lower left corner of the sign")


@message
def upper_right_corner() -> str:
    return _("upper right corner of the sign")


@message
def baseline_up(height: Length) -> str:
    return _("baseline, {height} up")


@message
def part(number: int, name: str) -> str:
    return _("{number}  {name}")


# Drilling. ---------------------------------------------------------------------------


@message
def drilling_title(sign: str) -> str:
    return _("{sign}: drilling template")


@message
def no_fixings(sign: str) -> str:
    return _("No fixings are planned for {sign}. Plan them under “Materials, fixings” first.")


@message
def lay_the_level_here() -> str:
    return _("This line is level: lay the spirit level along it.")


@message
def look_before_you_drill() -> str:
    return _("Look for hidden cables and pipes before you drill.")


@message
def drilling_caution() -> str:
    return _(
        "Caution: look for hidden cables and pipes before you drill, and wear eye "
        "protection. This is work for trained people. A large sign takes two people, "
        "and what they stand on must be fit for the work."
    )


@message
def screws(sizes: str) -> str:
    return _(
        "Screws {sizes}. Choose the plugs and the size of their holes by the wall and the "
        "plug's data sheet, not by this paper."
    )


@message
def drilling_use() -> str:
    return _(
        "Tape it to the wall with its upper line level. Crosses: screw centres. Circles and "
        "slots: the holes in the sign, which let it move with heat. Only the fixed point holds "
        "it in place."
    )


@message
def distances_from(units: str) -> str:
    if units == "in":
        return _(
            "Distances are from the sign's left edge and from its lower edge, in inches; seen from the front."
        )
    return _(
        "Distances are from the sign's left edge and from its lower edge, in millimetres; seen from the front."
    )


@message
def fixing_place(number: int, x: Figure, y: Figure) -> str:
    return _("{number}: {x} from the left, {y} up")


@message
def hole(size: str, is_fixed_point: bool) -> str:
    return _("hole {size}, fixed point") if is_fixed_point else _("hole {size}")


@message
def slot(width: str, length: str, is_fixed_point: bool) -> str:
    if is_fixed_point:
        return _("slot {width} × {length}, fixed point")
    return _("slot {width} × {length}")


# Pages and sheets. -----------------------------------------------------------------------------


@message
def nothing_to_set_out(sign: str) -> str:
    return _("{sign} has no parts. There is nothing to print.")


@message
def too_many_sheets(sheets: int) -> str:
    return _("That would be {sheets} sheets: choose one level, or one long page at a copy shop.")


@message
def full_size_title(sign: str, name: str, kind: str) -> str:
    match kind:
        case "strip":
            return _("{sign} {name}: tape strip")
        case "template":
            return _("{sign} {name}: placement template")
    return _("{sign} {name}: drilling template")


@message
def printed_on(day: str) -> str:
    return _("printed {day}")


@message
def printed_on_cover(day: str) -> str:
    return _("Printed {day}")


@message
def mark(mark: str) -> str:
    return _("mark {mark}")


@message
def print_at_full_size() -> str:
    return _(
        "Print all sheets at 100 % (actual size), not “fit to page”, and measure the test line on "
        "each before you use it."
    )


@message
def cut_and_join() -> str:
    return _(
        "Cut each sheet along the fine full lines at its left and upper edges, through the "
        "crosses. Lay it up to the dashed lines of the sheets beside and above it: two half "
        "crosses of the same name make a whole one. Glue or tape it there."
    )


@message
def longest_page(metres: str) -> str:
    return _("A PDF page is at most {metres} m long. Longer ones are split.")


@message
def what_marks_are_for() -> str:
    return _(
        "Each sheet has a revision mark. Your print is current if the Templates page shows the "
        "same mark. If not, print a new one."
    )


@message
def sheet_at(number: int, sheets: int, row: int, column: int) -> str:
    return _("sheet {number} of {sheets}: row {row}, column {column}")


@message
def one_sheet(number: int, sheets: int) -> str:
    return _("sheet {number} of {sheets}") if sheets > 1 else _("full size, one sheet")


@message
def test_line(length: str) -> str:
    return _("{length} from end to end: measure it. If it is not exactly {length},")


@message
def test_line_fails() -> str:
    return _("print again at 100 % (actual size), not “fit to page”.")


@message
def sheets(first: int, last: int) -> str:
    return _("sheet {first}") if first == last else _("sheets {first} to {last}")


@message
def map_of_sheets(drawing: str, sheets: Message, mark: str, left_out: int) -> str:
    """The heading of a map on the cover."""
    if not left_out:
        return _("{drawing}: {sheets}, mark {mark}")
    return ngettext(
        "{drawing}: {sheets}, mark {mark}; {left_out} empty one is left out",
        "{drawing}: {sheets}, mark {mark}; {left_out} empty ones are left out",
        left_out,
    )
