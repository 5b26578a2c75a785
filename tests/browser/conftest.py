"""For the browser tests of the whole: one demo shop a file, and pictures where they are asked for."""

from __future__ import annotations

import io
import os
import random
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page
from shapely import affinity
from shop_for_tests import TABLETS, chromium, open_session
from walk_for_tests import Walk

from shopfloor.actions import bench, drawings, sheets
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.app import create_app
from shopfloor.demo.recording import Tape
from shopfloor.demo.shop import fill
from shopfloor.domain.outlines import Outline
from shopfloor.server import make_server
from shopfloor.store import bench as bench_store
from shopfloor.store import cements
from shopfloor.store import jobs as job_store
from shopfloor.store import people as people_store
from shopfloor.store.db import Database

NOW = datetime(2026, 11, 25, 14, 12, tzinfo=UTC)
PICTURES = (
    "SHOPFLOOR_PICTURES"  # names the folder that screenshots are kept in; without it none is made
)
COLOURS = 96  # of a kept screenshot: paper, ink, acrylics and the edges of letters, in a file small enough to commit


@dataclass(frozen=True)
class ServedShop:
    """A demo shop that is served: its address, and the path of each of its pages by a name for it."""

    address: str
    token: str
    paths: dict[str, str]


@pytest.fixture(scope="module")
def demo_shop(tmp_path_factory):
    """The demo shop on the real server, at a moment that stands still; somebody who holds all roles is signed in."""
    database = Database(fill(tmp_path_factory.mktemp("shop") / "demo.db", now=NOW))
    shop = Shop(database, lambda: NOW, random.Random(7).randrange)
    paths = _prepared(shop)
    token = open_session(shop, people_store.by_named(shop.read(), "Maud", "quay"))
    app = create_app(database, clock=shop.clock, dice=shop.dice, testing=True)
    server = make_server(app, "127.0.0.1", 0)
    server.prepare()
    serving = threading.Thread(target=server.serve)
    serving.start()
    yield ServedShop(f"http://localhost:{server.bind_addr[1]}", token, paths)
    server.stop()
    serving.join()
    database.close()


def _prepared(shop: Shop) -> dict[str, str]:
    """Brings the demo into each state that has a page of its own; gives the paths of all pages."""
    db = shop.read()
    maud, ben, ana = (people_store.by_named(db, name, "quay") for name in ("Maud", "Ben", "Ana"))
    _work_on(shop, ben, ana)
    drawing = drawings.keep_drawing(shop, Tape().reading("tides.svg"))
    changed = drawings.keep_drawing(shop, _changed(Tape().reading("bakery.svg")))
    over = {
        "a drawing for a job": "/jobs/J-1004/drawing",
        "new over old": f"/jobs/J-1004/drawing/{changed}",
    }
    return {
        **_sheet_paths(db),
        **_bench_paths(db),
        **_piece_paths(db),
        **_office_paths(db, maud, ben, drawing),
        **over,
    }


def _changed(read: drawings.ReadDrawing) -> drawings.ReadDrawing:
    """The bakery with its panel, which is glued, put elsewhere, one letter less and one made larger."""
    board, panel, *letters, last, _ = read.drawing.outlines
    panel = replace(panel, outline=panel.outline.moved(6, 4))
    wider = Outline.of_polygon(affinity.scale(last.outline.polygon, 1.2, 1.2))
    outlines = (board, panel, *letters, replace(last, outline=wider))
    return replace(
        read, sha256="c" * 64, name="bakery-2.svg", drawing=replace(read.drawing, outlines=outlines)
    )


def _sign(db, called: str) -> str:
    number, mark = called.split()
    return db.execute(
        "SELECT s.code FROM sign s JOIN job j ON j.id = s.job WHERE j.number = ? AND s.mark = ?",
        (number, mark),
    ).fetchone()[0]


def _first(db, table: str, state: str) -> str:
    return db.execute(f"SELECT code FROM {table} WHERE state = ? ORDER BY id", (state,)).fetchone()[
        0
    ]


