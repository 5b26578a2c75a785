"""The page of a drawing in Chromium: what was typed stays while questions are answered, and gloves hit all of it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

from shopfloor.actions import drawings
from tests.web.jobs.conftest import BOARD, SECOND, bars

pytestmark = pytest.mark.browser

LOOSE = (
    BOARD
    + SECOND
    + '<rect x="20" y="300" width="30" height="60" fill="#f2e8d0"><title>A</title></rect>'
)
SIZE = 'width="900" height="400" viewBox="0 0 900 400"'
NO_UNIT = f'<svg xmlns="http://www.w3.org/2000/svg" {SIZE}>{LOOSE}</svg>'.encode()


@pytest.fixture
def open_page(tablet, served, shop, operator):
    """Opens the proposal of a drawing."""
    sign_in(tablet, served, shop, operator)

    def opened(drawing: bytes):
        sha256 = drawings.keep_drawing(shop, drawings.read_drawing(drawing, "door.svg"))
        tablet.goto(f"{served}/jobs/new/{sha256}?title=Doors")
        return tablet

    yield opened
    assert tablet.faults == []


def test_what_was_typed_stays_while_the_questions_are_answered(open_page):
    page = open_page(NO_UNIT)
    page.get_by_label("Customer").fill("Ropewalk")
    page.get_by_label("How many sets").fill("2")
    page.locator("[name=each-1]").fill("3")
    page.locator(".due .choice").nth(1).click()
    expect(page.locator("#sum")).to_contain_text(
        "2 sets of 5 signs and 9 pieces: 10 signs, 18 pieces"
    )
    page.get_by_role("link", name="Different materials").click()
    expect(page.locator("fieldset.colour")).to_have_count(3)
    page.get_by_role("link", name="Part of sign B").click()
    expect(page.locator(".proposed-sign")).to_have_count(2)
    page.get_by_role("button", name="millimetres").click()
    expect(page.locator(".question .is-chosen").first).to_contain_text("millimetres")
    expect(page.get_by_label("Customer")).to_have_value("Ropewalk")
    expect(page.get_by_label("How many sets")).to_have_value("2")
    expect(page.locator("[name=each-1]")).to_have_value("3")
    expect(page.locator(".due .choice").nth(1).locator("input")).to_be_checked()
    expect(page.locator("#sum")).to_contain_text("2 sets of 4 signs and 11 pieces")
    page.reload()
    expect(page.locator(".proposed-sign")).to_have_count(2)
    expect(page.get_by_label("Customer")).to_have_value("Ropewalk")


def test_a_refused_order_is_told_in_place_and_the_shapes_come_when_they_are_opened(open_page):
    page = open_page(NO_UNIT)
    page.get_by_label("Customer").fill("Ropewalk")
    page.locator(".due .choice").first.click()
    page.get_by_role("button", name="Add the job").click()
    expect(page.locator("#says")).to_contain_text("has no unit. First choose what it was drawn in")
    page.get_by_role("button", name="millimetres").click()
    expect(page.locator(".question .is-chosen").first).to_contain_text("millimetres")
    page.get_by_role("button", name="Add the job").click()
    expect(page.locator("#says")).to_contain_text("First choose what it is")
    expect(page.get_by_label("Customer")).to_have_value("Ropewalk")
    page = open_page(bars(310))
    page.locator("summary", has_text="Different shapes").click()
    expect(page.locator(".shape-tiles li")).to_have_count(8)


@pytest.mark.parametrize("tablet_size", TABLETS)
def test_gloves_hit_all_that_is_asked(open_page, tablet_size):
    page = open_page(NO_UNIT)
    page.set_viewport_size(TABLETS[tablet_size])
    for summary in page.locator("summary").all():
        summary.click()
    assert too_small(page) == [] and not runs_off(page)
