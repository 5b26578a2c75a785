"""What people do at the bench: set out, glue up, open a cure early, finish a step, add one.

The state of a whole sign (hold, cancel, reopen) is in `signs`; marks on pieces, "came off" too, are in `pieces`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from ..domain import bench as wording
from ..domain import cure, steps
from ..domain import pieces as life
from ..domain.errors import Conflict, Refused
from ..domain.steps import Sign, Step
from ..store import bench, jobs, office, pieces, settings
from ..store.db import Connection
from .desk import Act, Answer, act, stamp

# What to do instead, for the steps that are not simply finished.
NOT_BY_BUTTON = {
    "lay out": "Tap each part when it sits right: the last tap finishes the laying out.",
    "glue": "Write down the glue-up: that finishes the gluing.",
    "cure": "A cure ends by itself: an owner may open it early with a reason.",
}


def zone_of(db: Connection) -> ZoneInfo:
    """The shop's time zone."""
    return ZoneInfo(settings.load(db).zone)


def named(sign: Sign) -> str:
    """'J-1042 A'"""
    return f"{sign.job} {sign.mark}"


def _found(act: Act, step: int) -> tuple[Sign, Step]:
    sign = bench.sign_of_step(act.db, step)
    return sign, sign.step(step)


def checked_reason(reason: str) -> str:
    """A reason, tidied. Raises Refused where it says nothing or too much."""
    tidy = " ".join(reason.split())
    if not 3 <= len(tidy) <= 200:
        raise Refused("Give the reason in 3 to 200 letters: it is kept in the ledger.")
    return tidy


# Laying out ---------------------------------------------------------------------------------------------------------


@act("set out a part", "assembler")
def set_out(act: Act, step: int, part: int) -> Answer:
    """A part sits right; the last one finishes the laying out. Raises Conflict where it is not in hand, or too early."""
    sign, laying = _laying_out(act, step, [part])
    if part in laying.ticks:
        return Answer(f"{wording.called(sign.parts[part])} is set out already.", (sign.code,))
    _tick(act, sign, laying, part)
    return Answer(f"{wording.called(sign.parts[part])} sits right. {_still(act, step)}", (sign.code,))


@act("set out the rest", "assembler")
def set_out_rest(act: Act, step: int, parts: Sequence[int]) -> Answer:
    """Every part that the page showed as still to set out sits right. Those that cannot be are left, and named."""
    sign, laying = _laying_out(act, step, parts)
    left = []
    for part in parts:
        try:
            if part not in laying.ticks:
                _tick(act, sign, laying, part)
        except Conflict:  # raised before anything is written
            left.append(sign.parts[part])
    if parts and len(left) == len(parts):
        wording.must_be_settable(left[0], laying, sign, act.now, zone_of(act.db))
    words = f" Left as they are: {wording.listed(left)}." if left else ""
    return Answer(_still(act, step) + words, (sign.code,))


@act("took a part up again", "assembler")
def take_up(act: Act, step: int, part: int) -> Answer:
    """A part does not sit right after all. Raises Conflict where its level is glued."""
    sign, laying = _laying_out(act, step, [part])
    name = wording.called(sign.parts[part])
    if part not in laying.ticks:
        return Answer(f"{name} is not set out: nothing to do.", (sign.code,))
    if any(steps.is_done(other, act.now) for other in sign.steps if laying.id in other.after):
        raise Conflict(f"{name} is glued already: mark its piece as come off if it is loose.")
    bench.set_tick(act.db, step, part, None, None)
    bench.set_done(act.db, step, None, None)
    act.tell(steps.PartSetOut(step, part, False))
    return Answer(f"{name} is to set out again.", (sign.code,))


def _laying_out(act: Act, step: int, parts: Sequence[int]) -> tuple[Sign, Step]:
    sign, laying = _found(act, step)
    if laying.kind != "lay out" or not set(parts) <= set(laying.parts):
        raise Refused("That part is not laid out in this step: load the sign again.")
    return sign, laying


