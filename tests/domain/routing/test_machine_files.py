"""Files for the machine's own software, read back by the project's readers and by others: ezdxf alone, svgpathtools."""

import io
import os
import subprocess
import sys
from functools import cache
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely
import svgpathtools
from drawings.corpus_svg import svg, word
from ezdxf import bbox
from shapely import LinearRing, LineString, Polygon
from shapely.ops import substring
from shop_for_tests import box, grows_at_most

from shopfloor.domain.errors import Refused
from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.machine_files import LAYERS, MachineSheet, Nested, file_name, lines_of
from shopfloor.drawings import reading
from shopfloor.drawings.svg import read_svg
from shopfloor.drawings.writing import KINDS, write

LENGTH, WIDTH, MARGIN = 1000.5, 600.0, 12.0
ROUNDING_MM = 0.001
SVG = "{http://www.w3.org/2000/svg}"
ODD = 'Rye & <Salt> "Bäckerei" é 海 ]]> \x07\n\ud800\ufffe'
KEPT = 'Rye & <Salt> "Bäckerei" é 海 ]]>'


@cache
def letters() -> tuple[Outline, ...]:
    """B, A, g, 8 and &, 120 mm to the em: seven holes between them and curves all over."""
    paths = word("BAg8&", 20, 200, 120, "DejaVuSerif-Bold.ttf").paths
    body = "".join(f'<path fill="#204060" d="{path}"/>' for path in paths)
    page = svg(body, 'width="900mm" height="400mm" viewBox="0 0 900 400"')
    return tuple(drawn.outline for drawn in read_svg(page.encode()).outlines)


def stretch(outline: Outline, at_mm: float, length_mm: float = 6.0) -> tuple:
    """A tab: a stretch of the outer ring, by shapely."""
    ring = LineString(LinearRing(outline.rings[0]).coords)
    return tuple(substring(ring, at_mm, at_mm + length_mm).coords)


def sheet(title="S-207 nest 2", name="A") -> MachineSheet:
    """The letters, each held in another way, freed from the last to the first; two with tabs, one round a corner."""
    ways = ("full", "skin", "tape", "tabs", "tabs")
    pieces = []
    for at, (outline, way) in enumerate(zip(letters(), ways, strict=True)):
        tabs = tuple(stretch(outline, mm) for mm in (5, 70, 150)) if way == "tabs" else ()
        pieces.append(Nested(f"4072 915{at}", name, outline, tabs, way, 5 - at))
    return MachineSheet(title, LENGTH, WIDTH, MARGIN, tuple(pieces))


def in_cutting_order():
    return sorted(sheet().pieces, key=lambda piece: piece.order)


def rings_of(layer: str, pieces) -> list:
    """What has to be on a layer, in cutting order, read from the outlines alone."""
    if layer == "inside":
        return [ring for piece in pieces for ring in piece.outline.rings[1:]]
    return [piece.outline.rings[0] for piece in pieces if layer == f"outside-{piece.way}"]


CUT = [layer for layer in LAYERS if layer == "inside" or layer.startswith("outside")]


def frame(inside: float) -> Polygon:
    return shapely.box(inside, inside, LENGTH - inside, WIDTH - inside)


# By the project's own readers. ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_every_line_comes_back_where_it_was_by_the_projects_own_readers(kind):
    read = reading.read(write(sheet(), kind), f"nest.{kind}")
    assert (read.width_mm, read.height_mm, read.guessed_unit) == (LENGTH, WIDTH, None)
    assert {warning.kind for warning in read.warnings} <= {"text"}, "only the codes are left out"
    assert len(read.outlines) == len(list(lines_of(sheet())))
    for layer in CUT:
        expected = rings_of(layer, in_cutting_order())
        found = [drawn.outline for drawn in read.outlines if drawn.colour == LAYERS[layer]]
        assert expected and len(found) == len(expected)
        for ring in expected:
            apart = [
                shapely.hausdorff_distance(LinearRing(ring), LinearRing(one.rings[0]))
                for one in found
            ]
            near = found[int(np.argmin(apart))]
            assert min(apart) <= ROUNDING_MM and near.area_mm2 == pytest.approx(
                Polygon(ring).area, abs=0.05
            )
    for layer, inside in (("sheet-edge", 0), ("margin", MARGIN)):
        (found,) = [drawn.outline for drawn in read.outlines if drawn.colour == LAYERS[layer]]
        assert found.polygon.equals(frame(inside))


def test_the_layers_keep_their_names_in_a_dxf():
    read = reading.read(write(sheet(), "dxf"), "nest.dxf")
    assert {drawn.layer: drawn.colour for drawn in read.outlines} == {
        k: v for k, v in LAYERS.items() if k != "codes"
    }


# By ezdxf. ------------------------------------------------------------------------------------------------------------


@cache
def document():
    return ezdxf.read(io.StringIO(write(sheet(), "dxf").decode()))


