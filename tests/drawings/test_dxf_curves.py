"""Curves of a DXF file lie where closed forms and the second reader, ezdxf's own paths, put them."""

import itertools
import math

import ezdxf
import pytest
from drawings.corpus_dxf import arc, box, circle, entities, line, new, path, tags, unit, written
from ezdxf import disassemble
from ezdxf.math import BSpline, Matrix44, Vec3
from ezdxf.path import make_path
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiLineString, Point, hausdorff_distance
from shop_for_tests import grows_at_most

from shopfloor.drawings.dxf import read_dxf
from shopfloor.drawings.dxf.curves import tracks_of
from shopfloor.drawings.dxf.splines import spline_points
from shopfloor.drawings.dxf.walk import Walk

CHORD_MM = 0.05
# The second reader takes a cubic for each quarter of a circle, which strays by 0.00027 of the radius; radii here stay
# under 40 mm.
SLACK_MM = CHORD_MM + 0.00027 * 40 + 0.001


def drawn(entity, matrix=None):
    """The entity's first curve, as a line."""
    track = tracks_of(entity, matrix or Matrix44(), lambda number: None)[0]
    return LineString([*track.points, *(track.points[:1] if track.is_closed else [])])


def by_the_library(entity, fine=0.0005):
    return LineString(
        [(point.x, point.y) for point in make_path(entity).flattening(fine, segments=16)]
    )


def made():
    """One entity of each kind, and the traps among them."""
    space = ezdxf.new().modelspace()
    behind = {"extrusion": (0, 0, -1)}
    points = [(0, 0, 0.3), (30, 5, -0.7), (45, 30, 0), (10, 40, 2.5)]
    return {
        "line": space.add_line((1, 2, 3), (40, 50, 6)),
        "arc over the zero": space.add_arc((5, 5), 30, 300, 80),
        "arc from behind": space.add_arc((5, 5), 30, 300, 80, dxfattribs=behind),
        "tilted arc": space.add_arc(
            (5, 5, 2), 30, 10, 200, dxfattribs={"extrusion": (0.3, -0.5, 0.8)}
        ),
        "circle": space.add_circle((-7, 3), 25),
        "ellipse": space.add_ellipse((1, 1), (20, 25), 0.4),
        "arc of an ellipse": space.add_ellipse((1, 1), (20, 25), 0.4, 5, 1.2),
        "ellipse from behind": space.add_ellipse((1, 1), (20, 25), 0.4, 0.2, 2, dxfattribs=behind),
        "open polyline": space.add_lwpolyline(points, "xyb"),
        "closed polyline": space.add_lwpolyline(points, "xyb", close=True),
        "polyline from behind": space.add_lwpolyline(points, "xyb", dxfattribs=behind),
        "old polyline": space.add_polyline2d(points, format="xyb"),
        "old polyline, closed, from behind": space.add_polyline2d(
            points, format="xyb", close=True, dxfattribs=behind
        ),
        "polyline in space": space.add_polyline3d(
            [(0, 0, 9), (30, 5, 4), (45, 30, -3)], close=True
        ),
        "cubic spline": space.add_open_spline(
            [(0, 0), (10, 30), (25, -20), (40, 30), (50, 0), (70, 10)]
        ),
        "spline of degree 5": space.add_open_spline(
            [(n * 9, n * n % 7 * 5) for n in range(9)], degree=5
        ),
        "rational spline": space.add_rational_spline(
            [(0, 0), (9, 30), (30, 30), (40, 0)], [1, 3, 0.5, 1], 3
        ),
        "spline through points": space.add_spline([(0, 0), (20, 30), (40, 10), (60, 30)]),
    }


@pytest.mark.parametrize("kind", made())
def test_a_curve_lies_within_a_twentieth_of_a_millimetre_of_the_librarys(kind):
    entity = made()[kind]
    ours, theirs = drawn(entity), by_the_library(entity)
    assert hausdorff_distance(ours, theirs, densify=0.05) <= SLACK_MM
    assert ours.bounds == pytest.approx(theirs.bounds, abs=SLACK_MM)


@pytest.mark.parametrize("radius", [0.5, 20, 3000])
def test_no_chord_of_a_circle_strays_and_its_size_is_exact(radius):
    drawing = read_dxf(entities(circle(0, 0, radius), header=unit(4)))
    outline = drawing.outlines[0].outline
    assert (drawing.width_mm, drawing.height_mm) == pytest.approx(
        (2 * radius, 2 * radius), abs=0.001
    )
    ring = [*outline.rings[0], outline.rings[0][0]]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(ring)]
    assert all(
        radius - math.dist(middle, (radius, radius)) <= CHORD_MM + 0.001 for middle in middles
    )


def test_curves_are_cut_into_chords_after_the_unit_is_known():
    in_mm = read_dxf(entities(circle(0, 0, 500), header=unit(4))).outlines[0].outline
    in_metres = read_dxf(entities(circle(0, 0, 0.5), header=unit(6))).outlines[0].outline
    assert len(in_mm.rings[0]) == len(in_metres.rings[0]) > 200


def test_the_box_of_an_arc_is_exact_though_no_chord_ends_at_its_top():
    """A half circle that leans by 45°: from its ends it rises to r, and falls to r sin 45° on the other side."""
    h = 37 * math.sqrt(0.5)
    drawing = read_dxf(entities(arc(0, 0, 37, 45, 225), line(h, h, -h, -h), header=unit(4)))
    assert drawing.width_mm == pytest.approx(37 + h, abs=0.002)
    assert drawing.height_mm == pytest.approx(37 + h, abs=0.002)


