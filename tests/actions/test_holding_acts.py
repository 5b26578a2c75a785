"""How the pieces of a nest are held: worked out with it, a recut never as before, overruled by people; through the commands.

No source outside the project: the rules are this project's own, the defaults common practice or from memory. What is learned
from losses is in test_holding_learned.py.
"""

from __future__ import annotations

import pytest
from holding_for_tests import (
    DOT,
    LARGE,
    LETTER,
    MIXED,
    SMALL,
    SQUARES,
    chance_of,
    cut,
    found,
    kept,
    last_entry,
    named,
    nest_again,
    of_sheet,
    piece,
    take_in,
    ways,
)
from shop_for_tests import BLUE, CREAM, box, grows_at_most, words

from shopfloor.actions import holding as acts
from shopfloor.actions import nests, setup_sheets
from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import settings as setting_actions
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain import pieces as life
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.errors import Conflict, NotAllowed, Refused
from shopfloor.domain.outlines import Outline
from shopfloor.store import holding as store
from shopfloor.store import ledger, replay


@pytest.fixture
def mixed(cutting):
    """A planned sheet with a dot, small squares, letters and a large square."""
    return take_in(cutting, MIXED)


@pytest.fixture
def squares(cutting):
    """A planned sheet with twenty squares of 40 mm."""
    return take_in(cutting, SQUARES)


def recut_of(shop, by, code: str, cause: str = life.HOSE) -> str:
    """The code of the recut that comes of a loss at the router."""
    return piece_actions.mark(Caller(shop, by), [code], "lost", cause).data["recuts"][0]


def nested_alone(shop, by, code: str) -> str:
    """Nests one piece that waits, alone; its sheet's code."""
    return nests.plan(Caller(shop, by), piece(shop, code).stock, codes=[code]).data["sheets"][0]


# With the nest. -------------------------------------------------------------------------------------------------------


def test_a_nest_keeps_for_each_piece_how_it_is_held_and_what_is_expected_of_it(
    mixed, cutting, shop
):
    held = kept(shop, mixed)
    assert set(held) == set(cutting.codes(mixed))
    for code, one in held.items():
        choice = found(shop, mixed)[code]
        best = choice.advice.best
        assert (one.hold_down, one.advised, one.verdict, one.why) == (
            best.hold_down,
            best.hold_down,
            choice.verdict,
            choice.why,
        )
        assert one.safety_factor == pytest.approx(choice.safety_factors[one.hold_down], abs=1e-4)
        assert (one.chance, one.chance_low, one.chance_high) == pytest.approx(
            (best.chance.mean, best.chance.low, best.chance.high), abs=1e-5
        )
        assert 0 <= one.chance_low < one.chance < one.chance_high < 1
        assert (one.pump, one.moved, one.is_overruled) == ("blower", 0, False)


def test_the_sizes_are_held_as_an_operator_would_hold_them(mixed, cutting, shop):
    """Memory: that a 15 mm piece holds neither in a full pass nor with an onion skin was written down for this project."""
    held = kept(shop, mixed)
    by_size = {
        size: {held[code].hold_down for code in named(cutting, mixed, size)}
        for size in (DOT, SMALL, LETTER)
    }
    assert by_size == {DOT: {"tape"}, SMALL: {"tabs"}, LETTER: {"skin"}}
    verdicts = {
        size: {held[code].verdict for code in named(cutting, mixed, size)} for size in MIXED
    }
    more = {"needs tabs or tape"}
    assert verdicts == {DOT: more, SMALL: more, LETTER: {"with a skin"}, LARGE: {"holds"}}


def test_a_piece_has_as_many_tabs_as_were_placed_on_it_and_at_least_two_where_it_has_any(
    mixed, shop
):
    for code, one in kept(shop, mixed).items():
        assert piece(shop, code).tabs == len(one.tabs)
        assert len(one.tabs) >= 2 if one.hold_down == "tabs" else one.tabs == ()


