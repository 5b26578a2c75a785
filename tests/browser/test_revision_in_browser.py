"""A new drawing in Chromium, from the job's page to the job's page: seen over the old one, chosen, confirmed."""

from __future__ import annotations

import pytest
from fixtures.revisions import NEW, OLD
from playwright.sync_api import expect
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

from shopfloor.store import jobs as store

pytestmark = pytest.mark.browser


@pytest.fixture
def page(tablet, served, shop, operator, under_way):
    sign_in(tablet, served, shop, operator)
    tablet.goto(served + "/jobs/J-1001")
    yield tablet
    assert tablet.faults == []


def send(page, data: bytes) -> None:
    page.get_by_role("link", name="New drawing").click()
    page.locator("input[type=file]").set_input_files(
        {"name": "new.svg", "mimeType": "image/svg+xml", "buffer": data}
    )
    page.get_by_role("button", name="Compare with the old one").click()
    expect(page.locator(".compare-head")).to_be_visible(timeout=60_000)


def test_a_new_text_is_sent_seen_and_confirmed(page, shop):
    send(page, NEW)
    expect(page.locator(".compare-head .verdict")).to_have_text("1 piece to cut")
    expect(page.locator(".trace.arrow")).to_have_count(1)
    page.get_by_role("button", name="Change the job to this drawing").click()
    expect(page.locator("#says")).to_contain_text("follows the new drawing", timeout=60_000)
    assert {part.name for part in store.parts_of(shop.read(), 1)} == {"board", "A", "B", "F"}


def test_spares_are_chosen_in_place_and_the_count_follows(page):
    send(page, NEW)
    page.get_by_role("button", name="Change the job to this drawing").click()
    expect(page.locator("#says")).to_contain_text("follows the new drawing", timeout=60_000)
    send(page, OLD)
    expect(page.locator(".compare-head .verdict")).to_have_text("Nothing to cut")
    page.get_by_text("Cut all parts").click()
    expect(page.locator(".compare-head .verdict")).to_have_text("1 piece to cut")
    page.get_by_text("Use it").click()
    expect(page.locator(".compare-head .verdict")).to_have_text("Nothing to cut")


@pytest.mark.parametrize("way", TABLETS)
def test_both_pages_fit_a_tablet_either_way_and_a_glove(page, way):
    page.set_viewport_size(TABLETS[way])
    page.get_by_role("link", name="New drawing").click()
    expect(page.get_by_role("button", name="Compare with the old one")).to_be_visible()
    assert not runs_off(page) and too_small(page) == []
    page.go_back()
    send(page, NEW)
    assert not runs_off(page) and too_small(page) == []
