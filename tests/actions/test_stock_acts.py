"""What people do with the rack: each act, and each refusal with the database as it was."""

from __future__ import annotations

import re

import pytest

from shopfloor.actions import drawings
from shopfloor.actions import jobs as intakes
from shopfloor.actions import stock as acts
from shopfloor.actions.unit_of_work import Answer, Caller, Shop, command, undo
from shopfloor.domain import codes
from shopfloor.domain import stock as rules
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.drawing.signs import Order
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.domain.outlines import Outline
from shopfloor.store import jobs, ledger, replay, stock
from shopfloor.wording.message import plain

CREAM = dict(
    name="cream",
    colour="#f2e8cf",
    finish="gloss",
    kind="cast",
    thickness_mm="6",
    length_mm="2440",
    width_mm="1220",
    turns="any",
    cost="142,50",
)
NONSENSE = ["", "0", "-5", "nan", "inf", "-inf", "1e9", "six", "0x10"]


def state(shop) -> tuple:
    db = shop.read()
    return ledger.newest(db), {
        t: [tuple(r) for r in db.execute(f"SELECT * FROM {t}")] for t in ledger.state_tables(db)
    }


@pytest.fixture
def cream(shop, operator):
    return acts.add_stock(Caller(shop, operator), CREAM).data["stock"]


def material(shop, code: str):
    return stock.stock_by_code(shop.read(), code)


def rack(shop) -> list[tuple]:
    return [
        (b.is_offcut, b.is_bought, b.state, b.length_mm, b.width_mm)
        for b in stock.blanks_in_rack(shop.read())
    ]


def test_a_stock_is_added_with_a_code_of_its_own(shop, operator, cream):
    assert cream == "cream-6"
    added = material(shop, cream)
    assert (added.called, added.cost, added.turns, added.length_mm) == (
        "cream, 6 mm",
        142.5,
        "any",
        2440,
    )
    assert acts.add_stock(Caller(shop, operator), CREAM).data["stock"] == "cream-6-2"
    assert (
        acts.add_stock(Caller(shop, operator), {**CREAM, "name": "Off / White"}).data["stock"]
        == "off-white-6"
    )


@pytest.mark.parametrize("number", NONSENSE)
@pytest.mark.parametrize("field", ["thickness_mm", "length_mm", "width_mm"])
def test_a_stock_of_a_nonsense_size_is_refused(shop, operator, owner, cream, field, number):
    before = state(shop)
    with pytest.raises(Refused) as one:
        acts.add_stock(Caller(shop, operator), {**CREAM, field: number})
    with pytest.raises(Refused) as other:
        acts.change_stock(Caller(shop, owner), cream, {**CREAM, field: number})
    assert one.value.sentence == other.value.sentence
    assert re.fullmatch(
        r"[A-Z][a-z ]+: type a number from [\d.]+ to [\d,]+ mm\.", one.value.sentence
    )
    assert state(shop) == before


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": " "},
        {"name": "x" * 41},
        {"colour": "cream"},
        {"colour": "#f2e8c"},
        {"kind": "melted"},
        {"finish": ""},
        {"turns": "90"},
        {"cost": "-1"},
        {"cost": "nan"},
        {"cost": "1e9"},
    ],
    ids=str,
)
def test_a_stock_that_says_nonsense_is_refused(shop, operator, wrong):
    before = state(shop)
    with pytest.raises(Refused):
        acts.add_stock(Caller(shop, operator), {**CREAM, **wrong})
    assert state(shop) == before


def test_an_owner_changes_a_stock_and_sheets_in_the_rack_keep_their_size(shop, owner, cream):
    acts.add_blanks(Caller(shop, owner), cream, "2")
    acts.change_stock(
        Caller(shop, owner),
        cream,
        {**CREAM, "length_mm": "3050", "width_mm": "2050", "cost": "260"},
    )
    assert (material(shop, cream).length_mm, material(shop, cream).cost) == (3050, 260)
    assert rack(shop) == [(0, 1, "free", 2440, 1220)] * 2


