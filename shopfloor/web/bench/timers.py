"""The foot of every page: what runs against the clock at the bench, what has just ended, and the title block anew.

Owns its words and which ones are shown: one clock a sign. The seconds are counted by countdown.js; the call at the end, and when
the foot is asked for, are timers.js's affair.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, Response, request, url_for

from ...actions.unit_of_work import stamp
from ...domain.bench.cure import NO_END
from ...store import timers as store
from ...store.timers import Timer
from ..page import Page, current_shop, fragment, frame, signed_in, snapshot, unchanged

SHOWN = 3
CALLED_FOR = timedelta(
    minutes=15
)  # a tablet that was off calls out what has ended since; what is older is no news
TOLD_FOR = timedelta(minutes=1)  # so long what ended stands before what comes next on the same sign
# kind -> (what runs, the same after the time that is left, what is said when it ends)
WORDS = {
    "open": ("cement open", "of open time", "is out of open time"),
    "fixture": ("stands by itself", "until it stands by itself", "stands by itself"),
    "handling": ("may be handled", "until it may be handled", "may be handled with care"),
    "cure": ("cures", "until it is cured", "is cured"),
}
STILL = "stands still: too cold"

pages = Blueprint("timers", __name__)


@dataclass(frozen=True)
class TimerShown:
    """One timer. `key` names it and its end; `until` is ISO, UTC, '' where it stands still; `done` is said at its end.

    `words` say what runs, `runs` the same after the time that is left.
    """

    key: str
    sign: str
    words: str
    runs: str
    done: str
    href: str
    until: str
    is_over: bool


@dataclass(frozen=True)
class Strip:
    """The strip, of no height where there is nothing in it. `now` is the server's clock, ISO; `more` are those not shown.

    `seen` changes with the strip and with the title block; `here` is the place that is lit there.
    """

    seen: str
    here: str
    now: str
    timers: tuple[TimerShown, ...]
    more: int


@dataclass(frozen=True)
class Foot:
    """The strip and the title block."""

    strip: Strip
    page: Page


@pages.get("/timers/now")
def now() -> Response | tuple[str, int]:
    """The foot again, where something of it changed: at the latest when the clock shows another minute."""
    with snapshot():
        page = frame("", request.args.get("here", ""))
        view = Foot(strip(page), page)
    if unchanged(view.strip.seen):
        return "", 204
    return fragment("_foot.html", view)


def strip(page: Page) -> Strip | None:
    """What runs now; None where nobody is signed in."""
    if signed_in() is None:
        return None
    shop = current_shop()
    moment = shop.clock()
    found = one_a_sign(store.since(shop.read(), stamp(moment - CALLED_FOR)), moment)
    timers = tuple(
        shown(timer, moment) for timer in sorted(found, key=lambda timer: _rank(timer, moment))
    )
    block = (
        page.shop,
        page.clock,
        page.person and (page.person.name, page.person.roles),
        page.nav,
    )
    seen = hashlib.sha256(repr((timers, block)).encode()).hexdigest()[:12]
    return Strip(seen, page.here, stamp(moment), timers[:SHOWN], len(timers[SHOWN:]))


def one_a_sign(timers: Sequence[Timer], now: datetime) -> list[Timer]:
    """The timer of each sign that matters most; of those alike the first that was given."""
    best: dict[str, Timer] = {}
    for timer in timers:
        if timer.sign not in best or _weight(timer, now) < _weight(best[timer.sign], now):
            best[timer.sign] = timer
    return list(best.values())


def _weight(timer: Timer, now: datetime) -> tuple[int, timedelta]:
    """Open time that runs, then what has ended this minute, then what comes soonest, then what has ended longer ago."""
    left = timer.until - now
    if left > timedelta(0):
        return 0 if timer.kind == "open" else 2, left
    return 1 if -left < TOLD_FOR else 3, -left


def _rank(timer: Timer, now: datetime) -> tuple[int, datetime]:
    """What has ended stands first, then what stands still, then what runs; of each the soonest first."""
    return 0 if timer.until <= now else 1 if timer.until >= NO_END else 2, timer.until


def shown(timer: Timer, now: datetime) -> TimerShown:
    """A timer in words, at a moment."""
    words, runs, done = WORDS[timer.kind]
    is_still = timer.until >= NO_END
    until = "" if is_still else stamp(timer.until)
    return TimerShown(
        f"{timer.id}@{until}",
        timer.sign,
        STILL if is_still else words,
        runs,
        done,
        url_for("bench.sign", code=timer.code),
        until,
        timer.until <= now,
    )
