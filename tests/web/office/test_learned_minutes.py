"""Minutes on the router: starts and finishes under a turned clock, what is learned of them, and where it is said."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import CREAM, words

from shopfloor.actions import settings, setup_sheets
from shopfloor.actions import sheets as acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.routing.running_time import correction
from shopfloor.store import holding, sheets


class Router:
    """A shop whose sheets take as long as a test says; `pairs` are the (reckoned, real) minutes that it has seen."""

    def __init__(self, cutting, clock):
        self.cutting, self.clock, self.pairs = cutting, clock, []

    def reckoned(self, code: str) -> float:
        db = self.cutting.shop.read()
        return holding.run_of(db, sheets.row(db, sheets.sheet_by_code(db, code).id).nest).path_min

    def run(self, code: str, times: float) -> None:
        """Starts a sheet and takes it off the table after so many times its reckoned minutes."""
        reckoned = self.reckoned(code)
        acts.start(Caller(self.cutting.shop, self.cutting.by), code)
        self.clock.forward(minutes=round(reckoned * times, 2))
        acts.finish(Caller(self.cutting.shop, self.cutting.by), code)
        self.pairs.append((reckoned, round(reckoned * times, 2)))

    def run_jobs(self, *times: float) -> None:
        """One job after another: its cream sheet takes so many times its minutes."""
        for number, factor in enumerate(times):
            self.cutting.take_in(20 + 7 * number)
            self.run(self.cutting.sheet_of(CREAM), factor)

    def next(self) -> str:
        """A sheet that is planned."""
        self.cutting.take_in(33)
        return self.cutting.sheet_of(CREAM)

    def estimate(self, code: str):
        return setup_sheets.setup_sheet_of(self.cutting.shop.read(), code).estimate


@pytest.fixture
def router(cutting, clock):
    return Router(cutting, clock)


def setup_sheet_says(client, code: str) -> str:
    return words(client.get(f"/sheets/{code}/setup-sheet"), with_drawings=False)


def test_before_any_sheet_was_timed_the_path_alone_says_how_long(router, as_operator, as_owner):
    """Without records the factor is 1, the interval exp(± 1.96 √(0.5² + 0.35²)), 0.30 to 3.31."""
    code = router.next()
    told, reckoned = router.estimate(code), router.reckoned(code)
    assert (told.minutes, told.correction) == (reckoned, correction([]))
    said = setup_sheet_says(as_operator, code)
    assert f"{reckoned:.1f} min by its path; no sheet timed here yet" in said
    assert "No sheet timed yet" in words(as_owner.get("/office/holding"))


def test_setup_sheet_and_office_say_what_the_same_starts_and_finishes_give(
    router, as_operator, as_owner
):
    router.run_jobs(1.3, 1.5, 1.4)
    learned, code = correction(router.pairs), router.next()
    assert 1.2 < learned.factor < 1.4, "three records move it most of the way to 1.4, not all"
    told = router.estimate(code)
    assert told.correction.sheets == 3
    assert (told.correction.factor, told.correction.low, told.correction.high) == pytest.approx(
        (learned.factor, learned.low, learned.high), rel=1e-3
    )
    assert told.minutes == pytest.approx(router.reckoned(code) * learned.factor, rel=1e-3)
    said = setup_sheet_says(as_operator, code)
    assert f"× {learned.factor:.2f}, from 3 sheets timed here" in said
    about = re.search(r"About (\d+) min, (\d+) to (\d+)", said)
    assert float(about[1]) == pytest.approx(told.minutes + 0.5, abs=0.5), "rounded up"
    assert float(about[2]) <= told.low and told.high <= float(about[3])
    office = words(as_owner.get("/office/holding"))
    assert f"A sheet takes {learned.factor:.2f} times its path time." in office
    assert (
        f"Learned from 3 sheets. 95 of 100 sheets should take {learned.low:.2f} to {learned.high:.2f} times as long."
        in office
    )


def test_office_lists_each_sheet_by_its_path_and_by_the_clock(router, as_owner):
    router.run_jobs(2.0)
    ((reckoned, real),) = router.pairs
    office = words(as_owner.get("/office/holding"))
    assert re.search(rf"\b{reckoned:.1f} min {real:.1f} min (×\s*)?2\.00?\b", office)


def test_a_sheet_that_stood_overnight_is_left_out_and_office_says_so(router, as_owner):
    router.run_jobs(1.2, 1.2)
    code = router.next()
    before = router.estimate(code).correction
    router.cutting.take_in(41)
    late = router.cutting.sheet_of(CREAM)
    acts.start(Caller(router.cutting.shop, router.cutting.by), late)
    router.clock.forward(hours=9)
    acts.finish(Caller(router.cutting.shop, router.cutting.by), late)
    after = router.estimate(code).correction
    assert (after.factor, after.sheets, after.left_out) == (before.factor, 2, 1)
    assert (
        "Learned from 2 sheets. 1 left out: odd times (left overnight, tapped late or too short to tell)."
        in words(as_owner.get("/office/holding"))
    )


def test_a_sheet_that_was_given_up_teaches_nothing_and_an_undone_finish_is_forgotten(router):
    router.run_jobs(1.2)
    code = router.next()
    once = router.estimate(code).correction
    router.cutting.take_in(41)
    given_up = router.cutting.sheet_of(CREAM)
    acts.start(Caller(router.cutting.shop, router.cutting.by), given_up)
    router.clock.forward(minutes=20)
    acts.abandon(Caller(router.cutting.shop, router.cutting.by), given_up)
    assert router.estimate(code).correction == once
    acts.start(Caller(router.cutting.shop, router.cutting.by), code)
    router.clock.forward(minutes=30)
    done = acts.finish(Caller(router.cutting.shop, router.cutting.by), code)
    assert router.estimate(code).correction.sheets == 2
    undo(Caller(router.cutting.shop, router.cutting.by), done.act)
    assert router.estimate(code).correction == once


def test_a_sheet_whose_rest_is_marked_cut_counts_as_finished_then(router):
    code = router.next()
    acts.start(Caller(router.cutting.shop, router.cutting.by), code)
    real = round(router.reckoned(code) * 1.5, 2)
    router.clock.forward(minutes=real)
    acts.mark_rest_cut(
        Caller(router.cutting.shop, router.cutting.by), code, router.cutting.codes(code)
    )
    router.clock.forward(hours=3)
    learned = correction([(router.reckoned(code), real)])
    assert router.estimate(router.next()).correction.factor == pytest.approx(
        learned.factor, rel=1e-3
    )


def test_minutes_are_the_same_for_a_shop_in_any_zone(router, shop, owner, as_operator):
    router.run_jobs(1.3, 1.5)
    before = router.estimate(code := router.next())
    settings.change_settings(Caller(shop, owner), {"zone": "America/Halifax"})
    assert router.estimate(code) == before
