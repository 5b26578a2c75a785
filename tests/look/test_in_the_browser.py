"""The look and the small scripts in Chromium, under the server's own Content-Security-Policy.

No server: every request is answered here, so that answers can be lost on purpose.
"""

from __future__ import annotations

import io
import mimetypes
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import parse_qs

import pytest
from PIL import Image, ImageStat
from playwright.sync_api import expect
from shop_for_tests import box
from templates_for_tests import environment

from shopfloor.domain.outlines import Outline
from shopfloor.scenes.nest import Nest, NestedPiece
from shopfloor.scenes.scene import Shape
from shopfloor.web.pictures.svg import sheet_picture, sign_picture

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]
SHOP = "http://shop.test/"
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self'; object-src 'none'"
)
NAV = [
    (word.lower(), f"/{word.lower()}", word, "2 to cut" if word == "Sheets" else "")
    for word in ["Floor", "Scan", "Sheets", "Recuts", "Bench", "Jobs", "Stock", "Office"]
]


def part(number: int, outline: Outline, colour: str, state: str) -> Shape:
    return Shape(f"p{number}", number, "I", outline, colour, state)


class Shop:
    """Answers for a page of one template, and keeps what was posted."""

    def __init__(self, content: str, scripts: str = "", **data):
        env = environment()
        env.globals["url_for"] = lambda _endpoint, filename: f"/static/{filename}"
        page = SimpleNamespace(
            title="Floor",
            here="floor",
            shop="Pier Street Signs",
            clock="Wed 25 Nov 14:12",
            person="Ines, bench",
            nav=NAV,
            person_href="/people/out",
        )
        source = '{% extends "base.html" %}{% import "_pictures.html" as pictures %}'
        source += '{% from "_keypad.html" import keypad %}'
        source += (
            "{% block scripts %}"
            + scripts
            + "{% endblock %}{% block content %}"
            + content
            + "{% endblock %}"
        )
        self.html = env.from_string(source).render(page=page, **data)
        self.posted: list[dict] = []
        self.answers: list[int | None] = []  # None: the answer is lost on the way

    def answer(self, route) -> None:
        request, path = route.request, route.request.url.removeprefix(SHOP)
        if request.method == "POST":
            self.posted.append(
                {name: values[0] for name, values in parse_qs(request.post_data or "").items()}
            )
            status = self.answers.pop(0) if self.answers else 200
            if status is None:
                route.abort()
            else:
                route.fulfill(
                    status=status, content_type="text/html", body='<p data-sound="done">noted</p>'
                )
        elif path.startswith("static/"):
            kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
            route.fulfill(status=200, content_type=kind, body=(ROOT / path).read_bytes())
        else:
            headers = {"Content-Security-Policy": POLICY}
            route.fulfill(
                status=200, content_type="text/html; charset=utf-8", headers=headers, body=self.html
            )


@pytest.fixture
def visit(browser):
    """Opens a Shop's page and fails at the end if the browser complained of the page's own doing."""
    opened, complaints = [], []

    def open_page(shop: Shop, width: int = 1280, height: int = 800):
        page = browser.new_page(viewport={"width": width, "height": height})
        page.on(
            "console",
            lambda message: complaints.append(message.text) if message.type == "error" else None,
        )
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.route("**/*", shop.answer)
        page.goto(SHOP)
        opened.append(page)
        return page

    yield open_page
    for page in opened:
        page.close()
    # Chromium itself logs an answer that was lost or refused, and htmx the error that comes of it.
    assert [
        text
        for text in complaints
        if not re.search(r"net::ERR_FAILED|status of|Failed to fetch", text)
    ] == []


