"""Minutes of a sheet against closed forms: ramps and stops are the textbook's, v² = v0² + 2 a s and v² = a r."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing
from shop_for_tests import box, grows_at_most

from shopfloor.domain.outlines import Outline
from shopfloor.domain.routing import running_time
from shopfloor.domain.routing.cutters import USUAL
from shopfloor.domain.routing.feeds import feeds
from shopfloor.domain.routing.running_time import (
    RingRun,
    correction,
    estimate,
    estimate_minutes,
    left_out,
    runs_of,
    seconds_along,
    seconds_straight,
)
from shopfloor.domain.settings import Settings

FEED, SPEED, A = 3600.0, 60.0, 1000.0  # mm/min, the same in mm/s, mm/s²
SIX_MM = feeds(USUAL, 6.0)


def square(side):
    return ((0, 0), (side, 0), (side, side), (0, side))


def circle(radius, chords):
    turns = np.linspace(0, 2 * math.pi, chords, endpoint=False)
    return np.round(np.c_[radius * np.cos(turns), radius * np.sin(turns)], 3)


# Along a path. --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("side", [0.5, 3.5, 3.7, 50, 800])
def test_a_square_that_stops_at_each_corner_is_four_straight_moves(side):
    """L/v + v/a each, or 2 √(L/a) where the side is too short to reach the feed: below v²/a = 3.6 mm here."""
    alone = side / SPEED + SPEED / A if side >= SPEED**2 / A else 2 * math.sqrt(side / A)
    assert seconds_straight(side, FEED, A) == pytest.approx(alone)
    assert seconds_along(square(side), FEED, A, blend_mm=0) == pytest.approx(4 * alone)


def test_a_square_corner_is_rounded_off_by_a_circle_that_passes_it_at_the_blend():
    """Its radius is e / (√2 − 1): the corner lies √2 r from its middle. Three corners are passed at √(a r)."""
    corner = math.sqrt(A * 0.05 / (math.sqrt(2) - 1))
    saved = 2 * corner / A - corner**2 / (
        A * SPEED
    )  # of each: no more down to nought and up, but less way at a lower speed
    stopping = 4 * seconds_straight(100, FEED, A)
    assert seconds_along(square(100), FEED, A) == pytest.approx(stopping - 3 * saved)


@pytest.mark.parametrize("points", [((0, 0), (200, 0)), ((0, 0), (100, 0), (200, 0))])
@pytest.mark.parametrize("blend", [0, 0.05])
def test_there_and_back_is_two_moves_from_rest_to_rest(points, blend):
    assert seconds_along(points, FEED, A, blend) == pytest.approx(
        2 * seconds_straight(200, FEED, A)
    )


@pytest.mark.parametrize("chords", [100, 1000, 10_000, 50_000])
def test_a_large_circle_runs_at_the_feed_however_many_chords_it_has(chords):
    whole = 2 * math.pi * 200 / SPEED
    assert seconds_along(circle(200, chords), FEED, A) == pytest.approx(whole, rel=0.02)


@pytest.mark.parametrize("radius", [3, 1.5])
@pytest.mark.parametrize("chords", [24, 60, 1000])
def test_a_small_circle_runs_as_fast_as_the_acceleration_towards_its_middle_lets_it(radius, chords):
    """v² = a r, from rest to rest; the control may stray by the blend, so a few per cent less."""
    speed = math.sqrt(A * radius)
    whole = 2 * math.pi * radius / speed + speed / A
    assert seconds_along(circle(radius, chords), FEED, A) == pytest.approx(whole, rel=0.07)


def test_points_along_a_straight_side_change_nothing():
    dense = [(x, 0) for x in range(100)] + [(100, y) for y in range(100)]
    dense += [(x, 100) for x in range(100, 0, -1)] + [(0, y) for y in range(100, 0, -1)]
    assert seconds_along(dense, FEED, A) == pytest.approx(seconds_along(square(100), FEED, A))


@pytest.mark.parametrize("points", [((5, 5),), ((5, 5), (5, 5), (5, 5))])
def test_a_ring_without_length_takes_no_time(points):
    assert seconds_along(points, FEED, A) == 0


PLACES = st.tuples(st.integers(0, 300), st.integers(0, 300))


@settings(max_examples=150)
@given(st.lists(PLACES, min_size=3, max_size=25), st.floats(300, 9000), st.floats(100, 5000))
def test_more_feed_or_acceleration_never_takes_longer_and_the_feed_alone_is_the_least(
    points, feed, acceleration
):
    seconds = seconds_along(points, feed, acceleration)
    assert seconds >= LinearRing(points).length / (feed / 60) * (1 - 1e-9)
    assert seconds_along(points, feed * 1.3, acceleration) <= seconds * (1 + 1e-9)
    assert seconds_along(points, feed, acceleration * 1.3) <= seconds * (1 + 1e-9)


@settings(max_examples=150)
@given(st.lists(st.integers(20, 300), min_size=3, max_size=40), st.floats(300, 9000))
def test_the_other_way_round_takes_as_long(radii, feed):
    """Braking is speeding up seen backwards: what looks ahead to a stop mirrors what comes from one."""
    turns = np.arange(len(radii)) * 2 * math.pi / len(radii)
    star = np.array(radii)[:, None] * np.c_[np.cos(turns), np.sin(turns)]
    other_way = np.vstack([star[:1], star[:0:-1]])
    assert seconds_along(star, feed, 100) == pytest.approx(
        seconds_along(other_way, feed, 100), rel=1e-6
    )


def test_the_time_to_reckon_grows_with_the_points_and_no_faster():
    assert grows_at_most(
        20, lambda count: seconds_along(circle(900, count), FEED, A), 10_000, 100_000
    )


# The cutter's own path. -----------------------------------------------------------------------------------------------


def test_the_middle_of_the_cutter_runs_half_its_width_off_the_outline_and_in_holes_first():
    piece = Outline((box(0, 0, 60, 40).rings[0], tuple(reversed(box(10, 10, 20, 15).rings[0]))))
    hole, outer = runs_of(piece, "tabs", 6.35, tabs=3)
    assert LinearRing(hole.path).length == pytest.approx(2 * (20 + 15) - 4 * 6.35)
    assert LinearRing(outer.path).length == pytest.approx(2 * (60 + 40) + math.pi * 6.35, rel=1e-3)
    assert (hole.tabs, outer.tabs, hole.way, outer.way) == (0, 3, "tabs", "tabs")


def test_a_hole_too_narrow_for_the_cutter_still_takes_its_time():
    piece = Outline((box(0, 0, 60, 40).rings[0], tuple(reversed(box(10, 10, 5, 15).rings[0]))))
    assert LinearRing(runs_of(piece, "full", 6.35)[0].path).length == pytest.approx(2 * (5 + 15))


# A sheet. -------------------------------------------------------------------------------------------------------------


def seconds_of(*rings, feeds=SIX_MM):
    """With sharp corners: each side of a square is run from rest to rest."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(running_time, "BLEND_MM", 0.0)
        return 60 * estimate_minutes(rings, feeds, Settings())


