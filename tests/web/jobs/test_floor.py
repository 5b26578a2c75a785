"""The Floor: every open sign as its own progress picture, ready ones first, and nothing sent where nothing changed."""

from __future__ import annotations

import gzip
import math
import re
import time
from pathlib import Path

import pytest

from shopfloor.actions import drawings, jobs
from shopfloor.actions import pieces as acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.app import create_app
from shopfloor.domain.bench.headline import HELD, NOT_YET, READY, Headline
from shopfloor.domain.drawing.signs import Order
from shopfloor.store import jobs as job_store
from shopfloor.store.backup import backup
from shopfloor.store.db import Database, connect
from shopfloor.web.jobs import floor
from shopfloor.web.pictures import sign_pictures
from shopfloor.wording.message import plain
from tests.conftest import CHEAP, signed_in_client

HTMX = {"HX-Request": "true"}
DRAWINGS = Path(floor.__file__).parents[2] / "demo" / "drawings"


def take_in(
    shop, by, name: str, due: str, customer: str = "Harbour office", title: str = "A sign"
) -> dict:
    read = drawings.read_drawing((DRAWINGS / name).read_bytes(), name)
    proposed = drawings.proposal(shop, [read])
    stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
    return jobs.intake(
        Caller(shop, by), proposed, Order(customer, title, due, stocks=stocks), reads=[read]
    ).data


def pieces_of(shop, sign: str) -> list[str]:
    db = shop.read()
    return [part.code for part in job_store.parts_of(db, job_store.sign_by_code(db, sign).id)]


def tiles(page: str) -> list[str]:
    """The tiles' own markup, in their order."""
    return re.split(r'<(?:a|div) class="tile ', page.split("</section>", maxsplit=1)[0])[1:]


def test_an_empty_floor_says_what_to_do_first(as_operator):
    page = as_operator.get("/").text
    assert "No sign is open." in page and "Add a job" in page


def test_the_floor_is_the_first_page_and_has_a_name_of_its_own(as_operator, small_job):
    assert as_operator.get("/floor").status_code == 200
    assert 'href="/"' in as_operator.get("/").text, "the title block leads to the first page"


def test_each_open_sign_is_a_picture_with_one_sentence_and_leads_to_its_bench(
    as_operator, small_job
):
    page = as_operator.get("/").text
    first, second = tiles(page)
    for tile, mark in ((first, "A"), (second, "B")):
        assert f'href="/bench/{small_job[mark]}"' in tile
        assert tile.count('<svg class="sign"') == 1 and tile.count('class="nested') == 3
        assert "Level 1 is waiting on 3 parts" in tile and "are on sheet S-20" in tile
        assert "Tue 1 Dec" in tile


def test_names_are_written_out_and_never_markup(as_operator, small_job):
    page = as_operator.get("/").text
    assert "<office>" not in page and "Harbour &lt;office&gt;" in page


def test_a_customer_whose_name_is_in_the_sign_s_is_named_once(
    as_operator, shop, owner, plain_nests
):
    take_in(
        shop,
        owner,
        "library.svg",
        "2026-12-01",
        customer="Harbour Library",
        title="Harbour Library, roundel",
    )
    (tile,) = tiles(as_operator.get("/").text)
    assert "<span>Harbour Library, roundel</span>" in tile


def test_ready_signs_come_first_then_the_due_date_decides(
    as_operator, shop, owner, small_job, plain_nests
):
    take_in(shop, owner, "library.svg", "2026-11-26")
    take_in(shop, owner, "boatyard.svg", "2026-11-24")
    acts.mark(Caller(shop, owner), pieces_of(shop, small_job["B"]), "cut")
    shown = tiles(as_operator.get("/").text)
    order = [re.search(r"<b>(J-\d+ \w)</b>", tile)[1] for tile in shown]
    assert order == ["J-1001 B", "J-1003 A", "J-1002 A", "J-1001 A"]
    assert "Ready to set out level 1" in shown[0] and shown[0].startswith("ready")
    assert "All 3 pieces are in hand." in shown[0]
    assert (
        'class="stamp late">late: Tue 24 Nov' in shown[1] and 'class="stamp">Thu 26 Nov' in shown[2]
    )


