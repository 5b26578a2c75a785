"""Which offcut a recut is cut from: the least waste, counted by hand, and before that a thickness that does not show."""

from __future__ import annotations

import pytest
from shop_for_tests import BLUE, CREAM, Cutting, box, grows_at_most, on_shelves

from shopfloor import nesting
from shopfloor.actions import cutters, cutting_setup, nests, setup_sheets
from shopfloor.actions import pieces as marks
from shopfloor.actions import sheets as acts
from shopfloor.actions import stock as stock_acts
from shopfloor.actions.cutting_setup import cutting_setup_of
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.codes import show
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.errors import Conflict
from shopfloor.domain.routing.nests import NestRules
from shopfloor.store import cutters as store
from shopfloor.store import pieces, replay, sheets, stock

GAP, MARGIN = (
    14.7,
    12.0,
)  # tool 6.35 mm + 2 (common practice) and a tool more, for tabs; edge margin
LONG, SHORT = 100, 60  # mm, of a letter


def sign_with(letters: int, seed: int = 0) -> Drawing:
    """A board with letters that are plain boxes of 100 × 60 mm."""
    long, wide = 640 + seed, 40 + 80 * -(-letters // 5)
    drawn = [DrawnOutline(box(0, 0, long, wide), BLUE, "board", None, 0)]
    for n in range(letters):
        place = box(20 + 120 * (n % 5), 20 + 80 * (n // 5), LONG, SHORT)
        drawn.append(DrawnOutline(place, CREAM, f"L{n}", None, n + 1))
    return Drawing(tuple(drawn), long, wide, ())


class Rack(Cutting):
    """A shop whose cream sheets are cut and closed, and what is left of them."""

    def cut_sign(self, letters: int, lost: int, seed: int = 0) -> tuple[str, str]:
        """Takes a sign in and cuts it, `lost` of its letters are lost; the codes of a recut and of the blank cut."""
        self.take_in(100 * seed + letters, drawing=sign_with(letters, seed), due="2026-12-11")
        return self.cut(self.sheet_of(CREAM), lost)

    def cut(self, sheet: str, lost: int) -> tuple[str | None, str]:
        acts.start(Caller(self.shop, self.by), sheet)
        recuts = [
            marks.mark(Caller(self.shop, self.by), [code], "lost").data["recuts"][0]
            for code in self.codes(sheet)[:lost]
        ]
        blank = next(row.blank_code for row in self.rows() if row.code == sheet)
        good = [code for code, state in self.states(sheet).items() if state == "nested"]
        if good:
            acts.mark_rest_cut(Caller(self.shop, self.by), sheet, good)
        else:
            acts.finish(Caller(self.shop, self.by), sheet)
            acts.close(Caller(self.shop, self.by), sheet)
        return (recuts[0] if recuts else None), blank

    @property
    def cream(self):
        return next(one for one in stock.all_stocks(self.shop.read()) if one.colour == CREAM)

    def offcut(self, long: float, wide: float) -> str:
        return stock_acts.add_offcut(
            Caller(self.shop, self.by), self.cream.code, str(long), str(wide)
        ).codes[0]

    def left_of(self, blank: str) -> str:
        """The offcut that is left of a blank."""
        return self.count(
            "SELECT b.code FROM blank b JOIN sheet s ON s.id = b.cut_from JOIN blank f ON f.id = s.blank "
            "WHERE f.code = ?",
            blank,
        )

    def nest(self, recut: str):
        """Nests a recut on the offcut that is best; the answer and that blank's code."""
        answer = nests.plan(
            Caller(self.shop, self.by), self.cream.id, codes=[recut], on_offcuts=True
        )
        (code,) = answer.data["sheets"]
        return answer, code, next(row.blank_code for row in self.rows() if row.code == code)

    def measure(self, blank: str, mm: str) -> None:
        cutters.measure_blank(Caller(self.shop, self.by), blank, mm)

    def flag(self, blank: str, recut: str) -> str | None:
        db = self.shop.read()
        again = [pieces.by_code(db, recut).id]
        flag = cutting_setup.flag_for(
            db, stock.blank_by_code(db, blank).id, again, cutting_setup_of(db, self.cream)
        )
        return flag and str(flag)


@pytest.fixture
def rack(shop, owner, plain_nests):
    return Rack(shop, owner)


def waste_by_hand(long: float, wide: float) -> float:
    """mm² wasted when one letter is cut along the length, standing upright, and what is left is kept from 100 mm on."""
    assert wide - 2 * MARGIN >= LONG
    left = long - (MARGIN + SHORT + GAP)
    return long * wide - LONG * SHORT - (left * wide if min(left, wide) >= 100 else 0)


def test_of_several_offcuts_the_one_that_wastes_least_is_taken_and_the_answer_says_why(rack):
    recut, _ = rack.cut_sign(1, lost=1)
    sizes = {rack.offcut(*size): size for size in ((150, 150), (300, 150), (600, 400))}
    waste = {code: waste_by_hand(*size) for code, size in sizes.items()}
    assert list(waste.values()) == pytest.approx([16_500, 7_005, 28_680]), (
        "22,500 - 6,000; 86.7 × 150 or × 400 - 6,000"
    )
    answer, _, taken = rack.nest(recut)
    assert taken == min(waste, key=waste.get) and sizes[taken] == (300, 150), (
        "neither the smallest nor the largest"
    )
    assert f"Cut from {show(taken)}: 70 cm² wasted. The others waste more." in answer.sentence
    assert replay.differences(rack.shop.read()) == []


@pytest.mark.parametrize(
    ("lengths", "tried"),
    [
        ([200, 300], [200, 300]),
        ([200, 300, 400], [200, 300, 400]),
        ([200, 300, 400, 500], [200, 300, 500]),
    ],
)
def test_the_two_smallest_offcuts_and_the_largest_are_tried_in_the_time_of_one_nest(
    rack, monkeypatch, lengths, tried
):
    recut, blank = rack.cut_sign(1, lost=1)
    stock_acts.discard_blank(Caller(rack.shop, rack.by), rack.left_of(blank))
    for length in lengths:
        rack.offcut(length, 150)
    laid_out = []

    def nest(items, length_mm, width_mm, rules, **options):
        laid_out.append((length_mm, rules.seconds))
        return on_shelves(items, length_mm, width_mm, rules, **options)

    monkeypatch.setattr(nesting, "nest", nest)
    rack.nest(recut)
    share = NestRules().seconds / (len(tried) + 1)  # one is for a full sheet
    assert laid_out == [(length, share) for length in tried]


def test_what_fits_on_no_offcut_is_cut_from_a_full_sheet(rack):
    recut, blank = rack.cut_sign(1, lost=1)
    stock_acts.discard_blank(Caller(rack.shop, rack.by), rack.left_of(blank))
    rack.offcut(150, 80)  # 100 mm and two margins do not go into 80, nor 60 and two
    answer, _, taken = rack.nest(recut)
    assert (
        not stock.blank_by_code(rack.shop.read(), taken).is_offcut
        and "wastes" not in answer.sentence
    )


def test_a_sheet_goes_on_an_offcut_that_is_just_large_enough_and_on_none_smaller(rack):
    rack.take_in(drawing=sign_with(5))
    code, db = rack.sheet_of(CREAM), rack.shop.read()
    sheet = sheets.sheet_by_code(db, code)
    length, width = acts.least_blank(db, sheet, stock.blank(db, sheet.blank))
    for shorter, narrower in ((1, 0), (0, 1)):
        offcut = rack.offcut(length - shorter, width - narrower)
        with pytest.raises(Conflict, match="too small"):
            acts.swap_blank(Caller(rack.shop, rack.by), code, offcut)
    offcut = rack.offcut(length, width)
    acts.swap_blank(Caller(rack.shop, rack.by), code, offcut)
    assert next(row.blank_code for row in rack.rows() if row.code == code) == offcut


# Thickness. Cast sheet of 6 mm varies by ± (0.4 + 0.1 × 6) = 1.00 mm (ISO 7823-1), two sheets so by up to 2.00 mm. --------


def test_an_offcut_of_the_sheet_that_the_others_were_cut_from_is_preferred_though_it_wastes_more(
    rack,
):
    recut, blank = rack.cut_sign(3, lost=1)
    own, other = rack.left_of(blank), rack.offcut(300, 150)
    assert rack.flag(own, recut) is None
    assert rack.flag(other, recut) == (
        "This sheet may differ by up to 2.00 mm in thickness from 2 pieces of the sign; up to 0.3 mm does not show. "
        "Measure both sheets with a caliper and enter it in Stock, or take an offcut of the same sheet."
    )
    answer, sheet, taken = rack.nest(recut)
    assert taken == own
    assert (
        f"{show(other)} would waste only 70 cm², but its thickness may differ enough to see."
        in answer.sentence
    )
    assert not any(
        "thickness" in str(caution)
        for caution in setup_sheets.setup_sheet_of(rack.shop.read(), sheet).cautions
    )


def test_an_offcut_of_an_offcut_is_of_the_same_sheet_still(rack):
    recut, blank = rack.cut_sign(3, lost=1)
    rack.offcut(300, 150)
    _, sheet, first = rack.nest(recut)
    again, _ = rack.cut(sheet, lost=1)  # the recut is lost as well
    second = rack.left_of(first)
    assert first == rack.left_of(blank) != second
    assert rack.flag(second, again) is None
    assert rack.nest(again)[2] == second
    db = rack.shop.read()
    ids = {stock.blank_by_code(db, code).id: code for code in (blank, first, second)}
    assert {ids[store.lot_of(db, id, rack.cream).root] for id in ids} == {blank}


def test_where_only_another_sheet_is_left_it_is_taken_and_its_setup_sheet_warns(rack):
    recut, blank = rack.cut_sign(3, lost=1)
    stock_acts.discard_blank(Caller(rack.shop, rack.by), rack.left_of(blank))
    other = rack.offcut(300, 150)
    answer, sheet, taken = rack.nest(recut)
    assert taken == other and "Its thickness may differ enough to see" in answer.sentence
    warned = [
        str(caution)
        for caution in setup_sheets.setup_sheet_of(rack.shop.read(), sheet).cautions
        if "in thickness" in str(caution)
    ]
    assert warned == [str(rack.flag(other, recut))]
    rack.measure(blank, "6.0")
    rack.measure(other, "6.3")
    assert not [
        str(caution)
        for caution in setup_sheets.setup_sheet_of(rack.shop.read(), sheet).cautions
        if "in thickness" in str(caution)
    ]


@pytest.mark.parametrize(
    ("own", "other", "is_flagged"),
    [
        ("6.0", "6.3", False),
        ("6.0", "6.31", True),
        ("6.4", "6.1", False),
        (None, "6.0", True),
        ("6.0", None, True),
    ],
)
def test_another_sheet_will_do_only_where_both_are_measured_within_what_the_eye_forgives(
    rack, own, other, is_flagged
):
    recut, blank = rack.cut_sign(3, lost=1)
    small = rack.offcut(300, 150)
    for code, mm in ((blank, own), (small, other)):
        if mm:
            rack.measure(code, mm)
    flag = rack.flag(small, recut)
    assert (flag is not None) == is_flagged
    if flag and own and other:
        assert flag.startswith("This sheet differs by up to 0.31 mm in thickness from 2 pieces")
    elif flag:
        assert "by up to 1.00 mm" in flag, "one is known, the other may be 1.00 mm off: ISO 7823-1"
    assert (rack.nest(recut)[2] == small) == (not is_flagged)


def test_what_was_measured_on_a_full_sheet_counts_for_its_offcuts_until_they_are_measured(rack):
    recut, blank = rack.cut_sign(3, lost=1)
    stock_acts.discard_blank(
        Caller(rack.shop, rack.by), rack.left_of(blank)
    )  # the next sign would be cut from it
    _, sheet = rack.cut_sign(2, lost=0, seed=1)
    other = rack.left_of(sheet)
    rack.measure(blank, "6.0")
    assert "by up to 1.00 mm" in rack.flag(other, recut)
    rack.measure(sheet, "6.2")
    assert rack.flag(other, recut) is None
    rack.measure(other, "6.5")
    assert "differs by up to 0.50 mm" in rack.flag(other, recut), "its own figure goes first"


def test_a_first_attempt_and_pieces_of_other_levels_and_signs_are_not_compared(rack):
    rack.cut_sign(3, lost=0)
    recut, _ = rack.cut_sign(1, lost=1, seed=1)
    other = rack.offcut(300, 150)
    assert rack.flag(other, recut) is None, "its own sign has nothing else of cream"
    _, sheet, _ = rack.nest(recut)
    assert not any(
        "thickness" in str(caution)
        for caution in setup_sheets.setup_sheet_of(rack.shop.read(), sheet).cautions
    )


def test_ten_times_the_pieces_beside_it_take_no_longer_to_compare(rack):
    blanks = [rack.cut_sign(letters, lost=0, seed=letters)[1] for letters in (4, 40)]
    first = "SELECT p.code FROM piece p JOIN sheet s ON s.id = p.sheet JOIN blank b ON b.id = s.blank WHERE b.code = ?"
    few, many = (
        marks.mark(Caller(rack.shop, rack.by), [rack.count(first, blank)], "lost").data["recuts"][0]
        for blank in blanks
    )
    other = rack.offcut(300, 150)
    assert "39 pieces of the sign" in rack.flag(other, many)
    assert grows_at_most(
        10, lambda count: [rack.flag(other, few if count == 4 else many) for _ in range(30)], 4, 40
    )
