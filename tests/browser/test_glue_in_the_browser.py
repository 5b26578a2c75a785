"""The glue panel in Chromium: what is typed stays, the open time counts down, all is large enough for a glove."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from shop_for_tests import SHOP, TABLETS, answered_by, runs_off, too_small

from shopfloor.actions import settings as settings_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import bench as store

pytestmark = pytest.mark.browser


@pytest.fixture
def page(as_owner):
    with answered_by(as_owner) as page:
        yield page


def fill(page, **values):
    for name, value in values.items():
        page.fill(f".glue [name={name}]", value)
    page.locator("h1").click()  # leaves the field


def typed(page):
    return [
        page.input_value(f".glue [name={name}]") for name in ("batch", "temperature", "humidity")
    ]


def test_what_was_typed_and_chosen_stays_when_somebody_else_acts_and_when_it_is_refused(
    page, shop, owner, lay_board
):
    laid = lay_board()
    page.goto(SHOP + laid.path)
    fill(page, batch="7B", humidity="45", temperature="13")
    expect(page.locator(".broken")).to_contain_text("Warm the bench")  # before anybody presses
    page.locator(".chip", has_text="D").click()
    page.locator("button.next").click()
    expect(page.locator("#says.refused")).to_contain_text("Warm the bench")
    settings_acts.change_settings(Caller(shop, owner), {"glue_min_a_part": "0.6"})
    expect(page.locator(".glue-order")).to_contain_text(
        "0.6 min a part", timeout=9000
    )  # the page asks every five seconds
    assert typed(page) == ["7B", "13", "45"]
    assert [chip.is_checked() for chip in page.locator(".chip input").all()[:4]] == [
        True,
        True,
        True,
        False,
    ]
    page.fill(".broken [name=reason]", "the test piece held")
    page.locator("button.next").click()
    expect(page.locator("#says")).to_contain_text("3 of 8 parts of level 1")
    assert store.sign_of(shop.read(), laid.sign).step(laid.gluing).ticks == {
        laid.parts[name] for name in "ABC"
    }
    fill(page, temperature="21")
    expect(page.locator(".broken")).to_have_count(0)
    assert typed(page) == ["7B", "21", "45"]


def test_begin_counts_the_open_time_down_and_the_order_turns_with_the_side(page, clock, lay_board):
    page.goto(SHOP + lay_board().path)
    fill(page, batch="7B", temperature="22", humidity="45")
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.locator(".glue .countdown")).to_have_text("2 min")
    assert page.input_value(".glue [name=temperature]") == "22"
    page.select_option("[name=near]", "upper edge")
    expect(page.locator(".glue-order legend")).to_contain_text("H G F E")
    numbers = page.locator("svg.sign .nth text").all()
    heights = {
        int(one.text_content()): int(one.get_attribute("y")) for one in numbers
    }  # the drawing's y points down
    assert min(heights[turn] for turn in (1, 2, 3, 4)) > max(heights[turn] for turn in (5, 6, 7, 8))
    assert page.input_value(".glue [name=temperature]") == "22" and page.faults == []


def test_everything_to_press_is_large_enough_for_a_glove_and_nothing_runs_off(
    page, lay_board, change
):
    laid = lay_board()
    lay_board("ABCD")
    change(
        "INSERT INTO cement_batch (cement, batch, expires) VALUES (1, '6A', '2026-10-31'), (1, '7A', '2027-10-31')"
    )
    change("INSERT INTO setting (name, value) VALUES ('thermometer', '/none/such')")
    page.goto(SHOP + laid.path)
    fill(page, temperature="13")
    expect(page.locator(".broken")).to_be_visible()
    for size in TABLETS.values():
        page.set_viewport_size(size)
        assert too_small(page) == [] and not runs_off(page)
        button, begin = (
            page.locator(one).bounding_box() for one in (".glue .acts .next", ".glue .acts .act")
        )
        assert button["width"] * button["height"] > 2 * begin["width"] * begin["height"]
