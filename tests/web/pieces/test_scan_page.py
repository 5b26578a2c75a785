"""The Scan page: pick a mark once, then scan; each scan answers at once, and a mistyped one changes nothing."""

from __future__ import annotations

import re

import pytest
from stdnum.iso7064 import mod_11_10

from shopfloor.actions import pieces as acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain import codes
from shopfloor.store import ledger, pieces

HTMX = {"HX-Request": "true"}


@pytest.fixture
def scan(as_operator):
    """Scans one code under a mark, as the page's form does."""

    def enter(mark: str, code: str, key: str = ""):
        scan.count += 1
        data = {"mark": mark, "code": code, "key": key or f"key {scan.count}"}
        return as_operator.post("/scan", data=data, headers=HTMX)

    scan.count = 0
    return enter


def state(shop, code: str) -> str:
    return pieces.by_code(shop.read(), code).state


def test_the_mark_that_was_picked_is_kept_in_the_form(as_operator, small_job):
    page = as_operator.get("/scan?mark=lost").text
    assert '<input type="hidden" name="mark" value="lost">' in page
    assert re.findall(r'aria-current="true">([^<]+)<', page) == ["Lost"]
    assert "data-scan" in page and "scan.js" in page


def test_without_a_mark_a_scan_only_looks(as_operator, small_job):
    assert 'name="mark" value="look"' in as_operator.get("/scan").text


def test_a_scan_answers_with_what_it_did_where_the_piece_goes_and_undo(
    scan, as_operator, shop, small_job
):
    answer = scan("cut", small_job["A L"])
    assert answer.status_code == 200
    assert "&#39;L&#39; of J-1001 A is ready." in answer.text
    assert "Put it with J-1001 A, level 1" in answer.text
    assert 'hx-get="/scan/pictures/' in answer.text, "the pictures come after the words"
    pictures = as_operator.get(f"/scan/pictures/{small_job['A L']}").text
    assert pictures.count('<svg class="sign"') == 2, "its outline, and the sign that it goes to"
    assert 'action="/scan/undo"' in answer.text and 'data-sound="done"' in answer.text
    assert state(shop, small_job["A L"]) == "ready"


@pytest.mark.parametrize(
    "written", ["{0} {1}", "{0}-{1}", "HTTP://SHOP.LAN:8000/P/{0}{1}", "http-//shop.lan/p/{0}{1}"]
)
def test_a_thumb_and_a_scanner_may_write_a_code_in_their_own_ways(scan, shop, small_job, written):
    code = small_job["A O"]
    assert scan("cut", written.format(code[:4], code[4:])).status_code == 200
    assert state(shop, code) == "ready"


def test_a_mistyped_code_is_refused_by_its_check_digit_and_nothing_is_done(scan, shop, small_job):
    code = small_job["A L"]
    wrong = code[:-1] + str((int(code[-1]) + 1) % 10)
    assert not mod_11_10.is_valid(wrong), "python-stdnum, a second opinion"
    before = ledger.newest(shop.read())
    answer = scan("lost", wrong)
    assert answer.status_code == 422
    assert "has a mistyped digit. Read it again." in answer.text
    assert 'data-sound="refused"' in answer.text and "HX-Retarget" not in answer.headers
    assert ledger.newest(shop.read()) == before


def test_a_scan_faster_than_the_scripts_is_refused_on_the_same_page_ready_for_the_next(
    as_operator, small_job
):
    answer = as_operator.post("/scan", data={"key": "k1", "mark": "lost", "code": "12345678"})
    assert answer.status_code == 422
    assert "has a mistyped digit. Read it again." in answer.text
    assert (
        '<input type="hidden" name="mark" value="lost">' in answer.text
        and "data-scan" in answer.text
    )


def test_a_code_that_no_label_bears_is_refused(scan, small_job):
    unknown = next(code for code in map(codes.make, range(100)) if code not in small_job.values())
    answer = scan("cut", unknown)
    assert answer.status_code == 404 and "No label has the code" in answer.text


def test_a_label_whose_act_was_undone_is_to_be_taken_off(scan, shop, owner, small_job):
    lost = acts.mark(Caller(shop, owner), [small_job["A L"]], "lost")
    undo(Caller(shop, owner), lost.act)
    answer = scan("cut", lost.data["recuts"][0])
    assert answer.status_code == 404 and "Take it off." in answer.text


