"""Which headline a sign has on the Floor and the Bench, and which stages of a cure are named.

Must not read a clock: the moment is given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from ...wording import bench as bench_wording
from ...wording import cure as cure_wording
from ...wording import headline as wording
from ...wording.message import Message, joined
from . import steps as rules
from .cure import NO_END
from .steps import Part, Sign, Step
from .waiting import end_of, named, waits_for, whereabouts

READY, NOT_YET, HELD = 0, 1, 2  # ranks of a headline: ready signs first
MOST_WAITS = 2  # that a headline names


@dataclass(frozen=True)
class Headline:
    """A sign in one sentence: `big`, and its reason in `small`. Sort by (`rank`, the job's due date).

    `kind` says which mark is before it: 'ready', 'curing', 'waiting', 'done' or 'held'.
    """

    rank: int
    kind: str
    big: Message
    small: Message | None = None


def headline(sign: Sign, now: datetime) -> Headline:
    """Return the headline of a sign."""
    step = rules.next_step(sign, now)
    if sign.state == "packed":
        is_own = step is not None and step.kind == "other"
        then = step.called if step and is_own else wording.hand_it_over()
        return Headline(NOT_YET, "done", wording.state("packed"), then)
    if sign.state != "open":
        return Headline(HELD, "held", wording.state(sign.state))
    if step is None:
        return Headline(NOT_YET, "done", wording.all_done())
    if rules.is_ready(step, sign, now):
        is_own = step.kind == "other"
        big = wording.ready_for(step.title) if is_own else wording.ready_to(step.task)
        return Headline(READY, "ready", big, _why_ready(step, sign))
    if rules.is_curing(step, now):
        meanwhile = _while_curing(step, sign, now)
        return Headline(NOT_YET, "curing", wording.curing(end_of(step)), meanwhile)
    waits = _first_waits(waits_for(step, sign, now))
    return Headline(NOT_YET, "waiting", _waiting(step, sign), waits)


def _why_ready(step: Step, sign: Sign) -> Message:
    count = len(step.parts)
    if step.kind == "lay out" and step.ticks:
        return bench_wording.are_set_out(len(step.ticks), count)
    if step.kind == "glue" and step.ticks:
        return wording.glue_the_rest(len(step.ticks), count, named(_not_glued(step, sign)))
    if step.kind == "glue":
        return wording.all_set_out(count)
    missing = sum(not part.is_in_hand for part in sign.parts.values())
    if missing:
        return wording.missing_further_up(missing, len(sign.parts))
    return wording.all_in_hand(len(sign.parts))


def _not_glued(step: Step, sign: Sign) -> list[Part]:
    return [sign.parts[part] for part in step.parts if part not in step.ticks]


def _while_curing(step: Step, sign: Sign, now: datetime) -> Message:
    """Say what must not be done while something cures, and what comes after it."""
    after = while_curing(step, sign, now)
    if step.kind == "glue" and rules.can_be_glued(step, sign, now):
        return joined([after, wording.otherwise_do_not_move()])
    return joined([wording.do_not_move(), after])


def while_curing(step: Step, sign: Sign, now: datetime) -> Message | None:
    """Return what can be glued while it cures, or what comes after the cure; None where nothing does."""
    if step.kind == "glue":
        if can := rules.can_be_glued(step, sign, now):
            return wording.can_be_glued_now(named([sign.parts[part] for part in can]))
        rest = _not_glued(step, sign)
        away = [part for part in rest if not part.is_in_hand]
        return joined([wording.then_set_out_and_glue(named(rest)), *whereabouts(away)])
    then = next((other for other in sign.steps if step.id in other.after), None)
    return wording.then(then.task) if then else None


def _waiting(step: Step, sign: Sign) -> Message:
    missing = rules.missing(step, sign)
    if not missing:
        return wording.waiting(step.task)
    who = step.called if step.level is None else wording.level(step.level)
    if len(missing) == 1:
        return wording.waiting_on_part(who, missing[0].called)
    return wording.waiting_on_parts(who, len(missing))


def _first_waits(waits: Sequence[Message]) -> Message | None:
    """Return the first two things that are waited for; the sign's own page names them all."""
    more = len(waits) - MOST_WAITS
    shown = [*waits[:MOST_WAITS], bench_wording.and_more(more)] if more > 0 else waits
    return joined(shown) if shown else None


# The stages of a cure. --------------------------------------------------------------------------


def stages(
    fixture_at: str | None, handling_at: str | None, cured_at: str, now: datetime
) -> Message:
    """Return the stages of a glue-up that are known; of what is cured only that.

    Times as stored: None where the data sheet does not give a stage, or it is too cold; `cured_at` is `NO_END` where its
    cure is paused.
    """
    cured = datetime.fromisoformat(cured_at)
    if cured <= now:
        return cure_wording.cured_since(cured)
    messages = [
        since(at) if datetime.fromisoformat(at) <= now else not_before(at)
        for at, since, not_before in (
            (fixture_at, cure_wording.fixtured_since, cure_wording.fixtured_from),
            (handling_at, cure_wording.handle_since, cure_wording.handle_from),
        )
        if at
    ]
    paused = cured >= NO_END
    messages.append(cure_wording.paused_sentence() if paused else cure_wording.cured_at(cured))
    return joined(messages)
