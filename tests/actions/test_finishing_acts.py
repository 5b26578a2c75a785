"""Check lists and the handing over as acts on SQLite: kept, undone, replayed."""

import pytest

from shopfloor.actions import bench as bench_acts
from shopfloor.actions import finishing as acts
from shopfloor.actions import pieces, signs
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.errors import Conflict, NotAllowed, Refused
from shopfloor.store import finishing as store
from shopfloor.store import ledger
from shopfloor.store import pieces as piece_store
from shopfloor.store.replay import differences
from shopfloor.wording import finishing as wording


def test_a_tick_is_kept_and_taken_back_and_undone(shop, assembler, plates):
    clean, item = plates.step("Clean"), plates.items("clean")[1]
    answer = acts.check_off(Caller(shop, assembler), clean.id, item)
    assert answer.sentence == f"OK: {item}. 3 items left."
    assert plates.ticks("Clean") == [item]
    back = acts.take_back(Caller(shop, assembler), clean.id, item)
    assert plates.ticks("Clean") == []
    undo(Caller(shop, assembler), back.act)
    assert plates.ticks("Clean") == [item]
    assert differences(shop.read()) == []


def test_a_second_tap_on_another_tablet_changes_nothing(shop, assembler, owner, plates):
    clean, item = plates.step("Clean"), plates.items("clean")[0]
    acts.check_off(Caller(shop, assembler), clean.id, item)
    second = acts.check_off(Caller(shop, owner), clean.id, item)
    assert ledger.entry(shop.read(), second.act).changes == []
    assert [tick.by_name for tick in store.ticks_of(shop.read(), clean.id)] == [assembler.name]


def test_a_step_is_not_finished_while_an_item_is_open(shop, assembler, plates):
    clean, items = plates.step("Clean"), plates.items("clean")
    for item in items[1:]:
        acts.check_off(Caller(shop, assembler), clean.id, item)
    with pytest.raises(Conflict, match=f"Tick these first: “{items[0]}”"):
        bench_acts.finish_step(Caller(shop, assembler), clean.id)
    acts.check_off(Caller(shop, assembler), clean.id, items[0])
    bench_acts.finish_step(Caller(shop, assembler), clean.id)
    assert plates.step("Clean").done_by == assembler.name


def test_finishing_with_what_was_shown_ticks_it_in_the_same_act(shop, assembler, plates):
    clean, items = plates.step("Clean"), plates.items("clean")
    with pytest.raises(Conflict):
        bench_acts.finish_step(Caller(shop, assembler), clean.id, items[:-1])
    assert plates.ticks("Clean") == [], "nothing is kept of an act that was refused"
    done = bench_acts.finish_step(Caller(shop, assembler), clean.id, items)
    assert set(plates.ticks("Clean")) == set(items)
    undo(Caller(shop, assembler), done.act)
    assert plates.ticks("Clean") == [] and plates.step("Clean").done_at is None
    assert differences(shop.read()) == []


def tick_in_former_words(plates, kind: str, *numbers: int) -> list[str]:
    """Writes ticks as the shop's database has them from before the usual lists got their present words."""
    items = [wording.FORMER_ITEMS[kind][number] for number in numbers]
    with plates.shop.database.write() as db:
        ledger.begin(db)
        for item in items:
            store.tick(db, plates.step(kind.capitalize()).id, item, "2026-11-25T08:00:00.000Z", 1)
        db.execute("DELETE FROM open_act")
    return items


def test_ticks_in_the_former_words_of_a_usual_item_still_count(shop, assembler, plates):
    former = tick_in_former_words(plates, "clean", 0, 2)
    clean, items = plates.step("Clean"), plates.items("clean")
    assert not set(former) & set(items)
    with pytest.raises(Conflict, match=f"Tick these first: “{items[1]}” and “{items[3]}”"):
        bench_acts.finish_step(Caller(shop, assembler), clean.id)
    assert acts.check_off(Caller(shop, assembler), clean.id, items[0]).sentence.endswith(
        "2 items left."
    )
    assert sorted(plates.ticks("Clean")) == sorted(former), "nobody ticks the same thing twice"
    acts.take_back(Caller(shop, assembler), clean.id, items[2])
    assert plates.ticks("Clean") == [former[0]]
    bench_acts.finish_step(Caller(shop, assembler), clean.id, [former[0], *items[1:]])
    assert sorted(plates.ticks("Clean")) == sorted([former[0], *items[1:]])


def test_a_page_that_still_shows_the_former_words_ticks_the_item_of_today(shop, assembler, plates):
    clean, former = plates.step("Clean"), wording.FORMER_ITEMS["clean"]
    acts.check_off(Caller(shop, assembler), clean.id, former[0])
    assert plates.ticks("Clean") == [plates.items("clean")[0]]
    bench_acts.finish_step(Caller(shop, assembler), clean.id, former)
    assert set(plates.ticks("Clean")) == set(plates.items("clean"))


def test_what_is_not_on_the_list_is_not_ticked(shop, assembler, plates):
    with pytest.raises(Conflict, match="off the list"):
        acts.check_off(Caller(shop, assembler), plates.step("Clean").id, "It is blue")


def test_a_step_whose_turn_it_is_not_is_not_ticked(shop, assembler, plates):
    with pytest.raises(Conflict, match="'Polish' is not done yet"):
        acts.check_off(
            Caller(shop, assembler), plates.step("Inspect").id, plates.items("inspect")[0]
        )


def test_a_step_that_is_done_is_not_ticked_any_more(shop, assembler, plates):
    plates.build("Polish")
    item = plates.items("clean")[0]
    for doing in (acts.check_off, acts.take_back):
        with pytest.raises(Conflict, match="already done"):
            doing(Caller(shop, assembler), plates.step("Clean").id, item)


