"""Damage at the bench: reported on the sign's own page; the recut is queued, what depends on the piece reopens, nothing else."""

import pytest

from shopfloor.actions import bench as acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.pieces import mark
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.bench.steps import is_done
from shopfloor.store import finishing


def finish_all(bench_shop):
    """The whole sign is built, up to packing."""
    for step in bench_shop.at().steps:
        if step.kind == "lay out":
            acts.set_out_rest(Caller(bench_shop.shop, bench_shop.assembler), step.id, step.parts)
        elif step.kind == "glue":
            gluing_acts.glue_up(
                Caller(bench_shop.shop, bench_shop.assembler),
                [step.id],
                bench_shop.cement,
                "7B",
                23,
                45,
            )
        elif step.kind == "cure":
            bench_shop.later(hours=24)
        elif step.kind in ("clean", "polish", "inspect"):
            acts.finish_step(
                Caller(bench_shop.shop, bench_shop.assembler),
                step.id,
                finishing.check_list(bench_shop.shop.read(), step.kind).items,
            )


def is_to_do(bench_shop):
    """Titles of the steps that are not done."""
    return [step.title for step in bench_shop.at().steps if not is_done(step, bench_shop.now)]


AFTER = ["Clean", "Polish", "Inspect", "Pack", "Hand over"]


@pytest.mark.parametrize(
    ("name", "again"),
    [
        ("X", ["Lay out level 2", "Glue level 2", "Cure level 2", *AFTER]),
        (
            "Q",
            ["Lay out level 1", "Glue level 1", "Cure level 1", *AFTER],
        ),  # nothing of level 2 lies on it
        (
            "P",
            [
                "Lay out level 1",
                "Glue level 1",
                "Cure level 1",
                "Lay out level 2",
                "Glue level 2",
                "Cure level 2",
                *AFTER,
            ],
        ),
    ],
)
def test_what_depends_on_a_piece_is_to_do_again_and_nothing_else(bench_shop, name, again):
    finish_all(bench_shop)
    before = {other: bench_shop.piece(other).state for other in bench_shop.parts}
    answer = mark(
        Caller(bench_shop.shop, bench_shop.assembler),
        [bench_shop.piece(name).code],
        "damaged",
        "crazed by cement",
    )
    assert is_to_do(bench_shop) == again
    *first, last = [
        title.lower().replace("lay out", "set out")
        for title in again
        if "Cure" not in title and title not in ("Pack", "Hand over")
    ]
    redone = f"{', '.join(first)} and {last}"
    assert answer.sentence.endswith(f"is queued with tabs. Steps to redo with it: {redone}.")
    assert {
        other: bench_shop.piece(other).state for other in bench_shop.parts if other != name
    } == {other: state for other, state in before.items() if other != name}


def test_the_ticks_of_the_others_stay(bench_shop):
    finish_all(bench_shop)
    mark(Caller(bench_shop.shop, bench_shop.assembler), [bench_shop.piece("X").code], "lost")
    assert bench_shop.step("Lay out level 2").ticks == {bench_shop.parts["Y"]}
    assert bench_shop.step("Glue level 2").ticks == {bench_shop.parts["Y"]}
    assert bench_shop.step("Glue level 1").ticks == {bench_shop.parts["P"], bench_shop.parts["Q"]}


def test_what_still_cures_beside_a_lost_letter_holds_the_sign(bench_shop):
    acts.set_out_rest(
        Caller(bench_shop.shop, bench_shop.assembler),
        bench_shop.step("Lay out level 1").id,
        bench_shop.step("Lay out level 1").parts,
    )
    gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler),
        [bench_shop.step("Glue level 1").id],
        bench_shop.cement,
        "7B",
        23,
        45,
    )
    until = bench_shop.step("Cure level 1").shut_until
    bench_shop.later(hours=1)
    mark(
        Caller(bench_shop.shop, bench_shop.assembler),
        [bench_shop.piece("Q").code],
        "damaged",
        "glued crooked",
    )
    assert bench_shop.step("Cure level 1").shut_until is None
    assert bench_shop.step("Glue level 1").shut_until == until and bench_shop.step(
        "Glue level 1"
    ).ticks == {bench_shop.parts["P"]}
