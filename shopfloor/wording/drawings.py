"""What is found in a drawing before it is cut, and what is asked about it.

Sizes in findings are millimetres, rounded where they are found: a drawing is read in millimetres.
"""

from __future__ import annotations

from .message import Figure, Length, Message, Messages, Number, Percent, message, ngettext
from .message import gettext as _

# What findings call a part. ---------------------------------------------------------------------


@message
def part(number: int, name: str) -> str:
    return _("'{name}' (no. {number})") if name else _("Part {number}")


@message
def two_parts(first: Message, second: Message) -> str:
    return _("{first} and {second}")


@message
def of_sign(what: Message, sign: str) -> str:
    return _("{what} of sign '{sign}'")


@message
def of_sign_number(what: Message, number: int) -> str:
    return _("{what} of sign {number}")


@message
def and_parts_like_it(what: Message, count: int) -> str:
    return ngettext("{what} (and {count} like it)", "{what} (and {count} like it)", count)


@message
def and_pairs_like_them(what: Message, count: int) -> str:
    return ngettext(
        "{what} (and {count} pair like them)", "{what} (and {count} pairs like them)", count
    )


# Preflight. -------------------------------------------------------------------------------------


@message
def too_large(
    what: Message,
    width: float,
    height: float,
    turns: str,
    *,
    sheet: str,
    sheet_length: float,
    sheet_width: float,
    margin: float,
) -> str:
    match turns:
        case "180":
            return _(
                "{what} measures {width} × {height} mm. Kept along the grain, it does not fit a sheet "
                "of {sheet}, {sheet_length} × {sheet_width} mm less a margin of {margin} mm. Split it "
                "or choose a larger sheet."
            )
        case "none":
            return _(
                "{what} measures {width} × {height} mm. Without turning, it does not fit a sheet of "
                "{sheet}, {sheet_length} × {sheet_width} mm less a margin of {margin} mm. Split it or "
                "choose a larger sheet."
            )
    return _(
        "{what} measures {width} × {height} mm. It does not fit a sheet of {sheet}, "
        "{sheet_length} × {sheet_width} mm less a margin of {margin} mm. Split it or choose a "
        "larger sheet."
    )


@message
def shapes_not_checked(count: int, tool: float) -> str:
    return ngettext(
        "The drawing has very many points. {count} more shape was not checked against the {tool} mm cutter.",
        "The drawing has very many points. {count} more shapes were not checked against the {tool} mm cutter.",
        count,
    )


@message
def too_many_points(what: Message, points: int, tool: float) -> str:
    return _(
        "{what} has {points} points and was not checked against the {tool} mm cutter. "
        "Simplify its outline."
    )


@message
def narrow(what: Message, width: float, places: int, area: float, tool: float) -> str:
    return ngettext(
        "{what} is about {width} mm wide in {places} place, {area} mm² in all, narrower than "
        "the {tool} mm cutter. Make it wider, or treat the piece as fragile.",
        "{what} is about {width} mm wide in {places} places, {area} mm² in all, narrower than "
        "the {tool} mm cutter. Make it wider, or treat the piece as fragile.",
        places,
    )


@message
def closed_holes(what: Message, holes: int, area: float, tool: float) -> str:
    return ngettext(
        "{what} has {holes} hole that the {tool} mm cutter cannot enter: {area} mm² of "
        "material stays there. Make the hole wider or choose a smaller cutter.",
        "{what} has {holes} holes that the {tool} mm cutter cannot enter: {area} mm² "
        "of material stays there. Make the holes wider or choose a smaller cutter.",
        holes,
    )


@message
def unreached_corners(what: Message, corners: int, area: float, tool: float) -> str:
    return ngettext(
        "{what} has {corners} inside corner that the {tool} mm cutter cannot reach: "
        "{area} mm² of material stays there. File it out, or round the corner in the "
        "drawing.",
        "{what} has {corners} inside corners that the {tool} mm cutter cannot reach: "
        "{area} mm² of material stays there. File it out, or round the corners in the "
        "drawing.",
        corners,
    )


