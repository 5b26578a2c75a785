"""How warm it is at the bench: noting it, striking a wrong reading out, reading the gauge; each works the cures out anew.

A cure that has ended, or that an owner opened early, stays so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from .. import thermometer
from ..domain.bench import bench as wording
from ..domain.bench import cure
from ..domain.bench.cure import NO_END, Cement, Reading, Stages
from ..domain.errors import Refused, ShopError
from ..store import climate, people, settings
from ..store.climate import Curing, ShutStep
from ..store.db import Connection
from .unit_of_work import Answer, Caller, Shop, Transaction, command, moment, stamp, zone_of

MOST_NAMED = 4  # cures that the answer names one by one
SOURCES = ("typed", "gauge")
TOO_COLD = "still: too cold"


@dataclass(frozen=True)
class ClimateNoted:
    """It is so warm (°C) and so damp (%, None: not read) at the bench."""

    reading: int
    temperature_c: float
    humidity_percent: float | None
    source: str


@dataclass(frozen=True)
class ReadingStruckOut:
    """A reading at the bench was wrong."""

    reading: int


@dataclass(frozen=True)
class CureMoved:
    """A glue-up is cured at another moment than before; times as stored."""

    glue_up: int
    was: str
    now: str


@command("noted how warm it is")
def note_climate(
    transaction: Transaction,
    temperature_c: float,
    humidity_percent: float | None = None,
    source: str = "typed",
) -> Answer:
    """Keeps a reading (°C, %) and works out anew when each cure under way ends. Raises Refused for what no bench has."""
    words = note(transaction, temperature_c, humidity_percent, source)
    damp = "" if humidity_percent is None else f" and {humidity_percent:g} %"
    return _told(f"{round(temperature_c, 1):g} °C{damp} noted.", words)


def note(
    transaction: Transaction,
    temperature_c: float,
    humidity_percent: float | None,
    source: str = "typed",
) -> str:
    """The same within another act, such as a glue-up with its own figures. Gives what it changed, in words, or ''."""
    if source not in SOURCES:
        raise Refused("A reading is typed, or comes from the gauge: load the page again.")
    temperature = cure.checked_temperature(temperature_c)
    humidity = None if humidity_percent is None else cure.checked_humidity(humidity_percent)
    reading = climate.add(
        transaction.db, transaction.at, temperature, humidity, source, transaction.actor.person
    )
    transaction.record(ClimateNoted(reading, temperature, humidity, source))
    return work_out_anew(transaction)


@command("struck out a reading", "assembler")
def strike_out(transaction: Transaction, reading: int) -> Answer:
    """A wrong reading goes, and each cure under way is worked out without it. Raises NotFound."""
    wrong = climate.one(transaction.db, reading)
    climate.take_out(transaction.db, reading)
    transaction.record(ReadingStruckOut(reading))
    return _told(f"{round(wrong.temperature_c, 1):g} °C is struck out.", work_out_anew(transaction))


def _told(done: str, moved: str) -> Answer:
    """What was done, then what it moved; a cure that stands still is told first, so that nobody takes it for plain success."""
    return Answer((f"{moved} {done}" if TOO_COLD in moved else f"{done} {moved}").rstrip())


# The cures. -----------------------------------------------------------------------------------------------------------


def stages_of(
    db: Connection,
    glued_at: datetime,
    temperature_c: float,
    cement: Cement,
    counts_from_c: float | None = None,
) -> Stages:
    """When the stages of a glue-up are reached: by its own temperature when it was glued, and by all readings since."""
    known = [Reading(glued_at, temperature_c), *climate.readings(db, stamp(glued_at))]
    return cure.stages(known, glued_at, cement, counts_from_c)


def as_stored(stages: Stages) -> tuple[str | None, str | None, str]:
    """(fixture, handling, full) as they are kept: a full cure that stands still never ends."""
    fixture, handling = (
        stamp(when) if when else None for when in (stages.fixture, stages.handling)
    )
    return fixture, handling, stamp(stages.full or NO_END)


def work_out_anew(transaction: Transaction) -> str:
    """Writes the ends of all cures under way where they are others by now. Gives what changed, in words, or ''."""
    moved = [
        one.id
        for one in climate.under_way(transaction.db, transaction.at)
        if _move(transaction, one)
    ]
    if not moved:
        return ""
    shut = [
        step
        for step in climate.shut_by(transaction.db, moved, transaction.at)
        if step.should_be != step.until
    ]
    for step in shut:
        climate.shut_until(transaction.db, step.step, step.should_be)
    return _moved_words(transaction, shut)


def _move(transaction: Transaction, curing: Curing) -> bool:
    """True where the glue-up's end moved."""
    new = as_stored(
        stages_of(
            transaction.db, curing.at, curing.temperature_c, curing.cement, curing.counts_from_c
        )
    )
    old = (curing.fixture_at, curing.handling_at, curing.cured_at)
    fixture, handling, full = (
        _end(transaction, was, now) for was, now in zip(old, new, strict=True)
    )
    if (fixture, handling, full) != old:
        climate.set_ends(transaction.db, curing.id, fixture, handling, full)
    if full == curing.cured_at:
        return False
    transaction.record(CureMoved(curing.id, curing.cured_at, full))
    return True


