"""What is closed by default: origins, scripts, uploads, names, errors."""

from __future__ import annotations

import gzip
import io
import re
from html.parser import HTMLParser

import pytest
from flask import request

from shopfloor.actions import people as actions
from shopfloor.actions.unit_of_work import Answer, Caller, command
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import ledger
from shopfloor.web import page as frame
from shopfloor.web import security
from shopfloor.wording.message import plain

PAGES = [
    "/sign-in",
    "/sign-in/1",
    "/first-visit",
    "/office",
    "/office/people",
    "/office/people/1",
    "/office/settings",
    "/office/cements",
    "/office/ledger",
    "/no-such-page",
]


class Inline(HTMLParser):
    """Collects what the policy would not run: scripts and styles in the page, on… and style attributes."""

    def __init__(self, page: str):
        super().__init__()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        names = dict(attrs)
        if tag == "style" or (tag == "script" and "src" not in names):
            self.found.append(tag)
        self.found += [
            name for name in names if name == "style" or name.startswith(("on", "hx-on"))
        ]


@pytest.fixture
def app(own_app):
    """Some tests here add views to it."""
    return own_app


@pytest.fixture
def owner_with_pin(shop):
    return actions.set_first_pin(shop, "4826", method="pbkdf2:sha256:1")


@pytest.mark.parametrize("path", PAGES)
def test_every_page_has_the_policy_and_nothing_inline(as_owner, path):
    answer = as_owner.get(path, follow_redirects=True)
    policy = dict(
        line.split(" ", 1) for line in answer.headers["Content-Security-Policy"].split("; ")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "no-store"
    assert Inline(answer.text).found == []


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "null"},
        {"Origin": "http://example.com"},
        {"Origin": "http://localhost.example.com"},
        {"Origin": "http://localhost:81"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site", "Origin": "http://localhost"},
        {"Sec-Fetch-Site": "none"},
    ],
)
def test_a_form_from_elsewhere_is_refused(as_owner, shop, headers):
    del as_owner.environ_base["HTTP_SEC_FETCH_SITE"]
    before = ledger.newest(shop.read())
    answer = as_owner.post("/office/people", data={"name": "Eve", "role": "owner"}, headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text
    assert ledger.newest(shop.read()) == before


@pytest.mark.parametrize("origin", ["http://localhost", "HTTP://LOCALHOST"])
def test_a_form_from_here_is_taken_where_the_browser_says_only_origin(as_owner, origin):
    del as_owner.environ_base["HTTP_SEC_FETCH_SITE"]
    answer = as_owner.post(
        "/office/people", data={"name": "Ines", "role": "operator"}, headers={"Origin": origin}
    )
    assert answer.status_code == 303


def test_names_are_escaped_wherever_they_stand(as_owner, shop, owner):
    name = '<script>alert("x")</script> O\'Neil'
    actions.add_person(Caller(shop, owner), name, ["operator"])
    actions.set_pin(Caller(shop, owner), 2, "5511", method="pbkdf2:sha256:1")
    actions.set_pin(Caller(shop, owner), 1, "4826", method="pbkdf2:sha256:1")
    as_owner.set_cookie("shopfloor_session", "a-token-of-Owner")
    token, _ = actions.sign_in(shop, 1, "4826", '"><b onclick=x>')
    as_owner.set_cookie("shopfloor_session", token)
    for path in (*PAGES, "/office/people/2", "/sign-in/2"):
        page = as_owner.get(path).text
        assert "<script>alert" not in page
        assert "<b onclick" not in page
    assert "&lt;script&gt;alert(&#34;x&#34;)&lt;/script&gt;" in as_owner.get("/office/people").text


def test_more_than_20_mb_is_refused_in_one_sentence(as_owner):
    big = io.BytesIO(b"x" * (security.LARGEST_REQUEST + 1))
    answer = as_owner.post("/office/people", data={"file": (big, "board.svg")})
    assert answer.status_code == 413
    assert "The file is over 20 MB. Choose a smaller one." in answer.text


def test_a_file_of_20_mb_itself_fits(app, as_owner):
    @app.post("/length")
    def length():
        return str(len(request.files["file"].read()))

    whole = io.BytesIO(b"x" * security.LARGEST_UPLOAD)
    assert as_owner.post("/length", data={"file": (whole, "board.svg")}).text == str(
        20 * 1024 * 1024
    )


@pytest.mark.parametrize(
    ("error", "status"),
    [(NotAllowed, 403), (NotFound, 404), (Conflict, 409), (Refused, 422)],
    ids=str,
)
def test_a_refusal_is_a_page_or_for_htmx_its_sentence_alone(app, as_owner, error, status):
    @app.get("/refuses")
    def refuses():
        raise error("A <b> cannot be cut: choose another.")

    page = as_owner.get("/refuses")
    assert page.status_code == status
    assert "A &lt;b&gt; cannot be cut: choose another." in page.text
    assert "<nav" in page.text
    part = as_owner.get("/refuses", headers={"HX-Request": "true"})
    assert part.status_code == status
    assert part.headers["HX-Retarget"] == "#says"
    assert part.text.strip().startswith('<div id="says" class="says refused" role="alert">')
    assert "<html" not in part.text


def test_what_nobody_expected_is_one_sentence_without_a_traceback(app, as_owner, caplog):
    @app.get("/breaks")
    def breaks():
        raise ZeroDivisionError("secret detail")

    answer = as_owner.get("/breaks")
    assert answer.status_code == 500
    assert "nothing was changed. Try again" in answer.text
    assert "secret detail" not in answer.text
    assert "Traceback" not in answer.text
    assert "secret detail" in caplog.text


def test_an_act_that_nobody_expected_to_fail_may_have_been_done_and_says_where_that_stands(
    app, as_owner, shop
):
    @app.post("/breaks")
    def breaks():
        frame.do(note_something)
        raise ZeroDivisionError("after the act")

    @command("noted something for a test")
    def note_something(transaction) -> Answer:
        return Answer(plain("Noted."))

    answers = [
        as_owner.post("/breaks", data={"key": "k1"}, headers=headers)
        for headers in ({}, {"HX-Request": "true"})
    ]
    for answer in answers:
        assert answer.status_code == 500 and "nothing was changed" not in answer.text
        assert (
            "Look in Office, Ledger, to see if it was done. Trying again does not do it twice."
            in answer.text
        )
    done = (
        shop.read()
        .execute("SELECT count(*) FROM ledger WHERE what = 'noted something for a test'")
        .fetchone()[0]
    )
    assert done == 1, "it was done, and once only"


def test_an_unknown_page_and_a_wrong_method_are_told(client, owner_with_pin):
    assert "Page not found" in client.get("/nothing").text
    answer = client.put("/sign-in")
    assert answer.status_code == 405
    assert "GET" in answer.headers["Allow"]


def test_the_same_form_sent_twice_is_one_act(as_owner, shop):
    form = {"key": "k1", "name": "Ines", "role": "operator"}
    first = as_owner.post("/office/people", data=form)
    again = as_owner.post("/office/people", data=form)
    assert first.location == again.location
    assert shop.read().execute("SELECT count(*) FROM person WHERE name = 'Ines'").fetchone()[0] == 1


def test_a_key_that_no_page_of_ours_made_is_refused(as_owner):
    answer = as_owner.post(
        "/office/people", data={"key": "k" * 65, "name": "Ines", "role": "operator"}
    )
    assert answer.status_code == 422


def test_each_form_of_a_page_has_a_key_of_its_own(as_owner):
    keys = re.findall(r'name="key" value="(\w+)"', as_owner.get("/office/people/1").text)
    keys += re.findall(r'name="key" value="(\w+)"', as_owner.get("/office/people/1").text)
    assert len(keys) == len(set(keys)) == 4


def test_long_answers_are_packed_where_the_browser_takes_it(as_owner):
    plain = as_owner.get("/office/settings")
    packed = as_owner.get("/office/settings", headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert packed.headers["Vary"] == plain.headers["Vary"] == "Accept-Encoding"
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data) / 2
    fresh_key = rb'name="key" value="\w+"'  # each page has its own
    assert re.sub(fresh_key, b"", gzip.decompress(packed.data)) == re.sub(
        fresh_key, b"", plain.data
    )


def test_a_static_file_with_a_version_in_its_name_is_kept_for_a_year_others_are_asked_for(client):
    versioned = client.get(
        "/static/vendor/htmx-4.0.1/htmx-4.0.1.min.js", headers={"Accept-Encoding": "gzip"}
    )
    assert versioned.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert b"htmx" in gzip.decompress(versioned.data)
    style = client.get("/static/shopfloor.css", headers={"Accept-Encoding": "gzip"})
    assert style.headers["Cache-Control"] == "no-cache"
    again = client.get("/static/shopfloor.css", headers={"If-None-Match": style.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_a_page_that_was_seen_is_not_sent_again(app, as_owner, shop, owner, clock):
    @app.get("/wall")
    def wall():
        token = frame.version()
        return ("", 204) if frame.unchanged(token) else token

    token = as_owner.get("/wall").text
    assert as_owner.get(f"/wall?seen={token}").status_code == 204
    actions.add_person(Caller(shop, owner), "Ines", ["operator"])
    newer = as_owner.get(f"/wall?seen={token}").text
    assert newer != token
    clock.forward(hours=10)
    assert as_owner.get(f"/wall?seen={newer}").status_code == 200, "a new day has begun in the shop"


def test_what_an_act_said_stands_on_the_next_page_with_undo(app, as_owner):
    to = as_owner.post("/office/people", data={"name": "Ines", "role": "operator"}).location
    page = as_owner.get(to).text
    assert "Ines is added. Set a PIN next." in page
    assert 'action="/undo"' in page
    assert 'name="back" value="/office/people/2"' in page


def test_every_view_is_closed_but_those_named_here(app, shop):
    is_open = set()
    for rule in app.url_map.iter_rules():
        with app.test_request_context("/", headers={"Sec-Fetch-Site": "same-origin"}):
            request.url_rule = rule
            answer = app.preprocess_request()
            if answer is None:
                is_open.add(rule.endpoint)
            else:
                assert answer.location.startswith("/sign-in")
    assert is_open == {
        "static",
        "sign_in.choose",
        "sign_in.keypad",
        "sign_in.enter",
        "sign_in.sign_out",
        "sign_in.first_visit",
        "sign_in.set_first_pin",
    }


@command("tried")
def _nothing(transaction) -> Answer:
    return Answer(plain("Tried."))


def test_an_act_that_changed_nothing_offers_no_undo(as_owner, shop, owner):
    answer = _nothing(Caller(shop, owner))
    assert 'action="/undo"' not in as_owner.get(f"/office/people?did={answer.act}").text
    assert as_owner.post("/undo", data={"act": str(answer.act)}).status_code == 409
