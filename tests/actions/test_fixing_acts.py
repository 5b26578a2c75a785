"""Commands about dissimilar materials and fixings, on the real database: each replayed, undone, refused in words."""

from __future__ import annotations

import math

import pytest
import shapely
from materials_for_tests import BLUE, BRUSHED, take_in

from shopfloor.actions import fixings as acts
from shopfloor.actions import unit_of_work as desks
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.domain.fixings.fixings import Fixing
from shopfloor.domain.fixings.screw_places import FixingPlan
from shopfloor.domain.outlines import Outline
from shopfloor.store import fixings as store
from shopfloor.store import jobs, ledger, replay, stock

PLAN = (4.0, 30.0, 3, 2, "masonry")


def agree(shop) -> bool:
    return replay.differences(shop.read()) == []


# Where it hangs. ------------------------------------------------------------------------------------------------------


def test_a_sign_hangs_at_the_shops_usual_site_until_somebody_says_otherwise(shop, assembler, plain):
    usual = acts.site_of(shop.read(), plain.id)
    assert (usual.coldest_c, usual.warmest_c, usual.is_own) == (-10, 50, False)
    answer = acts.set_site(Caller(shop, assembler), plain.id, "-25", "62,5")
    site = acts.site_of(shop.read(), plain.id)
    assert (site.coldest_c, site.warmest_c, site.is_own) == (-25, 62.5, True)
    assert answer.sentence == f"{plain.called} is planned for −25 to 62.5 °C." and agree(shop)
    acts.set_site(Caller(shop, assembler), plain.id, "", "")
    assert acts.site_of(shop.read(), plain.id) == usual and agree(shop)


@pytest.mark.parametrize(
    ("coldest", "warmest", "says"),
    [
        ("30", "20", "must be below the warmest"),
        ("cold", "20", "Coldest there: type a number"),
        ("-5", "", "Warmest there: type a number"),
        ("-61", "20", "from -60 to 40"),
    ],
)
def test_a_site_that_cannot_be_is_refused(shop, assembler, plain, coldest, warmest, says):
    with pytest.raises(Refused, match=says):
        acts.set_site(Caller(shop, assembler), plain.id, coldest, warmest)
    assert store.site_of(shop.read(), plain.id) is None


# Fixings. -------------------------------------------------------------------------------------------------------------


def test_a_plan_gives_the_holes_that_the_template_prints(shop, assembler, plain):
    """Inset 30 mm on 700 × 300: x 30, 350, 670. The fixed point is no. 2; no. 1 is 320 mm away: × 60 millionths × 31 K =
    0.595 mm each way, so 4.5 + 1.19 = 5.69, taken up to 5.7."""
    assert acts.fixings_of(shop.read(), plain.id) == ()
    answer = acts.plan_fixings(Caller(shop, assembler), plain.id, *PLAN)
    found = acts.fixings_of(shop.read(), plain.id)
    assert found[0] == Fixing(1, 30, 270, 5.7, 0, 0, False, 4.0) and found[1] == Fixing(
        2, 350, 270, 4.5, 0, 0, True, 4.0
    )
    assert (
        len(found) == 6
        and answer.sentence == f"6 screws of 4 mm are planned for {plain.called}."
        and agree(shop)
    )
    assert store.plan_of(shop.read(), plain.id) == FixingPlan(4.0, 30.0, 3, 2, "masonry", 10.0)


def test_a_wider_range_at_the_site_makes_larger_holes(shop, assembler, plain):
    acts.plan_fixings(Caller(shop, assembler), plain.id, *PLAN)
    acts.set_site(Caller(shop, assembler), plain.id, "-40", "70")
    hole = acts.fixings_of(shop.read(), plain.id)[0]
    assert hole.hole_mm == pytest.approx(math.ceil(10 * (4.5 + 2 * 320 * 60e-6 * 61)) / 10)