def test_a_spline_without_clamped_ends_begins_where_its_span_does():
    """A uniform cubic passes its knots at (P0 + 4 P1 + P2) / 6 (C. de Boor, A Practical Guide to Splines, ch. IX)."""
    control = [(0, 0), (60, 0), (90, 50), (30, 80), (-20, 40)]
    control += control[:3]
    points = spline_points(control, 3, list(range(12)), [], lambda number: None)
    assert math.dist(points[0], points[-1]) < 1e-9
    curve = LineString(points)
    for a, b, c in zip(control, control[1:], control[2:], strict=False):
        knot = [(p + 4 * q + r) / 6 for p, q, r in zip(a, b, c, strict=True)]
        assert curve.distance(Point(knot)) < 1e-6


def test_points_of_a_rational_spline_are_those_of_the_librarys_evaluator():
    control, weights = [(0, 0), (100, 200), (300, -200), (400, 100), (500, 0)], [1, 2, 0.5, 4, 1]
    knots = [0, 0, 0, 0, 0.3, 1, 1, 1, 1]
    ours = LineString(spline_points(control, 3, knots, weights, lambda number: None))
    curve = BSpline([Vec3(p) for p in control], order=4, knots=knots, weights=weights)
    assert (
        max(ours.distance(Point(p.x, p.y)) for p in curve.points([n / 997 for n in range(997)]))
        <= CHORD_MM
    )


scales = st.floats(-3, 3).filter(lambda value: abs(value) > 0.2)
turns = st.floats(-180, 180)


@settings(max_examples=20)
@given(
    st.tuples(scales, scales, turns, st.booleans()),
    st.tuples(scales, turns, st.booleans()),
    st.booleans(),
)
def test_nested_blocks_lie_where_the_library_explodes_them(inner, outer, has_rows):
    document, space = new()
    leaf = document.blocks.new("leaf", base_point=(3, 1))
    leaf.add_lwpolyline([(0, 0, 0.5), (9, 0, 0), (4, 6, -0.4)], "xyb", close=True)
    leaf.add_arc((2, 2), 4, 20, 290)
    leaf.add_ellipse((1, 0), (3, 1), 0.5, 0.3, 4)
    branch = document.blocks.new("branch", base_point=(-2, 5))
    branch.add_blockref("leaf", (7, -4), placed(*inner, False))
    # the library can neither shear a copy nor mirror the rows of one: the outer one keeps squares square
    space.add_blockref("branch", (7, -4), placed(outer[0], -outer[0], *outer[1:], has_rows))
    ours = [drawn(one.entity, one.matrix) for one in Walk(document, 1.0).curves()]
    theirs = [by_the_library(one, 0.005) for one in disassemble.recursive_decompose(space)]
    assert len(ours) == 3 * (4 if has_rows else 1)
    # all the library's points are compared with all of ours: it explodes a squeezed polyline into its sides
    assert hausdorff_distance(MultiLineString(ours), MultiLineString(theirs)) <= SLACK_MM + 0.02


def placed(sx, sy, turn, is_mirrored, has_rows):
    rows = (
        {"row_count": 2, "row_spacing": 30, "column_count": 2, "column_spacing": -20}
        if has_rows
        else {}
    )
    side = {"extrusion": (0, 0, -1 if is_mirrored else 1)}
    return {"xscale": sx, "yscale": sy, "zscale": 1, "rotation": turn, **side, **rows}


@settings(max_examples=25)
@given(st.tuples(scales, scales, turns), st.tuples(scales, scales, turns))
def test_a_circle_squeezed_twice_has_the_area_of_its_determinant(inner, outer):
    """An affine map multiplies areas by |det|; squeezing, turning and squeezing again shears."""
    document, space = new()
    document.blocks.new("leaf").add_circle((5, 2), 30)
    document.blocks.new("branch").add_blockref("leaf", (3, 4), placed(*inner, False, False))
    space.add_blockref("branch", (0, 0), placed(*outer, True, False))
    outline = read_dxf(written(document)).outlines[0].outline
    exact = math.pi * 30**2 * abs(inner[0] * inner[1] * outer[0] * outer[1])
    assert 0 <= exact - outline.area_mm2 <= CHORD_MM * outline.polygon.length + 0.01


def field(count: int) -> bytes:
    """Plates with two round sides, a hundred to the row."""
    rows = []
    for number in range(count):
        x, y = number % 100 * 50, number // 100 * 50
        corners = [(x, y, 0.5), (x + 40, y, 0), (x + 40, y + 30, 0.3), (x, y + 30, 0)]
        head = [
            (0, "LWPOLYLINE"),
            (100, "AcDbEntity"),
            (8, "board"),
            (100, "AcDbPolyline"),
            (90, 4),
            (70, 1),
        ]
        rows.append(
            tags(*head, *[pair for x, y, b in corners for pair in ((10, x), (20, y), (42, b))])
        )
    return entities(*rows, header=tags((9, "$ACADVER"), (1, "AC1015")) + unit(4))


def test_time_grows_with_the_number_of_outlines_up_to_ten_thousand():
    fields = {count: field(count) for count in (1000, 10_000)}

    def read(count: int) -> None:
        assert len(read_dxf(fields[count]).outlines) == count

    assert grows_at_most(20, read, 1000, 10_000)


def test_loose_lines_join_in_time_that_grows_with_their_number():
    def read(count: int) -> None:
        squares = [
            path(box(number % 60 * 30, number // 60 * 30, 20, 20)) for number in range(count)
        ]
        assert len(read_dxf(entities(*squares, header=unit(4))).outlines) == count

    assert grows_at_most(20, read, 300, 3000)
