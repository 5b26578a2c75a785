"""What people do at the bench, on a real database."""

from datetime import timedelta

import pytest

from shopfloor.actions import bench as acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import signs
from shopfloor.actions.pieces import mark
from shopfloor.actions.unit_of_work import Caller, stamp, undo
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import bench as store
from shopfloor.store import finishing, ledger
from shopfloor.store.replay import differences


def set_out(bench_shop, level):
    laying = bench_shop.step(f"Lay out level {level}")
    for part in laying.parts:
        answer = acts.set_out(Caller(bench_shop.shop, bench_shop.assembler), laying.id, part)
    return answer


def glue(bench_shop, level, **other):
    named = {
        "cement": bench_shop.cement,
        "batch": "7B",
        "temperature_c": 23,
        "humidity_percent": 45,
    } | other
    return gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler),
        [bench_shop.step(f"Glue level {level}").id],
        **named,
    )


def build(bench_shop, upto="Hand over"):
    """Does the sign's steps in order until `upto` is done."""
    for step in bench_shop.at().steps:
        if step.kind == "lay out":
            set_out(bench_shop, step.level)
        elif step.kind == "glue":
            glue(bench_shop, step.level)
        elif step.kind == "cure":
            bench_shop.later(hours=24)
        else:
            finish(bench_shop, step)
        if step.title == upto:
            return


def finish(bench_shop, step):
    items = finishing.check_list(bench_shop.shop.read(), step.kind).items
    return acts.finish_step(
        Caller(bench_shop.shop, bench_shop.assembler), step.id, items, "Ada of the harbour office"
    )


def states(bench_shop):
    return {name: bench_shop.piece(name).state for name in bench_shop.parts}


def everything(bench_shop):
    """Each row of the state, table by table."""
    db = bench_shop.shop.read()
    return {
        table: [tuple(row) for row in db.execute(f"SELECT * FROM {table}")]
        for table in ledger.state_tables(db)
    }


def test_a_sign_is_built_from_the_board_to_the_customer(bench_shop):
    build(bench_shop)
    assert set(states(bench_shop).values()) == {"fixed"}
    assert bench_shop.at().state == "handed over"
    assert bench_shop.row("SELECT state FROM job")["state"] == "closed"
    assert list(differences(bench_shop.shop.read())) == []


def test_the_last_tap_finishes_the_laying_out(bench_shop):
    laying = bench_shop.step("Lay out level 1")
    first = acts.set_out(
        Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["P"]
    )
    assert first.sentence == "'P' (no. 2): OK. 1 of 2 set out."
    assert bench_shop.step("Lay out level 1").done_at is None
    last = acts.set_out(
        Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["Q"]
    )
    assert last.sentence == "'Q' (no. 3): OK. Level 1 of J-1001 A is set out. Glue it."
    assert bench_shop.step("Lay out level 1").done_at == bench_shop.now


def test_a_part_taken_up_again_is_to_set_out_again(bench_shop):
    set_out(bench_shop, 1)
    laying = bench_shop.step("Lay out level 1")
    acts.take_up(Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["P"])
    assert bench_shop.step("Lay out level 1").ticks == {bench_shop.parts["Q"]}
    assert bench_shop.step("Lay out level 1").done_at is None


def test_a_glued_part_cannot_be_taken_up(bench_shop):
    build(bench_shop, "Glue level 1")
    with pytest.raises(Conflict, match="already glued"):
        acts.take_up(
            Caller(bench_shop.shop, bench_shop.assembler),
            bench_shop.step("Lay out level 1").id,
            bench_shop.parts["P"],
        )


def test_one_button_sets_out_the_rest_and_names_what_it_left(bench_shop):
    mark(Caller(bench_shop.shop, bench_shop.operator), [bench_shop.piece("P").code], "lost")
    laying = bench_shop.step("Lay out level 1")
    answer = acts.set_out_rest(
        Caller(bench_shop.shop, bench_shop.assembler), laying.id, laying.parts
    )
    assert answer.sentence == "1 of 2 set out. Left as they are: 'P' (no. 2)."


def test_a_part_that_is_not_in_hand_cannot_be_set_out(bench_shop):
    mark(Caller(bench_shop.shop, bench_shop.operator), [bench_shop.piece("P").code], "lost")
    laying = bench_shop.step("Lay out level 1")
    with pytest.raises(
        Conflict,
        match=r"Not yet\. 'P' \(no. 2\) is lost\. Its recut \d{4} \d{4} waits for a sheet\.",
    ):
        acts.set_out(
            Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["P"]
        )
    with pytest.raises(Conflict, match="Not yet"):
        acts.set_out_rest(
            Caller(bench_shop.shop, bench_shop.assembler), laying.id, [bench_shop.parts["P"]]
        )


