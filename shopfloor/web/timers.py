"""The strip over the title block of every page: what runs against the clock at the bench, and what has just ended.

Owns its words and which ones are shown. The seconds are counted by countdown.js, the call at the end is timers.js's affair.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, Response, url_for

from ..actions.desk import stamp
from ..domain.cure import NO_END
from ..store import timers as store
from ..store.timers import Timer
from .frame import current_desk, fragment, signed_in, unchanged

SHOWN = 3
CALLED_FOR = timedelta(minutes=15)  # a tablet that was off calls out what has ended since; what is older is no news
# kind -> (what runs, what is said when it ends)
WORDS = {
    "open": ("cement open", "is out of open time"),
    "fixture": ("fixture", "stands by itself"),
    "cure": ("cures", "is cured"),
}
STILL = "stands still: too cold"

pages = Blueprint("timers", __name__)


@dataclass(frozen=True)
class TimerShown:
    """One timer. `key` names it and its end; `until` is ISO, UTC, '' where it stands still; `done` is said at its end."""

    key: str
    sign: str
    words: str
    done: str
    href: str
    until: str
    is_over: bool


@dataclass(frozen=True)
class Strip:
    """The strip, of no height where there is nothing in it. `now` is the server's clock, ISO; `more` are those not shown."""

    seen: str
    now: str
    timers: tuple[TimerShown, ...]
    more: int


@pages.get("/timers/now")
def now() -> Response | tuple[str, int]:
    """The strip again, where something began or ended."""
    it = strip()
    if unchanged(it.seen):
        return "", 204
    return fragment("_timers.html", it)


def strip() -> Strip | None:
    """What runs now; None where nobody is signed in."""
    if signed_in() is None:
        return None
    desk = current_desk()
    moment = desk.clock()
    found = store.since(desk.read(), stamp(moment - CALLED_FOR))
    ordered = sorted(found, key=lambda timer: _rank(timer, moment))  # each rank the soonest first, as found
    timers = tuple(shown(timer, moment) for timer in ordered)
    seen = hashlib.sha256(repr(timers).encode()).hexdigest()[:12]
    return Strip(seen, stamp(moment), timers[:SHOWN], len(timers[SHOWN:]))


def _rank(timer: Timer, now: datetime) -> int:
    """What has ended stands first, then what stands still, then what runs."""
    return 0 if timer.until <= now else 1 if timer.until >= NO_END else 2


def shown(timer: Timer, now: datetime) -> TimerShown:
    """A timer in words, at a moment."""
    running, done = WORDS[timer.kind]
    is_still = timer.until >= NO_END
    until = "" if is_still else stamp(timer.until)
    return TimerShown(
        f"{timer.id}@{until}", timer.sign, STILL if is_still else running, done,
        url_for("bench.sign", code=timer.code), until, timer.until <= now,
    )  # fmt: skip
