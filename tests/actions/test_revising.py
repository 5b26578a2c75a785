"""A new drawing is carried through the shop: pieces serve again, sheets are nested anew, and nothing that is cut is forgotten."""

from __future__ import annotations

import json
import random
from dataclasses import replace

import pytest
from fixtures.revisions import BLUE, CREAM, RED, Changing, drawing
from random_drawings_for_tests import two_signs
from shop_for_tests import on_shelves

from shopfloor import nesting
from shopfloor.actions import bench, revision_plan
from shopfloor.actions import cements as cement_acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import pieces as marks
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions import stock as stock_acts
from shopfloor.actions.people import first_owner
from shopfloor.actions.unit_of_work import Answer, Caller, Shop, command, undo
from shopfloor.domain import pieces as life
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.store import bench as bench_store
from shopfloor.store import jobs, ledger, people, replay, sheets, stock
from shopfloor.store import pieces as piece_store
from shopfloor.store.db import Database
from shopfloor.wording.message import plain

IN_HAND = ("cut", "ready")


def started(changing, colour: str) -> str:
    """Starts the planned sheet of a colour; its code."""
    row = next(row for row in changing.of_colour(colour) if row.state == "planned")
    sheet_acts.start(Caller(changing.shop, changing.by), row.code)
    return row.code


def cut(changing, *codes: str) -> None:
    marks.mark(Caller(changing.shop, changing.by), list(codes), "cut")


def test_a_letter_that_is_drawn_elsewhere_moves_and_nothing_is_cut(changing):
    changing.take_in(drawing("ABC"))
    before = {name: [piece.code for piece in some] for name, some in changing.named().items()}
    answer = changing.change(drawing("ABC", at={(0, 1): (60, 5)}))
    assert (answer.data["moved"], answer.data["same"], answer.data["to_cut"]) == (1, 3, 0)
    assert {
        name: [piece.code for piece in some] for name, some in changing.named().items()
    } == before
    sign = jobs.signs_of_job(changing.shop.read(), 1)[0]
    moved = next(part for part in jobs.parts_of(changing.shop.read(), sign.id) if part.name == "B")
    assert (moved.x_mm, moved.y_mm) == (20 + 50 + 60, 25), "the checklist has the new place"


def test_cut_letters_of_a_changed_text_serve_the_new_one_and_the_rest_are_spares(changing):
    changing.take_in(drawing("ABCDA"))
    sheet = started(changing, CREAM)
    cut(
        changing,
        *(
            piece.code
            for some in changing.named().values()
            for piece in some
            if piece.sheet_state == "cutting"
        ),
    )
    answer = changing.change(drawing("FADE"))
    assert {word: answer.data[word] for word in ("same", "moved", "new", "gone")} == {
        "same": 1,
        "moved": 2,
        "new": 2,
        "gone": 3,
    }, (
        "the board is the same, one A and the D moved, F and E are new, the other A, B and C are gone"
    )
    named = changing.named()
    assert {name: [piece.state for piece in some] for name, some in named.items()} == {
        "board": ["nested"],
        "A": ["ready"],
        "D": ["ready"],
        "F": ["nested"],
        "E": ["nested"],
    }
    assert answer.data["spare"] == 3
    spares = [piece for piece in changing.all_pieces().values() if piece.part is None]
    assert sorted(piece.state for piece in spares) == ["ready"] * 3
    assert sheets.sheet_by_code(changing.shop.read(), sheet).state == "cutting", (
        "a sheet on the table is not touched"
    )


def test_the_cut_one_of_two_twins_serves_whichever_place_stays(changing):
    """Of two equal letters the one that is cut loses its place: it goes to the other's, whose own piece need not be cut."""
    changing.take_in(drawing("AA"))
    first, second = changing.named()["A"]
    started(changing, CREAM)
    cut(changing, first.code)
    marks.mark(Caller(changing.shop, changing.by), [second.code], "lost")
    (recut,) = [piece for piece in changing.named()["A"] if piece.state == "waiting"]
    answer = changing.change(drawing(" A"))
    assert [piece.code for piece in changing.named()["A"]] == [first.code]
    assert changing.all_pieces()[recut.id].state == "withdrawn"
    assert (answer.data["used"], answer.data["spare"], answer.data["withdrawn"]) == (1, 0, 1)
    assert answer.data["relabel"] == [first.code]


