"""The laying out in Chromium: a scanner that types, a form that stays open, sizes for gloves."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from shop_for_tests import SHOP, TABLETS, answered_by, box, runs_off, too_small

from shopfloor.actions import bench as acts
from shopfloor.actions.unit_of_work import Caller

pytestmark = pytest.mark.browser


@pytest.fixture
def page(as_assembler):
    with answered_by(as_assembler) as page:
        yield page


def test_a_scanner_that_types_needs_no_tap_and_the_tab_key_still_gets_about(page, door):
    page.goto(f"{SHOP}/bench/{door.code}")
    for name in "AB":
        expect(page.locator("#scan-place")).to_be_focused()
        page.keyboard.type(door.codes[name])
        page.keyboard.press("Enter")
        expect(page.locator(".place.is-right")).to_have_count("AB".index(name) + 1)
        expect(page.locator("#scan-place")).to_have_value("")
    page.keyboard.press("Tab")
    page.wait_for_timeout(400)  # longer than the field waits before it takes the focus back
    expect(page.locator("#scan-place")).not_to_be_focused()
    assert page.faults == []


def test_a_form_of_a_measuring_survives_what_others_do_and_closes_when_it_sits_right(
    page, shop, owner, door
):
    page.goto(f"{SHOP}/bench/{door.code}")
    page.get_by_label("Measure 2 A").click()
    field = page.locator("input[name=across]")
    field.fill("53.8")
    acts.set_out(Caller(shop, owner), door.step().id, door.parts["D"])
    expect(page.locator(".place.is-right")).to_have_count(
        1, timeout=8000
    )  # the page has refreshed itself
    expect(field).to_have_value("53.8")
    page.locator("button[form=measure]").click()
    expect(page.locator("#says.refused")).to_contain_text("1.5 mm too far right: move it left.")
    field.fill("52.5")
    page.locator("button[form=measure]").click()
    expect(page.locator("#says:not(.refused)")).to_contain_text("OK: 0.2 mm off, 0.8 mm allowed.")
    expect(field).to_have_count(0)
    assert "measure=" not in page.url and page.faults == []


@pytest.mark.parametrize("way", TABLETS)
def test_forty_letters_are_large_enough_for_a_glove_and_nothing_runs_off(page, lay_letters, way):
    long = [
        (f"x{n}", 1, box(20 + 60 * (n % 40), 30 + 90 * (n // 40), 30 + n % 7, 60))
        for n in range(80)
    ]
    sign = lay_letters(long, 2500, 240)
    page.set_viewport_size(TABLETS[way])
    page.goto(f"{SHOP}/bench/{sign.code}?measure={sign.parts['x3']}")
    assert too_small(page) == [] and not runs_off(page)
    texts = page.locator(".running text.edge").first.evaluate(
        "e => parseFloat(getComputedStyle(e).fontSize)"
    )
    assert texts >= 15
