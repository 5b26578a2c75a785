"""A level that is glued in several sessions: what is set out now, the letter that was lost when its recut is there."""

from datetime import timedelta

import pytest

from shopfloor.actions import cements as cement_acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import bench as acts
from shopfloor.actions.desk import stamp, undo
from shopfloor.actions.pieces import mark
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.store import replay


def set_out(shop, level):
    laying = shop.step(f"Lay out level {level}")
    return acts.set_out_rest(shop.desk, shop.assembler, laying.id, laying.parts)


def glue(shop, level, **other):
    gluing = shop.step(f"Glue level {level}").id
    return gluing_acts.glue_up(shop.desk, shop.assembler, [gluing], shop.cement, "7B", 23, 45, **other)


def set_one(shop, level, name):
    acts.set_out(shop.desk, shop.assembler, shop.step(f"Lay out level {level}").id, shop.parts[name])


def glued(shop, level):
    return {name for name, id in shop.parts.items() if id in shop.step(f"Glue level {level}").ticks}


def test_what_is_set_out_is_glued_while_another_part_of_the_level_is_still_to_come(shop):
    mark(shop.desk, shop.assembler, [shop.piece("Q").code], "lost")
    set_one(shop, 1, "P")
    answer = glue(shop, 1)
    assert answer.sentence.startswith("1 of 2 parts of level 1 of J-1001 A glued, curing until Thu 09:00")
    assert glued(shop, 1) == {"P"} and shop.piece("P").state == "fixed" and shop.piece("board").state == "fixed"
    assert shop.step("Glue level 1").done_at is None
    assert shop.step("Cure level 1").shut_until is None


def test_nobody_sets_out_on_a_sign_that_cures_and_the_rest_is_glued_after_it(shop):
    lost = shop.piece("Q").code
    mark(shop.desk, shop.assembler, [lost], "lost")
    set_one(shop, 1, "P")
    glue(shop, 1)
    mark(shop.desk, shop.assembler, [lost], "found")
    with pytest.raises(Conflict, match="'Lay out level 1' must wait: the cure of level 1 until Thu 09:00"):
        set_one(shop, 1, "Q")
    shop.later(hours=24)
    set_one(shop, 1, "Q")
    glue(shop, 1)
    assert glued(shop, 1) == {"P", "Q"}
    assert shop.step("Glue level 1").done_at is not None and shop.step("Glue level 1").shut_until is None
    assert stamp(shop.step("Cure level 1").shut_until) == stamp(shop.now + timedelta(hours=24))


def test_groups_of_one_level_are_glued_one_after_the_other_while_the_first_still_cures(shop):
    set_out(shop, 1)
    glue(shop, 1, parts=[shop.parts["P"]])
    shop.later(minutes=5)
    glue(shop, 1, parts=[shop.parts["Q"]])
    assert glued(shop, 1) == {"P", "Q"}
    assert shop.step("Cure level 1").shut_until == shop.now + timedelta(hours=24)


def test_a_part_is_glued_once(shop):
    set_out(shop, 1)
    glue(shop, 1, parts=[shop.parts["P"]])
    with pytest.raises(Conflict, match=r"'P' \(no\. \d\) of J-1001 A is glued already"):
        glue(shop, 1, parts=[shop.parts["P"]])
    with pytest.raises(Conflict, match="is glued already"):
        acts.take_up(shop.desk, shop.assembler, shop.step("Lay out level 1").id, shop.parts["P"])


def test_a_part_that_is_not_set_out_is_not_glued_by_name(shop):
    set_one(shop, 1, "P")
    with pytest.raises(Conflict, match=r"'Q' \(no\. \d\) of J-1001 A is not set out"):
        glue(shop, 1, parts=[shop.parts["P"], shop.parts["Q"]])
    with pytest.raises(Refused, match="No part of J-1001 A was chosen"):
        glue(shop, 1, parts=[])


def test_the_next_level_waits_until_the_whole_level_is_glued_and_cured(shop):
    set_one(shop, 1, "P")
    glue(shop, 1)
    shop.later(hours=30)
    with pytest.raises(Conflict, match="'Cure level 1' is not done yet"):
        set_out(shop, 2)


def test_an_owner_opens_the_cure_of_what_is_glued_so_far(shop):
    set_one(shop, 1, "P")
    glue(shop, 1)
    gluing_acts.open_early(shop.desk, shop.owner, shop.step("Glue level 1").id, "clamped all round")
    set_one(shop, 1, "Q")
    assert shop.step("Glue level 1").done_at is None


def test_begin_starts_the_open_time_and_the_glue_up_keeps_when_it_began(shop):
    set_out(shop, 1)
    gluing = shop.step("Glue level 1").id
    gluing_acts.begin_gluing(shop.desk, shop.assembler, [gluing], shop.cement)
    began = shop.now
    shop.later(minutes=3)
    glue(shop, 1)
    assert shop.row("SELECT began_at FROM glue_up")[0] == stamp(began)
    assert shop.row("SELECT count(*) FROM gluing")[0] == 0


def test_nothing_is_begun_where_nothing_is_set_out(shop):
    with pytest.raises(Conflict, match="must wait"):
        gluing_acts.begin_gluing(shop.desk, shop.assembler, [shop.step("Glue level 1").id], shop.cement)


def test_a_partly_glued_level_is_undone_and_the_ledger_gives_the_state(shop):
    set_one(shop, 1, "P")
    answer = glue(shop, 1)
    undo(shop.desk, shop.assembler, answer.act)
    assert glued(shop, 1) == set() and shop.step("Glue level 1").shut_until is None
    glue(shop, 1)
    assert replay.differences(shop.desk.read()) == []


def test_a_session_that_took_longer_than_the_cement_stays_open_says_so(shop):
    cement_acts.change_cement(shop.desk, shop.owner, shop.cement, {"open_min": "4"})
    set_out(shop, 1)
    acts_gluing = shop.step("Glue level 1").id
    gluing_acts.begin_gluing(shop.desk, shop.assembler, [acts_gluing], shop.cement)
    shop.later(minutes=6)
    assert "It took 6 min and Solvent cement stays open for 4: look each joint over." in glue(shop, 1).sentence
