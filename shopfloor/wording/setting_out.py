"""Setting out: lines of letters, where to measure from, what was measured, a piece scanned into its place."""

from __future__ import annotations

from .message import Code, FineLength, Length, Message, Messages, Number, message
from .message import gettext as _

# Where figures are measured from. ---------------------------------------------------------------


@message
def datum(code: str) -> str:
    """A datum as a label; `code` is its stored word."""
    return _("Centre line") if code == "centre line" else _("Left edge")


@message
def no_such_datum() -> str:
    return _("Measure from the left edge or the centre line. Choose one of the two.")


@message
def rule_mm() -> str:
    return _("Figures in mm. Measure from:")


@message
def rule_inches(denominator: int) -> str:
    return _("Figures in inches to 1/{denominator}. Measure from:")


# A line of letters. -----------------------------------------------------------------------------


@message
def line(number: int, heading: Message) -> str:
    return _("Line {number}: {heading}")


@message
def level_line(height: Length, baseline: Length) -> str:
    return _("{height} high, baseline {baseline} above the lower edge")


@message
def arc_line(height: Length, radius: Length, is_arched_up: bool) -> str:
    if is_arched_up:
        return _("{height} high, on an arc curving up, radius {radius}")
    return _("{height} high, on an arc curving down, radius {radius}")


@message
def slanted_line(height: Length, degrees: Number) -> str:
    return _("{height} high, on a line at {degrees}° to the sign's lower edge")


@message
def figures_begin(x: Length, y: Length, is_arc: bool) -> str:
    if is_arc:
        return _(
            "Figures run along the arc from under the left edge of the first letter. "
            "That point is {x} from the sign's left edge and {y} above its lower edge."
        )
    return _(
        "Figures run along the line from under the left edge of the first letter. "
        "That point is {x} from the sign's left edge and {y} above its lower edge."
    )


@message
def allowed(error: FineLength) -> str:
    """The tolerance of a line."""
    return _("may be {error} off")


# Why a letter's foot is not on the baseline. ----------------------------------------------------


@message
def dips_by_design(below: FineLength) -> str:
    return _("{below} below the line by design: leave it")


@message
def descends(below: FineLength) -> str:
    return _("goes {below} below the line")


@message
def floats(above: FineLength) -> str:
    return _("foot {above} above the line")


# The two distances of a measuring. --------------------------------------------------------------


@message
def left_from_left_edge() -> str:
    return _("Left edge from the sign's left edge")


@message
def left_from_centre_line(is_left: bool) -> str:
    if is_left:
        return _("Left edge, left of the centre line")
    return _("Left edge, right of the centre line")


@message
def left_along_curve(is_arc: bool) -> str:
    if is_arc:
        return _("Left edge, along the arc from under the first letter's left edge")
    return _("Left edge, along the line from under the first letter's left edge")


@message
def foot_above_lower_edge() -> str:
    return _("Foot above the sign's lower edge")


@message
def foot_above_line() -> str:
    return _("Foot above the line (below it: minus)")


# What was measured. -----------------------------------------------------------------------------


@message
def move(error: FineLength, direction: str) -> str:
    """How far off a letter is and which way to move it; `direction` is a code of `domain.setting_out.placement`."""
    return {
        "right": _("{error} too far right: move it left."),
        "left": _("{error} too far left: move it right."),
        "high": _("{error} too high: move it down."),
        "low": _("{error} too low: move it up."),
        "on": _("{error} too far along the line: move it back."),
        "back": _("{error} not far enough along the line: move it on."),
        "above": _("{error} too far above its line: move it down to it."),
        "below": _("{error} too far below its line: move it up to it."),
    }[direction]


@message
def ok(error: FineLength, allowed: FineLength) -> str:
    return _("OK: {error} off, {allowed} allowed.")


@message
def ok_nothing_off() -> str:
    return _("OK: no difference on the rule.")


@message
def error(error: FineLength, direction: str) -> str:
    """The same in short, for a row of a list."""
    return {
        "right": _("{error} right"),
        "left": _("{error} left"),
        "on": _("{error} too far on"),
        "back": _("{error} too far back"),
        "high": _("{error} high"),
        "above": _("{error} high"),
        "low": _("{error} low"),
        "below": _("{error} low"),
    }[direction]


@message
def measured(errors: Messages) -> str:
    """What was measured within the tolerance."""
    return _("measured: {errors}") if errors else _("measured: nothing off")


@message
def nothing_measured() -> str:
    return _("Nothing was measured. Type one of the two distances, or both.")


@message
def off_the_sign() -> str:
    return _("That is off the sign. Measure it again.")


@message
def part_verdict(part: Message, verdict: Message) -> str:
    return _("{part}: {verdict}")


# Scanned into place. ----------------------------------------------------------------------------


@message
def of_another_level(piece: Code, place: Message) -> str:
    return _("{piece} is {place} of this sign. Put it aside until that level.")


@message
def of_another_sign(piece: Code, sign: str, place: Message) -> str:
    return _("{piece} is for another sign, {sign}, {place}. Put it with that sign.")


@message
def marked_gone(piece: Code, state: str, recut: Code | None = None) -> str:
    if recut is None:
        return _("{piece} is marked {state}. If it can be used, mark it “Found” first.")
    return _(
        "{piece} is marked {state}, and its recut is {recut}. If it can be used, mark "
        "it “Found” first."
    )


@message
def not_needed(piece: Code) -> str:
    return _("{piece} is not needed by any sign. Put it aside.")


@message
def spare(piece: Code) -> str:
    return _("{piece} is a spare. Put it back with the spares.")


@message
def not_in_this_line() -> str:
    return _("That part is not in this line. Reload the page.")


@message
def in_no_line() -> str:
    return _("That part is in no line of this level. Reload the page.")
