"""Damage at the bench: told on the sign's own page; the recut is queued, what depends on the piece reopens, nothing else."""

import pytest

from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import bench as acts
from shopfloor.actions.pieces import mark
from shopfloor.domain.steps import is_done
from shopfloor.store import finishing


def finish_all(shop):
    """The whole sign is built, up to packing."""
    for step in shop.at().steps:
        if step.kind == "lay out":
            acts.set_out_rest(shop.desk, shop.assembler, step.id, step.parts)
        elif step.kind == "glue":
            gluing_acts.glue_up(shop.desk, shop.assembler, [step.id], shop.cement, "7B", 23, 45)
        elif step.kind == "cure":
            shop.later(hours=24)
        elif step.kind in ("clean", "polish", "inspect"):
            acts.finish_step(shop.desk, shop.assembler, step.id, finishing.check_list(shop.desk.read(), step.kind).items)


def is_to_do(shop):
    """Titles of the steps that are not done."""
    return [step.title for step in shop.at().steps if not is_done(step, shop.now)]


AFTER = ["Clean", "Polish", "Inspect", "Pack", "Hand over"]


@pytest.mark.parametrize(
    ("name", "again"),
    [
        ("X", ["Lay out level 2", "Glue level 2", "Cure level 2", *AFTER]),
        ("Q", ["Lay out level 1", "Glue level 1", "Cure level 1", *AFTER]),  # nothing of level 2 lies on it
        ("P", ["Lay out level 1", "Glue level 1", "Cure level 1", "Lay out level 2", "Glue level 2", "Cure level 2", *AFTER]),
    ],
)
def test_what_depends_on_a_piece_is_to_do_again_and_nothing_else(shop, name, again):
    finish_all(shop)
    before = {other: shop.piece(other).state for other in shop.parts}
    answer = mark(shop.desk, shop.assembler, [shop.piece(name).code], "damaged", "crazed by cement")
    assert is_to_do(shop) == again
    said = ", ".join(title[0].lower() + title[1:] for title in again if "Cure" not in title and title not in ("Pack", "Hand over"))
    assert answer.sentence.endswith(f"is queued, with tabs. To do again with it: {said}.")
    assert {other: shop.piece(other).state for other in shop.parts if other != name} == {
        other: state for other, state in before.items() if other != name
    }


def test_the_ticks_of_the_others_stay(shop):
    finish_all(shop)
    mark(shop.desk, shop.assembler, [shop.piece("X").code], "lost")
    assert shop.step("Lay out level 2").ticks == {shop.parts["Y"]}
    assert shop.step("Glue level 2").ticks == {shop.parts["Y"]}
    assert shop.step("Glue level 1").ticks == {shop.parts["P"], shop.parts["Q"]}


def test_what_still_cures_beside_a_lost_letter_holds_the_sign(shop):
    acts.set_out_rest(shop.desk, shop.assembler, shop.step("Lay out level 1").id, shop.step("Lay out level 1").parts)
    gluing_acts.glue_up(shop.desk, shop.assembler, [shop.step("Glue level 1").id], shop.cement, "7B", 23, 45)
    until = shop.step("Cure level 1").shut_until
    shop.later(hours=1)
    mark(shop.desk, shop.assembler, [shop.piece("Q").code], "damaged", "glued crooked")
    assert shop.step("Cure level 1").shut_until is None
    assert shop.step("Glue level 1").shut_until == until and shop.step("Glue level 1").ticks == {shop.parts["P"]}