def test_a_glue_up_fixes_its_level_and_the_board_under_it_and_starts_the_cure(bench_shop):
    set_out(bench_shop, 1)
    answer = glue(bench_shop, 1, temperature_c=18)
    assert states(bench_shop) == {
        "board": "fixed",
        "P": "fixed",
        "Q": "fixed",
        "X": "ready",
        "Y": "ready",
    }
    # 24 h × 2^0.5 = 33 h 56.47 min after 09:00, up to the next whole minute: the reference case of the cure
    assert stamp(bench_shop.step("Cure level 1").shut_until) == "2026-11-26T18:57:00.000Z"
    assert answer.sentence == "J-1001 A is glued. Curing until Thu 26 Nov 18:57: do not move it."
    row = bench_shop.row("SELECT * FROM glue_up")
    assert (row["batch"], row["temperature_c"], row["humidity_percent"], row["person"]) == (
        "7B",
        18,
        45,
        2,
    )


def test_steps_after_a_cure_stay_shut_until_it_ends(bench_shop):
    build(bench_shop, "Glue level 1")
    laying = bench_shop.step("Lay out level 2")
    with pytest.raises(Conflict, match="Level 1 cures until Thu 26 Nov 09:00"):
        acts.set_out(
            Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["X"]
        )
    bench_shop.later(hours=24)
    assert (
        ": OK."
        in acts.set_out(
            Caller(bench_shop.shop, bench_shop.assembler), laying.id, bench_shop.parts["X"]
        ).sentence
    )


def test_an_owner_opens_a_cure_early_with_a_reason_that_the_ledger_keeps(bench_shop):
    build(bench_shop, "Glue level 1")
    cure = bench_shop.step("Cure level 1")
    with pytest.raises(NotAllowed):
        gluing_acts.open_early(
            Caller(bench_shop.shop, bench_shop.assembler), cure.id, "the customer waits"
        )
    with pytest.raises(Refused, match="reason"):
        gluing_acts.open_early(Caller(bench_shop.shop, bench_shop.owner), cure.id, " ")
    answer = gluing_acts.open_early(
        Caller(bench_shop.shop, bench_shop.owner), cure.id, "a test piece holds"
    )
    kept = {
        change["t"]: change["a"]
        for change in ledger.entry(bench_shop.shop.read(), answer.act).changes
    }
    assert kept["step"]["opened_why"] == "a test piece holds"
    assert kept["early_opening"] == {
        "id": 1,
        "step": cure.id,
        "at": "2026-11-25T09:00:00.000Z",
        "shut_until": "2026-11-26T09:00:00.000Z",
        "why": "a test piece holds",
        "person": bench_shop.owner.person,
    }
    set_out(bench_shop, 2)
    assert bench_shop.step("Lay out level 2").done_at == bench_shop.now


def test_undoing_a_glue_up_puts_everything_back(bench_shop):
    set_out(bench_shop, 1)
    before = everything(bench_shop)
    answer = glue(bench_shop, 1)
    assert everything(bench_shop) != before
    undo(Caller(bench_shop.shop, bench_shop.assembler), answer.act)
    assert everything(bench_shop) == before
    assert list(differences(bench_shop.shop.read())) == []


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"temperature_c": 13}, "Warm the bench"),
        ({"temperature_c": 41}, "cool"),
        ({"humidity_percent": 120}, "0 to 100"),
        ({"batch": " "}, "batch"),
    ],
)
def test_a_glue_up_with_wrong_figures_changes_nothing(bench_shop, wrong, words):
    set_out(bench_shop, 1)
    before = everything(bench_shop)
    with pytest.raises(Refused, match=words):
        glue(bench_shop, 1, **wrong)
    assert everything(bench_shop) == before


def test_a_glue_up_may_be_written_down_later_on_the_same_day(bench_shop):
    set_out(bench_shop, 1)
    glue(bench_shop, 1, glued_at=bench_shop.now - timedelta(hours=3))
    assert stamp(bench_shop.step("Cure level 1").shut_until) == "2026-11-26T06:00:00.000Z"
    with pytest.raises(Refused, match="more than 24 hours ago"):
        glue(bench_shop, 1, glued_at=bench_shop.now - timedelta(hours=25))