def test_a_new_site_says_what_it_makes_of_the_fixings(shop, assembler, plain):
    """All but the fixed point move further; the furthest, 400 mm away, by 400 × 60 millionths × 61 K = 1.46 mm each way:
    larger holes still, no slots."""
    assert acts.set_site(Caller(shop, assembler), plain.id, "-5", "40").sentence.endswith(
        "−5 to 40 °C."
    )
    acts.plan_fixings(Caller(shop, assembler), plain.id, *PLAN)
    sentence = acts.set_site(Caller(shop, assembler), plain.id, "-40", "70").sentence
    assert sentence.endswith(
        "−40 to 70 °C. 5 holes now have another size. Print a new drilling template."
    )
    assert acts.set_site(Caller(shop, assembler), plain.id, "-40", "70").sentence.endswith(
        "−40 to 70 °C."
    )
    assert acts.set_site(Caller(shop, assembler), plain.id, "", "").sentence.endswith(
        "Print a new drilling template."
    )


def test_a_plan_that_has_no_room_any_more_is_told_and_breaks_nothing(shop, assembler, owner, plain):
    """With 13.5 mm to the edge the larger holes of a wider range are less than two diameters away."""
    acts.plan_fixings(Caller(shop, assembler), plain.id, 4.0, 13.5, 3, 2, "masonry")
    sentence = acts.set_site(Caller(shop, assembler), plain.id, "-60", "90").sentence
    assert (
        "The fixing plan no longer fits: Hole 1" in sentence
        and acts.fixings_of(shop.read(), plain.id) == ()
    )
    refusal = acts.materials_of(shop.read(), plain.id).layout.refusal
    assert "needs 2 hole diameters" in str(refusal)


def test_another_plan_takes_the_place_of_the_first_and_none_that_of_both(shop, assembler, plain):
    acts.plan_fixings(Caller(shop, assembler), plain.id, *PLAN)
    acts.plan_fixings(
        Caller(shop, assembler), plain.id, 5, 40, "2", " 2 ", "corrugated iron", wall_moves="0.118"
    )
    assert store.plan_of(shop.read(), plain.id) == FixingPlan(
        5.0, 40.0, 2, 2, "corrugated iron", 11.8
    )
    acts.clear_fixings(Caller(shop, assembler), plain.id)
    assert acts.fixings_of(shop.read(), plain.id) == () and agree(shop)
    with pytest.raises(Conflict, match="no fixing plan"):
        acts.clear_fixings(Caller(shop, assembler), plain.id)


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        ((1, 30, 3, 2, "masonry"), "Screw diameter: type"),
        ((4, 4, 3, 2, "masonry"), "From the edges: type"),
        ((4, 30, 0, 2, "masonry"), "Holes in a row: type a whole"),
        ((4, 30, 3, 21, "masonry"), "Rows of holes: type a whole"),
        ((4, 30, 3, 2, "cork"), "how far cork moves"),
        ((4, 30, 3, 2, " "), "Enter a name for the wall"),
        ((4, 30, 3, 2, "cork", "4"), "Expansion in mm.*from 0 to 3"),
        ((4, 8, 3, 2, "masonry"), "2 hole diameters"),
        ((4, 200, 3, 2, "masonry"), "no room for a hole 200.0 mm"),
        ((4, 30, 20, 2, "masonry"), None),
    ],
)
def test_a_plan_that_cannot_be_drawn_is_refused(shop, assembler, plain, plan, says):
    plan, moves = plan[:5], plan[5] if len(plan) > 5 else ""
    if says is None:  # 640 mm in 19 steps of 33.7 mm: more than three diameters apart
        assert len(acts.plan_fixings(Caller(shop, assembler), plain.id, *plan).codes) == 1
        return
    with pytest.raises(Refused, match=says):
        acts.plan_fixings(Caller(shop, assembler), plain.id, *plan, wall_moves=moves)
    assert store.plan_of(shop.read(), plain.id) is None


