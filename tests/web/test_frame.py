"""The frame round each page: what it counts, how it shows times, and that closed jobs cost it nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from shopfloor.actions import settings as settings_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import page_counts
from shopfloor.wording import formatting


@pytest.mark.parametrize(
    ("sql", "index"),
    [
        (page_counts.SHEETS_TO_CUT, "sheet_live"),
        (page_counts.RECUTS_WAITING, "piece_waiting"),
        (page_counts.SIGNS_READY, "sign_live"),
        (page_counts.CURES_ENDED, "sign_live"),
    ],
)
def test_the_figures_read_only_what_is_live(shop, sql, index):
    plan = shop.read().execute("EXPLAIN QUERY PLAN " + sql, {"at": "2026"}).fetchall()
    steps = [row["detail"] for row in plan]
    assert any(index in step for step in steps), steps
    assert not [step for step in steps if step.startswith("SCAN") and "INDEX" not in step], steps


def test_an_empty_shop_has_nothing_to_count(shop):
    assert page_counts.counts(shop.read(), "2026-11-25T14:12:00.000Z") == page_counts.Counts(
        0, 0, 0
    )


def test_times_are_shown_in_the_shops_zone(as_owner, shop, owner):
    assert "Wed 25 Nov 14:12" in as_owner.get("/office").text
    settings_actions.change_settings(Caller(shop, owner), {"zone": "Pacific/Auckland"})
    assert "Thu 26 Nov 03:12" in as_owner.get("/office").text


# Offsets: the IANA time zone database (summer time in Lisbon in 2026 is from 29 March to 25 October).
@pytest.mark.parametrize(
    ("when", "zone", "shown"),
    [
        ("2026-11-26T15:40:00.000Z", "Europe/Lisbon", "Thu 26 Nov 15:40"),
        ("2026-07-01T23:30:00.000Z", "Europe/Lisbon", "Thu 2 Jul 00:30"),
        (datetime(2026, 3, 1, 0, 5, tzinfo=UTC), "America/Halifax", "Sat 28 Feb 20:05"),
    ],
)
def test_a_moment_is_shown_as_people_say_it(when, zone, shown):
    assert formatting.moment(when, zone) == shown


@pytest.mark.parametrize("when", ["2026-11-26", date(2026, 11, 26)])
def test_a_due_day_stays_that_day_in_every_zone(when):
    assert {formatting.day(when, zone) for zone in ("Pacific/Auckland", "America/Halifax")} == {
        "Thu 26 Nov"
    }


def test_things_are_counted_in_words():
    assert [formatting.counted(number, "piece") for number in (0, 1, 1200)] == [
        "0 pieces",
        "1 piece",
        "1,200 pieces",
    ]
    assert formatting.counted(2, "box", "boxes") == "2 boxes"


def test_the_place_that_a_page_belongs_to_is_lit(as_owner):
    page = as_owner.get("/office/ledger").text
    assert page.count("aria-current") == 1
    lit = page[: page.index('aria-current="page"')].rsplit("<a ", 1)[1]
    assert 'href="/office"' in lit


def test_the_title_block_leads_to_the_names_from_every_page(as_owner):
    for path in ("/office", "/office/people", "/office/ledger", "/no-such-page"):
        assert 'class="who" href="/sign-in"' in as_owner.get(path).text