def test_only_an_owner_changes_a_stock(shop, operator, cream):
    before = state(shop)
    with pytest.raises(NotAllowed):
        acts.change_stock(Caller(shop, operator), cream, {**CREAM, "cost": "1"})
    assert state(shop) == before


@pytest.mark.parametrize(
    "action, more",
    [
        (acts.add_stock, (CREAM,)),
        (acts.add_blanks, ("cream-6", "1")),
        (acts.add_offcut, ("cream-6", "300", "200")),
        (acts.forget_colour, ("#f2e8cf",)),
    ],
)
def test_an_assembler_leaves_the_rack_alone(shop, assembler, cream, action, more):
    before = state(shop)
    with pytest.raises(NotAllowed):
        action(Caller(shop, assembler), *more)
    assert state(shop) == before


def test_full_sheets_come_in(shop, operator, cream):
    answer = acts.add_blanks(Caller(shop, operator), cream, "3")
    assert answer.sentence == "3 sheets of cream, 6 mm received." and len(answer.codes) == 3
    assert rack(shop) == [(0, 1, "free", 2440, 1220)] * 3


@command("planned on a sheet to buy, for a test")
def plan(transaction, known) -> Answer:
    code = transaction.new_code("blank")
    size = (known.length_mm, known.width_mm)
    stock.add_blank(
        transaction.db, code, known.id, *size, is_offcut=False, is_bought=False, state="booked"
    )
    return Answer(plain("Planned."), (code,))


@pytest.mark.parametrize(("tries", "is_found"), [(1000, True), (1001, False)])
def test_a_code_that_is_in_use_is_drawn_again_a_thousand_times_at_most(
    shop, operator, cream, tries, is_found
):
    numbers = iter([5] + [5] * (tries - 1) + [6])
    drawing = Shop(shop.database, shop.clock, lambda most: next(numbers))
    first = acts.add_blanks(Caller(drawing, operator), cream, "1")
    assert first.codes == (codes.make(5),)
    if is_found:
        assert acts.add_blanks(Caller(drawing, operator), cream, "1").codes == (codes.make(6),)
        return
    with pytest.raises(Conflict, match="No free code is left"):
        acts.add_blanks(Caller(drawing, operator), cream, "1")


def test_what_is_booked_stays_in_the_rack(shop, operator, cream):
    code = plan(Caller(shop, operator), material(shop, cream)).codes[0]
    before = state(shop)
    with pytest.raises(Conflict, match="booked"):
        acts.discard_blank(Caller(shop, operator), code)
    assert state(shop) == before


def test_sheets_that_were_planned_on_are_the_first_to_come_in(shop, operator, cream):
    plan(Caller(shop, operator), material(shop, cream))
    answer = acts.add_blanks(Caller(shop, operator), cream, "2")
    assert answer.sentence == "2 sheets of cream, 6 mm received. 1 of them is for a planned sheet."
    assert sorted(rack(shop)) == [(0, 1, "booked", 2440, 1220), (0, 1, "free", 2440, 1220)]


@pytest.mark.parametrize("count", [*NONSENSE, "1.5", "201"])
def test_a_nonsense_count_of_sheets_is_refused(shop, operator, cream, count):
    before = state(shop)
    with pytest.raises(Refused):
        acts.add_blanks(Caller(shop, operator), cream, count)
    assert state(shop) == before


def test_an_offcut_gets_a_code_to_label(shop, operator, cream):
    answer = acts.add_offcut(Caller(shop, operator), cream, "610", " 300,5 ")
    assert rack(shop) == [(1, 1, "free", 610, 300.5)]
    assert stock.blank_by_code(shop.read(), answer.codes[0]).is_offcut


@pytest.mark.parametrize(
    "size", [("300", bad) for bad in NONSENSE] + [("2441", "100"), ("1300", "1300")]
)
def test_an_offcut_of_a_nonsense_size_or_larger_than_its_sheet_is_refused(
    shop, operator, cream, size
):
    before = state(shop)
    for length, width in (size, size[::-1]):
        with pytest.raises(Refused):
            acts.add_offcut(Caller(shop, operator), cream, length, width)
    assert state(shop) == before


