"""How the bench speaks: one sentence for a sign, and what a step waits for, by name.

Owns wording only; what may be done is decided in `steps`. Must not read a clock: the moment and the zone are given.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo

from ..codes import show
from ..errors import Conflict
from . import steps as rules
from .cure import NO_END
from .steps import Part, Sign, Step

MOST_NAMES = 3
READY, NOT_YET, HELD = 0, 1, 2  # ranks of a headline: ready signs first
ON_SHEET = {
    "planned": ", which is not started",
    "cutting": ", on the router now",
    "off the table": ", off the table and not marked yet",
}


@dataclass(frozen=True)
class Headline:
    """A sign in one sentence: large, and its reason in small. Sort by (`rank`, the job's due date).

    `kind` says which mark stands before it: 'ready', 'curing', 'waiting', 'done' or 'held'.
    """

    rank: int
    kind: str
    big: str
    small: str


def clock(moment: datetime, now: datetime, zone: tzinfo) -> str:
    """A moment as people say it: '15:40' today, 'Fri 15:40' within six days, '3 Dec 15:40' further off."""
    there, here = moment.astimezone(zone), now.astimezone(zone)
    days = abs((there.date() - here.date()).days)
    if days == 0:
        return f"{there:%H:%M}"
    return f"{there:%a %H:%M}" if days < 7 else f"{there.day} {there:%b %H:%M}"


def until(end: datetime, now: datetime, zone: tzinfo) -> str:
    """How long a cure holds: 'until Fri 15:40'; 'which stands still: it is too cold' where it has no end on what is known."""
    return (
        "which stands still: it is too cold" if end >= NO_END else f"until {clock(end, now, zone)}"
    )


def called(part: Part) -> str:
    """A part by name and number: "'A' (no. 7)", or 'no. 7' where nobody named it."""
    number = f"no. {part.number}"
    return number if part.name in ("", number) else f"'{part.name}' ({number})"


def listed(parts: list[Part]) -> str:
    """A few names, then how many more: "'A' (no. 7), 'B' (no. 8) and 9 more"."""
    names = [called(part) for part in parts[:MOST_NAMES]]
    rest = len(parts) - len(names)
    if rest:
        return f"{', '.join(names)} and {rest} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def missing_sentences(parts: list[Part]) -> list[str]:
    """Where the parts that are not in hand are, alike ones in one sentence, recuts by their code."""
    groups: dict[tuple, list[Part]] = {}
    said: list[str] = []
    for part in parts:
        if part.gone and part.code and part.state in ("waiting", "nested", "cut"):
            said.append(
                f"{called(part)} is {part.gone}; its recut {show(part.code)} {_whereabouts(part, is_one=True)}"
            )
        else:
            groups.setdefault((part.state, part.sheet), []).append(part)
    said += [
        f"{listed(alike)} {_whereabouts(alike[0], is_one=len(alike) == 1)}"
        for alike in groups.values()
    ]
    if len(said) > MOST_NAMES + 1:
        return [*said[:MOST_NAMES], f"and {len(said) - MOST_NAMES} more like these"]
    return said


def _whereabouts(part: Part, *, is_one: bool) -> str:
    verb = "is" if is_one else "are"
    if part.state == "waiting":
        return f"{'waits' if is_one else 'wait'} for a sheet"
    if part.state == "nested":
        return f"{verb} on sheet {part.sheet}{ON_SHEET.get(part.sheet_state or '', '')}"
    return f"{verb} cut, with tabs to trim" if part.state == "cut" else f"{verb} without a piece"


def waits_for(step: Step, sign: Sign, now: datetime, zone: tzinfo) -> list[str]:
    """What stands in the way of a step, one sentence each, without full stops; empty where nothing does."""
    if rules.is_done(step, now):
        return []
    if rules.is_curing(step, now):
        return [_cure_words(step, now, zone)]
    said = (
        []
        if rules.is_allowed(step, sign) or sign.state in ("open", "packed")
        else [f"the sign is {sign.state}"]
    )
    for other in rules.undone_before(step, sign, now):
        is_curing = rules.is_curing(other, now)
        said.append(
            _cure_words(other, now, zone) if is_curing else f"'{other.title}' is not done yet"
        )
    return said + missing_sentences(rules.missing(step, sign))


def must_be_ready(step: Step, sign: Sign, now: datetime, zone: tzinfo) -> None:
    """Raises Conflict, with what it waits for, where a step cannot be done now."""
    if rules.is_ready(step, sign, now):
        return
    if sign.state in ("packed", "handed over", "cancelled") and not rules.is_allowed(step, sign):
        raise Conflict(f"The sign is {sign.state}: an owner must reopen it first.")
    reasons = "; ".join(waits_for(step, sign, now, zone)) or "it is not its turn"
    raise Conflict(f"'{step.title}' must wait: {reasons}.")


def must_be_settable(part: Part, step: Step, sign: Sign, now: datetime, zone: tzinfo) -> None:
    """Raises Conflict where a part cannot be set out now. Others of its level may still be missing."""
    for wanted in (part, *(sign.parts[lower] for lower in part.needs_under)):
        if not wanted.is_in_hand:
            raise Conflict(f"Not yet: {missing_sentences([wanted])[0]}.")
    if rules.undone_before(step, sign, now) or not rules.is_allowed(step, sign):
        must_be_ready(step, sign, now, zone)


def _cure_words(step: Step, now: datetime, zone: tzinfo) -> str:
    return f"the cure of level {step.level} {until(step.shut_until, now, zone)}"


def headline(sign: Sign, now: datetime, zone: tzinfo) -> Headline:
    """A sign in one sentence for the Floor and the Bench."""
    if sign.state == "packed":
        step = rules.next_step(sign, now)
        then = step.title if step and step.kind == "other" else "Hand it over"
        return Headline(NOT_YET, "done", "Packed", then)
    if sign.state != "open":
        return Headline(HELD, "held", sign.state.capitalize(), "")
    step = rules.next_step(sign, now)
    if step is None:
        return Headline(NOT_YET, "done", "All steps are done", "")
    if rules.is_ready(step, sign, now):
        return Headline(READY, "ready", _ready_words(step), _ready_reason(step, sign))
    if rules.is_curing(step, now):
        return Headline(
            NOT_YET,
            "curing",
            f"Curing {until(step.shut_until, now, zone)}",
            _after_cure(step, sign, now),
        )
    return Headline(
        NOT_YET, "waiting", _waits_words(step, sign), _in_short(waits_for(step, sign, now, zone))
    )


def _ready_words(step: Step) -> str:
    return (
        f"Ready: {step.title}"
        if step.kind == "other"
        else f"Ready to {step.title[0].lower()}{step.title[1:]}"
    )


def _ready_reason(step: Step, sign: Sign) -> str:
    if step.kind == "lay out" and step.ticks:
        return f"{len(step.ticks)} of {len(step.parts)} set out"
    if step.kind == "glue" and step.ticks:
        rest = [sign.parts[part] for part in step.parts if part not in step.ticks]
        return f"{len(step.ticks)} of {len(step.parts)} are glued: now {listed(rest)}"
    if step.kind == "glue":
        return "It is set out: all sits right" if len(step.parts) > 1 else "It is set out"
    lacking = sum(not part.is_in_hand for part in sign.parts.values())
    if lacking:
        return f"Further up {lacking} of {len(sign.parts)} {'is' if lacking == 1 else 'are'} still to come"
    return f"Everything is in hand: {len(sign.parts)} of {len(sign.parts)}"


def _after_cure(step: Step, sign: Sign, now: datetime) -> str:
    """What comes next, while something cures: of a level that is glued in part, the rest of it."""
    if step.kind == "glue":
        can = rules.can_be_glued(step, sign, now)
        if can:
            return f"{listed([sign.parts[part] for part in can])} can be glued now. Else do not move it"
        rest = [sign.parts[part] for part in step.parts if part not in step.ticks]
        away = [part for part in rest if not part.is_in_hand]
        said = f"Do not move it. Then: set out and glue {listed(rest)}"
        return f"{said}; {'; '.join(missing_sentences(away))}" if away else said
    then = next((other.title for other in sign.steps if step.id in other.after), None)
    return f"Do not move it. Then: {then[0].lower()}{then[1:]}" if then else "Do not move it"


def _waits_words(step: Step, sign: Sign) -> str:
    lacking = rules.missing(step, sign)
    if not lacking:
        return f"Waits: {step.title[0].lower()}{step.title[1:]}"
    who = step.title if step.level is None else f"Level {step.level}"
    return f"{who} waits for {called(lacking[0]) if len(lacking) == 1 else f'{len(lacking)} parts'}"


def _in_short(waits: list[str]) -> str:
    """The first two things that are waited for; the sign's own page names them all."""
    more = len(waits) - 2
    return "; ".join(waits if more <= 0 else [*waits[:2], f"and {more} more"])
