"""How pieces are held, as marks on the picture of a sheet: read back by svgpathtools and compared with shapely."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import chain

import pytest
import shapely
from holding_for_tests import disc
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shop_for_tests import box
from svgpathtools import parse_path

from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing.setup_sheets import TabOnSheet
from shopfloor.scenes import sign
from shopfloor.scenes.nest import NestedPiece, hold_marks
from shopfloor.scenes.numbers import ON_SCREEN_PX as NUMBER_PX
from shopfloor.scenes.scene import Scene, Shape, screen
from shopfloor.web.pictures.paths import TOLERANCE_PX, UNIT
from shopfloor.web.pictures.svg import drawn_marks, drawn_numbers

INSET_PX, TAB_PX = screen(1.0).insets[0], screen(1.0).least_tab
SCALE, HIGH = 2.0, 1000.0  # drawing units a mm; the height of the sheet that y is turned over about


def dumbbell(bar: float = 6.0) -> Outline:
    """Two squares of 60 mm joined by a bar so thin that the line inside it parts into two."""
    shape = shapely.union_all(
        [
            shapely.box(0, 0, 60, 60),
            shapely.box(140, 0, 200, 60),
            shapely.box(60, 28, 140, 28 + bar),
        ]
    )
    return Outline.of_polygon(shape)


def frame() -> Outline:
    """A square of 100 mm with a hole of 40 mm."""
    return Outline.of_polygon(shapely.box(200, 300, 300, 400) - shapely.box(230, 330, 270, 370))


def comb(teeth: int = 4) -> Outline:
    """Teeth upwards on a back: a strip across it lies on the piece in several areas."""
    upright = [shapely.box(40 * n, 0, 40 * n + 22, 90) for n in range(teeth)]
    return Outline.of_polygon(shapely.union_all([shapely.box(0, 0, 40 * teeth, 15), *upright]))


SHAPES = {
    "square": box(100, 200, 80, 50),
    "disc": disc(40),
    "frame": frame(),
    "dumbbell": dumbbell(),
    "comb": comb(),
}


def marks(
    outline: Outline, way: str, tabs=(), tab_mm: float = 6.0, scale: float = SCALE
) -> dict[str, list[str]]:
    """The path data of one piece's marks by their kind."""
    piece = NestedPiece(Shape("", 0, "", outline), way, tuple(TabOnSheet(*tab) for tab in tabs))
    holds = tuple(hold_marks(piece, tab_mm, screen(UNIT / scale)))
    drawn = list(drawn_marks(Scene(1000.0, HIGH, (), holds=holds), scale))
    return {
        kind: [mark.d for mark in drawn if mark.kind == kind] for kind in ("tab", "skin", "tape")
    }


def rings(d: str, scale: float = SCALE) -> list[Polygon]:
    """The closed rings of path data as a second reader sees them, in mm on the sheet."""
    found = []
    for part in parse_path(d).continuous_subpaths():
        assert part.isclosed()
        corners = [segment.start for segment in part]
        found.append(Polygon([(p.real / scale, HIGH - p.imag / scale) for p in corners]))
    return found


def filled(parts: Sequence[Polygon]) -> shapely.Geometry:
    """What is inside an odd number of rings."""
    area = shapely.Polygon()
    for part in parts:
        area = area.symmetric_difference(part)
    return area


def slack(scale: float = SCALE) -> float:
    """How far a drawn line may stray, in mm: by what is left out, by rounding to whole units, twice over."""
    return 2 * (TOLERANCE_PX * UNIT + 1) / scale


# The second line of a skin. -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_a_skin_is_a_second_line_inside_the_outline_at_its_inset(name):
    outline = SHAPES[name]
    (d,) = marks(outline, "skin")["skin"]
    drawn, inset = filled(rings(d)), INSET_PX * UNIT / SCALE
    assert outline.polygon.buffer(0.01).contains(drawn)
    assert outline.polygon.exterior.distance(drawn) == pytest.approx(inset, abs=slack())
    expected = outline.polygon.buffer(-inset)
    assert shapely.hausdorff_distance(drawn.boundary, expected.boundary) < 1.5 * slack()


def test_a_skin_inside_a_piece_with_a_thin_neck_is_two_lines_and_none_leads_across():
    """A path that begins its second area where the first ended would draw a line 80 mm long between them."""
    (d,) = marks(dumbbell(), "skin")["skin"]
    parts = rings(d)
    assert len(parts) == 2 == d.count("M")
    assert sorted(round(part.centroid.x) for part in parts) == [30, 170]
    inset = INSET_PX * UNIT / SCALE
    assert [part.area for part in parts] == pytest.approx([(60 - 2 * inset) ** 2] * 2, rel=0.08)


def test_a_round_line_goes_on_in_steps_from_where_it_begins():
    """After an M further pairs are places, after an m steps (SVG 2, 9.3.3): begun with M it would run off to 0, 0."""
    (d,) = marks(disc(40), "skin")["skin"]
    (ring,) = rings(d)
    assert ring.is_valid and ring.area == pytest.approx(
        math.pi * (40 - INSET_PX * UNIT / SCALE) ** 2, rel=0.03
    )


