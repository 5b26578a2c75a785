"""How a stock is cut, on its page of Stock, and the caliper's reading of what lies in the rack."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import HTMX, words

from shopfloor.actions import cutters
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import stock as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.codes import show
from shopfloor.store import cutters as store
from shopfloor.store import ledger, replay, stock

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
SMALL = {
    "name": "small letters",
    "diameter_mm": "3.175",
    "flutes": "1",
    "edge": "up-cut",
    "is_polished": "on",
    "reach_mm": "5",
}
OWN = {
    "key": "k",
    "cutter": "0",
    "rev_per_min": "16000",
    "chip_mm": "0.15",
    "cutting_energy": "0.2",
    "source": "own trials",
}


@pytest.fixture
def cream(shop, operator):
    return acts.add_stock(Caller(shop, operator), CREAM).data["stock"]


def blank_of(shop, operator, cream) -> str:
    return acts.add_blanks(Caller(shop, operator), cream, "1").codes[0]


# How it is cut. -------------------------------------------------------------------------------------------------------


def test_a_stock_is_cut_as_the_shop_cuts_until_its_owner_says_otherwise(as_operator, cream):
    """18,000 rev/min × 2 flutes × 0.1 mm = 3,600 mm/min (textbook: n z f), begun at 70 %.

    0.12 J/mm³ × 6 mm × 6.35 mm × 60 mm/s = 274.32 W."""
    page = words(as_operator.get("/stock/cream-6"))
    for said in (
        "the usual O-flute: 6.35 mm, 2 flutes, straight, polished",
        "18,000 rpm",
        "0.1 mm per tooth, to start with",
        "0.12 J/mm³",
        "Feed 3,600 mm/min",
        "Start at 2,520 mm/min",
        "274 W , 12 % of the spindle's 2,200 W",
        "Source the shop's settings",
        "1 pass",
        "2 passes, the last through the onion skin",
    ):
        assert said in page
    assert "Use the shop's figures" not in page


def test_an_owner_has_a_stock_cut_in_a_way_of_its_own_and_as_usual_again(as_owner, shop, cream):
    """16,000 × 2 × 0.15 = 4,800 mm/min, 70 % of it 3,360; 0.2 × 6 × 6.35 × 80 = 609.6 W."""
    answer = as_owner.post("/stock/cream-6/cutting", data=OWN)
    page = words(as_owner.get(answer.location))
    for said in (
        "The next nest of cream, 6 mm uses these figures",
        "16,000 rpm",
        "0.15 mm per tooth Cutting energy 0.2 J/mm³",
        "Feed 4,800 mm/min",
        "Start at 3,360 mm/min",
        "610 W , 28 %",
        "Source own trials",
    ):
        assert said in page
    assert 'name="source" value="own trials"' in as_owner.get("/stock/cream-6").text
    answer = as_owner.post("/stock/cream-6/cutting/usual", data={"key": "u"})
    page = words(as_owner.get(answer.location))
    assert "uses the shop's figures again" in page
    assert "Source the shop's settings" in page
    assert store.stock_cutting(shop.read(), 1) is None and replay.differences(shop.read()) == []


def test_its_own_cutter_is_named_and_its_cautions_are_told(as_owner, shop, owner, cream):
    id = cutters.add_cutter(Caller(shop, owner), SMALL).data["cutter"]
    as_owner.post("/stock/cream-6/cutting", data={**OWN, "cutter": str(id)})
    answer = as_owner.get("/stock/cream-6")
    page = words(answer)
    assert "small letters: 3.175 mm, 1 flute, up-cut, polished" in page
    assert "The cutter cuts 5 mm deep and the sheet is 6 mm thick. Use a longer cutter." in page
    assert f'<option value="{id}" selected>small letters' in answer.text
    assert "In use for cream-6" in words(as_owner.get("/office/cutters"))


def test_a_stock_without_a_cutter_of_its_own_goes_with_the_shops(as_owner, shop, owner, cream):
    cutters.add_cutter(Caller(shop, owner), {**SMALL, "reach_mm": "20"})
    as_owner.post("/stock/cream-6/cutting", data=OWN)
    as_owner.post("/office/settings", data={"cutter": "1"})
    answer = as_owner.get("/stock/cream-6")
    assert "small letters: 3.175 mm" in words(answer)
    assert """<option value="0" selected>the shop's cutter</option>""" in answer.text.replace(
        "&#39;", "'"
    )


