"""Through the pages: a drawing is sent, looked at, confirmed, and is a job with planned sheets."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import words

from shopfloor.actions import nests, settings
from shopfloor.actions import stock as stock_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.errors import Refused
from shopfloor.store import jobs, pieces, sheets, stock
from tests.web.jobs.conftest import BOARD, ONE_SIGN, TWO_SIGNS, Tablet, svg


def a_stock(shop, by, name: str, colour: str) -> str:
    values = dict(
        name=name,
        colour=colour,
        finish="gloss",
        kind="cast",
        thickness_mm="6",
        length_mm="2440",
        width_mm="1220",
        turns="any",
        cost="90",
    )
    return stock_acts.add_stock(Caller(shop, by), values).data["stock"]


def test_a_drawing_becomes_a_job_with_planned_sheets(tablet, shop, owner):
    settings.change_settings(
        Caller(shop, owner), {"nest_seconds": "0.5"}
    )  # a real nest, as short as may be
    path = tablet.take_in(ONE_SIGN)
    job = jobs.job_by_number(shop.read(), path.rsplit("/")[-1])
    assert (job.customer, job.title, job.due, job.state) == (
        "Harbour Office",
        "Door sign",
        "2026-12-02",
        "open",
    )
    planned = sheets.rows_of_job(shop.read(), job.id)
    assert [(row.state, row.pieces) for row in planned] == [("planned", 1), ("planned", 1)]
    page = words(tablet.client.get(path))
    assert "0 of 2 pieces in hand" in page and all(row.number in page for row in planned)


def test_the_proposal_draws_each_sign_with_its_sizes_parts_and_levels(tablet):
    page = tablet.client.get(tablet.proposal(TWO_SIGNS))
    signs = page.get_data(as_text=True).split('class="shapes"')[0]
    assert signs.count('<svg class="sign"') == 2
    assert words(page).count("2 parts on 2 levels") == 2
    assert signs.count("400 mm") == 2 and signs.count("200 mm") == 2


def test_a_drawing_is_never_served_back_as_it_came(tablet, app):
    mark = "a title that only the file holds"
    path = tablet.proposal(svg(BOARD + f"<desc>{mark}</desc>"))
    sha256 = path.rsplit("/")[-1]
    ways = [
        path,
        f"{path}?file=1",
        f"/jobs/{sha256}",
        f"/static/{sha256}",
        f"/jobs/new/{sha256}.svg",
    ]
    for way in ways:
        assert mark not in tablet.client.get(way).get_data(as_text=True)


def test_the_stock_that_was_chosen_is_chosen_the_next_time(tablet, shop, owner, plain_nests):
    a_stock(shop, owner, "red", "#aa0000")
    wine = stock.stock_by_code(shop.read(), a_stock(shop, owner, "wine", "#550000"))
    tablet.take_in(ONE_SIGN, **{"stock-8c2f39": str(wine.id)})
    page = tablet.client.get(tablet.proposal(TWO_SIGNS)).get_data(as_text=True)
    assert re.search(rf'name="stock-8c2f39" value="{wine.id}" required checked', page)
    assert stock.stock_for_colour(shop.read(), "#8c2f39") == wine


def test_where_no_stock_was_chosen_before_nothing_is_chosen_for_the_person(tablet, shop, owner):
    a_stock(shop, owner, "green", "#00aa00")
    page = tablet.client.get(tablet.proposal()).get_data(as_text=True)
    assert not re.search(r'name="stock-[^>]*checked', page)


def test_a_new_stock_takes_the_default_size(tablet, shop, plain_nests):
    tablet.take_in(ONE_SIGN)
    sizes = {(s.length_mm, s.width_mm, s.thickness_mm) for s in stock.all_stocks(shop.read())}
    assert sizes == {(2440, 1220, 6)}


def test_a_quantity_multiplies_the_signs(tablet, shop, plain_nests):
    path = tablet.take_in(ONE_SIGN, quantity="3")
    job = jobs.job_by_number(shop.read(), path.rsplit("/")[-1])
    signs = jobs.signs_of_job(shop.read(), job.id)
    assert [sign.mark for sign in signs] == ["A", "B", "C"]
    assert sum(len(pieces.of_sign(shop.read(), sign.id)) for sign in signs) == 6


def test_two_signs_are_joined_into_one(tablet, shop, plain_nests):
    path = tablet.proposal(TWO_SIGNS)
    page = tablet.client.get(f"{path}?one=0&one=1")
    assert "4 parts on 2 levels" in words(page) and "900 mm" in words(page)
    assert 'name="join" value="0-1"' in page.get_data(as_text=True)
    job = tablet.job(tablet.order(path, join="0-1"))
    made = jobs.signs_of_job(shop.read(), jobs.job_by_number(shop.read(), job.rsplit("/")[-1]).id)
    assert [(sign.width_mm, sign.levels) for sign in made] == [(900, 2)]


def test_a_joined_sign_is_taken_apart_again(tablet):
    path = tablet.proposal(TWO_SIGNS)
    page = tablet.client.get(f"{path}?join=0-1", headers={"HX-Request": "true"}).get_data(
        as_text=True
    )
    apart = re.search(r'href="([^"]+)"[^>]*>Split again', page).group(1)
    assert words(tablet.client.get(apart.replace("&amp;", "&"))).count("2 parts on 2 levels") == 2


@pytest.mark.parametrize("join", ["x", "1-", "-1", "0;;1", "0-99999", "9" * 5000, "0,7"])
def test_a_join_that_no_page_wrote_is_refused(tablet, whole, join):
    path = tablet.proposal(TWO_SIGNS)
    before = whole()
    assert tablet.client.get(path, query_string={"join": join}).status_code == 422
    assert tablet.order(path, join=join).status_code == 422
    assert whole() == before


def test_the_same_form_sent_twice_makes_one_job(tablet, shop, plain_nests):
    path = tablet.proposal()
    first, second = tablet.order(path), tablet.order(path)
    assert tablet.job(first) == tablet.job(second)
    assert len(jobs.open_jobs(shop.read())) == 1


def test_the_same_form_sent_again_after_the_server_was_started_anew_makes_one_job(
    tablet, app, shop, plain_nests
):
    path = tablet.proposal()
    first = tablet.job(tablet.order(path))
    del app.extensions["runs"]  # what a new process knows of earlier runs
    assert tablet.job(tablet.order(path)) == first
    assert len(jobs.open_jobs(shop.read())) == 1 and len(sheets.rows_of_job(shop.read(), 1)) == 2


def test_pieces_that_fit_on_no_sheet_are_named_and_the_rest_goes_on(tablet, shop, plain_nests):
    rail = '<rect x="0" y="300" width="2800" height="40" fill="#8c2f39"><title>rail</title></rect>'
    path = tablet.proposal(svg(BOARD + rail, 2800, 400))
    run = tablet.order(path)
    job = tablet.job(run)
    seen = tablet.client.get(run.location, follow_redirects=True)
    assert "'rail'" in words(seen) and "1 piece waits for a sheet" in words(seen)
    assert (
        len(
            sheets.rows_of_job(shop.read(), jobs.job_by_number(shop.read(), job.rsplit("/")[-1]).id)
        )
        == 2
    )


def test_what_goes_wrong_in_the_background_is_told_with_the_way_back(tablet, monkeypatch):
    def crowded(*_, **__):
        raise Refused("Another job was added: confirm once more.")

    monkeypatch.setattr("shopfloor.web.jobs.intake.actions.intake", crowded)
    answer = tablet.order(tablet.proposal(), customer="Harbour & Sons")
    for _ in range(200):
        page = tablet.client.get(answer.location).get_data(as_text=True)
        if "confirm once more" in page:
            break
    back = re.search(r'class="next" href="([^"]+)"', page).group(1).replace("&amp;", "&")
    form = tablet.client.get(back).get_data(as_text=True)
    assert 'value="Harbour &amp; Sons"' in form and 'value="2026-12-02" required checked' in form


# Refusals -------------------------------------------------------------------------------------------------------------

BOMB = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>
<svg xmlns="http://www.w3.org/2000/svg" width="9mm"><title>&c;</title></svg>"""
OUTSIDE = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>
<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><title>&x;</title><rect width="9" height="9"/></svg>"""
BAD_DRAWINGS = {
    "empty": (b"", "empty.svg"),
    "not a drawing": (b"the quick brown fox", "note.svg"),
    "a PDF": (b"%PDF-1.7 ...", "sign.svg"),
    "broken XML": (b"<svg xmlns='http://www.w3.org/2000/svg'><rect", "broken.svg"),
    "an entity bomb": (BOMB, "bomb.svg"),
    "an external entity": (OUTSIDE, "outside.svg"),
    "live text": (svg(BOARD + '<text x="5" y="30">OPEN</text>'), "text.svg"),
    "an open outline": (
        svg('<path d="M0 0L50 0L50 50" fill="none" stroke="#123456"/>'),
        "open.svg",
    ),
    "nothing in it": (svg(""), "nothing.svg"),
    "zero area": (svg('<rect width="0" height="50" fill="#123456"/>'), "flat.svg"),
    "wrong units": (svg(BOARD).replace(b"900mm", b"900parsec"), "units.svg"),
}


@pytest.mark.parametrize("drawing, name", BAD_DRAWINGS.values(), ids=BAD_DRAWINGS)
def test_a_bad_drawing_is_refused_in_one_sentence_and_nothing_is_kept(tablet, whole, drawing, name):
    before = whole()
    answer = tablet.send(drawing, name, **{"HX-Request": "true"})
    assert answer.status_code == 422
    assert answer.headers["HX-Retarget"] == "#says"
    sentence = words(answer)
    assert sentence.endswith(".") and 20 < len(sentence) < 200 and "Traceback" not in sentence
    assert whole() == before


def test_no_file_at_all_is_refused(tablet, whole):
    before = whole()
    answer = tablet.client.post("/jobs/new", data={"key": "k"})
    assert answer.status_code == 422 and "Choose a drawing first" in words(answer)
    assert whole() == before


@pytest.mark.parametrize(
    "field, value, sentence",
    [
        ("customer", " ", "Enter the customer"),
        ("customer", "x" * 81, "Enter the customer"),
        ("title", "", "Give the job a title"),
        ("when", None, "No due date yet"),
        ("when", "soon", "is not a date"),
        ("when", "2026-02-30", "is not a date"),
        ("quantity", "0", "The quantity: type a whole number from 1 to 500"),
        ("quantity", "-3", "The quantity: type a whole number from 1 to 500"),
        ("quantity", "1.5", "The quantity: type a whole number from 1 to 500"),
        ("quantity", "nan", "The quantity: type a whole number from 1 to 500"),
        ("quantity", "1e9", "The quantity: type a whole number from 1 to 500"),
        ("quantity", "501", "The quantity: type a whole number from 1 to 500"),
        ("stock-8c2f39", None, "Choose the material"),
        ("stock-8c2f39", "9999", "Material not found"),
        ("stock-8c2f39", "1 OR 1=1", "Choose the material"),
    ],
)
def test_a_bad_order_is_refused_in_one_sentence_and_changes_nothing(
    tablet, whole, field, value, sentence
):
    path = tablet.proposal()
    before = whole()
    answer = tablet.order(path, **{field: value})
    assert answer.status_code in (404, 422) and sentence in words(answer)
    assert whole() == before


def test_a_drawing_that_was_never_sent_is_asked_for_again(tablet):
    answer = tablet.client.get("/jobs/new/" + "0" * 64)
    assert answer.status_code == 404 and "Upload it again" in words(answer)
    assert tablet.order("/jobs/new/" + "0" * 64).status_code == 404


def test_an_assembler_does_not_take_drawings_in(tablet, as_assembler, whole):
    path = tablet.proposal()
    before = whole()
    theirs = Tablet(as_assembler)
    assert [theirs.client.get("/jobs/new").status_code, theirs.send(ONE_SIGN).status_code] == [
        403,
        403,
    ]
    assert [theirs.client.get(path).status_code, theirs.order(path).status_code] == [403, 403]
    assert "New job" not in words(theirs.client.get("/jobs"))
    assert whole() == before


def test_names_from_a_drawing_and_a_form_are_escaped(tablet, plain_nests):
    evil = svg(BOARD.replace("/>", "><title>&lt;script&gt;x&lt;/script&gt;</title></rect>", 1))
    path = tablet.proposal(evil)
    job = tablet.job(tablet.order(path, customer="<script>y</script>", title="<b>z</b>"))
    for way in (path, job, "/jobs"):
        page = tablet.client.get(way).get_data(as_text=True)
        assert "<script>x" not in page and "<script>y" not in page and "<b>z" not in page


def test_planning_is_asked_for_the_stocks_of_the_job_only(tablet, monkeypatch, plain_nests):
    asked = []
    real = nests.plan
    monkeypatch.setattr(
        nests, "plan", lambda *args, **named: asked.append(named["seconds"]) or real(*args, **named)
    )
    tablet.take_in(ONE_SIGN)
    assert asked == [5.0, 5.0]