def _first_of(db, table: str, kind: str) -> str:
    return db.execute(f"SELECT code FROM {table} WHERE kind = ? ORDER BY id", (kind,)).fetchone()[0]


def _work_on(shop: Shop, ben, ana) -> None:
    """A plate is set out, the bakery's panel glued and cured and five of its letters set out, a sheet started."""
    db = shop.read()
    steps = bench_store.steps_of(db, job_store.sign_by_code(db, _sign(db, "J-1002 E")).id)
    laying = next(step for step in steps if step.kind == "lay out")
    bench.set_out_rest(Caller(shop, ana), laying.id, laying.parts)
    bakery = job_store.sign_by_code(db, _sign(db, "J-1004 A")).id
    first, gluing, curing, second = bench_store.steps_of(db, bakery)[:4]
    # so long ago that nothing calls out
    yesterday = Shop(shop.database, lambda: NOW - timedelta(hours=25), shop.dice)
    bench.set_out_rest(Caller(yesterday, ana), first.id, first.parts)
    cement = cements.cements(db)[0].id
    gluing_acts.glue_up(Caller(yesterday, ana), [gluing.id], cement, "A-116", 23.0, 45.0)
    maud = people_store.by_named(db, "Maud", "quay")
    gluing_acts.open_early(Caller(yesterday, maud), curing.id, "clamped all round")
    for part in sorted(second.parts)[:5]:
        bench.set_out(Caller(shop, ana), second.id, part)
    sheets.start(Caller(shop, ben), _first(db, "sheet", "planned"))


def _sheet_paths(db) -> dict[str, str]:
    on_table, cutting = _first(db, "sheet", "off the table"), _first(db, "sheet", "cutting")
    return {
        "floor": "/",
        "a sheet off the table": f"/sheets/{on_table}",
        "a sheet drawn larger": f"/sheets/{on_table}?large=1",
        "a planned sheet": f"/sheets/{_first(db, 'sheet', 'planned')}",
        "how a sheet is held": f"/sheets/{_first(db, 'sheet', 'planned')}/holding",
        "how a sheet was held": f"/sheets/{on_table}/holding",
        "a setup sheet": f"/sheets/{on_table}/setup-sheet",
        "a sheet on the router": f"/sheets/{cutting}",
        "a closed sheet": f"/sheets/{_first(db, 'sheet', 'closed')}",
        "a sheet not finished": f"/sheets/{cutting}/abandon",
        "sheets": "/sheets",
        "a pool": "/sheets/pool/2",
        "recuts": "/recuts",
        "labels of a sheet": f"/labels/sheet/{on_table}",
        "labels of a job": "/labels/job/J-1005",
    }


def _bench_paths(db) -> dict[str, str]:
    bakery = _sign(db, "J-1004 A")
    letter = job_store.parts_of(db, job_store.sign_by_code(db, bakery).id)[11].id
    return {
        "bench": "/bench",
        "a sign laying out": f"/bench/{_sign(db, 'J-1004 A')}",
        "a sign gluing": f"/bench/{_sign(db, 'J-1002 E')}",
        "a sign curing": f"/bench/{_sign(db, 'J-1003 A')}",
        "a sign that waits": f"/bench/{_sign(db, 'J-1006 A')}",
        "a packed sign": f"/bench/{_sign(db, 'J-1001 A')}",
        "a sign to clean": f"/bench/{_sign(db, 'J-1002 A')}",
        "which part was spoiled": f"/bench/{bakery}?spoilt=0",
        "what happened to a part": f"/bench/{bakery}?spoilt={letter}",
        "a part that is measured": f"/bench/{bakery}?measure={letter}",
        "picking": f"/bench/{bakery}/pick",
        "a piece just picked": f"/bench/{bakery}/pick?lit={letter}",
        "full-size paper": f"/bench/{bakery}/paper",
        "materials and fixings": f"/bench/{_sign(db, 'J-1005 A')}/materials",
        "holes of the drawing": f"/bench/{_sign(db, 'J-1002 A')}/materials",
        "trays": "/trays",
        "a tray": f"/trays/{_first_of(db, 'tray', 'bag')}",
        "how warm it is": "/climate",
    }


