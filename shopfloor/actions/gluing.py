"""Cement: begin a session, write a glue-up down, open a cure early.

How long a cure takes is in `climate` and the domain; setting out, and the steps after, are in `bench`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from ..domain.bench import steps
from ..domain.bench.cements import Cement, broken_limits, checked_batch
from ..domain.bench.climate import checked_humidity
from ..domain.bench.cure import NO_END
from ..domain.bench.gluing import checked_glued_at
from ..domain.bench.steps import Sign, Step
from ..domain.bench.waiting import must_be_ready, named
from ..domain.errors import Conflict, Refused
from ..store import bench, cements, pieces
from ..wording import gluing as wording
from ..wording.message import Message, joined
from . import climate
from .bench import checked_reason, find_step, finish, fix
from .unit_of_work import Answer, Transaction, command, moment, shop_day, stamp


@dataclass(frozen=True)
class Glued:
    """What a glue-up joined of one sign: `count` parts of its level are glued now, of `of`."""

    sign: Sign
    level: int | None
    count: int
    of: int

    @property
    def is_whole(self) -> bool:
        """True where the whole level is glued."""
        return self.count == self.of


@command("began gluing", "assembler")
def begin_gluing(transaction: Transaction, gluing: Sequence[int], cement: int) -> Answer:
    """Start the open time over the gluing steps `gluing`. Raises Conflict where nothing of one can be glued."""
    with_what = cements.cement(transaction.db, cement)
    signs = []
    for step in dict.fromkeys(gluing):
        sign, doing = _gluing(transaction, step)
        _to_glue(transaction, sign, doing, None)
        bench.begin_gluing(transaction.db, step, cement, transaction.at, transaction.actor.person)
        signs.append(sign)
    if not signs:
        raise Refused(wording.nothing_chosen())
    until = transaction.now + timedelta(minutes=with_what.open_min)
    begun = wording.open_until(with_what.name, until) if with_what.open_min else wording.begun()
    return Answer(begun, tuple(sign.code for sign in signs))


@command("glued up", "assembler")
def glue_up(
    transaction: Transaction,
    gluing: Sequence[int],
    cement: int,
    batch: str,
    temperature_c: float,
    humidity_percent: float,
    glued_at: datetime | None = None,
    *,
    parts: Sequence[int] | None = None,
    reason: str = "",
) -> Answer:
    """Keep one session with one batch of cement over the gluing steps `gluing`, of one sign or several.

    Temperature in °C, humidity in %; `glued_at` is aware, now where left out, up to 24 hours back. `parts` are those that were
    joined, all that are set out where left out; others of a level are glued later. Their pieces become fixed, with the bottom
    parts that they lie on, and the cure begins. Raises Conflict where a part is not set out, and Refused outside the cement's
    limits or with an expired batch, unless an owner gives a `reason`.
    """
    if not gluing:
        raise Refused(wording.nothing_chosen())
    at = checked_glued_at(glued_at or transaction.now, transaction.now)
    with_what = cements.cement(transaction.db, cement)
    tin, humidity = checked_batch(batch), checked_humidity(humidity_percent)
    why = _override(transaction, with_what, tin, temperature_c, humidity, reason)
    stages = climate.stages_of(
        transaction.db, at, temperature_c, with_what, temperature_c if why else None
    )
    fixture, handling, cured = climate.as_stored(stages)
    gluing = list(dict.fromkeys(gluing))
    began = bench.end_gluing(transaction.db, gluing)
    made = bench.add_glue_up(
        transaction.db,
        cement=cement,
        batch=tin,
        temperature_c=temperature_c,
        humidity_percent=humidity,
        at=stamp(at),
        cured_at=cured,
        began_at=began,
        person=transaction.actor.person,
        fixture_at=fixture,
        handling_at=handling,
        overruled=why,
    )
    glued = [_glue(transaction, step, made, stages.full or NO_END, parts) for step in gluing]
    messages = [_glued(glued), wording.curing(stages.full), _took_longer(with_what, began, at)]
    if glued_at is None:
        messages += climate.note(transaction, temperature_c, humidity).messages
    return Answer(joined(messages), tuple(part.sign.code for part in glued))


def _took_longer(cement: Cement, began: str | None, at: datetime) -> Message | None:
    """Return what to check where the session took longer than the cement stays open."""
    minutes = (at - moment(began)).total_seconds() / 60 if began else 0.0
    if not cement.open_min or minutes <= cement.open_min:
        return None
    return wording.took_longer(round(minutes), cement.name, cement.open_min)


def _override(
    transaction: Transaction,
    cement: Cement,
    batch: str,
    temperature_c: float,
    humidity: float,
    reason: str,
) -> str:
    """Return an owner's reason to glue outside a limit of the cement, tidied; '' where no limit is broken.

    Raises Refused, with the limits that are broken, where nobody who may override them gave one.
    """
    kept = cements.batch_called(transaction.db, cement.id, batch)
    broken = broken_limits(
        cement,
        temperature_c,
        humidity,
        kept.expires if kept else None,
        shop_day(transaction.db, transaction.now),
    )
    if not broken:
        return ""
    if not reason.strip():
        raise Refused(joined([*broken, wording.owner_may_override()]))
    transaction.actor.must_hold(("owner",), joined([*broken, wording.only_an_owner_overrides()]))
    return checked_reason(reason)


def _glued(glued: Sequence[Glued]) -> Message:
    """Name the signs that are glued, or how many parts of a level where some are still to come."""
    if all(part.is_whole for part in glued):
        return wording.signs_glued([part.sign.called for part in glued], len(glued))
    return wording.glued(
        [
            wording.all_of(part.sign.called)
            if part.is_whole
            else wording.parts_of_level(part.count, part.of, part.level, part.sign.called)
            for part in glued
        ]
    )


def _gluing(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    sign, gluing = find_step(transaction, step)
    if gluing.kind != "glue":
        raise Refused(wording.not_a_gluing())
    return sign, gluing


def _to_glue(
    transaction: Transaction, sign: Sign, gluing: Step, parts: Sequence[int] | None
) -> list[int]:
    """Return the parts to join now: those asked for, else all that are set out. Raises Conflict where one of them is not."""
    if steps.is_done(gluing, transaction.now):
        raise Conflict(wording.level_glued_already(gluing.level, sign.called))
    can = steps.can_be_glued(gluing, sign, transaction.now)
    asked = [part for part in gluing.parts if parts is None or part in parts]
    not_now = [sign.parts[part] for part in asked if parts is not None and part not in can]
    if glued := [part for part in not_now if part.id in gluing.ticks]:
        raise Conflict(wording.parts_glued_already(named(glued), sign.called, len(glued)))
    if not_now and can:
        raise Conflict(wording.parts_not_set_out(named(not_now), sign.called, len(not_now)))
    if not can:
        must_be_ready(gluing, sign, transaction.now)
        raise Conflict(wording.nothing_set_out(gluing.level, sign.called))
    if not asked:
        raise Refused(wording.no_part_chosen(sign.called))
    return [part for part in can if part in asked]


def _glue(
    transaction: Transaction,
    step: int,
    made: int,
    until: datetime,
    parts: Sequence[int] | None,
) -> Glued:
    """Join what is to be joined of one gluing step."""
    sign, gluing = _gluing(transaction, step)
    chosen = _to_glue(transaction, sign, gluing, parts)
    live = {piece.part: piece for piece in pieces.of_sign(transaction.db, sign.id)}
    of_level = [live[part] for part in chosen]
    joining = [piece for piece in of_level if piece.state != "fixed"] or of_level
    below = {lower: live[lower] for part in chosen for lower in sign.parts[part].needs_under}
    fix(transaction, [*joining, *(piece for lower, piece in below.items() if lower not in chosen)])
    bench.add_to_glue_up(transaction.db, made, [piece.id for piece in joining])
    for part in chosen:
        bench.set_tick(transaction.db, step, part, transaction.at, transaction.actor.person)
    glued = Glued(sign, gluing.level, len(gluing.ticks | set(chosen)), len(gluing.parts))
    _shut(transaction, sign, gluing, until, is_whole=glued.is_whole)
    return glued


def _shut(
    transaction: Transaction, sign: Sign, gluing: Step, until: datetime, *, is_whole: bool
) -> None:
    """Keep the sign still: by the cures that wait for this gluing, or by the gluing itself while others of its level are
    still to come. A joint of the level that cures longer keeps it still until then."""
    longest = max(stamp(until), bench.last_cures(transaction.db, gluing.parts) or "")
    bench.shut_cure(transaction.db, gluing.id, None if is_whole else longest)
    if is_whole:
        finish(transaction, gluing)
        for step in sign.steps:
            if step.kind == "cure" and gluing.id in step.after:
                bench.shut_cure(transaction.db, step.id, longest)


@command("opened a cure early", "owner")
def open_early(transaction: Transaction, step: int, reason: str) -> Answer:
    """Go on before a cure's end, with a reason that the ledger keeps. Raises Conflict where none runs."""
    sign, curing = find_step(transaction, step)
    why = checked_reason(reason)
    if curing.shut_until is None or not steps.is_curing(curing, transaction.now):
        raise Conflict(wording.not_curing(curing.called))
    if (
        curing.kind == "glue"
    ):  # others of its level are still to come: only what is glued need not wait
        bench.shut_cure(transaction.db, step, None)
    else:
        bench.open_cure(transaction.db, step, why, transaction.at, transaction.actor.person)
    bench.add_early_opening(
        transaction.db,
        step,
        stamp(curing.shut_until),
        why,
        transaction.at,
        transaction.actor.person,
    )
    return Answer(wording.opened_early(curing.level, sign.called, why), (sign.code,))
