"""What the tests of several features need in the same way, written once.

Any test imports it by its name: pytest puts this folder on the path (`pythonpath` in pyproject.toml). Owns shapes, the
plain nests, a shop with work for the router, and what is asked of a page in Chromium. Fixtures stand in conftest.py.
"""

from __future__ import annotations

import html
import re
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import lru_cache
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlsplit

from shopfloor.actions import drawings, jobs
from shopfloor.actions.drawings import read_drawing
from shopfloor.actions.people import first_owner, hashed_token
from shopfloor.actions.unit_of_work import Caller, Shop, stamp
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.drawing.signs import Order
from shopfloor.domain.outlines import Outline
from shopfloor.domain.people import Actor
from shopfloor.domain.routing.nests import Item, Nesting, NestRules, why_left_out
from shopfloor.domain.routing.shelf_packing import shelved_sheets
from shopfloor.store import people, sheets, stock
from shopfloor.store.db import Database

BLUE, CREAM = "#33658a", "#f2e8cf"
HTMX = {"HX-Request": "true"}


def box(x: float, y: float, width: float, height: float) -> Outline:
    """A rectangle with its lower left at (x, y), mm."""
    return Outline((((x, y), (x + width, y), (x + width, y + height), (x, y + height)),))


def on_shelves(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules | None = None,
    *,
    most_sheets: int | None = None,
    progress=None,
) -> Nesting:
    """Stands in for `nesting.nest`: the plain layout that it falls back on, with no process and no second of waiting."""
    rules = rules or NestRules()
    left_out = {
        item.key: why for item in items if (why := why_left_out(item, length_mm, width_mm, rules))
    }
    fitting = [item for item in items if item.key not in left_out]
    made = shelved_sheets(fitting, length_mm, width_mm, rules, most_sheets)
    held = {put.key for sheet in made for put in sheet.placed}
    left_out |= {
        item.key: f"There is no room for '{item.name}'." for item in fitting if item.key not in held
    }
    return Nesting(tuple(made), tuple(left_out.items()))


@lru_cache
def kept_reading(data: bytes, filename: str, unit: str | None = None) -> drawings.ReadDrawing:
    """Stands in for `drawings.read_drawing`: what was read is kept, what is refused is not."""
    return read_drawing(data, filename, unit)


# A shop of its own for each test. -------------------------------------------------------------------------------------


@lru_cache(maxsize=4)
def _new_shop_file(opened: datetime) -> bytes:
    """The database of a new shop, with its first owner, as it is on the disk."""
    with tempfile.TemporaryDirectory() as folder:
        database = Database(Path(folder) / "shop.db")
        first_owner(Shop(database, lambda: opened))
        database.close()  # which writes the log back into the file
        return database.path.read_bytes()


def new_shop(path: Path, clock: Callable[[], datetime], dice: Callable[[int], int]) -> Shop:
    """A new shop with its first owner, at a path; a copy, since its migrations take longer than most tests do."""
    with path.open("xb") as file:  # never over another shop
        file.write(_new_shop_file(clock()))
    database = Database(path, create=False)
    database.hurry()
    return Shop(database, clock, dice)


# A shop with work for the router. -------------------------------------------------------------------------------------


