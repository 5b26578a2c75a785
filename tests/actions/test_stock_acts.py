"""What people do with the rack: each act, and each refusal with the database as it was."""

from __future__ import annotations

import pytest

from shopfloor.actions import drawings
from shopfloor.actions import jobs as intakes
from shopfloor.actions import stock as acts
from shopfloor.actions.unit_of_work import Answer, act, undo
from shopfloor.domain import stock as rules
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.domain.outlines import Outline
from shopfloor.domain.drawing.signs import Order
from shopfloor.store import jobs, ledger, replay, stock

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


def state(desk) -> tuple:
    db = desk.read()
    return ledger.newest(db), {
        t: [tuple(r) for r in db.execute(f"SELECT * FROM {t}")] for t in ledger.state_tables(db)
    }


@pytest.fixture
def cream(desk, operator):
    return acts.add_stock(desk, operator, CREAM).data["stock"]


def material(desk, code: str):
    return stock.stock_by_code(desk.read(), code)


def rack(desk) -> list[tuple]:
    return [
        (b.is_offcut, b.is_bought, b.state, b.length_mm, b.width_mm)
        for b in stock.blanks_in_rack(desk.read())
    ]


def test_a_stock_is_added_with_a_code_of_its_own(desk, operator, cream):
    assert cream == "cream-6"
    added = material(desk, cream)
    assert (added.called, added.cost, added.turns, added.length_mm) == (
        "cream, 6 mm",
        142.5,
        "any",
        2440,
    )
    assert acts.add_stock(desk, operator, CREAM).data["stock"] == "cream-6-2"
    assert (
        acts.add_stock(desk, operator, {**CREAM, "name": "Off / White"}).data["stock"]
        == "off-white-6"
    )


@pytest.mark.parametrize("number", NONSENSE)
@pytest.mark.parametrize("field", ["thickness_mm", "length_mm", "width_mm"])
def test_a_stock_of_a_nonsense_size_is_refused(desk, operator, owner, cream, field, number):
    before = state(desk)
    with pytest.raises(Refused) as one:
        acts.add_stock(desk, operator, {**CREAM, field: number})
    with pytest.raises(Refused) as other:
        acts.change_stock(desk, owner, cream, {**CREAM, field: number})
    assert one.value.sentence == other.value.sentence and one.value.sentence.endswith(
        "type it again."
    )
    assert state(desk) == before


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
def test_a_stock_that_says_nonsense_is_refused(desk, operator, wrong):
    before = state(desk)
    with pytest.raises(Refused):
        acts.add_stock(desk, operator, {**CREAM, **wrong})
    assert state(desk) == before


def test_an_owner_changes_a_stock_and_sheets_in_the_rack_keep_their_size(desk, owner, cream):
    acts.add_blanks(desk, owner, cream, "2")
    acts.change_stock(
        desk, owner, cream, {**CREAM, "length_mm": "3050", "width_mm": "2050", "cost": "260"}
    )
    assert (material(desk, cream).length_mm, material(desk, cream).cost) == (3050, 260)
    assert rack(desk) == [(0, 1, "free", 2440, 1220)] * 2


def test_only_an_owner_changes_a_stock(desk, operator, cream):
    before = state(desk)
    with pytest.raises(NotAllowed):
        acts.change_stock(desk, operator, cream, {**CREAM, "cost": "1"})
    assert state(desk) == before


@pytest.mark.parametrize(
    "action, more",
    [
        (acts.add_stock, (CREAM,)),
        (acts.add_blanks, ("cream-6", "1")),
        (acts.add_offcut, ("cream-6", "300", "200")),
        (acts.forget_colour, ("#f2e8cf",)),
    ],
)
def test_an_assembler_leaves_the_rack_alone(desk, assembler, cream, action, more):
    before = state(desk)
    with pytest.raises(NotAllowed):
        action(desk, assembler, *more)
    assert state(desk) == before


def test_full_sheets_come_in(desk, operator, cream):
    answer = acts.add_blanks(desk, operator, cream, "3")
    assert answer.sentence == "3 sheets of cream, 6 mm came in." and len(answer.codes) == 3
    assert rack(desk) == [(0, 1, "free", 2440, 1220)] * 3


@act("planned on a sheet to buy, for a test")
def plan(act, known) -> Answer:
    code = act.new_code("blank")
    size = (known.length_mm, known.width_mm)
    stock.add_blank(act.db, code, known.id, *size, is_offcut=False, is_bought=False, state="booked")
    return Answer("Planned.", (code,))


def test_what_is_booked_stays_in_the_rack(desk, operator, cream):
    code = plan(desk, operator, material(desk, cream)).codes[0]
    before = state(desk)
    with pytest.raises(Conflict, match="booked"):
        acts.discard_blank(desk, operator, code)
    assert state(desk) == before


def test_sheets_that_were_planned_on_are_the_first_to_come_in(desk, operator, cream):
    plan(desk, operator, material(desk, cream))
    answer = acts.add_blanks(desk, operator, cream, "2")
    assert (
        answer.sentence == "2 sheets of cream, 6 mm came in: 1 of them for sheets that are planned."
    )
    assert sorted(rack(desk)) == [(0, 1, "booked", 2440, 1220), (0, 1, "free", 2440, 1220)]


