"""Drawings in DXF, each written in another way, with what is in them worked out by hand beside them.

Areas are closed forms: a rectangle w h, a circle π r², an ellipse π a b, a segment of bulge b over the chord c
r²/2 (θ - sin θ) with θ = 4 atan b and r = c (1 + b²) / 4b.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass

import ezdxf

PI = math.pi


@dataclass(frozen=True)
class Expected:
    """What a reader has to find. Lengths mm, areas mm² (of all parts together, holes off)."""

    count: int
    area_mm2: float
    width_mm: float
    height_mm: float
    signs: int = 1
    levels: int = 1
    families: int = 1
    warnings: frozenset[str] = frozenset()
    guessed_unit: str | None = None


CORPUS: dict[str, tuple[Callable[[], bytes], Expected]] = {}


def drawing(**expected):
    """Enters a drawing in the corpus."""

    def enter(make: Callable[[], bytes]):
        warnings = frozenset(expected.pop("warnings", ()))
        CORPUS[make.__name__] = make, Expected(warnings=warnings, **expected)
        return make

    return enter


def tags(*pairs: tuple[int, object]) -> str:
    """Tags as text: a code and a value, a line each."""
    return "".join(f"{code:>3}\n{value}\n" for code, value in pairs)


def entities(*each: str, header: str = "") -> bytes:
    """The least that makes a DXF file: a section of entities, with or without a header."""
    top = tags((0, "SECTION"), (2, "HEADER")) + header + tags((0, "ENDSEC")) if header else ""
    return (
        top
        + tags((0, "SECTION"), (2, "ENTITIES"))
        + "".join(each)
        + tags((0, "ENDSEC"), (0, "EOF"))
    ).encode()


def unit(code: int) -> str:
    """A header that names the unit."""
    return tags((9, "$INSUNITS"), (70, code))


def line(x0, y0, x1, y1, layer: str = "board") -> str:
    """A LINE as the oldest writers put it."""
    return tags(
        (0, "LINE"), (8, layer), (10, x0), (20, y0), (30, 0.0), (11, x1), (21, y1), (31, 0.0)
    )


def path(points, layer: str = "board", closed: bool = True) -> str:
    """A row of LINEs."""
    ends = [*points[1:], points[0]] if closed else points[1:]
    return "".join(line(*one, *other, layer) for one, other in zip(points, ends, strict=False))


def circle(x, y, r, layer: str = "board") -> str:
    """A CIRCLE."""
    return tags((0, "CIRCLE"), (8, layer), (10, x), (20, y), (30, 0.0), (40, r))


def arc(x, y, r, start, end, layer: str = "board") -> str:
    """An ARC, counter-clockwise, angles in degrees."""
    return circle(x, y, r, layer).replace("CIRCLE", "ARC", 1) + tags((50, start), (51, end))


def box(x, y, w, h) -> list[tuple[float, float]]:
    """A rectangle's corners."""
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def new(version: str = "R2000", unit_code: int = 4, layers: tuple[str, ...] = ()):
    """(document, its model space), the layers in colours 1, 2, 3 …"""
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = unit_code
    for number, name in enumerate(layers, start=1):
        document.layers.add(name, color=number)
    return document, document.modelspace()


def written(document) -> bytes:
    """The document as text."""
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding)


@drawing(
    count=2,
    area_mm2=300 * 120 + 40 * 60 - 28 * 48,
    width_mm=300,
    height_mm=120,
    levels=2,
    families=2,
    warnings={"units", "colour"},
    guessed_unit="mm",
)
def only_lines_without_a_header():
    """Lines in no order, some backwards, as a plotter's converter writes them: no header, no tables, no unit."""
    letter = [(20, 20), (60, 20), (60, 32), (32, 32), (32, 80), (20, 80)]
    sides = [
        line(*one, *other, "letters")
        for one, other in zip(letter, letter[1:] + letter[:1], strict=True)
    ]
    board = [line(300, 120, 300, 0), line(0, 0, 300, 0), line(0, 120, 0, 0), line(0, 120, 300, 120)]
    return entities(
        sides[4],
        board[2],
        sides[1],
        board[0],
        sides[0],
        sides[5],
        board[3],
        sides[3],
        board[1],
        sides[2],
    )


@drawing(
    count=2,
    area_mm2=200 * 80 + PI * 40**2 + PI * 15**2,
    width_mm=280,
    height_mm=80,
    levels=2,
    families=2,
)
def a_board_with_round_ends():
    """LWPOLYLINE with bulges of 1, which are half circles, and a disc of two of them."""
    document, space = new(layers=("board", "letters"))
    space.add_lwpolyline(
        [(40, 0, 0), (240, 0, 1), (240, 80, 0), (40, 80, 1)], "xyb", close=True
    ).dxf.layer = "board"
    space.add_lwpolyline([(100, 40, 1), (130, 40, 1)], "xyb", close=True).dxf.layer = "letters"
    return written(document)


