"""What every test may stand on: a shop under tmp_path with a clock and dice of its own, its three people, their tablets."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import pytest

from shopfloor.actions import people as people_actions
from shopfloor.actions.desk import Desk, stamp
from shopfloor.app import create_app
from shopfloor.store import people as people_store
from shopfloor.store.db import Database

CHEAP = "pbkdf2:sha256:1"  # the real method is slow on purpose


class Clock:
    """A clock that stands still until it is moved. `now` is aware, UTC."""

    def __init__(self):
        self.now = datetime(2026, 11, 25, 14, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **time) -> None:
        """Moves on, by the words of timedelta: hours=24."""
        self.now += timedelta(**time)


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def desk(tmp_path, clock):
    database = Database(tmp_path / "shop.db")
    desk = Desk(database, clock, random.Random(26).randrange)
    people_actions.first_owner(desk)
    yield desk
    database.close()


def _person(desk: Desk, owner, name: str, role: str):
    people_actions.add_person(desk, owner, name, [role])
    return people_store.by_named(desk.read(), name, "test tablet")


@pytest.fixture
def owner(desk):
    return people_store.owner_by(desk.read(), "test tablet")


@pytest.fixture
def operator(desk, owner):
    return _person(desk, owner, "Ines", "operator")


@pytest.fixture
def assembler(desk, owner):
    return _person(desk, owner, "Milo", "assembler")


@pytest.fixture
def app(desk):
    return create_app(desk.database, clock=desk.clock, dice=desk.dice, testing=True, pin_hash=CHEAP)


def new_client(app):
    """A tablet that nobody has signed in on; like a browser it says that its requests come from the shop's own pages."""
    client = app.test_client()
    client.environ_base["HTTP_SEC_FETCH_SITE"] = "same-origin"
    return client


def signed_in_client(app, desk, by):
    """A tablet on which `by` is signed in."""
    token = f"a token of {by.name}"
    with desk.database.write() as db:
        people_store.open_session(
            db, people_actions.hashed_token(token), by.person, by.tablet, stamp(desk.clock())
        )  # fmt: skip
    client = new_client(app)
    client.set_cookie("shopfloor_session", token)
    return client


@pytest.fixture
def client(app):
    return new_client(app)


@pytest.fixture
def as_owner(app, desk, owner):
    return signed_in_client(app, desk, owner)


@pytest.fixture
def as_operator(app, desk, operator):
    return signed_in_client(app, desk, operator)


@pytest.fixture
def as_assembler(app, desk, assembler):
    return signed_in_client(app, desk, assembler)
