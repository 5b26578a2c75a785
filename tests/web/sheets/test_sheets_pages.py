"""The Sheets pages through the client, with signed-in people: from the plan to the last mark."""

from __future__ import annotations

import html
import re
import time
from statistics import median

import pytest
from shop_for_tests import Parts

from shopfloor.actions import pieces as piece_actions
from shopfloor.actions import sheets as acts
from shopfloor.actions import stock as stock_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import ledger, replay, sheets
from shopfloor.store import stock as stock_store

CREAM = "#f2e8cf"
HTMX = {"HX-Request": "true"}


@pytest.fixture
def letters(cutting):
    """The code of a planned sheet with sixty letters."""
    cutting.take_in(60)
    return cutting.sheet_of(CREAM)


@pytest.fixture
def off(cutting, letters, shop, operator):
    """The same sheet, off the table."""
    acts.start(Caller(shop, operator), letters)
    acts.finish(Caller(shop, operator), letters)
    return letters


def post(client, path, **data):
    return client.post(path, data=data, headers=HTMX)


def tap(client, sheet, piece, shown, **data):
    return post(client, f"/sheets/{sheet}/tap/{piece}", shown=shown, **data)


def shown_codes(page: str) -> str:
    """What the large button sends."""
    return re.search(r'name="codes" value="([\d ]*)"', page)[1]


def big_button(page: str) -> str:
    return html.unescape(re.search(r'<(?:button|a) class="next"[^>]*>([^<]*)<', page)[1])


def shown_version(page: str) -> str:
    """What the page sends with its refresh and its taps."""
    return re.search(r'seen(?:=|" value=")([\w.]+)', page)[1]


def shown_state(page: str, piece: str) -> str:
    """The state in which the picture shows a piece, which is what a tap on it sends."""
    found = re.search(rf'id="piece-{piece}".*?hx-vals="([^"]*)"', page)
    return re.search(r'"shown":"(\w+)"', html.unescape(found[1]))[1]


# The list. ------------------------------------------------------------------------------------------------------------


def test_the_next_thing_to_do_is_the_largest_and_goes_from_start_to_close(
    cutting, as_operator, shop, operator
):
    board, letters = sorted(cutting.take_in(60), key=lambda code: len(cutting.codes(code)))
    assert big_button(as_operator.get("/sheets").text).endswith(": start it")
    acts.start(Caller(shop, operator), letters)
    assert (
        big_button(as_operator.get("/sheets").text) == "S-202, cream, 6 mm: take it off the table"
    )
    acts.finish(Caller(shop, operator), letters)
    assert big_button(as_operator.get("/sheets").text) == "S-202, cream, 6 mm: mark what came off"
    piece_actions.mark(Caller(shop, operator), cutting.codes(letters), "cut")
    assert big_button(as_operator.get("/sheets").text) == "S-202, cream, 6 mm: close it"
    acts.close(Caller(shop, operator), letters)
    page = as_operator.get("/sheets").text
    assert big_button(page) == "S-201, blue, 6 mm: start it"
    assert "Last closed" in page and board in page


def test_the_list_shows_stock_pieces_both_yields_the_blank_and_what_is_held_up(
    cutting, letters, as_operator
):
    page = html.unescape(as_operator.get("/sheets").text)
    row = next(row for row in cutting.rows() if row.code == letters)
    across = "width" if row.along == "length" else "length"
    assert (
        f"{round(100 * row.yield_share)} % used of " in page and f" along the {row.along}" in page
    )
    assert f"(along the {across} it would be {round(100 * row.other_yield_share)} %)" in page
    assert f"{row.blank_code[:4]} {row.blank_code[4:]}" in page and "still to order" in page
    assert "60 pieces" in page and "1 sign waiting, first due Thu 26 Nov" in page


def test_starting_from_the_list_leads_to_the_sheet(cutting, letters, as_operator):
    answer = as_operator.post(f"/sheets/{letters}/start", data={"key": "k1"})
    assert answer.status_code == 303 and f"/sheets/{letters}?did=" in answer.location
    assert "S-202 is being cut." in as_operator.get(answer.location).text