def test_the_passes_are_drawn_to_the_depth_that_each_takes(as_owner, cream):
    """With a 2 mm cutter 6 mm take three passes of 2, with a skin three of 1.867 and one of 0.4."""
    as_owner.post("/office/settings", data={"tool_mm": "2"})
    page = as_owner.get("/stock/cream-6").text
    assert "3 passes" in page and "4 passes, the last through the onion skin" in page
    floors = [float(y) for y in re.findall(r'class="floor" d="M\d+ ([\d.]+)h', page)]
    assert floors == pytest.approx([40, 80, 37.3, 74.7, 112], abs=0.05)
    assert re.findall(r'class="beside">([\d.]+)<', page) == ["0.4"]


def test_where_no_skin_is_left_the_section_shows_the_plain_cut_alone(as_owner, cream):
    as_owner.post("/office/settings", data={"skin_mm": "0"})
    page = as_owner.get("/stock/cream-6").text
    assert page.count('class="slot"') == 1 and "the last a skin" not in page


def test_passes_too_thin_for_words_are_drawn_without_them(as_owner, cream):
    """6 mm with a 0.5 mm cutter: 12 passes of 10 px each; only the last bears its figure, beside it."""
    as_owner.post("/office/settings", data={"tool_mm": "0.5", "skin_mm": "0"})
    page = as_owner.get("/stock/cream-6").text
    assert page.count('class="floor"') == 11 and "12 passes" in page
    assert re.findall(r'class="beside">([\d.]+)<', page) == ["0.5"]


@pytest.mark.parametrize(
    ("wrong", "says", "status"),
    [
        ({"source": " "}, "where these figures come from", 422),
        ({"source": "s" * 81}, "where these figures come from", 422),
        ({"rev_per_min": "fast"}, "from 500 to 60,000", 422),
        ({"chip_mm": "0"}, "from 0.005 to 1", 422),
        ({"cutting_energy": "nan"}, "from 0.01 to 2", 422),
        ({"cutter": "7"}, "off the list", 404),
        ({"cutter": "x"}, "whole number", 422),
    ],
)
def test_figures_that_cannot_be_are_refused_in_one_sentence(
    as_owner, shop, cream, wrong, says, status
):
    before = ledger.newest(shop.read())
    answer = as_owner.post("/stock/cream-6/cutting", data={**OWN, **wrong}, headers=HTMX)
    assert (
        answer.status_code == status
        and says in words(answer)
        and answer.headers["HX-Retarget"] == "#says"
    )
    assert ledger.newest(shop.read()) == before


@pytest.mark.parametrize("letters", [1, 80])
def test_a_source_of_figures_is_as_short_or_long_as_it_may_be(shop, owner, cream, letters):
    cutters.change_stock_cutting(Caller(shop, owner), "cream-6", {**OWN, "source": "s" * letters})
    known = stock.stock_by_code(shop.read(), "cream-6").id
    assert store.stock_cutting(shop.read(), known).source == "s" * letters


def test_a_stock_that_is_not_there_is_not_found(as_owner):
    assert as_owner.post("/stock/plum-6/cutting", data=OWN).status_code == 404
    assert as_owner.post("/stock/plum-6/cutting/usual").status_code == 404


def test_only_an_owner_sees_and_sends_the_form(as_operator, as_owner, cream):
    assert "Change cutting figures" in words(as_owner.get("/stock/cream-6"))
    assert "Change cutting figures" not in words(as_operator.get("/stock/cream-6"))
    assert as_operator.post("/stock/cream-6/cutting", data=OWN).status_code == 403
    assert as_operator.post("/stock/cream-6/cutting/usual").status_code == 403


# The caliper. ---------------------------------------------------------------------------------------------------------


def test_an_operator_types_what_the_caliper_read(as_operator, shop, operator, cream):
    code = blank_of(shop, operator, cream)
    answer = as_operator.post(
        f"/stock/blank/{code}/measured", data={"key": "m", "measured_mm": "6,12"}
    )
    assert answer.location.startswith("/stock/cream-6?did=")
    page = as_operator.get(answer.location)
    assert f"{show(code)} is 6.12 mm thick" in words(page)
    assert 'name="measured_mm" value="6.12"' in page.text
    assert replay.differences(shop.read()) == []


def test_what_a_sheet_may_measure_is_told_by_its_standard(
    as_operator, shop, operator, owner, cream
):
    """Cast 6 mm: ± (0.4 + 0.1 t) = 1.00 (ISO 7823-1); extruded from 3 mm: ± 5 % (ISO 7823-2)."""
    blank_of(shop, operator, cream)
    assert "may measure 5.00 to 7.00 mm (ISO 7823-1)" in words(as_operator.get("/stock/cream-6"))
    acts.change_stock(Caller(shop, owner), cream, {**CREAM, "kind": "extruded"})
    assert "may measure 5.70 to 6.30 mm" in words(as_operator.get("/stock/cream-6"))


