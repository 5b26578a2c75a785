"""How a sheet's pieces are held, on a page of its own and on the sheet's page, through the client.

No source outside the project.
"""

from __future__ import annotations

import html
import re

import pytest
from holding_for_tests import (
    DOT,
    LARGE,
    LETTER,
    MIXED,
    SMALL,
    SQUARES,
    cut,
    kept,
    named,
    take_in,
    ways,
)
from shop_for_tests import HTMX, words

from shopfloor.actions import holding as acts
from shopfloor.actions import nests
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import ledger, replay, sheets
from shopfloor.wording.formatting import fine_percent

ORDER = ["full", "skin", "tabs", "tape"]


@pytest.fixture
def mixed(cutting):
    """A planned sheet with a dot, small squares, letters and a large square."""
    return take_in(cutting, MIXED)


@pytest.fixture
def after_a_bad_sheet(cutting, shop, operator):
    """(the bad sheet, the next one): on the first 14 of 20 squares were lost with a skin pass; the next is planned so."""
    bad, following = take_in(cutting, SQUARES), take_in(cutting, SQUARES)
    cut(shop, operator, bad, lost=cutting.codes(bad)[:14])
    return bad, following


def number(shop, code: str) -> str:
    return sheets.sheet_by_code(shop.read(), code).number


def groups(answer) -> dict[str, str]:
    """The page's groups of like pieces, as markup, by the name of their pieces and in the page's order."""
    found = re.findall(r'<li class="held-group">(.*?)</li>', answer.text, re.DOTALL)
    return {html.unescape(re.search(r"<b>(.*?)</b>", group)[1]): group for group in found}


def buttons(group: str) -> dict[str, str]:
    """The buttons of a group, as markup, by what they send; the advised one by 'advised'."""
    found = re.findall(r'<button class="way".*?</button>', group, re.DOTALL)
    return {re.search(r'value="(\w+)"', one)[1]: one for one in found}


def choose(client, sheet: str, codes, way: str, **headers):
    return client.post(
        f"/sheets/{sheet}/holding", data={"codes": " ".join(codes), "way": way}, headers=headers
    )


def sentence(answer) -> str:
    """The line at the head of the page, which a refusal is put into."""
    assert answer.headers["HX-Retarget"] == "#says"
    return words(answer)


# The page. ------------------------------------------------------------------------------------------------------------


def test_like_pieces_stand_together_the_worst_held_first(mixed, as_operator):
    page = as_operator.get(f"/sheets/{mixed}/holding")
    assert page.status_code == 200
    assert list(groups(page)) == ["15 x 15 × 3", "7 x 7", "30 x 60 × 3", "150 x 150"]


def test_each_way_that_can_be_had_is_a_button_with_its_chance_and_what_it_costs(
    mixed, cutting, shop, as_operator
):
    page = as_operator.get(f"/sheets/{mixed}/holding")
    small = buttons(groups(page)["15 x 15 × 3"])
    assert list(small) == ["full", "skin", "advised", "tape"]
    held = kept(shop, mixed)[named(cutting, mixed, SMALL)[0]]
    advised = small["advised"]
    assert (
        'aria-pressed="true"' in advised
        and "<i>advised</i>" in advised
        and f"{fine_percent(held.chance)} lost" in advised
    )
    assert re.search(r"Likely cost \d+\.\d\d<", advised) and re.search(
        r"[\d.]+ to [\d.]+ %", advised
    )
    assert sum("aria-pressed" in one for one in small.values()) == 1
    assert html.unescape(groups(page)["15 x 15 × 3"]).count(str(held.why)) == 1


def test_where_no_tab_has_room_the_page_says_so_in_place_of_the_button(mixed, as_operator):
    group = groups(as_operator.get(f"/sheets/{mixed}/holding"))["7 x 7"]
    assert list(buttons(group)) == ["full", "skin", "advised"]
    assert "No edge is straight enough for a 6 mm tab. Use tape." in group


def test_the_margins_of_the_vacuum_alone_are_shown(mixed, cutting, shop, as_operator):
    page = words(as_operator.get(f"/sheets/{mixed}/holding"))
    lying = acts.placed_pieces(shop.read(), sheets.sheet_by_code(shop.read(), mixed))
    inputs = acts.read_inputs(
        shop.read(),
        cutting.stock(sheets.sheet_by_code(shop.read(), mixed).stock),
        [one.piece for one in lying],
        shop.clock().date(),
    )
    for choice in acts.choices(inputs, lying):
        assert (
            f"safety factor {choice.safety_factors['full']:.2g} in a full pass, {choice.safety_factors['skin']:.2g} with an onion skin"
            in page
        )
    assert "blower, 8.0 inHg at the sheet" in page