def test_the_hole_of_a_piece_has_its_second_line_round_it():
    (d,) = marks(frame(), "skin")["skin"]
    outer, hole = sorted(rings(d), key=lambda ring: -ring.area)
    inset = INSET_PX * UNIT / SCALE
    assert hole.contains(shapely.box(230, 330, 270, 370)) and outer.contains(hole)
    assert (outer.bounds[0], hole.bounds[0]) == pytest.approx(
        (200 + inset, 230 - inset), abs=slack()
    )


def test_a_piece_too_thin_for_a_second_line_has_none():
    inset = INSET_PX * UNIT / SCALE
    assert marks(box(0, 0, 200, 1.9 * inset), "skin")["skin"] == []
    assert len(marks(box(0, 0, 200, 6 * inset), "skin")["skin"]) == 1


# Tape. ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHAPES)
def test_tape_is_two_strips_that_lie_wholly_on_the_piece(name):
    outline = SHAPES[name]
    (d,) = marks(outline, "tape")["tape"]
    parts = rings(d)
    assert len(parts) == d.count("M") >= 2
    drawn = shapely.union_all(parts)
    assert drawn.difference(outline.polygon.buffer(slack())).area == 0
    left, bottom, right, top = outline.bounds
    for share in (0.3, 0.7):
        middle = LineString(
            [
                (left - 1, bottom + share * (top - bottom)),
                (right + 1, bottom + share * (top - bottom)),
            ]
        )
        on_it, covered = (
            outline.polygon.intersection(middle).length,
            drawn.intersection(middle).length,
        )
        assert covered == pytest.approx(on_it, abs=slack() * 2 * len(parts))


def test_each_area_of_a_strip_begins_at_its_own_place():
    """The comb has four teeth: the strips cross each of them, and no line joins two."""
    (d,) = marks(comb(), "tape")["tape"]
    parts = rings(d)
    assert len(parts) == 8 and all(part.bounds[2] - part.bounds[0] < 22 + slack() for part in parts)
    assert all(comb().polygon.buffer(slack()).contains(part) for part in parts)


def test_a_taped_piece_has_its_skin_too_and_one_in_a_full_pass_no_mark():
    taped, full = marks(box(0, 0, 60, 60), "tape"), marks(box(0, 0, 60, 60), "full")
    assert (len(taped["skin"]), len(taped["tape"]), taped["tab"]) == (1, 1, [])
    assert full == {"tab": [], "skin": [], "tape": []}


# Tabs. ----------------------------------------------------------------------------------------------------------------


@given(
    st.floats(5, 2400),
    st.floats(5, 990),
    st.floats(0, 360),
    st.floats(4, 30),
    st.sampled_from([0.6, 2.0, 5.0]),
)
@settings(max_examples=150)
def test_a_tab_is_a_bar_across_its_middle_at_its_angle(x, y, angle, tab_mm, scale):
    (d,) = marks(box(0, 0, 10, 10), "tabs", [(x, y, angle)], tab_mm, scale)["tab"]
    (bar,) = parse_path(d)
    middle = bar.point(0.5)
    assert (middle.real / scale, HIGH - middle.imag / scale) == pytest.approx(
        (x, y), abs=1.5 / scale
    )
    assert abs(bar.end - bar.start) == pytest.approx(max(tab_mm * scale, TAB_PX * UNIT), abs=1.5)
    across = bar.end - bar.start
    turned = (
        math.degrees(math.atan2(-across.imag, across.real)) - angle
    )  # y points down on the drawing
    assert abs((turned + 90) % 180 - 90) < 3.0


def test_there_is_a_bar_for_each_tab():
    places = [(10.0, 20.0, 0.0), (40.0, 20.0, 90.0), (70.0, 60.0, 30.0)]
    drawn = marks(box(0, 0, 80, 80), "tabs", places)
    assert len(drawn["tab"]) == 3 and drawn["skin"] == drawn["tape"] == []


# Numbers. -------------------------------------------------------------------------------------------------------------


def numbered(pairs):
    return drawn_numbers(sign.on_screen([], (1000.0, HIGH), UNIT / SCALE, pairs), SCALE)


@pytest.mark.parametrize("name", SHAPES)
def test_a_number_stands_on_its_piece_and_never_in_a_hole(name):
    outline = SHAPES[name]
    (number,) = numbered([(7, outline)])
    at = shapely.Point(number.x / SCALE, HIGH - number.y / SCALE)
    assert number.text == "7" and outline.polygon.contains(at)
    room = outline.polygon.boundary.distance(at)
    most = shapely.maximum_inscribed_circle(outline.polygon, tolerance=0.05).length
    assert room >= 0.85 * most, "it stands where its piece is roomiest"
    assert NUMBER_PX[0] * UNIT <= number.size <= NUMBER_PX[1] * UNIT


def test_a_number_is_as_large_as_there_is_room():
    squares = [(n, box(0, 0, side, side)) for n, side in enumerate((4, 40, 400), start=1)]
    small, middling, large = (number.size for number in numbered(squares))
    assert small == NUMBER_PX[0] * UNIT < middling < large == NUMBER_PX[1] * UNIT


def test_path_data_is_short_whole_numbers_alone():
    for shape in SHAPES.values():
        for way in ("skin", "tape"):
            for d in chain.from_iterable(marks(shape, way).values()):
                assert re.fullmatch(r"[MmhvlzZ\d -]+", d)