def drawn_on(layer: str) -> list[np.ndarray]:
    """The closed polylines of a layer, in the order of the file."""
    found = [
        entity
        for entity in document().modelspace().query("LWPOLYLINE")
        if entity.dxf.layer == layer
    ]
    assert all(entity.closed for entity in found)
    return [np.array(entity.get_points("xy")) for entity in found]


def test_a_dxf_names_its_millimetres_and_its_size():
    header = document().header
    assert (header["$INSUNITS"], header["$MEASUREMENT"]) == (4, 1)
    assert tuple(header["$EXTMIN"]) == (0, 0, 0) and tuple(header["$EXTMAX"]) == (LENGTH, WIDTH, 0)
    size = bbox.extents(document().modelspace().query("LWPOLYLINE")).size
    assert tuple(size)[:2] == pytest.approx((LENGTH, WIDTH))
    assert not document().audit().errors


@pytest.mark.parametrize("layer", CUT)
def test_a_dxf_holds_each_ring_on_its_layer_point_by_point_in_cutting_order(layer):
    expected = rings_of(layer, in_cutting_order())
    found = drawn_on(layer)
    assert len(found) == len(expected) > 0
    for points, ring in zip(found, expected, strict=True):
        assert (
            points.shape == (len(ring), 2) and np.abs(points - np.array(ring)).max() <= ROUNDING_MM
        )


def test_a_dxf_cuts_the_holes_of_a_piece_before_the_piece():
    layers = [entity.dxf.layer for entity in document().modelspace().query("LWPOLYLINE")]
    expected = ["sheet-edge", "margin"]
    for piece in in_cutting_order():
        expected += (
            ["inside"] * (len(piece.outline.rings) - 1)
            + [f"outside-{piece.way}"]
            + ["tabs"] * len(piece.tabs)
        )
    assert layers == expected


def test_a_dxf_has_every_layer_in_its_own_colour():
    found = {
        layer.dxf.name: "#{:02x}{:02x}{:02x}".format(*layer.rgb)
        for layer in document().layers
        if layer.rgb
    }
    assert found == LAYERS and len(set(LAYERS.values())) == len(LAYERS)


def test_each_code_is_text_off_the_cutting_layers_with_its_middle_on_the_piece():
    texts = list(document().modelspace().query("TEXT"))
    assert [text.dxf.text for text in texts] == [piece.code for piece in in_cutting_order()]
    for text, piece in zip(texts, in_cutting_order(), strict=True):
        assert text.dxf.layer == "codes"
        assert piece.outline.polygon.contains(shapely.Point(tuple(text.dxf.align_point)[:2]))


# By svgpathtools. -----------------------------------------------------------------------------------------------------


@cache
def svg_parts():
    """The paths of each group as svgpathtools reads them, y down; and the page's own attributes."""
    root = ElementTree.fromstring(write(sheet(), "svg"))
    paths = {
        group.get("id"): [
            svgpathtools.parse_path(path.get("d")) for path in group.iter(f"{SVG}path")
        ]
        for group in root.iter(f"{SVG}g")
    }
    return paths, root.attrib


def test_an_svg_is_as_large_as_the_sheet_in_millimetres():
    _, page = svg_parts()
    assert (page["width"], page["height"], page["viewBox"]) == (
        "1000.5mm",
        "600mm",
        "0 0 1000.5 600",
    )


@pytest.mark.parametrize("layer", CUT)
def test_an_svg_holds_each_ring_in_its_group_with_its_length_area_and_place(layer):
    found, expected = svg_parts()[0][layer], rings_of(layer, in_cutting_order())
    assert len(found) == len(expected) > 0
    for path, ring in zip(found, expected, strict=True):
        points = np.array([(segment.start.real, WIDTH - segment.start.imag) for segment in path])
        assert path.isclosed() and np.abs(points[: len(ring)] - np.array(ring)).max() <= ROUNDING_MM
        assert path.length() == pytest.approx(LinearRing(ring).length, abs=ROUNDING_MM * len(ring))
        assert abs(path.area()) == pytest.approx(Polygon(ring).area, abs=0.05)


def test_an_svg_has_the_edge_and_the_margin_and_no_live_text():
    edge, margin = (svg_parts()[0][layer][0] for layer in ("sheet-edge", "margin"))
    assert (edge.length(), abs(edge.area())) == pytest.approx(
        (2 * (LENGTH + WIDTH), LENGTH * WIDTH)
    )
    assert abs(margin.area()) == pytest.approx((LENGTH - 24) * (WIDTH - 24))
    assert margin.bbox() == pytest.approx((12, LENGTH - 12, 12, WIDTH - 12))
    assert b"<text" not in write(sheet(), "svg")


# Tabs. ----------------------------------------------------------------------------------------------------------------


