"""What runs against the clock at the bench, and the strip that every page shows of it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from flask import render_template
from shop_for_tests import HTMX, words

from shopfloor.actions import bench as bench_acts
from shopfloor.actions import cements as cement_acts
from shopfloor.actions import climate
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import Caller, stamp
from shopfloor.app import create_app
from shopfloor.store import timers as store
from shopfloor.store.timers import Timer
from shopfloor.web.bench.timers import Strip, TimerShown, one_a_sign


@pytest.fixture
def quick(shop, owner):
    """The shop's cement: open for 10 minutes, fixtured after 20, may be handled after 2 hours, is cured after 24."""
    cement_acts.change_cement(
        Caller(shop, owner), 1, {"open_min": "10", "fixture_min": "20", "handling_hours": "2"}
    )


def running(shop, back=timedelta(0)):
    return [
        (one.kind, one.sign, one.until)
        for one in store.since(shop.read(), stamp(shop.clock() - back))
    ]


def strip(client, **query):
    return client.get("/timers/now", query_string=query, headers=HTMX)


def seen(answer) -> str:
    return re.search(r"seen=(\w+)", answer.text).group(1)


def render(app, it: Strip) -> str:
    with app.test_request_context():
        return render_template("_timers.html", view=it)


def clocks(client) -> list[str]:
    """What each timer of the strip says, without its end."""
    shown = re.findall(r'<a class="timer[^"]*" [^>]*data-timer=.*?</a>', strip(client).text, re.S)
    return [
        " ".join(re.sub(r'<span class="figures".*?</span>|<[^>]*>', " ", one).split())
        for one in shown
    ]


def test_open_time_the_stages_and_the_cure_run_the_soonest_first(shop, clock, glued_job, quick):
    glued_job.begin("B")
    began = clock.now
    clock.forward(minutes=3)
    glued_job.glue("A")
    glued = clock.now
    assert running(shop) == [
        ("open", "J-1001 B", began + timedelta(minutes=10)),
        ("fixture", "J-1001 A", glued + timedelta(minutes=20)),
        ("handling", "J-1001 A", glued + timedelta(hours=2)),
        ("cure", "J-1001 A", glued + timedelta(hours=24)),
    ]
    glued_job.glue("B")
    assert [kind for kind, *_ in running(shop)].count("open") == 0


def test_one_session_over_two_signs_holds_each_of_them(shop, glued_job, quick):
    glued_job.glue("A", "B")
    assert [(kind, sign) for kind, sign, _ in running(shop)] == [
        (kind, sign)
        for kind in ("fixture", "handling", "cure")
        for sign in ("J-1001 A", "J-1001 B")
    ]


def test_a_sign_has_one_clock_and_it_is_the_one_that_ends_next(
    as_operator, clock, glued_job, quick
):
    glued_job.begin()
    assert clocks(as_operator) == ["J-1001 A of open time"]
    clock.forward(minutes=10)
    assert clocks(as_operator) == ["J-1001 A is out of open time"]
    gluing_acts.glue_up(
        Caller(glued_job.shop, glued_job.by), [glued_job.steps()[1].id], 1, "7B", 23, 45
    )
    said = []
    for minutes in (0, 19, 1, 1, 98, 1, 1):
        clock.forward(minutes=minutes)
        said += clocks(as_operator)
    assert said == [
        f"J-1001 A {words}"
        for words in (
            "until it holds on its own",
            "until it holds on its own",
            "holds on its own",
            "until it may be moved",
            "until it may be moved",
            "may be moved with care",
            "until cured",
        )
    ]


def test_of_several_glue_ups_of_a_level_the_last_one_counts_for_its_cure(
    shop, clock, as_operator, glued_job
):
    laying, step = glued_job.steps()[:2]
    bench_acts.set_out_rest(Caller(shop, glued_job.by), laying.id, laying.parts)
    for part, celsius in (
        (laying.parts[:1], 18),
        (laying.parts[1:], 23),
    ):  # the first one cures longer
        gluing_acts.glue_up(
            Caller(shop, glued_job.by), [step.id], 1, "7B", celsius, 45, clock.now, parts=part
        )
    longest = shop.read().execute("SELECT max(cured_at) FROM glue_up").fetchone()[0]
    assert [(kind, stamp(until)) for kind, _, until in running(shop)] == [("cure", longest)]
    assert clocks(as_operator) == ["J-1001 A until cured"]


