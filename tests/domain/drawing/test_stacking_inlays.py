"""Parts let into a hole of another part, flush with it."""

from itertools import permutations

import pytest
from shapely import Point, Polygon, affinity, box

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.stacking import propose
from shopfloor.domain.outlines import Outline

BOARD = box(-50, -50, 250, 250)
DISC = Point(100, 100).buffer(50)
RING = Point(100, 100).buffer(80).difference(DISC)
STAR = Polygon(
    [
        (100, 150),
        (112, 116),
        (148, 115),
        (119, 94),
        (129, 60),
        (100, 80),
        (71, 60),
        (81, 94),
        (52, 115),
        (88, 116),
    ]
)
SQUARE = box(60, 60, 140, 140)


def drawing(*shapes):
    """Drawn in the order given; a shape is (name, polygon), or (name, polygon, group)."""
    return [
        DrawnOutline(
            Outline.of_polygon(polygon), "#aa0000", name, group[0] if group else None, order
        )
        for order, (name, polygon, *group) in enumerate(shapes)
    ]


def stacked(*shapes):
    """Of the one sign: each part's name with its level, what it lies on, what else it needs, what it is let into."""
    (sign,) = propose(drawing(*shapes))
    name = {part.number: part.name for part in sign.parts} | {None: None}
    return {
        part.name: (
            part.level,
            name[part.on],
            {name[one] for one in part.also_on},
            name[part.inlay_in],
        )
        for part in sign.parts
    }


def test_what_fills_the_hole_of_a_bottom_part_belongs_to_its_sign():
    found = stacked(("ring", RING), ("plug", DISC))
    assert found == {"ring": (0, None, set(), None), "plug": (0, None, {"ring"}, "ring")}


def test_what_fills_a_pocket_lies_level_with_it_on_what_is_under_it():
    found = stacked(("board", BOARD), ("ring", RING), ("plug", DISC))
    assert found["ring"] == (1, "board", set(), None)
    assert found["plug"] == (1, "board", {"ring"}, "ring")


@pytest.mark.parametrize(
    "order", ["ring plug bar", "plug ring bar", "ring bar plug", "plug bar ring"]
)
def test_the_order_of_drawing_does_not_matter_to_an_inlay(order):
    shapes = {"ring": RING, "plug": DISC, "bar": box(70, 90, 145, 110)}
    found = stacked(*[(name, shapes[name]) for name in order.split()])
    assert found["ring"] == (0, None, set(), None)
    assert found["plug"] == (0, None, {"ring"}, "ring")
    assert found["bar"] == (1, "plug", set(), None)


@pytest.mark.parametrize("shape", [DISC, STAR, SQUARE], ids=["disc", "star", "square"])
@pytest.mark.parametrize(
    ("offset", "is_inlay"),
    [
        (0.3, False),
        (0.14, True),
        (0, True),
        (-0.1, True),
        (-0.49, True),
        (-0.6, False),
        (-5, False),
    ],
)
def test_it_fills_the_hole_from_a_little_larger_to_half_a_millimetre_smaller_all_round(
    shape, offset, is_inlay
):
    plug = shape.buffer(offset, join_style="mitre", mitre_limit=10)
    signs = propose(drawing(("board", box(0, 0, 200, 200).difference(shape)), ("plug", plug)))
    assert (len(signs) == 1) == is_inlay
    assert any(part.inlay_in == 1 for sign in signs for part in sign.parts) == is_inlay


def test_an_inlay_may_sit_out_of_the_middle_of_its_clearance():
    plug = affinity.translate(DISC.buffer(-0.2), 0.15, 0.1)
    assert stacked(("ring", RING), ("plug", plug))["plug"][3] == "ring"


@pytest.mark.parametrize(
    "shape", [Point(100, 100).buffer(30), box(70, 70, 130, 130), STAR], ids=["dot", "box", "star"]
)
def test_what_merely_lies_in_a_larger_hole_is_no_inlay(shape):
    found = stacked(("board", BOARD), ("ring", RING), ("dot", shape))
    assert found["dot"] == (1, "board", set(), None)


