"""What a person answers about a drawing's signs: joined, left out, loose; and where the signs stand in the drawing."""

import pytest
from shapely import box

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.stacking import propose
from shopfloor.domain.errors import Refused
from shopfloor.domain.outlines import Outline


def drawing(*shapes):
    """Drawn in the order given; a shape is (name, polygon), or (name, polygon, group)."""
    return [
        DrawnOutline(
            Outline.of_polygon(polygon), "#aa0000", name, group[0] if group else None, order
        )
        for order, (name, polygon, *group) in enumerate(shapes)
    ]


def plates():
    """Six plates with a letter on each, in two lines of three."""
    shapes = []
    for n, name in enumerate("ABCDEF"):
        x, y = n % 3 * 150, 200 - n // 3 * 150
        shapes += [
            (f"plate {name}", box(x, y, x + 120, y + 100)),
            (name, box(x + 20, y + 20, x + 60, y + 80)),
        ]
    return drawing(*shapes)


def names(signs):
    return ["".join(part.name for part in sign.parts if part.level) for sign in signs]


def test_a_sign_says_which_place_it_has_and_where_it_stands():
    signs = propose(plates())
    assert [sign.places for sign in signs] == [(0,), (1,), (2,), (3,), (4,), (5,)]
    assert [(sign.left_mm, sign.bottom_mm) for sign in signs[2:4]] == [(300, 200), (0, 50)]


def test_joined_signs_say_all_places_that_they_are_made_of():
    signs = propose(plates(), joins=[{4, 1}, {1, 2}])
    assert sorted(sign.places for sign in signs) == [(0,), (1, 2, 4), (3,), (5,)]
    (joined,) = [sign for sign in signs if len(sign.places) == 3]
    assert sorted(part.name for part in joined.parts if part.level) == ["B", "C", "E"]
    assert (joined.left_mm, joined.bottom_mm, joined.width_mm, joined.height_mm) == (
        150,
        50,
        270,
        250,
    )


def test_what_is_left_out_is_dropped_and_the_others_keep_their_places():
    signs = propose(plates(), left_out=[1, 5])
    assert [sign.places for sign in signs] == [(0,), (2,), (3,), (4,)]
    assert names(signs) == ["A", "C", "D", "E"]
    assert signs == tuple(sign for sign in propose(plates()) if sign.places not in [(1,), (5,)])


def test_a_joined_sign_goes_without_what_is_left_out():
    signs = propose(plates(), joins=[(0, 1, 2)], left_out=[1])
    assert [sign.places for sign in signs] == [(0, 2), (3,), (4,), (5,)]
    assert names(signs)[0] == "AC"


def test_everything_may_be_left_out():
    assert propose(plates(), joins=[(0, 1)], left_out=range(6)) == ()


@pytest.mark.parametrize("place", [-1, 6, 99])
def test_leaving_out_a_sign_that_is_not_there_is_refused(place):
    with pytest.raises(Refused, match=f"no sign {place + 1} to leave out. The drawing has 6 signs"):
        propose(plates(), left_out=[0, place])


BOARD = [("board", box(0, 0, 400, 200)), ("A", box(20, 20, 60, 80))]


def loose(*shapes, **answers):
    return [sign.name for sign in propose(drawing(*shapes), **answers) if sign.is_loose]


def test_a_small_part_off_the_board_is_loose():
    assert loose(*BOARD, ("B", box(500, 20, 540, 80))) == ["B"]


def test_a_part_off_the_board_by_a_hair_or_half_over_its_edge_is_loose_or_lies_on_it():
    assert loose(*BOARD, ("B", box(400, 20, 440, 80))) == ["B"]
    assert loose(*BOARD, ("B", box(380, 20, 420, 80))) == []


@pytest.mark.parametrize(("width", "is_loose"), [(99, True), (101, False)])
def test_loose_is_what_is_under_a_quarter_of_the_smallest_board_that_carries_something(
    width, is_loose
):
    large = [("large", box(0, 300, 900, 900)), ("C", box(20, 320, 60, 380))]
    assert loose(*BOARD, *large, ("plate", box(500, 0, 500 + width, 200))) == ["plate"] * is_loose


def test_letters_for_a_wall_are_not_loose_where_no_board_is_drawn():
    assert loose(*[(name, box(60 * n, 0, 60 * n + 40, 80)) for n, name in enumerate("QUAY")]) == []


def test_a_part_that_carries_something_is_not_loose():
    assert loose(*BOARD, ("badge", box(500, 0, 550, 50)), ("dot", box(510, 10, 520, 20))) == []


def test_what_was_joined_or_grouped_as_a_sign_is_not_loose():
    letters = [("B", box(500, 20, 540, 80)), ("C", box(560, 20, 600, 80))]
    assert loose(*BOARD, *letters) == ["B", "C"]
    assert loose(*BOARD, *letters, joins=[(1, 2)]) == []
    assert loose(*BOARD, *[(name, shape, f"sign {name}") for name, shape in letters]) == []


def test_nothing_is_loose_once_the_board_is_left_out():
    shapes = [*BOARD, ("B", box(500, 20, 540, 80))]
    assert loose(*shapes, left_out=[0]) == []
    assert loose(*shapes, left_out=[1]) == []


def test_what_lies_in_the_window_of_a_board_or_under_it_is_asked_about_however_large():
    """An 80 mm square in the 100 mm window of a board, and a small part that was drawn before the board that covers it."""
    ring = box(0, 0, 200, 200).difference(box(50, 50, 150, 150))
    window = [
        DrawnOutline(Outline.of_polygon(one), "#33658a", name, None, order)
        for order, (one, name) in enumerate(
            [(ring, "frame"), (box(60, 60, 140, 140), "loose"), (box(10, 10, 40, 40), "foot")]
        )
    ]
    assert {sign.name: sign.is_loose for sign in propose(window)} == {"frame": False, "loose": True}
    hidden = [
        DrawnOutline(Outline.of_polygon(one), "#33658a", name, None, order)
        for order, (one, name) in enumerate(
            [(box(60, 60, 140, 140), "under"), (box(0, 0, 200, 200), "board")]
        )
    ]
    assert {sign.name: sign.is_loose for sign in propose(hidden)} == {"board": False, "under": True}