def test_a_sign_on_hold_comes_last_and_says_so(as_operator, shop, owner, small_job):
    sign_acts.hold(
        Caller(shop, owner),
        job_store.sign_by_code(shop.read(), small_job["A"]).id,
        "the customer thinks",
    )
    shown = tiles(as_operator.get("/").text)
    assert "J-1001 B" in shown[0] and "On hold" in shown[1] and shown[1].startswith("held")


def test_a_lost_letter_stays_crossed_until_its_recut_is_in_hand(
    as_operator, shop, owner, small_job
):
    recut = acts.mark(Caller(shop, owner), [small_job["A L"]], "lost").data["recuts"][0]
    tile = tiles(as_operator.get("/").text)[0]
    assert tile.count('class="lost') == 1 and 'class="cross' in tile
    assert "is lost. Its recut" in tile
    assert recut[:4] in tile


def test_a_cancelled_sign_is_not_on_the_floor(as_operator, shop, owner, small_job):
    sign_acts.cancel(
        Caller(shop, owner), job_store.sign_by_code(shop.read(), small_job["A"]).id, "not wanted"
    )
    assert len(tiles(as_operator.get("/").text)) == 1


# Asking again. --------------------------------------------------------------------------------------------------------


def asks(page: str) -> str:
    return re.search(r'hx-get="([^"]+seen=[^"]+)"', page)[1]


def test_nothing_is_sent_when_nothing_changed(as_operator, small_job):
    again = as_operator.get(asks(as_operator.get("/").text), headers=HTMX)
    assert (again.status_code, again.data) == (204, b"")


def test_after_an_act_the_tiles_come_alone_with_a_new_version(as_operator, shop, owner, small_job):
    path = asks(as_operator.get("/").text)
    acts.mark(Caller(shop, owner), pieces_of(shop, small_job["B"]), "cut")
    again = as_operator.get(path, headers=HTMX)
    assert again.status_code == 200 and "<html" not in again.text
    assert "Ready to set out level 1" in again.text
    assert (
        asks(again.text) != path
        and as_operator.get(asks(again.text), headers=HTMX).status_code == 204
    )


def test_the_fragment_is_the_page_s_own_part(as_operator, small_job):
    fragment = as_operator.get("/floor/now", headers=HTMX).text
    assert fragment.strip() in as_operator.get("/").text


def test_a_picture_that_did_not_change_is_not_drawn_again(
    as_operator, shop, owner, small_job, monkeypatch
):
    as_operator.get("/")
    acts.mark(Caller(shop, owner), [small_job["A L"]], "cut")
    drawn = []
    real = sign_pictures.sign_picture
    monkeypatch.setattr(
        sign_pictures, "sign_picture", lambda id, *a, **k: drawn.append(id) or real(id, *a, **k)
    )
    shown = "".join(tiles(as_operator.get("/").text))
    assert len(drawn) == 1 and shown.count('class="ready') == 1, (
        "the sign whose letter was cut, not the other"
    )
    as_operator.get("/")
    assert len(drawn) == 1


# Plates that share a tile. --------------------------------------------------------------------------------------------


def test_six_like_plates_share_a_tile_and_each_leads_to_its_bench(
    as_operator, shop, owner, plain_nests
):
    signs = take_in(shop, owner, "berths.svg", "2026-12-01", title="Berth numbers")["signs"]
    (tile,) = tiles(as_operator.get("/").text)
    assert "6 × 230 mm" in tile and "J-1001 A–F" in tile and "11 to 16" in tile
    assert re.findall(r'href="/bench/(\d{8})"', tile) == signs
    assert "Level 1 is waiting on 3 parts" in tile


def line(big: str, rank: int, small: str = "") -> Headline:
    kind = {READY: "ready", NOT_YET: "waiting", HELD: "held"}[rank]
    return Headline(rank, kind, plain(big), plain(small))


def test_plates_that_are_all_alike_say_one_sentence():
    waits = line("Waits for 3 parts", NOT_YET, "on S-201")
    assert floor.together([("A", waits), ("B", waits)]) == waits


def test_plates_that_differ_say_the_best_first_and_name_the_others():
    lines = [
        ("A", line("Waits for 2 parts", NOT_YET)),
        ("B", line("Ready to set out level 1", READY, "All in hand")),
        ("C", line("Waits for 2 parts", NOT_YET)),
        ("D", line("On hold", HELD)),
    ]
    headline = floor.together(lines)
    assert (headline.rank, headline.kind) == (READY, "ready")
    assert str(headline.big) == "B: Ready to set out level 1"
    assert str(headline.small) == "A and C: Waits for 2 parts. D: On hold."