def test_nothing_is_sent_when_nothing_changed(letters, off, as_operator):
    for path in ("/sheets/now", f"/sheets/{off}/now"):
        fresh = as_operator.get(path, headers=HTMX)
        assert fresh.status_code == 200
        seen = shown_version(fresh.text)
        again = as_operator.get(f"{path}?seen={seen}", headers=HTMX)
        assert (again.status_code, again.data) == (204, b"")
    tap(as_operator, off, sheet_piece(fresh.text), "nested")
    assert as_operator.get(f"/sheets/{off}/now?seen={seen}", headers=HTMX).status_code == 200


def sheet_piece(page: str) -> str:
    return re.search(r'id="piece-(\d{8})"', page)[1]


# Marks. ---------------------------------------------------------------------------------------------------------------


def test_sixty_pieces_with_three_lost_are_five_touches_after_the_start(
    cutting, letters, as_operator
):
    page = post(as_operator, f"/sheets/{letters}/start", key="start").text
    assert big_button(page) == "Off the table"
    page = post(as_operator, f"/sheets/{letters}/finish", key="1").text
    assert big_button(page) == "All 60 are good: mark them cut"
    lost = cutting.codes(letters)[5:8]
    whole = page
    for touch, piece in enumerate(lost, start=2):
        page = tap(as_operator, letters, piece, shown_state(whole, piece), key=str(touch)).text
    assert big_button(page) == "3 lost: mark the other 57 cut"
    page = post(as_operator, f"/sheets/{letters}/rest", codes=shown_codes(page), key="5").text
    states = list(cutting.states(letters).values())
    assert (states.count("ready"), states.count("lost")) == (57, 3)
    assert (
        cutting.count(
            "SELECT count(*) FROM piece WHERE state = 'waiting' AND attempt = 2 AND tabs >= 2"
        )
        == 3
    )
    assert cutting.count("SELECT state = 'closed' FROM sheet WHERE code = ?", letters)
    offcut = sheets.offcut_of(
        cutting.shop.read(), cutting.count("SELECT id FROM sheet WHERE code = ?", letters)
    )
    assert offcut and f"/stock/blank/{offcut}" in page
    assert replay.differences(cutting.shop.read()) == []


def test_a_tap_goes_round_good_lost_damaged_and_makes_one_recut_that_goes_again(
    cutting, off, as_operator
):
    piece = cutting.codes(off)[0]
    page = as_operator.get(f"/sheets/{off}").text
    seen = []
    for _ in range(3):
        page = tap(as_operator, off, piece, shown_state(page, piece)).text
        seen.append(shown_state(page, piece))
        assert cutting.count("SELECT count(*) FROM piece WHERE attempt = 2") == 1
    assert seen == ["lost", "damaged", "ready"]
    assert cutting.count("SELECT count(*) FROM piece WHERE state = 'waiting'") == 0


@pytest.mark.parametrize("large", ["", "?large=1"])
def test_a_tap_answers_with_what_changed_as_the_whole_sheet_shows_it(
    cutting, off, as_operator, large
):
    piece, other = cutting.codes(off)[:2]
    for expected in ("lost", "damaged", "ready"):
        shown = shown_state(as_operator.get(f"/sheets/{off}{large}").text, piece)
        answer = post(as_operator, f"/sheets/{off}/tap/{piece}{large}", shown=shown)
        assert (answer.status_code, answer.headers["HX-Reswap"]) == (200, "none")
        whole = as_operator.get(f"/sheets/{off}{large}").text
        assert shown_state(answer.text, piece) == expected
        parts, wholes = Parts(answer.text).parts, Parts(whole).parts
        swapped = re.findall(r'id="([\w-]+)"[^>]*hx-swap-oob="outerMorph"', answer.text)
        assert swapped == [
            f"piece-{piece}",
            "counts",
            "held-up",
            "notice",
            "action",
            "losses",
        ]
        if (
            expected == "damaged"
        ):  # only the answer itself names the recut, which an earlier tap made
            assert " Its recut is " in parts.pop("notice")
            swapped.remove("notice")
        for part in swapped:
            assert parts[part] == wholes[part], part
        assert f"piece-{other}" in wholes and f"piece-{other}" not in parts
        assert f"1 {expected}" in parts["action"] or expected == "ready"
        assert len(answer.text) < len(whole) / 3


