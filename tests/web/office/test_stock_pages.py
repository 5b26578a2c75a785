"""The Stock pages: what is in the rack, what is booked and to buy, and what is done from them."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import words

from shopfloor.actions import stock as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import ledger, stock

CREAM = dict(
    name="cream",
    colour="#f2e8cf",
    finish="gloss",
    kind="cast",
    thickness_mm="6",
    length_mm="2440",
    width_mm="1220",
    turns="180",
    cost="90",
)


@pytest.fixture
def cream(shop, operator):
    return acts.add_stock(Caller(shop, operator), CREAM).data["stock"]


def test_an_empty_shop_says_so(as_operator):
    page = words(as_operator.get("/stock"))
    assert "No material yet" in page and "Add material" in page


def test_the_list_shows_each_stock_with_its_rack(as_operator, shop, operator, cream):
    acts.add_blanks(Caller(shop, operator), cream, "3")
    acts.add_offcut(Caller(shop, operator), cream, "610", "300")
    page = words(as_operator.get("/stock"))
    for said in (
        "cream, 6 mm",
        "gloss, cast",
        "half a turn only",
        "90.00 a sheet",
        "3 in the rack",
        "0 booked",
        "0 to order",
        "610 × 300",
    ):
        assert said in page
    assert "Order" not in page


def test_the_three_figures_of_a_rack_are_those_of_full_sheets_and_say_so(
    as_operator, shop, operator, cream
):
    acts.add_offcut(Caller(shop, operator), cream, "610", "300")
    for path in ("/stock", "/stock/cream-6"):
        assert "full sheets 0 in the rack 0 booked 0 to order" in words(as_operator.get(path)), path


def test_offcuts_and_sheets_are_drawn_to_one_scale(as_operator, shop, operator, cream):
    acts.add_offcut(Caller(shop, operator), cream, "1220", "610")
    page = as_operator.get("/stock").get_data(as_text=True)
    drawn = re.findall(r'<svg width="(\d+)" height="(\d+)" viewBox="0 0 \1 \2"', page)
    assert drawn == [("220", "110"), ("110", "55")]


def test_a_stock_is_added_from_its_form(as_operator, shop):
    answer = as_operator.post("/stock/new", data={"key": "k", **CREAM}, follow_redirects=True)
    assert "cream-6" in words(answer) and stock.stock_by_code(shop.read(), "cream-6").turns == "180"


def test_sheets_and_offcuts_are_put_in_and_taken_out(as_operator, shop, cream):
    as_operator.post("/stock/cream-6/sheets", data={"key": "1", "count": "2"})
    answer = as_operator.post(
        "/stock/cream-6/offcut", data={"key": "2", "length": "500", "width": "400"}
    )
    page = words(as_operator.get(answer.location))
    assert "Offcut of cream, 6 mm, 500 × 400 mm, is in the rack" in page and "2 in the rack" in page
    offcut = stock.free_blanks(shop.read(), 1, is_offcut=True)[0]
    assert f"/labels/thing/{offcut.code}" in as_operator.get("/stock/cream-6").get_data(
        as_text=True
    )
    as_operator.post(f"/stock/blank/{offcut.code}/gone", data={"key": "3"})
    assert stock.free_blanks(shop.read(), 1, is_offcut=True) == []


def test_the_label_of_a_blank_leads_to_its_place_in_the_rack(as_operator, shop, operator, cream):
    code = acts.add_offcut(Caller(shop, operator), cream, "610", "300").codes[0]
    answer = as_operator.get(f"/stock/blank/{code}")
    assert answer.location == f"/stock/cream-6#blank-{code}"
    assert f'id="blank-{code}"' in as_operator.get("/stock/cream-6").get_data(as_text=True)
    assert as_operator.get("/stock/blank/12345678").status_code in (404, 422)


@pytest.mark.parametrize(
    "way, form",
    [
        ("/stock/new", {**CREAM, "length_mm": "nan"}),
        ("/stock/new", {}),
        ("/stock/cream-6/sheets", {"count": "-1"}),
        ("/stock/cream-6/sheets", {}),
        ("/stock/plum-6/sheets", {"count": "1"}),
        ("/stock/cream-6/offcut", {"length": "1e9", "width": "10"}),
        ("/stock/cream-6/forget", {"colour": "#000000"}),
        ("/stock/blank/12345678/gone", {}),
    ],
)
def test_nonsense_is_refused_in_one_sentence_and_changes_nothing(
    as_operator, shop, cream, way, form
):
    before = ledger.newest(shop.read())
    answer = as_operator.post(way, data={"key": "k", **form}, headers={"HX-Request": "true"})
    assert answer.status_code in (404, 409, 422) and answer.headers["HX-Retarget"] == "#says"
    assert words(answer).endswith(".")
    assert ledger.newest(shop.read()) == before and stock.blanks_in_rack(shop.read()) == []


def test_only_an_owner_sees_and_does_the_changing_of_a_stock(
    as_operator, as_owner, as_assembler, shop, cream
):
    changed = {"key": "k", **CREAM, "cost": "120"}
    assert as_operator.post("/stock/cream-6", data=changed).status_code == 403
    assert "Change this stock" not in words(as_operator.get("/stock/cream-6"))
    assert "Into the rack" not in words(as_assembler.get("/stock/cream-6"))
    assert as_assembler.get("/stock/new").status_code == 403
    assert as_owner.post("/stock/cream-6", data=changed).status_code == 303
    assert stock.stock_by_code(shop.read(), "cream-6").cost == 120


def test_names_are_escaped(as_operator):
    as_operator.post("/stock/new", data={"key": "k", **CREAM, "name": "<i>ivory</i>"})
    page = as_operator.get("/stock").get_data(as_text=True)
    assert "<i>ivory" not in page and "&lt;i&gt;ivory" in page
