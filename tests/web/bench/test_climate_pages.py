"""The temperature at the bench through the pages: noted in place, the thermometer, the chart, the thread that reads it."""

from __future__ import annotations

import re
import time
from datetime import timedelta
from itertools import pairwise

import pytest
from shop_for_tests import HTMX, words

from shopfloor.actions import climate as acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.bench.cements import Cement
from shopfloor.store import climate as store
from shopfloor.store.climate import Noted
from shopfloor.web.bench import climate as web
from shopfloor.web.pictures.climate_chart import HIGH_PX, WIDE_PX, chart
from shopfloor.wording import climate as wording
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import text


@pytest.fixture
def thermometer(shop, owner, tmp_path):
    """The shop's thermometer, a file."""
    file = tmp_path / "thermometer.txt"
    file.write_text("18.5 52")
    setting_acts.change_settings(Caller(shop, owner), {"thermometer": str(file)})
    return file


def test_a_reading_is_noted_in_place_and_says_which_cures_move(as_operator, clock, glued_job):
    glued_job.glue()
    clock.forward(hours=1)
    answer = as_operator.post(
        "/climate", data={"temperature": "18,5", "humidity": "52"}, headers=HTMX
    )
    assert "18.5 °C and 52 % saved. 1 cure ends later: J-1001 A now" in words(answer)
    assert answer.text.lstrip().startswith('<div id="says"') and 'id="climate"' in answer.text
    page = words(as_operator.get("/climate"))
    assert "18.5 °C 52 % Wed 25 Nov 15:12, Ines" in page and "J-1001 A curing Thu 26 Nov" in page


def test_without_htmx_the_answer_leads_back_to_the_page(as_operator):
    to = as_operator.post("/climate", data={"temperature": "21"}).location
    assert "21 °C saved." in words(as_operator.get(to))


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"temperature": ""}, "such as 21"),
        ({"temperature": "warm"}, "such as 21"),
        ({"temperature": "nan"}, "such as 21"),
        ({"temperature": "21", "humidity": "wet"}, "such as 45"),
        ({"temperature": "21", "humidity": "101"}, "0 to 100"),
        ({"read": "1"}, "The shop has no thermometer"),
    ],
)
def test_what_cannot_be_is_refused(as_operator, shop, form, said):
    answer = as_operator.post("/climate", data=form, headers=HTMX)
    assert (answer.status_code, said in answer.text) == (422, True)
    assert store.newest(shop.read()) is None


def test_a_wrong_reading_is_struck_out_by_the_bench_not_by_the_router(
    as_operator, as_assembler, shop, operator
):
    acts.note_climate(Caller(shop, operator), 8.0)
    assert "Cross out" not in as_operator.get("/climate").text
    reading = re.search(r'name="reading" value="(\d+)"', as_assembler.get("/climate").text).group(1)
    assert as_operator.post("/climate/struck-out", data={"reading": reading}).status_code == 403
    answer = as_assembler.post("/climate/struck-out", data={"reading": reading}, headers=HTMX)
    assert "8 °C is crossed out." in answer.text and "No reading yet" in answer.text
    assert (
        as_assembler.post(
            "/climate/struck-out", data={"reading": reading}, headers=HTMX
        ).status_code
        == 404
    )
    assert as_assembler.post("/climate/struck-out", data={}, headers=HTMX).status_code == 422


def test_the_page_answers_itself_only_where_something_changed(as_operator, shop, operator, app):
    seen = re.search(
        r"seen=([^\"]+)", as_operator.get("/climate").text.split('id="climate"')[1]
    ).group(1)
    assert as_operator.get(f"/climate/page?seen={seen}", headers=HTMX).status_code == 204
    acts.note_climate(Caller(shop, operator), 21.0)
    assert as_operator.get(f"/climate/page?seen={seen}", headers=HTMX).status_code == 200


# The thermometer. -----------------------------------------------------------------------------------------------------------


def test_the_thermometer_fills_the_fields_and_nothing_is_kept(as_assembler, shop, thermometer):
    answer = as_assembler.get("/climate/now", headers=HTMX)
    assert (
        'name="temperature"' in answer.text
        and 'value="18.5"' in answer.text
        and 'value="52"' in answer.text
    )
    assert store.newest(shop.read()) is None
    thermometer.write_text("broken")
    answer = as_assembler.get("/climate/now", headers=HTMX)
    assert (
        answer.status_code == 200
        and "is not a temperature" in answer.text
        and 'value=""' in answer.text
    )
    assert as_assembler.get("/climate/now").location == "/climate"


def test_what_the_thermometer_shows_is_noted_by_a_button(as_operator, shop, thermometer):
    assert "Read the thermometer" in as_operator.get("/climate").text
    as_operator.post("/climate", data={"read": "1"}, headers=HTMX)
    newest = store.newest(shop.read())
    assert (newest.temperature_c, newest.humidity_percent, newest.source) == (18.5, 52, "gauge")


def test_the_fields_are_filled_with_a_fresh_reading_only(app, shop, operator, clock):
    acts.note_climate(Caller(shop, operator), 21.26, 44.6)
    with app.test_request_context():
        assert web.fields_now(shop.read()) == web.ClimateFields(
            "21.3", "45", wording.read_at("Ines", clock.now), False
        )
        clock.forward(minutes=31)
        assert web.fields_now(shop.read()) == web.ClimateFields("", "", None, False)