def test_the_picture_has_the_hatch_that_a_tap_may_need(cutting, off, as_operator):
    """A piece with tabs is 'cut' again after three taps; until then no piece of the picture was."""
    with cutting.shop.database.write() as db:
        ledger.begin(db)
        db.execute("UPDATE piece SET tabs = 2")
    piece = cutting.codes(off)[0]
    page = as_operator.get(f"/sheets/{off}").text
    for shown in ("nested", "lost", "damaged"):
        answer = tap(as_operator, off, piece, shown).text
    assert shown_state(answer, piece) == "cut"
    hatch = re.search(r'fill="url\(#(hatch-[\w-]+)\)"', answer)[1]
    assert f'id="{hatch}"' in page


def test_a_tap_moves_the_version_on_only_where_the_page_showed_all_that_was_before(
    cutting, off, as_operator, as_owner
):
    first, second, third = cutting.codes(off)[:3]
    page = as_operator.get(f"/sheets/{off}").text
    answer = tap(as_operator, off, first, "nested", seen=shown_version(page))
    refresh = f"/sheets/{off}/now?seen={shown_version(answer.text)}"
    assert as_operator.get(refresh, headers=HTMX).status_code == 204
    tap(as_owner, off, second, "nested")
    answer = tap(as_operator, off, third, "nested", seen=shown_version(answer.text))
    assert answer.status_code == 200 and 'id="seen"' not in answer.text
    again = as_operator.get(refresh, headers=HTMX)
    assert again.status_code == 200 and shown_state(again.text, second) == "lost"


def test_a_tap_on_a_sheet_still_on_the_router_brings_all_of_it(
    cutting, letters, as_operator, shop, operator
):
    acts.start(Caller(shop, operator), letters)
    piece = cutting.codes(letters)[0]
    answer = tap(as_operator, letters, piece, "nested")
    assert "HX-Reswap" not in answer.headers and "<figure" in answer.text
    assert shown_state(answer.text, piece) == "lost"


def test_a_second_tablet_that_says_the_same_is_answered_kindly_and_makes_no_second_recut(
    cutting, off, as_operator, as_owner
):
    piece = cutting.codes(off)[0]
    assert tap(as_operator, off, piece, "nested").status_code == 200
    pieces = cutting.count("SELECT count(*) FROM piece")
    answer = tap(as_owner, off, piece, "nested")
    recut = cutting.count("SELECT code FROM piece WHERE state = 'waiting'")
    assert answer.status_code == 200
    assert f"Already lost. Its recut is {recut[:4]} {recut[4:]}." in answer.text
    assert shown_state(answer.text, piece) == "lost"
    assert cutting.count("SELECT count(*) FROM piece") == pieces


def test_a_stale_tap_changes_nothing_and_brings_the_picture_as_it_is(
    cutting, off, as_operator, as_owner
):
    piece = cutting.codes(off)[0]
    tap(as_operator, off, piece, "nested")
    tap(as_operator, off, piece, "lost")
    done = cutting.acts
    answer = tap(as_owner, off, piece, "nested")
    assert answer.status_code == 409 and "was just marked damaged" in answer.text
    assert "HX-Reswap" not in answer.headers and "<figure" in answer.text
    assert 'data-sound="refused"' in answer.text
    assert shown_state(answer.text, piece) == "damaged"
    assert cutting.acts == done


def test_pieces_changed_by_somebody_else_are_left_as_they_are_and_named(
    cutting, off, as_operator, as_owner
):
    shown = shown_codes(as_operator.get(f"/sheets/{off}").text)
    piece = cutting.codes(off)[7]
    tap(as_owner, off, piece, "nested")
    answer = post(as_operator, f"/sheets/{off}/rest", codes=shown)
    assert (
        f"59 marked cut. Changed just now and left as they are: {piece[:4]} {piece[4:]}."
        in answer.text
    )
    assert cutting.states(off)[piece] == "lost"


def test_the_same_request_twice_is_one_act(cutting, off, as_operator):
    piece = cutting.codes(off)[0]
    first = tap(as_operator, off, piece, "nested", key="one tap")
    done = cutting.acts
    second = tap(as_operator, off, piece, "nested", key="one tap")
    assert (first.status_code, second.status_code) == (200, 200)
    assert cutting.acts == done and cutting.states(off)[piece] == "lost"


