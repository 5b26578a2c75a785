"""The list of jobs and one job's page: what they show, what is done from them."""

from __future__ import annotations

import pytest
from shop_for_tests import grows_at_most, words

from shopfloor.actions.unit_of_work import Answer, Caller, command
from shopfloor.store import jobs
from shopfloor.wording.message import plain
from tests.web.jobs.conftest import ONE_SIGN, TWO_SIGNS


@command("filled the shelf of closed jobs for a test")
def many_closed(transaction, count: int) -> Answer:
    for n in range(count):
        job = jobs.add_job(
            transaction.db,
            f"Customer {n % 50}, 10% off_season",
            "Old sign",
            "2025-03-31",
            "0" * 64,
            transaction.at,
        )
        sign = jobs.add_sign(
            transaction.db, transaction.new_code("sign"), job, "A", "Old", (100, 100), 1
        )
        jobs.set_sign_state(transaction.db, sign, "handed over")
    return Answer(plain("Filled."))


def test_open_jobs_stand_by_due_date_and_late_ones_are_stamped(tablet, clock, plain_nests):
    tablet.take_in(ONE_SIGN, key="one", when="2026-12-09", title="Later one")
    tablet.take_in(TWO_SIGNS, key="two", when="2026-11-25", title="Sooner one")
    clock.forward(hours=10)
    page = words(tablet.client.get("/jobs"))
    assert page.index("Sooner one") < page.index("Later one")
    assert page.count("late:") == 1 and "late: Wed 25 Nov" in page and "due Wed 9 Dec" in page
    assert "2 signs" in page and "0 of 4 pieces in hand" in page and "0 of 2 pieces in hand" in page


def test_closed_jobs_are_found_by_number_and_by_customer(tablet, shop, owner):
    many_closed(Caller(shop, owner), 60)
    page = tablet.client.get("/jobs?q=1007", headers={"HX-Request": "true"}).get_data(as_text=True)
    assert page.count("J-1007") >= 1 and "J-1008" not in page and "<html" not in page
    by_customer = words(tablet.client.get("/jobs?q=customer 7,"))
    assert "J-1008" in by_customer and "J-1058" in by_customer and "J-1009" not in by_customer
    assert "No closed job has" in words(tablet.client.get("/jobs?q=nobody"))


def test_the_newest_thirty_are_shown_and_signs_of_a_pattern_stand_for_themselves(shop, owner):
    many_closed(Caller(shop, owner), 40)
    found = jobs.closed_jobs(shop.read())
    assert [job.number for job in found] == [f"J-{n}" for n in range(1040, 1010, -1)]
    assert len(jobs.closed_jobs(shop.read(), "10% off_s")) == 30
    assert (
        jobs.closed_jobs(shop.read(), "1%0") == []
        and jobs.closed_jobs(shop.read(), "off season") == []
    )
    assert jobs.closed_jobs(shop.read(), "\\") == []


def test_looking_up_stays_quick_with_ten_thousand_closed_jobs(tablet, shop, owner):
    many_closed(Caller(shop, owner), 10_000)
    searches = ["", *("?q=nobody", "?q=Customer 7,") * 5]

    def look_up(count: int) -> None:
        for search in searches[:count]:
            assert tablet.client.get(f"/jobs{search}").status_code == 200

    look_up(1)
    assert grows_at_most(100, look_up, 1, 11)  # ten searches against the page without one


def test_a_job_shows_its_parts_its_sheets_and_what_was_done(tablet, plain_nests):
    path = tablet.take_in(ONE_SIGN)
    page = words(tablet.client.get(path))
    for said in (
        "400 × 200 mm",
        "60 × 90 mm",
        "nested",
        "S-201",
        "S-202",
        "is added",
        "2 pieces in hand",
        "Labels",
    ):
        assert said in page


def test_of_several_signs_the_parts_are_shown_when_asked_for(tablet, plain_nests):
    path = tablet.take_in(TWO_SIGNS)
    assert "400 × 200 mm" not in words(tablet.client.get(path))
    assert words(tablet.client.get(f"{path}?parts=B")).count("400 × 200 mm") == 1


