"""Who works here: the first owner, people, roles and PINs, signing in and out.

PINs, tries and sessions are no part of the ledger: an act says that a PIN was set, never what it is.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from werkzeug.security import check_password_hash, generate_password_hash

from ..domain.bench.cements import Cement
from ..domain.errors import Conflict, NotAllowed, Refused
from ..domain.people import ROLES, Actor, checked_name, checked_pin, checked_roles
from ..store import cements, people
from ..wording import people as wording
from ..wording.message import Message
from .unit_of_work import Answer, Caller, Shop, Transaction, command, moment, stamp

HASH = "scrypt"
FREE_TRIES, FIRST_WAIT, LONGEST_WAIT = 5, timedelta(seconds=30), timedelta(minutes=15)
IDLE, TOUCH_EVERY = timedelta(hours=12), timedelta(minutes=5)


@dataclass(frozen=True)
class PinSet:
    """A person has a new PIN."""

    person: int


def first_owner(shop: Shop) -> None:
    """Give a new database its person 'Owner' and its first cement; do nothing in any other."""
    if people.is_empty(shop.read()):
        # The owner acts before there is one: person 1 is who this act makes. The fixed key lets it happen once only.
        _open_shop(
            Caller(shop, Actor(1, "Owner", frozenset(ROLES), "the program"), "the shop is opened")
        )


@command("opened the shop")
def _open_shop(transaction: Transaction) -> Answer:
    people.add(transaction.db, "Owner", ("operator", "assembler", "owner"))
    cements.add(transaction.db, Cement(0, "Solvent cement"))  # with the defaults of `Cement`
    return Answer(wording.shop_is_open())


@command("added a person", "owner")
def add_person(transaction: Transaction, name: str, roles: list[str] | tuple[str, ...]) -> Answer:
    """Add a person. Raises Refused for a bad or taken name and for wrong roles."""
    name, roles = checked_name(name), checked_roles(roles)
    person = people.add(transaction.db, name, roles)
    return Answer(wording.added(name), data={"person": person})


@command("changed a person", "owner")
def change_person(
    transaction: Transaction,
    person: int,
    name: str,
    roles: list[str] | tuple[str, ...],
    is_active: bool,
) -> Answer:
    """Change a person's name, roles and duty. Raises Conflict where no owner with a PIN would be left, NotFound, Refused."""
    name, roles = checked_name(name), checked_roles(roles)
    people.one(transaction.db, person)
    people.change(transaction.db, person, name, roles, is_active)
    if not people.has_owner_with_pin(transaction.db):
        raise Conflict(wording.last_owner())
    if not is_active:
        people.end_sessions_of(transaction.db, person)
    return Answer(wording.changed(name, [wording.role(role) for role in roles], is_active))


def set_pin(caller: Caller, person: int, pin: str, *, method: str = HASH) -> Answer:
    """Set one's own PIN, or as an owner anyone's; they are signed out wherever the old one was used."""
    hashed = generate_password_hash(
        checked_pin(pin), method
    )  # slow on purpose: before the transaction, not inside it
    return _set_pin(caller, person, hashed)


@command("set a PIN")
def _set_pin(transaction: Transaction, person: int, hashed: str) -> Answer:
    if person != transaction.actor.person:
        transaction.actor.must_hold(("owner",), wording.owner_sets_pins())
    name = people.one(transaction.db, person).name
    people.keep_pin(transaction.db, person, hashed)
    people.end_sessions_of(transaction.db, person)
    transaction.record(PinSet(person))
    return Answer(wording.new_pin(name))


def set_first_pin(shop: Shop, pin: str, *, method: str = HASH) -> int:
    """Set the owner's PIN on the first visit and return the owner's number. Raises NotAllowed once any owner has one.

    The caller must have made sure that the visit is from the machine itself.
    """
    owner = people.owner_by(shop.read(), "the machine itself")
    hashed = generate_password_hash(checked_pin(pin), method)
    _set_first_pin(Caller(shop, owner), hashed)
    return owner.person


