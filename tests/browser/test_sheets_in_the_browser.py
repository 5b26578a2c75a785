"""A sheet in Chromium: quick taps, nothing that moves under a finger, sizes for gloves. The client is the server."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from shop_for_tests import CREAM, SHOP, TABLETS, answered_by, runs_off, too_small

from shopfloor.actions import sheets as acts
from shopfloor.actions.unit_of_work import Caller

pytestmark = pytest.mark.browser


@pytest.fixture
def page(as_operator):
    """A tablet at the router; what the browser asks, the signed-in client answers."""
    with answered_by(as_operator, has_touch=True) as page:
        yield page


@pytest.fixture
def off(cutting, shop, operator):
    """A sheet of sixty letters, off the table."""
    cutting.take_in(60)
    code = cutting.sheet_of(CREAM)
    acts.start(Caller(shop, operator), code)
    acts.finish(Caller(shop, operator), code)
    return code


def test_three_taps_in_quick_succession_and_the_large_button_close_a_sheet(page, cutting, off):
    page.goto(f"{SHOP}/sheets/{off}")
    for code in cutting.codes(off)[3:6]:
        page.locator(f"#piece-{code}").tap(no_wait_after=True)
    expect(page.locator("button.next")).to_have_text("3 lost: mark the other 57 cut")
    page.locator("button.next").tap()
    expect(page.locator(".verdict")).to_have_text("57 good, 3 lost")
    assert list(cutting.states(off).values()).count("ready") == 57
    assert page.faults == []


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
    assert page.faults == []


@pytest.mark.parametrize("way", TABLETS)
def test_nothing_moves_under_the_finger_at_the_first_tap(page, cutting, off, way):
    page.set_viewport_size(TABLETS[way])
    page.goto(f"{SHOP}/sheets/{off}")
    before = page.locator("button.next").bounding_box(), page.locator("svg.blank").bounding_box()
    page.locator(f"#piece-{cutting.codes(off)[0]}").tap()
    expect(page.locator("#gone li")).to_have_count(1)
    after = page.locator("button.next").bounding_box(), page.locator("svg.blank").bounding_box()
    assert after == before


@pytest.mark.parametrize("way", TABLETS)
def test_everything_to_press_has_a_gloved_fingers_size_and_the_next_thing_is_the_largest(
    page, cutting, off, way
):
    page.set_viewport_size(TABLETS[way])
    page.goto(f"{SHOP}/sheets/{off}")
    page.locator(f"#piece-{cutting.codes(off)[0]}").tap()
    expect(page.locator("#gone li")).to_have_count(1)
    for path in (None, "/sheets", "/recuts", f"/sheets/{off}/abandon", "/sheets/pool/2"):
        if path:
            page.goto(f"{SHOP}{path}")
        assert too_small(page) == [] and not runs_off(page), path
        button = page.locator("#page .next").first.bounding_box()
        assert button["width"] * button["height"] == max(
            box["width"] * box["height"]
            for box in [page.locator("#page .next").first.bounding_box()]
            + [one.bounding_box() for one in page.locator("#page :is(.act, button):visible").all()]
        )


def test_the_picture_refreshes_itself_when_another_tablet_marks_a_piece(
    page, cutting, off, shop, owner
):
    page.goto(f"{SHOP}/sheets/{off}")
    acts.tap(Caller(shop, owner), off, cutting.codes(off)[9], "nested")
    expect(page.locator("button.next")).to_have_text("1 lost: mark the other 59 cut", timeout=8000)
    expect(page.locator(".told")).to_contain_text(
        "off the table"
    )  # what this person did last, not the other
