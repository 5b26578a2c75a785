"""The steps of a sign at the bench: the usual recipe, which step may be done now, and what a lost piece undoes.

What a step waits on is in `waiting`, a sign's headline in `headline`. Must not read a clock: the moment is always given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from ...wording import bench as wording
from ...wording.message import Message
from ..errors import Conflict
from .cure import NO_END

AT_A_LEVEL = ("lay out", "glue", "cure")
IN_HAND = ("ready", "fixed")  # what a step at the bench can use


@dataclass(frozen=True)
class PlannedStep:
    """A step of a recipe. `after` are the places in the recipe (from 0) that it waits for, `parts` what it takes.

    `title` is what is stored; people read `Step.called`.
    """

    kind: str
    title: str
    level: int | None
    parts: tuple[int, ...]
    after: tuple[int, ...]


@dataclass(frozen=True)
class Step:
    """A step of a sign. `after` are ids of steps; `ticks` the parts that are set out, or glued.

    `shut_until` is a cure's end; of a gluing that is not finished, the end of the cure of what is glued so far. `title` is as
    stored: of a usual step `called` gives the words of today, of one of the shop's own (kind 'other') what was typed.
    """

    id: int
    number: int
    kind: str
    title: str
    level: int | None
    after: tuple[int, ...] = ()
    parts: tuple[int, ...] = ()
    ticks: frozenset[int] = frozenset()
    done_at: datetime | None = None
    shut_until: datetime | None = None
    opened_why: str | None = None
    done_by: str | None = None

    @property
    def called(self) -> Message:
        """'Set out level 1'"""
        return wording.step(self.kind, self.level, self.title)

    @property
    def task(self) -> Message:
        """'set out level 1', inside a sentence"""
        return wording.task(self.kind, self.level, self.title)


@dataclass(frozen=True)
class Part:
    """A part and its live piece (`code` and `state` are None without one).

    `lies_on` is the part that it lies on most; `under` are all that it needs under or round it, that one among them (it may
    bridge two panels, or be let into one). `gone` is what happened to the piece before this one: 'lost', 'damaged' or None.
    `sheet` is 'S-207' or None.
    """

    id: int
    number: int
    name: str
    level: int
    lies_on: int | None = None
    code: str | None = None
    state: str | None = None
    gone: str | None = None
    sheet: str | None = None
    sheet_state: str | None = None
    under: tuple[int, ...] = ()

    @property
    def called(self) -> Message:
        """ "'A' (no. 7)", or 'no. 7' where nobody named it"""
        return wording.part(self.number, self.name)

    @property
    def needs_under(self) -> tuple[int, ...]:
        """The parts that must lie there before it is set."""
        return self.under or ((self.lies_on,) if self.lies_on else ())

    @property
    def is_in_hand(self) -> bool:
        """True where its piece is ready or fixed."""
        return self.state in IN_HAND


@dataclass(frozen=True)
class Sign:
    """A sign at the bench: its state, its steps in order, its parts by id. `due` is the job's date, ISO."""

    id: int
    code: str
    mark: str
    name: str
    job: str
    customer: str
    due: str
    state: str
    steps: tuple[Step, ...]
    parts: dict[int, Part]

    @property
    def called(self) -> str:
        """'J-1042 A'"""
        return f"{self.job} {self.mark}"

    def step(self, step: int) -> Step:
        """One of its steps by id. Raises KeyError."""
        return {own.id: own for own in self.steps}[step]


@dataclass(frozen=True)
class Reopened:
    """What must be done again: steps by id, and (step, part) ticks that no longer apply."""

    steps: tuple[int, ...]
    ticks: tuple[tuple[int, int], ...]


