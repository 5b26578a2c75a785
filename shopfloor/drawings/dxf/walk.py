"""The way through a DXF document: which curves are drawn, where, on which layer, in which colour.

Owns blocks (nested, repeated, mirrored), groups, hidden layers, and what is left out with a finding. Must not flatten
anything: that is done in `curves`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ezdxf.document import Drawing as Document
from ezdxf.math import Matrix44, Vec3

from ...domain.errors import Refused
from ...domain.outlines import Point
from ...wording import mended
from ...wording import reading as wording
from ...wording.message import Message
from ..names import Group, is_machine_made, sign_called, tidy
from ..unfolding import Contents, Unfolding
from .curves import CURVES, Entity
from .layers import BLACK, Layers, readable

MAX_ENTITIES = 200_000
MAX_DEPTH = 32
MODEL_SPACE = "*model_space"
_TEXTS = {"TEXT", "MTEXT", "ATTRIB", "ATTDEF"}
_PICTURES = {
    "IMAGE",
    "WIPEOUT",
    "OLEFRAME",
    "OLE2FRAME",
    "PDFUNDERLAY",
    "DWFUNDERLAY",
    "DGNUNDERLAY",
}
_WORDS = {
    "HATCH": "hatch",
    "MPOLYGON": "hatch",
    "DIMENSION": "dimension",
    "ARC_DIMENSION": "dimension",
    "POINT": "point",
    "LARGE_RADIAL_DIMENSION": "dimension",
    "LEADER": "leader",
    "MULTILEADER": "leader",
    "MLINE": "multiple line",
    "3DSOLID": "solid body",
    "BODY": "solid body",
    "REGION": "region",
    "SOLID": "filled triangle",
    "TOLERANCE": "tolerance",
    "TRACE": "filled trace",
    "3DFACE": "face in space",
    "MESH": "mesh",
    "POLYLINE": "mesh",
    "XLINE": "endless line",
    "RAY": "endless line",
    "VIEWPORT": "viewport",
    "ACAD_TABLE": "table",
    "HELIX": "helix",
    "SHAPE": "shape",
    "LIGHT": "light",
}


@dataclass(frozen=True)
class Drawn:
    """One curve. `matrix` leads to mm; `layer` and `colour` are those in which it is seen."""

    entity: Entity
    matrix: Matrix44
    layer: str
    colour: str
    holders: tuple[Group, ...]

    @property
    def spoken(self) -> Message:
        """What to call it, after 'The …'."""
        return wording.entity_on_layer(self.entity.dxftype(), self.layer)


Note = tuple[
    str, Message, Point | None
]  # what is left out: kind, message, and where in mm before the drawing is shifted


@dataclass(frozen=True)
class _Place:
    matrix: Matrix44
    layer: str  # for what is drawn on layer 0 of a block
    colour: str  # for what takes its block's colour
    holders: tuple[Group, ...]


class Walk:
    """One walk over a document. `notes` fill up on the way."""

    def __init__(self, document: Document, mm: float) -> None:
        self._document = document
        self._layers = Layers(document)
        self._start = _Place(Matrix44.scale(mm, mm, mm), "0", BLACK, ())
        self._groups = _holders_of_groups(document)
        self.notes: list[Note] = []

    def curves(self) -> Iterator[Drawn]:
        """Every curve that is seen, in the order of the file. Raises Refused."""
        _refuse_too_much(self._document)
        for entity in self._document.modelspace():
            yield from self._visit(entity, self._start)
        for layout in self._document.layouts:
            if not layout.is_modelspace:
                for _ in range(
                    sum(one.dxftype() in CURVES or one.dxftype() == "INSERT" for one in layout)
                ):
                    self._note(
                        "paper",
                        mended.on_paper_sheet(readable(layout.name)),
                    )

    def _visit(self, entity: Entity, place: _Place) -> Iterator[Drawn]:
        raw = entity.dxf.get("layer", "0")
        layer = place.layer if raw == "0" else self._layers.name(raw)
        holder = self._groups.get(entity.dxf.handle)
        if holder is not None:
            place = replace(place, holders=(*place.holders, holder))
        kind, why = entity.dxftype(), self._layers.hidden(layer)
        if entity.dxf.get("invisible", 0):
            self._note("hidden", mended.invisible(layer))
        elif why == "frozen" or (why and kind != "INSERT"):
            self._note(
                "layer",
                mended.layer_left_out(layer, why),
            )
        elif kind == "INSERT":
            yield from self._enter(entity, layer, place)
        elif kind in CURVES and not _is_mesh(entity):
            colour = self._layers.colour(entity, layer, place.colour)
            yield Drawn(entity, place.matrix, layer, colour, place.holders)
        else:
            self._leave_out(entity, kind, layer, place)

    def _enter(self, insert: Entity, layer: str, place: _Place) -> Iterator[Drawn]:
        for attrib in insert.attribs:
            yield from self._visit(attrib, replace(place, layer=layer))
        name = readable(str(insert.dxf.get("name", "")))
        block = self._document.blocks.get(insert.dxf.get("name", ""))
        if block is None:
            self._note(
                "reference",
                mended.missing_block(name),
            )
            return
        head = block.block
        if head is None or head.dxf.flags & 4 or head.dxf.flags & 8:
            self._note("reference", mended.outside_block(name))
            return
        colour = self._layers.colour(insert, layer, place.colour)
        for matrix in _matrices(insert, name):
            holder = Group(_plain_name(name), sign_called(name))
            inside = _Place(matrix @ place.matrix, layer, colour, (*place.holders, holder))
            for entity in block:
                yield from self._visit(entity, inside)

    def _leave_out(self, entity: Entity, kind: str, layer: str, place: _Place) -> None:
        at = _position(entity, place.matrix)
        if kind in _TEXTS:
            if (
                kind != "ATTDEF" or not place.holders
            ):  # a block's attribute is drawn by its ATTRIB, not here
                words = _words_of(entity)
                self._note(
                    "text",
                    mended.text_left_out(words),
                    at,
                )
            return
        word = _WORDS.get(
            kind, "picture" if kind in _PICTURES else readable(kind.lower().replace("_", " "))
        )
        sort = {"hatch": "hatch", "picture": "image"}.get(word, "entity")
        self._note(
            sort,
            mended.entities_left_out(layer, word),
            at,
        )

    def _note(self, kind: str, message: Message, at: Point | None = None) -> None:
        self.notes.append((kind, message, at))


def _refuse_too_much(document: Document) -> None:
    """Counts what inserts would unfold to."""

    spelled: dict[str, str] = {}  # a block's name in small letters: as the latest insert has it

    def contents(key: str) -> Contents:
        block = document.blocks.get(key)
        inside = []
        for one in block or ():
            if one.dxftype() == "INSERT":
                name = str(one.dxf.get("name", ""))
                spelled[name.casefold()] = name
                inside.append((name.casefold(), _copies(one)))
        return len(block or ()) + 1, inside

    Unfolding(
        contents,
        MAX_ENTITIES + 1,
        wording.too_many_entities(MAX_ENTITIES),
        MAX_DEPTH + 1,
        wording.blocks_too_deep(MAX_DEPTH),
        lambda key: wording.block_inside_itself(readable(spelled[key])),
    ).measure(MODEL_SPACE)


def _grid(insert: Entity) -> tuple[int, int]:
    """(rows, columns) of a block that is inserted so many times at once."""
    rows = max(int(insert.dxf.get("row_count", 1)), 1) if insert.dxf.get("row_spacing", 0) else 1
    columns = (
        max(int(insert.dxf.get("column_count", 1)), 1) if insert.dxf.get("column_spacing", 0) else 1
    )
    return rows, columns


def _copies(insert: Entity) -> int:
    return math.prod(_grid(insert))


def _matrices(insert: Entity, block: str) -> Iterator[Matrix44]:
    """From the block's own space to that of the insert, once for each copy. Rows and columns turn, but do not scale."""
    try:
        first, own = insert.matrix44(), insert.ocs()
        across, up = insert.dxf.get("column_spacing", 0), insert.dxf.get("row_spacing", 0)
        turned = math.radians(insert.dxf.get("rotation", 0))
        _, columns = _grid(insert)
        if not all(map(math.isfinite, (*first, across, up))):
            raise ValueError("numbers")
    except Exception as error:  # the library raises whatever its arithmetic meets
        raise Refused(wording.bad_copy(block)) from error
    for number in range(_copies(insert)):
        row, column = divmod(number, columns)
        step = Vec3(own.to_wcs(Vec3(column * across, row * up).rotate(turned)))
        yield first @ Matrix44.translate(step.x, step.y, step.z)


