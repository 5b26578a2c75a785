"""Trays and the picking list without a database.

Cycles: against graphlib of the standard library. Sentences: written by hand.
"""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.bench import trays as rules
from shopfloor.domain.bench.steps import Part
from shopfloor.domain.bench.trays import Belongs, Tray, Wanted
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.domain.pieces import Piece
from shopfloor.wording import pieces as wording

SHELF, TRAY, BAG = (
    Tray(1, "1", "shelf", "A"),
    Tray(2, "2", "tray", "bench tray 2", 1),
    Tray(3, "3", "bag", "3", 2),
)
ALL = {1: SHELF, 2: TRAY, 3: BAG}


def part(number, name, state, level=1, **more) -> Part:
    return Part(100 + number, number, name, level, code="40729153", state=state, **more)


def piece(state, **more) -> Piece:
    return Piece(1, "40729153", state, 1, 0, None, None, 1, 1, **more)


# Trays --------------------------------------------------------------------------------------------------------------


def test_a_place_is_said_from_the_bag_outwards():
    assert str(rules.whereabouts(3, ALL)) == "in bag 3, in bench tray 2, on shelf A"
    assert str(rules.whereabouts(1, ALL)) == "on shelf A"
    assert str(rules.whereabouts(None, ALL)) == "on the bench"


def test_a_place_ends_where_an_undo_made_it_come_round_again():
    ring = {1: Tray(1, "1", "tray", "1", 2), 2: Tray(2, "2", "tray", "2", 1)}
    assert str(rules.whereabouts(1, ring)) == "in tray 1, in tray 2"


@given(st.lists(st.tuples(st.integers(0, 5), st.one_of(st.none(), st.integers(0, 5))), max_size=20))
def test_no_row_of_moves_makes_a_tray_stand_in_itself_and_no_other_move_is_refused(moves):
    trays = {number: Tray(number, str(number), "tray", str(number)) for number in range(6)}
    for moving, into in moves:
        wanted = {n: [t.stands_in] if t.stands_in is not None else [] for n, t in trays.items()}
        wanted[moving] = [] if into is None else [into]
        try:
            TopologicalSorter(wanted).prepare()
            is_ring = False
        except CycleError:
            is_ring = True
        try:
            is_moved = rules.moves(trays[moving], trays.get(into), trays)
            assert not is_ring
        except Conflict:
            assert is_ring
            continue
        assert is_moved == (trays[moving].stands_in != into)
        if is_moved:
            trays[moving] = Tray(moving, str(moving), "tray", str(moving), into)


def test_what_moves_is_the_smaller_of_two_and_a_shelf_does_not_go_into_a_bag():
    assert rules.inner_and_outer(SHELF, BAG) == (BAG, SHELF)
    assert rules.inner_and_outer(BAG, SHELF) == (BAG, SHELF)
    with pytest.raises(Conflict, match="A shelf does not go into a bag"):
        rules.moves(SHELF, Tray(9, "9", "bag", "9"), {**ALL, 9: Tray(9, "9", "bag", "9")})


def test_a_tray_that_stands_there_already_is_not_moved_again():
    assert not rules.moves(BAG, TRAY, ALL)
    assert rules.moves(BAG, None, ALL) and rules.moves(BAG, SHELF, ALL)


def test_only_a_bag_or_tray_that_stands_in_another_is_carried_off_when_it_is_picked():
    racked = Tray(4, "4", "shelf", "B", 5)
    known = {**ALL, 4: racked, 5: Tray(5, "5", "rack", "1")}
    assert [rules.is_carried_off(known[id], known) for id in (1, 2, 3, 4)] == [
        False,
        True,
        True,
        False,
    ]
    assert not rules.is_carried_off(Tray(6, "6", "bag", "6"), known)


