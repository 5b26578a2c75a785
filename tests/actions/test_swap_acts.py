"""Swaps through the shop's own database: what is proposed, what a swap writes and undoes, and what the page says."""

from __future__ import annotations

import re

import pypdfium2
import pytest
import zxingcpp
from shop_for_tests import words
from swaps_for_tests import LATER, SwapShop

from shopfloor.actions import bench as bench_acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import nests, swaps
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Answer, Caller, command, undo
from shopfloor.domain.errors import Conflict
from shopfloor.store import bench, pieces, replay
from shopfloor.wording.message import plain

EARLY = "2026-11-27"  # the clock stands at 2026-11-25; a recut takes 1 day, the bench 2


@pytest.fixture
def swapping(shop, owner, plain_nests):
    return SwapShop(shop, owner)


@pytest.fixture
def two(swapping):
    """J-1001 A is due early and has lost its A at the router; J-1002 A is due later and has all in hand."""
    swapping.order("AB", due=EARLY)
    swapping.order("AC", due=LATER)
    lost = swapping.piece("J-1001 A", "A").code
    swapping.cut(lost)
    swapping.mark("lost", lost)
    return swapping


# What is proposed. ----------------------------------------------------------------------------------------------------


def test_the_piece_in_hand_of_the_later_sign_is_proposed_and_the_recut_goes_to_that_sign(two):
    plan = two.proposal().plan
    recut, given = two.piece("J-1001 A", "A"), two.piece("J-1002 A", "A")
    assert (recut.state, recut.attempt, given.state) == ("waiting", 2, "ready")
    assert [(m.piece, m.from_part, m.to_part) for m in plan.moves] == [
        (given.id, given.part, recut.part),
        (recut.id, recut.part, given.part),
    ]
    assert (plan.late_before, plan.late_after) == ((two.sign("J-1001 A"),), ())
    assert plan.lateness_before == 1, "in 1 day the recut is cut, 2 at the bench, due in 2"


def test_nothing_is_proposed_where_nothing_is_gained(swapping):
    swapping.order("AB", due=LATER)
    swapping.order("AC", due=LATER)
    swapping.cut(lost := swapping.piece("J-1001 A", "A").code)
    swapping.mark("lost", lost)
    assert swapping.proposal() is None, "no sign is late"


def test_nothing_is_proposed_where_the_other_sign_would_be_as_late(swapping):
    swapping.order("AB", due=EARLY)
    swapping.order("AC", due=EARLY)
    swapping.cut(lost := swapping.piece("J-1001 A", "A").code)
    swapping.mark("lost", lost)
    assert swapping.proposal() is None


@pytest.mark.parametrize(("recut_days", "is_proposed"), [("0.5", True), ("0.4", False)])
def test_a_swap_that_leaves_a_sign_late_must_save_half_a_day(
    swapping, owner, recut_days, is_proposed
):
    """The early sign is due in 1 day and needs 2 at the bench: it is late with a recut and with a piece in hand."""
    setting_acts.change_settings(Caller(swapping.shop, owner), {"recut_days": recut_days})
    swapping.order("AB", due="2026-11-26")
    swapping.order("AC", due=LATER)
    swapping.cut(lost := swapping.piece("J-1001 A", "A").code)
    swapping.mark("lost", lost)
    assert (swapping.proposal() is not None) == is_proposed


def test_nothing_is_proposed_where_the_early_sign_lacks_another_letter_as_well(two):
    lacking = two.piece("J-1001 A", "B").code
    two.mark("lost", lacking)
    assert two.proposal() is None, "it would be as late for want of its B"


def test_two_signs_of_one_job_help_each_other_once_one_is_on_hold(swapping, assembler):
    swapping.order("AB", "AC", due=EARLY)
    swapping.cut(lost := swapping.piece("J-1001 A", "A").code)
    swapping.mark("lost", lost)
    assert swapping.proposal() is None, "both are due on one day"
    sign_acts.hold(Caller(swapping.shop, assembler), swapping.sign("J-1001 B"))
    given = swapping.piece("J-1001 B", "A")
    assert swapping.proposal().plan.moves[0].piece == given.id, "a sign on hold can wait"