def test_undo_takes_back_what_this_person_did_last_here_and_then_the_one_before(
    cutting, off, as_operator, as_owner
):
    one, other, third = cutting.codes(off)[:3]
    tap(as_operator, off, one, "nested")
    tap(as_operator, off, other, "nested")
    page = tap(as_owner, off, third, "nested").text
    for expected in (["lost", "nested", "lost"], ["nested", "nested", "lost"]):
        page = as_operator.get(f"/sheets/{off}").text
        act = re.search(r'name="act" value="(\d+)"', page)[1]
        assert "Undone:" in post(as_operator, f"/sheets/{off}/undo", act=act).text
        assert [cutting.states(off)[piece] for piece in (one, other, third)] == expected


def test_the_cause_of_a_loss_is_changed_in_one_tap(cutting, off, as_operator):
    piece = cutting.codes(off)[0]
    page = tap(as_operator, off, piece, "nested").text
    assert re.search(r'value="went down the hose"[^>]*aria-pressed="true"', page)
    page = post(as_operator, f"/sheets/{off}/cause/{piece}", cause="came free and shifted").text
    assert re.search(r'value="came free and shifted"[^>]*aria-pressed="true"', page)
    assert cutting.count("SELECT cause FROM piece WHERE code = ?", piece) == "came free and shifted"


def test_a_sheet_whose_pieces_all_have_an_outcome_is_closed_by_the_large_button(
    cutting, off, as_operator, shop
):
    piece_actions.mark(Caller(shop, cutting.by), cutting.codes(off), "cut")
    assert big_button(as_operator.get(f"/sheets/{off}").text) == "Close the sheet"
    page = post(as_operator, f"/sheets/{off}/close").text
    assert "S-202 is closed" in page
    assert f'href="/p/{cutting.codes(off)[0]}"' in page  # a tap now leads to the piece
    assert "hx-vals" not in page


def test_small_pieces_are_offered_a_larger_picture_and_taps_keep_it(cutting, off, as_operator):
    page = as_operator.get(f"/sheets/{off}").text
    assert ">Larger</a>" in page
    large = as_operator.get(f"/sheets/{off}?large=1").text
    width = re.compile(r'class="blank" width="(\d+)" height="(\d+)"')
    assert int(width.search(large)[2]) > int(width.search(page)[2])
    assert f"/sheets/{off}/tap/{cutting.codes(off)[0]}?large=1" in large


# Who may what, and refusals. ------------------------------------------------------------------------------------------


def test_an_assembler_sees_the_sheet_and_can_neither_start_nor_tap_it(
    cutting, letters, as_assembler
):
    page = as_assembler.get(f"/sheets/{letters}").text
    assert "S-202" in page and "Start" not in page and 'class="next"' not in page
    assert 'class="next"' not in as_assembler.get("/sheets").text
    done = cutting.acts
    for path in (
        f"/sheets/{letters}/start",
        f"/sheets/{letters}/abandon",
        "/sheets/pool/1",
        "/recuts/nest/1",
    ):
        assert post(as_assembler, path).status_code == 403
    assert tap(as_assembler, letters, cutting.codes(letters)[0], "nested").status_code == 403
    assert as_assembler.get(f"/sheets/{letters}/abandon").status_code == 403
    assert cutting.acts == done


def test_a_sheet_is_not_started_twice_and_says_so_where_it_happened(
    cutting, letters, as_operator, as_owner
):
    assert post(as_owner, f"/sheets/{letters}/start").status_code == 200
    answer = post(as_operator, f"/sheets/{letters}/start")
    assert (
        answer.status_code == 409
        and "S-202 is being cut. It cannot be started again." in answer.text
    )
    assert big_button(answer.text) == "Off the table"


def test_an_unknown_sheet_or_piece_is_told_in_a_sentence(off, as_operator):
    assert "Sheet not found" in as_operator.get("/sheets/00000000").text
    assert as_operator.get("/sheets/00000000").status_code == 404
    assert tap(as_operator, off, "12345678", "nested").status_code == 404