def test_what_has_ended_is_told_for_a_quarter_of_an_hour(as_operator, clock, glued_job):
    glued_job.glue(at=clock.now - timedelta(hours=24))
    assert "is-over" in strip(as_operator).text and "J-1001 A is cured" in strip(as_operator).text
    clock.forward(minutes=14, seconds=59)
    assert "J-1001 A is cured" in strip(as_operator).text
    clock.forward(seconds=1)
    assert "J-1001" not in strip(as_operator).text


def test_a_cure_that_an_owner_opened_or_that_the_cold_holds_is_shown_as_it_is(
    shop, owner, as_operator, clock, glued_job, quick
):
    glued_job.glue("A", "B")
    gluing_acts.open_early(Caller(shop, owner), glued_job.steps("B")[2].id, "the customer waits")
    assert {sign for _, sign, _ in running(shop)} == {"J-1001 A"}
    clock.forward(minutes=1)
    climate.note_climate(Caller(shop, owner), 5.0)
    answer = strip(as_operator)
    assert "J-1001 A cure paused: too cold" in words(answer) and "J-1001 B" not in words(answer)
    assert "data-until" not in answer.text and "9999" not in words(answer)


def test_at_most_three_are_shown_and_the_rest_is_counted(app):
    """The store's timers are made up here: the small job has two signs."""
    now = datetime(2026, 11, 25, 14, 12, tzinfo=UTC)
    timers = [
        Timer(f"cure-{at}", "cure", f"J-1001 {mark}", "AAAA", now + timedelta(hours=at))
        for at, mark in enumerate("ABCABCDE", start=1)
    ]
    assert [timer.id for timer in one_a_sign(timers, now)] == [
        f"cure-{at}" for at in (1, 2, 3, 7, 8)
    ]
    page = render(
        app,
        Strip(
            "seen",
            "bench",
            "",
            tuple(
                TimerShown(timer.id, timer.sign, "cures", "until cured", "is cured", "/", "", False)
                for timer in timers[:3]
            ),
            2,
        ),
    )
    assert (
        page.count("data-timer=") == 3 and '<a class="timer" href="/climate">and 2 more</a>' in page
    )


def test_the_strip_and_the_title_block_answer_only_where_something_changed(
    as_operator, clock, glued_job, quick
):
    first = strip(as_operator)
    assert strip(as_operator, seen=seen(first)).status_code == 204
    glued_job.glue()
    second = strip(as_operator, seen=seen(first))
    assert second.status_code == 200
    clock.forward(seconds=40)
    assert strip(as_operator, seen=seen(second)).status_code == 204
    clock.forward(seconds=20)  # the clock in the title block
    third = strip(as_operator, seen=seen(second))
    assert third.status_code == 200 and seen(third) != seen(second)


def test_the_title_block_comes_along_as_it_stands_on_the_page(as_operator, shop, clock, glued_job):
    page = as_operator.get("/climate").text
    assert (
        strip(as_operator, seen=re.search(r"/timers/now\?seen=(\w+)", page).group(1)).status_code
        == 204
    )
    block = page[page.index('<footer id="title-block"') : page.index("</footer>")]
    again = strip(as_operator, here="bench").text
    assert 'hx-swap-oob="outerMorph"' in again and block in again.replace(
        ' hx-swap-oob="outerMorph"', ""
    )
    assert (
        "<span>Bench</span><small>2 ready</small>" in again
        and 'href="/bench" aria-current="page"' in again
    )
    glued_job.glue("A")
    clock.forward(minutes=7)
    again = strip(as_operator, here="bench").text
    assert "<span>Bench</span><small>1 ready</small>" in again and "Wed 25 Nov 14:19" in again


def test_each_page_bears_the_strip_where_somebody_is_signed_in_and_no_other_does(
    as_operator, client, glued_job
):
    glued_job.glue()
    for path in ("/", "/sheets", "/office"):
        page = as_operator.get(path).text
        assert page.count('id="timers"') == 1 and page.count("data-timer=") == 1, path
    assert 'id="timers"' not in client.get("/sign-in").text
    assert "/sign-in" in strip(client).headers["HX-Redirect"]


def test_a_server_that_is_started_anew_shows_the_same_timers(shop, as_operator, glued_job, quick):
    glued_job.glue()
    before = strip(as_operator).text
    app = create_app(shop.database, clock=shop.clock, dice=shop.dice, testing=True)
    other = app.test_client()
    other.set_cookie("shopfloor_session", as_operator.get_cookie("shopfloor_session").value)
    assert strip(other).text == before