def _piece_paths(db) -> dict[str, str]:
    ready = _first(db, "piece", "ready")
    on_table = db.execute(_NESTED_ON, (_first(db, "sheet", "off the table"),)).fetchone()[0]
    return {
        "a ready piece": f"/p/{ready}",
        "a piece on the table": f"/p/{on_table}",
        "a lost piece": f"/p/{_first(db, 'piece', 'lost')}",
        "no such piece": "/p/40729153",
        "scan": "/scan",
        "a scanned piece": f"/scan?code={ready}",
    }


def _office_paths(db, maud, ben, drawing: str) -> dict[str, str]:
    offcut = db.execute("SELECT code FROM blank WHERE is_offcut ORDER BY id").fetchone()[0]
    return {
        "jobs": "/jobs",
        "new drawing": "/jobs/new",
        "a proposal": f"/jobs/new/{drawing}",
        "a job": "/jobs/J-1002",
        "a job with its parts": "/jobs/J-1005?parts=A",
        "stock": "/stock",
        "a stock": "/stock/cream-6",
        "an offcut": f"/stock/blank/{offcut}",
        "a further stock": "/stock/new",
        "office": "/office",
        "people": "/office/people",
        "a person": f"/office/people/{maud.person}",
        "settings": "/office/settings",
        "cutters": "/office/cutters",
        "cements": "/office/cements",
        "a cement": "/office/cements/1",
        "check lists": "/office/check-lists",
        "what we lost": "/office/holding",
        "ledger": "/office/ledger",
        "sign in": "/sign-in",
        "keypad": f"/sign-in/{ben.person}",
    }


_NESTED_ON = """SELECT p.code FROM piece p JOIN sheet s ON s.id = p.sheet
                WHERE s.code = ? AND p.state = 'nested' ORDER BY p.id"""


@pytest.fixture(scope="module")
def new_tablet() -> Iterator[Callable[[], Page]]:
    """Makes a tablet: a page of its own cookies, closed at the end of the file.

    Its `faults` are errors of scripts, whatever the console calls an error (what the Content-Security-Policy stops is
    among it), and answers of 500 and more.
    """

    with chromium() as browser:

        def make() -> Page:
            page = browser.new_context(has_touch=True, viewport=TABLETS["flat"]).new_page()
            page.faults = []
            note = page.faults.append
            page.on("pageerror", lambda error: note(str(error)))
            page.on("console", lambda said: note(said.text) if said.type == "error" else None)
            page.on(
                "response",
                lambda told: note(f"{told.status} {told.url}") if told.status >= 500 else None,
            )
            return page

        yield make


@pytest.fixture(scope="module")
def signed_in(new_tablet, demo_shop) -> Page:
    """A page on which somebody who may do everything is signed in at the demo shop."""
    page = new_tablet()
    page.context.add_cookies(
        [{"name": "shopfloor_session", "value": demo_shop.token, "url": demo_shop.address}]
    )
    return page


@pytest.fixture
def keep_picture() -> Callable[[Page, str], None]:
    """Keeps a screenshot as NAME-WIDTH.png in the folder that SHOPFLOOR_PICTURES names, else does nothing."""
    folder = os.environ.get(PICTURES)

    def keep(page: Page, name: str) -> None:
        if not folder:
            return
        Path(folder).mkdir(parents=True, exist_ok=True)
        shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        few = shot.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
        few.save(Path(folder) / f"{name}-{page.viewport_size['width']}.png", optimize=True)

    return keep


@pytest.fixture
def walk(new_tablet, served, shop, clock):
    """A tablet that goes from hand to hand through a story; nothing on it may have gone wrong by the end."""
    page = new_tablet()
    yield Walk(page, served, shop, clock)
    assert page.faults == []
    page.context.close()