def recipe(
    parts_by_level: dict[int, list[int]], let_in: Sequence[int] = ()
) -> tuple[PlannedStep, ...]:
    """Return the usual steps: set out, glue and cure each level from 1 up; then clean, polish, inspect, pack and hand over.

    A sign without a level 1 has only the last five. Each level waits for the cure of the one below. `let_in` are parts of level
    0 that fill a hole of the board: they are glued in first, as level 0.
    """
    steps: list[PlannedStep] = []
    cures: list[int] = []
    joined = {**parts_by_level, 0: list(let_in)}
    for level in sorted(level for level in joined if joined[level]):
        parts = tuple(joined[level])
        below = tuple(cures[-1:])
        for kind, after in (
            ("lay out", below),
            ("glue", (len(steps),)),
            ("cure", (len(steps) + 1,)),
        ):
            steps.append(
                PlannedStep(kind, f"{kind.capitalize()} level {level}", level, parts, after)
            )
        cures.append(len(steps) - 1)
    everything = tuple(part for level in sorted(parts_by_level) for part in parts_by_level[level])
    # all of them: a level done again holds back what comes at the end, not the levels above
    after = tuple(cures)
    for kind, takes in (
        ("clean", everything),
        ("polish", everything),
        ("inspect", everything),
        ("pack", ()),
        ("hand over", ()),
    ):
        steps.append(PlannedStep(kind, kind.capitalize(), None, takes, after))
        after = (len(steps) - 1,)
    return tuple(steps)


def is_curing(step: Step, now: datetime) -> bool:
    """True for a cure that has begun and keeps its sign still; and for a gluing of which a part is glued and still cures."""
    return (
        step.kind in ("glue", "cure")
        and step.done_at is None
        and step.shut_until is not None
        and step.shut_until > now
    )


def is_done(step: Step, now: datetime) -> bool:
    """A cure is done when its time has come or an owner opened it early; any other step when someone finished it."""
    if step.kind == "cure" and step.done_at is None:
        return step.shut_until is not None and step.shut_until <= now
    return step.done_at is not None


def undone_before(step: Step, sign: Sign, now: datetime) -> list[Step]:
    """Return the steps that it waits for and that are not done. Nothing is set out while a glued part of a level cures."""
    waits = [other for other in sign.steps if other.id in step.after and not is_done(other, now)]
    if step.kind == "lay out":
        waits += [other for other in sign.steps if other.kind == "glue" and is_curing(other, now)]
    return waits


def setting_out_for(gluing: Step, sign: Sign) -> Step | None:
    """Return the setting out that a gluing waits for; None where an owner's step took its place."""
    return next(
        (step for step in sign.steps if step.id in gluing.after and step.kind == "lay out"), None
    )


def can_be_glued(gluing: Step, sign: Sign, now: datetime) -> tuple[int, ...]:
    """Return the parts of a level that can be glued now: set out, in hand, not glued, and all that they lie on in hand.

    Others of the level may still be missing: they are glued later. None where the setting out still waits for a step, or the
    sign is not open.
    """
    setting_out = setting_out_for(gluing, sign)
    before = undone_before(gluing, sign, now) + (
        undone_before(setting_out, sign, now) if setting_out else []
    )
    if (
        is_done(gluing, now)
        or not is_allowed(gluing, sign)
        or any(step not in (setting_out, gluing) for step in before)
    ):
        return ()
    set_out = setting_out.ticks if setting_out else frozenset(gluing.parts)
    left = set_out - gluing.ticks
    return tuple(
        part for part in gluing.parts if part in left and _lies_ready(sign.parts[part], sign)
    )


def _lies_ready(part: Part, sign: Sign) -> bool:
    return part.is_in_hand and all(sign.parts[lower].is_in_hand for lower in part.needs_under)


def needed(step: Step, sign: Sign) -> list[Part]:
    """Return the parts that must be in hand for it: those it takes and, at a level, those that they lie on."""
    if step.kind == "cure":
        return []
    wanted = set(step.parts)
    if step.kind in AT_A_LEVEL:
        wanted |= {lower for part in step.parts for lower in sign.parts[part].needs_under}
    return [sign.parts[part] for part in sorted(wanted, key=lambda part: sign.parts[part].number)]


def missing(step: Step, sign: Sign) -> list[Part]:
    """Return the parts that it needs and that are not in hand."""
    return [part for part in needed(step, sign) if not part.is_in_hand]