def test_an_empty_scan_says_what_to_do(scan, small_job):
    answer = scan("cut", "  ")
    assert answer.status_code == 422 and "Scan the label or type its 8 digits" in answer.text


def test_a_scan_sent_again_with_its_key_is_one_act(scan, shop, small_job):
    first, again = (scan("lost", small_job["A L"], key="the same") for _ in range(2))
    sentence = re.compile(r"Its recut \d{4} \d{4} is queued with tabs\.")
    assert sentence.search(first.text)[0] == sentence.search(again.text)[0]
    assert shop.read().execute("SELECT count(*) FROM piece WHERE attempt = 2").fetchone()[0] == 1


def test_a_piece_scanned_twice_as_lost_has_one_recut_and_no_second_undo(scan, shop, small_job):
    recut = re.search(r"recut (\d{4} \d{4}) is queued", scan("lost", small_job["A L"]).text)[1]
    again = scan("lost", small_job["A L"])
    assert again.status_code == 200
    assert f"Already lost. Its recut is {recut}." in again.text
    assert "/scan/undo" not in again.text
    assert shop.read().execute("SELECT count(*) FROM piece WHERE attempt = 2").fetchone()[0] == 1


def test_one_piece_takes_one_mark_after_the_other(scan, shop, small_job):
    code = small_job["B I"]
    assert [
        (scan(mark, code).status_code, state(shop, code))
        for mark in ("cut", "lost", "found", "damaged")
    ] == [
        (200, "ready"),
        (200, "lost"),
        (200, "ready"),
        (200, "damaged"),
    ]


def test_a_mark_that_its_state_does_not_allow_is_refused_with_the_reason(scan, shop, small_job):
    answer = scan("trimmed", small_job["A L"])
    assert answer.status_code == 409
    assert "is on a sheet and not cut yet. It has no tabs to trim." in answer.text
    assert state(shop, small_job["A L"]) == "nested"


def test_undo_takes_the_scan_back_and_strikes_it_through(scan, as_operator, shop, small_job):
    act = re.search(r'name="act" value="(\d+)"', scan("lost", small_job["A L"]).text)[1]
    data = {"act": act, "code": small_job["A L"], "key": "undo it"}
    answer = as_operator.post("/scan/undo", data=data, headers=HTMX)
    assert answer.status_code == 200
    assert (
        "Undone: “&#39;L&#39; of J-1001 A is lost." in answer.text
        and 'class="answer undone"' in answer.text
    )
    assert state(shop, small_job["A L"]) == "nested"


def test_looking_up_changes_nothing_and_offers_the_marks_that_are_allowed(scan, shop, small_job):
    before = ledger.newest(shop.read())
    answer = scan("look", small_job["A L"])
    assert re.findall(r'name="mark" value="(\w+)"', answer.text) == ["cut", "lost", "damaged"]
    assert "On sheet S-202, then to J-1001 A, level 1" in answer.text
    assert ledger.newest(shop.read()) == before


def test_a_sheets_label_is_no_piece(scan, shop, small_job):
    sheet = shop.read().execute("SELECT code, number FROM sheet ORDER BY id").fetchone()
    refused = scan("lost", sheet["code"])
    assert refused.status_code == 422 and f"is sheet {sheet['number']}, not a piece" in refused.text
    assert f'href="/sheets/{sheet["code"]}"' in scan("look", sheet["code"]).text


def test_a_signs_label_leads_to_its_bench(scan, small_job):
    assert f'href="/bench/{small_job["A"]}"' in scan("look", small_job["A"]).text


def test_a_mark_that_there_is_not_is_refused(scan, small_job):
    answer = scan("eaten", small_job["A L"])
    assert answer.status_code == 422 and "Choose a mark first" in answer.text


def test_without_scripts_a_scan_still_marks_and_the_page_shows_it(as_operator, shop, small_job):
    code = small_job["A L"]
    told = as_operator.post("/scan", data={"mark": "cut", "code": code, "key": "k"})
    assert told.status_code == 303
    page = as_operator.get(told.headers["Location"]).text
    assert "&#39;L&#39; of J-1001 A is ready." in page and 'name="mark" value="cut"' in page
    assert state(shop, code) == "ready"


def test_nobody_scans_who_is_not_signed_in(client, as_operator, small_job):
    told = client.post("/scan", data={"mark": "cut", "code": small_job["A L"], "key": "k"})
    assert told.status_code == 303 and told.headers["Location"].startswith("/")
    assert "sign-in" in told.headers["Location"]
