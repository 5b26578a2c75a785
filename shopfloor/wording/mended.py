"""What is said after a drawing was read: what was mended in it, and what was left out.

Refusals, and what outlines and elements are called (`what`), are in `reading`.
"""

from __future__ import annotations

from .message import Number, message
from .message import gettext as _
from .reading import Hundredths, Tenths, What

# What was mended. -----------------------------------------------------------------------------------


@message
def damaged_file() -> str:
    return _("The file is damaged and only partly read. Check every outline and size.")


@message
def gap_closed(what: What, gap: Hundredths, x: Tenths, y: Tenths) -> str:
    return _("The outline {what} had a gap of {gap} mm at {x}, {y} mm. It was closed.")


@message
def closed_by_a_line(what: What, gap: Tenths, x: Tenths, y: Tenths) -> str:
    return _("The outline {what} is open by {gap} mm at {x}, {y} mm. A straight line closed it.")


@message
def drawn_again(what: What, count: int) -> str:
    if count == 2:
        return _("The outline {what} is drawn twice in one place. One was kept.")
    return _("The outline {what} is drawn {count} times in one place. One was kept.")


@message
def line_on_an_outline(what: What, x: Tenths, y: Tenths) -> str:
    return _("A line {what} at {x}, {y} mm lies on an outline. The line was dropped.")


@message
def lines_overlap(layer: str, x: Tenths, y: Tenths) -> str:
    return _("Lines on layer '{layer}' overlap near {x}, {y} mm. They were read as one.")


@message
def lines_meet(what: What, x: Tenths, y: Tenths, count: int) -> str:
    if count == 1:
        return _(
            "Lines {what} meet between their ends at {x}, {y} mm. They were read as one outline."
        )
    return _(
        "Lines {what} meet between their ends at {x}, {y} mm. They were read as {count} outlines, one for each closed cell."
    )


@message
def crosses_itself(what: What, x: Tenths, y: Tenths, kind: str, smallest_loop: Number) -> str:
    match kind:
        case "split":
            return _(
                "The outline {what} crosses itself at {x}, {y} mm. It was split into its areas there."
            )
        case "loop":
            return _(
                "The outline {what} crosses itself at {x}, {y} mm. A loop under {smallest_loop} mm² was dropped."
            )
        case _tangle:
            return _(
                "The outline {what} crosses itself at {x}, {y} mm. It is tangled: check how it was "
                "read."
            )


@message
def layers_share_a_colour(first: str, layer: str, colour: str, shown: str) -> str:
    return _(
        "Layers '{first}' and '{layer}' have the same colour ({colour}). '{layer}' is "
        "shown as {shown}, so that each keeps its own material."
    )


@message
def reaches_beyond(what: What, frame: What) -> str:
    return _(
        "The outline {what} reaches beyond the frame of {frame}, which would cut it off. It was read whole."
    )


@message
def outline_half_opaque(what: What, opacity: Number, colour: str) -> str:
    return _(
        "The outline {what} is see-through ({opacity} % opaque). It was read as plain {colour}."
    )


@message
def element_half_opaque(what: What, opacity: Number) -> str:
    return _("The element {what} is see-through ({opacity} % opaque). It was read as solid.")


@message
def odd_hole(what: What) -> str:
    return _(
        "The outline {what} has a colour of its own, but its layer makes it a hole. If it is a "
        "part, put it on its own layer."
    )


# What was left out. ---------------------------------------------------------------------------------


@message
def more_like_the_last(count: int) -> str:
    return _("{count} more like the last one.")


@message
def encloses_nothing(what: What) -> str:
    return _("The outline {what} encloses no area and was left out.")


@message
def line_left_out(what: What) -> str:
    return _("The line {what} was left out. A line encloses nothing.")


@message
def lone_line_left_out(what: What, x: Tenths, y: Tenths) -> str:
    return _("A line on its own {what} at {x}, {y} mm was left out. A line encloses nothing.")


@message
def contour_left_out(what: What) -> str:
    return _("The stroke {what} repeats a filled outline. It was left out.")


@message
def paint_left_out(what: What, paint: str, value: str) -> str:
    if paint == "fill":
        return _("The outline {what} was left out. Its fill is {value}, not a plain colour.")
    return _("The outline {what} was left out. Its stroke is {value}, not a plain colour.")


@message
def picture_left_out(what: What, kind: str) -> str:
    return _("The {kind} {what} was left out. Only outlines are read.")


@message
def clone_of_nothing(what: What, target: str) -> str:
    return _("The clone {what} points to nothing ('{target}') and was left out.")


@message
def hidden_left_out(what: What, kind: str) -> str:
    match kind:
        case "layer":
            return _("The hidden layer {what} was left out.")
        case "element":
            return _("The hidden element {what} was left out.")
        case _group:
            return _("The hidden group {what} was left out.")


@message
def hidden_outlines(count: int = 0) -> str:
    return _("Hidden outlines were left out: {count}.")


@message
def clip_left_out(what: What, kind: str) -> str:
    if kind == "mask":
        return _("The mask on the element {what} was left out. Its outlines are read whole.")
    return _("The clip path on the element {what} was left out. Its outlines are read whole.")


@message
def style_left_out(selector: str) -> str:
    return _("The style rule '{selector}' cannot be read and was left out.")


@message
def tiny_areas(smallest: Number, count: int = 0) -> str:
    return _("Areas under {smallest} mm² were left out: {count}. Check the drawing's scale.")


@message
def stray_bits(longest: Number, count: int = 0) -> str:
    return _("Bits shorter than {longest} mm were left out: {count}.")


@message
def on_paper_sheet(layout: str, count: int = 0) -> str:
    return _("Left out on the layout '{layout}': {count}.")


@message
def invisible(layer: str, count: int = 0) -> str:
    return _("Left out on layer '{layer}', because they are invisible: {count}.")


@message
def layer_left_out(layer: str, why: str, count: int = 0) -> str:
    match why:
        case "frozen":
            return _("Layer '{layer}' is frozen and was left out. Entities on it: {count}.")
        case "off":
            return _("Layer '{layer}' is off and was left out. Entities on it: {count}.")
        case _other:
            return _("Layer '{layer}' is {why} and was left out. Entities on it: {count}.")


@message
def missing_block(block: str, count: int = 0) -> str:
    return _("A copy of the block '{block}', which is not in the file, was left out: {count}.")


@message
def outside_block(block: str, count: int = 0) -> str:
    return _("The block '{block}' is in another file and was left out: {count}.")


@message
def text_left_out(words: str) -> str:
    return _('The text "{words}" was left out. Draw its letters as outlines if they are to be cut.')


@message
def entities_left_out(layer: str, kind: str, count: int = 0) -> str:
    return _("Left out on layer '{layer}', because only outlines are read: {count} × {kind}.")