def test_a_level_that_is_not_set_out_is_not_glued(bench_shop):
    with pytest.raises(
        Conflict, match=r"'Glue level 1' must wait\. 'Set out level 1' is not done yet"
    ):
        glue(bench_shop, 1)
    with pytest.raises(NotFound):
        gluing_acts.glue_up(
            Caller(bench_shop.shop, bench_shop.assembler), [999], bench_shop.cement, "7B", 23, 45
        )


def test_the_same_glue_up_sent_twice_is_one(bench_shop):
    set_out(bench_shop, 1)
    step = [bench_shop.step("Glue level 1").id]
    first = gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler, "k"), step, bench_shop.cement, "7B", 23, 45
    )
    again = gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler, "k"), step, bench_shop.cement, "7B", 23, 45
    )
    assert (first.sentence, first.act) == (again.sentence, again.act)
    assert bench_shop.row("SELECT count(*) AS n FROM glue_up")["n"] == 1


def test_an_operator_does_not_work_at_the_bench(bench_shop):
    laying = bench_shop.step("Lay out level 1")
    with pytest.raises(NotAllowed):
        acts.set_out(Caller(bench_shop.shop, bench_shop.operator), laying.id, bench_shop.parts["P"])


def test_a_letter_that_came_off_is_glued_again_and_the_rest_stays_glued(bench_shop):
    build(bench_shop, "Clean")
    mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("X").code], "came off")
    assert bench_shop.step("Cure level 1").shut_until and bench_shop.step("Lay out level 1").done_at
    laying = bench_shop.step("Lay out level 2")
    assert laying.done_at is None and laying.ticks == {bench_shop.parts["Y"]}
    assert bench_shop.step("Clean").done_at is None
    set_out(bench_shop, 2)
    glue(bench_shop, 2)
    joined = bench_shop.row(
        "SELECT count(*) AS n FROM glue_up_piece WHERE glue_up = (SELECT max(id) FROM glue_up)"
    )
    assert joined["n"] == 1
    assert states(bench_shop)["X"] == "fixed"


def test_a_joint_that_still_cures_is_not_ended_by_one_that_is_glued_later_and_warmer(bench_shop):
    set_out(bench_shop, 1)
    glue(bench_shop, 1, temperature_c=16)  # 38.99 h
    cold = bench_shop.step("Cure level 1").shut_until
    mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("P").code], "came off")
    with pytest.raises(Conflict, match="Level 1 cures until"):  # its neighbour still cures
        set_out(bench_shop, 1)
    gluing_acts.open_early(
        Caller(bench_shop.shop, bench_shop.owner),
        bench_shop.step("Glue level 1").id,
        "held by a clamp",
    )
    set_out(bench_shop, 1)
    glue(bench_shop, 1, temperature_c=30)  # 24 h
    assert bench_shop.step("Cure level 1").shut_until == cold


def test_a_lost_panel_reopens_the_letters_on_it_and_not_the_other_panel(bench_shop):
    build(bench_shop, "Inspect")
    mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("P").code], "lost")
    assert bench_shop.step("Lay out level 1").ticks == {bench_shop.parts["Q"]}
    assert bench_shop.step("Lay out level 2").ticks == frozenset()


def test_a_finished_step_twice_is_a_friendly_answer(bench_shop):
    build(bench_shop, "Clean")
    answer = acts.finish_step(
        Caller(bench_shop.shop, bench_shop.assembler), bench_shop.step("Clean").id
    )
    assert answer.sentence == "'Clean' of J-1001 A is already done."


def test_laying_out_gluing_and_curing_are_not_finished_by_a_button(bench_shop):
    for title in ("Lay out level 1", "Glue level 1", "Cure level 1"):
        with pytest.raises(Conflict):
            acts.finish_step(Caller(bench_shop.shop, bench_shop.owner), bench_shop.step(title).id)


def test_a_packed_sign_is_not_worked_on_until_an_owner_reopens_it(bench_shop):
    build(bench_shop, "Pack")
    with pytest.raises(Conflict, match="reopen"):
        mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("X").code], "lost")
    signs.reopen(
        Caller(bench_shop.shop, bench_shop.owner), bench_shop.sign, "a letter is scratched"
    )
    assert bench_shop.at().state == "open" and bench_shop.step("Pack").done_at is None
    assert bench_shop.step("Inspect").done_at


