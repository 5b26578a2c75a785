"""People, their PINs and tries, and the sessions of the tablets. PINs, tries and sessions are outside the ledger."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from ..domain.errors import NotFound, Refused
from ..domain.people import ROLES, Actor
from ..wording import people as wording
from .sql import insert, read_all, read_one, scalar, scalar_or_none


def spoken(roles: frozenset[str]) -> str:
    """Return roles to read: 'operator, assembler'; 'owner' alone for an owner, who holds all."""
    return "owner" if "owner" in roles else ", ".join(role for role in ROLES if role in roles)


@dataclass(frozen=True)
class Person:
    """One person of the shop."""

    id: int
    name: str
    roles: frozenset[str]
    is_active: bool
    has_pin: bool

    @property
    def duties(self) -> str:
        """The roles, to read."""
        return spoken(self.roles)


_SELECT = """SELECT p.id, p.name, p.roles, p.is_active, n.person IS NOT NULL AS has_pin
             FROM person p LEFT JOIN pin n ON n.person = p.id """


def everyone(db: sqlite3.Connection) -> list[Person]:
    """Return all people, those on duty first, then by name."""
    return read_all(db, _person, _SELECT + "ORDER BY p.is_active DESC, p.name")


def one(db: sqlite3.Connection, person: int) -> Person:
    """Return one person. Raises NotFound."""
    return read_one(db, _person, wording.no_such_person(), _SELECT + "WHERE p.id = ?", (person,))


def _person(id: int, name: str, roles: str, is_active: int, has_pin: int) -> Person:
    return Person(id, name, frozenset(roles.split()), bool(is_active), bool(has_pin))


def is_empty(db: sqlite3.Connection) -> bool:
    """Return whether there is nobody yet: a new database."""
    return db.execute("SELECT 1 FROM person").fetchone() is None


def has_owner_with_pin(db: sqlite3.Connection) -> bool:
    """Return whether an owner can sign in; False on the first visit."""
    return any(
        person.has_pin and person.is_active and "owner" in person.roles for person in everyone(db)
    )


def owner(db: sqlite3.Connection) -> Person:
    """Return the first owner on duty. Raises NotFound."""
    owners = [person for person in everyone(db) if person.is_active and "owner" in person.roles]
    if not owners:
        raise NotFound(wording.no_owner_on_duty())
    return min(owners, key=lambda person: person.id)


def owner_by(db: sqlite3.Connection, tablet: str = "command line") -> Actor:
    """Return the first owner as the one who acts."""
    return _by(owner(db), tablet)


def by_named(db: sqlite3.Connection, name: str | None, tablet: str = "command line") -> Actor:
    """Return the person of that name as the one who acts, the owner where none is given. Raises Refused for an unknown name."""
    if name is None:
        return owner_by(db, tablet)
    on_duty = [person for person in everyone(db) if person.is_active]
    for person in on_duty:
        if person.name.casefold() == " ".join(name.split()).casefold():
            return _by(person, tablet)
    raise Refused(wording.nobody_called(name[:40], [person.name for person in on_duty]))


def _by(person: Person, tablet: str) -> Actor:
    return Actor(person.id, person.name, person.roles, tablet)


def add(db: sqlite3.Connection, name: str, roles: tuple[str, ...]) -> int:
    """Add a person and return the id. Raises Refused where the name is taken."""
    _must_be_free(db, name, None)
    return insert(db, "person", name=name, roles=" ".join(roles))


def change(
    db: sqlite3.Connection, person: int, name: str, roles: tuple[str, ...], is_active: bool
) -> None:
    """Set a person's name, roles and duty. Raises Refused where the name is taken."""
    _must_be_free(db, name, person)
    db.execute(
        "UPDATE person SET name = ?, roles = ?, is_active = ? WHERE id = ?",
        (name, " ".join(roles), int(is_active), person),
    )


def _must_be_free(db: sqlite3.Connection, name: str, person: int | None) -> None:
    if db.execute("SELECT 1 FROM person WHERE name = ? AND id IS NOT ?", (name, person)).fetchone():
        raise Refused(wording.name_taken(name))