def test_a_choice_is_pressed_called_overruled_and_goes_back(mixed, cutting, shop, as_owner):
    small = named(cutting, mixed, SMALL)
    answer = choose(as_owner, mixed, small, "skin", **HTMX)
    assert answer.status_code == 200 and "Now held with an onion skin: 3 pieces of sheet" in words(
        answer
    )
    group = groups(answer)["15 x 15 × 3"]
    assert "<b>Overruled.</b>" in group
    assert [value for value, one in buttons(group).items() if "aria-pressed" in one] == ["skin"]
    back = choose(as_owner, mixed, small, "advised", **HTMX)
    assert "Overruled." not in back.text and {ways(shop, mixed)[code] for code in small} == {"tabs"}


def test_a_form_without_htmx_goes_back_to_the_page_and_tells(mixed, cutting, as_owner):
    answer = choose(as_owner, mixed, named(cutting, mixed, LETTER), "tape")
    assert answer.status_code == 303 and f"/sheets/{mixed}/holding?did=" in answer.location
    assert "Now held with tape: 3 pieces" in words(as_owner.get(answer.location))


def test_the_pieces_of_a_group_that_were_chosen_apart_stand_apart(mixed, cutting, as_owner):
    first, *others = named(cutting, mixed, SMALL)
    choose(as_owner, mixed, [first], "full")
    small = [
        group
        for name, group in groups(as_owner.get(f"/sheets/{mixed}/holding")).items()
        if name.startswith("15 x 15")
    ]
    codes = {
        tuple(sorted(re.search(r'name="codes" value="([\d ]*)"', group)[1].split()))
        for group in small
    }
    assert codes == {(first,), tuple(sorted(others))}


def test_nothing_is_sent_when_nothing_changed(mixed, cutting, as_owner):
    fresh = as_owner.get(f"/sheets/{mixed}/holding/now", headers=HTMX)
    seen = re.search(r"seen=([\w.]+)", fresh.text)[1]
    same = as_owner.get(f"/sheets/{mixed}/holding/now?seen={seen}", headers=HTMX)
    assert (fresh.status_code, same.status_code, same.data) == (200, 204, b"")
    choose(as_owner, mixed, named(cutting, mixed, LETTER), "tape")
    assert as_owner.get(f"/sheets/{mixed}/holding/now?seen={seen}", headers=HTMX).status_code == 200


# Who may, and when. ---------------------------------------------------------------------------------------------------


def test_an_assembler_sees_the_buttons_disabled_and_is_refused(mixed, cutting, shop, as_assembler):
    page = as_assembler.get(f"/sheets/{mixed}/holding")
    pressable = [
        one
        for group in groups(page).values()
        for one in buttons(group).values()
        if " disabled" not in one
    ]
    assert page.status_code == 200 and pressable == []
    before = ways(shop, mixed)
    answer = choose(as_assembler, mixed, named(cutting, mixed, LETTER), "tape", **HTMX)
    assert answer.status_code == 403 and "Ask one of them." in sentence(answer)
    assert as_assembler.post(f"/sheets/{mixed}/holding/renew", headers=HTMX).status_code == 403
    assert ways(shop, mixed) == before


def test_an_operator_is_told_that_a_weaker_way_is_for_the_owner(mixed, cutting, shop, as_operator):
    answer = choose(as_operator, mixed, named(cutting, mixed, SMALL), "skin", **HTMX)
    assert answer.status_code == 403
    assert "Only an owner may choose a weaker hold-down than advised." in sentence(answer)
    assert (
        choose(as_operator, mixed, named(cutting, mixed, LETTER), "tape", **HTMX).status_code == 200
    )


