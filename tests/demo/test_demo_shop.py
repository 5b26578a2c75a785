"""The demo shop: its week is what the README promises, and what it ships ready made is what the real code makes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from shopfloor.actions import nests
from shopfloor.actions import people as people_actions
from shopfloor.actions.drawings import read_drawing
from shopfloor.actions.unit_of_work import Shop, moment
from shopfloor.demo import draw
from shopfloor.demo import shop as demo_shop
from shopfloor.demo.recording import Tape, fingerprint
from shopfloor.domain.bench.steps import is_curing, is_ready, next_step
from shopfloor.domain.errors import Refused
from shopfloor.domain.routing.nests import faults
from shopfloor.store import bench, replay
from shopfloor.store import people as people_store
from shopfloor.store.db import Database

NOON, NIGHT = datetime(2027, 7, 14, 12, 30, tzinfo=UTC), datetime(2028, 2, 29, 23, 50, tzinfo=UTC)


class NotingTape(Tape):
    """Keeps the work that each shipped nest is for."""

    def __init__(self):
        super().__init__()
        self.works: list[nests.Work] = []

    def layouts(self, work: nests.Work) -> list[nests.Layout]:
        self.works.append(work)
        return super().layouts(work)


@pytest.fixture(scope="module")
def tape():
    return NotingTape()


@pytest.fixture(scope="module")
def db(tmp_path_factory, tape):
    """The demo, filled at noon on a summer's day."""
    database = Database(
        demo_shop.fill(tmp_path_factory.mktemp("demo") / "demo.db", tape=tape, now=NOON)
    )
    yield database.read()
    database.close()


def column(db, query: str) -> list:
    return [row[0] for row in db.execute(query)]


def test_the_demos_ledger_gives_its_state(db):
    assert replay.differences(db) == []


# The week. ------------------------------------------------------------------------------------------------------------


def test_it_has_signs_of_several_kinds_in_three_stocks_or_more(db):
    titles = column(db, "SELECT title FROM job")
    assert len(titles) >= 5
    assert column(db, "SELECT count(DISTINCT stock) FROM piece")[0] >= 3
    parts = column(db, "SELECT count(*) FROM part GROUP BY sign")
    assert max(parts) >= 100, "one with many small figures"
    assert column(db, "SELECT count(DISTINCT levels) FROM sign")[0] >= 2


def test_one_sign_is_ready_to_be_laid_out(db):
    ready = [
        sign
        for sign in bench.benches(db)
        if (step := next_step(sign, NOON)) and is_ready(step, sign, NOON)
    ]
    assert "lay out" in {next_step(sign, NOON).kind for sign in ready}


def test_a_glue_up_cures_now(db):
    curing = [step for sign in bench.benches(db) for step in sign.steps if is_curing(step, NOON)]
    assert curing and all(step.shut_until > NOON for step in curing)


def test_one_job_is_late_and_the_others_are_not_all(db):
    due = [
        date.fromisoformat(text) for text in column(db, "SELECT due FROM job WHERE state = 'open'")
    ]
    assert 0 < sum(day < NOON.date() for day in due) < len(due)


def test_pieces_were_lost_damaged_found_and_cut_again(db):
    assert {"lost", "damaged"} <= set(column(db, "SELECT DISTINCT state FROM piece"))
    again = set(column(db, "SELECT state FROM piece WHERE attempt = 2"))
    assert again & {"ready", "fixed"} and "waiting" in again, "one cut again, one still queued"
    told = "".join(column(db, "SELECT events FROM ledger"))
    assert all(
        f'"{event}"' in told for event in ("PieceLost", "PieceDamaged", "PieceFound", "RecutQueued")
    )


def test_a_sheet_lies_on_the_table_and_others_are_planned(db):
    assert {"off the table", "planned", "closed"} <= set(
        column(db, "SELECT DISTINCT state FROM sheet")
    )


def test_the_people_sign_in_with_the_pins_that_are_printed(db, tmp_path):
    told = demo_shop.introduction(tmp_path / "demo.db")
    database = Database(demo_shop.fill(tmp_path / "demo.db"))
    shop = Shop(database)
    for name, roles, pin in demo_shop.PEOPLE:
        assert f"{name:5} PIN {pin}" in told
        by = people_store.by_named(database.read(), name, "test")
        assert by.roles == set(roles)
        assert people_actions.sign_in(shop, by.person, pin, None)
    database.close()