@message
def near(what: Message, gap: float, least: float) -> str:
    return _(
        "{what} are {gap} mm apart, less than {least} mm. Move them apart, or draw them as one."
    )


@message
def touching(what: Message) -> str:
    return _("{what} touch each other. Move them apart, or draw them as one.")


@message
def overlap(what: Message, area: float) -> str:
    return _(
        "{what} overlap by {area} mm² on one level. Move them apart, or put one fully on the other."
    )


@message
def overhang(what: Message, share: Percent, area: float) -> str:
    return _(
        "{what} overhangs what is under it by {share} of its area, {area} mm². Check its "
        "position, or put a part under it."
    )


@message
def will_not_hold(count: int, sheet: str, smallest: Message, area: float, vacuum: Number) -> str:
    return ngettext(
        "{count} part of {sheet} will not hold on a vacuum of {vacuum} inHg alone, not "
        "even with an onion skin ({smallest}, {area} mm²). Use tabs or tape, and "
        "follow the machine's manual.",
        "{count} parts of {sheet} will not hold on a vacuum of {vacuum} inHg alone, "
        "not even with an onion skin (smallest: {smallest}, {area} mm²). Use tabs or "
        "tape, and follow the machine's manual.",
        count,
    )


# The scale of a drawing. ------------------------------------------------------------------------


@message
def sign_too_large(name: str, width: float, height: float) -> str:
    if name:
        return _(
            "Sign '{name}' of {width} × {height} mm is too large for one sign. Check the "
            "drawing's units."
        )
    return _(
        "A sign of {width} × {height} mm is too large for one sign. Check the drawing's units."
    )


@message
def sign_too_small(name: str, width: float, height: float) -> str:
    if name:
        return _(
            "Sign '{name}' of {width} × {height} mm is too small to rout. Check the "
            "drawing's units."
        )
    return _("A sign of {width} × {height} mm is too small to rout. Check the drawing's units.")


@message
def letters_too_small(
    name: str, width: float, height: float, letter: float, small: int, count: int
) -> str:
    if name:
        return _(
            "Sign '{name}' of {width} × {height} mm has letters of {letter} mm; {small} of {count} parts are that "
            "small. Check the drawing's units."
        )
    return _(
        "A sign of {width} × {height} mm has letters of {letter} mm; {small} of {count} parts are that small. "
        "Check the drawing's units."
    )


@message
def if_units_slipped(taken: Message, width: float, height: float) -> str:
    return _("If {taken}, the right size is {width} × {height} mm.")


@message
def taken_for(meant: str, taken: str) -> str:
    slips = {
        ("in", "mm"): _("inches were taken for millimetres"),
        ("cm", "mm"): _("centimetres were taken for millimetres"),
        ("mm", "cm"): _("millimetres were taken for centimetres"),
        ("mm", "in"): _("millimetres were taken for inches"),
        ("px", "mm"): _("pixels of 1/96 inch were taken for millimetres"),
        ("pt", "mm"): _("points of 1/72 inch were taken for millimetres"),
        ("mm", "px"): _("millimetres were taken for pixels of 1/96 inch"),
        ("mm", "pt"): _("millimetres were taken for points of 1/72 inch"),
        ("m", "mm"): _("metres were taken for millimetres"),
        ("mm", "m"): _("millimetres were taken for metres"),
    }
    return slips[meant, taken]


# Headings of the findings, by their kind. -------------------------------------------------------


@message
def heading(kind: str) -> str:
    headings = {
        "too large": _("Larger than the sheet"),
        "scale": _("The scale looks wrong"),
        "units": _("Units"),
        "damaged": _("The file is damaged"),
        "overlap": _("Overlapping parts"),
        "overhang": _("Overhangs"),
        "crossing": _("Crossing lines mended"),
        "gap": _("Gaps closed"),
        "double": _("Drawn twice"),
        "near": _("Too close together"),
        "will not hold": _("Will not hold on the table"),
        "narrow": _("Narrower than the cutter"),
        "corner": _("Cutter cannot get in"),
        "tiny": _("Specks, left out"),
        "stray": _("Stray bits, left out"),
        "empty": _("Empty outlines, left out"),
        "line": _("Lines, left out"),
        "hidden": _("Hidden, left out"),
        "layer": _("Layers, left out"),
        "picture": _("Pictures, left out"),
        "paint": _("Fills and strokes"),
    }
    return headings.get(kind, kind.capitalize())


