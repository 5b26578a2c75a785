"""Signing in, a refusal, Undo: in Chromium, against the real server and its Content-Security-Policy."""

from __future__ import annotations

import re

import pytest
from flask import render_template_string
from playwright.sync_api import expect
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

from shopfloor.actions import people
from shopfloor.actions import settings as settings_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.web import page
from shopfloor.wording.message import plain

pytestmark = pytest.mark.browser

WALL = """{% extends "base.html" %}{% block says %}{{ says(view) }}{% endblock %}{% block content %}
<p id="wall" hx-get="/wall" hx-trigger="undone from:body" hx-select="#wall" hx-swap="outerHTML">{{ page.shop }}</p>
{% endblock %}"""


@pytest.fixture
def app(own_app):
    """Some tests here add views to it."""
    return own_app


def type_pin(tablet, pin: str) -> None:
    for digit in pin:
        tablet.get_by_role("button", name=digit, exact=True).click()
    tablet.locator(".keypad .enter").click()


def test_from_the_first_visit_to_a_second_person_by_touch_alone(tablet, served):
    tablet.goto(served + "/office")
    expect(tablet.get_by_role("heading")).to_have_text("First visit")
    type_pin(tablet, "4826")
    tablet.get_by_role("link", name="Office").click()
    tablet.get_by_role("link", name=re.compile("^People")).click()
    tablet.get_by_label("Name").fill("Ines")
    tablet.get_by_text("operator", exact=True).last.click()
    tablet.get_by_role("button", name="Add").click()
    expect(tablet.locator("#says")).to_contain_text("Ines is added")
    type_pin(tablet, "5511")
    expect(tablet.locator("#says")).to_contain_text("Ines has a new PIN")
    # Two touches from any page to another person's PIN: the title block, the name.
    tablet.locator(".title-block .who").click()
    tablet.get_by_role("link", name=re.compile("^Ines")).click()
    type_pin(tablet, "0917")
    expect(tablet.locator("#says")).to_have_text("Wrong PIN. Type it again.")
    type_pin(tablet, "5511")
    expect(tablet.locator(".title-block .who")).to_contain_text("Ines, operator")
    assert tablet.faults == []


def test_a_refusal_stands_at_the_head_of_the_page_and_nothing_typed_is_lost(
    tablet, served, shop, owner
):
    sign_in(tablet, served, shop, owner)
    tablet.goto(served + "/office/settings")
    tablet.get_by_label("Shop name", exact=True).fill("Pier Street Signs")
    tablet.get_by_label("Cutter diameter, mm", exact=True).fill("wide")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.get_by_role("alert")).to_contain_text("Cutter diameter")
    expect(tablet.get_by_label("Shop name", exact=True)).to_have_value("Pier Street Signs")
    tablet.get_by_label("Cutter diameter, mm", exact=True).fill("3.175")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.locator("#says")).to_contain_text("Settings changed")
    tablet.locator("#says").get_by_role("button", name="Undo").click()
    expect(tablet.locator("#says")).to_contain_text("Undone:")
    expect(tablet.get_by_label("Shop name", exact=True)).to_have_value("The shop")
    assert tablet.faults == []


def test_undo_in_place_is_told_to_the_page_which_brings_itself_up_to_date(
    tablet, app, served, shop, owner
):
    @app.get("/wall")
    def wall():
        return render_template_string(
            WALL, page=page.frame("Wall"), view=page.Notice(plain("It is done."), newest)
        )

    newest = settings_actions.change_settings(
        Caller(shop, owner), {"shop_name": "Pier Street Signs"}
    ).act
    sign_in(tablet, served, shop, owner)
    tablet.goto(served + "/wall")
    expect(tablet.locator("#wall")).to_have_text("Pier Street Signs")
    tablet.get_by_role("button", name="Undo").click()
    expect(tablet.locator("#wall")).to_have_text("The shop")
    # The button went with the line that held it, and yet the page heard of it.
    expect(tablet.locator("#says")).to_contain_text("Undone:")
    expect(tablet.get_by_role("button", name="Undo")).to_have_count(0)
    assert tablet.faults == []


def test_what_a_glove_must_hit_is_48_px_both_ways_up(tablet, served, shop, owner):
    people.set_pin(
        Caller(shop, owner), owner.person, "4826", method="pbkdf2:sha256:1"
    )  # else /sign-in is the first visit
    sign_in(tablet, served, shop, owner)
    pages = [
        "/sign-in",
        "/sign-in/1",
        "/office",
        "/office/people",
        "/office/people/1",
        "/office/settings",
        "/office/cutters",
        "/office/holding",
        "/office/cements",
        "/office/ledger",
    ]
    for way, size in TABLETS.items():
        tablet.set_viewport_size(size)
        for path in pages:
            tablet.goto(served + path)
            assert too_small(tablet) == [] and not runs_off(tablet), (path, way)


def test_settings_come_back_to_what_was_changed_and_say_what_it_was(tablet, served, shop, owner):
    sign_in(tablet, served, shop, owner)
    tablet.goto(served + "/office/settings")
    tablet.locator("[name=fewest_tabs]").fill("3")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.locator("#says")).to_contain_text("Settings changed: Fewest tabs.")
    expect(tablet.locator("#tabs")).to_be_in_viewport()
    answer, heading = (tablet.locator(one).bounding_box() for one in ("#says", "#tabs"))
    assert heading["y"] >= answer["y"] + answer["height"], "the answer does not cover the heading"


def test_a_cutter_is_added_without_scrolling(tablet, served, shop, owner):
    sign_in(tablet, served, shop, owner)
    for size in TABLETS.values():
        tablet.set_viewport_size(size)
        tablet.goto(served + "/office/cutters")
        expect(tablet.get_by_role("button", name="Add")).to_be_in_viewport(ratio=1)
