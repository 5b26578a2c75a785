"""What may not be done, and what a find or a reading changes by itself: rules that mutations of the code slipped past."""

from __future__ import annotations

import pytest

from shopfloor.actions import (
    bench,
    climate,
    gluing,
    labels,
    pieces,
    placement,
    sheets,
    signs,
    stock,
)
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.errors import Conflict, Refused, ShopError
from shopfloor.store import pieces as piece_store
from shopfloor.store import replay


def by_owner(bench_shop) -> Caller:
    return Caller(bench_shop.shop, bench_shop.owner)


def state_of(bench_shop, name: str) -> str:
    return bench_shop.piece(name).state


def test_a_sign_that_is_handed_over_is_not_cancelled(bench_shop):
    with bench_shop.shop.database.write() as db:
        db.execute("INSERT INTO temp.open_act VALUES (1)")
        db.execute("UPDATE sign SET state = 'handed over'")
        db.execute("DELETE FROM temp.open_act")
    before = [state_of(bench_shop, name) for name in ("P", "Q")]
    with pytest.raises(Conflict):
        signs.cancel(by_owner(bench_shop), bench_shop.sign, "nobody wants it")
    assert bench_shop.at().state == "handed over"
    assert [state_of(bench_shop, name) for name in ("P", "Q")] == before


def test_a_letter_that_is_not_in_hand_is_not_measured(bench_shop):
    setting = bench_shop.at().steps[0]
    pieces.mark(by_owner(bench_shop), [bench_shop.piece("P").code], "lost")
    with pytest.raises(Conflict):
        placement.measure(by_owner(bench_shop), setting.id, bench_shop.parts["P"], 20.0, None)
    assert bench_shop.row("SELECT count(*) AS n FROM measured_place")["n"] == 0


def test_a_glue_up_of_nothing_is_refused(bench_shop):
    owner, (setting, glue) = by_owner(bench_shop), bench_shop.at().steps[:2]
    bench.set_out_rest(owner, setting.id, setting.parts)
    with pytest.raises(Refused):
        gluing.glue_up(owner, [glue.id], bench_shop.cement, "B7", 20.0, 45.0, parts=[])
    assert bench_shop.row("SELECT count(*) AS n FROM glue_up")["n"] == 0


def test_a_sheet_that_was_cut_is_not_taken_out_of_the_rack(cutting):
    cutting.take_in(2)
    row, sheet = (
        cutting.shop.read()
        .execute("SELECT b.code, s.code FROM sheet s JOIN blank b ON b.id = s.blank")
        .fetchone()
    )
    sheets.start(Caller(cutting.shop, cutting.by), sheet)
    with pytest.raises(Conflict, match="has been cut"):
        stock.discard_blank(Caller(cutting.shop, cutting.by), row)
    assert cutting.count(f"SELECT state FROM blank WHERE code = '{row}'") == "used"


def test_no_label_is_printed_for_pieces_that_are_gone(cutting):
    caller = Caller(cutting.shop, cutting.by)
    cutting.take_in(3)
    number, sheet = (
        cutting.shop.read()
        .execute(
            "SELECT s.number, s.code FROM sheet s JOIN piece p ON p.sheet = s.id GROUP BY s.id ORDER BY count(*) DESC"
        )
        .fetchone()
    )
    codes = cutting.codes(sheet)
    sheets.start(caller, sheet)
    sheets.mark_rest_cut(caller, sheet, codes)
    assert labels.labels_of(cutting.shop, number, "a4-3x8")[1] == len(codes)
    pieces.mark(caller, codes[:1], "lost")
    assert labels.labels_of(cutting.shop, number, "a4-3x8")[1] == len(codes) - 1
    pieces.mark(caller, codes[1:], "damaged")
    with pytest.raises(ShopError):
        labels.labels_of(cutting.shop, number, "a4-3x8")


def test_a_spare_that_was_lost_and_found_is_a_spare_again(bench_shop):
    owner, code = by_owner(bench_shop), bench_shop.piece("X").code
    signs.cancel(owner, bench_shop.sign, "nobody wants it")
    pieces.mark(owner, [code], "lost")
    assert bench_shop.row("SELECT count(*) AS n FROM piece WHERE attempt > 1")["n"] == 0
    pieces.mark(owner, [code], "found")
    found = piece_store.by_code(bench_shop.shop.read(), code)
    assert (found.state, found.part) == ("ready", None)
    assert replay.differences(bench_shop.shop.read()) == []


def test_undo_that_first_names_the_person_and_the_act(bench_shop):
    owner, code = by_owner(bench_shop), bench_shop.piece("P").code
    lost = pieces.mark(owner, [code], "lost")
    found = pieces.mark(Caller(bench_shop.shop, bench_shop.assembler), [code], "found")
    with pytest.raises(Conflict) as refusal:
        undo(owner, lost.act)
    assert "Asa" in refusal.value.sentence and found.sentence in refusal.value.sentence
    assert lost.sentence not in refusal.value.sentence


def test_a_cure_moves_with_a_reading_that_no_event_tells_of(bench_shop):
    owner, (setting, glue) = by_owner(bench_shop), bench_shop.at().steps[:2]
    bench.set_out_rest(owner, setting.id, setting.parts)
    gluing.glue_up(owner, [glue.id], bench_shop.cement, "B7", 23.0, 45.0)
    before = bench_shop.row("SELECT cured_at FROM glue_up")["cured_at"]
    bench_shop.later(hours=1)
    climate.note_climate(owner, 17.0, 45.0)
    after = bench_shop.row("SELECT cured_at FROM glue_up")["cured_at"]
    assert after > before, "17 °C is colder than the data sheet's 23 °C"
    assert replay.differences(bench_shop.shop.read()) == []