def test_a_spare_of_one_job_is_offered_to_the_next_change(changing):
    changing.take_in(drawing("AB"))
    started(changing, CREAM)
    cut(changing, *(changing.named()[name][0].code for name in "AB"))
    changing.change(drawing("A"))
    spare = next(piece.code for piece in changing.all_pieces().values() if piece.part is None)
    made = changing.plan(drawing("AB"))
    costs = revision_plan.costs(changing.shop.read(), made, revision_plan.Choices())
    assert (costs.used, costs.from_stock, costs.to_cut) == (1, 1, 0)
    assert (
        revision_plan.costs(
            changing.shop.read(), made, revision_plan.Choices(uses_spares=False)
        ).to_cut
        == 1
    )
    changing.change(drawing("AB"), plan=made)
    assert [piece.code for piece in changing.named()["B"]] == [spare]


def test_planned_sheets_are_nested_anew_with_the_new_pieces_and_without_the_withdrawn_ones(
    changing,
):
    changing.take_in(drawing("ABC"))
    before = changing.of_colour(CREAM)[0].code
    changing.change(drawing("ABF"))
    db = changing.shop.read()
    now = changing.of_colour(CREAM)
    assert [row.code for row in now] == [before], "the same sheet, with another nest"
    here = [piece for piece in sheets.on_sheet(db, now[0].id) if piece.is_here]
    assert sorted(piece.name for piece in here) == ["A", "B", "F"]
    assert (
        db.execute("SELECT max(number) FROM nest WHERE sheet = ?", (now[0].id,)).fetchone()[0] == 2
    )
    withdrawn = [piece for piece in changing.all_pieces().values() if piece.state == "withdrawn"]
    assert len(withdrawn) == 1 and withdrawn[0].sheet is None


def test_a_planned_sheet_that_loses_all_its_pieces_is_given_up_and_its_blank_let_go(changing):
    changing.take_in(drawing("AB"))
    changing.change(drawing("AB", colour=RED))
    db = changing.shop.read()
    states = [
        tuple(row)
        for row in db.execute(
            "SELECT st.colour, sh.state, b.state FROM sheet sh JOIN stock st ON st.id = sh.stock JOIN blank b ON b.id = sh.blank"
        )
    ]
    assert (CREAM, "abandoned", "gone") in states, "it need not be bought any more"
    assert (RED, "planned", "booked") in states


def test_another_colour_is_another_piece(changing):
    changing.take_in(drawing("AB"))
    answer = changing.change(drawing("AB", colour=RED))
    assert (
        answer.data["gone"],
        answer.data["new"],
        answer.data["withdrawn"],
        answer.data["to_cut"],
    ) == (2, 2, 2, 2)


def test_every_copy_of_a_sign_is_changed_and_numbers_on_labels_stay(changing):
    changing.take_in(drawing("AB"), quantity=3)
    answer = changing.change(drawing("FAB"))
    assert answer.data["new"] == 3 and answer.data["to_cut"] == 3
    db = changing.shop.read()
    for sign in jobs.signs_of_job(db, 1):
        assert [(part.number, part.name) for part in jobs.parts_of(db, sign.id)] == [
            (1, "board"),
            (2, "A"),
            (3, "B"),
            (4, "F"),
        ], "labels that are stuck on keep their numbers"


def test_a_handed_over_sign_stays_as_it_was_delivered(changing):
    changing.take_in(drawing("AB"), quantity=2)
    first, second = jobs.signs_of_job(changing.shop.read(), 1)

    @command("handed over")
    def hand_over(transaction):
        """As at the end of the week, without the week before it."""
        jobs.set_sign_state(transaction.db, first.id, "handed over")
        return Answer(plain("It is handed over."))

    hand_over(Caller(changing.shop, changing.by))
    made = changing.plan(drawing("A"))
    assert made.left_alone == (first.mark,)
    changing.change(drawing("A"), plan=made)
    db = changing.shop.read()
    assert [len(jobs.parts_of(db, sign.id)) for sign in (first, second)] == [3, 2]