def test_a_served_shop_reads_its_thermometer_and_says_what_went_wrong(
    app, as_operator, shop, thermometer, glued_job, clock, monkeypatch
):
    monkeypatch.setattr(web, "CHECKS_EVERY", 0.01)
    glued_job.glue()
    clock.forward(minutes=10)
    stop = web.watch_the_thermometer(app)
    until(lambda: store.newest(shop.read()).source == "gauge")
    thermometer.unlink()
    clock.forward(minutes=10)
    until(lambda: web.watch_of(app).trouble)
    assert "The thermometer does not answer" in as_operator.get("/climate").text
    monkeypatch.setattr(acts, "read_if_due", lambda *_: 1 / 0)
    until(lambda: web.watch_of(app).trouble == wording.thermometer_failed())
    stop.set()


def until(is_so) -> None:
    for _ in range(500):
        if is_so():
            return
        time.sleep(0.01)
    raise AssertionError("it did not come to that")


# The chart. -----------------------------------------------------------------------------------------------------------


def test_the_chart_puts_a_reading_where_its_time_and_its_warmth_are(clock):
    now = clock.now
    since = now - timedelta(hours=24)
    noted = [
        Noted(at, since + timedelta(hours=12 * at), celsius, None, "typed", "Ines")
        for at, celsius in enumerate((16.0, 20.0, 26.0))
    ]
    made = chart(noted, [Cement(1, "Plain")], since, now, "UTC")
    # from 15 to 27 °C: a degree more than the readings and limits on either side
    assert made.dots == tuple(
        (WIDE_PX * across, round(HIGH_PX * down / 12, 1))
        for across, down in ((0, 11), (0.5, 7), (1, 1))
    )
    assert [(str(limit.words), limit.y) for limit in made.limits] == [
        ("full speed for Plain", round(HIGH_PX * 4 / 12, 1)),
        ("minimum for Plain", round(HIGH_PX * 11 / 12, 1)),
    ]
    assert [(tick.words, tick.at) for tick in made.times][-2:] == [
        (f"{hour:02}:00", round(WIDE_PX * (1 - (14.2 - hour) / 24), 1))
        for hour in (9, 12)  # it is 14:12 now
    ]


def test_labels_do_not_cover_each_other_and_many_readings_are_a_line_alone(clock):
    now = clock.now
    since = now - timedelta(days=7)
    noted = [
        Noted(at, since + timedelta(minutes=10 * at), 20 + at % 7, 50.0, "gauge", "Ines")
        for at in range(1008)
    ]
    made = chart(
        noted,
        [Cement(at, f"No. {at}", coldest_c=15 + at / 2) for at in range(8)],
        since,
        now,
        "Europe/Lisbon",
    )
    assert made.dots == () and len(made.times) <= 9
    labelled = sorted(limit.y for limit in made.limits if limit.words)
    assert all(b - a >= 17 for a, b in pairwise(labelled))
    assert chart([], [], since, now, "UTC") is None


def test_over_more_than_six_hours_without_a_reading_the_line_is_dashed_and_said_to_be_assumed(
    clock,
):
    now = clock.now  # Wed 14:12
    since = now - timedelta(hours=24)
    noted = [
        Noted(at, now - timedelta(hours=hours), 20.0, None, "typed", "Ines")
        for at, hours in enumerate((24, 18, 11, 10, 2))
    ]
    made = chart(noted, [], since, now, "UTC")
    assert [text(gap, Reader(now=now)) for gap in made.gaps] == [
        "No reading from 04:12 to 12:12: filled in.",
        "No reading from Tue 20:12 to 03:12: filled in.",
    ]
    at = {
        hours: f"{WIDE_PX * (1 - hours / 24):g} {made.dots[0][1]:g}"
        for hours in (24, 18, 11, 10, 2, 0)
    }
    assert made.assumed == f"M{at[18]}L{at[11]}M{at[10]}L{at[2]}"
    assert made.line == f"M{at[24]}L{at[18]}M{at[11]}L{at[10]}M{at[2]}L{at[0]}"


def test_what_was_read_long_ago_is_assumed_to_stay_and_many_gaps_are_counted(clock):
    now = clock.now
    since = now - timedelta(days=5)
    noted = [
        Noted(at, since + timedelta(hours=12 * at), 20.0, None, "typed", "Ines") for at in range(10)
    ]
    made = chart(noted, [], since, now, "UTC")
    assert made.line == "" and made.gaps[0] == wording.no_reading_since(now - timedelta(hours=12))
    assert len(made.gaps) == 4 and str(made.gaps[3]) == "And 7 more gaps."


def test_the_page_says_what_is_assumed(as_operator, shop, operator, clock):
    acts.note_climate(Caller(shop, operator), 21.0)
    clock.forward(hours=7)
    page = as_operator.get("/climate")
    assert (
        "No reading since 14:12: last one used." in words(page)
        and 'class="line assumed"' in page.text
    )
    acts.note_climate(Caller(shop, operator), 22.0)
    assert "No reading from 14:12 to 21:12: filled in." in words(as_operator.get("/climate"))
