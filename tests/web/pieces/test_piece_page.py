"""The piece page, where the QR leads: what the piece is, where it goes, the marks allowed now, its history."""

from __future__ import annotations

import re

import pytest

from shopfloor.actions import pieces as acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain import codes
from shopfloor.store import ledger, pieces, stock

HTMX = {"HX-Request": "true"}


@pytest.fixture
def mark(as_operator):
    """A tap on a mark of a piece's page."""

    def tap(code: str, mark: str, key: str = "k", **headers):
        return as_operator.post(f"/p/{code}/mark", data={"mark": mark, "key": key}, headers=headers)

    return tap


def marks_offered(page: str) -> list[str]:
    return re.findall(r'name="mark" value="([^"]+)"', page)


@pytest.mark.parametrize("path", ["/P/{}", "/p/{}"])
def test_the_address_on_a_label_leads_to_the_piece(as_operator, small_job, path):
    code = small_job["A L"]
    page = as_operator.get(path.format(code))
    assert page.status_code == 200
    assert codes.show(code) in page.text and "&#39;L&#39; of J-1001 A" in page.text


def test_what_a_label_holds_is_a_path_of_this_server(as_operator, small_job):
    printed = codes.url("shop.lan:8000", small_job["A L"])
    assert as_operator.get(printed.removeprefix("HTTP://SHOP.LAN:8000")).status_code == 200


def test_who_is_not_signed_in_signs_in_first_and_comes_back(client, as_owner, small_job):
    path = f"/P/{small_job['A L']}"
    told = client.get(path)
    assert told.status_code == 303
    assert told.headers["Location"].endswith(f"next={path}")


def test_a_mistyped_code_is_refused_before_it_is_looked_up(as_operator, shop, small_job):
    code = small_job["A L"]
    wrong = code[:-1] + str((int(code[-1]) + 1) % 10)
    told = as_operator.get(f"/p/{wrong}")
    assert told.status_code == 422 and "has a mistyped digit. Read it again." in told.text


def test_an_unknown_code_is_not_there(as_operator, small_job):
    unknown = next(code for code in map(codes.make, range(100)) if code not in small_job.values())
    told = as_operator.get(f"/p/{unknown}")
    assert told.status_code == 404 and "No label has the code" in told.text


def test_the_label_of_a_sheet_or_a_sign_or_an_offcut_leads_to_its_own_page(
    as_operator, shop, small_job
):
    sheet = shop.read().execute("SELECT code FROM sheet").fetchone()["code"]
    blank = shop.read().execute("SELECT code FROM blank").fetchone()["code"]
    assert as_operator.get(f"/P/{sheet}").headers["Location"] == f"/sheets/{sheet}"
    assert as_operator.get(f"/P/{small_job['A']}").headers["Location"] == f"/bench/{small_job['A']}"
    assert as_operator.get(f"/P/{blank}").headers["Location"] == f"/stock/blank/{blank}"


def test_the_page_says_what_the_piece_is_and_where_it_goes(as_operator, shop, small_job):
    page = as_operator.get(f"/p/{small_job['A O']}").text
    assert "level 1, no. 3, &#39;O&#39;" in page
    assert "60 mm" in page and "80 mm" in page, "the outline's sizes at its dimension lines"
    assert (
        stock.all_stocks(shop.read())[0].called in page
        or stock.all_stocks(shop.read())[1].called in page
    )
    assert re.search(r'<a href="/sheets/\d{8}">S-20\d</a>', page)
    assert 'class="guide"' in page, "guides lead from the part to the sign's corner"
    assert "On a sheet, not cut yet" in page


def test_names_are_written_out_and_never_markup(as_operator, small_job):
    page = as_operator.get(f"/p/{small_job['B I<2>']}").text
    assert "<2>" not in page and "&#39;I&lt;2&gt;&#39; of J-1001 B" in page


@pytest.mark.parametrize(
    "marks, offered",
    [
        ([], ["cut", "lost", "damaged"]),
        (["cut"], ["lost", "damaged"]),
        (["cut", "lost"], ["found"]),
        (["cut", "damaged"], []),
    ],
)
def test_only_the_marks_that_are_allowed_now_are_offered_the_likeliest_first(
    as_operator, shop, owner, small_job, marks, offered
):
    code = small_job["A L"]
    for each in marks:
        acts.mark(Caller(shop, owner), [code], each)
    assert marks_offered(as_operator.get(f"/p/{code}").text) == offered


def test_a_mark_answers_in_place_with_its_sentence_a_sound_and_undo(mark, shop, small_job):
    code = small_job["A L"]
    answer = mark(code, "lost", **HTMX)
    assert answer.status_code == 200 and "<html" not in answer.text
    assert '<div id="says"' in answer.text and 'hx-swap-oob="true"' in answer.text
    assert 'data-sound="done"' in answer.text and "/undo" in answer.text
    assert pieces.by_code(shop.read(), code).state == "lost"
    assert marks_offered(answer.text) == ["found"]


