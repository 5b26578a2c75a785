"""Temperature and humidity at the bench: the page, their two fields for other forms, the thread that reads the thermometer.

The chart is drawn by climate_chart.py. Must not calculate a cure.
"""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, Flask, current_app, request, url_for
from flask.typing import ResponseReturnValue

from ...actions import climate as actions
from ...actions.climate import Watch
from ...actions.unit_of_work import Answer, Shop, stamp
from ...domain.bench.climate import celsius
from ...domain.errors import Refused, ShopError
from ...store import cements
from ...store import climate as store
from ...store import timers as timer_store
from ...store.climate import Noted
from ...store.db import Connection
from ...wording import climate as wording
from ...wording.message import Message, as_message
from ..page import (
    answered,
    current_settings,
    current_shop,
    do,
    form_number,
    fragment,
    go,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures.climate_chart import chart
from .timers import shown

FRESH = timedelta(minutes=30)  # an older reading is not filled in automatically
LAST_READINGS = 8
CHART_AT_LEAST, CHART_AT_MOST = timedelta(hours=24), timedelta(days=7)
CHECKS_EVERY = 10.0  # seconds between two checks whether a reading is due

pages = Blueprint("climate", __name__)
log = logging.getLogger("shopfloor")


@dataclass(frozen=True)
class ClimateFields:
    """The two fields, as typed text: '' where nothing is known. `note` says where the figures come from, or what is wrong.

    `has_thermometer`: a button reads it (GET /climate/now, which answers with these fields again).
    """

    temperature: str
    humidity: str
    note: Message | None
    has_thermometer: bool
    is_trouble: bool = False


@dataclass(frozen=True)
class ReadingRow:
    """A reading of the list; `by` is who read it."""

    noted: Noted
    by: Message | str


@pages.get("/climate")
def page() -> ResponseReturnValue:
    """Show the temperature at the bench."""
    with snapshot() as db:
        return show("bench/climate.html", _page(db), title=wording.title(), here="Bench")


@pages.get("/climate/page")
def page_now() -> ResponseReturnValue:
    """Show the same again, where something changed."""
    with snapshot() as db:
        if unchanged(_seen()):
            return "", 204
        return fragment("bench/_climate_page.html", _page(db))


@pages.get("/climate/now")
def now() -> ResponseReturnValue:
    """Answer with the two fields and what the thermometer shows now, for any form that includes them; nothing is kept."""
    if not wants_fragment():
        return go(url_for("climate.page"))
    return fragment("bench/_climate.html", fields_now(current_shop().read(), read=True))


@pages.post("/climate")
def note() -> ResponseReturnValue:
    """Keep a reading, typed or (`read=1`) from the thermometer."""
    if request.form.get("read") == "1":
        temperature, humidity = actions.read_thermometer(current_shop().read())
        return _answer(do(actions.note_climate, temperature, humidity, actions.THERMOMETER))
    temperature = celsius(request.form.get("temperature", ""))
    humidity = None
    if request.form.get("humidity", "").strip():
        humidity = typed("humidity", wording.type_the_humidity())
    return _answer(do(actions.note_climate, temperature, humidity))


@pages.post("/climate/struck-out")
def strike_out() -> ResponseReturnValue:
    """Strike out a wrong reading."""
    reading = form_number("reading", wording.choose_the_wrong_reading())
    return _answer(do(actions.strike_out, reading))


def typed(name: str, refusal: Message) -> float:
    """Return a figure of the form, a comma taken as a point. Raises Refused with `refusal`."""
    try:
        return float(request.form.get(name, "").strip().replace(",", "."))
    except ValueError as error:
        raise Refused(refusal) from error


def _answer(answer: Answer) -> ResponseReturnValue:
    return answered(answer, url_for("climate.page"), "bench/_climate_page.html", _page)


def fields_now(db: Connection, *, read: bool = False) -> ClimateFields:
    """Return the fields with the last reading where it is fresh; with `read`, with what the thermometer shows now."""
    has_thermometer = bool(current_settings().thermometer)
    if read:
        try:
            temperature, humidity = actions.read_thermometer(db)
        except ShopError as error:
            trouble = as_message(error.message)
            return ClimateFields("", "", trouble, has_thermometer, is_trouble=True)
        return ClimateFields(
            _figure(temperature), _percent(humidity), wording.read_just_now(), has_thermometer
        )
    last = store.newest(db)
    if last is None or last.at < current_shop().clock() - FRESH:
        return ClimateFields("", "", None, has_thermometer)
    return ClimateFields(
        _figure(last.temperature_c),
        _percent(last.humidity_percent),
        wording.read_at(_by(last), last.at),
        has_thermometer,
    )


def _figure(temperature_c: float) -> str:
    return f"{round(temperature_c, 1):g}"


def _percent(humidity: float | None) -> str:
    return "" if humidity is None else f"{round(humidity):g}"


def _by(noted: Noted) -> Message | str:
    return wording.the_thermometer() if noted.source == actions.THERMOMETER else noted.by_name


def _row(noted: Noted) -> ReadingRow:
    return ReadingRow(noted, _by(noted))


def _seen() -> str:
    return f"{version()}.{watch_of(current_app).trouble or ''}"


def _page(db: Connection) -> dict[str, object]:
    """Return the last reading, the cures that follow it, and the readings before. `trouble`: why the thermometer was not
    read."""
    now = current_shop().clock()
    under_way = store.under_way(db, stamp(now))
    since = max(
        min([now - CHART_AT_LEAST, *(curing.at for curing in under_way)]), now - CHART_AT_MOST
    )
    noted, newest = store.noted(db, stamp(since)), store.newest(db)
    used = {curing.cement.id: curing.cement for curing in under_way} or {
        cement.id: cement for cement in cements.in_use(db)
    }
    return {
        "seen": _seen(),
        "now": stamp(now),
        "newest": _row(newest) if newest else None,
        "fields": fields_now(db),
        "chart": chart(noted, list(used.values()), since, now, current_settings().zone),
        "curing": tuple(shown(timer, now) for timer in timer_store.since(db, stamp(now))),
        "readings": tuple(_row(reading) for reading in reversed(noted[-LAST_READINGS:])),
        "trouble": watch_of(current_app).trouble if current_settings().thermometer else None,
    }


# Automatic readings. --------------------------------------------------------------------------------------------------


def watch_of(app: Flask) -> Watch:
    """Return the state of the automatic readings in this server."""
    watch: Watch = app.extensions.setdefault("thermometer", Watch())
    return watch


def watch_the_thermometer(app: Flask) -> threading.Event:
    """Read the thermometer whenever it is due, in a thread of its own, until the event that is returned is set."""
    stop, shop, watch = threading.Event(), app.extensions["shop"], watch_of(app)
    threading.Thread(
        target=_read_when_due, args=(shop, watch, stop), name="thermometer", daemon=True
    ).start()
    return stop


def _read_when_due(shop: Shop, watch: Watch, stop: threading.Event) -> None:
    while not stop.wait(CHECKS_EVERY):
        try:
            actions.read_if_due(shop, watch)
        except Exception as error:  # the thread must go on: the next reading may succeed
            if not stop.is_set():
                log.error("the thermometer could not be read", exc_info=error)
                watch.trouble = wording.thermometer_failed()
