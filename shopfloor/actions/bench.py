"""What people do at the bench: set out, finish a step, add one.

Cement is in `gluing`, measuring in `placing`, the state of a whole sign (hold, cancel, reopen) in `signs`; marks on pieces, "came
off" too, are in `pieces`.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.bench import bench as wording
from ..domain.bench import steps
from ..domain.bench.steps import Sign, Step
from ..domain.errors import Conflict, Refused
from ..store import bench, jobs, pieces, placement
from . import finishing
from .unit_of_work import Answer, Transaction, command, zone_of

# What to do instead, for the steps that are not simply finished.
NOT_BY_BUTTON = {
    "lay out": "Tap each part when it sits right: the last tap finishes the laying out.",
    "glue": "Write down the glue-up: that finishes the gluing.",
    "cure": "A cure ends by itself: an owner may open it early with a reason.",
}


def named(sign: Sign) -> str:
    """'J-1042 A'"""
    return f"{sign.job} {sign.mark}"


def found(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    """A step and its sign. Raises NotFound."""
    sign = bench.sign_of_step(transaction.db, step)
    return sign, sign.step(step)


def checked_reason(reason: str) -> str:
    """A reason, tidied. Raises Refused where it says nothing or too much."""
    tidy = " ".join(reason.split())
    if not 3 <= len(tidy) <= 200:
        raise Refused("Give the reason in 3 to 200 letters: it is kept in the ledger.")
    return tidy


# Laying out ---------------------------------------------------------------------------------------------------------


@command("set out a part", "assembler")
def set_out(transaction: Transaction, step: int, part: int) -> Answer:
    """A part sits right; the last one finishes the laying out. Raises Conflict where it is not in hand, or too early."""
    sign, laying = laying_out(transaction, step, [part])
    if part in laying.ticks:
        return Answer(f"{wording.called(sign.parts[part])} is set out already.", (sign.code,))
    tick(transaction, sign, laying, part)
    return Answer(
        f"{wording.called(sign.parts[part])} sits right. {still_to_set_out(transaction, step)}",
        (sign.code,),
    )


@command("set out the rest", "assembler")
def set_out_rest(transaction: Transaction, step: int, parts: Sequence[int]) -> Answer:
    """Every part that the page showed as still to set out sits right. Those that cannot be, or were measured and found off their
    place, are left, and named."""
    sign, laying = laying_out(transaction, step, parts)
    measured = placement.measured_at(transaction.db, step)
    left = []
    for part in parts:
        try:
            if part in measured and part not in laying.ticks:
                raise Conflict("It was measured, and is off its place.")
            if part not in laying.ticks:
                tick(transaction, sign, laying, part)
        except Conflict:  # raised before anything is written
            left.append(sign.parts[part])
    if parts and len(left) == len(parts):
        wording.must_be_settable(left[0], laying, sign, transaction.now, zone_of(transaction.db))
        raise Conflict(
            f"{wording.listed(left)} {'was' if len(left) == 1 else 'were'} measured off: move and tap or measure again."
        )
    words = f" Left as they are: {wording.listed(left)}." if left else ""
    return Answer(still_to_set_out(transaction, step) + words, (sign.code,))


@command("took a part up again", "assembler")
def take_up(transaction: Transaction, step: int, part: int) -> Answer:
    """A part does not sit right after all. Raises Conflict where its level is glued."""
    sign, laying = laying_out(transaction, step, [part])
    name = wording.called(sign.parts[part])
    if part not in laying.ticks:
        return Answer(f"{name} is not set out: nothing to do.", (sign.code,))
    must_be_loose(transaction, sign, laying, part)
    bench.set_tick(transaction.db, step, part, None, None)
    bench.set_done(transaction.db, step, None, None)
    transaction.record(steps.PartSetOut(step, part, False))
    return Answer(f"{name} is to set out again.", (sign.code,))


def must_be_loose(transaction: Transaction, sign: Sign, laying: Step, part: int) -> None:
    """Raises Conflict where a part that was laid out is glued: it cannot be moved any more."""
    gluings = [step for step in sign.steps if laying.id in step.after]
    if any(steps.is_done(step, transaction.now) or part in step.ticks for step in gluings):
        raise Conflict(
            f"{wording.called(sign.parts[part])} is glued already: mark its piece as come off if it is loose."
        )


def laying_out(transaction: Transaction, step: int, parts: Sequence[int]) -> tuple[Sign, Step]:
    """A laying out, with its sign. Raises Refused where the step is none, or does not take these parts."""
    sign, laying = found(transaction, step)
    if laying.kind != "lay out" or not set(parts) <= set(laying.parts):
        raise Refused("That part is not laid out in this step: load the sign again.")
    return sign, laying


def tick(transaction: Transaction, sign: Sign, laying: Step, part: int) -> None:
    """Within an act: a part sits right. Raises Conflict where it cannot be set out now."""
    wording.must_be_settable(
        sign.parts[part], laying, sign, transaction.now, zone_of(transaction.db)
    )
    bench.set_tick(transaction.db, laying.id, part, transaction.at, transaction.actor.person)
    transaction.record(steps.PartSetOut(laying.id, part, True))


def still_to_set_out(transaction: Transaction, step: int) -> str:
    """Finishes the laying out where nothing is left of it; says how far it is."""
    sign, laying = found(transaction, step)
    left = len(set(laying.parts) - laying.ticks)
    if left:
        return f"{len(laying.ticks)} of {len(laying.parts)} are set out."
    if laying.done_at is None:
        finish(transaction, laying)
    return f"Level {laying.level} of {named(sign)} is set out: glue it."


def finish(transaction: Transaction, step: Step) -> None:
    """Within an act: a step is done."""
    bench.set_done(transaction.db, step.id, transaction.at, transaction.actor.person)
    transaction.record(steps.StepDone(step.id, step.title))


def fix(transaction: Transaction, joined: Sequence[life.Piece]) -> None:
    """Within an act: pieces are joined to their sign. Raises Conflict where one is not ready."""
    for piece in joined:
        events = life.fixed(piece)
        pieces.write(transaction.db, events, transaction.at)
        for event in events:
            transaction.record(event)


# Finishing and adding steps -----------------------------------------------------------------------------------------


@command("finished a step", "assembler")
def finish_step(
    transaction: Transaction, step: int, checked: Sequence[str] = (), to_name: str = ""
) -> Answer:
    """Cleaned, polished, inspected, packed, handed over, or a step of the shop's own.

    `checked` are items of its check list that were found right, besides those that are ticked already; `to_name` who received
    the sign. Raises Conflict where it must wait or its list is not all right, Refused where nobody's name is given.
    """
    sign, doing = found(transaction, step)
    if doing.kind in NOT_BY_BUTTON:
        raise Conflict(NOT_BY_BUTTON[doing.kind])
    if steps.is_done(doing, transaction.now):
        return Answer(f"'{doing.title}' of {named(sign)} is done already.", (sign.code,))
    wording.must_be_ready(doing, sign, transaction.now, zone_of(transaction.db))
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
        transaction.record(steps.SignChanged(sign.id, sign.state, state, ""))
    return Answer(_finished_words(doing, sign, transaction), (sign.code,))


def _finished_words(done: Step, sign: Sign, transaction: Transaction) -> str:
    words = {
        "clean": "is clean",
        "polish": "is polished",
        "inspect": "is inspected",
        "pack": "is packed",
        "hand over": "is handed over",
    }
    said = (
        f"{named(sign)} {words[done.kind]}."
        if done.kind in words
        else f"'{done.title}' of {named(sign)} is done."
    )
    then = steps.next_step(bench.sign_of(transaction.db, sign.id), transaction.now)
    return f"{said} Next: {then.title[0].lower()}{then.title[1:]}." if then else said


@command("added a step", "owner")
def add_step(transaction: Transaction, sign: int, title: str, after: int | None = None) -> Answer:
    """A step of the shop's own (paint, drill, fit stand-offs) after the step `after`, or before all others.

    What waited for `after` now waits for the new one. Raises Refused for a title that says nothing, Conflict where what
    it would hold back has begun.
    """
    tidy = " ".join(title.split())
    if not 2 <= len(tidy) <= 60:
        raise Refused("Name the step in 2 to 60 letters, such as 'drill for stand-offs'.")
    to = bench.sign_of(transaction.db, sign)
    before = {step.id: step for step in to.steps}.get(after)
    if after is not None and before is None:
        raise Refused("That step is of another sign: load the sign again.")
    held = steps.place_for(before, to, transaction.now)
    number = before.number + 1 if before else 1
    made = bench.add_step(
        transaction.db, sign, number, "other", tidy, None, (), (before.id,) if before else ()
    )
    bench.put_before(transaction.db, made, number, held, after)
    transaction.record(steps.StepAdded(made, tidy))
    where = f"after '{before.title}'" if before else "at the start"
    return Answer(f"'{tidy}' is added to {named(to)} {where}.", (to.code,))
