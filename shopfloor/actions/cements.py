"""What an owner does to the shop's list of cements, and what the bench does to their batches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace

from ..domain.bench import cements as rules
from ..domain.bench.cure import Cement, checked_batch
from ..domain.errors import Conflict
from ..store import cements
from .climate import work_out_anew
from .unit_of_work import Answer, Transaction, command, shop_day


@dataclass(frozen=True)
class CementAdded:
    """A further cement may be used."""

    cement: int
    name: str


@dataclass(frozen=True)
class CementChanged:
    """A cement has other figures now; `values` are those that differ, by their names."""

    cement: int
    values: dict


@dataclass(frozen=True)
class BatchAdded:
    """The shop has a batch of a cement. `expires` is its last day, ISO, or None."""

    cement: int
    batch: str
    expires: str | None


@dataclass(frozen=True)
class BatchUsedUp:
    """Nothing is left of a batch (`is_used_up` False: there is some after all)."""

    batch: int
    is_used_up: bool


@command("added a cement", "owner")
def add_cement(transaction: Transaction, typed: Mapping[str, str]) -> Answer:
    """A cement by the figures of its data sheet, as typed, by the names of `Cement`. Raises Refused."""
    made = rules.checked_cement(typed, Cement(0, ""))
    cement = cements.add(transaction.db, made)
    transaction.record(CementAdded(cement, made.name))
    return Answer(f"{made.name} can be chosen at the bench now.", data={"cement": cement})


@command("changed a cement", "owner")
def change_cement(transaction: Transaction, cement: int, typed: Mapping[str, str]) -> Answer:
    """Other figures from the data sheet, as typed; what was not typed stays. Raises NotFound, Refused.

    Cures under way are worked out anew: the figures were wrong for them too.
    """
    known = cements.cement(transaction.db, cement)
    changed = rules.checked_cement(typed, known)
    values = {
        name: value for name, value in asdict(changed).items() if value != getattr(known, name)
    }
    if not values:
        return Answer("Nothing was different: the cement is as before.")
    cements.write(transaction.db, changed)
    transaction.record(CementChanged(cement, values))
    return Answer(f"{changed.name} is changed. {work_out_anew(transaction)}".rstrip())


@command("retired a cement", "owner")
def retire(transaction: Transaction, cement: int, is_retired: bool) -> Answer:
    """A cement is no longer offered at the bench, or is again. Raises Conflict where it is the last one."""
    known = cements.cement(transaction.db, cement)
    if known.is_retired == is_retired:
        return Answer(
            f"{known.name} is {'retired' if is_retired else 'in use'} already: nothing to do."
        )
    if is_retired and len(cements.in_use(transaction.db)) == 1:
        raise Conflict(f"{known.name} is the last cement in use: add another one first.")
    cements.write(transaction.db, replace(known, is_retired=is_retired))
    transaction.record(CementChanged(cement, {"is_retired": is_retired}))
    return Answer(
        f"{known.name} is {'no longer offered' if is_retired else 'offered again'} at the bench."
    )


@command("added a batch", "assembler")
def add_batch(transaction: Transaction, cement: int, batch: str, expires: str) -> Answer:
    """A batch with its last day as typed (YYYY-MM-DD, '' where the tin does not say). Raises NotFound, Refused."""
    known = cements.cement(transaction.db, cement)
    name, last = checked_batch(batch), rules.checked_expiry(expires)
    made = cements.add_batch(transaction.db, cement, name, last)
    transaction.record(BatchAdded(cement, name, last.isoformat() if last else None))
    is_over = last is not None and last < shop_day(transaction.db, transaction.now)
    warned = " Its day is past: it is refused at the glue-up." if is_over else ""
    return Answer(f"Batch {name} of {known.name} is in the list.{warned}", data={"batch": made})


@command("used a batch up", "assembler")
def use_up(transaction: Transaction, batch: int, is_used_up: bool = True) -> Answer:
    """Nothing is left of a batch; or there is some after all. Raises NotFound."""
    known = cements.batch(transaction.db, batch)
    cements.set_used_up(transaction.db, batch, is_used_up)
    transaction.record(BatchUsedUp(batch, is_used_up))
    return Answer(
        f"Batch {known.batch} {'is used up' if is_used_up else 'is not used up after all'}."
    )