def _tick(act: Act, sign: Sign, laying: Step, part: int) -> None:
    wording.must_be_settable(sign.parts[part], laying, sign, act.now, zone_of(act.db))
    bench.set_tick(act.db, laying.id, part, act.at, act.by.person)
    act.tell(steps.PartSetOut(laying.id, part, True))


def _still(act: Act, step: int) -> str:
    """Finishes the laying out where nothing is left of it; says how far it is."""
    _, laying = _found(act, step)
    left = len(set(laying.parts) - laying.ticks)
    if left:
        return f"{len(laying.ticks)} of {len(laying.parts)} are set out."
    if laying.done_at is None:
        _finish(act, laying)
    return f"Level {laying.level} is set out: glue it."


def _finish(act: Act, step: Step) -> None:
    bench.set_done(act.db, step.id, act.at, act.by.person)
    act.tell(steps.StepDone(step.id, step.title))


# Gluing and curing --------------------------------------------------------------------------------------------------


@act("glued up", "assembler")
def glue_up(
    act: Act, gluing: Sequence[int], cement: int, batch: str, temperature_c: float, humidity_percent: float,
    glued_at: datetime | None = None,
) -> Answer:  # fmt: skip
    """One session with one batch of cement over the gluing steps `gluing`, of one sign or several.

    Temperature in °C, humidity in %; `glued_at` is aware, now where left out, up to 24 hours back. The pieces become
    fixed, with the bottom parts that they lie on, and the cure begins. Raises Refused outside the cement's limits,
    Conflict where a level is not set out.
    """
    if not gluing:
        raise Refused("Nothing was chosen to glue: choose a sign.")
    at = cure.checked_moment(glued_at or act.now, act.now)
    with_what = office.cement(act.db, cement)
    humidity = cure.checked_humidity(humidity_percent)
    until = cure.cured_at(at, temperature_c, with_what)
    made = bench.add_glue_up(
        act.db, cement, cure.checked_batch(batch), temperature_c, humidity, stamp(at), stamp(until), act.by.person
    )
    signs = [_glue(act, step, made, until) for step in dict.fromkeys(gluing)]
    what = f"{named(signs[0])} is" if len(signs) == 1 else f"{', '.join(named(sign) for sign in signs)} are"
    end = wording.clock(until, act.now, zone_of(act.db))
    return Answer(f"{what} glued, curing until {end}: do not move it.", tuple(sign.code for sign in signs))


def _glue(act: Act, step: int, made: int, until: datetime) -> Sign:
    sign, gluing = _found(act, step)
    if gluing.kind != "glue":
        raise Refused("That step is no gluing: load the sign again.")
    if steps.is_done(gluing, act.now):
        raise Conflict(f"Level {gluing.level} of {named(sign)} is glued already.")
    wording.must_be_ready(gluing, sign, act.now, zone_of(act.db))
    live = {piece.part: piece for piece in pieces.of_sign(act.db, sign.id)}
    of_level = [live[part] for part in gluing.parts]
    joined = [piece for piece in of_level if piece.state != "fixed"] or of_level
    below = {lower: live[lower] for part in gluing.parts for lower in sign.parts[part].needs_under}
    _fix(act, [*joined, *(piece for lower, piece in below.items() if lower not in gluing.parts)])
    bench.add_to_glue_up(act.db, made, [piece.id for piece in joined])
    _finish(act, gluing)
    _shut(act, sign, gluing, until)
    act.tell(steps.LevelGlued(step, made, tuple(piece.code for piece in joined), stamp(until)))
    return sign


def _fix(act: Act, joined: Sequence[life.Piece]) -> None:
    for piece in joined:
        events = life.fixed(piece)
        pieces.write(act.db, events, act.at)
        for event in events:
            act.tell(event)