def test_the_ledger_keeps_both_drawings_and_both_files_are_kept(changing):
    changing.take_in(drawing("AB"))
    db = changing.shop.read()
    was = jobs.job(db, 1).drawing
    answer = changing.change(drawing("AF"))
    db = changing.shop.read()
    (change,) = (one for one in ledger.entry(db, answer.act).changes if one["t"] == "job")
    assert (change["b"]["drawing"], change["a"]["drawing"]) == (was, jobs.job(db, 1).drawing)
    assert {"job", "same", "moved", "new", "gone"} <= answer.data.keys()
    assert was != jobs.job(db, 1).drawing
    for sha256 in (was, jobs.job(db, 1).drawing):
        assert json.loads(jobs.drawing_file(db, sha256))["outlines"]


def test_a_drawing_that_changes_nothing_is_refused_and_a_retry_gets_the_first_answer(changing):
    changing.take_in(drawing("AB"))
    with pytest.raises(Refused, match="changes nothing"):
        changing.change(drawing("AB"))
    first = changing.change(drawing("AF"), key="once")
    again = changing.change(drawing("AF"), key="once", plan=changing.plan(drawing("AF")))
    assert again.act == first.act


def test_what_somebody_changed_meanwhile_is_not_overwritten(changing):
    changing.take_in(drawing("AB"))
    made = changing.plan(drawing("AF"))
    changing.change(drawing("AE"))
    with pytest.raises(Conflict, match="has just been changed"):
        changing.change(drawing("AF"), plan=made)


def test_a_sign_that_a_new_drawing_cancels_does_not_show_why_it_was_held(changing):
    changing.take_in(two_signs())
    sign_acts.hold(Caller(changing.shop, changing.by), 2, "the wall is wet")
    changing.change(replace(two_signs(), outlines=two_signs().outlines[:3]))
    gone = jobs.sign(changing.shop.read(), 2)
    assert (gone.state, gone.why_in_state) == ("cancelled", "")


def test_a_cancelled_job_takes_no_new_drawing(changing):
    changing.take_in(drawing("AB"))
    sign_acts.cancel(Caller(changing.shop, changing.by), 1, "not wanted any more")
    with pytest.raises(Conflict, match="Add the drawing as a new job"):
        changing.plan(drawing("AF"))


# At the bench ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def set_out(changing):
    """The board with its letters A, B, C set out on it."""
    changing.take_in(drawing("ABC"))
    for colour in (BLUE, CREAM):
        started(changing, colour)
    cut(changing, *(piece.code for some in changing.named().values() for piece in some))
    lay_out = bench_store.steps_of(changing.shop.read(), 1)[0]
    bench.set_out_rest(Caller(changing.shop, changing.by), lay_out.id, lay_out.parts)
    return changing


@pytest.fixture
def glued(set_out):
    """The board with its letters A, B, C glued on."""
    changing = set_out
    glue = bench_store.steps_of(changing.shop.read(), 1)[1]
    cement = cement_acts.add_cement(
        Caller(changing.shop, changing.by), {"name": "Quick cement"}
    ).data["cement"]
    gluing_acts.glue_up(Caller(changing.shop, changing.by), [glue.id], cement, "B-7", 23.0, 50.0)
    return changing


def test_a_letter_that_is_drawn_elsewhere_is_set_out_again(set_out):
    set_out.change(drawing("ABC", at={(0, 1): (60, 5)}))
    lay_out = bench_store.steps_of(set_out.shop.read(), 1)[0]
    [again] = set(lay_out.parts) - lay_out.ticks
    names = {part.id: part.name for part in jobs.parts_of(set_out.shop.read(), 1)}
    assert names[again] == "B" and lay_out.done_at is None


def test_a_glued_letter_that_stays_is_left_in_peace_and_the_one_that_goes_is_spoiled(glued):
    answer = glued.change(drawing("ABF"))
    states = {name: [piece.state for piece in some] for name, some in glued.named().items()}
    assert states == {"board": ["fixed"], "A": ["fixed"], "B": ["fixed"], "F": ["nested"]}
    assert answer.data["spoiled"] == 1
    steps = {step.title: step for step in bench_store.steps_of(glued.shop.read(), 1)}
    assert steps["Lay out level 1"].done_at is None, "F has to be laid out"
    assert len(steps["Lay out level 1"].parts) == 3


def test_glued_letters_that_come_off_whole_serve_again(glued):
    answer = glued.change(drawing("ACB"), comes_off_whole=True)
    assert answer.data["moved"] == 2 and answer.data["to_cut"] == 0
    states = {name: [piece.state for piece in some] for name, some in glued.named().items()}
    assert states == {"board": ["fixed"], "A": ["fixed"], "B": ["ready"], "C": ["ready"]}


