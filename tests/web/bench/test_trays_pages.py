"""The pages of trays and the picking list, by a client: with htmx, without it, refused, and with hundreds of letters."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import HTMX, grows_at_most, words

from shopfloor.actions import pieces, sheets, signs
from shopfloor.actions import trays as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain import codes
from shopfloor.store import jobs
from shopfloor.web.bench import picking

MARKED = re.compile(r'class="pick-row [\w-]+ lit"')


@pytest.fixture
def ask(as_assembler):
    """Posts a form as htmx does."""
    return lambda path, **form: as_assembler.post(
        path, data={"key": f"k{len(form)}{path}{form}"[:60], **form}, headers=HTMX
    )


def pick_path(tray_bench, sign="A", more="") -> str:
    return f"/bench/{tray_bench.codes[sign]}/pick{more}"


# Trays --------------------------------------------------------------------------------------------------------------


def test_a_tray_is_made_and_its_page_leads_to_its_label(as_assembler):
    assert "No trays yet" in words(as_assembler.get("/trays"))
    made = as_assembler.post(
        "/trays", data={"key": "k1", "kind": "bag", "name": "3"}, follow_redirects=True
    )
    assert "Bag 3 added" in words(made) and "Empty" in words(made)
    label = re.search(r'href="(/labels/thing/\d{8})"', made.text)[1]
    assert "Bag 3" in words(as_assembler.get(label))
    assert as_assembler.get(label + ".pdf").data.startswith(b"%PDF")
    assert "Bag 3 empty" in words(as_assembler.get("/trays"))


def test_the_list_says_where_each_tray_stands_and_what_is_in_it(as_assembler, tray_bench):
    bag, shelf = tray_bench.made("bag", "3"), tray_bench.made("shelf", "A")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"], tray_bench.codes["B I"]])
    tray_bench.do(acts.move_tray, bag, shelf)
    said = words(as_assembler.get("/trays"))
    assert "Shelf A 2 pieces: J-1001 A (1) and J-1001 B (1)" in said
    assert "Bag 3 2 pieces: J-1001 A (1) and J-1001 B (1) on shelf A" in said


def test_a_scan_on_a_trays_page_lays_a_piece_in_and_another_tray_moves_it(
    as_assembler, ask, tray_bench
):
    bag, shelf = tray_bench.made("bag", "3"), tray_bench.made("shelf", "A")
    laid = ask(f"/trays/{bag}/scan", code=tray_bench.codes["A L"])
    assert "'L' of J-1001 A is now in bag 3." in words(laid) and 'data-sound="done"' in laid.text
    assert "1 piece: J-1001 A (1)" in words(laid) and "<svg" in laid.text
    assert "Bag 3 is now on shelf A." in words(ask(f"/trays/{bag}/scan", code=shelf))
    assert "Bag 3 is already on shelf A." in words(ask(f"/trays/{shelf}/scan", code=bag))
    assert "in bag 3" in words(as_assembler.get(f"/trays/{shelf}"))
    assert "taken out of shelf A" in words(ask(f"/trays/{shelf}/out", code=tray_bench.codes["A L"]))
    assert "is now on its own" in words(ask(f"/trays/{bag}/alone"))
    retired = ask(f"/trays/{bag}/retire")
    assert retired.headers["HX-Redirect"].startswith("/trays?did=")


def test_a_refused_scan_says_why_in_its_place(ask, tray_bench):
    bag = tray_bench.made("bag")
    answer = ask(f"/trays/{bag}/scan", code=tray_bench.codes["A O"])
    assert answer.status_code == 409 and answer.headers["HX-Retarget"] == "#says"
    assert ask(f"/trays/{bag}/scan", code="1234").status_code == 422
    assert (
        ask(f"/trays/{tray_bench.codes['A']}/scan", code=tray_bench.codes["A L"]).status_code == 404
    )


def test_a_page_that_shows_the_newest_gets_nothing_again(as_assembler, tray_bench):
    bag = tray_bench.made("bag")
    seen = re.search(r"seen=([\d.]+)", as_assembler.get(f"/trays/{bag}").text)[1]
    assert as_assembler.get(f"/trays/{bag}/now?seen={seen}").status_code == 204
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    assert "1 piece" in words(as_assembler.get(f"/trays/{bag}/now?seen={seen}"))


def test_a_trays_label_leads_to_its_page_and_a_piece_says_where_it_lies(
    as_assembler, ask, tray_bench
):
    bag = tray_bench.made("bag", "3")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes["A L"]])
    assert as_assembler.get(f"/P/{bag}").headers["Location"] == f"/trays/{bag}"
    looked = as_assembler.get(f"/scan?code={bag}")
    assert f"{codes.show(bag)} is bag 3." in words(looked) and f'href="/trays/{bag}"' in looked.text
    assert "Now in bag 3" in words(as_assembler.get(f"/p/{tray_bench.codes['A L']}"))
    assert "Now in bag 3" in words(ask("/scan", mark="look", code=tray_bench.codes["A L"]))
    assert f"{codes.show(bag)} is bag 3, not a piece" in words(ask("/scan", mark="lost", code=bag))
    tray_bench.do(acts.pick, tray_bench.codes["A"], bag)
    assert "Now in bag 3, picked for J-1001 A" in words(
        as_assembler.get(f"/p/{tray_bench.codes['A L']}")
    )


def test_trays_are_reached_from_the_stock_page(as_assembler):
    assert 'href="/trays"' in as_assembler.get("/stock").text


# The picking list ---------------------------------------------------------------------------------------------------


def test_the_list_says_what_is_missing_and_where_each_piece_is(as_assembler, tray_bench):
    tray_bench.do(acts.put_in, tray_bench.made("bag", "3"), [tray_bench.codes["A L"]])
    page = as_assembler.get(pick_path(tray_bench))
    said = words(page)
    assert re.search(r"1 of 3 missing: 'O' \(no\. 3\) is on sheet S-\d+, on the router now\.", said)
    assert "in bag 3" in said and re.search(r"loose, from sheet S-\d+: in no tray or bag", said)
    assert "0 of 3 picked" in said and page.text.count('class="pick-row to-pick"') == 2


def test_a_scanned_piece_lights_up_where_it_goes_and_stays_so_when_the_page_asks_again(
    as_assembler, ask, tray_bench
):
    answer = ask(pick_path(tray_bench), code=tray_bench.codes["A L"])
    said = words(answer)
    assert (
        "'L' of J-1001 A picked." in said
        and "No. 2 'L', level 1: here" in said
        and "1 of 3 picked" in said
    )
    assert len(MARKED.findall(answer.text)) == 1
    assert re.search(r'class="trace new" d="m[^m]+z"', answer.text, re.I), (
        "one frame, closed: no notch where it begins"
    )
    again = as_assembler.get(re.search(r'hx-get="([^"]+)"', answer.text)[1].replace("&amp;", "&"))
    assert again.status_code == 204, "nothing new"
    lit = re.search(r"lit=(\d+)", answer.text)[1]
    tray_bench.do(acts.pick, tray_bench.codes["A"], tray_bench.codes["A no. 1"])
    other = as_assembler.get(pick_path(tray_bench, more=f"/now?seen=0&lit={lit}"))
    assert "No. 2 'L', level 1: here" in words(other) and "2 of 3 picked" in words(other)


def test_a_tap_picks_and_a_second_one_puts_back_and_undo_is_offered(ask, tray_bench):
    code = tray_bench.codes["A L"]
    answer = ask(pick_path(tray_bench), pick=code)
    assert f'name="back" value="{code}"' in answer.text and '"back": "' in answer.text.replace(
        "&#34;", '"'
    )
    assert 'action="/undo"' in answer.text
    assert f'name="pick" value="{code}"' in ask(pick_path(tray_bench), back=code).text


def test_a_bag_lights_up_all_that_it_holds_for_the_sign(ask, tray_bench):
    bag = tray_bench.made("bag", "3")
    tray_bench.do(acts.put_in, bag, [tray_bench.codes[name] for name in ("A L", "A no. 1", "B I")])
    answer = ask(pick_path(tray_bench), code=bag)
    assert "2 of 3 in bag 3 picked for J-1001 A. Not for this sign: 'I' of J-1001 B." in words(
        answer
    )
    assert len(MARKED.findall(answer.text)) == 2


def test_an_empty_tray_is_where_what_is_picked_goes_from_then_on(as_assembler, ask, tray_bench):
    tray = tray_bench.made("tray", "2")
    to = ask(pick_path(tray_bench), code=tray).headers["HX-Redirect"]
    page = as_assembler.get(to)
    assert (
        "Put picked pieces in tray 2, or scan an empty tray" in words(page)
        and f'name="into" value="{tray}"' in page.text
    )
    assert "Put it in tray 2." in words(
        ask(pick_path(tray_bench), code=tray_bench.codes["A L"], into=tray)
    )
    assert tray_bench.lies("A L") == ("tray 2", True)


def test_a_piece_of_another_sign_is_turned_away_with_a_way_to_its_own_list(ask, tray_bench):
    answer = ask(pick_path(tray_bench), code=tray_bench.codes["B I"])
    assert answer.status_code == 409 and 'data-sound="refused"' in answer.text
    assert "Not for J-1001 A: 'I' of J-1001 B goes on level 1" in words(answer)
    assert f'href="{pick_path(tray_bench, "B")}"' in answer.text and not MARKED.search(answer.text)


def test_a_lost_piece_that_turned_up_is_found_right_there(as_operator, ask, tray_bench):
    tray_bench.do(pieces.mark, [tray_bench.codes["A L"]], "lost")
    turned_away = ask(pick_path(tray_bench), code=tray_bench.codes["A L"])
    assert turned_away.status_code == 409 and ">Found</button>" in turned_away.text
    form = re.search(
        r'action="([^"]+/pick/mark)".*?name="piece" value="(\d+)"', turned_away.text, re.DOTALL
    )
    back = ask(form[1], piece=form[2], mark="found")
    assert "'L' of J-1001 A is back and ready." in words(back)
    assert "picked." in words(ask(pick_path(tray_bench), code=tray_bench.codes["A L"], again="1"))


def test_a_piece_from_the_table_is_marked_cut_right_there(ask, tray_bench):
    assert "Cut, good" in words(ask(pick_path(tray_bench), code=tray_bench.codes["A O"]))
    back = ask(pick_path(tray_bench, more="/mark"), piece=tray_bench.codes["A O"], mark="cut")
    assert "'O' of J-1001 A is ready." in words(
        back
    ) and "Nothing is missing. 3 of 3 still to pick." in words(back)


def test_a_spare_is_turned_away_as_one(ask, tray_bench, owner, shop):
    sign = jobs.sign_by_code(shop.read(), tray_bench.codes["B"]).id
    signs.cancel(Caller(shop, owner), sign, "the customer called it off")
    answer = ask(pick_path(tray_bench), code=tray_bench.codes["B I"])
    assert (
        answer.status_code == 409
        and "is a spare. Put it with the spares of its material." in words(answer)
    )


def test_a_form_works_without_scripts(as_assembler, tray_bench):
    path = pick_path(tray_bench)
    page = as_assembler.post(
        path, data={"key": "k1", "code": tray_bench.codes["A L"]}, follow_redirects=True
    )
    assert "'L' of J-1001 A picked." in words(page) and "here" in words(page)
    refused = as_assembler.post(path, data={"key": "k2", "code": tray_bench.codes["B I"]})
    assert (
        refused.status_code == 409
        and "Not for J-1001 A" in words(refused)
        and "data-scan" in refused.text
    )


@pytest.mark.parametrize(
    ("scanned", "status", "says"),
    [
        ("12345678", 422, "The code 1234 5678 has a mistyped digit"),
        ("", 422, "No code was read"),
        ("a bag", 422, "“a bag” is not a code"),
        (codes.make(7), 404, "No label has"),
    ],
)
def test_a_scan_that_is_refused_puts_the_light_out(
    as_assembler, ask, tray_bench, scanned, status, says
):
    assert MARKED.search(ask(pick_path(tray_bench), code=tray_bench.codes["A L"]).text)
    answer = ask(pick_path(tray_bench), code=scanned)
    assert (
        answer.status_code == status
        and says in words(answer)
        and 'data-sound="refused"' in answer.text
    )
    assert 'id="pick"' in answer.text and not MARKED.search(answer.text)
    assert "trace new" not in answer.text and "pick-here" not in answer.text
    plain = as_assembler.post(pick_path(tray_bench), data={"key": "p", "code": scanned})
    assert plain.status_code == status and says in words(plain) and "data-scan" in plain.text


def test_a_repeated_scan_lights_up_without_the_sound_of_a_success(ask, tray_bench):
    first = ask(pick_path(tray_bench), code=tray_bench.codes["A L"])
    again = ask(pick_path(tray_bench), code=tray_bench.codes["A L"], again="1")
    assert (
        "Already picked: 'L' of J-1001 A." in words(again) and len(MARKED.findall(again.text)) == 1
    )
    assert ['data-sound="again"' in answer.text for answer in (first, again)] == [False, True]


def test_the_bench_is_the_next_thing_once_everything_is_picked(as_assembler, ask, tray_bench):
    tray_bench.do(pieces.mark, [tray_bench.codes["A O"]], "cut")
    to_bench = f'class="next" href="/bench/{tray_bench.codes["A"]}"'
    for name in ("A L", "A no. 1"):
        assert to_bench not in ask(pick_path(tray_bench), code=tray_bench.codes[name]).text
    done = ask(pick_path(tray_bench), code=tray_bench.codes["A O"])
    assert (
        to_bench in done.text and "Everything is here." in words(done) and "all-picked" in done.text
    )


def test_the_boxes_of_the_rows_and_the_legend_are_filled_as_the_drawing_fills_the_part(
    ask, tray_bench
):
    answer = ask(pick_path(tray_bench), code=tray_bench.codes["A L"]).text
    drawn = set(
        re.findall(r'<g class="piece"[^>]*>\s*<path class="(\w+)[^"]*" fill="([^"]+)"', answer)
    )
    boxes = set(
        re.findall(
            r'viewBox="-4 -4 136 104" aria-hidden="true"><path class="(\w+)" fill="([^"]+)"', answer
        )
    )
    assert drawn and drawn <= boxes, "and what is missing besides, which nobody can press"
    assert ("nested", "url(#grid)") in drawn and ("waiting", "url(#grid)") in boxes


def test_what_is_glued_or_unknown_is_no_error_of_the_page(as_assembler, ask, tray_bench):
    assert as_assembler.get(pick_path(tray_bench, more="?lit=x,999&into=")).status_code == 200
    assert as_assembler.get("/bench/40729153/pick").status_code == 404


# Hundreds of letters ------------------------------------------------------------------------------------------------


def big_sign(cutting, letters: int) -> int:
    """A sign of that many letters, all cut; a hundred of them in one bag. Gives its id."""
    made = cutting.take_in(letters)
    shop, by = cutting.shop, cutting.by
    for sheet in made:
        sheets.start(Caller(shop, by), sheet)
        sheets.mark_rest_cut(Caller(shop, by), sheet, cutting.codes(sheet))
    bag = acts.make_tray(Caller(shop, by), "bag").codes[0]
    loose = [
        code
        for sheet in made
        for code, state in cutting.states(sheet).items()
        if state in ("cut", "ready")
    ]
    acts.put_in(Caller(shop, by), bag, loose[: len(loose) // 2])
    return shop.read().execute("SELECT max(id) FROM sign").fetchone()[0]


def test_a_list_of_five_hundred_letters_asks_no_more_often_and_takes_about_ten_times_as_long_as_one_of_fifty(
    cutting, app
):
    signs = {letters: big_sign(cutting, letters) for letters in (50, 500)}
    db = cutting.shop.read()
    asked: list[str] = []

    def page(letters: int) -> None:
        asked.clear()
        for _ in range(10 if letters == 50 else 2):
            with app.test_request_context("/"):
                code = jobs.sign(db, signs[letters]).code
                assert len(picking.pick_page(db, code, (1,))["rows"]) == letters + 1

    def questions(letters: int) -> int:
        db.set_trace_callback(asked.append)
        page(letters)
        db.set_trace_callback(None)
        return len(asked) // (10 if letters == 50 else 2)

    few, many = (
        questions(50),
        questions(500),
    )  # outlines come in lots, and the shapes are kept after that
    assert few <= 14 and many <= 16
    # ten times the letters in a fifth of the rounds: twice the time where it grows linearly
    assert grows_at_most(4.5, page, 50, 500)