@drawing(count=1, area_mm2=PI * 50**2, width_mm=100, height_mm=100)
def a_circle_as_a_rational_spline():
    """The usual nine control points of a full circle, weights 1 and √½ (L. Piegl, W. Tiller, The NURBS Book, 7.5)."""
    document, space = new("R2010")
    corners = [
        (50, 0),
        (50, 50),
        (0, 50),
        (-50, 50),
        (-50, 0),
        (-50, -50),
        (0, -50),
        (50, -50),
        (50, 0),
    ]
    knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    space.add_rational_spline(corners, [1, math.sqrt(0.5)] * 4 + [1], 2, knots)
    return written(document)


@drawing(count=1, area_mm2=3600, width_mm=100, height_mm=45)
def a_hill_of_one_cubic_spline_and_a_line():
    """x = 100 (3t² - 2t³), y = 180 t (1 - t): the area is 108,000 ∫ t² (1 - t)² = 108,000 / 30, the top 180 / 4."""
    document, space = new("R2018")
    space.add_open_spline([(0, 0), (0, 60), (100, 60), (100, 0)], degree=3)
    space.add_line((0, 0), (100, 0))
    return written(document)


@drawing(
    count=5, area_mm2=400 * 200 + 4 * 300 * 4, width_mm=400, height_mm=200, levels=2, families=3
)
def mirrored_flags_in_nested_blocks():
    """A right-angled triangle is not its own mirror image: two families of two, and the board."""
    document, space = new(layers=("board", "flags"))
    flag = document.blocks.new("flag", base_point=(5, 0))
    flag.add_lwpolyline([(5, 0), (35, 0), (5, 20)], close=True)
    pair = document.blocks.new("pair")
    pair.add_blockref("flag", (0, 0))
    pair.add_blockref("flag", (-5, 0), {"xscale": -1})
    space.add_lwpolyline(box(0, 0, 400, 200), close=True).dxf.layer = "board"
    space.add_blockref(
        "pair", (100, 100), {"xscale": 2, "yscale": 2, "rotation": 90, "layer": "flags"}
    )
    space.add_blockref("pair", (250, 100), {"xscale": 2, "yscale": -2, "layer": "flags"})
    return written(document)


@drawing(count=1, area_mm2=(12 * 6 - PI * 1.5**2) * 25.4**2, width_mm=304.8, height_mm=152.4)
def inches_with_a_hole():
    """12 × 6 in with a hole of 3 in: on one layer the circle is a hole."""
    return entities(path(box(0, 0, 12, 6)), circle(6, 3, 1.5), header=unit(1))


@drawing(
    count=2,
    area_mm2=400 * 200 + 60 * 100 + PI * 50**2 / 2,
    width_mm=400,
    height_mm=200,
    levels=2,
    families=2,
)
def centimetres_in_old_polylines():
    """POLYLINE, VERTEX and SEQEND of R12; the D has one bulge."""
    document, space = new("R12", 5, ("board", "letters"))
    space.add_polyline2d(box(0, 0, 40, 20), close=True, dxfattribs={"layer": "board"})
    letter = [(10, 5, 0), (16, 5, 1), (16, 15, 0), (10, 15, 0)]
    space.add_polyline2d(letter, format="xyb", close=True, dxfattribs={"layer": "letters"})
    data = written(document)
    assert b"$INSUNITS" not in data  # the library leaves it out of R12; drawing programs write it
    return data.replace(b"  9\n$ACADVER", unit(5).encode() + b"  9\n$ACADVER")


@drawing(
    count=3,
    area_mm2=200 * 100 + PI * (30**2 - 18**2) + PI * 5**2,
    width_mm=200,
    height_mm=100,
    levels=2,
    families=3,
)
def a_letter_with_a_counter_and_a_dot_in_it():
    """O of three circles on one layer: ring, counter, and a dot in the counter, which is no hole of a hole."""
    document, space = new(layers=("board", "letters"))
    space.add_lwpolyline(box(0, 0, 200, 100), close=True).dxf.layer = "board"
    for r in (18, 5, 30):
        space.add_lwpolyline(
            [(100 - r, 50, 1), (100 + r, 50, 1)], "xyb", close=True
        ).dxf.layer = "letters"
    return written(document)


@drawing(
    count=3,
    area_mm2=3 * 1.5 * math.sqrt(3) * 50**2,
    width_mm=340,
    height_mm=100 * math.sqrt(0.75),
    signs=3,
)
def binary_hexagons():
    """The binary form; three hexagons of radius 50, 120 apart."""
    document, space = new()
    for number in range(3):
        turns = [(math.cos(k * PI / 3), math.sin(k * PI / 3)) for k in range(6)]
        space.add_lwpolyline([(120 * number + 50 * x, 50 * y) for x, y in turns], close=True)
    stream = io.BytesIO()
    document.write(stream, fmt="bin")
    return stream.getvalue()