def _holders_of_groups(document: Document) -> dict[str, Group]:
    found: dict[str, Group] = {}
    for raw, group in document.groups:
        name = readable(raw)
        holder = Group(_plain_name(name), sign_called(name))
        for entity in group:
            found.setdefault(entity.dxf.handle, holder)
    return found


def _plain_name(name: str) -> str | None:
    """A block's name unless a program made it up; those begin with * or A$C, or count blocks."""
    upper = name.upper()
    is_made_up = (
        name.startswith(("*", "_"))
        or upper.startswith("A$C")
        or upper.rstrip("0123456789-_ ") == "BLOCK"
    )
    return None if is_made_up or is_machine_made(name) else tidy(name)


def _is_mesh(entity: Entity) -> bool:
    return entity.dxftype() == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline)


_PLACES = (
    "insert",
    "location",
    "defpoint",
    "start",
    "center",
    "vtx0",
)  # where an entity that is left out is


def _position(entity: Entity, matrix: Matrix44) -> Point | None:
    spot = next((entity.dxf.get(name) for name in _PLACES if entity.dxf.hasattr(name)), None)
    if entity.dxftype() == "HATCH":
        spot = _corner_of_hatch(entity)
    if spot is None:
        return None
    at = matrix.transform(Vec3(spot))
    return (at.x, at.y) if math.isfinite(at.x) and math.isfinite(at.y) else None


def _corner_of_hatch(entity: Entity) -> Point | None:
    """A point of a hatch's first boundary; None where it has none that is known."""
    for boundary in entity.paths.paths:
        if vertices := getattr(boundary, "vertices", None):
            return tuple(vertices[0][:2])
        for edge in getattr(boundary, "edges", ()):
            point = getattr(edge, "start", None) or getattr(edge, "center", None)
            if point is not None:
                return (point[0], point[1])
    return None


def _words_of(entity: Entity) -> str:
    try:
        raw = entity.plain_text()
    except Exception:  # broken formatting codes
        raw = ""
    words = readable(str(raw)) or "…"
    return words if len(words) <= 40 else words[:39] + "…"
