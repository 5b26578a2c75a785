"""Areas, sizes and places of what is read, against closed forms, a second library and arithmetic by hand."""

import math

import pint
import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.svgLib.path import parse_path
from shapely import Point

from shopfloor.domain.drawing.drawing import Drawing
from shopfloor.domain.outlines import PLACES
from shopfloor.drawings.svg import read_svg

CHORD_MM = 0.05
STAR = "M50 5L76.45 86.41L7.20 36.09H92.80L23.55 86.41Z"
LETTER = (
    "M10 0C15.5 0 20 4.5 20 10S15.5 20 10 20 0 15.5 0 10 4.5 0 10 0z"
    "M10 4C6.7 4 4 6.7 4 10s2.7 6 6 6 6-2.7 6-6-2.7-6-6-6z"
)


def drawn(body: str, size: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"') -> Drawing:
    xmlns = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return read_svg(f"<svg {xmlns} {size}>{body}</svg>".encode())


def only(drawing: Drawing):
    (one,) = drawing.outlines
    return one.outline


@pytest.mark.parametrize("radius", [1, 7, 48, 5000])
def test_a_circle_keeps_its_size_and_no_chord_leaves_it_by_more_than_the_tolerance(radius):
    circle = only(drawn(f'<circle r="{radius}"/>'))
    assert circle.width_mm == circle.height_mm == 2 * radius
    assert 0 < math.pi * radius**2 - circle.area_mm2 < math.tau * radius * CHORD_MM
    ring = circle.rings[0]
    middles = [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
    ]
    assert all(radius - Point(x, y - 100).distance(Point(0, 0)) <= CHORD_MM for x, y in middles)


def test_an_ellipse_turned_and_stretched_has_the_area_of_its_closed_form():
    ellipse = only(drawn('<ellipse cx="3" rx="20" ry="5" transform="matrix(2 1 -1 3 40 20)"/>'))
    exact = math.pi * 20 * 5 * (2 * 3 - 1 * -1)  # the matrix's determinant
    assert 0 < exact - ellipse.area_mm2 < ellipse.perimeter_mm * CHORD_MM


def test_a_rounded_rectangle_lacks_only_its_corners():
    outline = only(drawn('<rect x="10" y="20" width="60" height="30" rx="8" ry="4"/>'))
    assert outline.bounds == (10, 50, 70, 80)
    assert outline.area_mm2 == pytest.approx(
        60 * 30 - (4 - math.pi) * 8 * 4, abs=outline.perimeter_mm * CHORD_MM
    )


def test_radii_that_are_too_large_are_cut_to_half_the_side_and_one_radius_serves_both():
    outline = only(drawn('<rect width="40" height="20" rx="99"/>'))
    assert outline.area_mm2 == pytest.approx(math.pi * 20 * 10, abs=outline.perimeter_mm * CHORD_MM)


@pytest.mark.parametrize("scale", [0.1, 1, 30])
def test_a_letter_has_the_area_that_fonttools_finds_by_greens_theorem(scale):
    letter = only(drawn(f'<path fill-rule="evenodd" transform="scale({scale})" d="{LETTER}"/>'))
    outer, inner = AreaPen(), AreaPen()  # exact for Béziers
    parse_path(LETTER[: LETTER.index("zM") + 1], outer)
    parse_path("M10 4" + LETTER.split("M10 4")[1], inner)
    exact = (abs(outer.value) - abs(inner.value)) * scale**2
    assert letter.area_mm2 == pytest.approx(exact, abs=letter.perimeter_mm * CHORD_MM)
    assert len(letter.rings) == 2


def test_no_point_of_a_curve_lies_further_than_the_tolerance_from_its_chords():
    p = [(0, 0), (90, -60), (140, 130), (160, 0)]
    edge = only(
        drawn('<path d="M0 0C90-60 140 130 160 0V90H0Z" transform="translate(20 60)"/>')
    ).polygon.exterior
    for step in range(2001):
        t = step / 2000
        weights = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        x, y = (sum(w * q[axis] for w, q in zip(weights, p, strict=True)) for axis in (0, 1))
        assert edge.distance(Point(x + 20, 100 - (y + 60))) <= CHORD_MM
    assert len(edge.coords) < 100  # and not by drowning it in points


@pytest.mark.parametrize("flags, share", [("0 1", 0.25), ("1 1", 0.75), ("0 0", 0.25)])
def test_arcs_of_a_path_are_the_small_and_the_large_way_round(flags, share):
    wedge = only(
        drawn(f'<path d="M50 50L90 50A40 40 0 {flags} {"50 90" if flags == "0 1" else "50 10"}Z"/>')
    )
    assert wedge.area_mm2 == pytest.approx(
        math.pi * 1600 * share, abs=wedge.perimeter_mm * CHORD_MM
    )


def test_an_arc_without_a_radius_is_a_line():
    assert only(drawn('<path d="M0 0H40A0 5 0 0 1 0 30Z"/>')).area_mm2 == 600


def test_a_star_has_a_hole_by_evenodd_and_none_by_nonzero():
    full = only(drawn(f'<path d="{STAR}"/>'))
    tips = drawn(f'<path fill-rule="evenodd" d="{STAR}"/>').outlines
    assert len(tips) == 5  # the tips touch in single points only
    inner = full.area_mm2 - sum(tip.outline.area_mm2 for tip in tips)
    # the pentagon inside a pentagram with circumradius R has circumradius R / φ²; area 5/2 r² sin 72°
    r = 45 / ((1 + math.sqrt(5)) / 2) ** 2
    assert inner == pytest.approx(2.5 * r * r * math.sin(math.radians(72)), rel=1e-3)


@pytest.mark.parametrize("rule, area", [("nonzero", 700), ("evenodd", 600)])
def test_overlapping_squares_of_one_path_are_joined_by_one_rule_and_cut_by_the_other(rule, area):
    parts = drawn(f'<path fill-rule="{rule}" d="M0 0h20v20h-20zM10 10h20v20h-20z"/>').outlines
    assert sum(part.outline.area_mm2 for part in parts) == area


def test_a_ring_drawn_the_same_way_round_has_a_hole_only_by_evenodd():
    same_way = 'd="M0 0h40v40h-40zM10 10h20v20h-20z"'
    assert only(drawn(f"<path {same_way}/>")).area_mm2 == 1600
    assert only(drawn(f'<path fill-rule="evenodd" {same_way}/>')).area_mm2 == 1200
    assert only(drawn('<path d="M0 0h40v40h-40zM10 10v20h20v-20z"/>')).area_mm2 == 1200


def test_each_separate_area_of_an_element_is_a_part_and_its_holes_come_from_itself_alone():
    drawing = drawn(
        '<rect width="200" height="100" fill="red"/><path fill="red" d="M10 10h20v20h-20zM50 10h20v20h-20z"/>'
    )
    assert [part.outline.area_mm2 for part in drawing.outlines] == [20000, 400, 400]
    assert [part.order for part in drawing.outlines] == [0, 1, 2]


def test_strokes_nest_by_colour_and_alternate():
    rings = [(90, "red"), (80, "red"), (70, "red"), (60, "blue"), (50, "red")]
    drawing = drawn(
        "".join(
            f'<rect width="{s}" height="{s}" x="{-s / 2}" y="{-s / 2}" fill="none" stroke="{c}"/>'
            for s, c in rings
        )
    )
    assert [(part.colour, part.outline.area_mm2) for part in drawing.outlines] == [
        ("#ff0000", 90**2 - 80**2),
        ("#ff0000", 70**2),  # in a hole: a part again; the blue one in it is no hole of it
        ("#0000ff", 60**2),
        ("#ff0000", 50**2),
    ]


def test_a_stroke_drawn_twice_counts_once():
    drawing = drawn('<rect width="30" height="30" fill="none" stroke="red"/>' * 2)
    assert len(drawing.outlines) == 1
    assert [finding.kind for finding in drawing.warnings] == ["double"]


def test_y_points_up_and_the_pages_lower_left_corner_is_the_origin():
    assert only(drawn('<rect x="10" y="5" width="20" height="30"/>')).bounds == (10, 65, 30, 95)


def test_transforms_follow_one_another_from_the_outside_in():
    body = '<g transform="translate(100 0) scale(2)"><rect transform="rotate(90)" width="10" height="5"/></g>'
    # by hand: (x, y) → (-y, x) → (100 - 2 y, 2 x), page down; then y up from 100
    assert only(drawn(body)).bounds == (90, 80, 100, 100)
    skewed = only(drawn('<rect transform="skewX(45)" width="10" height="20"/>'))
    assert skewed.bounds == (0, 80, 30, 100)
    assert skewed.area_mm2 == pytest.approx(200)


def test_clones_and_symbols_are_drawn_where_they_are_used():
    body = (
        '<defs><symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
        '<rect id="r" width="10" height="10"/></defs>'
        '<use href="#r" x="50" y="20"/><use xlink:href="#s" width="40" height="40" transform="translate(100 0)"/>'
    )
    assert [part.outline.bounds for part in drawn(body).outlines] == [
        (50, 70, 60, 80),
        (100, 60, 140, 100),
    ]


@pytest.mark.parametrize("unit", ["mm", "cm", "in", "pt", "px", "pc", "", "Q"])
def test_units_agree_with_pint(unit):
    registry = pint.get_application_registry()
    names = {
        "": "inch / 96",
        "px": "inch / 96",
        "pt": "point",
        "pc": "pica",
        "in": "inch",
        "Q": "mm / 4",
    }
    exact = (120 * registry(names.get(unit, unit))).to("mm").magnitude
    drawing = drawn('<rect width="100%" height="50%"/>', f'width="120{unit}" height="60{unit}"')
    assert drawing.width_mm == pytest.approx(exact, abs=10**-PLACES)
    assert only(drawing).width_mm == pytest.approx(exact, abs=10**-PLACES)
    inside = drawn(f'<rect width="12{unit}" height="6{unit}"/>', 'width="1000mm" height="500mm"')
    assert only(inside).width_mm == pytest.approx(exact / 10, abs=10**-PLACES)


@pytest.mark.parametrize(
    "keep, bounds",
    [
        ("xMidYMid", (50, 0, 150, 100)),
        ("xMinYMid meet", (0, 0, 100, 100)),
        ("xMaxYMin meet", (100, 0, 200, 100)),
        ("none", (0, 0, 200, 100)),
        ("xMidYMid slice", (0, -50, 200, 150)),
    ],
)
def test_a_view_box_is_fitted_as_preserve_aspect_ratio_says(keep, bounds):
    size = f'width="200mm" height="100mm" viewBox="-5 -5 10 10" preserveAspectRatio="{keep}"'
    assert only(drawn('<rect x="-5" y="-5" width="10" height="10"/>', size)).bounds == bounds


def test_a_drawing_survives_json():
    drawing = drawn(f'<g id="sign-2"><path id="bow" d="{STAR}"/></g><line x2="5"/>')
    assert Drawing.of_dict(drawing.as_dict()) == drawing


@pytest.mark.parametrize("radius", [1, 3, 5, 10, 20, 60, 400])
def test_a_circle_of_any_size_keeps_its_area_to_a_fifth_of_a_percent(radius):
    """Against π r², also where 0.05 mm is a good part of the radius; the width is exact."""
    side = 2 * radius + 2
    data = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}">'
        f'<circle cx="{radius + 1}" cy="{radius + 1}" r="{radius}"/></svg>'
    )
    (drawn,) = read_svg(data.encode()).outlines
    assert drawn.outline.area_mm2 == pytest.approx(math.pi * radius**2, rel=2e-3)
    assert drawn.outline.width_mm == drawn.outline.height_mm == 2 * radius
