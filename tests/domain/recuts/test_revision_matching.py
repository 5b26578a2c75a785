"""Which part became which: by congruent outline, then by place. Hand-made layouts, and what must hold for any two drawings."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from fixtures.revisions import letter
from shop_for_tests import box, grows_at_most

from shopfloor.domain.pieces import Piece
from shopfloor.domain.recuts.revisions import Change, PlacedPart, match_parts, pair_signs, served


def board(number=1, x=0, y=0, width=600, height=200, alike="board", level=0, under=()):
    return PlacedPart(number, "board", alike, level, under, box(x, y, width, height))


def char(number, name, x, y, under=(1,), level=1):
    return PlacedPart(number, name, name, level, under, letter(name, x, y))


def kinds(changes) -> dict[str, int]:
    return dict(Counter(change.kind for change in changes))


def test_the_same_drawing_is_the_same():
    parts = [board(), char(2, "A", 20, 20), char(3, "A", 90, 20)]
    assert match_parts(parts, parts) == (
        Change("same", 1, 1, True),
        Change("same", 2, 2, True),
        Change("same", 3, 3, True),
    )


def test_half_a_millimetre_is_where_it_was_and_more_is_moved():
    old = [board(), char(2, "A", 20, 20)]
    assert kinds(match_parts(old, [board(), char(2, "A", 20.4, 20)])) == {"same": 2}
    assert kinds(match_parts(old, [board(), char(2, "A", 20.6, 20)])) == {"same": 1, "moved": 1}


def test_a_whole_drawing_that_was_shifted_on_its_page_is_the_same():
    """The frame of a sign begins at its lower left corner; a new flag to the left of the board shifts all of it."""
    old = [board(), char(2, "A", 20, 20), char(3, "B", 90, 20)]
    flag = PlacedPart(4, "flag", "flag", 0, (), box(0, 0, 50, 50))
    new = [board(x=80), char(2, "A", 100, 20), char(3, "B", 170, 20), flag]
    assert kinds(match_parts(old, new)) == {"same": 3, "new": 1}


def test_of_alike_letters_each_goes_to_the_nearest_and_what_is_left_over_is_gone():
    old = [board(), char(2, "A", 20, 20), char(3, "A", 200, 20), char(4, "A", 400, 20)]
    new = [board(), char(2, "A", 210, 20), char(3, "A", 24, 20)]
    changes = {change.old: change for change in match_parts(old, new)}
    assert (changes[2].new, changes[3].new, changes[4].kind) == (3, 2, "gone")


def test_the_nearest_letter_is_looked_for_where_the_sign_went():
    """The board moved by 90 mm on its page; each A moved by 10 mm on the board and is still the same A."""
    old = [board(), char(2, "A", 20, 20), char(3, "A", 110, 20)]
    new = [board(x=90), char(2, "A", 120, 20), char(3, "A", 210, 20)]
    changes = {change.old: change for change in match_parts(old, new)}
    assert [(changes[n].kind, changes[n].new) for n in (2, 3)] == [("moved", 2), ("moved", 3)]


def test_letters_that_moved_with_their_panel_stay_joined_to_it():
    old = [
        board(),
        board(2, 20, 40, 300, 100, "panel", 1, (1,)),
        char(3, "A", 40, 60, (2,), 2),
        char(4, "B", 90, 60, (2,), 2),
    ]
    new = [
        board(),
        board(2, 220, 40, 300, 100, "panel", 1, (1,)),
        char(3, "A", 240, 60, (2,), 2),
        char(4, "B", 300, 60, (2,), 2),
    ]
    changes = {change.old: change for change in match_parts(old, new)}
    assert [(changes[n].kind, changes[n].stays_joined) for n in (2, 3, 4)] == [
        ("moved", False),
        ("moved", True),
        ("moved", False),
    ], "the panel comes off the board, A stays on the panel, B was set elsewhere on it"


def test_on_a_new_board_nothing_stays_joined():
    old, new = (
        [board(), char(2, "A", 20, 20)],
        [board(width=700, alike="wider"), char(2, "A", 20, 20)],
    )
    changes = {change.new: change for change in match_parts(old, new)}
    assert changes[2].kind == "same" and not changes[2].stays_joined
    assert kinds(match_parts(old, new)) == {"same": 1, "new": 1, "gone": 1}


def test_a_letter_that_is_turned_where_it_stands_is_moved_and_needs_no_other_piece():
    turned = PlacedPart(
        2, "A", "A", 1, (1,), letter("A", 20, 20).turned(180).at_origin().moved(20, 20)
    )
    changes = match_parts([board(), char(2, "A", 20, 20)], [board(), turned])
    assert kinds(changes) == {"same": 1, "moved": 1}


def test_a_letter_that_bridges_two_panels_comes_off_when_one_of_them_moves():
    def sign(x):
        return [
            board(),
            board(2, 20, 40, 100, 100, "left", 1, (1,)),
            board(3, x, 40, 100, 100, "right", 1, (1,)),
            char(4, "A", 110, 60, (2, 3), 2),
        ]

    assert [c.stays_joined for c in match_parts(sign(120), sign(120))] == [True] * 4
    assert [c.stays_joined for c in match_parts(sign(120), sign(125))] == [True, True, False, False]


@pytest.mark.parametrize("seed", range(40))
def test_every_part_is_in_exactly_one_change_and_alike_ones_are_used_as_far_as_they_go(seed):
    dice = random.Random(seed)

    def some():
        names = [dice.choice("ABCDEF") for _ in range(dice.randrange(25))]
        return [board()] + [
            char(n, name, dice.randrange(500), dice.randrange(100))
            for n, name in enumerate(names, 2)
        ]

    old, new = some(), some()
    changes = match_parts(old, new)
    assert sorted(c.old for c in changes if c.old) == [part.number for part in old]
    assert sorted(c.new for c in changes if c.new) == [part.number for part in new]
    is_alike = {part.number: part.alike for part in old}, {part.number: part.alike for part in new}
    assert all(is_alike[0][c.old] == is_alike[1][c.new] for c in changes if c.old and c.new)
    shared = Counter(part.alike for part in old) & Counter(part.alike for part in new)
    assert sum(c.old is not None and c.new is not None for c in changes) == shared.total()


def test_signs_are_paired_by_what_they_share_then_by_name_then_because_nothing_else_is_left():
    one, two = [board(), char(2, "A", 20, 20)], [board(alike="door"), char(2, "B", 20, 20)]
    assert set(pair_signs([one, two], [two, one], (["x", "y"], ["", ""]))) == {(0, 1), (1, 0)}
    other = [board(alike="else")]
    assert set(pair_signs([one, two], [other, two], (["gate", "y"], ["gate", ""]))) == {
        (0, 0),
        (1, 1),
    }
    assert set(pair_signs([one], [other], (["x"], ["y"]))) == {(0, 0)}
    third = [board(alike="third")]
    assert set(pair_signs([one], [other, third], (["x"], ["y", "z"]))) == {
        (0, None),
        (None, 0),
        (None, 1),
    }


def piece(id, state, sheet_state=None, attempt=1):
    return Piece(
        id,
        f"{id:08d}",
        state,
        attempt,
        0,
        None,
        None,
        1,
        1,
        sheet=1 if sheet_state else None,
        sheet_state=sheet_state,
    )


def test_what_is_furthest_along_serves_first_and_each_piece_serves_once():
    pool = [
        ("A", piece(1, "waiting")),
        ("A", piece(2, "nested", "planned")),
        ("A", piece(3, "nested", "cutting")),
        ("A", piece(4, "cut")),
        ("A", piece(5, "ready")),
        ("B", piece(6, "ready")),
    ]
    serving = served(["A"] * 7 + ["B", "C"], pool)
    assert [serving[place].id for place in range(5)] == [5, 4, 3, 2, 1]
    assert set(serving) == {0, 1, 2, 3, 4, 7} and serving[7].id == 6


def test_a_sign_of_thousands_of_parts_is_matched_in_a_moment():
    """Ten times the parts, near ten times the time: 3,000 dots of one family, all moved."""

    def dots(count, x):
        return [board(width=9000, height=9000)] + [
            PlacedPart(
                n + 2,
                "dot",
                "dot",
                1,
                (1,),
                box(10 + x + 100 * (n % 80), 10 + 100 * (n // 80), 12, 12),
            )
            for n in range(count)
        ]

    signs = {count: (dots(count, 0), dots(count, 30)) for count in (300, 3000)}

    def match(count):
        assert kinds(match_parts(*signs[count]))["moved"] == count

    assert grows_at_most(20, match, 300, 3000)