def test_tabs_lie_on_the_pieces_own_outline(mixed, cutting, shop):
    """Each at a length along it that it has; on a square of 15 mm the outline is 60 mm long."""
    for code in named(cutting, mixed, SMALL):
        places = [mm for ring, mm in kept(shop, mixed)[code].tabs if ring == 0]
        assert all(0 <= mm < 60 for mm in places) and len(set(places)) == len(places)


def test_a_first_attempt_held_by_tabs_comes_off_the_table_cut_and_is_ready_once_trimmed(
    mixed, cutting, shop, operator
):
    small, letter, dot = (named(cutting, mixed, size)[0] for size in (SMALL, LETTER, DOT))
    cut(shop, operator, mixed)
    assert [piece(shop, code).state for code in (small, letter, dot)] == ["cut", "ready", "ready"]
    piece_actions.mark(Caller(shop, operator), [small], "trimmed")
    assert piece(shop, small).state == "ready"
    assert replay.differences(shop.read()) == []


def test_what_is_put_back_untouched_has_no_tabs_until_it_is_nested_again(
    mixed, cutting, shop, operator
):
    small = named(cutting, mixed, SMALL)
    sheet_actions.start(Caller(shop, operator), mixed)
    sheet_actions.abandon(Caller(shop, operator), mixed)
    assert [(piece(shop, code).state, piece(shop, code).tabs) for code in small] == [
        ("waiting", 0)
    ] * 3
    again = nests.plan(Caller(shop, operator), piece(shop, small[0]).stock).data["sheets"][0]
    assert {ways(shop, again)[code] for code in small} == {"tabs"} and all(
        piece(shop, code).tabs >= 2 for code in small
    )
    assert replay.differences(shop.read()) == []


def test_a_recut_that_is_put_back_keeps_its_tabs(mixed, cutting, shop, operator):
    sheet_actions.start(Caller(shop, operator), mixed)
    recut = recut_of(shop, operator, named(cutting, mixed, LETTER)[0])
    queued = piece(shop, recut).tabs
    sheet = nested_alone(shop, operator, recut)
    nested = piece(shop, recut).tabs
    assert nested == len(kept(shop, sheet)[recut].tabs)
    sheet_actions.abandon(Caller(shop, operator), sheet)
    assert (
        piece(shop, recut).state == "waiting"
        and piece(shop, recut).tabs == nested
        and min(queued, nested) >= 2
    )


@pytest.mark.parametrize(("dots", "says"), [(12, "11 and 12."), (13, "11 and 12, and 1 more.")])
def test_the_setup_sheet_names_twelve_pieces_that_need_tape(cutting, as_operator, dots, says):
    page = words(as_operator.get(f"/sheets/{take_in(cutting, [DOT] * dots)}/setup-sheet"))
    assert f"put tape under pieces 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, {says}" in page


@pytest.mark.parametrize(("from_mm2", "tabs"), [("100", 1), ("100.1", 0)])
def test_a_slug_from_the_set_area_on_gets_a_tab_where_the_vacuum_does_not_hold_it(
    cutting, shop, owner, from_mm2, tabs
):
    """A 6 mm cutter leaves a slug of 10 × 10 mm in a hole of 22 × 22 mm."""
    setting_actions.change_settings(
        Caller(shop, owner), {"tool_mm": "6", "slug_from_mm2": from_mm2}
    )
    hole = box(39, 39, 22, 22).rings[0][::-1]  # a hole runs the other way round
    frame = Outline((*box(20, 20, 60, 60).rings, hole))
    drawn = [
        DrawnOutline(box(0, 0, 200, 100), BLUE, "board", None, 0),
        DrawnOutline(frame, CREAM, "O", None, 1),
    ]
    cutting.take_in(drawing=Drawing(tuple(drawn), 200, 100, ()))
    [choice] = found(shop, cutting.sheet_of(CREAM)).values()
    assert len(choice.tabs_by["full"]) == tabs


def test_of_two_planned_sheets_that_fit_on_one_the_first_is_used_again(cutting, shop, operator):
    first, second = take_in(cutting, [LETTER]), take_in(cutting, [LARGE])
    assert nest_again(shop, operator, first, second) == [first]
    assert len(kept(shop, first)) == 2


