"""Changes to the shop's list of cements (an owner) and to their batches (the bench)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..domain.bench import cements as rules
from ..domain.bench.cements import Cement
from ..domain.errors import Conflict
from ..store import cements
from ..wording import cements as wording
from ..wording.message import joined
from .climate import update_cures
from .unit_of_work import Answer, Transaction, command, shop_day


@command("added a cement", "owner")
def add_cement(transaction: Transaction, typed: Mapping[str, str]) -> Answer:
    """Add a cement by the figures of its data sheet, as typed, by the names of `Cement`. Raises Refused."""
    made = rules.checked_cement(typed, Cement(0))
    cement = cements.add(transaction.db, made)
    return Answer(wording.added(made.name), data={"cement": cement})


@command("changed a cement", "owner")
def change_cement(transaction: Transaction, cement: int, typed: Mapping[str, str]) -> Answer:
    """Take other figures from the data sheet, as typed; what was not typed stays. Raises NotFound, Refused.

    Cures under way are calculated again: the figures were wrong for them too.
    """
    known = cements.cement(transaction.db, cement)
    changed = rules.checked_cement(typed, known)
    if changed == known:
        return Answer(wording.nothing_changed())
    cements.write(transaction.db, changed)
    changed_message = wording.changed(changed.name)
    return Answer(joined([changed_message, *update_cures(transaction).messages]))


@command("retired a cement", "owner")
def retire(transaction: Transaction, cement: int, is_retired: bool) -> Answer:
    """Stop offering a cement at the bench, or offer it again. Raises Conflict where it is the last one."""
    known = cements.cement(transaction.db, cement)
    if known.is_retired == is_retired:
        already = wording.already_retired if is_retired else wording.already_in_use
        return Answer(already(known.name))
    if is_retired and len(cements.in_use(transaction.db)) == 1:
        raise Conflict(wording.last_in_use(known.name))
    cements.write(transaction.db, replace(known, is_retired=is_retired))
    done = wording.retired if is_retired else wording.in_use_again
    return Answer(done(known.name))


@command("added a batch", "assembler")
def add_batch(transaction: Transaction, cement: int, batch: str, expires: str) -> Answer:
    """Add a batch with its last day as typed (YYYY-MM-DD, '' where the tin does not say). Raises NotFound, Refused."""
    known = cements.cement(transaction.db, cement)
    name, last = rules.checked_batch(batch), rules.checked_expiry(expires)
    made = cements.add_batch(transaction.db, cement, name, last)
    is_over = rules.is_expired(last, shop_day(transaction.db, transaction.now))
    added = wording.batch_added_expired if is_over else wording.batch_added
    return Answer(added(name, known.name), data={"batch": made})


@command("used a batch up", "assembler")
def use_up(transaction: Transaction, batch: int, is_used_up: bool = True) -> Answer:
    """Keep that a batch is used up, or that some is left after all. Raises NotFound."""
    known = cements.batch(transaction.db, batch)
    cements.set_used_up(transaction.db, batch, is_used_up)
    done = wording.batch_used_up if is_used_up else wording.batch_not_used_up
    return Answer(done(known.batch))
