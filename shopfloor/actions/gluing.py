"""What people do with cement: begin a session, write a glue-up down, open a cure early.

How long a cure takes is in `climate` and the domain; what is set out, and the steps after, are in `bench`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from ..domain.bench import bench as wording
from ..domain.bench import cure, steps
from ..domain.bench.cements import Cement, broken_limits, checked_batch
from ..domain.bench.climate import checked_humidity
from ..domain.bench.gluing import checked_glued_at
from ..domain.bench.steps import Sign, Step
from ..domain.errors import Conflict, Refused
from ..store import bench, cements, pieces
from ..wording import gluing as gluing_wording
from ..wording.message import joined
from . import climate
from .bench import checked_reason, finish, fix, found, named
from .unit_of_work import Answer, Transaction, command, moment, shop_day, stamp, zone_of


@command("began gluing", "assembler")
def begin_gluing(transaction: Transaction, gluing: Sequence[int], cement: int) -> Answer:
    """The cement is out: its open time runs, over the gluing steps `gluing`. Raises Conflict where nothing of one can be glued."""
    with_what = cements.cement(transaction.db, cement)
    signs = []
    for step in dict.fromkeys(gluing):
        sign, doing = _gluing(transaction, step)
        _to_glue(transaction, sign, doing, None)
        bench.begin_gluing(transaction.db, step, cement, transaction.at, transaction.actor.person)
        transaction.record(steps.GluingBegun(step, cement))
        signs.append(sign)
    if not signs:
        raise Refused("Nothing was chosen to glue: choose a sign.")
    until = wording.clock(
        transaction.now + timedelta(minutes=with_what.open_min),
        transaction.now,
        zone_of(transaction.db),
    )
    words = (
        f"{with_what.name} stays open until {until}: set the parts before that."
        if with_what.open_min
        else "Gluing began."
    )
    return Answer(words, tuple(sign.code for sign in signs))


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
    """One session with one batch of cement over the gluing steps `gluing`, of one sign or several.

    Temperature in °C, humidity in %; `glued_at` is aware, now where left out, up to 24 hours back. `parts` are those that were
    joined, all that are set out where left out; others of a level are glued later. Their pieces become fixed, with the bottom
    parts that they lie on, and the cure begins. Raises Conflict where a part is not set out, and Refused outside the cement's
    limits or with an expired batch, unless an owner gives a `reason`.
    """
    if not gluing:
        raise Refused("Nothing was chosen to glue: choose a sign.")
    at, with_what = (
        checked_glued_at(glued_at or transaction.now, transaction.now),
        cements.cement(transaction.db, cement),
    )
    tin, humidity = checked_batch(batch), checked_humidity(humidity_percent)
    why = _overruled(transaction, with_what, tin, temperature_c, humidity, reason)
    ends = climate.stages_of(
        transaction.db, at, temperature_c, with_what, temperature_c if why else None
    )
    fixture, handling, cured = climate.as_stored(ends)
    began = min(
        (since for step in gluing if (since := bench.end_gluing(transaction.db, step))),
        default=None,
    )
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
    until = ends.full or cure.NO_END
    told = [_glue(transaction, step, made, until, parts, why) for step in dict.fromkeys(gluing)]
    end = wording.until(until, transaction.now, zone_of(transaction.db))
    moved = (
        str(joined(climate.note(transaction, temperature_c, humidity).messages))
        if glued_at is None
        else ""
    )
    late = _late_words(with_what, began, at)
    return Answer(
        f"{_glued_words(told)}, curing {end}: do not move it. {late}{moved}".rstrip(),
        tuple(sign.code for sign, _ in told),
    )


def _late_words(cement: Cement, began: str | None, at: datetime) -> str:
    """What is to be looked at where the session took longer than the cement stays open; '' where it did not."""
    minutes = (at - moment(began)).total_seconds() / 60 if began else 0.0
    if not cement.open_min or minutes <= cement.open_min:
        return ""
    return f"It took {minutes:.0f} min and {cement.name} stays open for {cement.open_min:g}: look each joint over. "


def _overruled(
    transaction: Transaction,
    cement: Cement,
    batch: str,
    temperature_c: float,
    humidity: float,
    reason: str,
) -> str:
    """An owner's reason to glue outside a limit of the cement, tidied; '' where no limit is broken. Raises Refused, with the
    limits that are, where nobody who may overrule them gave one."""
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
        raise Refused(joined([*broken, gluing_wording.owner_may_override()]))
    transaction.actor.must_hold(
        ("owner",), joined([*broken, gluing_wording.only_an_owner_overrides()])
    )
    return checked_reason(reason)


def _glued_words(told: list[tuple[Sign, str]]) -> str:
    """'J-1001 A and J-1001 B are glued', or how many of a level are where some are still to come."""
    if any(words for _, words in told):
        return "; ".join(f"{words or 'all'} of {named(sign)} glued" for sign, words in told)
    return f"{', '.join(named(sign) for sign, _ in told)} {'is' if len(told) == 1 else 'are'} glued"


def _gluing(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    sign, gluing = found(transaction, step)
    if gluing.kind != "glue":
        raise Refused("That step is no gluing: load the sign again.")
    return sign, gluing


def _to_glue(
    transaction: Transaction, sign: Sign, gluing: Step, parts: Sequence[int] | None
) -> list[int]:
    """The parts to join now: those asked for, else all that are set out. Raises Conflict where one of them is not."""
    if steps.is_done(gluing, transaction.now):
        raise Conflict(f"Level {gluing.level} of {named(sign)} is glued already.")
    can = steps.can_be_glued(gluing, sign, transaction.now)
    asked = [part for part in gluing.parts if parts is None or part in parts]
    late = [part for part in asked if part not in can] if parts is not None else []
    if done := [part for part in late if part in gluing.ticks]:
        raise Conflict(
            f"{wording.listed([sign.parts[part] for part in done])} of {named(sign)} is glued already."
        )
    if late and can:
        raise Conflict(
            f"{wording.listed([sign.parts[part] for part in late])} of {named(sign)} is not set out: set it out first."
        )
    if not can:
        wording.must_be_ready(gluing, sign, transaction.now, zone_of(transaction.db))
        raise Conflict(
            f"Nothing of level {gluing.level} of {named(sign)} is set out: set it out first."
        )
    if not asked:
        raise Refused(f"No part of {named(sign)} was chosen: choose what was glued.")
    return [part for part in can if part in asked]


def _glue(
    transaction: Transaction,
    step: int,
    made: int,
    until: datetime,
    parts: Sequence[int] | None,
    overruled: str,
) -> tuple[Sign, str]:
    """Joins what is to be joined of one gluing step. Gives the sign, and '5 of 7' where some of the level are still to come."""
    sign, gluing = _gluing(transaction, step)
    chosen = _to_glue(transaction, sign, gluing, parts)
    live = {piece.part: piece for piece in pieces.of_sign(transaction.db, sign.id)}
    of_level = [live[part] for part in chosen]
    joined = [piece for piece in of_level if piece.state != "fixed"] or of_level
    below = {lower: live[lower] for part in chosen for lower in sign.parts[part].needs_under}
    fix(transaction, [*joined, *(piece for lower, piece in below.items() if lower not in chosen)])
    bench.add_to_glue_up(transaction.db, made, [piece.id for piece in joined])
    for part in chosen:
        bench.set_tick(transaction.db, step, part, transaction.at, transaction.actor.person)
    _shut(
        transaction, sign, gluing, until, is_whole=gluing.ticks | set(chosen) >= set(gluing.parts)
    )
    transaction.record(
        steps.LevelGlued(step, made, tuple(piece.code for piece in joined), stamp(until), overruled)
    )
    count = len(gluing.ticks | set(chosen))
    return sign, "" if count == len(
        gluing.parts
    ) else f"{count} of {len(gluing.parts)} parts of level {gluing.level}"


def _shut(
    transaction: Transaction, sign: Sign, gluing: Step, until: datetime, *, is_whole: bool
) -> None:
    """Holds the sign still: by the cures that wait for this gluing, or by the gluing itself while others of its level are still
    to come. A joint of the level that cures longer holds it until then."""
    longest = max(stamp(until), bench.last_cures(transaction.db, gluing.parts) or "")
    bench.shut_cure(transaction.db, gluing.id, None if is_whole else longest)
    if is_whole:
        finish(transaction, gluing)
        for step in sign.steps:
            if step.kind == "cure" and gluing.id in step.after:
                bench.shut_cure(transaction.db, step.id, longest)


@command("opened a cure early", "owner")
def open_early(transaction: Transaction, step: int, reason: str) -> Answer:
    """An owner goes on before a cure's end, with a reason that the ledger keeps. Raises Conflict where none runs."""
    sign, curing = found(transaction, step)
    why = checked_reason(reason)
    if not steps.is_curing(curing, transaction.now):
        raise Conflict(f"'{curing.title}' is not curing now: there is nothing to open.")
    if (
        curing.kind == "glue"
    ):  # others of its level are still to be glued: only what is glued need not wait
        bench.shut_cure(transaction.db, step, None)
    else:
        bench.open_cure(transaction.db, step, why, transaction.at, transaction.actor.person)
    transaction.record(steps.CureOpened(step, why, stamp(curing.shut_until)))
    return Answer(
        f"The cure of level {curing.level} of {named(sign)} is opened early: {why}.", (sign.code,)
    )
