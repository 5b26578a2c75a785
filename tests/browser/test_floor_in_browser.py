"""The Floor, Scan and piece pages in Chromium: refreshed without flicker, scans as a scanner types, sizes for gloves."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

from shopfloor.actions import pieces as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import pieces, sheets

pytestmark = pytest.mark.browser


@pytest.fixture
def demo_shop(tablet, served, shop, operator, small_job):
    """The tablet with Ines signed in; opens a path of the shop."""
    sign_in(tablet, served, shop, operator)

    def visit(path: str):
        tablet.goto(served + path)
        return tablet

    yield visit
    assert tablet.faults == []


def test_the_floor_on_the_wall_shows_what_somebody_did_and_keeps_its_tiles(
    demo_shop, shop, owner, small_job
):
    page = demo_shop("/")
    kept = page.locator(f"#tile-{small_job['A']}").element_handle()
    acts.mark(
        Caller(shop, owner),
        [code for name, code in small_job.items() if name.startswith("B ")],
        "cut",
    )
    expect(page.locator(".tile").first).to_contain_text("Ready to set out level 1", timeout=9000)
    assert page.locator(".tile").first.get_attribute("id") == f"tile-{small_job['B']}"
    assert kept.evaluate("tile => tile.isConnected"), "the tile was moved, not made anew"
    with page.expect_response(re.compile("/floor/now"), timeout=9000) as asked:
        pass
    assert asked.value.status == 204, "it goes on asking, and nothing comes while nothing changes"


def test_a_scanner_that_types_faster_than_the_answers_come_is_heard_to_the_end(
    demo_shop, shop, small_job
):
    page = demo_shop("/scan?mark=cut")
    field = page.locator("[data-scan]")
    expect(field).to_be_focused()
    for name in ("A L", "A O", "B I"):
        page.keyboard.type(small_job[name])
        page.keyboard.press("Enter")
    expect(page.locator(".answer")).to_have_count(3)
    expect(page.locator(".answer").first).to_contain_text("'I' of J-1001 B is ready.")
    expect(field).to_be_focused()
    expect(field).to_have_value("")
    assert {
        pieces.by_code(shop.read(), small_job[name]).state for name in ("A L", "A O", "B I")
    } == {"ready"}


def test_a_mistyped_scan_stands_on_top_and_the_next_one_works(demo_shop, shop, small_job):
    page = demo_shop("/scan?mark=lost")
    page.keyboard.type("12345678\n")
    expect(page.locator(".answer.refused").first).to_contain_text("has a mistyped digit")
    expect(page.locator("[data-scan]")).to_have_value("")
    page.keyboard.type(small_job["A L"] + "\n")
    expect(page.locator(".answer").first).to_contain_text("is lost. Its recut")
    page.locator(".answer").first.get_by_role("button", name="Undo").click()
    expect(page.locator(".answer.undone")).to_contain_text("Undone:")
    expect(page.locator(".answer")).to_have_count(2)
    assert pieces.by_code(shop.read(), small_job["A L"]).state == "nested"


def test_a_piece_is_marked_and_the_mark_undone_in_place(demo_shop, shop, small_job):
    page = demo_shop(f"/P/{small_job['A L']}")
    page.get_by_role("button", name="Cut, good").click()
    expect(page.locator("#says")).to_contain_text("'L' of J-1001 A is ready.")
    expect(page.locator(".piece-next .verdict")).to_have_text("Ready")
    page.locator("#says").get_by_role("button", name="Undo").click()
    expect(page.locator("#says")).to_contain_text("Undone:")
    expect(page.locator(".piece-next .verdict")).to_contain_text("not cut yet")
    assert pieces.by_code(shop.read(), small_job["A L"]).state == "nested"


@pytest.mark.parametrize("way", TABLETS)
def test_gloves_can_hit_everything_and_axe_finds_no_fault(
    demo_shop, shop, owner, tablet, small_job, way
):
    acts.mark(Caller(shop, owner), [small_job["A L"]], "lost")
    tablet.set_viewport_size(TABLETS[way])
    sheet = sheets.live_rows(shop.read())[0].code
    lost, other = small_job["A L"], small_job["A O"]
    for path in ("/", f"/p/{lost}", f"/p/{other}", f"/scan?code={other}", f"/labels/sheet/{sheet}"):
        page = demo_shop(path)
        assert too_small(page) == [] and not runs_off(page), path
        faults = Axe().run(page).response["violations"]
        assert [(fault["id"], fault["nodes"][0]["html"][:120]) for fault in faults] == [], path