def test_another_level_brings_its_steps_and_takes_them_away_again(changing):
    changing.take_in(drawing("A"))
    titles = [step.title for step in bench_store.steps_of(changing.shop.read(), 1)]
    changing.change(drawing(" "))
    assert [step.title for step in bench_store.steps_of(changing.shop.read(), 1)] == titles[3:]
    changing.change(drawing("AB"))
    steps = bench_store.steps_of(changing.shop.read(), 1)
    assert [step.title for step in steps] == titles
    by_id = {step.id: step.title for step in steps}
    clean = next(step for step in steps if step.kind == "clean")
    assert [by_id[after] for after in clean.after] == ["Cure level 1"]


# Nothing is forgotten --------------------------------------------------------------------------------------------------


def shop_of(path, seed: int) -> Changing:
    shop = Shop(Database(path), dice=random.Random(seed).randrange)
    first_owner(shop)
    return Changing(shop, people.owner_by(shop.read(), "test tablet"))


def some_drawing(dice: random.Random):
    lines = [
        "".join(dice.choice("ABCDEF ") for _ in range(dice.randint(1, 7)))
        for _ in range(dice.randint(1, 3))
    ]
    at = {
        (dice.randrange(3), dice.randrange(7)): (dice.choice([0.2, 7.0]), 3.0)
        for _ in range(dice.randrange(3))
    }
    return drawing(
        *lines,
        at=at,
        width=dice.choice([600, 600, 640]),
        colour=dice.choice([CREAM, CREAM, CREAM, RED]),
    )


def muddle(changing: Changing, dice: random.Random) -> None:
    """Sheets started, pieces cut, lost, damaged and found, as a week leaves them."""
    shop, by = changing.shop, changing.by
    for row in changing.sheets():
        if row.state == "planned" and dice.random() < 0.6:
            sheet_acts.start(Caller(shop, by), row.code)
    for piece in list(changing.all_pieces().values()):
        mark = dice.choice(["cut", "cut", "cut", "lost", "damaged", "found", "trimmed", None])
        try:
            if mark and piece.sheet_state in ("cutting", "off the table", None):
                marks.mark(Caller(shop, by), [piece.code], mark)
        except Conflict:
            pass


@pytest.mark.parametrize("seed", range(12))
def test_ready_before_is_used_and_spare_and_withdrawn_after(seed, tmp_path, monkeypatch):
    """The property of the whole: no piece is ever forgotten by a change of the drawing."""
    monkeypatch.setattr(nesting, "nest", on_shelves)
    dice = random.Random(seed)
    changing = shop_of(tmp_path / "shop.db", seed)
    changing.take_in(some_drawing(dice), quantity=dice.choice([1, 1, 2]))
    for _ in range(3):
        muddle(changing, dice)
        before = changing.all_pieces()
        new = some_drawing(dice)
        try:
            made = changing.plan(new)
            costs = revision_plan.costs(changing.shop.read(), made, revision_plan.Choices())
            answer = changing.change(new, plan=made)
        except Refused as refusal:
            assert "changes nothing" in refusal.sentence
            continue
        after = changing.all_pieces()
        ready = {id for id, piece in before.items() if piece.state in IN_HAND}
        used = {id for id in ready if after[id].part is not None}
        spare = {id for id in ready if after[id].part is None and after[id].state in IN_HAND}
        withdrawn = {id for id in ready if after[id].state == "withdrawn"}
        assert len(ready) == len(used) + len(spare) + len(withdrawn)
        assert not withdrawn, "what is in hand is never thrown away"
        assert all(after[id].state == before[id].state for id in ready)
        check_parts(changing, new)
        check_thrift(changing)
        assert costs.to_cut == answer.data["to_cut"] and costs.spare == answer.data["spare"]
        assert costs.withdrawn == answer.data["withdrawn"] and costs.used == answer.data["used"]
        untouched = [
            piece for piece in before.values() if piece.sheet_state in ("cutting", "off the table")
        ]
        assert all(after[piece.id].sheet == piece.sheet for piece in untouched), (
            "a sheet on the table is not touched"
        )
    assert replay.differences(changing.shop.read()) == []
    changing.shop.database.close()