@drawing(
    count=2, area_mm2=200 * 100 + PI * 40 * 15, width_mm=200, height_mm=100, levels=2, families=2
)
def names_in_an_old_code_page():
    """Names with an umlaut, one byte a letter (ANSI_1252), and a block that says which sign it is."""
    document, space = new(layers=("Planke", "Möwe"))
    sign = document.blocks.new("sign Möwenplatz")
    sign.add_lwpolyline(box(0, 0, 200, 100), close=True, dxfattribs={"layer": "Planke"})
    sign.add_ellipse((100, 50), (40, 0), 15 / 40, dxfattribs={"layer": "Möwe"})
    space.add_blockref("sign Möwenplatz", (10, 10))
    data = written(document)
    assert "Möwe".encode("cp1252") in data and "Möwe".encode() not in data
    return data


@drawing(
    count=2,
    area_mm2=120 * 60 + PI * 30**2 / 2 + PI * 20**2 / 2,
    width_mm=150,
    height_mm=60,
    levels=2,
    families=2,
)
def drawn_from_behind():
    """Extrusion (0, 0, -1): x counts to the left, arcs run clockwise. The arc is closed by a line drawn from before."""
    document, space = new(layers=("board", "letters"))
    behind = {"extrusion": (0, 0, -1)}
    corners = [(0, 0, 0), (-120, 0, -1), (-120, 60, 0), (0, 60, 0)]
    space.add_lwpolyline(corners, "xyb", close=True, dxfattribs={**behind, "layer": "board"})
    space.add_arc((-50, 20), 20, 0, 180, dxfattribs={**behind, "layer": "letters"})
    space.add_line((30, 20), (70, 20), dxfattribs={"layer": "letters"})
    return written(document)


@drawing(count=13, area_mm2=200 * 200 + 12 * 100, width_mm=200, height_mm=200, levels=2, families=2)
def rows_and_columns_of_one_insert():
    """Three rows of four squares, turned by 30°; the spacing is not scaled, the squares are."""
    document, space = new(layers=("board", "tiles"))
    document.blocks.new("tile").add_lwpolyline(box(0, 0, 5, 5), close=True)
    space.add_lwpolyline(box(0, 0, 200, 200), close=True).dxf.layer = "board"
    rows = {"row_count": 3, "column_count": 4, "row_spacing": 25, "column_spacing": 20}
    space.add_blockref(
        "tile", (80, 40), {"xscale": 2, "yscale": 2, "rotation": 30, "layer": "tiles", **rows}
    )
    return written(document)


@drawing(
    count=1,
    area_mm2=PI * 50 * 25,
    width_mm=2 * math.hypot(30, 20),
    height_mm=2 * math.hypot(40, 15),
)
def a_leaning_ellipse_of_two_arcs():
    """Half axes (30, 40) and (-20, 15): the box of c + u cos t + v sin t is twice √(ux² + vx²) wide."""
    document, space = new("R2004")
    space.add_ellipse((5, 5), (30, 40), 0.5, 0.3, 2.8)
    space.add_ellipse((5, 5), (30, 40), 0.5, 2.8, 0.3 + math.tau)
    return written(document)


@drawing(
    count=2,
    area_mm2=100 * 60 + PI * 20**2,
    width_mm=100,
    height_mm=60,
    levels=2,
    families=2,
    warnings={"double", "colour"},
)
def everything_twice():
    """Sides twice, a side in two pieces that overlap, a short line on a long one; the disc twice and an arc on it."""
    board = line(0, 0, 100, 0) + line(100, 60, 100, 0) + line(100, 0, 100, 60) + line(20, 0, 50, 0)
    board += line(100, 60, 30, 60) + line(0, 60, 45, 60) + line(0, 60, 0, 0) + line(0, 60, 0, 0)
    disc = circle(50, 30, 20, "dots") * 2 + arc(50, 30, 20, 10, 95, "dots")
    return entities(board, disc, header=unit(4))


@drawing(
    count=2,
    area_mm2=100 * 100 + 50 * 50,
    width_mm=200,
    height_mm=100,
    signs=2,
    families=2,
    warnings={"gap"},
)
def small_gaps():
    """0.03 mm open: closed without a word; 0.3 mm: closed and said."""
    large = (
        line(0, 0, 100, 0) + line(100, 0.03, 100, 100) + line(100, 100, 0, 100) + line(0, 100, 0, 0)
    )
    small = (
        line(150, 0, 200, 0)
        + line(200, 0, 200, 50)
        + line(200, 50, 150, 50)
        + line(150, 50, 150, 0.3)
    )
    return entities(large, small, header=unit(4))


