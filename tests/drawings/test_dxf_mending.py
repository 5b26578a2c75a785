"""Loose, doubled and crossing lines of a DXF file: what becomes of them, in areas that one can work out by hand."""

import math

import pytest
from drawings.corpus_dxf import arc, box, circle, entities, line, path, tags, unit
from hypothesis import given, settings
from hypothesis import strategies as st

from shopfloor.drawings.dxf import read_dxf

BOARD = path(box(0, 0, 100, 60))


def read(*drawn: str):
    return read_dxf(entities(*drawn, header=unit(4)))


def areas(drawing) -> list[float]:
    return [round(one.outline.area_mm2, 1) for one in drawing.outlines]


def kinds(drawing) -> list[str]:
    return [finding.kind for finding in drawing.warnings]


@settings(max_examples=60)
@given(st.permutations(range(12)), st.lists(st.booleans(), min_size=12, max_size=12))
def test_sides_join_in_whatever_order_and_direction_they_are_drawn(order, turned):
    corners = [(0, 0), (90, 0), (90, 40), (50, 40), (50, 70), (0, 70)]
    sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
    sides += [((x + 100, y), (u + 100, v)) for (x, y), (u, v) in sides]
    drawn = [(*sides[one][::-1],) if turned[one] else sides[one] for one in order]
    drawing = read(*[line(*one, *other) for one, other in drawn])
    assert areas(drawing) == [90 * 70 - 40 * 30] * 2 and kinds(drawing) == []


@pytest.mark.parametrize("gap, said", [(0.0, []), (0.03, []), (0.3, ["gap"])])
def test_ends_join_over_small_gaps_and_over_wider_ones_it_is_said(gap, said):
    drawing = read(
        line(gap, 0, 100, 0), line(100, 0, 100, 60), line(100, 60, 0, 60), line(0, 60, 0, 0)
    )
    assert areas(drawing)[0] == pytest.approx(6000, abs=gap * 60) and kinds(drawing) == said


def test_a_line_drawn_again_backwards_is_dropped():
    drawing = read(BOARD, line(100, 0, 0, 0), line(0, 0, 100, 0))
    assert areas(drawing) == [6000] and kinds(drawing) == ["double"]


def test_a_short_line_on_a_long_one_is_dropped():
    drawing = read(BOARD, line(20, 0, 70, 0), line(0, 0, 30, 0))
    assert areas(drawing) == [6000] and set(kinds(drawing)) == {"double"}


@pytest.mark.parametrize("x, y", [(0, 0), (1e6, -1e6)])
def test_of_lines_that_overlap_the_union_is_kept(x, y):
    """A triangle whose leaning side comes in two pieces; its area is half of base times height."""
    sides = [(0, 0, 60, 80), (30, 40, 90, 120), (90, 120, 200, 0), (200, 0, 0, 0)]
    drawing = read(*[line(a + x, b + y, c + x, d + y) for a, b, c, d in sides])
    assert areas(drawing) == [200 * 120 / 2] and kinds(drawing) == ["double"]


@pytest.mark.parametrize(
    "spans", [[(0, 200), (150, 370)], [(0, 130), (120, 250), (240, 365)], [(0, 360), (10, 80)]]
)
def test_arcs_of_one_circle_that_overlap_make_a_circle(spans):
    drawing = read(*[arc(0, 0, 50, *span) for span in spans])
    assert areas(drawing)[0] == pytest.approx(math.pi * 2500, abs=0.05 * math.tau * 50)
    assert drawing.width_mm == 100 and kinds(drawing) == ["double"]


def test_arcs_that_overlap_and_are_part_of_an_outline_are_one():
    drawing = read(arc(0, 0, 50, 0, 100), arc(0, 0, 50, 80, 180), line(-50, 0, 50, 0))
    assert areas(drawing)[0] == pytest.approx(math.pi * 1250, abs=0.05 * math.pi * 50) and kinds(
        drawing
    ) == ["double"]


@pytest.mark.parametrize(
    "again",
    [
        circle(0, 0, 50),
        arc(0, 0, 50, 0, 180) + arc(0, 0, 50, 180, 360),
        arc(0, 0, 50, 77, 200) + arc(0, 0, 50, 200, 437),
    ],
)
def test_an_outline_drawn_twice_in_different_ways_is_one(again):
    drawing = read(circle(0, 0, 50), again)
    assert len(drawing.outlines) == 1 and kinds(drawing) == ["double"]
    assert (
        drawing.warnings[0].sentence
        == "The outline on layer 'board' is drawn twice in one place. One was kept."
    )


def test_an_outline_drawn_on_two_layers_is_two_parts():
    assert areas(read(BOARD, path(box(0, 0, 100, 60), "face"))) == [6000, 6000]


def test_panels_that_share_a_whole_side_are_two_however_often_it_is_drawn():
    for drawing in (
        read(path(box(0, 0, 50, 60)), path(box(50, 0, 50, 60))),
        read(BOARD, line(50, 0, 50, 60)),
        read(path(box(0, 0, 50, 60)), path([(50, 0), (100, 0), (100, 60), (50, 60)], closed=False)),
    ):
        assert areas(drawing) == [3000, 3000] and "meeting" in kinds(drawing)


def test_panels_that_share_part_of_a_side_are_two():
    assert areas(read(path(box(0, 0, 50, 60)), path(box(50, 10, 50, 20)))) == [3000, 1000]


def test_outlines_that_share_a_corner_are_two_and_one_in_the_other_is_its_hole():
    assert areas(read(path(box(0, 0, 50, 50)), path(box(50, 50, 50, 50)))) == [2500, 2500]
    assert areas(read(path(box(0, 0, 50, 50)), path(box(0, 0, 20, 20)))) == [2500 - 400]


def test_a_line_through_an_outline_is_left_out_and_shown():
    drawing = read(path(box(0, 0, 100, 60)), line(-10, 30, 110, 30))
    assert areas(drawing) == [6000] and kinds(drawing) == ["line"]
    assert drawing.warnings[0].line == ((0, 30), (120, 30))


def test_bits_are_dropped_and_counted_and_do_not_stretch_the_page():
    drawing = read(BOARD, line(5, 5, 5, 5), line(5, 5, 5.02, 5), line(9999, 9999, 9999, 9999))
    assert areas(drawing) == [6000] and (drawing.width_mm, drawing.height_mm) == (100, 60)
    assert [finding.sentence for finding in drawing.warnings] == [
        "Bits shorter than 0.05 mm were left out: 3."
    ]


def test_a_bow_tie_is_split_where_it_crosses_itself():
    drawing = read(path([(0, 0), (100, 60), (100, 0), (0, 60)]))
    assert areas(drawing) == [1500, 1500] and drawing.warnings[0].at == (50, 30)


def test_lines_of_two_colours_on_one_layer_join():
    red = tags((62, 1))
    drawing = read(
        line(0, 0, 100, 0) + red, line(100, 0, 100, 60), line(100, 60, 0, 60), line(0, 60, 0, 0)
    )
    assert areas(drawing) == [6000] and drawing.outlines[0].colour == "#141414"


def test_lines_of_two_layers_do_not_join():
    drawing = read(BOARD, path(box(200, 0, 50, 50), "face"), line(100, 0, 200, 0, "mark"))
    assert areas(drawing) == [6000, 2500]
