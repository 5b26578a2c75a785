"""The floor page: whether old jobs slow it down, what it sends, and how soon a demo answers with it."""

from __future__ import annotations

import re
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from ..app import create_app
from ..demo import shop
from ..store import people
from ..store.db import Database
from . import shops
from .clients import Tablet, server
from .figure import Figure, at_most, middle, plain

FEW, MANY = 100, 10_000  # closed jobs
VIEWS, STARTS = 15, 3
NAME, _, PIN = shop.PEOPLE[0]


def growth(few: int = FEW, many: int = MANY) -> Iterator[Figure]:
    """The floor page with few and with many closed jobs behind the same open ones, asked for in turns."""
    with tempfile.TemporaryDirectory(prefix="shopfloor-measure-") as folder:
        seconds = _seconds_a_page(Path(folder), few, many)
    yield plain(
        "floor-few",
        middle(seconds[few]) * 1000,
        "ms",
        f"the floor page, {few} closed jobs behind it",
    )
    yield plain(
        "floor-many",
        middle(seconds[many]) * 1000,
        "ms",
        f"the floor page, {many} closed jobs behind it",
    )
    yield at_most(
        "floor-growth",
        middle(seconds[many]) / middle(seconds[few]),
        "×",
        1.3,
        "the second over the first",
    )


def _seconds_a_page(folder: Path, few: int, many: int) -> dict[int, list[float]]:
    demo = shop.fill(folder / "demo.db")
    pages = {}
    for count in (few, many):
        path = folder / f"{count}.db"
        shutil.copy(demo, path)
        shops.add_closed_jobs(path, count)
        pages[count] = _Page(path)
    seconds: dict[int, list[float]] = {few: [], many: []}
    for count in [few, many] * (VIEWS + 1):
        begun = time.perf_counter()
        pages[count].floor()
        seconds[count].append(time.perf_counter() - begun)
    for page in pages.values():
        page.close()
    return {
        count: times[1:] for count, times in seconds.items()
    }  # the first view compiles the templates


class _Page:
    """A shop's application in this process, and somebody signed in."""

    def __init__(self, path: Path):
        self.database = Database(path, create=False)
        self.client = create_app(self.database).test_client()
        self.client.environ_base["HTTP_SEC_FETCH_SITE"] = "same-origin"
        person = people.by_named(self.database.read(), NAME, "measuring").person
        self.client.post(f"/sign-in/{person}", data={"pin": PIN})

    def floor(self) -> bytes:
        """The floor page as it is sent. Raises RuntimeError where it does not come."""
        answer = self.client.get("/", headers={"Accept-Encoding": "gzip"})
        if answer.status_code != 200:
            raise RuntimeError(f"The floor page was answered with {answer.status_code}.")
        page: bytes = answer.data
        return page

    def close(self) -> None:
        """Closes the database."""
        self.database.close()


def first_visit() -> Iterator[Figure]:
    """What the demo's floor page sends, packed; static files aside, which a tablet keeps."""
    with tempfile.TemporaryDirectory(prefix="shopfloor-measure-") as folder:
        page = _Page(shop.fill(Path(folder) / "demo.db"))
        sent = len(page.floor())
        page.close()
    yield at_most("first-visit", sent / 1000, "kB", 60, "the demo's floor page, as sent")


def demo_start(times: int = STARTS) -> Iterator[Figure]:
    """From the start of the process until the door answers, and the floor page's own answer to who has signed in."""
    with tempfile.TemporaryDirectory(prefix="shopfloor-measure-") as folder:
        taken = [_start(Path(folder) / f"{number}.db") for number in range(times)]
    yield at_most(
        "demo-start", middle(taken), "s", 2, "from the command `shopfloor demo` to its floor page"
    )


def _start(path: Path) -> float:
    begun = time.perf_counter()
    with server("shopfloor.cli", "demo", "--port", "0", "--db", str(path)) as printed:
        port = next(
            int(found[1]) for line in printed if (found := re.search(r"http://[^:]+:(\d+)/", line))
        )
        tablet = Tablet(port)
        door, _ = tablet.get("/sign-in")
        until_door = time.perf_counter() - begun
        tablet.sign_in(_person(path), PIN)  # a person's own doing: the clock stops
        begun = time.perf_counter()
        floor, _ = tablet.get("/")
        until_floor = time.perf_counter() - begun
        tablet.close()
    if (door, floor) != (200, 200):
        raise RuntimeError(f"The demo's pages were answered with {door} and {floor}.")
    return until_door + until_floor


def _person(path: Path) -> int:
    database = Database(path, create=False)
    try:
        return people.by_named(database.read(), NAME, "measuring").person
    finally:
        database.close()