def test_a_spare_serves_before_any_sign_gives_a_piece_away_and_the_recut_is_withdrawn(two, owner):
    recut, spare = two.piece("J-1001 A", "A"), two.piece("J-1002 A", "A")
    two.order("A", due=LATER)
    two.cut()
    sign_acts.cancel(Caller(two.shop, owner), two.sign("J-1002 A"), "the customer went")
    assert two.moves() == [(spare.id, recut.part), (recut.id, None)]
    swaps.swap(Caller(two.shop, two.by), two.moves())
    assert two.piece("J-1001 A", "A").code == spare.code
    assert pieces.by_code(two.shop.read(), recut.code).state == "withdrawn"
    assert replay.differences(two.shop.read()) == []


def test_a_recut_on_a_planned_sheet_that_no_sign_needs_any_more_is_withdrawn_from_it(two, owner):
    recut = two.piece("J-1001 A", "A")
    nests.plan(Caller(two.shop, two.by), recut.stock, codes=[recut.code])
    setting_acts.change_settings(
        Caller(two.shop, owner), {"sheets_a_day": "1"}
    )  # that sheet is cut in a day: too late
    sign_acts.cancel(Caller(two.shop, owner), two.sign("J-1002 A"), "the customer went")
    assert (recut.id, None) in two.moves()
    swaps.swap(Caller(two.shop, two.by), two.moves())
    gone = pieces.by_code(two.shop.read(), recut.code)
    assert (gone.state, gone.sheet) == ("withdrawn", None)
    assert replay.differences(two.shop.read()) == []


def test_a_piece_that_is_fixed_to_its_sign_never_moves(two, assembler):
    lay = next(
        step
        for step in bench.sign_of(two.shop.read(), two.sign("J-1002 A")).steps
        if step.kind == "lay out"
    )
    bench_acts.set_out_rest(Caller(two.shop, assembler), lay.id, lay.parts)
    glue = next(
        step
        for step in bench.sign_of(two.shop.read(), two.sign("J-1002 A")).steps
        if step.kind == "glue"
    )
    assert two.proposal() is not None
    cement = two.count("SELECT id FROM cement")
    gluing_acts.glue_up(Caller(two.shop, assembler), [glue.id], cement, "batch 7", 23.0, 50.0)
    assert two.piece("J-1002 A", "A").state == "fixed"
    assert two.proposal() is None


@command("set a sign's state for a test")
def set_state(transaction, sign: int, state: str) -> Answer:
    transaction.db.execute("UPDATE sign SET state = ? WHERE id = ?", (state, sign))
    return Answer(plain(state))


@pytest.mark.parametrize("state", ["packed", "handed over", "cancelled"])
def test_a_sign_that_is_done_with_gives_nothing(two, owner, state):
    set_state(Caller(two.shop, owner), two.sign("J-1002 A"), state)
    assert two.proposal() is None


# What a swap writes. --------------------------------------------------------------------------------------------------


def test_a_swap_changes_the_parts_of_both_pieces_and_keeps_their_history(two):
    recut, given = two.piece("J-1001 A", "A"), two.piece("J-1002 A", "A")
    answer = swaps.swap(Caller(two.shop, two.by), two.moves())
    assert (
        two.piece("J-1001 A", "A").code == given.code
        and two.piece("J-1002 A", "A").code == recut.code
    )
    assert two.history(given.id) == [(given.part, "swapped for another sign"), (recut.part, None)]
    assert two.history(recut.id) == [(recut.part, "swapped for another sign"), (given.part, None)]
    assert answer.data == {"relabel": [given.code], "job": "J-1001"}, "the recut was never labelled"
    shown = f"{given.code[:4]} {given.code[4:]}"
    assert (
        f"{shown} is now 'A' of J-1001 A." in answer.sentence
        and "'A' of J-1002 A." in answer.sentence
    )
    assert two.proposal() is None, "and there is nothing more to gain"
    assert replay.differences(two.shop.read()) == []


