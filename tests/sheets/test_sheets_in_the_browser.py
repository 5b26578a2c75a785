"""A sheet in Chromium: quick taps, nothing that moves under a finger, sizes for gloves. The client is the server."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect, sync_playwright

from shopfloor.actions import sheets as acts

pytestmark = pytest.mark.browser

SHOP = "https://shop.test"
FLAGS = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking".split()
KEPT = ("hx-request", "content-type", "hx-target", "hx-current-url", "accept")
CREAM = "#f2e8cf"
TABLETS = [{"width": 1280, "height": 800}, {"width": 800, "height": 1280}]


@pytest.fixture
def page(as_operator):
    def answer(route) -> None:
        asked = route.request
        url = urlsplit(asked.url)
        headers = {name: value for name, value in asked.headers.items() if name in KEPT}
        told = as_operator.open(
            url.path, query_string=url.query, method=asked.method, data=asked.post_data_buffer, headers=headers
        )
        route.fulfill(status=told.status_code, headers=dict(told.headers), body=told.data)

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = browser.new_page(viewport=TABLETS[0], has_touch=True)
        page.route("**/*", answer)
        page.problems = []
        page.on("console", lambda said: page.problems.append(said.text) if said.type == "error" else None)
        yield page
        browser.close()


@pytest.fixture
def off(cutting, desk, operator):
    """A sheet of sixty letters, off the table."""
    cutting.take_in(60)
    code = cutting.sheet_of(CREAM)
    acts.start(desk, operator, code)
    acts.finish(desk, operator, code)
    return code


def test_three_taps_in_quick_succession_and_the_large_button_close_a_sheet(page, cutting, off):
    page.goto(f"{SHOP}/sheets/{off}")
    for code in cutting.codes(off)[3:6]:
        page.locator(f"#piece-{code}").tap(no_wait_after=True)
    expect(page.locator("button.next")).to_have_text("3 lost: mark the other 57 cut")
    page.locator("button.next").tap()
    expect(page.locator(".verdict")).to_have_text("57 good, 3 lost")
    assert list(cutting.states(off).values()).count("ready") == 57
    assert page.problems == []


def test_a_double_tap_is_one_tap(page, cutting, off):
    page.goto(f"{SHOP}/sheets/{off}")
    piece = page.locator(f"#piece-{cutting.codes(off)[0]}")
    box = piece.bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.dblclick(*middle)
    expect(page.locator("button.next")).to_have_text("1 lost: mark the other 59 cut")
    page.wait_for_timeout(300)
    assert list(cutting.states(off).values()).count("lost") == 1
    assert cutting.count("SELECT count(*) FROM piece WHERE attempt = 2") == 1
    assert page.problems == []


@pytest.mark.parametrize("tablet", TABLETS, ids=["flat", "upright"])
def test_nothing_moves_under_the_finger_at_the_first_tap(page, cutting, off, tablet):
    page.set_viewport_size(tablet)
    page.goto(f"{SHOP}/sheets/{off}")
    before = page.locator("button.next").bounding_box(), page.locator("svg.blank").bounding_box()
    page.locator(f"#piece-{cutting.codes(off)[0]}").tap()
    expect(page.locator("#gone li")).to_have_count(1)
    after = page.locator("button.next").bounding_box(), page.locator("svg.blank").bounding_box()
    assert after == before


@pytest.mark.parametrize("tablet", TABLETS, ids=["flat", "upright"])
def test_everything_to_press_has_a_gloved_fingers_size_and_the_next_thing_is_the_largest(page, cutting, off, tablet):
    page.set_viewport_size(tablet)
    page.goto(f"{SHOP}/sheets/{off}")
    page.locator(f"#piece-{cutting.codes(off)[0]}").tap()
    expect(page.locator("#gone li")).to_have_count(1)
    for path in (None, "/sheets", "/recuts", f"/sheets/{off}/abandon", "/sheets/pool/2"):
        if path:
            page.goto(f"{SHOP}{path}")
        sizes = [one.bounding_box() for one in page.locator("#page :is(a, button, label):visible").all()]
        small = [box for box in sizes if box["height"] < 48 or box["width"] < 48]
        assert sizes and small == [], path
        button = page.locator("#page .next").first.bounding_box()
        assert button["width"] * button["height"] == max(
            box["width"] * box["height"] for box in [page.locator("#page .next").first.bounding_box()]
            + [one.bounding_box() for one in page.locator("#page :is(.act, button):visible").all()]
        )  # fmt: skip
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_picture_refreshes_itself_when_another_tablet_marks_a_piece(page, cutting, off, desk, owner):
    page.goto(f"{SHOP}/sheets/{off}")
    acts.tap(desk, owner, off, cutting.codes(off)[9], "nested")
    expect(page.locator("button.next")).to_have_text("1 lost: mark the other 59 cut", timeout=8000)
    expect(page.locator(".told")).to_contain_text("off the table")  # what this person did last, not the other