def rapid(length):
    """At 12,000 mm/min, 200 mm/s, from rest to rest."""
    return length / 200 + 0.2 if length >= 40 else 2 * math.sqrt(length / A)


def test_one_square_is_the_sum_of_its_moves():
    """6 mm in one pass with the usual cutter: 3,600 mm/min along and a third of it down (from memory)."""
    at = tuple((x + 300, y + 400) for x, y in square(100))
    ways = 2 * (rapid(500) + 2 * rapid(10))  # there and back, up and down each time; 3-4-5
    down = 6 / 20 + 20 / A
    assert seconds_of(RingRun(at, "full")) == pytest.approx(ways + down + 4 * (100 / 60 + 0.06))


def test_a_skin_adds_a_pass_at_its_own_feed():
    """5.6 mm at the full feed, then 0.4 mm at 70 %: 2,520 mm/min, 42 mm/s."""
    by_hand = (5.6 / 20 + 0.02) + 2 * math.sqrt(0.4 / A) - (6 / 20 + 0.02) + 4 * (100 / 42 + 0.042)
    extra = seconds_of(RingRun(square(100), "skin")) - seconds_of(RingRun(square(100), "full"))
    assert extra == pytest.approx(by_hand)


def test_a_sheet_twice_as_thick_as_the_cutter_goes_round_twice():
    twelve = feeds(USUAL, 12.0)
    extra = seconds_of(RingRun(square(100), "tape"), feeds=twelve) - seconds_of(
        RingRun(square(100), "tape")
    )
    assert extra == pytest.approx(4 * (100 / 60 + 0.06) + 6 / 20 + 0.02)


def test_a_tab_is_lifted_over_and_the_cutter_stops_for_it_twice():
    """Up and down 0.8 mm at 20 mm/s: above v²/a = 0.4 mm, so L/v + v/a each."""
    extra = seconds_of(RingRun(square(100), "tabs", 4)) - seconds_of(RingRun(square(100), "tabs"))
    assert extra == pytest.approx(4 * 2 * (0.8 / 20 + 0.02 + 0.06))