def test_the_steps_of_the_later_sign_that_depended_on_the_piece_are_to_be_done_again_and_no_others(
    two, assembler
):
    later, early = two.sign("J-1002 A"), two.sign("J-1001 A")
    lay = next(
        step for step in bench.sign_of(two.shop.read(), later).steps if step.kind == "lay out"
    )
    bench_acts.set_out_rest(Caller(two.shop, assembler), lay.id, lay.parts)
    kept = two.piece("J-1001 A", "B").part
    early_lay = next(
        step for step in bench.sign_of(two.shop.read(), early).steps if step.kind == "lay out"
    )
    bench_acts.set_out(Caller(two.shop, assembler), early_lay.id, kept)
    given, stays = two.piece("J-1002 A", "A").part, two.piece("J-1002 A", "C").part
    done = bench.sign_of(two.shop.read(), later).step(lay.id)
    assert done.done_at is not None and done.ticks == {given, stays}
    swaps.swap(Caller(two.shop, two.by), two.moves())
    done = bench.sign_of(two.shop.read(), later).step(lay.id)
    assert done.done_at is None and done.ticks == {stays}
    assert bench.sign_of(two.shop.read(), early).step(early_lay.id).ticks == {kept}


def test_a_stale_proposal_is_a_conflict_and_changes_nothing(two):
    stale = two.moves()
    two.mark("lost", two.piece("J-1002 A", "A").code)
    before = two.acts
    for moves in (stale, [], [(999, 1)]):
        with pytest.raises(Conflict, match="This swap is out of date"):
            swaps.swap(Caller(two.shop, two.by), moves)
    assert two.acts == before


def test_the_same_key_twice_is_one_act(two):
    moves, before = two.moves(), two.acts
    first = swaps.swap(Caller(two.shop, two.by, "once"), moves)
    again = swaps.swap(Caller(two.shop, two.by, "once"), moves)
    assert two.acts == before + 1 and (again.sentence, again.data) == (first.sentence, first.data)


def test_a_swap_is_undone_with_all_that_it_reopened_and_proposed_again(two, assembler):
    later = two.sign("J-1002 A")
    lay = next(
        step for step in bench.sign_of(two.shop.read(), later).steps if step.kind == "lay out"
    )
    bench_acts.set_out_rest(Caller(two.shop, assembler), lay.id, lay.parts)
    was, moves = (
        (two.of_sign("J-1001 A"), two.of_sign("J-1002 A"), bench.sign_of(two.shop.read(), later)),
        two.moves(),
    )
    made = swaps.swap(Caller(two.shop, two.by), moves)
    assert (two.of_sign("J-1001 A"), two.of_sign("J-1002 A")) != was[:2]
    undo(Caller(two.shop, two.by), made.act)
    assert (
        two.of_sign("J-1001 A"),
        two.of_sign("J-1002 A"),
        bench.sign_of(two.shop.read(), later),
    ) == was
    assert two.moves() == moves
    assert replay.differences(two.shop.read()) == []


def test_the_lost_piece_that_turns_up_after_a_swap_sets_the_sign_that_gave_free(two):
    lost = two.shop.read().execute("SELECT code FROM piece WHERE state = 'lost'").fetchone()["code"]
    swaps.swap(Caller(two.shop, two.by), two.moves())
    two.mark("found", lost)
    in_hand = {
        sign: two.piece(sign, "A").state in ("cut", "ready") for sign in ("J-1001 A", "J-1002 A")
    }
    assert in_hand["J-1001 A"]
    assert replay.differences(two.shop.read()) == []