def test_the_blank_is_swapped_for_a_free_one_until_the_start(
    cutting, letters, as_operator, shop, owner
):
    stock = next(row.stock for row in cutting.rows() if row.code == letters)
    assert "Cut from another" not in as_operator.get(f"/sheets/{letters}").text
    stock_actions.add_blanks(
        Caller(shop, owner), cutting.stock(stock).code, "2"
    )  # the first is the one to be bought
    free = stock_store.free_blanks(shop.read(), stock, is_offcut=False)[0]
    page = as_operator.get(f"/sheets/{letters}").text
    assert "Cut from another" in page and f'value="{free.code}"' in page
    assert post(as_operator, f"/sheets/{letters}/blank", blank=free.code).status_code == 200
    assert next(row.blank_code for row in cutting.rows() if row.code == letters) == free.code
    post(as_operator, f"/sheets/{letters}/start")
    assert post(as_operator, f"/sheets/{letters}/blank", blank=free.code).status_code == 409


# Giving a sheet up. ---------------------------------------------------------------------------------------------------


def chosen(page: str) -> dict[str, str]:
    return {
        word: re.search(rf'name="{word}" value="([\d ]*)"', page)[1] for word in ("good", "spoiled")
    }


def test_giving_a_sheet_up_asks_for_each_piece_and_saves_nothing_before_its_button(
    cutting, off, as_operator
):
    good, spoiled, back = cutting.codes(off)[:3]
    before = cutting.acts
    page = as_operator.get(f"/sheets/{off}/abandon").text
    for piece in (good, spoiled, spoiled, back, back, back):
        page = post(as_operator, f"/sheets/{off}/abandon/turn/{piece}", **chosen(page)).text
    assert chosen(page) == {"good": good, "spoiled": spoiled}
    assert big_button(page) == "Sheet not finished: 1 good, 1 spoiled, 58 untouched"
    assert cutting.acts == before
    answer = post(as_operator, f"/sheets/{off}/abandon", **chosen(page))
    assert "/sheets?did=" in answer.headers["HX-Redirect"]
    states = cutting.states(off)
    assert (states[good], states[spoiled], states[back]) == ("ready", "damaged", "waiting")
    assert list(states.values()).count("waiting") == 58
    assert (
        cutting.count("SELECT count(*) FROM piece WHERE attempt = 2") == 1
    )  # of the spoiled one only
    assert "59 of cream, 6 mm" in as_operator.get("/sheets").text


def test_a_piece_marked_by_somebody_else_drops_out_of_the_choice(
    cutting, off, as_operator, as_owner
):
    good, other = cutting.codes(off)[:2]
    page = post(as_operator, f"/sheets/{off}/abandon/turn/{good}", good="", spoiled="").text
    tap(as_owner, off, good, "nested")
    assert post(as_operator, f"/sheets/{off}/abandon", **chosen(page)).status_code == 409
    page = post(as_operator, f"/sheets/{off}/abandon/turn/{other}", **chosen(page)).text
    assert chosen(page) == {"good": other, "spoiled": ""}


def test_a_planned_sheet_is_given_up_without_questions_and_its_blank_with_it(
    cutting, letters, as_operator
):
    page = as_operator.get(f"/sheets/{letters}/abandon").text
    assert "Nothing was cut" in page and "hx-vals" not in page and "turn/" not in page
    post(as_operator, f"/sheets/{letters}/abandon", **chosen(page))
    assert set(cutting.states(letters).values()) == {"waiting"}


# Speed. ---------------------------------------------------------------------------------------------------------------


def _ms(work) -> float:
    begun = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - begun)


def test_a_sheet_of_300_pieces_costs_no_more_than_ten_times_one_of_30(
    cutting, as_operator, shop, operator
):
    """Both in turn, nine times, and the median of the pairs: the machine's own pace comes and goes in between."""
    codes, pieces = {}, {}
    for letters in (30, 300):
        before = {row.code for row in cutting.rows()}
        cutting.take_in(letters)
        codes[letters] = next(
            r.code for r in cutting.rows() if r.code not in before and r.pieces == letters
        )
        acts.start(Caller(shop, operator), codes[letters])
        pieces[letters] = iter(cutting.codes(codes[letters]))

    def page(letters: int) -> float:
        return _ms(lambda: as_operator.get(f"/sheets/{codes[letters]}"))

    def a_tap(letters: int) -> float:
        return _ms(lambda: tap(as_operator, codes[letters], next(pieces[letters]), "nested"))

    for measured in (page, a_tap):
        for letters in (30, 300):
            measured(letters)  # the first one draws what is kept from then on
        assert median([measured(300) / measured(30) for _ in range(9)]) < 10
