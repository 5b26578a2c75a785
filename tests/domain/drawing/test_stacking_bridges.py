"""Overlaps, parts that bridge two panels, counters, and logos of several colours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, box
from shop_for_tests import grows_at_most

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.stacking import propose
from shopfloor.domain.outlines import Outline

BOARD = ("board", box(0, 0, 400, 200))
PANELS = [("left", box(20, 20, 190, 180)), ("right", box(210, 20, 380, 180))]


def drawing(*shapes):
    """Drawn in the order given; a shape is (name, polygon)."""
    return [
        DrawnOutline(Outline.of_polygon(polygon), "#aa0000", name, None, order)
        for order, (name, polygon) in enumerate(shapes)
    ]


def stacked(*shapes):
    """Of the one sign: each part's name with its level, what it lies on, and what it lies on besides."""
    (sign,) = propose(drawing(*shapes))
    name = {part.number: part.name for part in sign.parts} | {None: None}
    return {
        part.name: (part.level, name[part.on], {name[one] for one in part.also_on})
        for part in sign.parts
    }


def test_a_bar_across_two_panels_lies_on_the_one_it_overlaps_most_and_also_on_the_other():
    found = stacked(
        BOARD, *PANELS, ("bar", box(120, 80, 250, 120))
    )  # 70 mm on the left one, 40 mm on the right one
    assert found["bar"] == (
        2,
        "left",
        {"board", "right"},
    )  # and 20 mm of 130 over the gap, where the board shows
    assert stacked(BOARD, *PANELS, ("bar", box(160, 80, 305, 120)))["bar"] == (
        2,
        "right",
        {"board", "left"},
    )


def test_a_gap_that_is_under_a_tenth_of_the_bar_carries_nothing():
    assert stacked(BOARD, *PANELS, ("bar", box(90, 80, 300, 120)))["bar"] == (2, "left", {"right"})


def test_a_letter_that_overlaps_the_neighbour_panel_a_little_lies_on_one_alone():
    panels = [("left", box(0, 0, 200, 200)), ("right", box(200, 0, 400, 200))]
    letter = box(109, 50, 209, 150)  # nine of its hundred millimetres
    assert stacked(BOARD, *panels, ("O", letter))["O"] == (2, "left", set())
    assert stacked(BOARD, *panels, ("O", affinity.translate(letter, 2)))["O"] == (
        2,
        "left",
        {"right"},
    )


def test_a_strip_larger_than_each_of_the_panels_that_it_bridges_lies_on_them():
    panels = [("left", box(20, 20, 190, 80)), ("right", box(210, 20, 380, 80))]
    assert stacked(BOARD, *panels, ("strip", box(30, 25, 370, 75)))["strip"][0] == 2


def test_sections_of_a_board_that_one_panel_bridges_are_one_sign():
    sections = [
        ("one", box(0, 0, 200, 200)),
        ("two", box(200, 0, 400, 200)),
        ("three", box(405, 0, 600, 200)),
    ]
    found = stacked(*sections, ("panel", box(20, 20, 570, 180)), ("H", box(250, 40, 300, 160)))
    assert found["panel"] == (1, "two", {"one", "three"})
    assert found["H"] == (2, "panel", set())


def test_a_short_section_at_the_end_carries_its_share_though_it_is_smaller_than_the_panel():
    sections = [("long", box(0, 0, 1000, 300)), ("short", box(1000, 0, 1300, 300))]
    found = stacked(*sections, ("panel", box(350, 0, 1250, 300)))
    assert found["panel"] == (1, "long", {"short"})


def test_a_dot_drawn_under_a_letter_does_not_lift_it():
    found = stacked(BOARD, ("dot", box(50, 50, 80, 80)), ("letter", box(40, 40, 100, 100)))
    assert found == {
        "board": (0, None, set()),
        "dot": (1, "board", set()),
        "letter": (1, "board", set()),
    }


def test_sections_that_nothing_bridges_stay_signs_of_their_own():
    assert len(propose(drawing(("one", box(0, 0, 200, 200)), ("two", box(200, 0, 400, 200))))) == 2


def test_a_letter_half_on_a_panel_and_half_beside_it_lies_as_high_as_on_the_panel():
    found = stacked(BOARD, ("panel", box(0, 0, 200, 200)), ("half", box(150, 50, 250, 150)))
    assert found["half"] == (2, "panel", {"board"})


def test_a_low_letter_and_one_that_bridges_high_and_low_ground():
    found = stacked(
        BOARD,
        ("panel", box(0, 0, 200, 200)),
        ("crest", box(100, 60, 190, 140)),
        ("bar", box(150, 80, 250, 120)),
    )
    assert found["crest"] == (2, "panel", set())
    assert found["bar"] == (
        3,
        "board",
        {"crest", "panel"},
    )  # 50, 40 and 10 of its hundred millimetres


def test_a_dot_in_a_counter_lies_on_the_panel_and_not_on_its_letter():
    letter_o = Point(100, 100).buffer(60).difference(Point(100, 100).buffer(40))
    found = stacked(
        BOARD,
        ("panel", box(10, 10, 390, 190)),
        ("O", letter_o),
        ("dot", Point(100, 100).buffer(15)),
    )
    assert found["dot"] == (2, "panel", set())
    assert found["O"] == (2, "panel", set())


