"""What people do to finish a sign: tick the check list, change the shop's lists, keep photos, hand the sign over.

The step itself is finished in `bench`, which asks here whether all of its list was found right.
"""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from .. import photos
from ..domain.bench import bench as wording
from ..domain.bench import finishing as rules
from ..domain.bench.steps import Sign, Step, is_done
from ..domain.errors import Conflict, NotAllowed, Refused
from ..store import bench, settings
from ..store import finishing as store
from .unit_of_work import Answer, Caller, Transaction, command

# For the act that finishes a step. ------------------------------------------------------------------------------------


def must_be_checked(transaction: Transaction, step: Step, checked: Sequence[str] = ()) -> None:
    """Within the act that finishes `step`: ticks those of its list that `checked` names, then raises Conflict, naming the
    first ones, where any of it was not found right."""
    items = store.check_list(transaction.db, step.kind).items
    for item in items:
        if item in checked:
            _tick(transaction, step.id, item)
    rules.must_all_be_right(
        step.title, items, {tick.item for tick in store.ticks_of(transaction.db, step.id)}
    )


def note_hand_over(transaction: Transaction, sign: int, to_name: str) -> None:
    """Within the act that hands a sign over: who received it. Raises Refused without a name."""
    name = rules.checked_receiver(to_name)
    store.hand_over(transaction.db, sign, name, transaction.at, transaction.actor.person)
    transaction.record(rules.SignHandedOver(sign, name))


def _tick(transaction: Transaction, step: int, item: str) -> None:
    if store.tick(transaction.db, step, item, transaction.at, transaction.actor.person):
        transaction.record(rules.ItemChecked(step, item, True))


# The check list of a step. --------------------------------------------------------------------------------------------


@command("checked an item off", "assembler")
def check_off(transaction: Transaction, step: int, item: str) -> Answer:
    """One item of a step's list is right. Raises Conflict where the step must wait or is done, or the list was changed."""
    sign, doing = _checking(transaction, step)
    if item not in store.check_list(transaction.db, doing.kind).items:
        raise Conflict("That item is not on the list any more: load the sign again.")
    _tick(transaction, step, item)
    return Answer(f"Right: {item}. {_left(transaction, doing)}", (sign.code,))


@command("took a check back", "assembler")
def take_back(transaction: Transaction, step: int, item: str) -> Answer:
    """One item is not right after all. Raises Conflict where the step must wait or is done."""
    sign, doing = _checking(transaction, step)
    if store.untick(transaction.db, step, item):
        transaction.record(rules.ItemChecked(step, item, False))
    return Answer(f"To be looked at again: {item}.", (sign.code,))


def _checking(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    sign = bench.sign_of_step(transaction.db, step)
    doing = sign.step(step)
    if is_done(doing, transaction.now):
        raise Conflict(
            f"'{doing.title}' of {sign.job} {sign.mark} is done already: undo that first."
        )
    wording.must_be_ready(
        doing, sign, transaction.now, ZoneInfo(settings.load(transaction.db).zone)
    )
    return sign, doing


def _left(transaction: Transaction, step: Step) -> str:
    ticked = {tick.item for tick in store.ticks_of(transaction.db, step.id)}
    left = sum(item not in ticked for item in store.check_list(transaction.db, step.kind).items)
    return f"{left} to look at." if left else "All of the list is right."


@command("changed a check list", "owner")
def change_check_list(transaction: Transaction, kind: str, items: Sequence[str] | None) -> Answer:
    """The list for a kind of step, one sentence an item; None: the usual one again. What was ticked stays as it was said."""
    rules.checked_kind(kind)
    wanted = rules.checked_items(rules.USUAL[kind] if items is None else items)
    store.set_check_list(transaction.db, kind, None if wanted == rules.USUAL[kind] else wanted)
    transaction.record(rules.CheckListChanged(kind, wanted))
    count = f"{len(wanted)} items" if len(wanted) != 1 else "1 item"
    return Answer(
        f"The list for '{kind}' has {count} now."
        if wanted
        else f"Nothing is asked at '{kind}' any more."
    )


# Photos. --------------------------------------------------------------------------------------------------------------


def take_photo(caller: Caller, sign: int, data: bytes, note: str = "") -> Answer:
    """Keeps a photo with a sign: read first, which is slow, then kept with one act. Raises Refused for what is no photo,
    Conflict where the sign has 40 already."""
    rules.checked_note(note)
    return _keep_photo(caller, sign, photos.read(data), note)


@command("kept a photo")
def _keep_photo(transaction: Transaction, sign: int, read: photos.ReadPhoto, note: str) -> Answer:
    of = bench.sign_of(transaction.db, sign)
    kept = store.photos_of(transaction.db, sign)
    if any(one.sha256 == read.sha256 for one in kept):
        raise Refused(f"{of.job} {of.mark} has this very photo already.")
    if len(kept) >= rules.MOST_PHOTOS:
        raise Conflict(
            f"{of.job} {of.mark} has {rules.MOST_PHOTOS} photos already: take one off first."
        )
    said = rules.checked_note(note)
    store.keep_photo_file(
        transaction.db, read.sha256, read.file, read.wide_px, read.high_px, transaction.at
    )
    made = store.add_photo(
        transaction.db, sign, read.sha256, said, transaction.at, transaction.actor.person
    )
    transaction.record(rules.PhotoTaken(sign, read.sha256, said))
    return Answer(f"The photo is kept with {of.job} {of.mark}.", (of.code,), {"photo": made})


@command("took a photo off")
def take_off_photo(transaction: Transaction, photo: int) -> Answer:
    """A photo is no longer with its sign; its file stays. Raises NotAllowed for all but who took it and owners."""
    one = store.photo(transaction.db, photo)
    if one.person != transaction.actor.person and not transaction.actor.holds("owner"):
        raise NotAllowed(
            f"{one.by_name} took that photo: only {one.by_name} or an owner takes it off."
        )
    of = bench.sign_of(transaction.db, one.sign)
    store.take_off_photo(transaction.db, photo)
    transaction.record(rules.PhotoTakenOff(one.sign, one.sha256))
    return Answer(f"A photo is taken off {of.job} {of.mark}.", (of.code,))