@message
def on_sign(mark: str) -> str:
    return _("sign {mark}")


# Questions about a drawing. ---------------------------------------------------------------------


@message
def size(width: Figure, height: Length) -> str:
    return _("{width} × {height}")


@message
def size_in_metres(width: Number, height: Number) -> str:
    return _("{width} × {height} m")


@message
def unit_word(unit: str) -> str:
    words = {
        "mm": _("millimetres"),
        "cm": _("centimetres"),
        "in": _("inches"),
        "m": _("metres"),
        "px": _("pixels"),
    }
    return words[unit]


@message
def which_unit() -> str:
    return _("The drawing has no unit. What was it drawn in?")


@message
def one_material_or_two(colours: Messages) -> str:
    return _(
        "The drawing has two or more shades of {colours} that look alike. Are they one material?"
    )


@message
def one_material() -> str:
    return _("One material")


@message
def cut_from_one_sheet() -> str:
    return _("cut from the same sheet")


@message
def different_materials() -> str:
    return _("Different materials")


@message
def keep_apart() -> str:
    return _("keep them apart")


@message
def loose_sign(mark: str, name: str, width: Figure, height: Length) -> str:
    if name:
        return _("Sign {mark}, '{name}' ({width} × {height}), is not on any panel. What is it?")
    return _("Sign {mark}, a part of {width} × {height}, is not on any panel. What is it?")


@message
def all_loose_signs(count: int) -> str:
    return _("All {count} parts that are not on any panel: what are they?")


@message
def sign_of_its_own() -> str:
    return _("A separate sign")


@message
def signs_of_their_own() -> str:
    return _("Separate signs")


@message
def part_of_sign(mark: str) -> str:
    return _("Part of sign {mark}")


@message
def drawn_by_mistake() -> str:
    return _("Drawn by mistake")


@message
def leave_out(count: int) -> str:
    return ngettext("leave it out", "leave them out", count)


@message
def loose_part(name: str, width: Figure, height: Length) -> str:
    if name:
        return _("'{name}' ({width} × {height})")
    return _("a part of {width} × {height}")


@message
def and_more(count: int) -> str:
    return _("{count} more")


@message
def say_the_unit_first() -> str:
    return _("The drawing has no unit. First choose what it was drawn in.")


@message
def say_what_is_loose_first(parts: Messages, count: int) -> str:
    return ngettext(
        "This part is not on any panel: {parts}. First choose what it is.",
        "These parts are not on any panel: {parts}. First choose what they are.",
        count,
    )


# Refusals. --------------------------------------------------------------------------------------


@message
def no_outline() -> str:
    return _("There is no outline in this drawing. Draw the parts as filled or closed outlines.")


@message
def drawing_gone() -> str:
    return _("This drawing is no longer here. Upload it again.")


@message
def choose_a_drawing() -> str:
    return _("Choose a drawing first: SVG or DXF, full size.")


@message
def choose_an_offered_unit() -> str:
    return _("Choose one of the units offered.")


@message
def no_sign_to_join(number: int, signs: int) -> str:
    return _(
        "There is no sign {number} to join. The drawing has {signs} signs; choose one of them."
    )


@message
def no_sign_to_leave_out(number: int, signs: int) -> str:
    return _(
        "There is no sign {number} to leave out. The drawing has {signs} signs; choose one of them."
    )


@message
def all_left_out() -> str:
    return _("All signs of this drawing are left out. Put one back.")


@message
def answers_not_ours() -> str:
    return _("This page does not match the drawing. Upload the drawing again.")


@message
def read_in_another_unit() -> str:
    return _(
        "Somebody has just read this drawing in another unit. Reload the page and check its size."
    )