def test_what_cannot_be_had_and_what_is_no_way_is_refused_in_a_sentence(
    mixed, cutting, shop, as_owner
):
    count = ledger.newest(shop.read())
    dot = named(cutting, mixed, DOT)
    for way, said in (
        ("tabs", "can't be held with tabs. No edge is straight enough"),
        ("wax", "Choose a hold-down"),
        ("", "Choose a hold-down"),
    ):
        answer = choose(as_owner, mixed, dot, way, **HTMX)
        assert answer.status_code == 422 and said in sentence(answer)
    gone = choose(as_owner, mixed, ["00000000"], "tape", **HTMX)
    assert gone.status_code == 409 and "Check the picture." in sentence(gone)
    assert as_owner.get("/sheets/00000000/holding").status_code == 404
    assert ledger.newest(shop.read()) == count


def test_after_the_start_the_buttons_are_disabled_and_a_late_tap_is_refused(
    mixed, cutting, shop, owner, as_owner
):
    sheet_actions.start(Caller(shop, owner), mixed)
    page = as_owner.get(f"/sheets/{mixed}/holding")
    shown = [one for group in groups(page).values() for one in buttons(group).values()]
    assert shown and all(" disabled" in one for one in shown)
    for answer in (
        choose(as_owner, mixed, named(cutting, mixed, SMALL), "tape", **HTMX),
        as_owner.post(f"/sheets/{mixed}/holding/renew", headers=HTMX),
    ):
        assert (
            answer.status_code == 409
            and "The hold-down can be chosen only before the start." in sentence(answer)
        )


def test_the_page_of_a_sheet_that_is_closed_still_shows_how_it_was_held(
    mixed, cutting, shop, operator, as_operator
):
    cut(shop, operator, mixed, lost=named(cutting, mixed, SMALL)[:1])
    assert as_operator.get(f"/sheets/{mixed}/holding").status_code == 200
    assert as_operator.get(f"/sheets/{mixed}").status_code == 200


# After a bad sheet. ---------------------------------------------------------------------------------------------------


def test_both_pages_say_what_would_be_held_otherwise_today_and_why(
    after_a_bad_sheet, shop, as_operator
):
    bad, following = after_a_bad_sheet
    for path in (f"/sheets/{following}", f"/sheets/{following}/holding"):
        page = words(as_operator.get(path))
        assert "20 pieces would be held another way today" in page and "Use this" in page
        assert (
            f"Tabs instead of an onion skin. On sheet {number(shop, bad)}, with an onion skin: 14 of 20 lost"
            in page
        )
    assert "another way today" not in words(as_operator.get(f"/sheets/{bad}"))


def test_one_tap_takes_the_advice_over(after_a_bad_sheet, shop, as_operator):
    _, following = after_a_bad_sheet
    answer = as_operator.post(f"/sheets/{following}/holding/renew", data={"key": "k"}, headers=HTMX)
    assert answer.status_code == 200 and "20 pieces on sheet" in words(answer)
    assert "another way today" not in words(answer) and set(ways(shop, following).values()) == {
        "tabs"
    }
    assert replay.differences(shop.read()) == []


def test_from_the_sheets_page_one_goes_back_to_it(after_a_bad_sheet, as_operator):
    _, following = after_a_bad_sheet
    answer = as_operator.post(
        f"/sheets/{following}/holding/renew", data={"key": "k", "from": "sheet"}
    )
    assert answer.status_code == 303 and re.search(
        rf"/sheets/{following}\?did=\d+$", answer.location
    )
    page = as_operator.get(answer.location)
    assert "are now held another way" in words(page) and "Use this" not in words(page)


def test_who_may_not_take_it_over_sees_why_but_no_button(after_a_bad_sheet, as_assembler):
    _, following = after_a_bad_sheet
    for path in (f"/sheets/{following}", f"/sheets/{following}/holding"):
        page = words(as_assembler.get(path))
        assert "20 pieces would be held another way today" in page and "Use this" not in page


# The sheet's own page. ------------------------------------------------------------------------------------------------


def test_the_sheets_page_counts_what_holds_and_what_was_chosen(mixed, shop, as_operator):
    page = words(as_operator.get(f"/sheets/{mixed}"))
    line = (
        "Vacuum alone: 1 good, 3 weak (need an onion skin) and 4 won't hold (need tabs or tape). "
        "Hold-down: onion skin 4, tabs 3 and tape 1."
    )
    assert line in page.replace(" ,", ",")
    assert re.search(r"About \d+ min on the router", page)
    assert (
        "holds holds with an onion skin needs tabs or tape onion skin tabs tape and an onion skin"
        in page
    ), "the legend"


