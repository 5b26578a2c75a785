"""A nest as a scene: its marks, which pieces bear them, and where the numbers stand."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from sheets_for_tests import board, letters, setup_sheet_of

from shopfloor.domain.outlines import Outline
from shopfloor.scenes.nest import Nest, NestedPiece, of_setup_sheet, on_paper, on_screen
from shopfloor.scenes.numbers import LEAST_SIZE, SIZES
from shopfloor.scenes.scene import POINT, OnionSkin, Shape, Tab, Tape

FRAME = Outline.of_polygon(shapely.box(50, 50, 250, 250) - shapely.box(90, 90, 210, 210))
INNER = Outline.of_polygon(shapely.box(120, 120, 180, 180))


@pytest.fixture(scope="module")
def crowd():
    """Small letters and a plate: many numbers have to stand beside their piece."""
    return of_setup_sheet(setup_sheet_of([*letters(60, largest=60), board(61, 23)], 1220, 610))


def nest_of(*pieces: tuple[Outline, str]) -> Nest:
    nested = (
        NestedPiece(Shape(str(n), n, "", outline), way, number=str(n), tail=f"{n:04d}")
        for n, (outline, way) in enumerate(pieces, 1)
    )
    return Nest(400, 300, "length", 260, tuple(nested), tab_length_mm=6)


def kinds(scene) -> list[type]:
    return [type(mark) for mark in scene.holds]


def area_of(mark: OnionSkin | Tape) -> shapely.Geometry:
    return shapely.union_all([area.polygon for area in mark.areas])


@pytest.mark.parametrize("order", [(FRAME, INNER), (INNER, FRAME)])
def test_on_paper_a_piece_in_the_hole_of_another_lies_on_it(order):
    scene = on_paper(nest_of(*((outline, "full") for outline in order)), 2.0)
    assert [shape.outline for shape in scene.shapes] == [FRAME, INNER]


@pytest.mark.parametrize("draw", [on_screen, on_paper])
def test_what_lies_on_tape_has_its_onion_skin_too_and_both_are_on_the_piece(draw):
    scene = draw(nest_of((FRAME, "tape")), 1.0)
    assert kinds(scene) == [OnionSkin, Tape]
    for mark in scene.holds:
        assert FRAME.polygon.buffer(0.01).contains(area_of(mark))


@pytest.mark.parametrize("draw", [on_screen, on_paper])
def test_a_piece_in_a_full_pass_has_no_mark(draw):
    assert kinds(draw(nest_of((FRAME, "full")), 1.0)) == []


def test_a_piece_too_thin_for_a_second_line_has_it_outside_on_paper_and_none_on_screen():
    strip = Outline.of_polygon(shapely.box(10, 10, 200, 12))
    (mark,) = on_paper(nest_of((strip, "skin")), 5.0).holds
    assert area_of(mark).contains(strip.polygon)
    assert on_screen(nest_of((strip, "skin")), 5.0).holds == ()


def test_a_tab_is_never_too_short_to_be_seen(crowd):
    for draw, least in ((on_screen, 8.0), (on_paper, 0.7)):
        for unit_mm in (0.5, 20.0):
            tabs = [mark for mark in draw(crowd, unit_mm).holds if isinstance(mark, Tab)]
            assert {tab.length for tab in tabs} == {max(crowd.tab_length_mm, least * unit_mm)}


def test_a_piece_that_is_not_named_is_plain():
    scene = on_paper(
        nest_of((FRAME, "tape"), (INNER, "skin")), 1.0, is_named=lambda piece: piece.number == "2"
    )
    assert {shape.key: shape.is_plain for shape in scene.shapes} == {"1": True, "2": False}
    assert [number.text for number in scene.numbers] == ["2"]
    assert kinds(scene) == [OnionSkin]


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize("unit_mm", [1.5, 3.0])
def test_no_number_is_on_another_nor_on_a_piece_that_it_does_not_name(crowd, unit_mm, is_turned):
    scene = on_paper(crowd, unit_mm, is_turned=is_turned)
    free = [number for number in scene.numbers if not number.is_tag]
    assert len(scene.numbers) == len(crowd.pieces) and len(free) > 0.9 * len(crowd.pieces)
    for one, other in combinations(free, 2):
        assert shapely.box(*one.box).intersection(shapely.box(*other.box)).area < 1e-6
    outlines = {piece.number: piece.shape.outline.polygon for piece in crowd.pieces}
    for number in free:
        box = shapely.box(*number.box)
        others = [outline for text, outline in outlines.items() if text != number.text]
        assert not any(box.intersects(other) for other in others)
        if number.leader:
            assert not box.intersects(outlines[number.text])
            assert outlines[number.text].distance(shapely.Point(number.leader[1])) < 0.1 * unit_mm
            assert box.distance(shapely.Point(number.leader[0])) == 0
        else:
            assert outlines[number.text].contains(box)


@pytest.mark.parametrize("is_turned", [False, True])
def test_a_number_is_upright_as_the_paper_is_read(crowd, is_turned):
    for number in on_paper(crowd, 1.5, is_turned=is_turned).numbers:
        left, bottom, right, top = number.box
        if len(number.text) > 1 and not number.tail:
            assert (right - left > top - bottom) != is_turned


def test_numbers_are_as_large_as_there_is_room():
    large, small = (
        Outline.of_polygon(shapely.box(*box)) for box in ((10, 10, 110, 110), (200, 20, 203, 90))
    )
    first, second = on_paper(nest_of((large, "full"), (small, "full")), 2.0).numbers
    assert first.size == pytest.approx(SIZES[0] * POINT * 2.0) and first.tail == "0001"
    assert second.size == pytest.approx(LEAST_SIZE * POINT * 2.0) and second.leader