def test_a_name_is_the_next_number_where_none_is_given_and_none_is_given_twice():
    bags = [Tray(1, "1", "bag", "3"), Tray(2, "2", "bag", "dots"), Tray(3, "3", "shelf", "9")]
    assert rules.checked_name("bag", " ", bags) == "4"
    assert rules.checked_name("rack", "", bags) == "1"
    assert rules.checked_name("bag", "  small   dots ", bags) == "small dots"
    for name in ("3", "bag 3", "Bag 3"):
        with pytest.raises(Conflict, match=r"There is already a [bB]ag 3"):
            rules.checked_name("bag", name, bags)
    with pytest.raises(Refused, match="Choose a bag, a tray, a shelf or a rack"):
        rules.checked_name("bucket", "1", bags)
    with pytest.raises(Refused, match="at most 30 letters"):
        rules.checked_name("bag", "x" * 31, bags)


def test_pieces_are_summed_up_through_what_they_lie_in():
    counts = {3: {"J-1004 A": 6}, 2: {"J-1002 D": 1, "J-1004 A": 1}}
    assert rules.summed_up(counts, ALL) == {
        3: {"J-1004 A": 6},
        2: {"J-1002 D": 1, "J-1004 A": 7},
        1: {"J-1002 D": 1, "J-1004 A": 7},
    }


def test_a_tray_is_retired_only_when_it_is_empty():
    rules.must_be_empty(BAG, 0, [])
    with pytest.raises(Conflict, match=r"Bag 3 is not empty: 1 piece\."):
        rules.must_be_empty(BAG, 1, [])
    with pytest.raises(Conflict, match="Shelf A is not empty: 2 pieces and bench tray 2"):
        rules.must_be_empty(SHELF, 2, [TRAY])


@pytest.mark.parametrize(
    "state, why",
    [
        ("waiting", "is not cut yet: it waits for a sheet"),
        ("nested", "not marked cut yet"),
        ("fixed", "is mounted on its sign"),
        ("lost", "marked lost"),
        ("damaged", "is damaged"),
        ("withdrawn", "is not needed"),
    ],
)
def test_only_what_is_in_hand_and_loose_lies_in_a_tray(state, why):
    with pytest.raises(Conflict, match=why):
        rules.must_be_loose(piece(state), "'A' of J-1004 A")


def test_a_cut_and_a_ready_piece_may_lie_in_a_tray():
    rules.must_be_loose(piece("cut"), "'A'")
    rules.must_be_loose(piece("ready"), "'A'")


# The picking list ----------------------------------------------------------------------------------------------------


def wanted(*parts, picked=()) -> list[Wanted]:
    return [Wanted(one, 1, is_picked=one.number in picked) for one in parts]


def test_what_is_missing_is_counted_and_named():
    some = wanted(
        part(4, "R", "waiting"),
        part(5, "E", "nested", sheet="S-207", sheet_state="off the table"),
        part(6, "A", "ready"),
    )
    assert str(rules.what_is_missing(some)) == (
        "2 of 3 missing: 'R' (no. 4) waits for a sheet. 'E' (no. 5) is on sheet S-207, off the table and not marked yet."
    )


def test_of_many_missing_parts_three_are_named_and_the_rest_are_counted():
    some = wanted(*(part(number, "I", "waiting") for number in range(1, 7)), part(7, "A", "cut"))
    assert str(rules.what_is_missing(some)) == (
        "6 of 7 missing: 'I' (no. 1), 'I' (no. 2) and 'I' (no. 3) wait for a sheet. And 3 more."
    )


def test_a_lost_part_is_missing_with_its_recut_and_where_that_is():
    one = wanted(part(4, "R", "waiting", gone="lost"))
    assert (
        str(rules.what_is_missing(one))
        == "1 of 1 missing: 'R' (no. 4) is lost. Its recut 4072 9153 waits for a sheet."
    )
    assert str(one[0].whereabouts) == "lost; its recut 4072 9153 is waiting for a sheet"


