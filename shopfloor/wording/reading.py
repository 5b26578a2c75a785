"""What is said while a drawing file is read: refusals, and what outlines and elements are called.

An outline or element is named by a message of its own (`named`, `unnamed`, `on_layer` …), which the others take as `what`.
"""

from __future__ import annotations

from typing import Annotated

from .message import Message, Number, Options, message
from .message import gettext as _

Tenths = Annotated[float, "tenths"]  # of a millimetre
Hundredths = Annotated[float, "hundredths"]
What = Message | str


# What things in a drawing are called. ---------------------------------------------------------------


@message
def named(name: str) -> str:
    return _("'{name}'")


@message
def unnamed(kind: str) -> str:
    return _("without a name ({kind})")


@message
def on_layer(layer: str) -> str:
    return _("on layer '{layer}'")


@message
def on_layer_in(layer: str, inside: str) -> str:
    return _("on layer '{layer}' in '{inside}'")


@message
def entity_on_layer(entity: str, layer: str) -> str:
    return _("{entity} on layer '{layer}'")


@message
def nested_drawing(what: What) -> str:
    return _("the nested drawing {what}")


@message
def the_file() -> str:
    return _("the file")


# Files that are no drawing. -------------------------------------------------------------------------


@message
def kind_of_file(kind: str) -> str:
    match kind:
        case "pdf":
            return _("a PDF")
        case "png":
            return _("a PNG picture")
        case "jpeg":
            return _("a JPEG picture")
        case "gif":
            return _("a GIF picture")
        case "tiff":
            return _("a TIFF picture")
        case "postscript":
            return _("a PostScript file")
        case _zip:
            return _("a zip archive")


@message
def not_a_drawing(file: What) -> str:
    return _("{file} is not a drawing. Export it as SVG or DXF at full size.")


@message
def other_kind(file: What, kind: Message) -> str:
    return _("{file} is {kind}, not a drawing. Export the drawing as SVG or DXF at full size.")


@message
def empty_file(file: What) -> str:
    return _("The drawing {file} is empty. Save it again.")


@message
def too_large(file: What) -> str:
    return _("The drawing {file} is over 20 MB. Split it, or take its pictures out.")


@message
def dwg(file: What) -> str:
    return _("{file} is a DWG file, which cannot be read. Save it as DXF or SVG at full size.")


@message
def compressed(file: What) -> str:
    return _("The drawing {file} is compressed. Save it as plain SVG or DXF.")


@message
def took_too_long(file: What, seconds: Number) -> str:
    return _(
        "Reading {file} took longer than {seconds} s. Simplify its paths or split it into several drawings."
    )


@message
def took_too_much_memory(file: What) -> str:
    return _(
        "Reading {file} takes too much memory. Simplify its paths or split it into several drawings."
    )


@message
def could_not_be_read(file: What, kind: str) -> str:
    if kind == "DXF":
        return _("{file} could not be read. Export it again as DXF.")
    return _("{file} could not be read. Export it again as plain SVG.")


@message
def not_a_machine_format() -> str:
    return _("A file for the machine is SVG or DXF. Choose one of the two.")


# Size and unit. -------------------------------------------------------------------------------------


@message
def no_such_unit(unit: str, units: Options) -> str:
    return _("Unit '{unit}' not found. Choose {units}.")


@message
def bad_view_box(box: str) -> str:
    return _(
        'The drawing\'s viewBox "{box}" cannot be used. Give it four numbers, with a width and a height above 0.'
    )


@message
def bad_size(size: str) -> str:
    return _(
        'The drawing\'s size "{size}" cannot be used. Give it a width and a height in mm, above 0 and under 1 km.'
    )


@message
def no_unit_px(width: Tenths, height: Tenths) -> str:
    return _(
        "The drawing has no unit of length. Read as px, 96 to the inch, the page is "
        "{width} × {height} mm."
    )


@message
def no_unit_mm(width: Tenths, height: Tenths) -> str:
    return _("The drawing has no unit of length. Read as mm, it measures {width} × {height} mm.")


@message
def too_wide_in_unit(unit: str) -> str:
    return _("In {unit} the drawing is over 1 km wide or high. Choose a smaller unit.")


@message
def outlines_measure(width: Tenths, height: Tenths) -> str:
    return _("All outlines together measure {width} × {height} mm. Check the drawing's units.")


