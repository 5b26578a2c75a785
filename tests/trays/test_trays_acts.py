"""What is done with trays, on a real database: all or none, kindly twice, undone, and played again from the ledger."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shopfloor.actions import labels, pieces, signs
from shopfloor.actions import trays as acts
from shopfloor.actions.desk import undo
from shopfloor.domain import codes
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import jobs, ledger, replay, trays


def events(desk) -> list[str]:
    return [event["event"] for event in ledger.entry(desk.read(), ledger.newest(desk.read())).events]


def test_a_tray_gets_a_code_of_its_own_and_the_next_number(bench, desk):
    first, second = bench.do(acts.make_tray, "bag"), bench.do(acts.make_tray, "bag")
    assert first.sentence == f"Bag 1 is there: {codes.show(first.codes[0])}. Print its label."
    assert trays.by_code(desk.read(), second.codes[0]).called == "bag 2"
    assert events(desk) == ["TrayMade"]


def test_only_who_works_with_pieces_may_make_a_tray(desk, bench, owner):
    acts.make_tray(desk, owner, "bag")  # an owner may do everything
    with pytest.raises(NotAllowed):
        acts.make_tray(desk, replace(bench.by, roles=frozenset()), "bag")


def test_pieces_lie_in_a_bag_and_a_second_scan_is_answered_kindly(bench, desk):
    bag, code = bench.made("bag", "3"), bench.codes["A L"]
    assert bench.do(acts.put_in, bag, [code]).sentence == "'L' of J-1001 A lies in bag 3 now."
    assert events(desk) == ["PieceLaid"]
    again = bench.do(acts.put_in, bag, [code])
    assert again.sentence == "'L' of J-1001 A lies in bag 3 already." and again.data == {"changed": False}
    assert bench.lies("A L") == ("bag 3", False)


def test_of_several_pieces_all_go_in_or_none(bench):
    bag = bench.made("bag")
    with pytest.raises(Conflict, match="'O' of J-1001 A is not marked cut yet"):
        bench.do(acts.put_in, bag, [bench.codes["A L"], bench.codes["A O"]])
    assert bench.lies("A L") is None
    said = bench.do(acts.put_in, bag, [bench.codes["A L"], bench.codes["B I"], bench.codes["A L"]]).sentence
    assert said == "2 pieces lie in bag 1 now."


def test_what_is_no_piece_does_not_go_in_and_what_is_no_tray_takes_nothing(bench):
    bag = bench.made("bag")
    with pytest.raises(Refused, match="is the code of a sign, not of a piece"):
        bench.do(acts.put_in, bag, [bench.codes["A"]])
    with pytest.raises(NotFound, match="No tray bears the code"):
        bench.do(acts.put_in, bench.codes["A"], [bench.codes["A L"]])


def test_a_piece_is_taken_out_and_a_picked_one_then_lies_on_the_bench(bench):
    bag = bench.made("bag")
    bench.do(acts.put_in, bag, [bench.codes["A L"], bench.codes["B I"]])
    assert bench.do(acts.take_out, bag, [bench.codes["A L"]]).sentence == "'L' of J-1001 A is taken out of bag 1."
    assert bench.lies("A L") is None
    assert bench.do(acts.take_out, bag, [bench.codes["A L"]]).sentence == "'L' of J-1001 A is not in bag 1: nothing to do."
    bench.do(acts.pick, bench.codes["B"], bag)
    bench.do(acts.take_out, bag, [bench.codes["B I"]])
    assert bench.lies("B I") == ("the bench", True)


def test_a_bag_moves_with_all_that_is_in_it_and_never_into_itself(bench):
    bag, tray, shelf = bench.made("bag"), bench.made("tray"), bench.made("shelf", "A")
    bench.do(acts.put_in, bag, [bench.codes["A L"]])
    assert bench.do(acts.move_tray, bag, tray).sentence == "Bag 1 stands in tray 1 now."
    assert bench.do(acts.move_tray, tray, shelf).sentence == "Tray 1 stands on shelf A now."
    assert bench.do(acts.move_tray, tray, shelf).sentence == "Tray 1 stands on shelf A already."
    other = bench.made("tray")
    bench.do(acts.move_tray, other, tray)
    with pytest.raises(Conflict, match="Tray 2 stands in tray 1 itself"):
        bench.do(acts.move_tray, tray, other)
    db = bench.desk.read()
    assert [one.called for one in trays.lying_in(db, trays.by_code(db, shelf).id)] == ["'L' of J-1001 A"]
    assert bench.do(acts.move_tray, tray).sentence == "Tray 1 stands by itself now."


def test_an_empty_tray_is_retired_and_takes_nothing_then(bench):
    bag, tray = bench.made("bag"), bench.made("tray")
    bench.do(acts.put_in, bag, [bench.codes["A L"]])
    bench.do(acts.move_tray, bag, tray)
    for full in (bag, tray):
        with pytest.raises(Conflict, match="is not empty"):
            bench.do(acts.retire_tray, full)
    bench.do(acts.take_out, bag, [bench.codes["A L"]])
    assert bench.do(acts.retire_tray, bag).sentence == "Bag 1 is retired: take its label off."
    with pytest.raises(Conflict, match="Bag 1 is retired"):
        bench.do(acts.put_in, bag, [bench.codes["A L"]])
    assert bench.do(acts.retire_tray, bag).act  # twice is no error
    bench.do(acts.retire_tray, tray)  # the bag stands in it no longer


@pytest.mark.parametrize("mark", ["lost", "damaged"])
def test_a_piece_that_is_gone_leaves_its_tray_and_undo_brings_it_back(bench, desk, mark):
    bag = bench.made("bag")
    bench.do(acts.put_in, bag, [bench.codes["A L"]])
    gone = bench.do(pieces.mark, [bench.codes["A L"]], mark)
    assert bench.lies("A L") is None
    undo(desk, bench.by, gone.act)
    assert bench.lies("A L") == ("bag 1", False)
    assert replay.differences(desk.read()) == []


def test_a_mark_under_a_piece_that_was_laid_away_is_not_undone(bench, desk, owner):
    cut = pieces.mark(desk, owner, [bench.codes["A O"]], "cut")
    laid = bench.do(acts.put_in, bench.made("bag"), [bench.codes["A O"]])
    with pytest.raises(Conflict, match="lies in bag 1 now"):
        undo(desk, owner, cut.act)
    undo(desk, owner, laid.act)
    undo(desk, owner, cut.act)
    assert bench.lies("A O") is None


def test_a_tray_with_a_piece_in_it_is_not_undone_and_its_code_is_never_given_again(bench, desk):
    made = bench.do(acts.make_tray, "bag")
    laid = bench.do(acts.put_in, made.codes[0], [bench.codes["A L"]])
    with pytest.raises(Conflict, match="undo that first"):
        undo(desk, bench.by, made.act)
    undo(desk, bench.by, laid.act)
    undo(desk, bench.by, made.act)
    assert desk.read().execute("SELECT is_retired FROM code WHERE code = ?", made.codes).fetchone()[0] == 1


# Picking ------------------------------------------------------------------------------------------------------------


def test_a_picked_piece_lies_ready_for_its_sign_on_the_bench_or_in_the_tray_chosen_for_it(bench, desk):
    a, tray = bench.codes["A"], bench.made("tray", "bench tray 2")
    answer = bench.do(acts.pick, a, bench.codes["A L"])
    assert answer.sentence == "'L' of J-1001 A is picked." and bench.lies("A L") == ("the bench", True)
    assert events(desk) == ["PiecePicked"]
    answer = bench.do(acts.pick, a, bench.codes["A no. 1"], tray)
    assert answer.sentence == "No. 1 of J-1001 A is picked; it goes into bench tray 2."
    assert bench.lies("A no. 1") == ("bench tray 2", True)


def test_a_double_scan_is_answered_kindly_and_changes_nothing(bench):
    bench.do(acts.pick, bench.codes["A"], bench.codes["A L"])
    again = bench.do(acts.pick, bench.codes["A"], bench.codes["A L"])
    assert again.sentence == "Picked already: 'L' of J-1001 A." and not again.data["changed"]
    assert again.data["parts"], "it lights up all the same"


def test_a_piece_with_its_tabs_on_is_picked_and_says_so(bench):
    with bench.desk.database.write() as db:  # as if it had been held by tabs; the ledger is not asked here
        ledger.begin(db)
        db.execute("UPDATE piece SET state = 'cut', tabs = 2 WHERE code = ?", (bench.codes["B I"],))
        db.execute("DELETE FROM open_act")
    said = bench.do(acts.pick, bench.codes["B"], bench.codes["B I"]).sentence
    assert said == "'I' of J-1001 B is picked: trim its tabs first."


def test_a_piece_of_another_sign_is_not_picked_and_says_where_its_like_lie(bench):
    bench.do(acts.put_in, bench.made("bag", "3"), [bench.codes["B no. 1"]])
    with pytest.raises(Conflict, match=r"Not for J-1001 A: 'I' of J-1001 B goes on level 1, no. 2; its pieces lie in bag 3\."):
        bench.do(acts.pick, bench.codes["A"], bench.codes["B I"])
    assert bench.lies("B I") is None


def test_a_lost_piece_a_spare_and_one_not_cut_are_not_picked(bench):
    with pytest.raises(Conflict, match="not marked cut yet"):
        bench.do(acts.pick, bench.codes["A"], bench.codes["A O"])
    bench.do(pieces.mark, [bench.codes["A L"]], "lost")
    with pytest.raises(Conflict, match="'L' of J-1001 A is marked lost"):
        bench.do(acts.pick, bench.codes["A"], bench.codes["A L"])
    with pytest.raises(NotFound, match="No label bears"):
        bench.do(acts.pick, bench.codes["A"], codes.make(7))


def test_of_a_bag_all_that_is_for_the_sign_is_picked_and_the_rest_is_named(bench):
    bag, shelf = bench.made("bag", "3"), bench.made("shelf", "A")
    bench.do(acts.put_in, bag, [bench.codes[name] for name in ("A L", "A no. 1", "B I")])
    bench.do(acts.move_tray, bag, shelf)
    answer = bench.do(acts.pick, bench.codes["A"], shelf)  # which stays where it is, and the bag on it
    assert answer.sentence == "2 of 3 on shelf A are picked for J-1001 A; not for it: 'I' of J-1001 B."
    assert [bench.lies(name) for name in ("A L", "A no. 1", "B I")] == [("bag 3", True), ("bag 3", True), ("bag 3", False)]
    again = bench.do(acts.pick, bench.codes["A"], bag)
    assert again.sentence == (
        "Picked already: 2 of 3 in bag 3 for J-1001 A; not for it: 'I' of J-1001 B. Bag 3 is off shelf A."
    )
    bench.do(acts.take_out, bag, [bench.codes["B I"]])
    with pytest.raises(Conflict, match="Nothing in bag 3 is for J-1001 B: there are no. 1 of J-1001 A and 'L' of J-1001 A"):
        bench.do(acts.pick, bench.codes["B"], bag)
    with pytest.raises(Conflict, match="Bag 4 is empty"):
        bench.do(acts.pick, bench.codes["B"], bench.made("bag"))


def test_a_bag_that_is_picked_is_off_its_shelf_until_that_is_undone(bench, desk):
    bag, tray, shelf = bench.made("bag", "3"), bench.made("tray", "2"), bench.made("shelf", "A")
    bench.do(acts.put_in, bag, [bench.codes["A L"]])
    bench.do(acts.move_tray, bag, tray)
    bench.do(acts.move_tray, tray, shelf)

    def stands() -> list[int | None]:
        known = trays.all_trays(desk.read())
        return [trays.by_code(desk.read(), code).stands_in and known[trays.by_code(desk.read(), code).stands_in].called
                for code in (bag, tray, shelf)]  # fmt: skip

    picked = bench.do(acts.pick, bench.codes["A"], bag)
    assert picked.sentence == "1 of 1 in bag 3 is picked for J-1001 A. Bag 3 is out of tray 2."
    assert events(desk) == ["PiecePicked", "TrayMoved"] and stands() == [None, "shelf A", None]
    again = bench.do(acts.pick, bench.codes["A"], bag)
    assert again.sentence == "Picked already: 1 of 1 in bag 3 for J-1001 A." and not again.data["changed"]
    undo(desk, bench.by, picked.act)
    assert stands() == ["tray 2", "shelf A", None] and bench.lies("A L") == ("bag 3", False)
    assert replay.differences(desk.read()) == []


def test_what_is_put_back_stays_in_its_tray_and_undo_picks_it_again(bench, desk):
    bag = bench.made("bag")
    bench.do(acts.put_in, bag, [bench.codes["A L"]])
    bench.do(acts.pick, bench.codes["A"], bag)
    back = bench.do(acts.put_back, bench.codes["A"], [bench.codes["A L"]])
    assert back.sentence == "'L' of J-1001 A is put back." and bench.lies("A L") == ("bag 1", False)
    assert bench.do(acts.put_back, bench.codes["A"], [bench.codes["A L"]]).sentence.endswith("is not picked: nothing to do.")
    undo(desk, bench.by, back.act)
    assert bench.lies("A L") == ("bag 1", True)
    assert replay.differences(desk.read()) == []


def test_a_picked_piece_that_is_laid_into_another_tray_stays_picked(bench):
    bench.do(acts.pick, bench.codes["A"], bench.codes["A L"])
    bench.do(acts.put_in, bench.made("tray"), [bench.codes["A L"]])
    assert bench.lies("A L") == ("tray 1", True)


def test_a_piece_that_is_no_longer_for_its_sign_is_no_longer_picked_for_it(bench, desk, owner):
    bag = bench.made("bag")
    bench.do(acts.put_in, bag, [bench.codes["B I"]])
    bench.do(acts.pick, bench.codes["B"], bag)
    bench.do(acts.pick, bench.codes["B"], bench.codes["B I<2>"])
    sign = jobs.sign_by_code(desk.read(), bench.codes["B"]).id
    called_off = signs.cancel(desk, owner, sign, "the customer called it off")
    assert (bench.lies("B I"), bench.lies("B I<2>")) == (("bag 1", False), None)
    with pytest.raises(Conflict, match="is for no sign: put it with the spares"):
        bench.do(acts.pick, bench.codes["A"], bench.codes["B I"])
    undo(desk, owner, called_off.act)
    assert (bench.lies("B I"), bench.lies("B I<2>")) == (("bag 1", True), ("the bench", True))


def test_two_tablets_that_scan_the_same_piece_pick_it_once(bench, desk, operator):
    first = acts.pick(desk, bench.by, bench.codes["A"], bench.codes["A L"], key="one")
    second = acts.pick(desk, operator, bench.codes["A"], bench.codes["A L"], key="two")
    retry = acts.pick(desk, bench.by, bench.codes["A"], bench.codes["A L"], key="one")
    assert (first.data["changed"], second.data["changed"]) == (True, False)
    assert retry.sentence == first.sentence and retry.act == first.act
    assert replay.differences(desk.read()) == []


# The label ----------------------------------------------------------------------------------------------------------


def test_the_label_of_a_bag_counts_its_pieces_and_names_their_sign(bench):
    bag, shelf = bench.made("bag", "3"), bench.made("shelf", "A")
    bench.do(acts.put_in, bag, [bench.codes["A L"], bench.codes["A no. 1"]])
    label = labels.found_labels(bench.desk.read(), bag)[0]
    assert (label.title, label.lines) == ("Bag 3", ("2 pieces: J-1001 A",))
    assert label.url.endswith(f"/P/{bag}")
    shelf_label = labels.found_labels(bench.desk.read(), shelf)[0]
    assert (shelf_label.title, shelf_label.lines) == ("Shelf A", ())
    assert labels.labels_of(bench.desk, bag, "roll-50x25")[0].startswith(b"%PDF")


def test_no_undo_makes_two_trays_stand_in_each_other(bench, desk):
    one, other = bench.made("tray", "1"), bench.made("tray", "2")
    bench.do(acts.move_tray, one, other)
    alone = bench.do(acts.move_tray, one)
    bench.do(acts.move_tray, other, one)
    with pytest.raises(Conflict, match="has since acted on it"):
        undo(desk, bench.by, alone.act)
    assert replay.differences(desk.read()) == []
