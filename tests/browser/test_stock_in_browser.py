"""Stock in Chromium: what a gloved hand types a reading into."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

from shopfloor.actions import stock as acts
from shopfloor.actions.unit_of_work import Caller

pytestmark = pytest.mark.browser
CREAM = dict(
    name="cream",
    colour="#f2e8cf",
    finish="gloss",
    kind="cast",
    thickness_mm="6",
    length_mm="2440",
    width_mm="1220",
    turns="any",
    cost="90",
)


def test_the_caliper_s_field_and_button_are_made_for_gloves(tablet, served, shop, owner, operator):
    stock = acts.add_stock(Caller(shop, operator), CREAM).data["stock"]
    acts.add_blanks(Caller(shop, operator), stock, "2")
    acts.add_offcut(Caller(shop, operator), stock, "610", "300")
    sign_in(tablet, served, shop, owner)
    for way, size in TABLETS.items():
        tablet.set_viewport_size(size)
        tablet.goto(f"{served}/stock/{stock}")
        caliper = tablet.locator(".caliper").first
        field, button = (caliper.locator(tag).last.bounding_box() for tag in ("input", "button"))
        assert min(field["height"], button["height"]) >= 56 and field["width"] >= 120, way
        assert too_small(tablet) == [] and not runs_off(tablet), way


def test_a_reading_far_off_is_refused_and_stays_in_its_field(tablet, served, shop, owner, operator):
    stock = acts.add_stock(Caller(shop, operator), CREAM).data["stock"]
    acts.add_blanks(Caller(shop, operator), stock, "1")
    sign_in(tablet, served, shop, owner)
    tablet.goto(f"{served}/stock/{stock}")
    tablet.locator(".caliper [name=measured_mm]").fill("8")
    tablet.get_by_role("button", name="Measured").click()
    expect(tablet.get_by_role("alert")).to_contain_text("which may measure 5.00 to 7.00 mm")
    expect(tablet.locator(".caliper [name=measured_mm]")).to_have_value("8")
    tablet.locator(".caliper [name=measured_mm]").fill("6.1")
    tablet.get_by_role("button", name="Measured").click()
    expect(tablet.locator("#says")).to_contain_text("is 6.1 mm thick")
