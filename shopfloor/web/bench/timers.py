"""The foot of every page: the timers of the bench, those that have just ended, and the title block again.

Shows one timer a sign. countdown.js counts the seconds; timers.js calls out the end and asks for the foot again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, request, url_for
from flask.typing import ResponseReturnValue

from ...actions.unit_of_work import stamp
from ...domain.bench.cure import NO_END
from ...store import timers as store
from ...store.timers import Timer
from ...wording import cure as wording
from ...wording.message import Message
from ..page import Page, current_shop, fragment, frame, signed_in, snapshot, unchanged

SHOWN = 3
# A tablet that was off calls out what has ended since, as far back as this.
CALLED_FOR = timedelta(minutes=15)
SHOWN_FOR = timedelta(minutes=1)  # how long an ended timer hides the next one of its sign

pages = Blueprint("timers", __name__)


@dataclass(frozen=True)
class TimerShown:
    """One timer. `key` names it and its end; `until` is ISO, UTC, '' where the cure is paused; `done` is shown at its end.

    `words` say what runs, `runs` the same after the time that is left.
    """

    key: str
    sign: str
    words: Message
    runs: Message
    done: Message
    href: str
    until: str
    is_over: bool


@dataclass(frozen=True)
class Strip:
    """The strip, of no height where it is empty. `now` is the server's clock, ISO; `more` are those not shown.

    `seen` changes with the strip and with the title block; `here` is the place that is lit there.
    """

    seen: str
    here: str
    now: str
    timers: tuple[TimerShown, ...]
    more: int


@pages.get("/timers/now")
def now() -> ResponseReturnValue:
    """Answer with the foot where it changed: at the latest when the clock shows another minute."""
    with snapshot():
        page = frame("", request.args.get("here", ""))
        shown = strip(page)
    if shown is None or unchanged(shown.seen):
        return "", 204
    return fragment("_foot.html", {"strip": shown, "page": page})


def strip(page: Page) -> Strip | None:
    """Return the timers that run now; None where nobody is signed in."""
    if signed_in() is None:
        return None
    shop = current_shop()
    moment = shop.clock()
    running = one_a_sign(store.since(shop.read(), stamp(moment - CALLED_FOR)), moment)
    running.sort(key=lambda timer: _rank(timer, moment))
    timers = tuple(shown(timer, moment) for timer in running)
    block = (
        page.shop,
        page.clock,
        page.person,
        page.nav,
    )
    seen = hashlib.sha256(repr((timers, block)).encode()).hexdigest()[:12]
    return Strip(seen, page.here, stamp(moment), timers[:SHOWN], len(timers[SHOWN:]))


def one_a_sign(timers: Sequence[Timer], now: datetime) -> list[Timer]:
    """Return the timer of each sign that matters most; of equals the first that was given."""
    best: dict[str, Timer] = {}
    for timer in timers:
        if timer.sign not in best or _weight(timer, now) < _weight(best[timer.sign], now):
            best[timer.sign] = timer
    return list(best.values())


def _weight(timer: Timer, now: datetime) -> tuple[int, timedelta]:
    """Sort open time that runs first, then what ended this minute, then the soonest, then what ended longer ago."""
    left = timer.until - now
    if left > timedelta(0):
        return 0 if timer.kind == "open" else 2, left
    return 1 if -left < SHOWN_FOR else 3, -left


def _rank(timer: Timer, now: datetime) -> tuple[int, datetime]:
    """Sort what has ended first, then paused cures, then what runs; of each the soonest first."""
    return 0 if timer.until <= now else 1 if timer.until >= NO_END else 2, timer.until


def shown(timer: Timer, now: datetime) -> TimerShown:
    """Return a timer as it is shown at a moment."""
    is_paused = timer.until >= NO_END
    until = "" if is_paused else stamp(timer.until)
    return TimerShown(
        key=f"{timer.id}@{until}",
        sign=timer.sign,
        words=wording.timer_paused() if is_paused else wording.runs(timer.kind),
        runs=wording.time_left(timer.kind),
        done=wording.ended(timer.kind),
        href=url_for("bench.sign", code=timer.code),
        until=until,
        is_over=timer.until <= now,
    )
