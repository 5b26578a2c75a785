"""The Recuts page: the queue by stock, what each recut stops, and its way to a sheet."""

from __future__ import annotations

import html
import re

from shop_for_tests import BLUE, CREAM, HTMX, until_over, words

from shopfloor.actions import nests
from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import sheets as acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import people, replay


def lose(cutting, colour: str, places=(0,), mark="lost") -> list[str]:
    """Cuts the newest sheet of a colour and loses the pieces at `places`; gives the codes of their recuts."""
    sheet = cutting.sheet_of(colour)
    acts.start(Caller(cutting.shop, cutting.by), sheet)
    gone = [cutting.codes(sheet)[place] for place in places]
    recuts = [
        piece_actions.mark(Caller(cutting.shop, cutting.by), [code], mark).data["recuts"][0]
        for code in gone
    ]
    acts.mark_rest_cut(
        Caller(cutting.shop, cutting.by),
        sheet,
        [code for code in cutting.codes(sheet) if code not in gone],
    )
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
    assert [html.unescape(t) for t in re.findall(r'class="next"[^>]*>(Nest [^<]*)<', page)] == [
        "Nest 3 recuts of cream, 6 mm",
        "Nest 1 recut of blue, 6 mm with S-203",
    ]
    assert re.search(r'class="stamp late">due Fri 20 Nov<', page)


def test_each_says_its_attempt_tabs_cause_and_what_it_stops(cutting, as_operator):
    cutting.take_in(6, customer="Rye & Salt")
    (letter,) = lose(cutting, CREAM)
    lose(cutting, BLUE, mark="damaged")
    said = page_says(as_operator)
    assert said.count("Needed for: Set out level 1, J-1001 A, Rye & Salt due Thu 26 Nov") == 0
    assert (
        said.count("Needed for: Set out level 1, J-1001 A, Rye & Salt") == 2
    )  # the board is what the letters lie on
    assert "Recut 1, 2 tabs; the last one was lost: went down the hose" in said
    tabs = round((2 * 1200 + 2 * 120) / 150)  # about one each 150 mm of outline: common practice
    assert f"Recut 1, {tabs} tabs; the last one was damaged: chipped on the router" in said
    assert f"{letter[:4]} {letter[4:]}" in said and "due Thu 26 Nov" in said


def test_recuts_are_nested_on_the_smallest_offcut_that_holds_them_and_marked_as_any_sheet(
    cutting, as_operator
):
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
    acts.start(Caller(cutting.shop, cutting.by), sheet)
    acts.mark_rest_cut(Caller(cutting.shop, cutting.by), sheet, recuts)
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


def test_a_recut_that_was_found_by_somebody_else_refuses_the_nesting_with_the_way_back(
    cutting, as_operator
):
    cutting.take_in(6)
    sheet = cutting.sheet_of(CREAM)
    recuts = lose(cutting, CREAM)
    stock = int(re.search(r"/recuts/nest/(\d+)", as_operator.get("/recuts").text)[1])
    piece = next(code for code, state in cutting.states(sheet).items() if state == "lost")
    piece_actions.mark(Caller(cutting.shop, cutting.by), [piece], "found")
    run = as_operator.post(f"/recuts/nest/{stock}", data={"codes": recuts[0], "key": "k1"}).location
    refused = until_over(as_operator, run)
    assert (
        "No pieces of cream, 6 mm are waiting for a sheet." in refused.text
        and 'href="/recuts"' in refused.text
    )


# Now or wait. A set-up of 15 min at 40 an hour costs 10; of 4 sheets a day the second planned one is 0.5 days away. --------


def verdict(client) -> str:
    """What the page says of the cream recuts: now or wait."""
    page = client.get("/recuts").text
    advice = re.search(
        r'<h2>cream, 6 mm</h2>.*?class="verdict now-or-wait">([^<]*)<', page, re.DOTALL
    )
    return html.unescape(advice[1])


def hurried(cutting, letters: int = 6) -> list[str]:
    """A sign that is due tomorrow lacks a letter and has all else in hand; its recut."""
    cutting.take_in(letters, due="2026-11-26")
    lose(cutting, BLUE, ())
    return lose(cutting, CREAM)


def planned(cutting, late_day="25", due="2026-12-11") -> str:
    """One more job is planned on two sheets, blue and then cream; gives the code of the second."""
    setting_acts.change_settings(
        Caller(cutting.shop, people.owner_by(cutting.shop.read(), "test")),
        {"late_day_cost": late_day},
    )
    cutting.take_in(5, due=due, customer="Library")
    return cutting.sheet_of(CREAM)


def test_with_no_sheet_planned_a_sign_with_little_slack_is_cut_now(cutting, as_operator):
    cutting.take_in(6, due="2026-11-30")  # in 5 days, less 1 for the recut and 2 at the bench: 2
    lose(cutting, CREAM)
    assert verdict(as_operator) == (
        "Cut now: no other sheet of this material is planned, and 1 sign has less than 3 days to spare after cutting and bench work."
    )


def test_with_no_sheet_planned_a_sign_with_slack_waits_for_company(cutting, as_operator):
    cutting.take_in(6, due="2026-12-04")  # in 9 days, less 3
    lose(cutting, CREAM)
    assert verdict(as_operator) == (
        "Can wait up to 6 days for more pieces: no other sheet of this material is planned, and no sign will be late."
    )