def test_a_step_of_the_shops_own_holds_back_what_comes_after_it(bench_shop):
    answer = acts.add_step(
        Caller(bench_shop.shop, bench_shop.owner),
        bench_shop.sign,
        "drill for stand-offs",
        bench_shop.step("Cure level 1").id,
    )
    assert answer.sentence == "'drill for stand-offs' is added to J-1001 A after 'Cure level 1'."
    titles = [step.title for step in bench_shop.at().steps]
    assert titles[2:5] == ["Cure level 1", "drill for stand-offs", "Lay out level 2"]
    build(bench_shop, "Cure level 1")
    with pytest.raises(Conflict, match="'drill for stand-offs' is not done yet"):
        acts.set_out(
            Caller(bench_shop.shop, bench_shop.assembler),
            bench_shop.step("Lay out level 2").id,
            bench_shop.parts["X"],
        )
    acts.finish_step(
        Caller(bench_shop.shop, bench_shop.assembler), bench_shop.step("drill for stand-offs").id
    )
    set_out(bench_shop, 2)


def test_a_step_between_packing_and_handing_over_is_done_on_the_packed_sign(bench_shop):
    acts.add_step(
        Caller(bench_shop.shop, bench_shop.owner),
        bench_shop.sign,
        "photograph it",
        bench_shop.step("Pack").id,
    )
    build(bench_shop)
    assert bench_shop.at().state == "handed over"


def test_only_an_owner_adds_a_step(bench_shop):
    with pytest.raises(NotAllowed):
        acts.add_step(
            Caller(bench_shop.shop, bench_shop.assembler), bench_shop.sign, "paint the edges"
        )


def test_a_sign_on_hold_waits_and_goes_on(bench_shop):
    signs.hold(
        Caller(bench_shop.shop, bench_shop.assembler),
        bench_shop.sign,
        "the customer thinks it over",
    )
    with pytest.raises(Conflict, match="on hold"):
        set_out(bench_shop, 1)
    signs.resume(Caller(bench_shop.shop, bench_shop.assembler), bench_shop.sign)
    set_out(bench_shop, 1)


def test_a_cancelled_sign_keeps_what_is_glued_and_gives_its_spares_back_when_it_is_reopened(
    bench_shop,
):
    build(bench_shop, "Glue level 1")
    bench_shop.later(hours=24)
    recut = mark(
        Caller(bench_shop.shop, bench_shop.operator), [bench_shop.piece("X").code], "lost"
    ).data["recuts"][0]
    answer = signs.cancel(
        Caller(bench_shop.shop, bench_shop.owner), bench_shop.sign, "the shop front is sold"
    )
    assert (
        answer.sentence
        == "J-1001 A is cancelled (the shop front is sold): 1 not needed, 1 spare, 3 glued together."
    )
    assert bench_shop.row("SELECT state FROM piece WHERE code = ?", recut)["state"] == "withdrawn"
    assert bench_shop.row("SELECT state FROM job")["state"] == "closed"
    assert store.benches(bench_shop.shop.read()) == []
    answer = signs.reopen(
        Caller(bench_shop.shop, bench_shop.owner), bench_shop.sign, "the new tenant wants it"
    )
    assert (
        answer.sentence
        == "J-1001 A is open again: the new tenant wants it. 1 new piece waits for a sheet."
    )
    assert states(bench_shop) == {
        "board": "fixed",
        "P": "fixed",
        "Q": "fixed",
        "X": "waiting",
        "Y": "ready",
    }
    assert (
        bench_shop.step("Glue level 1").ticks
        == bench_shop.step("Lay out level 1").ticks
        == {bench_shop.parts["P"], bench_shop.parts["Q"]}
    )
    assert list(differences(bench_shop.shop.read())) == []


def test_what_comes_off_a_cancelled_sign_is_a_spare(bench_shop):
    build(bench_shop, "Glue level 1")
    signs.cancel(
        Caller(bench_shop.shop, bench_shop.owner), bench_shop.sign, "the shop front is sold"
    )
    answer = mark(
        Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("P").code], "came off"
    )
    row = bench_shop.row(
        "SELECT p.state, a.ended_at FROM piece p JOIN assignment a ON a.piece = p.id WHERE a.part = ?",
        bench_shop.parts["P"],
    )
    assert row["state"] == "ready" and row["ended_at"] is not None and answer.data["changed"]
    assert list(differences(bench_shop.shop.read())) == []


def test_only_an_owner_cancels_or_reopens(bench_shop):
    for action in (signs.cancel, signs.reopen):
        with pytest.raises(NotAllowed):
            action(
                Caller(bench_shop.shop, bench_shop.assembler), bench_shop.sign, "it takes too long"
            )
