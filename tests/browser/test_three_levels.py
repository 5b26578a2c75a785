"""An assembler builds a sign of three levels from loose pieces, drops one letter, and finds its recut next day.

All that the assembler does goes through the pages of one tablet; the operator at the router works beside, by the same actions.
"""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest
from playwright.sync_api import expect
from walk_for_tests import LETTERS, Walk

from shopfloor.actions import nests, pieces, sheets
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import jobs, people, replay
from shopfloor.store import sheets as sheet_store

pytestmark = pytest.mark.browser

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="760mm" height="340mm" viewBox="0 0 760 340">
<rect width="760" height="340" fill="#8c2f39"><title>board</title></rect>
<rect x="20" y="20" width="720" height="300" fill="#f2e8cf"><title>panel</title></rect>
<rect x="50" y="50" width="660" height="240" fill="#33658a"><title>plate</title></rect>
{letters}</svg>""".format(
    letters="".join(
        f'<path fill="#f2e8cf" d="M{100 + 96 * at} 120{strokes}"><title>{name}</title></path>'
        for at, (name, strokes) in enumerate(LETTERS.items())
    )
)
DROPPED = "T"


def test_a_sign_of_three_levels_with_a_letter_that_is_dropped(walk):
    walk.first_visit()
    walk.settle()
    walk.add("Ines", "operator")
    walk.add("Milo", "assembler")
    walk.hand_to("Ines")
    walk.take_in(DRAWING, "9 parts on 4 levels")
    cut_everything(walk)
    walk.hand_to("Milo")
    pick_the_pieces(walk)
    for level in (1, 2):
        build_a_plate(walk, level)
    lay_out_the_letters(walk)
    drop_a_letter(walk)
    glue_the_others(walk)
    recut = cut_everything(walk, a_recut=True)
    next_day(walk)
    find_the_recut(walk, recut)
    glue_the_last_one(walk)
    finish_and_hand_over(walk)
    all_is_accounted_for(walk)


# The operator, beside --------------------------------------------------------------------------------------------------


def cut_everything(walk: Walk, *, a_recut: bool = False) -> str:
    """Every planned sheet is cut, every piece is good and trimmed. Gives the code of the last piece of the letter."""
    shop = walk.shop
    ines = people.by_named(shop.read(), "Ines", "router")
    if a_recut:
        for stock in {
            row["stock"]
            for row in shop.read().execute("SELECT stock FROM piece WHERE state = 'waiting'")
        }:
            nests.plan(Caller(shop, ines), stock)
    for row in sheet_store.live_rows(shop.read()):
        sheets.start(Caller(shop, ines), row.code)
        sheets.finish(Caller(shop, ines), row.code)
        here = [
            piece.code
            for piece in sheet_store.on_sheet(shop.read(), row.id)
            if piece.state == "nested"
        ]
        sheets.mark_rest_cut(Caller(shop, ines), row.code, here)
    tabbed = [
        row["code"] for row in shop.read().execute("SELECT code FROM piece WHERE state = 'cut'")
    ]
    if tabbed:
        pieces.mark(Caller(shop, ines), tabbed, "trimmed")
    return code_of(walk, DROPPED)


def code_of(walk: Walk, name: str) -> str:
    sign = walk.shop.read().execute("SELECT id FROM sign").fetchone()["id"]
    return next(part.code for part in jobs.parts_of(walk.shop.read(), sign) if part.name == name)


# The assembler ---------------------------------------------------------------------------------------------------------


def scan(walk: Walk, code: str) -> None:
    expect(walk.page.locator("[data-scan]")).to_be_focused()
    walk.page.keyboard.type(code + "\n")


def pick_the_pieces(walk: Walk) -> None:
    page = walk.page
    walk.go_to_the_bench()
    page.get_by_role("link", name="Pick list").click()
    expect(page.locator(".pick-missing")).to_contain_text(
        "Nothing is missing. 9 of 9 still to pick"
    )
    for count, name in enumerate(["board", "panel", "plate", *LETTERS], start=1):
        scan(walk, code_of(walk, name))
        expect(page.locator(".pick-here")).to_contain_text(f"'{name}'")
        expect(page.locator("#pick .stamp")).to_have_text(f"{count} of 9 picked")
    page.get_by_role("link", name="To the bench").click()


def build_a_plate(walk: Walk, level: int) -> None:
    """A level of one part: set out, glued, cured."""
    walk.stands_large(f"Ready to set out level {level}")
    walk.press("OK")
    walk.glue(level)
    next_day(walk)
    walk.go_to_the_bench()


def next_day(walk: Walk) -> None:
    walk.clock.forward(hours=24)
    expect(walk.page.get_by_role("heading", name="Who is here?")).to_be_visible(
        timeout=15_000
    )  # idle too long: ask again
    walk.sign_in("Milo")


def lay_out_the_letters(walk: Walk) -> None:
    """Four by a tap, the fifth measured; the sixth is still in the hand."""
    page = walk.page
    walk.stands_large("Ready to set out level 3")
    for name in list(LETTERS)[:4]:
        page.get_by_role("button", name=re.compile(rf"^\d+ {name}: left")).click()
        expect(page.get_by_role("button", name=re.compile(rf"^\d+ {name}: .*, OK"))).to_be_visible()
    page.get_by_role("link", name=re.compile("Measure.*'?E'?")).click()
    page.get_by_label("Left edge").fill("490")  # by hand: 100 + 4 × 96 = 484 mm from the left edge
    page.locator("button[form=measure]").click()
    walk.says("6.0 mm too far right: move it left")
    page.get_by_label("Left edge").fill("484.5")
    page.locator("button[form=measure]").click()
    walk.says("OK: 0.5 mm off")
    expect(page.locator(".verdict + .reason")).to_have_text("5 of 6 set out.")


def drop_a_letter(walk: Walk) -> None:
    page = walk.page
    page.get_by_role("link", name="Dropped, scratched or missing?").click()
    walk.stands_large("Which one?")
    page.locator(f".bench-drawing a.piece[aria-label*='{DROPPED}']").last.click()
    walk.stands_large(f"'{DROPPED}'")
    walk.press("Lost: dropped at the bench")
    walk.says("is queued with tabs")
    expect(page.locator(".bench-drawing path.waiting")).to_have_count(1)


def glue_the_others(walk: Walk) -> None:
    page = walk.page
    page.get_by_role("link", name="Glue the 5 that are set out, the rest later").click()
    for label, figure in (("Temperature, °C", "23"), ("Humidity, %", "45")):
        page.get_by_label(label).fill(figure)
    walk.press("Glued: start the cure")
    walk.says("Glued: 5 of 6 parts of level 3 of J-1001 A.")
    walk.stands_large("Curing until")


def find_the_recut(walk: Walk, recut: str) -> None:
    page = walk.page
    walk.to("Bench")
    page.locator(".bench-ready .tile").first.click()
    page.get_by_role("link", name="Pick list").click()
    scan(walk, recut)
    expect(page.locator(".pick-here")).to_contain_text(f"'{DROPPED}'")
    expect(page.locator(".pick-missing")).to_contain_text("Everything is here")
    page.get_by_role("link", name="To the bench").click()
    walk.stands_large("Ready to set out level 3")
    page.locator("[data-scan]").focus()
    scan(walk, recut)
    walk.says(": OK.")


def glue_the_last_one(walk: Walk) -> None:
    walk.stands_large("Ready to glue level 3")
    for label, figure in (("Temperature, °C", "23"), ("Humidity, %", "45")):
        walk.page.get_by_label(label).fill(figure)
    walk.press("Glued: start the cure")
    walk.stands_large("Curing until")
    next_day(walk)
    walk.go_to_the_bench()


def finish_and_hand_over(walk: Walk) -> None:
    page = walk.page
    walk.stands_large("Ready to clean")
    first = page.locator(
        ".checks button"
    ).first  # one item by hand; the large button takes the rest
    first.click()
    expect(page.locator(".checks .check.is-right")).to_have_count(1)
    walk.finish("Cleaned", "Ready to polish")
    walk.finish("Polished", "Ready to inspect")
    walk.finish("Inspected: all OK", "Ready to pack")
    walk.finish("Packed", "Packed")
    page.get_by_label("Who took it").fill("Nan of the chandlery")
    walk.finish("Handed over", "Handed over")
    told = page.request.get(
        walk.address + page.get_by_role("link", name="Record").get_attribute("href")
    )
    record = pypdfium2.PdfDocument(io.BytesIO(told.body()))
    assert len(record) == 1
    text = " ".join(record[0].get_textpage().get_text_range().split())
    assert "Nan of the chandlery" in text and "dropped at the bench" in text


def all_is_accounted_for(walk: Walk) -> None:
    db = walk.shop.read()
    assert replay.differences(db) == []
    states = db.execute(
        "SELECT state, count(*) FROM piece GROUP BY state ORDER BY state"
    ).fetchall()
    assert [tuple(row) for row in states] == [("fixed", 9), ("lost", 1)]
    assert db.execute("SELECT count(*) FROM glue_up").fetchone()[0] == 4
    assert db.execute("SELECT count(*) FROM lying").fetchone()[0] == 0