# On the pages. --------------------------------------------------------------------------------------------------------


def token(client) -> str:
    return re.search(r'name="moves" value="([^"]*)"', client.get("/recuts").text)[1]


def test_the_page_proposes_the_swap_and_a_tap_makes_it_and_goes_on_to_the_new_label(
    two, as_operator
):
    given = two.piece("J-1002 A", "A").code
    page = words(as_operator.get("/recuts"), with_drawings=False)
    shown = f"{given[:4]} {given[4:]}"
    for said in (
        "A swap helps",
        "late now: 1 sign by 1 day",
        f"{shown} A , for J-1002 A, in hand goes to J-1001 A",
        "A , for J-1001 A, on its way goes to J-1002 A",
        "Late then: no sign. These pieces are the same shape",
    ):
        assert said in page
    answer = as_operator.post("/recuts/swap", data={"moves": token(as_operator), "key": "k"})
    act = re.match(r"/labels/act/(\d+)\b", answer.location)
    chosen = words(as_operator.get(answer.location), with_drawings=False)
    assert "Labels: pieces reused for J-1001" in chosen and shown in chosen
    pdf = as_operator.get(f"/labels/act/{act[1]}.pdf").data
    read = zxingcpp.read_barcodes(pypdfium2.PdfDocument(pdf)[0].render(scale=203 / 72).to_pil())
    assert [symbol.text.rpartition("/")[2] for symbol in read] == [given]
    printed = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_bounded()
    assert "J-1001 A" in printed and "J-1002" not in printed
    assert "A swap helps" not in words(as_operator.get("/recuts"))


def test_an_assembler_may_swap_and_who_is_signed_out_may_not(two, as_assembler, client):
    moves = token(as_assembler)
    assert "/labels" not in client.post("/recuts/swap", data={"moves": moves, "key": "n"}).location
    assert two.moves(), "nothing was done"
    assert as_assembler.post("/recuts/swap", data={"moves": moves, "key": "k"}).location.startswith(
        "/labels/act/"
    )


@pytest.mark.parametrize("sent", ["", "x", "1", "1:2:3", "0:0", "-1:2", "9" * 40 + ":1"])
def test_moves_that_nobody_proposed_are_refused_with_a_sentence(two, as_operator, sent):
    before = two.acts
    answer = as_operator.post(
        "/recuts/swap", data={"moves": sent, "key": "k"}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 409 and "Look at Recuts again" in answer.text
    assert two.acts == before


def test_a_plan_is_sought_once_for_the_looks_of_all_and_for_the_swap_itself(
    two, as_operator, monkeypatch
):
    moves, asked = token(as_operator), []
    monkeypatch.setattr(swaps, "propose", lambda *swapping: asked.append(swapping))
    assert token(as_operator) == moves
    assert as_operator.post("/recuts/swap", data={"moves": moves, "key": "k"}).status_code == 303
    assert asked == []


def test_days_are_counted_from_the_shop_s_own_date_on_the_page_and_in_the_act(
    swapping, as_operator, owner
):
    """14:12 UTC is the next day in Auckland, 13 hours ahead in November: 2 days to the due date there, 3 in Halifax."""
    swapping.order("AB", due="2026-11-28")
    swapping.order("AC", due=LATER)
    swapping.cut(lost := swapping.piece("J-1001 A", "A").code)
    swapping.mark("lost", lost)
    setting_acts.change_settings(Caller(swapping.shop, owner), {"zone": "America/Halifax"})
    assert "A swap helps" not in words(as_operator.get("/recuts"))
    setting_acts.change_settings(Caller(swapping.shop, owner), {"zone": "Pacific/Auckland"})
    assert "late now: 1 sign by 1 day" in words(as_operator.get("/recuts"))
    answer = as_operator.post("/recuts/swap", data={"moves": token(as_operator), "key": "k"})
    assert answer.location.startswith("/labels/act/")