@pytest.mark.parametrize("count", [*NONSENSE, "1.5", "201"])
def test_a_nonsense_count_of_sheets_is_refused(desk, operator, cream, count):
    before = state(desk)
    with pytest.raises(Refused):
        acts.add_blanks(desk, operator, cream, count)
    assert state(desk) == before


def test_an_offcut_gets_a_code_to_label(desk, operator, cream):
    answer = acts.add_offcut(desk, operator, cream, "610", " 300,5 ")
    assert rack(desk) == [(1, 1, "free", 610, 300.5)]
    assert stock.blank_by_code(desk.read(), answer.codes[0]).is_offcut


@pytest.mark.parametrize(
    "size", [("300", bad) for bad in NONSENSE] + [("2441", "100"), ("1300", "1300")]
)
def test_an_offcut_of_a_nonsense_size_or_larger_than_its_sheet_is_refused(
    desk, operator, cream, size
):
    before = state(desk)
    for length, width in (size, size[::-1]):
        with pytest.raises(Refused):
            acts.add_offcut(desk, operator, cream, length, width)
    assert state(desk) == before


def test_an_unknown_stock_or_blank_is_named_as_such(desk, operator, owner, cream):
    before = state(desk)
    with pytest.raises(NotFound, match="cream-6"):
        acts.add_blanks(desk, operator, "plum-6", "1")
    with pytest.raises(NotFound):
        acts.add_offcut(desk, operator, "plum-6", "300", "200")
    with pytest.raises(NotFound):
        acts.change_stock(desk, owner, "plum-6", CREAM)
    with pytest.raises(NotFound):
        acts.discard_blank(desk, operator, "40729153")
    assert state(desk) == before


def test_an_offcut_that_is_thrown_away_leaves_the_rack_and_undo_brings_it_back(
    desk, operator, cream
):
    code = acts.add_offcut(desk, operator, cream, "610", "300").codes[0]
    gone = acts.discard_blank(desk, operator, code)
    assert rack(desk) == []
    assert "already" in acts.discard_blank(desk, operator, code).sentence
    undo(desk, operator, gone.act)
    assert rack(desk) == [(1, 1, "free", 610, 300)]


def test_a_second_copy_of_a_request_brings_in_no_second_sheet(desk, operator, cream):
    first = acts.add_blanks(desk, operator, cream, "1", key="same")
    assert acts.add_blanks(desk, operator, cream, "1", key="same") == first
    assert len(rack(desk)) == 1


# With a job ----------------------------------------------------------------------------------------------------------


def ell(turn: float) -> Outline:
    shape = Outline((((0, 0), (120, 0), (120, 40), (40, 40), (40, 90), (0, 90)),))
    return shape.turned(turn).at_origin()


def taken_in(desk, operator, cream):
    """One board with an L on it, straight, at a right angle and upside down; all of one stock."""
    board = Outline((((0, 0), (800, 0), (800, 200), (0, 200)),))
    shapes = [board, ell(0).moved(20, 20), ell(90).moved(300, 20), ell(180).moved(500, 20)]
    drawing = Drawing(
        tuple(DrawnOutline(s, "#f2e8cf", None, None, n) for n, s in enumerate(shapes)), 800, 200, ()
    )
    read = drawings.ReadDrawing("0" * 64, "ells.svg", b"", drawing)
    drawings.keep_drawing(desk, read)
    order = Order("Harbour", "Ells", "2026-12-01", 1, {"#f2e8cf": material(desk, cream).id})
    return intakes.take_in(desk, operator, drawings.proposal(desk, [read]), order)


def ells(desk) -> list[int]:
    parts = jobs.parts_of(desk.read(), 1)
    return [part.family for part in parts if part.level == 1]


def test_shapes_that_may_no_longer_be_turned_are_no_longer_interchangeable(
    desk, operator, owner, cream
):
    taken_in(desk, operator, cream)
    assert len(set(ells(desk))) == 1
    acts.change_stock(desk, owner, cream, {**CREAM, "turns": "180"})
    straight, right, upside_down = ells(desk)
    assert straight == upside_down != right
    acts.change_stock(desk, owner, cream, {**CREAM, "turns": "none"})
    assert len(set(ells(desk))) == 3
    assert replay.differences(desk.read()) == []


def test_a_colour_is_forgotten(desk, operator, cream):
    taken_in(desk, operator, cream)
    assert stock.remembered_colours(desk.read()) == {1: ["#f2e8cf"]}
    acts.forget_colour(desk, operator, "#f2e8cf")
    assert stock.remembered_colours(desk.read()) == {}
    with pytest.raises(Conflict):
        acts.forget_colour(desk, operator, "#f2e8cf")


def test_a_code_is_made_of_the_name_and_unlike_all_others():
    # No source outside: the form 'cream-6' is the design's own (its section 7).
    assert rules.code_for("Pale Grey", 6.0, set()) == "pale-grey-6"
    assert rules.code_for("cream", 4.5, {"cream-4.5", "cream-4.5-2"}) == "cream-4.5-3"