def test_an_offcut_is_as_thick_as_the_sheet_that_it_was_cut_from(
    cutting, shop, operator, as_operator
):
    [code] = [code for code in cutting.take_in(20) if len(cutting.codes(code)) == 20]
    db = shop.read()
    sheet = next(row for row in cutting.rows() if row.code == code)
    material = stock.stock(db, sheet.stock)
    acts.add_blanks(Caller(shop, operator), material.code, "1")
    full = db.execute("SELECT code FROM blank WHERE id = ?", (sheet.blank,)).fetchone()[0]
    cutters.measure_blank(Caller(shop, operator), full, "5.9")
    sheet_acts.start(Caller(shop, operator), code)
    sheet_acts.finish(Caller(shop, operator), code)
    sheet_acts.mark_rest_cut(Caller(shop, operator), code, cutting.codes(code))
    offcut = next(blank for blank in stock.blanks_in_rack(db) if blank.is_offcut)
    row = (
        as_operator.get(f"/stock/{material.code}")
        .text.split(f'id="blank-{offcut.code}"')[1]
        .split("</li>")[0]
    )
    assert 'value="5.9"' in row


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2", "far from cream, 6 mm"),
        ("8", "far from cream, 6 mm"),
        ("thick", "type a number"),
        ("", "type a number"),
        ("nan", "type a number"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_in_one_sentence(
    as_operator, shop, operator, cream, text, says
):
    code = blank_of(shop, operator, cream)
    answer = as_operator.post(
        f"/stock/blank/{code}/measured", data={"measured_mm": text}, headers=HTMX
    )
    assert (answer.status_code, says in words(answer)) == (422, True)
    assert store.measured_mm(shop.read(), stock.blank_by_code(shop.read(), code).id) is None


@pytest.mark.parametrize(
    ("kind", "taken", "refused", "range"),
    [
        ("cast", ("4.5", "7.5"), ("4.49", "7.51"), "5.00 to 7.00 mm"),
        ("extruded", ("5.55", "6.45"), ("5.54", "6.46"), "5.70 to 6.30 mm"),
        ("other", ("4.5", "7.5"), ("4.49", "7.51"), "5.00 to 7.00 mm"),
    ],
)
def test_what_lies_one_and_a_half_tolerances_off_is_taken_and_no_more(
    as_operator, shop, operator, owner, cream, kind, taken, refused, range
):
    """6 mm cast: 0.4 + 0.1 × 6 = 1.0 (ISO 7823-1), so 6 ± 1.5; extruded: 5 % = 0.3 (ISO 7823-2), so 6 ± 0.45."""
    acts.change_stock(Caller(shop, owner), cream, {**CREAM, "kind": kind})
    code = blank_of(shop, operator, cream)
    for text in taken:
        assert (
            as_operator.post(
                f"/stock/blank/{code}/measured", data={"measured_mm": text}
            ).status_code
            == 303
        )
    for text in refused:
        answer = as_operator.post(
            f"/stock/blank/{code}/measured", data={"measured_mm": text}, headers=HTMX
        )
        said = f"which may measure {range}. Measure again: it may be another material."
        assert (answer.status_code, said in words(answer)) == (422, True)
    assert store.measured_mm(shop.read(), stock.blank_by_code(shop.read(), code).id) == float(
        taken[1]
    )


def test_no_field_of_a_stock_looks_filled_in_that_is_not(as_owner, shop, operator, cream):
    blank_of(shop, operator, cream)
    for path in ("/stock/new", "/stock/cream-6", "/office/cutters"):
        assert not re.search(r'placeholder="[^"]*\w', as_owner.get(path).text), path
    assert "Such as: own trials, sheet maker." in words(as_owner.get("/stock/cream-6"))


def test_who_may_not_measure_sees_the_reading_and_no_form(
    as_assembler, as_operator, shop, operator, cream
):
    code = blank_of(shop, operator, cream)
    assert "Measured" not in words(as_assembler.get("/stock/cream-6"))
    assert (
        as_assembler.post(f"/stock/blank/{code}/measured", data={"measured_mm": "6"}).status_code
        == 403
    )
    as_operator.post(f"/stock/blank/{code}/measured", data={"measured_mm": "6.2"})
    assert "6.2 mm thick" in words(as_assembler.get("/stock/cream-6"))
    assert as_operator.post(
        "/stock/blank/12345678/measured", data={"measured_mm": "6"}
    ).status_code in (404, 422)
