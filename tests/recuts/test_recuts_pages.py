"""The Recuts page: the queue by stock, what each recut stops, and its way to a sheet."""

from __future__ import annotations

import html
import re

import pytest
from shop_for_tests import BLUE, CREAM, HTMX, until_over, words

from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import sheets as acts
from shopfloor.domain.recuts import nth


def lose(cutting, colour: str, places=(0,), mark="lost") -> list[str]:
    """Cuts the newest sheet of a colour and loses the pieces at `places`; gives the codes of their recuts."""
    sheet = cutting.sheet_of(colour)
    acts.start(cutting.desk, cutting.by, sheet)
    gone = [cutting.codes(sheet)[place] for place in places]
    recuts = [piece_actions.mark(cutting.desk, cutting.by, [code], mark).data["recuts"][0] for code in gone]
    acts.mark_rest_cut(cutting.desk, cutting.by, sheet, [code for code in cutting.codes(sheet) if code not in gone])
    return recuts


def page_says(client) -> str:
    """What the page says."""
    return words(client.get("/recuts"), with_drawings=False)


def order(page: str) -> list[str]:
    return re.findall(r'id="recut-row-(\d{8})"', page)


def test_the_queue_is_by_stock_and_the_oldest_due_date_comes_first(cutting, as_operator):
    cutting.take_in(6, due="2026-12-04", customer="Boat Yard")
    late_board, late_letter = lose(cutting, BLUE), lose(cutting, CREAM)
    cutting.take_in(6, due="2026-11-20", customer="Library")
    letters = lose(cutting, CREAM, (1, 2))
    page = as_operator.get("/recuts").text
    assert order(page)[:2] == sorted(letters, key=order(page).index)
    assert set(order(page)[:2]) == set(letters)
    assert order(page)[2:] == [*late_letter, *late_board]
    assert [html.unescape(t) for t in re.findall(r'class="next">([^<]*)<', page)] == [
        "Nest 3 recuts of cream, 6 mm", "Nest 1 recut of blue, 6 mm",
    ]  # fmt: skip
    assert re.search(r'class="stamp late">due Fri 20 Nov<', page)


def test_each_says_its_attempt_tabs_cause_and_what_it_stops(cutting, as_operator):
    cutting.take_in(6, customer="Rye & Salt")
    (letter,), (board,) = lose(cutting, CREAM), lose(cutting, BLUE, mark="damaged")
    said = page_says(as_operator)
    assert said.count("stops: lay out level 1 of J-1001 A, Rye & Salt due Thu 26 Nov") == 0
    assert said.count("stops: lay out level 1 of J-1001 A, Rye & Salt") == 2  # the board is what the letters lie on
    assert "second attempt, 2 tabs; the last one is lost: went down the hose" in said
    tabs = round((2 * 1200 + 2 * 120) / 150)  # about one each 150 mm of outline: design, section 8
    assert f"second attempt, {tabs} tabs; the last one is damaged: chipped on the router" in said
    assert f"{letter[:4]} {letter[4:]}" in said and "due Thu 26 Nov" in said


def test_recuts_are_nested_on_the_smallest_offcut_that_holds_them_and_marked_as_any_sheet(cutting, as_operator):
    cutting.take_in(6)
    recuts = lose(cutting, CREAM, (0, 3))
    page = as_operator.get("/recuts").text
    stock = int(re.search(r"/recuts/nest/(\d+)", page)[1])
    codes = re.search(r'name="codes" value="([\d ]*)"', page)[1]
    assert set(codes.split()) == set(recuts)
    offcut = cutting.count("SELECT code FROM blank WHERE is_offcut = 1 AND stock = ?", stock)
    run = as_operator.post(f"/recuts/nest/{stock}", data={"codes": codes, "key": "k1"}).location
    end = until_over(as_operator, run)
    sheet = re.search(r"/sheets/(\d{8})", end.headers["HX-Redirect"])[1]
    assert set(cutting.codes(sheet)) == set(recuts)
    assert next(row.blank_code for row in cutting.rows() if row.code == sheet) == offcut
    page = as_operator.get("/recuts").text
    assert "No recut waits for a sheet" in page and "On a sheet already" in page
    assert f'href="/sheets/{sheet}"' in page and "S-203: planned" in page
    acts.start(cutting.desk, cutting.by, sheet)
    acts.mark_rest_cut(cutting.desk, cutting.by, sheet, recuts)
    assert set(cutting.states(sheet).values()) == {"cut"}  # its tabs are still to be trimmed
    assert order(as_operator.get("/recuts").text) == []


def test_only_the_recuts_that_the_button_showed_are_nested(cutting, as_operator):
    cutting.take_in(6)
    shown = lose(cutting, CREAM)
    stock = int(re.search(r"/recuts/nest/(\d+)", as_operator.get("/recuts").text)[1])
    cutting.take_in(6)
    later = lose(cutting, CREAM)
    run = as_operator.post(f"/recuts/nest/{stock}", data={"codes": shown[0], "key": "k1"}).location
    sheet = re.search(r"/sheets/(\d{8})", until_over(as_operator, run).headers["HX-Redirect"])[1]
    assert cutting.codes(sheet) == shown
    assert order(as_operator.get("/recuts").text)[:1] == later


def test_a_recut_that_was_found_meanwhile_refuses_the_nesting_with_the_way_back(cutting, as_operator):
    cutting.take_in(6)
    sheet = cutting.sheet_of(CREAM)
    recuts = lose(cutting, CREAM)
    stock = int(re.search(r"/recuts/nest/(\d+)", as_operator.get("/recuts").text)[1])
    piece = next(code for code, state in cutting.states(sheet).items() if state == "lost")
    piece_actions.mark(cutting.desk, cutting.by, [piece], "found")
    run = as_operator.post(f"/recuts/nest/{stock}", data={"codes": recuts[0], "key": "k1"}).location
    refused = until_over(as_operator, run)
    assert "Nothing of cream, 6 mm waits for a sheet." in refused.text and 'href="/recuts"' in refused.text


def test_an_assembler_sees_the_queue_without_its_buttons(cutting, as_assembler):
    cutting.take_in(6)
    recuts = lose(cutting, CREAM)
    page = as_assembler.get("/recuts").text
    assert order(page) == recuts and "Nest 1 recut" not in page


def test_nothing_is_sent_when_nothing_changed(cutting, as_operator):
    fresh = as_operator.get("/recuts/now", headers=HTMX)
    seen = re.search(r"seen=([\w.]+)", fresh.text)[1]
    assert as_operator.get(f"/recuts/now?seen={seen}", headers=HTMX).status_code == 204
    cutting.take_in(6)
    lose(cutting, CREAM)
    assert as_operator.get(f"/recuts/now?seen={seen}", headers=HTMX).status_code == 200


def test_names_are_escaped(cutting, as_operator):
    cutting.take_in(6, customer="<script>alert(1)</script>")
    lose(cutting, CREAM)
    page = as_operator.get("/recuts").text
    assert "<script>alert" not in page and "&lt;script&gt;alert(1)" in page


@pytest.mark.parametrize(("attempt", "said"), [(2, "second attempt"), (5, "fifth attempt"), (11, "attempt 11")])
def test_attempts_are_said_in_words(attempt, said):
    assert nth(attempt) == said