def test_an_unknown_stock_or_blank_is_named_as_such(shop, operator, owner, cream):
    before = state(shop)
    with pytest.raises(NotFound, match="cream-6"):
        acts.add_blanks(Caller(shop, operator), "plum-6", "1")
    with pytest.raises(NotFound):
        acts.add_offcut(Caller(shop, operator), "plum-6", "300", "200")
    with pytest.raises(NotFound):
        acts.change_stock(Caller(shop, owner), "plum-6", CREAM)
    with pytest.raises(NotFound):
        acts.discard_blank(Caller(shop, operator), "40729153")
    assert state(shop) == before


def test_an_offcut_that_is_thrown_away_leaves_the_rack_and_undo_brings_it_back(
    shop, operator, cream
):
    code = acts.add_offcut(Caller(shop, operator), cream, "610", "300").codes[0]
    gone = acts.discard_blank(Caller(shop, operator), code)
    assert rack(shop) == []
    assert "already" in acts.discard_blank(Caller(shop, operator), code).sentence
    undo(Caller(shop, operator), gone.act)
    assert rack(shop) == [(1, 1, "free", 610, 300)]


def test_a_second_copy_of_a_request_brings_in_no_second_sheet(shop, operator, cream):
    first = acts.add_blanks(Caller(shop, operator, "same"), cream, "1")
    assert acts.add_blanks(Caller(shop, operator, "same"), cream, "1") == first
    assert len(rack(shop)) == 1


# With a job ----------------------------------------------------------------------------------------------------------


def ell(turn: float) -> Outline:
    shape = Outline((((0, 0), (120, 0), (120, 40), (40, 40), (40, 90), (0, 90)),))
    return shape.turned(turn).at_origin()


def taken_in(shop, operator, cream):
    """One board with an L on it, straight, at a right angle and upside down; all of one stock."""
    board = Outline((((0, 0), (800, 0), (800, 200), (0, 200)),))
    shapes = [board, ell(0).moved(20, 20), ell(90).moved(300, 20), ell(180).moved(500, 20)]
    drawing = Drawing(
        tuple(DrawnOutline(s, "#f2e8cf", None, None, n) for n, s in enumerate(shapes)), 800, 200, ()
    )
    read = drawings.ReadDrawing("0" * 64, "ells.svg", b"", drawing)
    drawings.keep_drawing(shop, read)
    order = Order("Harbour", "Ells", "2026-12-01", 1, {"#f2e8cf": material(shop, cream).id})
    return intakes.take_in(Caller(shop, operator), drawings.proposal(shop, [read]), order)


def ells(shop) -> list[int]:
    parts = jobs.parts_of(shop.read(), 1)
    return [part.family for part in parts if part.level == 1]


def test_shapes_that_may_no_longer_be_turned_are_no_longer_interchangeable(
    shop, operator, owner, cream
):
    taken_in(shop, operator, cream)
    assert len(set(ells(shop))) == 1
    acts.change_stock(Caller(shop, owner), cream, {**CREAM, "turns": "180"})
    straight, right, upside_down = ells(shop)
    assert straight == upside_down != right
    acts.change_stock(Caller(shop, owner), cream, {**CREAM, "turns": "none"})
    assert len(set(ells(shop))) == 3
    assert replay.differences(shop.read()) == []


def test_a_colour_is_forgotten(shop, operator, cream):
    taken_in(shop, operator, cream)
    assert stock.remembered_colours(shop.read()) == {1: ["#f2e8cf"]}
    acts.forget_colour(Caller(shop, operator), "#f2e8cf")
    assert stock.remembered_colours(shop.read()) == {}
    with pytest.raises(Conflict):
        acts.forget_colour(Caller(shop, operator), "#f2e8cf")


def test_a_code_is_made_of_the_name_and_unlike_all_others():
    # No source outside: the form 'cream-6' is this project's own.
    assert rules.code_for("Pale Grey", 6.0, set()) == "pale-grey-6"
    assert rules.code_for("cream", 4.5, {"cream-4.5", "cream-4.5-2"}) == "cream-4.5-3"
