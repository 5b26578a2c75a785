"""The whole run through the pages alone, as the three people: from a new database and a drawing to a packed sign.

The label's QR is read by zxing-cpp, from the PDF as a printer of 203 dpi would set it.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect
from walk_for_tests import LETTERS, Walk

from shopfloor.store import replay

pytestmark = pytest.mark.browser

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="720mm" height="300mm" viewBox="0 0 720 300">
<rect width="720" height="300" fill="#8c2f39"><title>board</title></rect>
<rect x="40" y="40" width="640" height="220" fill="#f2e8cf"><title>panel</title></rect>
{letters}</svg>""".format(
    letters="".join(
        f'<path fill="#8c2f39" d="M{80 + 96 * at} 100{strokes}"><title>{name}</title></path>'
        for at, (name, strokes) in enumerate(LETTERS.items())
    )
)


def test_from_a_drawing_to_a_packed_sign_as_the_three_people(walk):
    walk.first_visit()
    walk.settle()
    walk.add("Ines", "operator")
    walk.add("Milo", "assembler")
    walk.hand_to("Ines")
    walk.take_in(DRAWING, "8 parts on 3 levels")
    cut_the_first_sheets(walk)
    cut_the_recut(walk)
    walk.hand_to("Milo")
    build_both_levels(walk)
    finish_the_sign(walk)
    walk.hand_to("Owner")
    take_the_hand_over_back(walk)
    all_is_accounted_for(walk)


def cut_the_first_sheets(walk: Walk) -> None:
    page = walk.page
    page.locator(".sheet-chips a", has_text="S-201").click()
    labelled = walk.follow_a_label()
    page.locator(".piece-page .facts a", has_text="S-201").click()
    walk.start_and_take_off()
    walk.tap_lost("E")
    walk.press("1 lost: mark the other 6 cut")
    expect(page.locator(".verdict")).to_have_text("6 good, 1 lost")
    page.goto(f"{walk.address}/P/{labelled}")
    expect(page.locator(".piece-next .verdict")).to_have_text(re.compile("^(Ready|Lost)"))
    walk.open_sheet("S-202")
    walk.start_and_take_off()
    walk.press("The piece is good: mark it cut")
    expect(page.locator(".verdict")).to_have_text("1 good")


def cut_the_recut(walk: Walk) -> None:
    page = walk.page
    recut = walk.nest_the_recut()
    expect(page.locator(".sheet-page")).to_contain_text("offcut")
    walk.start_and_take_off()
    walk.press("The piece is good: mark it cut")
    walk.to("Floor")
    expect(page.locator(".tile path.cut")).to_have_count(1)
    walk.trim(recut)


def build_both_levels(walk: Walk) -> None:
    page = walk.page
    walk.go_to_the_bench()
    walk.stands_large("Ready to set out level 1")
    walk.lay_out(by_tile=1)
    walk.glue(level=1)
    walk.expect_shut("Set out level 2", by="cures")
    walk.wait_until_two_seconds_are_left()
    walk.clock.forward(seconds=2)
    expect(page.locator(".bench-next .verdict")).to_contain_text(
        "Ready to set out level 2", timeout=9_000
    )
    walk.lay_out(by_tile=3)
    walk.glue(level=2)
    walk.expect_shut("Clean", by="cure")
    walk.clock.forward(hours=24)
    expect(page.get_by_role("heading", name="Who is here?")).to_be_visible(
        timeout=9_000
    )  # idle too long: ask again
    walk.sign_in("Milo")


def finish_the_sign(walk: Walk) -> None:
    walk.go_to_the_bench()
    walk.stands_large("Ready to clean")
    walk.finish("Cleaned", "Ready to polish")
    walk.finish("Polished", "Ready to inspect")
    walk.finish("Inspected: all OK", "Ready to pack")
    walk.finish("Packed", "Packed")
    walk.page.get_by_label("Who took it").fill("Peg of Chandler's")
    walk.finish("Handed over", "Handed over")


def take_the_hand_over_back(walk: Walk) -> None:
    page = walk.page
    walk.to("Office")
    page.get_by_role("link", name=re.compile("^Ledger")).click()
    expect(page.locator(".act-row").first).to_contain_text("Milo")
    page.locator(".act-row").first.get_by_role("button", name="Undo").click()
    walk.says("Undone")
    walk.to("Floor")
    expect(page.locator(".tile .verdict")).to_have_text("Packed")
    expect(page.locator(".tile path.fixed")).to_have_count(8)
    walk.to("Office")
    walk.press("Check the ledger")
    walk.says("act")


def all_is_accounted_for(walk: Walk) -> None:
    db = walk.shop.read()
    assert replay.differences(db) == []
    states = db.execute(
        "SELECT state, count(*) FROM piece GROUP BY state ORDER BY state"
    ).fetchall()
    assert [tuple(row) for row in states] == [("fixed", 8), ("lost", 1)]
    assert db.execute("SELECT state FROM sign").fetchone()[0] == "packed"