def test_an_empty_sheet_only_moves_up_and_down():
    assert seconds_of() == pytest.approx(2 * rapid(10))


def test_a_sheet_of_ten_times_the_pieces_takes_ten_times_as_long_to_reckon():
    def work(count):
        runs = [
            run for at in range(count) for run in runs_of(box(at * 40, 0, 30, 50), "skin", 6.35, 2)
        ]
        estimate_minutes(runs, SIX_MM, Settings())

    assert grows_at_most(20, work, 100, 1000)


# The shop's records. --------------------------------------------------------------------------------------------------


def test_without_records_nothing_is_corrected_and_the_interval_is_wide():
    """exp(± 1.96 √(0.5² + 0.35²))"""
    learned = correction([])
    assert (learned.factor, learned.sheets) == (1, 0)
    assert (learned.low, learned.high) == pytest.approx((0.3023, 3.3076), abs=1e-4)


def test_one_record_moves_the_factor_part_of_the_way():
    """A normal mean with a normal prior: x τ² / (τ² + σ²), textbook; τ 0.5, σ 0.35."""
    assert math.log(correction([(100, 200)]).factor) == pytest.approx(
        math.log(2) * 0.25 / (0.25 + 0.1225)
    )


def test_many_records_decide_and_narrow_the_interval():
    few, many = correction([(60, 84), (30, 42)]), correction([(60, 84), (30, 42)] * 20)
    assert 1 < few.factor < many.factor == pytest.approx(1.4, rel=0.01)
    assert many.high / many.low < few.high / few.low < correction([]).high / correction([]).low


def test_what_is_twice_too_slow_and_twice_too_fast_cancels():
    assert correction([(50, 100), (100, 50)]).factor == pytest.approx(1)


@pytest.mark.parametrize("odd", [(60, 900), (60, 60 * 8.1), (60, 5), (60, 0), (0, 30), (60, -3)])
def test_a_sheet_left_overnight_or_tapped_late_counts_for_nothing(odd):
    good = [(60, 80), (40, 55)]
    with_odd = correction([*good, odd])
    assert (with_odd.sheets, with_odd.left_out) == (2, 1)
    assert with_odd.factor == correction(good).factor


def test_among_many_alike_an_odd_one_within_eight_times_is_left_out_too():
    good = [(60, 60 * (1.3 + 0.02 * (n % 5))) for n in range(12)]
    learned = correction([*good, (60, 60 * 7.5)])
    assert (learned.sheets, learned.left_out) == (12, 1)
    assert learned.factor == correction(good).factor


def test_what_is_left_out_is_listed_record_by_record_and_is_what_the_correction_leaves_out():
    good = [(60, 60 * (1.3 + 0.02 * (n % 5))) for n in range(12)]
    records = [(60, 900), *good[:6], (60, 60 * 7.5), *good[6:], (0, 30)]
    out = left_out(records)
    assert [at for at, is_out in enumerate(out) if is_out] == [0, 7, 14]
    assert sum(out) == correction(records).left_out and left_out([]) == ()
    kept = [record for record, is_out in zip(records, out, strict=True) if not is_out]
    assert correction(records).factor == correction(kept).factor


def test_records_that_really_differ_are_all_kept():
    spread = [(60, 60 * factor) for factor in (0.6, 0.8, 1.0, 1.3, 1.7, 2.2)]
    assert correction(spread).left_out == 0


@pytest.mark.parametrize("records", [0, 1, 3, 8, 25])
def test_about_ninety_five_of_a_hundred_next_sheets_fall_into_the_interval(records):
    """Shops and sheets drawn from the spreads that are believed, 1,500 of them: the share is known to about 0.006."""
    chance = np.random.default_rng(4)
    inside = 0
    for _ in range(1500):
        shop = chance.normal(0, 0.5)
        *seen, coming = np.exp(chance.normal(shop, 0.35, records + 1)).tolist()
        learned = correction([(50, 50 * factor) for factor in seen])
        inside += learned.low <= coming <= learned.high
    assert 0.92 < inside / 1500 < 0.98


def test_an_estimate_is_the_reckoned_time_times_what_was_learned():
    learned = correction([(60, 90)] * 10)
    estimated = estimate(20.0, learned)
    assert (estimated.path_min, estimated.minutes, estimated.correction) == (
        20.0,
        20.0 * learned.factor,
        learned,
    )
    assert (estimated.low, estimated.high) == (20.0 * learned.low, 20.0 * learned.high)
    assert estimated.low < estimated.minutes < estimated.high