def test_nesting_a_planned_sheet_again_works_its_hold_down_out_again(
    mixed, cutting, shop, operator
):
    before = of_sheet(shop, mixed).nest
    old = kept(shop, mixed)
    assert nest_again(shop, operator, mixed) == [mixed]
    assert of_sheet(shop, mixed).nest != before and ways(shop, mixed) == {
        code: held.hold_down for code, held in old.items()
    }
    assert len(store.of_nest(shop.read(), before)) == len(MIXED), (
        "the old layout keeps what it was made with"
    )
    assert all(piece(shop, code).tabs == len(held.tabs) for code, held in kept(shop, mixed).items())


def test_ten_times_the_pieces_take_about_ten_times_as_long(cutting, shop):
    """Tabs keep away from the neighbours and their tabs: to look at all of them for each would take a hundred times."""
    sheet = of_sheet(shop, take_in(cutting, [SMALL] * 500))
    lying = acts.placed_pieces(shop.read(), sheet)
    inputs = acts.read_inputs(
        shop.read(), cutting.stock(sheet.stock), [one.piece for one in lying], shop.clock().date()
    )
    assert len(lying) == 500 and grows_at_most(
        25, lambda count: acts.hold_layout(inputs, lying[:count]), 50, 500
    )


# Recuts. --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cause", life.NOT_HELD)
def test_a_recut_is_not_held_by_the_way_that_lost_it(mixed, cutting, shop, operator, cause):
    sheet_actions.start(Caller(shop, operator), mixed)
    mark = "damaged" if cause == life.CHIPPED else "lost"
    for size, way in ((LETTER, "skin"), (SMALL, "tabs")):
        code = named(cutting, mixed, size)[0]
        assert ways(shop, mixed)[code] == way
        recut = piece_actions.mark(Caller(shop, operator), [code], mark, cause).data["recuts"][0]
        again = kept(shop, nested_alone(shop, operator, recut))[recut]
        assert again.hold_down == {"skin": "tabs", "tabs": "tape"}[way]
        assert f"lost or chipped with {'an onion skin' if way == 'skin' else 'tabs'}" in str(
            again.why
        )


@pytest.mark.parametrize("cause", ["cut wrong", life.SCRATCHED])
def test_a_recut_is_not_held_by_vacuum_alone_even_if_its_holding_was_not_to_blame(
    mixed, cutting, shop, operator, cause
):
    sheet_actions.start(Caller(shop, operator), mixed)
    for size, way in ((LETTER, "tabs"), (LARGE, "tabs"), (DOT, "tape")):
        code = named(cutting, mixed, size)[0]
        recut = piece_actions.mark(Caller(shop, operator), [code], "damaged", cause).data["recuts"][
            0
        ]
        held = kept(shop, nested_alone(shop, operator, recut))[recut]
        assert held.hold_down == way and str(held.why).startswith(
            f"{way.capitalize()}: a recut gets"
        )


def test_the_second_recut_is_held_by_neither_way_that_lost_the_two_before_it(
    mixed, cutting, shop, operator
):
    sheet_actions.start(Caller(shop, operator), mixed)
    code = named(cutting, mixed, LETTER)[0]
    held_by = ["skin"]
    for _ in range(2):
        recut = recut_of(shop, operator, code)
        sheet = nested_alone(shop, operator, recut)
        held_by.append(ways(shop, sheet)[recut])
        sheet_actions.start(Caller(shop, operator), sheet)
        code = recut
    assert held_by == ["skin", "tabs", "tape"]


# Overruled. -----------------------------------------------------------------------------------------------------------