def test_a_job_of_many_signs_is_shown_a_dozen_at_a_time(tablet, plain_nests):
    path = tablet.take_in(ONE_SIGN, quantity="14")
    first, second = (words(tablet.client.get(path + way)) for way in ("", "?start=12"))
    assert "Signs 1 to 12 of 14" in first and "Signs 13 to 14 of 14" in second
    assert tablet.client.get(f"{path}?start=999").status_code == 200


def test_there_is_no_such_job(tablet):
    answer = tablet.client.get("/jobs/J-9999")
    assert answer.status_code == 404 and "Look for it in Jobs" in words(answer)


def test_an_owner_changes_when_a_job_is_due(tablet, as_owner, shop, plain_nests):
    path = tablet.take_in(ONE_SIGN)
    form = {"key": "k", "customer": "Harbour Office", "title": "Gate sign", "due": "2026-12-24"}
    answer = as_owner.post(path, data=form, follow_redirects=True)
    job = jobs.job_by_number(shop.read(), "J-1001")
    assert (job.title, job.due) == ("Gate sign", "2026-12-24")
    assert "due Thu 24 Dec 2026" in words(answer) and "Undo" in words(answer)


@pytest.mark.parametrize(
    "changed", [{"due": "31.12.2026"}, {"due": ""}, {"customer": ""}, {"title": "x" * 121}], ids=str
)
def test_a_wrong_change_is_refused_and_changes_nothing(
    tablet, as_owner, whole, plain_nests, changed
):
    path = tablet.take_in(ONE_SIGN)
    before = whole()
    form = {
        "key": "k",
        "customer": "Harbour Office",
        "title": "Gate sign",
        "due": "2026-12-24",
        **changed,
    }
    assert as_owner.post(path, data=form).status_code == 422
    assert whole() == before


def test_only_an_owner_changes_a_job_or_cancels_a_sign(tablet, as_assembler, whole, plain_nests):
    path = tablet.take_in(ONE_SIGN)
    before = whole()
    form = {"key": "k", "customer": "x", "title": "y", "due": "2026-12-24"}
    for client in (tablet.client, as_assembler):
        assert client.post(path, data=form).status_code == 403
        assert (
            client.post(
                f"{path}/A", data={"key": "c", "to": "cancel", "reason": "not wanted"}
            ).status_code
            == 403
        )
        assert "Cancel the sign" not in words(client.get(path))
    assert whole() == before


def test_a_sign_is_held_resumed_cancelled_and_reopened_with_a_reason(
    tablet, as_owner, as_assembler, shop, plain_nests
):
    path = tablet.take_in(ONE_SIGN)

    def state() -> str:
        return jobs.sign_by_name(shop.read(), "J-1001", "A").state

    as_assembler.post(f"{path}/A", data={"key": "1", "to": "hold", "reason": "colour to be agreed"})
    assert state() == "on hold"
    as_assembler.post(f"{path}/A", data={"key": "2", "to": "resume"})
    assert state() == "open"
    assert (
        as_owner.post(f"{path}/A", data={"key": "3", "to": "cancel", "reason": ""}).status_code
        == 422
    )
    as_owner.post(f"{path}/A", data={"key": "4", "to": "cancel", "reason": "not wanted any more"})
    assert state() == "cancelled" and jobs.job_by_number(shop.read(), "J-1001").state == "closed"
    assert "Cancelled" in words(as_owner.get(path))
    as_owner.post(f"{path}/A", data={"key": "5", "to": "reopen", "reason": "wanted after all"})
    assert state() == "open" and jobs.job_by_number(shop.read(), "J-1001").state == "open"


def test_nonsense_about_a_sign_is_refused(tablet, as_owner, whole, plain_nests):
    path = tablet.take_in(ONE_SIGN)
    before = whole()
    assert as_owner.post(f"{path}/A", data={"key": "1", "to": "explode"}).status_code == 422
    assert as_owner.post(f"{path}/Z", data={"key": "2", "to": "hold"}).status_code == 404
    assert whole() == before


def test_a_due_day_that_is_past_is_said(tablet, as_owner, plain_nests):
    path = tablet.take_in(ONE_SIGN)
    form = {"key": "k", "customer": "Harbour Office", "title": "Gate sign", "due": "2020-02-28"}
    answer = words(as_owner.post(path, data=form, follow_redirects=True))
    assert "due Fri 28 Feb 2020. The due date has passed." in answer