def test_a_white_letter_in_hand_is_told_from_a_hole(visit):
    in_hand, missing = box(100, 100, 100, 200), box(300, 100, 100, 200)
    parts = [part(1, box(0, 0, 500, 400), "#35658a", "ready"), part(2, in_hand, "#ffffff", "ready")]
    picture = sign_picture("s", [*parts, part(3, missing, "#ffffff", "nested")], 500, 400)
    page = visit(Shop("{{ pictures.sign_svg(picture) }}", picture=picture))
    shot = Image.open(io.BytesIO(page.locator("svg.sign").screenshot())).convert("L")
    scale = picture.sign_px[0] / 500

    def patch(outline: Outline) -> Image.Image:
        left, bottom, right, top = (value * scale for value in outline.bounds)
        above, below = 400 * scale - top, 400 * scale - bottom
        return shot.crop(
            (int(8 + left + 4), int(8 + above + 4), int(8 + right - 4), int(8 + below - 4))
        )

    white, hole = ImageStat.Stat(patch(in_hand)), ImageStat.Stat(patch(missing))
    assert white.mean[0] > 250 and white.stddev[0] < 2
    assert hole.mean[0] < 220, "from afar a hole is darker than any white"
    assert hole.stddev[0] > 15, "from near it shows the grid"


@pytest.mark.parametrize("size", [(1280, 800), (800, 1280)])
def test_whatever_a_glove_must_hit_is_48_px(visit, size):
    content = """<button class="next">Cut S-207</button>
        <a class="act" href="#">Undo</a><a class="act small" href="#">x</a>
        <form>{{ keypad() }}<label class="field"><span>Batch</span><input></label><select><option>a</select>
        <fieldset class="choices"><label class="choice"><input type="radio" name="c">Hose</label></fieldset></form>
        <ul class="rows"><li><a class="row" href="#">7 R</a></li></ul>"""
    page = visit(Shop(content), *size)
    targets = page.locator("button, a, select, input:not([type=radio]), label.choice")
    assert targets.count() > 22
    for target in targets.all():
        found = target.bounding_box()
        assert min(found["width"], found["height"]) >= 48, target.evaluate(
            "element => element.outerHTML"
        )
    next_height = page.locator(".next").bounding_box()["height"]
    assert next_height == max(target.bounding_box()["height"] for target in targets.all())
    foot = page.locator(".title-block").bounding_box()
    assert foot["y"] + foot["height"] <= size[1]
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_a_retry_of_a_lost_answer_carries_the_same_key_and_the_next_act_another(visit):
    shop = Shop(
        '<button class="act" hx-post="/mark" hx-vals=\'{"piece": "40729153"}\' hx-target="#says">Lost</button>'
    )
    shop.answers = [None, 503, 200, 200]
    page = visit(shop)
    page.get_by_role("button", name="Lost").click()
    expect(page.locator("#says")).to_contain_text("No answer")
    for count in (2, 3, 4):
        page.get_by_role("button", name="Lost").click()
        expect(page.locator("#says")).to_contain_text("noted")
        page.wait_for_timeout(80)
        assert len(shop.posted) == count
    keys = [sent["key"] for sent in shop.posted]
    assert keys[0] == keys[1] == keys[2] != keys[3]
    assert all(re.fullmatch("[0-9a-f]{32}", key) for key in keys)


def test_a_form_sent_without_htmx_carries_a_key(visit):
    shop = Shop(
        '<form method="post" action="/in"><input name="pin" value="1"><button>In</button></form>'
    )
    page = visit(shop)
    page.get_by_role("button", name="In").click()
    expect(page.get_by_text("noted")).to_be_visible()
    assert shop.posted[0]["pin"] == "1" and re.fullmatch("[0-9a-f]{32}", shop.posted[0]["key"])


def test_a_tap_beside_a_small_piece_goes_to_the_nearest(visit):
    pieces = [
        part(n, box(left, 300, 12, 20), "#ffffff", "nested") for n, left in ((1, 200), (2, 800))
    ]
    picture = sheet_picture("s", Nest(1220, 610, "length", 900, tuple(map(NestedPiece, pieces))))
    attrs = {
        key: {"hx-post": "/mark", "hx-vals": f'{{"piece": "{key}"}}', "hx-target": "#says"}
        for key in ("p1", "p2")
    }
    shop = Shop("{{ pictures.sheet_svg(picture, attrs) }}", picture=picture, attrs=attrs)
    page = visit(shop)
    near = page.locator("#piece-p2").bounding_box()
    page.mouse.click(near["x"] + near["width"] + 14, near["y"] + 5)
    expect(page.locator("#says")).to_contain_text("noted")
    page.mouse.click(near["x"] + near["width"] + 90, near["y"])
    page.locator("#piece-p1").focus()
    page.keyboard.press("Enter")
    page.wait_for_timeout(150)
    assert [sent["piece"] for sent in shop.posted] == ["p2", "p1"]


