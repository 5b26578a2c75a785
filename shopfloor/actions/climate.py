"""Temperature readings at the bench: typed, struck out, read from the thermometer. Each recalculates the cures under way.

A cure that has ended, or that an owner opened early, stays so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from .. import thermometer
from ..domain.bench import cure
from ..domain.bench.cements import Cement
from ..domain.bench.climate import checked_humidity, checked_temperature
from ..domain.bench.cure import NO_END, Reading, Stages
from ..domain.errors import Refused, ShopError
from ..store import climate, people, settings
from ..store.climate import Curing, ShutStep
from ..store.db import Connection
from ..wording import climate as wording
from ..wording.message import Message, as_message, first_few, joined
from .unit_of_work import Answer, Caller, Shop, Transaction, command, moment, stamp

MOST_NAMED = 4  # cures that an answer names one by one
THERMOMETER = "gauge"  # the stored word for a reading that nobody typed
SOURCES = ("typed", THERMOMETER)


@dataclass(frozen=True)
class CureChanges:
    """What a reading changed: `paused` is None where no cure is paused by it."""

    paused: Message | None = None
    moved: tuple[Message, ...] = ()

    @property
    def messages(self) -> tuple[Message, ...]:
        """All of it, the paused cures first."""
        return (self.paused, *self.moved) if self.paused else self.moved

    def after(self, done: Message) -> Message:
        """The answer of a command: what was done, then the changes. A paused cure comes first, so that nobody overlooks it."""
        return joined([*self.messages, done] if self.paused else [done, *self.moved])


@command("noted how warm it is")
def note_climate(
    transaction: Transaction,
    temperature_c: float,
    humidity_percent: float | None = None,
    source: str = "typed",
) -> Answer:
    """Keep a reading (°C, %) and recalculate each cure under way. Raises Refused for what no bench has."""
    changes = note(transaction, temperature_c, humidity_percent, source)
    return Answer(changes.after(wording.noted(round(temperature_c, 1), humidity_percent)))


def note(
    transaction: Transaction,
    temperature_c: float,
    humidity_percent: float | None,
    source: str = "typed",
) -> CureChanges:
    """Keep a reading within another command, such as a glue-up with its own figures."""
    if source not in SOURCES:
        raise Refused(wording.unknown_source())
    temperature = checked_temperature(temperature_c)
    humidity = None if humidity_percent is None else checked_humidity(humidity_percent)
    climate.add(
        transaction.db, transaction.at, temperature, humidity, source, transaction.actor.person
    )
    return update_cures(transaction)


@command("struck out a reading", "assembler")
def strike_out(transaction: Transaction, reading: int) -> Answer:
    """Remove a wrong reading and recalculate each cure under way without it. Raises NotFound."""
    wrong = climate.reading(transaction.db, reading)
    climate.remove(transaction.db, reading)
    struck_out = wording.struck_out(round(wrong.temperature_c, 1))
    return Answer(update_cures(transaction).after(struck_out))


# The cures. -----------------------------------------------------------------------------------------------------------


def stages_of(
    db: Connection,
    glued_at: datetime,
    temperature_c: float,
    cement: Cement,
    counts_from_c: float | None = None,
) -> Stages:
    """Return when the stages of a glue-up are reached: by its own temperature, then by all readings since."""
    known = [Reading(glued_at, temperature_c), *climate.readings(db, stamp(glued_at))]
    return cure.stages(known, glued_at, cement, counts_from_c)


def as_stored(stages: Stages) -> tuple[str | None, str | None, str]:
    """Return (fixture, handling, full) as they are stored: a paused cure never ends."""
    fixture, handling = (
        stamp(when) if when else None for when in (stages.fixture, stages.handling)
    )
    return fixture, handling, stamp(stages.full or NO_END)


def update_cures(transaction: Transaction) -> CureChanges:
    """Write the new ends of all cures under way, where they differ."""
    moved = [
        curing.id
        for curing in climate.under_way(transaction.db, transaction.at)
        if _move(transaction, curing)
    ]
    if not moved:
        return CureChanges()
    shut = [
        step
        for step in climate.shut_by(transaction.db, moved, transaction.at)
        if step.should_be != step.until
    ]
    for step in shut:
        climate.shut_until(transaction.db, step.step, step.should_be)
    return _changes(shut)


def _move(transaction: Transaction, curing: Curing) -> bool:
    """Write the new stages of a glue-up; True where its end moved."""
    fixture, handling, full = as_stored(
        stages_of(
            transaction.db, curing.at, curing.temperature_c, curing.cement, curing.counts_from_c
        )
    )
    fixture = _stage(transaction, curing.fixture_at, fixture)
    handling = _stage(transaction, curing.handling_at, handling)
    full = _end(transaction, curing.cured_at, full)
    if (fixture, handling, full) != (curing.fixture_at, curing.handling_at, curing.cured_at):
        climate.set_ends(transaction.db, curing.id, fixture, handling, full)
    return full != curing.cured_at


def _stage(transaction: Transaction, was: str | None, now: str | None) -> str | None:
    """Return when a stage is reached; one that nobody knew of yet (None) is taken as calculated."""
    if was is not None and was <= transaction.at:
        return was
    if was is None or now is None:
        return now
    return _end(transaction, was, now)


def _end(transaction: Transaction, was: str, now: str) -> str:
    """Return when a stage is reached: one in the past stays, any other is never before this moment."""
    if was <= transaction.at:
        return was
    return max(now, stamp(cure.whole_minute(transaction.now)))


def _changes(shut: Sequence[ShutStep]) -> CureChanges:
    paused = [step for step in shut if moment(step.should_be) >= NO_END]
    running = [step for step in shut if step not in paused]
    later = [step for step in running if step.should_be > step.until]
    earlier = [step for step in running if step.should_be < step.until]
    signs = tuple(dict.fromkeys(step.sign for step in paused))
    moved = []
    if later:
        moved.append(wording.end_later(_new_ends(later), len(later)))
    if earlier:
        moved.append(wording.end_earlier(_new_ends(earlier), len(earlier)))
    return CureChanges(
        wording.paused(first_few(signs, MOST_NAMED), len(signs)) if signs else None, tuple(moved)
    )


def _new_ends(shut: Sequence[ShutStep]) -> Sequence[Message | str]:
    return first_few([wording.now_ends(step.sign, step.should_be) for step in shut], MOST_NAMED)


# The thermometer. -----------------------------------------------------------------------------------------------------


@dataclass
class Watch:
    """The state of the automatic readings: when the last one was tried, and why it failed (None: it did not)."""

    tried_at: datetime | None = None
    trouble: Message | None = None


def read_thermometer(db: Connection) -> tuple[float, float | None]:
    """Return what the shop's thermometer shows, °C and %. Raises Refused where there is none, or it cannot be read."""
    where = settings.load(db).thermometer
    if not where:
        raise Refused(wording.no_thermometer())
    return thermometer.read(where)


def read_if_due(shop: Shop, watch: Watch) -> Answer | None:
    """Read the thermometer where the shop has one, something cures, and the last reading is old enough; else None.

    A refusal is kept in `watch` for the page; only what nobody foresaw is raised.
    """
    db, now = shop.read(), shop.clock()
    shop_settings = settings.load(db)
    every = timedelta(minutes=shop_settings.thermometer_every_min)
    read_at = climate.thermometer_read_at(db)
    last = max((when for when in (read_at, watch.tried_at) if when), default=None)
    if (
        not shop_settings.thermometer
        or (last is not None and now < last + every)
        or not climate.under_way(db, stamp(now))
    ):
        return None
    watch.tried_at = now
    try:
        temperature, humidity = thermometer.read(shop_settings.thermometer)
        caller = Caller(shop, people.owner_by(db, THERMOMETER))
        answer = note_climate(caller, temperature, humidity, THERMOMETER)
    except ShopError as error:
        watch.trouble = as_message(error.message)
        return None
    watch.trouble = None
    return answer