# Dates count from now. ------------------------------------------------------------------------------------------------


def relative(database: Database, now: datetime) -> dict:
    """The demo as it looks from now: due dates in days, what each piece is, when the cures end."""
    db = database.read()
    return {
        "due": [
            (date.fromisoformat(due) - now.date()).days
            for due in column(db, "SELECT due FROM job ORDER BY id")
        ],
        "pieces": column(db, "SELECT state FROM piece ORDER BY id"),
        "acts": [
            (moment(at) - now) // timedelta(minutes=1)
            for at in column(db, "SELECT at FROM ledger ORDER BY act")
        ],
        "cures": [
            (moment(at) - now) // timedelta(minutes=1)
            for at in column(
                db, "SELECT shut_until FROM step WHERE shut_until IS NOT NULL ORDER BY id"
            )
        ],
    }


def test_the_week_looks_the_same_whenever_it_is_opened(db, tmp_path):
    databases = [
        Database(demo_shop.fill(tmp_path / f"{now:%Y}.db", now=now)) for now in (NOON, NIGHT)
    ]
    summer, winter = (
        relative(database, now) for database, now in zip(databases, (NOON, NIGHT), strict=True)
    )
    for database in databases:
        database.close()
    assert summer == winter
    assert min(summer["acts"]) >= -7 * 24 * 60 and max(summer["acts"]) <= 0, (
        "a week of work, none of it to come"
    )
    assert summer["acts"] == sorted(summer["acts"])


def test_a_demo_that_is_there_is_left_as_it_is(tmp_path):
    path = demo_shop.fill(tmp_path / "demo.db", now=NOON)
    assert demo_shop.fill(path, now=NIGHT) == path
    database = Database(path)
    assert relative(database, NOON)["acts"][-1] <= 0
    database.close()


def test_a_real_shops_database_is_never_made_a_demo(tmp_path):
    Database(tmp_path / "shop.db").close()
    before = (tmp_path / "shop.db").read_bytes()
    with pytest.raises(Refused, match="a real shop's database"):
        demo_shop.fill(tmp_path / "shop.db")
    assert (tmp_path / "shop.db").read_bytes() == before


# What is shipped ready made. ------------------------------------------------------------------------------------------


def test_the_tape_holds_what_the_week_needs_and_nothing_else(db, tape):
    drawings = {path.name for path in draw.DRAWINGS.glob("*.svg")}
    assert set(tape.made["readings"]) == drawings
    assert set(tape.made["nests"]) == {fingerprint(work) for work in tape.works}


@pytest.mark.parametrize("name", sorted(path.name for path in draw.DRAWINGS.glob("*.svg")))
def test_a_shipped_reading_is_what_the_drawing_reads_as_today(tape, name):
    fresh = read_drawing((draw.DRAWINGS / name).read_bytes(), name)
    assert tape.reading(name).drawing == fresh.drawing
    assert tape.reading(name).sha256 == fresh.sha256


def test_every_shipped_nest_keeps_gap_and_margin_and_lays_each_piece_once(db, tape):
    for work in tape.works:
        layouts = Tape.layouts(tape, work)
        laid = [put.key for layout in layouts for put in layout.made.placed]
        assert sorted(laid) == sorted(item.key for item in work.items)
        for layout in layouts:
            assert faults(layout.made, work.items, *size_of(layout, work), work.rules) == []


def test_the_smallest_shipped_nest_of_several_pieces_can_be_made_afresh(db, tape):
    work = min(
        (work for work in tape.works if len(work.items) > 5), key=lambda work: len(work.items)
    )
    (shipped,) = Tape.layouts(tape, work)
    (fresh,), left_out = nests.solve(work)
    assert left_out == ()
    assert {put.key for put in fresh.made.placed} == {put.key for put in shipped.made.placed}
    assert faults(fresh.made, work.items, *size_of(fresh, work), work.rules) == []


def size_of(layout: nests.Layout, work: nests.Work) -> tuple[float, float]:
    blank = layout.offcut or work.stock
    return blank.length_mm, blank.width_mm


def test_closed_sheets_left_their_offcuts_in_the_rack(db):
    offcuts = column(db, "SELECT count(*) FROM blank WHERE is_offcut = 1")[0]
    assert (
        offcuts >= 1
        and offcuts <= column(db, "SELECT count(*) FROM sheet WHERE state = 'closed'")[0]
    )
