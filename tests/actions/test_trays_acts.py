"""What is done with trays, on a real database: all or none, kindly twice, undone, and played again from the ledger."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shopfloor.actions import labels, pieces, signs
from shopfloor.actions import trays as acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain import codes
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import jobs, ledger, replay, trays


def changes(shop) -> list[dict]:
    """The rows that the newest act changed: table, before, after."""
    return ledger.entry(shop.read(), ledger.newest(shop.read())).changes


def test_a_tray_gets_a_code_of_its_own_and_the_next_number(tray_bench, shop):
    first, second = tray_bench.do(acts.make_tray, "bag"), tray_bench.do(acts.make_tray, "bag")
    assert first.sentence == f"Bag 1 added: {codes.show(first.codes[0])}. Print its label."
    assert str(trays.by_code(shop.read(), second.codes[0]).called) == "bag 2"
    assert [change["a"]["name"] for change in changes(shop) if change["t"] == "tray"] == ["2"]


def test_only_who_works_with_pieces_may_make_a_tray(shop, tray_bench, owner):
    acts.make_tray(Caller(shop, owner), "bag")  # an owner may do everything
    with pytest.raises(NotAllowed):
        acts.make_tray(Caller(shop, replace(tray_bench.by, roles=frozenset())), "bag")


def test_pieces_lie_in_a_bag_and_a_second_scan_changes_nothing(tray_bench, shop):
    bag, code = tray_bench.made("bag", "3"), tray_bench.codes["A L"]
    assert tray_bench.do(acts.put_in, bag, [code]).sentence == "'L' of J-1001 A is now in bag 3."
    assert [change["t"] for change in changes(shop)] == ["lying"]
    again = tray_bench.do(acts.put_in, bag, [code])
    assert again.sentence == "'L' of J-1001 A is already in bag 3." and again.data == {
        "changed": False
    }
    assert tray_bench.lies("A L") == ("bag 3", False)


def test_of_several_pieces_all_go_in_or_none(tray_bench):
    bag = tray_bench.made("bag")
    with pytest.raises(Conflict, match="'O' of J-1001 A is not marked cut yet"):
        tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"], tray_bench.codes["A O"]])
    assert tray_bench.lies("A L") is None
    said = tray_bench.do(
        acts.put_in,
        bag,
        [tray_bench.codes["A L"], tray_bench.codes["B I"], tray_bench.codes["A L"]],
    ).sentence
    assert said == "2 pieces are now in bag 1."


def test_what_is_no_piece_does_not_go_in_and_what_is_no_tray_takes_nothing(tray_bench):
    bag = tray_bench.made("bag")
    with pytest.raises(Refused, match="is the label of a sign"):
        tray_bench.do(acts.put_in, bag, [tray_bench.codes["A"]])
    with pytest.raises(NotFound, match="No tray has the code"):
        tray_bench.do(acts.put_in, tray_bench.codes["A"], [tray_bench.codes["A L"]])


def test_a_piece_is_taken_out_and_a_picked_one_then_lies_on_the_bench(tray_bench):
    bag = tray_bench.made("bag")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"], tray_bench.codes["B I"]])
    assert (
        tray_bench.do(acts.take_out, bag, [tray_bench.codes["A L"]]).sentence
        == "'L' of J-1001 A taken out of bag 1."
    )
    assert tray_bench.lies("A L") is None
    assert (
        tray_bench.do(acts.take_out, bag, [tray_bench.codes["A L"]]).sentence
        == "'L' of J-1001 A is not in bag 1. Nothing to do."
    )
    tray_bench.do(acts.pick, tray_bench.codes["B"], bag)
    tray_bench.do(acts.take_out, bag, [tray_bench.codes["B I"]])
    assert tray_bench.lies("B I") == ("the bench", True)


def test_a_bag_moves_with_all_that_is_in_it_and_never_into_itself(tray_bench):
    bag, tray, shelf = (
        tray_bench.made("bag"),
        tray_bench.made("tray"),
        tray_bench.made("shelf", "A"),
    )
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    assert tray_bench.do(acts.move_tray, bag, tray).sentence == "Bag 1 is now in tray 1."
    assert tray_bench.do(acts.move_tray, tray, shelf).sentence == "Tray 1 is now on shelf A."
    assert tray_bench.do(acts.move_tray, tray, shelf).sentence == "Tray 1 is already on shelf A."
    other = tray_bench.made("tray")
    tray_bench.do(acts.move_tray, other, tray)
    with pytest.raises(Conflict, match="Tray 2 is inside tray 1"):
        tray_bench.do(acts.move_tray, tray, other)
    db = tray_bench.shop.read()
    assert [str(one.called) for one in trays.lying_in(db, trays.by_code(db, shelf).id)] == [
        "'L' of J-1001 A"
    ]
    assert tray_bench.do(acts.move_tray, tray).sentence == "Tray 1 is now on its own."


def test_an_empty_tray_is_retired_and_takes_nothing_then(tray_bench):
    bag, tray = tray_bench.made("bag"), tray_bench.made("tray")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    tray_bench.do(acts.move_tray, bag, tray)
    for full in (bag, tray):
        with pytest.raises(Conflict, match="is not empty"):
            tray_bench.do(acts.retire_tray, full)
    tray_bench.do(acts.take_out, bag, [tray_bench.codes["A L"]])
    assert tray_bench.do(acts.retire_tray, bag).sentence == "Bag 1 is retired. Take its label off."
    with pytest.raises(Conflict, match="Bag 1 is retired"):
        tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    assert tray_bench.do(acts.retire_tray, bag).act  # twice is no error
    tray_bench.do(acts.retire_tray, tray)  # the bag stands in it no longer


@pytest.mark.parametrize("mark", ["lost", "damaged"])
def test_a_piece_that_is_gone_leaves_its_tray_and_undo_brings_it_back(tray_bench, shop, mark):
    bag = tray_bench.made("bag")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    gone = tray_bench.do(pieces.mark, [tray_bench.codes["A L"]], mark)
    assert tray_bench.lies("A L") is None
    undo(Caller(shop, tray_bench.by), gone.act)
    assert tray_bench.lies("A L") == ("bag 1", False)
    assert replay.differences(shop.read()) == []


def test_a_mark_under_a_piece_that_was_laid_away_is_not_undone(tray_bench, shop, owner):
    cut = pieces.mark(Caller(shop, owner), [tray_bench.codes["A O"]], "cut")
    laid = tray_bench.do(acts.put_in, tray_bench.made("bag"), [tray_bench.codes["A O"]])
    with pytest.raises(Conflict, match="is now in bag 1"):
        undo(Caller(shop, owner), cut.act)
    undo(Caller(shop, owner), laid.act)
    undo(Caller(shop, owner), cut.act)
    assert tray_bench.lies("A O") is None


def test_a_tray_with_a_piece_in_it_is_not_undone_and_its_code_is_never_given_again(
    tray_bench, shop
):
    made = tray_bench.do(acts.make_tray, "bag")
    laid = tray_bench.do(acts.put_in, made.codes[0], [tray_bench.codes["A L"]])
    with pytest.raises(Conflict, match="Undo that first"):
        undo(Caller(shop, tray_bench.by), made.act)
    undo(Caller(shop, tray_bench.by), laid.act)
    undo(Caller(shop, tray_bench.by), made.act)
    assert (
        shop.read().execute("SELECT is_retired FROM code WHERE code = ?", made.codes).fetchone()[0]
        == 1
    )


# Picking ------------------------------------------------------------------------------------------------------------


def test_a_picked_piece_lies_ready_for_its_sign_on_the_bench_or_in_the_tray_chosen_for_it(
    tray_bench, shop
):
    a, tray = tray_bench.codes["A"], tray_bench.made("tray", "bench tray 2")
    answer = tray_bench.do(acts.pick, a, tray_bench.codes["A L"])
    assert answer.sentence == "'L' of J-1001 A picked." and tray_bench.lies("A L") == (
        "the bench",
        True,
    )
    assert [change["t"] for change in changes(shop)] == ["lying"]
    answer = tray_bench.do(acts.pick, a, tray_bench.codes["A no. 1"], tray)
    assert answer.sentence == "No. 1 of J-1001 A picked. Put it in bench tray 2."
    assert tray_bench.lies("A no. 1") == ("bench tray 2", True)


def test_a_double_scan_changes_nothing_and_is_no_error(tray_bench):
    tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A L"])
    again = tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A L"])
    assert again.sentence == "Already picked: 'L' of J-1001 A." and not again.data["changed"]
    assert again.data["parts"], "it lights up anyway"


def test_a_piece_with_its_tabs_on_is_picked_and_says_so(tray_bench):
    with (
        tray_bench.shop.database.write() as db
    ):  # as if it had been held by tabs; the ledger is not asked here
        ledger.begin(db)
        db.execute(
            "UPDATE piece SET state = 'cut', tabs = 2 WHERE code = ?", (tray_bench.codes["B I"],)
        )
        db.execute("DELETE FROM open_act")
    said = tray_bench.do(acts.pick, tray_bench.codes["B"], tray_bench.codes["B I"]).sentence
    assert said == "'I' of J-1001 B picked. Trim its tabs first."


def test_a_piece_of_another_sign_is_not_picked_and_says_where_its_like_lie(tray_bench):
    tray_bench.do(acts.put_in, tray_bench.made("bag", "3"), [tray_bench.codes["B no. 1"]])
    with pytest.raises(
        Conflict,
        match=r"Not for J-1001 A: 'I' of J-1001 B goes on level 1, no. 2\. That sign's pieces are in bag 3\.",
    ):
        tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["B I"])
    assert tray_bench.lies("B I") is None


def test_a_lost_piece_a_spare_and_one_not_cut_are_not_picked(tray_bench):
    with pytest.raises(Conflict, match="not marked cut yet"):
        tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A O"])
    tray_bench.do(pieces.mark, [tray_bench.codes["A L"]], "lost")
    with pytest.raises(Conflict, match="'L' of J-1001 A is marked lost"):
        tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A L"])
    with pytest.raises(NotFound, match="No label has"):
        tray_bench.do(acts.pick, tray_bench.codes["A"], codes.make(7))


def test_of_a_bag_all_that_is_for_the_sign_is_picked_and_the_rest_is_named(tray_bench):
    bag, shelf = tray_bench.made("bag", "3"), tray_bench.made("shelf", "A")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes[name] for name in ("A L", "A no. 1", "B I")])
    tray_bench.do(acts.move_tray, bag, shelf)
    answer = tray_bench.do(
        acts.pick, tray_bench.codes["A"], shelf
    )  # which stays where it is, and the bag on it
    assert (
        answer.sentence
        == "2 of 3 on shelf A picked for J-1001 A. Not for this sign: 'I' of J-1001 B."
    )
    assert [tray_bench.lies(name) for name in ("A L", "A no. 1", "B I")] == [
        ("bag 3", True),
        ("bag 3", True),
        ("bag 3", False),
    ]
    again = tray_bench.do(acts.pick, tray_bench.codes["A"], bag)
    assert again.sentence == (
        "Already picked for J-1001 A: 2 of 3 in bag 3. Not for this sign: 'I' of J-1001 B. Bag "
        "3 is off shelf A."
    )
    assert again.data["changed"], "the bag was taken off its shelf"
    tray_bench.do(acts.take_out, bag, [tray_bench.codes["B I"]])
    with pytest.raises(
        Conflict,
        match=r"Nothing in bag 3 is for J-1001 B\. It holds No\. 1 of J-1001 A and 'L' of J-1001 A",
    ):
        tray_bench.do(acts.pick, tray_bench.codes["B"], bag)
    with pytest.raises(Conflict, match="Bag 4 is empty"):
        tray_bench.do(acts.pick, tray_bench.codes["B"], tray_bench.made("bag"))


def test_a_bag_that_is_picked_is_off_its_shelf_until_that_is_undone(tray_bench, shop):
    bag, tray, shelf = (
        tray_bench.made("bag", "3"),
        tray_bench.made("tray", "2"),
        tray_bench.made("shelf", "A"),
    )
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    tray_bench.do(acts.move_tray, bag, tray)
    tray_bench.do(acts.move_tray, tray, shelf)

    def stands() -> list[int | None]:
        known = trays.all_trays(shop.read())
        return [
            trays.by_code(shop.read(), code).stands_in
            and str(known[trays.by_code(shop.read(), code).stands_in].called)
            for code in (bag, tray, shelf)
        ]

    picked = tray_bench.do(acts.pick, tray_bench.codes["A"], bag)
    assert picked.sentence == "1 of 1 in bag 3 picked for J-1001 A. Bag 3 is out of tray 2."
    assert [change["t"] for change in changes(shop)] == ["lying", "tray"]
    assert stands() == [None, "shelf A", None]
    again = tray_bench.do(acts.pick, tray_bench.codes["A"], bag)
    assert (
        again.sentence == "Already picked for J-1001 A: 1 of 1 in bag 3."
        and not again.data["changed"]
    )
    undo(Caller(shop, tray_bench.by), picked.act)
    assert stands() == ["tray 2", "shelf A", None] and tray_bench.lies("A L") == ("bag 3", False)
    assert replay.differences(shop.read()) == []


def test_what_is_put_back_stays_in_its_tray_and_undo_picks_it_again(tray_bench, shop):
    bag = tray_bench.made("bag")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    tray_bench.do(acts.pick, tray_bench.codes["A"], bag)
    back = tray_bench.do(acts.put_back, tray_bench.codes["A"], [tray_bench.codes["A L"]])
    assert back.sentence == "'L' of J-1001 A put back." and tray_bench.lies("A L") == (
        "bag 1",
        False,
    )
    assert tray_bench.do(
        acts.put_back, tray_bench.codes["A"], [tray_bench.codes["A L"]]
    ).sentence.endswith("is not picked. Nothing to do.")
    undo(Caller(shop, tray_bench.by), back.act)
    assert tray_bench.lies("A L") == ("bag 1", True)
    assert replay.differences(shop.read()) == []


def test_a_picked_piece_that_is_laid_into_another_tray_stays_picked(tray_bench):
    tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A L"])
    tray_bench.do(acts.put_in, tray_bench.made("tray"), [tray_bench.codes["A L"]])
    assert tray_bench.lies("A L") == ("tray 1", True)


def test_a_piece_that_is_no_longer_for_its_sign_is_no_longer_picked_for_it(tray_bench, shop, owner):
    bag = tray_bench.made("bag")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["B I"]])
    tray_bench.do(acts.pick, tray_bench.codes["B"], bag)
    tray_bench.do(acts.pick, tray_bench.codes["B"], tray_bench.codes["B I<2>"])
    sign = jobs.sign_by_code(shop.read(), tray_bench.codes["B"]).id
    called_off = signs.cancel(Caller(shop, owner), sign, "the customer called it off")
    assert (tray_bench.lies("B I"), tray_bench.lies("B I<2>")) == (("bag 1", False), None)
    with pytest.raises(Conflict, match=r"is a spare\. Put it with the spares"):
        tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["B I"])
    undo(Caller(shop, owner), called_off.act)
    assert (tray_bench.lies("B I"), tray_bench.lies("B I<2>")) == (
        ("bag 1", True),
        ("the bench", True),
    )


def test_two_tablets_that_scan_the_same_piece_pick_it_once(tray_bench, shop, operator):
    first = acts.pick(
        Caller(shop, tray_bench.by, "one"), tray_bench.codes["A"], tray_bench.codes["A L"]
    )
    second = acts.pick(
        Caller(shop, operator, "two"), tray_bench.codes["A"], tray_bench.codes["A L"]
    )
    retry = acts.pick(
        Caller(shop, tray_bench.by, "one"), tray_bench.codes["A"], tray_bench.codes["A L"]
    )
    assert (first.data["changed"], second.data["changed"]) == (True, False)
    assert retry.sentence == first.sentence and retry.act == first.act
    assert replay.differences(shop.read()) == []


# The label ----------------------------------------------------------------------------------------------------------


def test_the_label_of_a_bag_counts_its_pieces_and_names_their_sign(tray_bench):
    bag, shelf = tray_bench.made("bag", "3"), tray_bench.made("shelf", "A")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"], tray_bench.codes["A no. 1"]])
    label = labels.found_labels(tray_bench.shop.read(), bag)[0]
    assert (str(label.title), [str(line) for line in label.lines]) == (
        "Bag 3",
        ["2 pieces: J-1001 A"],
    )
    assert label.url.endswith(f"/P/{bag}")
    shelf_label = labels.found_labels(tray_bench.shop.read(), shelf)[0]
    assert (str(shelf_label.title), shelf_label.lines) == ("Shelf A", ())
    assert labels.labels_of(tray_bench.shop, bag, "roll-50x25")[0].startswith(b"%PDF")


def test_no_undo_makes_two_trays_stand_in_each_other(tray_bench, shop):
    one, other = tray_bench.made("tray", "1"), tray_bench.made("tray", "2")
    tray_bench.do(acts.move_tray, one, other)
    alone = tray_bench.do(acts.move_tray, one)
    tray_bench.do(acts.move_tray, other, one)
    with pytest.raises(Conflict, match="has done something since"):
        undo(Caller(shop, tray_bench.by), alone.act)
    assert replay.differences(shop.read()) == []
