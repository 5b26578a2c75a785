"""A level that is glued in several sessions: what is set out now, the letter that was lost when its recut is there."""

from datetime import timedelta

import pytest

from shopfloor.actions import bench as acts
from shopfloor.actions import cements as cement_acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.pieces import mark
from shopfloor.actions.unit_of_work import Caller, stamp, undo
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.store import replay


def set_out(bench_shop, level):
    laying = bench_shop.step(f"Lay out level {level}")
    return acts.set_out_rest(Caller(bench_shop.shop, bench_shop.assembler), laying.id, laying.parts)


def glue(bench_shop, level, **other):
    gluing = bench_shop.step(f"Glue level {level}").id
    return gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler),
        [gluing],
        bench_shop.cement,
        "7B",
        23,
        45,
        **other,
    )


def set_one(bench_shop, level, name):
    acts.set_out(
        Caller(bench_shop.shop, bench_shop.assembler),
        bench_shop.step(f"Lay out level {level}").id,
        bench_shop.parts[name],
    )


def glued(bench_shop, level):
    return {
        name
        for name, id in bench_shop.parts.items()
        if id in bench_shop.step(f"Glue level {level}").ticks
    }


def test_what_is_set_out_is_glued_while_another_part_of_the_level_is_still_to_come(bench_shop):
    mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("Q").code], "lost")
    set_one(bench_shop, 1, "P")
    answer = glue(bench_shop, 1)
    assert answer.sentence.startswith(
        "Glued: 1 of 2 parts of level 1 of J-1001 A. Curing until Thu 26 Nov 09:00"
    )
    assert (
        glued(bench_shop, 1) == {"P"}
        and bench_shop.piece("P").state == "fixed"
        and bench_shop.piece("board").state == "fixed"
    )
    assert bench_shop.step("Glue level 1").done_at is None
    assert bench_shop.step("Cure level 1").shut_until is None


def test_nobody_sets_out_on_a_sign_that_cures_and_the_rest_is_glued_after_it(bench_shop):
    lost = bench_shop.piece("Q").code
    mark(Caller(bench_shop.shop, bench_shop.assembler), [lost], "lost")
    set_one(bench_shop, 1, "P")
    glue(bench_shop, 1)
    mark(Caller(bench_shop.shop, bench_shop.assembler), [lost], "found")
    with pytest.raises(
        Conflict, match=r"'Set out level 1' must wait\. Level 1 cures until Thu 26 Nov 09:00"
    ):
        set_one(bench_shop, 1, "Q")
    bench_shop.later(hours=24)
    set_one(bench_shop, 1, "Q")
    glue(bench_shop, 1)
    assert glued(bench_shop, 1) == {"P", "Q"}
    assert (
        bench_shop.step("Glue level 1").done_at is not None
        and bench_shop.step("Glue level 1").shut_until is None
    )
    assert stamp(bench_shop.step("Cure level 1").shut_until) == stamp(
        bench_shop.now + timedelta(hours=24)
    )


def test_groups_of_one_level_are_glued_one_after_the_other_while_the_first_still_cures(bench_shop):
    set_out(bench_shop, 1)
    glue(bench_shop, 1, parts=[bench_shop.parts["P"]])
    bench_shop.later(minutes=5)
    glue(bench_shop, 1, parts=[bench_shop.parts["Q"]])
    assert glued(bench_shop, 1) == {"P", "Q"}
    assert bench_shop.step("Cure level 1").shut_until == bench_shop.now + timedelta(hours=24)


def test_a_part_is_glued_once(bench_shop):
    set_out(bench_shop, 1)
    glue(bench_shop, 1, parts=[bench_shop.parts["P"]])
    with pytest.raises(Conflict, match=r"'P' \(no\. \d\) of J-1001 A is already glued"):
        glue(bench_shop, 1, parts=[bench_shop.parts["P"]])
    with pytest.raises(Conflict, match="is already glued"):
        acts.take_up(
            Caller(bench_shop.shop, bench_shop.assembler),
            bench_shop.step("Lay out level 1").id,
            bench_shop.parts["P"],
        )


def test_a_part_that_is_not_set_out_is_not_glued_by_name(bench_shop):
    set_one(bench_shop, 1, "P")
    with pytest.raises(Conflict, match=r"'Q' \(no\. \d\) of J-1001 A is not set out"):
        glue(bench_shop, 1, parts=[bench_shop.parts["P"], bench_shop.parts["Q"]])
    with pytest.raises(Refused, match="Choose which parts of J-1001 A were glued"):
        glue(bench_shop, 1, parts=[])


def test_the_next_level_waits_until_the_whole_level_is_glued_and_cured(bench_shop):
    set_one(bench_shop, 1, "P")
    glue(bench_shop, 1)
    bench_shop.later(hours=30)
    with pytest.raises(Conflict, match="'Cure level 1' is not done yet"):
        set_out(bench_shop, 2)


def test_an_owner_opens_the_cure_of_what_is_glued_so_far(bench_shop):
    set_one(bench_shop, 1, "P")
    glue(bench_shop, 1)
    gluing_acts.open_early(
        Caller(bench_shop.shop, bench_shop.owner),
        bench_shop.step("Glue level 1").id,
        "clamped all round",
    )
    set_one(bench_shop, 1, "Q")
    assert bench_shop.step("Glue level 1").done_at is None


def test_begin_starts_the_open_time_and_the_glue_up_keeps_when_it_began(bench_shop):
    set_out(bench_shop, 1)
    gluing = bench_shop.step("Glue level 1").id
    gluing_acts.begin_gluing(
        Caller(bench_shop.shop, bench_shop.assembler), [gluing], bench_shop.cement
    )
    began = bench_shop.now
    bench_shop.later(minutes=3)
    glue(bench_shop, 1)
    assert bench_shop.row("SELECT began_at FROM glue_up")[0] == stamp(began)
    assert bench_shop.row("SELECT count(*) FROM gluing")[0] == 0


def test_nothing_is_begun_where_nothing_is_set_out(bench_shop):
    with pytest.raises(Conflict, match="must wait"):
        gluing_acts.begin_gluing(
            Caller(bench_shop.shop, bench_shop.assembler),
            [bench_shop.step("Glue level 1").id],
            bench_shop.cement,
        )


def test_a_partly_glued_level_is_undone_and_the_ledger_gives_the_state(bench_shop):
    set_one(bench_shop, 1, "P")
    answer = glue(bench_shop, 1)
    undo(Caller(bench_shop.shop, bench_shop.assembler), answer.act)
    assert glued(bench_shop, 1) == set() and bench_shop.step("Glue level 1").shut_until is None
    glue(bench_shop, 1)
    assert replay.differences(bench_shop.shop.read()) == []


def test_a_session_that_took_longer_than_the_cement_stays_open_says_so(bench_shop):
    cement_acts.change_cement(
        Caller(bench_shop.shop, bench_shop.owner), bench_shop.cement, {"open_min": "4"}
    )
    set_out(bench_shop, 1)
    acts_gluing = bench_shop.step("Glue level 1").id
    gluing_acts.begin_gluing(
        Caller(bench_shop.shop, bench_shop.assembler), [acts_gluing], bench_shop.cement
    )
    bench_shop.later(minutes=6)
    assert (
        "Gluing took 6 min; Solvent cement stays open 4 min. Check each joint."
        in glue(bench_shop, 1).sentence
    )
