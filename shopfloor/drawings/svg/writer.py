"""A nest as SVG: one unit of the page is one millimetre, a group for each layer, paths without filling.

Owns the markup. The codes are in titles, not text: text is no outline, and the project's own reader refuses it. SVG's y
points down, the sheet's up. Must not know where a nest comes from.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

from ...domain.routing.machine_files import LAYERS, Line, MachineSheet, lines_of, one_line

STROKE_MM = 0.1  # a hairline: it has no meaning for the cut


def written(sheet: MachineSheet) -> bytes:
    """The file. Within each layer the paths come in cutting order."""
    return "\n".join([*_rows(sheet), ""]).encode()


def _rows(sheet: MachineSheet) -> Iterator[str]:
    length, width = _figure(sheet.length_mm), _figure(sheet.width_mm)
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    size = f'width="{length}mm" height="{width}mm" viewBox="0 0 {length} {width}"'
    yield f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>'
    yield f"<title>{escape(one_line(sheet.title))}</title>"
    on_layer: dict[str, list[Line]] = {}
    for line in lines_of(sheet):
        on_layer.setdefault(line.layer, []).append(line)
    for layer in (layer for layer in LAYERS if layer in on_layer):
        yield f'<g id="{layer}" fill="none" stroke="{LAYERS[layer]}" stroke-width="{STROKE_MM}">'
        yield from (_path(line, sheet.width_mm) for line in on_layer[layer])
        yield "</g>"
    yield "</svg>"


def _path(line: Line, width_mm: float) -> str:
    steps = " ".join(f"{_figure(x)},{_figure(width_mm - y)}" for x, y in line.points)
    data = f'd="M {steps} Z"'
    return (
        f"<path {data}><title>{escape(line.title)}</title></path>"
        if line.title
        else f"<path {data}/>"
    )


def _figure(value: float) -> str:
    """A length to 0.001 mm without needless noughts, never -0."""
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