def is_allowed(step: Step, sign: Sign) -> bool:
    """True where the sign's state allows it: a packed sign is handed over, an open one takes all other steps.

    A step that an owner put between packing and handing over is done on a packed sign.
    """
    if step.kind == "other":
        return sign.state in ("open", "packed")
    return sign.state == ("packed" if step.kind == "hand over" else "open")


def is_ready(step: Step, sign: Sign, now: datetime) -> bool:
    """True where it can be done now: not done, its parts in hand, what it waits for done, the sign open."""
    if step.kind == "cure" or is_done(step, now) or not is_allowed(step, sign):
        return False
    return not undone_before(step, sign, now) and not missing(step, sign)


def next_step(sign: Sign, now: datetime) -> Step | None:
    """Return the step to look at: the first that can be done, else the cure under way, else the first not done."""
    for step in sign.steps:
        if is_ready(step, sign, now):
            return step
    undone = [step for step in sign.steps if not is_done(step, now)]
    curing = [step for step in undone if is_curing(step, now)]
    return next(iter([*curing, *undone]), None)


def earliest_end(sign: Sign, now: datetime, cure_hours: float = 24.0) -> datetime:
    """Return when all its cures can be over at the earliest, each taking `cure_hours`; never before `now`.

    Only cures are counted: no cutting, no work at the bench. So it may be later, but cannot be sooner.
    """
    ends: dict[int, datetime] = {}
    for step in sign.steps:
        end = max([now, *(ends[other] for other in step.after if other in ends)])
        if is_curing(step, now) and step.shut_until is not None and step.shut_until < NO_END:
            end = max(end, step.shut_until)
        elif step.kind == "cure" and not is_done(step, now):
            end += timedelta(hours=cure_hours)
        ends[step.id] = end
    return max(ends.values(), default=now)


def will_be_late(sign: Sign, now: datetime, zone: tzinfo, cure_hours: float = 24.0) -> bool:
    """True where its cures alone take it past its due day, in the shop's `zone`."""
    if sign.state not in ("open", "on hold"):
        return False
    return f"{earliest_end(sign, now, cure_hours).astimezone(zone):%Y-%m-%d}" > sign.due


def lying_on(part: int, parts: dict[int, Part]) -> set[int]:
    """Return the part itself, all that lies on it, and on that, and so on."""
    pile = {part}
    while more := {other.id for other in parts.values() if pile & set(other.needs_under)} - pile:
        pile |= more
    return pile


def reopened_by(part: int, sign: Sign) -> Reopened:
    """Return what must be done again when a part's piece is lost, damaged or comes off, and nothing else.

    Its own setting out, gluing and curing and those of what lies on it; then all that waits for these. A level with none of
    these parts stays done.
    """
    touched = lying_on(part, sign.parts)
    steps = {step.id for step in sign.steps if touched & set(step.parts)}
    while more := {
        step.id
        for step in sign.steps
        if step.id not in steps and step.kind not in AT_A_LEVEL and steps & set(step.after)
    }:
        steps |= more
    begun = [
        step.id for step in sign.steps if step.id in steps and (step.done_at or step.shut_until)
    ]
    ticks = [(step.id, tick) for step in sign.steps for tick in sorted(step.ticks & touched)]
    return Reopened(tuple(begun), tuple(ticks))


def place_for(after: Step | None, sign: Sign, now: datetime) -> tuple[Step, ...]:
    """Return the steps that a new step put after `after` (None: at the start) holds back from now on.

    Raises Conflict where one of them has begun, or where the new step would come between a glue-up and its cure.
    """
    if after is not None and after.kind == "glue":
        raise Conflict(wording.nothing_after_gluing(after.called))
    if after is not None and after.kind == "hand over":
        raise Conflict(wording.nothing_after_the_last(after.called))
    held = [step for step in sign.steps if (after.id in step.after if after else not step.after)]
    for step in held:
        if is_done(step, now) or step.shut_until or step.ticks:
            raise Conflict(wording.has_begun(step.called))
    return tuple(held)