def board_with(letters: int) -> Drawing:
    """One board, the letters on it in rows of twenty."""
    rows = -(-letters // 20)
    drawn = [DrawnOutline(box(0, 0, 1200, 80 * rows + 40), BLUE, "board", None, 0)]
    for at in range(letters):
        place = box(20 + 58 * (at % 20), 20 + 80 * (at // 20), 30 + at % 7, 60)
        drawn.append(DrawnOutline(place, CREAM, chr(65 + at % 26), None, at + 1))
    return Drawing(tuple(drawn), 1200, 80 * rows + 40, ())


class Cutting:
    """A shop with work for the router. `take_in` gives the codes of the sheets that a job's pieces are on."""

    def __init__(self, shop, by):
        self.shop, self.by = shop, by

    def take_in(
        self, letters=60, due="2026-11-26", customer="Rye & Salt Bakery", *, nest=True, drawing=None
    ):
        read = drawings.ReadDrawing(
            f"{letters:064d}", "board.svg", b"<svg/>", drawing or board_with(letters)
        )
        proposed = drawings.proposal(self.shop, [read])
        stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
        before = {row.code for row in self.rows()}
        act = jobs.intake if nest else jobs.take_in
        if not nest:
            drawings.keep_drawing(self.shop, read)
        act(
            Caller(self.shop, self.by),
            proposed,
            Order(customer, "Fascia", due, stocks=stocks),
            **self._reads(nest, read),
        )
        return [row.code for row in self.rows() if row.code not in before]

    def _reads(self, nest, read) -> dict:
        return {"reads": [read]} if nest else {}

    def rows(self):
        return sheets.live_rows(self.shop.read())

    def sheet_of(self, colour: str) -> str:
        """The code of the newest live sheet of a colour."""
        return max(
            (r for r in self.rows() if self.stock(r.stock).colour == colour), key=lambda row: row.id
        ).code

    def stock(self, id: int):
        return stock.stock(self.shop.read(), id)

    def on(self, code: str):
        db = self.shop.read()
        return sheets.on_sheet(db, sheets.sheet_by_code(db, code).id)

    def codes(self, code: str) -> list[str]:
        return [piece.code for piece in self.on(code)]

    def states(self, code: str) -> dict[str, str]:
        return {piece.code: piece.state for piece in self.on(code)}

    def count(self, sql: str, *values) -> int:
        return self.shop.read().execute(sql, values).fetchone()[0]

    @property
    def acts(self) -> int:
        return self.count("SELECT count(*) FROM ledger")


# What a page answers. -------------------------------------------------------------------------------------------------


def words(answer, *, with_drawings: bool = True) -> str:
    """The text of a page without its markup; the sizes and numbers in its drawings are text too."""
    page = answer.get_data(as_text=True)
    if not with_drawings:
        page = re.sub(r"<svg.*?</svg>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


class Parts(HTMLParser):
    """The markup of each element that has an id, but for forms' keys and for what only an answer to an act has."""

    LEFT_OUT = ("hx-swap-oob", "data-sound")
    VOID = ("input", "meta", "link", "br")

    def __init__(self, page: str) -> None:
        super().__init__()
        self.parts: dict[str, str] = {}
        self._open: list[tuple[str | None, list[str]]] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        if ("name", "key") in attrs:
            return
        self._open.append((dict(attrs).get("id"), []))
        self.handle_data(f"<{tag} {[pair for pair in attrs if pair[0] not in self.LEFT_OUT]}>")
        if tag in self.VOID:
            self.handle_endtag(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in self.VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag):
        id, markup = self._open.pop()
        if id:
            self.parts[id] = "".join(markup)

    def handle_data(self, data):
        for _, markup in self._open:
            markup.append(" ".join(data.split()))


def until_over(client, run: str):
    """Asks as the page of a nesting does, every moment, until there is something else than the bar."""
    for _ in range(400):
        answer = client.get(run, headers=HTMX)
        if "HX-Redirect" in answer.headers or "<progress" not in answer.text:
            return answer
        time.sleep(0.02)
    raise AssertionError("the nesting did not end")


def open_session(shop: Shop, by: Actor) -> str:
    """Signs somebody in without a PIN; gives the token for the cookie."""
    token = f"a-token-of-{by.name}"  # without spaces, as a cookie has to be (RFC 6265, 4.1.1)
    with shop.database.write() as db:
        people.open_session(db, hashed_token(token), by.person, by.tablet, stamp(shop.clock()))
    return token


# In Chromium. ---------------------------------------------------------------------------------------------------------

CHROMIUM = "/usr/bin/chromium"  # Debian's package, which `tests/run` installs
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TABLETS = {"flat": {"width": 1280, "height": 800}, "upright": {"width": 800, "height": 1280}}
SHOP = "https://shop.test"  # the address that `answered_by` answers
KEPT = ("hx-request", "content-type", "hx-target", "hx-trigger", "hx-current-url", "accept")

# What a finger hits. WCAG 2.2 asks for 44 px (2.5.5), gloves for 48 (from memory), less the last digit of a
# layout. A box or a dot in a label is pressed by the label.
_TARGETS = """a, button, summary, select, label.choice, label:has(> [type=radio], > [type=checkbox]),
              input:not([type=hidden], .unseen, label > [type=radio], label > [type=checkbox])"""
_SEEN = "(targets) => [...document.querySelectorAll(targets)].filter((e) => e.getBoundingClientRect().width)"
_TOO_SMALL = """.filter((e) => { const r = e.getBoundingClientRect(); return r.width < 47.9 || r.height < 47.9; })
                .map((e) => e.outerHTML.slice(0, 120))"""
_RUNS_OFF = """() => [document.documentElement, document.querySelector("#page")]
                     .some((place) => place.scrollWidth > place.clientWidth)"""


class OneBrowser:
    """The browser of Playwright that all tests of a process share: a launch takes longer than most tests do."""

    def __init__(self):
        self._playwright = self._browser = None

    def running(self):
        """The browser, launched for the first test that asks, and again after a crash."""
        if self._playwright is None:
            from playwright.sync_api import sync_playwright

            self._playwright = sync_playwright().start()
        if self._browser is None or not self._browser.is_connected():
            self._browser = self._playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        return self._browser

    def quit(self) -> None:
        """Closes it and lets go of Playwright."""
        if self._playwright is not None:
            self._browser.close()
            self._playwright.stop()
            self._playwright = self._browser = None


ONE_BROWSER = OneBrowser()


@contextmanager
def chromium() -> Iterator:
    """The browser of this process; each context and page that is opened in it is closed at the end."""
    browser = ONE_BROWSER.running()
    others = browser.contexts
    try:
        yield browser
    finally:
        for context in browser.contexts:
            if context not in others:
                context.close()


def sign_in(page, address: str, shop: Shop, by: Actor) -> None:
    """Signs somebody in on a page of Chromium, at the shop that is served at an address."""
    page.context.add_cookies(
        [{"name": "shopfloor_session", "value": open_session(shop, by), "url": address}]
    )


@contextmanager
def answered_by(client, **context) -> Iterator:
    """A page in Chromium to which a test client answers as the server at SHOP; `faults` are what the console says."""

    def answer(route) -> None:
        asked = route.request
        url = urlsplit(asked.url)
        headers = {name: value for name, value in asked.headers.items() if name in KEPT}
        told = client.open(
            url.path,
            query_string=url.query,
            method=asked.method,
            data=asked.post_data_buffer,
            headers=headers,
        )
        route.fulfill(status=told.status_code, headers=dict(told.headers), body=told.data)

    with chromium() as browser:
        page = browser.new_page(viewport=TABLETS["flat"], **context)
        page.route("**/*", answer)
        page.faults = []
        page.on(
            "console", lambda said: page.faults.append(said.text) if said.type == "error" else None
        )
        yield page


def too_small(page) -> list[str]:
    """What is there to press and too small for a glove; fails where there is nothing to press."""
    assert page.evaluate(_SEEN + ".length", _TARGETS)
    return page.evaluate(_SEEN + _TOO_SMALL, _TARGETS)


def runs_off(page) -> bool:
    """True where something is wider than the tablet."""
    return page.evaluate(_RUNS_OFF)


# How long things take. ------------------------------------------------------------------------------------------------


def grows_at_most(limit: float, work, few: int, many: int, *, tries: int = 4) -> bool:
    """True where the time of this process for `work(many)` is at most `limit` times that for `work(few)`, in one of several
    pairs: a slow spell of a busy machine fails no test, what really grows faster fails in all of them."""

    def seconds(count: int) -> float:
        begun = time.process_time()
        work(count)
        return time.process_time() - begun

    return any(limit * seconds(few) >= seconds(many) for _ in range(tries))
