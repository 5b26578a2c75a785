"""Work at the bench: set out, finish a step, add one.

Cement is in `gluing`, measuring in `placement`, the state of a whole sign (hold, cancel, reopen) in `signs`; marks on pieces,
"came off" too, are in `pieces`.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench import steps
from ..domain.bench.steps import Part, Sign, Step
from ..domain.bench.waiting import must_be_ready, must_be_settable, named
from ..domain.errors import Conflict, Refused
from ..domain.fields import read_line
from ..store import bench, jobs, pieces, placement
from ..wording import bench as wording
from ..wording.message import Message, joined
from . import finishing
from .pieces import write_events
from .unit_of_work import Answer, Transaction, command

NOT_BY_BUTTON = ("lay out", "glue", "cure")  # kinds of steps that are not simply finished


def find_step(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    """Return a step and its sign. Raises NotFound."""
    sign = bench.sign_of_step(transaction.db, step)
    return sign, sign.step(step)


def checked_reason(reason: str) -> str:
    """Return a reason, tidied. Raises Refused where it is too short or too long."""
    return read_line(reason, 3, 200, wording.give_a_reason())


# Setting out --------------------------------------------------------------------------------------------------------


@command("set out a part", "assembler")
def set_out(transaction: Transaction, step: int, part: int) -> Answer:
    """Keep that a part is in position; the last one finishes the step. Raises Conflict where it is not in hand, or too early."""
    sign, laying = laying_out(transaction, step, [part])
    name = sign.parts[part].called
    if part in laying.ticks:
        return Answer(wording.already_set_out(name), (sign.code,))
    tick(transaction, sign, laying, part)
    message = joined([wording.part_ok(name), still_to_set_out(transaction, step)])
    return Answer(message, (sign.code,))


@command("set out the rest", "assembler")
def set_out_rest(transaction: Transaction, step: int, parts: Sequence[int]) -> Answer:
    """Keep that every part that the page showed as still to set out is in position.

    Parts that cannot be set out, or that were measured and found off their place, are left, and named.
    """
    sign, laying = laying_out(transaction, step, parts)
    measured = placement.measured_at(transaction.db, step)
    left: list[Part] = []
    for part in parts:
        if part in laying.ticks:
            continue
        try:
            if part in measured:
                raise Conflict(wording.measured_off())
            tick(transaction, sign, laying, part)
        except Conflict:  # raised before anything is written
            left.append(sign.parts[part])
    if parts and len(left) == len(parts):
        must_be_settable(left[0], laying, sign, transaction.now)
        raise Conflict(wording.parts_measured_off(named(left), len(left)))
    message = still_to_set_out(transaction, step)
    if left:
        message = joined([message, wording.left_as_they_are(named(left))])
    return Answer(message, (sign.code,))


@command("took a part up again", "assembler")
def take_up(transaction: Transaction, step: int, part: int) -> Answer:
    """Keep that a part is not in position after all. Raises Conflict where its level is glued."""
    sign, laying = laying_out(transaction, step, [part])
    name = sign.parts[part].called
    if part not in laying.ticks:
        return Answer(wording.not_set_out(name), (sign.code,))
    must_be_loose(transaction, sign, laying, part)
    bench.set_tick(transaction.db, step, part, None, None)
    bench.set_done(transaction.db, step, None, None)
    return Answer(wording.set_out_again(name), (sign.code,))


def must_be_loose(transaction: Transaction, sign: Sign, laying: Step, part: int) -> None:
    """Raise Conflict where a part that was set out is glued: it can no longer be moved."""
    gluings = [step for step in sign.steps if laying.id in step.after]
    if any(steps.is_done(step, transaction.now) or part in step.ticks for step in gluings):
        raise Conflict(wording.glued_already_mark_came_off(sign.parts[part].called))


def laying_out(transaction: Transaction, step: int, parts: Sequence[int]) -> tuple[Sign, Step]:
    """Return a setting out, with its sign. Raises Refused where the step is none, or does not take these parts."""
    sign, laying = find_step(transaction, step)
    if laying.kind != "lay out" or not set(parts) <= set(laying.parts):
        raise Refused(wording.not_in_this_step())
    return sign, laying


def tick(transaction: Transaction, sign: Sign, laying: Step, part: int) -> None:
    """Keep, within a command, that a part is in position. Raises Conflict where it cannot be set out now."""
    must_be_settable(sign.parts[part], laying, sign, transaction.now)
    bench.set_tick(transaction.db, laying.id, part, transaction.at, transaction.actor.person)


def still_to_set_out(transaction: Transaction, step: int) -> Message:
    """Finish the setting out where nothing is left of it; return how far it is."""
    sign, laying = find_step(transaction, step)
    if set(laying.parts) - laying.ticks:
        return wording.are_set_out(len(laying.ticks), len(laying.parts))
    if laying.done_at is None:
        finish(transaction, laying)
    return wording.level_is_set_out(laying.level, sign.called)


def finish(transaction: Transaction, step: Step) -> None:
    """Keep, within a command, that a step is done."""
    bench.set_done(transaction.db, step.id, transaction.at, transaction.actor.person)


def fix(transaction: Transaction, joined: Sequence[life.Piece]) -> None:
    """Keep, within a command, that pieces are joined to their sign. Raises Conflict where one is not ready."""
    for piece in joined:
        write_events(transaction, life.fixed(piece))


# Finishing and adding steps -----------------------------------------------------------------------------------------


@command("finished a step", "assembler")
def finish_step(
    transaction: Transaction, step: int, checked: Sequence[str] = (), to_name: str = ""
) -> Answer:
    """Finish a step: cleaned, polished, inspected, packed, handed over, or a step of the shop's own.

    `checked` are items of its check list that were found right, besides those that are ticked already; `to_name` who received
    the sign. Raises Conflict where it must wait or its list is not all right, Refused where nobody's name is given.
    """
    sign, doing = find_step(transaction, step)
    if doing.kind in NOT_BY_BUTTON:
        raise Conflict(wording.not_by_button(doing.kind))
    if steps.is_done(doing, transaction.now):
        return Answer(wording.step_of_sign_done_already(doing.called, sign.called), (sign.code,))
    must_be_ready(doing, sign, transaction.now)
    finishing.must_be_checked(transaction, doing, checked)
    if doing.kind == "hand over":
        finishing.note_hand_over(transaction, sign.id, to_name)
    finish(transaction, doing)
    if doing.kind == "inspect":  # what was not joined by a glue-up: loose bottom parts, taped ones
        fix(
            transaction,
            [piece for piece in pieces.of_sign(transaction.db, sign.id) if piece.state == "ready"],
        )
    if doing.kind in ("pack", "hand over"):
        state = "packed" if doing.kind == "pack" else "handed over"
        jobs.set_sign_state(transaction.db, sign.id, state)
    finished = wording.finished(doing.kind, sign.called, doing.called)
    then = steps.next_step(bench.sign_of(transaction.db, sign.id), transaction.now)
    return Answer(joined([finished, wording.next_task(then.task) if then else None]), (sign.code,))


@command("added a step", "owner")
def add_step(transaction: Transaction, sign: int, title: str, after: int | None = None) -> Answer:
    """Add a step of the shop's own (paint, drill, fit stand-offs) after the step `after`, or before all others.

    What waited for `after` now waits for the new one. Raises Refused for a title that is too short or too long, Conflict
    where what it would hold back has begun.
    """
    tidy = read_line(title, 2, 60, wording.name_the_step())
    to = bench.sign_of(transaction.db, sign)
    before = next((step for step in to.steps if step.id == after), None)
    if after is not None and before is None:
        raise Refused(wording.step_of_another_sign())
    held = steps.place_for(before, to, transaction.now)
    number = before.number + 1 if before else 1
    planned = steps.PlannedStep("other", tidy, None, (), ())
    made = bench.add_step(transaction.db, sign, number, planned, (before.id,) if before else ())
    bench.put_before(transaction.db, made, number, held, after)
    added = wording.step_added(tidy, to.called, before.called if before else None)
    return Answer(added, (to.code,))
