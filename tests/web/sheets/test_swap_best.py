"""Swaps held against all ways of handing pieces out, in small shops played at random, and in shops ten times as large."""

from __future__ import annotations

import itertools
import math
import random
import shutil
from datetime import date

import pytest
from shop_for_tests import grows_at_most, on_shelves, open_session
from swaps_for_tests import NOW, SwapShop, opened

from shopfloor import nesting
from shopfloor.actions import nests, swaps
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.app import create_app
from shopfloor.store import replay
from shopfloor.store import settings as setting_store

# Against all ways. ----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    """Three jobs with letters of two families and boards of one, nothing cut yet; its file."""
    folder = tmp_path_factory.mktemp("swaps")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nesting, "nest", on_shelves)
        swapping, database = opened(folder / "base.db")
        for word, due in (("AB", "2026-11-26"), ("AAB", "2026-11-28"), ("BA", "2026-12-01")):
            swapping.order(word, due=due)
        database.close()
    return folder / "base.db"


def played(swapping: SwapShop, dice: random.Random) -> None:
    """Sets the days, then lets pieces be cut, lost, left on the table, signs held and cancelled."""
    days = {
        "recut_days": dice.choice("0123"),
        "bench_days": dice.choice("0123"),
        "sheets_a_day": dice.choice("124"),
    }
    setting_acts.change_settings(Caller(swapping.shop, swapping.by), days)
    for row in swapping.rows():
        if dice.random() < 0.2:
            continue  # stays planned
        sheet_acts.start(Caller(swapping.shop, swapping.by), row.code)
        for code in swapping.codes(row.code):
            mark = dice.choices((None, "cut", "lost", "damaged"), (1, 5, 3, 1))[0]
            if mark:
                swapping.mark(mark, code)
    for sign in (1, 2, 3):
        if dice.random() < 0.15:
            dice.choice((sign_acts.hold, sign_acts.cancel))(
                Caller(swapping.shop, swapping.by), sign, "for a test"
            )


def days_left(row) -> float:
    """Days until a sign is due; endless while it is on hold."""
    if row["sign_state"] == "on hold":
        return math.inf
    return (date.fromisoformat(row["due"]) - NOW.date()).days


def facts(swapping: SwapShop):
    """(pieces as (id, family, days until in hand, part), the sign of each part, (due, days till all else is there) of each
    sign), read in plain words from the tables."""
    db, chosen = swapping.shop.read(), setting_store.load(swapping.shop.read())
    recut, bench_days, a_day = chosen.recut_days, chosen.bench_days, chosen.sheets_a_day
    rows = [
        dict(row)
        for row in db.execute(
            """SELECT p.id, p.state, p.attempt, p.sheet, sh.state AS sheet_state, o.family, a.part, pt.sign,
                  s.state AS sign_state, j.due FROM piece p JOIN outline o ON o.id = p.outline LEFT JOIN sheet sh ON sh.id = p.sheet
           LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL LEFT JOIN part pt ON pt.id = a.part
           LEFT JOIN sign s ON s.id = pt.sign LEFT JOIN job j ON j.id = s.job"""
        )
    ]
    first_due = {}
    for row in rows:
        if row["sheet_state"] == "planned":
            first_due[row["sheet"]] = min(first_due.get(row["sheet"], "9"), row["due"] or "9")
    queue = sorted(first_due, key=lambda sheet: (first_due[sheet], sheet))
    live = [row for row in rows if row["sign_state"] in ("open", "on hold")]
    families = {
        row["family"]
        for row in live
        if row["attempt"] > 1 and row["state"] in ("waiting", "nested")
    }

    def day(row) -> float:
        if row["state"] in ("cut", "ready"):
            return 0.0
        if row["sheet"] is None:
            return recut
        return (
            (queue.index(row["sheet"]) + 1) / a_day
            if row["sheet_state"] == "planned"
            else swaps.ON_THE_ROUTER
        )

    spares = [row for row in rows if row["part"] is None and row["state"] in ("cut", "ready")]
    moving = [row for row in (*live, *spares) if row["family"] in families]
    signs = {}
    for row in live:
        known = signs.setdefault(row["sign"], (days_left(row) - bench_days, []))
        known[1].append(0.0 if row["family"] in families else day(row))
    return (
        [(row["id"], row["family"], day(row), row["part"]) for row in moving],
        {row["part"]: row["sign"] for row in moving},
        {sign: (limit, max(days)) for sign, (limit, days) in signs.items()},
    )


def score(found, signs_of, signs, serves) -> tuple[int, float, int]:
    """Late signs, days late in all, parts that get another piece."""
    ready = {sign: floor for sign, (_, floor) in signs.items()}
    moved = 0
    for (_, _, days, part), now in zip(found, serves, strict=True):
        if now is not None:
            ready[signs_of[now]] = max(ready[signs_of[now]], days)
            moved += now != part
    late = [days - signs[sign][0] for sign, days in ready.items() if days > signs[sign][0]]
    return len(late), round(sum(late), 5), moved


