"""What people do to finish a sign: tick the check list, change the shop's lists, add photos, hand the sign over.

The step itself is finished in `bench`, which asks here whether its whole list is ticked.
"""

from __future__ import annotations

from collections.abc import Sequence

from .. import photos
from ..domain.bench import finishing as rules
from ..domain.bench.steps import Sign, Step, is_done
from ..domain.bench.waiting import must_be_ready
from ..domain.errors import Conflict, NotAllowed, Refused
from ..store import bench
from ..store import finishing as store
from ..wording import finishing as wording
from .unit_of_work import Answer, Caller, Transaction, command

# For the command that finishes a step. --------------------------------------------------------------------------------


def must_be_checked(transaction: Transaction, step: Step, checked: Sequence[str] = ()) -> None:
    """Within the command that finishes `step`: tick those of its list that `checked` names, then raise Conflict, naming
    the first ones, where any of it is still open."""
    items = store.check_list(transaction.db, step.kind).items
    for item in items:
        if rules.ticked_as(item, checked) is not None:
            _tick(transaction, step.id, item)
    rules.must_all_be_ticked(step.called, items, _ticked(transaction, step.id))


def note_hand_over(transaction: Transaction, sign: int, to_name: str) -> None:
    """Within the command that hands a sign over: keep who received it. Raises Refused without a name."""
    name = rules.checked_receiver(to_name)
    store.hand_over(transaction.db, sign, name, transaction.at, transaction.actor.person)


def _ticked(transaction: Transaction, step: int) -> list[str]:
    return [tick.item for tick in store.ticks_of(transaction.db, step)]


def _tick(transaction: Transaction, step: int, item: str) -> None:
    """Tick an item, unless it was ticked already, in older words perhaps."""
    if rules.ticked_as(item, _ticked(transaction, step)) is None:
        store.tick(transaction.db, step, item, transaction.at, transaction.actor.person)


# The check list of a step. --------------------------------------------------------------------------------------------


@command("checked an item off", "assembler")
def check_off(transaction: Transaction, step: int, item: str) -> Answer:
    """Tick one item of a step's list. Raises Conflict where the step must wait or is done, or the list was changed."""
    sign, doing = _checking(transaction, step)
    items = store.check_list(transaction.db, doing.kind).items
    listed = rules.ticked_as(item, items)
    if listed is None:
        raise Conflict(wording.item_not_on_the_list())
    _tick(transaction, step, listed)
    left = len(rules.open_items(items, _ticked(transaction, step)))
    return Answer(wording.item_ticked(listed, left), (sign.code,))


@command("took a check back", "assembler")
def take_back(transaction: Transaction, step: int, item: str) -> Answer:
    """Take the tick of one item back. Raises Conflict where the step must wait or is done."""
    sign, _ = _checking(transaction, step)
    tick = rules.ticked_as(item, _ticked(transaction, step))
    if tick is not None:
        store.untick(transaction.db, step, tick)
    return Answer(wording.tick_taken_back(item), (sign.code,))


def _checking(transaction: Transaction, step: int) -> tuple[Sign, Step]:
    sign = bench.sign_of_step(transaction.db, step)
    doing = sign.step(step)
    if is_done(doing, transaction.now):
        raise Conflict(wording.step_already_done(doing.called, sign.called))
    must_be_ready(doing, sign, transaction.now)
    return sign, doing


@command("changed a check list", "owner")
def change_check_list(transaction: Transaction, kind: str, items: Sequence[str] | None) -> Answer:
    """Change the list for a kind of step; None: back to the usual one. Items already ticked keep their old wording."""
    rules.checked_kind(kind)
    wanted = rules.checked_items(rules.USUAL[kind] if items is None else items)
    store.set_check_list(transaction.db, kind, None if wanted == rules.USUAL[kind] else wanted)
    return Answer(wording.list_changed(wording.kind_name(kind), len(wanted)))


# Photos. --------------------------------------------------------------------------------------------------------------


def take_photo(caller: Caller, sign: int, data: bytes, note: str = "") -> Answer:
    """Add a photo to a sign: read first, which is slow, then kept with one command.

    Raises Refused for what is no photo, Conflict where the sign has 40 already.
    """
    rules.checked_note(note)
    return _keep_photo(caller, sign, photos.read(data), note)


@command("kept a photo")
def _keep_photo(transaction: Transaction, sign: int, read: photos.ReadPhoto, note: str) -> Answer:
    owner = bench.sign_of(transaction.db, sign)
    called = f"{owner.job} {owner.mark}"
    kept = store.photos_of(transaction.db, sign)
    if any(photo.sha256 == read.sha256 for photo in kept):
        raise Refused(wording.photo_already_there(called))
    if len(kept) >= rules.MOST_PHOTOS:
        raise Conflict(wording.too_many_photos(called, rules.MOST_PHOTOS))
    tidy_note = rules.checked_note(note)
    store.keep_photo_file(
        transaction.db, read.sha256, read.file, read.wide_px, read.high_px, transaction.at
    )
    photo = store.add_photo(
        transaction.db, sign, read.sha256, tidy_note, transaction.at, transaction.actor.person
    )
    return Answer(wording.photo_added(called), (owner.code,), {"photo": photo})


@command("took a photo off")
def take_off_photo(transaction: Transaction, photo: int) -> Answer:
    """Remove a photo from its sign; its file stays. Raises NotAllowed for all but who took it and owners."""
    removing = store.photo(transaction.db, photo)
    if removing.person != transaction.actor.person and not transaction.actor.holds("owner"):
        raise NotAllowed(wording.not_your_photo(removing.by_name))
    sign = bench.sign_of(transaction.db, removing.sign)
    store.take_off_photo(transaction.db, photo)
    return Answer(wording.photo_removed(f"{sign.job} {sign.mark}"), (sign.code,))
