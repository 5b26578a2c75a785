"""How warm it is at the bench: the page, the two fields of it for other forms, and the thread that reads the gauge.

Owns what is shown of it; the chart is drawn by climate_chart.py. Must not reckon a cure.
"""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, Flask, Response, current_app, request, url_for

from ...actions import climate as actions
from ...actions.climate import Watch
from ...actions.unit_of_work import Answer, Shop, stamp
from ...domain.bench.cure import celsius
from ...domain.errors import Refused, ShopError
from ...store import cements
from ...store import climate as store
from ...store import timers as timer_store
from ...store.climate import Noted
from ...store.db import Connection
from ..page import (
    Notice,
    current_actor,
    current_settings,
    current_shop,
    do,
    done,
    fragment,
    go,
    notice_of,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
    whole,
)
from ..pictures.climate_chart import Chart, chart
from .timers import TimerShown, shown

FRESH = timedelta(minutes=30)  # an older reading is not filled in by itself
LAST_READINGS = 8
CHART_AT_LEAST, CHART_AT_MOST = timedelta(hours=24), timedelta(days=7)
LOOKS_EVERY = 10.0  # seconds between two looks whether a reading is due

pages = Blueprint("climate", __name__)
log = logging.getLogger("shopfloor")


@dataclass(frozen=True)
class ClimateFields:
    """The two fields, as typed text: '' where nothing is known. `words` say where the figures come from, or what is wrong.

    `has_gauge`: a button reads it (GET /climate/now, which answers with these fields again).
    """

    temperature: str
    humidity: str
    words: str
    has_gauge: bool
    is_trouble: bool = False


@dataclass(frozen=True)
class ReadingRow:
    """A reading of the list; `can_strike`: this person may take it out."""

    noted: Noted
    can_strike: bool


@dataclass(frozen=True)
class ClimatePage:
    """How warm it is, what hangs on it, and what was noted. `trouble` is what the gauge's last try ended with."""

    seen: str
    now: str
    newest: Noted | None
    fields: ClimateFields
    chart: Chart | None
    curing: tuple[TimerShown, ...]
    readings: tuple[ReadingRow, ...]
    trouble: str
    told: Notice | None


@pages.get("/climate")
def page() -> Response:
    """How warm it is at the bench."""
    with snapshot() as db:
        return show("bench/climate.html", _page(db), title="How warm it is", here="Bench")


@pages.get("/climate/page")
def page_now() -> Response | tuple[str, int]:
    """The same again, where something changed."""
    with snapshot() as db:
        if unchanged(_seen(db)):
            return "", 204
        return fragment("bench/_climate_page.html", _page(db))


@pages.get("/climate/now")
def now() -> Response:
    """The two fields with what the gauge shows at this moment, for any form that includes them; nothing is kept."""
    if not wants_fragment():
        return go(url_for("climate.page"))
    return fragment("bench/_climate.html", fields_now(current_shop().read(), read=True))


@pages.post("/climate")
def note() -> Response:
    """A reading, typed or (`read=1`) from the gauge."""
    if request.form.get("read") == "1":
        temperature, humidity = actions.read_gauge(current_shop().read())
        return _told(do(actions.note_climate, temperature, humidity, "gauge"))
    temperature = celsius(request.form.get("temperature", ""))
    humidity = None
    if request.form.get("humidity", "").strip():
        humidity = typed("humidity", "Type the humidity in %, such as 45, or leave it empty.")
    return _told(do(actions.note_climate, temperature, humidity))


@pages.post("/climate/struck-out")
def strike_out() -> Response:
    """A wrong reading goes."""
    reading = whole(request.form.get("reading", ""))
    if reading is None:
        raise Refused("Choose the reading that is wrong.")
    return _told(do(actions.strike_out, reading))


def typed(name: str, refusal: str) -> float:
    """A figure of the form, a comma taken as a point. Raises Refused with the sentence `refusal`."""
    try:
        return float(request.form.get(name, "").strip().replace(",", "."))
    except ValueError as error:
        raise Refused(refusal) from error


def _told(answer: Answer) -> Response:
    if not wants_fragment():
        return done(answer, url_for("climate.page"))
    with snapshot() as db:
        return fragment("bench/_climate_page.html", _page(db, notice_of(db, answer)))


def fields_now(db: Connection, *, read: bool = False) -> ClimateFields:
    """The fields filled with the last reading where it is fresh; with `read`, with what the gauge shows now."""
    has_gauge = bool(current_settings().thermometer)
    if read:
        try:
            temperature, humidity = actions.read_gauge(db)
        except ShopError as error:
            return ClimateFields("", "", error.sentence, has_gauge, is_trouble=True)
        return ClimateFields(
            f"{round(temperature, 1):g}", _percent(humidity), "read from the gauge now", has_gauge
        )
    last = store.newest(db)
    if last is None or last.at < current_shop().clock() - FRESH:
        return ClimateFields("", "", "", has_gauge)
    return ClimateFields(
        f"{round(last.temperature_c, 1):g}",
        _percent(last.humidity_percent),
        _words(last),
        has_gauge,
    )


def _percent(humidity: float | None) -> str:
    return "" if humidity is None else f"{round(humidity):g}"


def _words(noted: Noted) -> str:
    return f"{'the gauge' if noted.source == 'gauge' else noted.by_name} at {_clock(noted.at)}"


def _clock(moment: datetime) -> str:
    return current_app.jinja_env.filters["clock"](moment)


def _seen(db: Connection) -> str:
    return f"{version(db)}.{watch_of(current_app).trouble}"


def _page(db: Connection, notice: Notice | None = None) -> ClimatePage:
    shop, moment = current_shop(), current_shop().clock()
    under_way = store.under_way(db, stamp(moment))
    since = max(
        min([moment - CHART_AT_LEAST, *(one.at for one in under_way)]), moment - CHART_AT_MOST
    )
    noted = store.noted(db, stamp(since))
    used = {one.cement.id: one.cement for one in under_way} or {
        one.id: one for one in cements.in_use(db)
    }
    may = current_actor().holds("assembler")
    last = store.newest(db)
    return ClimatePage(
        _seen(db),
        stamp(moment),
        last,
        fields_now(db),
        chart(noted, list(used.values()), since, moment, current_settings().zone),
        tuple(shown(timer, shop.clock()) for timer in timer_store.since(db, stamp(moment))),
        tuple(ReadingRow(one, may) for one in reversed(noted[-LAST_READINGS:])),
        watch_of(current_app).trouble if current_settings().thermometer else "",
        notice,
    )


# The gauge by itself. -------------------------------------------------------------------------------------------------


def watch_of(app: Flask) -> Watch:
    """What is known of the gauge's reading by itself, in this server."""
    return app.extensions.setdefault("gauge", Watch())


def watch_the_gauge(app: Flask) -> threading.Event:
    """Reads the gauge from now on whenever it is due, in a thread of its own, until the event that it gives is set."""
    stop, shop, watch = threading.Event(), app.extensions["shop"], watch_of(app)
    threading.Thread(target=_look, args=(shop, watch, stop), name="gauge", daemon=True).start()
    return stop


def _look(shop: Shop, watch: Watch, stop: threading.Event) -> None:
    while not stop.wait(LOOKS_EVERY):
        try:
            actions.read_if_due(shop, watch)
        except Exception as error:  # it must go on: the next look may find all well
            if not stop.is_set():
                log.error("the gauge could not be read", exc_info=error)
                watch.trouble = (
                    "The gauge could not be read: look at it, and tell the owner if it stays."
                )
