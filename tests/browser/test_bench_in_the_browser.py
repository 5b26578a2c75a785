"""The Bench in Chromium: taps on the drawing, the countdown, sizes for gloves. The client answers in place of a server."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import expect
from shop_for_tests import SHOP, TABLETS, answered_by, runs_off, too_small

from shopfloor.actions import bench as acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import bench as store

pytestmark = pytest.mark.browser


@pytest.fixture
def page(as_assembler):
    """A tablet, flat on the bench; what the browser asks, the signed-in client answers."""
    with answered_by(as_assembler) as page:
        yield page


@pytest.fixture
def sign(shop, owner, lay_steps):
    laid = lay_steps(Caller(shop, owner))
    return store.sign_of(shop.read(), laid["sign"])


def ticks(shop, sign):
    return next(
        step.ticks for step in store.sign_of(shop.read(), sign.id).steps if step.kind == "lay out"
    )


def test_a_tap_on_the_drawing_sets_a_part_out_and_undo_takes_it_back(page, shop, sign):
    page.goto(f"{SHOP}/bench/{sign.code}")
    first = page.locator("svg.sign g.piece").first
    first.click(position={"x": 5, "y": 5})  # the second panel lies over its right end
    expect(page.locator("#says")).to_contain_text("1 of 2 set out")
    expect(page.locator(".place.is-right")).to_have_count(1)
    assert len(ticks(shop, sign)) == 1
    page.locator("#says button").click()
    expect(page.locator(".place.is-right")).to_have_count(0)
    assert ticks(shop, sign) == frozenset()
    assert page.faults == []


def test_the_page_goes_on_by_itself_when_the_cure_ends(page, shop, assembler, sign, clock):
    laying, gluing = sign.steps[:2]
    acts.set_out_rest(Caller(shop, assembler), laying.id, laying.parts)
    clock.forward(seconds=58)
    glued_at = clock.now - timedelta(hours=23, minutes=59, seconds=58)
    gluing_acts.glue_up(Caller(shop, assembler), [gluing.id], 1, "7B", 23, 45, glued_at)
    page.goto(f"{SHOP}/bench/{sign.code}")
    expect(page.locator(".countdown")).to_have_text("2 s")
    clock.forward(seconds=2)
    expect(page.locator(".bench-next .verdict")).to_have_text(
        "Ready to set out level 2", timeout=4000
    )


def test_what_was_typed_stays_when_a_glue_up_is_refused(page, shop, assembler, sign):
    laying = sign.steps[0]
    acts.set_out_rest(Caller(shop, assembler), laying.id, laying.parts)
    page.goto(f"{SHOP}/bench/{sign.code}")
    for name, value in (("batch", "7B"), ("temperature", "13"), ("humidity", "45")):
        page.fill(f"[name={name}]", value)
    page.locator("input[name=cement]").first.check()
    page.locator("button.next").click()
    expect(page.locator("#says.refused")).to_contain_text("Warm the bench")
    assert (
        page.input_value("[name=batch]") == "7B" and page.input_value("[name=temperature]") == "13"
    )


@pytest.mark.parametrize("way", TABLETS)
def test_everything_to_press_is_large_enough_for_a_glove_and_nothing_runs_off(
    page, shop, assembler, sign, way
):
    page.set_viewport_size(TABLETS[way])
    for path in ("/bench", f"/bench/{sign.code}"):
        page.goto(SHOP + path)
        assert too_small(page) == [] and not runs_off(page), path