def _shut(act: Act, sign: Sign, gluing: Step, until: datetime) -> None:
    """Begins the cures that wait for this gluing; a joint of the level that cures longer holds the sign until then."""
    longest = max(stamp(until), bench.last_cures(act.db, gluing.parts) or "")
    for step in sign.steps:
        if step.kind == "cure" and gluing.id in step.after:
            bench.shut_cure(act.db, step.id, longest)


@act("opened a cure early", "owner")
def open_early(act: Act, step: int, reason: str) -> Answer:
    """An owner goes on before a cure's end, with a reason that the ledger keeps. Raises Conflict where none runs."""
    sign, curing = _found(act, step)
    why = checked_reason(reason)
    if not steps.is_curing(curing, act.now):
        raise Conflict(f"'{curing.title}' is not curing now: there is nothing to open.")
    bench.open_cure(act.db, step, why, act.at, act.by.person)
    act.tell(steps.CureOpened(step, why, stamp(curing.shut_until)))
    return Answer(f"The cure of level {curing.level} of {named(sign)} is opened early: {why}.", (sign.code,))


# Finishing and adding steps -----------------------------------------------------------------------------------------


@act("finished a step", "assembler")
def finish_step(act: Act, step: int) -> Answer:
    """Cleaned, inspected, packed, handed over, or a step of the shop's own. Raises Conflict where it must wait."""
    sign, doing = _found(act, step)
    if doing.kind in NOT_BY_BUTTON:
        raise Conflict(NOT_BY_BUTTON[doing.kind])
    if steps.is_done(doing, act.now):
        return Answer(f"'{doing.title}' of {named(sign)} is done already.", (sign.code,))
    wording.must_be_ready(doing, sign, act.now, zone_of(act.db))
    _finish(act, doing)
    if doing.kind == "inspect":  # what was not joined by a glue-up: loose bottom parts, taped ones
        _fix(act, [piece for piece in pieces.of_sign(act.db, sign.id) if piece.state == "ready"])
    if doing.kind in ("pack", "hand over"):
        state = "packed" if doing.kind == "pack" else "handed over"
        jobs.set_sign_state(act.db, sign.id, state)
        act.tell(steps.SignChanged(sign.id, sign.state, state, ""))
    return Answer(_finished_words(doing, sign, act), (sign.code,))


def _finished_words(done: Step, sign: Sign, act: Act) -> str:
    words = {"clean": "is clean", "inspect": "is inspected", "pack": "is packed", "hand over": "is handed over"}
    said = f"{named(sign)} {words[done.kind]}." if done.kind in words else f"'{done.title}' of {named(sign)} is done."
    then = steps.next_step(bench.sign_of(act.db, sign.id), act.now)
    return f"{said} Next: {then.title[0].lower()}{then.title[1:]}." if then else said


@act("added a step", "owner")
def add_step(act: Act, sign: int, title: str, after: int | None = None) -> Answer:
    """A step of the shop's own (paint, drill, fit stand-offs) after the step `after`, or before all others.

    What waited for `after` now waits for the new one. Raises Refused for a title that says nothing, Conflict where what
    it would hold back has begun.
    """
    tidy = " ".join(title.split())
    if not 2 <= len(tidy) <= 60:
        raise Refused("Name the step in 2 to 60 letters, such as 'drill for stand-offs'.")
    to = bench.sign_of(act.db, sign)
    before = {step.id: step for step in to.steps}.get(after)
    if after is not None and before is None:
        raise Refused("That step is of another sign: load the sign again.")
    held = steps.place_for(before, to, act.now)
    number = before.number + 1 if before else 1
    made = bench.add_step(act.db, sign, number, "other", tidy, None, (), (before.id,) if before else ())
    bench.put_before(act.db, made, number, held, after)
    act.tell(steps.StepAdded(made, tidy))
    where = f"after '{before.title}'" if before else "at the start"
    return Answer(f"'{tidy}' is added to {named(to)} {where}.", (to.code,))
