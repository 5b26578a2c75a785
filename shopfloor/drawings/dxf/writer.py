"""A nest as DXF: millimetres, model space alone, each line a closed lightweight polyline on its layer, the codes as text.

Owns the entities and what makes the same nest give the same bytes. Must not know where a nest comes from.
"""

from __future__ import annotations

import io

from ezdxf._options import options
from ezdxf.colors import RGB
from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.lldxf.const import DXF2010

from ...domain.routing.machine_files import CODES, LAYERS, MachineSheet, lines_of, marks_of

MILLIMETRES, METRIC = 4, 1  # $INSUNITS and $MEASUREMENT, as the format numbers them


def written(sheet: MachineSheet) -> bytes:
    """The file. The lines come in cutting order, the codes after them."""
    options.write_fixed_meta_data_for_testing = (
        True  # else each file holds its time and a random number
    )
    document = _document(sheet)
    space = document.modelspace()
    for line in lines_of(sheet):
        space.add_lwpolyline(line.points, close=True, dxfattribs={"layer": line.layer})
    for mark in marks_of(sheet):
        text = space.add_text(mark.text, height=mark.height_mm, dxfattribs={"layer": CODES})
        text.set_placement(mark.at, align=TextEntityAlignment.MIDDLE_CENTER)
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)  # the library adds them itself, in the order of a set
    stream = io.StringIO()
    document.write(stream)
    return document.encode(stream.getvalue())


def _document(sheet: MachineSheet) -> Document:
    """An empty drawing of the sheet's size with all layers, whether or not something is on them."""
    document = new(DXF2010, units=MILLIMETRES)
    document.header["$MEASUREMENT"] = METRIC
    for name, colour in LAYERS.items():
        document.layers.add(name).rgb = RGB.from_hex(colour)
    corner = (sheet.length_mm, sheet.width_mm)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (*corner, 0)
    document.modelspace().reset_extents(
        (0, 0, 0), (*corner, 0)
    )  # both, or the library puts its own over the header's
    document.modelspace().reset_limits((0, 0), corner)
    return document