def marks(answer) -> list[str]:
    """The kinds of the marks over the sheet's own picture, not those of the legend."""
    group = re.search(r'<g class="holds" aria-hidden="true">(.*?)</g>', answer.text, re.DOTALL)
    return re.findall(r'<path class="hold-(\w+)"', group[1]) if group else []


def weights(answer) -> list[str]:
    """How heavy each piece's line is on the sheet's own picture: '', 'heavy', 'heavier'."""
    picture = answer.text[: answer.text.index('<g class="holds" aria-hidden')]
    drawn = re.findall(r'<path class="nested([\w ]*)" fill', picture)
    return sorted(
        next((word for word in one.split() if word.startswith("heav")), "") for one in drawn
    )


@pytest.mark.parametrize("where", ["", "/holding", "/setup-sheet"])
def test_the_picture_marks_each_tab_each_skin_and_each_strip_of_tape(
    mixed, shop, as_operator, where
):
    page, held = as_operator.get(f"/sheets/{mixed}{where}"), kept(shop, mixed).values()
    drawn = marks(page)
    assert drawn.count("tab") == sum(len(one.tabs) for one in held) >= 6
    assert drawn.count("tape") == sum(one.hold_down == "tape" for one in held) == 1
    assert 1 <= drawn.count("skin") <= sum(one.hold_down in ("skin", "tape") for one in held), (
        "where there is room for the line"
    )
    assert weights(page) == [""] * 1 + ["heavier"] * 4 + ["heavy"] * 3


def test_a_choice_shows_on_the_picture(mixed, cutting, shop, as_owner):
    before = marks(as_owner.get(f"/sheets/{mixed}"))
    choose(as_owner, mixed, named(cutting, mixed, SMALL), "full")
    choose(as_owner, mixed, named(cutting, mixed, LARGE), "full")
    after = marks(as_owner.get(f"/sheets/{mixed}"))
    assert (after.count("tab"), before.count("skin") - after.count("skin")) == (0, 1)
    assert weights(as_owner.get(f"/sheets/{mixed}")) == [""] + ["heavier"] * 4 + ["heavy"] * 3, (
        "the vacuum holds as before"
    )


def test_on_the_router_the_picture_still_shows_how_each_is_held_and_off_the_table_no_more(
    mixed, shop, operator, as_operator
):
    before = marks(as_operator.get(f"/sheets/{mixed}"))
    sheet_actions.start(Caller(shop, operator), mixed)
    page = as_operator.get(f"/sheets/{mixed}")
    assert [marks(page).count(kind) for kind in ("tab", "tape")] == [
        before.count(kind) for kind in ("tab", "tape")
    ]
    sheet_actions.finish(Caller(shop, operator), mixed)
    assert 'class="holds" aria-hidden' not in as_operator.get(f"/sheets/{mixed}").text
    assert re.search(r"about \d+ min", words(page))


# A sheet of the old form. ---------------------------------------------------------------------------------------------


def test_a_sheet_of_the_old_form_has_its_page_and_is_worked_out_there(
    cutting, shop, as_operator, monkeypatch
):
    with monkeypatch.context() as old:
        old.setattr(nests, "held", lambda work, layouts: list(layouts))
        sheet = take_in(cutting, MIXED)
    page = as_operator.get(f"/sheets/{sheet}/holding")
    assert (
        page.status_code == 200
        and "Not worked out yet" in words(page)
        and "Work it out" in words(page)
    )
    assert all(
        "aria-pressed" not in one
        for group in groups(page).values()
        for one in buttons(group).values()
    )
    done = as_operator.post(f"/sheets/{sheet}/holding/renew", data={"key": "k"}, headers=HTMX)
    assert done.status_code == 200 and "Not worked out yet" not in words(done)
    assert set(kept(shop, sheet)) == set(cutting.codes(sheet))


def test_nobody_overrules_what_was_not_worked_out_yet(cutting, shop, as_owner, monkeypatch):
    with monkeypatch.context() as old:
        old.setattr(nests, "held", lambda work, layouts: list(layouts))
        sheet = take_in(cutting, MIXED)
    answer = choose(as_owner, sheet, named(cutting, sheet, SMALL), "tape", **HTMX)
    assert (
        answer.status_code == 409
        and "is not worked out yet. Press “Work it out” first." in sentence(answer)
    )
    assert kept(shop, sheet) == {} and as_owner.get(f"/sheets/{sheet}").status_code == 200
