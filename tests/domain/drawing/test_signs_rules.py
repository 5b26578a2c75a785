"""How many of each sign an order asks for, in which order they get their marks, and what they are called."""

import pytest
from shapely import box

from shopfloor.domain.drawing.drawing import DrawnOutline
from shopfloor.domain.drawing.signs import (
    MOST_PIECES,
    Order,
    checked,
    copies_of,
    made,
    mark_of,
    name_of,
    reads,
)
from shopfloor.domain.drawing.stacking import propose
from shopfloor.domain.errors import Refused
from shopfloor.domain.outlines import Outline


def outlines_of(shapes):
    """(name, polygon) as outlines, drawn in the order given."""
    return [
        DrawnOutline(Outline.of_polygon(polygon), "#aa0000", name, None, n)
        for n, (name, polygon) in enumerate(shapes)
    ]


def signs(joins=(), left_out=()):
    """Three plates in a line: gate with the letters N and O, then arrow and bell, with nothing on them."""
    shapes = [("gate", 0), ("arrow", 200), ("bell", 400)]
    drawn = [(name, box(x, 0, x + 150, 100)) for name, x in shapes]
    drawn += [("N", box(20, 20, 60, 80)), ("O", box(80, 20, 120, 80))]
    return propose(outlines_of(drawn), joins, left_out)


def order(quantity=1, **quantities):
    """An order of so many of each sign: s0=3 is three of the sign at place 0."""
    return Order(
        "Harbour office",
        "Gate",
        "2027-03-31",
        quantity,
        quantities={int(place[1:]): count for place, count in quantities.items()},
    )


def made_names(asked, some):
    return [sign.name for sign in made(asked, some)]


def test_one_of_each_is_made_where_nothing_is_said():
    assert made_names(order(), signs()) == ["gate", "arrow", "bell"]
    assert [copies_of(order(), sign) for sign in signs()] == [1, 1, 1]


def test_copies_of_the_order_follow_each_other():
    assert made_names(order(2), signs()) == ["gate", "arrow", "bell", "gate", "arrow", "bell"]


def test_a_sign_of_which_there_are_several_is_made_as_often_in_each_copy():
    assert made_names(order(1, s1=3), signs()) == ["gate", "arrow", "arrow", "arrow", "bell"]
    assert made_names(order(2, s0=2), signs()) == ["gate", "gate", "arrow", "bell"] * 2
    assert [copies_of(order(2, s0=2, s2=5), sign) for sign in signs()] == [4, 2, 10]


def test_each_sign_that_is_made_counts_once():
    asked = order(3, s0=4, s1=2)
    for sign in signs():
        assert made(asked, signs()).count(sign) == copies_of(asked, sign)
    assert len({mark_of(place) for place in range(len(made(asked, signs())))}) == 3 * (4 + 2 + 1)


def test_a_joined_sign_is_counted_by_its_first_place():
    some = signs(joins=[(1, 2)])
    assert [copies_of(order(1, s1=3), sign) for sign in some] == [1, 3]


def test_a_good_order_comes_back_tidied_with_its_quantities():
    asked = Order(
        "  Harbour   office", " Gate ", " 2027-03-31", 2, {"#aa0000": 4}, ((1, 2),), {1: 3}
    )
    assert checked(asked, signs(joins=[(1, 2)])) == Order(
        "Harbour office", "Gate", "2027-03-31", 2, {"#aa0000": 4}, ((1, 2),), {1: 3}
    )


@pytest.mark.parametrize("count", [0, -1, 501, 1.5])
def test_a_quantity_that_is_no_number_of_signs_is_refused_by_the_sign_s_name(count):
    with pytest.raises(Refused, match=r"sign 2, 'Gate'|sign 2, 'arrow'") as refusal:
        checked(order(1, s1=count), signs())
    assert "1 to 500" in refusal.value.sentence


@pytest.mark.parametrize("quantity", [0, -3, 501, 2.5])
def test_so_is_a_quantity_of_all(quantity):
    with pytest.raises(Refused, match="whole number from 1 to 500"):
        checked(order(quantity), signs())


@pytest.mark.parametrize(
    "some", [signs(left_out=[1]), signs(joins=[(0, 1)])], ids=["left out", "joined to another"]
)
def test_a_quantity_of_a_sign_that_is_not_there_is_refused(some):
    with pytest.raises(Refused, match="There is no sign 2"):
        checked(order(1, s1=3), some)


def test_the_pieces_of_all_signs_that_are_made_are_counted():
    # the gate has three pieces: 13 × 500 of them are 19,500, and 500 of a bell are just what a job still holds
    some = signs(left_out=[1])
    assert checked(order(500, s0=13), some).quantity == 500
    with pytest.raises(Refused, match=f"20500 pieces. A job holds at most {MOST_PIECES}"):
        checked(order(500, s0=13, s2=2), some)


def test_an_order_is_checked_without_a_drawing():
    assert checked(order(2), ()).quantity == 2


def letters(word, boards):
    """The word's letters, 40 mm wide, 50 mm apart, on boards in a row of these widths."""
    shapes, x = [], 0
    for width in boards:
        shapes.append(("board", box(x, 0, x + width, 100)))
        x += width
    shapes += [(one, box(10 + 50 * n, 20, 50 + 50 * n, 80)) for n, one in enumerate(word)]
    return outlines_of(shapes)


def test_letters_across_sections_of_a_board_are_one_word():
    (sign,) = propose(letters("HARBOUR", [180, 200]))
    assert reads(sign.parts) == "HARBOUR"
    assert name_of(sign, "Fascia", False) == "HARBOUR"


def test_letters_on_sections_that_none_of_them_bridges_are_words_by_themselves():
    (sign,) = propose(letters("PIERHEAD", [205, 205]), joins=[(0, 1)])
    assert reads(sign.parts) == "PIER HEAD"


def test_a_word_over_three_sections_is_still_one():
    (sign,) = propose(letters("CHANDLER", [130, 150, 140]))
    assert reads(sign.parts) == "CHANDLER"