def tab_marks(kind: str) -> list[Polygon]:
    if kind == "dxf":
        return [Polygon(points) for points in drawn_on("tabs")]
    return [
        Polygon([(one.start.real, WIDTH - one.start.imag) for one in path])
        for path in svg_parts()[0]["tabs"]
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_the_middle_of_each_tabs_mark_is_its_stretch_of_the_outline(kind):
    wanted = [(tab, piece.outline) for piece in in_cutting_order() for tab in piece.tabs]
    marks = tab_marks(kind)
    assert len(marks) == len(wanted) == 6
    for mark, (tab, outline) in zip(marks, wanted, strict=True):
        line = LineString(tab)
        assert (
            line.distance(outline.polygon.boundary) < 0.01
            and mark.distance(outline.polygon.boundary) == 0
        )
        assert shapely.difference(line, mark.buffer(0.002)).length == 0
        assert mark.area == pytest.approx(6.0, rel=0.05), "6 mm long and 1 mm wide"
        assert shapely.hausdorff_distance(mark, line) < 1, (
            "half a millimetre to each side, a little more at a bend"
        )


# Words, odd sheets, sameness. -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_odd_names_break_no_file(kind):
    odd = sheet(title=f"S-207 {ODD}", name=ODD)
    read = reading.read(write(odd, kind), f"odd.{kind}")
    assert len(read.outlines) == len(reading.read(write(sheet(), kind), f"even.{kind}").outlines)
    if kind == "svg":
        titles = [
            node.text for node in ElementTree.fromstring(write(odd, kind)).iter(f"{SVG}title")
        ]
        assert titles[0] == f"S-207 {KEPT}" and f"4072 9150 {KEPT}" in titles


def test_an_odd_code_stays_one_text_in_a_dxf():
    odd = MachineSheet(
        "S-1 nest 1", 300, 200, 12, (Nested(ODD, "", box(20, 20, 60, 60), (), "full", 1),)
    )
    (text,) = ezdxf.read(io.StringIO(write(odd, "dxf").decode())).modelspace().query("TEXT")
    assert text.dxf.text == KEPT


@pytest.mark.parametrize("margin", [0, 100])
@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_without_pieces_or_room_for_a_margin_is_its_edge(kind, margin):
    bare = MachineSheet("S-1 nest 1", 300, 200, margin, ())
    (edge,) = reading.read(write(bare, kind), f"bare.{kind}").outlines
    assert edge.outline.polygon.equals(shapely.box(0, 0, 300, 200))


@pytest.mark.parametrize("kind", ["pdf", "", "DXF"])
def test_another_kind_is_refused(kind):
    with pytest.raises(Refused, match="SVG or DXF"):
        write(sheet(), kind)


def test_a_files_name_is_plain():
    assert file_name("S-207", 2, "dxf") == "S-207-nest-2.dxf"
    assert (
        file_name("../S 2<é>", 1, "svg") == "S-2-nest-1.svg"
        and file_name("é", 1, "svg") == "sheet-nest-1.svg"
    )


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_nest_gives_the_same_bytes_and_any_change_others(kind):
    first = write(sheet(), kind)
    assert write(sheet(), kind) == first
    held = sheet().pieces
    moved = MachineSheet("S-207 nest 2", LENGTH, WIDTH, MARGIN, (*held[:-1], changed(held[-1])))
    assert write(moved, kind) != first


def changed(piece: Nested) -> Nested:
    return Nested(
        piece.code, piece.name, piece.outline.moved(0.001, 0), piece.tabs, piece.way, piece.order
    )


PLAIN = """
import hashlib
from shopfloor.domain.routing.machine_files import MachineSheet, Nested
from shopfloor.domain.outlines import Outline
from shopfloor.drawings.writing import write
ring = ((20.0, 20.0), (80.5, 20.0), (80.5, 70.25), (20.0, 70.25))
sheet = MachineSheet("S-1 nest 1", 300, 200, 12, (Nested("4072 9153", "A", Outline((ring,)), (ring[:2],), "tabs", 1),))
print(*(hashlib.sha256(write(sheet, kind)).hexdigest() for kind in ("svg", "dxf")))
"""


def test_a_new_process_writes_the_same_bytes():
    """Other seeds of Python's hashes, so that no set decides an order; another time zone; another person."""
    printed = set()
    for seed, zone, user in (("1", "UTC", "Ines"), ("4", "Pacific/Auckland", "Milo")):
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone, "USER": user}
        printed.add(
            subprocess.check_output([sys.executable, "-c", PLAIN], env=environment).decode()
        )
    assert len(printed) == 1 and len(printed.pop().split()) == 2


@pytest.mark.parametrize("kind", KINDS)
def test_ten_times_the_pieces_take_ten_times_as_long(kind):
    def work(count):
        held = letters()
        pieces = [
            Nested(str(at), "A", held[at % 5], (stretch(held[at % 5], 5),), "tabs", at)
            for at in range(count)
        ]
        write(MachineSheet("S-1 nest 1", LENGTH, WIDTH, MARGIN, tuple(pieces)), kind)

    assert grows_at_most(20, work, 50, 500)