def check_thrift(changing: Changing) -> None:
    """No part waits for a piece to be cut while a spare of its family that it could have had was left over."""
    db = changing.shop.read()
    families = {row["id"]: row["family"] for row in db.execute("SELECT id, family FROM outline")}
    spare = {(piece.stock, families[piece.outline]) for _, piece in piece_store.spares(db)}
    waiting = [
        piece
        for piece in changing.all_pieces().values()
        if piece.part is not None and life.is_not_begun(piece)
    ]
    assert not [piece for piece in waiting if (piece.stock, families[piece.outline]) in spare]


def check_parts(changing: Changing, new) -> None:
    """Each open sign has exactly the parts of the new drawing, each with one live piece of its own shape."""
    db = changing.shop.read()
    for sign in jobs.signs_of_job(db, 1):
        if sign.state not in revision_plan.OPEN:
            continue
        parts = jobs.parts_of(db, sign.id)
        assert sorted(part.name for part in parts) == sorted(one.name for one in new.outlines)
        for part in parts:
            assert part.piece is not None
            piece = changing.all_pieces()[part.piece]
            families = {
                row["id"]: row["family"] for row in db.execute("SELECT id, family FROM outline")
            }
            assert (piece.stock, families[piece.outline]) == (part.stock, part.family)
        steps = bench_store.steps_of(db, sign.id)
        taken = {part for step in steps if step.kind == "lay out" for part in step.parts}
        assert taken == {part.id for part in parts if part.level > 0}


def test_a_change_is_undone_whole_while_nothing_leans_on_it(changing):
    changing.take_in(drawing("ABC"))
    started(changing, CREAM)
    cut(changing, *(changing.named()[name][0].code for name in "ABC"))
    parts = jobs.parts_of(changing.shop.read(), 1)
    before = {id: (piece.state, piece.part) for id, piece in changing.all_pieces().items()}
    answer = changing.change(drawing("AB"))
    undo(Caller(changing.shop, changing.by), answer.act)
    assert jobs.parts_of(changing.shop.read(), 1) == parts
    assert {id: (piece.state, piece.part) for id, piece in changing.all_pieces().items()} == before


def test_the_same_file_read_otherwise_is_drawn_anew_at_once(as_owner, changing):
    """The picture of a sign is kept by its job: a change must never leave an old one standing on the Floor."""
    changing.take_in(drawing("ABC"))
    assert as_owner.get("/").status_code == 200
    made = changing.plan(drawing("AB"))
    job = jobs.job_by_number(changing.shop.read(), changing.job)
    same_file = replace(made, proposed=replace(made.proposed, sha256=job.drawing))
    changing.change(drawing("AB"), plan=same_file)
    for path in ("/", "/jobs", "/jobs/J-1001"):
        assert as_owner.get(path).status_code == 200


def test_an_offcut_that_the_planned_sheet_was_booked_on_is_kept(changing):
    """Nesting anew tries the offcuts of the sheets that it gives back, not full sheets that are still to be bought."""
    changing.take_in(drawing("A"))
    cream = next(one for one in stock.all_stocks(changing.shop.read()) if one.colour == CREAM)
    stock_acts.add_offcut(Caller(changing.shop, changing.by), cream.code, "900", "400")
    job = changing.job
    changing.take_in(drawing("BC"))
    sheet = changing.of_colour(CREAM)[-1]
    assert sheet.is_offcut
    changing.change(drawing("BCD"))
    assert next(row for row in changing.of_colour(CREAM) if row.code == sheet.code).is_offcut
    assert job != changing.job


def test_a_recut_that_waits_is_nested_with_what_the_change_needs(changing):
    changing.take_in(drawing("ABC"))
    started(changing, CREAM)
    lost = changing.named()["A"][0].code
    marks.mark(Caller(changing.shop, changing.by), [lost], "lost")
    assert changing.named()["A"][0].state == "waiting"
    changing.change(drawing("ABCF"))
    assert {name: some[0].state for name, some in changing.named().items() if name in "AF"} == {
        "A": "nested",
        "F": "nested",
    }


def test_parts_that_stay_keep_the_names_that_their_labels_bear(changing):
    changing.take_in(drawing("AB"))
    named = drawing("AB", at={(0, 1): (60, 0)})
    renamed = replace(
        named, outlines=tuple(replace(one, name=f"new {one.name}") for one in named.outlines)
    )
    changing.change(renamed)
    assert set(changing.named()) == {"board", "A", "B"}
