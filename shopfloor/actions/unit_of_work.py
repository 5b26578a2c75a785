"""The desk: where every act of a person begins and ends.

An action is written as `@act("marked lost", Role.OPERATOR)` over a function that takes an `Act` and gives an `Answer`;
it is called as `action(desk, by, …, key=…)`. The desk opens the transaction, finds a repeated request by its key, lets the
action work, appends the ledger's row and commits. It must not know what any action does.
"""

from __future__ import annotations

import dataclasses
import functools
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from ..domain import codes
from ..domain.errors import Conflict
from ..domain.people import By
from ..store import codes as code_store
from ..store import ledger, settings
from ..store.db import Connection, Database


@dataclass(frozen=True)
class Answer:
    """What the person is told: one sentence, the codes that it is about, and the act's number (None: nothing done).

    `data` holds what a page or the command line needs besides; it must be plain enough for JSON.
    """

    sentence: str
    codes: tuple[str, ...] = ()
    data: dict = field(default_factory=dict)
    act: int | None = None

    @classmethod
    def kept(cls, words: dict) -> Answer:
        """An answer as the ledger kept it."""
        return cls(words["sentence"], tuple(words["codes"]), words["data"], words["act"])


def utc_now() -> datetime:
    """The present moment, UTC, to the millisecond."""
    now = datetime.now(UTC)
    return now.replace(microsecond=now.microsecond // 1000 * 1000)


def stamp(moment: datetime) -> str:
    """A moment as it is stored: UTC, ISO 8601, milliseconds, so that text order is time order."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """A stored moment, aware, UTC."""
    return datetime.fromisoformat(text)


def zone_of(db: Connection) -> ZoneInfo:
    """The shop's time zone."""
    return ZoneInfo(settings.load(db).zone)


def shop_day(db: Connection, when: datetime) -> date:
    """The date in the shop's own zone."""
    return when.astimezone(zone_of(db)).date()


class Desk:
    """A shop's database with its clock and its dice, which tests and the demo put their own in place of."""

    def __init__(
        self,
        database: Database,
        clock: Callable[[], datetime] = utc_now,
        dice: Callable[[int], int] = secrets.randbelow,
    ):
        self.database = database
        self.clock = clock
        self.dice = dice

    def read(self) -> Connection:
        """A connection for reading."""
        return self.database.read()


class Act:
    """One act under way: an open transaction, who acts, when, and what has happened so far."""

    def __init__(self, desk: Desk, db: Connection, by: By):
        self.db = db
        self.by = by
        self.now = desk.clock()
        self.at = stamp(self.now)
        self.events: list[dict] = []
        self._dice = desk.dice

    def tell(self, event: object) -> None:
        """Keeps an event (a dataclass in the past tense) for the ledger."""
        self.events.append({"event": type(event).__name__, **dataclasses.asdict(event)})

    def new_code(self, kind: str) -> str:
        """A fresh code that was never used. kind: 'piece', 'sheet', 'sign', 'blank', 'tray'."""
        for _ in range(1000):
            code = codes.make(self._dice(10_000_000))
            if code_store.claim(self.db, code, kind):
                return code
        raise Conflict("No free code was found: nearly all ten million are in use.")


def act(what: str, *roles: str):
    """Makes an action of a function (act, …) -> Answer. `what` is its word in the ledger, past tense; with `roles` only
    a person who holds one of them may do it (owners may do everything)."""

    def wrap(work: Callable[..., Answer]):
        @functools.wraps(work)
        def action(desk: Desk, by: By, *args, key: str | None = None, **named) -> Answer:
            by.must_hold(roles)
            return _run(
                desk, by, what, key or secrets.token_hex(16), lambda a: work(a, *args, **named)
            )

        return action

    return wrap


def _run(
    desk: Desk,
    by: By,
    what: str,
    key: str,
    work: Callable[[Act], Answer],
    undoes: int | None = None,
) -> Answer:
    with desk.database.write() as db:
        first = ledger.by_key(db, key)
        if first is not None:
            if first.what != what:
                raise Conflict("This request was used for something else: load the page again.")
            return Answer.kept(first.answer)
        ledger.begin(db)
        doing = Act(desk, db, by)
        answer = work(doing)
        number = ledger.append(
            db,
            at=doing.at,
            person=by.person,
            by_name=by.name,
            tablet=by.tablet,
            what=what,
            key=key,
            events=doing.events,
            answer=_plain(answer),
            undoes=undoes,
        )
    return dataclasses.replace(answer, act=number)


def _plain(answer: Answer) -> dict:
    return {"sentence": answer.sentence, "codes": list(answer.codes), "data": answer.data}


def undo(desk: Desk, by: By, number: int, *, key: str | None = None) -> Answer:
    """Undoes one act. Raises Conflict, with the reason, where a later act touched any of the same records, and
    NotAllowed where somebody else than an owner wants to undo another person's act."""

    def work(doing: Act) -> Answer:
        kept = ledger.entry(doing.db, number)
        if kept.person != by.person:
            by.must_hold(("owner",), "Only the one who did it, or an owner, may undo it.")
        ledger.write_back(doing.db, number)
        return Answer(
            f"Undone: “{kept.answer['sentence']}” holds no more.", tuple(kept.answer["codes"])
        )

    return _run(desk, by, "undid", key or secrets.token_hex(16), work, undoes=number)