def every_way(found):
    """All ways to hand the parts of each family out among its pieces, as lists in the order of the pieces."""
    kinds = sorted({family for _, family, _, _ in found})
    spots = [[at for at, one in enumerate(found) if one[1] == kind] for kind in kinds]
    for way in itertools.product(
        *(set(itertools.permutations([found[at][3] for at in some])) for some in spots)
    ):
        serves = [None] * len(found)
        for some, parts in zip(spots, way, strict=True):
            for at, part in zip(some, parts, strict=True):
                serves[at] = part
        yield serves


def test_what_is_proposed_is_the_best_of_all_ways_and_is_done_as_proposed(base, tmp_path):
    helped = [is_helped(base, tmp_path / f"{seed}.db", random.Random(seed)) for seed in range(14)]
    assert 3 <= sum(helped) <= 11, "in some of these shops there is something to gain, in some not"


def is_helped(base, path, dice) -> bool:
    """Plays one shop, holds the proposal against all ways and makes the swap; whether there was one."""
    shutil.copy(base, path)
    swapping, database = opened(path)
    played(swapping, dice)
    found, signs_of, signs = facts(swapping)
    now = [part for *_, part in found]
    best = min(score(found, signs_of, signs, way) for way in every_way(found))
    proposed = swapping.proposal()
    if proposed is None:
        late, days, _ = score(found, signs_of, signs, now)
        assert (
            best[0] == late and days - best[1] < swaps.WORTH_DAYS
        )  # nobody sticks on new labels for an hour
    else:
        moved = {move.piece: move.to_part for move in proposed.plan.moves}
        after = [moved.get(id, part) for id, _, _, part in found]
        assert score(found, signs_of, signs, after) == best < score(found, signs_of, signs, now)
        assert (len(proposed.plan.late_after), round(proposed.plan.lateness_after, 5)) == best[:2]
        swaps.swap(Caller(swapping.shop, swapping.by), swapping.moves())
        assert swapping.proposal() is None
        live = dict(
            swapping.shop.read()
            .execute("SELECT piece, part FROM assignment WHERE ended_at IS NULL")
            .fetchall()
        )
        assert all(live.get(id) == part for (id, *_), part in zip(found, after, strict=True))
    assert replay.differences(swapping.shop.read()) == []
    database.close()
    return proposed is not None


# Ten times the shop. --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def busy(tmp_path_factory):
    """Clients of two shops, by their number of open signs: each sign has lost a letter at the router."""
    databases, clients = [], {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nesting, "nest", on_shelves)
        patch.setattr(
            nests, "held", lambda work, layouts: layouts
        )  # how pieces are held is not what is timed
        for count in (20, 200):
            swapping, database = opened(tmp_path_factory.mktemp("busy") / "shop.db")
            for at in range(10):
                swapping.order(
                    *[("AB", "BC", "CA")[(at + n) % 3] for n in range(count // 10)],
                    due=f"2026-11-{26 + at % 4}",
                )
            lose_one_each(swapping)
            app = create_app(
                database,
                clock=swapping.shop.clock,
                dice=swapping.shop.dice,
                testing=True,
                pin_hash="plain",
            )
            clients[count] = app.test_client()
            clients[count].set_cookie("shopfloor_session", open_session(swapping.shop, swapping.by))
            databases.append(database)
    yield clients
    for database in databases:
        database.close()


def lose_one_each(swapping: SwapShop) -> None:
    """Cuts all sheets; of each sign the first or the second letter is lost, all else is in hand."""
    for row in swapping.rows():
        sheet_acts.start(Caller(swapping.shop, swapping.by), row.code)
    rows = swapping.shop.read().execute(
        """SELECT p.code FROM part pt JOIN assignment a ON a.part = pt.id JOIN piece p ON p.id = a.piece
           WHERE pt.number = 2 + pt.sign % 2 ORDER BY p.id"""
    )
    swapping.mark("lost", *(row["code"] for row in rows))
    for row in swapping.rows():
        left = [code for code, state in swapping.states(row.code).items() if state == "nested"]
        sheet_acts.mark_rest_cut(Caller(swapping.shop, swapping.by), row.code, left)


def test_the_page_of_ten_times_the_signs_takes_ten_times_as_long_at_most_twice(busy):
    def look(count):
        answer = busy[count].get("/recuts")
        assert "A swap helps" in answer.text and answer.text.count('id="recut-row-') == count

    look(200)  # a plan is found once and kept until something that it rests on changes
    assert grows_at_most(20, look, 20, 200)