def test_an_owner_may_choose_any_way_that_can_be_had(mixed, cutting, shop, owner):
    small = named(cutting, mixed, SMALL)[0]
    assert set(found(shop, mixed)[small].safety_factors) == {"full", "skin", "tabs", "tape"}
    for way in ("full", "skin", "tape", "tabs"):
        acts.overrule(Caller(shop, owner), mixed, [small], way)
        held = kept(shop, mixed)[small]
        choice = found(shop, mixed)[small]
        assert (held.hold_down, held.advised, held.is_overruled) == (way, "tabs", way != "tabs")
        assert held.safety_factor == pytest.approx(choice.safety_factors[way], abs=1e-4)
        assert held.chance == pytest.approx(chance_of(choice, way), abs=1e-5), (
            "the chance kept is that of the way chosen"
        )
        assert piece(shop, small).tabs == len(held.tabs) == (2 if way == "tabs" else 0)
    assert replay.differences(shop.read()) == []


def test_an_operator_may_hold_a_piece_more_firmly_than_advised_but_not_less(
    mixed, cutting, shop, operator
):
    letter = named(cutting, mixed, LETTER)[0]
    safety_factors = found(shop, mixed)[letter].safety_factors
    firmer = {way for way in safety_factors if safety_factors[way] >= safety_factors["skin"]}
    assert {"skin", "tape"} <= firmer and "full" not in firmer
    for way in safety_factors:
        if way in firmer:
            acts.overrule(Caller(shop, operator), mixed, [letter], way)
            assert ways(shop, mixed)[letter] == way
        else:
            now, count = ways(shop, mixed), ledger.newest(shop.read())
            with pytest.raises(NotAllowed, match="Only an owner may choose a weaker hold-down"):
                acts.overrule(Caller(shop, operator), mixed, [letter], way)
            assert (ways(shop, mixed), ledger.newest(shop.read())) == (now, count)


def test_one_weaker_piece_among_many_is_enough_to_ask_for_the_owner(mixed, cutting, shop, operator):
    with pytest.raises(NotAllowed):
        acts.overrule(
            Caller(shop, operator),
            mixed,
            [*named(cutting, mixed, LETTER), *named(cutting, mixed, SMALL)],
            "skin",
        )
    assert not any(held.is_overruled for held in kept(shop, mixed).values())


def test_an_assembler_chooses_no_way_at_all(mixed, cutting, shop, assembler):
    with pytest.raises(NotAllowed):
        acts.overrule(Caller(shop, assembler), mixed, named(cutting, mixed, LETTER), "tape")
    with pytest.raises(NotAllowed):
        acts.renew(Caller(shop, assembler), mixed)


def test_a_way_that_cannot_be_had_is_refused_with_the_reason(mixed, cutting, shop, owner):
    dot = named(cutting, mixed, DOT)[0]
    with pytest.raises(
        Refused, match=r"can't be held with tabs\. No edge is straight enough for a 6 mm tab"
    ):
        acts.overrule(Caller(shop, owner), mixed, [dot], "tabs")
    with pytest.raises(Refused, match="Choose a hold-down: full pass, onion skin, tabs or tape"):
        acts.overrule(Caller(shop, owner), mixed, [dot], "wax")
    assert ways(shop, mixed)[dot] == "tape"


def test_after_the_start_nobody_chooses_any_more(mixed, cutting, shop, owner):
    acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "tape")
    chose = ledger.newest(shop.read())
    sheet_actions.start(Caller(shop, owner), mixed)
    for again in (
        lambda: acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "advised"),
        lambda: acts.renew(Caller(shop, owner), mixed),
        lambda: undo(Caller(shop, owner), chose),
    ):
        with pytest.raises(Conflict):
            again()
    assert {ways(shop, mixed)[code] for code in named(cutting, mixed, SMALL)} == {"tape"}


def test_pieces_of_another_sheet_are_a_conflict(mixed, squares, cutting, shop, owner):
    with pytest.raises(Conflict, match="None of these pieces is on sheet"):
        acts.overrule(Caller(shop, owner), mixed, cutting.codes(squares), "tape")


def test_going_back_to_the_advice_gives_what_was_there_before(mixed, cutting, shop, owner):
    before = kept(shop, mixed)
    acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "skin")
    acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "advised")
    assert kept(shop, mixed) == before


