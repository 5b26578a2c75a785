"""What every test may stand on: a shop under tmp_path with its own clock and dice, its three people, their tablets.

What is no fixture, and is asked for in several folders, stands in shop_for_tests.py.
"""

from __future__ import annotations

import random
import threading
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, settings
from shop_for_tests import (
    ONE_BROWSER,
    Cutting,
    box,
    chromium,
    kept_reading,
    new_shop,
    on_shelves,
    open_session,
)

from shopfloor import nesting
from shopfloor.actions import drawings, jobs
from shopfloor.actions import people as people_actions
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.app import create_app
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.drawing.signs import Order
from shopfloor.server import make_server
from shopfloor.store import people as people_store
from shopfloor.store import sheets as sheet_store
from shopfloor.store.db import Database

pytest_plugins = [
    "fixtures.bench",
    "fixtures.finishing",
    "fixtures.fixings",
    "fixtures.gluing",
    "fixtures.revisions",
    "fixtures.setting_out",
    "fixtures.timers",
    "fixtures.trays",
]

# No property depends on a quiet machine.
settings.register_profile(
    "busy machine",
    settings.get_profile(settings.get_current_profile_name()),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("busy machine")

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
def shop(tmp_path, clock):
    shop = new_shop(tmp_path / "shop.db", clock, random.Random(26).randrange)
    yield shop
    shop.database.close()


def _person(shop: Shop, owner, name: str, role: str):
    people_actions.add_person(Caller(shop, owner), name, [role])
    return people_store.by_named(shop.read(), name, "test tablet")


@pytest.fixture
def owner(shop):
    return people_store.owner_by(shop.read(), "test tablet")


@pytest.fixture
def operator(shop, owner):
    return _person(shop, owner, "Ines", "operator")


@pytest.fixture
def assembler(shop, owner):
    return _person(shop, owner, "Milo", "assembler")


@pytest.fixture(scope="session")
def built_app(tmp_path_factory):
    """The application, put together once: compiling its addresses and templates takes longer than most tests do."""
    database = Database(tmp_path_factory.mktemp("built") / "shop.db")
    yield create_app(database, testing=True, pin_hash=CHEAP)
    database.close()


@pytest.fixture
def app(built_app, shop):
    """The application over this test's shop; it knows nothing of the shops before."""
    built_app.extensions = {"shop": shop}
    built_app.config["ADDRESS"] = None
    return built_app


@pytest.fixture
def own_app(shop):
    """An application of its own, for a test that adds views to it."""
    return create_app(shop.database, clock=shop.clock, dice=shop.dice, testing=True, pin_hash=CHEAP)


def new_client(app):
    """A tablet that nobody has signed in on; like a browser it says that its forms come from the shop's own pages."""
    client = app.test_client()
    client.environ_base["HTTP_SEC_FETCH_SITE"] = "same-origin"
    return client


def signed_in_client(app, shop, by):
    """A tablet on which `by` is signed in."""
    client = new_client(app)
    client.set_cookie("shopfloor_session", open_session(shop, by))
    return client


@pytest.fixture
def client(app):
    return new_client(app)


@pytest.fixture
def as_owner(app, shop, owner):
    return signed_in_client(app, shop, owner)


@pytest.fixture
def as_operator(app, shop, operator):
    return signed_in_client(app, shop, operator)


@pytest.fixture
def as_assembler(app, shop, assembler):
    return signed_in_client(app, shop, assembler)


# Work for the router. -------------------------------------------------------------------------------------------------


@pytest.fixture
def plain_nests(monkeypatch):
    """Nests are laid out on plain shelves, at once."""
    monkeypatch.setattr(nesting, "nest", on_shelves)


@pytest.fixture
def read_once(monkeypatch):
    """Each drawing is read by a worker once for all tests."""
    monkeypatch.setattr(drawings, "read_drawing", kept_reading)


@pytest.fixture
def cutting(shop, operator, plain_nests):
    """A shop that takes in boards with letters on them, to be cut."""
    return Cutting(shop, operator)


# A small job. ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def small_job(shop, owner, plain_nests) -> dict[str, str]:
    """J-1001: a blue board A with the letters L and O, a blue board B with two letters I; nested, its sheets started.

    Gives the pieces' codes by sign and name ('A L', 'A no. 1', 'B I<2>'), and the signs' ('A', 'B').
    """
    shapes = [
        (box(0, 0, 400, 200), "#33658a", None),
        (box(20, 50, 40, 80), "#f2e8cf", "L"),
        (box(100, 50, 60, 80), "#f2e8cf", "O"),
        (box(500, 0, 420, 200), "#33658a", None),
        (box(520, 50, 40, 80), "#f2e8cf", "I"),
        (box(600, 50, 40, 80), "#f2e8cf", "I<2>"),
    ]
    drawn = tuple(
        DrawnOutline(o, colour, name, None, order) for order, (o, colour, name) in enumerate(shapes)
    )
    read = drawings.ReadDrawing("0" * 64, "two.svg", b"", Drawing(drawn, 920, 200, ()))
    order = Order("Harbour <office>", "Two & signs", "2026-12-01")
    jobs.intake(Caller(shop, owner), drawings.proposal(shop, [read]), order)
    db = shop.read()
    for row in sheet_store.live_rows(db):
        sheet_actions.start(Caller(shop, owner), row.code)
    rows = db.execute(
        """SELECT s.mark || ' ' || pt.name, p.code FROM piece p JOIN assignment a ON a.piece = p.id
           JOIN part pt ON pt.id = a.part JOIN sign s ON s.id = pt.sign"""
    )
    return dict(tuple(row) for row in [*rows, *db.execute("SELECT mark, code FROM sign")])


# In the browser. ------------------------------------------------------------------------------------------------------


@pytest.fixture
def served(app):
    """The shop served by the real server on this machine; its address."""
    server = make_server(app, "127.0.0.1", 0)
    server.prepare()
    serving = threading.Thread(target=server.serve)
    serving.start()
    yield f"http://localhost:{server.bind_addr[1]}"
    server.stop()
    serving.join()


@pytest.fixture(scope="session", autouse=True)
def _quit_browser():
    """No browser outlives the tests."""
    yield
    ONE_BROWSER.quit()


@pytest.fixture
def browser():
    """Chromium; what a test opens in it ends with the test."""
    with chromium() as opened:
        yield opened


@pytest.fixture
def tablet(browser):
    """A page in Chromium, as wide as a tablet on its side; `faults` collects what went wrong in its scripts."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.faults = []
    page.on("pageerror", lambda error: page.faults.append(str(error)))
    page.on(
        "console",
        lambda said: page.faults.append(said.text) if "Content Security" in said.text else None,
    )
    return page