def test_a_sun_with_a_ring_on_it_counts_up_and_its_rays_lie_beside_it():
    sun, ring = (
        Point(100, 100).buffer(60),
        Point(100, 100).buffer(40).difference(Point(100, 100).buffer(30)),
    )
    rays = [
        (f"ray {n}", affinity.rotate(box(160, 95, 185, 105), 45 * n, origin=(100, 100)))
        for n in range(8)
    ]
    found = stacked(BOARD, ("sun", sun), ("ring", ring), ("eye", Point(100, 100).buffer(8)), *rays)
    assert found["sun"] == (1, "board", set())
    assert found["ring"] == found["eye"] == (2, "sun", set())  # the eye sits in the ring's hole
    assert all(found[name] == (1, "board", set()) for name, _ in rays)


@pytest.mark.parametrize("overlap", [0, 0.03, 1.5])
def test_stripes_of_a_logo_that_touch_all_lie_on_the_panel(overlap):
    stripes = [(f"stripe {n}", box(50, 40 + 30 * n, 350, 70 + 30 * n + overlap)) for n in range(3)]
    found = stacked(BOARD, ("panel", box(10, 10, 390, 190)), *stripes)
    assert [found[name] for name, _ in stripes] == [(2, "panel", set())] * 3


def test_a_letter_across_stripes_lies_on_all_that_carry_a_tenth_of_it():
    stripes = [(f"stripe {n}", box(50, 40 + 30 * n, 350, 70 + 30 * n)) for n in range(3)]
    found = stacked(BOARD, *stripes, ("I", box(100, 50, 120, 125)))  # 20, 30 and 25 of 75 mm
    assert found["I"] == (2, "stripe 1", {"stripe 0", "stripe 2"})


@st.composite
def layouts(draw):
    corner, size = st.integers(0, 80), st.integers(1, 50)
    sides = draw(st.lists(st.tuples(corner, corner, size, size), max_size=14))
    shapes = [box(x, y, x + w, y + h) for x, y, w, h in sides]
    rings = draw(st.lists(st.tuples(corner, corner, st.integers(8, 40)), max_size=4))
    shapes += [Point(x, y).buffer(r).difference(Point(x, y).buffer(r / 2)) for x, y, r in rings]
    shapes += [Point(x, y).buffer(r / 2) for x, y, r in rings if draw(st.booleans())]
    return drawing(
        *[(str(order), shape) for order, shape in enumerate(draw(st.permutations(shapes)))]
    )


@given(layouts())
def test_each_part_lies_one_above_the_highest_that_carries_it_and_an_inlay_as_high_as_its_host(
    shapes,
):
    for sign in propose(shapes):
        parts = {part.number: part for part in sign.parts}
        for part in sign.parts:
            under = [
                parts[one]
                for one in (part.on, *part.also_on)
                if one is not None and one != part.inlay_in
            ]
            if part.inlay_in is None:
                assert part.level == 1 + max((one.level for one in under), default=-1)
                assert all(int(one.name) < int(part.name) or one.inlay_in for one in under), (
                    "drawn later"
                )
            else:
                assert part.level == parts[part.inlay_in].level
                assert part.inlay_in in part.also_on and part.inlay_in < part.number
            assert (part.on is None) == (part.level == 0)
            assert part.number not in (part.on, *part.also_on)
            assert len({part.on, *part.also_on}) == 1 + len(part.also_on)
            assert part.on is None or part.on < part.number


@given(layouts(), st.integers(-500, 500), st.integers(-500, 500))
def test_shifting_the_drawing_moves_the_signs_and_nothing_else(shapes, x, y):
    shifted = [
        DrawnOutline(one.outline.moved(x, y), one.colour, one.name, None, one.order)
        for one in shapes
    ]
    before, after = propose(shapes), propose(shifted)
    assert [sign.parts for sign in after] == [sign.parts for sign in before]
    assert [(sign.left_mm, sign.bottom_mm) for sign in after] == [
        (s.left_mm + x, s.bottom_mm + y) for s in before
    ]


@given(layouts())
def test_parts_put_back_at_their_sign_are_the_outlines_drawn(shapes):
    found = {
        part.name: part.outline.moved(sign.left_mm, sign.bottom_mm)
        for sign in propose(shapes)
        for part in sign.parts
    }
    assert found == {one.name: one.outline for one in shapes}


def boards(count):
    """So many boards in a column, each with 19 rings side by side as letters."""
    shapes = []
    for n in range(count):
        shapes.append((f"board {n}", box(0, 80 * n, 800, 80 * n + 76)))
        for place in range(19):
            middle = Point(40 + 40 * place, 80 * n + 38)
            shapes.append((f"{n}", middle.buffer(15 + place % 3).difference(middle.buffer(7))))
    return drawing(*shapes)


def test_ten_times_the_outlines_take_about_ten_times_as_long():
    drawn = {count: boards(count) for count in (10, 100)}

    def stack(count):
        signs = propose(drawn[count])
        assert len(signs) == count and all(
            sign.levels == 2 and len(sign.parts) == 20 for sign in signs
        )

    assert grows_at_most(20, stack, 10, 100)


def test_a_hundred_frames_in_each_other_and_a_spiral_of_squares_come_to_an_end():
    frames = [
        (str(n), box(-n, -n, n, n).difference(box(1 - n, 1 - n, n - 1, n - 1)))
        for n in range(2, 102)
    ]
    (sign,) = propose(drawing(*frames))
    assert sign.levels == 1 and sum(part.inlay_in is None for part in sign.parts) == 1
    squares = [
        (str(n), Polygon(affinity.rotate(box(-50, -50, 50, 50), n).exterior)) for n in range(100)
    ]
    assert sum(len(sign.parts) for sign in propose(drawing(*squares))) == 100