def test_overruling_is_in_the_ledger_and_replays(mixed, cutting, shop, owner):
    small = named(cutting, mixed, SMALL)
    answer = acts.overrule(Caller(shop, owner, "once"), mixed, small, "skin")
    entry = last_entry(shop)
    assert (entry.what, entry.by_name) == ("chose a way of holding", owner.name)
    rows = [change["a"] for change in entry.changes if change["t"] == "holding"]
    chosen = [(row["piece"], row["way"], row["advised"]) for row in rows]
    assert chosen == [(piece(shop, code).id, "skin", "tabs") for code in small], (
        "the rows tell it all"
    )
    assert (
        answer.sentence
        == f"Now held with an onion skin: 3 pieces of sheet {of_sheet(shop, mixed).number}."
    )
    count = ledger.newest(shop.read())
    again = acts.overrule(Caller(shop, owner, "once"), mixed, small, "skin")
    assert (again.act, again.sentence, ledger.newest(shop.read())) == (
        answer.act,
        answer.sentence,
        count,
    )
    assert replay.differences(shop.read()) == []


def test_undo_puts_the_advice_back_with_its_tabs(mixed, cutting, shop, owner):
    before, tabs = kept(shop, mixed), [piece(shop, code).tabs for code in cutting.codes(mixed)]
    minutes = store.run_of(shop.read(), of_sheet(shop, mixed).nest)
    answer = acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "full")
    assert (
        kept(shop, mixed) != before
        and store.run_of(shop.read(), of_sheet(shop, mixed).nest) != minutes
    )
    undo(Caller(shop, owner), answer.act)
    assert (kept(shop, mixed), [piece(shop, code).tabs for code in cutting.codes(mixed)]) == (
        before,
        tabs,
    )
    assert store.run_of(shop.read(), of_sheet(shop, mixed).nest) == minutes
    assert replay.differences(shop.read()) == []


def test_a_skin_pass_more_takes_longer_on_the_router_and_a_full_one_less(
    mixed, cutting, shop, owner
):
    def minutes() -> float:
        return store.run_of(shop.read(), of_sheet(shop, mixed).nest).path_min

    letters, as_advised = named(cutting, mixed, LETTER), minutes()
    acts.overrule(Caller(shop, owner), mixed, letters, "full")
    assert minutes() < as_advised
    acts.overrule(Caller(shop, owner), mixed, letters, "advised")
    assert minutes() == pytest.approx(as_advised, abs=1e-3)


def test_what_a_person_chose_survives_a_new_nest_the_advice_is_worked_out_again(
    mixed, squares, cutting, shop, owner, operator
):
    small = named(cutting, mixed, SMALL)[0]
    acts.overrule(Caller(shop, owner), mixed, [small], "full")
    cut(shop, operator, squares, lost=cutting.codes(squares)[:14])
    other = take_in(cutting, SQUARES)
    assert {held.hold_down for held in kept(shop, other).values()} == {"tabs"}
    together = nest_again(shop, operator, mixed, other)
    held = {code: one for sheet in together for code, one in kept(shop, sheet).items()}
    assert len(held) == len(MIXED) + len(SQUARES)
    assert held[small].hold_down == "full" and piece(shop, small).tabs == 0
    assert [code for code, one in held.items() if one.is_overruled] == [small]
    letters = {
        held[piece.code].hold_down
        for sheet in together
        for piece in cutting.on(sheet)
        if piece.name == "30 x 60"
    }
    assert letters <= {"tabs", "tape"}, (
        "before the squares, of their size, were lost, they were to be held with a skin"
    )


# The file for the machine. --------------------------------------------------------------------------------------------


def test_recording_a_file_of_a_layout_that_moved_on_is_a_conflict(mixed, cutting, shop, owner):
    name, _, it = setup_sheets.file_for(shop.read(), mixed, "svg")
    mark = setup_sheets.layout_mark(it)
    acts.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "tape")
    with pytest.raises(Conflict, match="changed while its file was made"):
        setup_sheets.record_file(Caller(shop, owner), mixed, name, "0" * 64, mark)