@command("set the first PIN")
def _set_first_pin(transaction: Transaction, hashed: str) -> Answer:
    if people.has_owner_with_pin(transaction.db):
        raise NotAllowed(wording.owner_has_a_pin())
    people.keep_pin(transaction.db, transaction.actor.person, hashed)
    transaction.record(PinSet(transaction.actor.person))
    return Answer(wording.first_pin_set(transaction.actor.name))


# Signing in and out. --------------------------------------------------------------------------------------------------


def wait_after(failures: int) -> timedelta:
    """Return how long a person waits after so many wrong PINs in a row: 30 s after five, doubling up to 15 min."""
    if failures < FREE_TRIES:
        return timedelta(0)
    wait: timedelta = FIRST_WAIT * 2 ** min(failures - FREE_TRIES, 10)
    return min(LONGEST_WAIT, wait)


def sign_in(shop: Shop, person: int, pin: str, tablet: str | None) -> tuple[str, str]:
    """Sign in. Return the session's token, for the cookie, and the tablet's name.

    Raises NotFound, NotAllowed for a wrong PIN and while the person has to wait. A try counts before the PIN is checked,
    so that trying many at once gains nothing.
    """
    now = shop.clock()
    with shop.database.write() as db:
        _must_not_wait(*people.tries(db, person), now)
        who = people.one(db, person)
        hashed = people.pin_hash(db, person)
        if not who.is_active or hashed is None:
            raise NotAllowed(wording.cannot_sign_in(who.name))
        people.count_try(db, person, stamp(now))
    if not check_password_hash(hashed, pin):
        _say_wrong(people.tries(shop.read(), person)[0])
    token = secrets.token_urlsafe(32)
    with shop.database.write() as db:
        people.clear_tries(db, person)
        people.end_sessions_before(db, stamp(now - IDLE))
        tablet = tablet or people.next_tablet(db)
        people.open_session(db, hashed_token(token), person, tablet, stamp(now))
    return token, tablet


def _must_not_wait(failures: int, last_at: str | None, now: datetime) -> None:
    if last_at is None:
        return
    left = moment(last_at) + wait_after(failures) - now
    if left > timedelta(0):
        seconds = round(left.total_seconds()) or 1
        raise NotAllowed(wording.too_many_wrong_pins(_long(seconds)))


def _say_wrong(failures: int) -> None:
    wait = wait_after(failures).total_seconds()
    if wait:
        raise NotAllowed(wording.wrong_pin_wait(_long(round(wait))))
    raise NotAllowed(wording.wrong_pin())


def _long(seconds: int) -> Message:
    if seconds < 90:
        return wording.seconds(seconds)
    return wording.minutes(-(-seconds // 60))


def hashed_token(token: str) -> str:
    """Return what is kept of a token, so that a copy of the database opens no session."""
    return hashlib.sha256(token.encode()).hexdigest()


def who_is(shop: Shop, token: str, *, is_poll: bool = False) -> Actor | None:
    """Return who is signed in with this token; None after 12 idle hours, which a page that refreshes itself does not end."""
    found = people.session_of(shop.read(), hashed_token(token))
    if found is None:
        return None
    by, seen_at = found
    idle = shop.clock() - moment(seen_at)
    if idle > IDLE:
        return None
    if idle > TOUCH_EVERY and not is_poll:  # not at every request: each write waits for the disk
        with shop.database.write() as db:
            people.touch_session(db, hashed_token(token), stamp(shop.clock()))
    return by


def sign_out(shop: Shop, token: str) -> None:
    """End the session of this token."""
    with shop.database.write() as db:
        people.end_session(db, hashed_token(token))


def name_tablet(shop: Shop, token: str, name: str) -> str:
    """Name the tablet of this session and return the name, tidied. Raises Refused."""
    tidy = checked_tablet(name)
    if tidy is None:
        raise Refused(wording.bad_tablet_name())
    with shop.database.write() as db:
        people.name_tablet(db, hashed_token(token), tidy)
    return tidy


def checked_tablet(name: str | None) -> str | None:
    """Return a tablet's name, tidied; None where it cannot be one (it comes from a cookie, so anything may be in it)."""
    tidy = " ".join((name or "").split())
    return tidy if 1 <= len(tidy) <= 30 and tidy.isprintable() else None
