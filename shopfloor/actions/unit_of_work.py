"""One command of a person is one transaction and one row in the ledger. Each begins and ends here.

A command is written as `@command("marked pieces", "operator")` over a function that takes a `Transaction`
and gives an `Answer`; it is called with a `Caller`: `mark(Caller(shop, actor, key), codes, "lost")`. This
module opens the transaction, finds a repeated request by its key, lets the command work, appends the
ledger's row and commits. It must not know what any command does.
"""

from __future__ import annotations

import dataclasses
import functools
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any, Concatenate, ParamSpec
from zoneinfo import ZoneInfo

from ..domain import codes
from ..domain.errors import Conflict
from ..domain.people import Actor
from ..store import codes as code_store
from ..store import ledger, settings
from ..store.db import Connection, Database
from ..wording import ledger as wording
from ..wording.message import Message, as_dict, of_dict, text

Parameters = ParamSpec("Parameters")
UNDID = "undid"  # the word of an undo in the ledger


@dataclass(frozen=True)
class Answer:
    """What the person reads, the codes it is about, and the act's number (None: nothing was done).

    `data` holds codes and values that a page or the command line needs; it must be plain enough for JSON and contain no
    sentence.
    """

    message: Message
    codes: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    act: int | None = None

    @property
    def sentence(self) -> str:
        """The message in English and millimetres, for the command line and tests."""
        return text(self.message)

    @classmethod
    def of_ledger(cls, kept: dict[str, Any]) -> Answer:
        """Return an answer as the ledger kept it."""
        return cls(of_dict(kept), tuple(kept["codes"]), kept["data"], kept["act"])

    def as_dict(self) -> dict[str, Any]:
        """Return the answer as the ledger keeps it: the message's name and values, never its sentence."""
        return {
            **as_dict(self.message),
            "codes": list(self.codes),
            "data": self.data,
        }


def utc_now() -> datetime:
    """Return the present moment, UTC, to the millisecond."""
    return moment(stamp(datetime.now(UTC)))


def stamp(moment: datetime) -> str:
    """Return a moment as it is stored: UTC, ISO 8601, milliseconds, so that text order is time order."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """Return a stored moment, aware, UTC."""
    return datetime.fromisoformat(text)


def zone_of(db: Connection) -> ZoneInfo:
    """Return the shop's time zone."""
    return ZoneInfo(settings.load(db).zone)


def shop_day(db: Connection, when: datetime) -> date:
    """Return the date in the shop's own zone."""
    return when.astimezone(zone_of(db)).date()


class Shop:
    """A shop's database with its clock and its random numbers, which tests and the demo replace."""

    def __init__(
        self,
        database: Database,
        clock: Callable[[], datetime] = utc_now,
        dice: Callable[[int], int] = secrets.randbelow,
    ) -> None:
        self.database = database
        self.clock = clock
        self.dice = dice

    def read(self) -> Connection:
        """Return a connection for reading."""
        return self.database.read()


@dataclass(frozen=True)
class Caller:
    """Who asks for a command: the shop, the person, and the key that makes a repeated request harmless."""

    shop: Shop
    actor: Actor
    key: str | None = None


class Transaction:
    """One command under way: an open transaction, who acts, when, and what has happened so far."""

    def __init__(self, shop: Shop, db: Connection, actor: Actor) -> None:
        self.db = db
        self.actor = actor
        self.now = shop.clock()
        self.at = stamp(self.now)
        self.events: list[dict[str, Any]] = []
        self._dice = shop.dice

    def record(self, event: Any) -> None:
        """Keep an event (a dataclass in the past tense) for the ledger."""
        self.events.append({"event": type(event).__name__, **dataclasses.asdict(event)})

    def new_code(self, kind: str) -> str:
        """Return a code that was never used. kind: 'piece', 'sheet', 'sign', 'blank', 'tray'."""
        for _ in range(1000):
            code = codes.make(self._dice(codes.NUMBERS))
            if code_store.claim(self.db, code, kind):
                return code
        raise Conflict(wording.no_free_code())


def earlier_answer(caller: Caller) -> Answer | None:
    """Return the answer to the same request before, so that nothing slow is done again for it; None for a new one."""
    first = ledger.by_key(caller.shop.read(), caller.key) if caller.key else None
    return Answer.of_ledger(first.answer) if first else None


def command(
    what: str, *roles: str
) -> Callable[
    [Callable[Concatenate[Transaction, Parameters], Answer]],
    Callable[Concatenate[Caller, Parameters], Answer],
]:
    """Make a command of a function (transaction, …) -> Answer.

    `what` is its word in the ledger, past tense; with `roles` only a person who holds one of them may do it
    (owners may do everything).
    """

    def decorate(
        work: Callable[Concatenate[Transaction, Parameters], Answer],
    ) -> Callable[Concatenate[Caller, Parameters], Answer]:
        @functools.wraps(work)
        def run(caller: Caller, /, *args: Parameters.args, **named: Parameters.kwargs) -> Answer:
            caller.actor.must_hold(roles)
            return _run(caller, what, lambda transaction: work(transaction, *args, **named))

        return run

    return decorate


def _run(
    caller: Caller, what: str, work: Callable[[Transaction], Answer], undoes: int | None = None
) -> Answer:
    key = caller.key or secrets.token_hex(16)
    with caller.shop.database.write() as db:
        first = ledger.by_key(db, key)
        if first is not None:
            if first.what != what:
                raise Conflict(wording.key_used_for_something_else())
            return Answer.of_ledger(first.answer)
        ledger.begin(db)
        transaction = Transaction(caller.shop, db, caller.actor)
        answer = work(transaction)
        number = ledger.append(
            db,
            at=transaction.at,
            by=caller.actor,
            what=what,
            key=key,
            events=transaction.events,
            answer=answer.as_dict(),
            undoes=undoes,
        )
    return dataclasses.replace(answer, act=number)


def undo(caller: Caller, number: int) -> Answer:
    """Undo one act.

    Raises Conflict, with the reason, where a later act touched any of the same records, and NotAllowed where
    somebody else than an owner wants to undo another person's act.
    """

    def work(transaction: Transaction) -> Answer:
        kept = ledger.entry(transaction.db, number)
        if kept.person != caller.actor.person:
            caller.actor.must_hold(("owner",), wording.only_they_may_undo())
        ledger.write_back(transaction.db, number)
        return Answer(wording.undone(of_dict(kept.answer)), tuple(kept.answer["codes"]))

    return _run(caller, UNDID, work, undoes=number)