def test_a_lost_piece_shows_its_recut_and_its_causes(mark, shop, small_job):
    code = small_job["A L"]
    page = mark(code, "lost", **HTMX).text
    recut = pieces.recut_of(shop.read(), pieces.by_code(shop.read(), code))
    assert f'<a href="/p/{recut}">Its recut is {codes.show(recut)}</a>'.lower() in page.lower()
    assert re.findall(r'value="([^"]+)" aria-pressed="true"', page) == ["went down the hose"]


def test_the_cause_is_changed_in_one_tap(mark, as_operator, shop, small_job):
    code = small_job["A L"]
    mark(code, "lost")
    data = {"cause": "came free and shifted", "key": "c"}
    page = as_operator.post(f"/p/{code}/cause", data=data, headers=HTMX).text
    assert pieces.by_code(shop.read(), code).cause == "came free and shifted"
    assert re.findall(r'value="([^"]+)" aria-pressed="true"', page) == ["came free and shifted"]
    assert shop.read().execute("SELECT count(*) FROM piece WHERE attempt = 2").fetchone()[0] == 1


def test_no_cause_is_refused(mark, as_operator, small_job):
    mark(small_job["A L"], "lost")
    told = as_operator.post(
        f"/p/{small_job['A L']}/cause", data={"cause": " ", "key": "c"}, headers=HTMX
    )
    assert told.status_code == 422 and "Choose what happened" in told.text


def test_a_mark_that_is_not_allowed_stands_at_the_head_and_changes_nothing(mark, shop, small_job):
    before = ledger.newest(shop.read())
    told = mark(small_job["A L"], "found", **HTMX)
    assert told.status_code in (200, 409)
    assert pieces.by_code(shop.read(), small_job["A L"]).state == "nested"
    refused = mark(small_job["A L"], "came off", key="k2", **HTMX)
    assert refused.status_code == 409 and refused.headers["HX-Retarget"] == "#says"
    assert "Only a mounted piece can come off." in refused.text
    assert ledger.newest(shop.read()) <= before + 1


def test_a_second_copy_of_a_tap_makes_no_second_recut(mark, shop, small_job):
    first, second = (mark(small_job["A L"], "lost", key="same", **HTMX) for _ in range(2))
    assert first.status_code == second.status_code == 200
    assert shop.read().execute("SELECT count(*) FROM piece WHERE attempt = 2").fetchone()[0] == 1


def test_without_scripts_a_mark_leads_back_to_the_piece(mark, as_operator, small_job):
    code = small_job["A L"]
    told = mark(code, "cut")
    assert told.status_code == 303 and told.headers["Location"].lower().startswith(
        f"/p/{code}?did="
    )
    assert "&#39;L&#39; of J-1001 A is ready." in as_operator.get(told.headers["Location"]).text


def test_the_history_tells_each_act_the_newest_first_and_strikes_undone_ones(
    as_operator, shop, operator, small_job
):
    code = small_job["A L"]
    acts.mark(Caller(shop, operator), [code], "cut")
    lost = acts.mark(Caller(shop, operator), [code], "lost")
    undo(Caller(shop, operator), lost.act)
    history = as_operator.get(f"/p/{code}").text.split("<h2>History</h2>")[1]
    told = re.findall(r'<span class="what">(.*?)</span>', history, re.DOTALL)
    assert told[0].startswith("<s>&#39;L&#39; of J-1001 A is lost.") and told[0].endswith(
        "</s> undone"
    )
    assert told[1] == "&#39;L&#39; of J-1001 A is ready."
    assert told[-1] == "J-1001 is added: 2 signs, 6 pieces."
    assert re.findall(r'name="act" value="(\d+)"', history) == [str(lost.act - 1)], (
        "Undo stands on the last that holds"
    )


def test_taking_the_job_in_is_not_undone_from_one_of_its_pieces(as_owner, small_job):
    assert 'name="act"' not in as_owner.get(f"/p/{small_job['A L']}").text


def test_another_persons_act_is_undone_by_an_owner_only(
    as_assembler, as_owner, shop, operator, small_job
):
    acts.mark(Caller(shop, operator), [small_job["A L"]], "cut")
    path = f"/p/{small_job['A L']}"
    assert 'name="act"' not in as_assembler.get(path).text
    assert 'name="act"' in as_owner.get(path).text


def test_the_page_gets_nothing_while_nothing_changed_and_then_the_piece(
    as_operator, shop, owner, small_job
):
    code = small_job["A L"]
    path = re.search(r'hx-get="([^"]+seen=[^"]+)"', as_operator.get(f"/p/{code}").text)[1]
    assert as_operator.get(path, headers=HTMX).status_code == 204
    acts.mark(Caller(shop, owner), [code], "cut")
    again = as_operator.get(path, headers=HTMX)
    assert again.status_code == 200 and "Ready</p>" in again.text


def test_a_spare_says_so(as_operator, shop, owner, small_job):
    lost, code = acts.mark(Caller(shop, owner), [small_job["A L"]], "lost"), small_job["A L"]
    recut = lost.data["recuts"][0]
    acts.mark(Caller(shop, owner), [code], "found")
    page = as_operator.get(f"/p/{recut}").text
    assert "Not needed: do not cut it" in page and "Not needed</p>" in page