@pytest.mark.parametrize(
    ("entry", "least", "most", "step"),
    [
        (acts.COLDEST, -60, 40, 0.1),
        (acts.WARMEST, 0, 90, 0.1),
        (acts.SCREW, 2, 12, 0.1),
        (acts.EDGE, 5, 500, 0.1),
        (acts.COLUMNS, 1, 20, 1),
        (acts.ROWS, 1, 20, 1),
        (acts.PER_METRE, 0, 3, 0.01),
    ],
    ids=lambda value: str(value.title) if isinstance(value, acts.Entry) else str(value),
)
def test_a_figure_is_taken_up_to_its_bounds_and_not_beyond(entry, least, most, step):
    assert [entry.read(str(figure)) for figure in (least, most)] == [least, most]
    for beyond in (least - step, most + step):
        with pytest.raises(Refused, match=f"from {least} to {most}"):
            entry.read(str(beyond))


@pytest.mark.parametrize(("letters", "is_taken"), [(1, True), (40, True), (41, False)])
def test_a_wall_is_named_in_up_to_forty_letters(shop, assembler, plain, letters, is_taken):
    asked = (Caller(shop, assembler), plain.id, *PLAN[:4], "w" * letters)
    if is_taken:
        acts.plan_fixings(*asked, wall_moves="0.1")
        assert store.plan_of(shop.read(), plain.id).wall == "w" * letters
        return
    with pytest.raises(Refused, match="Enter a name for the wall"):
        acts.plan_fixings(*asked, wall_moves="0.1")


def test_a_plan_is_undone_like_any_act(shop, assembler, plain):
    acts.plan_fixings(Caller(shop, assembler), plain.id, *PLAN)
    second = acts.plan_fixings(Caller(shop, assembler), plain.id, 5.0, 40.0, 2, 2, "steel")
    desks.undo(Caller(shop, assembler), second.act)
    assert store.plan_of(shop.read(), plain.id).wall == "masonry" and agree(shop)


def test_the_same_request_twice_is_one_act(shop, assembler, plain):
    first = acts.plan_fixings(Caller(shop, assembler, "once"), plain.id, *PLAN)
    assert acts.plan_fixings(Caller(shop, assembler, "once"), plain.id, *PLAN) == first


# A stock's expansion. -------------------------------------------------------------------------------------------------


def test_a_stock_that_is_no_acrylic_has_a_figure_once_its_owner_enters_one(
    shop, owner, mixed, composite
):
    """The letters' bond: √(160² + 240²) = 288.4 mm × (70 − 24) millionths × 31 K = 0.411 mm, 0.206 mm at each end."""
    [group] = acts.materials_of(shop.read(), mixed.id).mixed.groups
    assert (group.upper, group.count, group.missing) == ("composite, 3 mm", 6, ("composite, 3 mm",))
    acts.set_expansion(Caller(shop, owner), composite, "0.24", " its data  sheet ")
    [group] = acts.materials_of(shop.read(), mixed.id).mixed.groups
    bond = math.hypot(160, 240)
    assert group.advice.movement.length_mm == pytest.approx(bond)
    assert (
        group.advice.movement.at_end_mm == pytest.approx(bond * 46e-6 * 31 / 2)
        and group.advice.kind == "soft tape"
    )
    kept = store.expansion_of(shop.read(), stock.stock_by_code(shop.read(), composite).id)
    assert (kept.per_k, kept.source) == (24, "its data sheet") and agree(shop)


def test_the_warmth_is_that_of_the_last_glue_up_of_the_piece_that_is_there(shop, owner, plain):
    """Written as rows and taken back: how a glue-up is done is the bench's."""
    part, other = [part for part in jobs.parts_of(shop.read(), plain.id) if part.level == 1]
    with pytest.raises(RuntimeError, match="taken back"), shop.database.write() as db:
        ledger.begin(db)
        cement = db.execute(
            "INSERT INTO cement (name, cure_hours, reference_c, coldest_c, warmest_c) VALUES ('solvent', 24, 23, 16, 38)"
        ).lastrowid
        db.execute("UPDATE piece SET state = 'fixed' WHERE id = ?", (part.piece,))
        for day, warm in ((1, 18.0), (2, 27.5)):
            at = f"2026-11-0{day}T09:00:00.000Z"
            glued = db.execute(
                """INSERT INTO glue_up (cement, batch, temperature_c, humidity_percent, at, cured_at, person)
                   VALUES (?, 'A', ?, 45, ?, ?, ?)""",
                (cement, warm, at, at, owner.person),
            ).lastrowid
            db.executemany(
                "INSERT INTO glue_up_piece VALUES (?, ?)",
                [(glued, part.piece), (glued, other.piece)],
            )
        assert store.glued_at(db, plain.id) == {part.id: 27.5}, "the other one came off"
        raise RuntimeError("taken back")