def test_late_days_that_cost_more_than_a_set_up_are_cut_now(cutting, as_operator):
    hurried(cutting)
    sheet = planned(cutting)
    assert verdict(as_operator) == (
        "Cut now: a set-up costs 10.00; waiting for S-204 would make 1 sign 0.5 days late, which costs 12.50."
    )
    page = as_operator.get("/recuts").text
    assert 'class="next">Nest 1 recut of cream, 6 mm<' in page
    assert f'class="act wide" name="with" value="{sheet}">With S-' in page


def test_a_set_up_that_costs_more_waits_for_the_planned_sheet_which_the_large_button_takes(
    cutting, as_operator
):
    recuts = hurried(cutting)
    sheet = planned(cutting, late_day="15")
    theirs = cutting.codes(sheet)
    assert verdict(as_operator) == (
        "Wait for S-204: a set-up costs 10.00; waiting makes 1 sign 0.5 days late, which costs only 7.50."
    )
    page = as_operator.get("/recuts").text
    assert f'class="next" name="with" value="{sheet}">Nest 1 recut of cream, 6 mm with S-' in page
    stock = int(re.search(r"/recuts/nest/(\d+)", page)[1])
    form = {"codes": recuts[0], "with": sheet, "key": "k"}
    end = until_over(as_operator, as_operator.post(f"/recuts/nest/{stock}", data=form).location)
    assert re.search(r"/sheets/(\d{8})", end.headers["HX-Redirect"])[1] == sheet, (
        "the same sheet, nested again"
    )
    assert sorted(cutting.codes(sheet)) == sorted([*theirs, *recuts])
    assert "No recut waits for a sheet" in as_operator.get("/recuts").text
    assert replay.differences(cutting.shop.read()) == []


def test_on_a_sheet_of_their_own_the_planned_sheet_stays_as_it_is(cutting, as_operator):
    recuts = hurried(cutting)
    sheet = planned(cutting, late_day="15")
    theirs = cutting.codes(sheet)
    page = as_operator.get("/recuts").text
    assert ">On their own sheet<" in page
    stock = int(re.search(r"/recuts/nest/(\d+)", page)[1])
    run = as_operator.post(f"/recuts/nest/{stock}", data={"codes": recuts[0], "key": "k"}).location
    own = re.search(r"/sheets/(\d{8})", until_over(as_operator, run).headers["HX-Redirect"])[1]
    assert own != sheet and cutting.codes(own) == recuts and cutting.codes(sheet) == theirs


def test_a_planned_sheet_that_was_started_by_somebody_else_is_not_nested_again(
    cutting, as_operator
):
    recuts = hurried(cutting)
    sheet = planned(cutting)
    stock = int(re.search(r"/recuts/nest/(\d+)", as_operator.get("/recuts").text)[1])
    acts.start(Caller(cutting.shop, cutting.by), sheet)
    form = {"codes": recuts[0], "with": sheet, "key": "k"}
    refused = until_over(as_operator, as_operator.post(f"/recuts/nest/{stock}", data=form).location)
    assert "Sheet S-204 is not a planned sheet of this material. Leave it out." in refused.text


def test_two_signs_that_wait_cost_twice_and_each_counts_once(cutting, as_operator):
    cutting.take_in(8, due="2026-11-26")
    cutting.take_in(6, due="2026-11-26")
    sheets = [row.code for row in cutting.rows() if cutting.stock(row.stock).colour == CREAM]
    for sheet in [row.code for row in cutting.rows()]:
        acts.start(Caller(cutting.shop, cutting.by), sheet)
    for sheet in sheets:
        piece_actions.mark(Caller(cutting.shop, cutting.by), cutting.codes(sheet)[:2], "lost")
    planned(
        cutting
    )  # its intake would have taken recuts of cream along that waited without their sheet being cut
    assert verdict(as_operator) == (
        "Cut now: a set-up costs 10.00; waiting for S-206 would make 2 signs 1 day late in all, which costs 25.00."
    )


def test_a_sign_on_hold_can_wait(cutting, as_operator, assembler):
    hurried(cutting)
    planned(cutting)
    sign_acts.hold(Caller(cutting.shop, assembler), 1)
    assert (
        verdict(as_operator)
        == "Wait for S-204: a set-up costs 10.00, and waiting makes no sign late."
    )
    assert "Needed for: Set out level 1" in page_says(as_operator), (
        "the page still says what it holds up"
    )


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


def test_the_third_piece_of_a_part_is_its_second_recut(cutting, as_operator):
    cutting.take_in(6)
    (letter,) = lose(cutting, CREAM)
    assert "Recut 1, 2 tabs" in page_says(as_operator)
    stock = int(re.search(r"/recuts/nest/(\d+)", as_operator.get("/recuts").text)[1])
    nests.plan(Caller(cutting.shop, cutting.by), stock, codes=[letter], on_offcuts=True)
    piece_actions.mark(Caller(cutting.shop, cutting.by), [letter], "lost")
    assert "Recut 2, 2 tabs" in page_says(as_operator)
