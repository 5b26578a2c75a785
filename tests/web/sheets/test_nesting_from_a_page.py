"""Pooling and nesting from a page: in the background, with a bar, to the sheet or to a refusal by name."""

from __future__ import annotations

import re
import threading
import time

import pytest
from shop_for_tests import CREAM, HTMX, until_over

from shopfloor import nesting
from shopfloor.actions import sheets as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.outlines import Outline
from shopfloor.web.background import Runs


def begin(client, stock: int, path="/sheets/pool/{}", **data):
    answer = client.post(path.format(stock), data=data)
    assert answer.status_code == 303, answer.text
    return answer.location


@pytest.fixture
def stock(cutting):
    """The id of the letters' stock, of which sixty pieces wait; a planned sheet holds ten others."""
    cutting.take_in(10)
    cutting.take_in(60, nest=False)
    return next(row.stock for row in cutting.rows() if row.code == cutting.sheet_of(CREAM))


def test_what_waits_is_counted_by_stock_and_nested_to_a_sheet_of_its_own(
    cutting, stock, as_operator
):
    assert "60 of cream, 6 mm" in as_operator.get("/sheets").text
    page = as_operator.get(f"/sheets/pool/{stock}").text
    assert "60 pieces" in page and "Rye &amp; Salt Bakery" in page
    end = until_over(as_operator, begin(as_operator, stock, onto="full", key="k1"))
    made = re.search(r"/sheets/(\d{8})\?did=\d+", end.headers["HX-Redirect"])[1]
    assert len(cutting.codes(made)) == 60
    assert "60 pieces are nested on S-203." in as_operator.get(end.headers["HX-Redirect"]).text


def test_a_planned_sheet_is_pooled_with_what_waits(cutting, stock, as_operator):
    planned = cutting.sheet_of(CREAM)
    end = until_over(as_operator, begin(as_operator, stock, onto="full", sheet=planned, key="k1"))
    assert f"/sheets/{planned}?did=" in end.headers["HX-Redirect"]
    assert len(cutting.codes(planned)) == 70
    assert (
        cutting.count("SELECT number FROM nest ORDER BY id DESC LIMIT 1") == 2
    )  # the old nest is kept


def test_the_same_form_sent_twice_makes_one_nesting(cutting, stock, as_operator):
    first = begin(as_operator, stock, onto="full", key="k1")
    assert begin(as_operator, stock, onto="full", key="k1") == first
    until_over(as_operator, first)
    done = cutting.acts
    assert begin(as_operator, stock, onto="full", key="k1") == first
    assert "HX-Redirect" in until_over(as_operator, first).headers and cutting.acts == done


def test_where_nothing_waits_the_refusal_stands_on_the_page_and_asks_no_more(
    cutting, stock, as_operator
):
    until_over(as_operator, begin(as_operator, stock, onto="full", key="k1"))
    done = cutting.acts
    refused = until_over(as_operator, begin(as_operator, stock, onto="full", key="k2"))
    assert "No pieces of cream, 6 mm are waiting for a sheet." in refused.text
    assert "hx-get" not in refused.text and 'href="/sheets"' in refused.text
    assert cutting.acts == done


def test_a_sheet_that_was_started_by_somebody_else_is_left_out_by_name(
    cutting, stock, as_operator, shop, operator
):
    planned = cutting.sheet_of(CREAM)
    acts.start(Caller(shop, operator), planned)
    refused = until_over(
        as_operator, begin(as_operator, stock, onto="full", sheet=planned, key="k1")
    )
    assert "Sheet S-202 is not a planned sheet of this material. Leave it out." in refused.text


def test_what_fits_on_no_sheet_is_named_and_the_rest_goes_on(cutting, as_operator):
    ring = ((0, 0), (3000, 0), (3000, 100), (0, 100))
    long = DrawnOutline(Outline((ring,)), CREAM, "keel", None, 0)
    short = DrawnOutline(
        Outline((tuple((x / 10, y + 200) for x, y in ring),)), CREAM, "short", None, 1
    )
    cutting.take_in(2, nest=False, drawing=Drawing((long, short), 3000, 400, ()))
    stock = cutting.count("SELECT id FROM stock")
    end = until_over(as_operator, begin(as_operator, stock, onto="full", key="k1"))
    page = as_operator.get(end.headers["HX-Redirect"]).text
    assert "1 piece is nested on S-201." in page and "keel" in page and "does not fit" in page
    refused = until_over(as_operator, begin(as_operator, stock, onto="full", key="k2"))
    assert "keel" in refused.text and "does not fit" in refused.text


def test_offcuts_first_takes_the_smallest_that_holds_all(
    cutting, stock, as_operator, shop, operator
):
    planned = cutting.sheet_of(CREAM)
    acts.start(Caller(shop, operator), planned)
    acts.mark_rest_cut(Caller(shop, operator), planned, cutting.codes(planned))
    offcut = cutting.count("SELECT code FROM blank WHERE is_offcut = 1 AND stock = ?", stock)
    assert (
        "Offcuts first: the smallest that fits them all"
        in as_operator.get(f"/sheets/pool/{stock}").text
    )
    until_over(as_operator, begin(as_operator, stock, onto="offcut", key="k1"))
    assert next(row.blank_code for row in cutting.rows() if row.stock == stock) == offcut


def test_the_bar_moves_while_it_works_and_other_pages_go_on(
    cutting, stock, as_operator, monkeypatch
):
    plain, go_on = nesting.nest, threading.Event()

    def slowly(*args, progress=None, **named):
        progress(0.4)
        assert go_on.wait(20)
        return plain(*args, **named)

    monkeypatch.setattr(nesting, "nest", slowly)
    run = begin(as_operator, stock, onto="full", key="k1")
    for _ in range(200):
        bar = as_operator.get(run, headers=HTMX).text
        if 'value="40"' in bar:
            break
        time.sleep(0.02)
    assert 'value="40"' in bar and 'hx-trigger="every 500ms"' in bar
    assert as_operator.get("/sheets").status_code == 200
    go_on.set()
    assert "HX-Redirect" in until_over(as_operator, run).headers


def test_a_nesting_that_breaks_down_says_so_and_leaves_everything_waiting(
    cutting, stock, as_operator, monkeypatch
):
    def broken(*args, **named):
        raise RuntimeError("an invented failure")

    monkeypatch.setattr(nesting, "nest", broken)
    refused = until_over(as_operator, begin(as_operator, stock, onto="full", key="k1"))
    assert "nothing was changed. Try again" in refused.text and "invented" not in refused.text
    assert (
        cutting.count("SELECT count(*) FROM piece WHERE state = 'waiting' AND stock = ?", stock)
        == 60
    )


def test_a_nesting_that_this_server_does_not_know_leads_back_to_the_sheets(as_operator):
    assert as_operator.get("/nests/long-gone", headers=HTMX).headers["HX-Redirect"] == "/sheets"
    assert "the rest still waits" in as_operator.get("/nests/long-gone").text


def test_runs_that_are_over_are_forgotten_when_there_are_many(operator):
    runs = Runs(threads=1)
    ids = [
        runs.begin("nothing", lambda _: "done", by=operator, after="/", key=f"k{n}").id
        for n in range(10)
    ]
    for id in ids:
        while not runs.run(id).is_over:
            time.sleep(0.005)
    many = [runs.begin("nothing", lambda _: "done", by=operator, after="/").id for _ in range(400)]
    assert runs.run(many[-1])
    with pytest.raises(Exception, match="has ended"):
        runs.run(ids[0])