# How much, how fast. --------------------------------------------------------------------------------------------------


def test_the_first_visit_sends_less_than_60_kb_with_the_demo_s_signs(
    as_operator, shop, owner, plain_nests
):
    for name in (
        "bakery.svg",
        "library.svg",
        "boatyard.svg",
        "berths.svg",
        "school.svg",
        "tides.svg",
    ):
        take_in(shop, owner, name, "2026-12-01")
    response = as_operator.get("/", headers={"Accept-Encoding": "gzip"})
    assert response.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(response.data).count(b'<svg class="sign"') >= 11
    assert len(response.data) < 60_000


def closed_jobs(path: Path, count: int) -> None:
    """Jobs that are handed over, behind the ledger's back: as many rows as years of work leave."""
    raw = connect(path)
    start = raw.execute("SELECT max(id) FROM job").fetchone()[0] + 1
    _, outline, stock = raw.execute("SELECT id, outline, stock FROM part").fetchone()
    ids = range(start + 1000, start + 1000 + count)
    steps = [
        (4 * i + n, i, n, kind)
        for i in ids
        for n, kind in enumerate(("lay out", "glue", "cure", "hand over"))
    ]
    raw.execute("BEGIN")
    for sql, rows in (
        (
            "job VALUES (?, ?, 'Quay', 'Old', '2020-01-01', 'closed', '', '')",
            [(i, f"X-{i}") for i in ids],
        ),
        ("code VALUES (?, 'sign', 0)", [(f"s{i}",) for i in ids]),
        ("code VALUES (?, 'piece', 0)", [(f"p{i}",) for i in ids]),
        (
            "sign VALUES (?, ?, ?, 'A', 'Old', 400, 200, 2, 'handed over', '')",
            [(i, f"s{i}", i) for i in ids],
        ),
        (
            "part VALUES (?, ?, 1, '', 1, 1, NULL, '#33658a', ?, ?, 0, 0, 0, NULL)",
            [(i, i, stock, outline) for i in ids],
        ),
        (
            "piece VALUES (?, ?, ?, ?, 'fixed', 1, 0, NULL, NULL, NULL)",
            [(i, f"p{i}", outline, stock) for i in ids],
        ),
        ("assignment VALUES (NULL, ?, ?, '', NULL, NULL)", [(i, i) for i in ids]),
        ("step VALUES (?, ?, ?, ?, 'Old', 1, '2020', NULL, '2020', NULL)", steps),
        ("step_part VALUES (?, ?, '2020', NULL)", [step[:2] for step in steps]),
        ("step_after VALUES (?, ?)", [(step[0], step[0] - 1) for step in steps if step[2]]),
    ):
        raw.executemany(f"INSERT INTO {sql}", rows)
    raw.execute("COMMIT")
    raw.close()


def time_of(client) -> float:
    """Seconds of this process's own work for one visit: other programs on the machine do not count."""
    start = time.process_time()
    assert client.get("/").status_code == 200
    return time.process_time() - start


@pytest.fixture
def grown(tmp_path, shop, operator, small_job):
    """Makes a copy of the shop with so many closed jobs behind it; gives a tablet of that shop."""
    opened = []

    def grow(closed: int):
        path = tmp_path / f"{closed}.db"
        backup(shop.read(), path)
        closed_jobs(path, closed)
        opened.append(Database(path))
        other = Shop(opened[-1], shop.clock, shop.dice)
        app = create_app(
            other.database, clock=other.clock, dice=other.dice, testing=True, pin_hash=CHEAP
        )
        return signed_in_client(app, other, operator)

    yield grow
    for database in opened:
        database.close()


def test_ten_thousand_closed_jobs_behind_it_slow_the_floor_by_less_than_a_third(grown):
    """Both shops are visited in turns, so that a busy machine slows both; the rest of the visits is noise."""
    tablets, least = (grown(100), grown(10_000)), [math.inf, math.inf]
    for _ in range(120):
        for one, tablet in enumerate(tablets):
            least[one] = min(least[one], time_of(tablet))
    assert least[1] <= 1.3 * least[0]


def test_lengths_follow_the_shop_s_units(as_operator, shop, owner, small_job):
    assert "400 mm" in as_operator.get("/").text
    setting_acts.change_settings(Caller(shop, owner), {"units": "in"})
    assert "15 3/4 in" in as_operator.get("/").text