@message
def drawing_measures(width: Tenths, height: Tenths) -> str:
    return _("The whole drawing measures {width} × {height} mm. Check its unit.")


@message
def far_too_wide(width_m: Number, height_m: Number) -> str:
    return _(
        "The drawing measures {width_m} × {height_m} m. Check its unit, and look for something "
        "far off to the side."
    )


# Refusals of what is inside. ------------------------------------------------------------------------


@message
def broken_number(line: int | None) -> str:
    if line is None:
        return _("The DXF file has a number that cannot be read. Export it again.")
    return _("The DXF file has a number that cannot be read near line {line}. Export it again.")


@message
def broken_dxf() -> str:
    return _("The DXF file is broken and cannot be read. Export it again.")


@message
def broken_inside() -> str:
    return _("The DXF file is broken inside. Export it again.")


@message
def broken_svg(line: int, column: int) -> str:
    return _("The drawing is broken at line {line}, column {column}. Export it again.")


@message
def undecodable() -> str:
    return _("The drawing's text cannot be read. Save it as SVG in UTF-8.")


@message
def xml_but_no_svg() -> str:
    return _("The file is XML, but not SVG. Export the drawing as SVG.")


@message
def xml_entities() -> str:
    return _("The drawing has XML entities, which cannot be read. Save it as plain SVG.")


@message
def styles_in_another_file() -> str:
    return _("The drawing takes its styles from another file. Save it with the styles inside.")


@message
def something_in_another_file(what: str) -> str:
    return _('The drawing uses something from another file ("{what}"). Paste it into the drawing.')


@message
def part_inside_itself() -> str:
    return _("The drawing has a clone inside itself. Unlink its clones.")


@message
def too_many_elements(most: Number) -> str:
    return _(
        "The drawing has more than {most} elements, copies counted. Split it into several drawings."
    )


@message
def groups_too_deep(most: int) -> str:
    return _("The drawing's groups are nested more than {most} deep. Ungroup them.")


@message
def too_many_points(most: Number) -> str:
    return _(
        "The drawing has more than {most} points. Simplify its curves or split it into several drawings."
    )


@message
def too_many_entities(most: Number) -> str:
    return _(
        "The drawing has more than {most} entities, copies of blocks counted. Split it into "
        "several drawings."
    )


@message
def block_inside_itself(block: str) -> str:
    return _("The block '{block}' is inside itself. Redraw it.")


@message
def blocks_too_deep(most: int) -> str:
    return _("The drawing's blocks are nested more than {most} deep. Explode some.")


@message
def bad_copy(block: str) -> str:
    return _(
        "A copy of the block '{block}' has a place or scale that cannot be read. Insert it again."
    )


@message
def bad_value(what: What, value: str) -> str:
    return _(
        "The element {what} has a value that cannot be read ('{value}'). Correct it or export the drawing again."
    )


@message
def no_curve(what: What) -> str:
    return _("The {what} makes no curve. Correct it or export the drawing again.")


@message
def no_closed_outline() -> str:
    return _("The drawing has no outline that encloses an area. Draw closed, filled outlines.")


@message
def no_closed_outline_dxf() -> str:
    return _(
        "The drawing has no outline that encloses an area. Draw closed outlines in model space."
    )


@message
def live_text(words: str) -> str:
    return _('The drawing has live text "{words}". Turn it into outlines.')


@message
def open_outline(what: What, gap: Tenths, x: Tenths, y: Tenths) -> str:
    return _("The outline {what} is open by {gap} mm at {x}, {y} mm. Close it.")


@message
def lines_cross(what: What, x: Tenths, y: Tenths) -> str:
    return _("Lines {what} cross at {x}, {y} mm and run on. Trim them to closed outlines.")


@message
def tangled(what: What) -> str:
    return _("The outline {what} is too tangled to tell inside from outside. Redraw it.")


@message
def all_tangled() -> str:
    return _("The drawing's outlines are too tangled to tell inside from outside. Redraw them.")


@message
def crowd_of_ends(reach: Number, x: Tenths, y: Tenths) -> str:
    return _(
        "Too many lines end within {reach} mm of each other (near {x}, {y} mm). Check the "
        "drawing's scale and take out hatching."
    )