def _end(transaction: Transaction, was: str | None, now: str | None) -> str | None:
    """A stage that was reached stays reached; one that nobody was told of yet is not reached before this moment."""
    if was is not None and was <= transaction.at:
        return was
    if was is None or now is None:
        return now
    return max(now, stamp(cure.whole_minute(transaction.now)))


def _moved_words(transaction: Transaction, shut: Sequence[ShutStep]) -> str:
    """'J-1003 A stands still: too cold. 2 cures end later: J-1004 B now Fri 15:40, J-1005 A now Fri 16:00.'"""
    still = [step for step in shut if moment(step.should_be) >= NO_END]
    going = [step for step in shut if step not in still]
    later = [step for step in going if step.should_be > step.until]
    earlier = [step for step in going if step.should_be < step.until]
    said = [
        _still_words(still),
        _group_words(transaction, later, "later"),
        _group_words(transaction, earlier, "earlier"),
    ]
    return " ".join(words for words in said if words)


def _still_words(shut: Sequence[ShutStep]) -> str:
    signs = list(dict.fromkeys(step.sign for step in shut))
    return (
        f"{_named(signs)} {'stands' if len(signs) == 1 else 'stand'} {TOO_COLD}." if signs else ""
    )


def _group_words(transaction: Transaction, shut: Sequence[ShutStep], when: str) -> str:
    if not shut:
        return ""
    zone = zone_of(transaction.db)
    ends = [
        f"{step.sign} now {wording.clock(moment(step.should_be), transaction.now, zone)}"
        for step in shut
    ]
    count = "1 cure ends" if len(shut) == 1 else f"{len(shut)} cures end"
    return f"{count} {when}: {_named(ends)}."


def _named(words: Sequence[str]) -> str:
    """The first few, and how many more."""
    rest = [f"and {len(words) - MOST_NAMED} more"] if len(words) > MOST_NAMED else []
    return ", ".join([*words[:MOST_NAMED], *rest])


# The gauge. -----------------------------------------------------------------------------------------------------------


@dataclass
class Watch:
    """What is known of the reading by itself: when it was last tried, and the sentence that it ended with, '' for none."""

    tried_at: datetime | None = None
    trouble: str = ""


def read_gauge(db: Connection) -> tuple[float, float | None]:
    """What the shop's gauge shows, °C and %. Raises Refused where there is none, or it cannot be read."""
    where = settings.load(db).thermometer
    if not where:
        raise Refused(
            "The shop has no gauge: an owner names it in Settings, or type what the thermometer shows."
        )
    return thermometer.read(where)


def read_if_due(shop: Shop, watch: Watch) -> Answer | None:
    """Reads the gauge where the shop has one, something cures, and the last reading is old enough; None where not.

    What goes wrong is kept in `watch`, in a sentence for the page; nothing is raised but what nobody foresaw.
    """
    db, now = shop.read(), shop.clock()
    shop_settings = settings.load(db)
    every = timedelta(minutes=shop_settings.thermometer_every_min)
    last = max((when for when in (climate.gauge_read_at(db), watch.tried_at) if when), default=None)
    if (
        not shop_settings.thermometer
        or (last is not None and now < last + every)
        or not climate.under_way(db, stamp(now))
    ):
        return None
    watch.tried_at = now
    try:
        answer = note_climate(
            Caller(shop, people.owner_by(db, "gauge")),
            *thermometer.read(shop_settings.thermometer),
            "gauge",
        )
    except ShopError as error:
        watch.trouble = error.sentence
        return None
    watch.trouble = ""
    return answer
