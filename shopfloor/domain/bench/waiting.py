"""What a step of a sign waits on: parts that are not in hand, other steps, a cure, the sign's own state.

What may be done at all is decided in `steps`. Must not read a clock: the moment is given.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from ...wording import bench as wording
from ...wording.message import Message, first_few, joined
from ..errors import Conflict
from . import steps as rules
from .cure import NO_END
from .steps import Part, Sign, Step

MOST_NAMES = 3


def named(parts: Sequence[Part]) -> Message:
    """Return a few parts by name, then how many more: "'A' (no. 7), 'B' (no. 8) and 9 more"."""
    return wording.parts(first_few([part.called for part in parts], MOST_NAMES))


def end_of(step: Step) -> datetime | None:
    """Return when the cure that keeps a step shut ends; None where it is paused, too cold."""
    return None if step.shut_until is None or step.shut_until >= NO_END else step.shut_until


def whereabouts(parts: Sequence[Part]) -> list[Message]:
    """Say where parts that are not in hand are, alike ones in one message, recuts by their code."""
    alike: dict[tuple[str | None, str | None], list[Part]] = {}
    messages: list[Message] = []
    for part in parts:
        if part.gone and part.code and part.state in ("waiting", "nested", "cut"):
            gone = wording.part_lost if part.gone == "lost" else wording.part_damaged
            recut = _whereabouts(part, wording.its_recut(part.code), 1)
            messages.append(joined([gone(part.called), recut]))
        else:
            alike.setdefault((part.state, part.sheet), []).append(part)
    messages += [_whereabouts(some[0], named(some), len(some)) for some in alike.values()]
    if len(messages) > MOST_NAMES + 1:
        return [*messages[:MOST_NAMES], wording.more_like_these(len(messages) - MOST_NAMES)]
    return messages


def _whereabouts(part: Part, names: Message, count: int) -> Message:
    if part.state == "waiting":
        return wording.wait_for_a_sheet(names, count)
    if part.state == "nested":
        return wording.on_a_sheet(names, count, part.sheet or "", part.sheet_state or "")
    if part.state == "cut":
        return wording.have_tabs(names, count)
    return wording.have_no_piece(names, count)


def waits_for(step: Step, sign: Sign, now: datetime) -> list[Message]:
    """Return what a step waits for, a sentence each; nothing where it can be done, or is."""
    if rules.is_done(step, now):
        return []
    if rules.is_curing(step, now):
        return [wording.level_cures(step.level, end_of(step))]
    waits = []
    if not rules.is_allowed(step, sign) and sign.state not in ("open", "packed"):
        waits.append(wording.sign_is(sign.state))
    for other in rules.undone_before(step, sign, now):
        if rules.is_curing(other, now):
            waits.append(wording.level_cures(other.level, end_of(other)))
        else:
            waits.append(wording.not_done_yet(other.called))
    return waits + whereabouts(rules.missing(step, sign))


def must_be_ready(step: Step, sign: Sign, now: datetime) -> None:
    """Raises Conflict, with what it waits for, where a step cannot be done now."""
    if rules.is_ready(step, sign, now):
        return
    if sign.state in ("packed", "handed over", "cancelled") and not rules.is_allowed(step, sign):
        raise Conflict(wording.must_be_reopened(sign.state))
    reasons = waits_for(step, sign, now) or [wording.not_its_turn()]
    raise Conflict(joined([wording.must_wait(step.called), *reasons]))


def must_be_settable(part: Part, step: Step, sign: Sign, now: datetime) -> None:
    """Raises Conflict where a part cannot be set out now. Others of its level may still be missing."""
    for wanted in (part, *(sign.parts[lower] for lower in part.needs_under)):
        if not wanted.is_in_hand:
            raise Conflict(joined([wording.not_yet(), *whereabouts([wanted])]))
    if rules.undone_before(step, sign, now) or not rules.is_allowed(step, sign):
        must_be_ready(step, sign, now)
