"""What runs against the clock at the bench, and the strip that every page shows of it."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from shop_for_tests import HTMX, words

from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import cements as cement_acts
from shopfloor.actions import climate
from shopfloor.actions.desk import stamp
from shopfloor.app import create_app
from shopfloor.store import timers as store


@pytest.fixture
def quick(desk, owner):
    """The shop's cement: open for 10 minutes, stands by itself after 20."""
    cement_acts.change_cement(desk, owner, 1, {"open_min": "10", "fixture_min": "20"})


def running(desk, back=timedelta(0)):
    return [(one.kind, one.sign, one.until) for one in store.since(desk.read(), stamp(desk.clock() - back))]


def strip(client, **query):
    return client.get("/timers/now", query_string=query, headers=HTMX)


def seen(answer) -> str:
    return re.search(r"seen=(\w+)", answer.text).group(1)


def test_open_time_fixture_and_cure_run_the_soonest_first(desk, clock, gluing, quick):
    gluing.begin("B")
    began = clock.now
    clock.forward(minutes=3)
    gluing.glue("A")
    glued = clock.now
    assert running(desk) == [
        ("open", "J-1001 B", began + timedelta(minutes=10)),
        ("fixture", "J-1001 A", glued + timedelta(minutes=20)),
        ("cure", "J-1001 A", glued + timedelta(hours=24)),
    ]
    gluing.glue("B")
    assert [kind for kind, *_ in running(desk)].count("open") == 0


def test_one_session_over_two_signs_has_one_fixture_and_two_cures(desk, gluing, quick):
    gluing.glue("A", "B")
    assert [(kind, sign) for kind, sign, _ in running(desk)] == [
        ("fixture", "J-1001 A and 1 more"), ("cure", "J-1001 A"), ("cure", "J-1001 B"),
    ]  # fmt: skip


def test_what_has_ended_is_told_for_a_quarter_of_an_hour(as_operator, clock, gluing):
    gluing.glue(at=clock.now - timedelta(hours=24))
    assert "is-over" in strip(as_operator).text and "J-1001 A is cured" in strip(as_operator).text
    clock.forward(minutes=14, seconds=59)
    assert "J-1001 A is cured" in strip(as_operator).text
    clock.forward(seconds=1)
    assert "J-1001" not in strip(as_operator).text


def test_a_cure_that_an_owner_opened_or_that_the_cold_holds_is_shown_as_it_is(desk, owner, as_operator, clock, gluing):
    gluing.glue("A", "B")
    gluing_acts.open_early(desk, owner, gluing.steps("B")[2].id, "the customer waits")
    clock.forward(minutes=1)
    climate.note_climate(desk, owner, 5.0)
    answer = strip(as_operator)
    assert "J-1001 A stands still: too cold" in words(answer) and "J-1001 B" not in words(answer)
    assert "data-until" not in answer.text and "9999" not in words(answer)


def test_at_most_three_are_shown_and_the_rest_is_counted(as_operator, gluing, quick):
    gluing.glue("A")
    gluing.glue("B")
    answer = strip(as_operator)
    assert answer.text.count("data-timer=") == 3
    assert '<a class="timer" href="/climate">and 1 more</a>' in answer.text


def test_the_strip_answers_only_where_something_began_or_ended(as_operator, clock, gluing, quick):
    first = strip(as_operator)
    assert strip(as_operator, seen=seen(first)).status_code == 204
    gluing.glue()
    second = strip(as_operator, seen=seen(first))
    assert second.status_code == 200
    clock.forward(minutes=19)
    assert strip(as_operator, seen=seen(second)).status_code == 204
    clock.forward(minutes=1)
    assert strip(as_operator, seen=seen(second)).status_code == 200


def test_each_page_bears_the_strip_where_somebody_is_signed_in_and_no_other_does(as_operator, client, gluing):
    gluing.glue()
    for path in ("/", "/sheets", "/office"):
        page = as_operator.get(path).text
        assert page.count('id="timers"') == 1 and page.count("data-timer=") == 1, path
    assert 'id="timers"' not in client.get("/sign-in").text
    assert "/sign-in" in strip(client).headers["HX-Redirect"]


def test_a_server_that_is_started_anew_shows_the_same_timers(desk, as_operator, gluing, quick):
    gluing.glue()
    before = strip(as_operator).text
    app = create_app(desk.database, clock=desk.clock, dice=desk.dice, testing=True)
    other = app.test_client()
    other.set_cookie("shopfloor_session", as_operator.get_cookie("shopfloor_session").value)
    assert strip(other).text == before
