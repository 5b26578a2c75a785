"""The record as it is put together from what people did: on SQLite, by acts."""

import io
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from PIL import Image
from records_for_tests import record
from shop_for_tests import grows_at_most

from shopfloor.actions import finishing, pieces, records, settings, signs
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import Answer, Caller, command, undo
from shopfloor.domain.bench.records import sections
from shopfloor.domain.errors import Conflict, NotFound
from shopfloor.paper.records import print_record
from shopfloor.store import pieces as piece_store
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import plain, text

ZONE = ZoneInfo("UTC")


def made(levels):
    return records.record_of(levels.shop.read(), levels.code, levels.clock().astimezone(ZONE))


def said(levels) -> dict[str, tuple[str, ...]]:
    return {
        str(section.head): tuple(str(row) for row in section.rows)
        for section in sections(made(levels))
    }


def live(levels, number: int):
    return piece_store.of_sign(levels.shop.read(), levels.id)[number - 1]


def shown(code: str) -> str:
    return f"{code[:4]} {code[4:]}"


@command("measured and planned for a test")
def measure_and_plan(transaction, sign, step, part, piece):
    for across, at in ((3.0, "2026-11-25T15:00:00.000Z"), (0.4, "2026-11-25T15:01:00.000Z")):
        transaction.db.execute(
            """INSERT INTO measured_place (step, part, piece, across_mm, up_mm, allowed_mm, at, person)
               VALUES (?, ?, ?, ?, NULL, 1.0, ?, 1)""",
            (step, part, piece, across, at),
        )
    transaction.db.execute(
        "INSERT INTO fixing_plan VALUES (?, 5.0, 25.0, 4, 2, 'brick', 6.0)", (sign,)
    )
    transaction.db.execute("INSERT INTO site VALUES (?, -10.0, 35.0)", (sign,))
    return Answer(plain("Measured."))


def test_a_finished_sign_says_what_was_done_by_whom(levels, assembler):
    levels.build("")
    found = said(levels)
    assert found["Pieces"] == ("5 parts on 3 levels: 5 mounted.",)
    assert found["Glue-ups"][0].startswith(
        "25 Nov 2026 14:12, Milo: 2 pieces, Solvent cement, batch 7B, 23 °C, 45 % humidity; cure to 26 Nov 2026 14:12"
    )
    assert [row.split(":")[0] for row in found["Steps"]] == [
        str(step.called) for step in levels.sign.steps
    ]
    assert "Cure level 1: 26 Nov 2026 14:12" in found["Steps"], "it ran to its end: nobody is named"
    assert found["Steps"][-1] == "Hand over: 27 Nov 2026 14:12, Milo"
    assert found["Checked"][2] == "Inspect: " + "; ".join(levels.items("inspect")), (
        "in the order of the list"
    )
    assert "At the bench: Milo" in found["People"]
    assert made(levels).received[0] == "P. Harbourmaster"


def test_a_part_that_took_more_pieces_names_each_with_its_cause(levels, shop, operator):
    first = live(levels, 4)
    pieces.mark(Caller(shop, operator), [first.code], "lost", "dropped at the bench")
    recut = live(levels, 4)
    assert said(levels)["Pieces"] == (
        "5 parts on 3 levels: 4 ready and 1 waiting for a sheet. 1 piece lost or damaged.",
        f"No. 4 'X', recut 1 ({shown(recut.code)}): {shown(first.code)} lost (dropped at the bench)",
    )


def test_a_piece_that_was_found_again_is_not_spoiled(levels, shop, operator):
    first = live(levels, 4)
    pieces.mark(Caller(shop, operator), [first.code], "lost")
    pieces.mark(Caller(shop, operator), [first.code], "found")
    assert len(said(levels)["Pieces"]) == 1


def test_a_cure_that_was_opened_early_is_in_the_record_also_when_it_was_glued_again(
    levels, shop, owner, assembler
):
    levels.build("Cure level 1")
    opened = gluing_acts.open_early(
        Caller(shop, owner), levels.step("Cure level 1").id, "held by a clamp"
    )
    told = (
        "Cure level 1: 25 Nov 2026 14:12 instead of 26 Nov 2026 14:12, the owner: held by a clamp",
    )
    assert [
        row.replace(owner.name, "the owner") for row in said(levels)["Cures ended early"]
    ] == list(told)
    pieces.mark(Caller(shop, assembler), [live(levels, 2).code], "came off")
    assert levels.step("Cure level 1").opened_why is None
    assert len(said(levels)["Cures ended early"]) == 1
    with pytest.raises(Conflict, match="has done something since"):
        undo(Caller(shop, owner), opened.act)


def test_a_cure_whose_opening_was_undone_is_left_out(levels, shop, owner):
    levels.build("Cure level 1")
    opened = gluing_acts.open_early(
        Caller(shop, owner), levels.step("Cure level 1").id, "held by a clamp"
    )
    undo(Caller(shop, owner), opened.act)
    assert "Cures ended early" not in said(levels)


def test_the_last_measure_of_the_live_piece_counts(levels, shop, owner, assembler):
    laying, piece = levels.step("Lay out level 1"), live(levels, 2)
    measure_and_plan(Caller(shop, owner), levels.id, laying.id, piece.part, piece.id)
    found = said(levels)
    assert found["Positions measured"] == ("1 part measured, 1 within tolerance.",)
    assert found["Fixings"] == (
        "4 × 2 screws of 5 mm, 25 mm from the edges, on brick.",
        "Made for −10 to 35 °C on site.",
    )
    pieces.mark(Caller(shop, assembler), [piece.code], "damaged")
    assert "Positions measured" not in said(levels), "its recut is not measured yet"


def test_times_are_the_shops_own(levels, shop, owner):
    settings.change_settings(Caller(shop, owner), {"zone": "Europe/Helsinki"})  # UTC+2 in November
    levels.build("Cure level 1")
    record = records.record_of(shop.read(), levels.code, levels.clock())
    glue_up = next(part.rows for part in sections(record) if str(part.head) == "Glue-ups")[0]
    assert text(glue_up, Reader(zone="Europe/Helsinki")).startswith("25 Nov 2026 16:12")
    assert record.gluings[0].at.astimezone(ZoneInfo("Europe/Helsinki")).hour == 16


def test_the_newest_four_photos_are_printed(levels, shop, assembler):
    for number in range(6):
        file = io.BytesIO()
        Image.new("RGB", (50, 40 + number)).save(file, "JPEG")
        finishing.take_photo(Caller(shop, assembler), levels.id, file.getvalue(), f"photo {number}")
    found = made(levels)
    assert [photo.note for photo in found.photos] == ["photo 2", "photo 3", "photo 4", "photo 5"]
    assert found.more_photos == 2


def test_a_reopened_sign_says_so(levels, shop, owner):
    levels.build("")
    signs.reopen(Caller(shop, owner), levels.id, "a letter came loose")
    found = made(levels)
    assert found.state == "open" and found.received[0] == "P. Harbourmaster"
    assert found.made_at - found.received[1] == timedelta(0)
    assert said(levels)["Steps"][-1] == "Hand over: not done"


def test_there_is_no_record_of_no_sign(levels):
    with pytest.raises(NotFound):
        records.record_of(levels.shop.read(), "00000000", levels.clock())


def test_ten_times_the_letters_take_not_much_more_than_ten_times_as_long():
    made = {count: record(count) for count in (40, 400)}
    assert grows_at_most(16, lambda count: print_record(made[count]), 40, 400)