# PINs and tries. -----------------------------------------------------------------------------------------------------


def pin_hash(db: sqlite3.Connection, person: int) -> str | None:
    """Return the hash of a person's PIN; None without one."""
    return scalar_or_none(db, str, "SELECT hash FROM pin WHERE person = ?", (person,))


def keep_pin(db: sqlite3.Connection, person: int, hashed: str) -> None:
    """Set a person's PIN; the tries before it no longer count."""
    db.execute(
        "INSERT INTO pin VALUES (?, ?) ON CONFLICT (person) DO UPDATE SET hash = excluded.hash",
        (person, hashed),
    )
    clear_tries(db, person)


def tries(db: sqlite3.Connection, person: int) -> tuple[int, str | None]:
    """Return how many wrong PINs were typed in a row, and when the last was."""
    row = db.execute("SELECT failures, last_at FROM pin_try WHERE person = ?", (person,)).fetchone()
    return (row["failures"], row["last_at"]) if row else (0, None)


def count_try(db: sqlite3.Connection, person: int, at: str) -> None:
    """Count one more try as wrong, until it proves right."""
    db.execute(
        """INSERT INTO pin_try VALUES (?, 1, ?)
           ON CONFLICT (person) DO UPDATE SET failures = failures + 1, last_at = excluded.last_at""",
        (person, at),
    )


def clear_tries(db: sqlite3.Connection, person: int) -> None:
    """Forget a person's wrong PINs, after a right one."""
    db.execute("DELETE FROM pin_try WHERE person = ?", (person,))


# Sessions. -----------------------------------------------------------------------------------------------------------


def session_of(db: sqlite3.Connection, token_hash: str) -> tuple[Actor, str] | None:
    """Return who is signed in with this token, and when it was last used; None for an unknown token or a person off duty."""
    row = db.execute(
        """SELECT s.tablet, s.seen_at, p.id, p.name, p.roles FROM session s JOIN person p ON p.id = s.person
           WHERE s.token = ? AND p.is_active""",
        (token_hash,),
    ).fetchone()
    if row is None:
        return None
    return Actor(row["id"], row["name"], frozenset(row["roles"].split()), row["tablet"]), row[
        "seen_at"
    ]


def open_session(
    db: sqlite3.Connection, token_hash: str, person: int, tablet: str, at: str
) -> None:
    """Sign a person in on a tablet."""
    db.execute("INSERT INTO session VALUES (?, ?, ?, ?)", (token_hash, person, tablet, at))


def touch_session(db: sqlite3.Connection, token_hash: str, at: str) -> None:
    """Keep when a session was last used."""
    db.execute("UPDATE session SET seen_at = ? WHERE token = ?", (at, token_hash))


def name_tablet(db: sqlite3.Connection, token_hash: str, tablet: str) -> None:
    """Rename the tablet of a session."""
    db.execute("UPDATE session SET tablet = ? WHERE token = ?", (tablet, token_hash))


def end_session(db: sqlite3.Connection, token_hash: str) -> None:
    """Sign out."""
    db.execute("DELETE FROM session WHERE token = ?", (token_hash,))


def end_sessions_of(db: sqlite3.Connection, person: int) -> None:
    """Sign a person out everywhere."""
    db.execute("DELETE FROM session WHERE person = ?", (person,))


def end_sessions_before(db: sqlite3.Connection, at: str) -> None:
    """Remove the sessions that were last used before `at`."""
    db.execute("DELETE FROM session WHERE seen_at < ?", (at,))


def next_tablet(db: sqlite3.Connection) -> str:
    """Return a name for a tablet that has none: 'tablet 1', 'tablet 2' …, after all that signed in or acted here."""
    highest = scalar(
        db,
        int,
        """SELECT coalesce(max(CAST(substr(tablet, 8) AS INTEGER)), 0)
           FROM (SELECT tablet FROM session UNION ALL SELECT DISTINCT tablet FROM ledger)
           WHERE tablet GLOB 'tablet [0-9]*'""",
    )
    return f"tablet {highest + 1}"