def test_a_tick_cannot_be_undone_under_a_finished_step(shop, assembler, plates):
    tick = acts.check_off(
        Caller(shop, assembler), plates.step("Clean").id, plates.items("clean")[0]
    )
    plates.build("Polish")
    with pytest.raises(Conflict, match="has done something since"):
        undo(Caller(shop, assembler), tick.act)


def test_an_operator_does_not_tick(shop, operator, plates):
    with pytest.raises(NotAllowed):
        acts.check_off(Caller(shop, operator), plates.step("Clean").id, plates.items("clean")[0])


# The shop's own lists. ------------------------------------------------------------------------------------------------


def test_the_shop_writes_its_own_list_and_goes_back_to_the_usual_one(shop, owner, plates):
    usual = plates.items("polish")
    change = acts.change_check_list(
        Caller(shop, owner), "polish", ["  Edges like glass ", "", "No burn"]
    )
    assert plates.items("polish") == ("Edges like glass", "No burn")
    undo(Caller(shop, owner), change.act)
    assert plates.items("polish") == usual
    acts.change_check_list(Caller(shop, owner), "polish", ["Edges like glass"])
    acts.change_check_list(Caller(shop, owner), "polish", None)
    assert store.check_list(shop.read(), "polish") == store.CheckList("polish", usual, True)
    assert differences(shop.read()) == []


def test_the_usual_list_written_by_hand_is_the_usual_one(shop, owner, plates):
    acts.change_check_list(Caller(shop, owner), "pack", plates.items("pack"))
    assert store.check_list(shop.read(), "pack").is_usual


def test_only_an_owner_writes_a_list(shop, assembler, plates):
    with pytest.raises(NotAllowed):
        acts.change_check_list(Caller(shop, assembler), "polish", ["Edges like glass"])


def test_a_tick_keeps_its_wording_and_the_new_items_must_be_ticked(shop, owner, assembler, plates):
    clean, was = plates.step("Clean"), plates.items("clean")[0]
    acts.check_off(Caller(shop, assembler), clean.id, was)
    acts.change_check_list(Caller(shop, owner), "clean", ["No film left"])
    with pytest.raises(Conflict, match="“No film left”"):
        bench_acts.finish_step(Caller(shop, assembler), clean.id, [was])
    plates.build("Polish")
    assert set(plates.ticks("Clean")) == {was, "No film left"}


def test_a_list_without_items_asks_nothing(shop, owner, assembler, plates):
    acts.change_check_list(Caller(shop, owner), "clean", [])
    bench_acts.finish_step(Caller(shop, assembler), plates.step("Clean").id)
    assert plates.step("Clean").done_at


# Done again, handed over. ---------------------------------------------------------------------------------------------


def test_a_sign_that_is_damaged_after_inspection_is_checked_again(shop, assembler, plates):
    plates.build("Pack")
    front = piece_store.of_sign(shop.read(), plates.id)[0]
    pieces.mark(Caller(shop, assembler), [front.code], "damaged")
    assert plates.step("Inspect").done_at is None
    assert plates.ticks("Inspect") == plates.ticks("Clean") == []
    assert differences(shop.read()) == []


def test_a_reopened_sign_is_packed_and_handed_over_by_its_list_again(shop, owner, plates):
    plates.build("")
    inspected = plates.ticks("Inspect")
    signs.reopen(Caller(shop, owner), plates.id, "a letter came loose")
    assert plates.ticks("Pack") == plates.ticks("Hand over") == []
    assert plates.ticks("Inspect") == inspected, "what need not be redone keeps its ticks"
    with pytest.raises(Conflict, match="Tick these first"):
        bench_acts.finish_step(Caller(shop, owner), plates.step("Pack").id)
    assert differences(shop.read()) == []


def test_who_receives_the_sign_is_asked_and_kept(shop, assembler, plates):
    plates.build("Hand over")
    last = plates.step("Hand over")
    with pytest.raises(Refused, match="who took"):
        bench_acts.finish_step(Caller(shop, assembler), last.id, plates.items("hand over"), " ")
    assert plates.sign.state == "packed"
    plates.finish("Hand over", "  P.  Harbourmaster ")
    handed = store.handing_over_of(shop.read(), plates.id)
    assert (handed.to_name, handed.by_name, plates.sign.state) == (
        "P. Harbourmaster",
        assembler.name,
        "handed over",
    )


def test_a_reopened_sign_still_names_who_had_it_until_it_is_handed_over_again(shop, owner, plates):
    plates.build("")
    signs.reopen(Caller(shop, owner), plates.id, "a letter came loose")
    assert store.handing_over_of(shop.read(), plates.id).to_name == "P. Harbourmaster"
    plates.build("Hand over")
    plates.finish("Hand over", "The night porter")
    assert store.handing_over_of(shop.read(), plates.id).to_name == "The night porter"
    received = [
        change["a"]["to_name"]
        for row in ledger.recent(shop.read())
        for change in ledger.entry(shop.read(), row["act"]).changes
        if change["t"] == "handing_over"
    ]
    assert received == ["The night porter", "P. Harbourmaster"], "the ledger keeps both"
    assert differences(shop.read()) == []


def test_an_undone_handing_over_names_nobody(shop, assembler, plates):
    plates.build("Hand over")
    answer = bench_acts.finish_step(
        Caller(shop, assembler),
        plates.step("Hand over").id,
        plates.items("hand over"),
        "P. Harbourmaster",
    )
    undo(Caller(shop, assembler), answer.act)
    assert store.handing_over_of(shop.read(), plates.id) is None
    assert differences(shop.read()) == []