def test_nothing_is_missing_but_not_all_is_picked_and_then_everything_is_here():
    parts = (part(1, "board", "fixed"), part(2, "A", "ready"), part(3, "B", "cut"))
    assert str(rules.what_is_missing(wanted(*parts))) == "Nothing is missing. 2 of 3 still to pick."
    assert (
        str(rules.what_is_missing(wanted(*parts, picked=(2,))))
        == "Nothing is missing. 1 of 3 still to pick."
    )
    assert str(rules.what_is_missing(wanted(*parts, picked=(2, 3)))) == "Everything is here."


@given(st.permutations(range(8)), st.lists(st.integers(0, 3), min_size=8, max_size=8))
def test_the_list_is_level_by_level_and_within_a_level_in_the_order_given(order, levels):
    parts = wanted(*(part(number, "x", "ready", level) for number, level in enumerate(levels)))
    found = [one.part.id for one in rules.in_order(parts, [100 + number for number in order])]
    assert found == sorted(found, key=lambda id: (levels[id - 100], order.index(id - 100)))


def test_what_an_order_leaves_out_comes_last_in_its_level():
    parts = wanted(part(1, "a", "ready"), part(2, "b", "ready"), part(3, "c", "ready"))
    assert [one.part.number for one in rules.in_order(parts, [103])] == [3, 1, 2]


def test_a_place_is_said_by_number_name_level_and_line_where_there_are_several():
    alone = [Wanted(part(7, "A", "ready"), 4)]
    assert str(rules.place_on_sign(alone[0], alone)) == "No. 7 'A', level 1"
    two = [Wanted(part(3, "B", "ready"), 2), *alone]
    assert str(rules.place_on_sign(alone[0], two)) == "No. 7 'A', level 1, line 2"
    unnamed = Wanted(part(9, "no. 9", "ready"), 1)
    assert str(rules.place_on_sign(unnamed, alone)) == "No. 9, level 1"


def test_where_nobody_wrote_it_down_the_sheet_helps_to_look():
    assert (
        str(Wanted(part(1, "A", "ready", sheet="S-206"), 1).whereabouts)
        == "loose, from sheet S-206: in no tray or bag"
    )
    in_bag = rules.whereabouts(3, ALL)
    assert Wanted(part(1, "A", "ready"), 1, in_bag).whereabouts == in_bag


def test_a_piece_of_another_sign_says_where_it_belongs_and_a_spare_that_it_is_one():
    spot, tray_2 = wording.place(1, 2), Tray(2, "2", "tray", "2")
    elsewhere = Belongs("J-1002 C", spot, tray_2.place)
    with pytest.raises(
        Conflict,
        match=r"Not for J-1004 A: '6' of J-1002 C goes on level 1, no\. 2\. That sign's pieces are in tray 2\.",
    ):
        rules.must_be_for(piece("ready", part=5), "'6' of J-1002 C", "J-1004 A", elsewhere)
    with pytest.raises(Conflict, match=r"4072 9153 is a spare"):
        rules.must_be_for(piece("ready"), "The spare 4072 9153", "J-1004 A", None)
    here = Belongs("J-1004 A", wording.place(1, 7))
    rules.must_be_for(piece("cut", part=5), "'A' of J-1004 A", "J-1004 A", here)


def test_of_two_trays_the_smaller_goes_into_the_larger_and_of_like_ones_what_is_scanned_goes_in():
    one, other = Tray(1, "1", "tray", "1"), Tray(2, "2", "tray", "2")
    bag, shelf, further = (
        Tray(3, "3", "bag", "3"),
        Tray(4, "4", "shelf", "A"),
        Tray(5, "5", "shelf", "B"),
    )
    assert rules.inner_and_outer(here=one, scanned=other) == (other, one)
    assert rules.inner_and_outer(here=bag, scanned=shelf) == (bag, shelf)
    assert rules.inner_and_outer(here=shelf, scanned=bag) == (bag, shelf)
    with pytest.raises(Conflict, match="A shelf does not go"):
        rules.moves(shelf, further, {4: shelf, 5: further})