def test_a_pressed_thing_shows_it_at_once(visit):
    page = visit(Shop('<button class="next" hx-post="/mark">Cut</button>'))
    page.get_by_role("button", name="Cut").dispatch_event("pointerdown")
    assert "tapped" in page.get_by_role("button", name="Cut").get_attribute("class")


def test_an_answer_is_heard_one_high_beep_for_done_two_low_ones_for_refused(visit):
    button = '<button class="act" hx-post="/mark" hx-target="#says">Lost</button>'
    shop = Shop(button)
    shop.answers = [200, None]
    page = visit(shop)
    page.evaluate("""() => {
        window.heard = [];
        const still = { setValueAtTime() {}, exponentialRampToValueAtTime() {} };
        const wire = { connect: () => wire, gain: still, start() {}, stop() {},
                       frequency: { set value(hertz) { window.heard.push(hertz); } } };
        const audio = { currentTime: 0, createOscillator: () => wire, createGain: () => wire };
        window.AudioContext = function () { return audio; };
    }""")
    page.get_by_role("button", name="Lost").click()
    expect(page.locator("#says")).to_contain_text("noted")
    page.wait_for_timeout(80)
    done = page.evaluate("window.heard")
    page.get_by_role("button", name="Lost").click()
    expect(page.locator("#says")).to_contain_text("No answer")
    refused = page.evaluate("window.heard")[len(done) :]
    assert len(done) == 1 and len(refused) == 2
    assert done[0] > 1000 and max(refused) < 300


def test_the_scan_field_keeps_the_focus_empties_itself_and_loses_no_code(visit):
    form = """<form hx-post="/scan" hx-target="#says" hx-sync="this:queue all"><input name="code" data-scan></form>
        <button class="act">Elsewhere</button>"""
    shop = Shop(form, '<script src="/static/scan.js" defer></script>')
    shop.answers = [200, 200, None]
    page = visit(shop)
    field = page.locator("[data-scan]")
    expect(field).to_be_focused()
    page.keyboard.type("40729153\n40729154\n")
    expect(page.locator("#says")).to_contain_text("noted")
    expect(field).to_have_value("")
    page.get_by_role("button", name="Elsewhere").click()
    expect(field).to_be_focused()
    page.keyboard.type("40729155\n")
    expect(field).to_have_value("40729155")
    assert [sent["code"] for sent in shop.posted] == ["40729153", "40729154", "40729155"]


def test_the_keypad_types_and_erases(visit):
    page = visit(
        Shop("<form>{{ keypad() }}</form>", '<script src="/static/keypad.js" defer></script>')
    )
    for key in ("1", "0", "9", "Delete", "4"):
        page.get_by_role("button", name=key, exact=True).click()
    expect(page.locator("input[name=pin]")).to_have_value("104")


def test_a_countdown_goes_by_the_servers_clock_and_ends_in_done(visit):
    wrong = datetime(2001, 2, 3, tzinfo=UTC)  # the server's clock and this machine's are far apart
    until = [(wrong + timedelta(seconds=left)).isoformat() for left in (5400, 1)]
    now = wrong.isoformat()
    content = "".join(
        f'<time data-now="{now}" data-until="{end}" data-done="cured">?</time>' for end in until
    )
    page = visit(Shop(content))
    expect(page.locator("time").nth(0)).to_have_text("1 h 30 min")
    expect(page.locator("time").nth(1)).to_have_text("cured")
    expect(page.locator("time").nth(1)).to_have_class("done")
