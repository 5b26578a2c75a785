"""A sheet in Chromium: quick taps, nothing that moves under a finger, sizes for gloves. The client is the server."""

from __future__ import annotations

import re

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


def drawn(state):
    """The class of a piece's line: its state, then how fine it is."""
    return re.compile(rf"^{state}( |$)")


def outline(page, code):
    """Where a piece is in its drawing, and how large, without its line; only what is drawn as SVG has that."""
    box = "(path) => { const b = path.getBBox(); return [b.x, b.y, b.width, b.height]; }"
    return page.locator(f"#piece-{code} > path").evaluate(box)


def test_a_tap_swaps_what_changed_and_leaves_the_rest_of_the_page_alone(page, cutting, off):
    page.goto(f"{SHOP}/sheets/{off}")
    code, other = cutting.codes(off)[:2]
    piece, place = page.locator(f"#piece-{code}"), outline(page, code)
    kept = ("figure.drawing", "svg.blank", f"#piece-{other}", "#nest", "h1")
    page.evaluate("(kept) => kept.forEach((e) => { document.querySelector(e).kept = e; })", kept)
    answers = []
    page.on("response", lambda answer: answers.append(answer) if "/tap/" in answer.url else None)
    for state, chosen, crosses in (
        ("lost", "1 lost: mark the other 59 cut", 1),
        ("damaged", "1 damaged: mark the other 59 cut", 1),
        ("ready", "Mark the other 59 cut", 0),
        ("lost", "1 lost: mark the other 59 cut", 1),
    ):
        piece.tap()
        expect(piece.locator("> path")).to_have_class(drawn(state))
        expect(piece.locator("path.cross")).to_have_count(crosses)
        expect(page.locator("button.next")).to_have_text(chosen)
        expect(page.locator("#gone li")).to_have_count(crosses)
        assert outline(page, code) == place
    expect(page.locator("#action a[href='#gone']")).to_have_text("1 lost")
    expect(page.locator("#notice")).to_contain_text("is lost")
    assert [answer.headers.get("hx-reswap") for answer in answers] == ["none"] * 4
    assert page.evaluate("(kept) => kept.every((e) => document.querySelector(e).kept === e)", kept)
    assert page.evaluate("document.querySelectorAll('[hx-swap-oob]').length") == 0
    page.locator("#action").get_by_role("button", name="Undo").tap()
    expect(page.locator("#notice")).to_contain_text("Undone:")
    expect(piece.locator("> path")).to_have_class(drawn("ready"))
    assert page.faults == []


def test_after_a_tap_the_refresh_has_nothing_to_bring_until_another_tablet_acts(
    page, cutting, off, shop, owner
):
    page.goto(f"{SHOP}/sheets/{off}")
    code, other = cutting.codes(off)[:2]
    for tapped in (code, code):
        seen = page.locator("#seen").input_value()
        page.locator(f"#piece-{tapped}").tap()
        expect(page.locator("#seen")).not_to_have_value(seen)
    with page.expect_response("**/now*", timeout=8000) as answer:
        pass
    assert answer.value.status == 204
    acts.tap(Caller(shop, owner), off, other, "nested")
    expect(page.locator(f"#piece-{other} > path")).to_have_class(drawn("lost"), timeout=8000)
    with page.expect_response("**/now*", timeout=8000) as answer:
        pass
    assert answer.value.status == 204 and page.faults == []


def test_a_stale_tap_brings_the_whole_picture(page, cutting, off, shop, owner):
    page.goto(f"{SHOP}/sheets/{off}")
    code, other = cutting.codes(off)[:2]
    for shown in ("nested", "lost"):
        acts.tap(Caller(shop, owner), off, code, shown)
    acts.tap(Caller(shop, owner), off, other, "nested")
    page.locator(f"#piece-{code}").tap()
    expect(page.locator("#notice.refused")).to_contain_text("was just marked damaged")
    expect(page.locator(f"#piece-{code} > path")).to_have_class(drawn("damaged"))
    expect(page.locator(f"#piece-{other} > path")).to_have_class(drawn("lost"))
    page.locator(f"#piece-{code}").tap()
    expect(page.locator(f"#piece-{code} > path")).to_have_class(drawn("ready"))
    expect(page.locator("#notice.refused")).to_have_count(0)
    assert [fault for fault in page.faults if "409" not in fault] == []


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