@drawing(
    count=1,
    area_mm2=150 * 50,
    width_mm=150,
    height_mm=50,
    warnings={"layer", "hidden", "paper", "text", "hatch", "entity"},
)
def much_that_is_no_part():
    """Layers off, frozen, for construction; invisible, in paper space; words, a hatch, a point."""
    document, space = new("R2007", layers=("board", "old", "cold"))
    space.add_lwpolyline(box(0, 0, 150, 50), close=True).dxf.layer = "board"
    document.layers.get("old").off()
    document.layers.get("cold").freeze()
    for layer in ("old", "cold", "Defpoints"):
        space.add_circle((20, 20), 5, {"layer": layer})
    space.add_circle((40, 20), 5, {"layer": "board", "invisible": 1})
    document.layout("Layout1").add_circle((60, 20), 5)
    space.add_text("Bell & Rope", height=4).set_placement((9, 9))
    space.add_mtext("two\\Plines")
    space.add_hatch().paths.add_polyline_path(box(0, 0, 5, 5))
    space.add_point((3, 3))
    return written(document)


@drawing(count=1, area_mm2=300 * 100 - PI * 20**2, width_mm=300, height_mm=100)
def metres_a_thousand_kilometres_away():
    """Drawn on a map: 1,000 km from the origin, in metres."""
    x, y = 1_000_000.0, 5_000_000.0
    return entities(path(box(x, y, 0.3, 0.1)), circle(x + 0.15, y + 0.05, 0.02), header=unit(6))


@drawing(
    count=3, area_mm2=200 * 100 + 2 * 30 * 20, width_mm=200, height_mm=100, levels=2, families=3
)
def blocks_that_take_the_layer_of_their_insert():
    """What is on layer 0 of a block goes to the layer of the insert, so one block is two stocks: no shared family."""
    document, space = new("R2013", layers=("board", "red", "blue"))
    document.blocks.new("plate").add_lwpolyline(
        box(0, 0, 30, 20), close=True, dxfattribs={"color": 0}
    )
    space.add_lwpolyline(box(0, 0, 200, 100), close=True).dxf.layer = "board"
    space.add_blockref("plate", (20, 20), {"layer": "red"})
    space.add_blockref("plate", (120, 20), {"layer": "blue", "color": 5})
    return written(document)


@drawing(count=1, area_mm2=80 * 40, width_mm=80, height_mm=40)
def a_polyline_with_its_spline_frame():
    """R12: the control points of the frame (flag 16) are in the list, but are not drawn."""
    vertices = [(0, 0, 8), (80, 0, 8), (300, 300, 16), (80, 40, 8), (0, 40, 8)]
    rows = [
        tags((0, "VERTEX"), (8, "board"), (10, x), (20, y), (30, 0.0), (70, flag))
        for x, y, flag in vertices
    ]
    head = tags((0, "POLYLINE"), (8, "board"), (66, 1), (10, 0.0), (20, 0.0), (30, 0.0), (70, 5))
    return entities(head, *rows, tags((0, "SEQEND"), (8, "board")), header=unit(4))


@drawing(
    count=2,
    area_mm2=100 * 50,
    width_mm=100,
    height_mm=50,
    signs=2,
    families=2,
    warnings={"meeting"},
)
def two_panels_that_share_a_side():
    """The side between them is drawn once: each closed cell is an outline, and that is said."""
    return entities(path(box(0, 0, 100, 50)), line(60, 0, 60, 50), header=unit(4))


@drawing(
    count=4,
    area_mm2=2 * 100 * 60 + 2 * PI * 10**2,
    width_mm=250,
    height_mm=60,
    levels=2,
    signs=1,
    families=2,
)
def one_sign_of_two_boards_by_its_group():
    """A GROUP named 'sign …' makes one sign of two boards."""
    document, space = new("R2010", layers=("boards", "dots"))
    members = [
        space.add_lwpolyline(box(x, 0, 100, 60), close=True, dxfattribs={"layer": "boards"})
        for x in (0, 150)
    ]
    for x in (50, 200):
        space.add_circle((x, 30), 10, {"layer": "dots"})
    document.groups.new("sign ferry stage").extend(members)
    return written(document)


@drawing(count=1, area_mm2=50 * 50 + 4 * PI * 25**2 / 2, width_mm=100, height_mm=100)
def a_square_with_a_half_circle_on_each_side():
    """The square has 50 mm; four arcs and no line."""
    return entities(
        arc(50, 25, 25, 180, 360),
        arc(75, 50, 25, 270, 90),
        arc(50, 75, 25, 0, 180),
        arc(25, 50, 25, 90, 270),
        header=unit(4),
    )