def test_an_inlay_fills_its_hole_and_moves_in_it(shop, owner, composite, plain_nests):
    """A disc of 20 mm let into the board: no fixing, but a joint; the two open holes of 8 mm beside it are fixings."""
    board = shapely.box(0, 0, 700, 300)
    for x, wide in ((100, 8), (350, 20), (600, 8)):
        board = board.difference(shapely.Point(x, 150).buffer(wide / 2, quad_segs=8))
    disc = Outline.of_polygon(shapely.Point(350, 150).buffer(10, quad_segs=8))
    sign = take_in(
        shop,
        owner,
        [(Outline.of_polygon(board), BLUE, "board"), (disc, BRUSHED, "dot")],
        "Ebb Chandlery",
    )
    assert [round(one.x_mm) for one in acts.fixings_of(shop.read(), sign.id)] == [100, 600]
    [group] = acts.materials_of(shop.read(), sign.id).mixed.groups
    assert (group.is_let_in, group.level) == (True, 0)


def test_what_is_acrylic_on_acrylic_is_only_counted(shop, mixed, plain):
    assert acts.materials_of(shop.read(), mixed.id).mixed.alike == 2
    found = acts.materials_of(shop.read(), plain.id).mixed
    assert (found.groups, found.alike) == ((), 2)


def test_a_figure_of_its_own_goes_before_the_usual_one_and_can_be_forgotten(shop, owner, plain):
    [cream, *_] = [
        material for material in stock.all_stocks(shop.read()) if material.colour == "#f2e8cf"
    ]
    acts.set_expansion(Caller(shop, owner), cream.code, "0,9", "its data sheet")
    [group] = acts.materials_of(shop.read(), plain.id).mixed.groups
    assert group.advice.movement.difference == pytest.approx(20)
    acts.set_expansion(Caller(shop, owner), cream.code, "", "")
    assert acts.materials_of(shop.read(), plain.id).mixed.groups == () and agree(shop)
    assert "Nothing to do" in acts.set_expansion(Caller(shop, owner), cream.code, "", "").sentence


@pytest.mark.parametrize(
    ("per_k", "source", "says"),
    [
        ("much", "its data sheet", "Expansion in mm"),
        ("3.01", "s", "from 0 to 3"),
        ("0.24", " ", "Say in 1 to 80 letters"),
        ("0.24", "s" * 81, "Say in 1 to 80 letters"),
    ],
)
def test_a_figure_without_sense_or_source_is_refused(shop, owner, composite, per_k, source, says):
    with pytest.raises(Refused, match=says):
        acts.set_expansion(Caller(shop, owner), composite, per_k, source)


@pytest.mark.parametrize("letters", [1, 80])
def test_a_source_is_as_short_or_long_as_it_may_be(shop, owner, composite, letters):
    acts.set_expansion(Caller(shop, owner), composite, "0.24", "s" * letters)
    kept = store.expansion_of(shop.read(), stock.stock_by_code(shop.read(), composite).id)
    assert kept.source == "s" * letters


def test_who_may_do_what(shop, owner, operator, assembler, plain, composite):
    with pytest.raises(NotAllowed):
        acts.plan_fixings(Caller(shop, operator), plain.id, *PLAN)
    with pytest.raises(NotAllowed):
        acts.set_site(Caller(shop, operator), plain.id, "-5", "40")
    with pytest.raises(NotAllowed):
        acts.set_expansion(Caller(shop, assembler), composite, "0.24", "its data sheet")
    with pytest.raises(NotFound):
        acts.plan_fixings(Caller(shop, owner), 999, *PLAN)
    with pytest.raises(NotFound):
        acts.set_expansion(Caller(shop, owner), "cork-3", "0.24", "its data sheet")
