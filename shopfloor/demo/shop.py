"""Fills a demo shop: Pier Street Signs, an invented maker in an invented harbour town, with a week of work in it.

Everything goes through the same actions as in a real shop, under a clock that the script turns; the dates count back from
now. Owns the people, the stocks and the frame of the week; the week itself is in `week`.
"""

from __future__ import annotations

import random
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from ..actions import cements, people, settings
from ..actions.unit_of_work import Answer, Caller, Shop, Transaction, command, utc_now
from ..domain.errors import Refused
from ..domain.people import Actor
from ..store import cements as cement_store
from ..store import people as people_store
from ..store import stock
from ..store.db import Database
from ..wording.message import plain
from .clock import Clock
from .recording import Tape
from .week import Week

# Name, roles, PIN: invented, and printed when the demo starts.
PEOPLE = (
    ("Maud", ("operator", "assembler", "owner"), "2580"),
    ("Ben", ("operator",), "1470"),
    ("Ana", ("assembler",), "3690"),
)
QUICK_HASH = (
    "scrypt:1024:8:1"  # these PINs are printed for all to see: no need to make guessing slow
)
STOCKS = (
    # code, name, colour, sheet mm, turns, cost
    ("red-6", "dark red", "#8c2f39", (2440.0, 1220.0), "any", 118.0),
    ("cream-6", "cream", "#f2e8cf", (2440.0, 1220.0), "any", 104.0),
    ("green-6", "bottle green", "#1f5c4d", (2440.0, 1220.0), "any", 112.0),
    ("plum-6", "plum", "#4a2440", (2440.0, 1220.0), "any", 112.0),
    ("white-6", "white", "#ffffff", (1220.0, 610.0), "any", 31.0),
    ("sand-6", "sand", "#e3c796", (1220.0, 610.0), "180", 36.0),
)
# Of an invented data sheet.
CEMENT = {
    "open_min": "6",
    "fixture_min": "5",
    "handling_hours": "4",
    "driest_percent": "20",
    "dampest_percent": "75",
    "ml_per_m2": "60",
    "data_sheet": "invented, for the demo",
}


@command("opened the demo shop")
def furnish(transaction: Transaction) -> Answer:
    """The demo's stocks, with some full sheets in the rack."""
    for code, name, colour, (length, width), turns, cost in STOCKS:
        id = stock.add_stock(
            transaction.db,
            code=code,
            name=name,
            colour=colour,
            thickness_mm=6.0,
            length_mm=length,
            width_mm=width,
            turns=turns,
            cost=cost,
        )
        stock.remember_colour(transaction.db, colour, id)
        for _ in range(2):
            stock.add_blank(
                transaction.db, transaction.new_code("blank"), id, length, width, is_offcut=False
            )
    return Answer(plain("The demo's materials are in the rack."))


def stock_cement(shop: Shop, owner: Actor) -> None:
    """The first cement gets the figures of an invented data sheet, and two batches, one of them long past its day."""
    first = cement_store.cements(shop.read())[0].id
    cements.change_cement(Caller(shop, owner), first, CEMENT)
    today = shop.clock().date()
    for batch, days in (("A-098", -40), ("A-114", 90), ("A-115", 120)):
        cements.add_batch(
            Caller(shop, owner), first, batch, (today + timedelta(days=days)).isoformat()
        )


def fill(
    path: Path | None = None, *, tape: Tape | None = None, now: datetime | None = None
) -> Path:
    """Makes a demo database at `path` (left out: in a new temporary folder) and gives its path.

    A database that is there already is left as it is. Raises Refused where it is not a demo's.
    """
    path = path or Path(tempfile.mkdtemp(prefix="shopfloor-demo-")) / "demo.db"
    if path.exists():
        _must_be_a_demo(path)
        return path
    now = (now or utc_now()).replace(second=0, microsecond=0)
    clock = Clock(now - timedelta(days=7))
    database = Database(path)
    try:
        shop = Shop(database, clock, random.Random(1853).randrange)
        database.hurry()  # without waiting for the disk it is filled in half the time
        Week(shop, clock, now, tape or Tape(), open_shop(shop)).play()
    finally:
        database.close()
    return path


def open_shop(shop: Shop) -> dict[str, Actor]:
    """The demo's settings, people and stocks; gives the people by name."""
    people.first_owner(shop)
    owner = people_store.by_named(shop.read(), None, "the demo")
    settings.change_settings(
        Caller(shop, owner), {"shop_name": "Pier Street Signs", "zone": "Europe/London"}
    )
    furnish(Caller(shop, owner))
    stock_cement(shop, owner)
    for name, roles, pin in PEOPLE:
        person = people.add_person(Caller(shop, owner), name, roles).data["person"]
        people.set_pin(Caller(shop, owner), person, pin, method=QUICK_HASH)
    people.change_person(Caller(shop, owner), owner.person, "Owner", ("owner",), is_active=False)
    return {
        name: people_store.by_named(shop.read(), name, tablet)
        for name, tablet in (("Maud", "office"), ("Ben", "router"), ("Ana", "bench"))
    }


def introduction(path: Path) -> str:
    """What the command line prints when the demo starts."""
    lines = [f"  {name:5} PIN {pin}  {', '.join(roles)}" for name, roles, pin in PEOPLE]
    return "\n".join(
        ["Pier Street Signs, an invented shop. Its people:", *lines, f"Its database: {path}"]
    )


def _must_be_a_demo(path: Path) -> None:
    database = Database(path)
    try:
        names = {person.name for person in people_store.everyone(database.read())}
    finally:
        database.close()
    if not {name for name, _, _ in PEOPLE} <= names:
        raise Refused(f"{path} is a real shop's database: name another file for the demo.")