def test_a_short_strip_in_a_narrow_slot_is_no_inlay_and_a_long_one_is():
    slotted = ("board", box(0, 0, 300, 100).difference(box(50, 49.5, 250, 50.5)))
    assert len(propose(drawing(slotted, ("strip", box(60, 49.6, 100, 50.4))))) == 2
    assert len(propose(drawing(slotted, ("strip", box(50.1, 49.6, 249.9, 50.4))))) == 1


def test_a_letter_across_an_inlay_and_its_host_lies_on_both():
    found = stacked(
        ("board", BOARD), ("ring", RING), ("plug", DISC), ("bar", box(40, 90, 160, 110))
    )
    assert found["bar"] == (2, "plug", {"ring"}, None)


def test_inlays_in_inlays_all_lie_at_one_height():
    eye = Point(100, 100).buffer(20)
    shapes = [("outer", RING), ("middle", DISC.difference(eye)), ("eye", eye)]
    for order in permutations(shapes):
        found = stacked(("board", BOARD), *order)
        assert found["middle"] == (1, "board", {"outer"}, "outer")
        assert found["eye"] == (1, "board", {"middle"}, "middle")


def test_the_inlay_of_a_letter_on_two_panels_lies_on_what_shows_through_the_hole():
    panels = [("left", box(-50, -50, 95, 250)), ("right", box(95, -50, 250, 250))]
    found = stacked(*panels, ("ring", RING), ("plug", DISC))
    assert found["ring"] == (1, "right", {"left"}, None)
    assert found["plug"] == (1, "right", {"left", "ring"}, "ring")


def test_a_hole_that_a_panel_hides_takes_no_inlay():
    hole = Point(100, 100).buffer(5)
    found = stacked(
        ("board", BOARD.difference(hole)), ("panel", box(0, 0, 200, 200)), ("dot", hole)
    )
    assert found["dot"] == (2, "panel", set(), None)


def test_a_hole_takes_one_and_what_is_drawn_on_that_lies_on_it():
    found = stacked(("ring", RING), ("plug", DISC), ("face", DISC))
    assert found["plug"] == (0, None, {"ring"}, "ring")
    assert found["face"] == (1, "plug", set(), None)


def test_a_letter_with_a_border_of_another_colour_round_it():
    board = ("board", box(0, 0, 200, 200))
    border = STAR.buffer(8, join_style="mitre").difference(STAR)
    found = stacked(board, ("border", border), ("star", STAR))
    assert found["star"] == (1, "board", {"border"}, "border")


def test_several_inlays_in_one_panel_are_numbered_after_it_in_reading_order():
    letters = [(name, box(20 + 60 * n, 30, 60 + 60 * n, 80)) for n, name in enumerate("PIER")]
    panel = box(0, 0, 260, 110)
    for _, shape in letters:
        panel = panel.difference(shape)
    (sign,) = propose(drawing(*letters[::-1], ("panel", panel)))
    assert [(part.number, part.name, part.inlay_in, part.line) for part in sign.parts] == [
        (1, "panel", None, 0),
        (2, "P", 1, 1),
        (3, "I", 1, 1),
        (4, "E", 1, 1),
        (5, "R", 1, 1),
    ]
    assert (sign.levels, sign.name) == (1, "panel")
    assert {part.baseline_mm for part in sign.parts[1:]} == {30}


def test_an_inlay_goes_with_its_host_whatever_group_it_is_in():
    signs = propose(
        drawing(
            ("ring", RING, "gate"), ("plug", DISC, "other"), ("far", box(300, 0, 400, 100), "other")
        )
    )
    assert sorted((sign.name, len(sign.parts)) for sign in signs) == [("gate", 2), ("other", 1)]


def test_a_drawing_that_contradicts_itself_is_stacked_as_drawn():
    frame = box(0, 0, 300, 300).difference(
        box(5, 5, 295, 295)
    )  # drawn over a banner that lies on what it would hold
    found = stacked(
        ("plug", box(5, 5, 295, 295)), ("banner", box(0, 100, 300, 200)), ("frame", frame)
    )
    assert {name: part[0] for name, part in found.items()} == {"plug": 0, "banner": 1, "frame": 2}
    assert found["plug"][3] is None
